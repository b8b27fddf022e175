//! Programs: read, replayed and held against a job, as `prove` does with any file.

use super::{Target, sign};
use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use nestwright::proof::{Claim, NoProof, Prover, Text};
use nestwright::reading::Source;
use nestwright::watch::Search;
use std::sync::LazyLock;
use std::time::Duration;

/// Boards with holes of every kind, a tray with recesses; a program for each machine.
const SPECS: [&str; 3] = ["desktop-router", "older-router", "plain-router"];

static JOBS: LazyLock<Vec<(Claim, Vec<String>)>> = LazyLock::new(|| {
    let job = |machine: &str| {
        let spec = format!(
            "title = \"t\"\nunits = \"mm\"\n\
             stock = {{ material = \"birch-plywood\", size = [500, 300], thickness = 12.1 }}\n\
             router = {{ machine = \"{machine}\", cutter = \"endmill-6\", drills = [\"drill-20\"] }}\n\
             part = [{{ name = \"board\", size = [160, 100], count = 1, hole = [\
             {{ use = \"vent\", diameter = 20, across = 30, up = 30 }}, {{ use = \"vent\", diameter = 9, across = 60, up = 30 }}, \
             {{ use = \"entrance\", diameter = 42, across = 120, up = 50 }}] }}]\n\
             box = [{{ name = \"tray\", kind = \"open-box\", count = 1, inside = [100, 70, 50], corner = \"rabbet\" }}]\n"
        );
        let source = Source::new("job.toml", spec);
        let made = nestwright::check(&source, &Profiles::built_in(), &Kinds::built_in(), &Search::default())
            .and_then(|checked| nestwright::make(checked, &Search::default()));
        let made = made.unwrap_or_else(|error| panic!("{error}"));
        let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
        (claim, made.programs.into_iter().map(|program| program.text).collect())
    };
    SPECS.into_iter().map(job).collect()
});

pub const TARGET: Target = Target {
    name: "program",
    corpus: || JOBS.iter().flat_map(|(_, texts)| texts.iter().map(|text| text.as_bytes().to_vec())).collect(),
    words: &[
        "\n", "%\n", "(", ")", ";", "/", "#1=", "[", "]", "-", ".", "0", "1e9", "9999999", "-9999999", "0.0001", "nan",
        "G0 ", "G1 ", "G2 ", "G3 ", "G4 P1", "G17", "G18", "G20", "G21", "G28", "G40", "G41", "G43 H1", "G49", "G53 ",
        "G54", "G55", "G73 ", "G80", "G81 ", "G82 ", "G83 ", "G90", "G91", "G90.1", "G91.1", "G93", "G94", "G98",
        "G99", "M0", "M1", "M2", "M3", "M4", "M5", "M6", "M30", "T1", "T2", "T3", "S16000", "F1000", "F0", "X100",
        "Y100", "X-100", "Z-12.4", "Z5", "I3", "J-3", "R5", "R-5", "Q1", "Q0.001", "L1000", "P0", "H2", "N10 ",
        "X0 Y0 ",
    ],
    run: |input| {
        let text = String::from_utf8_lossy(input);
        let mut said = Vec::new();
        for (claim, _) in JOBS.iter() {
            let prover = Prover::new(claim).expect("a router");
            let texts = [Text { file: "own.nc", text: &text, tool: Some(1) }];
            match prover.prove_with_areas(1, &texts) {
                Err(NoProof::Unreadable(it)) => {
                    // Where it stands must be in the file.
                    assert!(it.refusal.line >= 1 && it.refusal.column >= 1, "{}", it.refusal);
                    assert!(it.refusal.line <= text.lines().count() + 1, "{}", it.refusal);
                    said.push(sign(&it.refusal.why));
                }
                Err(NoProof::NothingToProve(why)) => said.push(sign(&why)),
                Err(NoProof::WhichTool { line, expected, .. }) => {
                    assert!((1..=text.lines().count()).contains(&line), "{line}");
                    said.push(sign(&expected));
                }
                Ok(proofs) => {
                    said.extend(proofs.iter().flat_map(|proof| proof.faults()).map(|it| it.finding.check.clone()));
                    prover.shown(1, &texts).expect("it was readable");
                }
            }
        }
        said
    },
    patience: Duration::from_secs(20),
};
