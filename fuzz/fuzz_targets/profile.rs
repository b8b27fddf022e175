//! Profiles of a maker's own: read from a folder, and a job is made with what is accepted.

use super::{FAULT, Target, sign};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::export;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;
use std::time::Duration;

/// Each kind of profile, and a job that leans on the one called `mine`.
const KINDS: [(&str, &str); 7] = [
    ("frames", "[[box]]\nname = \"b\"\nkind = \"frame-box\"\ncount = 1\nframe = \"mine\"\nframes = 4\n"),
    ("occupants", "[[box]]\nname = \"b\"\nkind = \"cavity-box\"\ncount = 1\noccupant = \"mine\"\n"),
    ("materials", "part = { name = \"p\", size = [100, 50] }\n"),
    ("tools", "[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [150, 120, 80]\ncorner = \"finger\"\n"),
    (
        "machines",
        "part = { name = \"p\", size = [100, 50], hole = [{ use = \"vent\", diameter = 20, across = 50, up = 25 }] }\n",
    ),
    ("saws", "[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [150, 120, 80]\n"),
    ("fasteners", "[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [150, 120, 80]\n"),
];

/// The first byte of an input is the kind's number.
pub const TARGET: Target = Target {
    name: "profile",
    corpus: || {
        let mut corpus = Vec::new();
        let shelf = Profiles::built_in();
        for (i, (kind, _)) in KINDS.iter().enumerate() {
            for (_, _, file) in shelf.files().filter(|(folder, _, _)| folder == kind).take(4) {
                corpus.push([&[b'0' + i as u8], file.source.text.as_bytes()].concat());
            }
        }
        corpus
    },
    words: &[
        "\n",
        "=",
        "{ value = 1, source = \"s\" }",
        "value = 0",
        "value = [1, 2]",
        "value = [2000, 5]",
        "value = true",
        "value = \"mm\"",
        "value = \"in\"",
        "value = 0.5",
        "value = 20000",
        "source = \"\"",
        "source = \"\u{1b}[31m\"",
        "nan",
        "inf",
        "-1",
        "0",
        "1e300",
        "\"none\"",
        "\"automatic\"",
        "\"pause\"",
        "\"sheet-top\"",
        "\"spoilboard\"",
        "\"radius\"",
        "\"end-mill\"",
        "\"drill\"",
        "\"brad\"",
        "\"screw\"",
        "\"top\"",
        "\"bottom\"",
        "title",
        "diameter",
        "travel",
        "spindle",
        "\"19 in\"",
        "\"3/8 in\"",
        "[",
        "]",
        "{",
        "}",
        "\"",
    ],
    run,
    patience: Duration::from_secs(20),
};

static FOLDER: LazyLock<tempfile::TempDir> = LazyLock::new(|| tempfile::tempdir().expect("a temporary folder"));
static BOXES: LazyLock<Kinds> = LazyLock::new(Kinds::built_in);
static BUILT_IN: LazyLock<Profiles> = LazyLock::new(Profiles::built_in);

fn run(input: &[u8]) -> Vec<String> {
    let Some((first, text)) = input.split_first() else { return vec![] };
    let (kind, boxes) = KINDS[usize::from(*first) % KINDS.len()];
    let folder: &Path = FOLDER.path();
    let _ = fs::remove_dir_all(folder.join("own"));
    fs::create_dir_all(folder.join("own").join(kind)).expect("made");
    fs::write(folder.join("own").join(kind).join("mine.toml"), text).expect("written");
    let mut profiles = BUILT_IN.clone();
    if let Err(error) = profiles.add_folder(&folder.join("own")) {
        return match error {
            Error::Unreadable(problems) => {
                problems.iter().map(|problem| format!("{kind} {}", sign(&problem.message))).collect()
            }
            other => vec![sign(&other.to_string())],
        };
    }
    let mine = |of: &str, usual: &'static str| if of == kind { "mine" } else { usual };
    let spec = format!(
        "title = \"t\"\n{}[stock]\nmaterial = \"{}\"\nsize = [1220, 610]\nthickness = 12.1\n[router]\nmachine = \"{}\"\ncutter = \"{}\"\n\
         [saw]\nkerf = 3\nmachine = \"{}\"\n[hardware]\nfastener = \"{}\"\n",
        boxes.split_once("[[").map_or(boxes, |_| ""),
        mine("materials", "birch-plywood"),
        mine("machines", "desktop-router"),
        mine("tools", "endmill-6"),
        mine("saws", "table-saw"),
        mine("fasteners", "brad-2"),
    ) + if boxes.starts_with("[[") { boxes } else { "" };
    let made =
        nestwright::check(&Source::new("job.toml", spec), &profiles, &BOXES, &Search::default()).and_then(|checked| {
            if checked.refused() {
                Err(Error::refused(checked.findings))
            } else {
                nestwright::make(checked, &Search::default())
            }
        });
    match made {
        Ok(made) => {
            let files = export::files(&made).unwrap_or_else(|error| panic!("{error}"));
            vec![format!("{kind} made {}", files.len().min(50))]
        }
        Err(Error::Unreadable(problems)) => {
            problems.iter().map(|problem| format!("{kind} job {}", sign(&problem.message))).collect()
        }
        Err(Error::Refused(findings)) => findings
            .iter()
            .filter(|finding| finding.refused())
            .map(|finding| format!("{kind} {}", sign(&finding.check)))
            .collect(),
        Err(Error::Unproved(_)) => vec![FAULT.to_string()],
        Err(other) => panic!("{other}"),
    }
}
