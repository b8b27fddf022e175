//! `job.json`: everything as data.

use super::record::{PlacementRecord, placement_record, tidy};
use super::saw_record::{SawRecord, saw_record};
use super::seal::UNSEALED;
use crate::design::{Grain, Part, PartHole};
use crate::finding::Finding;
use crate::gcode::Program;
use crate::geometry::{Outline, Point};
use crate::job::Job;
use crate::layout::Sheet;
use crate::layout::fewest::Fewest;
use crate::made::Made;
use crate::offcuts::OffCut;
use crate::proof::{LabelClaim, Proof, RouterClaim, TurnedClaim};
use crate::route::{OperationKind, Route, Screw, SheetFace, Tab};
use crate::steps::{BoxSteps, turning};
use crate::supply::{Cost, Supply};
use crate::units::Units;
use schemars::{JsonSchema, generate::SchemaSettings};
use serde::Serialize;
use std::collections::BTreeMap;

/// The whole file. Lengths are millimetres, times minutes.
#[derive(Serialize, JsonSchema)]
pub(super) struct JobFile<'a> {
    made_by: String,
    title: &'a str,
    units: Units,
    /// The machine and its tools; left out where nothing is cut by CNC.
    #[serde(skip_serializing_if = "Option::is_none")]
    router: Option<RouterClaim>,
    parts: Vec<PartRecord<'a>>,
    sheets: Vec<SheetRecord<'a>>,
    saw: Option<SawRecord<'a>>,
    findings: &'a [Finding],
    programs: Vec<ProgramRecord<'a>>,
    /// How near the plans come to the fewest sheets there can be.
    fewest: &'a [Fewest],
    /// What is left over in pieces worth keeping; of router and saw only one is cut.
    off_cuts: &'a [OffCut],
    proof: &'a [Proof],
    hardware: &'a [Supply],
    cost: &'a Cost,
    steps: &'a [BoxSteps],
    files: Vec<FileRecord<'a>>,
    /// A checksum of this file with zeros in its place, by which nestwright knows whether somebody has changed it.
    seal: &'static str,
}

/// What the job page's script draws from, the same as in the whole record.
#[derive(Serialize)]
pub(super) struct ScriptRecord<'a> {
    title: &'a str,
    units: Units,
    parts: &'a [PartRecord<'a>],
    sheets: &'a [SheetRecord<'a>],
    programs: &'a [ProgramRecord<'a>],
}

impl JobFile<'_> {
    pub(super) fn for_script(&self) -> ScriptRecord<'_> {
        let JobFile { title, units, parts, sheets, programs, .. } = self;
        ScriptRecord { title, units: *units, parts, sheets, programs }
    }
}

#[derive(Serialize, JsonSchema)]
struct PartRecord<'a> {
    name: &'a str,
    #[serde(rename = "box")]
    box_name: Option<&'a str>,
    count: u32,
    length: f64,
    width: f64,
    thickness: f64,
    grain: Grain,
    stock: &'a str,
    /// Its corners, counter-clockwise.
    outline: Vec<VertexRecord>,
    holes: Vec<HoleRecord>,
    pockets: Vec<PocketRecord<'a>>,
    square_corners: Vec<PointRecord>,
    /// What is engraved into it, into the face that is up when it is cut out.
    #[serde(skip_serializing_if = "Option::is_none")]
    label: Option<LabelClaim>,
    drawing: String,
}

/// The JSON Schema (draft 2020-12) of `job.json`.
pub fn job_schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<JobFile<'static>>();
    schema.insert("title".into(), "job.json of nestwright".into());
    schema.to_value()
}

/// A corner of an outline, and the tangent of a quarter of the angle that the way to the next one sweeps: 0 is straight,
/// positive bends to the left.
#[derive(Serialize, JsonSchema)]
struct VertexRecord {
    x: f64,
    y: f64,
    bulge: f64,
}

#[derive(Serialize, JsonSchema)]
struct PointRecord {
    x: f64,
    y: f64,
}

/// A recess cut from the face that is up; its outline may reach past the part's where it is open to the edge.
#[derive(Serialize, JsonSchema)]
struct PocketRecord<'a> {
    purpose: &'a str,
    depth: f64,
    /// Cut from the face that is down: the sheet is turned over for it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    under: bool,
    outline: Vec<VertexRecord>,
}

#[derive(Serialize, JsonSchema)]
struct HoleRecord {
    x: f64,
    y: f64,
    /// Of a round hole; of a slot the width.
    diameter: f64,
    #[serde(rename = "use")]
    use_: &'static str,
    /// A slot's whole length; left out for a round hole.
    #[serde(skip_serializing_if = "Option::is_none")]
    length: Option<f64>,
    /// A slot that runs along the part's width.
    #[serde(skip_serializing_if = "Option::is_none")]
    upright: Option<bool>,
}

#[derive(Serialize, JsonSchema)]
struct SheetRecord<'a> {
    stock: &'a str,
    length: f64,
    width: f64,
    thickness: f64,
    /// Chips may be this share of what a tool takes in plywood.
    chip_share: f64,
    #[serde(rename = "yield")]
    yield_: f64,
    placements: Vec<PlacementRecord<'a>>,
    tabs: Vec<TabRecord<'a>>,
    screws: Vec<ScrewRecord>,
    /// How it is turned over, where parts have recesses in both faces.
    #[serde(skip_serializing_if = "Option::is_none")]
    turned: Option<TurnedClaim>,
    /// What is done at the machine for that, step by step.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    turning: Vec<String>,
}

/// A bridge of wood that holds a piece.
#[derive(Serialize, JsonSchema)]
struct TabRecord<'a> {
    part: &'a str,
    /// Index into `placements`.
    placement: usize,
    /// Middle of the tab, on the part's outline.
    x: f64,
    y: f64,
    /// At its top, along the outline.
    width: f64,
    /// Above the sheet's lower face.
    height: f64,
}

/// A screw that holds the sheet down, in the waste.
#[derive(Serialize, JsonSchema)]
struct ScrewRecord {
    x: f64,
    y: f64,
    /// Largest diameter of its head.
    head: f64,
}

#[derive(Serialize, JsonSchema)]
struct ProgramRecord<'a> {
    file: &'a str,
    sheet: usize,
    /// Of a sheet that is turned over: 1 or 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    face: Option<u32>,
    minutes: f64,
    cut_length: f64,
    rapid_length: f64,
    /// How often a tool goes into the wood from above.
    pierces: u32,
    /// Minutes by kind of operation.
    by_operation: BTreeMap<OperationKind, f64>,
    tools: Vec<ToolRecord<'a>>,
}

#[derive(Serialize, JsonSchema)]
struct ToolRecord<'a> {
    number: u32,
    name: &'a str,
    diameter: f64,
}

/// A file of the folder and a checksum, by which the next run knows it again.
#[derive(Serialize, JsonSchema)]
struct FileRecord<'a> {
    name: &'a str,
    crc32: String,
}

impl<'a> JobFile<'a> {
    pub(super) fn new(made: &'a Made, drawings: &[String], files: impl Iterator<Item = (&'a str, u32)>) -> JobFile<'a> {
        let job = &made.job;
        JobFile {
            made_by: format!("nestwright {}", env!("CARGO_PKG_VERSION")),
            title: &job.title,
            units: job.units,
            router: job.router.as_ref().map(RouterClaim::of),
            parts: made.parts.iter().zip(drawings).map(|(part, drawing)| part_record(job, part, drawing)).collect(),
            sheets: made
                .layout
                .sheets
                .iter()
                .enumerate()
                .map(|(i, sheet)| {
                    let route = Route::of_sheet(&made.routes, i);
                    let turning = turning(job, i, sheet.thickness, &made.routes, &made.programs);
                    sheet_record(job, &made.parts, sheet, route, turning)
                })
                .collect(),
            saw: saw_record(made),
            findings: &made.findings,
            programs: made.programs.iter().map(program_record).collect(),
            proof: &made.proof,
            fewest: &made.fewest,
            off_cuts: &made.off_cuts,
            hardware: &made.supplies,
            cost: &made.cost,
            steps: &made.steps,
            seal: UNSEALED,
            files: files.map(|(name, sum)| FileRecord { name, crc32: format!("{sum:08x}") }).collect(),
        }
    }
}

fn part_record<'a>(job: &'a Job, part: &'a Part, drawing: &str) -> PartRecord<'a> {
    PartRecord {
        name: &part.name,
        box_name: part.box_name.as_deref(),
        count: part.count,
        length: tidy(part.length),
        width: tidy(part.width),
        thickness: tidy(part.thickness),
        grain: part.grain,
        stock: &job.stock[part.stock].name,
        outline: vertices(&part.outline),
        holes: part.holes.iter().map(hole_record).collect(),
        pockets: part
            .pockets
            .iter()
            .map(|pocket| PocketRecord {
                purpose: &pocket.purpose,
                depth: tidy(pocket.depth),
                under: pocket.under,
                outline: vertices(&pocket.outline),
            })
            .collect(),
        square_corners: part.square_corners.iter().map(point).collect(),
        label: LabelClaim::of(part),
        drawing: drawing.into(),
    }
}

fn vertices(outline: &Outline) -> Vec<VertexRecord> {
    let bulge = |bulge: f64| (bulge * 1e9).round() / 1e9 + 0.0;
    outline
        .vertices
        .iter()
        .map(|vertex| VertexRecord { x: tidy(vertex.at.x), y: tidy(vertex.at.y), bulge: bulge(vertex.bulge) })
        .collect()
}

fn point(at: &Point) -> PointRecord {
    PointRecord { x: tidy(at.x), y: tidy(at.y) }
}

fn hole_record(hole: &PartHole) -> HoleRecord {
    HoleRecord {
        x: tidy(hole.centre.x),
        y: tidy(hole.centre.y),
        diameter: tidy(hole.width),
        use_: hole.use_.name(),
        length: (!hole.is_round()).then(|| tidy(hole.length)),
        upright: (!hole.is_round()).then_some(hole.upright),
    }
}

fn sheet_record<'a>(
    job: &'a Job,
    parts: &'a [Part],
    sheet: &'a Sheet,
    route: Option<&'a Route>,
    turning: Vec<String>,
) -> SheetRecord<'a> {
    let holding = route.map(|route| &route.holding);
    let tab = |tab: &Tab| TabRecord {
        part: &parts[sheet.placements[tab.placement].part].name,
        placement: tab.placement,
        x: tidy(tab.at.x),
        y: tidy(tab.at.y),
        width: tidy(tab.width),
        height: tidy(tab.height),
    };
    let screw = |screw: &Screw| ScrewRecord { x: tidy(screw.at.x), y: tidy(screw.at.y), head: tidy(screw.head) };
    SheetRecord {
        stock: &job.stock[sheet.stock].name,
        length: tidy(sheet.length),
        width: tidy(sheet.width),
        thickness: tidy(sheet.thickness),
        chip_share: tidy(job.stock[sheet.stock].material.chip_load.value),
        yield_: tidy(sheet.yield_(parts)),
        placements: sheet.placements.iter().map(|placement| placement_record(parts, placement)).collect(),
        tabs: holding.map_or_else(Vec::new, |holding| holding.tabs.iter().map(tab).collect()),
        screws: holding.map_or_else(Vec::new, |holding| holding.screws.iter().map(screw).collect()),
        turned: route.and_then(|route| TurnedClaim::of(job, route)),
        turning,
    }
}

fn program_record(program: &Program) -> ProgramRecord<'_> {
    ProgramRecord {
        file: &program.file,
        sheet: program.sheet + 1,
        face: program.face.map(SheetFace::number),
        minutes: hundredth(program.travel.minutes),
        cut_length: tidy(program.travel.cut),
        rapid_length: tidy(program.travel.rapid),
        pierces: program.travel.pierces,
        by_operation: program.travel.by_kind.iter().map(|(kind, minutes)| (*kind, hundredth(*minutes))).collect(),
        tools: program
            .tools
            .iter()
            .map(|(number, tool)| ToolRecord { number: *number, name: &tool.name, diameter: tidy(tool.diameter.value) })
            .collect(),
    }
}

fn hundredth(minutes: f64) -> f64 {
    (minutes * 100.0).round() / 100.0
}
