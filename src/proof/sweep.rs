//! What cutters sweep over at one height, as rings.

use super::flat::{self, Ring};
use super::stroke::{Span, arc, capsule, disc, sector};
use crate::geometry::math::{angle_of, atan2};
use crate::geometry::{Point, Segment, Vec2};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};
use std::collections::{BTreeMap, HashSet};
use std::f64::consts::{PI, TAU};

/// What tools sweep over at one height. One pass after another runs along the same path, so paths along one line or arc
/// are put together before they become rings.
#[derive(Debug)]
pub(super) struct Sweeps {
    /// Paths no further apart are one (mm): the digits of two that are meant to be the same. Their edges would cross
    /// each other all along, and polygon algebra takes minutes over what is no more than a hair.
    same: f64,
    rings: Vec<Ring>,
    seen: HashSet<[i64; 7]>,
    lines: BTreeMap<[i64; 4], Vec<Stretch>>,
    circles: BTreeMap<[i64; 4], Vec<Circle>>,
}

impl Default for Sweeps {
    fn default() -> Sweeps {
        Sweeps::within(0.0)
    }
}

/// A stretch of a straight line, and whether its ends are smooth.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    span: Span,
    radius: f64,
    /// Unit vector along the line, and its foot: the place on it that is nearest to the sheet's corner.
    along: Vec2,
    foot: Point,
}

/// A circle at least as wide as the cutter that goes round it, and the spans of it that are swept: angles in radians, growing
/// counter-clockwise.
#[derive(Clone, Debug)]
struct Circle {
    centre: Point,
    round: f64,
    radius: f64,
    spans: Vec<Span>,
}

/// Spans that touch or overlap, put together. Ends closer than `hair` are the same.
fn merged(mut spans: Vec<Span>, hair: f64) -> Vec<Span> {
    spans.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut merged: Vec<Span> = Vec::with_capacity(spans.len());
    for next in spans {
        match merged.last_mut() {
            Some(last) if next.from <= last.to + hair => {
                if (next.from - last.from).abs() < hair {
                    last.smooth.0 |= next.smooth.0;
                }
                if next.to > last.to + hair {
                    (last.to, last.smooth.1) = (next.to, next.smooth.1);
                } else if next.to > last.to - hair {
                    last.smooth.1 |= next.smooth.1;
                }
            }
            _ => merged.push(next),
        }
    }
    merged
}

impl Circle {
    /// The circle of an arc; `None` where the cutter covers its centre all the time.
    fn of(path: &Segment, radius: f64, smooth: (bool, bool)) -> Option<Circle> {
        let (centre, round) = (path.centre()?, path.radius());
        if round < radius - 1e-6 {
            return None;
        }
        // Counter-clockwise, whichever direction the tool went in: it sweeps over the same.
        let (path, smooth) = if path.bulge > 0.0 { (*path, smooth) } else { (path.reversed(), (smooth.1, smooth.0)) };
        let from = angle_of(path.start - centre);
        let span = Span { from, to: from + path.sweep(), smooth };
        Some(Circle { centre, round, radius, spans: vec![span] })
    }

    /// The same circle, as far as digits tell?
    fn is(&self, other: &Circle, same: f64) -> bool {
        let apart = self.centre.distance(other.centre) + (self.round - other.round).abs();
        apart <= same && self.radius == other.radius
    }

    /// Adds what goes round the same circle. Of the two the longer arc tells best where that is: over a short one the digits of
    /// its centre count for little.
    fn add(&mut self, arc: Circle) {
        let longest = |circle: &Circle| circle.spans.iter().map(|span| span.to - span.from).fold(0.0, f64::max);
        if longest(&arc) > longest(self) {
            (self.centre, self.round) = (arc.centre, arc.round);
        }
        self.spans.extend(arc.spans);
    }

    fn rings(self, into: &mut Vec<Ring>) {
        let hair = 1e-6 / self.round;
        let mut spans = merged(self.spans, hair);
        // What goes past a whole turn comes round to the beginning.
        while let [first, .., last] = spans[..]
            && last.to >= first.from + TAU - hair
        {
            spans.pop();
            spans.push(Span { from: last.from - TAU, to: last.to - TAU, ..last });
            spans = merged(spans, hair);
        }
        for span in spans {
            let halves = if span.to - span.from >= TAU - hair {
                let middle = span.from + PI;
                let half = |from| Span { from, to: from + PI, smooth: (true, true) };
                vec![half(span.from), half(middle)]
            } else if span.to - span.from > PI {
                // In two, so that no ring closes on itself.
                let middle = f64::midpoint(span.from, span.to);
                vec![
                    Span { to: middle, smooth: (span.smooth.0, true), ..span },
                    Span { from: middle, smooth: (true, span.smooth.1), ..span },
                ]
            } else {
                vec![span]
            };
            into.extend(halves.into_iter().map(|half| sector(self.centre, self.round, self.radius, half)));
        }
    }
}

/// To a millionth: two values that differ by less get the same key, except the rare ones either side of a border.
fn key(value: f64) -> i64 {
    (value * 1e6).round() as i64
}

impl Sweeps {
    /// Sweeps of a machine whose last digit stands for this much (mm).
    pub fn within(digit: f64) -> Sweeps {
        // What rounding leaves besides, and what is no digit's doing any more (mm).
        const HAIR: f64 = 0.002;
        const MOST: f64 = 0.05;
        Sweeps {
            same: (HAIR + digit).min(MOST),
            rings: Vec::new(),
            seen: HashSet::new(),
            lines: BTreeMap::new(),
            circles: BTreeMap::new(),
        }
    }

    pub fn disc(&mut self, at: Point, radius: f64) {
        if self.seen.insert([key(at.x), key(at.y), key(at.x), key(at.y), 0, key(radius), 0]) {
            self.rings.push(disc(at, radius));
        }
    }

    /// What a disc sweeps over beyond two straight paths, at the place where one ends and the other begins; both directions
    /// are unit vectors.
    pub fn bend(&mut self, at: Point, arriving: Vec2, leaving: Vec2, radius: f64) {
        let signature = [at.x, at.y, arriving.x, arriving.y, leaving.x, leaving.y, radius].map(key);
        if !self.seen.insert(signature) {
            return;
        }
        let turn = atan2(arriving.cross(leaving), arriving.dot(leaving));
        let square = if turn > 0.0 { -PI / 2.0 } else { PI / 2.0 };
        let (from, to) = (angle_of(arriving) + square, angle_of(arriving) + turn + square);
        let mut wedge = vec![[at.x, at.y]];
        arc(at, radius, from.min(to), from.max(to), &mut wedge);
        self.rings.push(wedge);
    }

    pub fn path(&mut self, path: &Segment, radius: f64, smooth: (bool, bool)) {
        if path.chord() < 1e-9 {
            self.disc(path.start, radius);
        } else if path.is_arc() {
            let (start, end, ends) = (path.start, path.end, i64::from(smooth.0) + 2 * i64::from(smooth.1));
            let bulge = key(path.bulge);
            let signature = [key(start.x), key(start.y), key(end.x), key(end.y), bulge, key(radius), ends];
            if !self.seen.insert(signature) {
                return;
            }
            match Circle::of(path, radius, smooth) {
                Some(circle) => self.round(circle),
                None => swept(path, radius, smooth.0, smooth.1, &mut self.rings),
            }
        } else {
            let mut along = (path.end - path.start).normalize();
            let (mut from, mut to, mut smooth) = (path.start, path.end, smooth);
            if (along.x, along.y) < (0.0, 0.0) {
                (along, from, to, smooth) = (-along, to, from, (smooth.1, smooth.0));
            }
            let off = along.cross(from.to_vec2());
            let foot = Point::ORIGIN + Vec2::new(-along.y, along.x) * off;
            let at = |p: Point| (p - foot).dot(along);
            let stretch = Stretch { span: Span { from: at(from), to: at(to), smooth }, radius, along, foot };
            self.lines.entry([key(along.x), key(along.y), key(off), key(radius)]).or_default().push(stretch);
        }
    }

    /// Adds to what of a circle is gone round.
    fn round(&mut self, arc: Circle) {
        // By tenths of a millimetre; two that are one but lie on both sides of a border are told one by one.
        let coarse = |value: f64| (value * 10.0).round() as i64;
        let key = [coarse(arc.centre.x), coarse(arc.centre.y), coarse(arc.round), key(arc.radius)];
        let circles = self.circles.entry(key).or_default();
        match circles.iter_mut().find(|circle| circle.is(&arc, self.same)) {
            Some(circle) => circle.add(arc),
            None => circles.push(arc),
        }
    }

    /// The same as few rings, whose holes are clockwise.
    pub fn united(self) -> Vec<Ring> {
        flat::united(self.rings())
    }

    /// Counter-clockwise rings, which may overlap.
    pub fn rings(self) -> Vec<Ring> {
        let mut rings = self.rings;
        let mut straight: Vec<Straight> = Vec::new();
        for stretches in self.lines.into_values() {
            let Some(Stretch { radius, along, foot, .. }) = stretches.first().copied() else { continue };
            let place = |s: f64| foot + along * s;
            straight.extend(merged(stretches.into_iter().map(|it| it.span).collect(), 1e-6).into_iter().map(|it| {
                let path = Segment { start: place(it.from), end: place(it.to), bulge: 0.0 };
                Straight { path, radius, smooth: it.smooth }
            }));
        }
        let lines = not_on_others(straight, self.same);
        rings.extend(lines.into_iter().map(|it| capsule(&it.path, it.radius, it.smooth.0, it.smooth.1)));
        self.circles.into_values().flatten().for_each(|circle| circle.rings(&mut rings));
        rings
    }
}

/// A straight path, and whether its ends are smooth.
#[derive(Clone, Copy, Debug)]
struct Straight {
    path: Segment,
    radius: f64,
    smooth: (bool, bool),
}

impl Straight {
    /// Does another path, on which this one lies, sweep over its round ends too? Its own smooth ends have none.
    fn ends_within(&self, other: &Straight) -> bool {
        let cut_off = [(other.path.start, other.smooth.0), (other.path.end, other.smooth.1)];
        let round = [(self.path.start, self.smooth.0), (self.path.end, self.smooth.1)];
        let mut ends = round.iter().filter(|(_, smooth)| !smooth);
        ends.all(|(at, _)| cut_off.iter().all(|(end, smooth)| !smooth || at.distance(*end) >= self.radius))
    }
}

/// The paths without those that lie, to the digits, on a longer one: they are swept over with it.
fn not_on_others(mut paths: Vec<Straight>, same: f64) -> Vec<Straight> {
    paths.sort_by(|a, b| b.path.chord().total_cmp(&a.path.chord()));
    let mut kept: Vec<Straight> = Vec::with_capacity(paths.len());
    let mut tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>> = RTree::new();
    for it in paths {
        let (a, b) = (it.path.start, it.path.end);
        let middle = a.midpoint(b);
        let here = AABB::from_point([middle.x, middle.y]);
        let covers = |other: &Straight| {
            let off = |at: Point| flat::to_side(at, other.path.start, other.path.end);
            other.radius == it.radius && off(a) <= same && off(b) <= same && it.ends_within(other)
        };
        if tree.locate_in_envelope_intersecting(&here).any(|other| covers(&kept[other.data])) {
            continue;
        }
        let bounds = it.path.bounds().inflate(same, same);
        tree.insert(GeomWithData::new(
            Rectangle::from_corners([bounds.x0, bounds.y0], [bounds.x1, bounds.y1]),
            kept.len(),
        ));
        kept.push(it);
    }
    kept
}

/// What a disc sweeps over along a path; a smooth end is cut off square a little further on.
fn swept(path: &Segment, radius: f64, smooth_start: bool, smooth_end: bool, into: &mut Vec<Ring>) {
    if path.chord() < 1e-9 {
        into.push(disc(path.start, radius));
        return;
    }
    match path.centre() {
        None => into.push(capsule(path, radius, smooth_start, smooth_end)),
        Some(centre) => match Circle::of(path, radius, (smooth_start, smooth_end)) {
            Some(circle) => circle.rings(into),
            None => {
                // The cutter covers the centre all the time.
                let path = if path.bulge > 0.0 { *path } else { path.reversed() };
                into.push(disc(path.start, radius));
                into.push(disc(path.end, radius));
                let mut fan = vec![[centre.x, centre.y]];
                let start = angle_of(path.start - centre);
                arc(centre, path.radius() + radius, start, start + path.sweep(), &mut fan);
                into.push(fan);
            }
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::cut::{Cut, Next};
    use super::super::flat;
    use super::*;

    fn swept_area(start: (f64, f64), end: (f64, f64), bulge: f64, radius: f64) -> f64 {
        let mut rings = Vec::new();
        let path = Segment { start: start.into(), end: end.into(), bulge };
        swept(&path, radius, false, false, &mut rings);
        assert!(rings.iter().all(|ring| flat::ring_area(ring) > 0.0), "counter-clockwise");
        flat::area(&flat::all(&rings))
    }

    /// A disc along a path of length L that nowhere bends sharper than the disc: 2·r·L + π·r² (Pappus).
    #[test]
    fn sweeps_have_the_area_that_pappus_gives() {
        let r: f64 = 3.0;
        for (end, bulge) in [((50.0, 20.0), 0.0), ((10.0, 10.0), 0.41), ((-20.0, 30.0), -1.0), ((6.0, 0.0), 1.0)] {
            let path = Segment { start: Point::ORIGIN, end: end.into(), bulge };
            let expected = 2.0 * r * path.length() + PI * r * r;
            let area = swept_area((0.0, 0.0), end, bulge, r);
            // Chords within 0.002 mm, all along the edge.
            let slack = 0.002 * (2.0 * path.length() + TAU * r);
            assert!((area - expected).abs() < slack, "{area} for {expected}");
        }
    }

    /// Half a turn of radius 1 with a cutter of radius 3: the convex hull of the discs, plus what bulges out.
    #[test]
    fn a_tight_arc_covers_its_centre() {
        let (round, r): (f64, f64) = (1.0, 3.0);
        let area = swept_area((-round, 0.0), (round, 0.0), 1.0, r);
        // The outer half ring of radius 4, and below it two half discs side by side whose union overlaps.
        let upper = PI * (round + r).powi(2) / 2.0;
        let lens_half = r * r * (round / r).acos() - round * (r * r - round * round).sqrt();
        let lower = PI * r * r - lens_half;
        assert!((area - upper - lower).abs() < 0.1, "{area} for {}", upper + lower);
    }

    #[test]
    fn a_ramp_sweeps_only_where_it_is_deep_enough() {
        let path = Segment { start: Point::ORIGIN, end: Point::new(40.0, 0.0), bulge: 0.0 };
        let ramp = Cut {
            index: 0,
            point: 0.0,
            program: 0,
            line: 1,
            radius: 3.0,
            tool: 0,
            rapid: false,
            path,
            round: None,
            z0: 0.0,
            z1: -8.0,
            feed: None,
            from_before: false,
            into_next: Next::Ends,
        };
        assert_eq!(ramp.below(-2.0), Some((0.25, 1.0)));
        assert_eq!(ramp.below(-9.0), None);
        let area = |cuts: &[&Cut], z: f64| {
            let mut sweeps = Sweeps::default();
            cuts.iter().for_each(|cut| cut.sweep(z, &mut sweeps));
            let rings = sweeps.rings();
            (rings.len(), flat::area(&flat::all(&rings)))
        };
        let (_, swept) = area(&[&ramp], -2.0);
        assert!((swept - (30.0 * 6.0 + PI * 9.0)).abs() < 0.1);
        // Back along the same line, further: one ring holds both.
        let back = Segment { start: Point::new(40.0, 0.0), end: Point::new(-5.0, 0.0), bulge: 0.0 };
        let back = Cut { path: back, z0: -8.0, ..ramp.clone() };
        let (count, swept) = area(&[&ramp, &back], -2.0);
        assert!(count == 1 && (swept - (45.0 * 6.0 + PI * 9.0)).abs() < 0.1, "{count} {swept}");
    }

    /// Forty passes down one sloped edge, each a little shorter, in digits of 0.0001 in: one strip, not forty that cross each
    /// other all along.
    #[test]
    fn passes_that_differ_by_digits_are_swept_once() {
        let digit = 25.4e-4;
        let rounded = |mm: f64| (mm / digit).round() * digit;
        let passes = |same_digit: f64| {
            let mut sweeps = Sweeps::within(same_digit);
            for i in 0..40 {
                let far = 150.0 - 3.0 * f64::from(i);
                let end = Point::new(rounded(24.6 + far), rounded(764.6 - 0.2679 * far));
                let path = Segment { start: Point::new(rounded(24.6), rounded(764.6)), end, bulge: 0.0 };
                sweeps.path(&path, 3.175, (false, false));
            }
            sweeps.rings()
        };
        let rings = passes(digit);
        assert_eq!(rings.len(), 1);
        let area = 2.0 * 3.175 * 150.0 * 1.0_f64.hypot(0.2679) + PI * 3.175 * 3.175;
        assert!((flat::area(&flat::all(&rings)) - area).abs() < 1.0);
        // Of a wider tool, or beside it by more than digits, it is another strip.
        let mut sweeps = Sweeps::within(digit);
        let path = |y: f64| Segment { start: Point::new(0.0, y), end: Point::new(50.0, y), bulge: 0.0 };
        for (y, radius) in [(0.0, 3.0), (0.0, 4.0), (0.05, 3.0)] {
            sweeps.path(&path(y), radius, (false, false));
        }
        assert_eq!(sweeps.rings().len(), 3);
    }

    /// A path that ends in the wood has a round end there, also where a longer one goes on round a corner from the same place.
    #[test]
    fn a_round_end_is_kept_where_a_longer_path_goes_on_smoothly() {
        let path = |from: f64, to: f64| Segment { start: Point::new(from, 0.0), end: Point::new(to, 0.0), bulge: 0.0 };
        let mut sweeps = Sweeps::within(0.001);
        sweeps.path(&path(0.0, 50.0), 3.0, (false, true));
        sweeps.path(&path(20.0, 50.001), 3.0, (false, false));
        let area = flat::area(&flat::all(&sweeps.rings()));
        assert!((area - (50.0 * 6.0 + PI * 9.0)).abs() < 0.5, "{area}");
    }

    /// Round a circle, wider and narrower than the cutter, in chords: what discs at all of its places cover.
    #[test]
    fn chords_sweep_over_what_their_round_ends_do() {
        for (round, r, chords) in [(5.0, 3.0, 40), (1.0, 3.0, 12), (8.0, 1.0, 30)] {
            let at = |i: i32| Point::new(50.0, 40.0) + Vec2::from_angle(f64::from(i) * TAU / f64::from(chords)) * round;
            // Three quarters of it, then back, so that it bends to both sides.
            let turns = (0..chords * 3 / 4).chain((chords / 2..chords * 3 / 4 - 1).rev());
            let places: Vec<Point> = turns.map(at).collect();
            let swept = |joined: bool| {
                let mut sweeps = Sweeps::default();
                for i in 0..places.len() - 1 {
                    let path = Segment { start: places[i], end: places[i + 1], bulge: 0.0 };
                    let leaving = places.get(i + 2).map(|next| (*next - places[i + 1]).normalize());
                    let ahead = |leaving: &Vec2| joined && leaving.dot(path.direction(0.0)) > 0.0;
                    let next = leaving.filter(ahead).map_or(Next::Ends, Next::Bent);
                    let came = i > 0 && joined && (places[i] - places[i - 1]).dot(path.end - path.start) > 0.0;
                    let cut = Cut { path, from_before: came, into_next: next, radius: r, ..level(path) };
                    cut.sweep(-1.0, &mut sweeps);
                }
                sweeps.rings()
            };
            let (plain, joined) = (swept(false), swept(true));
            let corners = |rings: &[flat::Ring]| rings.iter().map(Vec::len).sum::<usize>();
            let (whole, same) = (flat::area(&flat::all(&plain)), flat::area(&flat::all(&joined)));
            assert!((whole - same).abs() < 0.05, "{whole} {same}");
            let left = flat::minus(&flat::rings(flat::all(&plain)), &joined);
            assert!(flat::area(&left) < 0.02, "{round} {r}: {}", flat::area(&left));
            assert!(corners(&joined) * 3 < corners(&plain), "{} of {}", corners(&joined), corners(&plain));
        }
    }

    fn level(path: Segment) -> Cut {
        Cut {
            index: 0,
            point: 0.0,
            program: 0,
            line: 1,
            radius: 3.0,
            tool: 0,
            rapid: false,
            path,
            round: None,
            z0: -2.0,
            z1: -2.0,
            feed: None,
            from_before: false,
            into_next: Next::Ends,
        }
    }

    /// The path round a corner as two arcs whose centres, by the digits of a program in inches, are 4 µm apart.
    #[test]
    fn arcs_round_one_corner_leave_no_hair_between_them() {
        let r = 3.175;
        let corner = Point::new(822.1946, 512.0005);
        let path = |start: (f64, f64), end: (f64, f64), bulge| Segment { start: start.into(), end: end.into(), bulge };
        let mut rings = Vec::new();
        swept(&path((807.0, 515.1755), (822.19546, 515.1755), 0.0), r, false, true, &mut rings);
        swept(&path((822.19546, 515.1755), (825.09106, 513.29844), -0.2954011784), r, true, true, &mut rings);
        swept(&path((825.09106, 513.29844), (825.37046, 512.0005), -0.1057045584), r, true, true, &mut rings);
        swept(&path((825.37046, 512.0005), (825.37046, 496.5065), 0.0), r, true, false, &mut rings);
        let round = [disc(corner, 1.9 * r)];
        let wood = vec![
            [corner.x, corner.y],
            [corner.x - 10.0, corner.y],
            [corner.x - 10.0, corner.y - 10.0],
            [corner.x, corner.y - 10.0],
        ];
        let left = flat::minus(&flat::rings(flat::minus(&round, &[wood])), &rings);
        let far = |p: &&[f64; 2]| p[0] - corner.x > 0.02 || p[1] - corner.y > 0.02;
        assert!(left.iter().flatten().flatten().find(far).is_none(), "{left:?}");
    }
}
