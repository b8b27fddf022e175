//! Tools as they are: worn, with a point, made for a speed, with flutes that throw the chips one way or the other.

use crate::shared;
use nestwright::Made;
use nestwright::design::Kinds;
use nestwright::finding::{Finding, Status};
use nestwright::profile::Profiles;
use nestwright::proof::{Claim, Prover, Text};
use nestwright::reading::Source;

const BOARD: &str = "part = { name = \"board\", size = [200, 120], count = 1, hole = [\
    { use = \"vent\", diameter = 20, across = 60, up = 60 }, { use = \"vent\", diameter = 9, across = 120, up = 60 }] }\n";

fn spec(router: &str) -> String {
    format!(
        "title = \"board\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }}\nrouter = {{ {router} }}\n{BOARD}"
    )
}

/// Built-in profiles, and beside them a tool like a built-in one, with some of its text replaced.
fn with_tool(name: &str, like: &str, change: &[(&str, &str)]) -> Profiles {
    let mut profiles = Profiles::built_in();
    let found = profiles.files().find(|(folder, known, _)| *folder == "tools" && *known == like);
    let mut text = found.expect("built in").2.source.text.to_string();
    for (was, is) in change {
        assert!(text.contains(was), "{was}");
        text = text.replacen(was, is, 1);
    }
    profiles.add_text("tools", name, &text).unwrap_or_else(|why| panic!("{why}"));
    profiles
}

fn check(profiles: &Profiles, spec: &str) -> nestwright::Checked {
    let source = Source::new("job.toml", spec);
    let checked = nestwright::check(&source, profiles, &Kinds::built_in(), &shared::search());
    checked.unwrap_or_else(|why| panic!("{why}"))
}

fn make(profiles: &Profiles, spec: &str) -> Made {
    nestwright::make(check(profiles, spec), &shared::search()).unwrap_or_else(|why| panic!("{why}"))
}

fn claim(made: &Made) -> Claim {
    Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs)
}

/// The names of the checks on which one job's programs fail by another job's claim.
fn faults(made: &Made, claim: &Claim, change: impl Fn(&str) -> String) -> Vec<&'static str> {
    let prover = Prover::new(claim).expect("a router");
    let texts: Vec<String> = made.programs.iter().map(|program| change(&program.text)).collect();
    let programs: Vec<Text> = made
        .programs
        .iter()
        .zip(&texts)
        .map(|(program, text)| Text { file: &program.file, text, tool: prover.first_tool(1, &program.file) })
        .collect();
    let proofs = prover.prove(1, &programs).unwrap_or_else(|why| panic!("{why:?}"));
    proofs.iter().flat_map(|proof| proof.faults()).map(|fault| fault.finding.id.name()).collect()
}

fn whole(text: &str) -> String {
    text.to_string()
}

const ROUTER: &str = "machine = \"desktop-router\", cutter = \"endmill-6\"";

/// A cutter ground to 5.92 mm: its path lies 0.04 mm nearer to the part, and the programs of a new one would leave the parts
/// too large.
#[test]
fn a_worn_cutter_is_planned_and_proved_as_calipers_show_it() {
    let profiles = Profiles::built_in();
    let new = make(&profiles, &spec(ROUTER));
    let worn = make(&profiles, &spec(&format!("{ROUTER}, cutter-diameter = 5.92")));
    let diameter = |made: &Made| claim(made).router.expect("a router").tools[0].diameter;
    assert_eq!([diameter(&new), diameter(&worn)], [6.0, 5.92]);
    assert!(faults(&worn, &claim(&worn), whole).is_empty());
    // By the parts' places a margin may differ: the new cutter's programs are held against the new cutter's sheet.
    let mut as_worn = claim(&new);
    as_worn.router.as_mut().expect("a router").tools[0].diameter = 5.92;
    let left = faults(&new, &as_worn, whole);
    assert!(left.contains(&"left-round-part") && left.contains(&"hole-diameter"), "{left:?}");
    assert!(worn.programs[0].text.contains("diameter 5.92 mm"));
}

/// A drill whose point is 4 mm long: its tip stops 2 mm above the sheet and goes through it, into the spoilboard by its point
/// and what every cut goes. Its edges alone make the hole.
#[test]
fn heights_are_those_of_a_drills_point() {
    let drilled = format!("{ROUTER}, drills = [\"mine\"]");
    let point =
        |line: &str| make(&with_tool("mine", "drill-20", &[("point-length = { value = 4,", line)]), &spec(&drilled));
    let none = point("point-length = { value = 0,");
    let (long, cone) = (point("point-length = { value = 4,"), point("point-angle = { value = 118,"));
    // Half of 20 mm over the tangent of 59 degrees.
    for (made, lowest) in [(&none, -12.4), (&long, -16.4), (&cone, -18.409)] {
        let drill = &made.programs[0];
        let heights = drill.text.lines().flat_map(|line| line.split(' ')).filter_map(|word| word.strip_prefix('Z'));
        let heights: Vec<f64> = heights.filter_map(|height| height.parse().ok()).collect();
        let deepest = heights.iter().copied().fold(0.0, f64::min);
        assert!((deepest - lowest).abs() < 0.001, "{deepest}: {}", drill.text);
        assert!(heights.contains(&2.0), "its tip stops above the sheet");
        assert!(heights.contains(&-1.0), "marks are as deep as before");
        assert!(faults(made, &claim(made), whole).is_empty());
    }
    assert!(long.programs[0].text.contains("set its Z with its point"));
    assert!(none.programs[0].text.contains("set its Z with the cutting edges"));
    // With such a drill the program for one without a point does not go through.
    let shallow = faults(&none, &claim(&long), whole);
    assert!(shallow.contains(&"hole-depth"), "{shallow:?}");
    // A hop at the height of the edges drags the point through the wood; so does a rapid move down to them.
    let hops = faults(&long, &claim(&long), |text| text.replacen("Z2\n", "Z-1\n", 1));
    assert!(hops.contains(&"rapid-in-wood"), "{hops:?}");
}

#[test]
fn no_tool_turns_faster_than_it_may() {
    let drilled = format!("{ROUTER}, drills = [\"mine\"]");
    let most = |speed: &str| with_tool("mine", "drill-20", &[("value = 4500,", &format!("value = {speed},"))]);
    // The spindle's least is 2500.
    let checked = check(&most("2000"), &spec(&drilled));
    let refused = checked.findings.iter().find(|it| it.id.name() == "tool-turns").expect("told");
    assert!(refused.refused() && refused.advice.contains("at least"), "{refused:?}");
    let slow = make(&most("2800"), &spec(&drilled));
    assert!(slow.programs[0].text.contains("S2800 M3"), "its own speed is 3000");
    let fast = faults(&slow, &claim(&slow), |text| text.replace("S2800", "S3000"));
    assert_eq!(fast, ["tool-speed"]);
    let own = with_tool(
        "mill",
        "endmill-6",
        &[("speed = {", "highest-speed = { value = 18000, source = \"shank\" }\nspeed = {")],
    );
    let asked = "machine = \"desktop-router\", cutter = \"mill\", speed = 20000";
    let found = check(&own, &spec(asked)).findings;
    assert!(found.iter().any(|it| it.id.name() == "tool-turns" && it.refused() && it.spot.is_some()));
}

#[test]
fn a_bit_that_does_not_suit_the_cut_is_a_caution() {
    let told = |change: &str, name: &str| -> Option<Finding> {
        let profiles = with_tool("mill", "endmill-6", &[("speed = {", &format!("{change}\nspeed = {{"))]);
        let made = make(&profiles, &spec("machine = \"desktop-router\", cutter = \"mill\""));
        made.findings.iter().find(|it| it.id.name() == name).cloned()
    };
    let status = |change: &str| told(change, "flute-kind").map(|it| it.status);
    let bit = |flute: &str, tip: f64| {
        let tip = if tip > 0.0 { format!("\nup-cut-tip = {{ value = {tip}, source = \"x\" }}") } else { String::new() };
        format!("flute = {{ value = \"{flute}\", source = \"x\" }}{tip}")
    };
    // Two passes of 6.2 mm.
    assert_eq!(status(&bit("up-cut", 0.0)), None);
    assert_eq!(status(&bit("straight", 0.0)), None);
    assert_eq!(status(&bit("down-cut", 0.0)), Some(Status::Caution));
    assert_eq!(status(&bit("compression", 5.0)), Some(Status::Ok));
    assert_eq!(status(&bit("compression", 7.0)), Some(Status::Caution));
    let deep = with_tool("mill", "endmill-6", &[("pass-depth = { value = 1.0", "pass-depth = { value = 2.1")]);
    let made = make(&deep, &spec("machine = \"desktop-router\", cutter = \"mill\""));
    let one = made.findings.iter().find(|it| it.id.name() == "one-pass").expect("told");
    assert_eq!(one.status, Status::Caution);
    // The proof holds such a pass to thinner chips: a quarter less at two diameters (the rule of thumb of `deep`).
    let most = claim(&made).router.expect("a router").tools[0].chip_load;
    assert!((most - 0.23 * (1.0 - 0.25 * 1.1)).abs() < 1e-3, "{most}");
}

/// Common sizes are there to be copied: each cuts or drills a board, and is proved.
#[test]
fn built_in_tools_of_common_sizes_cut_what_is_proved() {
    let profiles = Profiles::built_in();
    let board = "part = { name = \"board\", size = [120, 80], count = 1, hole = [\
        { use = \"vent\", diameter = DIAMETER, across = 60, up = 40 }] }\n";
    let job = |router: &str, diameter: f64| {
        let stock = "stock = { material = \"birch-plywood\", size = [400, 300], thickness = 9 }";
        let board = board.replace("DIAMETER", &diameter.to_string());
        format!("title = \"sizes\"\nunits = \"mm\"\n{stock}\nrouter = {{ {router} }}\n{board}")
    };
    for mill in ["1-8", "1-4", "3-8", "3", "4", "6", "8"] {
        let made = make(&profiles, &job(&format!("machine = \"desktop-router\", cutter = \"endmill-{mill}\""), 30.0));
        assert_eq!(made.proof.len(), 1, "{mill}");
    }
    for size in [2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0] {
        let router = format!("{ROUTER}, drills = [\"drill-{size}\"]");
        let made = make(&profiles, &job(&router, size));
        assert_eq!(made.proof.len(), 2, "{size}");
    }
}
