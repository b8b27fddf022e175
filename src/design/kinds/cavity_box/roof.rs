//! The roof of a box: its underside, and the boards that lie on it.

use super::Roof;
use crate::design::Panel;
use crate::geometry::Place;
use crate::geometry::math::{sin_cos, tan};
use glam::DVec3;

/// The plane or two planes that walls end at and roof boards lie on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Underside {
    roof: Roof,
    slope: f64,
    /// Where the height is known: y for a sloping roof, x for a gabled one; and the height there.
    from: f64,
    height: f64,
    /// x of the ridge.
    ridge: f64,
}

impl Underside {
    /// Rises from front to back; `height` at `y`.
    pub fn sloping(slope: f64, y: f64, height: f64) -> Underside {
        Underside { roof: Roof::Sloping, slope, from: y, height, ridge: 0.0 }
    }

    /// Rises from both sides to the middle of the width; `height` at `x` from either side.
    pub fn gabled(slope: f64, width: f64, x: f64, height: f64) -> Underside {
        Underside { roof: Roof::Gabled, slope, from: x, height, ridge: width / 2.0 }
    }

    /// Height at a place; left of the ridge, if there is one, as far as the left board's plane goes.
    pub fn at(&self, x: f64, y: f64) -> f64 {
        let run = match self.roof {
            Roof::Sloping => y - self.from,
            Roof::Gabled => x.min(2.0 * self.ridge - x) - self.from,
        };
        self.height + run * tan(self.slope)
    }

    /// The least height over a block of places: a wall that is cut square ends there.
    pub fn lowest_over(&self, (x0, x1): (f64, f64), (y0, y1): (f64, f64)) -> f64 {
        let corners = [(x0, y0), (x1, y0), (x0, y1), (x1, y1)];
        corners.into_iter().map(|(x, y)| self.at(x, y)).fold(f64::INFINITY, f64::min)
    }

    pub fn highest(&self, width: f64, depth: f64) -> f64 {
        self.at(width / 2.0, depth)
    }

    /// The corners of a wall's upper edge from `x0` to `x1` along x, left to right as they lie in the box: two, or three
    /// where the ridge is between them. A wall is cut square, so its lower side in y counts.
    pub fn along_x(&self, (x0, x1): (f64, f64), y: (f64, f64)) -> Vec<(f64, f64)> {
        let at = |x: f64| (x, self.lowest_over((x, x), y));
        match self.roof {
            Roof::Gabled if x0 < self.ridge && self.ridge < x1 => vec![at(x0), at(self.ridge), at(x1)],
            _ => vec![at(x0), at(x1)],
        }
    }

    /// The same along y, front to back.
    pub fn along_y(&self, x: (f64, f64), (y0, y1): (f64, f64)) -> Vec<(f64, f64)> {
        [y0, y1].map(|y| (y, self.lowest_over(x, (y, y)))).to_vec()
    }

    /// The boards of the roof over a box of this width and depth, reaching out in front and at the sides.
    pub fn boards(&self, t: f64, (width, depth): (f64, f64), overhang: f64, side_overhang: f64) -> Vec<Panel> {
        let (sin, cos) = sin_cos(self.slope);
        match self.roof {
            Roof::Sloping => {
                let (up, out) = (DVec3::new(0.0, cos, sin), DVec3::new(0.0, -sin, cos));
                let eave = DVec3::new(-side_overhang, -overhang, self.at(0.0, -overhang));
                let mut roof = Panel::flat("roof", width + 2.0 * side_overhang, (depth + overhang) / cos, t);
                roof.place = Place::new(eave + out * t, DVec3::X, up);
                vec![roof]
            }
            Roof::Gabled => {
                let rafter = (self.ridge + side_overhang) / cos;
                // The left board laps over the upper edge of the right one, which starts so far down that its own upper
                // corner just touches the left one's underside.
                let (sin_double, cos_double) = sin_cos(2.0 * self.slope);
                let (lap, short) = (t / sin_double, (t * cos_double / sin_double).max(0.0));
                let eave = self.at(-side_overhang, 0.0);
                let board = |name: &str, from: DVec3, u: DVec3, v: DVec3, long: f64| {
                    let mut board = Panel::flat(name, depth + overhang, long, t);
                    board.family = "roof board".into();
                    board.place = Place::new(from + u.cross(v) * t, u, v);
                    board
                };
                vec![
                    board(
                        "left roof",
                        DVec3::new(-side_overhang, depth, eave),
                        DVec3::NEG_Y,
                        DVec3::new(cos, 0.0, sin),
                        rafter + lap,
                    ),
                    board(
                        "right roof",
                        DVec3::new(width + side_overhang, -overhang, eave),
                        DVec3::Y,
                        DVec3::new(-cos, 0.0, sin),
                        rafter - short,
                    ),
                ]
            }
        }
    }
}
