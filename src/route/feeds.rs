//! How fast a tool turns and advances.

use crate::profile::{Machine, Material, Tool, ToolKind};

/// Spindle speed (rev/min) and feeds (mm/min) of a tool in a material on a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feeds {
    pub speed: f64,
    /// Along the cut.
    pub cut: f64,
    /// Along a ramp into the wood.
    pub ramp: f64,
    /// Straight down.
    pub plunge: f64,
}

/// A ramp is a cut and a plunge in one: it goes at this share of the cutting feed.
const RAMP: f64 = 0.5;
/// Straight down an end mill cuts on its weak centre: this share of the cutting feed.
const PLUNGE: f64 = 0.25;

impl Feeds {
    /// Feed = rev/min × flutes × chip load, in the middle of the tool's range, no faster than the machine.
    pub fn new(tool: &Tool, material: &Material, machine: &Machine) -> Feeds {
        let [slowest, fastest] = machine.spindle.value;
        let speed = tool.speed.value.clamp(slowest, fastest);
        let [least, most] = tool.chip_load.value;
        let chip = f64::midpoint(least, most) * material.chip_load.value;
        let ideal = speed * tool.flutes.value * chip;
        let cut = whole_tens(ideal.min(machine.feed.value));
        let plunge = if tool.kind == ToolKind::Drill { ideal } else { cut * PLUNGE };
        let plunge = whole_tens(plunge.min(machine.plunge.value));
        Feeds { speed: speed.round(), cut, ramp: whole_tens((cut * RAMP).max(plunge)), plunge }
    }
}

/// Nobody dials in a feed of 3041.7; down to a whole ten.
fn whole_tens(feed: f64) -> f64 {
    (feed / 10.0).floor().max(1.0) * 10.0
}
