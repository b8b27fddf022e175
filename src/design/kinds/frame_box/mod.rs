//! A box for hanging frames: nucleus box, brood body or super.
//!
//! The frames hang from front to back. `sizes` reckons the box round them; `walls`, `floor`, `cover` and `extras` each
//! add their panels.

mod cover;
mod extras;
mod floor;
mod keys;
mod rooms;
mod sizes;
mod walls;

pub use super::corner::Corner;
pub(super) use keys::KIND;

use super::corner::{CORNER, JOINT_PLAY};
use crate::design::Board;
use crate::design::{Assembly, Design, Facing, Fitting, Footprint, HungFrames, Joinery, Opening, Panel, Reach};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::profile::{BeeSpace, Frame};
use crate::reading::{Key, Sourced, Spots};
use glam::DVec3;
use sizes::Sizes;
use std::sync::Arc;

/// A box for a number of these frames. Lengths in millimetres; what is `None` follows from the rest.
///
/// The defaults give the sizes that makers cut for five deep frames in half-inch stock.
#[derive(Clone, Debug)]
pub struct FrameBox {
    pub frame: Arc<Frame>,
    pub frames: u32,
    /// Frames in each of several rooms, from left to right: their sum is `frames`. Empty for one room.
    pub rooms: Vec<u32>,
    /// Width and height of each room's entrance; 0 for none.
    pub room_entrance: [f64; 2],
    /// Each room has an inner cover of its own.
    pub room_covers: bool,
    pub corner: Corner,
    pub walls: Walls,
    pub rest: Rest,
    /// `None` for what the frame's standard says.
    pub bee_space: Option<BeeSpace>,
    pub floor: Floor,
    pub cover: Cover,
    pub handhold: Handhold,
    /// A board that hangs beside the frames and closes off the room they leave.
    pub division_board: bool,
    /// A block for the slot of a loose floor.
    pub entrance_block: bool,
    pub soft_cover: Option<SoftCover>,
    /// Rest to rest, beyond the top bar's length.
    pub lug_gap: Option<f64>,
    /// Inside width beyond frames × spacing.
    pub side_gap: Option<f64>,
    /// Between the end bars and the walls, where the rest does not settle it.
    pub end_gap: Option<f64>,
    /// Below the frames.
    pub below: Option<f64>,
    /// Above the top bars.
    pub above: Option<f64>,
    /// How far the floor reaches out in front.
    pub lip: f64,
    /// Height of a loose floor's rim, which is that of its entrance slot.
    pub rim: Option<f64>,
    /// Width and height of the way through the entrance block.
    pub entrance: [f64; 2],
    /// How far a cleated cover reaches out on each side.
    pub cover_overhang: f64,
    /// Play of the cover's cleats along the box, and of a telescoping cover both ways, in all.
    pub cover_play: f64,
    /// Height of a telescoping cover's rim.
    pub cover_rim: f64,
    /// Diameter of the hole in an inner cover; 0 for none.
    pub cover_hole: f64,
    /// Height of the cleats outside the ends, or of the rails in front of an inner wall.
    pub rest_cleat: f64,
    /// Width of the cleats under the cover's ends.
    pub cover_cleat: f64,
    /// Width of fingers; `None` for about the thickness of the stock.
    pub finger: Option<f64>,
    /// Room across a joint.
    pub joint_play: f64,
    /// Where in the spec each choice stands.
    pub spots: Spots,
}

/// Which pair of walls is as long as the box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Walls {
    Sides,
    Ends,
}

crate::words!(Walls: Sides = "sides", Ends = "ends");

/// What the lugs rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// The ends are lower than the sides and the lugs lie on them; a cleat outside closes the gap above.
    Cleat,
    /// A rabbet along the upper inner edge of each end.
    Rabbet,
    /// A ledge on a lower wall that stands further in, behind a rail: room for long lugs.
    InnerWall,
}

crate::words!(Rest: Cleat = "cleat", Rabbet = "rabbet", InnerWall = "inner-wall");

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Floor {
    /// Nailed under the walls, with a landing lip in front.
    Fixed,
    /// Stands by itself, with a rim on three sides and an entrance slot in front.
    Loose,
    None,
}

crate::words!(Floor: Fixed = "fixed", Loose = "loose", None = "none");

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// Flat, with a cleat under each end that catches the box.
    Cleated,
    /// Reaches down over the box all round, on an inner cover.
    Telescoping,
    /// A flat inner cover alone.
    Inner,
    None,
}

crate::words!(Cover: Cleated = "cleated", Telescoping = "telescoping", Inner = "inner", None = "none");

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Handhold {
    None,
    /// A cleat outside each end.
    Cleat,
    /// A slot through each end.
    Slot,
    /// A recess in the outside of two walls.
    Recess,
}

crate::words!(Handhold: None = "none", Cleat = "cleat", Slot = "slot", Recess = "recess");

/// A sheet that lies on the top bars.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoftCover {
    Canvas,
    HouseWrap,
}

crate::words!(SoftCover: Canvas = "canvas", HouseWrap = "house-wrap");

impl FrameBox {
    /// A box for `frames` of these frames with every choice at its default.
    pub fn new(frame: Arc<Frame>, frames: u32) -> FrameBox {
        FrameBox {
            frame,
            frames,
            rooms: Vec::new(),
            room_entrance: keys::ROOM_ENTRANCE.pair(),
            room_covers: keys::ROOM_COVERS.flag(),
            corner: CORNER.word(),
            walls: keys::WALLS.word(),
            rest: keys::REST.word(),
            bee_space: None,
            floor: keys::FLOOR.word(),
            cover: keys::COVER.word(),
            handhold: keys::HANDHOLD.word(),
            division_board: keys::DIVISION_BOARD.flag(),
            entrance_block: keys::ENTRANCE_BLOCK.flag(),
            soft_cover: None,
            lug_gap: None,
            side_gap: None,
            end_gap: None,
            below: None,
            above: None,
            lip: keys::LIP.mm(),
            rim: None,
            entrance: keys::ENTRANCE.pair(),
            cover_overhang: keys::COVER_OVERHANG.mm(),
            cover_play: keys::COVER_PLAY.mm(),
            cover_rim: keys::COVER_RIM.mm(),
            cover_hole: keys::COVER_HOLE.mm(),
            rest_cleat: keys::REST_CLEAT.mm(),
            cover_cleat: keys::COVER_CLEAT.mm(),
            finger: None,
            joint_play: JOINT_PLAY.mm(),
            spots: Spots::default(),
        }
    }

    fn bee_space(&self) -> BeeSpace {
        self.bee_space.unwrap_or(self.frame.bee_space.value)
    }

    /// The frame as it hangs in this box: the maker may choose another bee space than its standard's.
    fn hung_frame(&self) -> Arc<Frame> {
        let mut frame = Arc::clone(&self.frame);
        if self.bee_space() != frame.bee_space.value {
            Arc::make_mut(&mut frame).bee_space =
                Sourced { value: self.bee_space(), source: "`bee-space` in the spec".into() };
        }
        frame
    }
}

impl Design for FrameBox {
    fn reaches(&self) -> Vec<Reach> {
        let cover = Reach { key: "cover-overhang", what: "the cover's overhang", length: self.cover_overhang };
        let lip = Reach { key: "lip", what: "the landing lip", length: self.lip };
        let cover = (self.cover == Cover::Cleated).then_some(cover);
        cover.into_iter().chain((self.floor != Floor::None).then_some(lip)).collect()
    }

    fn build(&self, board: &Board) -> Assembly {
        let sizes = Sizes::new(self, board);
        let mut box_ = Building {
            design: self,
            board,
            sizes,
            joinery: Joinery::new(board, self.joint_play),
            panels: Vec::new(),
            fittings: Vec::new(),
            openings: Vec::new(),
            refusals: Vec::new(),
        };
        walls::build(&mut box_);
        rooms::partitions(&mut box_);
        rooms::entrances(&mut box_);
        extras::handholds(&mut box_);
        floor::build(&mut box_);
        cover::build(&mut box_);
        extras::loose(&mut box_);
        let rooms = box_.rooms();
        let first = rooms.first().map_or(sizes.frames_middle, rooms::Room::middle);
        let rooms = if rooms.len() > 1 { rooms } else { Vec::new() };
        let inside = if rooms.is_empty() { sizes.frames_middle } else { first };
        let Building { panels, fittings, openings, refusals, .. } = box_;
        Assembly {
            frames: Some(HungFrames {
                frame: self.hung_frame(),
                count: self.frames,
                middle: (sizes.frames_middle, sizes.length / 2.0),
                rest: sizes.rest,
                spacing: sizes.spacing,
                rooms: rooms.iter().map(|room| (room.frames, room.middle())).collect(),
            }),
            inside: Some(DVec3::new(inside, sizes.length / 2.0, 1.0)),
            fittings,
            openings,
            footprint: Some(Footprint {
                outside: crate::geometry::Rect::new(0.0, 0.0, sizes.width, sizes.length),
                lower: if self.floor == Floor::Fixed { -board.of("floor") } else { 0.0 },
                upper: sizes.height,
            }),
            refusals,
            ..Assembly::new(panels)
        }
    }
}

/// A frame box as far as it is built.
struct Building<'a> {
    design: &'a FrameBox,
    board: &'a Board,
    sizes: Sizes,
    joinery: Joinery,
    panels: Vec<Panel>,
    fittings: Vec<Fitting>,
    openings: Vec<Opening>,
    refusals: Vec<Finding>,
}

impl Building<'_> {
    /// Adds a panel that fills a block.
    fn add(&mut self, name: &str, family: &str, facing: Facing, least: [f64; 3], most: [f64; 3]) -> &mut Panel {
        self.panels.push(Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most)));
        let last = self.panels.len() - 1;
        &mut self.panels[last]
    }

    /// Notes that the box cannot be built like this: what there is, what it takes, and what would do.
    fn refuse(&mut self, check: JobCheck, keys: &[Key], (measured, allowed): (Measure, Limits), advice: &str) {
        self.refuse_as(check, check.title(), keys, (measured, allowed), advice);
    }

    /// The same, in words of its own.
    fn refuse_as(
        &mut self,
        check: JobCheck,
        worded: &str,
        keys: &[Key],
        (measured, allowed): (Measure, Limits),
        advice: &str,
    ) {
        let refusal = Finding::measured(check, "", measured, allowed, Status::Refused)
            .worded(worded)
            .source("geometry of the joint")
            .advice(advice)
            .at(self.design.spots.of(keys));
        self.refusals.push(refusal);
    }
}
