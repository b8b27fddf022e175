//! Parts that fill little of their rectangle, nested by their true shape: two of a kind head to tail.
//!
//! The second piece is turned by a half, which keeps its grain, and pushed against the first until a gap is left between
//! their outlines. The two are laid out as one rectangle.

use super::gathered::{Bundle, Gathered};
use super::{Placement, Turn};
use crate::design::Part;
use crate::geometry::{Affine, Outline, Point, Rect, Vec2};
use geo::{Area, ConvexHull};

/// Share of its rectangle that a part fills at most to be paired.
const FULL: f64 = 0.95;

/// Share of two rectangles that a pair saves at least.
const WORTHWHILE: f64 = 0.02;

/// Places along the first piece's side from which the second is pushed towards it, on either side of none.
const PLACES: i32 = 8;

/// Arcs are taken as chords so near to them (mm); a pair is so much further apart than it need be.
const NEAR: f64 = 0.01;

/// Two pieces of one part as a rectangle with its lower-left corner at the origin.
#[derive(PartialEq)]
pub(super) struct Pair {
    part: usize,
    size: Vec2,
    /// Lower-left corner of the rectangle around each; the second is turned by a half.
    at: [Point; 2],
}

/// Pairs what is worth it, and fits a sheet as a pair, with `gap` between two outlines (mm).
pub(super) fn paired(parts: &[Part], wanted: &[usize], gap: f64, fits: impl Fn(&Part) -> bool) -> Gathered<Pair> {
    let mut all = Gathered::new(parts, wanted);
    for &part in wanted {
        let about = &parts[part];
        let whole = about.length * about.width;
        let full = about.outline.area() >= FULL * whole || (is_comb(about) && hull(about) >= FULL * whole);
        if about.count < 2 || full || runs_out(about, gap) {
            continue;
        }
        let Some(pair) = pair(parts, part, gap) else { continue };
        let as_part = Part {
            count: about.count / 2,
            length: pair.size.x,
            width: pair.size.y,
            outline: Outline::rectangle(pair.size.x, pair.size.y),
            ..about.clone()
        };
        if fits(&as_part) {
            all.add(pair, as_part);
        }
    }
    all
}

impl Bundle for Pair {
    fn pieces(&self, placement: &Placement, parts: &[Part]) -> Vec<Placement> {
        let turned = placement.turn.swaps();
        let turns = if turned { [Turn::Quarter, Turn::ThreeQuarters] } else { [Turn::None, Turn::Half] };
        let piece = |(at, turn): (Point, Turn)| {
            let (x, y) = if turned { (self.size.y - at.y - parts[self.part].width, at.x) } else { (at.x, at.y) };
            Placement { part: self.part, x: placement.x + x, y: placement.y + y, turn }
        };
        self.at.into_iter().zip(turns).map(piece).collect()
    }

    fn members(&self) -> Vec<usize> {
        vec![self.part; 2]
    }
}

/// Does it have so many corners as only fingers give? Those of two pieces are not worth pushing into each other.
fn is_comb(part: &Part) -> bool {
    const MANY: usize = 60;
    part.outline.vertices.len() > MANY
}

/// The area of a part without notches in it (mm²).
fn hull(part: &Part) -> f64 {
    let points: Vec<geo::Point> = part.outline.flattened(NEAR).iter().map(|at| geo::Point::new(at.x, at.y)).collect();
    geo::MultiPoint::from(points).convex_hull().unsigned_area()
}

/// Does a recess come near a sloped side? The cutter that clears it runs out over the side, and the more the flatter it
/// meets it: further than the gap, into the piece that would lie there.
fn runs_out(part: &Part, gap: f64) -> bool {
    let sloped = |side: &(Point, Point)| (side.0.x - side.1.x).abs() > 1e-6 && (side.0.y - side.1.y).abs() > 1e-6;
    let sloped: Vec<(Point, Point)> = sides(&part.outline.flattened(NEAR)).into_iter().filter(sloped).collect();
    part.pockets.iter().any(|pocket| {
        let recess = sides(&pocket.outline.flattened(NEAR));
        recess.iter().any(|a| sloped.iter().any(|b| apart(*a, *b) < 2.0 * gap))
    })
}

/// The pair of the smallest rectangle with a gap about it.
fn pair(parts: &[Part], part: usize, gap: f64) -> Option<Pair> {
    let about = &parts[part];
    let (length, width) = (about.length, about.width);
    let half = Affine::new([-1.0, 0.0, 0.0, -1.0, length, width]);
    let first = about.outline.flattened(NEAR);
    let second = about.outline.transformed(half).flattened(NEAR);
    let whole = |by: Vec2| Rect::new(0.0, 0.0, length, width).union(Rect::new(by.x, by.y, by.x + length, by.y + width));
    let area = |by: Vec2| (whole(by).width() + gap) * (whole(by).height() + gap);
    let directions = [Vec2::new(1.0, 0.0), Vec2::new(-1.0, 0.0), Vec2::new(0.0, 1.0), Vec2::new(0.0, -1.0)];
    let places = directions.into_iter().flat_map(|direction| (-PLACES..=PLACES).map(move |place| (direction, place)));
    let pushed = places.map(|(direction, place)| {
        let along = if direction.x == 0.0 { Vec2::new(length, 0.0) } else { Vec2::new(0.0, width) };
        push(
            [&first, &second],
            along * f64::from(place) / f64::from(PLACES),
            direction,
            length.max(width) + 2.0 * gap,
            gap,
        )
    });
    // The first of equals is taken.
    let best = pushed.min_by(|a, b| area(*a).total_cmp(&area(*b)))?;
    if area(best) > (1.0 - WORTHWHILE) * 2.0 * (length + gap) * (width + gap) {
        return None;
    }
    let whole = whole(best);
    let at = [Point::ORIGIN, best.to_point()].map(|at| at - whole.origin().to_vec2());
    Some(Pair { part, size: Vec2::new(whole.width(), whole.height()), at })
}

/// From here along `direction` as far as the second piece must be moved to be a gap away from the first; at most `far`, where it
/// is. In whole micrometres, up.
fn push([first, second]: [&[Point]; 2], from: Vec2, direction: Vec2, far: f64, gap: f64) -> Vec2 {
    let free = |by: f64| clear(first, second, from + direction * by, gap + 2.0 * NEAR);
    let (mut near, mut far) = (0.0, far);
    while far - near > 1e-4 {
        let middle = (near + far) / 2.0;
        if free(middle) { far = middle } else { near = middle }
    }
    let by = (far * 1e3).ceil() / 1e3;
    let by = from + direction * by;
    Vec2::new((by.x * 1e3).round() / 1e3, (by.y * 1e3).round() / 1e3)
}

/// Of a closed path, from each point to the next.
fn sides(path: &[Point]) -> Vec<(Point, Point)> {
    path.iter().copied().zip(path.iter().copied().cycle().skip(1)).take(path.len()).collect()
}

/// Are two closed paths of straight lines so far apart, neither in the other, when the second is moved?
fn clear(first: &[Point], second: &[Point], by: Vec2, gap: f64) -> bool {
    let moved: Vec<Point> = second.iter().map(|point| *point + by).collect();
    let (first, second) = (sides(first), sides(&moved));
    let inside = |point: Point, sides: &[(Point, Point)]| {
        let crossed = sides.iter().filter(|(a, b)| {
            (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
        });
        crossed.count() % 2 == 1
    };
    let beside = |a: &(Point, Point), b: &(Point, Point)| {
        let off = |a: (f64, f64), b: (f64, f64)| (b.0.min(b.1) - a.0.max(a.1)).max(a.0.min(a.1) - b.0.max(b.1));
        off((a.0.x, a.1.x), (b.0.x, b.1.x)).max(off((a.0.y, a.1.y), (b.0.y, b.1.y))) >= gap
    };
    !first.iter().any(|a| second.iter().any(|b| !beside(a, b) && apart(*a, *b) < gap))
        && !inside(first[0].0, &second)
        && !inside(second[0].0, &first)
}

/// How far two straight lines are apart.
fn apart(a: (Point, Point), b: (Point, Point)) -> f64 {
    let turn = |line: (Point, Point), point: Point| (line.1 - line.0).cross(point - line.0);
    if turn(a, b.0) * turn(a, b.1) < 0.0 && turn(b, a.0) * turn(b, a.1) < 0.0 {
        return 0.0;
    }
    let to_line = |point: Point, line: (Point, Point)| {
        let along = line.1 - line.0;
        let share = if along.hypot2() > 0.0 { (point - line.0).dot(along) / along.hypot2() } else { 0.0 };
        point.distance(line.0 + along * share.clamp(0.0, 1.0))
    };
    to_line(a.0, b).min(to_line(a.1, b)).min(to_line(b.0, a)).min(to_line(b.1, a))
}
