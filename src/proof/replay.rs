//! What a program does, step by step, with every move in the sheet's frame.

use super::claim::{Claim, MachineClaim, SheetClaim};
use super::cut::{Cut, Next, Round};
use crate::gcode::read::{Axis, Move, Position, Refusal, Setup, Step, Turns, read};
use crate::geometry::math::{angle_of, tan, unit};
use crate::geometry::{Point, Segment};

/// A program's text and what it is called.
#[derive(Clone, Copy, Debug)]
pub struct Text<'a> {
    pub file: &'a str,
    pub text: &'a str,
    /// The tool that is in the spindle when it starts, where the program does not fetch one.
    pub tool: Option<u32>,
}

/// One thing that a program does.
#[derive(Clone, Debug)]
pub(super) struct Act {
    pub line: usize,
    pub what: What,
}

#[derive(Clone, Debug)]
pub(super) enum What {
    /// A move whose ends are both known: its cuts are these, by index.
    Cuts(std::ops::Range<usize>),
    /// A rapid move from or to a place that the program does not tell.
    Blind {
        from: Position,
        to: Position,
    },
    Spindle {
        turns: Turns,
        speed: Option<f64>,
    },
    /// Another tool is in.
    Change {
        /// While the program waits.
        by_hand: bool,
    },
    Length {
        offset: Option<u32>,
    },
    Dwell {
        seconds: f64,
    },
    /// Round corners the path may be left by this much.
    Path {
        off: f64,
    },
    Pause,
    Assumed {
        code: &'static str,
    },
    End,
}

/// All programs of a sheet, in order.
#[derive(Debug, Default)]
pub(super) struct Replay {
    pub cuts: Vec<Cut>,
    /// Per program.
    pub acts: Vec<Vec<Act>>,
    /// Tools that no claim knows, with program and line.
    pub strangers: Vec<(usize, usize, u32)>,
}

/// Why a program cannot be proved at all.
#[derive(Clone, Debug, PartialEq)]
pub struct Unreadable {
    pub file: String,
    pub refusal: Refusal,
}

impl Replay {
    pub fn new(
        claim: &Claim,
        machine: &MachineClaim,
        sheet: &SheetClaim,
        texts: &[Text],
    ) -> Result<Replay, Unreadable> {
        let mut replay = Replay::default();
        let top = if machine.zero_on_top { 0.0 } else { sheet.thickness };
        let [x, y] = machine.sheet_zero;
        for (program, text) in texts.iter().enumerate() {
            let mut setup = Setup { dwell_unit: machine.dwell_unit, ..Setup::default() };
            // Places come out counted from the sheet's lower-left corner, heights from its upper face.
            setup.origins[0] = Some([x * sheet.length, y * sheet.width, -top]);
            let mut hand = Hand { program, line: 1, tool: None };
            if let Some(number) = text.tool {
                hand.take(claim, number, &mut replay);
            }
            let lines: Vec<&str> = if machine.by_hand { text.text.lines().collect() } else { Vec::new() };
            let mut acts = Vec::new();
            for step in read(text.text, &setup) {
                let step = step.map_err(|refusal| Unreadable { file: text.file.into(), refusal })?;
                if let Step::Pause { line } = step
                    && let Some(tool) = put_in(&lines, line)
                {
                    hand.line = line;
                    hand.take(claim, tool, &mut replay);
                    acts.push(Act { line, what: What::Change { by_hand: true } });
                    continue;
                }
                acts.push(replay.act(claim, &mut hand, step));
            }
            replay.acts.push(acts);
        }
        Ok(replay)
    }

    /// The line on which a program begins to cut with no tool that it told of.
    pub fn bare_handed(&self, program: usize) -> Option<usize> {
        let stranger = self.strangers.iter().any(|(of, ..)| *of == program);
        let first = self.cuts.iter().find(|cut| cut.program == program && !cut.rapid)?;
        (first.tool == usize::MAX && !stranger).then_some(first.line)
    }

    /// Does a program cut with a tool of which nothing is known?
    pub fn untold(&self, program: usize) -> bool {
        self.cuts.iter().any(|cut| cut.program == program && !cut.rapid && cut.tool == usize::MAX)
    }

    fn act(&mut self, claim: &Claim, hand: &mut Hand, step: Step) -> Act {
        let (line, what) = match step {
            Step::Move(motion) => {
                hand.line = motion.line;
                (motion.line, self.motion(hand, &motion))
            }
            Step::Change { line, tool } => {
                hand.line = line;
                hand.take(claim, tool, self);
                (line, What::Change { by_hand: false })
            }
            Step::Spindle { line, turns, speed } => (line, What::Spindle { turns, speed }),
            Step::Length { line, offset } => (line, What::Length { offset }),
            Step::Dwell { line, seconds } => (line, What::Dwell { seconds }),
            Step::Path { line, off } => (line, What::Path { off }),
            Step::Pause { line } => (line, What::Pause),
            Step::Assumed { line, code } => (line, What::Assumed { code }),
            Step::End { line } => (line, What::End),
        };
        Act { line, what }
    }

    fn motion(&mut self, hand: &Hand, motion: &Move) -> What {
        let known = |at: Position| match at {
            [Axis::At(x), Axis::At(y), Axis::At(z)] => Some((Point::new(x, y), z)),
            _ => None,
        };
        let (Some((start, z0)), Some((end, z1))) = (known(motion.from), known(motion.to)) else {
            return What::Blind { from: motion.from, to: motion.to };
        };
        let first = self.cuts.len();
        let (tool, radius, point) = hand.tool.unwrap_or((usize::MAX, 0.0, 0.0));
        let (z0, z1) = (z0 + point, z1 + point);
        let cut = |path: Segment, z0: f64, z1: f64| Cut {
            index: 0,
            program: hand.program,
            line: motion.line,
            radius,
            tool,
            rapid: motion.rapid,
            round: Round::of(&path),
            path,
            z0,
            z1,
            point,
            feed: motion.feed,
            from_before: false,
            into_next: Next::Ends,
        };
        match motion.arc {
            None => self.add(cut(Segment { start, end, bulge: 0.0 }, z0, z1)),
            Some(arc) if arc.sweep.abs() <= std::f64::consts::PI + 1e-9 => {
                self.add(cut(Segment { start, end, bulge: tan(arc.sweep / 4.0) }, z0, z1));
            }
            Some(arc) => {
                let centre = Point::new(arc.centre[0], arc.centre[1]);
                let (arm, half) = (start - centre, arc.sweep / 2.0);
                let middle = centre + unit(angle_of(arm) + half) * arm.hypot();
                let (bulge, z) = (tan(half / 4.0), f64::midpoint(z0, z1));
                self.add(cut(Segment { start, end: middle, bulge }, z0, z));
                self.add(cut(Segment { start: middle, end, bulge }, z, z1));
            }
        }
        What::Cuts(first..self.cuts.len())
    }

    /// Keeps a cut, and notes whether the path goes on smoothly from the one before.
    fn add(&mut self, mut cut: Cut) {
        /// Sine of a bend that is none.
        const BEND: f64 = 0.01;
        /// Of one as chords make it that stand for an arc.
        const CHORDS: f64 = 0.7;
        if let Some(before) = self.cuts.last_mut()
            && before.program == cut.program
            && before.radius == cut.radius
            && before.path.end == cut.path.start
            && before.z1 == cut.z0
            && !before.is_upright()
            && !cut.is_upright()
        {
            let (arriving, leaving) = (before.path.direction(1.0), cut.path.direction(0.0));
            let (sine, ahead) = (arriving.cross(leaving).abs(), arriving.dot(leaving) > 0.0);
            // An arc tighter than the cutter is wide is drawn with its ends.
            let wide = |it: &Cut| it.path.radius() >= it.radius - 1e-6;
            if ahead && sine < BEND && wide(before) && wide(&cut) {
                before.into_next = Next::Smoothly;
                cut.from_before = true;
            } else if ahead && sine < CHORDS && before.round.is_none() && cut.round.is_none() {
                before.into_next = Next::Bent(leaving);
                cut.from_before = true;
            }
        }
        cut.index = self.cuts.len();
        self.cuts.push(cut);
    }
}

/// The tool that whoever stands at the machine is asked to put in before a line: `(put tool 2 in)`.
fn put_in(lines: &[&str], line: usize) -> Option<u32> {
    /// The comment is on the line itself, or this many before it.
    const BEFORE: usize = 3;
    let last = line.min(lines.len());
    lines[last.saturating_sub(BEFORE)..last].iter().rev().find_map(|text| {
        let said = text.split_once(['(', ';'])?.1.to_ascii_lowercase();
        let mut words = said.split(|c: char| !c.is_ascii_alphanumeric()).skip_while(|word| *word != "tool");
        words.nth(1)?.parse().ok()
    })
}

/// The tool in the spindle.
struct Hand {
    program: usize,
    line: usize,
    /// Its place among the claim's tools, its radius, and the length of its centre point.
    tool: Option<(usize, f64, f64)>,
}

impl Hand {
    fn take(&mut self, claim: &Claim, number: u32, replay: &mut Replay) {
        let tools = claim.router.as_ref().map_or(&[][..], |router| &router.tools);
        let place = tools.iter().position(|tool| tool.number == number);
        self.tool = place.map(|place| (place, tools[place].diameter / 2.0, tools[place].point));
        if self.tool.is_none() {
            replay.strangers.push((self.program, self.line, number));
        }
    }
}
