//! One piece of an outline: a straight line or a circular arc.

use super::math::{acos, angle_of, atan, cos, sin, tan, unit};
use super::{Point, Rect, Vec2};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A straight line or a circular arc from `start` to `end`.
///
/// An arc is kept as its two ends and its *bulge*, the tangent of a quarter of the angle it sweeps (positive when it
/// runs counter-clockwise). That is how DXF polylines store arcs too, so no file format needs a conversion that could
/// lose digits; a bulge of zero is a straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    pub start: Point,
    pub end: Point,
    pub bulge: f64,
}

impl Segment {
    pub fn is_arc(&self) -> bool {
        self.bulge.abs() > 1e-12
    }

    /// Straight distance between the two ends.
    pub fn chord(&self) -> f64 {
        (self.end - self.start).hypot()
    }

    /// Angle swept, positive counter-clockwise; zero for a line.
    pub fn sweep(&self) -> f64 {
        4.0 * atan(self.bulge)
    }

    /// Radius of an arc; infinite for a line.
    pub fn radius(&self) -> f64 {
        if self.is_arc() {
            self.chord() * (1.0 + self.bulge * self.bulge) / (4.0 * self.bulge.abs())
        } else {
            f64::INFINITY
        }
    }

    /// Centre of an arc; `None` for a line.
    pub fn centre(&self) -> Option<Point> {
        if !self.is_arc() {
            return None;
        }
        let chord = self.end - self.start;
        let left = Vec2::new(-chord.y, chord.x);
        let rise = (1.0 - self.bulge * self.bulge) / (4.0 * self.bulge);
        Some(self.start.midpoint(self.end) + left * rise)
    }

    pub fn length(&self) -> f64 {
        if self.is_arc() { self.radius() * self.sweep().abs() } else { self.chord() }
    }

    /// Point at a share `t` of the length from the start, 0 to 1.
    pub fn at(&self, t: f64) -> Point {
        match self.centre() {
            None => self.start.lerp(self.end, t),
            Some(centre) => {
                let turn = unit(self.sweep() * t);
                let arm = self.start - centre;
                centre + Vec2::new(arm.x * turn.x - arm.y * turn.y, arm.x * turn.y + arm.y * turn.x)
            }
        }
    }

    /// Unit vector along the segment at a share `t` of the length.
    pub fn direction(&self, t: f64) -> Vec2 {
        match self.centre() {
            None => (self.end - self.start).normalize(),
            Some(centre) => {
                let arm = (self.at(t) - centre).normalize();
                if self.bulge > 0.0 { Vec2::new(-arm.y, arm.x) } else { Vec2::new(arm.y, -arm.x) }
            }
        }
    }

    /// The part of this segment between two shares of its length.
    pub fn between(&self, from: f64, to: f64) -> Segment {
        let bulge = if self.is_arc() { tan(self.sweep() * (to - from) / 4.0) } else { 0.0 };
        let start = if from <= 0.0 { self.start } else { self.at(from) };
        let end = if to >= 1.0 { self.end } else { self.at(to) };
        Segment { start, end, bulge }
    }

    /// The same segment run backwards.
    pub fn reversed(&self) -> Segment {
        Segment { start: self.end, end: self.start, bulge: -self.bulge }
    }

    /// Where the segment is nearest to a point, as a share of its length.
    pub fn nearest(&self, point: Point) -> f64 {
        match self.centre() {
            None => {
                let along = self.end - self.start;
                ((point - self.start).dot(along) / along.hypot2().max(1e-300)).clamp(0.0, 1.0)
            }
            Some(centre) => {
                let arm = point - centre;
                if arm.hypot() < 1e-12 || self.sweeps_over(arm, centre) {
                    let turn = angle_of(arm) - angle_of(self.start - centre);
                    let turn = if self.bulge < 0.0 { -turn } else { turn };
                    (turn.rem_euclid(std::f64::consts::TAU) / self.sweep().abs()).min(1.0)
                } else if point.distance(self.start) <= point.distance(self.end) {
                    0.0
                } else {
                    1.0
                }
            }
        }
    }

    /// How often a ray from a point to the right crosses the segment. Pieces that meet at the point's height are crossed
    /// once between them, or twice, or not at all: never is one missed.
    pub(super) fn crossings(&self, point: Point) -> usize {
        let passes = |y0: f64, y1: f64| (y0 > point.y) != (y1 > point.y);
        let Some(centre) = self.centre() else {
            return usize::from(ray_crosses(point, self.start, self.end));
        };
        // An arc in pieces that only rise or only fall: from quarter turn to quarter turn, up and down.
        let (radius, start, sweep) = (self.radius(), angle_of(self.start - centre), self.sweep());
        let height = point.y - centre.y;
        let reach = (radius * radius - height * height).max(0.0).sqrt();
        let mut turns: Vec<f64> = (-2..=2)
            .map(|k| (FRAC_PI_2 + PI * f64::from(k) - start) / sweep)
            .chain((-2..=2).map(|k| (FRAC_PI_2 + PI * f64::from(k) - start + TAU * sweep.signum()) / sweep))
            .filter(|share| *share > 0.0 && *share < 1.0)
            .collect();
        turns.sort_by(f64::total_cmp);
        turns.dedup_by(|b, a| *b - *a < 1e-9);
        turns.push(1.0);
        let mut crossings = 0;
        let (mut from, mut y0) = (0.0, self.start.y);
        for to in turns {
            let top = |share: f64| centre.y + radius * sin(start + sweep * share).signum();
            let y1 = if to < 1.0 { top(to) } else { self.end.y };
            if passes(y0, y1) {
                let on_the_right = cos(start + sweep * f64::midpoint(from, to)) > 0.0;
                let x = if on_the_right { centre.x + reach } else { centre.x - reach };
                crossings += usize::from(point.x < x);
            }
            (from, y0) = (to, y1);
        }
        crossings
    }

    /// How far a point is from the nearest point of the segment.
    pub fn distance(&self, point: Point) -> f64 {
        self.at(self.nearest(point)).distance(point)
    }

    /// Smallest upright rectangle around the segment.
    pub fn bounds(&self) -> Rect {
        let mut bounds = Rect::from_points(self.start, self.end);
        if let Some(centre) = self.centre() {
            let radius = self.radius();
            for quarter in [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0), Vec2::new(-1.0, 0.0), Vec2::new(0.0, -1.0)] {
                if self.sweeps_over(quarter, centre) {
                    bounds = bounds.union_pt(centre + quarter * radius);
                }
            }
        }
        bounds
    }

    /// Does the arc pass through `direction` as seen from its centre?
    fn sweeps_over(&self, direction: Vec2, centre: Point) -> bool {
        let start = angle_of(self.start - centre);
        let mut turn = angle_of(direction) - start;
        if self.bulge < 0.0 {
            turn = -turn;
        }
        turn.rem_euclid(std::f64::consts::TAU) < self.sweep().abs()
    }

    /// Points along the segment, without its start: one for a line, enough for an arc that every chord stays within
    /// `tolerance` of it.
    pub fn flatten(&self, tolerance: f64, mut to: impl FnMut(Point)) {
        if self.is_arc() {
            let radius = self.radius();
            let step = 2.0 * acos(1.0 - (tolerance / radius).min(1.0));
            let steps = (self.sweep().abs() / step).ceil().max(2.0) as usize;
            for i in 1..steps {
                to(self.at(i as f64 / steps as f64));
            }
        }
        to(self.end);
    }
}

/// Does a ray from a point to the right cross a straight side? A closed line is crossed an odd number of times from inside.
pub(crate) fn ray_crosses(from: Point, a: Point, b: Point) -> bool {
    (a.y > from.y) != (b.y > from.y) && from.x < (b.x - a.x) * (from.y - a.y) / (b.y - a.y) + a.x
}

/// Does a straight line pass through the inside of a rectangle?
pub(crate) fn crosses(from: Point, to: Point, rect: Rect) -> bool {
    // The stretch of the line inside each pair of sides in turn.
    let (mut least, mut most) = (0.0f64, 1.0f64);
    let run = to - from;
    for (start, step, low, high) in [(from.x, run.x, rect.x0, rect.x1), (from.y, run.y, rect.y0, rect.y1)] {
        if step.abs() < 1e-12 {
            if start <= low || start >= high {
                return false;
            }
            continue;
        }
        let (a, b) = ((low - start) / step, (high - start) / step);
        least = least.max(a.min(b));
        most = most.min(a.max(b));
    }
    most - least > 1e-9
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_circle_has_the_circle_s_radius_length_and_centre() {
        let arc = Segment { start: Point::new(10.0, 0.0), end: Point::new(0.0, 10.0), bulge: (FRAC_PI_2 / 4.0).tan() };
        assert!((arc.radius() - 10.0).abs() < 1e-12);
        assert!((arc.length() - 5.0 * PI).abs() < 1e-12);
        assert!(arc.centre().expect("an arc").distance(Point::ORIGIN) < 1e-12);
        assert!(arc.at(0.5).distance(Point::new(50f64.sqrt(), 50f64.sqrt())) < 1e-12);
    }

    #[test]
    fn a_clockwise_arc_bulges_to_the_left_of_its_chord() {
        let arc = Segment { start: Point::new(-5.0, 0.0), end: Point::new(5.0, 0.0), bulge: -1.0 };
        assert!(arc.at(0.5).distance(Point::new(0.0, 5.0)) < 1e-12);
        assert_eq!(arc.bounds(), Rect::new(-5.0, 0.0, 5.0, 5.0));
    }

    #[test]
    fn distances_to_a_line_and_to_an_arc() {
        let line = Segment { start: Point::new(0.0, 0.0), end: Point::new(10.0, 0.0), bulge: 0.0 };
        assert_eq!(line.distance(Point::new(4.0, 3.0)), 3.0);
        assert_eq!(line.distance(Point::new(13.0, 4.0)), 5.0);
        let half = Segment { start: Point::new(5.0, 0.0), end: Point::new(-5.0, 0.0), bulge: 1.0 };
        assert!((half.distance(Point::new(0.0, 7.0)) - 2.0).abs() < 1e-12);
        assert!((half.distance(Point::new(0.0, 1.0)) - 4.0).abs() < 1e-12);
        assert!((half.distance(Point::new(8.0, -4.0)) - 5.0).abs() < 1e-12, "past its end");
    }

    #[test]
    fn halves_of_an_arc_join_to_the_whole() {
        let arc = Segment { start: Point::new(3.0, 1.0), end: Point::new(-2.0, 4.0), bulge: 0.7 };
        let (first, second) = (arc.between(0.0, 0.4), arc.between(0.4, 1.0));
        assert!((first.length() + second.length() - arc.length()).abs() < 1e-9);
        assert!((first.radius() - arc.radius()).abs() < 1e-9);
        assert!(first.end.distance(second.start) < 1e-12);
    }
    /// A circle in any number of pieces, begun anywhere, run in either direction: a point is inside as its distance says.
    #[test]
    fn rays_cross_arcs_as_often_as_they_should() {
        for (pieces, from, sign) in [(2, 0.0, 1.0), (2, 1.3, -1.0), (3, 0.4, 1.0), (5, PI / 2.0, 1.0), (4, -2.0, -1.0)]
        {
            let corner = |i: i32| {
                let angle = from + sign * TAU * f64::from(i) / f64::from(pieces);
                Point::new(10.0 * angle.cos(), 10.0 * angle.sin())
            };
            let bulge = sign * (TAU / f64::from(pieces) / 4.0).tan();
            for (x, y) in [
                (0.0, 0.0),
                (9.9, 0.0),
                (-9.9, 0.0),
                (0.0, 9.9),
                (3.0, -9.5),
                (-7.0, 7.0),
                (7.2, 7.2),
                (0.0, -10.1),
                (-11.0, 0.0),
                (-20.0, 5.0),
            ] {
                let point = Point::new(x, y);
                let crossed: usize =
                    (0..pieces).map(|i| Segment { start: corner(i), end: corner(i + 1), bulge }.crossings(point)).sum();
                assert_eq!(crossed % 2 == 1, x.hypot(y) < 10.0, "{pieces} pieces, {point:?}");
            }
        }
    }
}
