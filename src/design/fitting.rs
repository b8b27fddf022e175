//! What goes on a box and is not wood: mesh, cloth, hinges, screws.

use super::Face;
use crate::geometry::Point;
use crate::units::Units;
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
    /// A screw that something turns on or is kept shut by; what only holds a joint is hardware, not a fitting.
    Screw,
    /// A hook or a button that keeps something shut.
    Catch,
    /// A plate on the back that a box hangs by.
    Hanger,
    /// A screw into a wall or a post, when the box is hung.
    WallScrew,
}

/// What goes by a size of its own where sizes are in inches: wood screws by number, No. 8 being 0.164 in thick. Common
/// practice, from memory: ASME B18.6.1 has the numbers.
const BY_THE_INCH: [(&str, &str); 3] = [
    ("coach screw, 6 x 60 mm", "lag screw, 1/4 x 2 1/2 in"),
    ("screw, 4 x 40 mm", "wood screw, No. 8 x 1 1/2 in"),
    ("plastic mesh, 3 mm", "plastic mesh, 1/8 in"),
];

/// One thing that is fixed to the panels, or only lies in the box, and is not wood. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Fitting {
    pub kind: FittingKind,
    /// As on a shopping list: `number-eight hardware cloth`.
    pub name: String,
    /// What for, after its name: `to hang the box by`.
    pub purpose: String,
    /// Of a flat piece, along the first seat's u and v; of a hinge its length and the width of one leaf; of a screw its
    /// length and diameter.
    pub size: [f64; 2],
    /// What it is fixed to; empty for what only lies in the box.
    pub seats: Vec<Seat>,
    /// Bytes of the spec that asked for it.
    pub spot: Option<Range<usize>>,
}

impl Fitting {
    /// What to ask for, in a shop that sells by these units: `coach screw, 6 × 60 mm`.
    pub fn called(&self, units: Units) -> String {
        let inches = || BY_THE_INCH.into_iter().find(|(name, _)| *name == self.name).map(|(_, inches)| inches);
        let name = match units {
            Units::Millimetres => None,
            Units::Inches => inches(),
        };
        name.unwrap_or(&self.name).replace(" x ", " × ")
    }

    /// One of them, or so many: `a hook and eye`, `2 coach screws, 6 × 60 mm`.
    pub fn counted(&self, count: usize, units: Units) -> String {
        let name = self.called(units);
        if count == 1 {
            return format!("a {name}");
        }
        let (what, size) = name.split_once(", ").map_or((name.as_str(), String::new()), |(w, s)| (w, format!(", {s}")));
        format!("{count} {}s{size}", what.replace(" and ", "s and "))
    }
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
