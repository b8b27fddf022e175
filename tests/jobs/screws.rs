//! Holes for the screws of joints, and lines that boards are set to: where they are, how they are proved, and what a hand does.

use crate::shared::{check, make, problems};
use geo::{Buffer, Contains, LineString, MultiLineString, Polygon};
use glam::DVec3;
use nestwright::Made;
use nestwright::design::{Bored, Face, Part, ScrewHole};
use nestwright::geometry::{Outline, Point};
use nestwright::joining::Joining;
use nestwright::proof::{Claim, Prover, Text};

fn nuc(router: &str, rest: &str) -> String {
    format!(
        r#"
        title = "Screwed nuc"
        stock = {{ material = "birch-plywood", size = [1220, 1220], thickness = 17.6 }}
        {router}
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        hole = [{{ panel = "front", use = "entrance", diameter = 19, across = "centre", up = 40 }}]
        {rest}
        "#
    )
}

const ROUTER: &str = r#"router = { machine = "shop-router", cutter = "endmill-6", drills = ["drill-4-5", "drill-4", "drill-2-5", "drill-2"], joint-lines = true }"#;
const SCREWS: &str = "[hardware]\nfastener = \"screws\"\nscrew-holes = true";

/// A hole's two ends in the box, from the face that it is bored from.
fn in_box(made: &Made, part: &Part, hole: &ScrewHole) -> Vec<[DVec3; 2]> {
    let panels = &made.assemblies[part.assembly].panels;
    let of_panel = |(panel, to_part): &(usize, nestwright::geometry::Affine)| {
        let (panel, at) = (&panels[*panel], to_part.inverse() * hole.centre);
        let (top, low) = (0.0, -panel.thickness);
        let (from, to) = match (hole.face, hole.depth) {
            (Face::Outer, depth) => (top, depth.map_or(low, |depth| -depth)),
            (Face::Inner, depth) => (low, depth.map_or(top, |depth| low + depth)),
        };
        [from, to].map(|w| panel.place.to_space(at, w))
    };
    part.panels.iter().map(of_panel).collect()
}

/// Every screw has a clearance hole around its place, square to the face; every pilot goes on from the end of one, in line with
/// it; and there are no others. As many screws are bought as there are clearance holes.
#[test]
fn each_screw_has_its_holes_and_each_hole_its_screw() {
    for spec in [
        nuc(ROUTER, SCREWS),
        nuc("saw = { kerf = 3.2 }", SCREWS),
        format!(
            "title = 'super'\nstock = {{ material = 'birch-plywood', size = [1220, 1220], thickness = 19 }}\n{ROUTER}\n\
             box = {{ name = 'super', kind = 'frame-box', count = 1, frame = 'langstroth-medium', frames = 10, rest = 'rabbet', \
             floor = 'none', cover = 'none' }}\n{SCREWS}"
        ),
        format!(
            "title = 'nest'\nstock = {{ material = 'birch-plywood', size = [1220, 1220], thickness = 18 }}\n{ROUTER}\n\
             box = {{ name = 'nest box', kind = 'cavity-box', count = 1, occupant = 'great-tit' }}\n{SCREWS}"
        ),
    ] {
        let made = make(&spec);
        assert!(made.job.router.is_none() || crate::shared::proved(&made.proof));
        let assembly = &made.assemblies[0];
        let joining = Joining::of(&made.job.hardware, assembly);
        let driven: Vec<_> = joining.fasteners.iter().flatten().collect();
        let places: Vec<(DVec3, DVec3)> =
            driven.iter().flat_map(|one| one.places.iter().map(|at| (*at, one.stands))).collect();
        let ends = |bored: Bored| -> Vec<[DVec3; 2]> {
            let of_part = |part: &Part| {
                let own = part.screw_holes.iter().filter(move |hole| hole.bored == bored);
                own.flat_map(|hole| in_box(&made, part, hole)).collect::<Vec<_>>()
            };
            made.parts.iter().flat_map(of_part).collect()
        };
        let (clearance, pilots) = (ends(Bored::Clearance), ends(Bored::Pilot));
        let square = driven
            .iter()
            .filter(|one| one.stands.dot(assembly.panels[one.through].place.normal()).abs() > 0.999)
            .map(|one| one.count())
            .sum::<u32>();
        assert_eq!(clearance.len(), square as usize);
        let bought: f64 = made.supplies.iter().filter(|it| it.what.contains("screw,")).map(|it| it.total).sum();
        assert_eq!(bought as usize, places.len());
        let told: u32 = made.steps[0].steps.iter().map(|step| step.fasteners).sum();
        assert_eq!(told as usize, places.len());
        for [from, to] in &clearance {
            let here = places
                .iter()
                .any(|(at, stands)| at.distance(*from) < 1e-6 && (*from - *to).normalize().dot(*stands) > 0.999);
            assert!(here, "{from} to {to}");
        }
        for [from, to] in &pilots {
            // It begins where a clearance hole ends, but for the play of the joint, and runs on.
            let goes_on = clearance.iter().any(|[start, end]| {
                end.distance(*from) < 0.35 && (*end - *start).normalize().dot((*to - *from).normalize()) > 0.999
            });
            assert!(goes_on, "{from} to {to}");
        }
        // Edge pilots and those in faces are one for each screw.
        let edges: u32 = assembly.panels.iter().flat_map(|panel| &panel.edge_pilots).map(|it| it.count).sum();
        assert!(pilots.len() + edges as usize <= clearance.len());
    }
}

/// A screw fills its hole: what is measured of the box is the same with and without.
#[test]
fn holes_for_screws_are_no_openings() {
    let told = |spec: &str| {
        let checked = check(spec);
        let said =
            |it: &nestwright::finding::Finding| !it.check.contains("joint lines") && !it.check.contains("for screws");
        let findings = checked.findings.iter().filter(|it| said(it));
        findings.map(|it| format!("{} {} {:?} {:?}", it.check, it.subject, it.measured, it.status)).collect::<Vec<_>>()
    };
    let without = SCREWS.replace("screw-holes = true", "");
    assert_eq!(told(&nuc(ROUTER, SCREWS)), told(&nuc(&ROUTER.replace(", joint-lines = true", ""), &without)));
}

fn polygon(outline: &Outline) -> Polygon {
    let ring: Vec<(f64, f64)> = outline.flattened(0.01).iter().map(|it| (it.x, it.y)).collect();
    Polygon::new(LineString::from(ring), vec![])
}

/// With the polygon library as a witness: every line lies wholly under the board that covers it, in the face that is up; its wall is
/// that board's edge.
#[test]
fn lines_lie_under_what_covers_them_and_end_at_its_edge() {
    let made = make(&nuc(ROUTER, SCREWS));
    let (panels, mut seen) = (&made.assemblies[0].panels, 0);
    for part in &made.parts {
        for line in part.lined() {
            let (index, to_part) = &part.panels[0];
            let (on, board) = (&panels[*index], panels.iter().find(|panel| panel.name == line.board).expect("a board"));
            // Where the board's solid comes within a hair of the face, seen in the part's frame.
            let face = if line.face == Face::Outer { 0.2 } else { -on.thickness - 0.2 };
            let touches = |at: Point| board.contains(on.place.to_space(to_part.inverse() * at, face));
            let ways = line.strokes.iter().map(|ends| ends.iter().map(|it| (it.x, it.y)).collect::<LineString>());
            let swept = MultiLineString::new(ways.collect()).buffer(3.0 - 0.01);
            assert!(polygon(&part.outline).contains(&swept), "{}", part.name);
            for corner in swept.iter().flat_map(|it| it.exterior().points()) {
                assert!(touches(Point::new(corner.x(), corner.y())), "{}, {}: {corner:?}", part.name, line.board);
            }
            for [from, to] in line.walls(6.0) {
                let middle = from.midpoint(to);
                let out = (middle - line.covered.bounds().center()).normalize();
                let aside = nestwright::geometry::Vec2::new((to - from).y, -(to - from).x).normalize();
                let aside = if aside.dot(out) < 0.0 { -aside } else { aside };
                assert!(touches(middle - aside * 0.05) && !touches(middle + aside * 0.05), "{}", part.name);
                seen += 1;
            }
        }
    }
    assert!(seen >= 12, "{seen}");
    let swept = |part: &Part| part.lined().map(|line| line.strokes.len()).sum::<usize>();
    assert!(made.parts.iter().filter(|part| swept(part) > 0).count() >= 3);
    // The cleats stand on outer faces, which are down.
    let told: Vec<&str> =
        made.findings.iter().filter(|it| it.check == "joint lines").map(|it| it.subject.as_str()).collect();
    assert_eq!(told, ["front", "back"]);
    let text: Vec<&str> = made.steps[0].steps.iter().flat_map(|step| &step.text).map(String::as_str).collect();
    assert!(text.contains(&"Set the front and the back to the lines in the left side."), "{text:?}");
}

/// What the proof says of the sheet's program with another text.
fn faults(made: &Made, text: &str) -> Vec<String> {
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let prover = Prover::new(&claim).expect("a router");
    let file = &made.programs[0].file;
    let proofs = prover.prove(1, &[Text { file, text, tool: prover.first_tool(1, file) }]).expect("read");
    proofs[0].faults().map(|fault| fault.finding.check.clone()).collect()
}

/// The program with one word of the first line changed that begins so, after the comment that ends so.
fn changed(text: &str, comment: &str, begins: &str, word: char, by: f64) -> String {
    let mut lines: Vec<String> = text.lines().map(String::from).collect();
    let at = lines.iter().position(|line| line.starts_with('(') && line.ends_with(comment)).expect(comment);
    let line = (at + 1..lines.len()).find(|i| lines[*i].starts_with(begins)).expect(begins);
    let moved = |it: &str| match it.strip_prefix(word).and_then(|number| number.parse::<f64>().ok()) {
        Some(number) => format!("{word}{:.4}", number + by),
        None => it.to_string(),
    };
    lines[line] = lines[line].split(' ').map(moved).collect::<Vec<_>>().join(" ");
    lines.join("\n")
}

/// The programs are in inches: a pilot a twenty-fifth deeper or less deep, or one beside its place; a line that is deeper, or that
/// goes out from under its board.
#[test]
fn a_pilot_or_a_line_that_is_not_as_claimed_is_caught() {
    let made = make(&nuc(ROUTER, SCREWS));
    let text = &made.programs[0].text;
    assert!(faults(&made, text).is_empty());
    let pilot = |word, by| faults(&made, &changed(text, "x cover, pilot)", "G99 G83", word, by));
    let has = |found: &[String], one: &str| assert!(found.iter().any(|it| it == one), "{one}: {found:?}");
    has(&pilot('Z', -0.04), "depth of a hole");
    has(&pilot('Z', 0.04), "depth of a hole");
    has(&pilot('X', 0.02), "a hole's centre from its place");
    has(&pilot('X', 0.3), "cut into a part");
    let line = |begins, word, by| faults(&made, &changed(text, "(side, joint line)", begins, word, by));
    has(&line("Y", 'Z', -0.01), "cut into a part");
    let clearance = changed(text, "clearance)", "G99 G83", 'Z', 0.1);
    has(&faults(&made, &clearance), "depth of a hole");
    // A line that was forgotten stays in the wood.
    let lines: Vec<&str> = text.lines().collect();
    let from = lines.iter().position(|line| *line == "(side, joint line)").expect("a line");
    let to = (from + 1..lines.len()).find(|i| lines[*i].starts_with('(')).expect("what comes next");
    has(&faults(&made, &[&lines[..from], &lines[to..]].concat().join("\n")), "left in a recess");
}

/// Without a bit for them nothing is refused: the hand is told, on the drawing and in the findings, and no program bores them.
#[test]
fn what_no_tool_makes_is_left_to_the_hand() {
    let made = make(&nuc("router = { machine = \"shop-router\", cutter = \"endmill-6\" }", SCREWS));
    assert!(made.parts.iter().flat_map(|part| &part.screw_holes).all(|hole| !hole.by_router));
    assert!(made.programs.iter().all(|program| !program.text.contains("clearance")));
    let told: Vec<&str> =
        made.findings.iter().filter(|it| it.check == "holes for screws").map(|it| it.subject.as_str()).collect();
    assert!(told.contains(&"4.5 mm clearance") && told.contains(&"2 mm pilot"), "{told:?}");
    let side = made.parts.iter().position(|part| part.name == "side").expect("a side");
    let drawn = nestwright::draw::part_drawing(&made, side);
    let words: Vec<&str> = drawn.texts().map(|text| text.text.as_str()).collect();
    assert!(words.iter().any(|text| text.starts_with("2 rows of 3 × ⌀4.5 clearance, by hand")), "{words:?}");
    let step = made.steps[0].steps.iter().find(|step| step.fasteners > 0).expect("a step").text.join(" ");
    let said =
        "Clearance 4.5 mm, pilot 2.5 mm: drill the pilots through the clearance holes, 27.4 mm deep. Drive 6 screws";
    assert!(step.contains(said), "{step}");
}

/// A narrow cutter bores what no drill makes.
#[test]
fn a_narrow_cutter_bores_the_clearance() {
    let made = make(
        "title = 'tray'\nstock = { material = 'birch-plywood', size = [1220, 610], thickness = 9 }\n\
         router = { machine = 'shop-router', cutter = 'endmill-3' }\n\
         box = { name = 'tray', kind = 'open-box', count = 1, inside = [300, 200, 80] }\n\
         hardware = { fastener = 'screw-3-5x30', screw-holes = true }",
    );
    let bored = made.parts.iter().flat_map(|part| &part.screw_holes).filter(|hole| hole.by_router);
    assert!(bored.count() > 8 && made.programs[0].text.contains("clearance)"));
    assert!(crate::shared::proved(&made.proof));
}

/// A profile of one's own says how thick its screw is.
#[test]
fn a_screw_without_a_diameter_is_told_so() {
    let figure = |key: &str, value: &str| format!("{key} = {{ value = {value}, source = 'the packet' }}\n");
    let text = |kind: &str| {
        let figures = [("kind", kind), ("length", "40"), ("spacing", "100"), ("from-end", "20")];
        format!("title = 'Own'\n{}", figures.map(|(key, value)| figure(key, value)).concat())
    };
    let added = |text: &str| nestwright::profile::Profiles::built_in().add_text("fasteners", "own", text);
    assert!(added(&text("'brad'")).is_ok());
    let why = added(&text("'screw'")).expect_err("no diameter").to_string();
    assert!(why.contains("lacks `diameter`"), "{why}");
    assert!(added(&(text("'screw'") + &figure("diameter", "4"))).is_ok());
}

#[test]
fn screw_holes_want_screws() {
    let found = problems(&nuc("saw = { kerf = 3 }", "[hardware]\nscrew-holes = true"));
    assert!(found[0].contains("`screw-holes` changes nothing here"), "{found:?}");
}

/// An inch job is given nails and screws by inches, a metric one those by millimetres; where no nail is short enough it is a brad.
#[test]
fn a_job_gets_fasteners_of_its_own_units() {
    let made = |units: &str, fastener: &str| {
        make(&format!(
            "title = 'tray'\nunits = '{units}'\n\
             stock = {{ material = 'eastern-white-pine', size = ['2400 mm', '290 mm'], thickness = '19 mm' }}\n\
             saw = {{ kerf = '3 mm' }}\nhardware = {{ fastener = '{fastener}' }}\n\
             box = {{ name = 'tray', kind = 'open-box', count = 1, inside = ['400 mm', '250 mm', '100 mm'] }}"
        ))
    };
    let bought = |made: &Made| -> Vec<String> {
        let beside = made.supplies.iter().filter(|it| !it.boxes.is_empty());
        beside.map(|it| it.item.clone()).filter(|it| it.contains("nail") || it.contains("screw")).collect()
    };
    // 2.4 times 19 mm are 45.6: the next nail is 2 in, or 55 mm; the next screw 2 in, or 50 mm.
    assert_eq!(bought(&made("in", "nails")), ["box-nail-6d"]);
    assert_eq!(bought(&made("mm", "nails")), ["nail-2-5x55"]);
    assert_eq!(bought(&made("in", "screws")), ["screw-no-8-2"]);
    assert_eq!(bought(&made("mm", "screws")), ["screw-4x50"]);
    let steps = &made("in", "nails").steps[0].steps;
    assert!(steps.iter().flat_map(|step| &step.text).any(|text| text.contains("nails of 2 in")));
}
