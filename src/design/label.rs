//! What is engraved into a part.

use crate::geometry::Point;

/// What is written into a part, in the part's frame: into the face that is up.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    pub text: String,
    /// Of its letters, from the middle of the lowest stroke to that of the highest (mm).
    pub height: f64,
    pub depth: f64,
    /// Paths of the cutter's middle, each from corner to corner.
    pub strokes: Vec<Vec<Point>>,
    /// Signs of the part's name that the font does not have: its number stands alone.
    pub lacking: Vec<char>,
}

/// Why a part gets no label.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoLabel {
    /// The face that is up on the machine shows in the finished box, at least in one of its places.
    Shows,
    /// It belongs to no box: no face of it is known to be hidden.
    Loose,
    /// No letters that this cutter can write fit anywhere.
    NoRoom,
}
