//! The keys of a frame box in a spec, and which of them go together.

use super::super::corner::{CORNER, FINGER, JOINT_PLAY};
use super::{Corner, Cover, Floor, FrameBox, Handhold, Rest, SoftCover, Walls};
use crate::design::{Design, kinds::Kind};
use crate::profile::{BeeSpace, Frame, Profiles};
use crate::reading::{Key, Table, Takes, Unless, key};
use std::sync::Arc;

/// No box takes more: a long hive.
const MOST_FRAMES: u32 = 40;

pub(super) const FRAME: Key = key(
    "frame",
    Takes::Said("a profile, or { top-bar-length = …, body-length = …, depth = …, lug-thickness = … }"),
    Unless::Needed,
    "the frame it takes, by its profile; or write yours down",
);
pub(super) const FRAMES: Key =
    key("frames", Takes::Whole(1, MOST_FRAMES), Unless::Needed, "how many frames").or(&[("compartments", "[2, 2, 2]")]);
pub(super) const COMPARTMENTS: Key = key(
    "compartments",
    Takes::Said("[2, 2, 2]"),
    Unless::Rule("one room"),
    "frames in each of several rooms side by side, with fixed boards between them; `frames` is then their sum",
);
pub(super) const ROOM_ENTRANCE: Key = key(
    "room-entrance",
    Takes::Lengths("[width, height]", 0.0, 300.0),
    Unless::Pair(&[Unless::Mm(40.0), Unless::Mm(9.0)]),
    "with `compartments` over a fixed floor: a slot for each room, out to another side where it can; [0, 0] for none",
);
pub(super) const ROOM_COVERS: Key = key(
    "room-covers",
    Takes::Flag,
    Unless::Is(false),
    "with `compartments`: an inner cover of its own for each room, so that one is opened at a time",
);
pub(super) const WALLS: Key =
    key("walls", Takes::Words(Walls::NAMES), Unless::Word("sides"), "which walls are as long as the box");
pub(super) const REST: Key = key(
    "rest",
    Takes::Words(Rest::NAMES),
    Unless::Word("cleat"),
    "what the lugs rest on: lower ends with a cleat outside, a rabbet in the ends, or a ledge on a wall further in",
);
pub(super) const BEE_SPACE: Key = key(
    "bee-space",
    Takes::Words(BeeSpace::NAMES),
    Unless::Rule("the frame's standard"),
    "above the frames or below them",
);
pub(super) const FLOOR: Key = key(
    "floor",
    Takes::Words(Floor::NAMES),
    Unless::Word("fixed"),
    "fixed: nailed under the walls, with a landing lip; loose: with a rim and an entrance slot",
);
pub(super) const COVER: Key = key(
    "cover",
    Takes::Words(Cover::NAMES),
    Unless::Word("cleated"),
    "cleated: flat, with a cleat under each end; telescoping: reaches over the box, on an inner cover; inner: that alone",
);
pub(super) const HANDHOLD: Key = key(
    "handhold",
    Takes::Words(Handhold::NAMES),
    Unless::Word("none"),
    "cleat: outside the ends; slot: through them; recess: in the outside of walls that have nothing cut inside",
);
pub(super) const DIVISION_BOARD: Key =
    key("division-board", Takes::Flag, Unless::Is(false), "a board that hangs beside the frames");
pub(super) const ENTRANCE_BLOCK: Key =
    key("entrance-block", Takes::Flag, Unless::Is(false), "a block for the slot of a loose floor");
pub(super) const ENTRANCE: Key = key(
    "entrance",
    Takes::Lengths("[width, height]", 4.0, 1000.0),
    Unless::Pair(&[Unless::Mm(100.0), Unless::Inch(5.0 / 16.0)]),
    "of the way through the entrance block",
);
pub(super) const SOFT_COVER: Key = key(
    "soft-cover",
    Takes::Words(SoftCover::NAMES),
    Unless::Rule("none"),
    "a sheet on the top bars, cut to the opening",
);
pub(super) const LUG_GAP: Key = key(
    "lug-gap",
    Takes::Length(0.0, 50.0),
    Unless::Or(&Unless::Inch(1.0 / 8.0), ", on cleats more where thick ends would come too near to the frames"),
    "from rest to rest beyond the top bar",
);
pub(super) const SIDE_GAP: Key = key(
    "side-gap",
    Takes::Length(0.0, 200.0),
    Unless::Or(&Unless::Inch(5.0 / 8.0), ", or the trade's box"),
    "inside width beyond frames × spacing",
);
pub(super) const END_GAP: Key = key(
    "end-gap",
    Takes::Length(0.0, 50.0),
    Unless::Or(&Unless::Inch(5.0 / 16.0), ", or the trade's box"),
    "between end bars and walls; with a cleat rest the lugs settle it",
);
pub(super) const BELOW: Key = key(
    "below",
    Takes::Length(0.0, 200.0),
    Unless::Rule("3/4 in over a fixed floor, else the trade's box"),
    "space below the frames",
);
pub(super) const ABOVE: Key = key(
    "above",
    Takes::Length(0.0, 100.0),
    Unless::Rule("3/8 in over a fixed floor, else 1/4 in; bottom bee space: 0"),
    "space above the top bars",
);
pub(super) const LIP: Key =
    key("lip", Takes::Length(0.0, 300.0), Unless::Inch(7.0 / 8.0), "how far the floor reaches out in front");
pub(super) const RIM: Key = key(
    "rim",
    Takes::Length(5.0, 150.0),
    Unless::Rule("3/4 in, or what leaves 1 in below the frames"),
    "height of a loose floor's rim and entrance slot",
);
pub(super) const COVER_OVERHANG: Key = key(
    "cover-overhang",
    Takes::Length(0.0, 200.0),
    Unless::Inch(1.0 / 4.0),
    "how far a cleated cover reaches out at the sides",
);
pub(super) const COVER_PLAY: Key = key(
    "cover-play",
    Takes::Length(0.0, 100.0),
    Unless::Inch(3.0 / 8.0),
    "play of a cover's cleats along the box, or of its rim both ways, in all",
);
pub(super) const COVER_RIM: Key =
    key("cover-rim", Takes::Length(20.0, 300.0), Unless::Inch(2.0), "height of a telescoping cover's rim");
pub(super) const COVER_HOLE: Key = key(
    "cover-hole",
    Takes::Length(0.0, 200.0),
    Unless::Inch(1.0 + 1.0 / 4.0),
    "diameter of the hole in an inner cover; 0 for none",
);
pub(super) const REST_CLEAT: Key = key(
    "rest-cleat",
    Takes::Length(10.0, 500.0),
    Unless::Inch(2.0),
    "height of the cleats outside the ends, or of the rails in front of inner walls",
);
pub(super) const COVER_CLEAT: Key = key(
    "cover-cleat",
    Takes::Length(5.0, 200.0),
    Unless::Inch(3.0 / 4.0),
    "width of the cleats under the cover's ends",
);

pub(in crate::design::kinds) const KIND: Kind = Kind {
    name: "frame-box",
    about: "hangs frames: nucleus box, brood body or super",
    keys: &[
        FRAME,
        FRAMES,
        COMPARTMENTS,
        ROOM_ENTRANCE,
        ROOM_COVERS,
        CORNER,
        WALLS,
        REST,
        BEE_SPACE,
        FLOOR,
        COVER,
        HANDHOLD,
        DIVISION_BOARD,
        ENTRANCE_BLOCK,
        ENTRANCE,
        SOFT_COVER,
        LUG_GAP,
        SIDE_GAP,
        END_GAP,
        BELOW,
        ABOVE,
        LIP,
        RIM,
        COVER_OVERHANG,
        COVER_PLAY,
        COVER_RIM,
        COVER_HOLE,
        REST_CLEAT,
        COVER_CLEAT,
        FINGER,
        JOINT_PLAY,
    ],
    read: |table, profiles| FrameBox::read(table, profiles).map(|design| Arc::new(design) as Arc<dyn Design>),
};

/// How many frames: told, or the sum of those in the rooms.
fn frames(table: &Table, rooms: Option<&[u32]>) -> Option<u32> {
    let told = table.whole(&FRAMES);
    let Some(rooms) = rooms else {
        return if table.has(COMPARTMENTS.name) { told } else { table.needed(&FRAMES, told) };
    };
    let sum: u32 = rooms.iter().sum();
    let problem = |key: &Key, message: String, expected: String| {
        table.desk.problem(table.spot(key.name).unwrap_or(table.span.clone()), message, expected, "");
    };
    if sum > MOST_FRAMES {
        problem(
            &COMPARTMENTS,
            format!("the rooms take {sum} frames in all"),
            format!("expected at most {MOST_FRAMES} frames in one box"),
        );
        return None;
    }
    if told.is_some_and(|told| told != sum) {
        let expected = format!("expected frames = {sum}, or none of it");
        problem(&FRAMES, format!("the rooms take {sum} frames together"), expected);
        return None;
    }
    Some(sum)
}

/// A frame by name, or as the maker writes it down.
fn frame(table: &Table, profiles: &Profiles) -> Option<Arc<Frame>> {
    if table.is_table(FRAME.name) {
        return Frame::own(&table.table(FRAME.name)?).map(Arc::new);
    }
    table.profile::<Frame>(FRAME.name, profiles)
}

impl FrameBox {
    fn read(table: &Table, profiles: &Profiles) -> Option<FrameBox> {
        let frame = table.needed(&FRAME, frame(table, profiles));
        let rooms = table.wholes_within(COMPARTMENTS.name, 2, 1..=MOST_FRAMES);
        let frames = frames(table, rooms.as_deref());
        // Where the frame is wrong, the other keys are looked at all the same, with another.
        let any = frame.clone().or_else(|| profiles.all::<Frame>().next().cloned())?;
        let plain = FrameBox::new(any, frames.unwrap_or(1));
        let design = FrameBox {
            corner: table.chosen(&CORNER),
            walls: table.chosen(&WALLS),
            rest: table.chosen(&REST),
            bee_space: table.choice(&BEE_SPACE),
            floor: table.chosen(&FLOOR),
            cover: table.chosen(&COVER),
            handhold: table.chosen(&HANDHOLD),
            rooms: rooms.unwrap_or_default(),
            room_entrance: table.pair(&ROOM_ENTRANCE),
            room_covers: table.is(&ROOM_COVERS),
            division_board: table.is(&DIVISION_BOARD),
            entrance_block: table.is(&ENTRANCE_BLOCK),
            soft_cover: table.choice(&SOFT_COVER),
            lug_gap: table.length(&LUG_GAP),
            side_gap: table.length(&SIDE_GAP),
            end_gap: table.length(&END_GAP),
            below: table.length(&BELOW),
            above: table.length(&ABOVE),
            lip: table.mm(&LIP),
            rim: table.length(&RIM),
            entrance: table.pair(&ENTRANCE),
            cover_overhang: table.mm(&COVER_OVERHANG),
            cover_play: table.mm(&COVER_PLAY),
            cover_rim: table.mm(&COVER_RIM),
            cover_hole: table.mm(&COVER_HOLE),
            rest_cleat: table.mm(&REST_CLEAT),
            cover_cleat: table.mm(&COVER_CLEAT),
            finger: table.length(&FINGER),
            joint_play: table.mm(&JOINT_PLAY),
            spots: table.spots(KIND.keys),
            ..plain
        };
        (frame.is_some() && frames.is_some() && design.goes_together(table)).then_some(design)
    }

    /// Points at choices that contradict each other, and says what would do.
    fn goes_together(&self, table: &Table) -> bool {
        let mut all_well = true;
        let mut wrong = |key: &Key, or: &Key, message: &str, expected: &str| {
            let spot = table.spot(key.name).or_else(|| table.spot(or.name));
            table.desk.problem(spot.unwrap_or(table.span.clone()), message, expected, "");
            all_well = false;
        };
        if self.walls == Walls::Ends && self.rest == Rest::Cleat {
            wrong(
                &WALLS,
                &REST,
                "with a cleat rest the ends are lower than the sides: if they ran through, the corners would be open",
                "expected walls = \"sides\", or rest = \"rabbet\"",
            );
        }
        if self.walls == Walls::Ends && self.rest == Rest::InnerWall {
            wrong(
                &WALLS,
                &REST,
                "inner walls stand between the sides",
                "expected walls = \"sides\", or rest = \"rabbet\"",
            );
        }
        if self.corner == Corner::Finger && self.rest == Rest::InnerWall {
            wrong(
                &CORNER,
                &REST,
                "an inner wall stands away from the corner: there is nothing for fingers to meet",
                "expected corner = \"butt\" or \"rabbet\"",
            );
        }
        if self.handhold == Handhold::Recess && self.walls_for_recess().is_none() {
            wrong(
                &HANDHOLD,
                &CORNER,
                "all four walls have something cut into their inner faces: a recess outside would have to be cut from \
                 the other side",
                "expected handhold = \"cleat\" or \"slot\", or corner = \"butt\" or \"finger\"",
            );
        }
        if self.handhold != Handhold::None && self.rest == Rest::InnerWall {
            wrong(
                &HANDHOLD,
                &REST,
                "the room under the rails in front of the inner walls is the handhold",
                "expected handhold = \"none\"",
            );
        }
        if self.handhold == Handhold::Cleat && self.rest == Rest::Cleat {
            wrong(&HANDHOLD, &REST, "the rest cleats are the handhold", "expected handhold = \"none\"");
        }
        self.parted(&mut wrong);
        if self.entrance_block && self.floor != Floor::Loose {
            wrong(
                &ENTRANCE_BLOCK,
                &FLOOR,
                "an entrance block closes the slot of a loose floor",
                "expected floor = \"loose\"",
            );
        }
        for (key, serves, expected) in self.serve() {
            if table.has(key.name) && !serves {
                wrong(key, key, &format!("`{}` changes nothing here", key.name), expected);
            }
        }
        all_well
    }

    /// What does not go together with several rooms.
    fn parted(&self, wrong: &mut impl FnMut(&Key, &Key, &str, &str)) {
        if self.rooms.len() > 1 && self.floor == Floor::Loose {
            wrong(
                &FLOOR,
                &COMPARTMENTS,
                "over a loose floor the rooms would meet under the boards between them",
                "expected floor = \"fixed\" or \"none\"",
            );
        }
        if self.rooms.len() > 1 && self.division_board {
            wrong(
                &DIVISION_BOARD,
                &COMPARTMENTS,
                "rooms have fixed boards between them, and no room for one that hangs",
                "expected no `division-board` beside `compartments`",
            );
        }
        if self.room_covers && self.cover == Cover::None {
            wrong(
                &ROOM_COVERS,
                &COVER,
                "without a cover over them the rooms' own would lie in the rain",
                "expected cover = \"cleated\", \"telescoping\" or \"inner\"",
            );
        }
    }

    /// Keys that serve with some choices only: whether they do with these, and which choices they go with.
    fn serve(&self) -> [(&'static Key, bool, &'static str); 12] {
        let cleated = self.cover == Cover::Cleated;
        let has_inner_cover = matches!(self.cover, Cover::Telescoping | Cover::Inner) || self.room_covers;
        let parted = self.rooms.len() > 1;
        [
            (
                &ROOM_ENTRANCE,
                parted && self.floor == Floor::Fixed,
                "expected `compartments` and floor = \"fixed\" beside it",
            ),
            (&ROOM_COVERS, parted, "expected `compartments` beside it"),
            (&FINGER, self.corner == Corner::Finger, "expected corner = \"finger\" beside it"),
            (&END_GAP, self.rest != Rest::Cleat, "expected rest = \"rabbet\" or \"inner-wall\" beside it"),
            (&REST_CLEAT, self.rest != Rest::Rabbet, "expected rest = \"cleat\" or \"inner-wall\" beside it"),
            (&LIP, self.floor != Floor::None, "expected floor = \"fixed\" or \"loose\" beside it"),
            (&RIM, self.floor == Floor::Loose, "expected floor = \"loose\" beside it"),
            (&ENTRANCE, self.entrance_block, "expected entrance-block = true beside it"),
            (&COVER_OVERHANG, cleated, "expected cover = \"cleated\" beside it"),
            (&COVER_CLEAT, cleated, "expected cover = \"cleated\" beside it"),
            (&COVER_RIM, self.cover == Cover::Telescoping, "expected cover = \"telescoping\" beside it"),
            (&COVER_HOLE, has_inner_cover, "expected cover = \"telescoping\" or \"inner\" beside it"),
        ]
    }
}
