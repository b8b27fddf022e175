//! In which order operations are done: stage by stage, rank by rank, and within these by the shortest way found.

use super::moves::Move;
use super::tour::{Stop, tour};
use super::{Operation, OperationKind};
use crate::geometry::{Affine, Point};

/// An operation that is still to be placed in the order.
#[derive(Clone, Debug)]
pub(super) struct Task {
    pub kind: OperationKind,
    pub about: String,
    /// Tasks of a lower rank go first, whatever the way.
    pub rank: usize,
    /// The ways it can be done, at least one.
    pub ways: Vec<Vec<Move>>,
}

impl Task {
    /// The same, for a piece that lies so on the sheet; nothing is mirrored.
    pub fn moved(&self, by: Affine) -> Task {
        let ways = self.ways.iter().map(|way| way.iter().map(|step| step.moved(by)).collect()).collect();
        Task { ways, about: self.about.clone(), ..*self }
    }
}

/// The tasks as operations: by stage, by rank, and within a rank by the shortest way found. `at` is where the tool is,
/// before and after; `then` is where it goes on to; `rapid` is how fast it goes between them (mm/min).
///
/// A way that cuts longer than another is taken only where it saves as much time on the way there and from it.
pub(super) fn ordered(mut tasks: Vec<Task>, at: &mut Point, then: &[Point], rapid: f64) -> Vec<Operation> {
    let key = |task: &Task| (task.kind.stage(), task.rank);
    tasks.sort_by_key(key);
    let stops: Vec<Stop> = tasks.iter().map(|task| Stop::new(task, rapid)).collect();
    let groups: Vec<usize> = tasks.chunk_by(|a, b| key(a) == key(b)).map(<[Task]>::len).collect();
    let order = tour(&stops, &groups, *at, then);
    let operations = order.into_iter().map(|(stop, way)| {
        let Task { kind, ref about, rank, ref ways } = tasks[stop];
        let moves = ways[way].clone();
        *at = moves.last().map_or(*at, |last| last.end().flat());
        Operation { kind, rank, about: about.clone(), moves, ways: stops[stop].ways.clone(), pause: None }
    });
    operations.collect()
}

impl Stop {
    fn new(task: &Task, rapid: f64) -> Stop {
        let ends = |moves: &Vec<Move>| {
            let first = moves.first().map_or(Point::ORIGIN, |first| first.end().flat());
            (first, moves.last().map_or(first, |last| last.end().flat()))
        };
        let minutes: Vec<f64> = task.ways.iter().map(|way| minutes(way)).collect();
        let least = minutes.iter().copied().fold(f64::INFINITY, f64::min);
        let extra = minutes.iter().map(|it| (it - least) * rapid).collect();
        Stop { ways: task.ways.iter().map(ends).collect(), extra }
    }
}

/// What cutting these moves takes at their feeds.
fn minutes(moves: &[Move]) -> f64 {
    let steps = moves.iter().zip(moves.iter().skip(1));
    let each = steps.map(|(before, step)| match step {
        Move::Line { feed, .. } | Move::Arc { feed, .. } => step.length(before.end()) / feed,
        Move::Rapid(_) | Move::Drill(_) => 0.0,
    });
    each.sum()
}
