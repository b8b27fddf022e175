//! `yield`: how many boxes the sheets on hand give, and why not one more.

use super::args::{Args, Effort};
use super::findings::wrapped;
use super::watch::watched;
use super::{Failure, read_spec, seen, shelf};
use nestwright::design::Kinds;
use nestwright::export::yield_json;
use nestwright::job::Job;
use nestwright::units::decimal;
use nestwright::watch::Search;
use nestwright::yields::{self, Answer, Yield};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

pub fn yields(args: &Args, path: &Path, json: bool, Effort { effort }: Effort) -> Result<ExitCode, Failure> {
    let source = read_spec(path)?;
    let (shelf, search) = (shelf(args)?, Search::of(effort));
    let (checked, found) = watched(std::slice::from_ref(&search.watch), args.quiet, || {
        yields::yields(&source, &shelf, &Kinds::built_in(), &search)
    })?;
    let print = || -> io::Result<()> {
        let mut out = io::stdout().lock();
        if json {
            let value = yield_json(&checked.job, &found, &checked.findings);
            out.write_all(&super::json_of(&value)?)?;
        } else if !found.answers.is_empty() && !args.quiet {
            table(&mut out, &checked.job, &found)?;
        }
        out.flush()
    };
    Ok(seen(print(), &checked))
}

fn table(out: &mut impl Write, job: &Job, found: &Yield) -> io::Result<()> {
    writeln!(out, "{}\n", job.title)?;
    if found.set.len() > 1 || found.set.iter().any(|(_, each)| *each > 1) {
        wrapped(out, "a set: ", &counts(found, 1))?;
    }
    writeln!(out, "{:<8} {:<10} {:<8} boxes", "by", "sheets", "used")?;
    for answer in &found.answers {
        let most = &answer.most;
        let sheets = format!("{} of {}", most.used, most.on_hand);
        let share = format!("{} %", decimal(most.share * 100.0, 1));
        wrapped(out, &format!("{:<8} {sheets:<10} {share:<8} ", answer.cut.name()), &counts(found, most.sets))?;
    }
    for answer in &found.answers {
        writeln!(out)?;
        reason(out, job, found, answer)?;
    }
    if found.answers.len() > 1 {
        writeln!(out, "\nRouter and saw are two plans for the same sheets, to choose from.")?;
    }
    Ok(())
}

/// `4 × nuc, 8 × dummy board`.
fn counts(found: &Yield, sets: u32) -> String {
    let each = found.set.iter().map(|(name, each)| format!("{} × {name}", each * sets));
    each.collect::<Vec<_>>().join(", ")
}

/// Why not one more, and what would let it in.
fn reason(out: &mut impl Write, job: &Job, found: &Yield, answer: &Answer) -> io::Result<()> {
    wrapped(out, &format!("{}: ", answer.cut.name()), &answer.most.say(&found.set))?;
    let mut near = answer.near.iter();
    match near.next() {
        None => wrapped(out, "  near miss: ", "none: no small change of one dimension lets one more in"),
        Some(first) => {
            wrapped(out, "  near miss: ", &format!("{}: one more fits", first.say(job.units)))?;
            near.try_for_each(|other| wrapped(out, "         or: ", &other.say(job.units)))
        }
    }
}
