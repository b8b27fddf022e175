//! Walls and floor of a cavity box.

use super::upright::{end, side};
use super::{Access, Building, Entrance, Roof, door};
use crate::design::{Facing, Hole, HoleUse};
use crate::geometry::Point;
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
    box_.add("floor", "floor", Facing::Down, [t, s.front, 0.0], [right, d - t, s.floor]);
}

fn entrance(box_: &mut Building) {
    let Some(Entrance { width, height, up }) = box_.design.entrance else { return };
    let middle = DVec3::new((box_.sizes.t + box_.design.inside[0] / 2.0).min(box_.sizes.width), 0.0, 0.0);
    let up = box_.sizes.floor + up;
    if let Some(front) = box_.panels.iter_mut().find(|panel| panel.name == "front") {
        let across = front.place.to_flat(middle).0.x;
        let lying = Hole::slot(HoleUse::Entrance, Point::new(across, up), width.max(height), width.min(height));
        front.holes.push(Hole { upright: height > width, ..lying });
    }
}
