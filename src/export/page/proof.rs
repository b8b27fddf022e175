//! The proof of each program: its measures with their limits and places, and what the programs leave of each sheet.

use super::finding::allowed;
use super::range::{Bar, bar};
use super::sheet::{short, view_box};
use crate::finding::{Measure, Status};
use crate::geometry::Segment;
use crate::made::Made;
use crate::proof::{Measured, Swath};
use crate::units::Units;
use crate::words::counted;
use serde::Serialize;
use std::collections::HashSet;
use std::fmt::Write;

#[derive(Serialize)]
pub(super) struct ProofSheetView {
    number: usize,
    view_box: String,
    /// What is cut from above, and what is cut through.
    cut: Vec<StripView>,
    through: Vec<StripView>,
    /// How wide a ring around a place is (mm).
    ring: String,
    programs: Vec<ProofView>,
}

#[derive(Serialize)]
struct StripView {
    width: String,
    path: String,
}

#[derive(Serialize)]
struct ProofView {
    file: String,
    proved: bool,
    /// `31 measures, all within their limits`.
    summary: String,
    /// Among the programs of the page.
    program: usize,
    measures: Vec<MeasureView>,
    /// What must not be there, and is not.
    never: Vec<String>,
}

#[derive(Serialize)]
struct MeasureView {
    /// Among the measures of its program.
    number: usize,
    status: Status,
    check: String,
    measured: Option<String>,
    allowed: Option<String>,
    bar: Option<Bar>,
    /// What it was measured at: a part, a hole.
    subject: String,
    line: Option<usize>,
    /// In words, and on the sheet: x, y, z in millimetres.
    place: String,
    at: Option<[String; 3]>,
    /// y on a picture whose y runs down.
    down: String,
    advice: String,
    source: String,
}

/// The sheets that programs cut, with their proofs in the order in which they are run.
pub(super) fn proofs(made: &Made) -> Vec<ProofSheetView> {
    let sheets = made.layout.sheets.iter().zip(&made.swaths).enumerate();
    sheets
        .map(|(i, (sheet, swaths))| ProofSheetView {
            number: i + 1,
            view_box: view_box(sheet.length, sheet.width, 30.0),
            cut: strips(&swaths.cut),
            through: strips(&swaths.through),
            ring: short(sheet.length.max(sheet.width) / 70.0),
            programs: programs(made, i + 1, sheet.width),
        })
        .filter(|sheet| !sheet.programs.is_empty())
        .collect()
}

fn programs(made: &Made, sheet: usize, width: f64) -> Vec<ProofView> {
    let units = made.job.units;
    let proofs = made.proof.iter().filter(|proof| proof.sheet == sheet);
    proofs
        .filter_map(|proof| {
            let faults = proof.faults().count();
            let all = counted(proof.measures.len(), "measure");
            let (never, measures): (Vec<&Measured>, Vec<&Measured>) =
                proof.measures.iter().partition(|it| is_never(it));
            Some(ProofView {
                file: proof.file.clone(),
                proved: proof.proved(),
                summary: match faults {
                    0 => format!("{all}, all within their limits"),
                    _ => format!("{faults} of {all} beyond their limits"),
                },
                program: made.programs.iter().position(|program| program.file == proof.file)?,
                measures: measures.into_iter().enumerate().map(|(i, it)| measure(it, i + 1, units, width)).collect(),
                never: never.into_iter().map(|measured| measured.finding.check.clone()).collect(),
            })
        })
        .collect()
}

/// Is this a count of something that is not to be there, and is not?
fn is_never(measured: &Measured) -> bool {
    let finding = &measured.finding;
    let none = finding.allowed.as_ref().is_some_and(|allowed| allowed.most == Some(0.0));
    none && finding.status == Status::Ok && matches!(finding.measured, Some(Measure::Count(count)) if count == 0.0)
}

fn measure(measured: &Measured, number: usize, units: Units, width: f64) -> MeasureView {
    let finding = &measured.finding;
    let held = finding.measured.zip(finding.allowed.as_ref());
    MeasureView {
        number,
        status: finding.status,
        check: finding.check.clone(),
        measured: super::finding::measured(finding, units),
        allowed: allowed(finding, units),
        bar: held.and_then(|(value, limits)| bar(value, limits)),
        subject: finding.subject.clone(),
        line: measured.line,
        place: measured.place(units),
        at: measured.at.map(|at| at.map(short)),
        down: measured.at.map_or_else(String::new, |[_, y, _]| short(width - y)),
        advice: finding.advice.clone(),
        source: finding.source.clone(),
    }
}

/// Strips of one width are one path: they all look alike. A stretch that is cut again, deeper, is drawn once.
fn strips(swaths: &[Swath]) -> Vec<StripView> {
    let mut strips: Vec<(StripView, Pencil)> = Vec::new();
    for swath in swaths {
        let width = short(swath.width);
        let at = strips.iter().position(|(strip, _)| strip.width == width).unwrap_or_else(|| {
            strips.push((StripView { width, path: String::new() }, Pencil::default()));
            strips.len() - 1
        });
        let (strip, pencil) = &mut strips[at];
        pencil.draw(&mut strip.path, &swath.path);
    }
    strips.into_iter().map(|(strip, _)| strip).collect()
}

/// Writes the data of an SVG path whose y runs up, in steps of a hundredth of a millimetre from where it stands: finer
/// than any screen shows.
#[derive(Default)]
struct Pencil {
    at: Option<[i64; 2]>,
    drawn: HashSet<([i64; 2], [i64; 2], i64)>,
}

impl Pencil {
    fn draw(&mut self, path: &mut String, way: &[Segment]) {
        for side in way {
            let [start, end] = [side.start, side.end].map(|point| [hundredths(point.x), hundredths(point.y)]);
            let bulge = (side.bulge * 1e6).round() as i64;
            // In either direction it is the same stretch.
            let known = if start <= end { (start, end, bulge) } else { (end, start, -bulge) };
            if !self.drawn.insert(known) {
                continue;
            }
            match self.at {
                Some(at) if at == start => {}
                Some(at) => step(path, "m", at, start),
                None => step(path, "M", [0, 0], start),
            }
            if side.is_arc() {
                let large = u8::from(side.sweep().abs() > std::f64::consts::PI);
                let turn = u8::from(side.bulge > 0.0);
                let radius = short(side.radius());
                let _ = write!(path, "a{radius} {radius} 0 {large} {turn}");
                step(path, " ", start, end);
            } else {
                step(path, "l", start, end);
            }
            self.at = Some(end);
        }
    }
}

fn hundredths(mm: f64) -> i64 {
    (mm * 100.0).round() as i64
}

fn step(path: &mut String, letter: &str, from: [i64; 2], to: [i64; 2]) {
    let [x, y] = [0, 1].map(|i| crate::units::decimal((to[i] - from[i]) as f64 / 100.0, 2));
    let _ = write!(path, "{letter}{x} {y}");
}
