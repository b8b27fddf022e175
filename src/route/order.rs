//! In which order operations are done.

use super::Operation;
use crate::geometry::Point;

/// Always the nearest next; `at` is where the tool is, before and after.
pub(super) fn nearest(mut operations: Vec<Operation>, at: &mut Point) -> Vec<Operation> {
    let mut ordered = Vec::with_capacity(operations.len());
    while let Some(next) = operations
        .iter()
        .enumerate()
        .min_by(|a, b| start(a.1).distance(*at).total_cmp(&start(b.1).distance(*at)))
        .map(|(i, _)| i)
    {
        let operation = operations.swap_remove(next);
        *at = operation.moves.last().map_or(*at, |last| last.end().flat());
        ordered.push(operation);
    }
    ordered
}

/// Small parts before large ones, for a large part still holds what is around it; equal parts by the nearest next.
pub(super) fn small_first(mut outlines: Vec<(f64, Operation)>, at: &mut Point) -> Vec<Operation> {
    outlines.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ordered = Vec::with_capacity(outlines.len());
    for group in outlines.chunk_by(|a, b| (a.0 - b.0).abs() < 1.0) {
        let group = group.iter().map(|(_, operation)| operation.clone()).collect();
        ordered.extend(nearest(group, at));
    }
    ordered
}

fn start(operation: &Operation) -> Point {
    operation.moves.first().map_or(Point::ORIGIN, |first| first.end().flat())
}
