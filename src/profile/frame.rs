//! A frame that bees build their comb in.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, key};
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
    /// Outside of one end bar to outside of the other.
    pub body_length: Sourced<f64>,
    /// From the top of the top bar to the underside of the bottom bar.
    pub depth: Sourced<f64>,
    /// Centre of one frame to centre of the next.
    pub spacing: Sourced<f64>,
    pub bee_space: Sourced<BeeSpace>,
}

const TOP_BAR_LENGTH: Key = key("top-bar-length", "figure", "", "top bar from lug end to lug end");
const TOP_BAR_WIDTH: Key = key("top-bar-width", "figure", "", "width of the top bar");
const LUG_THICKNESS: Key = key("lug-thickness", "figure", "", "how thick a lug is, top to bottom");
const BODY_LENGTH: Key = key("body-length", "figure", "", "outside of one end bar to outside of the other");
const DEPTH: Key = key("depth", "figure", "", "top of the top bar to underside of the bottom bar");
const SPACING: Key = key("spacing", "figure", "", "centre of one frame to centre of the next");
const BEE_SPACE: Key = key("bee-space", "figure", "", "\"top\" or \"bottom\": where the standard leaves the bee space");

impl Profile for Frame {
    const FOLDER: &'static str = "frames";
    const ONE: &'static str = "frame";
    const KEYS: &'static [Key] =
        &[TOP_BAR_LENGTH, TOP_BAR_WIDTH, LUG_THICKNESS, BODY_LENGTH, DEPTH, SPACING, BEE_SPACE];

    fn read(name: &str, title: String, table: &Table) -> Option<Frame> {
        let length = |key: &Key, most: f64| table.sourced(key, |figure| figure.length("value", 1.0..=most));
        let top_bar_length = length(&TOP_BAR_LENGTH, 1000.0);
        let top_bar_width = length(&TOP_BAR_WIDTH, 100.0);
        let lug_thickness = length(&LUG_THICKNESS, 50.0);
        let body_length = length(&BODY_LENGTH, 1000.0);
        let depth = length(&DEPTH, 1000.0);
        let spacing = length(&SPACING, 100.0);
        let bee_space = table.sourced(&BEE_SPACE, |figure| {
            figure.choice("value", &[("top", BeeSpace::Top), ("bottom", BeeSpace::Bottom)])
        });
        let frame = Frame {
            name: name.into(),
            title,
            top_bar_length: top_bar_length?,
            top_bar_width: top_bar_width?,
            lug_thickness: lug_thickness?,
            body_length: body_length?,
            depth: depth?,
            spacing: spacing?,
            bee_space: bee_space?,
        };
        let odd = |span: &Key, message: &str, expected: &str| {
            table.desk.problem(table.spot(span.name).unwrap_or(table.span.clone()), message, expected, "");
        };
        if frame.body_length.value >= frame.top_bar_length.value {
            odd(
                &BODY_LENGTH,
                "the frame's body is as long as its top bar",
                "the top bar must reach past it at both ends",
            );
            return None;
        }
        if frame.lug_thickness.value >= frame.depth.value {
            odd(&LUG_THICKNESS, "the lug is as thick as the frame is deep", "a lug is part of the top bar");
            return None;
        }
        Some(frame)
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Frame>> {
        &profiles.frames
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Frame>> {
        &mut profiles.frames
    }
}
