//! `make`: each spec into a folder of its own.

use super::args::{Args, Effort};
use super::point::Asked;
use super::watch::watched;
use super::{Failure, REFUSED, UNREADABLE, findings, off_cuts, read_spec, report, shelf, shown, unprinted};
use nestwright::design::Kinds;
use nestwright::disk;
use nestwright::error::Error;
use nestwright::export;
use nestwright::profile::Profiles;
use nestwright::watch::{Search, Watch};
use rayon::prelude::*;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What one job printed, and the code it ends in.
#[derive(Default)]
struct Outcome {
    out: Vec<u8>,
    err: Vec<u8>,
    code: u8,
}

/// Makes every job, several at once; what each has to say is printed in the order asked for. The exit code is the worst.
pub fn make(
    args: &Args,
    specs: &[PathBuf],
    out: Option<&Path>,
    Effort { effort }: Effort,
) -> Result<ExitCode, Failure> {
    let targets: Vec<PathBuf> = specs.iter().map(|spec| target(spec, out, specs.len())).collect();
    if let Some(twice) = twice(&targets) {
        writeln!(
            io::stderr(),
            "nestwright: two specs would write into {}; give one of them another name, or make them one by one",
            shown(twice)
        )?;
        return Ok(ExitCode::from(UNREADABLE));
    }
    let shelf = shelf(args)?;
    let searches: Vec<Search> = specs.iter().map(|_| Search::of(effort)).collect();
    let watches: Vec<Watch> = searches.iter().map(|search| search.watch.clone()).collect();
    let jobs: Vec<_> = specs.iter().zip(&targets).zip(&searches).collect();
    let outcomes: Vec<Outcome> = watched(&watches, args.quiet, || {
        jobs.par_iter().map(|((spec, target), search)| outcome(&shelf, spec, target, args.quiet, search)).collect()
    });
    let mut stderr = io::stderr();
    let mut printed = Ok(());
    for (i, outcome) in outcomes.iter().enumerate() {
        // What went wrong is said whatever became of the output.
        printed = printed.and_then(|()| print(outcome, i > 0));
        stderr.write_all(&outcome.err)?;
    }
    if specs.len() > 1 {
        tally(&mut stderr, specs, &outcomes, args.quiet)?;
    }
    let unprinted = printed.map_or_else(|why| unprinted(&why), |()| 0);
    if unprinted > 0 && outcomes.iter().any(|outcome| outcome.code == 0) {
        writeln!(stderr, "nestwright: the folders themselves are written")?;
    }
    Ok(ExitCode::from(outcomes.iter().map(|outcome| outcome.code).max().unwrap_or(0).max(unprinted)))
}

fn print(outcome: &Outcome, more: bool) -> io::Result<()> {
    let mut stdout = io::stdout().lock();
    if more && !outcome.out.is_empty() {
        writeln!(stdout, "\n")?;
    }
    stdout.write_all(&outcome.out)?;
    stdout.flush()
}

/// Where a spec's folder goes: one spec into the folder named, several into folders of their own inside it.
fn target(spec: &Path, out: Option<&Path>, specs: usize) -> PathBuf {
    let own = spec.with_extension("");
    match out {
        Some(out) if specs == 1 => out.to_path_buf(),
        Some(out) => own.file_name().map_or_else(|| out.to_path_buf(), |name| out.join(name)),
        None => own,
    }
}

fn twice(targets: &[PathBuf]) -> Option<&PathBuf> {
    targets.iter().enumerate().find(|(i, target)| targets[..*i].contains(target)).map(|(_, target)| target)
}

fn outcome(shelf: &Profiles, spec: &Path, target: &Path, quiet: bool, search: &Search) -> Outcome {
    let mut outcome = Outcome::default();
    match one(shelf, spec, target, (quiet, search), &mut outcome) {
        Ok(code) => outcome.code = code,
        Err(Failure::Job(error, code)) => {
            report::error(&mut outcome.err, &error);
            outcome.code = code;
        }
        Err(Failure::Output(why)) => {
            let _ = writeln!(outcome.err, "nestwright: cannot write the output: {why}");
            outcome.code = REFUSED;
        }
    }
    outcome
}

fn one(
    shelf: &Profiles,
    path: &Path,
    target: &Path,
    (quiet, search): (bool, &Search),
    outcome: &mut Outcome,
) -> Result<u8, Failure> {
    let source = read_spec(path)?;
    let checked = nestwright::check(&source, shelf, &Kinds::built_in(), search)?;
    let asked = Asked::of(&checked);
    if checked.refused() {
        if !quiet {
            findings::table(&mut outcome.out, &checked)?;
        }
        asked.refusals(&mut outcome.err, &checked.findings);
        return Ok(REFUSED);
    }
    let made = match nestwright::make(checked, search) {
        Err(Error::Refused(refusal)) => {
            asked.refusals(&mut outcome.err, &refusal);
            return Ok(REFUSED);
        }
        other => other?,
    };
    let mut files = export::files(&made)?;
    off_cuts::keep(target, &mut files)?;
    let promises = off_cuts::promise(path, &made)?;
    if let Err(error) = disk::write_folder(target, &files, Some(path)) {
        off_cuts::take_back(&promises);
        return Err(error.into());
    }
    if !quiet {
        report::made(&mut outcome.out, &made, shelf, (target, files.len()))?;
    }
    Ok(0)
}

/// Which jobs of several were made.
fn tally(err: &mut impl Write, specs: &[PathBuf], outcomes: &[Outcome], quiet: bool) -> io::Result<()> {
    let left: Vec<String> =
        specs.iter().zip(outcomes).filter(|(_, outcome)| outcome.code != 0).map(|(spec, _)| shown(spec)).collect();
    match left.len() {
        0 if quiet => Ok(()),
        0 => writeln!(err, "nestwright: {} jobs made", specs.len()),
        some => {
            writeln!(err, "nestwright: {} of {} jobs made; not {}", specs.len() - some, specs.len(), left.join(", "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_specs_go_into_folders_of_their_own() {
        let target = |out: Option<&str>, specs| target(Path::new("jobs/nucs.toml"), out.map(Path::new), specs);
        assert_eq!(target(None, 2), Path::new("jobs/nucs"));
        assert_eq!(target(Some("out"), 1), Path::new("out"));
        assert_eq!(target(Some("out"), 2), Path::new("out/nucs"));
    }
}
