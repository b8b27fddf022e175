//! Moves as words: only what changes is said.

use super::comment::plain;
use crate::geometry::Point;
use crate::geometry::math::{hypot, ten_to};
use crate::profile::{Machine, ZZero};
use crate::route::{Move, Space};
use crate::units::decimal;
use std::fmt::Write;

/// The text so far, and what a controller that has read it knows.
pub(super) struct Words<'a> {
    pub machine: &'a Machine,
    thickness: f64,
    /// Largest distance between an arc and the chords that stand for it (mm).
    pub(super) tolerance: f64,
    pub text: String,
    line: u32,
    /// Where the tool is, in the digits written so far.
    pub(super) at: [Option<f64>; 3],
    pub(super) motion: &'static str,
    pub(super) feed: Option<String>,
}

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

    /// What stands on a line of its own, without a line number.
    pub fn mark(&mut self, mark: &str) {
        self.text.push_str(mark);
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

    /// Straight up to a height above the sheet.
    pub fn lift_to(&mut self, z: f64) {
        let z = self.rounded(self.height(z));
        if self.at[2] != Some(z) {
            self.at[2] = Some(z);
            let words = self.word('Z', z);
            self.motion("G0", words, None);
        }
    }

    /// Up to the top of the machine's reach, and to a place by the machine's own zero.
    pub fn park_by_machine(&mut self, x: f64, y: f64) {
        let top = self.word('Z', 0.0);
        self.line(&format!("G53 G0{top}"));
        let [x, y] = [x, y].map(|mm| self.rounded(mm));
        let place = format!("{}{}", self.word('X', x), self.word('Y', y));
        self.line(&format!("G53 G0{place}"));
        self.forget_place();
    }

    pub fn park(&mut self, at: Point) {
        let [x, y] = [at.x, at.y].map(|mm| self.rounded(mm));
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
        let digits = ten_to(places);
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

    /// Straight there, no faster downwards than the machine may go straight down: by its last digits a short move may be
    /// steeper than it was meant, and so is a chord that stands for an arc.
    pub(super) fn straight_to(&mut self, to: Space, feed: f64) {
        let along = self.flat_line(to).map_or(0.0, |(start, end)| start.distance(end));
        let feed = self.no_faster_down(to, along, feed);
        let words = self.position(to);
        if !words.is_empty() {
            self.motion("G1", words, Some(feed));
        }
    }

    /// From where the tool is to there, in the digits of the program (its units).
    pub(super) fn flat_line(&self, to: Space) -> Option<(Point, Point)> {
        let [x, y, _] = self.at;
        Some((Point::new(x?, y?), Point::new(self.rounded(to.x), self.rounded(to.y))))
    }

    /// The feed, or as much of it as the machine may go downwards on a move that is so long seen from above (its units).
    pub(super) fn no_faster_down(&self, to: Space, along: f64, feed: f64) -> f64 {
        let mut most = feed;
        if let Some(z) = self.at[2] {
            let down = z - self.rounded(self.height(to.z));
            if down > 0.0 {
                most = most.min(self.machine.plunge.value * hypot(along, down) / down);
            }
        }
        if most < feed * (1.0 - 1e-6) { self.feed_below(most) } else { feed }
    }

    /// The fastest feed that can be written and is no faster than this.
    fn feed_below(&self, feed: f64) -> f64 {
        let unit = self.machine.units.in_mm();
        let step = ten_to(-(feed_decimals(feed / unit) as i32)) * unit;
        ((feed / step).floor() * step).max(step)
    }

    pub(super) fn motion(&mut self, code: &'static str, words: String, feed: Option<f64>) {
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

    /// The words for whatever changes up to a position.
    pub(super) fn position(&mut self, to: Space) -> String {
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
        ten_to(-(self.machine.decimals.value as i32))
    }

    /// Millimetres in the machine's units, to the digits it takes.
    pub(super) fn rounded(&self, mm: f64) -> f64 {
        self.snap(mm / self.machine.units.in_mm())
    }

    pub(super) fn snap(&self, value: f64) -> f64 {
        let scale = ten_to(self.machine.decimals.value as i32);
        // Values halfway between two digits are all rounded up, whatever dust they carry: else a level line would bend.
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

/// Digits after the point of a feed, in the machine's units: a slow one needs more.
fn feed_decimals(feed: f64) -> usize {
    if feed < 1.0 { 3 } else { 1 }
}

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
}
