//! What goes on a box and is not wood: mesh, cloth, hinges, screws.

use super::Face;
use crate::geometry::Point;
use schemars::JsonSchema;
use serde::Serialize;
use std::ops::Range;

/// What sort of thing a fitting is, for counting and for the checks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum FittingKind {
    /// Wire mesh, stapled over an opening.
    Mesh,
    /// A soft inner cover.
    Cloth,
    Hinge,
    /// A screw that something hangs on or turns on; what only holds a joint is hardware, not a fitting.
    Screw,
    /// A hook, a button or a screw that keeps a door shut.
    Catch,
}

/// One thing that is fixed to the panels, or only lies in the box, and is not wood. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Fitting {
    pub kind: FittingKind,
    /// As on a shopping list: `number-eight hardware cloth`.
    pub name: String,
    /// What it does there: `keeps bees in at the vent`.
    pub purpose: String,
    /// Of a flat piece, along the first seat's u and v; of a hinge its length and the width of one leaf; of a screw its
    /// length and diameter.
    pub size: [f64; 2],
    /// What it is fixed to; empty for what only lies in the box.
    pub seats: Vec<Seat>,
    /// Bytes of the spec that asked for it.
    pub spot: Option<Range<usize>>,
}

/// Where a fitting touches a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// The panel's name.
    pub panel: String,
    pub face: Face,
    /// Middle of the fitting, in the panel's frame.
    pub centre: Point,
}
