//! A tool that turns in a router's spindle.

use super::{Profile, Profiles};
use crate::geometry::math::tan;
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

/// In which direction an end mill's edges throw the chips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flute {
    /// Up out of the slot; it frays the upper face.
    UpCut,
    /// Down into the slot; it frays the lower face, and the chips stay.
    DownCut,
    /// Up at its tip and down above: both faces stay clean once the tip is below the upper face.
    Compression,
    /// Neither.
    Straight,
}

crate::words!(Flute: UpCut = "up-cut", DownCut = "down-cut", Compression = "compression", Straight = "straight");

/// A cutter or a drill. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Tool {
    pub name: String,
    pub title: String,
    pub kind: ToolKind,
    pub diameter: Sourced<f64>,
    /// How far a drill's centre point reaches below its edges. Its Z is that of the point.
    pub point: Sourced<f64>,
    pub flute: Sourced<Flute>,
    /// Length of the up-cut tip of a compression bit.
    pub up_cut_tip: Option<Sourced<f64>>,
    /// Length of the cutting edge: nothing deeper can be cut.
    pub flute_length: Sourced<f64>,
    pub flutes: Sourced<f64>,
    /// Advance per tooth, least and most, at a depth of one diameter.
    pub chip_load: Sourced<[f64; 2]>,
    /// Revolutions per minute it is meant for.
    pub speed: Sourced<f64>,
    /// The fastest that it may turn, where that is known.
    pub highest_speed: Option<Sourced<f64>>,
    /// Steepest descent into wood, in degrees below the horizontal. For a drill 90.
    pub ramp_angle: Sourced<f64>,
    /// Depth of one pass as a share of the diameter.
    pub pass_depth: Sourced<f64>,
}

const KIND: Key = key("kind", Takes::Words(ToolKind::NAMES), Unless::Needed, "what kind of tool it is");
const DIAMETER: Key = key("diameter", Takes::Length(0.5, 200.0), Unless::Needed, "diameter that it cuts");
const POINT_LENGTH: Key = key(
    "point-length",
    Takes::Length(0.0, 50.0),
    Unless::Mm(0.0),
    "how far a drill's centre point reaches below its edges; Z is then set with the point",
);
const POINT_ANGLE: Key = key(
    "point-angle",
    Takes::Number(60.0, 180.0),
    Unless::Rule("no cone"),
    "degrees of the cone at a drill's end, instead of `point-length`",
);
const FLUTE: Key =
    key("flute", Takes::Words(Flute::NAMES), Unless::Word("up-cut"), "in which direction an end mill throws the chips");
const UP_CUT_TIP: Key = key(
    "up-cut-tip",
    Takes::Length(0.5, 50.0),
    Unless::Rule("needed for a compression bit"),
    "length of the up-cut tip of a compression bit: the first pass goes deeper",
);
const HIGHEST_SPEED: Key = key(
    "highest-speed",
    Takes::Number(100.0, 60_000.0),
    Unless::Rule("not known"),
    "fastest that the tool may turn, revolutions per minute",
);
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
    const KEYS: &'static [Key] = &[
        KIND,
        DIAMETER,
        POINT_LENGTH,
        POINT_ANGLE,
        FLUTE,
        UP_CUT_TIP,
        FLUTE_LENGTH,
        FLUTES,
        CHIP_LOAD,
        SPEED,
        HIGHEST_SPEED,
        RAMP_ANGLE,
        PASS_DEPTH,
    ];

    fn read(name: &str, title: String, table: &Table) -> Option<Tool> {
        let kind = table.sourced(&KIND, Table::choice);
        let diameter = table.sourced(&DIAMETER, Table::length);
        let flute_length = table.sourced(&FLUTE_LENGTH, Table::length);
        let flutes = table.sourced(&FLUTES, |figure, key| figure.whole(key).map(f64::from));
        let chip_load = table.sourced(&CHIP_LOAD, |figure, key| figure.rising(key, figure.lengths(key)));
        let speed = table.sourced(&SPEED, Table::number);
        let maybe = |key: &Key, read: fn(&Table, &Key) -> Option<f64>| {
            if table.has(key.name) { table.sourced(key, read).map(Some) } else { Some(None) }
        };
        let highest_speed = maybe(&HIGHEST_SPEED, |figure, key| figure.number(key));
        let flute = table.sourced_or(&FLUTE, FLUTE.word(), Table::choice);
        let up_cut_tip = maybe(&UP_CUT_TIP, |figure, key| figure.length(key));
        let point = table.sourced_or(&POINT_LENGTH, POINT_LENGTH.mm(), Table::length);
        let angle = maybe(&POINT_ANGLE, |figure, key| figure.number(key));
        let ramp_angle = table.sourced(&RAMP_ANGLE, Table::number);
        let pass_depth = table.sourced(&PASS_DEPTH, Table::number);
        fits_its_kind(table, kind.as_ref()?.value, flute.as_ref()?.value);
        let diameter = diameter?;
        let point = match angle? {
            Some(angle) => Sourced { value: cone(diameter.value, angle.value), source: angle.source },
            None => point?,
        };
        Some(Tool {
            name: name.into(),
            title,
            kind: kind?.value,
            diameter,
            point,
            flute: flute?,
            up_cut_tip: up_cut_tip?,
            flute_length: flute_length?,
            flutes: flutes?,
            chip_load: chip_load?,
            speed: speed?,
            highest_speed: highest_speed?,
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

/// Height of the cone at the end of a drill of this diameter (mm), by the angle at its tip in degrees.
fn cone(diameter: f64, angle: f64) -> f64 {
    if angle >= 180.0 { 0.0 } else { diameter / 2.0 / tan(angle.to_radians() / 2.0) }
}

/// Complains of figures that a tool of this kind does not have, or that contradict each other.
fn fits_its_kind(table: &Table, kind: ToolKind, flute: Flute) {
    let odd = |key: &Key, message: &str, expected: &str| {
        if let Some(spot) = table.spot(key.name) {
            table.desk.problem(spot, format!("`{}` {message}", key.name), expected, "");
        }
    };
    if kind == ToolKind::EndMill {
        for key in [&POINT_LENGTH, &POINT_ANGLE] {
            odd(key, "is of a drill", "expected kind = \"drill\" beside it");
        }
    } else {
        for key in [&FLUTE, &UP_CUT_TIP] {
            odd(key, "is of an end mill", "expected kind = \"end-mill\" beside it");
        }
    }
    if table.has(POINT_LENGTH.name) {
        odd(&POINT_ANGLE, "says the length of the point once more", "expected one of `point-length` and `point-angle`");
    }
    let compression = flute == Flute::Compression;
    if !compression {
        odd(&UP_CUT_TIP, "changes nothing here", "expected flute = \"compression\" beside it");
    } else if !table.has(UP_CUT_TIP.name) {
        odd(&FLUTE, "does not tell how long the up-cut tip is", "expected `up-cut-tip` beside a compression bit");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A drill of 118 degrees has a point of 0.30 of its diameter: the usual allowance in tables for blind holes
    /// (Machinery's Handbook, from memory).
    #[test]
    fn a_cone_is_as_long_as_tables_say() {
        assert!((cone(10.0, 118.0) - 3.0).abs() < 0.01);
        assert!((cone(10.0, 90.0) - 5.0).abs() < 1e-9);
        assert_eq!(cone(10.0, 180.0), 0.0);
    }
}
