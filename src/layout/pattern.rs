//! A guillotine pattern: how a sheet is cut, every cut from edge to edge.

use super::{Placement, Turn};
use crate::design::Part;
use crate::geometry::{Rect, Side};

/// Along which axis a cut runs, or strips lie side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Side by side along x: the cuts between them run along y.
    X,
    /// Side by side along y: the cuts between them run along x.
    Y,
}

impl Axis {
    /// The axis along which one measures from a side of the sheet.
    pub fn from_side(side: Side) -> Axis {
        if side.is_upright() { Axis::X } else { Axis::Y }
    }

    /// The side at its low end, and the one at its high end.
    pub fn ends(self) -> (Side, Side) {
        match self {
            Axis::X => (Side::Left, Side::Right),
            Axis::Y => (Side::Lower, Side::Upper),
        }
    }
}

/// One sheet for a saw, as a tree of cuts. There are no coordinates in it: where a piece lies follows from the pieces
/// before it, so nothing can overlap.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// Index into the job's stock.
    pub stock: usize,
    /// The sheet as bought.
    pub length: f64,
    pub width: f64,
    pub thickness: f64,
    /// Taken off each edge first; the kerf of those cuts falls into it.
    pub trim: f64,
    pub kerf: f64,
    /// What the sheet inside its trim becomes.
    pub content: Content,
}

/// What a rectangle becomes.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// A piece of a part; if the rectangle is larger, what is over lies above and to the right, to be cut off.
    Part { part: usize, turn: Turn },
    /// Left over.
    Left,
    /// Strips side by side with a kerf between each two, from the lower-left corner on. Their sizes and kerfs add up to
    /// the rectangle's size, less a rest narrower than a kerf, which the last cut takes.
    Split { axis: Axis, strips: Vec<Strip> },
}

/// One of several rectangles side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Along the split's axis.
    pub size: f64,
    pub content: Content,
}

impl Pattern {
    /// The rectangle inside the trim, in the frame of the whole sheet.
    pub fn inner(&self) -> Rect {
        Rect::new(self.trim, self.trim, self.length - self.trim, self.width - self.trim)
    }

    /// Every rectangle of the tree with what it becomes, elders before their strips.
    pub fn walk<'a>(&'a self, mut visit: impl FnMut(Rect, &'a Content)) {
        let mut open = vec![(self.inner(), &self.content)];
        while let Some((rect, content)) = open.pop() {
            visit(rect, content);
            let Content::Split { axis, strips } = content else { continue };
            let mut at = 0.0;
            let mut children = Vec::with_capacity(strips.len());
            for strip in strips {
                let child = match axis {
                    Axis::X => Rect::new(rect.x0 + at, rect.y0, rect.x0 + at + strip.size, rect.y1),
                    Axis::Y => Rect::new(rect.x0, rect.y0 + at, rect.x1, rect.y0 + at + strip.size),
                };
                children.push((child, &strip.content));
                at += strip.size + self.kerf;
            }
            open.extend(children.into_iter().rev());
        }
    }

    /// The parts, where they lie on the sheet.
    pub fn placements(&self) -> Vec<Placement> {
        let mut placements = Vec::new();
        self.walk(|rect, content| {
            if let Content::Part { part, turn } = content {
                placements.push(Placement { part: *part, x: rect.x0, y: rect.y0, turn: *turn });
            }
        });
        placements
    }

    /// Share of the sheet's area that becomes parts.
    pub fn yield_(&self, parts: &[Part]) -> f64 {
        let used: f64 = self.placements().iter().map(|placement| parts[placement.part].outline.area()).sum();
        used / (self.length * self.width)
    }
}
