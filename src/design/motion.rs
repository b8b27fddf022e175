//! Whether a part can come to its place, or away from it, along a straight line.

use super::{Contact, Surface};
use crate::geometry::{Place, Point, Rect, Region, common};
use geo::orient::{Direction, Orient};
use geo::{Area, BoundingRect, Euclidean, Length, MapCoords, Polygon};
use glam::DVec3;

/// Overlaps narrower than this pass by with the play of a joint (mm).
const PLAY: f64 = 0.3;

/// What stops what when something leaves along one direction.
///
/// Something is blocked by what begins ahead of it, touching or not; what it only slides along does not block it.
#[derive(Clone, Debug)]
pub struct Blocked {
    pub direction: DVec3,
    /// `by[i][j]`: how far the i-th may go before it meets the j-th (mm); `None` where it passes.
    by: Vec<Vec<Option<f64>>>,
}

impl Blocked {
    /// From the surfaces of each body, for leaving along this unit vector.
    pub fn along(bodies: &[Vec<Surface>], direction: DVec3) -> Blocked {
        let across = direction.any_orthonormal_vector();
        let screen = Place::new(DVec3::ZERO, across, direction.cross(across));
        let ahead: Vec<Vec<Seen>> = bodies.iter().map(|body| seen(body, &screen, direction)).collect();
        let behind: Vec<Vec<Seen>> = bodies.iter().map(|body| seen(body, &screen, -direction)).collect();
        let row = |(i, front): (usize, &Vec<Seen>)| {
            behind
                .iter()
                .enumerate()
                .map(|(j, back)| if i == j { None } else { distance_between(front, back) })
                .collect()
        };
        Blocked { direction, by: ahead.iter().enumerate().map(row).collect() }
    }

    /// Can the body leave while those bodies stand?
    pub fn is_free(&self, body: usize, standing: impl IntoIterator<Item = usize>) -> bool {
        standing.into_iter().all(|other| self.by[body][other].is_none())
    }

    /// How far the body may go before it meets one of those (mm), and which; `None` where nothing stops it.
    pub fn travel(&self, body: usize, standing: impl IntoIterator<Item = usize>) -> Option<(f64, usize)> {
        standing.into_iter().filter_map(|other| Some((self.by[body][other]?, other))).min_by(|a, b| a.0.total_cmp(&b.0))
    }
}

/// A surface as it looks along a direction.
struct Seen {
    region: Region,
    bounds: Rect,
    /// Distance along the direction at a point of the screen: `depth + slope · point`.
    depth: f64,
    slope: (f64, f64),
}

/// The surfaces that face a direction, as they look on a screen across it.
fn seen(body: &[Surface], screen: &Place, direction: DVec3) -> Vec<Seen> {
    let along = screen.normal();
    body.iter()
        .filter(|surface| surface.normal().dot(direction) > 1e-6)
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
            // On the surface's plane: normal · (screen point + depth · direction) = normal · foot.
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

/// The shortest distance from a surface in front to one behind that begins at or past it.
fn distance_between(front: &[Seen], back: &[Seen]) -> Option<f64> {
    let pairs = front.iter().flat_map(|ahead| back.iter().map(move |other| (ahead, other)));
    pairs.filter_map(|(ahead, other)| gap(ahead, other)).min_by(f64::total_cmp)
}

fn gap(ahead: &Seen, other: &Seen) -> Option<f64> {
    let (a, b) = (ahead.bounds, other.bounds);
    let (x0, x1, y0, y1) = (a.x0.max(b.x0), a.x1.min(b.x1), a.y0.max(b.y0), a.y1.min(b.y1));
    if x1 - x0 < PLAY || y1 - y0 < PLAY {
        return None;
    }
    let gap = |x: f64, y: f64| {
        other.depth - ahead.depth + (other.slope.0 - ahead.slope.0) * x + (other.slope.1 - ahead.slope.1) * y
    };
    // The gap is linear: where it is negative in all corners of the rectangle it is so throughout.
    if [gap(x0, y0), gap(x0, y1), gap(x1, y0), gap(x1, y1)].iter().all(|gap| *gap < -PLAY) {
        return None;
    }
    let both = common(&ahead.region, &other.region);
    let wide = both.iter().filter(|patch| patch_width(patch) > PLAY / 2.0);
    let gaps = wide.flat_map(|patch| patch.exterior().coords()).map(|c| gap(c.x, c.y)).filter(|gap| *gap > -PLAY);
    gaps.min_by(f64::total_cmp)
}

/// How wide a strip would be that has a patch's area and as long an edge (mm).
pub fn patch_width(patch: &Polygon) -> f64 {
    let around: f64 = patch.exterior().lines().map(|side| Euclidean.length(&side)).sum();
    2.0 * patch.unsigned_area() / around.max(1e-9)
}

/// How much of the glue between a part and others would be wiped if it came in along this direction: the contact area
/// that slides instead of closing (mm²).
pub fn wiped<'a>(contacts: impl IntoIterator<Item = &'a Contact>, direction: DVec3) -> f64 {
    contacts.into_iter().map(|contact| contact.area * (1.0 - contact.place.normal().dot(direction).abs())).sum()
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
        let free = |direction: DVec3, body: usize, standing: &[usize]| {
            Blocked::along(&bodies, direction).is_free(body, standing.iter().copied())
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
        assert_eq!(Blocked::along(&bodies, DVec3::X).travel(0, [1]), Some((488.0, 1)));
        assert!(Blocked::along(&bodies, DVec3::Z).is_free(0, [1]));
    }
}
