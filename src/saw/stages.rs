//! How often the cuts of a plan turn: all along one axis, then all along the other, and so on.

use super::SLIVER;
use super::step::{Action, Becomes, Edge, Step};
use crate::layout::Axis;
use std::collections::HashMap;

/// Stages it takes to free the piece that takes most, as the steps are written.
///
/// Cuts along one axis are one stage until a cut across them comes between. What straightens, squares and trims the edges of
/// the sheet as bought is not counted; `trim` says how much that may be at the far edges of a sheet, by index (mm).
pub(super) fn stages(steps: &[Step], trim: impl Fn(usize) -> f64) -> u32 {
    // Of each piece on the bench, how many stages made it, and the axis of the last.
    let mut bench: HashMap<(usize, &str), (u32, Option<Axis>)> = HashMap::new();
    let mut most = 0;
    for step in steps.iter().filter(|step| step.action == Action::Cut) {
        let (made, last) = bench.remove(&(step.sheet, step.piece.as_str())).unwrap_or_default();
        let stage = if trims(step, trim(step.sheet)) || last == Some(step.axis) {
            (made, last)
        } else {
            (made + 1, Some(step.axis))
        };
        for piece in [&step.off, &step.left].into_iter().flatten() {
            match piece.becomes {
                Becomes::Waste | Becomes::OffCut { .. } => {}
                Becomes::Strip | Becomes::Part { .. } => most = most.max(stage.0),
            }
            bench.insert((step.sheet, piece.name.as_str()), stage);
        }
    }
    most
}

/// Does a cut take off no more than the far trim of the sheet?
fn trims(step: &Step, trim: f64) -> bool {
    let from_reference = matches!(step.from_edge, Edge::LongReference | Edge::EndReference);
    let size = match step.axis {
        Axis::X => step.rect.width(),
        Axis::Y => step.rect.height(),
    };
    let waste = step.left.as_ref().is_none_or(|left| left.becomes == Becomes::Waste);
    from_reference && waste && size - step.measure <= trim + SLIVER
}
