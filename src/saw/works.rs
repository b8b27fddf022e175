//! What follows the sawing: recesses, notches and holes, as set-ups by hand.

use super::shape::{Corner, Recess, corners, recess};
use crate::design::{Assembly, Bored, Elevation, Face, Part, edge_name};
use crate::geometry::{Rect, Side};

/// A stack to be drilled is at most this thick (mm): a bit runs out of true in a thicker one.
const STACK: f64 = 50.0;

/// Something done alike to every piece of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Index into the parts.
    pub part: usize,
    pub kind: WorkKind,
    /// Extent of the part across and up as its drawing shows it, and whether it is drawn lying, which names its edges.
    pub size: [f64; 2],
    pub lies: bool,
    /// The face that a recess is cut into; `None` where a part has no inner and outer face.
    pub face: Option<Face>,
}

#[derive(Clone, Debug, PartialEq)]
pub enum WorkKind {
    /// Rectangles sawn out of the edges, in the frame of the part's drawing, as all places of works are.
    Notches(Vec<Rect>),
    /// A corner or edge sawn to the drawing.
    Curve(Rect),
    Recess {
        recess: Recess,
        purpose: String,
    },
    /// Holes by template, this many pieces in a stack.
    Holes {
        stack: u32,
    },
}

impl Work {
    /// What the edge at a side of the part's drawing is called.
    pub fn edge(&self, side: Side) -> &'static str {
        edge_name(side, self.lies)
    }
}

/// The works of all parts, in the order they are best done: nothing is drilled that would still be cut.
pub(super) fn works(assemblies: &[Assembly], parts: &[Part]) -> Vec<Work> {
    let shown = parts.iter().map(|part| part.elevation(&assemblies[part.assembly]));
    shown.enumerate().flat_map(|(index, shown)| of_part(index, &shown)).collect()
}

fn of_part(index: usize, shown: &Elevation) -> Vec<Work> {
    let part = &shown.part;
    let (size, lies) = ([part.length, part.width], shown.lies);
    let work = |kind, face| Work { part: index, kind, size, lies, face };
    let corners = corners(part);
    let notches: Vec<Rect> =
        corners.iter().filter_map(|corner| if let Corner::Notch(rect) = corner { Some(*rect) } else { None }).collect();
    let mut works = Vec::new();
    if !notches.is_empty() {
        works.push(work(WorkKind::Notches(notches), None));
    }
    for corner in &corners {
        if let Corner::Curve(rect) = corner {
            works.push(work(WorkKind::Curve(*rect), None));
        }
    }
    for pocket in &part.pockets {
        let face = if pocket.under { part.up.other() } else { part.up };
        let face = part.box_name.is_some().then_some(face);
        works.push(work(WorkKind::Recess { recess: recess(part, pocket), purpose: pocket.purpose.clone() }, face));
    }
    if !part.holes.is_empty() || part.screw_holes.iter().any(|hole| hole.bored == Bored::Clearance) {
        works.push(work(WorkKind::Holes { stack: stack(part) }, None));
    }
    works
}

/// How many equal pieces are drilled at once: as many as a bit goes through, and in stacks of one size.
pub fn stack(part: &Part) -> u32 {
    let most = ((STACK / part.thickness).floor() as u32).clamp(1, part.count.max(1));
    let stacks = part.count.div_ceil(most);
    part.count.div_ceil(stacks.max(1)).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stacks_are_even_and_no_thicker_than_a_bit_drills_true() {
        let part = |count, thickness| Part {
            count,
            ..Part::plain("p", crate::geometry::Outline::rectangle(100.0, 50.0), thickness)
        };
        assert_eq!(stack(&part(8, 12.0)), 4);
        assert_eq!(stack(&part(5, 12.0)), 3);
        assert_eq!(stack(&part(1, 12.0)), 1);
        assert_eq!(stack(&part(7, 60.0)), 1);
    }
}
