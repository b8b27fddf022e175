//! A panel as a body of wood: its layers, its volume, and where a plane cuts it.

use super::{Face, Panel};
use crate::geometry::math::hypot;
use crate::geometry::{Place, Point, ROUGH, Region, region_area, to_polygon_within, to_rough_polygon};
use geo::orient::{Direction, Orient};
use geo::{BooleanOps, BoundingRect, Coord, LineString, MultiPolygon, Polygon};

/// A slice of a panel that is the same all the way through, between two depths.
#[derive(Clone, Debug)]
pub struct Layer {
    /// In the panel's frame.
    pub region: Region,
    /// Its upper and lower end in w: 0 is the outer face.
    pub top: f64,
    pub foot: f64,
}

impl Panel {
    /// The panel from its outer to its inner face: one layer, or several where it has pockets. Its holes are left out of
    /// account.
    pub fn layers(&self) -> Vec<Layer> {
        self.layers_of(to_rough_polygon(&self.outline).into(), ROUGH)
    }

    /// The same with its holes, arcs as chords within `fine` (mm) of them.
    pub fn layers_with_holes(&self, fine: f64) -> Vec<Layer> {
        let holes = self.holes.iter().map(|hole| Region::from(to_polygon_within(&hole.outline(), fine)));
        let outline = Region::from(to_polygon_within(&self.outline, fine));
        self.layers_of(holes.fold(outline, |wood, hole| wood.difference(&hole)), fine)
    }

    fn layers_of(&self, whole: Region, fine: f64) -> Vec<Layer> {
        let mut depths = vec![0.0, self.thickness];
        depths.extend(self.pockets.iter().flat_map(|pocket| self.pocket_span(pocket.face, pocket.depth)));
        depths.retain(|depth| (0.0..=self.thickness).contains(depth));
        depths.sort_by(f64::total_cmp);
        depths.dedup_by(|b, a| *b - *a < 1e-6);
        depths
            .windows(2)
            .map(|ends| {
                let middle = f64::midpoint(ends[0], ends[1]);
                let mut region = whole.clone();
                for pocket in &self.pockets {
                    let [from, to] = self.pocket_span(pocket.face, pocket.depth);
                    if (from..to).contains(&middle) {
                        region = region.difference(&Region::from(to_polygon_within(&pocket.outline, fine)));
                    }
                }
                Layer { region, top: -ends[0], foot: -ends[1] }
            })
            .collect()
    }

    /// Depths below the outer face between which a pocket lies.
    fn pocket_span(&self, face: Face, depth: f64) -> [f64; 2] {
        match face {
            Face::Outer => [0.0, depth],
            Face::Inner => [self.thickness - depth, self.thickness],
        }
    }

    /// Cubic millimetres of wood, less pockets and holes.
    pub fn volume(&self) -> f64 {
        let wood: f64 = self.layers().iter().map(|layer| region_area(&layer.region) * (layer.top - layer.foot)).sum();
        let holes: f64 = self.holes.iter().map(|hole| hole.outline().area() * self.thickness).sum();
        (wood - holes).max(0.0)
    }

    /// Where a plane cuts the panel, in the plane's own frame.
    pub fn section(&self, plane: &Place) -> Region {
        let layers = self.layers();
        section(&layers, &self.place, plane)
    }
}

/// Where a plane cuts layers that stand at `place`, in the plane's own frame.
pub fn section(layers: &[Layer], place: &Place, plane: &Place) -> Region {
    let mut cut = Region::new(vec![]);
    for layer in layers {
        let part = layer_section(layer, place, plane);
        if !part.0.is_empty() {
            cut = if cut.0.is_empty() { part } else { cut.union(&part) };
        }
    }
    cut
}

fn layer_section(layer: &Layer, place: &Place, plane: &Place) -> Region {
    let normal = plane.normal();
    // The plane in the panel's frame: a·u + b·v + c·w = d.
    let (a, b, c) = (normal.dot(place.u), normal.dot(place.v), normal.dot(place.normal()));
    let d = normal.dot(plane.origin - place.origin);
    let in_plane = |u: f64, v: f64, w: f64| {
        let (at, _) = plane.to_flat(place.to_space(Point::new(u, v), w));
        Coord { x: at.x, y: at.y }
    };
    if c.abs() < 1e-9 {
        let rectangles = chords(&layer.region, (a, b), d).into_iter().map(|(from, to)| {
            let corners = [(from, layer.foot), (to, layer.foot), (to, layer.top), (from, layer.top)];
            // Along the line: its foot point from the origin, and its direction.
            let ring = corners.map(|(s, w)| in_plane(a * d - b * s, b * d + a * s, w));
            Polygon::new(LineString::from(ring.to_vec()), vec![])
        });
        return MultiPolygon::new(rectangles.collect()).orient(Direction::Default);
    }
    let height = |u: f64, v: f64| (d - a * u - b * v) / c;
    let across = hypot(a, b);
    let region = if across < 1e-9 {
        if (layer.foot..layer.top).contains(&(d / c)) { layer.region.clone() } else { return Region::new(vec![]) }
    } else {
        // The strip of the outline over which the plane is inside the layer.
        let (x, y) = (a / across, b / across);
        let (near, far) = ((d - c * layer.top) / across, (d - c * layer.foot) / across);
        // No longer than needed: the smaller the polygons, the finer polygon algebra works.
        let Some(bounds) = layer.region.bounding_rect() else { return Region::new(vec![]) };
        let reach = [bounds.min().x, bounds.max().x, bounds.min().y, bounds.max().y].map(f64::abs);
        let reach = reach.into_iter().fold(1.0, f64::max) * 2.0;
        let corner = |r: f64, s: f64| Coord { x: x * r - y * s, y: y * r + x * s };
        let ends = [corner(near, -reach), corner(far, -reach), corner(far, reach), corner(near, reach)];
        let strip = LineString::from(ends.to_vec());
        layer.region.intersection(&MultiPolygon::from(Polygon::new(strip, vec![]).orient(Direction::Default)))
    };
    use geo::MapCoords;
    region.map_coords(|at| in_plane(at.x, at.y, height(at.x, at.y))).orient(Direction::Default)
}

/// Where the line `a·u + b·v = d` (of unit normal) runs inside a region, as distances along it from its foot point.
fn chords(region: &Region, (a, b): (f64, f64), d: f64) -> Vec<(f64, f64)> {
    let mut crossings = Vec::new();
    for polygon in region {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for side in ring.lines() {
                let off = |at: Coord| a * at.x + b * at.y - d;
                let along = |at: Coord| a * at.y - b * at.x;
                let (from, to) = (off(side.start), off(side.end));
                if (from > 0.0) != (to > 0.0) {
                    let share = from / (from - to);
                    crossings.push(along(side.start) + (along(side.end) - along(side.start)) * share);
                }
            }
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|ends| (ends[0], ends[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Facing, Hole, HoleUse, Pocket};
    use super::*;
    use crate::geometry::Outline;
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
