//! How many boxes the sheets on hand give, why not one more, and what small change would let one more in.
//!
//! What is counted is *sets*: of every box or loose part whose count is `"max"`, so many pieces as its `per-set` says.
//! All the rest of the job is built as often as it says.

mod change;
mod near;
mod search;

pub use near::{Near, near_misses};
pub use search::{Most, WhyNotMore, most};

use crate::build::parts;
use crate::design::{Assembly, Kinds, Part};
use crate::error::Error;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::job::{CutBy, Job};
use crate::made::Checked;
use crate::profile::Profiles;
use crate::reading::Source;
use crate::spec;
use crate::watch::Search;
use std::sync::Arc;

/// The check that a count of `"max"` becomes, and what it is held against.
const NUMBER: JobCheck = JobCheck::MostFromSheets;
const LAID_OUT: &str = "the sheets on hand, laid out";

/// What the sheets on hand give.
#[derive(Clone, Debug)]
pub struct Yield {
    /// What makes up a set: the name of a box or loose part, and how many of it.
    pub set: Vec<(String, u32)>,
    /// By router, by saw, or both: they are two plans for the same sheets, to choose from.
    pub answers: Vec<Answer>,
}

/// What they give when cut by one machine.
#[derive(Clone, Debug)]
pub struct Answer {
    pub cut: CutBy,
    pub most: Most,
    /// Changes of one dimension that let one more set in, the smallest first.
    pub near: Vec<Near>,
}

/// The machines by which this job is cut.
fn cuts(job: &Job) -> Vec<CutBy> {
    let router = job.router.as_ref().map(|_| CutBy::Router);
    router.into_iter().chain(job.saw.as_ref().map(|_| CutBy::Saw)).collect()
}

/// Reads a spec and finds how many sets its sheets on hand give. Where no count is `"max"`, every box of the spec is
/// wanted as often as it goes, in the ratio of their counts; without boxes, every loose part.
///
/// The job is checked as one set. A job that is refused has no answers. When the search is stopped, what is found so far is
/// told.
///
/// # Errors
/// [`Error::Unreadable`] when the spec cannot be read, or does not say how many sheets there are.
pub fn yields(
    spec: &Arc<Source>,
    profiles: &Profiles,
    kinds: &Kinds,
    search: &Search,
) -> Result<(Checked, Yield), Error> {
    let mut checked = checked_sets(spec, profiles, kinds)?;
    checked.try_thicknesses();
    let set = members(&checked.job);
    let mut answers = Vec::new();
    if !checked.refused() {
        for cut in cuts(&checked.job) {
            let most = most(&checked.job, &checked.assemblies, cut, search);
            let near = near_misses(spec, profiles, kinds, &checked, (cut, most.sets), search);
            answers.push(Answer { cut, most, near });
        }
        let nothing_fits = nothing_fits(&checked.job, &answers.iter().map(|a| &a.most).collect::<Vec<_>>());
        checked.findings.extend(nothing_fits);
        checked.try_parts()?;
    }
    Ok((checked, Yield { set, answers }))
}

/// A spec read and checked as one set.
pub(crate) fn checked_sets(spec: &Arc<Source>, profiles: &Profiles, kinds: &Kinds) -> Result<Checked, Error> {
    let mut job = spec::read(spec, profiles, kinds).map_err(Error::Unreadable)?;
    if !job.wants_most() {
        as_sets(&mut job);
        let problems = spec::endless_stock(&job);
        if !problems.is_empty() {
            return Err(Error::Unreadable(problems));
        }
    }
    Checked::of(job)
}

/// Gives every `"max"` of a checked job its number: the largest that each machine that cuts it gives.
pub(crate) fn fill(checked: &mut Checked, search: &Search) {
    if !checked.job.wants_most() || checked.refused() {
        return;
    }
    let answers: Vec<(CutBy, Most)> =
        cuts(&checked.job).into_iter().map(|cut| (cut, most(&checked.job, &checked.assemblies, cut, search))).collect();
    let Some((_, least)) = answers.iter().min_by_key(|(_, most)| most.sets) else {
        checked.findings.push(no_machine(&checked.job));
        return;
    };
    let refused = nothing_fits(&checked.job, &[least]);
    if !refused.is_empty() {
        checked.findings.extend(refused);
        return;
    }
    set_count(&mut checked.job, &mut checked.assemblies, least.sets);
    let set = members(&checked.job);
    let why: Vec<String> = answers.iter().map(|(cut, most)| format!("{}: {}", cut.name(), most.say(&set))).collect();
    let both = if answers.len() > 1 { ". The job is for as many as either way gives" } else { "" };
    for (name, per_set) in set {
        let count = f64::from(least.sets * per_set);
        let (measure, limits) = (Measure::Count(count), Limits::at_least(1.0));
        let finding = Finding::measured(NUMBER, &name, measure, limits, Status::Refused).source(LAID_OUT);
        let of_box = checked.job.boxes.iter().any(|order| order.name == name).then(|| name.clone());
        let finding = finding.advice(format!("{}{both}", why.join(". ")));
        checked.findings.push(Finding { box_name: of_box, ..finding });
    }
}

/// What makes up a set.
fn members(job: &Job) -> Vec<(String, u32)> {
    let boxes = job.boxes.iter().filter_map(|order| Some((order.name.clone(), order.per_set?)));
    boxes.chain(job.loose.iter().filter_map(|part| Some((part.name.clone(), part.per_set?)))).collect()
}

/// As often as sets are wanted of everything that is wanted in sets.
fn set_count(job: &mut Job, assemblies: &mut [Assembly], sets: u32) {
    let per_set: Vec<Option<u32>> = per_set(job);
    for order in &mut job.boxes {
        order.count = order.per_set.map_or(order.count, |each| each * sets);
    }
    for part in &mut job.loose {
        part.count = part.per_set.map_or(part.count, |each| each * sets);
    }
    for (assembly, per_set) in assemblies.iter_mut().zip(per_set) {
        assembly.count = per_set.map_or(assembly.count, |each| each * sets);
    }
}

/// How many of each assembly a set has; assemblies are in order those of the boxes, then the loose parts.
fn per_set(job: &Job) -> Vec<Option<u32>> {
    job.boxes.iter().map(|order| order.per_set).chain(job.loose.iter().map(|part| part.per_set)).collect()
}

/// Makes sets of a job that asks for none: of its boxes in the ratio of their counts, or of its loose parts.
fn as_sets(job: &mut Job) {
    let common = |counts: &mut dyn Iterator<Item = u32>| counts.fold(0, greatest_common);
    if job.boxes.is_empty() {
        let divisor = common(&mut job.loose.iter().map(|part| part.count)).max(1);
        for part in &mut job.loose {
            part.count /= divisor;
            part.per_set = Some(part.count);
        }
    } else {
        let divisor = common(&mut job.boxes.iter().map(|order| order.count)).max(1);
        for order in &mut job.boxes {
            order.count /= divisor;
            order.per_set = Some(order.count);
        }
    }
}

fn greatest_common(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { greatest_common(b, a % b) }
}

fn no_machine(job: &Job) -> Finding {
    let name = members(job).into_iter().next().map_or_else(String::new, |(name, _)| name);
    Finding::plain(NUMBER, name, Status::Refused)
        .advice("nothing cuts it: how many fit a sheet depends on what the cut takes. Give it a [saw] or a [router]")
}

/// What is refused where not even one set fits.
fn nothing_fits(job: &Job, answers: &[&Most]) -> Vec<Finding> {
    if answers.is_empty() {
        return vec![no_machine(job)];
    }
    let mut refused: Vec<Finding> = Vec::new();
    for most in answers.iter().filter(|most| most.sets == 0) {
        for finding in &most.refused {
            if !refused.contains(finding) {
                refused.push(finding.clone());
            }
        }
    }
    refused
}

/// The parts of so many sets, from those of one.
fn parts_of_sets(job: &Job, one: &[Part], sets: u32) -> Vec<Part> {
    let per_set = per_set(job);
    let in_sets = |part: &Part| per_set.get(part.assembly).is_some_and(Option::is_some);
    let mut parts = one.to_vec();
    parts.iter_mut().filter(|part| in_sets(part)).for_each(|part| part.count *= sets);
    parts
}

/// The parts of one set, and of all that is wanted in a fixed number, from the sheets that a set is cut from.
fn parts_of_one(job: &Job, assemblies: &[Assembly]) -> Vec<Part> {
    let per_set = per_set(job);
    let all = parts(job, assemblies);
    let groups = job.stock_groups();
    let shared = |stock: usize| {
        let sets = all.iter().filter(|part| per_set.get(part.assembly).is_some_and(Option::is_some));
        let mut stocks = sets.map(|part| part.stock);
        stocks.any(|other| groups.iter().any(|group| group.contains(&stock) && group.contains(&other)))
    };
    all.iter().filter(|part| shared(part.stock)).cloned().collect()
}
