//! Engraved labels and joint lines: lines as wide as the cutter and of the stated depth, and nothing beside or below them.

use super::claim::{LineClaim, PartClaim, PointClaim};
use super::flat::{self, Ring};
use crate::geometry::math::{angle_of, rotation};
use crate::geometry::{Affine, Outline, Point};

/// The floor of a part's label, where it has one, and a place on each of its strokes.
pub(super) fn floor(part: &PartClaim, radius: f64) -> Option<(Vec<Ring>, Vec<Point>)> {
    let label = part.label.as_ref()?;
    Some((flat::rings(flat::all(&lines(&label.strokes, radius))), beginnings(&label.strokes)))
}

/// The floor of joint lines, as far as it lies under what will cover them: no cut beside that is theirs.
pub(super) fn line_floor(line: &LineClaim, covered: &Outline, radius: f64) -> (Vec<Ring>, Vec<Point>) {
    let covered = flat::ring(covered);
    let floor = flat::rings(flat::both(&lines(&line.strokes, radius), std::slice::from_ref(&covered)));
    (floor, beginnings(&line.strokes))
}

fn beginnings(strokes: &[Vec<PointClaim>]) -> Vec<Point> {
    strokes.iter().filter_map(|stroke| stroke.first()).map(point).collect()
}

fn point(at: &PointClaim) -> Point {
    Point::new(at.x, at.y)
}

/// What a cutter removes that goes straight from each corner of a stroke to the next.
fn lines(strokes: &[Vec<PointClaim>], radius: f64) -> Vec<Ring> {
    let sides = strokes.iter().flat_map(|stroke| stroke.windows(2));
    let line = |side: &[PointClaim]| {
        let (from, to) = (point(&side[0]), point(&side[1]));
        let turn = Affine::translate(from.midpoint(to).to_vec2()) * rotation(angle_of(to - from));
        flat::ring(&Outline::slot(Point::ORIGIN, from.distance(to) + 2.0 * radius, 2.0 * radius).transformed(turn))
    };
    sides.map(line).collect()
}
