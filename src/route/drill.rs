//! Holes that a drill makes.

use super::feeds::Feeds;
use super::moves::{Drilling, Move, Space};
use super::profile::APPROACH;
use super::{Operation, Screw};
use crate::geometry::{Point, Segment};
use crate::profile::Tool;

/// Straight down at a point until the edges are at `depth`, withdrawn to clear the chips after every `pass_depth` diameters or
/// less. All heights are those of the tip: of a centre point, where the drill has one.
pub(super) fn moves(at: Point, depth: f64, drill: &Tool, feeds: &Feeds, dwell: f64, clear: f64) -> Vec<Move> {
    let most = drill.pass_depth.value * drill.diameter.value;
    // Pecks are counted from where the drill starts down, as G83 counts them; all are alike.
    let depth = depth + drill.point.value;
    let travel = depth + APPROACH;
    let peck = travel / (travel / most - 1e-6).ceil().max(1.0);
    let drilling = Drilling { at, top: APPROACH, bottom: -depth, peck, dwell, feed: feeds.plunge, out: clear };
    vec![Move::Rapid(Space::new(at, clear)), Move::Drill(drilling)]
}

/// Rapid moves just above the sheet are no longer than this (mm): a sheet is never quite flat.
const SHORT_HOP: f64 = 150.0;

/// Holes that follow each other as one operation: between near ones the drill stays just above the sheet, unless a
/// screw is in the way.
pub(super) fn grouped(operations: Vec<Operation>, screws: &[Screw], diameter: f64) -> Vec<Operation> {
    let mut grouped: Vec<Operation> = Vec::new();
    let mut names: Vec<(String, usize)> = Vec::new();
    for operation in operations {
        match names.iter_mut().find(|(name, _)| *name == operation.about) {
            Some((_, count)) => *count += 1,
            None => names.push((operation.about.clone(), 1)),
        }
        let Some(group) = grouped.last_mut() else {
            grouped.push(operation);
            continue;
        };
        group.variants.extend(operation.variants);
        for step in operation.moves {
            if let (Move::Drill(next), Some(before)) = (&step, last_hole(&group.moves))
                && group.moves.len() >= 2
                && before.at.distance(next.at) <= SHORT_HOP
                && !screws.iter().any(|screw| in_the_way(screw, before.at, next.at, diameter))
            {
                // The rapid move that brought the drill to above the next hole is not needed.
                group.moves.pop();
                if let Some(Move::Drill(before)) = group.moves.last_mut() {
                    before.out = before.top;
                }
            }
            group.moves.push(step);
        }
    }
    if let Some(group) = grouped.first_mut() {
        let names: Vec<String> =
            names.into_iter().map(|(name, count)| if count > 1 { format!("{count} x {name}") } else { name }).collect();
        group.about = names.join("; ");
    }
    grouped
}

/// The hole drilled last, before the rapid move to the next.
fn last_hole(moves: &[Move]) -> Option<Drilling> {
    moves.iter().rev().find_map(|step| if let Move::Drill(drilling) = step { Some(*drilling) } else { None })
}

fn in_the_way(screw: &Screw, from: Point, to: Point, diameter: f64) -> bool {
    Segment { start: from, end: to, bulge: 0.0 }.distance(screw.at) < (screw.head + diameter) / 2.0 + 5.0
}
