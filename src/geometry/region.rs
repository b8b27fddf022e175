//! Flat areas with holes, for polygon algebra.

use super::math::hypot;
use super::{FLATTEN, Outline, Point, ROUGH, Rect};
use geo::{Area, BooleanOps, BoundingRect, Coord, LineString, MultiPolygon, Polygon};

/// An area in a plane: polygons with holes, arcs as chords within [`FLATTEN`] of them.
pub type Region = MultiPolygon<f64>;

/// The outline as a polygon.
pub fn to_polygon(outline: &Outline) -> Polygon<f64> {
    let ring = outline.flattened(FLATTEN).into_iter().map(|p| Coord { x: p.x, y: p.y }).collect::<Vec<_>>();
    Polygon::new(LineString::new(ring), vec![])
}

/// The outline as a polygon of few corners: arcs as chords within [`ROUGH`] of them.
pub fn to_rough_polygon(outline: &Outline) -> Polygon<f64> {
    to_polygon_within(outline, ROUGH)
}

/// The outline as a polygon, arcs as chords within `fine` (mm) of them.
pub fn to_polygon_within(outline: &Outline, fine: f64) -> Polygon<f64> {
    let ring = outline.flattened(fine).into_iter().map(|p| Coord { x: p.x, y: p.y }).collect::<Vec<_>>();
    Polygon::new(LineString::new(ring), vec![])
}

/// What two regions have in common. Most of what panels are held against each other by is rectangles, which need no sweep.
pub fn common(a: &Region, b: &Region) -> Region {
    let apart = || Region::new(vec![]);
    let (Some(around_a), Some(around_b)) = (a.bounding_rect(), b.bounding_rect()) else { return apart() };
    let low = |one: geo::Coord, other: geo::Coord| Coord { x: one.x.max(other.x), y: one.y.max(other.y) };
    let high = |one: geo::Coord, other: geo::Coord| Coord { x: one.x.min(other.x), y: one.y.min(other.y) };
    let (least, most) = (low(around_a.min(), around_b.min()), high(around_a.max(), around_b.max()));
    if least.x >= most.x || least.y >= most.y {
        return apart();
    }
    if is_rectangle(a, around_a) && is_rectangle(b, around_b) {
        return geo::Rect::new(least, most).to_polygon().into();
    }
    a.intersection(b)
}

/// What is left of a region where another is taken away; where the two are apart, itself.
pub fn without(from: &Region, taken: &Region) -> Region {
    match (from.bounding_rect(), taken.bounding_rect()) {
        (Some(a), Some(b))
            if a.max().x > b.min().x && b.max().x > a.min().x && a.max().y > b.min().y && b.max().y > a.min().y =>
        {
            from.difference(taken)
        }
        _ => from.clone(),
    }
}

/// Is a region the rectangle around it?
fn is_rectangle(region: &Region, around: geo::Rect) -> bool {
    /// A hair beyond what turning a panel in space leaves (mm).
    const TURNED: f64 = 1e-9;
    let [polygon] = &region.0[..] else { return false };
    let ring = &polygon.exterior().0;
    let near = |a: f64, b: f64| (a - b).abs() < TURNED;
    let on = |value: f64, ends: (f64, f64)| near(value, ends.0) || near(value, ends.1);
    let (x, y) = ((around.min().x, around.max().x), (around.min().y, around.max().y));
    // Five corners, the last of which is the first; each side runs along an axis.
    polygon.interiors().is_empty()
        && ring.len() == 5
        && ring.iter().all(|at| on(at.x, x) && on(at.y, y))
        && ring.windows(2).all(|side| near(side[0].x, side[1].x) != near(side[0].y, side[1].y))
}

/// Area of a region, square millimetres.
pub fn region_area(region: &Region) -> f64 {
    region.unsigned_area()
}

/// Where along a straight line a disc may be centred without touching `blocked`.
///
/// The line starts at `from` and runs along the unit vector `along`; the disc has radius `reach`. Returns the free
/// stretches within `0..=length`, as distances from `from`, in order.
pub fn free_spans(blocked: &Region, from: Point, along: super::Vec2, length: f64, reach: f64) -> Vec<(f64, f64)> {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for polygon in blocked {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for side in ring.lines() {
                let (a, b) = (Point::new(side.start.x, side.start.y), Point::new(side.end.x, side.end.y));
                taken.extend(capsule_span(a, b, reach, from, along));
            }
        }
    }
    taken.extend(spans(blocked, from, along));
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut free, mut at) = (Vec::new(), 0.0);
    for (start, end) in taken {
        if start > at {
            free.push((at, start.min(length)));
        }
        at = f64::max(at, end);
        if at >= length {
            break;
        }
    }
    if at < length {
        free.push((at, length));
    }
    free.retain(|(start, end)| end >= start && *start <= length);
    free
}

/// The stretch of the line that is within `reach` of the side from `a` to `b`.
fn capsule_span(a: Point, b: Point, reach: f64, from: Point, along: super::Vec2) -> Option<(f64, f64)> {
    // Coordinates along the line and across it.
    let flat = |p: Point| ((p - from).dot(along), along.cross(p - from));
    let ((ax, ay), (bx, by)) = (flat(a), flat(b));
    let mut span: Option<(f64, f64)> = None;
    let mut widen = |lo: f64, hi: f64| {
        span = Some(span.map_or((lo, hi), |(l, h)| (l.min(lo), h.max(hi))));
    };
    for (x, y) in [(ax, ay), (bx, by)] {
        if y.abs() < reach {
            let half = (reach * reach - y * y).sqrt();
            widen(x - half, x + half);
        }
    }
    // The two long sides of the capsule.
    let length = hypot(bx - ax, by - ay);
    if length > 0.0 {
        let (nx, ny) = (-(by - ay) / length * reach, (bx - ax) / length * reach);
        for sign in [1.0, -1.0] {
            let (y0, y1) = (ay + sign * ny, by + sign * ny);
            if (y0 > 0.0) != (y1 > 0.0) {
                let t = y0 / (y0 - y1);
                let x = ax + sign * nx + (bx - ax) * t;
                widen(x, x);
            }
        }
    }
    span
}

/// The stretches of the line between two points that lie inside the outline, as distances from the first.
pub fn spans_inside(outline: &Outline, from: Point, to: Point) -> Vec<(f64, f64)> {
    let length = from.distance(to);
    let (line, bounds) = (Rect::from_points(from, to), outline.bounds());
    if line.x0 > bounds.x1 || line.x1 < bounds.x0 || line.y0 > bounds.y1 || line.y1 < bounds.y0 {
        return Vec::new();
    }
    let clipped = |(start, end): (f64, f64)| (start.max(0.0), end.min(length));
    spans([&to_rough_polygon(outline)], from, (to - from).normalize())
        .into_iter()
        .map(clipped)
        .filter(|(start, end)| end - start > super::SAME)
        .collect()
}

/// The stretches of a straight line that lie inside polygons that have nothing in common, as distances from `from` along a
/// unit vector.
pub(super) fn spans<'a>(
    polygons: impl IntoIterator<Item = &'a Polygon<f64>>,
    from: Point,
    along: super::Vec2,
) -> Vec<(f64, f64)> {
    let flat = |c: Coord<f64>| {
        let p = Point::new(c.x, c.y) - from;
        (p.dot(along), along.cross(p))
    };
    let rings = polygons.into_iter().flat_map(|it| std::iter::once(it.exterior()).chain(it.interiors()));
    let mut crossings: Vec<f64> = Vec::new();
    for side in rings.flat_map(|ring| ring.lines()) {
        let ((ax, ay), (bx, by)) = (flat(side.start), flat(side.end));
        if (ay > 0.0) != (by > 0.0) {
            crossings.push(ax + (bx - ax) * ay / (ay - by));
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vec2;

    #[test]
    fn a_disc_keeps_its_radius_away_from_a_strip() {
        let strip =
            Region::from(to_polygon(&Outline::polygon([(-50.0, 80.0), (50.0, 80.0), (50.0, 100.0), (-50.0, 100.0)])));
        let free = free_spans(&strip, Point::ORIGIN, Vec2::new(0.0, 1.0), 200.0, 10.0);
        assert_eq!(free.len(), 2);
        assert!((free[0].1 - 70.0).abs() < 1e-9 && (free[1].0 - 110.0).abs() < 1e-9);
    }

    #[test]
    fn a_disc_passes_a_corner_as_near_as_the_corner_allows() {
        let corner =
            Region::from(to_polygon(&Outline::polygon([(6.0, 50.0), (60.0, 50.0), (60.0, 90.0), (6.0, 90.0)])));
        let free = free_spans(&corner, Point::ORIGIN, Vec2::new(0.0, 1.0), 100.0, 10.0);
        // The corner is 6 off the line: the disc stops √(10² − 6²) = 8 before it.
        assert!((free[0].1 - 42.0).abs() < 1e-9);
    }
}
