//! Round holes that the cutter bores: a helix down, then a full turn along the wall.

use super::CutterAt;
use super::moves::{Move, Space};
use super::profile::{entered, left};
use crate::geometry::{Point, Segment};

/// Bores a hole no wider than two cutters down to `depth`.
///
/// The helix stays off the wall; half a turn then brings the cutter to it, one full turn cuts it, and half a turn takes
/// the cutter away again, so that nothing marks it.
pub(super) fn moves(centre: Point, diameter: f64, depth: f64, cutter: &CutterAt) -> Vec<Move> {
    let wall = (diameter - cutter.diameter()) / 2.0;
    let helix = wall - cutter.finish().max(0.3).min(wall / 3.0);
    let round = |radius: f64, left: bool| centre + (if left { -radius } else { radius }, 0.0);
    // Along the wall the edge is faster than the cutter's centre; the feed is that of the edge.
    let share = ((diameter - cutter.diameter()) / diameter).max(SLOWEST);
    let feed = |full: f64| full * share.max(0.0);
    let (down, along) = (cutter.feeds.ramp.min(feed(cutter.feeds.cut)), feed(cutter.feeds.side));

    let turn = std::f64::consts::TAU * helix;
    let turns = (depth / cutter.pass().min(lead(turn, cutter)) - 1e-6).ceil().max(1.0);
    let mut moves = entered(round(helix, false), 0.0, cutter);
    for half in 1..=2 * turns as u32 {
        let z = -depth * f64::from(half) / (2.0 * turns);
        moves.push(half_turn(round(helix, half % 2 == 0), round(helix, half % 2 == 1), z, down, cutter));
    }
    let steps = [(helix, wall), (wall, wall), (wall, wall), (wall, helix)];
    for (i, (from, to)) in steps.into_iter().enumerate() {
        moves.push(half_turn(round(from, i % 2 == 1), round(to, i % 2 == 0), -depth, along, cutter));
    }
    left(&mut moves, cutter);
    moves
}

/// How far a helix may go down in a turn of this length. A program of few digits rounds the height of every quarter turn: where a
/// digit counts, none is to go down by more digits than the tool's angle allows.
fn lead(turn: f64, cutter: &CutterAt) -> f64 {
    const COUNTS: f64 = 20.0;
    let digits = (turn / 4.0 * cutter.slope() / cutter.digit).floor();
    if (1.0..COUNTS).contains(&digits) { 4.0 * digits * cutter.digit } else { turn * cutter.slope() }
}

/// The edge of a cutter in a narrow hole may be faster than its feed by the inverse of this: slower would burn.
const SLOWEST: f64 = 0.3;

/// Half a turn from one end of a diameter to the other.
fn half_turn(from: Point, to: Point, z: f64, feed: f64, cutter: &CutterAt) -> Move {
    let bulge = if cutter.climb() { 1.0 } else { -1.0 };
    Move::along(&Segment { start: from, end: to, bulge }, z, feed)
}

/// A small dimple: where a screw is to be driven.
pub(super) fn dimple(at: Point, depth: f64, cutter: &CutterAt) -> Vec<Move> {
    let radius = cutter.diameter() * 0.1;
    let turn = std::f64::consts::TAU * radius;
    let turns = (depth / lead(turn, cutter)).ceil().max(1.0);
    let side = |left: bool| Space::new(at + (if left { -radius } else { radius }, 0.0), 0.0).flat();
    let mut moves = entered(side(false), 0.0, cutter);
    for half in 1..=2 * turns as u32 {
        let z = -depth * f64::from(half) / (2.0 * turns);
        moves.push(half_turn(side(half % 2 == 0), side(half % 2 == 1), z, cutter.feeds.plunge, cutter));
    }
    left(&mut moves, cutter);
    moves
}
