//! Room for hold-down screws along a sheet's edges, where it costs nothing.

use super::rectangles::Rectangles;
use super::{On, Sheet, fits_no_sheet, least::least_cost};
use crate::design::Part;
use crate::job::{Job, Stock};

/// Sheets for one group of stocks: with the wider margin that leaves room for screws, unless they would cost more than those
/// with the margin as it is.
pub(super) fn best_nesting(job: &Job, parts: &[Part], wanted: &[usize], on: On) -> Result<Vec<Sheet>, Vec<usize>> {
    let On { group, gap, .. } = on;
    let close = || super::best_nesting(job, parts, wanted, on);
    let wider = |stock: &Stock| Stock { margin: stock.roomy.unwrap_or(stock.margin), ..stock.clone() };
    if !group.iter().any(|i| job.stock[*i].roomy.is_some()) {
        return close();
    }
    let roomy = Job { stock: job.stock.iter().map(wider).collect(), ..job.clone() };
    if wanted.iter().any(|i| fits_no_sheet(&parts[*i], group, &roomy, |i| roomy.stock[i].margin).is_some()) {
        return close();
    }
    let Ok(held) = super::best_nesting(&roomy, parts, wanted, on) else { return close() };
    let asked = Rectangles::of(job, parts, wanted, group, |stock| stock.margin, gap);
    let cost = asked.cost_of_sheets(&held);
    if cost <= least_cost(&asked.problem) {
        return Ok(held);
    }
    match close() {
        Ok(close) if asked.cost_of_sheets(&close) < cost => Ok(close),
        _ => Ok(held),
    }
}
