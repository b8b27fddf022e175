//! Canned cycles, written out as the moves they stand for.

use super::codes::Cycle;
use super::reader::{Reader, Words};
use super::state::Held;
use super::{Axis, Move, Position, Refusal, Step};

/// After a peck the tool comes back to this far above where it was (mm; a hundredth of an inch in NIST's own
/// interpreter, from memory), and G73 goes up by as much. It is air either way.
const BACK_OFF: f64 = 0.254;
/// No hole is pecked more often, and no line repeated more often.
const MOST: f64 = 1000.0;

/// A canned cycle as each of its holes is made by it: all absolute, in millimetres.
struct CannedCycle {
    cycle: Cycle,
    r: f64,
    z: f64,
    /// Where the tool goes when it is done.
    clear: f64,
    peck: f64,
    dwell: f64,
}

impl Reader<'_> {
    pub(super) fn cycle(&mut self, cycle: Cycle, words: &mut Words) -> Result<(), Refusal> {
        let column = words.any(b"XYZ").unwrap_or(1);
        if self.state.inverse_time == Some(true) {
            return self.fail(column, "a canned cycle under G93");
        }
        let repeats = self.repeats(words)?;
        let first = self.state.cycle.is_none();
        let held = self.held(cycle, words)?;
        let absolute = self.state.absolute != Some(false);
        let origin = self.state.frame.and_then(|frame| self.setup.origins[frame]).unwrap_or_default();

        let missing = |what: &str| format!("a canned cycle wants {what}");
        let (Some(r), Some(z)) = (held.r, held.z) else { return self.fail(column, missing("R and Z")) };
        let (r, z) = if absolute {
            (r + origin[2], z + origin[2])
        } else {
            // R is counted from the height before the cycle, Z from R.
            if self.state.to_r && !first {
                return self.fail(
                    column,
                    "a cycle by distances after another under G99: controllers count its R from two heights",
                );
            }
            let Some(start) = held.old_z else {
                return self.fail(column, "a cycle by distances from a height that the program has not told");
            };
            (start + r, start + r + z)
        };
        if r < z {
            return self.fail(column, "R lies below Z: the cycle would drill upwards");
        }
        let clear = match (self.state.to_r, held.old_z) {
            (true, _) => r,
            (false, Some(old)) => old.max(r),
            (false, None) => {
                return self
                    .fail(column, "G98 goes back to the height before the cycle, which the program has not told");
            }
        };
        let peck = match (cycle, held.q) {
            (Cycle::Peck | Cycle::Break, Some(q)) => q,
            (Cycle::Peck | Cycle::Break, None) => return self.fail(column, missing("Q, the depth of a peck")),
            _ => r - z,
        };
        if (r - z) > peck * MOST {
            return self.fail(column, format!("more than {MOST} pecks in one hole"));
        }
        let dwell = match (cycle, held.p) {
            (Cycle::Dwell, None) => return self.fail(column, missing("P, the seconds of its dwell")),
            (Cycle::Dwell, Some(p)) => p,
            _ => 0.0,
        };
        self.state.cycle = Some(held);

        let canned = CannedCycle { cycle, r, z, clear, peck, dwell };
        let mut sides = [words.take(b'X'), words.take(b'Y')];
        for _ in 0..repeats {
            let mut to = self.state.at;
            let scale = self.state.units.unwrap_or(1.0);
            for (i, word) in sides.iter().enumerate() {
                let value = word.map(|word| word.value * scale);
                to[i] = match (value, absolute, to[i]) {
                    (None, _, Axis::At(at)) => Axis::At(at),
                    (Some(value), true, _) => Axis::At(value + origin[i]),
                    (Some(value), false, Axis::At(at)) => Axis::At(at + value),
                    _ => return self.fail(column, "a cycle at a place that the program has not told"),
                };
            }
            self.hole(&canned, to);
            if absolute {
                sides = [None, None];
            }
        }
        Ok(())
    }

    fn repeats(&self, words: &mut Words) -> Result<usize, Refusal> {
        let Some(word) = words.take(b'L') else { return Ok(1) };
        match word.whole() {
            Some(count) if count >= 1 && f64::from(count) <= MOST => Ok(count as usize),
            _ => self.fail(word.column, format!("a line is repeated a whole number of times, from 1 to {MOST}")),
        }
    }

    /// What is said on this line, over what earlier lines of the same run of cycles said.
    fn held(&mut self, cycle: Cycle, words: &mut Words) -> Result<Held, Refusal> {
        let old_z = self.state.cycle.map_or(self.state.at[2].known(), |held| held.old_z);
        // Another cycle begins anew; only the height before the first of them is kept.
        let mut held = match self.state.cycle {
            Some(held) if held.cycle == Some(cycle) => held,
            _ => Held { cycle: Some(cycle), old_z, ..Held::default() },
        };
        let scale = self.state.units.unwrap_or(1.0);
        for (letter, place) in [(b'R', &mut held.r), (b'Z', &mut held.z)] {
            if let Some(word) = words.take(letter) {
                *place = Some(word.value * scale);
            }
        }
        if matches!(cycle, Cycle::Peck | Cycle::Break)
            && let Some(word) = words.take(b'Q')
        {
            if word.value <= 0.0 {
                return self.fail(word.column, "a peck is more than nothing");
            }
            held.q = Some(word.value * scale);
        }
        if cycle == Cycle::Dwell
            && let Some(word) = words.take(b'P')
        {
            if word.value < 0.0 {
                return self.fail(word.column, "a dwell is not negative");
            }
            held.p = Some(word.value * self.setup.dwell_unit);
        }
        Ok(held)
    }

    /// One hole: over it, down to R, down to Z as the cycle says, and out.
    fn hole(&mut self, canned: &CannedCycle, to: Position) {
        let line = self.line;
        if self.state.at[2].known().is_some_and(|z| z < canned.r) {
            self.up_and_down(true, canned.r);
        }
        if to != self.state.at {
            let from = self.state.at;
            let to = [to[0], to[1], from[2]];
            self.state.at = to;
            self.steps.push_back(Step::Move(Move { line, rapid: true, from, to, arc: None, feed: None }));
        }
        if self.state.at[2] != Axis::At(canned.r) {
            self.up_and_down(true, canned.r);
        }
        let mut reached = canned.r;
        while reached - canned.peck > canned.z + 1e-9 {
            reached -= canned.peck;
            self.up_and_down(false, reached);
            if canned.cycle == Cycle::Peck {
                self.up_and_down(true, canned.r);
            }
            self.up_and_down(true, (reached + BACK_OFF).min(canned.r));
        }
        self.up_and_down(false, canned.z);
        if canned.cycle == Cycle::Dwell {
            self.steps.push_back(Step::Dwell { line, seconds: canned.dwell });
        }
        self.up_and_down(true, canned.clear);
    }

    fn up_and_down(&mut self, rapid: bool, z: f64) {
        let from = self.state.at;
        let to = [from[0], from[1], Axis::At(z)];
        let feed = if rapid { None } else { self.state.feed };
        self.state.at = to;
        self.steps.push_back(Step::Move(Move { line: self.line, rapid, from, to, arc: None, feed }));
    }
}
