//! Commands, what they print, and how they end.

mod args;
mod findings;
mod report;
mod supplies;

use args::{Args, Command};
use clap::Parser;
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::{export, spec, starters};
use std::io::{self, Write};
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
        Command::Make { spec, out } => make(&args, spec, out.as_deref()),
        Command::Check { spec, json } => check(&args, spec, *json),
        Command::Start { name } => start(name.as_deref()),
        Command::Profiles { name } => profiles(&args, name.as_deref()),
    };
    match outcome {
        Ok(code) => code,
        Err(Failure::Output(why)) if why.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(Failure::Output(why)) => {
            let _ = writeln!(io::stderr(), "nestwright: cannot write the output: {why}");
            ExitCode::from(REFUSED)
        }
        Err(Failure::Job(error, code)) => {
            report::error(&error);
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
            Error::Refused(_) | Error::File { .. } | Error::Fault(_) => REFUSED,
        };
        Failure::Job(error, code)
    }
}

/// A file that could not be read is an input that could not be read.
fn input<T>(read: Result<T, Error>) -> Result<T, Failure> {
    read.map_err(|error| Failure::Job(error, UNREADABLE))
}

fn make(args: &Args, path: &Path, out: Option<&Path>) -> Result<ExitCode, Failure> {
    let source = read_spec(path)?;
    let checked = nestwright::check(&source, &shelf(args)?, &Kinds::built_in())?;
    if checked.refused() {
        findings::table(&mut io::stdout().lock(), &checked)?;
        report::refusals(&checked.job.source, &checked.findings);
        return Ok(ExitCode::from(REFUSED));
    }
    let made = nestwright::make(checked)?;
    let files = export::files(&made)?;
    let target = out.map_or_else(|| path.with_extension(""), Path::to_path_buf);
    export::write_folder(&target, &files, Some(path))?;
    report::made(&mut io::stdout().lock(), &made, &target, files.len())?;
    Ok(ExitCode::SUCCESS)
}

fn check(args: &Args, path: &Path, json: bool) -> Result<ExitCode, Failure> {
    let source = read_spec(path)?;
    let checked = nestwright::check(&source, &shelf(args)?, &Kinds::built_in())?;
    let mut out = io::stdout().lock();
    if json {
        let text = serde_json::to_string_pretty(&checked.findings).map_err(io::Error::other)?;
        writeln!(out, "{text}")?;
    } else {
        findings::table(&mut out, &checked)?;
        out.flush()?;
        report::refusals(&checked.job.source, &checked.findings);
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

fn read_spec(path: &Path) -> Result<Arc<Source>, Failure> {
    let text = input(nestwright::profile::read_text(path, spec::LONGEST_SPEC))?;
    Ok(Source::new(path.display().to_string(), text))
}

/// The built-in profiles, with the maker's own on top.
fn shelf(args: &Args) -> Result<Profiles, Failure> {
    let mut shelf = Profiles::built_in();
    if let Some(folder) = &args.profiles {
        if !folder.is_dir() {
            let error = Error::File { path: folder.clone(), why: "is not a folder".into() };
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
