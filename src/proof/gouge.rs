//! Is anything cut that must stay, and anything where nothing is to be cut?

use super::bench::{Bench, PlacedShape};
use super::cut::Cut;
use super::flat;
use super::near::Path;
use super::shape::Kept;
use super::verdict::{Ledger, Spot};
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::{Point, Rect, Segment};

/// Holds every cut against the parts near it.
pub(super) fn check(bench: &Bench, ledgers: &mut [Ledger]) {
    let allowed = Limits::at_most(bench.tolerance);
    for cut in bench.in_wood() {
        let ledger = &mut ledgers[cut.program];
        let bounds = cut.bounds();
        let reach = cut.radius + bench.tolerance;
        let near = Rect::new(bounds.x0 - reach, bounds.y0 - reach, bounds.x1 + reach, bounds.y1 + reach);
        let beside_it = bench.pieces_near(near);
        for piece in beside_it.iter().filter(|piece| meet(piece.bounds, near)) {
            for kept in &piece.shape.kept {
                let Some(found) = into(bench, cut, kept) else { continue };
                let spot = || Spot::line(cut.line).at(found.place(kept), cut.tip()).on(&piece.shape.name);
                ledger.note(ProgramCheck::Gouge, found.depth, allowed, spot);
            }
        }
        if let Some((beyond, at)) = beside(bench, cut, &beside_it, near) {
            let spot = || Spot::line(cut.line).at(at, cut.tip()).on("the rest of the sheet");
            ledger.note(ProgramCheck::Beside, beyond, allowed, spot);
        }
    }
}

fn meet(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

/// A cutter that reaches into wood that stays.
struct Into {
    depth: f64,
    path: Segment,
    /// Where it is deepest, if that is known already.
    at: Option<Point>,
}

impl Into {
    fn place(&self, kept: &Kept) -> Point {
        let away = |at: &Point| kept.rings.iter().map(|ring| flat::distance(ring, *at)).fold(f64::INFINITY, f64::min);
        self.at.or_else(|| along(&self.path).min_by(|a, b| away(a).total_cmp(&away(b)))).unwrap_or(self.path.start)
    }
}

/// How far the cutter goes into wood that stays: the least distance by which it would be out again, sideways or up.
fn into(bench: &Bench, cut: &Cut, kept: &Kept) -> Option<Into> {
    let path = cut.path_below(-kept.depth - bench.touch)?;
    let deep = -kept.depth - cut.lowest();
    let (line, bounds) = (Path::new(&path), path.bounds());
    let limit = cut.radius + bench.tolerance;
    let nearest = kept.rings.iter().fold(limit, |least, ring| line.to_ring(bounds, ring, least));
    if nearest > 1e-9 && !flat::contains(&kept.rings, path.start) {
        // Its centre stays outside: the round edge may reach in.
        let depth = (cut.radius - nearest).max(0.0).min(deep);
        return (nearest < limit).then_some(Into { depth, path, at: None });
    }
    let inside = |at: Point| {
        let away = kept.rings.iter().map(|ring| flat::distance(ring, at)).fold(f64::INFINITY, f64::min);
        if flat::contains(&kept.rings, at) { away } else { -away }
    };
    let (most, at) = along(&path).map(|at| (inside(at), at)).max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Into { depth: (cut.radius + most).max(0.0).min(deep), path, at: Some(at) })
}

/// Places along a path, close together.
fn along(path: &Segment) -> impl Iterator<Item = Point> + '_ {
    /// Distance between them (mm), and how many at most.
    const STEP: f64 = 0.5;
    const MOST: f64 = 400.0;
    let length = if path.chord() < 1e-9 { 0.0 } else { path.length() };
    let steps = (length / STEP).ceil().clamp(1.0, MOST) as u32;
    (0..=steps).map(move |i| if length == 0.0 { path.start } else { path.at(f64::from(i) / f64::from(steps)) })
}

/// How far the cutter reaches beyond the gap around the parts, and where. `None` for a mark for a screw.
fn beside(bench: &Bench, cut: &Cut, beside_it: &[&PlacedShape], near: Rect) -> Option<(f64, Point)> {
    let path = cut.path_below(-bench.touch)?;
    let within = |piece: &PlacedShape| {
        meet(piece.pale_bounds, near) && {
            let pale = std::slice::from_ref(&piece.shape.pale);
            flat::contains(pale, path.start) && {
                let bounds = path.bounds();
                Path::new(&path).to_ring(bounds, &piece.shape.pale, 1e-3) > 0.0
            }
        }
    };
    if beside_it.iter().any(|piece| within(piece)) {
        return Some((0.0, path.start));
    }
    if bench.is_mark(cut) || bench.hole_for_pin(cut).is_some() {
        return None;
    }
    // Beyond the pale of each part, or from one's into another's: by the nearest, wherever that lies.
    let all: Vec<&PlacedShape> = if beside_it.is_empty() { bench.pieces.iter().collect() } else { Vec::new() };
    let pieces = if beside_it.is_empty() { &all[..] } else { beside_it };
    let beyond = |at: Point| {
        let from = |piece: &PlacedShape| {
            if piece.shape.runouts.iter().any(|runout| flat::contains(std::slice::from_ref(runout), at)) {
                return 0.0;
            }
            if flat::contains(std::slice::from_ref(&piece.shape.outline), at) {
                0.0
            } else {
                flat::distance(&piece.shape.outline, at)
            }
        };
        let nearest = pieces.iter().map(|piece| from(piece)).fold(f64::INFINITY, f64::min);
        (nearest - (bench.router.gap - cut.radius)).max(0.0)
    };
    along(&path).map(|at| (beyond(at), at)).max_by(|a, b| a.0.total_cmp(&b.0))
}
