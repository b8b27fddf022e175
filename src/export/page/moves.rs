//! The moves of a program, as our own reader makes them of its text: packed into one list of numbers for the page's script,
//! which plays them back.

use crate::gcode::read::{Move, Position, Setup, Step, read};
use serde::Serialize;
use serde_json::{Number, Value};

/// Places are told in ten-thousandths of a millimetre, each by how far it is from the last one.
const FINE: f64 = 1e4;

/// What a program does, packed.
#[derive(Default, Serialize)]
pub(super) struct Moves {
    /// A kind, and behind it what that kind takes: see [`Kind`].
    packed: Vec<Value>,
    /// Comments: line (from 0), text, and the move that comes next.
    heads: Vec<(usize, String, usize)>,
    #[serde(skip)]
    count: usize,
    #[serde(skip)]
    line: usize,
    #[serde(skip)]
    at: [Option<i64>; 3],
    #[serde(skip)]
    feed: Option<f64>,
}

/// What stands in the list; lines are told by how many further on they are, an unknown place as `null`.
#[derive(Clone, Copy)]
enum Kind {
    /// Line, X, Y, Z.
    Rapid = 0,
    /// The same.
    Cut = 1,
    /// The same, the centre in X and Y from where it starts, and the angle swept.
    Arc = 2,
    /// Millimetres per minute, from here on.
    Feed = 3,
    /// Line and tool.
    Change = 4,
    /// Line and seconds.
    Wait = 5,
    /// Line.
    Stop = 6,
    /// A tool that a person puts in, from here on.
    ByHand = 7,
    /// An axis (0, 1, 2) that the machine itself moved meanwhile: no program tells where to, and the next place is told anew.
    Lost = 8,
}

impl Moves {
    /// Of a program that has been proved; `dwell_unit` is how many seconds a P of 1 stands for, `zero` where on the sheet its
    /// X and Y are zero (mm).
    pub fn of(text: &str, dwell_unit: f64, [x, y]: [f64; 2]) -> Moves {
        let mut setup = Setup { dwell_unit, ..Setup::default() };
        setup.origins[0] = Some([x, y, 0.0]);
        let mut moves = Moves::default();
        let mut comments = comments(text).peekable();
        for step in read(text, &setup).map_while(Result::ok) {
            let line = match &step {
                Step::Move(it) => it.line,
                Step::Change { line, .. } | Step::Dwell { line, .. } | Step::Pause { line } => *line,
                Step::Spindle { .. }
                | Step::Length { .. }
                | Step::Path { .. }
                | Step::Assumed { .. }
                | Step::End { .. } => continue,
            };
            while let Some((at, comment)) = comments.next_if(|(at, _)| *at < line) {
                moves.head(at, comment);
            }
            match step {
                Step::Move(it) => moves.go(&it),
                Step::Change { tool, .. } => moves.begin(Kind::Change, line, &[tool.into()]),
                Step::Dwell { seconds, .. } => moves.begin(Kind::Wait, line, &[float(seconds)]),
                _ => moves.begin(Kind::Stop, line, &[]),
            }
        }
        moves
    }

    /// A comment. Where a person changes the tool, only the comment for that person says which it is.
    fn head(&mut self, line: usize, comment: &str) {
        let by_hand = comment.strip_prefix("tool ").and_then(|rest| rest.split_once(':')?.0.parse::<u32>().ok());
        if let Some(tool) = by_hand {
            self.packed.extend([(Kind::ByHand as u8).into(), tool.into()]);
        }
        self.heads.push((line, comment.into(), self.count));
    }

    fn begin(&mut self, kind: Kind, line: usize, more: &[Value]) {
        self.packed.extend([(kind as u8).into(), (line - 1 - self.line).into()]);
        self.packed.extend_from_slice(more);
        self.line = line - 1;
        self.count += 1;
    }

    fn go(&mut self, it: &Move) {
        if let Some(feed) = it.feed.filter(|feed| self.feed != Some(*feed)) {
            self.packed.extend([(Kind::Feed as u8).into(), float(feed)]);
            self.feed = Some(feed);
        }
        let kind = match (&it.arc, it.rapid) {
            (Some(_), _) => Kind::Arc,
            (None, true) => Kind::Rapid,
            (None, false) => Kind::Cut,
        };
        let (from, to) = (fine(it.from), fine(it.to));
        for axis in (0..3usize).filter(|axis| from[*axis].is_none()) {
            if self.at[axis].take().is_some() {
                self.packed.extend([(Kind::Lost as u8).into(), axis.into()]);
            }
        }
        let step = |axis: usize| to[axis].map_or(Value::Null, |to| (to - self.at[axis].unwrap_or(0)).into());
        let mut more = vec![step(0), step(1), step(2)];
        if let Some(arc) = &it.arc {
            let start = [0, 1].map(|axis| it.from[axis].known().unwrap_or_default());
            let away = [0, 1].map(|axis| ((arc.centre[axis] - start[axis]) * FINE).round() as i64);
            more.extend([away[0].into(), away[1].into(), float((arc.sweep * 1e8).round() / 1e8)]);
        }
        self.begin(kind, it.line, &more);
        self.at = to;
    }
}

fn fine(place: Position) -> [Option<i64>; 3] {
    place.map(|axis| axis.known().map(|mm| (mm * FINE).round() as i64))
}

/// A whole number without its point.
fn float(value: f64) -> Value {
    if value.fract() == 0.0 && value.abs() < 1e9 {
        return (value as i64).into();
    }
    Number::from_f64(value).map_or(Value::Null, Value::Number)
}

/// The comments of a program, with their lines (from 0).
fn comments(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .flat_map(|(line, text)| text.split('(').skip(1).filter_map(move |rest| Some((line, rest.split_once(')')?.0))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// Lines, tools that a person puts in, pecks, arcs and dwells, in a program as short as can be.
    #[test]
    fn a_program_is_packed_move_by_move() {
        let text = "(tool 2: a drill)\nG21 G90 G17\nG0 X10 Y0 Z5\nG1 Z-3 F600\nG3 X0 Y10 I-10 J0\nM5\n(tool 1: a mill)\nM0\n\
                    G4 P2.5\nM30\n";
        let moves = Moves::of(text, 1.0, [0.0; 2]);
        let quarter = (std::f64::consts::FRAC_PI_2 * 1e8).round() / 1e8;
        let expected = json!([
            7, 2, 0, 2, 100000, 0, 50000, 3, 600, 1, 1, 0, 0, -80000, 2, 1, -100000, 100000, 0, -100000, 0, quarter, 7,
            1, 6, 3, 5, 1, 2.5
        ]);
        assert_eq!(Value::Array(moves.packed), expected);
        assert_eq!(moves.heads, [(0, "tool 2: a drill".to_string(), 0), (6, "tool 1: a mill".into(), 3)]);
    }
}
