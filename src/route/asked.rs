//! Where the spec asks for a hole or a recess of a part. Those of one size in one box are as good as one another, for it is
//! their size that a router has to do with.

use crate::design::{Part, PartHole, PartPocket};
use crate::job::{HoleOrder, HoleSize, Job, PocketOrder};
use std::ops::Range;

/// Sizes that differ by less are the same (mm).
const SAME: f64 = 1e-3;

/// What is asked for in the part's box, or in itself where it is loose.
fn orders<'a>(job: &'a Job, part: &Part) -> (&'a [HoleOrder], &'a [PocketOrder]) {
    // Assemblies are in order those of the boxes, then the loose parts.
    match (job.boxes.get(part.assembly), part.assembly.checked_sub(job.boxes.len()).and_then(|i| job.loose.get(i))) {
        (Some(order), _) => (&order.holes, &order.pockets),
        (None, Some(loose)) => (&loose.holes, &loose.pockets),
        (None, None) => (&[], &[]),
    }
}

fn same(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() < SAME && (a[1] - b[1]).abs() < SAME
}

/// `None` for a hole that the design itself makes.
pub(super) fn hole(job: &Job, part: &Part, hole: &PartHole) -> Option<Range<usize>> {
    let size = |order: &HoleOrder| match order.size {
        HoleSize::Round { diameter } => [diameter, diameter],
        HoleSize::Slot { length, width } => [length, width],
    };
    let alike = |order: &&HoleOrder| order.use_ == hole.use_ && same(size(order), [hole.length, hole.width]);
    orders(job, part).0.iter().find(alike).map(|order| order.spot.clone())
}

/// `None` for a recess that the design itself makes, and for one that is cut off by an edge.
pub(super) fn pocket(job: &Job, part: &Part, pocket: &PartPocket) -> Option<Range<usize>> {
    let [long, wide] = [pocket.outline.bounds().width(), pocket.outline.bounds().height()];
    let alike = |order: &&PocketOrder| {
        order.purpose == pocket.purpose
            && (order.depth - pocket.depth).abs() < SAME
            && (same(order.size, [long, wide]) || same(order.size, [wide, long]))
    };
    orders(job, part).1.iter().find(alike).map(|order| order.spot.clone())
}
