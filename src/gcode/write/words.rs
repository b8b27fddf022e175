//! Moves as words: only what changes is said.

use super::arc;
use crate::geometry::{Point, Segment, Vec2};
use crate::profile::{Arcs, Machine, ZZero};
use crate::route::{Move, Space};
use crate::units::{Units, decimal};
use std::f64::consts::TAU;
use std::fmt::Write;

/// The text so far, and what a controller that has read it knows.
pub(super) struct Words<'a> {
    pub machine: &'a Machine,
    thickness: f64,
    /// Largest distance between an arc and the chords that stand for it (mm).
    tolerance: f64,
    pub text: String,
    line: u32,
    /// Where the tool is, in the digits written so far.
    pub(super) at: [Option<f64>; 3],
    pub(super) motion: &'static str,
    pub(super) feed: Option<String>,
}

/// An arc in I and J never turns further than this (radians): its ends stay well apart.
const MOST_TURN: f64 = 1.75 * std::f64::consts::PI;
/// An arc by its radius never turns further than this: near half a turn a digit of R moves the centre far.
const MOST_BY_RADIUS: f64 = 2.0 * std::f64::consts::FRAC_PI_3;
/// Ends of an arc nearer than so many digits make a straight line.
const SHORT: f64 = 5.0;

impl<'a> Words<'a> {
    pub fn new(machine: &'a Machine, thickness: f64) -> Words<'a> {
        let tolerance = machine.arc_tolerance.value;
        Words { machine, thickness, tolerance, text: String::new(), line: 0, at: [None; 3], motion: "", feed: None }
    }

    /// A tool of this diameter (mm) cuts from here on: a thin one makes a slot that coarse chords would bend too much.
    pub fn tool(&mut self, diameter: f64) {
        self.tolerance = self.machine.chords(diameter);
    }

    /// One line of words, numbered where the machine wants it.
    pub fn line(&mut self, line: &str) {
        let step = self.machine.line_numbers.value as u32;
        if step > 0 {
            // Numbers have five digits at most (NIST IR 6556): a long program starts again.
            self.line = if self.line + step > 99_999 { step } else { self.line + step };
            let _ = write!(self.text, "N{} ", self.line);
        }
        self.text.push_str(line);
        self.text.push('\n');
    }

    pub fn comment(&mut self, about: &str) {
        let _ = writeln!(self.text, "({})", plain(about));
    }

    /// Whoever starts reading here needs to be told everything that cuts: motion, feed, place.
    pub fn forget_modes(&mut self) {
        self.motion = "";
        self.feed = None;
        self.at[0] = None;
        self.at[1] = None;
    }

    /// Nothing is known of where the tool stands.
    pub fn forget_place(&mut self) {
        self.forget_modes();
        self.at[2] = None;
    }

    /// Straight up to the height of rapid moves, said even where it is known.
    pub fn lift(&mut self) {
        self.at[2] = None;
        self.retract();
    }

    /// Straight up to the height of rapid moves.
    pub fn retract(&mut self) {
        let z = self.rounded(self.height(self.machine.clear.value));
        if self.at[2] != Some(z) {
            self.at[2] = Some(z);
            let words = self.word('Z', z);
            self.motion("G0", words, None);
        }
    }

    pub fn park(&mut self) {
        let [x, y] = self.machine.park.value.map(|mm| self.rounded(mm));
        self.at[0] = Some(x);
        self.at[1] = Some(y);
        let words = format!("{}{}", self.word('X', x), self.word('Y', y));
        self.motion("G0", words, None);
    }

    pub fn dwell(&mut self, seconds: f64) {
        if seconds > 0.0 {
            let p = self.dwell_word(seconds);
            self.line(&format!("G4{p}"));
        }
    }

    /// Never shorter than asked for: a spindle that is to come up to speed in 3.355 s is given 3.36.
    pub(super) fn dwell_word(&self, seconds: f64) -> String {
        let (unit, places) = if self.machine.dwell_in_ms.value { (1000.0, 0) } else { (1.0, 2) };
        let digits = 10f64.powi(places);
        format!(" P{}", decimal((seconds * unit * digits - 1e-6).ceil() / digits, places as usize))
    }

    /// The moves of one operation.
    pub fn moves(&mut self, moves: &[Move]) {
        let mut i = 0;
        while i < moves.len() {
            match (moves[i], moves.get(i + 1)) {
                // A cycle goes to above its hole by itself.
                (Move::Rapid(to), Some(Move::Drill(next)))
                    if self.has_cycle_for(next) && self.is_at_height(to.z) && next.at.distance(to.flat()) < 1e-9 => {}
                (Move::Drill(first), _) if self.has_cycle_for(&first) => {
                    i = self.cycle(moves, i);
                    continue;
                }
                (Move::Drill(drilling), _) => self.drill(&drilling),
                (Move::Rapid(to), _) => self.rapid_to(to),
                (Move::Line { to, feed }, _) => self.straight_to(to, feed),
                (Move::Arc { to, centre, clockwise, feed }, _) => self.arc(to, centre, clockwise, feed),
            }
            i += 1;
        }
    }

    fn is_at_height(&self, z: f64) -> bool {
        self.at[2] == Some(self.rounded(self.height(z)))
    }

    pub(super) fn rapid_to(&mut self, to: Space) {
        let words = self.position(to);
        if !words.is_empty() {
            self.motion("G0", words, None);
        }
    }

    /// Straight there, no faster downwards than the machine may go straight down: by its last digits a short way may be
    /// steeper than it was meant, and so is a chord that stands for an arc.
    pub(super) fn straight_to(&mut self, to: Space, feed: f64) {
        let along = self.flat_way(to).map_or(0.0, |(start, end)| start.distance(end));
        let feed = self.no_faster_down(to, along, feed);
        let words = self.position(to);
        if !words.is_empty() {
            self.motion("G1", words, Some(feed));
        }
    }

    /// From where the tool is to there, in the digits of the program (its units).
    fn flat_way(&self, to: Space) -> Option<(Point, Point)> {
        let [x, y, _] = self.at;
        Some((Point::new(x?, y?), Point::new(self.rounded(to.x), self.rounded(to.y))))
    }

    /// The feed, or as much of it as the machine may go downwards on a way that is so long seen from above (its units).
    fn no_faster_down(&self, to: Space, along: f64, feed: f64) -> f64 {
        let mut most = feed;
        if let Some(z) = self.at[2] {
            let down = z - self.rounded(self.height(to.z));
            if down > 0.0 {
                most = most.min(self.machine.plunge.value * along.hypot(down) / down);
            }
        }
        if most < feed * (1.0 - 1e-6) { self.feed_below(most) } else { feed }
    }

    /// The fastest feed that can be written and is no faster than this.
    fn feed_below(&self, feed: f64) -> f64 {
        let unit = self.machine.units.in_mm();
        let step = 10f64.powi(-(feed_decimals(feed / unit) as i32)) * unit;
        ((feed / step).floor() * step).max(step)
    }

    fn arc(&mut self, to: Space, centre: Point, clockwise: bool, feed: f64) {
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
        let whole = Segment { start: start.flat(), end: to.flat(), bulge: (signed / 4.0).tan() };
        for i in 1..=pieces as u32 {
            let share = f64::from(i) / pieces;
            let end = if share < 1.0 { Space::new(whole.at(share), start.z + (to.z - start.z) * share) } else { to };
            self.arc_piece(end, centre, clockwise, feed);
        }
    }

    /// Chords for an arc, which turns by `sweep` (positive counter-clockwise), no further from it than `tolerance` (mm).
    fn chords(&mut self, from: Space, to: Space, centre: Point, sweep: f64, tolerance: f64, feed: f64) {
        let (radius, begin) = (to.flat().distance(centre), (from.flat() - centre).atan2());
        for share in corners(begin, sweep, radius, tolerance) {
            // Of the circle itself, not of this arc's rounded start: so that every pass has the same corners.
            let at = centre + Vec2::from_angle(begin + sweep * share) * radius;
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

    fn motion(&mut self, code: &'static str, words: String, feed: Option<f64>) {
        let mut line = String::new();
        if code != self.motion {
            line.push_str(code);
            self.motion = code;
        }
        line.push_str(&words);
        if let Some(feed) = feed.map(|feed| self.feed_number(feed)).filter(|feed| self.feed.as_ref() != Some(feed)) {
            let _ = write!(line, " F{feed}");
            self.feed = Some(feed);
        }
        let line = line.trim_start().to_string();
        self.line(&line);
    }

    /// The words for whatever changes on the way to a position.
    fn position(&mut self, to: Space) -> String {
        let wanted = [('X', to.x), ('Y', to.y), ('Z', self.height(to.z))];
        let mut words = String::new();
        for (i, (letter, mm)) in wanted.into_iter().enumerate() {
            let value = self.rounded(mm);
            if self.at[i] != Some(value) {
                self.at[i] = Some(value);
                words.push_str(&self.word(letter, value));
            }
        }
        words
    }

    pub(super) fn height(&self, z: f64) -> f64 {
        match self.machine.z_zero.value {
            ZZero::SheetTop => z,
            ZZero::Spoilboard => z + self.thickness,
        }
    }

    /// Smallest step of a coordinate, in the machine's units.
    pub(super) fn digit(&self) -> f64 {
        10f64.powf(-self.machine.decimals.value)
    }

    /// Millimetres in the machine's units, to the digits it takes.
    pub(super) fn rounded(&self, mm: f64) -> f64 {
        self.snap(mm / self.machine.units.in_mm())
    }

    pub(super) fn snap(&self, value: f64) -> f64 {
        let scale = 10f64.powf(self.machine.decimals.value);
        // Values halfway between two digits all go the same way, whatever dust they carry: else a level line would bend.
        let snapped = (value * scale + 1e-4).round() / scale;
        if snapped == 0.0 { 0.0 } else { snapped }
    }

    pub(super) fn feed_number(&self, feed: f64) -> String {
        let feed = feed / self.machine.units.in_mm();
        decimal(feed, feed_decimals(feed))
    }

    pub(super) fn word(&self, letter: char, value: f64) -> String {
        let number = decimal(value, self.machine.decimals.value as usize);
        let point = if self.machine.decimal_point.value && !number.contains('.') { "." } else { "" };
        format!(" {letter}{number}{point}")
    }
}

/// The angle an arc turns through, up to a whole turn.
fn turn(start: Point, end: Point, centre: Point, clockwise: bool) -> f64 {
    let (start, end) = ((start - centre).atan2(), (end - centre).atan2());
    let turn = if clockwise { start - end } else { end - start }.rem_euclid(TAU);
    // Rounded ends of a very short arc may have passed each other.
    if turn > TAU - 1e-6 { 0.0 } else { turn }
}

/// Digits after the point of a feed, in the machine's units: a slow one needs more.
fn feed_decimals(feed: f64) -> usize {
    if feed < 1.0 { 3 } else { 1 }
}

/// Where chords for an arc meet, as shares of it: within a tolerance of the arc, and at the same places of its circle wherever
/// it begins, so that pass after pass goes the same way.
fn corners(begin: f64, sweep: f64, radius: f64, tolerance: f64) -> Vec<f64> {
    /// A chord shorter than this share of the others is one with its neighbour.
    const SHORT: f64 = 0.05;
    let longest = 2.0 * (1.0 - (tolerance / radius).min(1.0)).acos();
    let step = TAU / (TAU * (1.0 + SHORT) / longest).ceil().max(3.0);
    let (first, last) = if sweep < 0.0 { (begin + sweep, begin) } else { (begin, begin + sweep) };
    let (from, to) = ((first / step + SHORT).ceil() as i64, (last / step - SHORT).floor() as i64);
    let mut shares: Vec<f64> = (from..=to).map(|i| (i as f64 * step - begin) / sweep).collect();
    if sweep < 0.0 {
        shares.reverse();
    }
    shares
}

/// Text that any controller takes as a comment, and as nothing else: printable ASCII, not too long.
///
/// Brackets would end it or open another. A percent sign ends the whole text on controllers that read tapes; `! ~ ?` act at
/// once on small ones, wherever they stand; `; $ #` begin something on others (common practice).
fn plain(text: &str) -> String {
    let comment: String = text
        .chars()
        .map(|c| match c {
            '(' | '[' | '{' => '<',
            ')' | ']' | '}' => '>',
            '×' => 'x',
            ';' => ',',
            '%' | '!' | '~' | '?' | '$' | '#' | '^' | '`' | '\\' | '|' => '.',
            ' '..='~' => c,
            _ => '.',
        })
        .take(110)
        .collect();
    let first: String = comment.trim_start().chars().take_while(char::is_ascii_alphabetic).collect();
    if ACTIVE.contains(&first.to_ascii_uppercase().as_str()) { format!("- {comment}") } else { comment }
}

/// What a comment must not begin with: RS274/NGC shows one that begins with MSG, to the operator (NIST IR 6556, 3.3.4), and
/// controllers have added others that print, open files or stop.
const ACTIVE: [&str; 10] =
    ["MSG", "DEBUG", "PRINT", "LOG", "LOGOPEN", "LOGCLOSE", "LOGAPPEND", "PROBEOPEN", "PROBECLOSE", "PY"];

#[cfg(test)]
mod tests {
    use super::*;

    /// A coordinate halfway between two digits, give or take the dust of reckoning, is one coordinate.
    #[test]
    fn halves_are_all_rounded_alike() {
        let machine = crate::profile::Profiles::built_in().find::<Machine>("desktop-router").expect("built in");
        let words = Words::new(&machine, 12.0);
        for half in [114.1125, -0.0005, 3.0625, 2440.0005] {
            let snapped = [half - 1e-11, half, half + 1e-11].map(|value| words.snap(value));
            assert!(snapped[0] == snapped[1] && snapped[1] == snapped[2], "{snapped:?}");
            assert!((snapped[0] - half).abs() < 0.0005001);
        }
    }

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

    /// Two arcs of one circle, begun elsewhere and gone the other way, have the same corners where both go; and no chord
    /// is further from its arc than it may be.
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

    #[test]
    fn a_slow_feed_keeps_its_digits() {
        let plain = crate::profile::Profiles::built_in().find::<Machine>("desktop-router").expect("built in");
        let words = Words::new(&plain, 12.0);
        assert_eq!([0.1234, 9.96, 1234.56].map(|feed| words.feed_number(feed)), ["0.123", "10", "1234.6"]);
    }

    #[test]
    fn a_dwell_is_never_shorter_than_asked_for() {
        let plain = crate::profile::Profiles::built_in().find::<Machine>("desktop-router").expect("built in");
        let mut machine = Machine::clone(&plain);
        for (in_ms, seconds, word) in [
            (false, 3.355, " P3.36"),
            (false, 5.082, " P5.09"),
            (false, 4.0, " P4"),
            (false, 0.1, " P0.1"),
            (true, 3.3551, " P3356"),
        ] {
            machine.dwell_in_ms.value = in_ms;
            assert_eq!(Words::new(&machine, 12.0).dwell_word(seconds), word);
        }
    }

    #[test]
    fn a_comment_can_never_end_early_or_carry_a_command() {
        assert_eq!(plain("box) M30 (\n%G0\u{e9}"), "box> M30 <..G0.");
        assert_eq!(plain("msg, hello"), "- msg, hello");
    }
}
