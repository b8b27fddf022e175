//! Frames hang in the room that added boards leave them, and the point from which a cavity is measured lies in the free.

use super::room::Room;
use crate::design::{Assembly, Panel};
use std::ops::Range;

/// Less of each other than this is nothing (mm).
const TOUCH: f64 = 1.0;

/// Moves the row of frames into the middle of the widest room that boards leave across it, and the inside point with it.
pub(super) fn settle(assembly: &mut Assembly, room: Room) {
    let stands =
        |panel: &&Panel| (panel.added.is_some() && panel.sub_assembly.is_empty()) || panel.family == "division board";
    let Some(inside) = assembly.inside else { return };
    if let Some(frames) = &mut assembly.frames {
        // Rooms of a kind's own have their frames where they are.
        if !frames.rooms.is_empty() {
            return;
        }
        let (half, depth) = (frames.frame.body_length.value / 2.0, frames.frame.depth.value);
        let top = frames.rest + frames.frame.lug_thickness.value;
        let (y, z) = ((frames.middle.1 - half, frames.middle.1 + half), (top - depth, top));
        let across = |panel: &&Panel| {
            let (low, high) = panel.bounds();
            let over = |axis: usize, (from, to): (f64, f64)| high[axis].min(to) - low[axis].max(from) > TOUCH;
            over(0, (room.least.x, room.most.x)) && over(1, y) && over(2, z)
        };
        let added = assembly.panels.iter().filter(stands).filter(across).any(|panel| panel.added.is_some());
        if added {
            let taken = assembly.panels.iter().filter(stands).filter(across);
            let taken = taken.map(|panel| (panel.bounds().0.x, panel.bounds().1.x));
            frames.middle.0 = middle_of_widest(room.least.x..room.most.x, taken.collect());
            assembly.inside = Some(inside.with_x(frames.middle.0));
        }
        return;
    }
    // Where a board stands on the inside point, it goes to the wider side.
    let covers = |panel: &&Panel| {
        let (low, high) = panel.bounds();
        (0..3).all(|axis| low[axis] - TOUCH < inside[axis] && inside[axis] < high[axis] + TOUCH)
    };
    let Some(on_it) = assembly.panels.iter().filter(stands).find(covers) else { return };
    let Some(axis) = super::room::axis_of(on_it) else { return };
    let (low, high) = on_it.bounds();
    let mut moved = inside;
    moved[axis] = middle_of_widest(room.least[axis]..room.most[axis], vec![(low[axis], high[axis])]);
    if axis == 2 {
        moved.z = room.least.z + TOUCH;
    }
    assembly.inside = Some(moved);
}

/// The middle of the widest stretch that is not taken.
fn middle_of_widest(all: Range<f64>, mut taken: Vec<(f64, f64)>) -> f64 {
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    taken.push((all.end, all.end));
    let (mut from, mut best) = (all.start, (f64::NEG_INFINITY, f64::midpoint(all.start, all.end)));
    for (start, end) in taken {
        if start - from > best.0 + TOUCH / 2.0 {
            best = (start - from, f64::midpoint(from, start));
        }
        from = from.max(end);
    }
    best.1
}
