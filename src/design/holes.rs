//! The holes a maker asked for, put into the panels they named.

use super::{Hole, Panel};
use crate::geometry::Point;
use crate::job::{Across, HoleOrder, HoleSize, Up};
use crate::reading::{Problem, Source, any_of, nearest};
use std::sync::Arc;

/// Adds each hole to the panel of its name, or to every panel that goes by that name in the cut list.
pub(super) fn place(panels: &mut [Panel], orders: &[HoleOrder], source: &Arc<Source>, problems: &mut Vec<Problem>) {
    for order in orders {
        let named = |panel: &Panel| panel.name == order.panel || panel.family == order.panel;
        if !panels.iter().any(named) {
            let known: Vec<&str> = panels.iter().map(|panel| panel.name.as_str()).collect();
            let help = nearest(&order.panel, known.iter().copied())
                .map(|near| format!("did you mean \"{near}\"?"))
                .unwrap_or_default();
            problems.push(Problem {
                source: Arc::clone(source),
                span: order.panel_spot.clone(),
                message: format!("this box has no panel `{}`", order.panel),
                expected: format!("expected {}", any_of(known)),
                help,
            });
            continue;
        }
        for panel in panels.iter_mut().filter(|panel| named(panel)) {
            panel.holes.push(hole_in(panel, order));
        }
    }
}

fn hole_in(panel: &Panel, order: &HoleOrder) -> Hole {
    let bounds = panel.outline.bounds();
    let u = match order.across {
        Across::Centre => bounds.center().x,
        Across::FromLeft(distance) => bounds.x0 + distance,
    };
    let v = match order.up {
        Up::FromLowerEdge(distance) => bounds.y0 + distance,
        Up::FromUpperEdge(distance) => bounds.y1 - distance,
    };
    let (length, width) = match order.size {
        HoleSize::Round { diameter } => (diameter, diameter),
        HoleSize::Slot { length, width } => (length, width),
    };
    Hole { use_: order.use_, centre: Point::new(u, v), length, width, spot: Some(order.spot.clone()) }
}
