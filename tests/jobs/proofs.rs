//! Programs are proved, and broken ones are not.

use crate::shared;
use nestwright::proof::{Claim, NoProof, Proof, Prover, Text};
use nestwright::{Made, error::Error};

fn claim(made: &Made) -> Claim {
    Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs)
}

/// The proof of one of a job's programs with another text; the others of its sheet are as they were made.
fn proof_of(made: &Made, file: &str, text: &str) -> Proof {
    let claim = claim(made);
    let prover = Prover::new(&claim).expect("a router");
    let sheet = made.programs.iter().find(|program| program.file == file).expect("a program").sheet + 1;
    let texts: Vec<Text> = made
        .programs
        .iter()
        .filter(|program| program.sheet + 1 == sheet)
        .map(|program| Text {
            file: &program.file,
            text: if program.file == file { text } else { &program.text },
            tool: prover.first_tool(sheet, &program.file),
        })
        .collect();
    let proofs = prover.prove(sheet, &texts).unwrap_or_else(|why| panic!("{why:?}"));
    proofs.into_iter().find(|proof| proof.file == file).expect("a proof")
}

#[test]
fn every_program_of_every_sample_is_proved() {
    for (name, spec) in shared::samples() {
        match nestwright::make(shared::check(&spec), &crate::shared::search()) {
            Ok(made) => {
                assert_eq!(made.proof.len(), made.programs.len(), "{name}");
                assert!(made.job.router.is_none() || crate::shared::proved(&made.proof), "{name}");
            }
            Err(Error::Unproved(programs)) => {
                let told: Vec<String> = programs
                    .iter()
                    .flat_map(|program| &program.faults)
                    .map(|it| format!("{}: {}", it.finding.check, it.told(Default::default())))
                    .collect();
                panic!("{name}:\n{}", told.join("\n"));
            }
            Err(other) => panic!("{name}: {other}"),
        }
    }
}

/// Two boards with a hole each.
const BOARDS: &str = r#"
title = "boards"
units = "mm"
stock = { material = "birch-plywood", size = [600, 400], thickness = 12.1 }
router = { machine = "desktop-router", cutter = "endmill-6" }
part = { name = "board", size = [200, 120], count = 2, hole = [{ use = "vent", diameter = 20, across = 60, up = 60 }] }
"#;

/// Of a machine that takes a program for each tool, one under another name says nothing of its tool: it is told so, with the
/// names that would.
#[test]
fn a_program_under_another_name_is_told_which_names_there_are() {
    let two = BOARDS.replace("cutter = \"endmill-6\"", "cutter = \"endmill-6\", drills = [\"drill-20\"]");
    let made = shared::make(&two);
    let claim = claim(&made);
    let prover = Prover::new(&claim).expect("a router");
    assert_eq!(made.programs.len(), 2);
    for program in &made.programs {
        let renamed = Text { file: "mine.nc", text: &program.text, tool: prover.first_tool(1, "mine.nc") };
        let Err(NoProof::WhichTool { file, line, expected }) = prover.prove(1, &[renamed]) else { panic!("proved") };
        assert_eq!(file, "mine.nc");
        assert!(program.text.lines().nth(line - 1).is_some_and(|text| text.contains('Z')), "{line}");
        for own in ["sheet-1-drill-20.nc (with drill-20)", "sheet-1-endmill-6.nc (with endmill-6)"] {
            assert!(expected.contains(own), "{expected}");
        }
    }
    // With one tool there is nothing to ask.
    let made = shared::make(BOARDS);
    let claim = self::claim(&made);
    let prover = Prover::new(&claim).expect("a router");
    let renamed = Text { file: "mine.nc", text: &made.programs[0].text, tool: prover.first_tool(1, "mine.nc") };
    assert!(prover.prove(1, &[renamed]).expect("read")[0].proved());
}

/// The checks that fail when a program is changed like this.
fn faults(made: &Made, change: impl Fn(&str) -> String) -> Vec<String> {
    let program = &made.programs[0];
    let changed = change(&program.text);
    assert_ne!(changed, program.text, "nothing was changed");
    proof_of(made, &program.file, &changed).faults().map(|fault| fault.finding.check.clone()).collect()
}

#[test]
fn a_broken_program_fails_for_what_is_wrong_with_it() {
    let made = shared::make(BOARDS);
    let plain = &made.programs[0];
    assert!(proof_of(&made, &plain.file, &plain.text).proved());
    let lines = |text: &str, keep: &dyn Fn(&str) -> bool| -> String {
        text.lines().filter(|line| keep(line)).map(|line| format!("{line}\n")).collect()
    };
    let has = |found: &[String], check: &str| assert!(found.iter().any(|it| it == check), "{check}: {found:?}");
    // The spindle is never started.
    has(&faults(&made, |text| text.replace(" M3", "")), "moves in wood, spindle standing");
    // Every tab is cut through: Z-9.1 is where the cutter goes over them.
    has(&faults(&made, |text| text.replace("Z-9.1", "Z-12.4")), "tabs that hold a part");
    // Deeper than the spoilboard allows.
    has(&faults(&made, |text| text.replace("Z-12.4", "Z-14.4")), "cut into the spoilboard");
    // The cut stops in the sheet: it holds the parts all around, not only at the tabs.
    let shallow = faults(&made, |text| text.replace("Z-12.4", "Z-11.4"));
    has(&shallow, "width of a tab's foot");
    has(&shallow, "depth of a hole");
    // The end is gone, with the spindle still turning.
    has(&faults(&made, |text| lines(text, &|line| !line.starts_with("M5"))), "ends with the spindle turning");
}

#[test]
fn a_failed_proof_is_told_with_its_place_its_line_and_its_limit() {
    let made = shared::make(BOARDS);
    let program = &made.programs[0];
    let proof = proof_of(&made, &program.file, &program.text.replace("Z-12.4", "Z-14.4"));
    let fault = proof.faults().find(|it| it.finding.check == "cut into the spoilboard").expect("too deep");
    let told = fault.told(Default::default());
    assert!(told.starts_with("2.3 mm, allowed at most 0.31 mm") && told.contains("Z -14.4"), "{told}");
    let line = fault.line.and_then(|line| program.text.lines().nth(line - 1)).expect("a line");
    assert!(line.contains("Z-12.4"), "{line}");
}

/// Parts with all that a cutter makes: drilled, bored, cleared and cut out holes, slots, grooves, joints with square corners.
fn everything(router: &str) -> String {
    format!(
        "title = \"all\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [1220, 1220], thickness = 12.1 }}\n\
         router = {{ {router} }}\n\
         part = {{ name = \"board\", size = [300, 160], count = 3, hole = [\
           {{ use = \"vent\", diameter = 20, across = 40, up = 40 }},\
           {{ use = \"vent\", diameter = 9, across = 80, up = 40 }},\
           {{ use = \"vent\", diameter = 25, across = 120, up = 60 }},\
           {{ use = \"entrance\", diameter = 60, across = 220, up = 80 }},\
           {{ use = \"vent\", slot = [80, 8], across = 80, up = 120 }}] }}\n\
         box = [{{ name = \"tray\", kind = \"open-box\", count = 1, inside = [260, 180, 80], corner = \"finger\" }},\
                {{ name = \"bin\", kind = \"open-box\", count = 1, inside = [240, 160, 90], corner = \"rabbet\" }}]\n"
    )
}

#[test]
fn every_machine_and_every_choice_makes_programs_that_are_proved() {
    let plain = "machine = \"desktop-router\", cutter = \"endmill-6\"";
    let mut routers: Vec<String> = ["desktop-router", "older-router", "plain-router", "shop-router"]
        .iter()
        .map(|machine| format!("machine = \"{machine}\", cutter = \"endmill-6\", drills = [\"drill-20\"]"))
        .collect();
    for choice in [
        "hold = \"onion-skin\"",
        "tab-width = 10, tab-height = 5",
        "cut = \"conventional\"",
        "finish = 0.3",
        "finish = 0.3, hold = \"onion-skin\"",
        "lead = \"none\"",
        "lead = \"straight\"",
        "relief = \"deep\"",
        "relief = \"wide\"",
        "screws = false",
        "hole-allowance = 0.2",
        "dwell = 0.5, drills = [\"drill-20\"]",
        "clearance = 10",
        "clearance = 3",
        "feed = 1500, speed = 12000",
    ] {
        routers.push(format!("{plain}, {choice}"));
    }
    let mut failed = Vec::new();
    for router in &routers {
        match nestwright::make(shared::check(&everything(router)), &crate::shared::search()) {
            Ok(made) => assert!(!made.proof.is_empty()),
            Err(Error::Unproved(programs)) => {
                for program in &programs {
                    for it in &program.faults {
                        failed.push(format!("{router}\n    {}: {}", it.finding.check, it.told(Default::default())));
                    }
                }
            }
            Err(other) => failed.push(format!("{router}: {other}")),
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Fingers whose corners a ramp goes round on its way down from a tab, in a program that has few digits.
#[test]
fn a_ramp_that_ends_on_a_corner_leaves_nothing_there() {
    let supers = r#"
title = "supers"
units = "in"
stock = { material = "birch-plywood", size = [96, 48], thickness = 0.735, margin = "3/8" }
router = { machine = "shop-router", cutter = "endmill-1-4" }
[[box]]
name = "super"
kind = "frame-box"
count = 2
frame = "langstroth-medium"
frames = 10
corner = "finger"
rest = "rabbet"
floor = "none"
cover = "none"
handhold = "recess"
"#;
    assert!(shared::proved(&shared::make(supers).proof));
}

/// Fingers beside a piece that has a tab there: its flank ends where a corner must be square.
#[test]
fn corners_on_a_tabs_flank_are_cut_to_the_bottom() {
    let nucs = r#"
title = "nucs"
units = "mm"
stock = { material = "softwood-plywood", size = [2440, 1220], thickness = 14.8, margin = 0 }
[router]
machine = "older-router"
cutter = "endmill-1-4"
finish = 0.3
lead = "none"
[[box]]
name = "nuc"
kind = "frame-box"
count = 2
frame = "deutsch-normal"
frames = 8
corner = "finger"
rest = "rabbet"
floor = "fixed"
"#;
    assert!(shared::proved(&shared::make(nucs).proof));
}

/// Boards beside each other on an onion skin: the slot around one cuts the flank of the other's tab in two.
#[test]
fn the_edge_of_a_flank_that_a_slot_cuts_off_is_no_fault() {
    let bodies = r#"
title = "bodies"
units = "mm"
stock = { material = "birch-plywood", size = [2440, 1220], thickness = 18.669, margin = 0 }
router = { machine = "shop-router", cutter = "endmill-1-4", drills = ["drill-20", "drill-3-4"], hold = "onion-skin" }
[[box]]
name = "body"
kind = "frame-box"
count = 3
frame = "deutsch-normal"
frames = 11
corner = "rabbet"
rest = "rabbet"
floor = "none"
cover = "telescoping"
walls = "ends"
division-board = true
"#;
    assert!(shared::proved(&shared::make(bodies).proof));
}
