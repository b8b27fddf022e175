//! Walls and floor of a cavity box.

use super::{Access, Building, Roof, door};
use crate::design::{Facing, Hole, HoleUse};
use crate::geometry::{Outline, Point};
use glam::DVec3;

pub(super) fn build(box_: &mut Building) {
    let s = box_.sizes;
    let (t, w, d) = (s.t, s.width, s.depth);
    let access = box_.design.access;
    // Where front and back run past the ends of the sides: always under a gable, which they carry; never past a front
    // that has to come out between them.
    let ends_run = box_.design.roof == Roof::Gabled && access != Some(Access::Front);
    let side_door = access == Some(Access::Side);
    let left_end = if ends_run { 0.0 } else { t };
    let right_end = if ends_run || side_door { w } else { w - t };
    let (left_y, right_y) =
        (if ends_run { (t, d - t) } else { (0.0, d) }, if ends_run || side_door { (t, d - t) } else { (0.0, d) });
    side(box_, "left side", Facing::Left, (0.0, t), left_y);
    if side_door {
        door::side(box_, right_y);
    } else {
        side(box_, "right side", Facing::Right, (w - t, w), right_y);
    }
    if access == Some(Access::Front) {
        door::front(box_);
    } else {
        end(box_, "front", Facing::Front, (left_end, right_end), (0.0, t));
    }
    end(box_, "back", Facing::Back, (left_end, right_end), (d - t, d));
    door::hang(box_);
    entrance(box_);
    let right = if side_door { w - s.set_back - t } else { w - t };
    box_.add("floor", "floor", Facing::Down, [t, s.front, 0.0], [right, d - t, t]);
}

/// A wall along y, its upper edge along the slope where that runs the same way.
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

fn entrance(box_: &mut Building) {
    let Some((diameter, up)) = box_.design.entrance else { return };
    let middle = DVec3::new((box_.sizes.t + box_.design.inside[0] / 2.0).min(box_.sizes.width), 0.0, 0.0);
    let height = box_.sizes.t + up;
    if let Some(front) = box_.panels.iter_mut().find(|panel| panel.name == "front") {
        let across = front.place.to_flat(middle).0.x;
        front.holes.push(Hole::round(HoleUse::Entrance, Point::new(across, height), diameter));
    }
}
