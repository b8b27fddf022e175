//! Angled cuts: last of all, when there is a true rectangle to measure on.

use super::block::other;
use super::board::Finished;
use super::caution::{Caution, Reasons};
use super::shape::{Corner, corners, placed};
use super::step::{Action, Becomes, CutPiece, Mark, Method, Setting, Slope, Step};
use crate::design::Part;
use crate::geometry::math::atan;
use crate::geometry::{Point, Rect, Side};
use crate::layout::Axis;
use crate::profile::SawBench;

/// Adds the angled cuts, all pieces of one slope one after another.
pub(super) fn slopes(
    bench: &SawBench,
    parts: &[Part],
    finished: &[Finished],
    steps: &mut Vec<Step>,
    settings: &mut Vec<Setting>,
) {
    for (index, part) in parts.iter().enumerate() {
        for corner in corners(part) {
            let Corner::Slope(ends) = corner else { continue };
            let mut of_this: Vec<Step> = Vec::new();
            for piece in finished.iter().filter(|piece| piece.placement.part == index) {
                of_this.extend(slope(bench, piece, placed(ends, piece.placement.affine(part))));
            }
            let Some(first) = of_this.first() else { continue };
            if let (true, Action::Slope(slope)) = (first.method.is_set(), first.action) {
                let number = settings.len();
                settings.push(Setting {
                    method: first.method,
                    measure: first.measure,
                    angle: slope.angle,
                    pieces: of_this.iter().map(|step| step.piece.clone()).collect(),
                    cuts: of_this.len(),
                });
                of_this.iter_mut().for_each(|step| step.setting = Some(number));
            }
            steps.append(&mut of_this);
        }
    }
}

fn slope(bench: &SawBench, piece: &Finished, [a, b]: [Point; 2]) -> Option<Step> {
    let rect = piece.rect;
    let along = b - a;
    // The cut runs more along one axis than the other; it is out of square by the difference.
    let axis = if along.x.abs() <= along.y.abs() { Axis::X } else { Axis::Y };
    let (over, run) = match axis {
        Axis::X => (along.x, along.y),
        Axis::Y => (along.y, along.x),
    };
    let angle = atan(over / run).to_degrees().abs();
    // The part lies on the line's left.
    let kept_low = match axis {
        Axis::X => along.y > 0.0,
        Axis::Y => along.x < 0.0,
    };
    let (low, high) = axis.ends();
    let (gauge, _) = other(axis).ends();
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
    let length = along.hypot();
    let method = if bench.has_table_saw() && held >= bench.least_held.value && length <= bench.crosscut_capacity.value {
        Method::GaugeStop
    } else if rect.width().min(rect.height()) >= bench.least_under_guide.value / 2.0 {
        Method::Guide
    } else {
        Method::Hand
    };
    let cautions = match method {
        Method::GaugeStop => vec![Caution::NeverTheFenceAsStop],
        Method::Guide => vec![Caution::NarrowUnderGuide],
        _ => vec![Caution::NotOnTheSaw(Reasons::new(&["it is too small to hold or to clamp the guide to"]))],
    };
    let off = Rect::from_points(a, b);
    let becomes = Becomes::Part { part: piece.placement.part, turn: piece.placement.turn };
    Some(Step {
        sheet: piece.sheet,
        action: Action::Slope(Slope { marks, angle }),
        method,
        setting: None,
        piece: piece.name.clone(),
        rect,
        axis,
        from,
        from_edge: piece.edges[from.index()],
        measure,
        square: method.is_set().then_some((gauge, piece.edges[gauge.index()])),
        off: Some(CutPiece { name: "waste".into(), rect: off, becomes: Becomes::Waste }),
        left: Some(CutPiece { name: piece.name.clone(), rect, becomes }),
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
