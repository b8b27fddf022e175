//! Rooms of a frame box: fixed boards between them, and a way out of each.

use super::keys::{COMPARTMENTS, ROOM_ENTRANCE};
use super::{Building, Floor, Rest, walls};
use crate::design::{Facing, Hole, HoleUse};
use crate::geometry::Outline;
use glam::DVec3;

/// Wood left under a room's entrance (mm).
const SILL: f64 = 8.0;

/// A room of the box: between which x it is, and the frames in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub from: f64,
    pub to: f64,
    pub frames: u32,
}

impl Room {
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.from, self.to)
    }
}

/// `first`, counted from the left.
pub(super) fn ordinal(index: usize) -> String {
    const WORDS: [&str; 10] =
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"];
    let number = index + 1;
    let ending = match (number % 10, number % 100) {
        (1, hundredth) if hundredth != 11 => "st",
        (2, hundredth) if hundredth != 12 => "nd",
        (3, hundredth) if hundredth != 13 => "rd",
        _ => "th",
    };
    WORDS.get(index).map_or_else(|| format!("{number}{ending}"), ToString::to_string)
}

impl Building<'_> {
    /// The rooms from left to right; of a box that is not parted the whole of it.
    pub(super) fn rooms(&self) -> Vec<Room> {
        let (s, design) = (self.sizes, self.design);
        if design.rooms.is_empty() {
            return vec![Room { from: s.side, to: s.width - s.side, frames: design.frames }];
        }
        let mut from = s.side;
        let room = |frames: &u32| {
            let to = from + f64::from(*frames) * s.spacing + s.room_gap;
            let room = Room { from, to, frames: *frames };
            from = to + s.partition;
            room
        };
        design.rooms.iter().map(room).collect()
    }
}

/// The boards between the rooms: from wall to wall below the rests, and over them as far as the lugs' ends, so that no bee gets
/// round.
pub(super) fn partitions(box_: &mut Building) {
    let s = box_.sizes;
    let rooms = box_.rooms();
    // Where rails close the lugs' room, as far as those, or as the room for lugs in them.
    let ears = match box_.design.rest {
        Rest::InnerWall => s.rest_to_rest.max(s.length - 2.0 * box_.board.of("rail")),
        Rest::Cleat => s.rest_to_rest,
        Rest::Rabbet => s.inside_length + 2.0 * walls::rabbet(&s),
    };
    let (length, body) = (ears, s.inside_length);
    let (from, to) = ((length - body) / 2.0, f64::midpoint(length, body));
    let front = (s.length - length) / 2.0;
    let shape = |rest: f64, high: f64| match from > 0.05 {
        false => Outline::rectangle(length, high),
        true => Outline::polygon([
            (from, 0.0),
            (to, 0.0),
            (to, rest),
            (length, rest),
            (length, high),
            (0.0, high),
            (0.0, rest),
            (from, rest),
        ]),
    };
    for (i, pair) in rooms.windows(2).enumerate() {
        let name = if rooms.len() == 2 { "partition".to_string() } else { format!("{} partition", ordinal(i)) };
        let (least, most) = ([pair[0].to, front, 0.0], [pair[1].from, front + length, s.height]);
        box_.add(&name, "partition", Facing::Right, least, most).outline = shape(s.rest, s.height);
    }
}

/// An entrance for each room, low in a wall of its own where there is one: the outer rooms out of the sides, those between them
/// out of the front and the back in turn.
pub(super) fn entrances(box_: &mut Building) {
    let rooms = box_.rooms();
    let [wide, high] = box_.design.room_entrance;
    if rooms.len() < 2 || box_.design.floor != Floor::Fixed || wide.min(high) <= 0.0 {
        return;
    }
    let s = box_.sizes;
    let spot = box_.design.spots.of(&[ROOM_ENTRANCE, COMPARTMENTS]);
    for (i, room) in rooms.iter().enumerate() {
        let wall = match i {
            0 => "left side",
            _ if i + 1 == rooms.len() => "right side",
            _ if i % 2 == 1 => "front",
            _ => "back",
        };
        let at = DVec3::new(room.middle(), s.length / 2.0, SILL + high / 2.0);
        for panel in box_.panels.iter_mut().filter(|panel| panel.name == wall) {
            let centre = panel.place.to_flat(at).0;
            let lying = Hole::slot(HoleUse::Entrance, centre, wide.max(high), wide.min(high));
            panel.holes.push(Hole { upright: high > wide, spot: spot.clone(), ..lying });
        }
    }
}
