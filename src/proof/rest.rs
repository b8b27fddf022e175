//! What the cuts leave of a shape that should have gone.

use super::bench::Bench;
use super::cut::Cut;
use super::flat::{self, Ring, Shapes, Sides};
use super::shape::Band;
use super::verdict::Spot;
use crate::geometry::{Point, Rect};

/// The part of the target that no cut removes at a height.
pub(super) fn left(bench: &Bench, target: &[Ring], z: f64) -> Shapes {
    flat::minus(target, &bench.swept(bounds(target), z, |_| true))
}

/// The part of a band around a wall that no cut removes at a height.
///
/// The cuts that go along the wall are looked at first: they take nearly all of a band, and the many others near a part
/// need only be held against what these leave.
pub(super) fn left_along(bench: &Bench, target: &[Ring], z: f64, wall: &Sides) -> Shapes {
    // Told by a few places on its path; which cuts come first changes nothing but the time it takes.
    let along_wall = |cut: &Cut| {
        let limit = cut.radius + 2.0 * bench.tolerance;
        [0.5, 0.0, 1.0].iter().any(|t| wall.distance(cut.at(*t)) < limit)
    };
    less(bench, flat::minus(target, &bench.swept(bounds(target), z, along_wall)), z, |cut| !along_wall(cut))
}

/// The part of these shapes that none of the cuts removes at a height.
pub(super) fn less(bench: &Bench, shapes: Shapes, z: f64, which: impl Fn(&Cut) -> bool) -> Shapes {
    let of_shape = |shape: Vec<Ring>| {
        let rings = bench.swept(bounds(&shape), z, &which);
        if rings.is_empty() { vec![shape] } else { flat::minus(&shape, &rings) }
    };
    shapes.into_iter().flat_map(of_shape).collect()
}

pub(super) fn bounds(rings: &[Ring]) -> Rect {
    rings.iter().map(|ring| flat::bounds(ring)).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
}

/// The corner of a shape that is furthest from the walls, and how far that is.
pub(super) fn deepest(shape: &[Ring], walls: &Sides) -> Option<(f64, Point)> {
    let corners = shape.iter().flatten().map(|p| Point::new(p[0], p[1]));
    corners.map(|at| (walls.distance(at), at)).max_by(|a, b| a.0.total_cmp(&b.0))
}

/// The most that is left of a target, measured from its walls; `samples` are places well inside it.
pub(super) fn most_left<'a>(
    shapes: &Shapes,
    walls: impl IntoIterator<Item = &'a Ring>,
    samples: &[Point],
) -> (f64, Option<Point>) {
    let mut most = (0.0, None);
    if shapes.is_empty() {
        return most;
    }
    let walls = Sides::of(walls);
    for shape in shapes {
        let corner = deepest(shape, &walls);
        let inside = samples.iter().filter(|at| flat::contains(shape, **at));
        for (depth, at) in corner.into_iter().chain(inside.map(|at| (walls.distance(*at), *at))) {
            if depth > most.0 {
                most = (depth, Some(at));
            }
        }
    }
    most
}

/// Where something is left, and the line that may be at fault.
pub(super) fn spot(bench: &Bench, at: Option<Point>, z: f64, name: &str, what: &str) -> Spot {
    let line = at.and_then(|at| bench.line_near(at, z)).map(|(_, line)| line);
    let subject = if what.is_empty() { name.to_string() } else { format!("{name}, {what}") };
    Spot { line, at: at.map(|at| [at.x, at.y, z]), subject }
}

/// A band cut through at a height: the most that is left of it, from its wall.
pub(super) fn left_in_band(bench: &Bench, band: &Band, wall: &Sides, z: f64) -> (f64, Option<Point>) {
    most_left(&left_along(bench, &band.target, z, wall), [&band.wall], &band.samples)
}
