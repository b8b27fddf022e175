//! What is called out on a part's drawing: a note, and what its leader may end on; and points whose place is given.

use crate::geometry::{Point, Rect};

/// Distances nearer than this are one (mm).
pub(super) const NEAR: f64 = 0.05;

/// A note with a leader to what it is about.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct CallOut {
    pub text: String,
    /// The shapes it may point at, any one of them.
    pub shapes: Vec<Shape>,
    /// Told in the table.
    pub listed: bool,
}

/// What a leader may end on, in the part's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shape {
    /// Ends on its edge.
    Round { centre: Point, diameter: f64 },
    /// Ends on its edge, straight sides about a middle.
    Box(Rect),
}

/// A point that is located by a dimension, in the part's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Located {
    pub at: Point,
    /// Another part goes there: its place is given as closely as calipers measure, not as a shop fraction.
    pub joint: bool,
}

/// What a point is located for.
#[derive(Clone, Copy)]
pub(super) struct Mark {
    pub at: Point,
    /// Is its distance from the left edge given, and from the lower edge?
    pub across: bool,
    pub up: bool,
    pub joint: bool,
}

/// A measured length without its unit: the drawing says once what it is in.
pub(super) fn without_sign(measured: &str) -> &str {
    measured.rsplit_once(' ').map_or(measured, |(number, _)| number)
}
