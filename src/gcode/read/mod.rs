//! Reads programs in RS274/NGC, the language of NIST IR 6556, into moves.
//!
//! Anybody's programs: what it does not know, what two controllers would read differently, and what depends on something
//! that is not in the text, it refuses with line and column. Beside the standard it knows G73, G90.1 and G91.1, and
//! comments after a semicolon, which most controllers read alike.
//!
//! Read are G0 to G4, G17, G20, G21, G28, G40, G43, G49, G53, G54 to G59.3, G61, G64 with P, G73, G80 to G83, G90, G91, G90.1, G91.1,
//! G93, G94, G98, G99 and M0 to M9, M30. Lengths come out in millimetres, feeds in millimetres per minute. Time and memory
//! are linear in the text, and [`Setup::most_moves`] bounds what repeats can make of it.
//!
//! ```
//! use nestwright::gcode::read::{Setup, Step, read};
//!
//! let text = "G21 G90 G17\nG0 Z5\nX10 Y0\nM3 S16000\nG1 Z-3 F800\nG2 X20 Y-10 J-10\nM5\nM30\n";
//! let steps: Result<Vec<Step>, _> = read(text, &Setup::default()).collect();
//! let arcs = steps?.iter().filter(|step| matches!(step, Step::Move(m) if m.arc.is_some())).count();
//! assert_eq!(arcs, 1);
//! let refused = read("G21\nG41 D1\n", &Setup::default()).find_map(Result::err);
//! assert_eq!(refused.map(|why| (why.line, why.column)), Some((2, 1)));
//! # Ok::<(), nestwright::gcode::read::Refusal>(())
//! ```

mod block;
mod codes;
mod cycle;
mod motion;
mod reader;
mod state;

pub use reader::{Reader, read};

use std::fmt;

/// What a program leaves to the machine and its operator.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Origins of the work coordinate systems G54 to G59.3, in the frame that positions come out in (mm); `None` for one
    /// that nobody told of.
    pub origins: [Option<[f64; 3]>; 9],
    /// Seconds that a P of 1 stands for.
    pub dwell_unit: f64,
    /// No program may make more moves than this: cycles and repeats make many of a short text.
    pub most_moves: usize,
}

impl Default for Setup {
    /// Positions in G54; the other systems are not known.
    fn default() -> Setup {
        let mut origins = [None; 9];
        origins[0] = Some([0.0; 3]);
        Setup { origins, dwell_unit: 1.0, most_moves: 4_000_000 }
    }
}

/// Where the tool's tip is along one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Axis {
    /// The program has not said yet.
    Unknown,
    /// Somewhere the machine knows and the program does not tell: its reference point (G28), a machine coordinate (G53),
    /// where tools are changed (M6).
    Away,
    /// In millimetres.
    At(f64),
}

impl Axis {
    pub fn known(self) -> Option<f64> {
        match self {
            Axis::At(at) => Some(at),
            Axis::Unknown | Axis::Away => None,
        }
    }
}

/// X, Y and Z of the tool's tip.
pub type Position = [Axis; 3];

/// One thing that a program does.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    Move(Move),
    /// M3, M4, M5, or a new speed.
    Spindle {
        line: usize,
        turns: Turns,
        /// Revolutions per minute; `None` where none was given.
        speed: Option<f64>,
    },
    /// M6: the tool of this number is in the spindle from now on.
    Change {
        line: usize,
        tool: u32,
    },
    /// G43: heights are the tip's of the tool with this number; `None` for G49.
    Length {
        line: usize,
        offset: Option<u32>,
    },
    /// G61 and G64: from here on the path may be left by this much round corners (mm).
    Path {
        line: usize,
        off: f64,
    },
    /// G4, and the dwell at the bottom of G82.
    Dwell {
        line: usize,
        seconds: f64,
    },
    /// M0 and M1: the machine waits for its operator.
    Pause {
        line: usize,
    },
    /// Something was not said before it mattered, and is taken to be as M2 and M30 leave it.
    Assumed {
        line: usize,
        code: &'static str,
    },
    /// M2, M30, or the percent sign at the end.
    End {
        line: usize,
    },
}

/// How the spindle turns, seen from above.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turns {
    #[default]
    Not,
    Clockwise,
    CounterClockwise,
}

/// A move of the tool's tip, straight or round an arc in the plane of X and Y with Z changing evenly.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// From 1.
    pub line: usize,
    pub rapid: bool,
    pub from: Position,
    pub to: Position,
    pub arc: Option<Arc>,
    /// Millimetres per minute; `None` for a rapid move, or where no feed was given.
    pub feed: Option<f64>,
}

/// An arc from one place in the plane to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    pub centre: [f64; 2],
    /// Angle swept (radians), positive counter-clockwise, at most a full turn.
    pub sweep: f64,
}

/// Why a program cannot be read, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// From 1.
    pub line: usize,
    /// In characters, from 1.
    pub column: usize,
    pub why: String,
}

impl Refusal {
    fn new(line: usize, column: usize, why: impl Into<String>) -> Refusal {
        Refusal { line, column, why: why.into() }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "{}:{}: {}", self.line, self.column, self.why)
    }
}

impl std::error::Error for Refusal {}
