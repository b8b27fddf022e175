//! What a tool does, move by move.

use crate::geometry::{Point, Segment};

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
        (self.flat().distance(other.flat())).hypot(self.z - other.z)
    }
}

/// One move from wherever the tool is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// As fast as the machine can, above the wood.
    Rapid(Space),
    /// Straight, at a feed (mm/min).
    Line { to: Space, feed: f64 },
    /// Round `centre` in the sheet's plane, Z changing evenly along the way.
    Arc { to: Space, centre: Point, clockwise: bool, feed: f64 },
    /// Down at `at` to `bottom` in pecks of `peck`, out between pecks to `top`, where the tool also ends.
    Drill { at: Point, top: f64, bottom: f64, peck: f64, feed: f64 },
}

impl Move {
    /// Where the tool is after the move.
    pub fn end(&self) -> Space {
        match *self {
            Move::Rapid(to) | Move::Line { to, .. } | Move::Arc { to, .. } => to,
            Move::Drill { at, top, .. } => Space::new(at, top),
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

    /// Length of the way from `from`, in wood or in air.
    pub fn length(&self, from: Space) -> f64 {
        match *self {
            Move::Rapid(to) | Move::Line { to, .. } => from.distance(to),
            Move::Arc { to, centre, clockwise, .. } => {
                let (start, end) = ((from.flat() - centre).atan2(), (to.flat() - centre).atan2());
                let turn = if clockwise { start - end } else { end - start }.rem_euclid(std::f64::consts::TAU);
                (turn * to.flat().distance(centre)).hypot(to.z - from.z)
            }
            Move::Drill { at, top, bottom, .. } => from.distance(Space::new(at, top)) + (top - bottom),
        }
    }
}
