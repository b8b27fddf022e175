//! What the templates show, beside the job's own record: values made ready to be read.

use super::apart::corners;
use super::assembly::{AssemblyView, CostView, Hardware, assemblies, cost, hardware};
use super::download::{Group, groups};
use super::face::{FaceView, faces};
use super::finding::{ThemeView, themes};
use super::left_over::OffCutView;
use super::proof::{ProofSheetView, proofs};
use super::saw::{SawView, saw};
use super::sheet::{PieceView, pieces, shape, short, view_box, way};
use crate::design::{Grain, Part};
use crate::draw::{left_over, opening_tabs};
use crate::export::Files;
use crate::export::csv::holes;
use crate::finding::Status;
use crate::gcode::{CAUTIONS, Program};
use crate::geometry::{Point, Vec2};
use crate::job::Job;
use crate::layout::{Layout, Sheet};
use crate::made::Made;
use crate::route::Route;
use crate::steps::turning;
use crate::units::{INCH, Units, decimal};
use glam::DVec3;
use serde::Serialize;

/// What a page shows of a job that is made, beside its record; as JSON it is what the maker's page shows of a plan.
#[derive(Serialize)]
pub struct View {
    boxes: Vec<BoxView>,
    pieces: u32,
    minutes: Option<String>,
    cautions: usize,
    /// Checks that ask for nothing.
    passed: usize,
    /// Did every program hold against the parts?
    all_proved: bool,
    parts: Vec<PartView>,
    /// Are they of more than one box?
    grouped: bool,
    /// Must any keep to the grain?
    grained: bool,
    /// What to cut them from.
    stocks: Vec<String>,
    sheets: Vec<SheetView>,
    /// Are there hold-down screws?
    screws: bool,
    themes: Vec<ThemeView>,
    faces: Vec<FaceView>,
    saw: Option<SawView>,
    assemblies: Vec<AssemblyView>,
    hardware: Option<Hardware>,
    cost: Option<CostView>,
    programs: Vec<ProgramView>,
    proofs: Vec<ProofSheetView>,
    machine_cautions: Vec<String>,
    files: Vec<Group>,
}

#[derive(Serialize)]
struct BoxView {
    name: String,
    count: u32,
    /// Width × depth × height over all.
    size: String,
}

#[derive(Serialize)]
struct PartView {
    number: usize,
    name: String,
    of: Option<String>,
    count: u32,
    /// Length and width.
    size: [String; 2],
    thickness: String,
    grain: &'static str,
    holes: String,
    material: String,
    /// Numbers of the sheets it lies on.
    sheets: Vec<usize>,
    shape: String,
    pockets: Vec<String>,
    /// Recesses of the lower face.
    below: Vec<String>,
    /// The strokes of what is engraved into it.
    label: Option<String>,
}

#[derive(Serialize)]
struct SheetView {
    number: usize,
    heading: String,
    used: String,
    view_box: String,
    length: String,
    width: String,
    pieces: Vec<PieceView>,
    off_cuts: Vec<OffCutView>,
    /// Lines over the tabs, along the cuts that they stand in; those in openings too.
    tabs: Vec<String>,
    /// What is done to turn it over, step by step; nothing for a sheet that is not.
    turning: Vec<String>,
}

#[derive(Serialize)]
struct ProgramView {
    file: String,
    sheet: usize,
    minutes: String,
    cut: String,
    tools: Vec<String>,
}

impl View {
    /// Of a job whose files are not written.
    pub fn of(made: &Made) -> View {
        View::new(made, &Files::new())
    }

    pub(super) fn new(made: &Made, files: &Files) -> View {
        let minutes: f64 = made.programs.iter().map(|program| program.travel.minutes).sum();
        View {
            boxes: boxes(made),
            pieces: made.parts.iter().map(|part| part.count).sum(),
            minutes: (!made.programs.is_empty()).then(|| decimal(minutes, 0)),
            cautions: made.findings.iter().filter(|finding| finding.status > Status::Accepted).count(),
            passed: made.findings.iter().filter(|finding| finding.status <= Status::Accepted).count(),
            all_proved: made.proof.iter().all(crate::proof::Proof::proved),
            parts: made.parts.iter().enumerate().map(|(i, part)| part_view(&made.job, &made.layout, i, part)).collect(),
            grouped: made.parts.iter().any(|part| part.box_name != made.parts[0].box_name),
            grained: made.parts.iter().any(|part| part.grain != Grain::Any),
            stocks: stocks(made),
            sheets: sheets(made),
            screws: made.routes.iter().any(|route| !route.holding.screws.is_empty()),
            themes: themes(made.designed()),
            faces: faces(made.designed(), &made.parts, false),
            saw: saw(made),
            assemblies: assemblies(made),
            hardware: hardware(made),
            cost: cost(made),
            programs: made
                .programs
                .iter()
                .map(|program| ProgramView {
                    file: program.file.clone(),
                    sheet: program.sheet + 1,
                    minutes: decimal(program.travel.minutes.max(0.1), 1),
                    cut: far(program.travel.cut, made.job.units),
                    tools: program.tools.iter().map(|(number, tool)| format!("T{number} {}", tool.title)).collect(),
                })
                .collect(),
            proofs: proofs(made),
            machine_cautions: machine_cautions(&made.programs),
            files: groups(files),
        }
    }
}

/// What every program's head says, and what only some of them say with their names.
fn machine_cautions(programs: &[Program]) -> Vec<String> {
    let said = |caution: &&str| {
        let of: Vec<&str> = programs
            .iter()
            .filter(|program| program.cautions.contains(caution))
            .map(|program| program.file.as_str())
            .collect();
        match of.len() {
            0 => None,
            some if some == programs.len() => Some((*caution).into()),
            _ => Some(format!("in {}, {caution}", of.join(", "))),
        }
    };
    CAUTIONS.iter().filter_map(said).collect()
}

/// A long distance: metres, or feet.
fn far(mm: f64, units: Units) -> String {
    match units {
        Units::Millimetres => format!("{} m", decimal(mm / 1000.0, 1)),
        Units::Inches => format!("{} ft", decimal(mm / INCH / 12.0, 0)),
    }
}

fn boxes(made: &Made) -> Vec<BoxView> {
    let units = made.job.units;
    made.assemblies
        .iter()
        .filter(|assembly| !assembly.loose)
        .map(|assembly| {
            let (mut least, mut most) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
            for corner in assembly.panels.iter().flat_map(corners) {
                least = least.min(corner);
                most = most.max(corner);
            }
            let size = if least.x <= most.x { most - least } else { DVec3::ZERO };
            BoxView {
                name: assembly.name.clone(),
                count: assembly.count,
                size: format!("{} × {} × {}", units.number(size.x), units.number(size.y), units.show(size.z)),
            }
        })
        .collect()
}

fn part_view(job: &Job, layout: &Layout, index: usize, part: &Part) -> PartView {
    let units = job.units;
    PartView {
        number: index + 1,
        name: part.name.clone(),
        of: part.box_name.clone(),
        count: part.count,
        size: [units.number(part.length), units.show(part.width)],
        thickness: units.measured(part.thickness),
        grain: match part.grain {
            Grain::Long => "along",
            Grain::Cross => "across",
            Grain::Any => "any",
        },
        holes: holes(job, part),
        material: job.stock[part.stock].material.title.clone(),
        sheets: layout
            .sheets
            .iter()
            .enumerate()
            .filter(|(_, sheet)| sheet.placements.iter().any(|placement| placement.part == index))
            .map(|(i, _)| i + 1)
            .collect(),
        shape: shape(part),
        pockets: recesses(part, false),
        below: recesses(part, true),
        label: engraved(part),
    }
}

fn sheets(made: &Made) -> Vec<SheetView> {
    let sheets = made.layout.sheets.iter().enumerate();
    sheets
        .map(|(i, sheet)| SheetView {
            off_cuts: kept_out(&made.job, sheet).into_iter().chain(off_cuts(made, i)).collect(),
            tabs: tabs(made, i),
            turning: turning(&made.job, i, sheet.thickness, &made.routes, &made.programs),
            ..sheet_view(&made.job, &made.parts, i, sheet)
        })
        .collect()
}

fn sheet_view(job: &Job, parts: &[Part], index: usize, sheet: &Sheet) -> SheetView {
    let units = job.units;
    SheetView {
        number: index + 1,
        heading: format!(
            "{}, {} × {}, {} thick",
            job.stock[sheet.stock].material.title,
            units.number(sheet.length),
            units.show(sheet.width),
            units.measured(sheet.thickness)
        ),
        used: format!("{} %", decimal(sheet.yield_(parts) * 100.0, 1)),
        view_box: view_box(sheet.length, sheet.width, 30.0),
        length: short(sheet.length),
        width: short(sheet.width),
        pieces: pieces(&sheet.placements, parts, sheet.width, true),
        off_cuts: kept_out(job, sheet),
        tabs: Vec::new(),
        turning: Vec::new(),
    }
}

/// Parts on sheets, before anything is routed.
#[derive(Serialize)]
pub struct Laid {
    parts: Vec<PartView>,
    sheets: Vec<SheetView>,
}

impl Laid {
    pub fn of(job: &Job, parts: &[Part], layout: &Layout) -> Laid {
        let sheets = layout.sheets.iter().enumerate();
        Laid {
            parts: parts.iter().enumerate().map(|(i, part)| part_view(job, layout, i, part)).collect(),
            sheets: sheets.map(|(i, sheet)| sheet_view(job, parts, i, sheet)).collect(),
        }
    }
}

/// Height of the names of what is no part (mm).
const LETTERS: f64 = 40.0;

/// What is kept out of a sheet, by what is there.
fn kept_out(job: &Job, sheet: &Sheet) -> Vec<OffCutView> {
    let kept = job.stock[sheet.stock].keep_out.iter();
    kept.map(|it| OffCutView::new(&it.called(), it.rect, sheet.width, job.units, LETTERS)).collect()
}

/// What is left of a sheet, numbered as in the list.
fn off_cuts(made: &Made, sheet: usize) -> Vec<OffCutView> {
    let width = made.layout.sheets[sheet].width;
    let left = left_over(made, sheet).into_iter();
    left.map(|(number, rect)| OffCutView::new(&format!("off-cut {number}"), rect, width, made.job.units, LETTERS))
        .collect()
}

/// The tabs of a sheet, on it with y downwards.
fn tabs(made: &Made, sheet: usize) -> Vec<String> {
    let Some(route) = Route::of_sheet(&made.routes, sheet) else { return Vec::new() };
    let width = made.layout.sheets[sheet].width;
    let round_parts = route.holding.tabs.iter().map(|tab| (tab.at, tab.along, tab.width));
    let in_openings = opening_tabs(route).into_iter().map(|tab| (tab.at, tab.along, tab.width));
    let line = |(at, along, long): (Point, Vec2, f64)| {
        let ends = [-0.5, 0.5].map(|share| at + along * (long * share));
        way(&ends.map(|end| Point::new(end.x, width - end.y)))
    };
    round_parts.chain(in_openings).map(line).collect()
}

/// The recesses of one of its faces.
/// What is written into a part: its label, and lines that other parts are set to.
fn engraved(part: &Part) -> Option<String> {
    let label = part.engraved().into_iter().flat_map(|label| &label.strokes).map(|stroke| way(stroke));
    let lines = part.lined().flat_map(|line| &line.strokes).map(|ends| way(ends));
    let all: String = label.chain(lines).collect();
    (!all.is_empty()).then_some(all)
}

fn recesses(part: &Part, under: bool) -> Vec<String> {
    part.pockets.iter().filter(|it| it.under == under).map(|it| super::sheet::path(&it.outline)).collect()
}

/// The stock that parts are cut from, as measured.
fn stocks(made: &Made) -> Vec<String> {
    let units = made.job.units;
    let used = |i: &usize| made.parts.iter().any(|part| part.stock == *i);
    (0..made.job.stock.len())
        .filter(used)
        .map(|i| &made.job.stock[i])
        .map(|stock| format!("{}, measured {} thick", stock.material.title, units.measured(stock.thickness)))
        .collect()
}
