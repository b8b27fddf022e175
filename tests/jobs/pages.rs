//! The pages (README, DEVELOPERS and the book in `docs/`) hold together: links lead somewhere, commands are real, and what is
//! generated in them is what the program prints.
//!
//! `NESTWRIGHT_WRITE=1 cargo test --test jobs pages` brings what is generated up to date.

use nestwright::design::Kinds;
use nestwright::spec::reference;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::{env, fs};

/// A page, by its path from the top of the project.
pub struct Page {
    pub name: String,
    pub text: String,
}

fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every page there is, the book's chapters last.
pub fn pages() -> Vec<Page> {
    let chapters = fs::read_dir(top().join("docs/src")).expect("the book");
    let mut names: Vec<String> = chapters
        .map(|entry| entry.expect("readable").file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".md"))
        .map(|name| format!("docs/src/{name}"))
        .collect();
    names.sort();
    let front = ["README.md", "DEVELOPERS.md", "CHANGELOG.md"].map(String::from);
    let page = |name: String| Page { text: fs::read_to_string(top().join(&name)).expect("a page"), name };
    front.into_iter().chain(names).map(page).collect()
}

/// What stands in a page is what is generated; with `NESTWRIGHT_WRITE` set, it is put there.
pub fn stands(name: &str, change: impl Fn(&str) -> String) {
    // Several tests may want to write one page.
    static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());
    let _held = ONE_AT_A_TIME.lock();
    let path = top().join(name);
    let written = fs::read_to_string(&path).unwrap_or_default();
    let right = change(&written);
    if env::var_os("NESTWRIGHT_WRITE").is_some() {
        // Written beside it and put in its place: whoever reads it meanwhile finds the whole of one or the other.
        let beside = path.with_extension("new");
        fs::write(&beside, right).and_then(|()| fs::rename(&beside, &path)).expect("the page can be written");
        return;
    }
    if written != right {
        let odd = written.lines().zip(right.lines()).find(|(a, b)| a != b);
        panic!("{name} is not up to date: run the tests with NESTWRIGHT_WRITE=1 once, and look at it; first {odd:#?}");
    }
}

/// A page with what stands between two marks replaced.
pub fn between(page: &str, start: &str, end: &str, own: &str) -> String {
    let (before, rest) = page.split_once(start).expect("the page says where it starts");
    let (_, after) = rest.split_once(end).expect("the page says where it ends");
    format!("{before}{start}{own}{end}{after}")
}

#[test]
fn reference_of_keys_is_the_readers_own() {
    let (start, end) = ("<!-- Printed by `nestwright keys --markdown`: begin -->\n\n", "<!-- end -->");
    let keys = reference::markdown(&[reference::tables(&Kinds::built_in()), reference::profiles()].concat(), "");
    stands("docs/src/keys.md", |page| between(page, start, end, &keys));
}

#[test]
fn schema_of_job_json_is_the_writers_own() {
    let schema = serde_json::to_string_pretty(&nestwright::export::job_schema()).expect("JSON");
    stands("docs/src/job.schema.json", |_| format!("{schema}\n"));
}

#[test]
fn schema_of_specs_is_the_readers_own() {
    let schema = nestwright::spec::json_schema(&Kinds::built_in());
    let schema = serde_json::to_string_pretty(&schema).expect("JSON");
    stands("docs/src/spec.schema.json", |_| format!("{schema}\n"));
}

/// The book's pictures are the samples': a book can show only what lies in its own folder.
#[test]
fn pictures_are_those_of_the_samples() {
    let pictures = [
        ("nucs-sheet.svg", "nucs/sheet-1.svg"),
        ("nucs-saw.svg", "nucs/saw-1.svg"),
        ("nucs-section.svg", "nucs/boxes/queen-nuc-section.svg"),
        ("brood-body.svg", "supers/boxes/brood-body.svg"),
    ];
    for (name, sample) in pictures {
        let made = fs::read_to_string(top().join("out-samples").join(sample)).expect("a sample's picture");
        stands(&format!("docs/src/pictures/{name}"), |_| made.clone());
    }
    let there = fs::read_dir(top().join("docs/src/pictures")).expect("pictures").count();
    assert_eq!(there, pictures.len(), "every picture is held against a sample's");
}

/// A page without its code, where brackets are no links.
fn prose(text: &str) -> String {
    let mut code = false;
    let lines = text.lines().filter(|line| {
        let fence = line.trim_start().starts_with("```");
        code ^= fence;
        !code && !fence
    });
    let plain = |line: &str| line.split('`').step_by(2).collect::<Vec<_>>().join("·");
    lines.map(plain).collect::<Vec<_>>().join("\n")
}

fn links(text: &str) -> Vec<String> {
    let prose = prose(text);
    let ends = prose.match_indices("](").map(|(at, _)| &prose[at + 2..]);
    ends.filter_map(|rest| rest.split_once(')')).map(|(link, _)| link.to_string()).collect()
}

/// The names by which a page's headings can be linked to.
fn anchors(text: &str) -> BTreeSet<String> {
    let headings = text.lines().filter(|line| line.starts_with('#'));
    headings
        .map(|line| {
            let kept = line.trim_start_matches('#').trim().to_lowercase();
            let kept = kept.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
            kept.map(|c| if c == ' ' { '-' } else { c }).collect()
        })
        .collect()
}

fn dead_links(page: &Page) -> Vec<String> {
    let path = top().join(&page.name);
    let folder = path.parent().expect("in a folder");
    let dead = |link: &String| {
        let (file, anchor) = link.split_once('#').unwrap_or((link, ""));
        let target = if file.is_empty() { path.clone() } else { folder.join(file) };
        let text = if file.is_empty() { Ok(page.text.clone()) } else { fs::read_to_string(&target) };
        // A chapter leads to nothing outside the book, which would not be there once the book is built.
        let outside = page.name.starts_with("docs/src/") && file.starts_with("..");
        outside || !target.exists() || (!anchor.is_empty() && !anchors(&text.unwrap_or_default()).contains(anchor))
    };
    let far = |link: &String| ["https://", "http://", "mailto:"].iter().any(|start| link.starts_with(start));
    links(&page.text).into_iter().filter(|link| !far(link) && dead(link)).collect()
}

#[test]
fn every_link_leads_somewhere() {
    let mut seen = 0;
    for page in pages() {
        seen += links(&page.text).len();
        let dead = dead_links(&page);
        assert!(dead.is_empty(), "{}: {dead:?}", page.name);
    }
    assert!(seen > 50, "only {seen} links");
    let text = "# A heading\n\n[there](#a-heading), [not](#another), [nor](none.md), `[code](none.md)`".to_string();
    let odd = Page { name: "README.md".into(), text };
    assert_eq!(dead_links(&odd), ["#another", "none.md"]);
    let odd = Page { name: "docs/src/boxes.md".into(), text: "[out](../../README.md), [in](holes.md)".into() };
    assert_eq!(dead_links(&odd), ["../../README.md"]);
}

#[test]
fn every_chapter_is_in_the_summary() {
    let summary = fs::read_to_string(top().join("docs/src/SUMMARY.md")).expect("a summary");
    let listed: BTreeSet<String> = links(&summary).into_iter().map(|link| format!("docs/src/{link}")).collect();
    let there: BTreeSet<String> =
        pages().into_iter().map(|page| page.name).filter(|name| name.starts_with("docs/src/")).collect();
    let missing: Vec<&String> = there.difference(&listed).filter(|name| !name.ends_with("SUMMARY.md")).collect();
    assert!(missing.is_empty() && listed.is_subset(&there), "{missing:?}, {listed:?}");
}

/// The pages that one is to read through are short.
#[test]
fn front_pages_are_short() {
    for page in pages().iter().filter(|page| ["README.md", "DEVELOPERS.md"].contains(&page.name.as_str())) {
        let lines = page.text.lines().count();
        assert!(lines < 150, "{} has {lines} lines", page.name);
    }
}

/// Every command that stands in a page is one that the program has.
#[test]
fn commands_are_real() {
    let help = std::process::Command::new(env!("CARGO_BIN_EXE_nestwright")).arg("help").output().expect("it runs");
    let help = String::from_utf8(help.stdout).expect("text");
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|word| !word.is_empty())
        .collect();
    assert!(commands.contains(&"make"), "{commands:?}");
    let mut seen = 0;
    for Page { name, text } in pages() {
        for typed in code(&text).iter().filter_map(|code| code.trim_start_matches("$ ").strip_prefix("nestwright ")) {
            if let Some(word) = typed.split_whitespace().find(|word| !word.starts_with('-')) {
                assert!(commands.contains(&word), "{name}: `nestwright {typed}` is no command");
                seen += 1;
            }
        }
    }
    assert!(seen >= 20, "only {seen} commands were found");
}

/// Lines of a page's code, and the spans of code in its prose.
fn code(text: &str) -> Vec<&str> {
    let mut inside = false;
    let mut found = Vec::new();
    for line in text.lines() {
        match line.trim_start().starts_with("```") {
            true => inside = !inside,
            false if inside => found.push(line.trim()),
            false => found.extend(line.split('`').skip(1).step_by(2)),
        }
    }
    found
}

/// A path that stands in a page as code is there.
#[test]
fn paths_are_real() {
    let tops = ["src/", "tests/", "benches/", "docs/", "profiles/", "out-samples/", "fonts/", "fuzz/", ".ci/"];
    let mut seen = 0;
    for Page { name, text } in pages() {
        for path in code(&text).into_iter().filter(|code| tops.iter().any(|top| code.starts_with(top))) {
            if !path.contains(' ') {
                assert!(top().join(path).exists(), "{name}: there is no {path}");
                seen += 1;
            }
        }
    }
    assert!(seen > 20, "only {seen} paths were found");
}

/// Every bench that a page names is there.
#[test]
fn benches_are_real() {
    let mut seen = 0;
    for Page { name, text } in pages() {
        for (at, start) in text.match_indices("--bench ") {
            let bench: String = text[at + start.len()..].chars().take_while(|c| c.is_alphanumeric()).collect();
            let path: PathBuf = top().join(format!("benches/{bench}.rs"));
            assert!(path.exists(), "{name}: there is no benchmark {bench}");
            seen += 1;
        }
    }
    assert!(seen >= 6, "only {seen} benchmarks are named");
}
