//! The proof keeps in mind what the programs of a sheet have done so far: which tool is in, whether the screws are in, which
//! parts are nearly free. Each program here was broken by hand, and is refused for what is wrong with it.

use crate::shared;
use nestwright::Made;
use nestwright::finding::{ProgramCheck, Status};
use nestwright::proof::{Claim, Proof, Prover, Text};

/// A board with a hole for each kind of tool, and one whose middle comes out in one piece.
fn boards(router: &str) -> Made {
    shared::make(&format!(
        "title = \"boards\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [900, 600], thickness = 12.1 }}\nrouter = {{ {router} }}\n\
         part = {{ name = \"board\", size = [300, 200], count = 2, hole = [\
         {{ use = \"vent\", diameter = 20, across = 60, up = 60 }},\
         {{ use = \"vent\", diameter = 9, across = 100, up = 40 }},\
         {{ use = \"entrance\", diameter = 90, across = 200, up = 100 }}] }}\n"
    ))
}

const DRILLED: &str = "machine = \"desktop-router\", cutter = \"endmill-6\", drills = [\"drill-20\"]";
const CHANGED_BY_HAND: &str = "machine = \"older-router\", cutter = \"endmill-6\", drills = [\"drill-20\"]";
const CHANGER: &str = "machine = \"shop-router\", cutter = \"endmill-6\", drills = [\"drill-20\"]";

/// The programs of the only sheet: name and text.
fn programs(made: &Made) -> Vec<(String, String)> {
    assert_eq!(made.layout.sheets.len(), 1);
    made.programs.iter().map(|program| (program.file.clone(), program.text.clone())).collect()
}

fn proofs(claim: &Claim, programs: &[(String, String)]) -> Vec<Proof> {
    let prover = Prover::new(claim).expect("a router");
    let texts: Vec<Text> =
        programs.iter().map(|(file, text)| Text { file, text, tool: prover.first_tool(1, file) }).collect();
    prover.prove(1, &texts).unwrap_or_else(|why| panic!("{why:?}"))
}

fn claim(made: &Made) -> Claim {
    Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs)
}

/// What is refused, or told as a caution, once the programs are changed like this.
fn told(made: &Made, status: Status, change: impl Fn(&mut Vec<(String, String)>)) -> Vec<ProgramCheck> {
    let (claim, whole) = (claim(made), programs(made));
    for proof in proofs(&claim, &whole) {
        let told: Vec<_> = proof.measures.iter().filter(|it| it.finding.status != Status::Ok).collect();
        assert!(told.is_empty(), "of the unbroken program: {told:?}");
    }
    let mut broken = whole.clone();
    change(&mut broken);
    assert_ne!(broken, whole, "nothing was changed");
    let all = ProgramCheck::ALL.iter().copied();
    let found = proofs(&claim, &broken);
    all.filter(|check| {
        let is =
            |it: &&nestwright::proof::Measured| it.finding.status == status && it.finding.id.name() == check.name();
        found.iter().any(|proof| proof.measures.iter().any(|it| is(&it)))
    })
    .collect()
}

fn faults(made: &Made, change: impl Fn(&mut Vec<(String, String)>)) -> Vec<ProgramCheck> {
    told(made, Status::Refused, change)
}

/// A text with lines put in after the first of its lines that is so.
fn after(text: &str, is: impl Fn(&str) -> bool, more: &str) -> String {
    let at = text.lines().position(is).expect("such a line");
    let lines: Vec<&str> = text.lines().collect();
    let (head, tail) = lines.split_at(at + 1);
    format!("{}\n{more}\n{}\n", head.join("\n"), tail.join("\n"))
}

/// A text without the first of its lines that is so.
fn without(text: &str, is: impl Fn(&str) -> bool) -> String {
    let at = text.lines().position(is).expect("such a line");
    text.lines().enumerate().filter(|(i, _)| *i != at).map(|(_, line)| format!("{line}\n")).collect()
}

/// The operation that begins with this comment, cut out of a text: the rest, and the operation.
fn lifted_out(text: &str, about: &str) -> (String, String) {
    let lines: Vec<&str> = text.lines().collect();
    let from = lines.iter().position(|line| line.contains(about)).expect("such an operation");
    let to = from + 1 + lines[from + 1..].iter().position(|line| line.starts_with('(')).expect("an end");
    let rest = [&lines[..from], &lines[to..]].concat().join("\n") + "\n";
    (rest, lines[from..to].join("\n"))
}

fn screw(made: &Made) -> String {
    let at = claim(made).sheets[0].screws[0];
    format!("X{:.3} Y{:.3}", at.x, at.y)
}

#[test]
fn nothing_goes_into_a_screw_that_is_in() {
    let made = boards(DRILLED);
    let place = screw(&made);
    let drilled = |more: &str| {
        let more = more.to_string();
        faults(&made, move |all| {
            let on = |line: &str| line.starts_with("G4 P");
            let head = all[0].1.find("hands out first").expect("a stop");
            let tail = after(&all[0].1[head..], on, &more);
            all[0].1 = format!("{}{tail}", &all[0].1[..head]);
        })
    };
    let again = drilled(&format!("G0 {place}\nZ2\nG1 Z-1 F750\nG0 Z6"));
    assert!(again.contains(&ProgramCheck::Screws), "a mark made anew: {again:?}");
    let low = drilled(&format!("G0 {place}\nZ2\nX100 Y20\nZ6"));
    assert!(low.contains(&ProgramCheck::Screws), "a low rapid over it: {low:?}");
}

#[test]
fn nothing_is_cut_before_the_screws_are_in() {
    for router in [DRILLED, CHANGED_BY_HAND] {
        let made = boards(router);
        let stop = |line: &str| line.ends_with("M0");
        let found = faults(&made, |all| all[0].1 = without(&all[0].1, stop));
        assert!(found.contains(&ProgramCheck::ScrewStop), "{router}: {found:?}");
        // With the words about it, so that nothing looks amiss.
        let found = faults(&made, |all| {
            let from = all[0].1.find("(drive").expect("a stop");
            let to = from + all[0].1[from..].find("M0").expect("a stop") + 3;
            all[0].1.replace_range(from..to, "");
        });
        assert!(found.contains(&ProgramCheck::ScrewStop), "{router}: {found:?}");
    }
}

#[test]
fn programs_of_a_sheet_are_run_in_their_order() {
    for router in [DRILLED.to_string(), format!("{DRILLED}, screws = false")] {
        let made = boards(&router);
        let found = faults(&made, |all| all.reverse());
        assert!(found.contains(&ProgramCheck::ProgramOrder), "{router}: {found:?}");
    }
}

#[test]
fn nothing_is_cut_in_a_part_that_is_nearly_free() {
    for router in [DRILLED, CHANGED_BY_HAND, "machine = \"desktop-router\", cutter = \"endmill-6\", screws = false"] {
        let made = boards(router);
        for about in ["board #1, entrance", "entrance"] {
            let last = made.programs.len() - 1;
            if !made.programs[last].text.contains(about) {
                continue;
            }
            let found = faults(&made, |all| {
                let (rest, opening) = lifted_out(&all[last].1, about);
                let end = rest.find("(done)").expect("an end");
                all[last].1 = format!("{}{opening}\n{}", &rest[..end], &rest[end..]);
            });
            assert!(found.contains(&ProgramCheck::CutFreed), "{router}: {found:?}");
        }
    }
}

#[test]
fn no_web_is_left_on_what_comes_out_of_an_opening() {
    let made = boards("machine = \"desktop-router\", cutter = \"endmill-6\", screws = false");
    let (_, opening) = lifted_out(&made.programs[0].text, "entrance");
    let down: Vec<usize> = opening.match_indices("Z-12.4").map(|(at, _)| at).collect();
    assert!(down.len() >= 3, "{opening}");
    for up in [0.1, 0.5, 2.0] {
        let height = format!("Z{:.1}", -12.1 + up);
        // The middle hangs all around; or from where it would go down to the next tab.
        let all_around = opening.replace("Z-12.4", &height);
        let on_a_part = down.iter().map(|at| format!("{}{height}{}", &opening[..*at], &opening[at + 6..]));
        for raised in on_a_part.chain([all_around]) {
            let found = faults(&made, |all| all[0].1 = all[0].1.replace(&opening, &raised));
            assert!(!found.is_empty(), "{up} mm of wood: {raised}");
        }
    }
}

#[test]
fn rapids_are_high_where_screws_or_clamps_may_stand() {
    let made = boards(DRILLED);
    let place = screw(&made);
    // From beside the sheet, where clamps stand, onto it, no further than a short hop.
    let end = |line: &str| line == "(done)";
    let found = faults(&made, |all| all[0].1 = after(&all[0].1, end, "G0 X-30 Y100\nZ2\nX60\nZ6"));
    assert!(found.contains(&ProgramCheck::RapidHeight), "{found:?}");
    let found = faults(&made, |all| all[1].1 = after(&all[1].1, end, &format!("G0 {place}\nZ2\nZ6")));
    assert!(found.contains(&ProgramCheck::Screws), "{found:?}");
    let found = faults(&made, |all| all[0].1 = after(&all[0].1, end, "G0 X100 Y100\nZ2\nX600\nZ6"));
    assert!(found.contains(&ProgramCheck::RapidHeight), "{found:?}");
}

#[test]
fn a_length_offset_is_that_of_the_tool_that_is_in() {
    // A tool put in before the program starts has a number too.
    let made = boards(DRILLED);
    let before = |line: &str| line.starts_with("G40 ");
    let found = faults(&made, |all| all[1].1 = after(&all[1].1, before, "G43 H2"));
    assert!(found.contains(&ProgramCheck::WrongLength), "by name: {found:?}");
    let made = boards(CHANGER);
    let found = faults(&made, |all| {
        all[0].1 = after(&all[0].1, |line| line.ends_with("M6"), "G43 H1");
    });
    assert!(found.contains(&ProgramCheck::WrongLength), "by change: {found:?}");
}

#[test]
fn a_dwell_in_another_unit_is_refused() {
    let made = boards(DRILLED);
    let found = faults(&made, |all| all[0].1 = all[0].1.replace("G4 P4\n", "G4 P4000\n"));
    assert_eq!(found, [ProgramCheck::Dwell], "an hour and more");
    let made = boards("machine = \"plain-router\", cutter = \"endmill-6\"");
    let found = faults(&made, |all| all[0].1 = all[0].1.replace("G4 P5000", "G4 P5"));
    assert_eq!(found, [ProgramCheck::SpinUp], "five milliseconds");
}

#[test]
fn no_move_goes_further_beyond_the_sheet_than_the_cutter_needs() {
    let made = boards(DRILLED);
    let end = |line: &str| line == "(done)";
    for [x, y] in [[-20.0, 100.0], [960.0, 100.0], [100.0, -20.0], [100.0, 650.0]] {
        let found = faults(&made, |all| all[0].1 = after(&all[0].1, end, &format!("G0 X{x} Y{y}\nX100 Y100")));
        assert!(found.contains(&ProgramCheck::BeyondSheet), "{x} {y}: {found:?}");
    }
    // Where it stands when it is done is no matter, high up.
    let whole = programs(&made);
    let parked = whole[1].1.replace("(done)\n", "(done)\nG0 Z6\nX-100 Y-100\n").replace("X0 Y0\n(wait", "(wait");
    assert_ne!(parked, whole[1].1);
    let proofs = proofs(&claim(&made), &[whole[0].clone(), (whole[1].0.clone(), parked)]);
    let beyond = |proof: &Proof| proof.faults().any(|it| it.finding.id.name() == "beyond-sheet");
    assert!(!proofs.iter().any(beyond));
}

#[test]
fn what_is_left_to_the_machine_and_a_thin_chip_are_cautions() {
    let made = boards(DRILLED);
    let cautions = |was: &str, now: &str| {
        let told = told(&made, Status::Caution, |all| all[1].1 = all[1].1.replace(was, now));
        let broken: Vec<_> = programs(&made).into_iter().map(|(file, text)| (file, text.replace(was, now))).collect();
        assert!(crate::shared::proved(&proofs(&claim(&made), &broken)), "{was}: no fault");
        told
    };
    assert_eq!(cautions("G17 ", ""), [ProgramCheck::Assumed]);
    assert_eq!(cautions(" G54", ""), [ProgramCheck::Assumed]);
    let feed = made.programs[1].text.lines().filter_map(|line| line.split_once('F')?.1.parse::<f64>().ok());
    let fastest = feed.fold(0.0, f64::max);
    let slow = format!("F{}", (fastest / 10.0).round());
    assert_eq!(cautions(&format!("F{fastest}"), &slow), [ProgramCheck::ThinChip]);
}

#[test]
fn a_program_whose_tools_cannot_be_told_says_so_and_no_more() {
    let made = boards(CHANGER);
    for change in ["T1 M6", "T2 M6"] {
        let gone = faults(&made, |all| all[0].1 = without(&all[0].1, |line| line == change));
        let other = faults(&made, |all| all[0].1 = all[0].1.replace(change, "T7 M6"));
        assert!(other.contains(&ProgramCheck::UnknownTool), "{change}: {other:?}");
        let about_wood = [ProgramCheck::LeftRound, ProgramCheck::LeftInHole, ProgramCheck::Gouge, ProgramCheck::Tabs];
        assert!(!other.iter().any(|check| about_wood.contains(check)), "{change}: {other:?}");
        // Changed by hand, the comment before the stop is all that tells.
        let by_hand = boards(CHANGED_BY_HAND);
        let said = "put tool 1 in, and";
        let silent = faults(&by_hand, |all| all[0].1 = all[0].1.replace(said, "put it in, and"));
        assert_eq!(silent, [ProgramCheck::UnknownTool]);
        if change == "T2 M6" {
            assert_eq!(gone, [ProgramCheck::UnknownTool], "nothing says with which tool it cuts");
        }
    }
}
