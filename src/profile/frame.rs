//! A frame that bees build their comb in.

use super::{Profile, Profiles, TITLE};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// On which side of the frames the standard leaves the bee space.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BeeSpace {
    /// Frame tops a bee space below the box's upper edge.
    Top,
    /// Frame tops level with the box's upper edge.
    Bottom,
}

crate::words!(BeeSpace: Top = "top", Bottom = "bottom");

/// A standard frame: a top bar whose ends, the lugs, hang on the box, and a body below it. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Frame {
    pub name: String,
    pub title: String,
    /// Top bar from lug end to lug end.
    pub top_bar_length: Sourced<f64>,
    pub top_bar_width: Sourced<f64>,
    /// How thick a lug is, top to bottom.
    pub lug_thickness: Sourced<f64>,
    /// How wide a lug is, where it is narrower than the top bar.
    pub lug_width: Option<Sourced<f64>>,
    /// Outside of one end bar to outside of the other.
    pub body_length: Sourced<f64>,
    /// From the top of the top bar to the underside of the bottom bar.
    pub depth: Sourced<f64>,
    /// Centre of one frame to centre of the next.
    pub spacing: Sourced<f64>,
    pub bee_space: Sourced<BeeSpace>,
    /// The trade's box for these frames, where it has one.
    pub standard_box: Option<StandardBox>,
}

/// The box that the trade makes for a frame.
#[derive(Clone, Debug)]
pub struct StandardBox {
    /// How many frames it takes.
    pub frames: Sourced<u32>,
    /// Clear inside, across the frames and along them.
    pub inside: Option<Sourced<[f64; 2]>>,
    /// Outside, likewise. Where both are known the outside holds, whatever the walls are made of.
    pub outside: Option<Sourced<[f64; 2]>>,
    pub height: Sourced<f64>,
}

const TOP_BAR_LENGTH: Key =
    key("top-bar-length", Takes::Length(1.0, 1000.0), Unless::Needed, "top bar from lug end to lug end");
const TOP_BAR_WIDTH: Key = key("top-bar-width", Takes::Length(1.0, 100.0), Unless::Needed, "width of the top bar");
const LUG_THICKNESS: Key =
    key("lug-thickness", Takes::Length(1.0, 50.0), Unless::Needed, "how thick a lug is, top to bottom");
const LUG_WIDTH: Key = key("lug-width", Takes::Length(1.0, 100.0), Unless::Rule("as the top bar"), "how wide a lug is");
const BODY_LENGTH: Key =
    key("body-length", Takes::Length(1.0, 1000.0), Unless::Needed, "outside of one end bar to outside of the other");
const DEPTH: Key =
    key("depth", Takes::Length(1.0, 1000.0), Unless::Needed, "top of the top bar to underside of the bottom bar");
const SPACING: Key =
    key("spacing", Takes::Length(1.0, 100.0), Unless::Needed, "centre of one frame to centre of the next");
const BEE_SPACE: Key =
    key("bee-space", Takes::Words(BeeSpace::NAMES), Unless::Needed, "where the standard leaves the bee space");
const BOX_FRAMES: Key =
    key("box-frames", Takes::Whole(1, 20), Unless::Rule("none"), "how many frames the trade's box takes");
const BOX_INSIDE: Key = key(
    "box-inside",
    Takes::Lengths("[across, along]", 50.0, 2000.0),
    Unless::Rule("none"),
    "the trade's box inside: across the frames, along them",
);
const BOX_OUTSIDE: Key = key(
    "box-outside",
    Takes::Lengths("[across, along]", 50.0, 2000.0),
    Unless::Rule("none"),
    "the trade's box outside: across the frames, along them",
);
const BOX_HEIGHT: Key =
    key("box-height", Takes::Length(1.0, 1000.0), Unless::Rule("none"), "height of the trade's box");

/// Where the figures of a frame stand, and whether each must name its source.
struct Figures<'a, 'b> {
    table: &'a Table<'b>,
    own: bool,
}

impl Figures<'_, '_> {
    /// A figure with its source; of a maker's own frame also a plain one.
    fn get<T>(&self, key: &Key, read: impl Fn(&Table, &Key) -> Option<T>) -> Option<Sourced<T>> {
        if !self.own || self.table.is_table(key.name) {
            return self.table.sourced(key, |figure, value| read(figure, value));
        }
        let value = self.table.needed(key, read(self.table, key));
        value.map(|value| Sourced { value, source: OWN.into() })
    }

    fn length(&self, key: &Key) -> Option<Sourced<f64>> {
        self.get(key, |table, key| table.length(key))
    }

    /// A figure that a maker's own frame may leave to common practice.
    fn usual<T>(&self, key: &Key, usual: T, read: impl Fn(&Table, &Key) -> Option<T>) -> Option<Sourced<T>> {
        if self.own && !self.table.has(key.name) {
            return Some(Sourced { value: usual, source: "common practice".into() });
        }
        self.get(key, read)
    }

    fn standard_box(&self) -> Option<StandardBox> {
        let sides = |key: &Key| self.table.has(key.name).then(|| self.get(key, |table, key| table.lengths::<2>(key)));
        let frames = self.get(&BOX_FRAMES, |table, key| table.whole(key));
        let (inside, outside) = (sides(&BOX_INSIDE), sides(&BOX_OUTSIDE));
        let height = self.length(&BOX_HEIGHT);
        Some(StandardBox { frames: frames?, inside: inside.flatten(), outside: outside.flatten(), height: height? })
    }
}

const OWN: &str = "the maker's own figure";

impl Frame {
    /// A frame as a maker writes it down in a spec: the keys of a frame profile, each with or without a source.
    pub fn own(table: &Table) -> Option<Frame> {
        table.only(&[&[TITLE], Frame::KEYS]);
        let title =
            table.name(TITLE.name).map_or_else(|| "a frame of the maker's own".into(), toml::Spanned::into_inner);
        Frame::from_figures("own", title, &Figures { table, own: true })
    }

    fn from_figures(name: &str, title: String, figures: &Figures) -> Option<Frame> {
        let table = figures.table;
        let top_bar_length = figures.length(&TOP_BAR_LENGTH);
        let top_bar_width = figures.usual(&TOP_BAR_WIDTH, 25.0, |table, key| table.length(key));
        let lug_thickness = figures.length(&LUG_THICKNESS);
        let lug_width = table.has(LUG_WIDTH.name).then(|| figures.length(&LUG_WIDTH));
        let body_length = figures.length(&BODY_LENGTH);
        let depth = figures.length(&DEPTH);
        let spacing = figures.usual(&SPACING, 35.0, |table, key| table.length(key));
        let bee_space = figures.usual(&BEE_SPACE, BeeSpace::Top, |table, key| table.choice(key));
        let standard_box = table.has(BOX_FRAMES.name).then(|| figures.standard_box());
        let frame = Frame {
            name: name.into(),
            title,
            top_bar_length: top_bar_length?,
            top_bar_width: top_bar_width?,
            lug_thickness: lug_thickness?,
            lug_width: lug_width.flatten(),
            body_length: body_length?,
            depth: depth?,
            spacing: spacing?,
            bee_space: bee_space?,
            standard_box: standard_box.flatten(),
        };
        let odd = |span: &Key, message: &str, expected: &str| {
            table.desk.problem(table.spot(span.name).unwrap_or(table.span.clone()), message, expected, "");
        };
        if frame.body_length.value >= frame.top_bar_length.value {
            odd(
                &BODY_LENGTH,
                "the frame's top bar is no longer than its body",
                "expected a body that the top bar reaches past at both ends",
            );
            return None;
        }
        if frame.lug_thickness.value >= frame.depth.value {
            odd(
                &LUG_THICKNESS,
                "the lug is as thick as the frame is deep",
                "expected less: a lug is part of the top bar",
            );
            return None;
        }
        Some(frame)
    }
}

impl Profile for Frame {
    const FOLDER: &'static str = "frames";
    const ONE: &'static str = "frame";
    const KEYS: &'static [Key] = &[
        TOP_BAR_LENGTH,
        TOP_BAR_WIDTH,
        LUG_THICKNESS,
        LUG_WIDTH,
        BODY_LENGTH,
        DEPTH,
        SPACING,
        BEE_SPACE,
        BOX_FRAMES,
        BOX_INSIDE,
        BOX_OUTSIDE,
        BOX_HEIGHT,
    ];

    fn read(name: &str, title: String, table: &Table) -> Option<Frame> {
        Frame::from_figures(name, title, &Figures { table, own: false })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Frame>> {
        &profiles.frames
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Frame>> {
        &mut profiles.frames
    }
}
