//! A box for hanging frames: nucleus box, brood body or super.

use super::Kind;
use crate::design::{Assembly, Design, Facing, HungFrames, Panel};
use crate::job::Board;
use crate::profile::{Frame, Profiles};
use crate::reading::{Key, Table, key};
use crate::units::INCH;
use glam::DVec3;
use std::sync::Arc;

/// A box whose ends are lower than its sides, so that the frames' lugs rest on them; a cleat outside each end closes
/// the gap above. Lengths in millimetres.
///
/// The defaults give the sizes that makers cut for five deep frames in half-inch stock.
#[derive(Clone, Debug)]
pub struct FrameBox {
    pub frame: Arc<Frame>,
    pub frames: u32,
    pub floor: Floor,
    pub cover: Cover,
    /// Rest to rest, beyond the top bar's length.
    pub lug_gap: f64,
    /// Inside width beyond frames × spacing.
    pub side_gap: f64,
    /// Below the frames.
    pub below: f64,
    /// Above the top bars.
    pub above: f64,
    /// How far the floor reaches out in front.
    pub lip: f64,
    /// How far the cover reaches out on each side.
    pub cover_overhang: f64,
    /// Play of the cover's cleats over the box's length, in all.
    pub cover_play: f64,
    /// Height of the cleats that close the gap above the ends.
    pub rest_cleat: f64,
    /// Width of the cleats under the cover's ends.
    pub cover_cleat: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Floor {
    /// Nailed under the walls, with a landing lip in front.
    Fixed,
    None,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// Flat, with a cleat under each end that catches the box.
    Cleated,
    None,
}

const FRAME: Key = key("frame", "a profile", "", "the frame it takes: see `nestwright profiles`");
const FRAMES: Key = key("frames", "1 to 20", "", "how many frames");
const CORNER: Key = key("corner", "butt", "butt", "how the walls meet");
const REST: Key = key("rest", "cleat", "cleat", "what the lugs rest on");
const FLOOR: Key = key("floor", "fixed | none", "fixed", "fixed: nailed under the walls, with a landing lip in front");
const COVER: Key = key("cover", "cleated | none", "cleated", "cleated: flat, with a cleat under each end");
const LUG_GAP: Key = key("lug-gap", "a length", "1/8 in", "rest to rest, beyond the top bar's length");
const SIDE_GAP: Key = key("side-gap", "a length", "5/8 in", "inside width beyond frames × spacing");
const BELOW: Key = key("below", "a length", "3/4 in", "space below the frames");
const ABOVE: Key = key("above", "a length", "3/8 in", "space above the top bars");
const LIP: Key = key("lip", "a length", "7/8 in", "how far the floor reaches out in front");
const COVER_OVERHANG: Key = key("cover-overhang", "a length", "1/4 in", "how far the cover reaches out on each side");
const COVER_PLAY: Key = key("cover-play", "a length", "3/8 in", "play of the cover's cleats along the box, in all");
const REST_CLEAT: Key = key("rest-cleat", "a length", "2 in", "height of the cleats outside the ends");
const COVER_CLEAT: Key = key("cover-cleat", "a length", "3/4 in", "width of the cleats under the cover's ends");

pub(super) const KIND: Kind = Kind {
    name: "frame-box",
    about: "hangs frames: nucleus box, brood body or super",
    keys: &[
        FRAME,
        FRAMES,
        CORNER,
        REST,
        FLOOR,
        COVER,
        LUG_GAP,
        SIDE_GAP,
        BELOW,
        ABOVE,
        LIP,
        COVER_OVERHANG,
        COVER_PLAY,
        REST_CLEAT,
        COVER_CLEAT,
    ],
    read: |table, profiles| FrameBox::read(table, profiles).map(|design| Arc::new(design) as Arc<dyn Design>),
};

impl FrameBox {
    /// A box for `frames` of these frames with every choice at its default.
    pub fn new(frame: Arc<Frame>, frames: u32) -> FrameBox {
        FrameBox {
            frame,
            frames,
            floor: Floor::Fixed,
            cover: Cover::Cleated,
            lug_gap: INCH / 8.0,
            side_gap: INCH * 5.0 / 8.0,
            below: INCH * 3.0 / 4.0,
            above: INCH * 3.0 / 8.0,
            lip: INCH * 7.0 / 8.0,
            cover_overhang: INCH / 4.0,
            cover_play: INCH * 3.0 / 8.0,
            rest_cleat: INCH * 2.0,
            cover_cleat: INCH * 3.0 / 4.0,
        }
    }

    fn read(table: &Table, profiles: &Profiles) -> Option<FrameBox> {
        let frame = table.needed(&FRAME, table.profile::<Frame>(FRAME.name, profiles));
        let frames = table.needed(&FRAMES, table.whole(FRAMES.name, 1..=20));
        table.choice(CORNER.name, &[("butt", ())]);
        table.choice(REST.name, &[("cleat", ())]);
        let floor = table.choice(FLOOR.name, &[("fixed", Floor::Fixed), ("none", Floor::None)]);
        let cover = table.choice(COVER.name, &[("cleated", Cover::Cleated), ("none", Cover::None)]);
        let length = |key: &Key, most: f64| table.length(key.name, 0.0..=most);
        let gaps = [length(&LUG_GAP, 50.0), length(&SIDE_GAP, 200.0), length(&BELOW, 200.0), length(&ABOVE, 100.0)];
        let lip = length(&LIP, 300.0);
        let cover_sizes = [length(&COVER_OVERHANG, 200.0), length(&COVER_PLAY, 100.0)];
        let rest_cleat = table.length(REST_CLEAT.name, 10.0..=500.0);
        let cover_cleat = table.length(COVER_CLEAT.name, 5.0..=200.0);
        let plain = FrameBox::new(frame?, frames?);
        Some(FrameBox {
            floor: floor.unwrap_or(plain.floor),
            cover: cover.unwrap_or(plain.cover),
            lug_gap: gaps[0].unwrap_or(plain.lug_gap),
            side_gap: gaps[1].unwrap_or(plain.side_gap),
            below: gaps[2].unwrap_or(plain.below),
            above: gaps[3].unwrap_or(plain.above),
            lip: lip.unwrap_or(plain.lip),
            cover_overhang: cover_sizes[0].unwrap_or(plain.cover_overhang),
            cover_play: cover_sizes[1].unwrap_or(plain.cover_play),
            rest_cleat: rest_cleat.unwrap_or(plain.rest_cleat),
            cover_cleat: cover_cleat.unwrap_or(plain.cover_cleat),
            ..plain
        })
    }
}

impl Design for FrameBox {
    fn build(&self, board: &Board) -> Assembly {
        let t = board.thickness;
        let frame = &self.frame;
        let lug = frame.lug_thickness.value;
        let inside = f64::from(self.frames) * frame.spacing.value + self.side_gap;
        let width = inside + 2.0 * t;
        let length = frame.top_bar_length.value + self.lug_gap;
        let rest = frame.depth.value - lug + self.below;
        let height = rest + lug + self.above;

        let block = |name, family, facing, least: [f64; 3], most: [f64; 3]| {
            Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most))
        };
        let mut panels = vec![
            block("left side", "side", Facing::Left, [0.0, 0.0, 0.0], [t, length, height]),
            block("right side", "side", Facing::Right, [width - t, 0.0, 0.0], [width, length, height]),
            block("front", "front", Facing::Front, [t, 0.0, 0.0], [width - t, t, rest]),
            block("back", "back", Facing::Back, [t, length - t, 0.0], [width - t, length, rest]),
        ];
        if self.floor == Floor::Fixed {
            panels.push(block("floor", "floor", Facing::Down, [0.0, -self.lip, -t], [width, length, 0.0]));
        }
        let foot = height - self.rest_cleat;
        panels.push(block("front rest cleat", "rest cleat", Facing::Front, [0.0, -t, foot], [width, 0.0, height]));
        panels.push(block(
            "back rest cleat",
            "rest cleat",
            Facing::Back,
            [0.0, length, foot],
            [width, length + t, height],
        ));
        if self.cover == Cover::Cleated {
            let reach = t + self.cover_play / 2.0;
            let (front, back) = (-reach - self.cover_cleat, length + reach + self.cover_cleat);
            let over = self.cover_overhang;
            let cover = [
                block("cover", "cover", Facing::Up, [-over, front, height], [width + over, back, height + t]),
                block(
                    "front cover cleat",
                    "cover cleat",
                    Facing::Down,
                    [0.0, front, height - t],
                    [width, -reach, height],
                ),
                block(
                    "back cover cleat",
                    "cover cleat",
                    Facing::Down,
                    [0.0, length + reach, height - t],
                    [width, back, height],
                ),
            ];
            panels.extend(cover.map(|panel| panel.in_sub_assembly("cover")));
        }
        Assembly {
            frames: Some(HungFrames {
                frame: Arc::clone(frame),
                count: self.frames,
                middle: (width / 2.0, length / 2.0),
                rest,
            }),
            inside: Some(DVec3::new(width / 2.0, length / 2.0, 1.0)),
            ..Assembly::new(panels)
        }
    }
}
