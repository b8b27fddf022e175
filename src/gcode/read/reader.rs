//! Line after line into steps.

use super::block::{self, Line, Word};
use super::codes::{Codes, Motion, Once, Path, Stop};
use super::state::{Held, State};
use super::{Axis, Refusal, Setup, Step};
use std::collections::VecDeque;

/// Reads a program; see [`Reader`].
pub fn read<'a>(text: &'a str, setup: &'a Setup) -> Reader<'a> {
    Reader {
        setup,
        rest: Some(text),
        line: 0,
        state: State::new(),
        steps: VecDeque::new(),
        moves: 0,
        began: false,
        percents: false,
        numbered: false,
        moved_on: false,
        ended: false,
    }
}

/// The steps of a program, in order; the last item is [`Step::End`] or the first refusal.
#[derive(Debug)]
pub struct Reader<'a> {
    pub(super) setup: &'a Setup,
    /// What has not been read.
    rest: Option<&'a str>,
    pub(super) line: usize,
    pub(super) state: State,
    pub(super) steps: VecDeque<Step>,
    moves: usize,
    /// A line that is not blank has been seen.
    began: bool,
    /// The program stands between percent signs.
    percents: bool,
    /// It has told its number.
    numbered: bool,
    /// A line that does something has been seen.
    moved_on: bool,
    ended: bool,
}

impl Iterator for Reader<'_> {
    type Item = Result<Step, Refusal>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some(step) = self.steps.pop_front() {
                return Some(self.counted(step));
            }
            if self.ended {
                return None;
            }
            if let Err(refusal) = self.read_line() {
                self.ended = true;
                // What the line did before its mistake never happens.
                self.steps.clear();
                return Some(Err(refusal));
            }
        }
    }
}

impl Reader<'_> {
    fn counted(&mut self, step: Step) -> Result<Step, Refusal> {
        if let Step::Move(motion) = &step {
            self.moves += 1;
            if self.moves > self.setup.most_moves {
                self.ended = true;
                let line = motion.line;
                self.steps.clear();
                return Err(Refusal::new(line, 1, format!("more than {} moves", self.setup.most_moves)));
            }
        }
        Ok(step)
    }

    fn read_line(&mut self) -> Result<(), Refusal> {
        let Some(rest) = self.rest else {
            self.line += 1;
            let missing = if self.percents { "the percent sign that ends it" } else { "M2 or M30" };
            return Err(Refusal::new(self.line, 1, format!("the program stops without {missing}: is it whole?")));
        };
        let (text, rest) = match rest.split_once('\n') {
            Some((text, rest)) => (text, Some(rest)),
            None => (rest, None),
        };
        self.rest = rest.filter(|rest| !rest.is_empty());
        self.line += 1;
        match block::read(text.strip_suffix('\r').unwrap_or(text), self.line)? {
            Line::Percent if !self.began => (self.began, self.percents) = (true, true),
            Line::Percent if self.percents => self.end(),
            Line::Percent => {
                return Err(Refusal::new(self.line, 1, "a percent sign ends a program only where one starts it"));
            }
            Line::Number if !self.numbered && !self.moved_on => (self.began, self.numbered) = (true, true),
            Line::Number => {
                return Err(Refusal::new(self.line, 1, "a program's number stands once, before all that it does"));
            }
            Line::Words(words) => {
                self.moved_on |= !words.is_empty();
                self.began |= !text.trim().is_empty();
                if !words.is_empty() {
                    self.block(&words)?;
                }
            }
        }
        Ok(())
    }

    fn end(&mut self) {
        self.ended = true;
        self.steps.push_back(Step::End { line: self.line });
    }

    pub(super) fn fail<T>(&self, column: usize, why: impl Into<String>) -> Result<T, Refusal> {
        Err(Refusal::new(self.line, column, why))
    }

    /// Does what a line says, in the standard's order.
    fn block(&mut self, words: &[Word]) -> Result<(), Refusal> {
        let codes = Codes::sort(words, self.line)?;
        let mut words = Words::gather(words, self.line)?;
        self.feed(&codes, &mut words)?;
        self.spindle_and_tool(&codes, &mut words)?;
        if codes.once.is_some_and(|(once, _)| once == Once::Dwell) {
            self.dwell(&mut words)?;
        }
        self.settings(&codes, &mut words)?;
        self.motions(&codes, &mut words)?;
        match codes.stop {
            Some(Stop::Pause) => self.steps.push_back(Step::Pause { line: self.line }),
            Some(Stop::End) => self.end(),
            None => {}
        }
        words.all_used()
    }

    /// G93 and G94, and F.
    fn feed(&mut self, codes: &Codes, words: &mut Words) -> Result<(), Refusal> {
        if let Some(inverse) = codes.inverse_time {
            if self.state.inverse_time.is_some_and(|was| was != inverse) {
                self.state.feed = None;
            }
            self.state.inverse_time = Some(inverse);
        }
        if self.state.inverse_time == Some(true) {
            // Belongs to this line's move, which takes it.
            return Ok(());
        }
        let Some(word) = words.take(b'F') else { return Ok(()) };
        if word.value < 0.0 {
            return self.fail(word.column, "a feed is not negative");
        }
        let scale = match (self.state.units, codes.units) {
            (Some(scale), None) => scale,
            (Some(scale), Some((same, _))) if same == scale => scale,
            (None, None) => return self.no_units(word.column),
            // The standard takes F before the units on its line; other controllers take the units first.
            _ => return self.fail(word.column, "a feed on the line that says its units: give it on the next line"),
        };
        self.state.feed = (word.value > 0.0).then_some(word.value * scale);
        Ok(())
    }

    pub(super) fn no_units<T>(&self, column: usize) -> Result<T, Refusal> {
        self.fail(column, "a length before G20 or G21 says whether it is inches or millimetres")
    }

    /// S, T, M6, then M3 to M5, in this order.
    fn spindle_and_tool(&mut self, codes: &Codes, words: &mut Words) -> Result<(), Refusal> {
        let line = self.line;
        let before = (self.state.turns, self.state.speed);
        if let Some(word) = words.take(b'S') {
            if word.value < 0.0 {
                return self.fail(word.column, "a spindle's speed is not negative");
            }
            self.state.speed = Some(word.value);
        }
        if let Some(word) = words.take(b'T') {
            match word.whole() {
                Some(tool) => self.state.chosen = Some(tool),
                None => return self.fail(word.column, "a tool has a whole number"),
            }
        }
        if let Some(column) = codes.change {
            let Some(tool) = self.state.chosen else { return self.fail(column, "M6 before T says which tool") };
            self.steps.push_back(Step::Change { line, tool });
            self.state.at = [Axis::Away; 3];
            self.state.cycle = None;
        }
        if let Some(turns) = codes.spindle {
            self.state.turns = turns;
        }
        if codes.spindle.is_some() || before != (self.state.turns, self.state.speed) {
            self.steps.push_back(Step::Spindle { line, turns: self.state.turns, speed: self.state.speed });
        }
        Ok(())
    }

    fn dwell(&mut self, words: &mut Words) -> Result<(), Refusal> {
        let line = self.line;
        match words.take(b'P') {
            Some(word) if word.value >= 0.0 => {
                self.steps.push_back(Step::Dwell { line, seconds: word.value * self.setup.dwell_unit });
                Ok(())
            }
            Some(word) => self.fail(word.column, "a dwell is not negative"),
            None => self.fail(words.column_of(b'G'), "G4 wants P, in seconds"),
        }
    }

    /// Units, offsets, systems and the rest that holds until it is changed.
    fn settings(&mut self, codes: &Codes, words: &mut Words) -> Result<(), Refusal> {
        let state = &mut self.state;
        state.plane |= codes.plane;
        state.no_width |= codes.no_width;
        if let Some((scale, _)) = codes.units {
            if state.units.is_some_and(|was| was != scale) {
                // Nobody agrees on what becomes of a feed, or of what a cycle repeats.
                state.feed = None;
                state.cycle = state.cycle.map(|held| Held { old_z: held.old_z, ..Held::default() });
            }
            state.units = Some(scale);
        }
        if let Some((frame, column)) = codes.frame {
            state.frame = Some(frame);
            if self.setup.origins[frame].is_none() {
                return self.fail(column, "the origin of this system is not in the program: cut in G54");
            }
        }
        let state = &mut self.state;
        if let Some(absolute) = codes.absolute {
            if state.absolute != Some(absolute) {
                state.cycle = state.cycle.map(|held| Held { old_z: held.old_z, ..Held::default() });
            }
            state.absolute = Some(absolute);
        }
        if let Some(absolute) = codes.absolute_centre {
            state.absolute_centre = absolute;
        }
        if let Some(to_r) = codes.to_r {
            state.to_r = to_r;
        }
        if let Some((on, column)) = codes.length {
            self.length(on, column, words)?;
        }
        if let Some((path, column)) = codes.path {
            self.path(path, column, codes, words)?;
        }
        Ok(())
    }

    /// G61, and G64 P.
    fn path(&mut self, path: Path, column: usize, codes: &Codes, words: &mut Words) -> Result<(), Refusal> {
        let line = self.line;
        let off = match path {
            Path::Exact => 0.0,
            Path::Blend if codes.once.is_some_and(|(once, _)| once == Once::Dwell) => {
                return self.fail(column, "P on this line is for G4: give G64 a line of its own");
            }
            Path::Blend => match words.take(b'P') {
                None => {
                    let why = "without P it lets the controller round corners off as far as it likes, so the path is not in \
                               the program";
                    return self.fail(column, why);
                }
                Some(word) if word.value < 0.0 => return self.fail(word.column, "a distance is not negative"),
                Some(word) => match self.state.units {
                    Some(scale) => word.value * scale,
                    None => return self.no_units(word.column),
                },
            },
        };
        self.steps.push_back(Step::Path { line, off });
        Ok(())
    }

    /// G43 H and G49. From then on a height means another place, so where the tool is must be said anew.
    fn length(&mut self, on: bool, column: usize, words: &mut Words) -> Result<(), Refusal> {
        let offset = match (on, words.take(b'H')) {
            (false, None) => None,
            (false, Some(word)) => return self.fail(word.column, "H has nothing to do with G49"),
            (true, None) => return self.fail(column, "G43 wants H, the number of the tool whose length counts"),
            (true, Some(word)) => match word.whole() {
                Some(number) => Some(number),
                None => return self.fail(word.column, "a length offset has a whole number"),
            },
        };
        if self.state.length != Some(offset) {
            let same = self.state.length.is_none() && offset.is_none();
            if !same && self.state.at[2] != Axis::Away {
                self.state.at[2] = Axis::Unknown;
            }
            self.state.length = Some(offset);
            self.steps.push_back(Step::Length { line: self.line, offset });
        }
        Ok(())
    }

    /// G28, or whatever moves.
    fn motions(&mut self, codes: &Codes, words: &mut Words) -> Result<(), Refusal> {
        let has_axes = words.any(b"XYZ").is_some();
        if let Some((Once::Reference, column)) = codes.once {
            if let Some((_, column)) = codes.motion {
                return self.fail(column, "a motion code beside G28");
            }
            return self.reference(column, words);
        }
        let machine = codes.once.is_some_and(|(once, _)| once == Once::MachineFrame);
        if let Some((motion, column)) = codes.motion {
            if !matches!(motion, Motion::Cycle(_)) {
                self.state.cycle = None;
            }
            self.state.motion = Some(motion);
            let may_stand_alone = matches!(motion, Motion::None | Motion::Rapid | Motion::Straight);
            if !has_axes && !may_stand_alone {
                return self.fail(column, "this code moves along X, Y or Z, and none of them is given");
            }
        }
        let Some(column) = words.any(b"XYZ") else {
            return match codes.once {
                Some((Once::MachineFrame, column)) => self.fail(column, "G53 without X, Y or Z"),
                _ => Ok(()),
            };
        };
        if codes.once.is_some_and(|(once, _)| once == Once::Dwell) {
            return self.fail(column, "a move on the line of G4");
        }
        let Some(motion) = self.state.motion.filter(|motion| *motion != Motion::None) else {
            return self.fail(column, "no code is in force that moves: G0, G1, G2, G3 or a cycle");
        };
        if machine {
            return self.machine_frame(motion, column, words);
        }
        self.ready(column)?;
        match motion {
            Motion::Rapid | Motion::Straight => self.straight(motion == Motion::Rapid, words),
            Motion::Arc { clockwise } => self.arc(clockwise, words),
            Motion::Cycle(cycle) => self.cycle(cycle, words),
            Motion::None => Ok(()),
        }
    }

    /// Units and the meaning of coordinates must have been said before the first move; the rest may be left as M2 and
    /// M30 leave it by the standard.
    pub(super) fn ready(&mut self, column: usize) -> Result<(), Refusal> {
        if self.state.units.is_none() {
            return self.no_units(column);
        }
        if self.state.absolute.is_none() {
            return self.fail(column, "a move before G90 or G91 says what its coordinates mean");
        }
        let line = self.line;
        let state = &mut self.state;
        let mut assume = |unsaid: bool, code: &'static str| {
            if unsaid {
                self.steps.push_back(Step::Assumed { line, code });
            }
        };
        assume(!state.plane, "G17");
        assume(!state.no_width, "G40");
        assume(state.length.is_none(), "G49");
        assume(state.frame.is_none(), "G54");
        assume(state.inverse_time.is_none(), "G94");
        (state.plane, state.no_width) = (true, true);
        state.length.get_or_insert(None);
        state.frame.get_or_insert(0);
        state.inverse_time.get_or_insert(false);
        Ok(())
    }
}

/// The words of a line but G, M and N, each letter at most once.
pub(super) struct Words<'a> {
    by_letter: [Option<Word>; 26],
    all: &'a [Word],
    line: usize,
}

impl<'a> Words<'a> {
    fn gather(all: &'a [Word], line: usize) -> Result<Words<'a>, Refusal> {
        let mut by_letter = [None; 26];
        for word in all.iter().filter(|word| !matches!(word.letter, b'G' | b'M')) {
            let place: &mut Option<Word> = &mut by_letter[usize::from(word.letter - b'A')];
            if place.is_some() {
                let why = format!("{} is on this line already", char::from(word.letter));
                return Err(Refusal::new(line, word.column, why));
            }
            *place = Some(*word);
        }
        Ok(Words { by_letter, all, line })
    }

    pub fn take(&mut self, letter: u8) -> Option<Word> {
        self.by_letter[usize::from(letter - b'A')].take()
    }

    pub fn look(&self, letter: u8) -> Option<&Word> {
        self.by_letter[usize::from(letter - b'A')].as_ref()
    }

    /// Column of the first word on the line with one of these letters that has not been taken.
    pub fn any(&self, letters: &[u8]) -> Option<usize> {
        letters.iter().filter_map(|letter| self.look(*letter)).map(|word| word.column).min()
    }

    pub fn column_of(&self, letter: u8) -> usize {
        self.all.iter().find(|word| word.letter == letter).map_or(1, |word| word.column)
    }

    fn all_used(&self) -> Result<(), Refusal> {
        match self.by_letter.iter().flatten().min_by_key(|word| word.column) {
            None => Ok(()),
            Some(word) => {
                let letter = char::from(word.letter);
                Err(Refusal::new(self.line, word.column, format!("{letter} has nothing to say on this line")))
            }
        }
    }
}
