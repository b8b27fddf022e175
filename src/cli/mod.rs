//! Commands, what they print, and how they end.

mod args;
mod findings;
mod make;
mod off_cuts;
mod point;
mod prove;
mod report;
mod supplies;
mod watch;
mod yields;

use args::{Args, Command, Effort, SchemaOf};
use clap::{CommandFactory, Parser};
use etcetera::BaseStrategy;
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::finding::Finding;
use nestwright::profile::Profiles;
use nestwright::reading::{Beside, Source, harmless};
use nestwright::watch::Search;
use nestwright::{Checked, offcuts, spec, starters};
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

/// The job was understood and refused.
const REFUSED: u8 = 1;
/// The input could not be read.
const UNREADABLE: u8 = 2;
/// A fault of our own.
const FAULT: u8 = 3;

/// Runs the command that the arguments ask for.
pub fn run() -> ExitCode {
    let args = Args::try_parse().unwrap_or_else(|error| mistyped(&error));
    let outcome = match &args.command {
        Command::Make { specs, out, search } => make::make(&args, specs, out.as_deref(), *search),
        Command::Check { spec, json, search } => check(&args, spec, *json, *search),
        Command::Yield { spec, json, search } => yields::yields(&args, spec, *json, *search),
        Command::Prove { files, job, sheet, picture, json } => prove::prove(
            &prove::Asked { files, job, sheet: *sheet, picture: picture.as_deref(), json: *json },
            args.quiet,
        ),
        Command::Start { name } => start(name.as_deref()),
        Command::Profiles { name } => profiles(&args, name.as_deref()),
        Command::Keys { table, markdown } => keys(table.as_deref().unwrap_or_default(), *markdown),
        Command::Schema { of } => schema(*of),
        Command::Completions { shell } => completions(*shell),
        Command::Manual { command } => manual(command.as_deref()),
    };
    match outcome {
        Ok(code) => code,
        Err(Failure::Output(why)) => ExitCode::from(unprinted(&why)),
        Err(Failure::Job(error, code)) => {
            report::error(&mut io::stderr(), &error);
            ExitCode::from(code)
        }
    }
}

/// Says what is wrong with what was typed, and ends. What a terminal would not show as itself is not sent to it.
fn mistyped(error: &clap::Error) -> ! {
    let shows = |arg: std::ffi::OsString| harmless(&arg.to_string_lossy()) == arg.to_string_lossy();
    if std::env::args_os().all(shows) {
        error.exit();
    }
    let _ = write!(io::stderr(), "{}", harmless(&error.to_string()));
    std::process::exit(error.exit_code());
}

/// Why a command ended early.
enum Failure {
    /// With the exit code it ends in.
    Job(Error, u8),
    Output(io::Error),
}

impl From<io::Error> for Failure {
    fn from(why: io::Error) -> Failure {
        Failure::Output(why)
    }
}

impl From<Error> for Failure {
    fn from(error: Error) -> Failure {
        let code = match error {
            Error::Unreadable(_) => UNREADABLE,
            // Refused by nothing: that cannot be told to a maker.
            Error::Refused(ref findings) if !findings.iter().any(Finding::refused) => FAULT,
            Error::Refused(_) | Error::File { .. } => REFUSED,
            Error::Unproved(_) | Error::Fault(_) => FAULT,
        };
        Failure::Job(error, code)
    }
}

/// Says that the output could not be printed; the code for that. Whoever reads no further has seen enough.
fn unprinted(why: &io::Error) -> u8 {
    if why.kind() == io::ErrorKind::BrokenPipe {
        return 0;
    }
    let _ = writeln!(io::stderr(), "nestwright: cannot write the output: {why}");
    REFUSED
}

/// Prints on the output what there is to see, and then on the error channel what is refused of it, whatever became of
/// the output. Returns the exit code.
fn seen(printed: io::Result<()>, checked: &Checked) -> ExitCode {
    let unprinted = printed.map_or_else(|why| unprinted(&why), |()| 0);
    point::Asked::of(checked).refusals(&mut io::stderr(), &checked.findings);
    ExitCode::from(if checked.refused() { REFUSED } else { unprinted })
}

/// A path as a terminal may show it.
fn shown(path: &Path) -> String {
    harmless(&path.display().to_string())
}

/// A file that could not be read is an input that could not be read.
fn input<T>(read: Result<T, Error>) -> Result<T, Failure> {
    read.map_err(|error| Failure::Job(error, UNREADABLE))
}

fn check(args: &Args, path: &Path, json: bool, Effort { effort }: Effort) -> Result<ExitCode, Failure> {
    let source = read_spec(path)?;
    let (shelf, search) = (shelf(args)?, Search::of(effort));
    let checked = watch::watched(std::slice::from_ref(&search.watch), args.quiet, || {
        nestwright::check(&source, &shelf, &Kinds::built_in(), &search)
    })?;
    let print = || -> io::Result<()> {
        let mut out = io::stdout().lock();
        if json {
            let text = serde_json::to_string_pretty(&checked.findings).map_err(io::Error::other)?;
            writeln!(out, "{text}")?;
        } else if !args.quiet {
            findings::table(&mut out, &checked)?;
            if !checked.refused() {
                writeln!(out, "Next: nestwright make {}", shown(path))?;
            }
        }
        out.flush()
    };
    Ok(seen(print(), &checked))
}

fn start(name: Option<&str>) -> Result<ExitCode, Failure> {
    let mut out = io::stdout().lock();
    let Some(name) = name else {
        writeln!(out, "Starter specs; `nestwright start NAME > job.toml` gives you one to change:\n")?;
        for starter in &starters::ALL {
            writeln!(out, "  {:<12} {}", starter.name, starter.about)?;
        }
        return Ok(ExitCode::SUCCESS);
    };
    match starters::find(name) {
        Ok(starter) => {
            out.write_all(starter.text.as_bytes())?;
            out.flush()?;
            if !io::stdout().is_terminal() && io::stderr().is_terminal() {
                writeln!(io::stderr(), "Next: change it, then `nestwright check` that file.")?;
            }
            Ok(ExitCode::SUCCESS)
        }
        Err(help) => {
            writeln!(io::stderr(), "nestwright: there is no starter `{}`: {help}", harmless(name))?;
            Ok(ExitCode::from(UNREADABLE))
        }
    }
}

fn profiles(args: &Args, name: Option<&str>) -> Result<ExitCode, Failure> {
    let shelf = shelf(args)?;
    let mut out = io::stdout().lock();
    let Some(name) = name else {
        report::profiles(&mut out, &shelf)?;
        return Ok(ExitCode::SUCCESS);
    };
    let found: Vec<_> = shelf.files().filter(|(_, known, _)| *known == name).collect();
    if found.is_empty() {
        let near = nestwright::reading::nearest(name, shelf.files().map(|(_, known, _)| known));
        let help = near.map_or("`nestwright profiles` lists them".into(), |near| format!("did you mean {near}?"));
        writeln!(io::stderr(), "nestwright: there is no profile `{}`: {help}", harmless(name))?;
        return Ok(ExitCode::from(UNREADABLE));
    }
    for (_, _, file) in found {
        writeln!(out, "# {}\n{}", file.source.name, file.source.text.trim_end())?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The keys of a spec, of all tables or of those that are asked for.
fn keys(part: &str, markdown: bool) -> Result<ExitCode, Failure> {
    use spec::reference;
    let mut tables = reference::tables(&Kinds::built_in());
    tables.extend(reference::profiles());
    let mut out = io::stdout().lock();
    let mut found = tables.iter().filter(|table| table.heading.contains(part)).peekable();
    if found.peek().is_none() {
        let headings: Vec<&str> = tables.iter().map(|table| table.heading.as_str()).collect();
        let (part, known) = (harmless(part), headings.join("; "));
        writeln!(io::stderr(), "nestwright: no table is called `{part}`; there are {known}")?;
        return Ok(ExitCode::from(UNREADABLE));
    }
    if markdown {
        write!(out, "{}", reference::markdown(&tables, part))?;
    } else {
        found.try_for_each(|table| report::keys(&mut out, table))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// What a spec or `job.json` may hold.
fn schema(of: SchemaOf) -> Result<ExitCode, Failure> {
    let schema = match of {
        SchemaOf::Spec => spec::json_schema(&Kinds::built_in()),
        SchemaOf::Job => nestwright::export::job_schema(),
    };
    let text = serde_json::to_string_pretty(&schema).map_err(io::Error::other)?;
    writeln!(io::stdout().lock(), "{text}")?;
    Ok(ExitCode::SUCCESS)
}

/// A value as JSON that ends with a line.
fn json_of<T: serde::Serialize>(value: &T) -> io::Result<Vec<u8>> {
    let mut text = nestwright::export::json(value).map_err(|why| io::Error::other(why.to_string()))?;
    text.push(b'\n');
    Ok(text)
}

fn completions(shell: clap_complete::Shell) -> Result<ExitCode, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), "nestwright", &mut text);
    io::stdout().lock().write_all(&text)?;
    Ok(ExitCode::SUCCESS)
}

/// The program's page, or one command's.
fn manual(name: Option<&str>) -> Result<ExitCode, Failure> {
    let mut program = Args::command();
    program.build();
    let page = match name {
        None => &program,
        Some(name) => match program.find_subcommand(name) {
            Some(command) => command,
            None => {
                let name = harmless(name);
                writeln!(io::stderr(), "nestwright: there is no command `{name}`: `nestwright help` lists them")?;
                return Ok(ExitCode::from(UNREADABLE));
            }
        },
    };
    clap_mangen::Man::new(page.clone()).render(&mut io::stdout().lock())?;
    Ok(ExitCode::SUCCESS)
}

fn read_spec(path: &Path) -> Result<Arc<Source>, Failure> {
    let text = input(nestwright::disk::read_text(path, spec::LONGEST_SPEC))?;
    let beside = spec::files_named(&text)
        .into_iter()
        .map(|name| {
            let at = beside(path, &name);
            let read = nestwright::disk::read_text(&at, offcuts::LONGEST)
                .map(|text| Source::new(at.display().to_string(), text))
                .map_err(|why| why.to_string());
            Beside { name, read }
        })
        .collect();
    Ok(Source::with_beside(path.display().to_string(), text, beside))
}

/// A file that a spec names, from the spec's own folder.
fn beside(spec: &Path, name: &str) -> PathBuf {
    spec.parent().unwrap_or(Path::new("")).join(name)
}

/// The built-in profiles, with the maker's own on top.
fn shelf(args: &Args) -> Result<Profiles, Failure> {
    let mut shelf = Profiles::built_in();
    if let Some(folder) = &args.profiles {
        if !folder.is_dir() {
            let error =
                Error::File { path: folder.clone(), why: "is not a folder; a folder of profiles was expected".into() };
            return Err(Failure::Job(error, UNREADABLE));
        }
        input(shelf.add_folder(folder))?;
    } else if let Some(folder) = own_profiles() {
        input(shelf.add_folder(&folder))?;
    }
    Ok(shelf)
}

/// The system's folder for the settings of programs: `nestwright/profiles` in it, if it is there.
fn own_profiles() -> Option<PathBuf> {
    let system = etcetera::base_strategy::choose_native_strategy().ok()?;
    // Apple's folder of preferences is for what its own calls write: a maker's files belong beside it.
    let settings = if cfg!(target_vendor = "apple") { system.data_dir() } else { system.config_dir() };
    Some(settings.join("nestwright/profiles")).filter(|folder| folder.is_dir())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each kind of error with its code; a fault of ours says whose it is and what may be changed meanwhile.
    #[test]
    fn a_fault_of_ours_has_a_code_of_its_own_and_says_what_to_do() {
        let file = || Error::File { path: "x".into(), why: "is away".into() };
        let plain = |status| Finding::plain(nestwright::finding::JobCheck::PartFitsSheet, "lid", status);
        for (error, code) in [
            (Error::Unreadable(vec![]), UNREADABLE),
            (Error::refused(vec![plain(nestwright::finding::Status::Refused)]), REFUSED),
            (file(), REFUSED),
            (Error::refused(vec![plain(nestwright::finding::Status::Ok)]), FAULT),
            (Error::Unproved(vec![]), FAULT),
            (Error::Fault("the saw plan does not give the parts".into()), FAULT),
        ] {
            let Failure::Job(error, ends_in) = Failure::from(error) else { panic!("no output") };
            assert_eq!(ends_in, code, "{error:?}");
            let mut said = Vec::new();
            report::error(&mut said, &error);
            let said = String::from_utf8(said).expect("text").split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(!said.is_empty(), "{error:?}");
            for words in ["a fault in nestwright, not in your job", "another cutter", "onion-skin", "report it"] {
                assert_eq!(said.contains(words), code == FAULT, "{words}: {said}");
            }
        }
        assert!(matches!(input::<()>(Err(file())), Err(Failure::Job(_, UNREADABLE))));
    }
}
