//! What lies on the bench: boards with their names and edges, and the pieces that came of them.

use super::block::{Size, Slice};
use super::lines::Gathered;
use super::step::{Edge, Method};
use crate::geometry::Rect;
use crate::layout::{Axis, Placement};
use std::collections::BTreeMap;

/// A piece on the bench.
#[derive(Clone, Debug)]
pub(super) struct Board {
    pub sheet: usize,
    pub name: String,
    /// What the names of its strips begin with: that of the strip of the sheet that it came of.
    pub stem: String,
    pub rect: Rect,
    /// Its edges: left, lower, right, upper.
    pub lines: [usize; 4],
    /// Cuts between the sheet and this piece.
    pub depth: usize,
}

impl Board {
    pub fn extent(&self, axis: Axis) -> f64 {
        match axis {
            Axis::X => self.rect.width(),
            Axis::Y => self.rect.height(),
        }
    }

    pub fn size(&self) -> Size {
        [self.rect.width(), self.rect.height()]
    }
}

/// A cut that can be made without danger and without spoiling a later one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Choice {
    pub method: Method,
    /// The slice of the open board.
    pub slice: usize,
    pub measure: f64,
}

/// A board that still has slices to give.
#[derive(Clone, Debug)]
pub(super) struct Open {
    pub board: Board,
    pub axis: Axis,
    pub slices: Vec<Slice>,
    pub choices: Vec<Choice>,
}

/// A part as cut, with its four edges.
#[derive(Clone, Debug)]
pub(super) struct Finished {
    pub sheet: usize,
    pub name: String,
    pub placement: Placement,
    pub rect: Rect,
    /// Its edges: left, lower, right, upper.
    pub edges: [Edge; 4],
    /// How its size along x and along y came about.
    pub sizes: [Gathered; 2],
}

/// What was cut before: names and numbers go on from there.
#[derive(Clone, Debug, Default)]
pub(super) struct SoFar {
    /// There are several sheets: names begin with the sheet's number.
    pub many: bool,
    pub steps: usize,
    pub settings: usize,
    pub off_cuts: usize,
    /// Strips, by what their names begin with.
    pub strips: BTreeMap<String, usize>,
    /// Pieces, by part.
    pub pieces: BTreeMap<usize, usize>,
}
