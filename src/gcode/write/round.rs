//! Arcs as words: by their centre, by their radius, or as chords.

use super::arc;
use super::words::Words;
use crate::geometry::math::{acos, angle_of, cos, tan, unit};
use crate::geometry::{Point, Segment};
use crate::profile::Arcs;
use crate::route::Space;
use crate::units::Units;
use std::f64::consts::TAU;

/// An arc in I and J never turns further than this (radians): its ends stay well apart.
const MOST_TURN: f64 = 1.75 * std::f64::consts::PI;
/// An arc by its radius never turns further than this: near half a turn a digit of R moves the centre far.
const MOST_BY_RADIUS: f64 = 2.0 * std::f64::consts::FRAC_PI_3;
/// Ends of an arc nearer than this many digits make a straight line, unless it bulges.
const SHORT: f64 = 5.0;

impl Words<'_> {
    pub(super) fn arc(&mut self, to: Space, centre: Point, clockwise: bool, feed: f64) {
        let ([Some(x), Some(y), Some(z)], scale) = (self.at, self.machine.units.in_mm()) else { return };
        let start = Space { x: x * scale, y: y * scale, z: z * scale - self.height(0.0) };
        let sweep = arc::turn(start.flat(), to.flat(), centre, clockwise);
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
        let (radius, begin) = (to.flat().distance(centre), angle_of(start.flat() - centre));
        let whole = Segment { start: start.flat(), end: to.flat(), bulge: tan(signed / 4.0) };
        for i in 1..=pieces as u32 {
            let (before, share) = (f64::from(i - 1) / pieces, f64::from(i) / pieces);
            let end = if share < 1.0 { Space::new(whole.at(share), start.z + (to.z - start.z) * share) } else { to };
            self.arc_piece(end, Meant { centre, radius, begin: begin + signed * before, sweep: signed / pieces }, feed);
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

    /// An arc in one line where the digits have one that stays with it; else in two, and where it is short in chords.
    fn arc_piece(&mut self, to: Space, meant: Meant, feed: f64) {
        /// An arc that turns by less is not halved again (radians).
        const HALVED: f64 = 0.4;
        let ([Some(x), Some(y), Some(z)], scale) = (self.at, self.machine.units.in_mm()) else { return };
        let (start, end) = (Point::new(x, y), Point::new(self.rounded(to.x), self.rounded(to.y)));
        // Round a circle of a few digits half a turn is as short, and no straight line.
        let bulges = meant.radius * (1.0 - cos(meant.sweep / 2.0)) / scale;
        if start.distance(end) < SHORT * self.digit() && bulges < 0.5 * self.digit() {
            return self.straight_to(to, feed);
        }
        if start != end && self.arc_in_one(to, (start, end), meant, feed) {
            return;
        }
        let from = Space { x: x * scale, y: y * scale, z: z * scale - self.height(0.0) };
        if meant.sweep.abs() < HALVED {
            // Whoever holds the program against its parts counts with digits, not with chords.
            let fine = self.tolerance.min(0.25 * self.digit() * scale);
            return self.chords(from, to, meant.centre, meant.sweep, fine, feed);
        }
        let halves = [meant.begin, meant.begin + meant.sweep / 2.0];
        let half = meant.centre + unit(halves[1]) * meant.radius;
        let ends = [Space::new(half, f64::midpoint(from.z, to.z)), to];
        for (begin, end) in halves.into_iter().zip(ends) {
            self.arc_piece(end, Meant { begin, sweep: meant.sweep / 2.0, ..meant }, feed);
        }
    }

    /// The same in one line, from a place to another in the digits of the program; false where no such line stays with what
    /// is meant.
    fn arc_in_one(&mut self, to: Space, (start, end): (Point, Point), meant: Meant, feed: f64) -> bool {
        /// By more than this the digits change no arc's angle, unless its ends have passed each other (radians).
        const MUCH: f64 = 1.0;
        let (digit, scale, clockwise) = (self.digit(), self.machine.units.in_mm(), meant.sweep < 0.0);
        let centre = Point::new(meant.centre.x / scale, meant.centre.y / scale);
        let most = arc::strays_at_most(digit, scale);
        let stays = |middle: Point| {
            let turn = arc::turn(start, end, middle, clockwise);
            (turn - meant.sweep.abs()).abs() < MUCH
                && arc::strays(start, end, middle, clockwise, (centre, meant.radius / scale)) <= most
        };
        let code = if clockwise { "G2" } else { "G3" };
        if self.machine.arcs.value == Arcs::Radius {
            let radius = arc::radius(start, end, centre, digit);
            if !stays(arc::middle(start, end, radius, clockwise)) {
                return false;
            }
            let feed = self.no_faster_down(to, arc::length(start, end, radius), feed);
            let words = self.position(to);
            let r = self.word('R', radius);
            self.motion(code, format!("{words}{r}"), Some(feed));
            return true;
        }
        let allowed = arc::allowed(self.machine.units == Units::Millimetres);
        let Some((i, j)) = arc::arms(start, end, centre, digit, allowed) else { return false };
        let (i, j) = (self.snap(i), self.snap(j));
        let middle = Point::new(start.x + i, start.y + j);
        if !stays(middle) {
            return false;
        }
        let along = arc::turn(start, end, middle, clockwise) * middle.distance(end);
        let feed = self.no_faster_down(to, along, feed);
        let words = self.position(to);
        let arms = format!("{}{}", self.word('I', i), self.word('J', j));
        self.motion(code, format!("{words}{arms}"), Some(feed));
        true
    }
}

/// An arc as it is meant, whatever the digits make of it.
#[derive(Clone, Copy, Debug)]
struct Meant {
    centre: Point,
    /// Millimetres.
    radius: f64,
    /// Where it begins, and how far it turns from there, counter-clockwise (radians).
    begin: f64,
    sweep: f64,
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

    /// Three decimals of an inch have few arcs whose two ends are equally far from their centre, and those that there are may be
    /// about quite another one: whatever is written stays with the circle that was meant, to a digit and a little.
    #[test]
    fn no_written_arc_strays_from_what_is_meant() {
        let plain = crate::profile::Profiles::built_in().find::<Machine>("desktop-router").expect("built in");
        let number = |line: &str, letter: char| -> Option<f64> {
            line.split_whitespace().find_map(|word| word.strip_prefix(letter))?.parse().ok()
        };
        for arcs in [Arcs::Centre, Arcs::Radius] {
            let mut machine = Machine::clone(&plain);
            (machine.units, machine.arcs.value, machine.decimals.value) = (Units::Inches, arcs, 3.0);
            let (mut written, mut most) = (0, 0.0f64);
            for i in 0..400 {
                let i = f64::from(i);
                // As the bottom of a slot of 14 mm about a cutter of 8, somewhere on a sheet; and wider ones.
                let (centre, radius) = (Point::new(66.1 + 0.37 * i, 979.2 - 0.83 * i), 3.0 + 0.04 * i);
                let (from, sweep) = (0.3 * i, 0.4 + 0.01 * i);
                let at = |angle: f64| centre + unit(angle) * radius;
                let mut words = Words::new(&machine, 12.0);
                words.rapid_to(Space::new(at(from), -3.0));
                words.text.clear();
                let inch = |at: Point| Point::new(at.x / 25.4, at.y / 25.4);
                let [Some(x), Some(y), _] = words.at else { panic!("it is somewhere") };
                let mut place = Point::new(x, y);
                words.arc(Space::new(at(from + sweep), -3.0), centre, false, 1000.0);
                for line in words.text.lines() {
                    let end = Point::new(number(line, 'X').unwrap_or(place.x), number(line, 'Y').unwrap_or(place.y));
                    let middle = match (number(line, 'I').zip(number(line, 'J')), number(line, 'R')) {
                        (Some((i, j)), _) => Some(Point::new(place.x + i, place.y + j)),
                        (_, Some(radius)) => Some(arc::middle(place, end, radius, false)),
                        _ => None,
                    };
                    if let Some(middle) = middle {
                        let meant = (inch(centre), radius / 25.4);
                        (written, most) = (written + 1, most.max(arc::strays(place, end, middle, false, meant)));
                    }
                    place = end;
                }
                assert!(place.distance(inch(at(from + sweep))) <= 0.001, "{arcs:?}: it ends elsewhere");
            }
            assert!(most * 25.4 <= 0.0254 + 0.0031, "{arcs:?}: {most} in");
            assert!(written > 400, "{arcs:?}: {written} arcs");
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
