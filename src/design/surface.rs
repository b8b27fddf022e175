//! The flat surfaces that bound a panel: faces, edges, and the floors and walls of its pockets.

use super::{Face, Panel};
use crate::geometry::{Outline, Place, Region, SAME, to_polygon};
use geo::{BooleanOps, MultiPolygon};
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
            .map(|c| self.place.to_space(crate::geometry::Point::new(c.x, c.y), 0.0))
    }
}

impl Panel {
    /// Every flat surface of the panel. Holes are left out of account: they take too little of a face to part a joint.
    pub fn surfaces(&self) -> Vec<Surface> {
        let mut surfaces = Vec::new();
        for face in [Face::Outer, Face::Inner] {
            let mut region = MultiPolygon::from(to_polygon(&self.outline));
            for pocket in self.pockets.iter().filter(|pocket| pocket.face == face) {
                region = region.difference(&MultiPolygon::from(to_polygon(&pocket.outline)));
            }
            surfaces.push(Surface {
                kind: SurfaceKind::Face(face),
                place: self.face_place(face, 0.0),
                region: flipped_if(face == Face::Inner, &region),
            });
        }
        for (i, side) in self.outline.segments().enumerate() {
            if !side.is_arc() && side.chord() > SAME {
                let upper = self.pocket_depth_at(side.at(0.5), Face::Outer);
                let lower = self.thickness - self.pocket_depth_at(side.at(0.5), Face::Inner);
                // A counter-clockwise outline has its outside on the right of the way.
                surfaces.push(self.upright(SurfaceKind::Edge(i), side.start, side.end, upper, lower));
            }
        }
        for (i, pocket) in self.pockets.iter().enumerate() {
            let floor = MultiPolygon::from(to_polygon(&pocket.outline))
                .intersection(&MultiPolygon::from(to_polygon(&self.outline)));
            surfaces.push(Surface {
                kind: SurfaceKind::PocketFloor(i),
                place: self.face_place(pocket.face, pocket.depth),
                region: flipped_if(pocket.face == Face::Inner, &floor),
            });
            let (upper, lower) = match pocket.face {
                Face::Outer => (0.0, pocket.depth),
                Face::Inner => (self.thickness - pocket.depth, self.thickness),
            };
            for side in pocket.outline.segments() {
                if !side.is_arc() && side.chord() > SAME && self.outline.contains(side.at(0.5)) {
                    // A pocket's walls look into the pocket: the other way round than an outline's.
                    surfaces.push(self.upright(SurfaceKind::PocketWall(i), side.end, side.start, upper, lower));
                }
            }
        }
        surfaces
    }

    /// A frame lying in a face, or `depth` below it, whose normal points out of the material.
    fn face_place(&self, face: Face, depth: f64) -> Place {
        match face {
            Face::Outer => self.place.moved(-self.place.normal() * depth),
            // Seen from inside the box, u runs the other way.
            Face::Inner => Place::new(
                self.place.origin - self.place.normal() * (self.thickness - depth),
                -self.place.u,
                self.place.v,
            ),
        }
    }

    /// A surface at right angles to the faces, from one depth below the outer face to another.
    fn upright(
        &self,
        kind: SurfaceKind,
        from: crate::geometry::Point,
        to: crate::geometry::Point,
        upper: f64,
        lower: f64,
    ) -> Surface {
        let along = (to - from).normalize();
        let u = self.place.u * along.x + self.place.v * along.y;
        // u along the way, v towards the outer face: their product points to the right of the way.
        let place = Place::new(self.place.to_space(from, -lower), u, self.place.normal());
        let region = MultiPolygon::from(to_polygon(&Outline::rectangle(from.distance(to), lower - upper)));
        Surface { kind, place, region }
    }

    /// How deep the pockets of one face are at a point of the panel's edge.
    fn pocket_depth_at(&self, point: crate::geometry::Point, face: Face) -> f64 {
        self.pockets
            .iter()
            .filter(|pocket| pocket.face == face && pocket.outline.contains(point))
            .map(|pocket| pocket.depth)
            .fold(0.0, f64::max)
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
