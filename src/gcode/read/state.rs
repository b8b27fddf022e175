//! What a program has said so far that still holds.

use super::codes::{Cycle, Motion};
use super::{Axis, Position, Turns};

/// The modal state. `None` is what has not been said.
#[derive(Debug)]
pub(super) struct State {
    pub motion: Option<Motion>,
    /// Millimetres in the unit.
    pub units: Option<f64>,
    pub absolute: Option<bool>,
    pub absolute_centre: bool,
    pub plane: bool,
    pub inverse_time: Option<bool>,
    pub no_width: bool,
    /// The offset's number while G43 is on; `None` inside for G49.
    pub length: Option<Option<u32>>,
    /// Index of the work coordinate system.
    pub frame: Option<usize>,
    /// G99 is true.
    pub to_r: bool,
    /// Millimetres per minute; under G93 not used.
    pub feed: Option<f64>,
    pub speed: Option<f64>,
    pub turns: Turns,
    /// The tool that T named last.
    pub chosen: Option<u32>,
    pub at: Position,
    /// What a canned cycle repeats; `None` while no cycle is on.
    pub cycle: Option<Held>,
}

/// What a canned cycle keeps from line to line, in millimetres.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Held {
    /// Which cycle it was.
    pub cycle: Option<Cycle>,
    /// Height of the tool before the first of these cycles.
    pub old_z: Option<f64>,
    /// As programmed: R and Z, with G91 as distances.
    pub r: Option<f64>,
    pub z: Option<f64>,
    pub q: Option<f64>,
    /// Seconds.
    pub p: Option<f64>,
}

impl State {
    pub fn new() -> State {
        State {
            motion: None,
            units: None,
            absolute: None,
            absolute_centre: false,
            plane: false,
            inverse_time: None,
            no_width: false,
            length: None,
            frame: None,
            to_r: false,
            feed: None,
            speed: None,
            turns: Turns::Not,
            chosen: None,
            at: [Axis::Unknown; 3],
            cycle: None,
        }
    }
}
