//! What is to be built: boxes, loose parts, and holes and recesses in them.

use crate::design::{Design, Face, Grain, Hole, HoleUse, Running};
use crate::geometry::Outline;
use crate::reading::Spots;
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// Boxes of one kind.
#[derive(Clone)]
pub struct BoxOrder {
    pub name: String,
    pub count: u32,
    /// As many as the sheets on hand give, so many to a set; `None` for the count as it is.
    pub per_set: Option<u32>,
    /// Index into [`Job::stock`](super::Job::stock); every stock that [serves](super::Stock::serves) the same may be used.
    pub stock: usize,
    /// Which of its panels are made from something else.
    pub panel_stock: Vec<PanelStock>,
    pub design: Arc<dyn Design>,
    /// The same box with one choice made otherwise, for a check that finds this one does not work.
    pub variants: Vec<Variant>,
    /// The box it is to stand on, by its place in [`Job::boxes`](super::Job::boxes).
    pub stands_on: Option<usize>,
    /// Which way the grain of panels is to run.
    pub grain: Vec<GrainOrder>,
    /// Boards added to those of its kind; a later one may meet an earlier one.
    pub boards: Vec<BoardOrder>,
    pub holes: Vec<HoleOrder>,
    pub pockets: Vec<PocketOrder>,
    pub spot: Range<usize>,
}

/// What some panels of a box are made from.
#[derive(Clone, Debug)]
pub struct PanelStock {
    /// A family of panels or a group of families, see [`is_among`](crate::design::is_among).
    pub panels: String,
    /// Index into [`Job::stock`](super::Job::stock).
    pub stock: usize,
    /// Where the spec names the panels.
    pub spot: Range<usize>,
}

/// Which way the grain is to run of a panel, of a family of them or of a group of families, see
/// [`is_among`](crate::design::is_among).
#[derive(Clone, Debug)]
pub struct GrainOrder {
    pub panel: String,
    pub running: Running,
    /// Where the panel's name stands in the spec.
    pub panel_spot: Range<usize>,
}

/// A box with one choice of the spec made otherwise.
#[derive(Clone)]
pub struct Variant {
    /// As it would be written: `rest = "rabbet"`.
    pub choice: String,
    pub design: Arc<dyn Design>,
}

impl fmt::Debug for BoxOrder {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.debug_struct("BoxOrder").field("name", &self.name).field("count", &self.count).finish_non_exhaustive()
    }
}

/// A board that the maker adds to a box: a divider, a shelf, a leg, a rail.
#[derive(Clone, Debug)]
pub struct BoardOrder {
    pub name: String,
    pub held: HeldBy,
    /// How wide it is from left to right, how deep from front to back, how high (mm); `None` for what follows.
    pub size: [Option<f64>; 3],
    /// How far it is from left, front and floor, and from right, back and top (mm).
    pub from: [[Option<f64>; 2]; 3],
    /// How deep its edges go into what they meet (mm); 0 for none.
    pub let_in: f64,
    /// Room across those grooves (mm).
    pub play: f64,
    /// Where the whole board stands in the spec, and where its keys do.
    pub spot: Range<usize>,
    pub spots: Spots,
}

/// What holds an added board.
#[derive(Clone, Debug)]
pub enum HeldBy {
    /// It reaches from one panel to the other.
    Between([(String, Range<usize>); 2]),
    /// It lies on this face of each of these panels, one board on each.
    Against(Vec<(String, Range<usize>)>, Face),
}

/// A hole the maker wants in a panel of a box.
#[derive(Clone, Debug)]
pub struct HoleOrder {
    pub panel: String,
    pub use_: HoleUse,
    pub size: HoleSize,
    pub across: Across,
    pub up: Up,
    /// How many there are, side by side and above each other, and how far from one to the next (mm); `across` and `up` are the
    /// middle of them all.
    pub grid: Grid,
    /// Diameter and depth of a round recess about it, in the outer face: for a screw's head or a plug.
    pub counterbore: Option<[f64; 2]>,
    /// Mesh over it, inside; `None` for what suits the box.
    pub mesh: Option<bool>,
    /// Where the whole hole stands in the spec, and where its panel's name does.
    pub spot: Range<usize>,
    pub panel_spot: Range<usize>,
}

/// A recess the maker wants in a panel of a box.
#[derive(Clone, Debug)]
pub struct PocketOrder {
    pub panel: String,
    pub face: Face,
    /// Across the panel and up it; where it reaches past the edge it is open.
    pub size: [f64; 2],
    pub depth: f64,
    pub purpose: String,
    pub across: Across,
    pub up: Up,
    /// Where the whole recess stands in the spec, and where its panel's name does.
    pub spot: Range<usize>,
    pub panel_spot: Range<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoleSize {
    Round {
        diameter: f64,
    },
    /// A slot with round ends, lying along the panel's lower edge or standing upright on it.
    Slot {
        length: f64,
        width: f64,
        upright: bool,
    },
    /// As the panel stands; its corners rounded so far, or as far as what cuts it leaves them.
    Rectangle {
        width: f64,
        height: f64,
        corner: Option<f64>,
    },
}

impl HoleSize {
    /// How wide and how high it is, as the panel stands (mm).
    pub fn wide_and_high(&self) -> (f64, f64) {
        match *self {
            HoleSize::Round { diameter } => (diameter, diameter),
            HoleSize::Slot { length, width, upright: false } => (length, width),
            HoleSize::Slot { length, width, upright: true } => (width, length),
            HoleSize::Rectangle { width, height, .. } => (width, height),
        }
    }
}

/// Holes of one order in rows and columns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    pub row: u32,
    pub column: u32,
    /// From the middle of one to that of the next, both ways (mm).
    pub pitch: f64,
}

impl Grid {
    /// One hole.
    pub const ONE: Grid = Grid { row: 1, column: 1, pitch: 0.0 };

    pub fn count(&self) -> u32 {
        self.row * self.column
    }

    /// How far each hole is from the middle of all, to the right and up, in rows from the lowest.
    pub fn offsets(&self) -> impl Iterator<Item = (f64, f64)> + use<> {
        let Grid { row, column, pitch } = *self;
        let at = move |i: u32, count: u32| (f64::from(i) - f64::from(count - 1) / 2.0) * pitch;
        (0..column).flat_map(move |up| (0..row).map(move |across| (at(across, row), at(up, column))))
    }
}

/// Where a hole's centre is across its panel, seen from outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Across {
    Centre,
    FromLeft(f64),
}

/// Where a hole's centre is in height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Up {
    FromLowerEdge(f64),
    FromUpperEdge(f64),
}

/// A part that belongs to no box.
#[derive(Clone, Debug)]
pub struct LoosePart {
    pub name: String,
    pub count: u32,
    /// As many as the sheets on hand give, so many to a set; `None` for the count as it is.
    pub per_set: Option<u32>,
    pub length: f64,
    pub width: f64,
    /// Its outline and the openings in it, where they come from a drawing; else it is a rectangle.
    pub shape: Option<(Outline, Vec<Hole>)>,
    pub grain: Grain,
    pub stock: usize,
    pub holes: Vec<HoleOrder>,
    pub pockets: Vec<PocketOrder>,
    pub spot: Range<usize>,
}
