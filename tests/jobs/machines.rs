//! Machines as they are: how they go round corners, where they wait, and where on the sheet their zero is.

use crate::shared;
use nestwright::Made;
use nestwright::design::Kinds;
use nestwright::gcode::read::{Setup, Step, read};
use nestwright::profile::Profiles;
use nestwright::proof::{Claim, Proof, Prover, Text};
use nestwright::reading::Source;

fn spec(router: &str) -> String {
    format!(
        "title = \"board\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }}\nrouter = {{ {router} }}\n\
         part = {{ name = \"board\", size = [200, 120], count = 2, hole = [\
         {{ use = \"vent\", diameter = 20, across = 60, up = 60 }}, {{ use = \"vent\", diameter = 9, across = 120, up = 60 }}] }}\n"
    )
}

/// A job on a machine like a built-in one, with lines added to its profile.
fn on_machine(like: &str, more: &str, router: &str) -> Made {
    let mut profiles = Profiles::built_in();
    let found = profiles.files().find(|(folder, known, _)| *folder == "machines" && *known == like);
    let text = format!("{}{more}\n", found.expect("built in").2.source.text);
    profiles.add_text("machines", "mine", &text).unwrap_or_else(|why| panic!("{why}"));
    let source = Source::new("job.toml", spec(&format!("machine = \"mine\", {router}")));
    let checked = nestwright::check(&source, &profiles, &Kinds::built_in(), &shared::search());
    let made = checked.and_then(|it| nestwright::make(it, &shared::search()));
    made.unwrap_or_else(|why| panic!("{why}"))
}

const TOOLS: &str = "cutter = \"endmill-6\", drills = [\"drill-20\"]";

fn proofs(made: &Made, change: impl Fn(&str) -> String) -> Vec<Proof> {
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let prover = Prover::new(&claim).expect("a router");
    let texts: Vec<String> = made.programs.iter().map(|program| change(&program.text)).collect();
    let programs: Vec<Text> = made
        .programs
        .iter()
        .zip(&texts)
        .map(|(program, text)| Text { file: &program.file, text, tool: prover.first_tool(1, &program.file) })
        .collect();
    prover.prove(1, &programs).unwrap_or_else(|why| panic!("{why:?}"))
}

fn fails(made: &Made, was: &str, now: &str, name: &str) {
    assert!(made.programs[0].text.contains(was), "{was}: {}", made.programs[0].text);
    let proofs = proofs(made, |text| text.replacen(was, now, 1));
    let faults: Vec<&str> =
        proofs.iter().flat_map(|proof| proof.faults()).map(|fault| fault.finding.id.name()).collect();
    assert!(faults.contains(&name), "{now}: {faults:?}");
}

#[test]
fn corners_are_rounded_off_no_further_than_the_proof_takes() {
    let path = |control: &str, more: &str| {
        on_machine(
            "desktop-router",
            &format!("path-control = {{ value = \"{control}\", source = \"x\" }}{more}"),
            TOOLS,
        )
    };
    let corner = "\ncorner = { value = 0.4, source = \"x\" }";
    for (control, more, line) in
        [("exact", "", "G61"), ("blend", "", "G64 P0.02"), ("blend", corner, "G64 P0.05"), ("as-set", "", "")]
    {
        let made = path(control, more);
        for program in &made.programs {
            let said: Vec<&str> = program.text.lines().filter(|it| it.starts_with("G6")).collect();
            assert_eq!(said, if line.is_empty() { vec![] } else { vec![line] });
        }
        assert!(crate::shared::proved(&proofs(&made, str::to_string)));
    }
    fails(&path("blend", ""), "G64 P0.02", "G64 P0.5", "path-blend");
}

/// The same job from another zero: every place is the same on the sheet, and so are all cuts.
#[test]
fn a_zero_elsewhere_on_the_sheet_moves_every_coordinate_and_no_cut() {
    let places = |text: &str, zero: [f64; 2]| -> Vec<[f64; 3]> {
        let mut setup = Setup::default();
        setup.origins[0] = Some([zero[0], zero[1], 0.0]);
        let steps = read(text, &setup).map(|step| step.unwrap_or_else(|why| panic!("{why}")));
        let known = |step: Step| match step {
            Step::Move(it) => Some([it.to[0].known()?, it.to[1].known()?, it.to[2].known()?]),
            _ => None,
        };
        steps.filter_map(known).collect()
    };
    for machine in ["desktop-router", "older-router", "plain-router", "shop-router"] {
        let made = |zero: &str| shared::make(&spec(&format!("machine = \"{machine}\", {TOOLS}{zero}")));
        let plain = made("");
        for (name, zero, told) in [
            ("lower-right", [600.0, 0.0], "lower-right corner"),
            ("upper-left", [0.0, 400.0], "upper-left corner"),
            ("upper-right", [600.0, 400.0], "upper-right corner"),
            ("centre", [300.0, 200.0], "middle of the sheet"),
        ] {
            let moved = made(&format!(", sheet-zero = \"{name}\""));
            for (a, b) in plain.programs.iter().zip(&moved.programs) {
                assert!(b.text.contains(&format!("X0 Y0: {told}")));
                let (a, b) = (places(&a.text, [0.0; 2]), places(&b.text, zero));
                // Last digits may make one line of an arc of two, or the reverse: ends are looked for, not counted.
                let near = |p: &[f64; 3]| b.iter().any(|q| (0..3).all(|i| (p[i] - q[i]).abs() < 0.006));
                let strays = a.iter().filter(|p| !near(p)).count();
                assert!(strays * 50 <= a.len(), "{machine}, {name}: {strays} of {}", a.len());
            }
            assert!(crate::shared::proved(&proofs(&moved, str::to_string)), "{machine}, {name}");
        }
    }
}

#[test]
fn a_tool_is_changed_where_there_is_room_for_the_longest() {
    let high = on_machine("older-router", "park-height = { value = 60, source = \"x\" }", TOOLS);
    let text = &high.programs[0].text;
    let lines: Vec<&str> = text.lines().map(|line| line.split_once(' ').map_or(line, |(_, words)| words)).collect();
    let stops: Vec<usize> =
        (0..lines.len()).filter(|i| text.lines().nth(*i).is_some_and(|it| it.contains("put tool"))).collect();
    assert_eq!(stops.len(), 1);
    // Stopped, then up, then aside, then it waits.
    let before: Vec<&str> = lines[stops[0] - 6..stops[0]].to_vec();
    let at = |wanted: &str| {
        before.iter().position(|line| line.contains(wanted)).unwrap_or_else(|| panic!("{wanted}: {before:?}"))
    };
    assert!(at("M5") < at("Z60.") && at("Z60.") < at("X0. Y1300."), "{before:?}");
    assert!(crate::shared::proved(&proofs(&high, str::to_string)));
    // By the machine's own zero: first to its top. The proof cannot tell where that is, and says so.
    let own = on_machine("older-router", "park-machine = { value = [-10, -20], source = \"x\" }", TOOLS);
    let text = &own.programs[0].text;
    assert_eq!(text.matches("G53 G0 Z0.\n").count(), 2, "{text}");
    assert_eq!(text.matches("G53 G0 X-10. Y-20.\n").count(), 2, "{text}");
    let found = proofs(&own, str::to_string);
    assert!(crate::shared::proved(&found));
    let away = |proof: &Proof| proof.measures.iter().any(|it| it.finding.id.name() == "machine-zero-moves");
    assert!(found.iter().any(away));
}

/// The large machine: lengths from its table, corners rounded, zero in the middle, milliseconds.
#[test]
fn the_length_of_each_tool_is_on_before_it_cuts() {
    let made = shared::make(&spec(&format!("machine = \"large-router\", {TOOLS}")));
    let text = &made.programs[0].text;
    for said in ["T2 M6", "G43 H2", "T1 M6", "G43 H1", "G64 P0.03", "G4 P4000", "G53 G0 Z0"] {
        assert!(text.lines().any(|line| line == said), "{said}: {text}");
    }
    assert!(crate::shared::proved(&proofs(&made, str::to_string)));
    fails(&made, "G43 H1\n", "", "wrong-length-offset");
    fails(&made, "G43 H2\n", "", "wrong-length-offset");
    fails(&made, "G43 H2\n", "G43 H1\n", "wrong-length-offset");
    fails(&made, "G4 P4000", "G4 P4", "spin-up");
}
