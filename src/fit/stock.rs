//! Is there something to cut from every stock?

use super::PRACTICE;
use crate::design::Assembly;
use crate::finding::{Finding, JobCheck, Status};
use crate::job::{Job, Stock};

/// A caution for each stock that no box or part is made of. An off-cut of an earlier job waits for one that takes it, and sheets
/// of several sizes serve the same parts: of these nothing is said.
pub(super) fn check(job: &Job, assemblies: &[Assembly]) -> Vec<Finding> {
    let taken = |stock: &Stock| {
        let mut made_from = assemblies.iter().flat_map(|it| it.panels.iter().map(|panel| it.stock_of(panel)));
        made_from.any(|of| job.stock[of].serves(stock))
    };
    let idle = job.stock.iter().filter(|stock| stock.from.is_none() && !taken(stock));
    let finding = |stock: &Stock| {
        Finding::plain(JobCheck::StockOfNothing, &stock.name, Status::Caution)
            .source(PRACTICE)
            .advice(format!("no box and no part names \"{}\" as its stock, so nothing is cut from it", stock.name))
            .at(Some(stock.spot.clone()))
    };
    idle.map(finding).collect()
}
