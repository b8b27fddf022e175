//! The G and M codes that are read, by the modal group each belongs to.

use super::Refusal;
use super::block::Word;

/// What moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Motion {
    Rapid,
    Straight,
    Arc {
        clockwise: bool,
    },
    Cycle(Cycle),
    /// G80: nothing.
    None,
}

/// A canned cycle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cycle {
    /// G81: down and out.
    Drill,
    /// G82: with a dwell at the bottom.
    Dwell,
    /// G83: out of the hole after each peck.
    Peck,
    /// G73: up a little after each peck.
    Break,
}

/// Codes that work on their own line only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Once {
    Dwell,
    /// G28
    Reference,
    /// G53
    MachineFrame,
}

/// How the path is followed round corners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Path {
    /// G61
    Exact,
    /// G64
    Blend,
}

/// What ends or holds a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    Pause,
    End,
}

/// M3, M4, M5.
pub(super) type Spindle = super::Turns;

/// The codes of one line, at most one of each group.
#[derive(Debug, Default)]
pub(super) struct Codes {
    pub motion: Option<(Motion, usize)>,
    pub once: Option<(Once, usize)>,
    pub plane: bool,
    /// Millimetres in the unit.
    pub units: Option<(f64, usize)>,
    /// G90 is true.
    pub absolute: Option<bool>,
    /// G90.1 is true.
    pub absolute_centre: Option<bool>,
    /// G93 is true.
    pub inverse_time: Option<bool>,
    /// G40
    pub no_width: bool,
    /// G43 is true.
    pub length: Option<(bool, usize)>,
    /// G61 is `Exact`.
    pub path: Option<(Path, usize)>,
    /// G54 is 0.
    pub frame: Option<(usize, usize)>,
    /// G99 is true.
    pub to_r: Option<bool>,
    pub spindle: Option<Spindle>,
    pub change: Option<usize>,
    pub coolant: bool,
    pub stop: Option<Stop>,
}

impl Codes {
    /// Sorts the G and M words of a line into their groups.
    ///
    /// # Errors
    /// A code that is not read, or two of one group.
    pub fn sort(words: &[Word], line: usize) -> Result<Codes, Refusal> {
        let mut codes = Codes::default();
        for word in words {
            let fresh = match word.letter {
                b'G' => codes.take_g(word, line)?,
                b'M' => codes.take_m(word, line)?,
                _ => true,
            };
            if !fresh {
                let why = format!("{} and another code of its group on one line", name(word));
                return Err(Refusal::new(line, word.column, why));
            }
        }
        Ok(codes)
    }

    /// Takes one G word in; false when its group was taken.
    fn take_g(&mut self, word: &Word, line: usize) -> Result<bool, Refusal> {
        let tenths = (word.value * 10.0).round();
        if (word.value * 10.0 - tenths).abs() > 1e-3 || !(0.0..=1000.0).contains(&tenths) {
            return Err(Refusal::new(line, word.column, format!("{} is no code", name(word))));
        }
        let at = word.column;
        Ok(match tenths as u32 {
            0 => put(&mut self.motion, (Motion::Rapid, at)),
            10 => put(&mut self.motion, (Motion::Straight, at)),
            20 => put(&mut self.motion, (Motion::Arc { clockwise: true }, at)),
            30 => put(&mut self.motion, (Motion::Arc { clockwise: false }, at)),
            40 => put(&mut self.once, (Once::Dwell, at)),
            170 => set(&mut self.plane),
            200 => put(&mut self.units, (crate::units::INCH, at)),
            210 => put(&mut self.units, (1.0, at)),
            280 => put(&mut self.once, (Once::Reference, at)),
            400 => set(&mut self.no_width),
            430 => put(&mut self.length, (true, at)),
            490 => put(&mut self.length, (false, at)),
            530 => put(&mut self.once, (Once::MachineFrame, at)),
            540 | 550 | 560 | 570 | 580 | 590 => put(&mut self.frame, ((tenths as usize - 540) / 10, at)),
            591..=593 => put(&mut self.frame, (tenths as usize - 585, at)),
            610 => put(&mut self.path, (Path::Exact, at)),
            640 => put(&mut self.path, (Path::Blend, at)),
            730 => put(&mut self.motion, (Motion::Cycle(Cycle::Break), at)),
            800 => put(&mut self.motion, (Motion::None, at)),
            810 => put(&mut self.motion, (Motion::Cycle(Cycle::Drill), at)),
            820 => put(&mut self.motion, (Motion::Cycle(Cycle::Dwell), at)),
            830 => put(&mut self.motion, (Motion::Cycle(Cycle::Peck), at)),
            900 => put(&mut self.absolute, true),
            910 => put(&mut self.absolute, false),
            901 => put(&mut self.absolute_centre, true),
            911 => put(&mut self.absolute_centre, false),
            930 => put(&mut self.inverse_time, true),
            940 => put(&mut self.inverse_time, false),
            980 => put(&mut self.to_r, false),
            990 => put(&mut self.to_r, true),
            _ => return Err(Refusal::new(line, at, not_read_g(word, tenths as u32))),
        })
    }

    fn take_m(&mut self, word: &Word, line: usize) -> Result<bool, Refusal> {
        use super::Turns;
        Ok(match word.whole() {
            Some(0 | 1) => put(&mut self.stop, Stop::Pause),
            Some(2 | 30) => put(&mut self.stop, Stop::End),
            Some(3) => put(&mut self.spindle, Turns::Clockwise),
            Some(4) => put(&mut self.spindle, Turns::CounterClockwise),
            Some(5) => put(&mut self.spindle, Turns::Not),
            Some(6) => put(&mut self.change, word.column),
            Some(7..=9) => set(&mut self.coolant),
            _ => return Err(Refusal::new(line, word.column, format!("{} is not read here", name(word)))),
        })
    }
}

/// Fills an empty place; false when it was taken.
fn put<T>(place: &mut Option<T>, value: T) -> bool {
    let fresh = place.is_none();
    *place = Some(value);
    fresh
}

fn set(place: &mut bool) -> bool {
    !std::mem::replace(place, true)
}

fn name(word: &Word) -> String {
    format!("{}{}", char::from(word.letter), word.value)
}

/// Why a G code is not read, where more can be said than that.
fn not_read_g(word: &Word, tenths: u32) -> String {
    let name = name(word);
    let more = match tenths {
        180 | 190 => "arcs are read in the plane of X and Y (G17) only",
        410 | 420 => "it leaves the cutter's width to the controller, and so the path out of the program",
        611 => "it stops after every move: say G61, or G64 with a P",
        100 | 520 | 920..=923 => "it moves the zero point while the program runs",
        380..=385 => "it stops at whatever it touches, so the path is not in the program",
        _ => "it is not one of those that every controller reads alike",
    };
    format!("{name} is not read here: {more}")
}
