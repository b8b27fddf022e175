//! What the sheets of a problem cost at least.

use super::bound::{self, bound};
use super::search::{PieceKind, Problem};

/// No sheets that hold all pieces cost less.
///
/// With sheets of one size that is the fewest of them; with several, the area that a sheet gives for its cost, or the
/// fewest sheets at the price of the cheapest.
pub fn least_cost(problem: &Problem) -> i64 {
    let kinds = kinds(problem);
    let fewest = i64::try_from(fewest_sheets(problem)).unwrap_or(i64::MAX);
    let cheapest = problem.bins.iter().map(|bin| bin.cost).min().unwrap_or(0);
    let by_number = fewest.saturating_mul(cheapest);
    let area = |length: i64, width: i64| i128::from(length) * i128::from(width);
    let pieces: i128 = kinds.iter().map(|kind| area(kind.length, kind.width) * i128::from(kind.count)).sum();
    let by_area = problem.bins.iter().map(|bin| {
        let sheet = area(bin.length.into(), bin.width.into()).max(1);
        (pieces * i128::from(bin.cost) + sheet - 1) / sheet
    });
    by_number.max(i64::try_from(by_area.min().unwrap_or(0)).unwrap_or(i64::MAX))
}

/// No layout of all pieces takes fewer sheets.
pub(super) fn fewest_sheets(problem: &Problem) -> u64 {
    let bins: Vec<bound::Bin> = problem
        .bins
        .iter()
        .map(|bin| bound::Bin {
            length: bin.length.into(),
            width: bin.width.into(),
            on_hand: bin.supply.map(u64::from),
        })
        .collect();
    bound(&kinds(problem), &bins).sheets
}

fn kinds(problem: &Problem) -> Vec<bound::AlikePieces> {
    let kind = |kind: &PieceKind| bound::AlikePieces {
        length: kind.length.into(),
        width: kind.width.into(),
        straight: kind.straight,
        turned: kind.turned,
        count: kind.count.into(),
        shape: None,
    };
    problem.kinds.iter().map(kind).collect()
}
