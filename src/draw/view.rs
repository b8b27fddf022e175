//! What is seen of facets from far away: parallel projection with hidden surfaces taken away.

use crate::geometry::math::hypot;
use crate::geometry::{Facet, Point, Region};
use geo::bool_ops::FillRule;
use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use glam::DVec3;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Nearer than this to a plane is in it (mm): well below any glue line.
const IN_PLANE: f64 = 1e-3;

/// Slivers smaller than this are dust of the reckoning (mm²).
const SLIVER: f64 = 0.02;

/// A direction of view: what runs to the right on paper, what runs up, and where the eye is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct View {
    right: DVec3,
    up: DVec3,
    eye: DVec3,
}

const COS30: f64 = 0.866_025_403_784_438_6;
/// Of a cube's diagonal along each of its sides.
const DIAGONAL: f64 = 0.577_350_269_189_625_8;

/// An isometric view (ISO 5456-3) with the three axes at true length: from the right or the left of what is looked at, from
/// in front or from behind, from above or from below.
const fn isometric(x: f64, y: f64, z: f64) -> View {
    // Of the upright axes seen from above, those that come towards the eye run down on paper.
    View {
        right: DVec3::new(-y * z * COS30, x * z * COS30, 0.0),
        up: DVec3::new(-x * 0.5, -y * 0.5, z),
        eye: DVec3::new(x * DIAGONAL, y * DIAGONAL, z * DIAGONAL),
    }
}

impl View {
    /// From in front, from the right and from above.
    pub const ISOMETRIC: View = isometric(1.0, -1.0, 1.0);

    /// The four isometric views of what lies with a direction of its frame up, one from each upper corner; the one from in
    /// front and from the right of a box that stands comes first.
    pub fn lying(up: DVec3) -> [View; 4] {
        let first = if up.y.abs() > 0.5 { DVec3::X } else { up.cross(DVec3::NEG_Y).normalize_or(DVec3::X) };
        let second = first.cross(up);
        [[first, second], [second, -first], [-second, first], [-first, -second]].map(|[a, b]| View {
            right: (a - b) * COS30,
            up: up - (a + b) * 0.5,
            eye: (a + b + up) * DIAGONAL,
        })
    }

    /// One from each corner, the usual ones first.
    pub const CORNERS: [View; 8] = [
        View::ISOMETRIC,
        isometric(-1.0, -1.0, 1.0),
        isometric(-1.0, 1.0, 1.0),
        isometric(1.0, 1.0, 1.0),
        isometric(1.0, -1.0, -1.0),
        isometric(-1.0, -1.0, -1.0),
        isometric(-1.0, 1.0, -1.0),
        isometric(1.0, 1.0, -1.0),
    ];

    /// Is a surface with this normal seen at more than a sharp angle?
    pub fn faces(&self, normal: DVec3) -> bool {
        normal.dot(self.eye) > 0.2
    }

    /// How much light falls on a surface, from -1 to 1: it comes from above, from the left and from in front, as seen on
    /// paper.
    pub fn light(&self, normal: DVec3) -> f64 {
        // Along the paper's right, its up, and out of it.
        const FROM: (f64, f64, f64) = (-0.4945, 0.7349, 0.4619);
        let (right, up) = (self.right.normalize_or_zero(), self.up.normalize_or_zero());
        normal.dot(right) * FROM.0 + normal.dot(up) * FROM.1 + normal.dot(self.eye) * FROM.2
    }

    /// Straight on, for plans and sections: `right` and `up` are unit vectors at right angles.
    pub fn straight(right: DVec3, up: DVec3) -> View {
        View { right, up, eye: right.cross(up) }
    }

    /// Where a point comes to lie, y up.
    pub fn flat(&self, point: DVec3) -> Point {
        Point::new(point.dot(self.right), point.dot(self.up))
    }

    /// Where the eye is.
    pub fn eye(&self) -> DVec3 {
        self.eye
    }

    fn polygon(&self, facet: &Facet) -> Polygon<f64> {
        let mut rings = facet.rings.iter().map(|ring| {
            LineString::new(
                ring.iter()
                    .map(|corner| {
                        let at = self.flat(*corner);
                        Coord { x: at.x, y: at.y }
                    })
                    .collect(),
            )
        });
        let around = rings.next().unwrap_or_else(|| LineString::new(vec![]));
        Polygon::new(around, rings.collect())
    }
}

/// What is seen of a facet, or of several that make one curved wall.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    pub owner: usize,
    pub normal: DVec3,
    /// In the view's plane, y up.
    pub region: Region,
}

/// A facet that faces the eye, projected.
struct Front<'a> {
    facet: &'a Facet,
    polygon: Polygon<f64>,
    bounds: geo::Rect<f64>,
}

type Patches = (DVec3, Vec<Polygon<f64>>);

/// What the eye sees of the facets of solids that touch but do not run into each other.
///
/// Of each facet that faces the eye, everything is taken away that another such facet covers: that facet as far as it is in
/// front of this one's plane. The answer is exact, with no order of painting in which solids could be entangled.
pub(super) fn seen(facets: &[Facet], view: &View) -> Vec<Seen> {
    let fronts: Vec<Front> = facets
        .iter()
        .filter(|facet| facet.normal.dot(view.eye) > 1e-6)
        .filter_map(|facet| {
            let polygon = view.polygon(facet);
            let bounds = geo::BoundingRect::bounding_rect(&polygon)?;
            Some(Front { facet, polygon, bounds })
        })
        .collect();
    let shown: Vec<Region> = (0..fronts.len()).into_par_iter().map(|i| left_of(&fronts, i)).collect();

    let mut all: Vec<Seen> = Vec::new();
    // By owner and number: where the wall looks on the whole, and its patches.
    let mut curves: BTreeMap<(usize, usize), Patches> = BTreeMap::new();
    for (front, region) in fronts.iter().zip(shown) {
        let owner = front.facet.owner;
        match front.facet.curve {
            None if !region.0.is_empty() => all.push(Seen { owner, normal: front.facet.normal, region }),
            None => {}
            Some(curve) => {
                let (normal, pieces) = curves.entry((owner, curve)).or_default();
                *normal += front.facet.normal * region.unsigned_area();
                pieces.extend(region);
            }
        }
    }
    for ((owner, _), (normal, pieces)) in curves {
        let region = geo::unary_union(&pieces.iter().map(swollen).collect::<Vec<_>>());
        if !region.0.is_empty() {
            all.push(Seen { owner, normal: normal.normalize_or_zero(), region });
        }
    }
    all
}

/// What the others leave of one facet.
fn left_of(fronts: &[Front], i: usize) -> Region {
    let this = &fronts[i];
    let mut covers: Vec<Polygon<f64>> = Vec::new();
    for (j, other) in fronts.iter().enumerate() {
        if j == i || !overlap(&this.bounds, &other.bounds) {
            continue;
        }
        let ahead = |corner: &DVec3| this.facet.ahead(*corner);
        let corners = || other.facet.rings[0].iter();
        if corners().all(|corner| ahead(corner) <= IN_PLANE) {
            continue;
        }
        if corners().all(|corner| ahead(corner) >= -IN_PLANE) {
            covers.push(other.polygon.clone());
        } else {
            covers.extend(in_front(other, this));
        }
    }
    let whole = MultiPolygon::from(this.polygon.clone());
    if covers.is_empty() {
        return whole;
    }
    // Covers lie over each other: what counts is whether there is any.
    let left = whole.difference_with_fill_rule(&MultiPolygon::new(covers), FillRule::NonZero);
    left.into_iter().filter(|polygon| polygon.unsigned_area() > SLIVER).collect()
}

/// The polygon with its corners a hair further from its middle: neighbours then join without a gap.
fn swollen(polygon: &Polygon<f64>) -> Polygon<f64> {
    const HAIR: f64 = 0.01;
    let Some(middle) = geo::Centroid::centroid(polygon) else { return polygon.clone() };
    geo::MapCoords::map_coords(polygon, |corner| {
        let arm = corner - middle.0;
        let length = hypot(arm.x, arm.y);
        if length > HAIR { corner + arm * (HAIR / length) } else { corner }
    })
}

fn overlap(a: &geo::Rect<f64>, b: &geo::Rect<f64>) -> bool {
    let (a0, a1, b0, b1) = (a.min(), a.max(), b.min(), b.max());
    a0.x < b1.x && b0.x < a1.x && a0.y < b1.y && b0.y < a1.y
}

/// The part of a facet that is in front of another's plane, projected. Each ring is cut by itself: where the cut falls apart
/// into pieces, they stay joined along the plane by lines without area.
fn in_front(other: &Front, this: &Front) -> Option<Polygon<f64>> {
    let mut rings =
        other.facet.rings.iter().zip(std::iter::once(other.polygon.exterior()).chain(other.polygon.interiors())).map(
            |(corners, flat)| {
                let heights: Vec<f64> = corners.iter().map(|corner| this.facet.ahead(*corner)).collect();
                let points = &flat.0[..corners.len()];
                let mut kept: Vec<Coord<f64>> = Vec::new();
                for k in 0..corners.len() {
                    let next = (k + 1) % corners.len();
                    let (h0, h1, p0, p1) = (heights[k], heights[next], points[k], points[next]);
                    if h0 > 0.0 {
                        kept.push(p0);
                    }
                    if (h0 > 0.0) != (h1 > 0.0) {
                        let t = h0 / (h0 - h1);
                        kept.push(p0 + (p1 - p0) * t);
                    }
                }
                LineString::new(kept)
            },
        );
    let around = rings.next().filter(|ring| ring.0.len() >= 3)?;
    Some(Polygon::new(around, rings.filter(|ring| ring.0.len() >= 3).collect()))
}

#[cfg(test)]
mod tests {
    use super::super::solid::facets;
    use super::*;
    use crate::design::{Facing, Panel};

    fn block(owner: usize, least: [f64; 3], most: [f64; 3]) -> Vec<Facet> {
        facets(owner, &Panel::block("b", "b", Facing::Up, DVec3::from(least), DVec3::from(most)))
    }

    fn area(seen: &[Seen], owner: usize) -> f64 {
        seen.iter().filter(|seen| seen.owner == owner).map(|seen| seen.region.unsigned_area()).sum()
    }

    /// The paper's axes and the direction of the eye are at right angles, right-handed, in every view.
    #[test]
    fn views_are_upright_and_not_mirrored() {
        for view in View::CORNERS {
            assert!(view.right.dot(view.up).abs() < 1e-12 && view.right.dot(view.eye).abs() < 1e-12);
            let out = view.right.cross(view.up).normalize();
            assert!((out - view.eye).length() < 1e-9, "{view:?}");
            for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
                assert!((view.flat(axis).to_vec2().hypot() - 1.0).abs() < 1e-9, "true length");
            }
        }
    }

    /// Of a unit cube an isometric view shows three faces, each a rhombus of side 1 with corners of 60 and 120 degrees.
    #[test]
    fn a_cube_alone_shows_three_rhombi() {
        let seen = seen(&block(0, [0.0; 3], [100.0; 3]), &View::ISOMETRIC);
        assert_eq!(seen.len(), 3);
        let rhombus = 100.0 * 100.0 * 60f64.to_radians().sin();
        for face in &seen {
            assert!((face.region.unsigned_area() - rhombus).abs() < 0.01);
        }
    }

    /// What two solids show together is the area of their common shadow, whichever stands in front.
    #[test]
    fn a_block_in_front_covers_exactly_its_shadow() {
        let view = View::straight(DVec3::X, DVec3::Z);
        let (near, far) =
            (block(0, [20.0, 0.0, 20.0], [60.0, 10.0, 60.0]), block(1, [0.0, 50.0, 0.0], [100.0, 60.0, 100.0]));
        for facets in [[near.clone(), far.clone()].concat(), [far, near].concat()] {
            let seen = seen(&facets, &view);
            assert!((area(&seen, 0) - 1600.0).abs() < 1e-3);
            assert!((area(&seen, 1) - 8400.0).abs() < 1e-3);
        }
    }

    /// Three boards, each over the next and under the one before: there is no order in which to paint them.
    #[test]
    fn boards_that_overlap_in_a_ring_are_told_apart() {
        let view = View::straight(DVec3::X, DVec3::Y);
        let board = |owner, from: DVec3, along: DVec3, lift: f64| {
            let across = DVec3::Z.cross(along);
            // Rises along its length, so that its head lies over the next and its tail under the one before.
            let u = (along + DVec3::Z * lift).normalize();
            let mut panel = Panel::flat("b", 100.0, 10.0, 1.0);
            panel.place = crate::geometry::Place::new(from, u, across);
            facets(owner, &panel)
        };
        let corner = |turn: f64| DVec3::new(turn.to_radians().cos(), turn.to_radians().sin(), 0.0);
        let all: Vec<Facet> = (0..3)
            .flat_map(|i| {
                let turn = 120.0 * f64::from(i);
                board(i as usize, corner(turn) * 20.0 - corner(turn + 90.0) * 50.0, corner(turn + 90.0), 0.2)
            })
            .collect();
        let seen = seen(&all, &view);
        let areas = [0, 1, 2].map(|owner| area(&seen, owner));
        let one = area(&super::seen(&all[..all.len() / 3], &view), 0);
        assert!((areas[0] - areas[1]).abs() < 0.01 && (areas[1] - areas[2]).abs() < 0.01, "{areas:?}");
        assert!((one - areas[0] - 100.0 / 60f64.to_radians().sin()).abs() < 5.0, "{areas:?}, alone {one}");
    }
}
