//! Who may know whom: each room of the source uses those above it in the order, and none below. What is denied inside that
//! order is named too, and no files of a room go round in a circle. And what any room is held to: no function is long.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::{env, fs};

/// From the plainest to what knows them all. A room is a file of `src`, or a folder.
const ORDER: [&str; 36] = [
    "units",
    "words",
    "paper",
    "watch",
    "geometry",
    "finding",
    "reading",
    "error",
    "profile",
    "design",
    "job",
    "label",
    "offcuts",
    "spec",
    "starters",
    "joining",
    "build",
    "fit",
    "layout",
    "route",
    "saw",
    "gcode",
    "proof",
    "claim",
    "trial",
    "supply",
    "steps",
    "left_over",
    "made",
    "yields",
    "draw",
    "export",
    "disk",
    "lib",
    "cli",
    "main",
];

/// What a room, or a folder of it, must not use although it stands above: paths from the crate's root.
const DENIED: [(&str, &[&str]); 4] = [
    // A layout knows outlines and numbers, not boxes and panels.
    (
        "layout",
        &[
            "design::Panel",
            "design::Assembly",
            "design::Contact",
            "design::Kind",
            "design::contacts",
            "job::BoxOrder",
            "build",
            "fit",
        ],
    ),
    // A proof knows a program's text, the sheet and what was claimed of it: nothing of how the program came about, and not
    // the offset that its path was made with.
    (
        "proof",
        &[
            "route",
            "layout",
            "saw",
            "job",
            "design",
            "label",
            "build",
            "gcode::Program",
            "gcode::programs",
            "gcode::write",
            "geometry::offset",
        ],
    ),
    // Reader and writer share the language and no code.
    ("gcode/read", &["gcode::write", "gcode::Program", "route", "job"]),
    ("gcode/write", &["gcode::read"]),
];

/// A file of the source: where it stands below `src`, and the paths that it uses, from the crate's root.
struct File {
    at: PathBuf,
    uses: BTreeSet<String>,
}

impl File {
    /// The file or folder of `src` that it stands in.
    fn room(&self) -> String {
        let first = self.at.iter().next().unwrap_or_default().to_string_lossy();
        first.trim_end_matches(".rs").into()
    }

    /// The modules above it: those of `layout/bound/rule.rs` are `layout`, `bound` and `rule`.
    fn module(&self) -> Vec<String> {
        module(&self.at)
    }
}

fn module(at: &Path) -> Vec<String> {
    let mut names: Vec<String> = at.iter().map(|name| name.to_string_lossy().trim_end_matches(".rs").into()).collect();
    if names.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
        names.pop();
    }
    names
}

fn sources(src: &Path) -> Vec<File> {
    let mut found = Vec::new();
    let mut folders = vec![src.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder of sources") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|it| it == "rs") && !path.ends_with("tests.rs") {
                let text = fs::read_to_string(&path).expect("a source");
                let at = path.strip_prefix(src).expect("below src").to_path_buf();
                found.push(File { uses: uses(&text, &at), at });
            }
        }
    }
    found.sort_by(|a, b| a.at.cmp(&b.at));
    found
}

/// All paths that a text uses, written out from the crate's root. What a file's own tests use is left out.
fn uses(text: &str, at: &Path) -> BTreeSet<String> {
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let code: Vec<&str> = text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect();
    let code = code.join("\n");
    let mut found = BTreeSet::new();
    for start in ["crate::", "nestwright::", "super::"] {
        for (place, _) in code.match_indices(start) {
            let before = code[..place].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':') {
                continue;
            }
            let mut root = Vec::new();
            let mut rest = &code[place..];
            if start == "super::" {
                root = module(at);
                while let Some(up) = rest.strip_prefix("super::") {
                    assert!(root.pop().is_some(), "{}: too many `super`", at.display());
                    rest = up;
                }
            } else {
                rest = &rest[start.len()..];
            }
            written_out(rest, &root.join("::"), &mut found);
        }
    }
    found
}

/// Adds the paths of a tree of names, `a::{b, c::d}`, below a path; returns what stands behind it.
fn written_out<'a>(text: &'a str, below: &str, found: &mut BTreeSet<String>) -> &'a str {
    let join = |name: &str| if below.is_empty() { name.into() } else { format!("{below}::{name}") };
    let text = text.trim_start();
    if let Some(mut rest) = text.strip_prefix('{') {
        loop {
            rest = rest.trim_start_matches([',', ' ', '\n']);
            if let Some(behind) = rest.strip_prefix('}') {
                return behind;
            }
            let behind = written_out(rest, below, found);
            assert!(behind.len() < rest.len(), "cannot read the names at {:?}", &rest[..rest.len().min(60)]);
            rest = behind;
            if let Some(renamed) = rest.trim_start().strip_prefix("as ") {
                rest = renamed.trim_start_matches(|c: char| c.is_alphanumeric() || c == '_');
            }
        }
    }
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len());
    let (name, rest) = text.split_at(end);
    match rest.strip_prefix("::") {
        Some(more) if more.starts_with(|c: char| c.is_alphabetic() || c == '_' || c == '{') => {
            written_out(more, &join(name), found)
        }
        _ if name == "self" => {
            found.insert(below.into());
            rest
        }
        _ => {
            found.insert(join(name));
            rest
        }
    }
}

/// What is wrong with who uses whom.
fn faults(files: &[File]) -> Vec<String> {
    let floor = |room: &str| ORDER.iter().position(|name| *name == room);
    let mut faults = Vec::new();
    for file in files {
        let room = file.room();
        let Some(own) = floor(&room) else {
            faults.push(format!("{}: the room {room} has no place in the order", file.at.display()));
            continue;
        };
        for path in &file.uses {
            let used = path.split("::").next().unwrap_or_default();
            // What the crate's root defines, it defines for whoever stands below it.
            let used = floor(used).unwrap_or_else(|| floor("lib").expect("the root has a place"));
            if used > own {
                faults.push(format!("{} uses {path}, which stands below it", file.at.display()));
            }
        }
        for (_, denied) in DENIED.iter().filter(|(of, _)| file.at.starts_with(of)) {
            let is = |path: &str, denied: &str| path == denied || path.starts_with(&format!("{denied}::"));
            for path in file.uses.iter().filter(|path| denied.iter().any(|denied| is(path, denied))) {
                faults.push(format!("{} uses {path}, which is denied to it", file.at.display()));
            }
        }
    }
    faults.extend(circles(files));
    faults
}

/// Files that use each other in a circle. A folder's own `mod.rs` is open to every file in it.
fn circles(files: &[File]) -> Vec<String> {
    let index: BTreeMap<Vec<String>, usize> = files.iter().enumerate().map(|(i, file)| (file.module(), i)).collect();
    let used_file = |path: &str| {
        let names: Vec<String> = path.split("::").map(str::to_string).collect();
        (1..=names.len()).rev().find_map(|end| index.get(&names[..end]).copied())
    };
    let next: Vec<Vec<usize>> = files
        .iter()
        .map(|file| {
            let used = file.uses.iter().filter_map(|path| used_file(path));
            let own = file.module();
            used.filter(|i| !own.starts_with(&files[*i].module())).collect()
        })
        .collect();
    let reaches = |from: usize, to: usize| {
        let (mut seen, mut todo) = (BTreeSet::new(), next[from].clone());
        while let Some(i) = todo.pop() {
            if seen.insert(i) {
                todo.extend(&next[i]);
            }
        }
        seen.contains(&to)
    };
    let in_circle = (0..files.len()).filter(|i| reaches(*i, *i));
    in_circle.map(|i| format!("{} stands in a circle of files", files[i].at.display())).collect()
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn every_room_uses_those_above_it_only() {
    let files = sources(&src());
    assert!(files.len() > 200, "only {} files were found", files.len());
    let faults = faults(&files);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// An edge back up, one that is denied, and a circle of two files are each found.
#[test]
fn what_must_not_be_is_found() {
    let with = |at: &str, text: &str| {
        let mut files = sources(&src());
        let file = files.iter_mut().find(|file| file.at == Path::new(at)).expect("a file of this name");
        file.uses.extend(uses(text, Path::new(at)));
        faults(&files)
    };
    for (at, text) in [
        ("geometry/outline.rs", "use crate::fit::check;"),
        ("units/mod.rs", "fn far() { nestwright::made::Made::default() }"),
        ("draw/part.rs", "use crate::{geometry::Point, export::{csv, dxf}};"),
        ("proof/shape.rs", "use crate::geometry::{Affine, offset};"),
        ("proof/wood.rs", "use super::super::route::{self, Route};"),
        ("layout/mod.rs", "use crate::design::{Part, Panel};"),
        ("layout/mix.rs", "use super::cut_outs::filled;"),
    ] {
        assert!(!with(at, text).is_empty(), "nothing is said of `{text}` in {at}");
    }
}

/// Functions that each system computes with a library of its own; `geometry/math.rs` has what stands for them. So has a
/// power that the compiler works out as it likes. `hypot()` of a vector is a root, which IEEE 754 settles.
const OF_THE_SYSTEM: [&str; 27] = [
    "sin(",
    "cos(",
    "tan(",
    "sin_cos(",
    "asin(",
    "acos(",
    "atan(",
    "atan2(",
    "hypot(",
    "sinh(",
    "cosh(",
    "tanh(",
    "exp(",
    "exp2(",
    "exp_m1(",
    "ln(",
    "ln_1p(",
    "log(",
    "log2(",
    "log10(",
    "powf(",
    "powi(",
    "cbrt(",
    "from_angle(",
    "rotate(",
    "angle_between(",
    "from_axis_angle(",
];

/// Calls of such functions in a source, but for those of its tests.
fn of_the_system(text: &str) -> Vec<&str> {
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let code = text.lines().map(|line| line.split("//").next().unwrap_or_default());
    let called = |line: &&str| {
        let line = line.replace("powi(2)", "").replace("powi(3)", "").replace(".hypot()", "");
        OF_THE_SYSTEM
            .iter()
            .any(|name| [".", "f64::", "Vec2::", "Affine::"].iter().any(|of| line.contains(&format!("{of}{name}"))))
    };
    code.filter(called).collect()
}

#[test]
fn no_digit_hangs_on_the_system() {
    let mut found = Vec::new();
    for File { at, .. } in sources(&src()) {
        let text = fs::read_to_string(src().join(&at)).expect("a source");
        found.extend(of_the_system(&text).iter().map(|line| format!("{}: {}", at.display(), line.trim())));
    }
    assert!(found.is_empty(), "take it from `geometry::math`:\n{}", found.join("\n"));
}

#[test]
fn functions_of_the_system_are_found() {
    for line in [
        "let a = turn.sin();",
        "f64::hypot(a, b)",
        "Affine::rotate(1.0)",
        "10f64.powi(places)",
        "(y / x).atan()",
        "v.atan2()",
    ] {
        assert_eq!(of_the_system(line), [line]);
    }
    for line in [
        "sin(turn)",
        "side.hypot()",
        "x.powi(2)",
        "// turn.sin()",
        "#[cfg(test)]\nmod tests { fn a() { x.sin() } }",
        "canvas.rotated()",
    ] {
        assert!(of_the_system(line).is_empty(), "{line}");
    }
}

/// A function that is longer does more than its name says.
const LONGEST_FUNCTION: usize = 80;

/// Names and lengths in lines of all functions of a source as rustfmt leaves it: each ends at the brace below its own line's
/// beginning.
fn functions(text: &str) -> Vec<(&str, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (start, line) in lines.iter().enumerate() {
        let code = line.trim_start();
        let indent = &line[..line.len() - code.len()];
        let mut words =
            code.split(' ').skip_while(|word| ["const", "async", "unsafe"].contains(word) || word.starts_with("pub"));
        let (Some("fn"), Some(name)) = (words.next(), words.next()) else { continue };
        let name = name.split(['(', '<']).next().unwrap_or_default();
        let ends = |line: &&str| {
            let outdented = line.strip_prefix(indent).filter(|rest| !rest.starts_with(' ')).unwrap_or_default();
            outdented.ends_with(['}', ';'])
        };
        let length = lines[start..].iter().position(ends).expect("every function ends") + 1;
        found.push((name, length));
    }
    found
}

#[test]
fn no_function_is_long() {
    let mut long = Vec::new();
    let mut count = 0;
    for File { at, .. } in sources(&src()) {
        let text = fs::read_to_string(src().join(&at)).expect("a source");
        let all = functions(&text);
        count += all.len();
        let beyond = all.iter().filter(|(_, length)| *length > LONGEST_FUNCTION);
        long.extend(beyond.map(|(name, length)| format!("{}: `{name}` has {length} lines", at.display())));
    }
    assert!(count > 1000, "only {count} functions were found");
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn the_lines_of_functions_are_counted() {
    let text = "trait Saw {\n    fn cuts(&self);\n}\nimpl Saw for Table {\n    pub(crate) const fn cuts(\n        &self,\n    ) {\n        \
                if true {\n        }\n    }\n}\nfn short() {}\nfn of<T>(it: T) -> T\nwhere\n    T: Copy,\n{\n    it\n}\n";
    assert_eq!(functions(text), [("cuts", 1), ("cuts", 6), ("short", 1), ("of", 6)]);
}
