//! How near the plans of a job come to the fewest sheets there can be.

use super::bound::{Bound, bound_up_to, by_trying, of_job};
use super::cut_outs::may_lie_in_others;
use super::{stock_groups_for, wanted};
use crate::design::Part;
use crate::job::{CutBy, Job};
use schemars::JsonSchema;
use serde::Serialize;

/// The bound for the parts that are cut from the same sort of sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct StockBound {
    /// The stocks they may be cut from, by index.
    pub stock: Vec<usize>,
    /// The parts, by index.
    pub parts: Vec<usize>,
    pub bound: Bound,
}

impl StockBound {
    /// Why no layout takes fewer sheets.
    pub fn why(&self, job: &Job, parts: &[Part]) -> String {
        let names: Vec<&str> = self.parts.iter().map(|i| parts[*i].name.as_str()).collect();
        let counts: Vec<u64> = self.parts.iter().map(|i| parts[*i].count.into()).collect();
        self.bound.why(&names, &counts, job.units)
    }

    /// Does the bound say that the sheets on hand are too few?
    pub fn too_few(&self, job: &Job) -> bool {
        let there = self.stock.iter().map(|i| job.stock[*i].on_hand.map(u64::from)).sum::<Option<u64>>();
        there.is_some_and(|there| self.bound.sheets > there)
    }
}

/// How many sheets a plan takes of one sort, and how many any plan would.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Fewest {
    pub plan: CutBy,
    /// The stocks of that sort, by name.
    pub stock: Vec<String>,
    pub sheets: u64,
    /// No plan takes fewer sheets than this.
    pub at_least: u64,
    /// Why not.
    pub reason: String,
}

impl Fewest {
    /// Is it proved that no plan takes fewer sheets?
    pub fn proved(&self) -> bool {
        self.sheets <= self.at_least
    }
}

/// How near both plans of a job come to the fewest sheets; `router` and `saw` are the stocks of the sheets that each takes.
pub fn fewest_of_plans(job: &Job, parts: &[Part], router: &[usize], saw: &[usize]) -> Vec<Fewest> {
    let mut all = Vec::new();
    for (plan, used) in [(CutBy::Router, router), (CutBy::Saw, saw)] {
        for stock in stock_groups_for(job, plan) {
            let sheets = used.iter().filter(|i| stock.contains(i)).count() as u64;
            let Some(found) = of_stock(job, parts, plan, stock, sheets).filter(|_| sheets > 0) else { continue };
            all.push(Fewest {
                plan,
                stock: found.stock.iter().map(|i| job.stock[*i].name.clone()).collect(),
                sheets,
                at_least: found.bound.sheets,
                reason: found.why(job, parts),
            });
        }
    }
    all
}

/// Fewest sheets that the whole job takes, by sort of sheet; none where the job has no such machine.
pub fn of_stocks(job: &Job, parts: &[Part], cut: CutBy) -> Vec<StockBound> {
    stock_groups_for(job, cut).into_iter().filter_map(|stock| of_stock(job, parts, cut, stock, u64::MAX)).collect()
}

/// Of one sort of sheet; nothing better is looked for once it is as many sheets as are known to do.
fn of_stock(job: &Job, parts: &[Part], cut: CutBy, stock: Vec<usize>, known: u64) -> Option<StockBound> {
    let mut wanted = wanted(job, parts, &stock);
    if let (CutBy::Router, Some(router)) = (cut, &job.router) {
        // What may lie in an opening of another takes no room for sure.
        let inside = may_lie_in_others(router, parts, &wanted);
        wanted.retain(|part| !inside.contains(part));
    }
    let (kinds, bins) = of_job(job, parts, &wanted, &stock, cut).filter(|_| !wanted.is_empty())?;
    let mut bound = bound_up_to(&kinds, &bins, known);
    if bound.sheets < known
        && let Some(tried) = by_trying(&kinds, &bins, cut).filter(|tried| tried.sheets > bound.sheets)
    {
        bound = tried;
    }
    Some(StockBound { stock, parts: wanted, bound })
}
