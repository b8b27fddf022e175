//! Which way the grain of each panel runs: as the maker says, else as one would choose for the wood.

use super::no_such_panel;
use crate::design::{Assembly, Design, Grain, Panel, Running, is_among};
use crate::job::GrainOrder;
use crate::reading::{Problem, Source};
use std::sync::Arc;

/// Gives each panel its grain. What is left to us matters for solid wood only, see `is_solid`: along the walls of a box whose
/// corners and rests are cut into them, so that nothing is cut across short grain; else, and of added boards, as the board gives
/// it, which is along the longer side.
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
        let wall = panel.is_upright() && !panel.is_strip() && panel.added.is_none();
        panel.grain =
            if wall && along_walls { panel.grain_running(Running::Across) } else { panel.grain_along_longer() };
    }
    for order in orders {
        let is_meant = |panel: &Panel| panel.name == order.panel || is_among(&panel.family, &order.panel);
        if !assembly.panels.iter().any(is_meant) {
            let known: Vec<&str> = assembly.panels.iter().map(|panel| panel.name.as_str()).chain(["walls"]).collect();
            problems.push(no_such_panel(source, &order.panel_spot, &order.panel, &known));
        }
        for panel in assembly.panels.iter_mut().filter(|panel| is_meant(panel)) {
            panel.grain = panel.grain_running(order.running);
        }
    }
}
