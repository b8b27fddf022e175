//! What keeps a sheet and its parts in their place, as data.

use super::feeds::steepness;
use super::profile::RISE;
use crate::geometry::math::tan;
use crate::geometry::{Point, Vec2};
use crate::profile::Tool;

/// Tabs and screws of one sheet, in the sheet's frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Holding {
    pub tabs: Vec<Tab>,
    pub screws: Vec<Screw>,
    /// On which the sheet finds its place again when it has been turned over; none for a sheet that is not.
    pub pins: Vec<Pin>,
}

/// A registration pin, in the waste. Lengths in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pin {
    pub at: Point,
    pub diameter: f64,
    /// How far its hole goes into the spoilboard.
    pub depth: f64,
}

impl Pin {
    /// The longest it may be: it ends below the upper face of a sheet of this thickness, where nothing meets it (mm).
    pub fn longest(&self, thickness: f64) -> f64 {
        const BELOW: f64 = 2.0;
        thickness + self.depth - BELOW
    }
}

/// A bridge of wood between a part and the sheet around it. Lengths in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tab {
    /// Index into the sheet's placements.
    pub placement: usize,
    /// On the part's outline, in the middle of the tab.
    pub at: Point,
    /// Unit vector along the outline.
    pub along: Vec2,
    /// Of the wood at the tab's top; its flanks are sloped, and wider below.
    pub width: f64,
    /// Above the sheet's lower face.
    pub height: f64,
}

impl Tab {
    /// The most that it is wide at the sheet's lower face (mm): the cutter rises to it, and goes down behind it.
    pub fn foot(&self, cutter: &Tool) -> f64 {
        foot(self.width, self.height, cutter)
    }
}

/// That of a tab so wide and so high.
pub(super) fn foot(width: f64, height: f64, cutter: &Tool) -> f64 {
    let fall = tan(steepness(cutter));
    width + height / RISE.max(fall) + height / fall
}

/// A screw that holds the sheet down, in the waste. Lengths in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    pub at: Point,
    /// Diameter of the largest head that nothing touches.
    pub head: f64,
}
