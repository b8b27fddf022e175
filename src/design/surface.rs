//! The flat surfaces that bound a panel: faces, edges, and the floors and walls of its pockets.

use super::{Face, Panel, Pocket};
use crate::geometry::{Outline, Place, Point, Rect, Region, SAME, common, spans_inside, to_rough_polygon, without};
use geo::MultiPolygon;
use glam::DVec3;

/// Which surface of a panel it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SurfaceKind {
    Face(Face),
    /// The edge along the outline's side of this number.
    Edge(usize),
    /// The floor of the pocket of this number, looking out of the face it was cut from.
    PocketFloor(usize),
    /// A wall of the pocket of this number.
    PocketWall(usize),
}

/// A flat surface of a panel in space, looking out of the material along its place's normal.
#[derive(Clone, Debug)]
pub struct Surface {
    pub kind: SurfaceKind,
    /// A frame that lies in the surface; its normal points out of the material.
    pub place: Place,
    /// The surface in that frame.
    pub region: Region,
}

impl Surface {
    pub fn normal(&self) -> DVec3 {
        self.place.normal()
    }

    /// The corners of its outer rings, in space.
    pub fn corners(&self) -> impl Iterator<Item = DVec3> + '_ {
        self.region
            .iter()
            .flat_map(|polygon| polygon.exterior().coords())
            .map(|c| self.place.to_space(Point::new(c.x, c.y), 0.0))
    }
}

impl Panel {
    /// Every flat surface of the panel. Holes are left out of account: they take too little of a face to part a joint.
    pub fn surfaces(&self) -> Vec<Surface> {
        let whole = MultiPolygon::from(to_rough_polygon(&self.outline));
        let cut: Vec<Region> = self.pockets.iter().map(|pocket| to_rough_polygon(&pocket.outline).into()).collect();
        let mut surfaces = Vec::new();
        for face in [Face::Outer, Face::Inner] {
            let region = self
                .pockets
                .iter()
                .zip(&cut)
                .filter(|(pocket, _)| pocket.face == face)
                .fold(whole.clone(), |left, (_, cut)| without(&left, cut));
            surfaces.push(self.facing(SurfaceKind::Face(face), face, 0.0, &region));
        }
        for (i, side) in self.outline.segments().enumerate() {
            if !side.is_arc() && side.chord() > SAME {
                let all = [(0.0, side.chord())];
                let edge = Upright { from: side.start, to: side.end, bottom: 0.0, top: self.thickness };
                surfaces.push(self.upright(SurfaceKind::Edge(i), &edge, &all, None));
            }
        }
        for (i, pocket) in self.pockets.iter().enumerate() {
            // Where two pockets overlap the deeper has the floor.
            let floor = self
                .pockets
                .iter()
                .enumerate()
                .filter(|(j, other)| *j != i && other.face == pocket.face && (other.depth, i) > (pocket.depth, *j))
                .fold(common(&cut[i], &whole), |left, (j, _)| without(&left, &cut[j]));
            surfaces.push(self.facing(SurfaceKind::PocketFloor(i), pocket.face, pocket.depth, &floor));
            let (bottom, top) = self.heights(pocket);
            for side in pocket.outline.segments().filter(|side| !side.is_arc() && side.chord() > SAME) {
                // A pocket's walls look into the pocket, an outline's out of the wood.
                let wall = Upright { from: side.end, to: side.start, bottom, top };
                let wood = spans_inside(&self.outline, wall.beside(0.0), wall.beside(side.chord()));
                surfaces.push(self.upright(SurfaceKind::PocketWall(i), &wall, &wood, Some(i)));
            }
        }
        surfaces.retain(|surface| !surface.region.0.is_empty());
        surfaces
    }

    /// Where a pocket lies in the thickness, from the inner face up.
    fn heights(&self, pocket: &Pocket) -> (f64, f64) {
        match pocket.face {
            Face::Outer => (self.thickness - pocket.depth, self.thickness),
            Face::Inner => (0.0, pocket.depth),
        }
    }

    /// A surface in a face, or `depth` below it, from its region in the panel's frame; looks out of the material.
    fn facing(&self, kind: SurfaceKind, face: Face, depth: f64, region: &Region) -> Surface {
        let place = match face {
            Face::Outer => self.place.moved(-self.place.normal() * depth),
            // Seen from inside the box, u runs in the opposite direction.
            Face::Inner => Place::new(
                self.place.origin - self.place.normal() * (self.thickness - depth),
                -self.place.u,
                self.place.v,
            ),
        };
        Surface { kind, place, region: flipped_if(face == Face::Inner, region) }
    }

    /// A surface at right angles to the faces, over the stretches where there is wood behind it, less what pockets
    /// (other than `its_own`) take of it.
    fn upright(&self, kind: SurfaceKind, sheer: &Upright, wood: &[(f64, f64)], its_own: Option<usize>) -> Surface {
        let along = (sheer.to - sheer.from).normalize();
        let u = self.place.u * along.x + self.place.v * along.y;
        // u from its beginning to its end, v towards the outer face: their product points to the right of u.
        let place = Place::new(self.place.to_space(sheer.from, -self.thickness), u, self.place.normal());
        let block = |(start, end): (f64, f64), bottom: f64, top: f64| {
            Region::from(to_rough_polygon(&Outline::from_rect(Rect::new(start, bottom, end, top))))
        };
        // The stretches are apart.
        let mut region: Region = wood.iter().flat_map(|span| block(*span, sheer.bottom, sheer.top)).collect();
        let length = sheer.from.distance(sheer.to);
        for (_, pocket) in self.pockets.iter().enumerate().filter(|(i, _)| Some(*i) != its_own) {
            let (bottom, top) = self.heights(pocket);
            for span in spans_inside(&pocket.outline, sheer.beside(0.0), sheer.beside(length)) {
                region = without(&region, &block(span, bottom, top));
            }
        }
        Surface { kind, place, region }
    }
}

/// A surface that stands upright on a panel's faces. From its beginning to its end, the wood is on the left.
struct Upright {
    from: Point,
    to: Point,
    /// Heights above the inner face.
    bottom: f64,
    top: f64,
}

impl Upright {
    /// A place on it, this far from its beginning, a hair inside the wood behind it.
    fn beside(&self, distance: f64) -> Point {
        const HAIR: f64 = 1e-3;
        let along = (self.to - self.from).normalize();
        self.from + along * distance + crate::geometry::Vec2::new(-along.y, along.x) * HAIR
    }
}

/// Mirrors a region in u, for a face that is looked at from the other side.
fn flipped_if(flip: bool, region: &Region) -> Region {
    use geo::{MapCoords, orient::Direction, orient::Orient};
    if !flip {
        return region.clone();
    }
    region.map_coords(|c| geo::Coord { x: -c.x, y: c.y }).orient(Direction::Default)
}

#[cfg(test)]
mod tests {
    use super::super::Facing;
    use super::*;
    use crate::geometry::region_area;

    fn area(surfaces: &[Surface], wanted: impl Fn(SurfaceKind) -> bool) -> f64 {
        surfaces.iter().filter(|surface| wanted(surface.kind)).map(|surface| region_area(&surface.region)).sum()
    }

    fn board(pockets: Vec<Pocket>) -> Panel {
        let mut panel = Panel::block("b", "b", Facing::Up, DVec3::ZERO, DVec3::new(200.0, 100.0, 12.0));
        panel.pockets = pockets;
        panel
    }

    fn pocket(face: Face, x: (f64, f64), y: (f64, f64), depth: f64) -> Pocket {
        Pocket { purpose: "rabbet".into(), face, outline: Outline::from_rect(Rect::new(x.0, y.0, x.1, y.1)), depth }
    }

    /// A board 200 × 100 × 12 with a rabbet 20 wide and 5 deep along its right edge, which stops 30 short of the far one.
    #[test]
    fn a_rabbet_that_stops_short_takes_its_share_of_the_edge() {
        let surfaces = board(vec![pocket(Face::Outer, (180.0, 203.0), (-3.0, 70.0), 5.0)]).surfaces();
        let edges = |i| area(&surfaces, |kind| kind == SurfaceKind::Edge(i));
        // Sides in order: near, right, far, left.
        for (i, expected) in
            [200.0 * 12.0 - 20.0 * 5.0, 100.0 * 12.0 - 70.0 * 5.0, 200.0 * 12.0, 100.0 * 12.0].into_iter().enumerate()
        {
            assert!((edges(i) - expected).abs() < 1e-6, "edge {i}: {}", edges(i));
        }
        let walls = area(&surfaces, |kind| kind == SurfaceKind::PocketWall(0));
        assert!((walls - (70.0 + 20.0) * 5.0).abs() < 1e-6, "{walls}");
        assert!((area(&surfaces, |kind| kind == SurfaceKind::PocketFloor(0)) - 20.0 * 70.0).abs() < 1e-6);
        assert!((area(&surfaces, |kind| kind == SurfaceKind::Face(Face::Outer)) - (20_000.0 - 1400.0)).abs() < 1e-6);
    }

    /// Two grooves that cross: the deeper goes through, the shallower loses floor and wall there.
    #[test]
    fn where_two_grooves_cross_the_deeper_has_the_floor() {
        let surfaces = board(vec![
            pocket(Face::Inner, (-3.0, 203.0), (40.0, 60.0), 4.0),
            pocket(Face::Inner, (90.0, 110.0), (-3.0, 103.0), 6.0),
        ])
        .surfaces();
        let of = |wanted| area(&surfaces, |kind| kind == wanted);
        assert!((of(SurfaceKind::PocketFloor(0)) - 180.0 * 20.0).abs() < 1e-6);
        assert!((of(SurfaceKind::PocketFloor(1)) - 100.0 * 20.0).abs() < 1e-6);
        assert!((of(SurfaceKind::PocketWall(0)) - 2.0 * 180.0 * 4.0).abs() < 1e-6);
        // The deeper groove's walls reach only from 4 to 6 where the other comes in.
        assert!((of(SurfaceKind::PocketWall(1)) - 2.0 * (80.0 * 6.0 + 20.0 * 2.0)).abs() < 1e-6);
    }

    /// A closed body's surfaces, each as an arrow as long as its area, add up to nothing.
    #[test]
    fn the_surfaces_close() {
        let panel = board(vec![
            pocket(Face::Outer, (150.0, 203.0), (-3.0, 50.0), 5.0),
            pocket(Face::Inner, (-3.0, 40.0), (20.0, 60.0), 3.0),
            pocket(Face::Inner, (30.0, 60.0), (30.0, 103.0), 6.0),
        ])
        .with_outline(Outline::polygon([
            (0.0, 0.0),
            (200.0, 0.0),
            (200.0, 100.0),
            (120.0, 100.0),
            (120.0, 70.0),
            (100.0, 70.0),
            (100.0, 100.0),
            (0.0, 100.0),
        ]));
        let sum: DVec3 = panel.surfaces().iter().map(|surface| surface.normal() * region_area(&surface.region)).sum();
        assert!(sum.length() < 1e-3, "{sum}");
    }
}
