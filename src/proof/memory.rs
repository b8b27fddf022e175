//! What the programs of a sheet have done so far: are its screws in, which parts hang on their tabs only, and is it the turn
//! of each program?

use super::bench::{Bench, PlacedShape};
use super::cut::Cut;
use super::driven::Driven;
use super::flat::{self, Ring};
use super::near::Path;
use super::verdict::{Ledger, Spot};
use crate::finding::ProgramCheck;
use crate::geometry::{Point, Rect};

/// Follows the cuts of all programs in order. `turns` are the places of the programs in the job's own order, of those that
/// it knows.
pub(super) fn check(bench: &Bench, turns: &[Option<usize>], ledgers: &mut [Ledger]) {
    for kind in [ProgramCheck::ProgramOrder, ProgramCheck::CutFreed, ProgramCheck::ScrewStop] {
        ledgers.iter_mut().for_each(|ledger| ledger.none(kind));
    }
    for (i, turn) in turns.iter().enumerate() {
        if turns[i + 1..].iter().any(|later| later.is_some() && later < turn) {
            ledgers[i].count(ProgramCheck::ProgramOrder, Spot::default);
        }
    }
    screws(bench, ledgers);
    if !bench.sheet.first_face {
        for piece in &bench.pieces {
            freed(bench, piece, ledgers);
        }
    }
}

/// Nothing is cut before the sheet is held.
fn screws(bench: &Bench, ledgers: &mut [Ledger]) {
    for cut in bench.in_wood().filter(|cut| !bench.driven.at(cut.index)) {
        // Where no program stops for the screws, the marks themselves are at fault.
        if bench.driven == Driven::Never || !bench.marks(cut) {
            let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
            ledgers[cut.program].count(ProgramCheck::ScrewStop, spot);
        }
    }
}

/// A part is nearly free once so much of what is cut around it is through.
const NEARLY: f64 = 0.9;
/// Places around a part that are looked at.
const AROUND: usize = 32;

/// Nothing is cut inside of a part that hangs on its tabs only.
fn freed(bench: &Bench, piece: &PlacedShape, ledgers: &mut [Ledger]) {
    let Some(freed) = free_from(bench, piece) else { return };
    let outline = std::slice::from_ref(&piece.shape.outline);
    let later = bench.passing(piece.bounds).into_iter().filter(|i| *i > freed).map(|i| &bench.replay.cuts[i]);
    // Whatever goes around it has its middle outside of it.
    for cut in later.filter(|cut| flat::contains(outline, cut.at(0.5))) {
        let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip()).on(&piece.shape.name);
        ledgers[cut.program].count(ProgramCheck::CutFreed, spot);
    }
}

/// The cut that made a part nearly free.
fn free_from(bench: &Bench, piece: &PlacedShape) -> Option<usize> {
    let through = -bench.sheet.thickness + bench.touch;
    let first = |at: &Point| {
        let takes = |cut: &&Cut| {
            let path = cut.path_below(through);
            path.is_some_and(|path| Path::new(&path).to_side(*at, *at) < cut.radius)
        };
        let here = Rect::new(at.x, at.y, at.x, at.y);
        bench.near(here).into_iter().map(|i| &bench.replay.cuts[i]).find(takes).map(|cut| cut.index)
    };
    // Near the wall: what is cut around the pieces beside it does not come there.
    let line = piece.shape.band.across.get(1)?;
    let mut gone: Vec<usize> = places(line, AROUND).iter().filter_map(first).collect();
    gone.sort_unstable();
    let last = (gone.len() as f64 * NEARLY).ceil() as usize;
    (gone.len() * 4 >= AROUND).then(|| gone[last.clamp(1, gone.len()) - 1])
}

/// Places on a ring, evenly far apart.
fn places(ring: &Ring, count: usize) -> Vec<Point> {
    let length: f64 = flat::sides(ring).map(|(a, b)| a.distance(b)).sum();
    let step = length / count as f64;
    let mut places = Vec::with_capacity(count);
    let mut ahead = step / 2.0;
    for (a, b) in flat::sides(ring) {
        let side = a.distance(b);
        while ahead < side {
            places.push(a.lerp(b, ahead / side));
            ahead += step;
        }
        ahead -= side;
    }
    places
}
