//! Holes that a drill makes: under a cycle where the machine has one, else written out.

use super::words::Words;
use crate::route::{Drilling, Move, Space};

impl Words<'_> {
    /// Has the machine a cycle for such a hole? None both pecks and dwells.
    pub(super) fn has_cycle_for(&self, drilling: &Drilling) -> bool {
        self.machine.canned_cycles.value && (drilling.dwell == 0.0 || drilling.pecks().count() == 1)
    }

    /// Equal holes that follow each other, under one cycle; returns the index of the move after them.
    pub(super) fn cycle(&mut self, moves: &[Move], first: usize) -> usize {
        let (holes, next) = alike(moves, first, self.machine.clear.value);
        let clear = self.machine.clear.value;
        let stays_low = |drilling: &Drilling| drilling.out < clear - 1e-9;
        if !holes.iter().all(stays_low) {
            // G98 goes back to where the tool was when the cycle began, which must be the height of rapid moves.
            self.retract();
        }
        let mut to_r = None;
        for (i, drilling) in holes.iter().enumerate() {
            let mut line = String::new();
            if to_r != Some(stays_low(drilling)) {
                to_r = Some(stays_low(drilling));
                line.push_str(if stays_low(drilling) { "G99" } else { "G98" });
            }
            if i == 0 {
                line.push_str(&self.cycle_code(drilling));
            }
            let (x, y) = (self.rounded(drilling.at.x), self.rounded(drilling.at.y));
            if i == 0 || self.at[0] != Some(x) {
                line.push_str(&self.word('X', x));
            }
            if i == 0 || self.at[1] != Some(y) {
                line.push_str(&self.word('Y', y));
            }
            if i == 0 {
                line.push_str(&self.cycle_words(drilling));
            }
            self.line(line.trim_start());
            let z = self.rounded(self.height(drilling.out));
            self.at = [Some(x), Some(y), Some(z)];
        }
        self.line("G80");
        self.motion = "";
        self.feed = None;
        next
    }

    fn cycle_code(&self, drilling: &Drilling) -> String {
        let code = match (drilling.pecks().count() > 1, drilling.dwell > 0.0) {
            (true, _) => "G83",
            (false, true) => "G82",
            (false, false) => "G81",
        };
        format!(" {code}")
    }

    fn cycle_words(&self, drilling: &Drilling) -> String {
        let (z, r) = (self.rounded(self.height(drilling.bottom)), self.rounded(self.height(drilling.top)));
        let mut words = format!("{}{}", self.word('Z', z), self.word('R', r));
        if drilling.pecks().count() > 1 {
            // Rounded up: a digit less would make a peck more.
            let digit = self.digit();
            let q = (drilling.peck / self.machine.units.in_mm() / digit - 1e-6).ceil() * digit;
            words.push_str(&self.word('Q', self.snap(q)));
        } else if drilling.dwell > 0.0 {
            words.push_str(&self.dwell_word(drilling.dwell));
        }
        words.push_str(&format!(" F{}", self.feed_number(drilling.feed)));
        words
    }

    /// A hole, written out.
    pub(super) fn drill(&mut self, drilling: &Drilling) {
        let above = |z: f64| Space::new(drilling.at, z);
        self.rapid_to(above(drilling.top));
        let mut reached = drilling.top;
        for bottom in drilling.pecks() {
            if reached < drilling.top {
                // Back down to just above where the last peck ended.
                self.rapid_to(above((reached + Drilling::CLEAR).min(drilling.top)));
            }
            self.straight_to(above(bottom), drilling.feed);
            if bottom <= drilling.bottom {
                self.dwell(drilling.dwell);
                self.rapid_to(above(drilling.out));
            } else {
                self.rapid_to(above(drilling.top));
            }
            reached = bottom;
        }
    }
}

/// The holes that one cycle makes, from a move on, and the index of the move after them.
fn alike(moves: &[Move], first: usize, clear: f64) -> (Vec<Drilling>, usize) {
    let Some(Move::Drill(model)) = moves.get(first).copied() else { return (Vec::new(), first + 1) };
    let alike = |other: &Drilling| Drilling { at: model.at, out: model.out, ..*other } == model;
    let (mut holes, mut next) = (Vec::new(), first);
    while let Some(step) = moves.get(next) {
        match (step, moves.get(next + 1)) {
            (Move::Drill(drilling), _) if alike(drilling) => holes.push(*drilling),
            // The move at the clear height to the next hole is the cycle's own.
            (Move::Rapid(to), Some(Move::Drill(after)))
                if alike(after) && (to.z - clear).abs() < 1e-9 && after.at.distance(to.flat()) < 1e-9 => {}
            _ => break,
        }
        next += 1;
    }
    (holes, next)
}
