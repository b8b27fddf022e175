//! The saw plan for the page: its sheets with numbered cuts, and its steps with the cautions that belong to each.

use super::left_over::OffCutView;
use super::sheet::{PieceView, pieces, short, view_box};
use super::step::StepView;
use crate::geometry::{Point, Rect};
use crate::made::Made;
use crate::saw::{Becomes, CutPiece, Step, runs, say};
use crate::units::decimal;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct SawView {
    before: Vec<String>,
    sheets: Vec<SawSheetView>,
    works: Vec<StepView>,
    /// Cuts and works together.
    steps: usize,
}

#[derive(Serialize)]
struct SawSheetView {
    number: usize,
    heading: String,
    used: String,
    view_box: String,
    length: String,
    width: String,
    /// Height of the numbers on it (mm).
    letters: String,
    pieces: Vec<PieceView>,
    cuts: Vec<CutView>,
    /// The same cuts by what is set up for them.
    settings: Vec<SettingView>,
    off_cuts: Vec<OffCutView>,
    /// Has any number no room?
    crowded: bool,
}

/// Cuts of a sheet that follow each other at one set-up.
#[derive(Serialize)]
struct SettingView {
    /// `Setting 3: table saw, fence at 260.4 mm; 4 cuts`.
    heading: String,
    /// The first of its cuts in the sheet's list, and the one after its last.
    from: usize,
    to: usize,
}

/// A cut on the sheet, y downwards.
#[derive(Serialize)]
struct CutView {
    step: StepView,
    path: String,
    x: String,
    y: String,
    /// Its number would stand on another.
    crowded: bool,
    /// What comes off: left, upper, width, height.
    off: Option<[String; 4]>,
}

/// The plan; none when nothing is cut by hand.
pub(super) fn saw(made: &Made) -> Option<SawView> {
    let plan = &made.saw;
    made.job.saw.as_ref()?;
    let works = plan.works.iter().enumerate().map(|(i, work)| {
        StepView::of_text(
            plan.steps.len() + i + 1,
            &say::work(&made.job, &made.parts[work.part], work),
            vec![say::work_care(work).0.into()],
        )
    });
    Some(SawView {
        before: say::before(&made.job, plan),
        sheets: sheets(made),
        works: works.collect(),
        steps: plan.length(),
    })
}

fn sheets(made: &Made) -> Vec<SawSheetView> {
    let (plan, units) = (&made.saw, made.job.units);
    plan.sheets
        .iter()
        .enumerate()
        .map(|(i, sheet)| {
            let parts: f64 = sheet.placements.iter().map(|placement| made.parts[placement.part].outline.area()).sum();
            let letters = (sheet.length / 58.0).clamp(10.0, 42.0);
            let mut taken = Vec::new();
            let cuts = plan.steps.iter().enumerate().filter(|(_, step)| step.sheet == i);
            let cuts: Vec<CutView> = cuts.map(|(i, step)| cut(made, i, step, letters, &mut taken)).collect();
            let mut from = 0;
            let settings = runs(plan).into_iter().filter_map(|run| {
                let here = run.steps.iter().filter(|step| step.sheet == i).count();
                let view = SettingView { heading: run.heading(&made.job, plan), from, to: from + here };
                from += here;
                (here > 0).then_some(view)
            });
            SawSheetView {
                settings: settings.collect(),
                number: i + 1,
                heading: format!(
                    "{}, {} × {}, {} thick",
                    made.job.stock[sheet.stock].material.title,
                    units.number(sheet.length),
                    units.show(sheet.width),
                    units.measured(sheet.thickness)
                ),
                used: format!("{} %", decimal(parts / (sheet.length * sheet.width) * 100.0, 1)),
                view_box: view_box(sheet.length, sheet.width, 30.0),
                length: short(sheet.length),
                width: short(sheet.width),
                letters: short(letters),
                pieces: pieces(&sheet.placements, &made.parts, sheet.width, false),
                off_cuts: off_cuts(made, i, letters),
                crowded: cuts.iter().any(|cut| cut.crowded),
                cuts,
            }
        })
        .collect()
}

/// What is left of a sheet and worth keeping, as its cuts leave it.
fn off_cuts(made: &Made, sheet: usize, letters: f64) -> Vec<OffCutView> {
    let width = made.saw.sheets[sheet].width;
    let units = made.job.units;
    let steps = made.saw.steps.iter().filter(|step| step.sheet == sheet);
    steps
        .flat_map(|step| step.off.iter().chain(&step.left))
        .filter(|piece| matches!(piece.becomes, Becomes::OffCut { .. }))
        .map(|CutPiece { name, rect, .. }| OffCutView::new(name, *rect, width, units, letters))
        .collect()
}

/// A cut with its number where no number before it stands, if its line has such a place.
fn cut(made: &Made, index: usize, step: &Step, letters: f64, taken: &mut Vec<Point>) -> CutView {
    let width = made.saw.sheets[step.sheet].width;
    const PLACES: [f64; 15] = [0.32, 0.68, 0.5, 0.14, 0.86, 0.23, 0.41, 0.59, 0.77, 0.06, 0.94, 0.28, 0.72, 0.36, 0.64];
    let [a, b] = step.ends();
    let free = |at: &Point| {
        taken.iter().all(|other| (other.x - at.x).abs() > 1.5 * letters || (other.y - at.y).abs() > letters)
    };
    let place = PLACES.into_iter().map(|share| a.lerp(b, share)).find(free);
    let at = place.unwrap_or_else(|| a.lerp(b, PLACES[0]));
    taken.extend(place);
    let down = |rect: Rect| [rect.x0, width - rect.y1, rect.width(), rect.height()].map(short);
    CutView {
        step: StepView::of_text(
            index + 1,
            &say::step(&made.job, &made.parts, &made.saw, step),
            step.cautions.iter().map(|caution| caution.text(made.job.units)).collect(),
        ),
        path: format!("M{} {}L{} {}", short(a.x), short(width - a.y), short(b.x), short(width - b.y)),
        x: short(at.x),
        y: short(width - at.y),
        crowded: place.is_none(),
        off: step.off.as_ref().map(|piece| down(piece.rect)),
    }
}
