//! How fast a tool turns and advances.

use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::math::sin;
use crate::job::Cutting;
use crate::profile::{Machine, Material, Tool, ToolKind};
use crate::units::{Units, decimal};

/// Spindle speed (rev/min) and feeds (mm/min) of a tool in a material on a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feeds {
    pub speed: f64,
    /// Along a cut as wide as the cutter.
    pub cut: f64,
    /// Along a cut that takes less than half the cutter's width.
    pub side: f64,
    /// Along a ramp into the wood.
    pub ramp: f64,
    /// Straight down.
    pub plunge: f64,
}

/// A ramp is a cut and a plunge in one: at this share of the cutting feed.
const RAMP: f64 = 0.5;
/// Straight down an end mill cuts on its weak centre: this share of the cutting feed.
const PLUNGE: f64 = 0.25;
/// Advice never goes below this share of the speed that a tool is made for.
const SLOWEST: f64 = 1.0 / 3.0;

impl Feeds {
    /// Feed = rev/min × flutes × chip load, no faster than the machine.
    ///
    /// A cut as wide as the cutter has wood on both sides and takes the middle of the tool's range of chip loads, less
    /// in deep passes; a narrower one clears its chips and takes the upper end. A feed or speed that the maker
    /// chose stands, as far as the machine goes.
    pub fn new(tool: &Tool, material: &Material, machine: &Machine, cutting: &Cutting) -> Feeds {
        let [slowest, fastest] = machine.spindle.value;
        let mill = tool.kind == ToolKind::EndMill;
        let wanted = cutting.speed.filter(|_| mill).unwrap_or(tool.speed.value);
        let speed = speed_of(tool, wanted, [slowest, fastest]);
        let [least, most] = tool.chip_load.value.map(|chip| chip * material.chip_load.value);
        let share = deep(tool.pass_depth.value);
        let feed = |chip: f64| speed * tool.flutes.value * chip * share;
        let round = |feed: f64, most: f64| round_down(feed.min(most), machine.units);
        let chosen = cutting.feed.filter(|_| mill);
        let full = chosen.unwrap_or_else(|| feed(f64::midpoint(least, most)));
        let cut = round(full, machine.feed.value);
        let side = round(chosen.unwrap_or_else(|| feed(most)), machine.feed.value);
        // No move is faster than the machine cuts, in whichever direction it goes.
        let straight_down = machine.plunge.value.min(machine.feed.value);
        let plunge = round(if mill { cut * PLUNGE } else { full }, straight_down);
        // Down a steep ramp the machine goes no faster downwards than it may straight down.
        let steepest = machine.plunge.value / sin(steepness(tool));
        Feeds { speed, cut, side, ramp: round((cut * RAMP).max(plunge), machine.feed.value.min(steepest)), plunge }
    }

    /// What each edge takes in a cut as wide as the tool (mm).
    pub fn chip_load(&self, tool: &Tool) -> f64 {
        let feed = if tool.kind == ToolKind::Drill { self.plunge } else { self.cut };
        feed / (self.speed * tool.flutes.value)
    }

    /// Is the chip load what the tool is made for? Too thin a chip rubs and burns, too thick a one breaks the edge.
    pub fn check(&self, tool: &Tool, material: &Material, machine: &Machine) -> Finding {
        let [least, most] =
            tool.chip_load.value.map(|chip| chip * material.chip_load.value * deep(tool.pass_depth.value));
        let chip = self.chip_load(tool);
        // Feeds are rounded down: a hair below the range is the range.
        let rounding = machine.units.in_mm() / (self.speed * tool.flutes.value);
        let mut finding = Finding::measured(
            JobCheck::ToolChipLoad,
            &tool.name,
            Measure::Length(chip),
            Limits::between(least, most),
            Status::Caution,
        )
        .source(&tool.chip_load.source);
        finding.status = if chip < least - rounding || chip > most + 1e-9 { Status::Caution } else { Status::Ok };
        finding.advice_unless_ok(|| {
            let [slowest, fastest] = machine.spindle.value;
            let fastest = tool.highest_speed.as_ref().map_or(fastest, |highest| highest.value.min(fastest));
            let middle = f64::midpoint(least, most);
            let feed_at = |speed: f64| round_down(speed * tool.flutes.value * middle, machine.units);
            let speed_at = |feed: f64| (feed / (tool.flutes.value * middle) / 100.0).round() * 100.0;
            let show = |feed: f64| format!("{}/min", machine.units.show(feed));
            let (feed, most_feed) = (chip * self.speed * tool.flutes.value, fastest_feed(tool, machine));
            // A tool far below its own speed tears the wood.
            let turns = |speed: f64| (slowest..=fastest).contains(&speed) && speed >= tool.speed.value * SLOWEST;
            let mut choices = Vec::new();
            if turns(speed_at(feed)) {
                choices.push(format!("{} rev/min at {}", decimal(speed_at(feed), 0), show(feed)));
            }
            if feed_at(self.speed) <= most_feed {
                choices.push(format!("a feed of {} at {} rev/min", show(feed_at(self.speed)), decimal(self.speed, 0)));
            }
            if choices.is_empty() && turns(speed_at(most_feed)) {
                choices.push(format!("{} rev/min and a feed of {}", decimal(speed_at(most_feed), 0), show(most_feed)));
            }
            let remedy = match choices.join(", or ") {
                none if none.is_empty() => {
                    "this machine and this tool have no feed and speed for it: take another tool".into()
                }
                choices => format!("for the middle of its range: {choices}"),
            };
            let what = if chip < least { "thin: the edge rubs and burns" } else { "thick: the edge may break" };
            format!("the chip is too {what}; {remedy}")
        })
    }
}

/// The speed that is wanted, as far as the spindle turns and the tool may.
pub fn speed_of(tool: &Tool, wanted: f64, [slowest, fastest]: [f64; 2]) -> f64 {
    let most = tool.highest_speed.as_ref().map_or(fastest, |highest| highest.value.min(fastest));
    wanted.min(most).max(slowest).round()
}

/// Steepest ramp of a tool into wood, in radians; straight down does not count.
pub(super) fn steepness(tool: &Tool) -> f64 {
    /// In degrees; common practice is far less.
    const STEEPEST: f64 = 45.0;
    tool.ramp_angle.value.min(STEEPEST).to_radians()
}

/// How fast a machine moves in the direction in which a tool cuts, mm/min.
fn fastest_feed(tool: &Tool, machine: &Machine) -> f64 {
    if tool.kind == ToolKind::Drill { machine.plunge.value.min(machine.feed.value) } else { machine.feed.value }
}

/// Share of the chip load that a pass of this depth, in diameters, may take.
///
/// Common practice: all of it to one diameter, a quarter less at two, half at three; in proportion between them.
pub fn deep(diameters: f64) -> f64 {
    (1.0 - 0.25 * (diameters - 1.0).max(0.0)).max(0.25)
}

/// Nobody dials in a feed of 3041.7: down to ten millimetres or an inch, and half an inch below ten; less than that in the
/// finest steps that are written.
fn round_down(feed: f64, units: Units) -> f64 {
    let finest = units.in_mm() * if feed < units.in_mm() { 0.001 } else { 0.1 };
    let step = match units {
        Units::Millimetres => 10.0,
        Units::Inches if feed < 10.0 * units.in_mm() => 0.5 * units.in_mm(),
        Units::Inches => units.in_mm(),
    };
    let step = if feed < step { finest } else { step };
    (feed / step + 1e-9).floor().max(1.0) * step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feeds_are_round_in_the_machine_s_own_units() {
        assert_eq!(round_down(3041.7, Units::Millimetres), 3040.0);
        assert!((round_down(6090.0, Units::Inches) / 25.4 - 239.0).abs() < 1e-9);
        assert!((round_down(245.0, Units::Inches) / 25.4 - 9.5).abs() < 1e-9);
        assert!((round_down(9.6, Units::Millimetres) - 9.6).abs() < 1e-9, "never more than it may be");
        assert!((round_down(0.0001, Units::Millimetres) - 0.001).abs() < 1e-12, "never no feed at all");
    }

    #[test]
    fn a_deep_pass_takes_thinner_chips() {
        assert_eq!([deep(0.5), deep(1.0), deep(2.0), deep(3.0)], [1.0, 1.0, 0.75, 0.5]);
    }
}
