//! Each part tried on a sheet of its own: what is refused there is refused of every layout.
//!
//! So a maker hears of it before sheets are filled and programs are written, from the very stages that would refuse it then.

use crate::build;
use crate::design::{Assembly, Part};
use crate::error::Error;
use crate::finding::Finding;
use crate::job::Job;
use crate::layout;
use crate::route;
use crate::watch::Watch;

/// What the tools and sheets of a job cannot make of its parts, each finding once.
///
/// # Errors
/// [`Error::Fault`] when no way is found to cut a part that nothing speaks against.
pub(crate) fn refused(job: &Job, assemblies: &[Assembly]) -> Result<Vec<Finding>, Error> {
    let mut refused: Vec<Finding> = Vec::new();
    for part in build::parts(job, assemblies) {
        for finding in of_part(job, Part { count: 1, ..part })? {
            if !refused.contains(&finding) {
                refused.push(finding);
            }
        }
    }
    Ok(refused)
}

/// What is refused of a part whichever of its sheets it lies on: that of the sheet it would go on first.
fn of_part(job: &Job, part: Part) -> Result<Vec<Finding>, Error> {
    let served: Vec<usize> =
        (0..job.stock.len()).filter(|stock| job.stock[part.stock].serves(&job.stock[*stock])).collect();
    let parts = [part];
    let refused = on(job, &parts, |_| true)?;
    if refused.is_empty() || served.len() < 2 {
        return Ok(refused);
    }
    for only in served {
        if on(job, &parts, |stock| stock == only)?.is_empty() {
            return Ok(Vec::new());
        }
    }
    Ok(refused)
}

/// What is refused of it on these sheets, of which there are enough.
fn on(job: &Job, parts: &[Part; 1], takes: impl Fn(usize) -> bool) -> Result<Vec<Finding>, Error> {
    let mut job = Job { watch: Watch::default(), ..job.clone() };
    for (i, stock) in job.stock.iter_mut().enumerate() {
        stock.on_hand = if takes(i) { None } else { Some(0) };
    }
    let routed = layout::nest_close(&job, parts).and_then(|layout| route::routes(&job, parts, &layout));
    let mut refused = findings(routed)?;
    for finding in findings(layout::cut_plan(&job, parts))? {
        if !refused.contains(&finding) {
            refused.push(finding);
        }
    }
    Ok(refused)
}

fn findings<T>(outcome: Result<T, Error>) -> Result<Vec<Finding>, Error> {
    match outcome {
        Ok(_) => Ok(Vec::new()),
        Err(Error::Refused(findings)) => Ok(findings),
        Err(other) => Err(other),
    }
}
