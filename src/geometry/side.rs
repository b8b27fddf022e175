//! The four sides of a rectangle as a picture shows it, its length running to the right.

use super::{Point, Rect};

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    Left,
    Lower,
    Right,
    Upper,
}

impl Side {
    pub const ALL: [Side; 4] = [Side::Left, Side::Lower, Side::Right, Side::Upper];

    pub fn name(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Lower => "lower",
            Side::Right => "right",
            Side::Upper => "upper",
        }
    }

    /// Its place in [`Side::ALL`].
    pub fn index(self) -> usize {
        match self {
            Side::Left => 0,
            Side::Lower => 1,
            Side::Right => 2,
            Side::Upper => 3,
        }
    }

    /// Does it run up the picture?
    pub fn is_upright(self) -> bool {
        matches!(self, Side::Left | Side::Right)
    }

    /// A point as seen from this side of a rectangle: along the side, and in from it.
    pub fn along_and_in(self, point: Point, of: Rect) -> (f64, f64) {
        let (x, y) = (point.x - of.x0, point.y - of.y0);
        match self {
            Side::Left => (y, x),
            Side::Right => (y, of.width() - x),
            Side::Lower => (x, y),
            Side::Upper => (x, of.height() - y),
        }
    }

    /// The point that lies so far along this side of a rectangle, and so far in from it.
    pub fn at(self, along: f64, inward: f64, of: Rect) -> Point {
        match self {
            Side::Left => Point::new(of.x0 + inward, of.y0 + along),
            Side::Right => Point::new(of.x1 - inward, of.y0 + along),
            Side::Lower => Point::new(of.x0 + along, of.y0 + inward),
            Side::Upper => Point::new(of.x0 + along, of.y1 - inward),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_from_every_side() {
        let (of, point) = (Rect::new(10.0, 20.0, 110.0, 70.0), Point::new(40.0, 55.0));
        let seen = Side::ALL.map(|side| side.along_and_in(point, of));
        assert_eq!(seen, [(35.0, 30.0), (30.0, 35.0), (35.0, 70.0), (30.0, 15.0)]);
        for (side, (along, inward)) in Side::ALL.into_iter().zip(seen) {
            assert_eq!(side.at(along, inward, of), point);
        }
    }
}
