//! What several records of `job.json` have in common.

use crate::design::Part;
use crate::layout::Placement;
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Serialize, JsonSchema)]
pub(super) struct PlacementRecord<'a> {
    part: &'a str,
    x: f64,
    y: f64,
    /// A quarter turn, or three: the part's length runs along the sheet's width.
    turned: bool,
    /// Degrees, counter-clockwise.
    angle: u32,
}

pub(super) fn placement_record<'a>(parts: &'a [Part], placement: &Placement) -> PlacementRecord<'a> {
    PlacementRecord {
        part: &parts[placement.part].name,
        x: tidy(placement.x),
        y: tidy(placement.y),
        turned: placement.turn.swaps(),
        angle: placement.turn.degrees(),
    }
}

/// To a ten-thousandth: what is left of a transform's dust goes.
pub(super) fn tidy(value: f64) -> f64 {
    let tidy = (value * 1e4).round() / 1e4;
    if tidy == 0.0 { 0.0 } else { tidy }
}
