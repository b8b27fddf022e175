//! The flat facets that bound a solid: its faces, edges, holes and recesses, as they are seen.

use super::{Outline, Place, Point, Region, Solid, Vec2};
use geo::{BooleanOps, LineString, MultiPolygon, Polygon};
use glam::DVec3;

/// Chords stay within this of their arc (mm): a hair even at full size.
const CHORD: f64 = 0.1;

/// Shorter stretches of a wall are dust (mm).
const DUST: f64 = 1e-3;

/// A flat piece of a solid's skin, looking out of the material.
#[derive(Clone, Debug)]
pub struct Facet {
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

/// An outline of which all arcs are chords, and for each of its sides the number of the arc that it belongs to.
struct Ring {
    chords: Outline,
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
                points.push((from.x, from.y));
                arcs.push(side.is_arc().then_some(run));
                from = to;
            });
        }
        Ring { chords: Outline::polygon(points), arcs }
    }

    fn sides(&self) -> impl Iterator<Item = (Point, Point, Option<usize>)> + '_ {
        self.chords.segments().zip(&self.arcs).map(|(side, arc)| (side.start, side.end, *arc))
    }
}

/// A solid that stands in space, all of its arcs chords.
struct Standing<'a> {
    owner: usize,
    place: &'a Place,
    solid: Solid,
    rings: Vec<Ring>,
}

/// The facets of a solid that stands at a place.
pub fn skin(owner: usize, solid: &Solid, place: &Place) -> Vec<Facet> {
    let outlines = [&solid.outline].into_iter().chain(&solid.holes);
    let rings: Vec<Ring> = outlines.chain(solid.recesses.iter().map(|recess| &recess.outline)).map(Ring::new).collect();
    let mut chords = rings.iter().map(|ring| ring.chords.clone());
    let mut solid = solid.clone();
    let recesses = solid.recesses.iter_mut().map(|recess| &mut recess.outline);
    for outline in [&mut solid.outline].into_iter().chain(&mut solid.holes).chain(recesses) {
        *outline = chords.next().unwrap_or_default();
    }
    let standing = Standing { owner, place, solid, rings };
    let mut facets = standing.floors();
    facets.extend(standing.walls());
    facets
}

impl Standing<'_> {
    /// Everything that is parallel to the faces.
    fn floors(&self) -> Vec<Facet> {
        let Solid { thickness, outline, holes, recesses } = &self.solid;
        let holes = MultiPolygon::new(holes.iter().map(polygon).collect());
        let mut floors = Vec::new();
        for outer in [true, false] {
            let depth = |depth: f64| if outer { depth } else { thickness - depth };
            let reached = recesses.iter().filter(|recess| depth(if outer { recess.from } else { recess.to }) <= 0.0);
            let mut depths: Vec<(f64, &Outline)> =
                reached.map(|recess| (depth(if outer { recess.to } else { recess.from }), &recess.outline)).collect();
            // The deepest recess takes what the others share with it.
            depths.sort_by(|a, b| b.0.total_cmp(&a.0));
            let mut left = MultiPolygon::from(polygon(outline));
            if !holes.0.is_empty() {
                left = left.difference(&geo::unary_union(&holes));
            }
            for (below, outline) in depths {
                let recess = polygon(outline);
                if below < thickness - DUST {
                    floors.extend(self.flat(outer, -depth(below), &left.intersection(&recess)));
                }
                left = left.difference(&recess);
            }
            floors.extend(self.flat(outer, -depth(0.0), &left));
        }
        floors
    }

    /// An area parallel to the faces, at a height over the outer one.
    fn flat(&self, outer: bool, height: f64, region: &Region) -> Vec<Facet> {
        let ring = |line: &LineString<f64>| {
            let mut corners: Vec<DVec3> =
                line.coords().skip(1).map(|c| self.place.to_space(Point::new(c.x, c.y), height)).collect();
            // Seen from the inner face, outlines run clockwise.
            if !outer {
                corners.reverse();
            }
            corners
        };
        let normal = if outer { self.place.normal() } else { -self.place.normal() };
        region
            .iter()
            .map(|polygon| Facet {
                owner: self.owner,
                normal,
                rings: std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(ring).collect(),
                curve: None,
            })
            .filter(|facet| facet.rings[0].len() >= 3)
            .collect()
    }

    /// Every wall at right angles to the faces: wherever there is wood on one side of a ring and less on the other.
    fn walls(&self) -> Vec<Facet> {
        let mut walls = Vec::new();
        let mut curves = 0;
        for (i, ring) in self.rings.iter().enumerate() {
            let first = curves;
            for (from, to, arc) in ring.sides() {
                let curve = arc.map(|run| first + run);
                curves = curves.max(curve.map_or(0, |curve| curve + 1));
                let others = self.rings.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, ring)| ring);
                for (a, b) in pieces(from, to, others) {
                    self.wall((a, b), curve, &mut walls);
                }
            }
        }
        walls
    }

    /// The walls over one straight stretch, to either side.
    fn wall(&self, (a, b): (Point, Point), curve: Option<usize>, into: &mut Vec<Facet>) {
        /// How far beside the line to look (mm).
        const BESIDE: f64 = 0.01;
        let along = (b - a).normalize();
        let side = Vec2::new(along.y, -along.x);
        let middle = a.midpoint(b);
        let wood = |at: Point| self.solid.wood(at).filter(|(upper, lower)| lower - upper > DUST);
        let (right, left) = (wood(middle + side * BESIDE), wood(middle - side * BESIDE));
        for (from, to, out, (a, b)) in [(left, right, side, (a, b)), (right, left, -side, (b, a))] {
            let Some(wood) = from else { continue };
            let normal = self.place.u * out.x + self.place.v * out.y;
            for (upper, lower) in less(wood, to) {
                // Counter-clockwise as seen from where the wall looks.
                let corners = [(a, lower), (b, lower), (b, upper), (a, upper)];
                let ring = corners.map(|(at, depth)| self.place.to_space(at, -depth)).to_vec();
                into.push(Facet { owner: self.owner, normal, rings: vec![ring], curve });
            }
        }
    }
}

/// An outline without arcs as a polygon that begins at its first corner.
fn polygon(outline: &Outline) -> Polygon<f64> {
    Polygon::new(outline.vertices.iter().map(|vertex| (vertex.at.x, vertex.at.y)).collect(), vec![])
}

/// The part of one stretch of depths that the other does not cover, the lowest first.
fn less(wood: (f64, f64), other: Option<(f64, f64)>) -> Vec<(f64, f64)> {
    let Some((upper, lower)) = other else { return vec![wood] };
    [(wood.0.max(lower), wood.1), (wood.0, wood.1.min(upper))].into_iter().filter(|(u, l)| l - u > DUST).collect()
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
