//! Holes and slots that the cutter makes: rings from the inside out, each a ramp down and a last full turn.
//!
//! Everything inside is cut away, so no plug ever comes loose.

use super::CutterAt;
use super::moves::Move;
use super::profile::{entered, spiral};
use super::track::Track;
use crate::geometry::{Outline, offset};
use crate::profile::Tool;

/// The next ring lies this share of the cutter's diameter further out.
const STEP_OVER: f64 = 0.4;

/// The narrowest hole that the tool can ramp into: a little wider than itself.
pub(super) fn narrowest(tool: &Tool) -> f64 {
    tool.diameter.value * 1.1
}

/// Clears the inside of `outline` down to `depth`, counter-clockwise (climb cutting inside). `None` when the cutter
/// does not fit in.
pub(super) fn moves(outline: &Outline, depth: f64, cutter: &CutterAt) -> Option<Vec<Move>> {
    let diameter = cutter.tool.diameter.value;
    let slope = cutter.tool.ramp_angle.value.to_radians().tan();
    let pass = cutter.tool.pass_depth.value * diameter;
    let mut rings = Vec::new();
    let mut inset = diameter / 2.0;
    loop {
        let found = offset(outline, -inset);
        if found.is_empty() {
            break;
        }
        rings.extend(found);
        inset += diameter * STEP_OVER;
    }
    let mut moves = Vec::new();
    for ring in rings.iter().rev() {
        let track = Track::new(ring);
        moves.extend(entered(&spiral(&track, depth, pass, slope, 0.0), &track, cutter));
    }
    (!moves.is_empty()).then_some(moves)
}
