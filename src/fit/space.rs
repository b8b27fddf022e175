//! How far something can move before it meets a panel.

use crate::design::Surface;
use crate::geometry::{Place, Point, Region, common, to_polygon};
use geo::BoundingRect;
use glam::DVec3;

/// An upright block of space.
#[derive(Clone, Copy, Debug)]
pub struct Solid {
    pub least: DVec3,
    pub most: DVec3,
}

impl Solid {
    pub fn new(least: [f64; 3], most: [f64; 3]) -> Solid {
        Solid { least: DVec3::from(least), most: DVec3::from(most) }
    }

    /// A block about a point.
    pub fn about(middle: DVec3, size: DVec3) -> Solid {
        Solid { least: middle - size / 2.0, most: middle + size / 2.0 }
    }
}

/// Overlaps in passing smaller than this are a touch along an edge (mm²).
const LEAST_AREA: f64 = 0.01;

/// Free distance (mm) from the solid along `direction` (an axis, forwards or backwards) to the nearest surface that looks
/// at it.
///
/// Negative when that surface already stands inside the solid. `None` when nothing stands there. Also tells which panel it is,
/// by its place in `panels`, the surfaces of each panel.
pub fn clear(panels: &[Vec<Surface>], solid: &Solid, direction: DVec3) -> Option<(f64, usize)> {
    let (across, up) = match direction.abs().max_position() {
        0 => (DVec3::Y, DVec3::Z),
        1 => (DVec3::Z, DVec3::X),
        _ => (DVec3::X, DVec3::Y),
    };
    // A screen at right angles to the direction, in front of the solid's leading face.
    let lead = solid.least.dot(direction).max(solid.most.dot(direction));
    let depth = (solid.most - solid.least).dot(direction).abs();
    let (least, most) = (
        Point::new(solid.least.dot(across), solid.least.dot(up)),
        Point::new(solid.most.dot(across), solid.most.dot(up)),
    );
    let shadow = Region::from(to_polygon(&crate::geometry::Outline::from_rect(kurbo::Rect::from_points(least, most))));
    let mut nearest: Option<(f64, usize)> = None;
    for (panel, surface) in panels.iter().enumerate().flat_map(|(i, list)| list.iter().map(move |s| (i, s))) {
        let lean = surface.normal().dot(direction);
        if lean > -1e-6 {
            continue;
        }
        let screen = Place { origin: DVec3::ZERO, u: across, v: up };
        let seen = project(surface, &screen);
        let Some(around) = seen.bounding_rect() else { continue };
        if around.min().x >= most.x
            || around.max().x <= least.x
            || around.min().y >= most.y
            || around.max().y <= least.y
        {
            continue;
        }
        let seen = common(&seen, &shadow);
        if crate::geometry::region_area(&seen) < LEAST_AREA {
            continue;
        }
        // How far along the direction the surface's plane is, at each corner of what is seen of it.
        let foot = surface.place.origin;
        for corner in seen.iter().flat_map(|polygon| polygon.exterior().coords()) {
            let at = across * corner.x + up * corner.y;
            let along = (foot - at).dot(surface.normal()) / lean - lead;
            if along > -depth && nearest.is_none_or(|(known, _)| along < known) {
                nearest = Some((along, panel));
            }
        }
    }
    nearest
}

/// The surface as it looks on a screen.
fn project(surface: &Surface, screen: &Place) -> Region {
    use geo::{MapCoords, orient::Direction, orient::Orient};
    surface
        .region
        .map_coords(|c| {
            let at = surface.place.to_space(Point::new(c.x, c.y), 0.0);
            geo::Coord { x: at.dot(screen.u), y: at.dot(screen.v) }
        })
        .orient(Direction::Default)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Facing, Panel};

    #[test]
    fn the_nearest_board_in_the_way_counts() {
        let near = Panel::block("near", "", Facing::Left, DVec3::new(50.0, 0.0, 0.0), DVec3::new(60.0, 100.0, 100.0));
        let far = Panel::block("far", "", Facing::Left, DVec3::new(80.0, 0.0, 0.0), DVec3::new(90.0, 100.0, 100.0));
        let beside = Panel::block("by", "", Facing::Left, DVec3::new(20.0, 200.0, 0.0), DVec3::new(30.0, 300.0, 100.0));
        let panels: Vec<_> = [far, near, beside].iter().map(Panel::surfaces).collect();
        let solid = Solid::new([0.0, 10.0, 10.0], [10.0, 20.0, 20.0]);
        assert_eq!(clear(&panels, &solid, DVec3::X), Some((40.0, 1)));
        assert_eq!(clear(&panels, &solid, DVec3::NEG_X), None);
    }

    #[test]
    fn a_board_inside_the_solid_is_a_negative_distance() {
        let board = Panel::block("b", "", Facing::Left, DVec3::new(7.0, 0.0, 0.0), DVec3::new(60.0, 100.0, 100.0));
        let solid = Solid::new([0.0, 10.0, 10.0], [10.0, 20.0, 20.0]);
        assert_eq!(clear(&[board.surfaces()], &solid, DVec3::X), Some((-3.0, 0)));
    }
}
