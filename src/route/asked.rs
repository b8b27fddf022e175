//! Where the spec asks for a recess of a part. Those of one size in one box are as good as one another, for it is their size
//! that a router has to do with.

use crate::design::{Part, PartPocket};
use crate::job::{Job, PocketOrder};
use std::ops::Range;

/// Sizes that differ by less are the same (mm).
const SAME: f64 = 1e-3;

/// What is asked for in the part's box, or in itself where it is loose.
fn orders<'a>(job: &'a Job, part: &Part) -> &'a [PocketOrder] {
    // Assemblies are in order those of the boxes, then the loose parts.
    match (job.boxes.get(part.assembly), part.assembly.checked_sub(job.boxes.len()).and_then(|i| job.loose.get(i))) {
        (Some(order), _) => &order.pockets,
        (None, Some(loose)) => &loose.pockets,
        (None, None) => &[],
    }
}

fn same(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() < SAME && (a[1] - b[1]).abs() < SAME
}

/// `None` for a recess that the design itself makes, and for one that is cut off by an edge.
pub(super) fn pocket(job: &Job, part: &Part, pocket: &PartPocket) -> Option<Range<usize>> {
    let [long, wide] = [pocket.outline.bounds().width(), pocket.outline.bounds().height()];
    let alike = |order: &&PocketOrder| {
        order.purpose == pocket.purpose
            && (order.depth - pocket.depth).abs() < SAME
            && (same(order.size, [long, wide]) || same(order.size, [wide, long]))
    };
    orders(job, part).iter().find(alike).map(|order| order.spot.clone())
}
