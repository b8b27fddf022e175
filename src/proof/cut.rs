//! A move in the wood: where it passes, and how deep.

use super::sweep::Sweeps;
use crate::geometry::math::sin_cos;
use crate::geometry::{Point, Rect, Segment, Vec2};
use std::collections::HashSet;

/// A move of a tool, seen in the sheet's frame: z = 0 on the sheet's upper face and negative in the wood. At most half a
/// turn of an arc; a longer arc is two of them.
#[derive(Clone, Debug)]
pub(super) struct Cut {
    /// Its place among all cuts of the sheet's programs.
    pub index: usize,
    /// Index of the program.
    pub program: usize,
    pub line: usize,
    /// Radius of the tool, and its place among the claim's tools.
    pub radius: f64,
    pub tool: usize,
    pub rapid: bool,
    /// In the plane; both ends are one for a move straight up or down.
    pub path: Segment,
    /// The circle that the path lies on, if it is an arc.
    pub round: Option<Round>,
    /// Heights of the tip; of a drill with a centre point those of its edges.
    pub z0: f64,
    pub z1: f64,
    /// How far its centre point reaches below that.
    pub point: f64,
    pub feed: Option<f64>,
    /// The cut before goes on into this one, and how this one goes on.
    pub from_before: bool,
    pub into_next: Next,
}

/// How a path goes on into that of the next cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Next {
    /// It does not, or round a sharp corner.
    Ends,
    Smoothly,
    /// Straight on in this direction, a little aside: as the next of the chords that stand for an arc.
    Bent(Vec2),
}

/// The circle of an arc, kept because it is asked for so often.
#[derive(Clone, Copy, Debug)]
pub(super) struct Round {
    pub centre: Point,
    pub radius: f64,
    /// Angle swept, positive counter-clockwise.
    pub sweep: f64,
}

impl Round {
    pub fn of(path: &Segment) -> Option<Round> {
        let centre = path.centre().filter(|_| path.chord() > 1e-9)?;
        Some(Round { centre, radius: path.radius(), sweep: path.sweep() })
    }
}

impl Cut {
    pub fn lowest(&self) -> f64 {
        self.z0.min(self.z1)
    }

    /// The lowest of all of the tool.
    pub fn tip(&self) -> f64 {
        self.lowest() - self.point
    }

    pub fn is_upright(&self) -> bool {
        self.path.start == self.path.end
    }

    /// Length of the path in the plane.
    pub fn length(&self) -> f64 {
        match self.round {
            Some(round) => round.radius * round.sweep.abs(),
            None => self.path.chord(),
        }
    }

    pub fn height(&self, t: f64) -> f64 {
        self.z0 + (self.z1 - self.z0) * t
    }

    pub fn at(&self, t: f64) -> Point {
        match self.round {
            Some(round) => {
                let (sin, cos) = sin_cos(round.sweep * t);
                let arm = self.path.start - round.centre;
                round.centre + Vec2::new(arm.x * cos - arm.y * sin, arm.x * sin + arm.y * cos)
            }
            None => self.path.start.lerp(self.path.end, t),
        }
    }

    /// Rectangle around the path of the tool's centre.
    pub fn bounds(&self) -> Rect {
        self.path.bounds()
    }

    /// The stretch of the path, as shares of its length, on which the tip is at or below a height.
    pub fn below(&self, z: f64) -> Option<(f64, f64)> {
        let (a, b) = (self.z0, self.z1);
        match (a <= z, b <= z) {
            (true, true) => Some((0.0, 1.0)),
            (false, false) => None,
            (true, false) => Some((0.0, (z - a) / (b - a))),
            (false, true) => Some(((z - a) / (b - a), 1.0)),
        }
    }

    /// The part of the path on which the tip is at or below a height.
    pub fn path_below(&self, z: f64) -> Option<Segment> {
        let (from, to) = self.below(z)?;
        Some(if self.is_upright() || (from <= 0.0 && to >= 1.0) { self.path } else { self.path.between(from, to) })
    }

    /// Where it passes and how wide, whatever its depth: equal for passes that go over one another.
    fn seen_from_above(&self) -> [u64; 9] {
        let Segment { start, end, bulge } = self.path;
        let (goes_on, bent) = match self.into_next {
            Next::Ends => (0, Vec2::ZERO),
            Next::Smoothly => (1, Vec2::ZERO),
            Next::Bent(direction) => (2, direction),
        };
        let ends = u64::from(self.from_before) + 2 * goes_on;
        let numbers = [start.x, start.y, end.x, end.y, bulge, self.radius, bent.x, bent.y].map(f64::to_bits);
        let [x0, y0, x1, y1, bulge, radius, dx, dy] = numbers;
        [x0, y0, x1, y1, bulge, radius, dx, dy, ends]
    }

    /// Adds what the tool sweeps over while its tip is at or below a height.
    pub fn sweep(&self, z: f64, into: &mut Sweeps) {
        let Some((from, to)) = self.below(z) else { return };
        let whole = from <= 0.0 && to >= 1.0;
        if self.is_upright() {
            into.disc(self.path.start, self.radius);
            return;
        }
        let path = if whole { self.path } else { self.path.between(from, to) };
        // Where the next cut goes on, its sweep covers the round end of this one, except a wedge outside of a bend.
        let goes_on = to >= 1.0 && self.into_next != Next::Ends;
        into.path(&path, self.radius, (self.from_before && from <= 0.0, goes_on));
        if let (true, Next::Bent(leaving)) = (goes_on, self.into_next) {
            into.bend(self.path.end, self.path.direction(1.0), leaving, self.radius);
        }
    }
}

impl Sweeps {
    /// What some cuts sweep over while their tips are at or below a height. Passes that go over one another, all of them
    /// below it, sweep over the same: that counts once. `digit` is what the last digit of a coordinate stands for (mm).
    pub fn of<'a>(cuts: impl Iterator<Item = &'a Cut>, z: f64, digit: f64) -> Sweeps {
        let mut sweeps = Sweeps::within(digit);
        let mut known = HashSet::new();
        for cut in cuts {
            let all_below = cut.z0.max(cut.z1) <= z;
            if !all_below || known.insert(cut.seen_from_above()) {
                cut.sweep(z, &mut sweeps);
            }
        }
        sweeps
    }
}
