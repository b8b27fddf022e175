//! Is anything still there that should have gone?

use super::bench::{Bench, PlacedShape};
use super::flat::{self, Ring, Shapes, Sides};
use super::near::Path;
use super::rest::{bounds, left, most_left, spot};
use super::shape::{HoleShape, PocketShape};
use super::tabs;
use super::turns::round;
use super::verdict::{Ledger, Spot};
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::{Point, Rect};

/// Holds what the programs leave against the parts' outlines, holes and recesses.
///
/// Each feature is some program's: `owner` tells which, or `None` for one that no program at hand is to make.
pub(super) fn check(bench: &Bench, owner: &Owner, ledgers: &mut [Ledger]) {
    for (index, piece) in bench.pieces.iter().enumerate() {
        if let Some(program) = owner.of_cutter() {
            if !bench.sheet.first_face {
                tabs::check(bench, index, piece, &mut ledgers[program]);
            }
            for pocket in &piece.shape.pockets {
                recess(bench, piece, pocket, &mut ledgers[program]);
            }
        }
        for hole in &piece.shape.holes {
            if let Some(program) = owner.of_hole(hole) {
                opening(bench, piece, hole, &mut ledgers[program]);
            }
        }
    }
}

/// Which program makes what.
#[derive(Debug)]
pub(super) struct Owner {
    /// Numbers of the tools of each program; `None` for a program that is to do everything.
    pub tools: Vec<Option<Vec<u32>>>,
    /// Numbers of the drills.
    pub drills: Vec<u32>,
}

impl Owner {
    fn of_cutter(&self) -> Option<usize> {
        let cuts = |tools: &Option<Vec<u32>>| {
            tools.as_ref().is_none_or(|tools| tools.iter().any(|tool| !self.drills.contains(tool)))
        };
        self.tools.iter().rposition(cuts)
    }

    pub fn of_hole(&self, hole: &HoleShape) -> Option<usize> {
        let Some(drill) = hole.drill else { return self.of_cutter() };
        let drills = |tools: &Option<Vec<u32>>| tools.as_ref().is_none_or(|tools| tools.contains(&drill));
        self.tools.iter().rposition(drills)
    }
}

fn opening(bench: &Bench, piece: &PlacedShape, hole: &HoleShape, ledger: &mut Ledger) {
    let deep = hole.depth.unwrap_or(bench.sheet.thickness);
    let (name, z) = (&piece.shape.name, -deep + bench.touch);
    if let Some(diameter) = hole.diameter {
        let over = piece.shape.pockets.iter().filter(|pocket| flat::contains(&pocket.floor, hole.centre));
        let floor = over.map(|pocket| -pocket.depth - 2.0 * bench.touch).fold(0.0, f64::min);
        size(bench, name, hole, diameter, floor, deep, ledger);
        if let Some(left) = round(bench, hole, z) {
            let spot = || spot(bench, Some(hole.centre), z, name, &hole.use_);
            ledger.note(ProgramCheck::LeftInHole, left, Limits::at_most(bench.tolerance), spot);
            return;
        }
    }
    // Another piece may lie in the opening, and be cut out of its middle.
    let all = flat::bounds(&hole.target);
    let within = |it: &PlacedShape| all.union(it.bounds) == all;
    if let (true, Some(band)) = (!gone(bench, hole.centre, z) || bench.pieces.iter().any(within), &hole.band) {
        // The middle may come out in one piece, if it is held until then.
        tabs::plug(bench, &format!("{name}, {}", hole.use_), hole, band, ledger);
        return;
    }
    let shapes = left(bench, std::slice::from_ref(&hole.target), z);
    let (most, at) = most_left(&shapes, [&hole.target], &[hole.centre]);
    let spot = || spot(bench, at, z, name, &hole.use_);
    ledger.note(ProgramCheck::LeftInHole, most, Limits::at_most(bench.tolerance), spot);
}

/// Does a cut take this place at a height?
fn gone(bench: &Bench, at: Point, z: f64) -> bool {
    let here = Rect::new(at.x, at.y, at.x, at.y);
    bench.near(here).into_iter().map(|i| &bench.replay.cuts[i]).any(|cut| {
        let path = cut.path_below(z);
        path.is_some_and(|path| Path::new(&path).to_side(at, at) < cut.radius)
    })
}

/// Diameter, place and depth of a round hole, by how far the tool reaches in it.
///
/// `floor` is the height of a recess's floor over it, 0 for none; it is to be `deep`.
pub(super) fn size(
    bench: &Bench,
    name: &str,
    hole: &HoleShape,
    drawn: f64,
    floor: f64,
    deep: f64,
    ledger: &mut Ledger,
) {
    // At half depth it is cut all around, also where its middle is held by tabs; under a recess, below its floor.
    let half = floor.min(-deep.min(bench.sheet.thickness) / 2.0);
    let about = Rect::from_center_size(hole.centre, (drawn, drawn));
    let mut reach: Option<Rect> = None;
    let mut last = None;
    let (mut lowest, mut point) = (0.0f64, 0.0f64);
    for cut in bench.near(about).into_iter().map(|i| &bench.replay.cuts[i]) {
        let Some(path) = cut.path_below(half) else {
            if cut.path.start.distance(hole.centre) < drawn / 2.0 {
                lowest = lowest.min(cut.lowest());
            }
            continue;
        };
        let inside = |at: Point| at.distance(hole.centre) < drawn / 2.0;
        if !(inside(path.start) && inside(path.end)) {
            continue;
        }
        (lowest, point) = (lowest.min(cut.lowest()), point.min(cut.tip()));
        let bounds = path.bounds().inflate(cut.radius, cut.radius);
        reach = Some(reach.map_or(bounds, |all| all.union(bounds)));
        last = Some(cut);
    }
    let subject = format!("{name}, {}", hole.use_);
    let spot = || {
        let line = last.map(|cut| cut.line);
        Spot { line, at: Some([hole.centre.x, hole.centre.y, 0.0]), subject: subject.clone() }
    };
    let limits = match hole.depth {
        Some(_) => Limits::between(deep - bench.touch, deep + bench.touch),
        None => Limits::at_least(deep - bench.touch),
    };
    ledger.note(ProgramCheck::HoleDepth, -lowest, limits, spot);
    if hole.depth.is_some() {
        // The point of its drill goes on, and must not come out below.
        ledger.note(ProgramCheck::HoleDepth, -point, Limits::at_most(bench.sheet.thickness - bench.touch), spot);
    }
    let Some(reach) = reach else { return };
    let (wide, high) = (reach.width(), reach.height());
    let diameter = if (wide - hole.made).abs() > (high - hole.made).abs() { wide } else { high };
    let fits = if hole.drill.is_some() { super::shape::DRILL_FITS + 1e-6 } else { 2.0 * bench.tolerance };
    let wanted = if hole.drill.is_some() { drawn } else { hole.made };
    ledger.note(ProgramCheck::HoleDiameter, diameter, Limits::between(wanted - fits, wanted + fits), spot);
    let off = reach.center().distance(hole.centre);
    ledger.note(ProgramCheck::HoleCentre, off, Limits::at_most(bench.tolerance), spot);
}

fn recess(bench: &Bench, piece: &PlacedShape, pocket: &PocketShape, ledger: &mut Ledger) {
    let name = &piece.shape.name;
    let z = -pocket.depth + bench.touch;
    let shapes = left(bench, &pocket.target, z);
    let (most, at) = most_left(&shapes, &pocket.target, &pocket.samples);
    let allowed = Limits::at_most(bench.tolerance);
    ledger.note(ProgramCheck::LeftInRecess, most, allowed, || spot(bench, at, z, name, &pocket.purpose));
    // How deep its floor was cut where the tool's centre is over it and nothing goes deeper on purpose.
    let bounds = bounds(&pocket.floor);
    let deeper = |at: Point| {
        piece.shape.holes.iter().any(|hole| flat::contains(std::slice::from_ref(&hole.target), at))
            || piece.shape.pockets.iter().any(|it| it.depth > pocket.depth && flat::contains(&it.floor, at))
    };
    let lowest = bench
        .near(bounds)
        .into_iter()
        .map(|i| &bench.replay.cuts[i])
        .filter(|cut| {
            let middle = cut.at(0.5);
            flat::contains(&pocket.floor, middle) && !deeper(middle)
        })
        .min_by(|a, b| a.lowest().total_cmp(&b.lowest()));
    let limits = Limits::between(pocket.depth - bench.touch, pocket.depth + bench.touch);
    if lowest.is_none() {
        // The rest of its floor may be narrower than the cutter, whose middle goes over the hole in it: a counterbore.
        let places = roomiest(&own_floor(piece, pocket));
        for at in &places {
            let depth = -bench.surface(*at);
            ledger.note(ProgramCheck::RecessDepth, depth, limits, || {
                spot(bench, Some(*at), -depth, name, &pocket.purpose)
            });
        }
        if !places.is_empty() {
            return;
        }
    }
    let depth = lowest.map_or(0.0, |cut| -cut.lowest());
    ledger.note(ProgramCheck::RecessDepth, depth, limits, || {
        let at = lowest.map_or(bounds.center(), |cut| cut.at(0.5));
        let spot = Spot { line: lowest.map(|cut| cut.line), ..Spot::default() };
        spot.at(at, -depth).on(&format!("{name}, {}", pocket.purpose))
    });
}

/// The part of a recess's floor that no hole and no deeper recess takes away.
fn own_floor(piece: &PlacedShape, pocket: &PocketShape) -> Shapes {
    let mut gone: Vec<Ring> = piece.shape.holes.iter().map(HoleShape::made_ring).collect();
    gone.extend(piece.shape.pockets.iter().filter(|it| it.depth > pocket.depth).flat_map(|it| it.floor.clone()));
    flat::minus(&pocket.target, &gone)
}

/// In each shape a place that is far from all its sides: the best of the middles of its stretches along a few lines.
fn roomiest(shapes: &Shapes) -> Vec<Point> {
    const LINES: u32 = 16;
    let of_shape = |shape: &Vec<Ring>| {
        let (all, walls) = (bounds(shape), Sides::of(shape));
        let mut best: Option<(f64, Point)> = None;
        for i in 0..LINES {
            // Off the middles of corners and sides that lie alike on both sides.
            let y = all.y0 + all.height() * (f64::from(i) + 0.47) / f64::from(LINES);
            let crossing =
                |(a, b): (Point, Point)| ((a.y > y) != (b.y > y)).then(|| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
            let mut crossings: Vec<f64> =
                shape.iter().flat_map(|ring| flat::sides(ring)).filter_map(crossing).collect();
            crossings.sort_by(f64::total_cmp);
            for stretch in crossings.chunks_exact(2) {
                let at = Point::new(f64::midpoint(stretch[0], stretch[1]), y);
                let room = walls.distance(at);
                if best.is_none_or(|(most, _)| room > most) {
                    best = Some((room, at));
                }
            }
        }
        best.map(|(_, at)| at)
    };
    shapes.iter().filter_map(of_shape).collect()
}
