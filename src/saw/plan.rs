//! The plan of a job: the best of several orders of cuts, and what is still to be done to the pieces.

use super::bench::{Bench, Finished};
use super::block::Making;
use super::caution::{Caution, Reasons};
use super::order::{self, Prefer};
use super::replay::replay;
use super::shape::{Corner, corners, placed};
use super::step::{Action, Becomes, Edge, Mark, Piece, Setting, Side, Slope, Step, Way};
use super::works::{self, Work};
use super::{Gathered, critical, findings};
use crate::design::{Assembly, Part};
use crate::error::Error;
use crate::finding::Finding;
use crate::geometry::{Point, Rect};
use crate::job::{Job, Saw};
use crate::layout::{Axis, Pattern, Placement};

/// How the sheets of a job are cut by hand.
#[derive(Clone, Debug, Default)]
pub struct SawPlan {
    pub sheets: Vec<SawSheet>,
    /// All cuts of all sheets, in order.
    pub steps: Vec<Step>,
    pub settings: Vec<Setting>,
    /// What is done to the sawn pieces, after all cuts.
    pub works: Vec<Work>,
    /// Every piece of a part, in the order they come off.
    pub pieces: Vec<CutPiece>,
    /// Of each part, whether its length and whether its width holds something apart.
    pub critical: Vec<[bool; 2]>,
    pub findings: Vec<Finding>,
}

/// One sheet of the plan.
#[derive(Clone, Debug)]
pub struct SawSheet {
    /// Index into the job's stock.
    pub stock: usize,
    pub length: f64,
    pub width: f64,
    pub thickness: f64,
    /// Where the pieces lay on it, as they were cut.
    pub placements: Vec<Placement>,
    /// What is left over, in the order it fell off.
    pub left_over: Vec<Piece>,
}

/// A finished piece and how true it is.
#[derive(Clone, Debug)]
pub struct CutPiece {
    pub name: String,
    /// Index into the parts.
    pub part: usize,
    pub sheet: usize,
    /// How its length and its width came about.
    pub length: Gathered,
    pub width: Gathered,
}

impl SawPlan {
    /// Nothing is cut by hand.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// Cuts and works together: what the running position counts.
    pub fn length(&self) -> usize {
        self.steps.len() + self.works.len()
    }

    /// Straight cuts and the settings they take, without the slopes that no pattern knows of.
    pub fn cuts_and_settings(&self) -> (usize, usize) {
        let cuts = self.steps.iter().filter(|step| !matches!(step.action, Action::Slope(_))).count();
        (cuts, self.settings.iter().filter(|setting| setting.angle == 0.0).count())
    }
}

/// How plans compare: less is better, the first difference decides.
type Score = (usize, usize, usize, usize, usize, i64);

/// Plans the cuts of these patterns, and cuts them once over to see that the job's parts come out.
///
/// # Errors
/// [`Error::Fault`] when the written steps do not give the parts: the fault is ours.
pub fn plan(job: &Job, assemblies: &[Assembly], parts: &[Part], patterns: &[Pattern]) -> Result<SawPlan, Error> {
    let Some(saw) = &job.saw else { return Ok(SawPlan::default()) };
    if patterns.is_empty() {
        return Ok(SawPlan::default());
    }
    let critical = critical::critical(assemblies, parts);
    let mut best: Option<(Score, Bench, Vec<Setting>)> = None;
    for making in ways_of_making(saw, parts) {
        for prefer in Prefer::ALL {
            let (bench, settings) = order::cut_all(making, patterns, saw.together as usize, prefer);
            let score = score(&bench, &settings, &critical);
            if best.as_ref().is_none_or(|(known, ..)| score < *known) {
                best = Some((score, bench, settings));
            }
        }
    }
    let Some((_, mut bench, mut settings)) = best else { return Ok(SawPlan::default()) };
    slopes(&mut bench, &mut settings, parts);
    let sheets = sheets(&bench, patterns);
    let pieces = bench.finished.iter().map(cut_piece).collect();
    let works = works::works(parts);
    let mut plan = SawPlan { sheets, steps: bench.steps, settings, works, pieces, critical, findings: Vec::new() };
    let wrong = replay(&plan, parts, saw);
    if !wrong.is_empty() {
        return Err(Error::Fault(format!("the saw plan does not give the parts: {}", wrong.join("; "))));
    }
    plan.findings = findings::findings(job, saw, parts, &plan);
    Ok(plan)
}

/// Cuts and settings of a plain recursive order of the same patterns, to measure a plan by.
pub fn plain_order(job: &Job, parts: &[Part], patterns: &[Pattern]) -> (usize, usize) {
    let Some(saw) = &job.saw else { return (0, 0) };
    let making = Making { parts, bench: &saw.bench, kerf: saw.kerf, x_first: true, turn_over: false, ease: false };
    order::plain(making, patterns)
}

fn ways_of_making<'a>(saw: &'a Saw, parts: &'a [Part]) -> impl Iterator<Item = Making<'a>> {
    let either = [true, false];
    let all = either.into_iter().flat_map(move |ease| {
        either.into_iter().flat_map(move |turn_over| either.into_iter().map(move |x_first| (x_first, turn_over, ease)))
    });
    all.map(move |(x_first, turn_over, ease)| Making {
        parts,
        bench: &saw.bench,
        kerf: saw.kerf,
        x_first,
        turn_over,
        ease,
    })
}

/// Cuts left to the hand, critical dimensions of more than two cuts, pieces to be clamped, settings, cuts, and the error of
/// all critical dimensions (thousandths of a millimetre).
fn score(bench: &Bench, settings: &[Setting], critical: &[[bool; 2]]) -> Score {
    let by_hand = bench.steps.iter().filter(|step| step.way == Way::Hand).count();
    let (mut many, mut error) = (0, 0.0);
    for piece in &bench.finished {
        let CutPiece { part, length, width, .. } = cut_piece(piece);
        for (gathered, critical) in [length, width].into_iter().zip(critical[part]) {
            if critical {
                many += usize::from(gathered.cuts > MOST_CUTS);
                error += gathered.error;
            }
        }
    }
    let clamped = bench.steps.iter().filter(|step| step.cautions.contains(&Caution::ClampToTheGauge)).count();
    (by_hand, many, clamped, settings.len(), bench.steps.len(), (error * 1000.0).round() as i64)
}

/// A critical dimension should depend on no more cuts than this.
pub(super) const MOST_CUTS: usize = 2;

fn cut_piece(piece: &Finished) -> CutPiece {
    let [x, y] = piece.sizes;
    let (length, width) = if piece.placement.turn.swaps() { (y, x) } else { (x, y) };
    CutPiece { name: piece.name.clone(), part: piece.placement.part, sheet: piece.sheet, length, width }
}

fn sheets(bench: &Bench, patterns: &[Pattern]) -> Vec<SawSheet> {
    let mut sheets: Vec<SawSheet> = patterns
        .iter()
        .map(|pattern| SawSheet {
            stock: pattern.stock,
            length: pattern.length,
            width: pattern.width,
            thickness: pattern.thickness,
            placements: Vec::new(),
            left_over: Vec::new(),
        })
        .collect();
    for piece in &bench.finished {
        sheets[piece.sheet].placements.push(piece.placement);
    }
    for (sheet, piece) in &bench.left_over {
        sheets[*sheet].left_over.push(piece.clone());
    }
    sheets
}

/// Angled cuts come last, when there is a rectangle to measure on; all pieces of one slope one after another.
fn slopes(bench: &mut Bench, settings: &mut Vec<Setting>, parts: &[Part]) {
    for (index, part) in parts.iter().enumerate() {
        for corner in corners(part) {
            let Corner::Slope(ends) = corner else { continue };
            let mut of_this: Vec<Step> = Vec::new();
            for piece in bench.finished.iter().filter(|piece| piece.placement.part == index) {
                of_this.extend(slope(bench, piece, placed(ends, piece.placement.affine(part))));
            }
            let Some(first) = of_this.first() else { continue };
            if let (true, Action::Slope(slope)) = (first.way.is_set(), first.action) {
                let number = settings.len();
                settings.push(Setting {
                    way: first.way,
                    measure: first.measure,
                    angle: slope.angle,
                    pieces: of_this.iter().map(|step| step.piece.clone()).collect(),
                    cuts: of_this.len(),
                });
                of_this.iter_mut().for_each(|step| step.setting = Some(number));
            }
            bench.steps.append(&mut of_this);
        }
    }
}

fn slope(bench: &Bench, piece: &Finished, [a, b]: [Point; 2]) -> Option<Step> {
    let saw = bench.making.bench;
    let rect = piece.rect;
    let way = b - a;
    // The cut runs more along one axis than the other; it is out of square by the difference.
    let axis = if way.x.abs() <= way.y.abs() { Axis::X } else { Axis::Y };
    let (over, run) = match axis {
        Axis::X => (way.x, way.y),
        Axis::Y => (way.y, way.x),
    };
    let angle = (over / run).atan().to_degrees().abs();
    // The part lies on the line's left.
    let kept_low = match axis {
        Axis::X => way.y > 0.0,
        Axis::Y => way.x < 0.0,
    };
    let (low, high) = Side::ends(axis);
    let from = if kept_low { low } else { high };
    let distance = |p: Point| match from {
        Side::Left => p.x - rect.x0,
        Side::Right => rect.x1 - p.x,
        Side::Lower => p.y - rect.y0,
        Side::Upper => rect.y1 - p.y,
    };
    let marks = [mark(rect, a)?, mark(rect, b)?];
    let measure = distance(a).max(distance(b));
    let held = distance(a).min(distance(b));
    let length = way.hypot();
    let way = if saw.has_table_saw() && held >= saw.least_held.value && length <= saw.crosscut_capacity.value {
        Way::GaugeStop
    } else if rect.width().min(rect.height()) >= saw.least_under_guide.value / 2.0 {
        Way::Guide
    } else {
        Way::Hand
    };
    let cautions = match way {
        Way::GaugeStop => vec![Caution::NeverTheFenceAsStop],
        Way::Guide => vec![Caution::NarrowUnderGuide],
        _ => vec![Caution::NotOnTheSaw(Reasons::new(&["it is too small to hold or to clamp the guide to"]))],
    };
    let off = Rect::from_points(a, b);
    let becomes = Becomes::Part { part: piece.placement.part, turn: piece.placement.turn };
    Some(Step {
        sheet: piece.sheet,
        action: Action::Slope(Slope { marks, angle }),
        way,
        setting: None,
        piece: piece.name.clone(),
        rect,
        axis,
        from,
        from_edge: Edge::Factory,
        measure,
        square: None,
        off: Some(Piece { name: "waste".into(), rect: off, becomes: Becomes::Waste }),
        left: Some(Piece { name: piece.name.clone(), rect, becomes }),
        cautions,
    })
}

/// A point on the rim of a rectangle as a mark, measured from the left or the lower edge.
fn mark(rect: Rect, p: Point) -> Option<Mark> {
    let near = |a: f64, b: f64| (a - b).abs() < 2.0 * super::SLIVER;
    let upright = |on| Mark { on, from: Side::Lower, distance: p.y - rect.y0 };
    let level = |on| Mark { on, from: Side::Left, distance: p.x - rect.x0 };
    if near(p.x, rect.x0) {
        Some(upright(Side::Left))
    } else if near(p.x, rect.x1) {
        Some(upright(Side::Right))
    } else if near(p.y, rect.y0) {
        Some(level(Side::Lower))
    } else if near(p.y, rect.y1) {
        Some(level(Side::Upper))
    } else {
        None
    }
}
