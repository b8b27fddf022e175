//! The keys of a frame box in a spec, and which of them go together.

use super::super::corner::{CORNER, FINGER, JOINT_PLAY};
use super::{Corner, Cover, Floor, FrameBox, Handhold, Rest, SoftCover, Walls};
use crate::design::{Design, kinds::Kind};
use crate::profile::{BeeSpace, Frame, Profiles};
use crate::reading::{Key, Table, key};
use std::sync::Arc;

pub(super) const FRAME: Key = key(
    "frame",
    "a profile, or { top-bar-length = …, body-length = …, depth = …, lug-thickness = … }",
    "",
    "the frame it takes: see `nestwright profiles`, or write yours down",
);
const FRAMES: Key = key("frames", "1 to 20", "", "how many frames");
const WALLS: Key = key("walls", "sides | ends", "sides", "which walls are as long as the box");
pub(super) const REST: Key = key(
    "rest",
    "cleat | rabbet | inner-wall",
    "cleat",
    "what the lugs rest on: lower ends with a cleat outside, a rabbet in the ends, or a ledge on a wall further in",
);
const BEE_SPACE: Key = key("bee-space", "top | bottom", "the frame's standard", "above the frames or below them");
const FLOOR: Key = key(
    "floor",
    "fixed | loose | none",
    "fixed",
    "fixed: nailed under the walls, with a landing lip; loose: with a rim and an entrance slot",
);
const COVER: Key = key(
    "cover",
    "cleated | telescoping | inner | none",
    "cleated",
    "cleated: flat, with a cleat under each end; telescoping: reaches over the box, on an inner cover; inner: that alone",
);
const HANDHOLD: Key = key(
    "handhold",
    "none | cleat | slot | recess",
    "none",
    "cleat: outside the ends; slot: through them; recess: in the outside of walls that have nothing cut inside",
);
const DIVISION_BOARD: Key = key("division-board", "true | false", "false", "a board that hangs beside the frames");
const ENTRANCE_BLOCK: Key = key("entrance-block", "true | false", "false", "a block for the slot of a loose floor");
pub(super) const ENTRANCE: Key =
    key("entrance", "[width, height]", "[100 mm, 5/16 in]", "of the way through the entrance block");
const SOFT_COVER: Key = key("soft-cover", "canvas | house-wrap", "none", "a sheet on the top bars, cut to the opening");
const LUG_GAP: Key = key("lug-gap", "a length", "1/8 in", "rest to rest, beyond the top bar's length");
const SIDE_GAP: Key = key("side-gap", "a length", "5/8 in, or the trade's box", "inside width beyond frames × spacing");
const END_GAP: Key = key(
    "end-gap",
    "a length",
    "5/16 in, or the trade's box",
    "between end bars and walls; with a cleat rest the lugs settle it",
);
const BELOW: Key =
    key("below", "a length", "3/4 in over a fixed floor, else the trade's box", "space below the frames");
const ABOVE: Key =
    key("above", "a length", "3/8 in over a fixed floor, else 1/4 in; bottom bee space: 0", "space above the top bars");
const LIP: Key = key("lip", "a length", "7/8 in", "how far the floor reaches out in front");
const RIM: Key = key(
    "rim",
    "a length",
    "3/4 in, or what leaves 1 in below the frames",
    "height of a loose floor's rim and entrance slot",
);
const COVER_OVERHANG: Key =
    key("cover-overhang", "a length", "1/4 in", "how far a cleated cover reaches out at the sides");
const COVER_PLAY: Key =
    key("cover-play", "a length", "3/8 in", "play of a cover's cleats along the box, or of its rim both ways, in all");
const COVER_RIM: Key = key("cover-rim", "a length", "2 in", "height of a telescoping cover's rim");
const COVER_HOLE: Key = key("cover-hole", "a length", "1 1/4 in", "diameter of the hole in an inner cover; 0 for none");
pub(super) const REST_CLEAT: Key = key(
    "rest-cleat",
    "a length",
    "2 in",
    "height of the cleats outside the ends, or of the rails in front of inner walls",
);
const COVER_CLEAT: Key = key("cover-cleat", "a length", "3/4 in", "width of the cleats under the cover's ends");

pub(in crate::design::kinds) const KIND: Kind = Kind {
    name: "frame-box",
    about: "hangs frames: nucleus box, brood body or super",
    keys: &[
        FRAME,
        FRAMES,
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
        let frames = table.needed(&FRAMES, table.whole(FRAMES.name, 1..=20));
        let rests = [("cleat", Rest::Cleat), ("rabbet", Rest::Rabbet), ("inner-wall", Rest::InnerWall)];
        let floors = [("fixed", Floor::Fixed), ("loose", Floor::Loose), ("none", Floor::None)];
        let covers = [
            ("cleated", Cover::Cleated),
            ("telescoping", Cover::Telescoping),
            ("inner", Cover::Inner),
            ("none", Cover::None),
        ];
        let handholds = [
            ("none", Handhold::None),
            ("cleat", Handhold::Cleat),
            ("slot", Handhold::Slot),
            ("recess", Handhold::Recess),
        ];
        let cloths = [("canvas", SoftCover::Canvas), ("house-wrap", SoftCover::HouseWrap)];
        let corner = Corner::read(table);
        let walls = table.choice(WALLS.name, &[("sides", Walls::Sides), ("ends", Walls::Ends)]);
        let rest = table.choice(REST.name, &rests);
        let bee_space = table.choice(BEE_SPACE.name, &BeeSpace::ALL);
        let floor = table.choice(FLOOR.name, &floors);
        let cover = table.choice(COVER.name, &covers);
        let handhold = table.choice(HANDHOLD.name, &handholds);
        let division_board = table.flag(DIVISION_BOARD.name);
        let entrance_block = table.flag(ENTRANCE_BLOCK.name);
        let entrance = table.lengths::<2>(ENTRANCE.name, 4.0..=1000.0);
        let soft_cover = table.choice(SOFT_COVER.name, &cloths);
        let length = |key: &Key, least: f64, most: f64| table.length(key.name, least..=most);
        let lug_gap = length(&LUG_GAP, 0.0, 50.0);
        let (side_gap, end_gap) = (length(&SIDE_GAP, 0.0, 200.0), length(&END_GAP, 0.0, 50.0));
        let (below, above) = (length(&BELOW, 0.0, 200.0), length(&ABOVE, 0.0, 100.0));
        let (lip, rim) = (length(&LIP, 0.0, 300.0), length(&RIM, 5.0, 150.0));
        let cover_overhang = length(&COVER_OVERHANG, 0.0, 200.0);
        let cover_play = length(&COVER_PLAY, 0.0, 100.0);
        let cover_rim = length(&COVER_RIM, 20.0, 300.0);
        let cover_hole = length(&COVER_HOLE, 0.0, 200.0);
        let rest_cleat = length(&REST_CLEAT, 10.0, 500.0);
        let cover_cleat = length(&COVER_CLEAT, 5.0, 200.0);
        let finger = length(&FINGER, 3.0, 200.0);
        let joint_play = length(&JOINT_PLAY, 0.0, 0.3);
        let plain = FrameBox::new(frame?, frames?);
        let design = FrameBox {
            corner: corner.unwrap_or(plain.corner),
            walls: walls.unwrap_or(plain.walls),
            rest: rest.unwrap_or(plain.rest),
            bee_space,
            floor: floor.unwrap_or(plain.floor),
            cover: cover.unwrap_or(plain.cover),
            handhold: handhold.unwrap_or(plain.handhold),
            division_board: division_board.unwrap_or(plain.division_board),
            entrance_block: entrance_block.unwrap_or(plain.entrance_block),
            soft_cover,
            lug_gap: lug_gap.unwrap_or(plain.lug_gap),
            side_gap,
            end_gap,
            below,
            above,
            lip: lip.unwrap_or(plain.lip),
            rim,
            entrance: entrance.unwrap_or(plain.entrance),
            cover_overhang: cover_overhang.unwrap_or(plain.cover_overhang),
            cover_play: cover_play.unwrap_or(plain.cover_play),
            cover_rim: cover_rim.unwrap_or(plain.cover_rim),
            cover_hole: cover_hole.unwrap_or(plain.cover_hole),
            rest_cleat: rest_cleat.unwrap_or(plain.rest_cleat),
            cover_cleat: cover_cleat.unwrap_or(plain.cover_cleat),
            finger,
            joint_play: joint_play.unwrap_or(plain.joint_play),
            spots: table.spots(KIND.keys),
            ..plain
        };
        design.goes_together(table).then_some(design)
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

    /// Keys that serve with some choices only: whether they do with these, and which choices they go with.
    fn serve(&self) -> [(&'static Key, bool, &'static str); 10] {
        let cleated = self.cover == Cover::Cleated;
        let has_inner_cover = matches!(self.cover, Cover::Telescoping | Cover::Inner);
        [
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
