//! The cheapest mix of sheets, where there are several sizes.
//!
//! Free nesting by itself takes sheets in the order in which they are listed. Here mixes of sheets are gone through from the
//! cheapest up: one that a bound says is too small is passed over, and the first that a layout is found for is taken.

use super::bound::{AlikePieces, Bin, bound, of_job};
use crate::design::Part;
use crate::job::{CutBy, Job};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Mixes looked at, bounds worked out and layouts tried before the cheapest known is taken.
const LOOKS: usize = 4_000;
const BOUNDS: usize = 60;
const TRIES: usize = 16;

/// What a panel glued up of boards counts beside its boards, for the work.
const GLUED: f64 = 1.1;

/// What sheets of these stocks cost: their prices in ten-thousandths if all have one, else their areas in mm²; and one more
/// each, so that of mixes that cost the same the one of fewer sheets is cheaper. An off-cut costs nothing. A panel that has to be
/// glued up counts a little more than its boards: what a board takes as bought is cut from one.
pub(crate) fn costs(job: &Job, group: &[usize]) -> Vec<u64> {
    let priced = group.iter().all(|i| job.stock[*i].price.is_some());
    group
        .iter()
        .map(|&i| {
            let stock = &job.stock[i];
            let own = match stock.price.filter(|_| priced) {
                Some(price) => price * 10_000.0,
                None => stock.length * stock.width,
            };
            let work = if stock.glued.is_some() { GLUED } else { 1.0 };
            if stock.from.is_some() { 0 } else { (own * work).round() as u64 + 1 }
        })
        .collect()
}

/// The layout that costs the least of those found. `lay` lays out the wanted parts on the sheets that a job has on hand;
/// `stock` tells which stock a sheet of it is.
///
/// # Errors
/// That of `lay` with all sheets there are.
pub(super) fn cheapest<T, E>(
    job: &Job,
    parts: &[Part],
    wanted: &[usize],
    group: &[usize],
    cut: CutBy,
    lay: impl Fn(&Job) -> Result<Vec<T>, E>,
    stock: impl Fn(&T) -> usize,
) -> Result<Vec<T>, E> {
    let mut best = lay(job)?;
    if group.len() < 2 {
        return Ok(best);
    }
    let costs = costs(job, group);
    let cost = |sheets: &[T]| -> u64 {
        let of = |sheet: &T| group.iter().position(|i| *i == stock(sheet)).map_or(0, |i| costs[i]);
        sheets.iter().map(of).sum()
    };
    let Some((kinds, bins)) = of_job(job, parts, wanted, group, cut) else { return Ok(best) };
    let mut least = cost(&best);
    let mut some = job.clone();
    let (mut bounds, mut tries) = (0, 0);
    let mut mixes = Mixes::new(&costs, &bins, best.len() as u64);
    for _ in 0..LOOKS {
        let Some((price, mix)) = mixes.next() else { break };
        if price >= least || bounds >= BOUNDS || tries >= TRIES {
            break;
        }
        let bins: Vec<Bin> = bins.iter().zip(&mix).map(|(bin, n)| Bin { on_hand: Some(*n), ..*bin }).collect();
        if area(&kinds, &bins) {
            continue;
        }
        bounds += 1;
        if bound(&kinds, &bins).sheets > mix.iter().sum() {
            continue;
        }
        for (&i, &n) in group.iter().zip(&mix) {
            some.stock[i].on_hand = Some(n as u32);
        }
        tries += 1;
        if let Ok(found) = lay(&some) {
            let price = cost(&found);
            if price < least {
                (least, best) = (price, found);
            }
        }
    }
    Ok(best)
}

/// Is the area of the sheets too small?
fn area(kinds: &[AlikePieces], bins: &[Bin]) -> bool {
    let of = |length: i64, width: i64, n: u64| i128::from(length) * i128::from(width) * i128::from(n);
    let there: i128 = bins.iter().map(|bin| of(bin.length, bin.width, bin.on_hand.unwrap_or(0))).sum();
    let needed: i128 = kinds
        .iter()
        .map(|kind| kind.shape.map_or(of(kind.length, kind.width, 1), |area| area) * i128::from(kind.count))
        .sum();
    needed > there
}

/// A mix by its cost and its sheets; with the last stock that was added to, so that no mix comes twice.
type Next = (u64, u64, Vec<u64>, usize);

/// Mixes of sheets from the cheapest up, of those that cost the same the one of fewest sheets first: how many of each
/// stock. What costs nothing is in all of them.
struct Mixes<'a> {
    costs: &'a [u64],
    most: Vec<u64>,
    open: BinaryHeap<Reverse<Next>>,
}

impl Mixes<'_> {
    /// `enough` sheets of any size do.
    fn new<'a>(costs: &'a [u64], bins: &[Bin], enough: u64) -> Mixes<'a> {
        // More sheets than there are pieces of the largest known mix are only cheaper when smaller: allow for that.
        let roomy = enough.saturating_mul(8).max(8);
        let most: Vec<u64> = bins.iter().map(|bin| bin.on_hand.unwrap_or(roomy).min(u64::from(u32::MAX))).collect();
        let first: Vec<u64> = costs.iter().zip(&most).map(|(cost, most)| if *cost == 0 { *most } else { 0 }).collect();
        Mixes { costs, most, open: BinaryHeap::from([Reverse((0, 0, first, 0))]) }
    }
}

impl Iterator for Mixes<'_> {
    type Item = (u64, Vec<u64>);

    fn next(&mut self) -> Option<(u64, Vec<u64>)> {
        let Reverse((cost, sheets, mix, last)) = self.open.pop()?;
        for i in last..mix.len() {
            if self.costs[i] > 0 && mix[i] < self.most[i] {
                let mut more = mix.clone();
                more[i] += 1;
                self.open.push(Reverse((cost + self.costs[i], sheets + 1, more, i)));
            }
        }
        Some((cost, mix))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mixes_come_from_the_cheapest_up_and_each_once() {
        let bins = [
            Bin::endless(2, 1),
            Bin { on_hand: Some(1), ..Bin::endless(1, 1) },
            Bin { on_hand: Some(3), ..Bin::endless(1, 1) },
        ];
        let costs = [5, 3, 0];
        let found: Vec<_> = Mixes::new(&costs, &bins, 1).take(6).collect();
        let wanted = [(0, [0, 0]), (3, [0, 1]), (5, [1, 0]), (8, [1, 1]), (10, [2, 0]), (13, [2, 1])];
        assert_eq!(found, wanted.map(|(cost, [a, b])| (cost, vec![a, b, 3])));
    }
}
