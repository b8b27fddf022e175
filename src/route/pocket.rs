//! Recesses and slots, cleared ring by ring from the inside out.

use super::CutterAt;
use super::heights::Heights;
use super::lead::Leads;
use super::moves::{Move, Space};
use super::profile::{APPROACH, left, spiral};
use super::track::{Spur, Track};
use crate::geometry::math::{atan, tan};
use crate::geometry::{Outline, Point, Segment, Vec2, inset, offset};
use crate::job::Lead;

/// The next ring lies this share of the cutter's diameter further out.
const STEP_OVER: f64 = 0.4;

/// Something to be cleared.
pub(super) struct Clearing<'a> {
    /// A counter-clockwise outline and the clockwise islands in it.
    pub area: &'a [Outline],
    pub depth: f64,
    /// Corners to be opened for a square edge.
    pub spurs: &'a [Spur],
}

/// A ring of the cutter's centre and the ring around it.
struct Ring {
    track: Track,
    outer: Option<usize>,
    /// It runs along a wall.
    wall: bool,
    /// Off the wall, where there is no other ring to go down on.
    inner: Option<Track>,
}

impl Clearing<'_> {
    /// Clears the area; `None` when the cutter does not fit in.
    ///
    /// Each pass starts on the innermost ring, which is cut full width; every ring around it takes a part of the
    /// cutter's width only. The ring along the wall is entered and left on arcs.
    pub fn moves(&self, cutter: &CutterAt) -> Option<Vec<Move>> {
        let finish = self.finish(cutter);
        let rings = self.rings(cutter, cutter.radius() + finish, finish == 0.0)?;
        let within = inset(self.area, cutter.radius() * (1.0 - 1e-6));
        // With an allowance, the floor is left a little higher as well, and cut in a pass of its own.
        let rough = if finish > 0.0 && self.depth > 2.0 * finish { self.depth - finish } else { self.depth };
        let passes = cutter.passes(rough);
        let mut depths: Vec<f64> = (1..=passes).map(|i| -rough * f64::from(i) / f64::from(passes)).collect();
        if rough < self.depth {
            depths.push(-self.depth);
        }
        let mut path = Path { moves: Vec::new(), at: None, heading: None, cutter, within: &within };
        let mut above = 0.0;
        for z in &depths {
            path.pass(&rings, above, *z);
            above = *z;
        }
        if finish > 0.0 {
            let walls = self.rings(cutter, cutter.radius(), true)?;
            let levels = if cutter.finishes_at_once() { &depths[depths.len() - 1..] } else { &depths[..] };
            for z in levels {
                for wall in walls.iter().filter(|ring| ring.outer.is_none()) {
                    path.wall(&wall.track, *z, cutter.feeds.side);
                }
            }
        }
        left(&mut path.moves, cutter);
        Some(path.moves)
    }

    /// What is left on the walls for a last pass: nothing where a place is too narrow for that, which the last pass
    /// would have to cut full width and full depth.
    fn finish(&self, cutter: &CutterAt) -> f64 {
        let (finish, radius) = (cutter.finish(), cutter.radius());
        let whole = inset(self.area, radius);
        let rough = inset(self.area, radius + finish);
        if rough.len() < whole.len() {
            return 0.0;
        }
        let reached: f64 =
            rough.iter().flat_map(|ring| offset(ring, finish.copysign(ring.area()))).map(|it| it.area()).sum();
        // In every square corner the rough pass leaves less than a quarter of the allowance's square.
        let corners: usize = whole.iter().map(|ring| ring.vertices.len()).sum();
        let fits =
            whole.iter().map(Outline::area).sum::<f64>() - reached <= 0.25 * finish * finish * corners as f64 + 0.1;
        if fits { finish } else { 0.0 }
    }

    /// All rings, the outermost first.
    fn rings(&self, cutter: &CutterAt, from_wall: f64, wall: bool) -> Option<Vec<Ring>> {
        let mut level = inset(self.area, from_wall);
        let mut rings: Vec<Ring> = Vec::new();
        let mut outer_level = 0..0;
        while !level.is_empty() {
            let first = rings.len();
            for outline in &level {
                let mut track = Track::new(outline);
                if !cutter.climb() {
                    track = track.reversed();
                }
                let start = track.at(0.0);
                let outer = outer_level.clone().min_by(|a: &usize, b: &usize| {
                    distance(&rings[*a].track, start).total_cmp(&distance(&rings[*b].track, start))
                });
                rings.push(Ring { track, outer, wall: wall && outer.is_none(), inner: None });
            }
            outer_level = first..rings.len();
            // What the cutter leaves inside these rings, if anything.
            let left_over = !inset(&level, cutter.radius() * 0.95).is_empty();
            if let ([ring], [outline], false) = (&mut rings[..], &level[..], left_over) {
                ring.inner = off_the_wall(outline, cutter).filter(|_| wall);
            }
            level = if left_over { rounded(inset(&level, cutter.diameter() * STEP_OVER), cutter) } else { Vec::new() };
        }
        if rings.is_empty() {
            return None;
        }
        if !self.spurs.is_empty() {
            // The corners are on the rings along the wall; each spur on the ring that has its corner.
            let mut found = 0;
            for ring in rings.iter_mut().filter(|ring| ring.outer.is_none()) {
                let own: Vec<Spur> = self
                    .spurs
                    .iter()
                    .map(|spur| {
                        let by = (from_wall > cutter.radius() + 1e-3).then_some(spur.foot);
                        Spur { foot: foot_at(spur, cutter.radius(), from_wall), by, ..*spur }
                    })
                    .filter(|spur| ring.track.segments().any(|(_, s)| s.end.distance(spur.foot) < 0.01))
                    .collect();
                found += own.len();
                ring.track = ring.track.with_spurs(&own)?;
            }
            if found < self.spurs.len() {
                return None;
            }
        }
        Some(rings)
    }
}

/// A ring in the middle of the waste inside of one along a wall; `None` where there is hardly any.
fn off_the_wall(ring: &Outline, cutter: &CutterAt) -> Option<Track> {
    let within = |away: f64| inset(std::slice::from_ref(ring), away * cutter.radius());
    let rings = [0.8, 0.6, 0.4, 0.2, 0.1].into_iter().map(within).find(|rings| !rings.is_empty())?;
    let longest = rings.into_iter().max_by(|a, b| a.area().total_cmp(&b.area()))?;
    let track = Track::new(&longest);
    Some(if cutter.climb() { track } else { track.reversed() })
}

/// Rings with their corners rounded by the cutter's radius, or by less where they are narrow: the machine need not stop in
/// them, the cutter is not buried in them, and the next ring still clears what they leave.
fn rounded(rings: Vec<Outline>, cutter: &CutterAt) -> Vec<Outline> {
    let by = |ring: &Outline, radius: f64| {
        let smaller = inset(std::slice::from_ref(ring), radius);
        let [smaller] = &smaller[..] else { return None };
        match &offset(smaller, radius)[..] {
            // No more than its corners may be lost: those of a right angle are this far off, and the next ring clears that.
            [round] if ring.vertices.iter().all(|v| round.distance(v.at) <= 0.45 * radius) => Some(round.clone()),
            _ => None,
        }
    };
    let round = |ring: Outline| {
        let radii = [1.0, 0.5, 0.25, 0.125].map(|share| share * cutter.radius());
        radii.into_iter().find_map(|radius| by(&ring, radius)).unwrap_or(ring)
    };
    // Rings with islands belong together.
    if rings.iter().all(|ring| ring.area() > 0.0) { rings.into_iter().map(round).collect() } else { rings }
}

/// The corner of a ring at another distance from the wall than the cutter's radius.
fn foot_at(spur: &Spur, radius: f64, distance: f64) -> Point {
    // Feet lie on the corner's bisector; how far out is told by the spur's own, which is for the radius.
    spur.corner + (spur.foot - spur.corner) * (distance / radius)
}

/// The path of the cutter so far.
struct Path<'a> {
    moves: Vec<Move>,
    /// Where it is, down in the recess.
    at: Option<Point>,
    /// In which direction it goes there, at the end of a ring.
    heading: Option<Vec2>,
    cutter: &'a CutterAt<'a>,
    /// Where its centre may be.
    within: &'a [Outline],
}

impl Path<'_> {
    /// Every ring at one depth, inner ones before those around them.
    fn pass(&mut self, rings: &[Ring], above: f64, z: f64) {
        // Rings around rings follow at once; the first of each chain is entered by a ramp.
        let mut order = Vec::with_capacity(rings.len());
        for root in (0..rings.len()).filter(|i| rings[*i].outer.is_none()) {
            inner_first(rings, root, &mut order);
        }
        for (i, innermost) in order {
            let ring = &rings[i];
            if let (true, Some(inner)) = (innermost, &ring.inner) {
                // Down off the wall, and then on an arc to it.
                self.descend(inner, above, z);
                self.wall(&ring.track, z, self.cutter.feeds.cut);
            } else if innermost {
                self.enter(&ring.track, above, z);
            } else if ring.wall {
                self.wall(&ring.track, z, self.cutter.feeds.side);
            } else {
                self.ring(&ring.track, z);
            }
        }
    }

    /// To a ring in uncut wood: down a ramp along it, and once round.
    fn enter(&mut self, track: &Track, above: f64, z: f64) {
        let slope = self.cutter.slope();
        let ramp = (above - z) / slope;
        // It ends where the ramp did: first of all on a straight run, from which the path glides to the next ring.
        let longest = track.runs().max_by(|a, b| a.1.length().total_cmp(&b.1.length()));
        let on_run =
            longest.map_or(0.0, |(start, run)| (start + 0.25 * run.length() - ramp).rem_euclid(track.length()));
        let start = self.at.map_or(on_run, |at| nearest(track, at));
        self.go_to(track.at(start), above);
        let heights = spiral(track.length(), above, above - z, 1, slope, start);
        let feeds = self.cutter.feeds;
        self.moves.extend(heights.moves(track, |drop| if drop < 0.0 { feeds.ramp } else { feeds.cut }));
        self.at = Some(self.moves.last().map_or(track.at(start), |last| last.end().flat()));
        self.heading = Some(track.direction(start + ramp));
    }

    /// Down a ramp along a ring, no further than it takes.
    fn descend(&mut self, track: &Track, above: f64, z: f64) {
        let start = self.at.map_or(0.0, |at| nearest(track, at));
        self.go_to(track.at(start), above);
        let ramp = Heights(vec![(start, above), (start + (above - z) / self.cutter.slope(), z)]);
        self.moves.extend(ramp.moves(track, |_| self.cutter.feeds.ramp));
        self.at = self.moves.last().map(|last| last.end().flat());
        self.heading = None;
    }

    /// From ring to ring, and once round.
    fn ring(&mut self, track: &Track, z: f64) {
        let start = self.glide(track, z, &|_| true).unwrap_or_else(|| {
            let at = self.at.unwrap_or(track.at(0.0));
            let start = self.next_run(track, at).unwrap_or_else(|| nearest(track, at));
            self.go_to(track.at(start), z);
            start
        });
        self.round(track, (start, start + track.length()), z, self.cutter.feeds.side);
        self.at = Some(track.at(start));
        self.heading = Some(track.direction(start));
    }

    /// Where a run has come to its end: the beginning of the next, which has room to glide on from.
    fn next_run(&self, track: &Track, at: Point) -> Option<f64> {
        let (near, long) = (1.5 * self.cutter.diameter(), 5.0 * self.cutter.diameter());
        let away = |(start, run): (f64, &Segment)| (run.start.distance(at), start);
        let runs = track.runs().filter(|(_, run)| run.length() >= long).map(away);
        runs.filter(|(distance, _)| *distance <= near).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, start)| start)
    }

    /// From the end of a ring to a straight run of the next one beside it, on two arcs that touch both: the machine need
    /// not stop, and leaves no mark where it comes to a wall. Returns where it is then; `None` where there is no such run,
    /// or it `fits` in no such place.
    fn glide(&mut self, track: &Track, z: f64, fits: &dyn Fn(f64) -> bool) -> Option<f64> {
        /// So many times as long as it goes sideways: the arcs' radius is then a little more than four times that distance.
        const LONG: f64 = 4.0;
        let (from, heading) = self.at.zip(self.heading)?;
        let level = self.moves.last().is_some_and(|last| (last.end().z - z).abs() < 1e-9);
        let widest = self.cutter.diameter() * STEP_OVER * 1.01;
        let alike = |run: &Segment| run.direction(0.0).dot(heading) > 1.0 - 1e-9;
        let beside = track.runs().filter(|(_, run)| level && alike(run)).filter_map(|(start, run)| {
            let (along, arm) = (run.direction(0.0), from - run.start);
            let (left, gap) = (along.cross(arm) > 0.0, along.cross(arm).abs());
            let over = along.dot(arm) + LONG * gap;
            let there = (1e-3..widest).contains(&gap) && (0.0..run.length()).contains(&over) && fits(start + over);
            there.then(|| (gap, left, start + over, run.start + along * over))
        });
        let (_, left, s, to) = beside.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let middle = from.midpoint(to);
        if !self.clear_between(from, middle) || !self.clear_between(middle, to) {
            return None;
        }
        let bulge = tan(atan(1.0 / LONG) / 2.0) * if left { -1.0 } else { 1.0 };
        let feed = self.cutter.feeds.side;
        self.moves.push(Move::along(&Segment { start: from, end: middle, bulge }, z, feed));
        self.moves.push(Move::along(&Segment { start: middle, end: to, bulge: -bulge }, z, feed));
        self.at = Some(to);
        Some(s)
    }

    /// Along a wall, entered and left on arcs that touch it.
    fn wall(&mut self, track: &Track, z: f64, feed: f64) {
        /// How far off the wall they begin and end, in diameters: less in a narrow place.
        const OFF: [f64; 4] = [STEP_OVER, 0.2, 0.1, 0.05];
        let overlap = self.cutter.radius() / 2.0;
        let from = self.at.unwrap_or(track.at(0.0));
        let (style, waste_left) = (self.cutter.lead(), self.cutter.climb());
        let within = self.within;
        let leaves = |leads: &Leads, s: f64| inside(within, leads.off(track, s + overlap, leads.off).end);
        let touching = |share: f64| {
            let leads = Leads { style, off: share * self.cutter.diameter(), waste_left };
            // The nearest place where both arcs stay inside.
            let fits = |s: f64| {
                let onto = leads.onto(track, s, leads.off).start;
                (inside(within, onto) && leaves(&leads, s)).then_some((s, onto))
            };
            let segments = track.segments().filter(|(_, segment)| !track.is_spur(segment));
            let places =
                segments.flat_map(|(start, segment)| [0.3, 0.5, 0.7].map(|share| start + segment.length() * share));
            let nearest = places.filter_map(fits).min_by(|a, b| a.1.distance(from).total_cmp(&b.1.distance(from)))?;
            Some((leads, nearest))
        };
        let Some((leads, (touch, onto))) = OFF.into_iter().find_map(touching) else { return self.ring(track, z) };
        let (off, leaves) = (leads.off, |s: f64| leaves(&leads, s));
        let glided = if leads.style == Lead::Arc { self.glide(track, z, &leaves) } else { None };
        let touch = glided.unwrap_or_else(|| {
            self.go_to_at(onto, z, feed);
            self.moves.push(Move::along(&leads.onto(track, touch, off), z, feed));
            touch
        });
        self.round(track, (touch, touch + track.length() + overlap), z, feed);
        let off = leads.off(track, touch + overlap, off);
        self.moves.push(Move::along(&off, z, feed));
        self.at = Some(off.end);
        self.heading = None;
    }

    fn round(&mut self, track: &Track, (from, to): (f64, f64), z: f64, feed: f64) {
        self.moves.extend(track.between(from, to).iter().map(|piece| Move::along(piece, z, feed)));
    }

    /// Straight there where only cut or waste wood lies between, else up and down again.
    fn go_to(&mut self, to: Point, z: f64) {
        self.go_to_at(to, z, self.cutter.feeds.side);
    }

    fn go_to_at(&mut self, to: Point, z: f64, feed: f64) {
        let feeds = self.cutter.feeds;
        match self.at {
            Some(from) if self.clear_between(from, to) => {
                let height = self.moves.last().map_or(z, |last| last.end().z);
                if z > height + 1e-9 {
                    self.moves.push(Move::Line { to: Space::new(from, z), feed: feeds.cut });
                } else if z < height - 1e-9 {
                    self.moves.push(Move::Line { to: Space::new(from, z), feed: feeds.plunge });
                }
                if from.distance(to) > 1e-6 {
                    self.moves.push(Move::Line { to: Space::new(to, z), feed });
                }
            }
            from => {
                if from.is_some() {
                    left(&mut self.moves, self.cutter);
                }
                self.moves.push(Move::Rapid(Space::new(to, self.cutter.clear)));
                self.moves.push(Move::Rapid(Space::new(to, APPROACH)));
                self.moves.push(Move::Line { to: Space::new(to, z), feed: feeds.plunge });
            }
        }
        self.at = Some(to);
    }

    fn clear_between(&self, a: Point, b: Point) -> bool {
        let steps = (a.distance(b) / self.cutter.radius()).ceil().max(1.0);
        (0..=steps as u32).all(|i| {
            let at = a.lerp(b, f64::from(i) / steps);
            inside(self.within, at) || self.within.iter().any(|outline| outline.distance(at) < 1e-3)
        })
    }
}

/// Does a place lie in an area? Counter-clockwise outlines hold it, islands do not.
fn inside(area: &[Outline], at: Point) -> bool {
    area.iter().filter(|outline| outline.contains(at)).map(|outline| outline.area().signum()).sum::<f64>() > 0.5
}

/// Rings in the order in which they are cut, and whether each is the innermost of a chain.
fn inner_first(rings: &[Ring], ring: usize, order: &mut Vec<(usize, bool)>) {
    let mut innermost = true;
    for inner in (0..rings.len()).filter(|i| rings[*i].outer == Some(ring)) {
        inner_first(rings, inner, order);
        innermost = false;
    }
    order.push((ring, innermost));
}

fn distance(track: &Track, point: Point) -> f64 {
    track.segments().map(|(_, segment)| segment.distance(point)).fold(f64::INFINITY, f64::min)
}

/// The place on a track that is nearest to a point, at a corner where that is nearly as near.
fn nearest(track: &Track, point: Point) -> f64 {
    let mut best = (f64::INFINITY, 0.0);
    for (start, segment) in track.segments() {
        // Starting at a corner needs no move more than the ring itself.
        let at_corner = (segment.start.distance(point) - CORNER, start);
        let within = segment.nearest(point);
        for (distance, s) in [at_corner, (segment.at(within).distance(point), start + within * segment.length())] {
            if distance < best.0 {
                best = (distance, s);
            }
        }
    }
    best.1
}

/// A ring is begun at a corner if that is no further than this from the nearest place (mm).
const CORNER: f64 = 2.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// Its rings lie in each other: none is reached from above, where a cutter would be pushed straight down.
    #[test]
    fn a_round_hole_is_cleared_from_the_inside_out_without_coming_up() {
        let profiles = crate::profile::Profiles::built_in();
        let tool = profiles.find::<crate::profile::Tool>("endmill-1-4").expect("built in");
        let feeds = super::super::Feeds { speed: 16000.0, cut: 5000.0, side: 5000.0, ramp: 2500.0, plunge: 1000.0 };
        let cutting = crate::job::Cutting::default();
        let cutter = CutterAt { tool: &tool, feeds, clear: 6.0, digit: 0.001, cutting: &cutting };
        // Also where the last digits of a turned panel's hole are a little off.
        for (x, y) in [(0.0, 0.0), (40.7, 38.1), (74.7875, 49.3), (74.787_500_000_000_01, 49.300_000_000_000_004)] {
            for diameter in [20.0, 25.4, 28.575, 28.575_000_000_000_003] {
                let area = [Outline::circle(Point::new(x, y), diameter)];
                let moves = Clearing { area: &area, depth: 5.0, spurs: &[] }.moves(&cutter).expect("it fits");
                let ups = moves.iter().skip(3).filter(|it| matches!(it, Move::Rapid(_))).count();
                assert_eq!(ups, 1, "{x} {y} {diameter}");
            }
        }
    }

    /// A machine that rounds a corner by no more than its tolerance all but stops in it. The only corners of a recess are
    /// those of its own wall, one for each pass; from ring to ring, onto the wall and off it the path bends, no more.
    #[test]
    fn nothing_but_the_wall_s_own_corners_makes_the_machine_stop() {
        let profiles = crate::profile::Profiles::built_in();
        let tool = profiles.find::<crate::profile::Tool>("endmill-6").expect("built in");
        let feeds = super::super::Feeds { speed: 16000.0, cut: 5000.0, side: 5000.0, ramp: 2500.0, plunge: 1000.0 };
        let cutting = crate::job::Cutting::default();
        let cutter = CutterAt { tool: &tool, feeds, clear: 6.0, digit: 0.001, cutting: &cutting };
        let area = [Outline::rectangle(300.0, 60.0)];
        let moves = Clearing { area: &area, depth: 5.0, spurs: &[] }.moves(&cutter).expect("it fits");
        let mut sharp = Vec::new();
        let mut before: Option<(Point, Vec2)> = None;
        for pair in moves.windows(2) {
            let (from, to) = (pair[0].end().flat(), pair[1].end().flat());
            let chord = (to - from).normalize();
            let (first, last) = match pair[1] {
                Move::Arc { centre, clockwise, .. } => {
                    let turn = if clockwise { -1.0 } else { 1.0 };
                    let along = |at: Point| Vec2::new(-(at - centre).y, (at - centre).x).normalize() * turn;
                    (along(from), along(to))
                }
                Move::Line { .. } if from.distance(to) > 1e-9 => (chord, chord),
                _ => {
                    before = None;
                    continue;
                }
            };
            if before.is_some_and(|(_, arriving)| arriving.dot(first) < 0.99) {
                sharp.push(from);
            }
            before = Some((to, last));
        }
        let corners = [(3.0, 3.0), (297.0, 3.0), (297.0, 57.0), (3.0, 57.0)].map(Point::from);
        assert!(corners.iter().all(|corner| sharp.iter().any(|at| at.distance(*corner) < 1e-6)), "{sharp:?}");
        assert_eq!(sharp.len(), 4, "in one pass: {sharp:?}");
    }
}
