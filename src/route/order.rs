//! In which order operations are done: stage by stage, and within a stage by the shortest tour found in
//! which nothing comes before what must be done first.

use super::moves::Move;
use super::tour::{Stop, tour};
use super::{Operation, OperationKind, Variant};
use crate::design::Part;
use crate::geometry::{Affine, Point, Rect};
use crate::layout::{Sheet, holders};

/// An operation that is still to be placed in the order.
#[derive(Clone, Debug)]
pub(super) struct Task {
    pub kind: OperationKind,
    pub about: String,
    /// Of tasks of one piece, and of pieces beside each other, those of a lower rank go first.
    pub rank: usize,
    /// The piece that it is done to, by its placement; `None` for what is done to the sheet.
    pub piece: Option<usize>,
    /// Variants of the moves that do it, at least one.
    pub variants: Vec<Vec<Move>>,
}

impl Task {
    /// The same task for a piece placed like this on the sheet; nothing is mirrored.
    pub fn moved(&self, by: Affine, piece: usize) -> Task {
        let variants =
            self.variants.iter().map(|variant| variant.iter().map(|step| step.moved(by)).collect()).collect();
        Task { variants, piece: Some(piece), about: self.about.clone(), ..*self }
    }

    /// Must it be done before another of its stage that is done to the same piece, or to one beside it?
    ///
    /// What is cut inside of a piece is cut as long as the wood around it is whole: before its own outline and before
    /// those of the pieces beside it. So is a piece that lies in an opening, before that is cut around. Small pieces are
    /// cut out before larger ones beside them, which hold what is around them. How far apart pieces are cut on the sheet's
    /// other side is nothing to either.
    fn goes_before(&self, other: &Task, neighbours: &Neighbours) -> bool {
        let (own, theirs) = (neighbours.layer(self), neighbours.layer(other));
        let ranked = matches!(own, Layer::InOpening | Layer::Outline) || self.piece == other.piece;
        own < theirs || (own == theirs && ranked && self.rank < other.rank)
    }
}

/// From what lies innermost to what holds all the rest.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Layer {
    /// Recesses, holes, and openings in which nothing lies.
    Feature,
    /// Outlines of pieces that lie in openings.
    InOpening,
    /// Openings in which a piece lies, or others of the same part.
    Opening,
    Outline,
}

/// What a piece's neighbours are to the order.
#[derive(Debug, Default)]
pub(super) struct Neighbours {
    /// For each piece itself and those beside it.
    beside: Vec<Vec<usize>>,
    /// Does it lie in an opening of another; do others lie in its own?
    in_opening: Vec<bool>,
    holds: Vec<bool>,
}

impl Neighbours {
    /// Beside each other are pieces nearer than this (mm), so that the slots around both leave no wood between them that
    /// would hold anything.
    pub fn of(sheet: &Sheet, parts: &[Part], near: f64) -> Neighbours {
        let holders = holders(&sheet.placements, parts);
        let mut holds = vec![false; sheet.placements.len()];
        holders.iter().flatten().for_each(|it| holds[it.holder] = true);
        let in_opening = holders.iter().map(Option::is_some).collect();
        Neighbours { beside: beside(sheet, parts, near), in_opening, holds }
    }

    fn layer(&self, task: &Task) -> Layer {
        let is = |these: &[bool]| task.piece.and_then(|piece| these.get(piece)).is_some_and(|it| *it);
        match task.kind {
            OperationKind::Outline | OperationKind::Skin if is(&self.in_opening) => Layer::InOpening,
            OperationKind::Outline | OperationKind::Skin => Layer::Outline,
            OperationKind::Cutout if is(&self.holds) => Layer::Opening,
            _ => Layer::Feature,
        }
    }
}

fn beside(sheet: &Sheet, parts: &[Part], near: f64) -> Vec<Vec<usize>> {
    let pieces: Vec<Rect> = sheet.placements.iter().map(|placement| placement.bounds(&parts[placement.part])).collect();
    let meet = |a: &Rect, b: &Rect| a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
    let of = |piece: &Rect| {
        let wide = piece.inflate(near, near);
        (0..pieces.len()).filter(|other| meet(&wide, &pieces[*other])).collect()
    };
    pieces.iter().map(of).collect()
}

/// The tasks as operations: by stage, and within a stage by the shortest tour found. `neighbours` tells of each piece
/// which others lie beside it or in it; `at` is where the tool is, before and after; `then` is where it goes on to;
/// `rapid` is how fast it goes between them (mm/min).
///
/// A variant that cuts longer than another is taken only where it saves as much time before and after it.
pub(super) fn ordered(
    mut tasks: Vec<Task>,
    neighbours: &Neighbours,
    at: &mut Point,
    then: &[Point],
    rapid: f64,
) -> Vec<Operation> {
    let stage = |task: &Task| task.kind.stage();
    let level = |task: &Task| (stage(task), neighbours.layer(task), task.rank);
    tasks.sort_by_key(level);
    let mut stops: Vec<Stop> = tasks.iter().map(|task| Stop::new(task, rapid)).collect();
    let mut of_piece: Vec<Vec<usize>> = vec![Vec::new(); neighbours.beside.len()];
    for (i, task) in tasks.iter().enumerate() {
        if let Some(own) = task.piece.and_then(|piece| of_piece.get_mut(piece)) {
            own.push(i);
        }
    }
    for (piece, others) in neighbours.beside.iter().enumerate() {
        for &i in &of_piece[piece] {
            let near = others.iter().flat_map(|other| &of_piece[*other]).copied();
            let later =
                near.filter(|j| stage(&tasks[i]) == stage(&tasks[*j]) && tasks[i].goes_before(&tasks[*j], neighbours));
            for j in later.collect::<Vec<usize>>() {
                stops[i].before.push(j);
                stops[j].after.push(i);
            }
        }
    }
    // Level by level nothing is ever done too early: an order to begin with.
    let levels: Vec<usize> = tasks.chunk_by(|a, b| level(a) == level(b)).map(<[Task]>::len).collect();
    let mut count = 0;
    for (i, many) in levels.iter().enumerate() {
        stops[count..count + many].iter_mut().for_each(|stop| stop.level = i);
        count += many;
    }
    let groups: Vec<usize> = tasks.chunk_by(|a, b| stage(a) == stage(b)).map(<[Task]>::len).collect();
    let order = tour(&stops, &groups, *at, then);
    let mut places = vec![0; stops.len()];
    order.iter().enumerate().for_each(|(place, (stop, _))| places[*stop] = place);
    let operations = order.into_iter().map(|(stop, variant)| {
        let after = stops[stop].after.iter().map(|earlier| places[stop] - places[*earlier]).collect();
        let Task { kind, ref about, piece, ref variants, .. } = tasks[stop];
        let moves = variants[variant].clone();
        *at = moves.last().map_or(*at, |last| last.end().flat());
        Operation {
            kind,
            piece,
            about: about.clone(),
            moves,
            variants: stops[stop].variants.clone(),
            after,
            pause: None,
        }
    });
    operations.collect()
}

impl Stop {
    fn new(task: &Task, rapid: f64) -> Stop {
        let variant = |moves: &Vec<Move>| {
            let begin = moves.first().map_or(Point::ORIGIN, |first| first.end().flat());
            let end = moves.last().map_or(begin, |last| last.end().flat());
            Variant { begin, end, longer: minutes(moves) * rapid }
        };
        let mut variants: Vec<Variant> = task.variants.iter().map(variant).collect();
        let least = variants.iter().map(|variant| variant.longer).fold(f64::INFINITY, f64::min);
        variants.iter_mut().for_each(|variant| variant.longer -= least);
        Stop { variants, ..Stop::default() }
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
