//! Straight moves and arcs.

use super::codes::Motion;
use super::reader::{Reader, Words};
use super::{Arc, Axis, Move, Position, Refusal, Step};
use crate::geometry::math::{atan2, hypot};
use std::f64::consts::TAU;

/// Start and end of an arc may differ in their distance from its centre by this (NIST IR 6556: 0.002 mm, or 0.0002 in
/// where inches are used).
fn radius_tolerance(scale: f64) -> f64 {
    if scale == 1.0 { 0.002 } else { 0.0002 * scale }
}

const AXES: [u8; 3] = *b"XYZ";

impl Reader<'_> {
    /// Where X, Y and Z of this line lead.
    pub(super) fn target(&self, words: &mut Words) -> Result<Position, Refusal> {
        let scale = self.state.units.unwrap_or(1.0);
        let origin = self.state.frame.and_then(|frame| self.setup.origins[frame]).unwrap_or_default();
        let mut to = self.state.at;
        for (i, letter) in AXES.into_iter().enumerate() {
            let Some(word) = words.take(letter) else { continue };
            let value = word.value * scale;
            to[i] = match (self.state.absolute, self.state.at[i]) {
                (Some(false), Axis::At(at)) => Axis::At(at + value),
                (Some(false), unknown) if value == 0.0 => unknown,
                (Some(false), _) => {
                    return self.fail(
                        word.column,
                        format!("a distance from a place in {} that the program has not told", char::from(letter)),
                    );
                }
                _ => Axis::At(value + origin[i]),
            };
        }
        Ok(to)
    }

    pub(super) fn straight(&mut self, rapid: bool, words: &mut Words) -> Result<(), Refusal> {
        let column = words.any(&AXES).unwrap_or(1);
        let to = self.target(words)?;
        let from = self.state.at;
        let feed = if rapid {
            None
        } else {
            let length = self.known(from, to, column)?;
            self.move_feed(length, words)?
        };
        self.state.at = to;
        self.steps.push_back(Step::Move(Move { line: self.line, rapid, from, to, arc: None, feed }));
        Ok(())
    }

    /// Length of a straight move whose ends must both be known.
    fn known(&self, from: Position, to: Position, column: usize) -> Result<f64, Refusal> {
        let mut squares = 0.0;
        for i in 0..3 {
            let (Axis::At(a), Axis::At(b)) = (from[i], to[i]) else {
                let axis = char::from(AXES[i]);
                return self.fail(
                    column,
                    format!("the program has not told where the tool is in {axis} when this cut starts"),
                );
            };
            squares += (b - a) * (b - a);
        }
        Ok(squares.sqrt())
    }

    /// The feed of a move of this length; under G93 its F is how many such moves would take a minute.
    fn move_feed(&mut self, length: f64, words: &mut Words) -> Result<Option<f64>, Refusal> {
        if self.state.inverse_time != Some(true) {
            return Ok(self.state.feed);
        }
        match words.take(b'F') {
            Some(word) if word.value > 0.0 => Ok(Some(word.value * length)),
            Some(word) => self.fail(word.column, "a feed is more than nothing"),
            None => self.fail(words.column_of(b'G'), "under G93 every line that cuts has its own F"),
        }
    }

    pub(super) fn arc(&mut self, clockwise: bool, words: &mut Words) -> Result<(), Refusal> {
        let Some(column) = words.any(b"XY") else {
            return self.fail(words.any(b"Z").unwrap_or(1), "an arc wants X or Y, also where it ends where it starts");
        };
        let from = self.state.at;
        let to = self.target(words)?;
        self.known(from, to, column)?;
        let flat = |at: Position| [at[0].known().unwrap_or_default(), at[1].known().unwrap_or_default()];
        let (start, end) = (flat(from), flat(to));
        let centre = match (words.take(b'R'), words.any(b"IJ")) {
            (Some(word), Some(_)) => return self.fail(word.column, "R beside I and J: an arc has either"),
            (Some(word), None) => self.centre_by_radius(start, end, word.value, word.column, clockwise)?,
            (None, Some(_)) => self.centre_by_arms(start, words)?,
            (None, None) => return self.fail(column, "an arc wants I and J, or R"),
        };
        let tolerance = radius_tolerance(self.state.units.unwrap_or(1.0));
        let (at_start, at_end) = (distance(start, centre), distance(end, centre));
        if at_start < tolerance {
            return self.fail(column, "an arc about the place where it starts");
        }
        if (at_start - at_end).abs() > tolerance + 1e-9 {
            let why = format!(
                "the arc starts {at_start:.4} mm from its centre and ends {at_end:.4} mm from it; they may differ by {tolerance:.4}"
            );
            return self.fail(column, why);
        }
        let sweep = swept(start, end, centre, clockwise);
        let (Axis::At(z0), Axis::At(z1)) = (from[2], to[2]) else { return Ok(()) };
        let feed = self.move_feed(hypot(sweep * at_start, z1 - z0), words)?;
        self.state.at = to;
        let arc = Some(Arc { centre, sweep });
        self.steps.push_back(Step::Move(Move { line: self.line, rapid: false, from, to, arc, feed }));
        Ok(())
    }

    /// The centre by I and J: from the start, or, under G90.1, where they say.
    fn centre_by_arms(&self, start: [f64; 2], words: &mut Words) -> Result<[f64; 2], Refusal> {
        let scale = self.state.units.unwrap_or(1.0);
        let column = words.any(b"IJ").unwrap_or(1);
        let arms = [words.take(b'I'), words.take(b'J')];
        if !self.state.absolute_centre {
            let arm = |i: usize| arms[i].map_or(0.0, |word| word.value * scale);
            return Ok([start[0] + arm(0), start[1] + arm(1)]);
        }
        let origin = self.state.frame.and_then(|frame| self.setup.origins[frame]).unwrap_or_default();
        match arms {
            [Some(i), Some(j)] => Ok([i.value * scale + origin[0], j.value * scale + origin[1]]),
            _ => self.fail(column, "under G90.1 an arc wants both I and J"),
        }
    }

    /// The centre by the radius: the shorter arc, or, for a negative radius, the longer.
    fn centre_by_radius(
        &self,
        start: [f64; 2],
        end: [f64; 2],
        radius: f64,
        column: usize,
        clockwise: bool,
    ) -> Result<[f64; 2], Refusal> {
        let scale = self.state.units.unwrap_or(1.0);
        let signed = radius * scale;
        let radius = signed.abs();
        let chord = [end[0] - start[0], end[1] - start[1]];
        let half = distance(start, end) / 2.0;
        if half < 1e-9 {
            return self.fail(column, "an arc by R cannot end where it starts: any centre would do");
        }
        if half > radius + radius_tolerance(scale) {
            return self.fail(column, format!("a radius of {radius:.4} mm cannot reach over {:.4} mm", 2.0 * half));
        }
        let rise = (radius * radius - half * half).max(0.0).sqrt();
        // To the left of the chord for the shorter arc counter-clockwise, and for the longer arc clockwise.
        let side = if (signed > 0.0) == clockwise { -rise } else { rise };
        let middle = [f64::midpoint(start[0], end[0]), f64::midpoint(start[1], end[1])];
        let left = [-chord[1] / (2.0 * half), chord[0] / (2.0 * half)];
        Ok([middle[0] + left[0] * side, middle[1] + left[1] * side])
    }

    /// G53: straight to a place by the machine's own zero, which is not the program's to tell.
    pub(super) fn machine_frame(&mut self, motion: Motion, column: usize, words: &mut Words) -> Result<(), Refusal> {
        self.ready(column)?;
        if motion != Motion::Rapid {
            return self.fail(column, "G53 is read with G0 only: where a cut would go is not in the program");
        }
        let from = self.state.at;
        let mut to = from;
        for (i, letter) in AXES.into_iter().enumerate() {
            if let Some(word) = words.take(letter) {
                if i == 2 && word.value != 0.0 {
                    return self
                        .fail(word.column, "a height by the machine's zero other than Z0, the top of its reach");
                }
                to[i] = Axis::Away;
            }
        }
        self.state.at = to;
        self.steps.push_back(Step::Move(Move { line: self.line, rapid: true, from, to, arc: None, feed: None }));
        Ok(())
    }

    /// G28: to the place that its axes name, if any, and from there to the machine's reference point.
    pub(super) fn reference(&mut self, column: usize, words: &mut Words) -> Result<(), Refusal> {
        let axes: Vec<usize> = (0..3).filter(|i| words.look(AXES[*i]).is_some()).collect();
        if !axes.is_empty() {
            self.ready(column)?;
            self.straight(true, words)?;
        }
        let from = self.state.at;
        let mut to = from;
        for (i, axis) in to.iter_mut().enumerate() {
            // Controllers agree that without axes all of them go; with some, the standard still sends all and others
            // only those, and in both cases the ones named end at the reference point.
            *axis = if axes.is_empty() || axes.contains(&i) { Axis::Away } else { Axis::Unknown };
        }
        self.state.at = to;
        self.steps.push_back(Step::Move(Move { line: self.line, rapid: true, from, to, arc: None, feed: None }));
        Ok(())
    }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    hypot(a[0] - b[0], a[1] - b[1])
}

/// Angle from start to end round the centre; a full turn where they are the same.
fn swept(start: [f64; 2], end: [f64; 2], centre: [f64; 2], clockwise: bool) -> f64 {
    let angle = |at: [f64; 2]| atan2(at[1] - centre[1], at[0] - centre[0]);
    let turn = if clockwise { angle(start) - angle(end) } else { angle(end) - angle(start) };
    let mut turn = turn.rem_euclid(TAU);
    if start == end || turn < 1e-9 {
        turn = TAU;
    }
    if clockwise { -turn } else { turn }
}
