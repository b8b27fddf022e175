//! A router with a controller that reads RS274/NGC.

use super::{Profile, Profiles};
use crate::geometry::math::ten_to;
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
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
    /// The program stops (M0) and the maker changes it.
    Pause,
}

crate::words!(ToolChange: None = "none", Automatic = "automatic", Pause = "pause");

/// How a program says a circular arc.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arcs {
    /// By its centre, I and J from where it starts.
    Centre,
    /// By its radius, R; never more than half a turn.
    Radius,
    /// It can't: chords within `arc-tolerance` of the arc.
    None,
}

crate::words!(Arcs: Centre = "centre", Radius = "radius", None = "none");

/// Where the program's Z is zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZZero {
    /// On the sheet's upper face.
    SheetTop,
    /// On the spoilboard under the sheet.
    Spoilboard,
}

crate::words!(ZZero: SheetTop = "sheet-top", Spoilboard = "spoilboard");

/// What stands round a program (ISO 6983-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProgramMarks {
    None,
    /// A percent sign on a line of its own, before and after it.
    Percent,
    /// That, and the program's number after the first.
    Number,
}

crate::words!(ProgramMarks: None = "none", Percent = "percent", Number = "number");

/// How a machine is to follow the path round corners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PathControl {
    /// As its control is set: the program says nothing.
    AsSet,
    /// Through every corner (G61): it stops there.
    Exact,
    /// No further from it than [`Machine::blend`] (G64 P).
    Blend,
}

crate::words!(PathControl: AsSet = "as-set", Exact = "exact", Blend = "blend");

/// Where on a sheet the program's X and Y are zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetZero {
    LowerLeft,
    LowerRight,
    UpperLeft,
    UpperRight,
    Centre,
}

crate::words!(SheetZero: LowerLeft = "lower-left", LowerRight = "lower-right", UpperLeft = "upper-left",
    UpperRight = "upper-right", Centre = "centre");

impl SheetZero {
    /// As shares of the sheet's length and width.
    pub fn shares(self) -> [f64; 2] {
        match self {
            SheetZero::LowerLeft => [0.0, 0.0],
            SheetZero::LowerRight => [1.0, 0.0],
            SheetZero::UpperLeft => [0.0, 1.0],
            SheetZero::UpperRight => [1.0, 1.0],
            SheetZero::Centre => [0.5, 0.5],
        }
    }

    /// On a sheet of this length and width (mm), from its lower-left corner.
    pub fn on(self, length: f64, width: f64) -> [f64; 2] {
        let [x, y] = self.shares();
        [x * length, y * width]
    }

    /// `lower-left corner of the sheet`
    pub fn told(self) -> &'static str {
        match self {
            SheetZero::LowerLeft => "lower-left corner of the sheet",
            SheetZero::LowerRight => "lower-right corner of the sheet",
            SheetZero::UpperLeft => "upper-left corner of the sheet",
            SheetZero::UpperRight => "upper-right corner of the sheet",
            SheetZero::Centre => "middle of the sheet",
        }
    }
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
    /// How far a hole for a registration pin may go into the spoilboard; left out: no sheet is turned over on it.
    pub pin_depth: Option<Sourced<f64>>,
    /// Digits after the point of a coordinate.
    pub decimals: Sourced<f64>,
    /// What its axes can be sped up by, mm/s².
    pub acceleration: Sourced<f64>,
    /// How far it may cut a corner rather than stop in it; with the acceleration this tells how much it slows down.
    pub corner: Sourced<f64>,
    pub arcs: Sourced<Arcs>,
    /// Largest distance between an arc and the chords that stand for it, where it has no arcs.
    pub arc_tolerance: Sourced<f64>,
    /// Where the spindle goes at the end of a program, X and Y from the sheet's corner.
    pub park: Sourced<[f64; 2]>,
    /// How high above the sheet it goes to there, where that is higher than `clear`.
    pub park_height: Option<Sourced<f64>>,
    /// Where it goes instead, X and Y by the machine's own zero, from the top of its reach (G53).
    pub park_machine: Option<Sourced<[f64; 2]>>,
    pub path_control: Sourced<PathControl>,
    pub sheet_zero: Sourced<SheetZero>,
    /// Lines are numbered in steps of this; 0 for no numbers.
    pub line_numbers: Sourced<f64>,
    pub program_marks: Sourced<ProgramMarks>,
    /// A whole number is written with its point: `X10.`
    pub decimal_point: Sourced<bool>,
    /// The P of a G4 or G82 counts milliseconds, not seconds.
    pub dwell_in_ms: Sourced<bool>,
    /// G43 H takes each tool's length from the controller's table.
    pub tool_length: Sourced<bool>,
    /// Codes that start and stop dust extraction or a coolant: `M8` and `M9`.
    pub relay: Option<Sourced<[String; 2]>>,
}

const UNITS: Key = key("units", Takes::Words(Units::NAMES), Unless::Needed, "units of its programs");
const TRAVEL: Key = key("travel", Takes::Lengths("[x, y, z]", 10.0, 20_000.0), Unless::Needed, "reach in X, Y and Z");
const RAPID: Key =
    key("rapid", Takes::Length(10.0, 100_000.0), Unless::Needed, "speed of rapid moves, a length per minute");
const FEED: Key = key("feed", Takes::Length(10.0, 100_000.0), Unless::Needed, "fastest feed, a length per minute");
const PLUNGE: Key =
    key("plunge", Takes::Length(10.0, 100_000.0), Unless::Needed, "fastest feed straight down, a length per minute");
const SPINDLE: Key = key(
    "spindle",
    Takes::Numbers("[slowest, fastest]", 100.0, 60_000.0),
    Unless::Needed,
    "slowest and fastest spindle, revolutions per minute",
);
const SPIN_UP: Key =
    key("spin-up", Takes::Number(0.0, 60.0), Unless::Needed, "seconds the spindle takes to come up to speed");
const TOOL_CHANGE: Key = key(
    "tool-change",
    Takes::Words(ToolChange::NAMES),
    Unless::Needed,
    "how it gets another tool: not at all, from a magazine, or from the hand that it waits for",
);
const CANNED_CYCLES: Key = key("canned-cycles", Takes::Flag, Unless::Needed, "true when it knows G81 and G83");
const Z_ZERO: Key = key("z-zero", Takes::Words(ZZero::NAMES), Unless::Needed, "where the program's Z is zero");
const CLEAR: Key = key("clear", Takes::Length(1.0, 100.0), Unless::Needed, "height above the sheet for rapid moves");
const SPOILBOARD: Key =
    key("spoilboard", Takes::Length(0.0, 5.0), Unless::Needed, "how far a through cut may go into the spoilboard");
const PIN_DEPTH: Key = key(
    "pin-depth",
    Takes::Length(2.0, 50.0),
    Unless::Rule("none"),
    "how far a hole for a registration pin may go into the spoilboard",
);
const DECIMALS: Key =
    key("decimals", Takes::Number(2.0, 6.0), Unless::Needed, "digits after the point of a coordinate");
const ACCELERATION: Key =
    key("acceleration", Takes::Length(5.0, 50_000.0), Unless::Mm(500.0), "of its axes, a length per second per second");
const CORNER: Key =
    key("corner", Takes::Length(0.001, 1.0), Unless::Mm(0.02), "how far it may cut a corner rather than stop in it");
const ARCS: Key = key(
    "arcs",
    Takes::Words(Arcs::NAMES),
    Unless::Word("centre"),
    "how a program says an arc: by I and J, by R, or in chords",
);
const ARC_TOLERANCE: Key = key(
    "arc-tolerance",
    Takes::Length(0.001, 0.5),
    Unless::Mm(0.01),
    "largest distance of a chord from its arc; finer for a thin cutter",
);
const PARK: Key = key(
    "park",
    Takes::Lengths("[x, y]", -1000.0, 20_000.0),
    Unless::Rule("[0, 0]"),
    "where the spindle goes at the end, X and Y",
);
const PARK_HEIGHT: Key = key(
    "park-height",
    Takes::Length(1.0, 1000.0),
    Unless::Rule("as `clear`"),
    "height above the sheet at the end, and for another tool by hand: room for the longest",
);
const PARK_MACHINE: Key = key(
    "park-machine",
    Takes::Lengths("[x, y]", -20_000.0, 20_000.0),
    Unless::Rule("`park`"),
    "where it goes instead by the machine's own zero: up to its top, then there (G53)",
);
const PATH_CONTROL: Key = key(
    "path-control",
    Takes::Words(PathControl::NAMES),
    Unless::Word("as-set"),
    "how it goes round corners: as the control is set, exactly (G61), or within `corner` of the path, at most 0.05 mm (G64 P)",
);
pub const SHEET_ZERO: Key = key(
    "sheet-zero",
    Takes::Words(SheetZero::NAMES),
    Unless::Word("lower-left"),
    "where on the sheet the program's X and Y are zero",
);
const LINE_NUMBERS: Key =
    key("line-numbers", Takes::Whole(0, 100), Unless::Of(0.0), "lines are numbered in steps of this; 0 for no numbers");
const PROGRAM_MARKS: Key = key(
    "program-marks",
    Takes::Words(ProgramMarks::NAMES),
    Unless::Word("none"),
    "what stands round a program: nothing, a % before and after it, or that and its number (O0101 of sheet 1)",
);
const DECIMAL_POINT: Key =
    key("decimal-point", Takes::Flag, Unless::Is(false), "true when a whole number needs its point: X10.");
const DWELL_UNIT: Key = key(
    "dwell-unit",
    Takes::Words(&["seconds", "milliseconds"]),
    Unless::Word("seconds"),
    "what the P of a dwell counts",
);
const TOOL_LENGTH: Key =
    key("tool-length", Takes::Flag, Unless::Is(false), "true to take tool lengths from its table (G43 H)");
const RELAY: Key = key(
    "relay",
    Takes::Said("[\"M8\", \"M9\"]"),
    Unless::Rule("none"),
    "codes that start and stop dust extraction: [\"M8\", \"M9\"]",
);

impl Machine {
    /// A program lets the machine round corners off by no more than this (mm): about what a proof's digits are off.
    pub const MOST_BLEND: f64 = 0.05;

    /// How far from its path the program lets the machine go round corners (mm).
    pub fn blend(&self) -> f64 {
        self.corner.value.min(Machine::MOST_BLEND)
    }

    /// How high above the sheet the spindle goes where it is parked (mm).
    pub fn parked_at(&self) -> f64 {
        self.park_height.as_ref().map_or(self.clear.value, |height| height.value.max(self.clear.value))
    }

    /// Does it reach all of a sheet of this length, width and thickness (mm) on its spoilboard, the parked spindle beside it?
    pub fn takes(&self, [length, width, thickness]: [f64; 3]) -> bool {
        let [x, y, z] = self.travel.value;
        // Parked beside the sheet, it is no further from the sheet's far edge than the machine reaches.
        let span = |park: f64, size: f64| park.max(size) - park.min(0.0);
        let [park_x, park_y] = self.park.value;
        let high = thickness + self.parked_at() + self.spoilboard.value;
        span(park_x, length) <= x && span(park_y, width) <= y && high <= z
    }

    /// How far the tool's middle may go over the edges of a sheet so long or wide (mm), of `wanted` on both of them: on the
    /// axis of this number the machine reaches no further.
    pub fn over_the_edge(&self, axis: usize, size: f64, wanted: f64) -> f64 {
        let (travel, park) = (self.travel.value[axis], self.park.value[axis]);
        let reaches = |over: f64| park.max(size + over) - park.min(-over) <= travel;
        if reaches(wanted) {
            return wanted;
        }
        let (mut least, mut most) = (0.0, wanted);
        while most - least > 1e-4 {
            let middle = f64::midpoint(least, most);
            if reaches(middle) { least = middle } else { most = middle }
        }
        least
    }

    /// What the last digit of a coordinate stands for (mm).
    pub fn digit(&self) -> f64 {
        ten_to(-(self.decimals.value as i32)) * self.units.in_mm()
    }

    /// How far chords may be from the arcs that they stand for where a tool of this diameter cuts (mm): what the machine is
    /// told, and no more than a share of the diameter, as coarse chords would bend a thin tool's slot too much.
    pub fn chords(&self, diameter: f64) -> f64 {
        const FINE: f64 = 0.005;
        self.arc_tolerance.value.min(FINE * diameter)
    }
}

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
        PIN_DEPTH,
        DECIMALS,
        ACCELERATION,
        CORNER,
        ARCS,
        ARC_TOLERANCE,
        PARK,
        PARK_HEIGHT,
        PARK_MACHINE,
        PATH_CONTROL,
        SHEET_ZERO,
        LINE_NUMBERS,
        PROGRAM_MARKS,
        DECIMAL_POINT,
        DWELL_UNIT,
        TOOL_LENGTH,
        RELAY,
    ];

    fn read(name: &str, title: String, table: &Table) -> Option<Machine> {
        let units = table.sourced(&UNITS, Table::choice::<Units>);
        let travel = table.sourced(&TRAVEL, Table::lengths::<3>);
        let speed = |key: &Key| table.sourced(key, Table::length);
        let (rapid, feed, plunge) = (speed(&RAPID), speed(&FEED), speed(&PLUNGE));
        let spindle = table.sourced(&SPINDLE, |figure, key| figure.rising(key, figure.numbers(key)));
        let spin_up = table.sourced(&SPIN_UP, Table::number);
        let tool_change = table.sourced(&TOOL_CHANGE, Table::choice);
        let canned_cycles = table.sourced(&CANNED_CYCLES, Table::flag);
        let z_zero = table.sourced(&Z_ZERO, Table::choice);
        let clear = table.sourced(&CLEAR, Table::length);
        let spoilboard = table.sourced(&SPOILBOARD, Table::length);
        let pin_depth = if table.has(PIN_DEPTH.name) { Some(table.sourced(&PIN_DEPTH, Table::length)?) } else { None };
        let decimals = table.sourced(&DECIMALS, Table::number);
        let acceleration = table.sourced_or(&ACCELERATION, ACCELERATION.mm(), Table::length);
        let corner = table.sourced_or(&CORNER, CORNER.mm(), Table::length);
        let arcs = table.sourced_or(&ARCS, ARCS.word(), Table::choice);
        let arc_tolerance = table.sourced_or(&ARC_TOLERANCE, ARC_TOLERANCE.mm(), Table::length);
        let park = table.sourced_or(&PARK, [0.0, 0.0], Table::lengths::<2>);
        let park = park.and_then(|park| within_reach(table, park, travel.as_ref()?.value));
        let park_height = maybe(table, &PARK_HEIGHT, Table::length);
        let park_machine = maybe(table, &PARK_MACHINE, Table::lengths::<2>);
        let path_control = table.sourced_or(&PATH_CONTROL, PATH_CONTROL.word(), Table::choice);
        let sheet_zero = table.sourced_or(&SHEET_ZERO, SHEET_ZERO.word(), Table::choice);
        let line_numbers = table.sourced_or(&LINE_NUMBERS, LINE_NUMBERS.number(), |f, key| f.whole(key).map(f64::from));
        let program_marks = table.sourced_or(&PROGRAM_MARKS, PROGRAM_MARKS.word(), Table::choice);
        let decimal_point = table.sourced_or(&DECIMAL_POINT, DECIMAL_POINT.flag(), Table::flag);
        let dwell_in_ms = table
            .sourced_or(&DWELL_UNIT, false, |f, key| f.choice_of(key, &[("seconds", false), ("milliseconds", true)]));
        let tool_length = table.sourced_or(&TOOL_LENGTH, TOOL_LENGTH.flag(), Table::flag);
        let relay = if table.has(RELAY.name) { Some(table.sourced(&RELAY, relay_codes)?) } else { None };
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
            pin_depth,
            decimals: decimals?,
            acceleration: acceleration?,
            corner: corner?,
            arcs: arcs?,
            arc_tolerance: arc_tolerance?,
            park: park?,
            park_height: park_height?,
            park_machine: park_machine?,
            path_control: path_control?,
            sheet_zero: sheet_zero?,
            line_numbers: line_numbers?,
            program_marks: program_marks?,
            decimal_point: decimal_point?,
            dwell_in_ms: dwell_in_ms?,
            tool_length: tool_length?,
            relay,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Machine>> {
        &profiles.machines
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Machine>> {
        &mut profiles.machines
    }
}

/// A figure that a profile may leave out; `None` for one that is wrong.
fn maybe<'a, T>(
    table: &Table<'a>,
    key: &Key,
    read: impl FnOnce(&Table<'a>, &Key) -> Option<T>,
) -> Option<Option<Sourced<T>>> {
    if table.has(key.name) { table.sourced(key, read).map(Some) } else { Some(None) }
}

/// Passes on a place where the spindle may go at the end of a program; complains of one that the machine does not reach.
fn within_reach(table: &Table, park: Sourced<[f64; 2]>, travel: [f64; 3]) -> Option<Sourced<[f64; 2]>> {
    // It may lie beside the sheet's corner, on either side.
    if park.value.iter().zip(travel).all(|(at, reach)| at.abs() <= reach) {
        return Some(park);
    }
    let units = table.desk.units();
    let (x, y) = (units.show(travel[0]), units.show(travel[1]));
    table.desk.problem(
        table.table(PARK.name).and_then(|figure| figure.spot("value")).unwrap_or(table.span.clone()),
        "`park` is beyond the machine's reach",
        format!("expected X up to {x} and Y up to {y}, its `travel`"),
        "",
    );
    None
}

/// A code that starts and one that stops: what they do is known of no others, so no other could be proved.
fn relay_codes(figure: &Table, key: &Key) -> Option<[String; 2]> {
    let codes = figure.texts(key.name)?;
    match <[_; 2]>::try_from(codes) {
        Ok([on, off]) if matches!(on.get_ref().as_str(), "M7" | "M8") && off.get_ref() == "M9" => {
            Some([on.into_inner(), off.into_inner()])
        }
        _ => {
            figure.desk.problem(
                figure.spot("value").unwrap_or(figure.span.clone()),
                "these are no two codes for a relay",
                "expected [\"M7\", \"M9\"] or [\"M8\", \"M9\"]",
                "the controller's settings tell which relay is which",
            );
            None
        }
    }
}
