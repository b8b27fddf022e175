//! A box, as panels in space and what is to live in it.

use super::{Contact, Fitting, HoleUse, Panel};
use crate::design::Board;
use crate::finding::Finding;
use crate::geometry::Rect;
use crate::profile::{Frame, Occupant};
use glam::DVec3;
use std::sync::Arc;

/// How a box is built from boards of any thickness.
///
/// Checks build it again at other thicknesses, so it must depend on nothing but the board. Any function from a
/// [`Board`] to an [`Assembly`] is a design.
pub trait Design: Send + Sync {
    fn build(&self, board: &Board) -> Assembly;

    /// What reaches out and may do so less without the box being another: an overhang, a landing lip.
    fn reaches(&self) -> Vec<Reach> {
        Vec::new()
    }

    /// In solid wood: the grain runs along the walls, as joints at their corners and rests want it. Else each panel is cut as the
    /// board gives it, its longer side along the grain.
    fn grain_along_walls(&self) -> bool {
        true
    }

    /// Families of panels that carry nothing and are better thin: unless the maker says otherwise they are made from thin sheet, if
    /// there is some.
    fn better_thin(&self) -> &'static [&'static str] {
        &[]
    }
}

/// How far something of a box reaches out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The key of the spec that says it.
    pub key: &'static str,
    /// In the trade's words.
    pub what: &'static str,
    /// Millimetres, as this box has it.
    pub length: f64,
}

impl<F: Fn(&Board) -> Assembly + Send + Sync> Design for F {
    fn build(&self, board: &Board) -> Assembly {
        self(board)
    }
}

/// A box as panels in space: x to the right, y from front to back, z up; the walls' lower edge is z = 0.
#[derive(Clone, Debug, Default)]
pub struct Assembly {
    pub name: String,
    /// Boxes wanted.
    pub count: u32,
    /// Index into the job's stock: what all panels are made from that do not say otherwise.
    pub stock: usize,
    /// A single part that belongs to no box.
    pub loose: bool,
    pub panels: Vec<Panel>,
    pub frames: Option<HungFrames>,
    pub occupant: Option<Arc<Occupant>>,
    /// A point well inside the cavity, just above its floor, from which it is measured.
    pub inside: Option<DVec3>,
    /// Openings that panels leave between them; those through a panel are its holes.
    pub openings: Vec<Opening>,
    /// What is fixed to the panels and is not wood.
    pub fittings: Vec<Fitting>,
    /// How the box meets one that stands on it or under it; `None` for boxes that do not stack.
    pub footprint: Option<Footprint>,
    /// The assembly that this one is to stand on, by its place in the job.
    pub stands_on: Option<usize>,
    /// What cannot be built like this in a board of this thickness, each with what would do. Empty when all is well.
    pub refusals: Vec<Finding>,
}

/// An opening between panels, such as the slot of a loose floor. Millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    pub use_: HoleUse,
    pub width: f64,
    pub height: f64,
    pub centre: DVec3,
}

/// Where boxes of a stack meet: the outsides of two must be equal, and the frames of the upper keep a bee space from
/// those of the lower.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footprint {
    /// Outside of the walls, in x and y.
    pub outside: Rect,
    /// z of what stands on the box below, and of the edge that carries the box above.
    pub lower: f64,
    pub upper: f64,
}

impl Assembly {
    /// What findings and papers call one of its panels: `nuc, front`; of a loose part, its name alone.
    pub fn called(&self, panel: &Panel) -> String {
        if self.loose { panel.name.clone() } else { format!("{}, {}", self.name, panel.name) }
    }

    /// Index into the job's stock of what one of its panels is made from.
    pub fn stock_of(&self, panel: &Panel) -> usize {
        panel.stock.unwrap_or(self.stock)
    }

    pub fn new(panels: Vec<Panel>) -> Assembly {
        Assembly { panels, ..Assembly::default() }
    }

    /// Are the two panels of a contact glued and fastened together?
    pub fn is_glued(&self, contact: &Contact) -> bool {
        let [a, b] = contact.panels;
        self.panels[a].sub_assembly == self.panels[b].sub_assembly
    }

    /// Are bees to live in it, which take any opening for an entrance?
    pub fn is_hive(&self) -> bool {
        self.frames.is_some() || self.occupant.as_ref().is_some_and(|occupant| occupant.entrance_area.is_some())
    }

    pub fn panel(&self, name: &str) -> Option<&Panel> {
        self.panels.iter().find(|panel| panel.name == name)
    }
}

/// Frames as they are to hang in a box: their top bars run from front to back, side by side in x.
///
/// The checks do not take `rest` on trust: there must be something at that height under every lug.
#[derive(Clone, Debug)]
pub struct HungFrames {
    pub frame: Arc<Frame>,
    pub count: u32,
    /// Centre line of the middle of the row, in x and y.
    pub middle: (f64, f64),
    /// z of what the lugs are to rest on.
    pub rest: f64,
    /// Centre to centre: the frame's own spacing, or a little more where the trade's box gives them room.
    pub spacing: f64,
    /// In a box of several rooms, from left to right: how many hang in each, and x of their middle. Empty where there is one.
    pub rooms: Vec<(u32, f64)>,
}

impl HungFrames {
    /// x of each frame's centre line, left to right.
    pub fn centres(&self) -> impl Iterator<Item = f64> + use<> {
        let spacing = self.spacing;
        self.rows().into_iter().flat_map(move |(count, middle)| {
            let first = middle - spacing * f64::from(count.saturating_sub(1)) / 2.0;
            (0..count).map(move |i| first + spacing * f64::from(i))
        })
    }

    /// Each row of frames: how many, and x of its middle.
    pub fn rows(&self) -> Vec<(u32, f64)> {
        if self.rooms.is_empty() { vec![(self.count, self.middle.0)] } else { self.rooms.clone() }
    }

    /// Each row as though it hung alone.
    pub fn room_by_room(&self) -> Vec<HungFrames> {
        let alone = |(count, x)| HungFrames { count, middle: (x, self.middle.1), rooms: Vec::new(), ..self.clone() };
        self.rows().into_iter().map(alone).collect()
    }
}
