//! Whether a part can come to its place, or away from it, along a straight line.

use super::{Contact, Surface};
use crate::geometry::{Place, Point, Rect, Region, region_area};
use geo::orient::{Direction, Orient};
use geo::{BooleanOps, BoundingRect, MapCoords};
use glam::DVec3;

/// Overlaps narrower than this pass by with the play of a joint (mm).
const PLAY: f64 = 0.3;

/// What stands in whose way when something leaves along one direction.
///
/// Something is blocked by what begins ahead of it, touching or not; what it only slides along does not block it.
#[derive(Clone, Debug)]
pub struct Blocked {
    pub way: DVec3,
    /// `by[i][j]`: the i-th cannot leave while the j-th stands.
    by: Vec<Vec<bool>>,
}

/// A surface as it looks along the way.
struct Seen {
    region: Region,
    bounds: Rect,
    /// Distance along the way at a point of the screen: `depth + slope · point`.
    depth: f64,
    slope: (f64, f64),
}

impl Blocked {
    /// From the surfaces of each body, for leaving along the unit vector `way`.
    pub fn along(bodies: &[Vec<Surface>], way: DVec3) -> Blocked {
        let across = way.any_orthonormal_vector();
        let screen = Place::new(DVec3::ZERO, across, way.cross(across));
        let ahead: Vec<Vec<Seen>> = bodies.iter().map(|body| seen(body, &screen, way)).collect();
        let behind: Vec<Vec<Seen>> = bodies.iter().map(|body| seen(body, &screen, -way)).collect();
        let by = ahead
            .iter()
            .enumerate()
            .map(|(i, front)| {
                behind.iter().enumerate().map(|(j, back)| i != j && meets(front, back)).collect::<Vec<bool>>()
            })
            .collect();
        Blocked { way, by }
    }

    /// Can the body leave while those bodies stand?
    pub fn is_free(&self, body: usize, standing: impl IntoIterator<Item = usize>) -> bool {
        !standing.into_iter().any(|other| self.by[body][other])
    }
}

/// The surfaces that look along the way, as they look on the screen.
fn seen(body: &[Surface], screen: &Place, way: DVec3) -> Vec<Seen> {
    let along = screen.normal();
    body.iter()
        .filter(|surface| surface.normal().dot(way) > 1e-6)
        .filter_map(|surface| {
            let region = surface
                .region
                .map_coords(|c| {
                    let (at, _) = screen.to_flat(surface.place.to_space(Point::new(c.x, c.y), 0.0));
                    geo::Coord { x: at.x, y: at.y }
                })
                .orient(Direction::Default);
            let around = region.bounding_rect()?;
            let (normal, foot) = (surface.normal(), surface.place.origin);
            // On the surface's plane: normal · (screen point + depth · way) = normal · foot.
            let lean = normal.dot(along);
            Some(Seen {
                region,
                bounds: Rect::new(around.min().x, around.min().y, around.max().x, around.max().y),
                depth: normal.dot(foot) / lean,
                slope: (-normal.dot(screen.u) / lean, -normal.dot(screen.v) / lean),
            })
        })
        .collect()
}

/// Does any of the surfaces behind begin at or past any of those in front?
fn meets(front: &[Seen], back: &[Seen]) -> bool {
    front.iter().any(|ahead| {
        back.iter().any(|other| {
            let (a, b) = (ahead.bounds, other.bounds);
            let (wide, high) = (a.x1.min(b.x1) - a.x0.max(b.x0), a.y1.min(b.y1) - a.y0.max(b.y0));
            if wide < PLAY || high < PLAY {
                return false;
            }
            let gap = |x: f64, y: f64| {
                other.depth - ahead.depth + (other.slope.0 - ahead.slope.0) * x + (other.slope.1 - ahead.slope.1) * y
            };
            // The gap is linear: if it is negative in all corners of the rectangle it is so throughout.
            let (x0, x1, y0, y1) = (a.x0.max(b.x0), a.x1.min(b.x1), a.y0.max(b.y0), a.y1.min(b.y1));
            if [gap(x0, y0), gap(x0, y1), gap(x1, y0), gap(x1, y1)].iter().all(|gap| *gap < -PLAY) {
                return false;
            }
            let both = ahead.region.intersection(&other.region);
            both.iter().any(|patch| {
                use geo::{Euclidean, Length};
                let around = |ring: &geo::LineString| ring.lines().map(|side| Euclidean.length(&side)).sum::<f64>();
                let area = region_area(&geo::MultiPolygon::from(patch.clone()));
                let width = 2.0 * area / around(patch.exterior()).max(1e-9);
                width > PLAY / 2.0 && patch.exterior().coords().any(|c| gap(c.x, c.y) > -PLAY)
            })
        })
    })
}

/// How much of the glue between a part and others would be wiped if it came in along `way`: the contact area that
/// slides instead of closing (mm²).
pub fn wiped<'a>(contacts: impl IntoIterator<Item = &'a Contact>, way: DVec3) -> f64 {
    contacts.into_iter().map(|contact| contact.area * (1.0 - contact.place.normal().dot(way).abs())).sum()
}

#[cfg(test)]
mod tests {
    use super::super::{Facing, Panel};
    use super::*;

    fn block(least: [f64; 3], most: [f64; 3]) -> Vec<Surface> {
        Panel::block("b", "", Facing::Left, DVec3::from(least), DVec3::from(most)).surfaces()
    }

    #[test]
    fn a_board_between_two_others_leaves_only_along_them() {
        let bodies = [
            block([0.0, 0.0, 0.0], [12.0, 300.0, 100.0]),
            block([12.0, 0.0, 0.0], [112.0, 12.0, 100.0]),
            block([112.0, 0.0, 0.0], [124.0, 300.0, 100.0]),
        ];
        let free = |way: DVec3, body: usize, standing: &[usize]| {
            Blocked::along(&bodies, way).is_free(body, standing.iter().copied())
        };
        assert!(!free(DVec3::X, 1, &[0, 2]) && !free(DVec3::NEG_X, 1, &[0, 2]));
        assert!(free(DVec3::NEG_Y, 1, &[0, 2]) && free(DVec3::Z, 1, &[0, 2]));
        assert!(free(DVec3::X, 1, &[0]) && free(DVec3::X, 2, &[0, 1]));
        assert!(!free(DVec3::X, 0, &[1, 2]) && free(DVec3::NEG_X, 0, &[1, 2]));
    }

    /// A far obstacle blocks as a near one does.
    #[test]
    fn what_is_ahead_blocks_at_any_distance() {
        let bodies = [block([0.0, 0.0, 0.0], [12.0, 100.0, 100.0]), block([500.0, 50.0, 0.0], [512.0, 60.0, 5.0])];
        assert!(!Blocked::along(&bodies, DVec3::X).is_free(0, [1]));
        assert!(Blocked::along(&bodies, DVec3::Z).is_free(0, [1]));
    }
}
