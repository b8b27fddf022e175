//! A roost for bats: narrow chambers side by side, open below, with a board to land on.

use super::roof::Underside;
use crate::design::Board;
use crate::design::{Assembly, Design, Face, Facing, Fitting, FittingKind, Hole, HoleUse, Joinery, Panel, Seat};
use crate::geometry::{Outline, Point};
use crate::profile::{Occupant, Roost};
use crate::units::INCH;
use glam::DVec3;
use std::sync::Arc;

/// Chambers one behind the other between two sides, parted by boards in grooves; the back reaches down below them.
/// Lengths in millimetres, angles in radians.
#[derive(Clone, Debug)]
pub struct RoostBox {
    pub occupant: Arc<Occupant>,
    pub chambers: u32,
    /// One chamber's clear width, depth from board to board, and height at the front.
    pub chamber: [f64; 3],
    /// How far the back reaches below the chambers.
    pub landing: f64,
    pub slope: f64,
    pub overhang: f64,
    pub side_overhang: f64,
}

/// A hanging plate: how long it is, and how far below the back's upper edge it sits.
const HANGER: (f64, f64) = (45.0, 60.0);
/// Above the boards between the chambers, for bats to pass from one to the next.
const OVER: f64 = 20.0;
/// The vent in front: its height, its middle above the lower edge, and what is left of the front beside it.
const VENT: (f64, f64, f64) = (INCH / 2.0, 6.0 * INCH, 30.0);
/// Mesh stays this far from the sides.
const BESIDE: f64 = 4.0;

impl RoostBox {
    /// A roost as published: the narrowest spacing, the least width and height, the middle of what is left open.
    pub fn new(occupant: Arc<Occupant>, roost: &Roost) -> RoostBox {
        let middle = |range: [f64; 2]| f64::midpoint(range[0], range[1]);
        RoostBox {
            chambers: (middle(roost.chambers.value).ceil() as u32).max(1),
            chamber: [roost.width.value, roost.gap.value[0], roost.height.value],
            landing: middle(roost.landing.value),
            slope: super::keys::SLOPE.number().to_radians(),
            overhang: super::keys::OVERHANG.mm(),
            side_overhang: super::keys::SIDE_OVERHANG.mm(),
            occupant,
        }
    }
}

impl Design for RoostBox {
    /// Its boards reach from the roof to below the chambers, and are cut along a plank.
    fn grain_along_walls(&self) -> bool {
        false
    }

    fn better_thin(&self) -> &'static [&'static str] {
        &["chamber board"]
    }

    fn build(&self, board: &Board) -> Assembly {
        let [side, t, plate, between, over] =
            ["side", "front", "back", "chamber board", "roof"].map(|family| board.of(family));
        let [inside, gap, height] = self.chamber;
        let count = f64::from(self.chambers);
        let width = inside + 2.0 * side;
        // Front, chambers and the boards between them; the sides end where the back begins.
        let sides = t + count * gap + (count - 1.0) * between;
        let depth = sides + plate;
        let underside = Underside::sloping(self.slope, t, height);
        let under = |y0: f64, y1: f64| underside.lowest_over((0.0, width), (y0, y1));
        let block = |name: &str, family: &str, facing, least: [f64; 3], most: [f64; 3]| {
            Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most))
        };
        // Seen from outside, the left side has its front on the right.
        let (low, high) = (under(0.0, 0.0), under(sides, sides));
        let sloped = |near: f64, far: f64| Outline::polygon([(0.0, 0.0), (sides, 0.0), (sides, far), (0.0, near)]);
        let front_top = under(0.0, t);
        let mut front = block("front", "front", Facing::Front, [side, 0.0, 0.0], [width - side, t, front_top]);
        let centre = Point::new(inside / 2.0, VENT.1.min(front_top / 2.0));
        let length = (inside - 2.0 * VENT.2).max(VENT.0);
        front.holes.push(Hole::slot(HoleUse::Vent, centre, length, VENT.0));
        let mut panels = vec![
            block("left side", "side", Facing::Left, [0.0; 3], [side, sides, high]).with_outline(sloped(high, low)),
            block("right side", "side", Facing::Right, [width - side, 0.0, 0.0], [width, sides, high])
                .with_outline(sloped(low, high)),
            front,
            block("back", "back", Facing::Back, [0.0, sides, -self.landing], [width, depth, under(sides, depth)]),
        ];
        let joinery = Joinery::new(board, 0.3);
        let mut fittings = Vec::new();
        for i in 1..self.chambers {
            let y = t + f64::from(i) * gap + f64::from(i - 1) * between;
            let name = format!("chamber board {i}");
            let top = under(y, y + between) - OVER;
            panels.push(block(&name, "chamber board", Facing::Front, [side, y, 0.0], [width - side, y + between, top]));
            let last = panels.len() - 1;
            for wall in [0, 1] {
                // Edge on face: they always meet.
                let _ = joinery.let_in(&mut panels, wall, last, side / 3.0, "groove");
            }
            fittings.push(rough(&panels[last], Face::Outer, (inside - 2.0 * BESIDE, top - 2.0), 0.0));
        }
        let down = self.landing;
        fittings.push(rough(&panels[3], Face::Inner, (inside - 2.0 * BESIDE, down + height - 2.0), 0.0));
        let back = panels[3].outline.bounds();
        // Nobody reaches a screw in a chamber: the roost hangs by plates that stand out beside its back.
        let up = back.y1 - HANGER.1;
        fittings.extend([back.x0, back.x1].map(|x| hanger("back", Point::new(x, up))));
        panels.extend(underside.boards(over, (width, depth), self.overhang, self.side_overhang));
        Assembly {
            occupant: Some(Arc::clone(&self.occupant)),
            inside: Some(DVec3::new(width / 2.0, t + gap / 2.0, 1.0)),
            fittings,
            ..Assembly::new(panels)
        }
    }
}

/// A plate across the edge of the back, half of it beside the box.
fn hanger(panel: &str, centre: Point) -> Fitting {
    Fitting {
        kind: FittingKind::Hanger,
        name: "mirror plate".into(),
        purpose: "to hang the box by".into(),
        size: [HANGER.0, HANGER.0 / 3.0],
        seats: vec![Seat { panel: panel.into(), face: Face::Outer, centre }],
        spot: None,
    }
}

/// Something to cling to: mesh on the face that looks into a chamber, from `foot` above the panel's lower edge.
fn rough(panel: &Panel, face: Face, (wide, high): (f64, f64), foot: f64) -> Fitting {
    let bounds = panel.outline.bounds();
    Fitting {
        kind: FittingKind::Mesh,
        name: "plastic mesh, 3 mm".into(),
        purpose: "for bats to cling to".into(),
        size: [wide, high],
        seats: vec![Seat {
            panel: panel.name.clone(),
            face,
            centre: Point::new(bounds.center().x, bounds.y0 + foot + 1.0 + high / 2.0),
        }],
        spot: None,
    }
}
