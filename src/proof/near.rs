//! Distances between the path of a tool's centre and the sides of rings.

use super::flat::{self, Ring, to_side};
use crate::geometry::{Point, Rect, Segment, Vec2};

/// A path made ready for many distances.
#[derive(Clone, Copy, Debug)]
pub(super) enum Path {
    Point(Point),
    Line(Point, Point),
    Arc { path: Segment, centre: Point, radius: f64 },
}

impl Path {
    pub fn new(path: &Segment) -> Path {
        match path.centre() {
            _ if path.chord() < 1e-9 => Path::Point(path.start),
            None => Path::Line(path.start, path.end),
            Some(centre) => Path::Arc { path: *path, centre, radius: path.radius() },
        }
    }

    fn ends(&self) -> (Point, Point) {
        match self {
            Path::Point(at) => (*at, *at),
            Path::Line(a, b) => (*a, *b),
            Path::Arc { path, .. } => (path.start, path.end),
        }
    }

    fn to_point(self, at: Point) -> f64 {
        match self {
            Path::Point(own) => own.distance(at),
            Path::Line(a, b) => to_side(at, a, b),
            Path::Arc { path, centre, radius } => {
                let arm = at - centre;
                if passes(&path, centre, arm) {
                    (arm.hypot() - radius).abs()
                } else {
                    at.distance(path.start).min(at.distance(path.end))
                }
            }
        }
    }

    /// Distance to a straight side, 0 where they cross.
    pub fn to_side(self, a: Point, b: Point) -> f64 {
        let (start, end) = self.ends();
        let mut least = self.to_point(a).min(self.to_point(b)).min(to_side(start, a, b)).min(to_side(end, a, b));
        match self {
            Path::Point(_) => {}
            Path::Line(c, d) => {
                if crosses(a, b, c, d) {
                    least = 0.0;
                }
            }
            Path::Arc { path, centre, radius } => {
                // The side's nearest place to the centre, and where it cuts the whole circle.
                let side = b - a;
                let length = side.hypot2();
                if length > 0.0 {
                    let foot = (centre - a).dot(side) / length;
                    if (0.0..=1.0).contains(&foot) {
                        least = least.min(self.to_point(a + side * foot));
                    }
                    let off = (a + side * foot).distance(centre);
                    if off <= radius {
                        let half = (radius * radius - off * off).sqrt() / length.sqrt();
                        for share in [foot - half, foot + half] {
                            if (0.0..=1.0).contains(&share) && passes(&path, centre, a + side * share - centre) {
                                least = 0.0;
                            }
                        }
                    }
                }
            }
        }
        least
    }

    /// Distance to the nearest side of a ring, as far as it is below `limit`.
    pub fn to_ring(self, bounds: Rect, ring: &Ring, limit: f64) -> f64 {
        let mut least = limit;
        for (a, b) in flat::sides(ring) {
            let apart_x = (a.x.min(b.x) - bounds.x1).max(bounds.x0 - a.x.max(b.x));
            let apart_y = (a.y.min(b.y) - bounds.y1).max(bounds.y0 - a.y.max(b.y));
            if apart_x.max(apart_y) < least {
                least = least.min(self.to_side(a, b));
            }
        }
        least
    }
}

/// Does the arc pass through this direction from its centre?
fn passes(path: &Segment, centre: Point, arm: Vec2) -> bool {
    let (start, end) = (path.start - centre, path.end - centre);
    let (start, end, bulge) = if path.bulge < 0.0 { (end, start, -path.bulge) } else { (start, end, path.bulge) };
    let (after, before) = (start.cross(arm) >= 0.0, arm.cross(end) >= 0.0);
    // An arc of half a turn or less passes where both hold; a longer one everywhere except between its end and its start.
    if bulge <= 1.0 { after && before } else { after || before }
}

fn crosses(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn point() -> impl Strategy<Value = Point> {
        (-20.0..20.0f64, -20.0..20.0f64).prop_map(|(x, y)| Point::new(x, y))
    }

    proptest! {
        /// The nearest of many points on the path is no nearer than the distance, and hardly further.
        #[test]
        fn distances_are_those_of_many_points(start in point(), end in point(), bulge in -1.0..1.0f64, a in point(), b in point()) {
            prop_assume!(start.distance(end) > 0.1);
            let path = Segment { start, end, bulge: if bulge.abs() < 0.1 { 0.0 } else { bulge } };
            let exact = Path::new(&path).to_side(a, b);
            let steps = 4000;
            let sampled = (0..=steps).map(|i| to_side(path.at(f64::from(i) / f64::from(steps)), a, b)).fold(f64::INFINITY, f64::min);
            prop_assert!(exact <= sampled + 1e-9, "{exact} {sampled}");
            prop_assert!(sampled - exact <= path.length() / f64::from(steps), "{exact} {sampled}");
        }
    }
}
