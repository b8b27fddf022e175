//! Does the spindle turn, is the feed set, and is each tool changed as it should be?

use super::bench::Bench;
use super::replay::{Act, What};
use super::verdict::{Ledger, Spot};
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::gcode::read::{Axis, Position, Turns};
use crate::geometry::math::hypot;
use crate::geometry::{Point, Rect};
use crate::profile::Machine;

/// Sideways rapid moves may be lower than the clear height when they are no longer than this (mm), from hole to hole;
/// and no lower than that: common practice.
const SHORT_HOP: f64 = 150.0;
const LOWEST_HOP: f64 = 1.0;
/// No profile asks for a longer wait (seconds).
const LONGEST_DWELL: f64 = 60.0;
/// A spindle may be this much off the machine's range (share).
const ROUNDED: f64 = 1e-3;

/// Feeds are written to a tenth of a unit.
const ROUND: f64 = 1.0 + 1e-3;

/// Follows what each program does, step by step.
pub(super) fn check(bench: &Bench, ledgers: &mut [Ledger]) {
    for (acts, ledger) in bench.replay.acts.iter().zip(ledgers.iter_mut()) {
        for kind in [
            ProgramCheck::SpindleStands,
            ProgramCheck::SpindleTurnsBack,
            ProgramCheck::NoFeed,
            ProgramCheck::SidewaysDrill,
            ProgramCheck::ChangeWhileTurning,
            ProgramCheck::StopWhileTurning,
            ProgramCheck::ChangeInWood,
            ProgramCheck::UnknownTool,
            ProgramCheck::EndsTurning,
            ProgramCheck::EndsInWood,
        ] {
            ledger.none(kind);
        }
        let mut state = State::default();
        for act in acts {
            state.act(bench, act, ledger);
        }
    }
    for (program, line, number) in &bench.replay.strangers {
        ledgers[*program].count(ProgramCheck::UnknownTool, || Spot::line(*line).on(&format!("T{number}")));
    }
}

#[derive(Debug, Default)]
struct State {
    turns: Turns,
    speed: Option<f64>,
    /// Seconds waited since the spindle was started or its speed changed.
    waited: f64,
    offset: Option<u32>,
    /// Height of the tip, where it is known.
    z: Option<f64>,
}

impl State {
    fn act(&mut self, bench: &Bench, act: &Act, ledger: &mut Ledger) {
        let here = || Spot::line(act.line);
        match &act.what {
            What::Cuts(range) => {
                for i in range.clone() {
                    self.cut(bench, i, ledger);
                }
            }
            What::Blind { from, to } => self.blind(bench, *from, *to, act.line, ledger),
            What::Spindle { turns, speed } => {
                let changed = *turns != self.turns || *speed != self.speed;
                (self.turns, self.speed) = (*turns, *speed);
                if changed {
                    self.waited = 0.0;
                }
            }
            What::Change { by_hand } => {
                if self.turns != Turns::Not {
                    ledger.count(ProgramCheck::ChangeWhileTurning, here);
                }
                if self.z.is_some_and(|z| z < 0.0) {
                    ledger.count(ProgramCheck::ChangeInWood, here);
                }
                if !by_hand && !bench.router.machine.changes_tools {
                    ledger.count(ProgramCheck::NoChanger, here);
                }
                // Wherever tools are changed, it is not in the wood.
                self.z = None;
                self.turns = Turns::Not;
            }
            What::Length { offset } => self.offset = *offset,
            What::Dwell { seconds } => {
                ledger.note(ProgramCheck::Dwell, *seconds, Limits::at_most(LONGEST_DWELL), here);
                if self.turns != Turns::Not {
                    self.waited += seconds;
                }
            }
            What::Path { off } => {
                let most = Machine::MOST_BLEND.max(bench.router.machine.digit);
                ledger.note(ProgramCheck::Blend, *off, Limits::at_most(most * ROUND), here);
            }
            What::Pause => {
                if self.turns != Turns::Not {
                    ledger.count(ProgramCheck::StopWhileTurning, here);
                }
            }
            What::Assumed { code } => ledger.count(ProgramCheck::Assumed, || here().on(code)),
            What::End => {
                if self.turns != Turns::Not {
                    ledger.count(ProgramCheck::EndsTurning, here);
                }
                if self.z.is_some_and(|z| z < 0.0) {
                    ledger.count(ProgramCheck::EndsInWood, here);
                }
            }
        }
    }

    fn cut(&mut self, bench: &Bench, index: usize, ledger: &mut Ledger) {
        let (cut, machine) = (&bench.replay.cuts[index], &bench.router.machine);
        let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
        self.z = Some(cut.z1 - cut.point);
        if cut.rapid {
            let hop = cut.length();
            if hop > bench.touch {
                // Beside the sheet there may be clamps.
                let on_sheet = Rect::new(0.0, 0.0, bench.sheet.length, bench.sheet.width);
                let over_it = [cut.path.start, cut.path.end].into_iter().all(|at| on_sheet.contains(at));
                let low = hop <= SHORT_HOP && over_it;
                let least = if low { LOWEST_HOP.min(machine.clear) } else { machine.clear };
                ledger.note(ProgramCheck::RapidHeight, cut.tip(), Limits::at_least(least - bench.touch), spot);
            }
        } else {
            match cut.feed {
                None => ledger.count(ProgramCheck::NoFeed, spot),
                Some(feed) => self.feed(bench, index, feed, ledger),
            }
        }
        if cut.tip() >= -bench.touch {
            return;
        }
        match self.turns {
            Turns::Not => ledger.count(ProgramCheck::SpindleStands, spot),
            Turns::CounterClockwise => ledger.count(ProgramCheck::SpindleTurnsBack, spot),
            Turns::Clockwise => {}
        }
        let [slowest, fastest] = machine.spindle;
        let limits = Limits::between(slowest * (1.0 - ROUNDED), fastest * (1.0 + ROUNDED));
        if self.turns != Turns::Not {
            ledger.note(ProgramCheck::Speed, self.speed.unwrap_or(0.0), limits, spot);
            if let Some((tool, highest)) = bench.tool(cut).and_then(|tool| Some((tool, tool.highest_speed?))) {
                let limits = Limits::at_most(highest * (1.0 + ROUNDED));
                ledger.note(ProgramCheck::ToolSpeed, self.speed.unwrap_or(0.0), limits, || spot().on(&tool.name));
            }
            ledger.note(ProgramCheck::SpinUp, self.waited, Limits::at_least(machine.spin_up), spot);
            // Cutting has begun: it is up to speed from now on.
            self.waited = self.waited.max(machine.spin_up);
        }
        if let Some(tool) = bench.tool(cut)
            && (self.offset.is_some_and(|offset| offset != tool.number)
                || (machine.tool_length && self.offset.is_none()))
        {
            ledger.count(ProgramCheck::WrongLength, spot);
        }
        if let Some(tool) = bench.tool(cut) {
            let limits = Limits::at_most(tool.flute_length + bench.touch);
            ledger.note(ProgramCheck::Flute, -cut.lowest(), limits, || spot().on(&tool.name));
        }
    }

    fn feed(&self, bench: &Bench, index: usize, feed: f64, ledger: &mut Ledger) {
        let (cut, machine) = (&bench.replay.cuts[index], &bench.router.machine);
        let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
        ledger.note(ProgramCheck::Feed, feed, Limits::at_most(machine.feed * ROUND), spot);
        let (down, along) = (cut.z0 - cut.z1, cut.length());
        if down > bench.touch {
            let share = down / hypot(down, along);
            ledger.note(ProgramCheck::FeedDown, feed * share, Limits::at_most(machine.plunge * ROUND), spot);
        }
        if cut.tip() < -bench.touch
            && let (Some(tool), Some(speed)) = (bench.tool(cut), self.speed)
            && speed > 0.0
        {
            let chip = feed / (speed * tool.flutes.max(1.0));
            let most = tool.chip_load * bench.sheet.chip_share.max(1.0);
            ledger.note(ProgramCheck::ChipLoad, chip, Limits::at_most(most * ROUND), || spot().on(&tool.name));
            // Round a curve the edge goes faster or slower than the middle; down a ramp, and on a short move, it is slowed.
            let straight = cut.z0 == cut.z1 && cut.round.is_none() && cut.length() >= tool.diameter;
            let steady = if tool.drill { cut.is_upright() && cut.z1 < cut.z0 } else { straight };
            if steady {
                let least = Limits::at_least(tool.least_chip / ROUND);
                ledger.note(ProgramCheck::ThinChip, chip, least, || spot().on(&tool.name));
            }
        }
    }

    /// A rapid move of which not everything is known.
    fn blind(&mut self, bench: &Bench, from: Position, to: Position, line: usize, ledger: &mut Ledger) {
        let machine = &bench.router.machine;
        let here = || Spot::line(line);
        if to.contains(&Axis::Away) && from != to && !from.iter().zip(&to).all(|(a, b)| a == b || *b != Axis::Away) {
            ledger.count(ProgramCheck::Away, here);
        }
        let sideways = (0..2).any(|i| from[i] != to[i]);
        let low = match (from[2], to[2]) {
            // Up or down from where nobody knows, and nothing else: how every program begins.
            (Axis::Unknown, Axis::At(z)) if !sideways => z,
            (Axis::Unknown, _) if sideways => f64::NEG_INFINITY,
            (Axis::At(z), Axis::At(other)) => z.min(other),
            (Axis::At(z), _) | (_, Axis::At(z)) => z,
            _ => f64::INFINITY,
        };
        self.z = to[2].known();
        let spot = || {
            let place = |axis: Axis| axis.known().unwrap_or(0.0);
            Spot::line(line).at(Point::new(place(to[0]), place(to[1])), low.max(-bench.sheet.thickness))
        };
        if sideways && low.is_finite() {
            ledger.note(ProgramCheck::RapidHeight, low, Limits::at_least(machine.clear - bench.touch), spot);
        } else if low == f64::NEG_INFINITY {
            ledger.note(ProgramCheck::RapidHeight, -bench.sheet.thickness, Limits::at_least(machine.clear), spot);
        }
        if low < -bench.touch && low.is_finite() {
            ledger.note(ProgramCheck::RapidInWood, -low, Limits::at_most(bench.touch), spot);
        }
    }
}
