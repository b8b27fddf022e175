//! Which way the grain of each panel runs: as the maker says, else as one would choose for the wood.

use crate::design::{Assembly, Design, Grain, Panel, Running};
use crate::job::GrainOrder;
use crate::reading::{Problem, Source, any_of, nearest};
use std::sync::Arc;

/// All walls of a box.
const WALLS: &str = "walls";

/// Gives each panel its grain. What is left to us matters for solid wood only, see `is_solid`: along the walls of a box whose
/// corners and rests are cut into them, so that nothing is cut across short grain; else as the board gives it, which is along the
/// longer side.
pub(super) fn settle(
    assembly: &mut Assembly,
    design: &dyn Design,
    orders: &[GrainOrder],
    is_solid: impl Fn(&Panel) -> bool,
    source: &Arc<Source>,
    problems: &mut Vec<Problem>,
) {
    let along_walls = design.grain_along_walls();
    for panel in assembly.panels.iter_mut().filter(|panel| panel.grain == Grain::Any && is_solid(panel)) {
        let wall = panel.is_upright() && !panel.is_strip();
        panel.grain =
            if wall && along_walls { panel.grain_running(Running::Across) } else { panel.grain_along_longer() };
    }
    for order in orders {
        let name = order.panel.as_str();
        let is_meant = |panel: &Panel| {
            panel.name == name || panel.family == name || (name == WALLS && panel.is_upright() && !panel.is_strip())
        };
        if !assembly.panels.iter().any(is_meant) {
            problems.push(no_such(assembly, order, source));
        }
        for panel in assembly.panels.iter_mut().filter(|panel| is_meant(panel)) {
            panel.grain = panel.grain_running(order.running);
        }
    }
}

fn no_such(assembly: &Assembly, order: &GrainOrder, source: &Arc<Source>) -> Problem {
    let known = || assembly.panels.iter().map(|panel| panel.name.as_str()).chain([WALLS]);
    let help = nearest(&order.panel, known()).map(|near| format!("did you mean \"{near}\"?"));
    Problem::new(
        source,
        order.panel_spot.clone(),
        format!("this box has no panel `{}`", order.panel),
        format!("expected {}", any_of(known())),
        help.unwrap_or_default(),
    )
}
