//! A closed path of lines and arcs.

use super::math::{angle_of, sin, sin_cos, tan, unit};
use super::{Affine, Point, Rect, Segment, Vec2};
use kurbo::{BezPath, PathEl};
use std::f64::consts::FRAC_PI_2;

/// A corner of an outline, and how the side to the next corner bulges (see [`Segment`]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertex {
    pub at: Point,
    pub bulge: f64,
}

/// A closed path of lines and arcs, stored as its corners in order; the last is joined to the first.
///
/// Counter-clockwise outlines enclose material, by convention; every constructor here makes them so.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Outline {
    pub vertices: Vec<Vertex>,
}

impl Outline {
    /// A closed path through `points`, with straight sides.
    pub fn polygon(points: impl IntoIterator<Item = (f64, f64)>) -> Outline {
        Outline { vertices: points.into_iter().map(|(x, y)| Vertex { at: Point::new(x, y), bulge: 0.0 }).collect() }
    }

    /// An upright rectangle with its lower-left corner at the origin.
    pub fn rectangle(length: f64, width: f64) -> Outline {
        Outline::polygon([(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)])
    }

    /// An upright rectangle from corner to corner.
    pub fn from_rect(rect: Rect) -> Outline {
        Outline::polygon([(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)])
    }

    /// A circle, as two half turns that start on its right.
    pub fn circle(centre: Point, diameter: f64) -> Outline {
        let arm = Vec2::new(diameter / 2.0, 0.0);
        Outline { vertices: [centre + arm, centre - arm].map(|at| Vertex { at, bulge: 1.0 }).to_vec() }
    }

    /// A slot with round ends: `length` over all along x, `width` across, about `centre`.
    pub fn slot(centre: Point, length: f64, width: f64) -> Outline {
        let (reach, half) = ((length - width).max(0.0) / 2.0, width / 2.0);
        let corner = |x: f64, y: f64, bulge| Vertex { at: centre + Vec2::new(x, y), bulge };
        Outline {
            vertices: vec![
                corner(-reach, -half, 0.0),
                corner(reach, -half, 1.0),
                corner(reach, half, 0.0),
                corner(-reach, half, 1.0),
            ],
        }
    }

    /// A rectangle with round corners: `length` over all along x, `width` across, about `centre`. Without a radius it is square.
    pub fn rounded(centre: Point, length: f64, width: f64, radius: f64) -> Outline {
        let (x, y, r) = (length / 2.0, width / 2.0, radius.clamp(0.0, length.min(width) / 2.0));
        if r == 0.0 {
            return Outline::from_rect(Rect::from_center_size(centre, (length, width)));
        }
        // The tangent of a quarter of a right angle.
        let quarter = tan(FRAC_PI_2 / 4.0);
        let corners = [
            (r - x, -y, 0.0),
            (x - r, -y, quarter),
            (x, r - y, 0.0),
            (x, y - r, quarter),
            (x - r, y, 0.0),
            (r - x, y, quarter),
            (-x, y - r, 0.0),
            (-x, r - y, quarter),
        ];
        let vertices = corners.map(|(x, y, bulge)| Vertex { at: centre + Vec2::new(x, y), bulge });
        Outline { vertices: vertices.to_vec() }
    }

    pub fn is_empty(&self) -> bool {
        self.vertices.is_empty()
    }

    /// The sides in order.
    pub fn segments(&self) -> impl ExactSizeIterator<Item = Segment> + '_ {
        let count = self.vertices.len();
        (0..count).map(move |i| {
            let (from, to) = (self.vertices[i], self.vertices[(i + 1) % count]);
            Segment { start: from.at, end: to.at, bulge: from.bulge }
        })
    }

    /// Enclosed area, positive when the outline runs counter-clockwise.
    pub fn area(&self) -> f64 {
        self.segments()
            .map(|side| {
                let chord = side.start.to_vec2().cross(side.end.to_vec2()) / 2.0;
                let sweep = side.sweep();
                if side.is_arc() {
                    // The chord's triangle plus the circular segment between chord and arc.
                    chord + side.radius().powi(2) * (sweep - sin(sweep)) / 2.0
                } else {
                    chord
                }
            })
            .sum()
    }

    pub fn perimeter(&self) -> f64 {
        self.segments().map(|side| side.length()).sum()
    }

    /// How far a point is from the nearest point of the path.
    pub fn distance(&self, point: Point) -> f64 {
        self.segments().map(|side| side.distance(point)).fold(f64::INFINITY, f64::min)
    }

    /// Smallest upright rectangle around the outline.
    pub fn bounds(&self) -> Rect {
        self.segments().map(|side| side.bounds()).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
    }

    /// The same path run backwards.
    pub fn reversed(&self) -> Outline {
        let mut sides: Vec<Segment> = self.segments().map(|side| side.reversed()).collect();
        sides.reverse();
        Outline::from_segments(&sides)
    }

    /// An outline whose sides are `segments`, each starting where the one before ends.
    pub fn from_segments(segments: &[Segment]) -> Outline {
        Outline { vertices: segments.iter().map(|side| Vertex { at: side.start, bulge: side.bulge }).collect() }
    }

    /// The outline moved by a rigid transform. A mirrored outline is turned round, so that its area keeps its sign.
    pub fn transformed(&self, by: Affine) -> Outline {
        let moved = Outline {
            vertices: self
                .vertices
                .iter()
                .map(|v| Vertex { at: by * v.at, bulge: v.bulge * by.determinant().signum() })
                .collect(),
        };
        if by.determinant() < 0.0 { moved.reversed() } else { moved }
    }

    /// Corners joined by straight lines, each arc as chords within `tolerance` of it.
    pub fn flattened(&self, tolerance: f64) -> Vec<Point> {
        let mut points = Vec::with_capacity(self.vertices.len());
        for side in self.segments() {
            side.flatten(tolerance, |point| points.push(point));
        }
        points
    }

    /// Is the point inside (or on) the outline?
    pub fn contains(&self, point: Point) -> bool {
        // How often a ray to the right crosses the path.
        self.segments().map(|side| side.crossings(point)).sum::<usize>() % 2 == 1
    }

    /// Is it an upright rectangle?
    pub fn is_rectangle(&self) -> bool {
        let bounds = self.bounds();
        self.segments().all(|side| !side.is_arc()) && (self.area().abs() - bounds.area()).abs() < 1e-6
    }

    /// Centre and diameter, where it is one circle.
    pub fn as_circle(&self) -> Option<(Point, f64)> {
        const SAME: f64 = 1e-6;
        let first = self.segments().next()?;
        let (centre, diameter) = (first.centre()?, 2.0 * first.radius());
        let round = |side: Segment| side.centre().is_some_and(|own| own.distance(centre) < SAME);
        (self.segments().all(round)
            && (self.area().abs() - std::f64::consts::PI * diameter * diameter / 4.0).abs() < SAME * diameter)
            .then_some((centre, diameter))
    }

    /// As a path of curves, for drawing and for areas by another library.
    pub fn to_path(&self) -> BezPath {
        let mut path = BezPath::new();
        let Some(first) = self.vertices.first() else { return path };
        path.move_to(first.at);
        for side in self.segments() {
            match side.centre() {
                None => path.line_to(side.end),
                Some(centre) => path.extend(curves(&side, centre, 1e-4)),
            }
        }
        path.close_path();
        path
    }
}

/// An arc as cubic curves that stay within `close` (mm) of it, each a quarter turn at most.
fn curves(arc: &Segment, centre: Point, close: f64) -> impl Iterator<Item = PathEl> {
    let (radius, start, sweep) = (arc.radius(), angle_of(arc.start - centre), arc.sweep());
    // A cubic curve that meets an arc in its ends, their directions and its middle is off it by this share of the radius.
    let off = |angle: f64| {
        let (sin, cos) = sin_cos(angle / 4.0);
        2.0 / 27.0 * sin.powi(2).powi(3) / (cos * cos)
    };
    let least = (sweep.abs() / FRAC_PI_2 - 1e-6).ceil().max(1.0) as u32;
    let count = (least..).find(|count| off(sweep / f64::from(*count)) * radius <= close).unwrap_or(least);
    let step = sweep / f64::from(count);
    let arm = 4.0 / 3.0 * tan(step / 4.0);
    let at = move |out: Vec2, along: f64| centre + (out + out.turn_90() * along) * radius;
    (0..count).map(move |i| {
        let (from, to) = (unit(start + step * f64::from(i)), unit(start + step * f64::from(i + 1)));
        PathEl::CurveTo(at(from, arm), at(to, -arm), at(to, 0.0))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;
    use std::f64::consts::PI;

    #[test]
    fn areas_and_perimeters_of_known_shapes() {
        let circle = Outline::circle(Point::new(3.0, 4.0), 20.0);
        assert!((circle.area() - 100.0 * PI).abs() < 1e-9);
        assert!((circle.perimeter() - 20.0 * PI).abs() < 1e-9);
        let slot = Outline::slot(Point::ORIGIN, 100.0, 8.0);
        assert!((slot.area() - (92.0 * 8.0 + 16.0 * PI)).abs() < 1e-9);
        assert_eq!(slot.bounds(), Rect::new(-50.0, -4.0, 50.0, 4.0));
    }

    /// Four quarters of a disc stand in the corners of a rectangle: w h - (4 - π) r² in all.
    #[test]
    fn a_rectangle_with_round_corners() {
        for (w, h, r) in [(330.0, 230.0, 3.5), (40.0, 60.0, 19.0), (300.0, 200.0, 0.0)] {
            let outline = Outline::rounded(Point::new(7.0, -3.0), w, h, r);
            assert!((outline.area() - (w * h - (4.0 - PI) * r * r)).abs() < 1e-9, "{w} {h} {r}");
            assert!((outline.perimeter() - (2.0 * (w + h) - (8.0 - 2.0 * PI) * r)).abs() < 1e-9, "{w} {h} {r}");
            let around = Rect::from_center_size((7.0, -3.0), (w, h));
            assert!((outline.bounds().union(around).area() - around.area()).abs() < 1e-6);
            assert!((outline.bounds().area() - around.area()).abs() < 1e-6);
        }
    }

    #[test]
    fn points_near_arcs_are_inside_or_outside() {
        let slot = Outline::slot(Point::ORIGIN, 100.0, 20.0);
        let straight = |x: f64, y: f64| Vertex { at: Point::new(x, y), bulge: 0.0 };
        let notched = Outline {
            vertices: vec![
                straight(0.0, 0.0),
                straight(100.0, 0.0),
                straight(100.0, 60.0),
                Vertex { at: Point::new(60.0, 60.0), bulge: 1.0 },
                straight(40.0, 60.0),
                straight(0.0, 60.0),
            ],
        };
        // A half circle on the left of the line from right to left hangs down into the board.
        assert!(
            (notched.area() - (6000.0 + 50.0 * PI)).abs() < 1e-9
                || (notched.area() - (6000.0 - 50.0 * PI)).abs() < 1e-9
        );
        let dips = notched.area() < 6000.0;
        for (outline, point, inside) in [
            (&slot, (48.0, 1.0), true),
            (&slot, (48.0, 9.0), false),
            (&slot, (-49.9, 0.1), true),
            (&notched, (50.0, 49.0), true),
            (&notched, (50.0, 51.0), !dips),
            (&notched, (50.0, 69.0), !dips),
            (&notched, (45.0, 71.0), false),
        ] {
            assert_eq!(outline.contains(Point::from(point)), inside, "{point:?}");
            assert_eq!(outline.reversed().contains(Point::from(point)), inside, "{point:?} the other way round");
        }
    }

    #[test]
    fn mirroring_keeps_area_and_bounds() {
        let slope = Outline::polygon([(0.0, 0.0), (30.0, 0.0), (30.0, 50.0), (0.0, 40.0)]);
        let mirrored = slope.transformed(Affine::new([-1.0, 0.0, 0.0, 1.0, 30.0, 0.0]));
        assert!((mirrored.area() - slope.area()).abs() < 1e-9);
        assert_eq!(mirrored.bounds(), slope.bounds());
        assert!(mirrored.contains(Point::new(1.0, 49.0)) && !slope.contains(Point::new(1.0, 49.0)));
    }

    /// kurbo integrates the curves of a path; its area is an independent check of the circular-segment formula.
    #[test]
    fn area_agrees_with_kurbo() {
        let outline = Outline {
            vertices: vec![
                Vertex { at: Point::new(0.0, 0.0), bulge: 0.3 },
                Vertex { at: Point::new(40.0, 5.0), bulge: -0.2 },
                Vertex { at: Point::new(35.0, 60.0), bulge: 0.0 },
                Vertex { at: Point::new(-5.0, 50.0), bulge: 0.9 },
            ],
        };
        assert!((outline.area() - outline.to_path().area()).abs() < 1e-2);
    }
}
