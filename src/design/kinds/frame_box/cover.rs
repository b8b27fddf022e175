//! What closes a frame box above.

use super::{Building, Cover};
use crate::design::{Face, Facing, Hole, HoleUse, Joinery, Panel};
use crate::geometry::Rect;
use crate::profile::BeeSpace;
use glam::DVec3;

/// Depth of the recess under a cover where the frames are level with the box's upper edge: a bee space, and no more wood
/// than it takes (mm).
const RECESS: f64 = 6.5;
/// Between the covers of two rooms, so that each is lifted by itself (mm).
const APART: f64 = 1.0;

pub(super) fn build(box_: &mut Building) {
    match box_.design.cover {
        Cover::None => {}
        Cover::Cleated => cleated(box_),
        Cover::Inner => inner(box_),
        Cover::Telescoping => {
            inner(box_);
            telescoping(box_);
        }
    }
}

fn cleated(box_: &mut Building) {
    let s = box_.sizes;
    let (w, l) = (s.width, s.length);
    let mut h = s.height;
    if box_.design.room_covers {
        room_covers(box_);
        h += box_.board.of("inner cover");
    }
    let (t, under) = (box_.board.of("cover"), box_.board.of("cover cleat"));
    let reach = s.stands_out + box_.design.cover_play / 2.0;
    let cleat = box_.design.cover_cleat;
    let (front, back) = (-reach - cleat, l + reach + cleat);
    let over = box_.design.cover_overhang;
    let first = box_.panels.len();
    box_.add("cover", "cover", Facing::Up, [-over, front, h], [w + over, back, h + t]);
    if !box_.design.room_covers {
        bee_space_under(box_, first);
    }
    box_.add("front cover cleat", "cover cleat", Facing::Down, [0.0, front, h - under], [w, -reach, h]);
    box_.add("back cover cleat", "cover cleat", Facing::Down, [0.0, l + reach, h - under], [w, back, h]);
    if box_.design.room_covers {
        // The first pair goes down beside the rooms' covers; the second catches the box.
        let (foot, top) = (h - 2.0 * under, h - under);
        box_.add("front lower cover cleat", "cover cleat", Facing::Down, [0.0, front, foot], [w, -reach, top]);
        box_.add("back lower cover cleat", "cover cleat", Facing::Down, [0.0, l + reach, foot], [w, back, top]);
    }
    belong(box_, first, "cover");
}

/// A board as large as the box with the cleats on its ends, and a hole in its middle.
fn inner(box_: &mut Building) {
    if box_.design.room_covers {
        return room_covers(box_);
    }
    let s = box_.sizes;
    let hole = box_.design.cover_hole;
    let first = box_.panels.len();
    let out = s.stands_out;
    let top = s.height + box_.board.of("inner cover");
    let panel =
        box_.add("inner cover", "inner cover", Facing::Up, [0.0, -out, s.height], [s.width, s.length + out, top]);
    if hole > 0.0 {
        let middle = panel.outline.bounds().center();
        panel.holes.push(Hole::round(HoleUse::Feed, middle, hole));
    }
    bee_space_under(box_, first);
    belong(box_, first, "inner cover");
}

/// An inner cover for each room, to the middle of the boards beside it.
fn room_covers(box_: &mut Building) {
    let s = box_.sizes;
    let (hole, out) = (box_.design.cover_hole, s.stands_out);
    let rooms = box_.rooms();
    let top = s.height + box_.board.of("inner cover");
    for (i, room) in rooms.iter().enumerate() {
        let beside = (s.partition - APART) / 2.0;
        let from = if i == 0 { 0.0 } else { room.from - beside };
        let to = if i + 1 == rooms.len() { s.width } else { room.to + beside };
        let first = box_.panels.len();
        let name = format!("{} room cover", super::rooms::ordinal(i));
        let panel = box_.add(&name, "inner cover", Facing::Up, [from, -out, s.height], [to, s.length + out, top]);
        if hole > 0.0 {
            let middle = panel.place.to_flat(DVec3::new(room.middle(), s.length / 2.0, 0.0)).0;
            panel.holes.push(Hole::round(HoleUse::Feed, middle, hole));
        }
        let panel = &mut box_.panels[first];
        if box_.design.bee_space() == BeeSpace::Bottom {
            recess_over(&box_.joinery, panel, (room.from, room.to), (s.end, s.length - s.end));
        }
        belong(box_, first, &name);
    }
}

/// A board with a rim all round that reaches down over the box, on the inner cover.
fn telescoping(box_: &mut Building) {
    let s = box_.sizes;
    let [t, side, end] = ["cover", "cover side rim", "cover end rim"].map(|family| box_.board.of(family));
    let play = box_.design.cover_play / 2.0;
    let (x0, x1) = (-play, s.width + play);
    let (y0, y1) = (-s.stands_out - play, s.length + s.stands_out + play);
    let top = s.height + box_.board.of("inner cover");
    let foot = top - box_.design.cover_rim;
    let first = box_.panels.len();
    box_.add("cover", "cover", Facing::Up, [x0 - side, y0 - end, top], [x1 + side, y1 + end, top + t]);
    box_.add("left cover rim", "cover side rim", Facing::Left, [x0 - side, y0 - end, foot], [x0, y1 + end, top]);
    box_.add("right cover rim", "cover side rim", Facing::Right, [x1, y0 - end, foot], [x1 + side, y1 + end, top]);
    box_.add("front cover rim", "cover end rim", Facing::Front, [x0, y0 - end, foot], [x1, y0, top]);
    box_.add("back cover rim", "cover end rim", Facing::Back, [x0, y1, foot], [x1, y1 + end, top]);
    belong(box_, first, "cover");
}

/// Frames level with the box's upper edge have their bee space in a recess under the cover.
fn bee_space_under(box_: &mut Building, cover: usize) {
    if box_.design.bee_space() == BeeSpace::Top {
        return;
    }
    let s = box_.sizes;
    for room in box_.rooms() {
        recess_over(&box_.joinery, &mut box_.panels[cover], (room.from, room.to), (s.end, s.length - s.end));
    }
}

/// A bee space deep, over a room between these x and y.
fn recess_over(joinery: &Joinery, panel: &mut Panel, x: (f64, f64), y: (f64, f64)) {
    let a = panel.place.to_flat(DVec3::new(x.0, y.0, 0.0)).0;
    let b = panel.place.to_flat(DVec3::new(x.1, y.1, 0.0)).0;
    let depth = RECESS.min(panel.thickness - 1.0);
    joinery.recess(panel, Face::Inner, Rect::from_points(a, b), depth, "bee space");
}

fn belong(box_: &mut Building, first: usize, sub_assembly: &str) {
    for panel in &mut box_.panels[first..] {
        panel.sub_assembly = sub_assembly.into();
    }
}
