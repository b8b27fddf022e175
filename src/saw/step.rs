//! One cut as a maker reads it: which piece, from which edge, how far, with which saw.

use super::caution::Caution;
use crate::geometry::{Point, Rect, Side};
use crate::layout::{Axis, Turn};

/// What an edge is, so that a maker finds it on the wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// As bought; never measured from.
    Factory,
    /// The long edge that everything is square to.
    LongReference,
    /// The short end that was squared to it.
    EndReference,
    /// Made by the step of this index.
    CutIn(usize),
}

/// How a cut is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// A circular saw along a guide clamped to the work.
    Guide,
    /// A table saw, the work running along the fence.
    Fence,
    /// A table saw, the work held at the gauge or on the sled against a stop.
    GaugeStop,
    /// The same, but a long strip is held and a short piece falls free: the stop ends ahead of the blade.
    GaugeFree,
    /// A hand saw or a bandsaw, to a line.
    Hand,
}

impl Method {
    /// Is the cut set by a fence or a stop, so that all pieces of one size go through at one setting?
    pub fn is_set(self) -> bool {
        matches!(self, Method::Fence | Method::GaugeStop | Method::GaugeFree)
    }

    pub fn name(self) -> &'static str {
        match self {
            Method::Guide => "guided circular saw",
            Method::Fence => "table saw, fence",
            Method::GaugeStop | Method::GaugeFree => "table saw, gauge",
            Method::Hand => "hand saw or bandsaw",
        }
    }

    /// One word for a file.
    pub fn key(self) -> &'static str {
        match self {
            Method::Guide => "guide",
            Method::Fence => "fence",
            Method::GaugeStop => "gauge-stop",
            Method::GaugeFree => "gauge-free",
            Method::Hand => "hand",
        }
    }
}

/// What a step is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    /// The sheet has no wood to spare: its edges are looked at and taken as they are.
    Check,
    /// The long edge is cut straight; it becomes the long reference.
    Straighten,
    /// The short end is cut square to the long reference; it becomes the other reference.
    Square,
    /// A piece is cut off at a measure.
    Cut,
    /// A corner is cut off a finished rectangle, from a mark on one edge to a mark on another.
    Slope(Slope),
}

/// An angled cut across a piece, by its two marks in the sheet's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    pub marks: [Mark; 2],
    /// Out of square, degrees.
    pub angle: f64,
}

/// A mark on one of a piece's edges, at a distance from one of that edge's ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    pub on: Side,
    /// The edge that the distance is measured from.
    pub from: Side,
    pub distance: f64,
}

/// What a piece becomes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Becomes {
    /// A piece of this part, to its final size.
    Part {
        part: usize,
        turn: Turn,
    },
    /// Something to be cut further.
    Strip,
    /// An off-cut worth keeping, of this number (from 1, in the order in which they are cut off).
    OffCut {
        number: usize,
    },
    Waste,
}

/// A piece after a cut: its name, pencilled on it, and where it lay on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct CutPiece {
    pub name: String,
    pub rect: Rect,
    pub becomes: Becomes,
}

/// One cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Index of the sheet.
    pub sheet: usize,
    pub action: Action,
    pub method: Method,
    /// Index of the fence or stop setting.
    pub setting: Option<usize>,
    /// What is on the saw, and where it lay on the sheet.
    pub piece: String,
    pub rect: Rect,
    /// The axis measured along; the cut runs across it.
    pub axis: Axis,
    /// The edge measured from: at the fence, at the stop, or the one the rule is held to.
    pub from: Side,
    pub from_edge: Edge,
    /// From that edge to the near side of the cut. The kerf lies beyond it, on the waste; only where an edge is
    /// straightened or squared does it lie before it.
    pub measure: f64,
    /// The edge at the gauge, or that the guide is square to.
    pub square: Option<(Side, Edge)>,
    /// What comes off on the measured side; nothing when only dust does.
    pub off: Option<CutPiece>,
    /// What is left beyond the kerf.
    pub left: Option<CutPiece>,
    pub cautions: Vec<Caution>,
}

impl Step {
    /// Length of the cut.
    pub fn length(&self) -> f64 {
        match self.axis {
            Axis::X => self.rect.height(),
            Axis::Y => self.rect.width(),
        }
    }

    /// Where the cut begins and ends on the sheet: the near side of its kerf.
    pub fn ends(&self) -> [Point; 2] {
        if let Action::Slope(slope) = self.action {
            return slope.marks.map(|mark| mark.point(self.rect));
        }
        let line = self.line();
        match self.axis {
            Axis::X => [Point::new(line, self.rect.y0), Point::new(line, self.rect.y1)],
            Axis::Y => [Point::new(self.rect.x0, line), Point::new(self.rect.x1, line)],
        }
    }

    /// Where the cut's near side is, along its axis in the sheet's frame.
    pub fn line(&self) -> f64 {
        match self.from {
            Side::Left => self.rect.x0 + self.measure,
            Side::Right => self.rect.x1 - self.measure,
            Side::Lower => self.rect.y0 + self.measure,
            Side::Upper => self.rect.y1 - self.measure,
        }
    }
}

impl Mark {
    /// Where it is on a piece that lies here.
    pub fn point(&self, rect: Rect) -> Point {
        let along = match self.from {
            Side::Left => rect.x0 + self.distance,
            Side::Right => rect.x1 - self.distance,
            Side::Lower => rect.y0 + self.distance,
            Side::Upper => rect.y1 - self.distance,
        };
        match self.on {
            Side::Left => Point::new(rect.x0, along),
            Side::Right => Point::new(rect.x1, along),
            Side::Lower => Point::new(along, rect.y0),
            Side::Upper => Point::new(along, rect.y1),
        }
    }
}

/// One position of the fence or the stop, and all that goes through at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    pub method: Method,
    /// Fence to blade, or stop to blade.
    pub measure: f64,
    /// The gauge's angle out of square, degrees.
    pub angle: f64,
    /// What goes over the saw.
    pub pieces: Vec<String>,
    /// Cuts made.
    pub cuts: usize,
}
