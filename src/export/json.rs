//! `job.json`: everything as data.

use super::record::{PlacementRecord, placement_record, tidy};
use super::saw_record::{SawRecord, saw_record};
use super::seal::UNSEALED;
use crate::design::{Grain, Part};
use crate::finding::Finding;
use crate::gcode::Program;
use crate::job::Job;
use crate::layout::Sheet;
use crate::layout::fewest::Fewest;
use crate::made::Made;
use crate::offcuts::OffCut;
use crate::proof::{
    Claim, HoleClaim, KeepOutClaim, LabelClaim, LineClaim, PartClaim, PocketClaim, PointClaim, Proof, RouterClaim,
    ScrewClaim, SheetClaim, TabClaim, TurnedClaim, VertexClaim,
};
use crate::route::{OperationKind, SheetFace};
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
    outline: Vec<VertexClaim>,
    holes: Vec<HoleClaim>,
    pockets: Vec<PocketClaim>,
    square_corners: Vec<PointClaim>,
    /// What is engraved into it, into the face that is up when it is cut out.
    #[serde(skip_serializing_if = "Option::is_none")]
    label: Option<LabelClaim>,
    /// Lines in that face that other parts are set to.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    joint_lines: Vec<LineClaim>,
    drawing: String,
}

/// The JSON Schema (draft 2020-12) of `job.json`.
pub fn job_schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<JobFile<'static>>();
    schema.insert("title".into(), "job.json of nestwright".into());
    schema.to_value()
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
    /// Of a panel glued up of boards: where its glue joints lie, from the lower edge.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    glue_joints: Vec<f64>,
    placements: Vec<PlacementRecord<'a>>,
    tabs: Vec<TabRecord<'a>>,
    screws: Vec<ScrewClaim>,
    /// Where nothing is cut.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    keep_out: Vec<KeepOutClaim>,
    /// How it is turned over, where parts have recesses in both faces.
    #[serde(skip_serializing_if = "Option::is_none")]
    turned: Option<TurnedClaim>,
    /// What is done at the machine for that, step by step.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    turning: Vec<String>,
}

/// A bridge of wood, and what it holds.
#[derive(Serialize, JsonSchema)]
struct TabRecord<'a> {
    part: &'a str,
    #[serde(flatten)]
    tab: TabClaim,
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
    /// What the programs are to do is told in the very words that a proof holds them to.
    pub(super) fn new(made: &'a Made, drawings: &[String], files: impl Iterator<Item = (&'a str, u32)>) -> JobFile<'a> {
        let Made { job, parts, layout, routes, programs, .. } = made;
        let claim = Claim::of(job, parts, layout, routes, programs);
        let described = parts.iter().zip(claim.parts).zip(drawings);
        let laid_out = layout.sheets.iter().zip(claim.sheets).enumerate();
        JobFile {
            made_by: format!("nestwright {}", env!("CARGO_PKG_VERSION")),
            title: &job.title,
            units: job.units,
            router: claim.router,
            parts: described.map(|((part, claim), drawing)| part_record(job, part, claim, drawing)).collect(),
            sheets: laid_out
                .map(|(i, (sheet, claim))| {
                    let turning = turning(job, i, sheet.thickness, routes, programs);
                    sheet_record(made, sheet, claim, turning)
                })
                .collect(),
            saw: saw_record(made),
            findings: &made.findings,
            programs: programs.iter().map(program_record).collect(),
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

fn part_record<'a>(job: &'a Job, part: &'a Part, claim: PartClaim, drawing: &str) -> PartRecord<'a> {
    PartRecord {
        name: &part.name,
        box_name: part.box_name.as_deref(),
        count: part.count,
        length: claim.length,
        width: claim.width,
        thickness: tidy(part.thickness),
        grain: part.grain,
        stock: &job.stock[part.stock].name,
        outline: claim.outline,
        holes: claim.holes,
        pockets: claim.pockets,
        square_corners: claim.square_corners,
        label: claim.label,
        joint_lines: claim.joint_lines,
        drawing: drawing.into(),
    }
}

fn sheet_record<'a>(made: &'a Made, sheet: &'a Sheet, claim: SheetClaim, turning: Vec<String>) -> SheetRecord<'a> {
    let parts = &made.parts;
    let held = |tab: TabClaim| TabRecord { part: &parts[sheet.placements[tab.placement].part].name, tab };
    SheetRecord {
        stock: &made.job.stock[sheet.stock].name,
        length: claim.length,
        width: claim.width,
        thickness: claim.thickness,
        chip_share: claim.chip_share,
        yield_: tidy(sheet.yield_(parts)),
        glue_joints: made.job.stock[sheet.stock].glue_lines().map(tidy).collect(),
        placements: sheet.placements.iter().map(|placement| placement_record(parts, placement)).collect(),
        tabs: claim.tabs.into_iter().flatten().map(held).collect(),
        screws: claim.screws,
        keep_out: claim.keep_out,
        turned: claim.turned,
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
