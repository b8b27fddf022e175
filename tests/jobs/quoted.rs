//! What the pages quote is what the program says: every ```` ```console ```` block is run, every ```` ```toml ```` block read.
//!
//! A console block has commands after `$ `, each followed by what it prints; `...` stands for lines left out. Commands run in
//! a folder of the page's own, with the samples and the page's specs in it. A block of TOML has a comment before it that says
//! what it is:
//!
//! - `<!-- spec: NAME.toml -->`: a whole spec, which passes its check and can be used in commands of the page;
//! - `<!-- refused: NAME.toml -->`: one that is understood and refused;
//! - `<!-- into: STARTER -->`: what takes the place of the same tables and keys in a starter, which then passes its check;
//! - `<!-- profile: FOLDER/NAME.toml -->`: a profile, in the page's folder `own`.
//!
//! `NESTWRIGHT_WRITE=1 cargo test --test jobs quoted` puts in what the program says now, with the same lines left out.

use crate::pages::{Page, pages, stands};
use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::starters;
use nestwright::watch::Search;
use rayon::prelude::*;
use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Stdio};
use toml::{Table, Value};

/// A fenced block of a page.
struct Block<'a> {
    language: &'a str,
    /// What the comment in the line before it says.
    mark: Option<(&'a str, &'a str)>,
    text: &'a str,
    line: usize,
}

fn blocks(page: &str) -> Vec<Block<'_>> {
    let mut found = Vec::new();
    let (mut line, mut rest, mut before) = (1, page, "");
    while let Some((first, after)) = rest.split_once('\n') {
        (line, rest) = (line + 1, after);
        if let Some(language) = first.strip_prefix("```") {
            let end = rest.find("```\n").unwrap_or_else(|| panic!("line {line}: a block that never ends"));
            let mark = before.strip_prefix("<!-- ").and_then(|it| it.strip_suffix(" -->"));
            let mark = mark.and_then(|it| it.split_once(": "));
            found.push(Block { language, mark, text: &rest[..end], line });
            line += rest[..end].lines().count() + 1;
            rest = &rest[end + 4..];
        }
        before = first;
    }
    found
}

/// A folder with what a page's commands work on.
fn desk(page: &Page) -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a temporary folder");
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("out-samples"), &dir.path().join("out-samples"));
    for block in blocks(&page.text).iter().filter(|block| block.language == "toml") {
        let name = match block.mark {
            Some(("spec" | "refused", name)) => name.to_string(),
            Some(("profile", name)) => format!("own/{name}"),
            _ => continue,
        };
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().expect("in a folder")).expect("a folder");
        fs::write(path, block.text).expect("written");
    }
    dir
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("readable") {
        let path = entry.expect("readable").path();
        let target = to.join(path.file_name().expect("named"));
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(path, target).expect("copied");
        }
    }
}

/// What a command prints, on either channel, in the order in which it does. `> FILE` keeps what it prints in a file.
fn said(command: &str, dir: &Path) -> String {
    let (command, file) = command.split_once(" > ").map_or((command, None), |(it, file)| (it, Some(file)));
    let mut words = command.split_whitespace();
    assert_eq!(words.next(), Some("nestwright"), "{command}: only nestwright is run here");
    let log = tempfile::NamedTempFile::new().expect("a temporary file");
    let out = match file {
        Some(file) => File::create(dir.join(file)).expect("a file"),
        None => log.as_file().try_clone().expect("opened"),
    };
    Command::new(env!("CARGO_BIN_EXE_nestwright"))
        .args(words)
        .current_dir(dir)
        // Whose terminal it is changes neither colours nor the lines of a frame.
        .envs([("LC_ALL", "C.UTF-8"), ("NO_COLOR", "1")])
        .envs([("HOME", dir), ("XDG_CONFIG_HOME", dir)])
        .stdin(Stdio::null())
        .stdout(out)
        .stderr(log.as_file().try_clone().expect("opened"))
        .status()
        .expect("it runs");
    fs::read_to_string(log.path()).expect("text in UTF-8")
}

const LEFT_OUT: &str = "...";

fn trimmed(text: &str) -> Vec<&str> {
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    let start = lines.iter().position(|line| !line.is_empty()).unwrap_or(lines.len());
    let end = lines.iter().rposition(|line| !line.is_empty()).map_or(start, |last| last + 1);
    lines[start..end].to_vec()
}

/// The quotation with the program's own words in it: all of them where nothing is quoted yet, else in place of each run of
/// lines the run of as many lines that is nearest to it.
fn quoted_anew(quoted: &[&str], said: &[&str]) -> Vec<String> {
    let own = |lines: &[&str]| lines.iter().map(|line| (*line).to_string()).collect::<Vec<_>>();
    if !quoted.contains(&LEFT_OUT) {
        return own(said);
    }
    let runs: Vec<&[&str]> = quoted.split(|line| *line == LEFT_OUT).collect();
    let (mut at, mut anew) = (0, Vec::new());
    for (i, run) in runs.iter().enumerate() {
        let far =
            |start: usize| -> usize { run.iter().zip(&said[start..]).map(|(a, b)| strsim::levenshtein(a, b)).sum() };
        let last = said.len().saturating_sub(run.len());
        let start = match i {
            0 => 0,
            _ if i + 1 == runs.len() => last,
            _ => (at..=last.max(at)).min_by_key(|start| far(*start)).unwrap_or(at),
        };
        at = (start + run.len()).min(said.len());
        anew.extend(own(&said[start.min(at)..at]));
        if i + 1 < runs.len() {
            anew.push(LEFT_OUT.into());
        }
    }
    anew
}

/// A console block as it should be.
fn run_anew(block: &str, dir: &Path) -> String {
    let mut lines = block.lines().peekable();
    let mut anew = String::new();
    while let Some(line) = lines.next() {
        let command = line.strip_prefix("$ ").unwrap_or_else(|| panic!("{line}: a command was expected"));
        let mut quoted = Vec::new();
        while let Some(line) = lines.next_if(|line| !line.starts_with("$ ")) {
            quoted.push(line);
        }
        let said = said(command, dir);
        anew += &format!("$ {command}\n");
        for line in quoted_anew(&quoted, &trimmed(&said)) {
            anew += &format!("{line}\n");
        }
    }
    anew
}

#[test]
fn every_quoted_output_is_what_the_program_prints() {
    let quoting: Vec<Page> = pages().into_iter().filter(|page| page.text.contains("```console\n")).collect();
    assert!(quoting.len() >= 5, "only {} pages quote", quoting.len());
    quoting.par_iter().for_each(|page| {
        let dir = desk(page);
        let anew: Vec<(String, String)> = blocks(&page.text)
            .iter()
            .filter(|block| block.language == "console")
            .map(|block| (format!("```console\n{}```\n", block.text), run_anew(block.text, dir.path())))
            .collect();
        stands(&page.name, |text| {
            let put =
                |text: String, (was, is): &(String, String)| text.replacen(was, &format!("```console\n{is}```\n"), 1);
            anew.iter().fold(text.to_string(), put)
        });
    });
}

/// Puts `own` into `base`: tables and lists in place of those of the same name. A `[box.…]` without a `[[box]]` goes into the
/// only box of the base.
fn put_into(mut base: Table, own: Table) -> Table {
    for (key, value) in own {
        match (base.get_mut(&key), value) {
            (Some(Value::Array(boxes)), Value::Table(more)) if key == "box" => {
                let Some(Value::Table(one)) = boxes.first_mut() else { panic!("a starter's box is a table") };
                one.extend(more);
            }
            (_, value) => {
                base.insert(key, value);
            }
        }
    }
    base
}

/// Whether a spec passes its check.
fn passes(text: &str) -> Result<bool, String> {
    let source = Source::new("page.toml", text);
    let checked = nestwright::check(&source, &Profiles::built_in(), &Kinds::built_in(), &Search::default());
    checked.map(|checked| !checked.refused()).map_err(|error| error.to_string())
}

fn fault_of(block: &Block, dir: &Path) -> Option<String> {
    let (verdict, right) = match block.mark? {
        ("spec", name) => {
            let own = if dir.join("own").exists() { "--profiles own " } else { "" };
            (said(&format!("nestwright {own}--quiet check {name}"), dir), true)
        }
        ("refused", _) => match passes(block.text) {
            Ok(false) => (String::new(), true),
            other => (format!("{other:?}"), false),
        },
        ("into", starter) => {
            let base = starters::find(starter).expect("a starter");
            let read = |text: &str| text.parse::<Table>().expect("TOML");
            let whole = toml::to_string(&put_into(read(base.text), read(block.text))).expect("TOML");
            match passes(&whole) {
                Ok(true) => (String::new(), true),
                other => (format!("{other:?}\n{whole}"), false),
            }
        }
        ("profile", name) => {
            let name = Path::new(name).file_stem().expect("a name").to_string_lossy();
            (said(&format!("nestwright --profiles own profiles {name} > shown.toml"), dir), true)
        }
        (other, _) => panic!("{other}: no such mark"),
    };
    (!verdict.is_empty() || !right).then_some(verdict)
}

#[test]
fn every_example_in_toml_is_read() {
    let (mut seen, mut faults) = (0, Vec::new());
    for page in pages() {
        let dir = desk(&page);
        for block in blocks(&page.text).iter().filter(|block| block.language == "toml") {
            assert!(block.mark.is_some(), "{}, line {}: nothing says what this is", page.name, block.line);
            let fault = fault_of(block, dir.path());
            faults.extend(fault.map(|why| format!("{}, line {}: {why}", page.name, block.line)));
            seen += 1;
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(seen >= 15, "only {seen} examples were found");
}

/// Whatever is in a fence says what it is, so that nothing is quoted without being tried.
#[test]
fn every_block_says_what_it_is() {
    for page in pages() {
        for block in blocks(&page.text) {
            let known = ["console", "toml", "sh", "text", "rust"].contains(&block.language);
            assert!(known, "{}, line {}: {:?}", page.name, block.line, block.language);
            let typed = block.text.lines().any(|line| line.starts_with("$ "));
            assert_eq!(typed, block.language == "console", "{}, line {}", page.name, block.line);
        }
    }
}

#[test]
fn a_quotation_that_is_not_so_is_seen() {
    let said = ["one 1", "two 2", "three 3", "four 4"];
    let quotes = |quoted: &[&str]| quoted_anew(quoted, &said) == quoted;
    assert!(quotes(&["one 1", "two 2", "three 3", "four 4"]) && quotes(&["one 1", "...", "four 4"]));
    assert!(quotes(&["...", "three 3", "..."]) && quotes(&["...", "two 2", "three 3", "four 4"]));
    assert!(!quotes(&["one 1", "two 2"]) && !quotes(&["...", "three 4", "..."]) && !quotes(&["two 2", "..."]));
    assert_eq!(quoted_anew(&["...", "three 9", "..."], &said), ["...", "three 3", "..."]);
    assert_eq!(quoted_anew(&[], &said), said);
}
