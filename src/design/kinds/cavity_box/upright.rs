//! Walls that stand up to the underside of the roof.

use super::Building;
use crate::design::Facing;
use crate::geometry::{Outline, Point};
use glam::DVec3;

/// A wall along y, its upper edge along the slope where that runs along y too.
pub(super) fn side(box_: &mut Building, name: &str, facing: Facing, x: (f64, f64), y: (f64, f64)) -> usize {
    let top = box_.underside.along_y(x, y);
    upright(box_, name, "side", facing, (x, y), top.into_iter().map(|(y, z)| DVec3::new(x.0, y, z)).collect())
}

/// A wall along x.
pub(super) fn end(box_: &mut Building, name: &str, facing: Facing, x: (f64, f64), y: (f64, f64)) -> usize {
    let top = box_.underside.along_x(x, y);
    upright(box_, name, name, facing, (x, y), top.into_iter().map(|(x, z)| DVec3::new(x, y.0, z)).collect())
}

/// A wall from z = 0 up to a line of corners in space.
fn upright(
    box_: &mut Building,
    name: &str,
    family: &str,
    facing: Facing,
    (x, y): ((f64, f64), (f64, f64)),
    top: Vec<DVec3>,
) -> usize {
    let panel = box_.add(name, family, facing, [x.0, y.0, 0.0], [x.1, y.1, 100.0]);
    let width = panel.outline.bounds().width();
    let mut corners: Vec<Point> = top.into_iter().map(|at| panel.place.to_flat(at).0).collect();
    // Counter-clockwise: along the foot to the right, then back along the top.
    corners.sort_by(|a, b| b.x.total_cmp(&a.x));
    panel.outline =
        Outline::polygon([(0.0, 0.0), (width, 0.0)].into_iter().chain(corners.into_iter().map(|at| (at.x, at.y))));
    box_.panels.len() - 1
}
