//! What a maker may choose about cutting, read off the text of the programs.

use crate::shared::{board, router_job, side_by_side};
use nestwright::design::{Hole, HoleUse, Part, PartPocket};
use nestwright::gcode::{Program, programs};
use nestwright::geometry::{Outline, Point};
use nestwright::job::Job;
use nestwright::profile::Profiles;
use nestwright::route::{Move, OperationKind, Route, routes};
use std::fs;

pub const ROUTER: &str = "cutter = \"endmill-6\"\ndrills = [\"drill-20\"]\n";

/// A board with a drilled hole, a bored one and a recess.
pub fn parts() -> Vec<Part> {
    let hole = |x: f64, diameter: f64| Hole::round(HoleUse::Vent, Point::new(x, 60.0), diameter);
    let mut part = board("board", Outline::rectangle(200.0, 120.0));
    part.holes = vec![hole(40.0, 20.0), hole(80.0, 20.0), hole(120.0, 10.0)];
    part.pockets = vec![PartPocket {
        purpose: "recess".into(),
        outline: Outline::from_rect(nestwright::geometry::Rect::new(140.0, 30.0, 180.0, 90.0)),
        depth: 5.0,
        under: false,
    }];
    vec![part, board("strip", Outline::rectangle(150.0, 30.0))]
}

fn routed(job: &Job, parts: &[Part]) -> Vec<Route> {
    routes(job, parts, &side_by_side(parts)).unwrap_or_else(|error| panic!("{error}"))
}

/// The programs for these keys of the router, on the desktop router with `figures` put in or over its own.
pub fn made(router: &str, figures: &[(&str, &str)]) -> (Vec<Program>, Vec<Route>) {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::create_dir(dir.path().join("machines")).expect("made");
    let plain = include_str!("../../profiles/machines/desktop-router.toml");
    let kept = plain.lines().filter(|line| !figures.iter().any(|(key, _)| line.starts_with(&format!("{key} ="))));
    let added = figures.iter().map(|(key, value)| format!("{key} = {{ value = {value}, source = \"a test\" }}"));
    let text: Vec<String> = kept.map(String::from).chain(added).collect();
    fs::write(dir.path().join("machines/own.toml"), text.join("\n")).expect("written");
    let mut profiles = Profiles::built_in();
    profiles.add_folder(dir.path()).unwrap_or_else(|error| panic!("{error}"));
    let job = router_job(&format!("machine = \"own\"\n{ROUTER}{router}"), &profiles);
    let parts = parts();
    let routes = routed(&job, &parts);
    (programs(&job, job.router.as_ref().expect("a router"), &side_by_side(&parts), &routes), routes)
}

/// The text of the cutter's program, which comes last.
fn text(router: &str, figures: &[(&str, &str)]) -> String {
    made(router, figures).0.pop().expect("a program").text
}

/// The lines that are not comments.
fn lines(text: &str) -> Vec<&str> {
    text.lines().filter(|line| !line.starts_with('(')).collect()
}

fn words(text: &str, letter: char) -> Vec<f64> {
    lines(text)
        .iter()
        .flat_map(|line| line.split(' '))
        .filter_map(|word| word.strip_prefix(letter))
        .map(|number| number.parse().unwrap_or_else(|why| panic!("{letter}{number}: {why}")))
        .collect()
}

#[test]
fn the_tool_is_lifted_before_the_spindle_turns() {
    for program in made("", &[]).0 {
        let lines = lines(&program.text);
        let spindle = lines.iter().position(|line| line.contains("M3")).expect("it turns");
        assert!(lines[..spindle].contains(&"G0 Z6"), "{:?}", &lines[..=spindle]);
        assert!(lines[..spindle].iter().all(|line| !line.contains('X')), "{:?}", &lines[..=spindle]);
    }
}

/// After each comment that opens an operation, a person can start reading: motion, X, Y and the first feed are said.
#[test]
fn every_operation_says_again_what_holds() {
    for program in made("screws = false\n", &[("canned-cycles", "true"), ("tool-change", "\"automatic\"")]).0 {
        let mut all = program.text.lines().peekable();
        let mut seen = 0;
        while let Some(line) = all.next() {
            if line.starts_with("(board,") || line.starts_with("(strip,") || line.contains(" x board,") {
                let next = all.peek().expect("a line after a comment");
                assert!(next.starts_with('G') && next.contains(" X") && next.contains(" Y"), "{line}: {next}");
                let upto: Vec<&str> = all.clone().take_while(|l| !l.starts_with('(')).collect();
                let first_cut = upto.iter().find(|l| ["G1", "G2", "G3", "G8"].iter().any(|g| l.contains(g)));
                assert!(first_cut.is_some_and(|l| l.contains(" F")), "{line}: {first_cut:?}");
                seen += 1;
            }
        }
        assert!(seen >= 5, "{seen}");
    }
}

#[test]
fn equal_holes_stand_under_one_cycle_and_are_left_just_above_the_sheet() {
    let programs = made("screws = false\n", &[("canned-cycles", "true")]).0;
    let lines = lines(&programs[0].text);
    let cycles: Vec<&&str> = lines.iter().filter(|line| line.contains("G81") || line.contains("G83")).collect();
    assert_eq!(cycles.len(), 1, "{lines:?}");
    let at = lines.iter().position(|line| line.contains("G83")).expect("pecked");
    assert!(
        lines[at].starts_with("G99 G83 X") && lines[at].contains(" R2 ") && lines[at].contains(" Q"),
        "{}",
        lines[at]
    );
    assert!(lines[at + 1].starts_with("G98 X") && !lines[at + 1].contains('Z'), "{}", lines[at + 1]);
    assert_eq!(lines[at + 2], "G80");
}

/// Pecks are equal, from R on, as G83 counts them (NIST IR 6556, from memory): the last ends at the bottom exactly.
#[test]
fn pecks_are_equal_and_none_is_left_over() {
    let programs = made("screws = false\n", &[("canned-cycles", "true")]).0;
    let (q, z) = (words(&programs[0].text, 'Q')[0], words(&programs[0].text, 'Z'));
    let bottom = z.iter().copied().fold(f64::INFINITY, f64::min);
    let pecks = (2.0 - bottom) / q;
    assert!((pecks - pecks.round()).abs() < 0.01, "{pecks} pecks of {q}");
    assert!(q <= 10.0, "half a diameter at most");
}

#[test]
fn a_drill_dwells_where_asked_in_the_machine_s_unit() {
    let once = &[("canned-cycles", "false")][..];
    assert!(
        text("dwell = 0.5\nscrews = false\n", once).lines().all(|line| !line.contains("P0.5")),
        "the cutter does not"
    );
    let drill = |figures: &[(&str, &str)]| made("dwell = 0.5\nscrews = false\n", figures).0.remove(0).text;
    assert!(drill(once).contains("G4 P0.5"));
    assert!(drill(&[("dwell-unit", "\"milliseconds\"")]).contains("G4 P500"));
    assert!(drill(&[("dwell-unit", "\"milliseconds\"")]).contains("G4 P4000"), "the spindle's start too");
}

#[test]
fn arcs_are_said_by_centre_by_radius_or_not_at_all() {
    let centre = text("", &[]);
    assert!(!words(&centre, 'I').is_empty() && words(&centre, 'R').is_empty());
    let radius = text("", &[("arcs", "\"radius\"")]);
    assert!(words(&radius, 'I').is_empty() && !words(&radius, 'R').is_empty());
    assert!(words(&radius, 'R').iter().all(|r| *r > 0.0));
    let none = text("", &[("arcs", "\"none\""), ("arc-tolerance", "0.02")]);
    assert!(lines(&none).iter().all(|line| !line.starts_with("G2 ") && !line.starts_with("G3 ")));
    let finer = text("", &[("arcs", "\"none\""), ("arc-tolerance", "0.005")]);
    assert!(lines(&finer).len() > lines(&none).len() + 50);
}

#[test]
fn lines_are_numbered_whole_numbers_pointed_and_decimals_counted() {
    let numbered = text("", &[("line-numbers", "5")]);
    for (i, line) in lines(&numbered).iter().enumerate() {
        assert!(line.starts_with(&format!("N{} ", 5 * (i + 1))), "{line}");
    }
    let pointed = text("", &[("decimal-point", "true")]);
    for word in lines(&pointed).iter().flat_map(|line| line.split(' ')) {
        assert!(!word.starts_with(['X', 'Y', 'Z', 'I', 'J', 'R']) || word.contains('.'), "{word}");
    }
    let coarse = text("", &[("decimals", "2")]);
    for word in lines(&coarse).iter().flat_map(|line| line.split(' ')).filter(|word| word.starts_with(['X', 'Y', 'Z']))
    {
        assert!(word.split_once('.').is_none_or(|(_, places)| places.len() <= 2), "{word}");
    }
}

#[test]
fn tools_are_changed_by_files_by_m6_or_by_a_pause() {
    let files = made("", &[]).0;
    let names: Vec<&str> = files.iter().map(|program| program.file.as_str()).collect();
    assert_eq!(names, ["sheet-1-drill-20.nc", "sheet-1-endmill-6.nc"]);
    assert!(files.iter().all(|program| !program.text.contains("M6")));
    let automatic = text("", &[("tool-change", "\"automatic\""), ("tool-length", "true")]);
    assert!(
        ["T2 M6\n(keep clear: the machine moves on and the spindle starts)\nG43 H2\nG0 Z6\n", "\nG43 H1\nG0 Z6\n"]
            .iter()
            .all(|change| automatic.contains(change))
    );
    let pause = made("screws = false\n", &[("tool-change", "\"pause\"")]).0;
    assert_eq!(pause.len(), 1);
    let lines = lines(&pause[0].text);
    let stops: Vec<usize> = lines.iter().enumerate().filter(|(_, line)| **line == "M0").map(|(i, _)| i).collect();
    assert_eq!(stops.len(), 1);
    // Up, spindle off, away; and after it up again before anything else, for the new tool has another length.
    assert_eq!(lines[stops[0] - 3..=stops[0] + 1], ["G0 Z6", "M5", "G0 X0 Y0", "M0", "G0 Z6"]);
    told_at_the_stop(&pause[0].text);
    let changed = automatic.lines().position(|line| line == "T2 M6").expect("a change");
    let around: Vec<&str> = automatic.lines().collect();
    assert!(around[changed - 1].contains("only when the spindle stands"), "{}", around[changed - 1]);
    assert!(around[changed + 1].contains("keep clear"), "{}", around[changed + 1]);
}

/// A hand goes in where a program stops: it says so before each stop, and after it.
fn told_at_the_stop(text: &str) {
    let lines: Vec<&str> = text.lines().collect();
    let stops: Vec<usize> = (0..lines.len()).filter(|i| lines[*i] == "M0").collect();
    assert!(!stops.is_empty());
    for stop in stops {
        assert_eq!(lines[stop - 2], "(wait until the spindle stands before you reach in)");
        assert!(lines[stop - 1].starts_with('('), "what to do: {}", lines[stop - 1]);
        assert_eq!(lines[stop + 1], "(hands out first: the spindle starts when you press start)");
    }
}

#[test]
fn zero_relay_and_park_are_the_machine_s() {
    let from_board = text("", &[("z-zero", "\"spoilboard\"")]);
    assert!(words(&from_board, 'Z').iter().all(|z| *z >= -0.3 - 1e-9));
    let relay = text("", &[("relay", "[\"M8\", \"M9\"]")]);
    let lines = lines(&relay);
    let place = |word: &str| lines.iter().position(|line| *line == word).unwrap_or_else(|| panic!("no {word}"));
    assert!(place("M8") < place("M9") && lines[place("M9") - 1] == "M5");
    let parked = text("", &[("park", "[\"10 mm\", 1200]")]);
    assert!(
        parked.trim_end().ends_with("G0 X10 Y1200\n(wait until the spindle stands before you reach in)\nM30"),
        "{}",
        &parked[parked.len() - 60..]
    );
}

#[test]
fn climb_goes_round_the_other_way_than_conventional() {
    let turns = |router: &str| {
        let text = text(&format!("lead = \"none\"\nscrews = false\n{router}"), &[]);
        let outline = &text[text.find("(strip, outline)").expect("there")..];
        (outline.matches("G2 ").count(), outline.matches("G3 ").count())
    };
    let (clockwise, against) = turns("cut = \"climb\"\n");
    assert!(clockwise > 4 && against == 0, "{clockwise} {against}");
    let (clockwise, against) = turns("cut = \"conventional\"\n");
    assert!(clockwise == 0 && against > 4, "{clockwise} {against}");
}

/// Every pass of an outline is equally deep, the last through the sheet and the spoilboard's 0.3; tabs stand up from it.
#[test]
fn passes_are_equally_deep_and_tabs_stand_at_their_height() {
    let heights = |router: &str| {
        let text = text(&format!("screws = false\n{router}"), &[]);
        let mut heights = words(&text[text.find("(strip, outline)").expect("there")..], 'Z');
        heights.retain(|z| *z < 0.0);
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        heights
    };
    assert_eq!(heights(""), [-12.4, -9.1, -6.2]);
    assert_eq!(heights("tab-height = 4\n"), [-12.4, -8.1, -6.2]);
    // An onion skin of half a millimetre; its tabs are as thin.
    assert_eq!(heights("hold = \"onion-skin\"\n"), [-12.4, -11.6, -5.8]);
}

#[test]
fn an_onion_skin_is_cut_last_and_slower() {
    let (_, routes) = made("hold = \"onion-skin\"\nscrews = false\n", &[]);
    let run = routes[0].runs.last().expect("the cutter");
    let kinds: Vec<OperationKind> = run.operations.iter().map(|operation| operation.kind).collect();
    let first = kinds.iter().position(|kind| *kind == OperationKind::Skin).expect("a skin");
    assert!(kinds[first..].iter().all(|kind| *kind == OperationKind::Skin) && kinds[first..].len() == 2);
    let text = text("hold = \"onion-skin\"\nscrews = false\n", &[]);
    let skin = &text[text.find("(strip, skin)").expect("there")..];
    let fastest = words(skin, 'F').iter().copied().fold(0.0, f64::max);
    assert!(fastest <= 2500.0, "{fastest}");
}

/// A finishing pass runs the allowance nearer than the rough ones, at full depth, after them.
#[test]
fn a_finishing_pass_follows_the_rough_ones() {
    let (_, routes) = made("finish = 0.5\nclearance = 2\nscrews = false\n", &[]);
    let run = routes[0].runs.last().expect("the cutter");
    let strip = run.operations.iter().find(|operation| operation.about == "strip, outline").expect("there");
    let piece = Outline::rectangle(150.0, 30.0).transformed(nestwright::geometry::Affine::translate((280.0, 40.0)));
    let nearest = |from: usize, to: usize| {
        strip.moves[from..to]
            .iter()
            .filter(|step| step.end().z < -1.0)
            .map(|step| piece.distance(step.end().flat()))
            .fold(f64::INFINITY, f64::min)
    };
    let lifted =
        strip.moves.iter().enumerate().skip(3).position(|(_, step)| step.end().z > 3.0).expect("up between") + 3;
    assert!((nearest(0, lifted) - 3.5).abs() < 1e-6);
    assert!((nearest(lifted, strip.moves.len()) - 3.0).abs() < 1e-6);
}

/// The rings that clear a recess turn on arcs as wide as the cutter, so that the machine need not stop in their corners.
#[test]
fn a_recess_is_cleared_round_its_corners() {
    let mut part = board("tray", Outline::rectangle(300.0, 200.0));
    part.pockets = vec![PartPocket {
        purpose: "recess".into(),
        outline: Outline::from_rect(nestwright::geometry::Rect::new(30.0, 30.0, 270.0, 170.0)),
        depth: 5.0,
        under: false,
    }];
    let profiles = Profiles::built_in();
    let job = router_job(&format!("machine = \"desktop-router\"\n{ROUTER}"), &profiles);
    let route = &routed(&job, &[part])[0];
    let pocket = route.runs.iter().flat_map(|run| &run.operations).find(|o| o.kind == OperationKind::Pocket);
    let moves = &pocket.expect("a recess").moves;
    let arcs: Vec<f64> = moves
        .iter()
        .filter_map(
            |step| if let Move::Arc { to, centre, .. } = step { Some(to.flat().distance(*centre)) } else { None },
        )
        .collect();
    // Four corners of each of its rings, 2.4 mm apart, and two arcs from each to the next. The innermost, on which it
    // begins, has no room to be rounder; the arc off the wall is as wide as the step.
    assert!(arcs.len() > 120, "{}", arcs.len());
    let others = arcs.iter().skip_while(|radius| **radius < 3.0 - 1e-6);
    assert_eq!(others.filter(|radius| **radius < 3.0 - 1e-6).count(), 1, "{arcs:?}");
    assert!(arcs.iter().filter(|radius| **radius > 10.0).count() > 40, "{arcs:?}");
}

/// Screws stand in the waste, the heads clear of everything that is cut; they are marked first, then the program stops.
#[test]
fn no_cut_comes_near_a_screw() {
    let (programs, routes) = made("", &[]);
    let screws = &routes[0].holding.screws;
    assert!(screws.len() >= 4, "{screws:?}");
    for run in &routes[0].runs {
        for operation in run.operations.iter().filter(|operation| operation.kind != OperationKind::Screw) {
            for pair in operation.moves.windows(2) {
                let (from, to) = (pair[0].end(), pair[1].end());
                if from.z.min(to.z) > 5.0 {
                    continue; // Above the heads.
                }
                let way = nestwright::geometry::Segment { start: from.flat(), end: to.flat(), bulge: 0.0 };
                for screw in screws {
                    let free = way.distance(screw.at) - run.tool.diameter.value / 2.0 - screw.head / 2.0;
                    assert!(free > 1.0, "{}: {free}", operation.about);
                }
            }
        }
    }
    told_at_the_stop(&programs[0].text);
    let lines = lines(&programs[0].text);
    let stop = lines.iter().position(|line| *line == "M0").expect("a stop");
    // Parked would be within reach of the screw at X12 Y12: the spindle waits over another corner, an arm's length from all.
    let corners = [(600.0, 0.0), (600.0, 400.0), (0.0, 400.0)].map(nestwright::geometry::Point::from);
    let free: Vec<String> = corners
        .into_iter()
        .filter(|corner| screws.iter().all(|screw| screw.at.distance(*corner) >= 150.0))
        .map(|corner| format!("X{} Y{}", corner.x, corner.y))
        .collect();
    let [.., up, over, still, off] = lines[..stop] else { panic!("no way to the stop") };
    assert_eq!([up, still, off], ["G0 Z6", "G0 Z6", "M5"]);
    assert!(free.is_empty() && over == "X600 Y400" || free.iter().any(|corner| corner == over), "{over} {free:?}");
    assert_eq!(&lines[stop + 1..stop + 4], ["G0 Z6", "S3000 M3", "G4 P4"]);
    assert!(!programs[1].text.contains("M0\n"), "once is enough");
    let parked = made("", &[("park", "[-200, -100]")]).0;
    assert!(parked[0].text.contains("\nG0 Z6\nX-200 Y-100\nG0 Z6\nM5\n(wait until"), "{}", parked[0].text);
    assert!(made("screws = false\n", &[]).1[0].holding.screws.is_empty());
}

/// The project's own reader, which knows nothing of the writer, finds in every machine's program the way that was meant.
#[test]
fn every_machine_s_program_reads_back_as_the_way_that_was_meant() {
    use nestwright::gcode::read::{Setup, Step, read};
    for machine in ["desktop-router", "shop-router", "older-router", "plain-router"] {
        for router in
            ["", "hold = \"onion-skin\"\nfinish = 0.4\nclearance = 2\ncut = \"conventional\"\nscrews = false\n"]
        {
            let job = router_job(&format!("machine = \"{machine}\"\n{ROUTER}{router}"), &Profiles::built_in());
            let parts = parts();
            let routes = routed(&job, &parts);
            let layout = side_by_side(&parts);
            for program in programs(&job, job.router.as_ref().expect("a router"), &layout, &routes) {
                let steps: Result<Vec<Step>, _> = read(&program.text, &Setup::default()).collect();
                let steps = steps.unwrap_or_else(|why| panic!("{machine}, {}: {why}", program.file));
                let mut cut = 0.0;
                for step in &steps {
                    let Step::Move(step) = step else { continue };
                    let known = |i: usize| Some((step.from[i].known()?, step.to[i].known()?));
                    let (Some(x), Some(y), Some(z)) = (known(0), known(1), known(2)) else { continue };
                    let level = match &step.arc {
                        Some(arc) => (x.0 - arc.centre[0]).hypot(y.0 - arc.centre[1]) * arc.sweep.abs(),
                        None => (x.1 - x.0).hypot(y.1 - y.0),
                    };
                    if !step.rapid {
                        cut += level.hypot(z.1 - z.0);
                        assert!(step.feed.is_some_and(|feed| feed > 0.0), "{machine}: line {} has no feed", step.line);
                    }
                }
                let meant = program.travel.cut;
                assert!((cut - meant).abs() < 0.002 * meant, "{machine}, {}: {cut} for {meant}", program.file);
                assert!(!steps.iter().any(|step| matches!(step, Step::Assumed { .. })), "everything is said");
            }
        }
    }
}
