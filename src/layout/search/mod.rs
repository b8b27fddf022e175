//! The search for guillotine patterns: a goal-driven ruin and recreate.
//!
//! After J. Gardeyn and T. Wauters, "A goal-driven ruin and recreate heuristic for the 2D variable-sized bin packing
//! problem with guillotine constraints", European Journal of Operational Research, 2022. What the sheets may cost is
//! limited to less than the best complete solution's cost; under that limit a few pieces stay out, and the search is for
//! leaving out less; what stays out for long counts for more. When nothing is left out, the limit drops. From time to time
//! the good sheets seen so far are put together anew, and the search goes on from there.
//!
//! It knows rectangles only: a kerf or a gap is in their sizes already, as every piece and every sheet is larger by one.

mod engine;
mod many;
mod pool;
mod random;
mod recreate;
mod tree;
mod waiting;
mod worth;

use crate::layout::Axis;
use crate::watch::Watch;
use engine::Engine;
pub use many::search_many;
pub(in crate::layout) use random::Random;
use rayon::prelude::*;
use std::ops::Range;
use worth::Worth;

/// A kind of piece. Sizes in micrometres.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceKind {
    pub length: i32,
    pub width: i32,
    /// May it lie with its length along the sheet's?
    pub straight: bool,
    /// May it lie with its length across?
    pub turned: bool,
    pub count: u32,
}

/// A size of sheet. Sizes in micrometres.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bin {
    pub length: i32,
    pub width: i32,
    /// Sheets there are; `None` for as many as it takes.
    pub supply: Option<u32>,
    /// What one costs, in any unit; at least 1.
    pub cost: i64,
}

/// What is to be packed in what.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    pub kinds: Vec<PieceKind>,
    pub bins: Vec<Bin>,
    /// Stages of cuts at most, 2 or more: all along one axis, then all along the other, and so on. `None` for no limit.
    pub stages: Option<u32>,
}

/// A sheet as found.
#[derive(Clone, Debug)]
pub struct Filled {
    /// Index into the bins.
    pub bin: usize,
    pub cut: Cut,
}

/// What a rectangle becomes.
#[derive(Clone, Debug, PartialEq)]
pub enum Cut {
    Part {
        kind: usize,
        turned: bool,
    },
    Left,
    /// Side by side along the axis; sizes along it.
    Split(Axis, Vec<(i32, Cut)>),
}

impl Cut {
    /// Stages of cuts that it takes to free every piece.
    pub fn stages(&self) -> u32 {
        match self {
            Cut::Part { .. } | Cut::Left => 0,
            Cut::Split(_, strips) => 1 + strips.iter().map(|(_, cut)| cut.stages()).max().unwrap_or(0),
        }
    }
}

/// What came of a search.
#[derive(Clone, Debug, Default)]
pub struct Found {
    pub sheets: Vec<Filled>,
    pub cost: i64,
    /// Pieces that found no sheet, by kind; empty when all did.
    pub left_out: Vec<usize>,
}

/// What may be tuned.
#[derive(Clone, Debug)]
pub struct Settings {
    /// How long to search: leftovers looked at, which is what takes the time.
    pub looks: u64,
    pub seed: u64,
    /// Steps that late acceptance looks back.
    pub history: usize,
    /// Nodes taken out at most in a step.
    pub ruin: usize,
    /// How often the best place is passed over, in 65,536 times.
    pub skip: u64,
    /// Looks after which the good sheets seen so far are put together anew; 0 for never.
    pub combine: u64,
    /// Steps without gain after which what is out counts for more.
    pub patience: u32,
    /// Told what is found; stops the search when asked to.
    pub watch: Watch,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            looks: 40_000_000,
            seed: 1,
            history: 30,
            ruin: 10,
            skip: 1300,
            combine: 8_000_000,
            patience: 3000,
            watch: Watch::default(),
        }
    }
}

/// Looks that one step of effort stands for.
pub const LOOKS: u64 = 4_500_000;

/// What comes first by each of several seeds, without a search.
pub fn first_tries(problem: &Problem, seeds: Range<u64>) -> Vec<Found> {
    let worth = Worth::for_problem(problem);
    let tries = seeds.into_par_iter().map(|seed| {
        let settings = Settings { looks: 0, seed, ..Settings::default() };
        let mut engine = Engine::new(problem, &settings, worth.clone());
        engine.recreate(i64::MAX);
        engine.found()
    });
    tries.collect()
}

/// Searches for the cheapest sheets that hold all pieces. It stops as soon as they cost no more than `bound`.
///
/// The same problem and settings give the same sheets on every machine, unless the search is stopped.
pub fn search(problem: &Problem, settings: &Settings, bound: i64) -> Found {
    let mut engine = Engine::new(problem, settings, Worth::for_problem(problem));
    engine.recreate(i64::MAX);
    if !engine.complete() {
        // The sheets on hand are too few for the first try.
        engine.improve();
    }
    engine.report();
    let mut best = engine.found();
    while best.left_out.is_empty() && best.cost > bound && engine.time_left() {
        engine.lower(best.cost - 1);
        if engine.improve() {
            engine.report();
            best = engine.found();
        }
    }
    best
}
