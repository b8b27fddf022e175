//! A panel as a body of wood: its layers, its volume, and where a plane cuts it.

use super::{Face, Panel};
use crate::geometry::{Layer, Place, ROUGH, Recess, Region, Solid, region_area, section};

impl Panel {
    /// The panel with its holes and pockets, in its own frame.
    pub fn solid(&self) -> Solid {
        let recesses = self.pockets.iter().map(|pocket| {
            let depth = pocket.depth.min(self.thickness);
            let (from, to) = match pocket.face {
                Face::Outer => (0.0, depth),
                Face::Inner => (self.thickness - depth, self.thickness),
            };
            Recess { outline: pocket.outline.clone(), from, to }
        });
        Solid {
            thickness: self.thickness,
            outline: self.outline.clone(),
            holes: self.holes.iter().map(|hole| hole.outline()).collect(),
            recesses: recesses.collect(),
        }
    }

    /// The panel's layers, its holes left out of account: they are too small to matter to what it touches.
    pub fn layers(&self) -> Vec<Layer> {
        Solid { holes: Vec::new(), ..self.solid() }.layers(ROUGH)
    }

    /// Cubic millimetres of wood, less pockets and holes.
    pub fn volume(&self) -> f64 {
        let wood: f64 = self.layers().iter().map(|layer| region_area(&layer.region) * (layer.top - layer.foot)).sum();
        let holes: f64 = self.holes.iter().map(|hole| hole.outline().area() * self.thickness).sum();
        (wood - holes).max(0.0)
    }

    /// Where a plane cuts the panel, in the plane's own frame.
    pub fn section(&self, plane: &Place) -> Region {
        section(&self.layers(), &self.place, plane)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Facing, Hole, HoleUse, Pocket};
    use super::*;
    use crate::geometry::{Outline, Point};
    use glam::DVec3;

    fn board() -> Panel {
        Panel::block("board", "", Facing::Front, DVec3::ZERO, DVec3::new(200.0, 12.0, 100.0))
    }

    fn area(panel: &Panel, origin: [f64; 3], u: DVec3, v: DVec3) -> f64 {
        region_area(&panel.section(&Place::new(DVec3::from(origin), u, v)))
    }

    #[test]
    fn upright_level_and_slanting_planes_cut_what_they_should() {
        let board = board();
        let level = |z: f64| area(&board, [0.0, 0.0, z], DVec3::X, DVec3::Y);
        assert!((level(50.0) - 200.0 * 12.0).abs() < 1e-6);
        assert!(level(101.0) == 0.0);
        assert!((area(&board, [0.0, 6.0, 0.0], DVec3::X, DVec3::Z) - 200.0 * 100.0).abs() < 1e-6);
        assert!((area(&board, [30.0, 0.0, 0.0], DVec3::Y, DVec3::Z) - 12.0 * 100.0).abs() < 1e-6);
        // At 45 degrees through the thickness the cut is √2 as wide.
        let slanting = DVec3::new(0.0, 1.0, 1.0).normalize();
        let cut = area(&board, [0.0, 0.0, 40.0], DVec3::X, slanting);
        assert!((cut - 200.0 * 12.0 * 2f64.sqrt()).abs() < 1e-3, "{cut}");
    }

    #[test]
    fn pockets_and_holes_take_wood_away() {
        let mut board = board();
        board.pockets.push(Pocket {
            purpose: "groove".into(),
            face: Face::Inner,
            outline: Outline::from_rect(crate::geometry::Rect::new(-5.0, 40.0, 205.0, 50.0)),
            depth: 4.0,
        });
        let board = board.with_hole(Hole::round(HoleUse::Vent, Point::new(100.0, 80.0), 20.0));
        let hole = std::f64::consts::PI * 100.0 * 12.0;
        assert!((board.volume() - (200.0 * 100.0 * 12.0 - 200.0 * 10.0 * 4.0 - hole)).abs() < 1e-3);
        // Level through the groove, only the outer eight millimetres are left.
        let level = region_area(&board.section(&Place::new(DVec3::Z * 45.0, DVec3::X, DVec3::Y)));
        assert!((level - 200.0 * 8.0).abs() < 1e-6);
    }
}
