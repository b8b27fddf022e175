//! The saw plan in `job.json`.

use super::record::{PlacementRecord, placement_record, tidy};
use crate::geometry::Side;
use crate::layout::Axis;
use crate::made::Made;
use crate::saw::{Action, Becomes, CutPiece, Edge, SawPlan, Step, say};
use crate::units::Units;
use schemars::JsonSchema;
use serde::Serialize;

/// Lengths in millimetres, in the frame of the sheet; step numbers from 1.
#[derive(Serialize, JsonSchema)]
pub(super) struct SawRecord<'a> {
    machine: &'a str,
    kerf: f64,
    /// Stages of cuts: all in one direction, then all across them, and so on.
    stages: u32,
    sheets: Vec<SawSheetRecord<'a>>,
    settings: Vec<SettingRecord<'a>>,
    cautions: Vec<CautionRecord>,
    works: Vec<WorkRecord<'a>>,
    pieces: Vec<PieceRecord<'a>>,
    steps: usize,
    before: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct SawSheetRecord<'a> {
    stock: &'a str,
    length: f64,
    width: f64,
    thickness: f64,
    placements: Vec<PlacementRecord<'a>>,
    cuts: Vec<CutRecord<'a>>,
    left_over: Vec<OffRecord<'a>>,
}

#[derive(Serialize, JsonSchema)]
struct CutRecord<'a> {
    step: usize,
    action: &'static str,
    saw: &'static str,
    setting: Option<usize>,
    piece: &'a str,
    /// Axis along which it is measured; the cut runs across it.
    axis: &'static str,
    from: &'static str,
    from_edge: String,
    measure: f64,
    square_to: Option<String>,
    /// Near side of the kerf: x0, y0, x1, y1.
    line: [f64; 4],
    /// Out of square, degrees; left out for a straight cut.
    #[serde(skip_serializing_if = "Option::is_none")]
    angle: Option<f64>,
    off: Option<OffRecord<'a>>,
    left: Option<OffRecord<'a>>,
    text: String,
    /// Names of cautions, which are explained once for the whole plan.
    cautions: Vec<&'static str>,
    /// Why a cut is not for the saws.
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct OffRecord<'a> {
    name: &'a str,
    /// `finished`, `cut further`, `keep` or `waste`.
    is: &'static str,
    part: Option<&'a str>,
    x: f64,
    y: f64,
    length: f64,
    width: f64,
}

#[derive(PartialEq, Serialize, JsonSchema)]
struct CautionRecord {
    caution: &'static str,
    text: String,
    source: &'static str,
}

#[derive(Serialize, JsonSchema)]
struct SettingRecord<'a> {
    number: usize,
    saw: &'static str,
    measure: f64,
    angle: f64,
    text: String,
    pieces: &'a [String],
    cuts: usize,
}

#[derive(Serialize, JsonSchema)]
struct WorkRecord<'a> {
    step: usize,
    part: &'a str,
    with: &'static str,
    text: String,
    care: &'static str,
    source: &'static str,
}

/// A finished piece; errors at worst, in millimetres.
#[derive(Serialize, JsonSchema)]
struct PieceRecord<'a> {
    name: &'a str,
    part: &'a str,
    sheet: usize,
    length_error: f64,
    length_cuts: usize,
    length_critical: bool,
    width_error: f64,
    width_cuts: usize,
    width_critical: bool,
}

/// `None` when nothing is cut by hand.
pub(super) fn saw_record(made: &Made) -> Option<SawRecord<'_>> {
    let saw = made.job.saw.as_ref()?;
    let plan = &made.saw;
    let units = made.job.units;
    let settings = plan.settings.iter().enumerate().map(|(i, setting)| SettingRecord {
        number: i + 1,
        saw: setting.method.key(),
        measure: tidy(setting.measure),
        angle: tidy(setting.angle),
        text: say::setting(units, setting),
        pieces: &setting.pieces,
        cuts: setting.cuts,
    });
    let works = plan.works.iter().enumerate().map(|(i, work)| {
        let (care, source) = say::work_care(work);
        WorkRecord {
            step: plan.steps.len() + i + 1,
            part: &made.parts[work.part].name,
            with: say::work_tool(work),
            text: say::work(&made.job, &made.parts[work.part], work),
            care,
            source,
        }
    });
    let pieces = plan.pieces.iter().map(|piece| PieceRecord {
        name: &piece.name,
        part: &made.parts[piece.part].name,
        sheet: piece.sheet + 1,
        length_error: tidy(piece.length.error),
        length_cuts: piece.length.cuts,
        length_critical: plan.critical[piece.part][0],
        width_error: tidy(piece.width.error),
        width_cuts: piece.width.cuts,
        width_critical: plan.critical[piece.part][1],
    });
    Some(SawRecord {
        machine: &saw.bench.name,
        kerf: tidy(saw.kerf),
        stages: plan.stages,
        sheets: (0..plan.sheets.len()).map(|i| sheet_record(made, plan, i)).collect(),
        settings: settings.collect(),
        cautions: cautions(plan, units),
        works: works.collect(),
        pieces: pieces.collect(),
        steps: plan.length(),
        before: say::before(&made.job, &made.saw),
    })
}

fn sheet_record<'a>(made: &'a Made, plan: &'a SawPlan, index: usize) -> SawSheetRecord<'a> {
    let sheet = &plan.sheets[index];
    let steps = plan.steps.iter().enumerate().filter(|(_, step)| step.sheet == index);
    SawSheetRecord {
        stock: &made.job.stock[sheet.stock].name,
        length: tidy(sheet.length),
        width: tidy(sheet.width),
        thickness: tidy(sheet.thickness),
        placements: sheet.placements.iter().map(|placement| placement_record(&made.parts, placement)).collect(),
        cuts: steps.map(|(i, step)| cut_record(made, i, step)).collect(),
        left_over: sheet.left_over.iter().map(|piece| off_record(made, piece)).collect(),
    }
}

fn cut_record<'a>(made: &'a Made, i: usize, step: &'a Step) -> CutRecord<'a> {
    let (action, angle) = match step.action {
        Action::Check => ("check", None),
        Action::Straighten => ("straighten", None),
        Action::Square => ("square", None),
        Action::Cut => ("cut", None),
        Action::Slope(slope) => ("slope", Some(tidy(slope.angle))),
    };
    let [a, b] = step.ends();
    let edge = |side: Side, edge: Edge| format!("{} ({})", side.name(), say::edge(edge));
    CutRecord {
        step: i + 1,
        action,
        saw: step.method.key(),
        setting: step.setting.map(|number| number + 1),
        piece: &step.piece,
        axis: match step.axis {
            Axis::X => "x",
            Axis::Y => "y",
        },
        from: step.from.name(),
        from_edge: say::edge(step.from_edge),
        measure: tidy(step.measure),
        square_to: step.square.map(|(side, which)| edge(side, which)),
        line: [a.x, a.y, b.x, b.y].map(tidy),
        angle,
        off: step.off.as_ref().map(|piece| off_record(made, piece)),
        left: step.left.as_ref().map(|piece| off_record(made, piece)),
        text: say::step(&made.job, &made.parts, &made.saw, step),
        cautions: step.cautions.iter().map(|caution| caution.key()).collect(),
        why: step.cautions.iter().find_map(|caution| caution.why()),
    }
}

/// Every caution of the plan, once.
fn cautions(plan: &SawPlan, units: Units) -> Vec<CautionRecord> {
    let mut all: Vec<CautionRecord> = Vec::new();
    for caution in plan.steps.iter().flat_map(|step| &step.cautions) {
        if all.iter().all(|known| known.caution != caution.key()) {
            all.push(CautionRecord { caution: caution.key(), text: caution.general(units), source: caution.source() });
        }
    }
    all
}

fn off_record<'a>(made: &'a Made, piece: &'a CutPiece) -> OffRecord<'a> {
    let part = match piece.becomes {
        Becomes::Part { part, .. } => Some(made.parts[part].name.as_str()),
        _ => None,
    };
    OffRecord {
        name: &piece.name,
        is: say::fate(piece.becomes),
        part,
        x: tidy(piece.rect.x0),
        y: tidy(piece.rect.y0),
        length: tidy(piece.rect.width()),
        width: tidy(piece.rect.height()),
    }
}
