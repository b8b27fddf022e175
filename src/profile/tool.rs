//! A tool that turns in a router's spindle.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a tool can do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToolKind {
    /// Cuts along its side.
    EndMill,
    /// Goes straight down, nothing else.
    Drill,
}

crate::words!(ToolKind: EndMill = "end-mill", Drill = "drill");

/// A cutter or a drill. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Tool {
    pub name: String,
    pub title: String,
    pub kind: ToolKind,
    pub diameter: Sourced<f64>,
    /// Length of the cutting edge: nothing deeper can be cut.
    pub flute_length: Sourced<f64>,
    pub flutes: Sourced<f64>,
    /// Advance per tooth, least and most, at a depth of one diameter.
    pub chip_load: Sourced<[f64; 2]>,
    /// Revolutions per minute it is meant for.
    pub speed: Sourced<f64>,
    /// Steepest descent into wood, in degrees below the horizontal. For a drill 90.
    pub ramp_angle: Sourced<f64>,
    /// Depth of one pass as a share of the diameter.
    pub pass_depth: Sourced<f64>,
}

const KIND: Key = key("kind", Takes::Words(ToolKind::NAMES), Unless::Needed, "what kind of tool it is");
const DIAMETER: Key = key("diameter", Takes::Length(0.5, 200.0), Unless::Needed, "diameter that it cuts");
const FLUTE_LENGTH: Key = key("flute-length", Takes::Length(1.0, 300.0), Unless::Needed, "length of the cutting edge");
const FLUTES: Key = key("flutes", Takes::Whole(1, 12), Unless::Needed, "number of cutting edges");
const CHIP_LOAD: Key =
    key("chip-load", Takes::Lengths("[least, most]", 0.005, 3.0), Unless::Needed, "advance per tooth, least and most");
const SPEED: Key = key("speed", Takes::Number(100.0, 60_000.0), Unless::Needed, "revolutions per minute");
const RAMP_ANGLE: Key =
    key("ramp-angle", Takes::Number(0.5, 90.0), Unless::Needed, "steepest way into wood, degrees; 90 for a drill");
const PASS_DEPTH: Key =
    key("pass-depth", Takes::Number(0.05, 5.0), Unless::Needed, "depth of one pass over the diameter");

impl Tool {
    /// A pass may be this much deeper than its profile says, which gives a round figure (common practice).
    pub const DEEPER: f64 = 1.1;

    /// A strip of wood no thicker than this share of the diameter is taken at the tool's side to any depth (common practice).
    pub const LIGHT: f64 = 0.25;
}

impl Profile for Tool {
    const FOLDER: &'static str = "tools";
    const ONE: &'static str = "tool";
    const KEYS: &'static [Key] = &[KIND, DIAMETER, FLUTE_LENGTH, FLUTES, CHIP_LOAD, SPEED, RAMP_ANGLE, PASS_DEPTH];

    fn read(name: &str, title: String, table: &Table) -> Option<Tool> {
        let kind = table.sourced(&KIND, Table::choice);
        let diameter = table.sourced(&DIAMETER, Table::length);
        let flute_length = table.sourced(&FLUTE_LENGTH, Table::length);
        let flutes = table.sourced(&FLUTES, |figure, key| figure.whole(key).map(f64::from));
        let chip_load = table.sourced(&CHIP_LOAD, |figure, key| figure.rising(key, figure.lengths(key)));
        let speed = table.sourced(&SPEED, Table::number);
        let ramp_angle = table.sourced(&RAMP_ANGLE, Table::number);
        let pass_depth = table.sourced(&PASS_DEPTH, Table::number);
        Some(Tool {
            name: name.into(),
            title,
            kind: kind?.value,
            diameter: diameter?,
            flute_length: flute_length?,
            flutes: flutes?,
            chip_load: chip_load?,
            speed: speed?,
            ramp_angle: ramp_angle?,
            pass_depth: pass_depth?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Tool>> {
        &profiles.tools
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Tool>> {
        &mut profiles.tools
    }
}
