//! What a tool does, move by move.

use crate::geometry::math::{angle_of, hypot};
use crate::geometry::{Affine, Point, Segment};
use std::f64::consts::TAU;

/// A position of the tool's tip, in the sheet's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Space {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

impl Space {
    pub fn new(at: Point, z: f64) -> Space {
        Space { x: at.x, y: at.y, z }
    }

    pub fn flat(self) -> Point {
        Point::new(self.x, self.y)
    }

    pub fn distance(self, other: Space) -> f64 {
        hypot(self.flat().distance(other.flat()), self.z - other.z)
    }
}

/// One move from wherever the tool is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// As fast as the machine can, above the wood.
    Rapid(Space),
    /// Straight, at a feed (mm/min).
    Line { to: Space, feed: f64 },
    /// Round `centre` in the sheet's plane, Z changing evenly along the arc; less than a whole turn.
    Arc { to: Space, centre: Point, clockwise: bool, feed: f64 },
    /// A hole straight down, begun and ended above it.
    Drill(Drilling),
}

/// A hole straight down at `at`: to `bottom` in pecks, out between pecks to `top`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drilling {
    pub at: Point,
    pub top: f64,
    pub bottom: f64,
    /// Depth of one peck; the first starts at `top`.
    pub peck: f64,
    /// Seconds at the bottom.
    pub dwell: f64,
    pub feed: f64,
    /// Where the tool ends: at `top`, or higher where something stands in the way to the next hole.
    pub out: f64,
}

impl Drilling {
    /// A peck starts again this far above where the last one ended (mm).
    pub const CLEAR: f64 = 0.5;

    /// The bottoms of its pecks, one after the other; the last is the hole's.
    pub fn pecks(&self) -> impl Iterator<Item = f64> + use<> {
        let Drilling { top, bottom, peck, .. } = *self;
        let count = ((top - bottom) / peck - 1e-6).ceil().max(1.0) as u32;
        (1..=count).map(move |i| if i == count { bottom } else { top - peck * f64::from(i) })
    }
}

impl Move {
    /// Where the tool is after the move.
    pub fn end(&self) -> Space {
        match *self {
            Move::Rapid(to) | Move::Line { to, .. } | Move::Arc { to, .. } => to,
            Move::Drill(drilling) => Space::new(drilling.at, drilling.out),
        }
    }

    /// The move turned and shifted, not mirrored.
    pub fn moved(&self, by: Affine) -> Move {
        let space = |at: Space| Space::new(by * at.flat(), at.z);
        match *self {
            Move::Rapid(to) => Move::Rapid(space(to)),
            Move::Line { to, feed } => Move::Line { to: space(to), feed },
            Move::Arc { to, centre, clockwise, feed } => {
                Move::Arc { to: space(to), centre: by * centre, clockwise, feed }
            }
            Move::Drill(drilling) => Move::Drill(Drilling { at: by * drilling.at, ..drilling }),
        }
    }

    /// A move along a segment of an outline to a height.
    pub fn along(segment: &Segment, z: f64, feed: f64) -> Move {
        let to = Space::new(segment.end, z);
        match segment.centre() {
            Some(centre) => Move::Arc { to, centre, clockwise: segment.bulge < 0.0, feed },
            None => Move::Line { to, feed },
        }
    }

    /// Length of the move from `from`, in wood or in air.
    pub fn length(&self, from: Space) -> f64 {
        match *self {
            Move::Rapid(to) | Move::Line { to, .. } => from.distance(to),
            Move::Arc { to, centre, clockwise, .. } => {
                let turn = sweep(from.flat(), to.flat(), centre, clockwise);
                hypot(turn * to.flat().distance(centre), to.z - from.z)
            }
            Move::Drill(drilling) => from.distance(Space::new(drilling.at, drilling.top)) - drilling.bottom,
        }
    }
}

/// The angle an arc turns through, 0 to a whole turn.
pub(super) fn sweep(start: Point, end: Point, centre: Point, clockwise: bool) -> f64 {
    let (start, end) = (angle_of(start - centre), angle_of(end - centre));
    if clockwise { start - end } else { end - start }.rem_euclid(TAU)
}
