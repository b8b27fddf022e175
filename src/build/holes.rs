//! The holes and recesses a maker asked for, put into the panels they named.

use super::no_such_panel;
use crate::design::{Assembly, Board, Face, Fitting, FittingKind, Hole, HoleUse, Joinery, Panel, Pocket, Seat};
use crate::geometry::{Outline, Point, Rect, Region, to_polygon};
use crate::job::{Across, HoleOrder, HoleSize, PocketOrder, Up};
use crate::reading::{Problem, Source};
use crate::units::INCH;
use geo::{BooleanOps, BoundingRect};
use std::ops::Range;
use std::sync::Arc;

/// Mesh reaches this far past its opening, for staples (mm).
const STAPLES: f64 = INCH / 2.0;

/// Adds each hole and recess to the panel of its name, or to every panel that goes by that name in the cut list.
pub(super) fn place(
    assembly: &mut Assembly,
    board: &Board,
    (holes, pockets): (&[HoleOrder], &[PocketOrder]),
    source: &Arc<Source>,
    problems: &mut Vec<Problem>,
) {
    let hive = assembly.is_hive();
    let mut mesh = Vec::new();
    for order in holes {
        for panel in named(&mut assembly.panels, &order.panel, &order.panel_spot, source, problems) {
            let row: Vec<Hole> = order.grid.offsets().map(|offset| hole_in(panel, board, order, offset)).collect();
            if order.mesh.unwrap_or(hive && order.use_ == HoleUse::Vent) {
                mesh.extend(mesh_over(panel, &row));
            }
            for hole in row {
                if let Some([diameter, depth]) = order.counterbore {
                    let outline = Outline::circle(hole.centre, diameter);
                    let round = outline.bounds();
                    if round.union(panel.outline.bounds()) != panel.outline.bounds() {
                        problems.push(Problem::new(
                            source,
                            order.spot.clone(),
                            format!("its counterbore runs over the edge of the panel `{}`", panel.name),
                            "expected half its diameter or more from the hole's centre to each edge",
                            "",
                        ));
                        // Of a row it is told once.
                        break;
                    }
                    panel.pockets.push(Pocket { purpose: "counterbore".into(), face: Face::Outer, outline, depth });
                }
                panel.holes.push(hole);
            }
        }
    }
    assembly.fittings.extend(mesh);
    let joinery = Joinery::new(board, 0.0);
    for order in pockets {
        for panel in named(&mut assembly.panels, &order.panel, &order.panel_spot, source, problems) {
            let centre = centre_in(panel, order.across, order.up, (0.0, 0.0));
            let rect = Rect::from_center_size(centre, (order.size[0], order.size[1]));
            if !covers_wood(panel, rect) {
                problems.push(Problem::new(
                    source,
                    order.spot.clone(),
                    format!("the recess lies off the wood of the panel `{}`", panel.name),
                    "expected a place that covers some of it",
                    "",
                ));
                continue;
            }
            joinery.recess(panel, order.face, rect, order.depth, &order.purpose);
        }
    }
}

/// Is there wood of the panel under a rectangle, beside its holes: at least a millimetre on each side?
fn covers_wood(panel: &Panel, rect: Rect) -> bool {
    let region = |outline: &Outline| Region::from(to_polygon(outline));
    let under = region(&panel.outline).intersection(&region(&Outline::from_rect(rect)));
    let wood = panel.holes.iter().fold(under, |wood, hole| wood.difference(&region(&hole.outline())));
    wood.iter()
        .filter_map(BoundingRect::bounding_rect)
        .any(|piece: geo::Rect| piece.width() >= 1.0 && piece.height() >= 1.0)
}

fn named<'a>(
    panels: &'a mut [Panel],
    name: &str,
    spot: &Range<usize>,
    source: &Arc<Source>,
    problems: &mut Vec<Problem>,
) -> Vec<&'a mut Panel> {
    let is_meant = |panel: &Panel| panel.name == name || panel.family == name;
    if !panels.iter().any(is_meant) {
        let known: Vec<&str> = panels.iter().map(|panel| panel.name.as_str()).collect();
        problems.push(no_such_panel(source, spot, name, &known));
    }
    panels.iter_mut().filter(|panel| is_meant(panel)).collect()
}

/// The panel is measured as it is looked at on every paper: a wall from outside, a floor or a cover from above; so far to the
/// right and up from there.
fn centre_in(panel: &Panel, across: Across, up: Up, offset: (f64, f64)) -> Point {
    let onto = panel.view().onto;
    let seen = onto.transform_rect_bbox(panel.outline.bounds());
    let x = match across {
        Across::Centre => seen.center().x,
        Across::FromLeft(distance) => distance,
    };
    let y = match up {
        Up::FromLowerEdge(distance) => distance,
        Up::FromUpperEdge(distance) => seen.y1 - distance,
    };
    onto.inverse() * Point::new(x + offset.0, y + offset.1)
}

fn hole_in(panel: &Panel, board: &Board, order: &HoleOrder, offset: (f64, f64)) -> Hole {
    let centre = centre_in(panel, order.across, order.up, offset);
    let hole = match order.size {
        HoleSize::Round { diameter } => Hole::round(order.use_, centre, diameter),
        HoleSize::Slot { length, width, upright } => {
            Hole { upright: upright && length > width, ..Hole::slot(order.use_, centre, length, width) }
        }
        HoleSize::Rectangle { width, height, corner } => {
            let corner = corner.unwrap_or_else(|| board.cutter.map_or(0.0, cutter_leaves));
            Hole::rectangle(order.use_, centre, (width, height), corner)
        }
    };
    Hole { spot: Some(order.spot.clone()), ..hole }
}

/// The corner's radius that a cutter of this diameter goes round without stopping: a tenth more than its own, and up to the
/// next half millimetre.
fn cutter_leaves(diameter: f64) -> f64 {
    (1.1 * diameter).ceil() / 2.0
}

/// An opening of a drawing, which shows corners square that are left to what cuts them.
pub(super) fn drawn(hole: &Hole, board: &Board, spot: &Range<usize>) -> Hole {
    let mut hole = Hole { spot: Some(spot.clone()), ..hole.clone() };
    if hole.corner == Some(0.0) {
        hole.corner = board.cutter.map(cutter_leaves).filter(|leaves| *leaves < hole.width / 2.0).or(Some(0.0));
    }
    hole
}

/// One piece of mesh on the inner face, over all of a row and large enough to be stapled.
fn mesh_over(panel: &Panel, row: &[Hole]) -> Option<Fitting> {
    let first = row.first()?;
    let around = row.iter().map(|hole| hole.outline().bounds()).reduce(|a, b| a.union(b))?;
    Some(Fitting {
        kind: FittingKind::Mesh,
        name: "number-eight hardware cloth".into(),
        purpose: format!("keeps bees in and pests out at the {}", first.use_),
        size: [around.width() + 2.0 * STAPLES, around.height() + 2.0 * STAPLES],
        seats: vec![Seat { panel: panel.name.clone(), face: Face::Inner, centre: around.center() }],
        spot: first.spot.clone(),
    })
}
