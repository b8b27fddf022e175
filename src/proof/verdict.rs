//! What a proof says: every measure with its limit, and where in the program it is worst.

use crate::finding::{Finding, Limits, Measure, Measured, ProgramCheck, Status};
use crate::geometry::Point;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// The verdict on one program.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Proof {
    pub file: String,
    /// From 1.
    pub sheet: usize,
    pub verdict: Verdict,
    /// What its tools sweep over, where that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub areas: Option<Areas>,
    pub measures: Vec<Measured>,
    /// Every place where a limit is not kept, for a picture; no more than a few hundred.
    #[serde(skip)]
    pub places: Vec<Fault>,
}

/// A place where a limit is not kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    pub check: ProgramCheck,
    /// On the sheet, in millimetres.
    pub at: [f64; 3],
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Every measure keeps its limit.
    Proved,
    Failed,
}

/// What a program's tools sweep over, in square millimetres: every place that is covered by a tool whose tip is at or
/// below a height, once. Beside the sheet counts too.
///
/// Round edges are chords within 0.002 mm: an area is too small by no more than that along its whole edge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Areas {
    /// A tenth of a millimetre below the sheet's upper face.
    pub surface: f64,
    /// At the sheet's lower face: what is cut through.
    pub through: f64,
}

impl Proof {
    pub fn proved(&self) -> bool {
        self.verdict == Verdict::Proved
    }

    /// The measures beyond their limits.
    pub fn faults(&self) -> impl Iterator<Item = &Measured> {
        self.measures.iter().filter(|measured| measured.finding.refused())
    }
}

/// What the checks on programs measure.
impl ProgramCheck {
    /// What a value of this kind is.
    fn measure(self, value: f64) -> Measure {
        match self {
            ProgramCheck::EntryAngle => Measure::Angle(value),
            ProgramCheck::Speed | ProgramCheck::ToolSpeed => Measure::Speed(value),
            ProgramCheck::SpinUp | ProgramCheck::Dwell => Measure::Seconds(value),
            ProgramCheck::Feed | ProgramCheck::FeedDown => Measure::Feed(value),
            ProgramCheck::Tabs
            | ProgramCheck::SpindleStands
            | ProgramCheck::SpindleTurnsBack
            | ProgramCheck::NoFeed
            | ProgramCheck::SidewaysDrill
            | ProgramCheck::ChangeWhileTurning
            | ProgramCheck::StopWhileTurning
            | ProgramCheck::ChangeInWood
            | ProgramCheck::NoChanger
            | ProgramCheck::UnknownTool
            | ProgramCheck::WrongLength
            | ProgramCheck::ScrewStop
            | ProgramCheck::ProgramOrder
            | ProgramCheck::CutFreed
            | ProgramCheck::EndsTurning
            | ProgramCheck::EndsInWood
            | ProgramCheck::Assumed
            | ProgramCheck::Away => Measure::Count(value),
            _ => Measure::Thickness(value),
        }
    }

    /// Where the limit comes from.
    fn source(self) -> &'static str {
        match self {
            ProgramCheck::Gouge
            | ProgramCheck::Beside
            | ProgramCheck::LeftRound
            | ProgramCheck::LeftInHole
            | ProgramCheck::LeftInRecess => "the parts on the sheet, to the digits of the machine",
            ProgramCheck::Tabs | ProgramCheck::TabWidth | ProgramCheck::TabFoot | ProgramCheck::TabHeight => {
                "the job's tabs"
            }
            ProgramCheck::HoleDiameter
            | ProgramCheck::HoleCentre
            | ProgramCheck::HoleDepth
            | ProgramCheck::RecessDepth => "the part's drawing",
            ProgramCheck::RapidInWood
            | ProgramCheck::EndsInWood
            | ProgramCheck::EndsTurning
            | ProgramCheck::StopWhileTurning
            | ProgramCheck::CutFreed
            | ProgramCheck::ChangeInWood => "common practice",
            ProgramCheck::Assumed | ProgramCheck::Away | ProgramCheck::WrongLength => {
                "NIST IR 6556, and common practice"
            }
            ProgramCheck::EntryAngle
            | ProgramCheck::Flute
            | ProgramCheck::Pass
            | ProgramCheck::ChipLoad
            | ProgramCheck::ToolSpeed
            | ProgramCheck::ThinChip
            | ProgramCheck::SidewaysDrill => "the tool's profile",
            ProgramCheck::Blend => "common practice: no more than the wood itself moves",
            ProgramCheck::ProgramOrder => "the job's programs",
            ProgramCheck::BeyondSheet => "the gap around the parts",
            ProgramCheck::Dwell => "a minute is the longest that a profile asks for",
            ProgramCheck::ScrewStop | ProgramCheck::Screws => "the sheet's hold-down plan",
            ProgramCheck::KeptOut => "what is kept out of the sheet",
            ProgramCheck::Pins => "the pins on which the sheet was turned over",
            _ => "the machine's profile",
        }
    }

    /// What goes wrong, and what to do.
    fn advice(self) -> &'static str {
        match self {
            ProgramCheck::Gouge => {
                "the cutter goes this far into wood that stays: move this cut off the part, or see that the tool is the one \
                 that the program is for"
            }
            ProgramCheck::Beside => {
                "the cutter goes this far beyond the gap around the parts, where nothing is to be cut: leave this move out, \
                 or bring it back to its part"
            }
            ProgramCheck::LeftRound => {
                "wood this thick stays on the part, or holds it where no tab is: cut along here down through the sheet"
            }
            ProgramCheck::LeftInHole => {
                "wood this far from the hole's edge is still there: cut to its edge, down through the sheet"
            }
            ProgramCheck::LeftInRecess => "wood this far from the recess's edge is still there: clear it to its edge",
            ProgramCheck::Tabs => {
                "a part that nothing holds is thrown: let two tabs or more stand across the slot around it"
            }
            ProgramCheck::TabWidth => {
                "a tab is not as wide as the job says: stay up over it for its width and the cutter's"
            }
            ProgramCheck::TabFoot => "wood is left beside a tab: go down again behind it",
            ProgramCheck::TabHeight => "a tab is not as high as the job says: go over it at its height",
            ProgramCheck::HoleDiameter => {
                "the hole is not as wide as drawn: look at the radius of its cut, and at the tool"
            }
            ProgramCheck::HoleCentre => "the hole is not in its place: look at the X and Y of its cut",
            ProgramCheck::HoleDepth => {
                "the hole does not go through, or a stopped one is not as deep as drawn: look at the Z of its cut"
            }
            ProgramCheck::RecessDepth => "the recess is not as deep as drawn: look at the Z of its cut",
            ProgramCheck::RapidInWood => "the tool breaks, or throws the sheet: lift it first (G0 Z), or cut with G1",
            ProgramCheck::RapidHeight => {
                "sheets are never quite flat, and screws stand out: lift the tool to the clear height first"
            }
            ProgramCheck::ReachX | ProgramCheck::ReachY | ProgramCheck::ReachZ => {
                "the machine runs against its end: look at this coordinate, or at the program's units (G20, G21)"
            }
            ProgramCheck::Spoilboard => {
                "deeper than the machine's profile allows: go no further than that below the sheet"
            }
            ProgramCheck::Pins => "the tool meets a pin: keep this cut off it",
            ProgramCheck::Screws => "the tool meets steel: keep this move off the screw, or lift it over",
            ProgramCheck::KeptOut => {
                "a knot, a broken place or a clamp: keep this move off it, or lift it over at the clear height"
            }
            ProgramCheck::ScrewStop => {
                "the sheet is not held yet: after the last mark stop the spindle (M5) and wait (M0) until the screws are in"
            }
            ProgramCheck::BeyondSheet => {
                "so far beside the sheet there are clamps and nothing to cut: look at this coordinate, or at the zero point"
            }
            ProgramCheck::ProgramOrder => {
                "another program of this sheet is to be run before it: run them in the order that their heads tell"
            }
            ProgramCheck::CutFreed => {
                "the part hangs on its tabs, and may shift or break out: cut what is inside of it before its outline"
            }
            _ => self.advice_on_running(),
        }
    }

    /// The same, where it is about how a program runs.
    fn advice_on_running(self) -> &'static str {
        match self {
            ProgramCheck::SpindleStands => {
                "a standing cutter is pushed through wood: start the spindle (S, M3) and wait (G4) first"
            }
            ProgramCheck::SpindleTurnsBack => "a right-hand cutter turns clockwise: M3, not M4",
            ProgramCheck::Speed => "the spindle cannot turn like this: give an S within its range",
            ProgramCheck::ToolSpeed => {
                "faster than the tool may turn: it may burn, or break; lower S, or take another tool"
            }
            ProgramCheck::SpinUp => "the cutter enters before the spindle is up to speed: wait (G4) after M3",
            ProgramCheck::Dwell => {
                "the machine would stand there as if it hung: look whether its P counts seconds or milliseconds"
            }
            ProgramCheck::NoFeed => "the controller would stop, or use an old feed: give F before the first cut",
            ProgramCheck::Feed | ProgramCheck::FeedDown => "faster than the machine can cut: lower F",
            ProgramCheck::ChipLoad => "more wood for each tooth than the tool takes: lower F, or raise S",
            ProgramCheck::Blend => "the machine may cut every corner by this much (G64 P): give it a smaller P, or G61",
            ProgramCheck::ThinChip => "the edge rubs and burns instead of cutting: raise F, or lower S",
            ProgramCheck::EntryAngle => "steeper than this cutter can go into wood: ramp or spiral down",
            ProgramCheck::SidewaysDrill => "a drill breaks when it is moved sideways: only straight down with it",
            ProgramCheck::Flute => "deeper than the cutting edge is long: take a longer tool",
            ProgramCheck::Pass => "more wood at once than the tool takes: cut it in more passes",
            ProgramCheck::ChangeWhileTurning => "stop the spindle first (M5)",
            ProgramCheck::StopWhileTurning => {
                "whoever the program waits for reaches under the cutter: stop the spindle first (M5)"
            }
            ProgramCheck::ChangeInWood => "lift the tool out first (G0 Z)",
            ProgramCheck::NoChanger => "this machine has no changer: one program for each tool",
            ProgramCheck::UnknownTool => {
                "nothing is known of this tool's size, so nothing can be said of what it cuts: fetch one of the job's tools \
                 (T, M6) before the first cut"
            }
            ProgramCheck::WrongLength => {
                "heights are counted for another tool than the one that cuts: G43 H with the tool's number"
            }
            ProgramCheck::EndsTurning => "stop the spindle (M5) before the program ends",
            ProgramCheck::EndsInWood => "lift the tool out before the program ends",
            ProgramCheck::Assumed => "taken as the standard has them after M2 or M30; say them, to be sure",
            _ => {
                debug_assert_eq!(self, ProgramCheck::Away, "has an advice of its own");
                "taken to be above the sheet, as on most machines; see yours"
            }
        }
    }

    /// A measure that does not keep its limit is only a caution.
    fn only_a_caution(self) -> bool {
        matches!(self, ProgramCheck::Assumed | ProgramCheck::Away | ProgramCheck::ThinChip)
    }
}

/// Where something was measured.
#[derive(Clone, Debug, Default)]
pub(super) struct Spot {
    pub line: Option<usize>,
    pub at: Option<[f64; 3]>,
    pub subject: String,
}

impl Spot {
    pub fn line(line: usize) -> Spot {
        Spot { line: Some(line), ..Spot::default() }
    }

    pub fn at(mut self, point: Point, z: f64) -> Spot {
        self.at = Some([point.x, point.y, z]);
        self
    }

    pub fn on(mut self, subject: &str) -> Spot {
        self.subject = subject.into();
        self
    }
}

/// The worst of every kind so far, for one program.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    worst: BTreeMap<ProgramCheck, Entry>,
    /// Every place beyond its limit, for the picture.
    pub faults: Vec<(ProgramCheck, [f64; 3])>,
}

#[derive(Debug)]
struct Entry {
    value: f64,
    limits: Limits,
    /// How far beyond its limit; negative inside.
    beyond: f64,
    spot: Spot,
}

/// Pictures ring no more faults than this.
const MOST_FAULTS: usize = 400;

impl Ledger {
    /// Notes a measure; only the worst of its kind is kept.
    pub fn note(&mut self, kind: ProgramCheck, value: f64, limits: Limits, spot: impl FnOnce() -> Spot) {
        let over = limits.most.map_or(f64::NEG_INFINITY, |most| value - most);
        let under = limits.least.map_or(f64::NEG_INFINITY, |least| least - value);
        let beyond = over.max(under);
        let worse = self.worst.get(&kind).is_none_or(|entry| beyond > entry.beyond);
        if !worse && beyond <= 0.0 {
            return;
        }
        let spot = spot();
        if beyond > 0.0
            && self.faults.len() < MOST_FAULTS
            && let Some(at) = spot.at
        {
            self.faults.push((kind, at));
        }
        if worse {
            self.worst.insert(kind, Entry { value, limits, beyond, spot });
        }
    }

    /// Would a measure up to this one be nothing new? There is a worse one, and more faults than anyone looks at.
    pub fn knows_worse(&self, kind: ProgramCheck, most: f64) -> bool {
        let worse = |entry: &Entry| entry.beyond > 0.0 && entry.value >= most;
        self.faults.len() >= MOST_FAULTS && self.worst.get(&kind).is_some_and(worse)
    }

    /// Counts one more of something that must not be there; the first is the one reported.
    pub fn count(&mut self, kind: ProgramCheck, spot: impl FnOnce() -> Spot) {
        match self.worst.get_mut(&kind) {
            Some(entry) if entry.value > 0.0 => (entry.value, entry.beyond) = (entry.value + 1.0, entry.beyond + 1.0),
            _ => self.note(kind, 1.0, Limits::at_most(0.0), spot),
        }
    }

    /// Keeps only what is told of how the program runs: with a tool of which nothing is known, nothing can be said of the wood,
    /// nor of what that tool takes.
    pub fn forget_wood(&mut self) {
        let of_tool = [
            ProgramCheck::ToolSpeed,
            ProgramCheck::ChipLoad,
            ProgramCheck::ThinChip,
            ProgramCheck::EntryAngle,
            ProgramCheck::SidewaysDrill,
            ProgramCheck::Flute,
            ProgramCheck::Pass,
            ProgramCheck::WrongLength,
        ];
        let runs = |kind: ProgramCheck| {
            (kind >= ProgramCheck::SpindleStands && !of_tool.contains(&kind)) || kind == ProgramCheck::RapidHeight
        };
        self.worst.retain(|kind, _| runs(*kind));
        self.faults.retain(|(kind, _)| runs(*kind));
    }

    /// Notes that there was none, unless there was.
    pub fn none(&mut self, kind: ProgramCheck) {
        self.note(kind, 0.0, Limits::at_most(0.0), Spot::default);
    }

    /// The verdict.
    pub fn close(self, file: &str, sheet: usize) -> Proof {
        let places = self.faults.iter().filter(|(kind, _)| !kind.only_a_caution());
        let places = places.map(|(kind, at)| Fault { check: *kind, at: *at }).collect();
        let measures: Vec<Measured> = self
            .worst
            .into_iter()
            .filter(|(kind, entry)| !kind.only_a_caution() || entry.beyond > 0.0)
            .map(|(kind, entry)| {
                let holds = entry.beyond <= 1e-9;
                let status = match (holds, kind.only_a_caution()) {
                    (true, _) => Status::Ok,
                    (false, true) => Status::Caution,
                    (false, false) => Status::Refused,
                };
                let measure = kind.measure(entry.value);
                let finding = Finding {
                    measured: Some(measure),
                    allowed: Some(entry.limits),
                    unit: measure.unit(),
                    ..Finding::plain(kind, entry.spot.subject, status)
                }
                .source(kind.source())
                .advice_unless_ok(|| kind.advice().into());
                let rounded = |mm: f64| (mm * 1e3).round() / 1e3 + 0.0;
                Measured { finding, line: entry.spot.line, at: entry.spot.at.map(|at| at.map(rounded)) }
            })
            .collect();
        let failed = measures.iter().any(|measured| measured.finding.refused());
        let verdict = if failed { Verdict::Failed } else { Verdict::Proved };
        Proof { file: file.into(), sheet, verdict, areas: None, measures, places }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_on_a_program_says_what_to_do() {
        assert!(ProgramCheck::ALL.iter().all(|check| !check.advice().is_empty() && !check.source().is_empty()));
    }
}
