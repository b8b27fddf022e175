//! Inside corners opened for a square edge of another part.
//!
//! A round cutter leaves a fillet in an inside corner. Where a square corner goes in, the cutter goes a little further:
//! the part that everybody draws and checks is then the one with the relief, and the cutter's path is that of
//! [`Relieved`].

use super::track::Spur;
use crate::design::Part;
use crate::geometry::math::{acos, angle_of, sin, tan};
use crate::geometry::{Outline, Point, Segment, Vec2, Vertex};
use crate::job::{Cutting, Relief, Router};

/// An outline with relief in some of its corners.
#[derive(Clone, Debug)]
pub struct Relieved {
    pub outline: Outline,
    corners: Vec<Corner>,
    /// Corners that were to get relief and cannot: their sides are too short for this cutter, or not straight.
    pub unreached: Vec<Point>,
}

/// The part as it will be cut: square corners that others go into have their relief.
///
/// Corners that the cutter cannot relieve stay as they are; the [routes](super::routes) refuse such a part.
pub fn as_cut(part: &Part, router: &Router) -> Part {
    let mut cut = part.clone();
    cut.outline = outline(part, &router.cutting, router.cutter.diameter.value / 2.0).outline;
    for (pocket, with) in cut.pockets.iter_mut().zip(pockets(part, &router.cutting, router.cutter.diameter.value / 2.0))
    {
        pocket.outline = with.outline;
    }
    cut
}

/// A part's outline with its relief, for a cutter of this radius.
pub(super) fn outline(part: &Part, cutting: &Cutting, radius: f64) -> Relieved {
    relieve(&part.outline, &part.square_corners, cutting.relief, radius, false)
}

/// The outlines of a part's pockets with their relief.
pub(super) fn pockets(part: &Part, cutting: &Cutting, radius: f64) -> Vec<Relieved> {
    part.pockets
        .iter()
        .map(|pocket| relieve(&pocket.outline, &part.square_corners, cutting.relief, radius, true))
        .collect()
}

impl Relieved {
    /// The spurs into the corners for a cutter of this radius whose centre runs at `distance` from the outline.
    ///
    /// Where it runs further out than its radius, it first goes to where it touches both sides: straight to the tip it
    /// would cut into one of them.
    pub(super) fn spurs(&self, distance: f64, radius: f64) -> Vec<Spur> {
        self.corners
            .iter()
            .map(|corner| {
                let foot = |away: f64| corner.at + corner.bisector * (away / sin(corner.half));
                let by = (distance > radius + SAME).then(|| foot(radius));
                Spur { corner: corner.at, foot: foot(distance), by, tip: corner.tip }
            })
            .collect()
    }
}

/// A corner with relief.
#[derive(Clone, Copy, Debug)]
struct Corner {
    at: Point,
    /// Out of the corner into the open, halfway between its sides.
    bisector: Vec2,
    /// Half the angle between the sides.
    half: f64,
    /// Where the cutter's centre goes.
    tip: Point,
}

/// Two points nearer than this are the same corner (mm).
const SAME: f64 = 1e-3;

/// Opens those corners of a counter-clockwise outline that are among `wanted`. `inside`: the open side is the inside of
/// the outline (a pocket), else the outside (a part).
fn relieve(outline: &Outline, wanted: &[Point], style: Relief, radius: f64, inside: bool) -> Relieved {
    let sides: Vec<Segment> = outline.segments().collect();
    let count = sides.len();
    let is_wanted = |at: Point| wanted.iter().any(|point| point.distance(at) < SAME);
    let mut relieved = Relieved { outline: Outline::default(), corners: Vec::new(), unreached: Vec::new() };
    // Per corner: what its relief takes off the end of the side before it and off the start of the side after it.
    let mut cuts: Vec<Option<(Corner, f64, f64)>> = vec![None; count];
    for i in 0..count {
        let (before, after) = (&sides[(i + count - 1) % count], &sides[i]);
        if !is_wanted(after.start) {
            continue;
        }
        let turn = before.direction(1.0).cross(after.direction(0.0));
        // A corner that stands out needs no relief.
        if (inside && turn < 1e-6) || (!inside && turn > -1e-6) {
            continue;
        }
        let bottom = |side: &Segment| is_wanted(side.start) && is_wanted(side.end);
        let before_is_bottom = match (bottom(before), bottom(after)) {
            (true, false) => true,
            (false, true) => false,
            _ => before.length() >= after.length(),
        };
        let bite = match style {
            Relief::Diagonal => Bite::Both,
            Relief::Deep if before_is_bottom => Bite::Before,
            Relief::Deep => Bite::After,
            Relief::Wide if before_is_bottom => Bite::After,
            Relief::Wide => Bite::Before,
        };
        match corner(before, after, bite, radius) {
            Some(cut) => cuts[i] = Some(cut),
            None => relieved.unreached.push(after.start),
        }
    }
    // Two reliefs on one side must leave something of it.
    for i in 0..count {
        let next = (i + 1) % count;
        let taken = cuts[i].map_or(0.0, |cut| cut.2) + cuts[next].map_or(0.0, |cut| cut.1);
        if taken > sides[i].length() + SAME {
            for corner in [i, next] {
                if cuts[corner].take().is_some() {
                    relieved.unreached.push(sides[corner].start);
                }
            }
        }
    }
    for (i, cut) in cuts.iter().enumerate() {
        let Some((corner, before, after)) = cut else {
            relieved.outline.vertices.push(outline.vertices[i]);
            continue;
        };
        let from = corner.at - sides[(i + count - 1) % count].direction(1.0) * *before;
        let to = corner.at + sides[i].direction(0.0) * *after;
        let (start, end) = (angle_of(from - corner.tip), angle_of(to - corner.tip));
        // The open side, and with it the circle's centre, is on the left of a pocket's outline, on the right of a part's.
        let sweep = if inside { end - start } else { start - end }.rem_euclid(std::f64::consts::TAU);
        let bulge = tan(sweep / 4.0) * if inside { 1.0 } else { -1.0 };
        relieved
            .outline
            .vertices
            .extend([Vertex { at: from, bulge }, Vertex { at: to, bulge: outline.vertices[i].bulge }]);
        relieved.corners.push(*corner);
    }
    // Where one relief begins at another's end, nothing is left of the side between them.
    relieved.outline.vertices.dedup_by(|next, kept| {
        let none_left = kept.bulge == 0.0 && kept.at.distance(next.at) < 1e-9;
        if none_left {
            *kept = *next;
        }
        none_left
    });
    relieved
}

/// Which of a corner's two sides the relief goes into.
#[derive(Clone, Copy, PartialEq)]
enum Bite {
    Before,
    After,
    Both,
}

/// The relief between two straight sides, and what it takes of each.
fn corner(before: &Segment, after: &Segment, bite: Bite, radius: f64) -> Option<(Corner, f64, f64)> {
    if before.is_arc() || after.is_arc() {
        return None;
    }
    let at = after.start;
    let (back, on) = (-before.direction(1.0), after.direction(0.0));
    let half = acos(back.dot(on).clamp(-1.0, 1.0)) / 2.0;
    let bisector = (back + on).normalize();
    // The unit vector into the open that stands square on a side.
    let square = |side: Vec2, other: Vec2| (other - side * side.dot(other)).normalize();
    let arm = match bite {
        Bite::Both => bisector,
        Bite::Before => square(on, back),
        Bite::After => square(back, on),
    } * radius;
    // The cutter's circle passes through the corner: on each side it takes the chord from there.
    let (taken_before, taken_after) = (2.0 * arm.dot(back), 2.0 * arm.dot(on));
    let fits = taken_before <= before.length() + SAME && taken_after <= after.length() + SAME;
    let corner = Corner { at, bisector, half, tip: at + arm };
    // A narrow corner would need a longer relief than the cutter's own circle.
    (fits && half > 0.5 && taken_before > -SAME && taken_after > -SAME).then_some((
        corner,
        taken_before.max(0.0),
        taken_after.max(0.0),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A notch 20 wide and 12 deep in the top edge of a board.
    fn notched() -> (Outline, Vec<Point>) {
        let outline = Outline::polygon([
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 50.0),
            (60.0, 50.0),
            (60.0, 38.0),
            (40.0, 38.0),
            (40.0, 50.0),
            (0.0, 50.0),
        ]);
        (outline, vec![Point::new(60.0, 38.0), Point::new(40.0, 38.0)])
    }

    /// Area beyond the corner's sides, by plane geometry. Along the diagonal: the half circle on the far side of its
    /// chord, less the triangle between chord and corner. Along a side: half a circle.
    #[test]
    fn relief_takes_what_plane_geometry_says() {
        let (outline, corners) = notched();
        let r = 3.0;
        for (style, expected) in [
            (Relief::Diagonal, PI * r * r / 2.0 - r * r),
            (Relief::Deep, PI * r * r / 2.0),
            (Relief::Wide, PI * r * r / 2.0),
        ] {
            let relieved = relieve(&outline, &corners, style, r, false);
            assert!(relieved.unreached.is_empty());
            let taken = outline.area() - relieved.outline.area();
            assert!((taken - 2.0 * expected).abs() < 1e-9, "{style:?}: {taken}");
            // Nothing of the corner itself is left.
            for corner in &corners {
                assert!(relieved.outline.distance(*corner) < 1e-9);
            }
        }
    }

    #[test]
    fn deep_goes_into_the_bottom_and_wide_into_the_sides() {
        let (outline, corners) = notched();
        let least = |style| {
            let relieved = relieve(&outline, &corners, style, 3.0, false).outline;
            let notch: Vec<Point> =
                relieved.flattened(0.001).into_iter().filter(|p| p.y > 30.0 && p.y < 49.0).collect();
            let left = notch.iter().map(|p| p.x).filter(|x| *x > 20.0).fold(f64::INFINITY, f64::min);
            (left, notch.iter().map(|p| p.y).fold(f64::INFINITY, f64::min))
        };
        let (left, low) = least(Relief::Deep);
        assert!((left - 40.0).abs() < 0.01 && (low - 35.0).abs() < 0.01, "{left} {low}");
        let (left, low) = least(Relief::Wide);
        assert!((left - 37.0).abs() < 0.01 && (low - 38.0).abs() < 0.01, "{left} {low}");
    }

    #[test]
    fn only_the_corners_asked_for_are_opened() {
        let (outline, corners) = notched();
        let one = relieve(&outline, &corners[..1], Relief::Diagonal, 3.0, false);
        assert_eq!(one.corners.len(), 1);
        assert_eq!(relieve(&outline, &[], Relief::Diagonal, 3.0, false).outline, outline);
        // Corners that stand out are none of these.
        let outer = [Point::new(0.0, 0.0), Point::new(100.0, 0.0)];
        assert_eq!(relieve(&outline, &outer, Relief::Diagonal, 3.0, false).outline, outline);
    }

    #[test]
    fn a_pocket_is_opened_outwards_and_a_cutter_too_big_is_told() {
        let pocket = Outline::rectangle(40.0, 12.0);
        let corners: Vec<Point> = pocket.vertices.iter().map(|v| v.at).collect();
        let relieved = relieve(&pocket, &corners, Relief::Diagonal, 3.0, true);
        assert!((relieved.outline.area() - pocket.area() - 4.0 * (PI * 4.5 - 9.0)).abs() < 1e-9);
        assert!(!relieve(&pocket, &corners, Relief::Diagonal, 7.0, true).unreached.is_empty());
    }
}
