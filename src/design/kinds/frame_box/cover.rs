//! What closes a frame box above.

use super::{Building, Cover};
use crate::design::{Face, Facing, Hole, HoleUse};
use crate::geometry::Rect;
use crate::profile::BeeSpace;
use glam::DVec3;

/// Depth of the recess under a cover where the frames are level with the box's upper edge: a bee space, and no more wood
/// than it takes (mm).
const RECESS: f64 = 6.5;

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
    let (w, l, h) = (s.width, s.length, s.height);
    let (t, under) = (box_.board.of("cover"), box_.board.of("cover cleat"));
    let reach = s.stands_out + box_.design.cover_play / 2.0;
    let cleat = box_.design.cover_cleat;
    let (front, back) = (-reach - cleat, l + reach + cleat);
    let over = box_.design.cover_overhang;
    let first = box_.panels.len();
    box_.add("cover", "cover", Facing::Up, [-over, front, h], [w + over, back, h + t]);
    bee_space_under(box_, first);
    box_.add("front cover cleat", "cover cleat", Facing::Down, [0.0, front, h - under], [w, -reach, h]);
    box_.add("back cover cleat", "cover cleat", Facing::Down, [0.0, l + reach, h - under], [w, back, h]);
    belong(box_, first, "cover");
}

/// A board as large as the box with the cleats on its ends, and a hole in its middle.
fn inner(box_: &mut Building) {
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
    let panel = &mut box_.panels[cover];
    let a = panel.place.to_flat(DVec3::new(s.side, s.end, 0.0)).0;
    let b = panel.place.to_flat(DVec3::new(s.width - s.side, s.length - s.end, 0.0)).0;
    let depth = RECESS.min(panel.thickness - 1.0);
    box_.joinery.recess(panel, Face::Inner, Rect::from_points(a, b), depth, "bee space");
}

fn belong(box_: &mut Building, first: usize, sub_assembly: &str) {
    for panel in &mut box_.panels[first..] {
        panel.sub_assembly = sub_assembly.into();
    }
}
