//! A router with a controller that reads RS274/NGC.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, key};
use crate::units::Units;
use std::collections::BTreeMap;
use std::sync::Arc;

/// How the machine gets another tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToolChange {
    /// It can't: one program per tool.
    None,
    /// M6 fetches the tool from a magazine.
    Automatic,
}

/// Where the program's Z is zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZZero {
    /// On the sheet's upper face.
    SheetTop,
    /// On the spoilboard under the sheet.
    Spoilboard,
}

/// A router. Lengths in millimetres, feeds in millimetres per minute.
#[derive(Clone, Debug)]
pub struct Machine {
    pub name: String,
    pub title: String,
    /// Units of its programs.
    pub units: Units,
    /// Reach in X, Y and Z.
    pub travel: Sourced<[f64; 3]>,
    pub rapid: Sourced<f64>,
    pub feed: Sourced<f64>,
    pub plunge: Sourced<f64>,
    /// Slowest and fastest spindle, revolutions per minute.
    pub spindle: Sourced<[f64; 2]>,
    /// Seconds to wait for the spindle to come up to speed.
    pub spin_up: Sourced<f64>,
    pub tool_change: Sourced<ToolChange>,
    /// Understands G81 and G83.
    pub canned_cycles: Sourced<bool>,
    pub z_zero: Sourced<ZZero>,
    /// Height above the sheet at which rapid moves are safe.
    pub clear: Sourced<f64>,
    /// How far a through cut may go into the spoilboard.
    pub spoilboard: Sourced<f64>,
    /// Digits after the point of a coordinate.
    pub decimals: Sourced<f64>,
}

const UNITS: Key = key("units", "figure", "", "\"mm\" or \"in\": units of its programs");
const TRAVEL: Key = key("travel", "figure", "", "reach in X, Y and Z");
const RAPID: Key = key("rapid", "figure", "", "speed of rapid moves, a length per minute");
const FEED: Key = key("feed", "figure", "", "fastest feed, a length per minute");
const PLUNGE: Key = key("plunge", "figure", "", "fastest feed straight down, a length per minute");
const SPINDLE: Key = key("spindle", "figure", "", "slowest and fastest spindle, revolutions per minute");
const SPIN_UP: Key = key("spin-up", "figure", "", "seconds the spindle takes to come up to speed");
const TOOL_CHANGE: Key = key("tool-change", "figure", "", "\"none\" or \"automatic\"");
const CANNED_CYCLES: Key = key("canned-cycles", "figure", "", "true when it knows G81 and G83");
const Z_ZERO: Key = key("z-zero", "figure", "", "\"sheet-top\" or \"spoilboard\"");
const CLEAR: Key = key("clear", "figure", "", "height above the sheet for rapid moves");
const SPOILBOARD: Key = key("spoilboard", "figure", "", "how far a through cut may go into the spoilboard");
const DECIMALS: Key = key("decimals", "figure", "", "digits after the point of a coordinate");

impl Profile for Machine {
    const FOLDER: &'static str = "machines";
    const ONE: &'static str = "machine";
    const KEYS: &'static [Key] = &[
        UNITS,
        TRAVEL,
        RAPID,
        FEED,
        PLUNGE,
        SPINDLE,
        SPIN_UP,
        TOOL_CHANGE,
        CANNED_CYCLES,
        Z_ZERO,
        CLEAR,
        SPOILBOARD,
        DECIMALS,
    ];

    fn read(name: &str, title: String, table: &Table) -> Option<Machine> {
        let units = table
            .sourced(&UNITS, |figure| figure.choice("value", &[("mm", Units::Millimetres), ("in", Units::Inches)]));
        let travel = table.sourced(&TRAVEL, |figure| figure.lengths::<3>("value", 10.0..=20_000.0));
        let speed = |key: &Key| table.sourced(key, |figure| figure.length("value", 10.0..=100_000.0));
        let (rapid, feed, plunge) = (speed(&RAPID), speed(&FEED), speed(&PLUNGE));
        let spindle = table.sourced(&SPINDLE, |figure| figure.numbers::<2>("value", 100.0..=60_000.0));
        let spin_up = table.sourced(&SPIN_UP, |figure| figure.number("value", 0.0..=60.0));
        let tool_change = table.sourced(&TOOL_CHANGE, |figure| {
            figure.choice("value", &[("none", ToolChange::None), ("automatic", ToolChange::Automatic)])
        });
        let canned_cycles = table.sourced(&CANNED_CYCLES, |figure| figure.flag("value"));
        let z_zero = table.sourced(&Z_ZERO, |figure| {
            figure.choice("value", &[("sheet-top", ZZero::SheetTop), ("spoilboard", ZZero::Spoilboard)])
        });
        let clear = table.sourced(&CLEAR, |figure| figure.length("value", 1.0..=100.0));
        let spoilboard = table.sourced(&SPOILBOARD, |figure| figure.length("value", 0.0..=5.0));
        let decimals = table.sourced(&DECIMALS, |figure| figure.number("value", 2.0..=6.0));
        Some(Machine {
            name: name.into(),
            title,
            units: units?.value,
            travel: travel?,
            rapid: rapid?,
            feed: feed?,
            plunge: plunge?,
            spindle: spindle?,
            spin_up: spin_up?,
            tool_change: tool_change?,
            canned_cycles: canned_cycles?,
            z_zero: z_zero?,
            clear: clear?,
            spoilboard: spoilboard?,
            decimals: decimals?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Machine>> {
        &profiles.machines
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Machine>> {
        &mut profiles.machines
    }
}
