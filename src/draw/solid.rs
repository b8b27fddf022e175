//! The flat facets that bound a panel, for pictures: its faces, edges, holes and recesses.
//!
//! The surfaces of [`crate::design`] are what joints are found from, and leave holes out; these are what is seen. Arcs
//! become chords fine enough for paper.

use crate::design::{Assembly, Face, Panel};
use crate::geometry::{Outline, Place, Point, Region};
use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use glam::DVec3;

/// Chords stay within this of their arc (mm): a hair even at full size.
const CHORD: f64 = 0.1;

/// Shorter stretches of a wall are dust (mm).
const DUST: f64 = 1e-3;

/// A flat piece of a panel's skin, looking out of the material.
#[derive(Clone, Debug)]
pub(super) struct Facet {
    /// Whose skin it is: an index that means something to whoever asked.
    pub owner: usize,
    pub normal: DVec3,
    /// Rings of corners: the first goes round it, counter-clockwise as seen from outside; others are holes in it.
    pub rings: Vec<Vec<DVec3>>,
    /// Facets of one number are one curved wall: no edge is seen between them.
    pub curve: Option<usize>,
}

impl Facet {
    /// How far a point is in front of the facet's plane.
    pub fn ahead(&self, point: DVec3) -> f64 {
        (point - self.rings[0][0]).dot(self.normal)
    }
}

/// The facets of a panel.
pub(super) fn facets(owner: usize, panel: &Panel) -> Vec<Facet> {
    let board = Board::new(panel);
    let mut facets = Vec::new();
    for (face, depth, region) in board.floors() {
        facets.extend(flat(owner, &panel.place, face, height(face, depth, panel.thickness), &region));
    }
    board.walls(owner, &panel.place, &mut facets);
    facets
}

/// Height over the outer face of something that lies `depth` under a face.
fn height(face: Face, depth: f64, thickness: f64) -> f64 {
    match face {
        Face::Outer => -depth,
        Face::Inner => depth - thickness,
    }
}

/// A panel's outlines as rings of chords.
struct Board {
    thickness: f64,
    outline: Ring,
    holes: Vec<Ring>,
    /// Face and depth with each.
    pockets: Vec<(Face, f64, Ring)>,
}

/// A closed line of chords, each with the number of the arc it belongs to.
struct Ring {
    points: Vec<Point>,
    arcs: Vec<Option<usize>>,
}

impl Ring {
    fn new(outline: &Outline) -> Ring {
        let (mut points, mut arcs) = (Vec::new(), Vec::new());
        let mut run = 0;
        let mut before_was_arc = false;
        for side in outline.segments() {
            // Arcs that follow each other are one curve: a circle is two.
            if side.is_arc() && !before_was_arc {
                run += 1;
            }
            before_was_arc = side.is_arc();
            let mut from = side.start;
            side.flatten(CHORD, |to| {
                points.push(from);
                arcs.push(side.is_arc().then_some(run));
                from = to;
            });
        }
        Ring { points, arcs }
    }

    fn sides(&self) -> impl Iterator<Item = (Point, Point, Option<usize>)> + '_ {
        let count = self.points.len();
        (0..count).map(move |i| (self.points[i], self.points[(i + 1) % count], self.arcs[i]))
    }

    fn polygon(&self) -> Polygon<f64> {
        let ring = self.points.iter().map(|p| Coord { x: p.x, y: p.y }).collect::<Vec<_>>();
        Polygon::new(LineString::new(ring), vec![])
    }

    fn contains(&self, at: Point) -> bool {
        self.sides().fold(false, |inside, (a, b, _)| {
            let crosses = (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x;
            inside != crosses
        })
    }
}

impl Board {
    fn new(panel: &Panel) -> Board {
        Board {
            thickness: panel.thickness,
            outline: Ring::new(&panel.outline),
            holes: panel.holes.iter().map(|hole| Ring::new(&hole.outline())).collect(),
            pockets: panel
                .pockets
                .iter()
                .map(|pocket| (pocket.face, pocket.depth.min(panel.thickness), Ring::new(&pocket.outline)))
                .collect(),
        }
    }

    /// Everything that is parallel to the faces: the face it is reached from, the depth under it, and the area.
    fn floors(&self) -> Vec<(Face, f64, Region)> {
        let holes = MultiPolygon::new(self.holes.iter().map(Ring::polygon).collect());
        let mut floors = Vec::new();
        for face in [Face::Outer, Face::Inner] {
            let mut depths: Vec<(f64, &Ring)> =
                self.pockets.iter().filter(|(of, ..)| *of == face).map(|(_, depth, ring)| (*depth, ring)).collect();
            // The deepest recess takes what the others share with it.
            depths.sort_by(|a, b| b.0.total_cmp(&a.0));
            let mut left = MultiPolygon::from(self.outline.polygon());
            if !holes.0.is_empty() {
                left = left.difference(&geo::unary_union(&holes));
            }
            for (depth, ring) in depths {
                let recess = ring.polygon();
                if depth < self.thickness - DUST {
                    floors.push((face, depth, left.intersection(&recess)));
                }
                left = left.difference(&recess);
            }
            floors.push((face, 0.0, left));
        }
        floors
    }

    /// Heights over the outer face between which there is wood at a point.
    fn wood(&self, at: Point) -> Option<(f64, f64)> {
        if !self.outline.contains(at) || self.holes.iter().any(|hole| hole.contains(at)) {
            return None;
        }
        let depth = |face: Face| {
            let over = self.pockets.iter().filter(|(of, _, ring)| *of == face && ring.contains(at));
            over.map(|(_, depth, _)| *depth).fold(0.0, f64::max)
        };
        let (low, high) = (depth(Face::Inner) - self.thickness, -depth(Face::Outer));
        (high - low > DUST).then_some((low, high))
    }

    /// Every wall at right angles to the faces: wherever there is wood on one side of a ring and less on the other.
    fn walls(&self, owner: usize, place: &Place, into: &mut Vec<Facet>) {
        let rings: Vec<&Ring> =
            [&self.outline].into_iter().chain(&self.holes).chain(self.pockets.iter().map(|(.., ring)| ring)).collect();
        let mut curves = into.iter().filter_map(|facet| facet.curve).max().map_or(0, |most| most + 1);
        for (i, ring) in rings.iter().enumerate() {
            let first = curves;
            for (from, to, arc) in ring.sides() {
                let curve = arc.map(|run| first + run);
                curves = curves.max(curve.map_or(0, |curve| curve + 1));
                let others = rings.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, ring)| *ring);
                for (a, b) in pieces(from, to, others) {
                    self.wall(owner, place, (a, b), curve, into);
                }
            }
        }
    }

    /// The walls over one straight stretch, to either side.
    fn wall(&self, owner: usize, place: &Place, (a, b): (Point, Point), curve: Option<usize>, into: &mut Vec<Facet>) {
        /// How far beside the line to look (mm).
        const BESIDE: f64 = 0.01;
        let along = (b - a).normalize();
        let side = kurbo::Vec2::new(along.y, -along.x);
        let middle = a.midpoint(b);
        let (right, left) = (self.wood(middle + side * BESIDE), self.wood(middle - side * BESIDE));
        for (from, to, out, (a, b)) in [(left, right, side, (a, b)), (right, left, -side, (b, a))] {
            let Some(wood) = from else { continue };
            let normal = place.u * out.x + place.v * out.y;
            for (low, high) in less(wood, to) {
                // Counter-clockwise as seen from where the wall looks.
                let ring = vec![
                    place.to_space(a, low),
                    place.to_space(b, low),
                    place.to_space(b, high),
                    place.to_space(a, high),
                ];
                into.push(Facet { owner, normal, rings: vec![ring], curve });
            }
        }
    }
}

/// What of one stretch of heights the other leaves over.
fn less(wood: (f64, f64), other: Option<(f64, f64)>) -> Vec<(f64, f64)> {
    let Some((low, high)) = other else { return vec![wood] };
    [(wood.0, wood.1.min(low)), (wood.0.max(high), wood.1)].into_iter().filter(|(l, h)| h - l > DUST).collect()
}

/// A straight line cut where the rings cross it or turn on it.
fn pieces<'a>(from: Point, to: Point, rings: impl Iterator<Item = &'a Ring>) -> Vec<(Point, Point)> {
    let along = to - from;
    let length = along.hypot();
    if length < DUST {
        return Vec::new();
    }
    let unit = along / length;
    let mut cuts = vec![0.0, length];
    for (a, b, _) in rings.flat_map(|ring| ring.sides().collect::<Vec<_>>()) {
        // Where the side's ends are along the line, and beside it.
        let (pa, pb) = (a - from, b - from);
        let (sa, sb) = (unit.cross(pa), unit.cross(pb));
        if (sa > DUST && sb > DUST) || (sa < -DUST && sb < -DUST) {
            continue;
        }
        if (sa - sb).abs() > DUST {
            let t = sa / (sa - sb);
            cuts.push(unit.dot(pa) + (unit.dot(pb) - unit.dot(pa)) * t);
        }
        cuts.extend([(sa, pa), (sb, pb)].into_iter().filter(|(s, _)| s.abs() <= DUST).map(|(_, p)| unit.dot(p)));
    }
    cuts.retain(|cut| (0.0..=length).contains(cut));
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .filter(|pair| pair[1] - pair[0] > DUST)
        .map(|pair| (from + unit * pair[0], from + unit * pair[1]))
        .collect()
}

/// An area parallel to the faces, at a height over the outer one.
fn flat(owner: usize, place: &Place, face: Face, height: f64, region: &Region) -> Vec<Facet> {
    let ring = |line: &LineString<f64>| {
        let mut corners: Vec<DVec3> =
            line.coords().skip(1).map(|c| place.to_space(Point::new(c.x, c.y), height)).collect();
        // Seen from the inner face, outlines run clockwise.
        if face == Face::Inner {
            corners.reverse();
        }
        corners
    };
    let normal = if face == Face::Outer { place.normal() } else { -place.normal() };
    region
        .iter()
        .map(|polygon| Facet {
            owner,
            normal,
            rings: std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(ring).collect(),
            curve: None,
        })
        .filter(|facet| facet.rings[0].len() >= 3)
        .collect()
}

/// The least upright block around a box: its lowest corner and its highest.
pub(super) fn extent(assembly: &Assembly) -> (DVec3, DVec3) {
    let corners: Vec<DVec3> =
        assembly.panels.iter().flat_map(|panel| facets(0, panel)).flat_map(|facet| facet.rings.concat()).collect();
    let least = corners.iter().copied().fold(DVec3::INFINITY, DVec3::min);
    let most = corners.iter().copied().fold(DVec3::NEG_INFINITY, DVec3::max);
    if corners.is_empty() { (DVec3::ZERO, DVec3::ONE) } else { (least, most) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Facing, Hole, HoleUse, Pocket};

    /// Gauss's theorem: the facets of a closed skin enclose the panel's volume, and their areas, each along its normal, add
    /// up to nothing. Holds only if nothing is missing, doubled or turned inside out.
    fn volume(facets: &[Facet]) -> f64 {
        let mut sum = DVec3::ZERO;
        let mut volume = 0.0;
        for facet in facets {
            for ring in &facet.rings {
                let (mut area, first) = (DVec3::ZERO, ring[0]);
                for pair in ring.windows(2) {
                    area += (pair[0] - first).cross(pair[1] - first) / 2.0;
                }
                assert!(area.cross(facet.normal).length() < 1e-6 * area.length().max(1.0), "not flat");
                sum += area;
                volume += area.dot(first) / 3.0;
            }
        }
        assert!(sum.length() < 1e-3, "not closed: {sum}");
        volume
    }

    fn board(facing: Facing) -> Panel {
        let (least, most) = (DVec3::new(30.0, 40.0, 50.0), DVec3::new(42.0, 340.0, 150.0));
        Panel::block("side", "side", facing, least, most)
    }

    #[test]
    fn a_plain_board_encloses_its_volume_however_it_stands() {
        for facing in [Facing::Front, Facing::Back, Facing::Left, Facing::Right, Facing::Up, Facing::Down] {
            let found = facets(0, &board(facing));
            assert_eq!(found.len(), 6);
            assert!((volume(&found) - 12.0 * 300.0 * 100.0).abs() < 1e-6);
        }
    }

    #[test]
    fn holes_and_recesses_take_their_volume_away() {
        let mut panel = board(Facing::Left);
        panel.holes.push(Hole::round(HoleUse::Vent, Point::new(150.0, 50.0), 20.0));
        let pocket = |face, depth, x: (f64, f64)| Pocket {
            purpose: "rabbet".into(),
            face,
            outline: Outline::polygon([(x.0, -5.0), (x.1, -5.0), (x.1, 105.0), (x.0, 105.0)]),
            depth,
        };
        // One to the edge, one across it on the other face, deeper than what is left over between the two.
        panel.pockets.push(pocket(Face::Inner, 6.0, (288.0, 310.0)));
        panel.pockets.push(pocket(Face::Outer, 4.0, (200.0, 220.0)));
        let circle: f64 = Ring::new(&panel.holes[0].outline()).polygon().signed_area_of();
        let expected = 12.0 * (300.0 * 100.0 - circle) - 6.0 * 12.0 * 100.0 - 4.0 * 20.0 * 100.0;
        assert!((volume(&facets(0, &panel)) - expected).abs() < 0.5, "{}", volume(&facets(0, &panel)) - expected);
    }

    trait SignedArea {
        fn signed_area_of(&self) -> f64;
    }

    impl SignedArea for Polygon<f64> {
        fn signed_area_of(&self) -> f64 {
            geo::Area::signed_area(self)
        }
    }
}
