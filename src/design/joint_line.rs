//! Lines that boards are set to: cut shallow into a face, all of them under what will cover it.

use super::Face;
use crate::geometry::{Affine, Outline, Point};

/// The lines along the edge of one patch of a face that another board covers. On a panel in its frame, on a part in the part's.
#[derive(Clone, Debug)]
pub struct JointLine {
    /// The panel that will cover it, by its name.
    pub board: String,
    pub face: Face,
    pub depth: f64,
    /// The patch.
    pub covered: Outline,
    /// Paths of the cutter's middle, half its width inside the patch: their outer wall is the line.
    pub strokes: Vec<[Point; 2]>,
}

impl JointLine {
    /// In another frame.
    pub(super) fn placed(&self, by: Affine) -> JointLine {
        JointLine {
            covered: self.covered.transformed(by),
            strokes: self.strokes.iter().map(|ends| ends.map(|at| by * at)).collect(),
            board: self.board.clone(),
            ..*self
        }
    }

    /// What can be seen of them: the walls on the side of the patch's edge, for a cutter so wide (mm).
    pub fn walls(&self, cutter: f64) -> impl Iterator<Item = [Point; 2]> + '_ {
        self.strokes.iter().map(move |[from, to]| {
            let along = (*to - *from).normalize();
            let aside = crate::geometry::Vec2::new(along.y, -along.x) * (cutter / 2.0);
            // The patch lies on one side of its edge.
            let out = if self.covered.contains(from.midpoint(*to) + aside * 1.1) { -aside } else { aside };
            [*from + out, *to + out]
        })
    }
}
