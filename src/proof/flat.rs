//! Polygon algebra on flat shapes: rings of points, counter-clockwise around material, clockwise around what is missing
//! from it.

use crate::geometry::{Affine, FLATTEN, Outline, Point, Rect, ray_crosses};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::overlay::FloatOverlay;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// A closed ring; the last point is joined to the first.
pub(super) type Ring = Vec<[f64; 2]>;

/// Separate pieces, each an outer ring and the rings of its holes.
pub(super) type Shapes = Vec<Vec<Ring>>;

/// The part of `subject` that none of `cuts` removes. Rings of `cuts` are counter-clockwise and may overlap.
pub(super) fn minus(subject: &[Ring], cuts: &[Ring]) -> Shapes {
    overlay(subject, cuts, OverlayRule::Difference)
}

/// Where both are.
pub(super) fn both(subject: &[Ring], other: &[Ring]) -> Shapes {
    overlay(subject, other, OverlayRule::Intersect)
}

/// Everything that any of the rings covers.
pub(super) fn all(rings: &[Ring]) -> Shapes {
    FloatOverlay::with_subj(rings).overlay(OverlayRule::Subject, FillRule::NonZero)
}

/// The area of everything that any of the rings covers. They are counter-clockwise.
pub(super) fn area_of_all(rings: &[Ring]) -> f64 {
    // Few rings are left as they are, one over another.
    apart(rings).into_iter().map(|group| area(&all(&united(group)))).sum()
}

/// The same in fewer rings, where there are many: what any of them covers. They are counter-clockwise; clockwise ones of the
/// result are what is missing inside others.
///
/// A wide cutter that goes round a small circle in short chords sweeps over hundreds of thin strips that all cross one another,
/// and so do passes that differ by the digits of their program. Neighbours are put together first: what is left of them has
/// few sides that others cross.
pub(super) fn united(rings: Vec<Ring>) -> Vec<Ring> {
    /// No more than this are put together at once.
    const FEW: usize = 8;
    /// So many may cross one another.
    const MANY: usize = 32;
    if rings.len() <= MANY {
        return rings;
    }
    let middle = |ring: Ring| (bounds(&ring).center(), ring);
    halved(rings.into_iter().map(middle).collect(), FEW)
}

/// Rings and their middles, put together half by half.
fn halved(mut rings: Vec<(Point, Ring)>, few: usize) -> Vec<Ring> {
    if rings.len() <= few {
        let rings: Vec<Ring> = rings.into_iter().map(|(_, ring)| ring).collect();
        return self::rings(all(&rings));
    }
    let Some(around) = rings.iter().map(|(at, _)| Rect::from_points(*at, *at)).reduce(|a, b| a.union(b)) else {
        return Vec::new();
    };
    let lying = around.width() >= around.height();
    let key = |at: Point| if lying { (at.x, at.y) } else { (at.y, at.x) };
    rings.sort_by(|(a, _), (b, _)| {
        let (a, b) = (key(*a), key(*b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let other = rings.split_off(rings.len() / 2);
    let mut both = halved(rings, few);
    both.extend(halved(other, few));
    self::rings(all(&both))
}

/// Rings in groups that have nothing in common: what covers a hole is not looked at with an outline far away.
fn apart(rings: &[Ring]) -> Vec<Vec<Ring>> {
    let boxes: Vec<Rect> = rings.iter().map(|ring| bounds(ring)).collect();
    let boxed = |(i, b): (usize, &Rect)| GeomWithData::new(Rectangle::from_corners([b.x0, b.y0], [b.x1, b.y1]), i);
    let tree = RTree::bulk_load(boxes.iter().enumerate().map(boxed).collect());
    let mut group: Vec<Option<usize>> = vec![None; rings.len()];
    let mut groups: Vec<Vec<Ring>> = Vec::new();
    for first in 0..rings.len() {
        if group[first].is_some() {
            continue;
        }
        let (mut waiting, mut members) = (vec![first], Vec::new());
        group[first] = Some(groups.len());
        while let Some(i) = waiting.pop() {
            members.push(i);
            let b = boxes[i];
            for near in tree.locate_in_envelope_intersecting(&AABB::from_corners([b.x0, b.y0], [b.x1, b.y1])) {
                if group[near.data].is_none() {
                    group[near.data] = Some(groups.len());
                    waiting.push(near.data);
                }
            }
        }
        members.sort_unstable();
        groups.push(members.into_iter().map(|i| rings[i].clone()).collect());
    }
    groups
}

fn overlay(subject: &[Ring], other: &[Ring], rule: OverlayRule) -> Shapes {
    FloatOverlay::with_subj_and_clip(subject, other).overlay(rule, FillRule::NonZero)
}

/// The rings of all pieces.
pub(super) fn rings(shapes: Shapes) -> Vec<Ring> {
    shapes.into_iter().flatten().collect()
}

/// Positive for a counter-clockwise ring.
pub(super) fn ring_area(ring: &[[f64; 2]]) -> f64 {
    let Some(first) = ring.first() else { return 0.0 };
    // From a corner of its own, so that no digits are lost far from the origin.
    let arm = |p: &[f64; 2]| (p[0] - first[0], p[1] - first[1]);
    ring.windows(2)
        .map(|pair| {
            let ((ax, ay), (bx, by)) = (arm(&pair[0]), arm(&pair[1]));
            (ax * by - bx * ay) / 2.0
        })
        .sum()
}

/// Square millimetres.
pub(super) fn area(shapes: &[Vec<Ring>]) -> f64 {
    shapes.iter().flatten().map(|ring| ring_area(ring)).sum()
}

/// Square millimetres, of rings that are not sorted into pieces.
pub(super) fn rings_area(rings: &[Ring]) -> f64 {
    rings.iter().map(|ring| ring_area(ring)).sum()
}

/// An outline as a ring, its arcs as chords within [`FLATTEN`] of them, in the direction it has.
pub(super) fn ring(outline: &Outline) -> Ring {
    outline.flattened(FLATTEN).into_iter().map(|p| [p.x, p.y]).collect()
}

pub(super) fn moved(ring: &[[f64; 2]], by: Affine) -> Ring {
    ring.iter()
        .map(|p| {
            let at = by * Point::new(p[0], p[1]);
            [at.x, at.y]
        })
        .collect()
}

pub(super) fn bounds(ring: &[[f64; 2]]) -> Rect {
    let point = |p: &[f64; 2]| Point::new(p[0], p[1]);
    let Some(first) = ring.first().map(point) else { return Rect::ZERO };
    ring.iter().map(point).fold(Rect::from_points(first, first), |all, p| all.union_pt(p))
}

/// Sides of a ring.
pub(super) fn sides(ring: &[[f64; 2]]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let point = |p: [f64; 2]| Point::new(p[0], p[1]);
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter().zip(next).map(move |(a, b)| (point(*a), point(*b)))
}

/// Is the point inside, by how often a line from it crosses the rings?
pub(super) fn contains(rings: &[Ring], at: Point) -> bool {
    rings.iter().flat_map(|ring| sides(ring)).filter(|(a, b)| ray_crosses(at, *a, *b)).count() % 2 == 1
}

/// Distance from a point to the nearest side of a ring.
pub(super) fn distance(ring: &[[f64; 2]], at: Point) -> f64 {
    sides(ring).map(|(a, b)| to_side_squared(at, a, b)).fold(f64::INFINITY, f64::min).sqrt()
}

/// Distance from a point to a straight side.
pub(super) fn to_side(at: Point, a: Point, b: Point) -> f64 {
    to_side_squared(at, a, b).sqrt()
}

fn to_side_squared(at: Point, a: Point, b: Point) -> f64 {
    let side = b - a;
    let length = side.hypot2();
    let share = if length > 0.0 { ((at - a).dot(side) / length).clamp(0.0, 1.0) } else { 0.0 };
    (at - (a + side * share)).hypot2()
}

/// The sides of rings, made ready for the distances of many points.
#[derive(Debug)]
pub(super) struct Sides {
    /// A few sides one after another, and the rectangle around them.
    runs: Vec<(Rect, Vec<(Point, Point)>)>,
}

impl Sides {
    pub fn of<'a>(rings: impl IntoIterator<Item = &'a Ring>) -> Sides {
        /// Sides in one run.
        const RUN: usize = 12;
        let runs = rings.into_iter().flat_map(|ring| {
            let all: Vec<(Point, Point)> = sides(ring).collect();
            let run = |sides: &[(Point, Point)]| {
                let around = |(a, b): &(Point, Point)| Rect::from_points(*a, *b);
                let bounds = sides.iter().map(around).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
                (bounds, sides.to_vec())
            };
            all.chunks(RUN).map(run).collect::<Vec<_>>()
        });
        Sides { runs: runs.collect() }
    }

    /// Distance from a point to the nearest side.
    pub fn distance(&self, at: Point) -> f64 {
        let apart = |bounds: &Rect| {
            let x = (bounds.x0 - at.x).max(at.x - bounds.x1).max(0.0);
            let y = (bounds.y0 - at.y).max(at.y - bounds.y1).max(0.0);
            x * x + y * y
        };
        let least = |sides: &[(Point, Point)]| {
            sides.iter().map(|(a, b)| to_side_squared(at, *a, *b)).fold(f64::INFINITY, f64::min)
        };
        let Some(first) = self.runs.iter().min_by(|a, b| apart(&a.0).total_cmp(&apart(&b.0))) else {
            return f64::INFINITY;
        };
        let nearest = least(&first.1);
        let others = self.runs.iter().filter(|(bounds, _)| apart(bounds) < nearest);
        others.map(|(_, sides)| least(sides)).fold(nearest, f64::min).sqrt()
    }
}

/// How much of a ring's length lies inside the shape.
pub(super) fn length_inside(ring: &[[f64; 2]], shape: &[Ring]) -> f64 {
    /// A crossing this close to a side's end, as a share of it, may be one at its end.
    const END: f64 = 1e-9;
    let around = Sides::of(shape);
    let near = around.runs.iter().map(|run| run.0).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    let apart = |a: Rect, b: Rect| a.x0 > b.x1 || a.x1 < b.x0 || a.y0 > b.y1 || a.y1 < b.y0;
    let mut total = 0.0;
    // Whether the side before lay inside, where it did so to its end or not at all.
    let mut inside = None;
    for (a, b) in sides(ring) {
        let box_ = Rect::from_points(a, b);
        if apart(box_, near) {
            inside = Some(false);
            continue;
        }
        // Where along this side the shape's own sides cross it.
        let along = b - a;
        let mut crossings: Vec<f64> = vec![0.0, 1.0];
        for (c, d) in around.runs.iter().filter(|run| !apart(run.0, box_)).flat_map(|run| &run.1) {
            let other = *d - *c;
            let cross = along.cross(other);
            if cross != 0.0 {
                let (t, u) = ((*c - a).cross(other) / cross, (*c - a).cross(along) / cross);
                let within = |share: f64| (-END..=1.0 + END).contains(&share);
                if within(t) && within(u) {
                    crossings.push(t.clamp(0.0, 1.0));
                }
            }
        }
        if crossings.len() == 2 {
            let whole = inside.unwrap_or_else(|| contains(shape, a.midpoint(b)));
            total += if whole { along.hypot() } else { 0.0 };
            inside = Some(whole);
            continue;
        }
        inside = None;
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.windows(2) {
            if pair[1] > pair[0] && contains(shape, a.lerp(b, f64::midpoint(pair[0], pair[1]))) {
                total += (pair[1] - pair[0]) * along.hypot();
            }
        }
    }
    total
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forty strips along one sloped edge, each a little shorter, with corners in digits of 0.0001 in.
    #[test]
    fn the_area_of_edges_that_differ_by_digits_is_that_of_one() {
        let rounded = |mm: f64| (mm / 25.4e-4).round() * 25.4e-4;
        let strip = |i: u32| {
            let far = 150.0 - 3.0 * f64::from(i);
            let (x, y) = (rounded(24.6 + far), rounded(764.6 - 0.2679 * far));
            vec![[24.6, 764.6], [x, y], [x, y + 6.0], [24.6, 770.6]]
        };
        let strips: Vec<Ring> = (0..40).map(strip).collect();
        let one = ring_area(&strips[0]).abs();
        // Each is off by its digits: their corners stand out by thousandths of a millimetre over 150.
        assert!((area_of_all(&strips) - one).abs() < 1.0, "{} for {one}", area_of_all(&strips));
    }

    /// Strips across a small circle, and others far away: together they cover what they cover one by one, in a few rings.
    #[test]
    fn strips_put_together_by_halves_cover_the_same() {
        let strip = |i: u32| {
            let turn = |x: f64, y: f64| {
                let angle = f64::from(i % 200) * std::f64::consts::PI / 100.0;
                [
                    80.0 + x * angle.cos() - y * angle.sin(),
                    20.0 + f64::from(i / 200) * 30.0 + x * angle.sin() + y * angle.cos(),
                ]
            };
            vec![turn(-1.0, -0.1), turn(5.0, -0.1), turn(5.0, 0.1), turn(-1.0, 0.1)]
        };
        let strips: Vec<Ring> = (0..400).map(strip).collect();
        let (plain, few) = (area(&all(&strips)), united(strips.clone()));
        assert!((rings_area(&few) - plain).abs() < 1e-4, "{} for {plain}", rings_area(&few));
        assert!(plain > 2.0 * 70.0 && few.len() <= 4, "{} rings", few.len());
        assert!(area(&minus(&[square(75.0, 15.0, 40.0)], &few)) > 0.0);
        let left = area(&minus(&few, &strips)) + area(&minus(&strips, &few));
        assert!(left < 1e-4, "{left}");
        // A ring around nothing: its middle stays open.
        let around: Vec<Ring> = strips.iter().take(200).map(|s| s.iter().map(|p| [p[0], p[1]]).collect()).collect();
        let frame: Vec<Ring> =
            (0..40).map(|i| square(f64::from(i % 20) * 4.9, if i < 20 { 0.0 } else { 60.0 }, 5.0)).collect();
        let posts: Vec<Ring> =
            (0..28).map(|i| square(if i < 14 { 0.0 } else { 93.1 }, f64::from(i % 14) * 4.5, 5.0)).collect();
        let closed = united([frame, posts].concat());
        assert!(closed.iter().any(|ring| ring_area(ring) < 0.0), "its hole is clockwise");
        assert!(area(&minus(&around, &closed)) > 60.0);
    }

    fn square(x: f64, y: f64, side: f64) -> Ring {
        vec![[x, y], [x + side, y], [x + side, y + side], [x, y + side]]
    }

    #[test]
    fn overlapping_cuts_take_their_union() {
        let left = minus(&[square(0.0, 0.0, 10.0)], &[square(0.0, 0.0, 5.0), square(3.0, 0.0, 5.0)]);
        assert!((area(&left) - (100.0 - 40.0)).abs() < 1e-6);
        assert!((area(&all(&[square(0.0, 0.0, 5.0), square(3.0, 0.0, 5.0)])) - 40.0).abs() < 1e-6);
        assert!((area_of_all(&[square(0.0, 0.0, 5.0), square(3.0, 0.0, 5.0)]) - 40.0).abs() < 1e-6);
    }

    #[test]
    fn distances_by_runs_are_those_of_all_sides() {
        let turn = |i: u32, r: f64| [20.0 + r * f64::from(i).cos(), r * f64::from(i).sin()];
        let star: Ring = (0..97).map(|i| turn(i, 5.0 + f64::from(i % 7))).collect();
        let runs = Sides::of([&star]);
        for i in 0..200 {
            let at = Point::new(f64::from(i % 20) * 2.0, f64::from(i / 20) * 3.0 - 15.0);
            assert_eq!(runs.distance(at), distance(&star, at));
        }
    }

    #[test]
    fn a_hole_is_a_clockwise_ring() {
        let shapes = minus(&[square(0.0, 0.0, 10.0)], &[square(4.0, 4.0, 2.0)]);
        assert_eq!((shapes.len(), shapes[0].len()), (1, 2));
        let rings = rings(shapes);
        assert!(contains(&rings, Point::new(1.0, 1.0)) && !contains(&rings, Point::new(5.0, 5.0)));
        assert!((length_inside(&[[-5.0, 5.0], [20.0, 5.0]], &rings) - 2.0 * 8.0).abs() < 1e-6);
    }
}
