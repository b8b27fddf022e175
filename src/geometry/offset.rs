//! Outlines grown or shrunk by a distance, with arcs kept as arcs.

use super::number::Number;
use super::{Outline, Point, Vertex};
use cavalier_contours::polyline::{PlineCreation, PlineOffsetOptions, PlineSource, PlineSourceMut, Polyline};

/// The outline grown by `distance` (shrunk when negative): the path of a round cutter's centre.
///
/// Convex corners of a grown outline become arcs about the corner. A shrunk outline may fall apart into several pieces
/// or vanish; a grown one stays one piece, and what closes up inside it is left out.
pub fn offset(outline: &Outline, distance: f64) -> Vec<Outline> {
    let line = to_polyline(outline);
    // The library's positive side is the left of the path, which is the inside of a counter-clockwise outline.
    let outward = if outline.area() >= 0.0 { -distance } else { distance };
    let options = PlineOffsetOptions { handle_self_intersects: true, ..PlineOffsetOptions::default() };
    let sign = outline.area().signum();
    line.parallel_offset_opt(Number(outward), &options)
        .iter()
        .map(from_polyline)
        .filter(|outline| outline.area() * sign > 0.0)
        .collect()
}

pub(super) fn to_polyline(outline: &Outline) -> Polyline<Number> {
    let mut line: Polyline<Number> = Polyline::with_capacity(outline.vertices.len(), true);
    for vertex in &outline.vertices {
        line.add(Number(vertex.at.x), Number(vertex.at.y), Number(vertex.bulge));
    }
    line
}

pub(super) fn from_polyline(line: &Polyline<Number>) -> Outline {
    Outline {
        vertices: line
            .iter_vertexes()
            .map(|v| Vertex {
                at: Point::new(v.x.0, v.y.0),
                bulge: if v.bulge.0.abs() < 1e-9 { 0.0 } else { v.bulge.0 },
            })
            .collect(),
    }
}
