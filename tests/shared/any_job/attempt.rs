//! What becomes of a job: read, checked, made, its files written to memory, and looked at.

use super::AnyJob;
use super::look::{look, papers};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::export::{self, Files};
use nestwright::finding::Finding;
use nestwright::profile::Profiles;
use nestwright::watch::Search;

#[derive(Debug)]
pub enum Outcome {
    /// What is wrong with the spec or a profile, by message.
    Unreadable(Vec<String>),
    /// By `check`, with the names of the checks.
    Refused(Vec<String>),
    /// `check` passed, and there are too few sheets.
    TooFewSheets,
    /// `check` passed, and `make` refuses for another reason.
    RefusedOnlyByMake(Vec<String>),
    /// A refusal that does not say why.
    Silent,
    /// What the program itself calls a fault of its own.
    Fault(String),
    /// It was made, and does not agree with itself.
    Disagrees(String),
    Made(Box<Files>),
}

/// Checks whose refusal says that there are too few sheets on hand, no more.
const TOO_FEW: [&str; 2] = ["sheets on hand", "number from the sheets on hand"];

/// Takes a job all the way.
pub fn attempt(job: &AnyJob, built_in: &Profiles, kinds: &Kinds) -> Outcome {
    let search = Search::of(job.effort);
    let checked = job.shelf(built_in).and_then(|shelf| nestwright::check(&job.source(), &shelf, kinds, &search));
    let checked = match checked {
        Ok(checked) => checked,
        Err(error) => return stopped(error, Outcome::Refused),
    };
    if checked.refused() {
        return Outcome::Refused(refusals(&checked.findings));
    }
    let made = match nestwright::make(checked, &search) {
        Ok(made) => made,
        Err(error) => return stopped(error, only_by_make),
    };
    if let Err(why) = look(&made) {
        return Outcome::Disagrees(why);
    }
    let files = match export::files(&made) {
        Ok(files) => files,
        Err(error) => return Outcome::Fault(error.to_string()),
    };
    match papers(&made, &files) {
        Ok(()) => Outcome::Made(Box::new(files)),
        Err(why) => Outcome::Disagrees(why),
    }
}

fn only_by_make(checks: Vec<String>) -> Outcome {
    let too_few = checks.iter().all(|check| TOO_FEW.contains(&check.as_str()));
    if too_few { Outcome::TooFewSheets } else { Outcome::RefusedOnlyByMake(checks) }
}

fn stopped(error: Error, refused: impl FnOnce(Vec<String>) -> Outcome) -> Outcome {
    match error {
        Error::Unreadable(problems) => {
            Outcome::Unreadable(problems.iter().map(|it| format!("{}, {}", it.message, it.expected)).collect())
        }
        Error::Refused(findings) if !findings.iter().any(Finding::refused) => Outcome::Silent,
        Error::Refused(findings) => refused(refusals(&findings)),
        other => Outcome::Fault(other.to_string()),
    }
}

/// Each check once, by its name.
fn refusals(findings: &[Finding]) -> Vec<String> {
    let mut checks: Vec<String> = findings.iter().filter(|it| it.refused()).map(|it| it.check.clone()).collect();
    checks.sort();
    checks.dedup();
    checks
}
