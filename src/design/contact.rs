//! Where one panel lies on another.

use super::{Face, Panel, Surface, SurfaceKind};
use crate::geometry::{Affine, Place, Rect, Region, common, region_area};
use geo::{AffineOps, AffineTransform, BoundingRect};

/// Surfaces nearer than this lie on each other (mm): a glue line, or the play of a joint.
const GLUE_LINE: f64 = 0.3;

/// The cosine of how far an edge that is cut square may lean from the face it bears on, along a line: 20 degrees. A nail in
/// line with the wall still goes through the one and into the other.
const LEAST_FACING: f64 = 0.939_692_62;

/// Overlaps smaller than this are a corner that touches, not a contact (mm²).
const LEAST_AREA: f64 = 1.0;

/// A patch where a surface of one panel lies on a surface of another.
#[derive(Clone, Debug)]
pub struct Contact {
    /// The two panels, by index, and the surface of each.
    pub panels: [usize; 2],
    pub surfaces: [SurfaceKind; 2],
    /// Where the patch lies; the normal points out of the first panel.
    pub place: Place,
    /// The patch in that frame.
    pub region: Region,
    /// Square millimetres.
    pub area: f64,
    /// An edge cut square bears on a sloping face along a line only; the patch is the edge as seen square to the first panel.
    pub leans: bool,
}

impl Contact {
    /// The other panel, if `panel` is one of the two.
    pub fn other(&self, panel: usize) -> Option<usize> {
        match self.panels {
            [a, b] if a == panel => Some(b),
            [a, b] if b == panel => Some(a),
            _ => None,
        }
    }

    /// The surface that `panel` has in this contact.
    pub fn surface_of(&self, panel: usize) -> Option<SurfaceKind> {
        self.panels.iter().position(|p| *p == panel).map(|i| self.surfaces[i])
    }

    /// The patch on a face of `panel`, or on the floor of a pocket in it, in that panel's own frame (u, v).
    pub fn on_face(&self, panel: usize, panels: &[Panel]) -> Option<(Face, Region)> {
        let face = match self.surface_of(panel)? {
            SurfaceKind::Face(face) => face,
            SurfaceKind::PocketFloor(i) => panels[panel].pockets[i].face,
            _ => return None,
        };
        Some((face, moved(&self.region, self.place.into_flat_of(&panels[panel].place))))
    }
}

/// All contacts between the panels, in a fixed order.
pub fn contacts(panels: &[Panel]) -> Vec<Contact> {
    let surfaces: Vec<Vec<Surface>> = panels.iter().map(Panel::surfaces).collect();
    contacts_of(&surfaces)
}

/// All contacts, from the surfaces of each panel.
pub fn contacts_of(surfaces: &[Vec<Surface>]) -> Vec<Contact> {
    let mut found = Vec::new();
    for a in 0..surfaces.len() {
        for b in a + 1..surfaces.len() {
            for on_a in &surfaces[a] {
                for on_b in &surfaces[b] {
                    if let Some((region, leans)) = overlap(on_a, on_b) {
                        found.push(Contact {
                            panels: [a, b],
                            surfaces: [on_a.kind, on_b.kind],
                            place: on_a.place,
                            area: region_area(&region),
                            region,
                            leans,
                        });
                    }
                }
            }
        }
    }
    found
}

/// Where two surfaces that look at each other lie together, in the first one's frame; and whether they lean on a line of it.
fn overlap(a: &Surface, b: &Surface) -> Option<(Region, bool)> {
    let facing = -a.normal().dot(b.normal());
    let leans = facing < 1.0 - 1e-9;
    let apart = if leans {
        let (face, edge) = match (a.kind, b.kind) {
            (SurfaceKind::Face(_), SurfaceKind::Edge(_)) => (a, b),
            (SurfaceKind::Edge(_), SurfaceKind::Face(_)) => (b, a),
            _ => return None,
        };
        if facing < LEAST_FACING {
            return None;
        }
        nearest(face, edge)
    } else {
        a.place.to_flat(b.place.origin).1
    };
    if apart.abs() > GLUE_LINE {
        return None;
    }
    let to_a = b.place.into_flat_of(&a.place);
    if !may_overlap(&a.region, &b.region, to_a) {
        return None;
    }
    let region = common(&a.region, &moved(&b.region, to_a));
    (region_area(&region) >= LEAST_AREA).then_some((region, leans))
}

/// How far outside a face the nearest corner of an edge is (mm).
fn nearest(face: &Surface, edge: &Surface) -> f64 {
    edge.corners().map(|corner| face.place.to_flat(corner).1).fold(f64::INFINITY, f64::min)
}

/// Do the rectangles around two regions meet? The second is moved first.
fn may_overlap(a: &Region, b: &Region, by: Affine) -> bool {
    let (Some(a), Some(b)) = (a.bounding_rect(), b.bounding_rect()) else { return false };
    let b = by.transform_rect_bbox(Rect::new(b.min().x, b.min().y, b.max().x, b.max().y));
    a.min().x < b.x1 && b.x0 < a.max().x && a.min().y < b.y1 && b.y0 < a.max().y
}

fn moved(region: &Region, by: Affine) -> Region {
    let [a, d, b, e, x, y] = by.as_coeffs();
    region.affine_transform(&AffineTransform::new(a, b, x, d, e, y))
}

#[cfg(test)]
mod tests {
    use super::super::Facing;
    use super::*;
    use glam::DVec3;

    /// A board on edge on a board lying flat: the contact is the edge's full size, wherever and however they stand.
    #[test]
    fn an_edge_on_a_face() {
        let base = Panel::block("base", "base", Facing::Up, DVec3::ZERO, DVec3::new(200.0, 100.0, 12.0));
        let wall =
            Panel::block("wall", "wall", Facing::Front, DVec3::new(20.0, 50.0, 12.0), DVec3::new(170.0, 62.0, 90.0));
        let found = contacts(&[base.clone(), wall]);
        assert_eq!(found.len(), 1);
        assert!((found[0].area - 150.0 * 12.0).abs() < 0.1);
        let (face, region) = found[0].on_face(0, &[base]).expect("on the base's face");
        assert_eq!(face, Face::Outer);
        let bounds = geo::BoundingRect::bounding_rect(&region).expect("not empty");
        assert!((bounds.min().x - 20.0).abs() < 1e-3 && (bounds.min().y - 50.0).abs() < 1e-3);
    }

    #[test]
    fn boards_that_only_pass_each_other_do_not_touch() {
        let a = Panel::block("a", "a", Facing::Up, DVec3::ZERO, DVec3::new(100.0, 100.0, 12.0));
        let b = Panel::block("b", "b", Facing::Up, DVec3::new(0.0, 0.0, 13.0), DVec3::new(100.0, 100.0, 25.0));
        let c = Panel::block("c", "c", Facing::Up, DVec3::new(100.0, 100.0, 12.0), DVec3::new(150.0, 150.0, 24.0));
        assert!(contacts(&[a, b, c]).is_empty());
    }

    /// A board that rises by 10 degrees over the square edge of a wall touches it along a line, and is still nailed to it; one
    /// that rises by 30 is not.
    #[test]
    fn a_sloping_board_leans_on_a_square_edge() {
        let wall = Panel::block("wall", "wall", Facing::Front, DVec3::ZERO, DVec3::new(150.0, 12.0, 90.0));
        let under = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let mut roof = Panel::flat("roof", 150.0, 200.0, 12.0);
            // Its underside passes through the wall's upper arris in front, the lower one of the two under it.
            let up = DVec3::new(0.0, cos, sin);
            let out = DVec3::X.cross(up);
            roof.place = Place::new(DVec3::new(0.0, 0.0, 90.0) - up * 50.0 + out * 12.0, DVec3::X, up);
            contacts(&[wall.clone(), roof])
        };
        let [contact] = &under(10.0)[..] else { panic!("one contact") };
        assert!(contact.leans && (contact.area - 150.0 * 12.0).abs() < 30.0, "{}", contact.area);
        assert!(under(30.0).is_empty());
        assert!(under(0.0).iter().all(|contact| !contact.leans));
    }

    /// An end board let into a rabbet touches its floor and its wall.
    #[test]
    fn a_rabbet_holds_an_end_on_two_surfaces() {
        let mut side = Panel::block("side", "side", Facing::Left, DVec3::ZERO, DVec3::new(12.0, 300.0, 100.0));
        // Seen from outside the left side, u runs towards the front: the front edge is at u = 300.
        side.pockets.push(super::super::Pocket {
            purpose: "rabbet".into(),
            face: Face::Inner,
            outline: Outline::polygon([(288.0, -5.0), (310.0, -5.0), (310.0, 105.0), (288.0, 105.0)]),
            depth: 6.0,
        });
        let end = Panel::block("end", "end", Facing::Front, DVec3::new(6.0, 0.0, 0.0), DVec3::new(100.0, 12.0, 100.0));
        let found = contacts(&[side, end]);
        let kinds: Vec<SurfaceKind> = found.iter().map(|contact| contact.surfaces[0]).collect();
        assert_eq!(kinds, [SurfaceKind::PocketFloor(0), SurfaceKind::PocketWall(0)]);
        assert!((found[0].area - 12.0 * 100.0).abs() < 0.1 && (found[1].area - 6.0 * 100.0).abs() < 0.1);
    }
    use crate::geometry::Outline;
}
