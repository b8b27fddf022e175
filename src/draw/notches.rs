//! Equal notches along the sides of a part, finger joints for one: told once, not notch by notch.

use super::call_out::{CallOut, Mark, NEAR, Shape, without_sign};
use crate::design::Part;
use crate::geometry::{LeftOut, Point, Rect, Side, left_out};
use crate::units::Units;

/// Equal notches at one pitch along a side of the part.
#[derive(Clone, Debug)]
pub(super) struct Run {
    /// Where along the side each starts.
    starts: Vec<f64>,
    wide: f64,
    deep: f64,
    pitch: f64,
    side: Side,
    /// The rectangle around the part.
    around: Rect,
}

impl Run {
    /// Is the corner one of these notches'?
    pub fn covers(&self, corner: Point) -> bool {
        let (along, inward) = self.side.along_and_in(corner, self.around);
        inward < self.deep + NEAR
            && self.starts.iter().any(|start| along > start - NEAR && along < start + self.wide + NEAR)
    }

    /// The first one's start and depth are what the pattern hangs on.
    pub fn marks(&self) -> Vec<Mark> {
        let at = |along, inward| self.side.at(along, inward, self.around);
        let upright = self.side.is_upright();
        let first = self.starts[0];
        let mark = |at, across, up| Mark { at, across, up, joint: true };
        vec![mark(at(first, 0.0), !upright, upright), mark(at(first, self.deep), upright, !upright)]
    }

    fn first(&self) -> Rect {
        let at = |along, inward| self.side.at(along, inward, self.around);
        Rect::from_points(at(self.starts[0], 0.0), at(self.starts[0] + self.wide, self.deep))
    }
}

/// Runs of equal notches on each side of the part: finger joints, for one.
pub(super) fn notches(part: &Part) -> Vec<Run> {
    let around = Rect::new(0.0, 0.0, part.length, part.width);
    let pieces = left_out(&part.outline);
    Side::ALL.into_iter().filter_map(|side| run_on(side, &pieces, around)).collect()
}

fn run_on(side: Side, pieces: &[LeftOut], around: Rect) -> Option<Run> {
    let of = |point| side.along_and_in(point, around);
    // What is left out between stretches of the outline that lie on the side.
    let on_side = |piece: &&LeftOut| piece.ends().iter().all(|end| of(*end).1 < NEAR);
    let span = |piece: &LeftOut| {
        let [a, b] = piece.ends().map(|end| of(end).0);
        (a.min(b), a.max(b))
    };
    let mut between: Vec<&LeftOut> = pieces.iter().filter(on_side).collect();
    between.sort_by(|a, b| span(a).0.total_cmp(&span(b).0));
    let gaps: Vec<(f64, f64)> = between.iter().map(|piece| span(piece)).collect();
    let (first, last) = (gaps.first()?, gaps.last()?);
    if gaps.len() < 2 {
        return None;
    }
    let wide = first.1 - first.0;
    let pitch = (last.0 - first.0) / (gaps.len() - 1) as f64;
    let even = gaps.iter().all(|(a, b)| (b - a - wide).abs() < NEAR)
        && gaps.windows(2).all(|pair| (pair[1].0 - pair[0].0 - pitch).abs() < NEAR);
    let inward = |piece: &&LeftOut| piece.sides.iter().map(|(_, side)| of(side.end).1).fold(0.0, f64::max);
    let deep: Vec<f64> = between.iter().map(inward).collect();
    let depth = deep.iter().copied().fold(0.0, f64::max);
    // What lies further in than half the part belongs to the other side.
    let half = if side.is_upright() { around.width() } else { around.height() } / 2.0;
    let plain = between.iter().all(|piece| piece.notch().is_some());
    let alike = depth < half && deep.iter().all(|inward| (inward - depth).abs() < NEAR);
    (even && plain && alike).then(|| Run {
        starts: gaps.iter().map(|(a, _)| *a).collect(),
        wide,
        deep: depth,
        pitch,
        side,
        around,
    })
}

/// A note for each run; runs that are alike share one.
pub(super) fn notes(runs: &[Run], units: Units, call_outs: &mut Vec<CallOut>) {
    let first = call_outs.len();
    for run in runs {
        let show = |mm: f64| without_sign(&units.measured(mm)).to_string();
        let text = format!(
            "{} notches {} wide, {} deep, pitch {}",
            run.starts.len(),
            show(run.wide),
            show(run.deep),
            show(run.pitch)
        );
        let shape = Shape::Box(run.first());
        match call_outs[first..].iter_mut().find(|known| known.text == text) {
            Some(known) => known.shapes.push(shape),
            None => call_outs.push(CallOut { text, shapes: vec![shape], listed: false }),
        }
    }
    for call_out in &mut call_outs[first..] {
        if call_out.shapes.len() > 1 {
            call_out.text = format!("on {} edges: {}", call_out.shapes.len(), call_out.text);
        }
    }
}
