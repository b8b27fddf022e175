//! Grooves for the edges of an added board: taken from the board's own block in the box, so that both its ends stand in line.

use super::Block;
use super::room::axis_of;
use crate::design::{Assembly, Face, Joinery};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Point, Rect};
use crate::job::BoardOrder;
use crate::spec::schema::LET_IN;

/// Nearer than this a board's edge lies on a face (mm); and less of it than this is a corner that touches.
const ON: f64 = 0.05;
const TOUCH: f64 = 1.0;
/// What stays of a panel under the deepest groove (mm), whatever is asked for.
const LEFT: f64 = 1.0;

/// Makes the block longer where its edges meet the faces of panels, and cuts what it needs there.
pub(super) fn let_in(
    assembly: &mut Assembly,
    block: &mut Block,
    order: &BoardOrder,
    joinery: &Joinery,
) -> Option<Finding> {
    let panels = &assembly.panels;
    let mut meets: Vec<(usize, usize, bool)> = Vec::new();
    for axis in (0..3).filter(|axis| *axis != block.across) {
        for (i, panel) in panels.iter().enumerate().filter(|(_, panel)| panel.sub_assembly == block.sub_assembly) {
            let (low, high) = panel.bounds();
            let over = |o: usize| high[o].min(block.most[o]) - low[o].max(block.least[o]) > TOUCH;
            if axis_of(panel) != Some(axis) || !(0..3).filter(|o| *o != axis).all(over) {
                continue;
            }
            if (high[axis] - block.least[axis]).abs() < ON {
                meets.push((i, axis, false));
            } else if (low[axis] - block.most[axis]).abs() < ON {
                meets.push((i, axis, true));
            }
        }
    }
    let thinnest =
        meets.iter().map(|(i, ..)| *i).min_by(|a, b| panels[*a].thickness.total_cmp(&panels[*b].thickness))?;
    let thickness = panels[thinnest].thickness;
    let depth = order.let_in.min(thickness - LEFT);
    let finding = (order.let_in > thickness / 2.0 + 1e-6).then(|| {
        Finding::measured(
            JobCheck::BoardGroove,
            format!("{}, {}", assembly.name, order.name),
            Measure::Length(order.let_in),
            Limits::at_most(thickness / 2.0),
            Status::Refused,
        )
        .source("common practice: no groove is deeper than half the board that it is cut into")
        .advice(format!("the {} is too thin for it: make `let-in` less", panels[thinnest].name))
        .at(order.spots.of(&[LET_IN]))
    });
    for (axis, far) in [0, 1, 2].into_iter().flat_map(|axis| [(axis, false), (axis, true)]) {
        if meets.iter().any(|(_, on, end)| (*on, *end) == (axis, far)) {
            if far { block.most[axis] += depth } else { block.least[axis] -= depth }
        }
    }
    for (i, ..) in meets {
        let panel = &mut assembly.panels[i];
        let (a, w) = panel.place.to_flat(block.least);
        let (b, v) = panel.place.to_flat(block.most);
        let face = if f64::midpoint(w, v) > -panel.thickness / 2.0 { Face::Outer } else { Face::Inner };
        let rect = Rect::from_points(Point::new(a.x, a.y), Point::new(b.x, b.y));
        joinery.groove(panel, face, rect, depth, &format!("groove for the {}", order.name));
    }
    finding
}
