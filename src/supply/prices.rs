//! Is every price for something that the job takes?

use super::supplies;
use crate::design::Assembly;
use crate::finding::{Finding, JobCheck, Status, Theme};
use crate::job::Job;
use crate::reading::{any_of, nearest};

/// One finding for each price in the spec; nothing where there are none.
pub fn prices(job: &Job, assemblies: &[Assembly]) -> Vec<Finding> {
    if job.costing.items.is_empty() {
        return Vec::new();
    }
    let supplies = supplies(job, assemblies);
    let known = || supplies.iter().map(|supply| supply.item.as_str());
    let finding = |price: &crate::job::Price| {
        let stock = job.stock.iter().any(|stock| stock.name == price.item);
        let status =
            if supplies.iter().any(|supply| supply.goes_by(&price.item)) { Status::Ok } else { Status::Caution };
        Finding::plain(JobCheck::PriceOfNothing, &price.item, status)
            .theme(Theme::Cost)
            .source("the hardware list of this job")
            .advice_unless_ok(|| match nearest(&price.item, known()) {
                _ if stock => "the price of a sheet or a board stands in its own [[stock]], as `price`".into(),
                Some(near) => format!("nothing on the hardware list is called that: did you mean \"{near}\"?"),
                None => format!("nothing on the hardware list is called that; it has {}", any_of(known())),
            })
            .at(Some(price.spot.clone()))
    };
    job.costing.items.iter().map(finding).collect()
}
