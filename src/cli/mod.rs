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

use args::{Args, Command};
use clap::{CommandFactory, Parser};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::profile::Profiles;
use nestwright::reading::{Beside, Source};
use nestwright::watch::Watch;
use nestwright::{offcuts, spec, starters};
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

/// The job was understood and refused.
const REFUSED: u8 = 1;
/// The input could not be read.
const UNREADABLE: u8 = 2;

/// Runs the command that the arguments ask for.
pub fn run() -> ExitCode {
    let args = Args::parse();
    let outcome = match &args.command {
        Command::Make { specs, out, effort } => make::make(&args, specs, out.as_deref(), *effort),
        Command::Check { spec, json } => check(&args, spec, *json),
        Command::Yield { spec, json } => yields::yields(&args, spec, *json),
        Command::Prove { files, job, sheet, json } => prove::prove(files, job, *sheet, *json),
        Command::Start { name } => start(name.as_deref()),
        Command::Profiles { name } => profiles(&args, name.as_deref()),
        Command::Keys { table, markdown } => keys(table.as_deref().unwrap_or_default(), *markdown),
        Command::Schema => schema(),
        Command::Completions { shell } => completions(*shell),
        Command::Manual { command } => manual(command.as_deref()),
    };
    match outcome {
        Ok(code) => code,
        Err(Failure::Output(why)) if why.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(Failure::Output(why)) => {
            let _ = writeln!(io::stderr(), "nestwright: cannot write the output: {why}");
            ExitCode::from(REFUSED)
        }
        Err(Failure::Job(error, code)) => {
            report::error(&mut io::stderr(), &error);
            ExitCode::from(code)
        }
    }
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
            Error::Refused(_) | Error::Unproved(_) | Error::File { .. } | Error::Fault(_) => REFUSED,
        };
        Failure::Job(error, code)
    }
}

/// A file that could not be read is an input that could not be read.
fn input<T>(read: Result<T, Error>) -> Result<T, Failure> {
    read.map_err(|error| Failure::Job(error, UNREADABLE))
}

fn check(args: &Args, path: &Path, json: bool) -> Result<ExitCode, Failure> {
    let source = read_spec(path)?;
    let (shelf, watch) = (shelf(args)?, Watch::default());
    let checked = watch::watched(std::slice::from_ref(&watch), args.quiet, || {
        nestwright::check_watched(&source, &shelf, &Kinds::built_in(), &watch)
    })?;
    let mut out = io::stdout().lock();
    if json {
        let text = serde_json::to_string_pretty(&checked.findings).map_err(io::Error::other)?;
        writeln!(out, "{text}")?;
    } else {
        findings::table(&mut out, &checked)?;
        out.flush()?;
        if !checked.refused() && !args.quiet {
            writeln!(out, "Next: nestwright make {}", path.display())?;
        }
        point::Asked::of(&checked).refusals(&mut io::stderr(), &checked.findings);
    }
    Ok(if checked.refused() { ExitCode::from(REFUSED) } else { ExitCode::SUCCESS })
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
            writeln!(io::stderr(), "nestwright: there is no starter `{name}`: {help}")?;
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
        writeln!(io::stderr(), "nestwright: there is no profile `{name}`: {help}")?;
        return Ok(ExitCode::from(UNREADABLE));
    }
    for (_, _, file) in found {
        writeln!(out, "# {}\n{}", file.source.name, file.source.text.trim_end())?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The keys of a spec, of all tables or of those that are asked for.
fn keys(part: &str, markdown: bool) -> Result<ExitCode, Failure> {
    let kinds = Kinds::built_in();
    let mut out = io::stdout().lock();
    if markdown {
        write!(out, "{}", spec::reference::markdown(&kinds, part))?;
        return Ok(ExitCode::SUCCESS);
    }
    let tables = spec::reference::tables(&kinds);
    let mut found = tables.iter().filter(|table| table.heading.contains(part)).peekable();
    if found.peek().is_none() {
        let headings: Vec<&str> = tables.iter().map(|table| table.heading.as_str()).collect();
        writeln!(io::stderr(), "nestwright: no table is called `{part}`; there are {}", headings.join(", "))?;
        return Ok(ExitCode::from(UNREADABLE));
    }
    found.try_for_each(|table| report::keys(&mut out, table))?;
    Ok(ExitCode::SUCCESS)
}

/// What `job.json` may hold.
fn schema() -> Result<ExitCode, Failure> {
    let text = serde_json::to_string_pretty(&nestwright::export::job_schema()).map_err(io::Error::other)?;
    writeln!(io::stdout().lock(), "{text}")?;
    Ok(ExitCode::SUCCESS)
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
                writeln!(io::stderr(), "nestwright: there is no command `{name}`: `nestwright help` lists them")?;
                return Ok(ExitCode::from(UNREADABLE));
            }
        },
    };
    clap_mangen::Man::new(page.clone()).render(&mut io::stdout().lock())?;
    Ok(ExitCode::SUCCESS)
}

fn read_spec(path: &Path) -> Result<Arc<Source>, Failure> {
    let text = input(nestwright::profile::read_text(path, spec::LONGEST_SPEC))?;
    let beside = spec::files_named(&text)
        .into_iter()
        .map(|name| {
            let at = beside(path, &name);
            let read = nestwright::profile::read_text(&at, offcuts::LONGEST)
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

/// The platform's folder for a program's settings: `nestwright/profiles` in it, if it is there.
fn own_profiles() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let base = if cfg!(windows) {
        set("APPDATA")
    } else if cfg!(target_os = "macos") {
        set("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        set("XDG_CONFIG_HOME").or_else(|| set("HOME").map(|home| home.join(".config")))
    };
    base.map(|base| base.join("nestwright/profiles")).filter(|folder| folder.is_dir())
}
