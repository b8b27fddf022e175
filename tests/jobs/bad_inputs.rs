//! Bad inputs by kind, from `bad/*.toml`: each is given to the program as a maker would give it, and gets its exit code and
//! a message at its place that says what would be right. The table in `bad/tried.md` says the same.

use nestwright::reading::shows_as_itself;
use rayon::prelude::*;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

/// Inputs of one kind: a good one, and how each bad one differs from it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Kind {
    kind: String,
    /// A good input.
    #[serde(default)]
    base: String,
    /// What it is called.
    #[serde(default = "job_file")]
    file: String,
    /// What is typed after the program's name.
    #[serde(default = "make")]
    run: Vec<String>,
    /// The good input is made first, into `out`.
    #[serde(default)]
    made: bool,
    case: Vec<Case>,
}

fn job_file() -> String {
    "job.toml".into()
}

fn make() -> Vec<String> {
    ["make", "job.toml", "-o", "out"].map(String::from).into()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// What was done, where the change does not say it.
    tried: Option<String>,
    /// What stands once in the base, and what stands there instead: `is`, `again` so many `times`, and `end`.
    was: Option<String>,
    #[serde(default)]
    is: String,
    #[serde(default)]
    again: String,
    #[serde(default)]
    times: usize,
    #[serde(default)]
    end: String,
    /// What is added after the base; then `again` belongs to it.
    add: Option<String>,
    /// In place of the base.
    text: Option<String>,
    bytes: Option<Vec<u8>>,
    /// How the text is put into bytes, if not in UTF-8.
    write: Option<String>,
    file: Option<String>,
    run: Option<Vec<String>>,
    /// The maker's own files, which must stay as they are.
    #[serde(default)]
    files: BTreeMap<String, String>,

    exit: i32,
    /// Line and column of the first message.
    at: Option<String>,
    /// The message's key part: what would be right.
    says: Option<String>,
}

impl Case {
    fn name(&self) -> String {
        let code = |text: &str| format!("`{}`", text.trim_end().replace('\n', "` `"));
        match (&self.tried, &self.add, &self.run) {
            (Some(tried), ..) => tried.clone(),
            (None, Some(add), _) => code(add),
            (None, None, Some(run)) if self.was.is_none() => {
                let words = run.iter().map(|word| if word.is_empty() { "\"\"" } else { word });
                code(&["nestwright"].into_iter().chain(words).collect::<Vec<_>>().join(" "))
            }
            _ => code(&self.is),
        }
    }

    fn input(&self, kind: &Kind) -> Vec<u8> {
        if let Some(bytes) = &self.bytes {
            return bytes.clone();
        }
        let mut text = self.text.clone().unwrap_or_else(|| kind.base.clone());
        let again = self.again.repeat(self.times);
        if let Some(was) = &self.was {
            assert_eq!(text.matches(was.as_str()).count(), 1, "{}: {was:?} stands once in the base", kind.kind);
            let more = if self.add.is_some() { "" } else { &again };
            text = text.replace(was.as_str(), &format!("{}{more}{}", self.is, self.end));
        }
        if let Some(add) = &self.add {
            text = format!("{text}{add}{again}\n");
        }
        let wide = |start: &[u8], bytes: fn(u16) -> [u8; 2]| {
            start.iter().copied().chain(text.encode_utf16().flat_map(bytes)).collect()
        };
        match self.write.as_deref() {
            None => text.into_bytes(),
            Some("utf-16le") => wide(&[0xff, 0xfe], u16::to_le_bytes),
            Some("utf-16be") => wide(&[0xfe, 0xff], u16::to_be_bytes),
            Some("latin-1") => text.chars().map(|c| u8::try_from(u32::from(c)).expect("in Latin-1")).collect(),
            Some("bom") => format!("\u{feff}{text}").into_bytes(),
            Some("crlf") => text.replace('\n', "\r\n").into_bytes(),
            Some(other) => panic!("no such way to write: {other}"),
        }
    }
}

fn kinds() -> Vec<Kind> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/jobs/bad");
    let mut paths: Vec<PathBuf> =
        fs::read_dir(folder).expect("there").map(|entry| entry.expect("readable").path()).collect();
    paths.retain(|path| path.extension().is_some_and(|it| it == "toml"));
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let text = fs::read_to_string(path).expect("a text");
            toml::from_str(&text).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
        })
        .collect()
}

struct Outcome {
    exit: Option<i32>,
    said: String,
}

/// Runs the program; one that does not end by itself is stopped.
fn run(args: &[String], dir: &Path) -> Outcome {
    let log = tempfile::NamedTempFile::new().expect("a temporary file");
    let mut child = Command::new(env!("CARGO_BIN_EXE_nestwright"))
        .args(args)
        .current_dir(dir)
        .env("HOME", dir)
        .env("XDG_CONFIG_HOME", dir)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(log.reopen().expect("opened"))
        .spawn()
        .expect("the program runs");
    let patience = Instant::now() + Duration::from_secs(120);
    let exit = loop {
        match child.try_wait().expect("a child") {
            Some(status) => break status.code(),
            None if Instant::now() > patience => {
                child.kill().expect("stopped");
                child.wait().expect("ended");
                break None;
            }
            None => thread::sleep(Duration::from_millis(3)),
        }
    };
    Outcome { exit, said: fs::read_to_string(log.path()).expect("text in UTF-8") }
}

/// Every file under a folder with its bytes.
fn all(dir: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(dir).expect("a folder") {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            found.insert(path.clone(), vec![]);
            found.extend(all(&path));
        } else {
            found.insert(path.clone(), fs::read(&path).expect("readable"));
        }
    }
    found
}

/// The words of a message, without the frame it is drawn in and however its lines are broken.
fn words(said: &str) -> String {
    let frame = |c: char| matches!(c, '│' | '╭' | '╰' | '─' | '·' | '▶' | '┬');
    // Lines are broken after hyphens, too.
    said.replace(frame, " ").split_whitespace().collect::<Vec<_>>().join(" ").replace("- ", "-")
}

fn try_out(kind: &Kind, case: &Case) -> Result<(), String> {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let write = |name: &str, bytes: &[u8]| {
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().expect("in a folder")).expect("made");
        fs::write(path, bytes).expect("written");
    };
    let file = case.file.as_ref().unwrap_or(&kind.file);
    write(file, &case.input(kind));
    if kind.made {
        let first = run(&make(), dir.path());
        assert_eq!(first.exit, Some(0), "{}", first.said);
    }
    for (name, text) in &case.files {
        write(name, text.as_bytes());
    }
    let before = all(dir.path());
    let long = |arg: &String| arg.replace("{long}", &"x/".repeat(2500)).replace("{name}", &"x".repeat(300));
    let args: Vec<String> = case.run.as_ref().unwrap_or(&kind.run).iter().map(long).collect();
    let Outcome { exit, said } = run(&args, dir.path());
    let told = words(&said);

    let mut wrong = Vec::new();
    if exit != Some(case.exit) {
        wrong.push(format!("ends in {exit:?}, not {}", case.exit));
    }
    if let Some(at) = &case.at
        && !said.contains(&format!("{file}:{at}"))
    {
        wrong.push(format!("does not point at {at}"));
    }
    // Where the data has a gap, more may be said between.
    let mut rest = told.as_str();
    for piece in case.says.iter().flat_map(|says| says.split(" … ")) {
        match rest.split_once(&words(piece)) {
            Some((_, after)) => rest = after,
            None => wrong.push(format!("does not say: {piece}")),
        }
    }
    if case.exit != 0 && case.says.is_none() {
        wrong.push("says nothing that is known to be right".into());
    }
    if said.contains("panicked") || said.len() > 200_000 {
        wrong.push(format!("fails to end in order, with {} bytes", said.len()));
    }
    if let Some(odd) = said.chars().find(|c| !shows_as_itself(*c) && !matches!(c, '\n' | '\t' | '\r')) {
        wrong.push(format!("sends {odd:?} to the terminal"));
    }
    if exit != Some(0) && all(dir.path()) != before {
        wrong.push("leaves something behind or takes something away".into());
    }
    for (name, text) in &case.files {
        if fs::read(dir.path().join(name)).ok().as_deref() != Some(text.as_bytes()) {
            wrong.push(format!("loses {name}"));
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(format!("{}: {}\n{said:.2000}", case.name(), wrong.join("; "))) }
}

#[test]
fn every_bad_input_gets_its_message() {
    let kinds = kinds();
    let all: Vec<(&Kind, &Case)> =
        kinds.iter().flat_map(|kind| kind.case.iter().map(move |case| (kind, case))).collect();
    let wrong: Vec<String> = all.par_iter().filter_map(|(kind, case)| try_out(kind, case).err()).collect();
    assert!(wrong.is_empty(), "{} of {}:\n\n{}", wrong.len(), all.len(), wrong.join("\n"));
}

/// What cannot be read is pointed at, and the message says what would be right there.
#[test]
fn what_cannot_be_read_has_a_place() {
    let placed = ["Text", "Keys", "Values", "Lengths", "Counts", "Names", "Choices"];
    for kind in kinds().iter().filter(|kind| placed.iter().any(|start| kind.kind.starts_with(start))) {
        // A file that is too long is not read as far as a place.
        let too_long = |case: &&Case| case.says.as_ref().is_some_and(|says| says.contains("too long"));
        for case in kind.case.iter().filter(|case| case.exit == 2 && !too_long(case)) {
            assert!(case.at.is_some(), "{}: {} has no place", kind.kind, case.name());
            let says = case.says.as_deref().unwrap_or_default();
            let right = ["expected", "did you mean", "known", "at most", "split the job"];
            assert!(right.iter().any(|word| says.contains(word)), "{}: {says}", case.name());
        }
    }
}

/// The table in `bad/tried.md`, from the same data.
fn table() -> String {
    let kinds = kinds();
    let total: usize = kinds.iter().map(|kind| kind.case.len()).sum();
    let mut text = format!(
        "# Bad inputs tried\n\n{total} inputs; exit code, place (line:column) and what the message says there. Made from the TOML \
         files here by `tests/jobs/bad_inputs.rs`, which gives each to the program.\n"
    );
    let cell = |text: &str| text.replace('|', "\\|").replace('\n', " ");
    for kind in kinds {
        text +=
            &format!("\n**{}** ({})\n\n| tried | exit | at | says |\n|---|---|---|---|\n", kind.kind, kind.case.len());
        for case in &kind.case {
            let says = case.says.as_deref().unwrap_or("");
            let at = case.at.as_deref().unwrap_or("");
            let tried = case.name();
            let shown: String = tried.chars().map(|c| if shows_as_itself(c) { c } else { '�' }).collect();
            text += &format!("| {} | {} | {at} | {} |\n", cell(&shown), case.exit, cell(says));
        }
    }
    text
}

/// `NESTWRIGHT_WRITE=1 cargo test --test jobs the_table_of_bad_inputs` writes it anew.
#[test]
fn the_table_of_bad_inputs_is_as_tried() {
    crate::pages::stands("tests/jobs/bad/tried.md", |_| table());
    assert!(kinds().iter().map(|kind| kind.case.len()).sum::<usize>() >= 200);
}
