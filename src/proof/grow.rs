//! Shapes grown and shrunk: by what lies within a distance of their edge, put together by polygon algebra. The proof owes
//! nothing to the offsets that toolpaths are made with.

use super::flat::{self, Ring};
use super::stroke::arc;
use crate::geometry::math::{angle_of, atan2};
use crate::geometry::{FLATTEN, Outline, Point, Segment, Vec2};

/// Pieces smaller than this are what rounding leaves (mm²).
const DUST: f64 = 1e-4;
/// Two sides that turn by less than this go on smoothly (radians).
const SMOOTH: f64 = 1e-7;

/// The edge of a shape, side by side and counter-clockwise.
#[derive(Clone, Debug)]
pub(super) struct Edge(Vec<Segment>);

impl Edge {
    pub fn of(outline: &Outline) -> Edge {
        Edge(outline.segments().filter(|side| side.chord() > 1e-9).collect())
    }

    pub fn of_ring(ring: &Ring) -> Edge {
        let side = |(start, end): (Point, Point)| Segment { start, end, bulge: 0.0 };
        Edge(flat::sides(ring).map(side).filter(|side| side.chord() > 1e-9).collect())
    }

    fn ring(&self) -> Ring {
        let mut ring = Ring::new();
        for side in &self.0 {
            ring.push([side.start.x, side.start.y]);
            side.flatten(FLATTEN, |at| ring.push([at.x, at.y]));
            ring.pop();
        }
        ring
    }

    /// Has it an inside corner, or a side that bends inwards?
    pub fn bends_inwards(&self) -> bool {
        self.0.iter().any(|side| side.bulge < 0.0)
            || self.corners().any(|(before, after, _)| before.cross(after) < -SMOOTH)
    }

    /// Where two sides meet: the directions of both, and the place.
    fn corners(&self) -> impl Iterator<Item = (Vec2, Vec2, Point)> + '_ {
        let before = self.0.iter().cycle().skip(self.0.len().saturating_sub(1));
        self.0.iter().zip(before).map(|(side, before)| (before.direction(1.0), side.direction(0.0), side.start))
    }

    /// Everything within a distance of the edge on its outside, or on its inside.
    fn strip(&self, by: f64, side_of: Side) -> Vec<Ring> {
        let mut strip: Vec<Ring> = Vec::new();
        for side in &self.0 {
            // The far edge of an arc that bends towards it would shrink to nothing and beyond.
            let towards = (side.bulge > 0.0) == (side_of == Side::Inside);
            if side.is_arc() && !(towards && side.radius() <= by + 1e-6) {
                strip.push(along_arc(side, by, side_of));
                continue;
            }
            let mut start = side.start;
            side.flatten(FLATTEN, |end| {
                let aside = side_of.normal((end - start).normalize()) * by;
                strip.push(vec![start, end, end + aside, start + aside].into_iter().map(|p| [p.x, p.y]).collect());
                start = end;
            });
        }
        for (before, after, at) in self.corners() {
            let turn = atan2(before.cross(after), before.dot(after));
            // Sides that turn towards the strip overlap there.
            if side_of.turns_away(turn) > SMOOTH {
                let first = angle_of(side_of.normal(before));
                let mut fan = vec![[at.x, at.y]];
                arc(at, by, first, first + turn, &mut fan);
                strip.push(fan);
            }
        }
        strip.iter_mut().filter(|ring| flat::ring_area(ring) < 0.0).for_each(|ring| ring.reverse());
        strip
    }

    /// The shape grown by a distance, without what closes up inside it.
    pub fn grown(&self, by: f64) -> Ring {
        let ring = self.ring();
        if by <= 0.0 {
            return largest(self.shrunk(-by)).unwrap_or(ring);
        }
        let mut all = self.strip(by, Side::Outside);
        all.push(ring.clone());
        largest(flat::all(&all).into_iter().filter_map(|shape| shape.into_iter().next()).collect()).unwrap_or(ring)
    }

    /// The shape shrunk by a distance: one piece, or several, or none.
    pub fn shrunk(&self, by: f64) -> Vec<Ring> {
        let left = flat::minus(&[self.ring()], &if by > 0.0 { self.strip(by, Side::Inside) } else { Vec::new() });
        let outer = left.into_iter().filter_map(|shape| shape.into_iter().next());
        outer.filter(|ring| flat::ring_area(ring).abs() > DUST).collect()
    }

    /// A place beside the middle of each side, and of each corner that turns away, at a distance from the whole edge.
    pub fn beside(&self, by: f64, side_of: Side) -> Vec<Point> {
        let middles = self.0.iter().map(|side| side.at(0.5) + side_of.normal(side.direction(0.5)) * by);
        let turned = self
            .corners()
            .filter(|(before, after, _)| side_of.turns_away(atan2(before.cross(*after), before.dot(*after))) > SMOOTH);
        let corners = turned.map(|(before, after, at)| at + side_of.normal((before + after).normalize()) * by);
        let free = |at: &Point| self.0.iter().all(|side| side.distance(*at) > by - FLATTEN);
        middles.chain(corners).filter(free).collect()
    }
}

/// The side of an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Outside,
    Inside,
}

impl Side {
    /// Square to a direction along the edge.
    fn normal(self, along: Vec2) -> Vec2 {
        match self {
            Side::Outside => Vec2::new(along.y, -along.x),
            Side::Inside => Vec2::new(-along.y, along.x),
        }
    }

    /// A turn counter-clockwise, as one away from this side.
    fn turns_away(self, turn: f64) -> f64 {
        if self == Side::Outside { turn } else { -turn }
    }
}

/// The largest ring, by area.
pub(super) fn largest(rings: Vec<Ring>) -> Option<Ring> {
    rings.into_iter().max_by(|a, b| flat::ring_area(a).abs().total_cmp(&flat::ring_area(b).abs()))
}

/// A sector of a ring between an arc and its parallel.
fn along_arc(side: &Segment, by: f64, side_of: Side) -> Ring {
    let Some(centre) = side.centre() else { return Ring::new() };
    let out = if (side.bulge > 0.0) == (side_of == Side::Outside) { by } else { -by };
    let (from, near) = (angle_of(side.start - centre), side.radius());
    let to = from + side.sweep();
    let mut ring = Ring::new();
    arc(centre, near, from, to, &mut ring);
    arc(centre, near + out, to, from, &mut ring);
    ring
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_4, PI};

    /// How far an area may be off: chords for arcs, along this edge (mm).
    fn close(found: f64, expected: f64, edge: f64) {
        assert!((found - expected).abs() <= 1.01 * FLATTEN * edge, "{found} is not {expected}");
    }

    fn area(ring: &Ring) -> f64 {
        flat::ring_area(ring)
    }

    /// A convex shape grown by r gains its perimeter times r and the disc: A + P·r + π·r² (J. Steiner, Über parallele Flächen,
    /// Berlin 1840).
    #[test]
    fn a_convex_shape_grows_by_steiners_formula() {
        let cases = [
            Outline::rectangle(200.0, 120.0),
            Outline::circle(Point::new(30.0, 40.0), 38.0),
            Outline::slot(Point::new(5.0, 5.0), 90.0, 12.0),
            Outline::polygon([(0.0, 0.0), (90.0, 10.0), (70.0, 80.0)]),
        ];
        for outline in cases {
            for r in [0.6, 3.0, 11.4] {
                let edge = outline.perimeter() + 2.0 * PI * r;
                let expected = outline.area() + outline.perimeter() * r + PI * r * r;
                close(area(&Edge::of(&outline).grown(r)), expected, edge);
            }
        }
    }

    /// A round cutter leaves (1 - π/4)·r² in a square inside corner.
    #[test]
    fn what_a_cutter_leaves_in_a_corner() {
        let l = Outline::polygon([(0.0, 0.0), (80.0, 0.0), (80.0, 30.0), (30.0, 30.0), (30.0, 80.0), (0.0, 80.0)]);
        let edge = Edge::of(&l);
        assert!(edge.bends_inwards() && !Edge::of(&Outline::rectangle(8.0, 8.0)).bends_inwards());
        let closed = Edge::of_ring(&edge.grown(3.0)).shrunk(3.0);
        assert_eq!(closed.len(), 1);
        close(area(&closed[0]), l.area() + (1.0 - FRAC_PI_4) * 9.0, 20.0);
    }

    #[test]
    fn a_shape_falls_apart_at_its_waist_and_vanishes() {
        // Two squares of 40, joined by a neck of 8.
        let [a, b, c] = [16.0, 24.0, 40.0];
        let waist = Outline::polygon([
            (0.0, 0.0),
            (c, 0.0),
            (c, a),
            (60.0, a),
            (60.0, 0.0),
            (100.0, 0.0),
            (100.0, c),
            (60.0, c),
            (60.0, b),
            (c, b),
            (c, c),
            (0.0, c),
        ]);
        let edge = Edge::of(&waist);
        assert_eq!(edge.shrunk(3.0).len(), 1);
        let apart = edge.shrunk(5.0);
        assert_eq!(apart.len(), 2);
        // Each with what bulges into the neck, between circles about its corners: 2·∫(5 - √(25 - y²)) from 0 to 4.
        let bulge = 2.0 * (20.0 - (6.0 + 12.5 * 0.8f64.asin()));
        apart.iter().for_each(|square| close(area(square), 900.0 + bulge, 10.0));
        assert!(edge.shrunk(21.0).is_empty());
        // A hole as wide as the cutter leaves its centre no room.
        assert!(Edge::of(&Outline::circle(Point::ORIGIN, 6.0)).shrunk(3.0).is_empty());
        let room = Edge::of(&Outline::circle(Point::ORIGIN, 38.0)).shrunk(3.0);
        close(area(&room[0]), PI * 256.0, 100.0);
    }

    /// In a notch that a tool does not go into, no place is beside its sides.
    #[test]
    fn places_beside_an_edge_are_clear_of_all_of_it() {
        let notched = Outline::polygon([
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 50.0),
            (52.0, 50.0),
            (52.0, 30.0),
            (48.0, 30.0),
            (48.0, 50.0),
            (0.0, 50.0),
        ]);
        let places = Edge::of(&notched).beside(3.0, Side::Outside);
        assert!(places.iter().all(|at| notched.distance(*at) > 3.0 - FLATTEN && !notched.contains(*at)));
        assert_eq!(places.len(), 9, "five long sides and the four corners of the board: {places:?}");
    }
}
