//! Specs: read, checked, and what is accepted is made, with all its files.

use super::{FAULT, Target, sign};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::export;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use std::sync::LazyLock;
use std::time::Duration;

static PROFILES: LazyLock<Profiles> = LazyLock::new(Profiles::built_in);
static KINDS: LazyLock<Kinds> = LazyLock::new(Kinds::built_in);

pub const TARGET: Target = Target {
    name: "spec",
    corpus: || {
        let starters = nestwright::starters::ALL.iter().map(|starter| starter.text.as_bytes().to_vec());
        let small = [
            "title = \"t\"\nstock = { material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }\n[[part]]\nname = \"p\"\nsize = [100, 50]\n",
            "title = \"t\"\nunits = \"in\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [48, 24]\nthickness = \"1/2\"\n[saw]\nkerf = \"1/8\"\n[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [8, 6, 4]\ncorner = \"finger\"\n",
        ];
        starters.chain(small.map(|text| text.as_bytes().to_vec())).collect()
    },
    words: &[
        "\n",
        "=",
        "[",
        "]",
        "{",
        "}",
        "[[box]]",
        "[[part]]",
        "[[box.hole]]",
        "[[part.pocket]]",
        "[[stock]]",
        "[saw]",
        "kerf = 3",
        "\"",
        "'",
        "\"\"\"",
        "#",
        "true",
        "false",
        "nan",
        "inf",
        "0",
        "-1",
        "1e300",
        "\"mm\"",
        "\"in\"",
        "units = \"in\"",
        "\"3/4 in\"",
        "\"centre\"",
        "across = 0",
        "up = 20",
        "down = 5",
        "count = 3",
        "size = [300, 200]",
        "inside = [150, 120, 90]",
        "kind = \"cavity-box\"",
        "kind = \"open-box\"",
        "kind = \"frame-box\"",
        "occupant = \"blue-tit\"",
        "occupant = \"bat\"",
        "occupant = \"honey-bee-swarm\"",
        "frame = \"national-brood\"",
        "frame = \"zander\"",
        "frames = 3",
        "corner = \"finger\"",
        "corner = \"rabbet\"",
        "rest = \"rabbet\"",
        "rest = \"inner-wall\"",
        "floor = \"loose\"",
        "floor = \"none\"",
        "cover = \"telescoping\"",
        "cover = \"inner\"",
        "cover = \"none\"",
        "walls = \"ends\"",
        "handhold = \"recess\"",
        "handhold = \"slot\"",
        "division-board = true",
        "entrance-block = true",
        "roof = \"gabled\"",
        "access = \"side\"",
        "access = \"front\"",
        "access = \"roof\"",
        "access-by = \"slide\"",
        "back-plate = true",
        "vents = 4",
        "drains = 0",
        "slope = 40",
        "thickness = 18",
        "thickness = 6",
        "finger = 8",
        "hold = \"onion-skin\"",
        "lead = \"none\"",
        "relief = \"wide\"",
        "finish = 0.5",
        "screws = false",
        "grain = \"long\"",
        "grain = \"cross\"",
        "use = \"vent\"",
        "slot = [90, 20]",
        "diameter = 8",
        "depth = 4",
        "stands-on = \"nuc\"",
        "paper = \"a3\"",
        "price = 30",
        "[cost]",
        "rate = 30",
        "machine = \"shop-router\"",
        "machine = \"circular-saw\"",
        "cutter = \"endmill-1-4\"",
        "\u{202e}",
        "🐝",
        "\0",
        "\u{feff}",
    ],
    run,
    patience: Duration::from_secs(20),
};

fn run(input: &[u8]) -> Vec<String> {
    let source = Source::new("fuzz.toml", String::from_utf8_lossy(input));
    let told = |error: &Error| match error {
        Error::Unreadable(problems) => {
            for problem in problems {
                let _ = source.line_column(problem.span.start);
                assert!(problem.span.end <= source.text.len(), "{problem:?}");
                assert!(!problem.message.is_empty() && !problem.expected.is_empty(), "{problem:?}");
            }
            problems.iter().map(|problem| sign(&problem.message)).collect()
        }
        Error::Refused(findings) => {
            assert!(findings.iter().any(|finding| finding.refused()), "nothing is refused");
            findings.iter().filter(|finding| finding.refused()).map(|finding| sign(&finding.check)).collect()
        }
        Error::Unproved(_) => vec![FAULT.to_string()],
        other => panic!("{other}"),
    };
    let checked = match nestwright::check(&source, &PROFILES, &KINDS, &Search::default()) {
        Ok(checked) => checked,
        Err(error) => return told(&error),
    };
    let pieces: u32 = checked.job.boxes.iter().map(|order| order.count * 10).sum::<u32>()
        + checked.job.loose.iter().map(|part| part.count).sum::<u32>();
    if checked.refused() || pieces > 200 {
        let checks = checked.findings.iter().filter(|finding| finding.refused());
        return checks.map(|finding| sign(&finding.check)).collect();
    }
    match nestwright::make(checked, &Search::default()) {
        Ok(made) => {
            let files = export::files(&made).unwrap_or_else(|error| panic!("{error}"));
            vec![format!("made {} {}", files.len().min(60), made.programs.len().min(9))]
        }
        Err(error) => told(&error),
    }
}
