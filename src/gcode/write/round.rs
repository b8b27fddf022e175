//! Arcs as words: by their centre, by their radius, or as chords.

use super::arc;
use super::words::Words;
use crate::geometry::math::{acos, angle_of, tan, unit};
use crate::geometry::{Point, Segment};
use crate::profile::Arcs;
use crate::route::Space;
use crate::units::Units;
use std::f64::consts::TAU;

/// An arc in I and J never turns further than this (radians): its ends stay well apart.
const MOST_TURN: f64 = 1.75 * std::f64::consts::PI;
/// An arc by its radius never turns further than this: near half a turn a digit of R moves the centre far.
const MOST_BY_RADIUS: f64 = 2.0 * std::f64::consts::FRAC_PI_3;
/// Ends of an arc nearer than this many digits make a straight line.
const SHORT: f64 = 5.0;

impl Words<'_> {
    pub(super) fn arc(&mut self, to: Space, centre: Point, clockwise: bool, feed: f64) {
        let ([Some(x), Some(y), Some(z)], scale) = (self.at, self.machine.units.in_mm()) else { return };
        let start = Space { x: x * scale, y: y * scale, z: z * scale - self.height(0.0) };
        let sweep = turn(start.flat(), to.flat(), centre, clockwise);
        // No arc is nearly a whole turn. This one is shorter than the digits tell, so that its ends have passed each other.
        if sweep > MOST_TURN && start.flat().distance(to.flat()) < SHORT * self.digit() * scale {
            return self.straight_to(to, feed);
        }
        let signed = if clockwise { -sweep } else { sweep };
        if self.machine.arcs.value == Arcs::None {
            // Finer than a quarter of the last digit they would be a jagged line.
            let tolerance = self.tolerance.max(0.25 * self.digit() * scale);
            return self.chords(start, to, centre, signed, tolerance, feed);
        }
        let most = if self.machine.arcs.value == Arcs::Radius { MOST_BY_RADIUS } else { MOST_TURN };
        let pieces = (sweep / most - 1e-9).ceil().max(1.0);
        let whole = Segment { start: start.flat(), end: to.flat(), bulge: tan(signed / 4.0) };
        for i in 1..=pieces as u32 {
            let share = f64::from(i) / pieces;
            let end = if share < 1.0 { Space::new(whole.at(share), start.z + (to.z - start.z) * share) } else { to };
            self.arc_piece(end, centre, clockwise, feed);
        }
    }

    /// Chords for an arc, which turns by `sweep` (positive counter-clockwise), no further from it than `tolerance` (mm).
    fn chords(&mut self, from: Space, to: Space, centre: Point, sweep: f64, tolerance: f64, feed: f64) {
        let (radius, begin) = (to.flat().distance(centre), angle_of(from.flat() - centre));
        for share in corners(begin, sweep, radius, tolerance) {
            // Of the circle itself, not of this arc's rounded start: so that every pass has the same corners.
            let at = centre + unit(begin + sweep * share) * radius;
            self.straight_to(Space::new(at, from.z + (to.z - from.z) * share), feed);
        }
        self.straight_to(to, feed);
    }

    /// An arc that can be written in one line.
    fn arc_piece(&mut self, to: Space, centre: Point, clockwise: bool, feed: f64) {
        let ([Some(x), Some(y), _], scale) = (self.at, self.machine.units.in_mm()) else { return };
        let (start, end) = (Point::new(x, y), Point::new(self.rounded(to.x), self.rounded(to.y)));
        let centre = Point::new(centre.x / scale, centre.y / scale);
        let digit = self.digit();
        let code = if clockwise { "G2" } else { "G3" };
        if start.distance(end) < SHORT * digit {
            return self.straight_to(to, feed);
        }
        if self.machine.arcs.value == Arcs::Radius {
            let radius = arc::radius(start, end, centre, digit);
            let feed = self.no_faster_down(to, arc::length(start, end, radius), feed);
            let words = self.position(to);
            let r = self.word('R', radius);
            return self.motion(code, format!("{words}{r}"), Some(feed));
        }
        let allowed = arc::allowed(self.machine.units == Units::Millimetres);
        match arc::arms(start, end, centre, digit, allowed) {
            Some((i, j)) => {
                let (i, j) = (self.snap(i), self.snap(j));
                let middle = Point::new(start.x + i, start.y + j);
                let along = turn(start, end, middle, clockwise) * middle.distance(end);
                let feed = self.no_faster_down(to, along, feed);
                let words = self.position(to);
                let arms = format!("{}{}", self.word('I', i), self.word('J', j));
                self.motion(code, format!("{words}{arms}"), Some(feed));
            }
            None => {
                // Too few digits for this arc: chords.
                let centre = Point::new(centre.x * scale, centre.y * scale);
                let from = Point::new(start.x * scale, start.y * scale);
                let sweep = turn(from, to.flat(), centre, clockwise);
                let z = self.at[2].map_or(to.z, |z| z * scale - self.height(0.0));
                // Whoever holds the program against its parts counts with digits here, not with chords.
                let fine = self.tolerance.min(0.25 * digit * scale);
                let signed = if clockwise { -sweep } else { sweep };
                self.chords(Space::new(from, z), to, centre, signed, fine, feed);
            }
        }
    }
}

/// The angle an arc turns through, up to a whole turn.
fn turn(start: Point, end: Point, centre: Point, clockwise: bool) -> f64 {
    let (start, end) = (angle_of(start - centre), angle_of(end - centre));
    let turn = if clockwise { start - end } else { end - start }.rem_euclid(TAU);
    // Rounded ends of a very short arc may have passed each other.
    if turn > TAU - 1e-6 { 0.0 } else { turn }
}

/// Where chords for an arc meet, as shares of it: within a tolerance of the arc, and at the same places of its circle
/// wherever it begins, so that pass after pass has the same corners.
fn corners(begin: f64, sweep: f64, radius: f64, tolerance: f64) -> Vec<f64> {
    /// A chord shorter than this share of the others is one with its neighbour.
    const SHORT: f64 = 0.05;
    let longest = 2.0 * acos(1.0 - (tolerance / radius).min(1.0));
    let step = TAU / (TAU * (1.0 + SHORT) / longest).ceil().max(3.0);
    let (first, last) = if sweep < 0.0 { (begin + sweep, begin) } else { (begin, begin + sweep) };
    let (from, to) = ((first / step + SHORT).ceil() as i64, (last / step - SHORT).floor() as i64);
    let mut shares: Vec<f64> = (from..=to).map(|i| (i as f64 * step - begin) / sweep).collect();
    if sweep < 0.0 {
        shares.reverse();
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vec2;
    use crate::profile::Machine;

    /// By their digits the ends of an arc of a hair have passed each other: it is no whole turn.
    #[test]
    fn a_hair_of_an_arc_is_never_a_whole_turn() {
        let plain = crate::profile::Profiles::built_in().find::<Machine>("desktop-router").expect("built in");
        for arcs in [Arcs::Centre, Arcs::Radius, Arcs::None] {
            let mut machine = Machine::clone(&plain);
            machine.arcs.value = arcs;
            let mut words = Words::new(&machine, 12.0);
            words.at = [Some(10.0), Some(10.0), Some(-1.0)];
            // It began at Y 9.9996, which was written as 10, and goes on to 9.9998.
            words.arc(Space { x: 10.0, y: 9.9998, z: -1.0 }, Point::new(8.4, 10.0), false, 1000.0);
            assert_eq!(words.text, "", "{arcs:?}");
            words.arc(Space { x: 10.0, y: 9.9988, z: -1.0 }, Point::new(8.4, 10.0), false, 1000.0);
            assert_eq!(words.text, "G1 Y9.999 F1000\n", "{arcs:?}");
        }
    }

    /// By the digits of Z an arc may go down more steeply than it was meant to.
    #[test]
    fn an_arc_goes_down_no_faster_than_the_machine_may_plunge() {
        let plain = crate::profile::Profiles::built_in().find::<Machine>("desktop-router").expect("built in");
        for arcs in [Arcs::Centre, Arcs::Radius, Arcs::None] {
            let mut machine = Machine::clone(&plain);
            (machine.units, machine.arcs.value) = (Units::Inches, arcs);
            (machine.decimals.value, machine.plunge.value) = (3.0, 305.0);
            let mut words = Words::new(&machine, 12.0);
            words.at = [Some(0.0), Some(0.0), Some(0.0)];
            let (to, middle) = (Space { x: 4.0, y: 4.0, z: -1.5 }, Point::new(0.0, 4.0));
            words.arc(to, middle, false, 2000.0);
            let feed = words.text.rsplit_once('F').and_then(|(_, f)| f.trim().parse::<f64>().ok()).expect("a feed");
            let (down, along) = (1.5, 2.0 * std::f64::consts::PI);
            let fastest = 305.0 / 25.4 * f64::hypot(down, along) / down;
            assert!(feed <= fastest * 1.02 && feed > 0.7 * fastest, "{arcs:?}: {feed} of {fastest}");
        }
    }

    /// Two arcs of one circle, begun elsewhere and run in the other direction, have the same corners where both go; and
    /// no chord is further from its arc than it may be.
    #[test]
    fn chords_meet_at_the_same_places_wherever_an_arc_begins() {
        let plain = crate::profile::Profiles::built_in().find::<Machine>("plain-router").expect("built in");
        let mut machine = Machine::clone(&plain);
        machine.arcs.value = Arcs::None;
        let centre = Point::new(100.0, 80.0);
        let at = |degrees: f64| centre + Vec2::from_angle(degrees.to_radians()) * 7.0;
        let corners = |from: f64, to: f64, clockwise: bool| {
            let mut words = Words::new(&machine, 12.0);
            words.tool(6.0);
            words.rapid_to(Space::new(at(from), -3.0));
            words.text.clear();
            words.arc(Space::new(at(to), -3.0), centre, clockwise, 1000.0);
            let number = |line: &str, letter: char| {
                let word = line.split_whitespace().find_map(|word| word.strip_prefix(letter));
                word.and_then(|word| word.parse::<f64>().ok())
            };
            let mut place = at(from);
            let mut places = vec![[place.x, place.y].map(|mm| words.rounded(mm))];
            for line in words.text.lines() {
                place = Point::new(number(line, 'X').unwrap_or(place.x), number(line, 'Y').unwrap_or(place.y));
                places.push([place.x, place.y]);
            }
            places
        };
        let (one, other) = (corners(10.0, 200.0, false), corners(250.0, 33.0, true));
        let tolerance = machine.chords(6.0) + 2.0 * 10f64.powf(-machine.decimals.value);
        for pair in one.windows(2).chain(other.windows(2)) {
            let middle = Point::new(pair[0][0], pair[0][1]).midpoint(Point::new(pair[1][0], pair[1][1]));
            assert!((middle.distance(centre) - 7.0).abs() <= tolerance, "{pair:?}");
        }
        let both = |place: &&[f64; 2]| {
            let angle = (Point::new(place[0], place[1]) - centre).atan2().to_degrees();
            (38.0..195.0).contains(&angle)
        };
        let shared: Vec<_> = one.iter().filter(both).collect();
        assert!(shared.len() > 10 && shared.iter().all(|place| other.contains(place)), "{one:?} {other:?}");
    }
}
