//! What is refused of every layout: each part tried on a sheet of its own, and the sheets on hand held against a bound.
//!
//! So a maker hears of it before sheets are filled and programs are written, from the very stages that would refuse it then.

use crate::build;
use crate::design::{Assembly, Part};
use crate::error::Error;
use crate::finding::Finding;
use crate::job::Job;
use crate::layout;
use crate::layout::bound::{Cut, of_stocks};
use crate::route;
use crate::watch::Search;

/// What the tools and sheets of a job cannot make of its parts, each finding once; and where they could make each of them,
/// whether the sheets on hand are too few for all.
///
/// # Errors
/// [`Error::Fault`] when no way is found to cut a part that nothing speaks against.
pub(crate) fn refused(job: &Job, assemblies: &[Assembly]) -> Result<Vec<Finding>, Error> {
    let parts = build::parts(job, assemblies);
    let mut refused: Vec<Finding> = Vec::new();
    for part in &parts {
        for finding in of_part(job, Part { count: 1, ..part.clone() })? {
            if !refused.contains(&finding) {
                refused.push(finding);
            }
        }
    }
    if refused.is_empty() { too_few_sheets(job, &parts) } else { Ok(refused) }
}

/// What the layout says at its first try, where a bound proves that no search would say otherwise.
fn too_few_sheets(job: &Job, parts: &[Part]) -> Result<Vec<Finding>, Error> {
    // Of what is built as often as the sheets give there are never too few.
    if job.wants_most() {
        return Ok(Vec::new());
    }
    let proved = |cut| of_stocks(job, parts, cut).iter().any(|bound| bound.too_few(job));
    let first_try = Search::of(0);
    let mut refused = Vec::new();
    if proved(Cut::Router) {
        refused.extend(findings(layout::nest_close(job, parts, &first_try))?);
    }
    if proved(Cut::Saw) {
        refused.extend(findings(layout::cut_plan(job, parts, &first_try))?);
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
    let (mut job, search) = (job.clone(), Search::default());
    for (i, stock) in job.stock.iter_mut().enumerate() {
        stock.on_hand = if takes(i) { None } else { Some(0) };
    }
    let routed = layout::nest_close(&job, parts, &search).and_then(|layout| route::routes(&job, parts, &layout));
    let mut refused = findings(routed)?;
    for finding in findings(layout::cut_plan(&job, parts, &search))? {
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
