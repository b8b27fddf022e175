//! Inside corners that must be square, because a square corner of another panel goes into them.

use super::{Face, Panel};
use crate::geometry::{Outline, Point, Vec2};

/// Two sides that meet flatter than this (sine of the angle) are no corner.
const FLAT: f64 = 0.05;

/// Every inside corner of a panel's outline and pockets that a round cutter would leave too full for the panel that goes
/// into it, in the panel's frame (u, v).
///
/// A cutter of diameter `cutter` leaves a fillet in an inside corner. Where wood of another panel is to stand in that
/// fillet, the corner needs relief; where nothing does, it needs none.
pub fn square_corners(panels: &[Panel], index: usize, cutter: f64) -> Vec<Point> {
    let panel = &panels[index];
    let mut corners: Vec<Point> = Vec::new();
    let mut look = |outline: &Outline, depths: [f64; 3], inside_of: Option<&Outline>| {
        for corner in inside_corners(outline, inside_of.is_none()) {
            let open = inside_of.is_some_and(|panel| !panel.contains(corner.at));
            let known = corners.iter().any(|known| known.distance(corner.at) < 1e-6);
            if !open && !known && is_taken(panels, index, &corner, depths, cutter / 2.0) {
                corners.push(corner.at);
            }
        }
    };
    let t = panel.thickness;
    look(&panel.outline, [0.1 * t, 0.5 * t, 0.9 * t], None);
    for pocket in &panel.pockets {
        let depths = [0.1, 0.5, 0.9].map(|share| match pocket.face {
            Face::Outer => share * pocket.depth,
            Face::Inner => t - share * pocket.depth,
        });
        look(&pocket.outline, depths, Some(&panel.outline));
    }
    corners
}

/// A corner with the directions of its two sides away from it, along the edge of the space that was cut out.
struct Corner {
    at: Point,
    sides: [Vec2; 2],
}

/// Corners that a cutter on the empty side cannot reach into: reflex ones of an outline, convex ones of a pocket.
fn inside_corners(outline: &Outline, reflex: bool) -> Vec<Corner> {
    let sides: Vec<_> = outline.segments().collect();
    let turn_wanted = if reflex == (outline.area() >= 0.0) { -1.0 } else { 1.0 };
    (0..sides.len())
        .filter_map(|i| {
            let (before, after) = (sides[(i + sides.len() - 1) % sides.len()], sides[i]);
            if before.is_arc() || after.is_arc() || before.chord() < 1e-6 || after.chord() < 1e-6 {
                return None;
            }
            let (arriving, leaving) = (before.direction(1.0), after.direction(0.0));
            let turn = arriving.cross(leaving) * turn_wanted;
            (turn > FLAT).then_some(Corner { at: after.start, sides: [-arriving, leaving] })
        })
        .collect()
}

/// Is there wood of another panel in the fillet that a cutter of this radius leaves?
fn is_taken(panels: &[Panel], index: usize, corner: &Corner, depths: [f64; 3], radius: f64) -> bool {
    // Places within the fillet of a square corner, along its two sides, in radii.
    const PLACES: [(f64, f64); 6] = [(0.02, 0.02), (0.1, 0.1), (0.28, 0.28), (0.05, 0.5), (0.5, 0.05), (0.15, 0.4)];
    let panel = &panels[index];
    PLACES.iter().any(|(a, b)| {
        let at = corner.at + corner.sides[0] * (a * radius) + corner.sides[1] * (b * radius);
        depths.iter().any(|depth| {
            let in_space = panel.place.to_space(at, -depth);
            panels.iter().enumerate().any(|(i, other)| i != index && other.contains(in_space))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::super::{Facing, Pocket};
    use super::*;
    use glam::DVec3;

    fn wall_with_a_notch() -> Panel {
        // Lies flat, 200 × 100, with a notch 30 wide and 20 deep in the middle of its far side.
        Panel::block("wall", "wall", Facing::Up, DVec3::ZERO, DVec3::new(200.0, 100.0, 12.0)).with_outline(
            Outline::polygon([
                (0.0, 0.0),
                (200.0, 0.0),
                (200.0, 100.0),
                (115.0, 100.0),
                (115.0, 80.0),
                (85.0, 80.0),
                (85.0, 100.0),
                (0.0, 100.0),
            ]),
        )
    }

    #[test]
    fn a_notch_needs_square_corners_only_where_something_square_goes_in() {
        let wall = wall_with_a_notch();
        assert!(square_corners(std::slice::from_ref(&wall), 0, 6.0).is_empty());
        let filling = |x0: f64, x1: f64, y0: f64| {
            Panel::block("f", "f", Facing::Front, DVec3::new(x0, y0, -40.0), DVec3::new(x1, y0 + 15.0, 60.0))
        };
        let at = |filler: Panel| square_corners(&[wall.clone(), filler], 0, 6.0);
        assert_eq!(at(filling(85.1, 114.9, 80.1)).len(), 2);
        // Five millimetres clear of one side, beyond the fillet of 3: only the other corner matters.
        assert_eq!(at(filling(85.1, 110.0, 80.1)), [Point::new(85.0, 80.0)]);
        assert!(at(filling(90.0, 110.0, 80.0)).is_empty());
        assert!(at(filling(85.1, 114.9, 84.0)).is_empty());
    }

    #[test]
    fn a_pocket_open_to_the_edge_has_no_corner_there() {
        let mut base = Panel::block("base", "base", Facing::Up, DVec3::ZERO, DVec3::new(200.0, 100.0, 12.0));
        base.pockets.push(Pocket {
            purpose: "groove".into(),
            face: Face::Outer,
            outline: Outline::polygon([(50.0, 40.0), (203.1, 40.0), (203.1, 52.2), (50.0, 52.2)]),
            depth: 6.0,
        });
        let shelf =
            Panel::block("shelf", "shelf", Facing::Front, DVec3::new(50.1, 40.1, 6.0), DVec3::new(200.0, 52.1, 80.0));
        let corners = square_corners(&[base, shelf], 0, 6.0);
        assert_eq!(corners, [Point::new(50.0, 40.0), Point::new(50.0, 52.2)]);
    }
}
