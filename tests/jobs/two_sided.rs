//! Parts with recesses in both faces: the sheet is turned over on pins.

use crate::shared::{check, make};
use nestwright::Made;
use nestwright::error::Error;
use nestwright::geometry::Point;
use nestwright::proof::{Claim, Prover, Text};
use nestwright::route::SheetFace;

/// A lid with a rabbet along one edge, and a hand hold in its other face; `router` is what else stands in its table.
pub fn spec(router: &str, margin: &str) -> String {
    format!(
        r#"
        title = "Lids with a rabbet above and a hand hold below"
        stock = {{ material = "birch-plywood", size = [1220, 610], thickness = 12.1, margin = {margin} }}
        [router]
        machine = "desktop-router"
        cutter = "endmill-6"
        drills = ["drill-20"]
        {router}
        [[part]]
        name = "lid"
        size = [300, 200]
        count = 3
        grain = "any"
        hole = [{{ use = "vent", diameter = 20, across = 250, up = 60 }}]
        [[part.pocket]]
        face = "outer"
        purpose = "rabbet"
        size = [300, 12]
        depth = 5
        across = "centre"
        up = 6
        [[part.pocket]]
        face = "inner"
        purpose = "hand hold"
        size = [80, 30]
        depth = 4
        across = 90
        up = 130
        "#
    )
}

/// Where the tool is after each line, for lines that move it; X, Y and Z stay as they were unless told.
fn places(text: &str) -> Vec<(String, [f64; 3])> {
    let mut at = [f64::NAN; 3];
    let words = text.lines().filter(|line| !line.starts_with('(')).map(|line| {
        for word in line.split(' ') {
            let (letter, number) = word.split_at(1);
            if let (Some(axis), Ok(number)) = (["X", "Y", "Z"].iter().position(|it| *it == letter), number.parse()) {
                at[axis] = number;
            }
        }
        (line.to_string(), at)
    });
    words.collect()
}

fn text<'a>(made: &'a Made, file: &str) -> &'a str {
    let found = made.programs.iter().find(|program| program.file == file);
    &found
        .unwrap_or_else(|| panic!("no {file} in {:?}", made.programs.iter().map(|it| &it.file).collect::<Vec<_>>()))
        .text
}

const FIRST: &str = "sheet-1-face-1.nc";

#[test]
fn one_program_for_each_face_and_each_is_proved() {
    for flip in ["length", "width"] {
        let made = make(&spec(&format!("flip = \"{flip}\"\npin = 8"), "30"));
        let files: Vec<&str> = made.programs.iter().map(|program| program.file.as_str()).collect();
        assert_eq!(files, [FIRST, "sheet-1-face-2-drill-20.nc", "sheet-1-face-2-endmill-6.nc"]);
        assert_eq!(made.proof.len(), 3);
        assert!(crate::shared::proved(&made.proof));
        let deepest = |file: &str| places(text(&made, file)).iter().map(|(_, at)| at[2]).fold(0.0, f64::min);
        // Through 12.1 of wood, and as far into the spoilboard as the machine's profile lets pins and cuts go.
        assert_eq!(deepest(FIRST), -20.1);
        assert_eq!(deepest("sheet-1-face-2-endmill-6.nc"), -12.4);

        let route = made.routes.iter().find(|route| route.face == Some(SheetFace::First)).expect("a first face");
        let pins = &route.holding.pins;
        let (a, b) = (pins[0].at, pins[1].at);
        let image = if flip == "length" { Point::new(a.x, 610.0 - a.y) } else { Point::new(1220.0 - a.x, a.y) };
        assert!(image.distance(b) < 1e-6, "turned over, the holes lie over one another: {pins:?}");
        let other = if flip == "length" { Point::new(1220.0 - a.x, a.y) } else { Point::new(a.x, 610.0 - a.y) };
        assert!(other.distance(a) > 30.0 && other.distance(b) > 30.0, "turned the other way, they do not: {pins:?}");
        assert!(a.distance(b) >= 150.0, "{pins:?}");
        // Nothing but the pins' holes is deeper than the hand hold.
        for (line, at) in places(text(&made, FIRST)) {
            let near = pins.iter().any(|pin| pin.at.distance(Point::new(at[0], at[1])) <= 1.0 + 1e-6);
            assert!(near || at[2].is_nan() || at[2] >= -4.0, "{line}");
        }
    }
}

/// The hand hold's middle is 90 from the left and 130 from below, seen from outside; its own face shows it in the mirror.
#[test]
fn the_first_face_is_cut_in_the_mirror() {
    let made = make(&spec("flip = \"length\"\npin = 8", "30"));
    let sheet = &made.layout.sheets[0];
    let part = &made.parts[0];
    let hold = part.pockets.iter().find(|pocket| pocket.under).expect("a recess below");
    let floor: Vec<Point> = places(text(&made, FIRST))
        .iter()
        .filter(|(_, at)| at[2] == -4.0)
        .map(|(_, at)| Point::new(at[0], at[1]))
        .collect();
    assert!(floor.len() > 10, "{}", floor.len());
    for placement in &sheet.placements {
        let above = hold.outline.transformed(placement.affine(part)).bounds();
        // Within the mirror image the cutter comes within its radius of every wall, and no nearer.
        let (low, high) = (610.0 - above.y1, 610.0 - above.y0);
        let inside: Vec<&Point> =
            floor.iter().filter(|at| at.x > above.x0 && at.x < above.x1 && at.y > low && at.y < high).collect();
        let least = |of: fn(&Point) -> f64| inside.iter().map(|at| of(at)).fold(f64::INFINITY, f64::min);
        let most = |of: fn(&Point) -> f64| inside.iter().map(|at| of(at)).fold(f64::NEG_INFINITY, f64::max);
        for (found, wall) in [
            (least(|at| at.x), above.x0 + 3.0),
            (most(|at| at.x), above.x1 - 3.0),
            (least(|at| at.y), low + 3.0),
            (most(|at| at.y), high - 3.0),
        ] {
            assert!((found - wall).abs() < 0.01, "{found} {wall}");
        }
    }
}

/// The proof of a first face finds a program that would spoil the parts or their place.
#[test]
fn a_wrong_program_for_the_first_face_fails() {
    let made = make(&spec("flip = \"length\"\npin = 8", "30"));
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let first = claim.first_face();
    let prover = Prover::new(&first).expect("a router");
    let faults = |text: &str| {
        let text = Text { file: FIRST, text, tool: Some(1) };
        let proofs = prover.prove(1, &[text]).expect("it can be read");
        let names: Vec<String> = proofs[0].faults().map(|fault| fault.finding.check.clone()).collect();
        names
    };
    let good = text(&made, FIRST);
    assert!(faults(good).is_empty());
    let deeper = faults(&good.replace("Z-20.1", "Z-21.1"));
    assert!(deeper.iter().any(|name| name == "cut into the spoilboard"), "{deeper:?}");
    let shallow = faults(&good.replace("Z-20.1", "Z-19.1"));
    assert!(shallow.iter().any(|name| name.contains("depth")), "{shallow:?}");
    // Not mirrored: as if the sheet still lay as it is drawn.
    let second = text(&made, "sheet-1-face-2-endmill-6.nc");
    assert!(!faults(second).is_empty(), "the second face's program on the first face");
    let floor = faults(&good.replace("Z-4\n", "Z-4.5\n"));
    assert!(!floor.is_empty(), "a floor half a millimetre too deep");
}

/// What is told to whoever stands at the machine.
#[test]
fn each_program_tells_how_the_sheet_is_turned() {
    let made = make(&spec("flip = \"width\"\npin = 8", "30"));
    let first = text(&made, FIRST);
    for words in ["face 1 of 2", "AFTER IT", "turn the sheet over", "short edges change places", "18.1 mm"] {
        assert!(first.contains(words), "{words}");
    }
    let second = text(&made, "sheet-1-face-2-endmill-6.nc");
    for words in ["face 2 of 2", "2 pins of 8 mm", "none stands above the sheet", "zero of Z anew"] {
        assert!(second.contains(words), "{words}");
    }
}

fn refused(spec: &str) -> String {
    let checked = check(spec);
    let findings = if checked.refused() {
        checked.findings
    } else {
        match nestwright::make(checked, &crate::shared::search()) {
            Err(Error::Refused(findings)) => findings.into_findings(),
            other => panic!("{:?}", other.map(|made| made.programs.len())),
        }
    };
    let refused = findings.iter().filter(|finding| finding.refused());
    refused.map(|it| format!("{}: {}: {}", it.subject, it.check, it.advice)).collect::<Vec<_>>().join("\n")
}

#[test]
fn what_cannot_be_turned_over_is_refused_with_the_reason() {
    let why = refused(&spec("", "30"));
    assert!(why.contains("lid: recesses in one face only") && why.contains("flip = \"length\""), "{why}");
    let why = refused(&spec("flip = \"length\"\npin = 4", "30"));
    assert!(why.contains("holes for registration pins") && why.contains("drills"), "{why}");
    let deep = spec("flip = \"length\"\npin = 8", "30")
        .replace("across = 90\n        up = 130", "across = 90\n        up = 10")
        .replace("depth = 4", "depth = 5.5");
    let why = refused(&deep);
    assert!(why.contains("wood between the rabbet and the hand hold"), "{why}");
    // Three tall boards leave no two places that are mirror images of one another.
    let full = spec("flip = \"length\"\npin = 8", "0")
        .replace("size = [300, 200]", "size = [300, 600]")
        .replace("size = [1220, 610]", "size = [930, 610]");
    let why = refused(&full);
    assert!(why.contains("sheet 1: room for registration pins") && why.contains("margin"), "{why}");
}

/// Where the waste has no room for pins, what is advised gives it: a margin that every part fits inside of, or, where none
/// is so narrow, a sheet so large; and the place in the spec is that of `flip`.
#[test]
fn the_room_that_is_advised_for_pins_is_enough() {
    let told = |spec: &str| {
        let Err(Error::Refused(findings)) = nestwright::make(check(spec), &crate::shared::search()) else {
            panic!("it was made")
        };
        let [finding] = &findings[..] else { panic!("{findings:#?}") };
        assert_eq!(finding.check, "room for registration pins");
        assert_eq!(&spec[finding.spot.clone().expect("a place")], "\"length\"");
        finding.advice.clone()
    };
    let between = |text: &str, before: &str, after: &str| {
        let (_, rest) = text.split_once(before).unwrap_or_else(|| panic!("no `{before}` in: {text}"));
        rest.split_once(after).unwrap_or_else(|| panic!("no `{after}` in: {rest}")).0.to_string()
    };
    let flat = spec("flip = \"length\"\npin = 8", "0").replace("size = [1220, 610]", "size = [640, 430]");
    let advice = told(&flat);
    let margin = between(&advice, "a `margin` of ", " mm under `[stock]`");
    let made = make(&flat.replace("margin = 0", &format!("margin = {margin}")));
    assert!(made.routes.iter().all(|route| route.holding.pins.len() == 2));
    // Boards nearly as wide as the sheet lie inside of no margin.
    let full = spec("flip = \"length\"\npin = 8", "0")
        .replace("size = [300, 200]", "size = [300, 600]")
        .replace("grain = \"any\"", "grain = \"long\"")
        .replace("size = [1220, 610]", "size = [930, 610]");
    let advice = told(&full);
    assert!(!advice.contains("`margin`"), "{advice}");
    assert!(advice.contains("leave out the recesses in one face of lid"), "{advice}");
    let size = between(&advice, "a sheet of at least ", " mm").replace(" ×", ",");
    let larger = full.replace("[930, 610]", &format!("[{size}]")).replace(", margin = 0", "");
    assert!(make(&larger).routes.iter().all(|route| route.holding.pins.len() == 2));
}

/// With nothing told but that the sheet may be turned over: the pins are dowels that the tools can make holes for, 8 mm by
/// a cutter of 6 mm, or of 1/4 in; and the sheet has room for them. Dowels of 6, 8, 10 and 12 mm are common
/// practice.
#[test]
fn pins_that_can_be_made_and_room_for_them_come_by_themselves() {
    let plain = spec("flip = \"length\"", "30").replace(", margin = 30", "");
    assert!(!plain.contains("margin") && !plain.contains("pin ="));
    for (cutter, size) in [("endmill-6", 8.0), ("endmill-1-4", 8.0)] {
        let made = make(&plain.replace("endmill-6", cutter));
        assert!(crate::shared::proved(&made.proof));
        let pins = &made.routes[0].holding.pins;
        assert_eq!(pins.iter().map(|pin| pin.diameter).collect::<Vec<_>>(), [size, size]);
        let edges = |at: Point| at.x.min(at.y).min(1220.0 - at.x).min(610.0 - at.y);
        assert!(pins.iter().all(|pin| edges(pin.at) >= size / 2.0 + 12.0 - 1e-6), "{pins:?}");
    }
    // Whoever says a margin has it.
    let narrow = make(&spec("flip = \"length\"", "25"));
    assert_eq!(narrow.job.stock[0].margin, 25.0);
}

/// The page tells in which order the programs run, and shows the first face's program over the mirrored pieces.
#[test]
fn the_job_page_tells_how_the_sheet_is_turned() {
    let made = make(&spec("flip = \"length\"", "30"));
    let files = nestwright::export::files(&made).expect("files");
    let page = String::from_utf8_lossy(&files["job.html"]).replace('\u{a0}', " ");
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words}"));
    let order = [
        "How sheet 1 is turned over",
        "Run sheet-1-face-1.nc",
        "take the screws out",
        "its long edges change places",
        "2 pins of 8 mm through its holes",
        "run sheet-1-face-2-drill-20.nc, then sheet-1-face-2-endmill-6.nc",
    ];
    assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "in order");
    // The same in words beside the programs, and as data; not for a job whose sheets lie as they are.
    let told = String::from_utf8_lossy(&files["turning.txt"]).split_whitespace().collect::<Vec<_>>().join(" ");
    let place = |words: &str| told.find(words).unwrap_or_else(|| panic!("{words}: {told}"));
    assert!(order[1..].windows(2).all(|pair| place(pair[0]) < place(pair[1])), "in order");
    assert!(told.contains("wear eye and ear protection"), "{told}");
    // The plan shows the other face up: screws driven by it would go through parts.
    assert!(place("drive the screws at its marks, never by the sheet's plan") < place("take the screws out"), "{told}");
    let plan = String::from_utf8_lossy(&files["sheet-1.svg"]).into_owned();
    let texts = plan.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text.trim());
    let plan = texts.filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ").replace('\u{a0}', " ");
    let notes = ["Drawn as it lies for face 2", "hold-down screws; for face 1 at that program"];
    assert!(notes.iter().all(|note| plan.contains(note)), "{plan}");
    let mut programs = 0;
    for (_, bytes) in files.iter().filter(|(name, _)| name.ends_with(".nc")) {
        let text = String::from_utf8_lossy(bytes);
        let when = if text.contains("(mark for a screw)") || text.contains("x mark for a screw)") {
            "drive them at the marks when it stops for them"
        } else {
            "in at their marks before it starts"
        };
        assert!(text.contains(when), "{when}: {text}");
        programs += 1;
    }
    assert!(programs >= 3, "{programs}");
    let record: serde_json::Value = serde_json::from_slice(&files["job.json"]).expect("JSON");
    let turning = record["sheets"][0]["turning"].as_array().expect("steps");
    let steps: Vec<&str> = turning.iter().filter_map(serde_json::Value::as_str).collect();
    assert_eq!(steps.len(), 5);
    assert!(steps[3].contains(order[4]), "{steps:?}");
    let plain = make(&spec("", "30").replace("face = \"inner\"", "face = \"outer\""));
    let files = nestwright::export::files(&plain).expect("files");
    assert!(!files.contains_key("turning.txt") && !String::from_utf8_lossy(&files["job.json"]).contains("\"turning\""));
    // Turned about its length, the sheet of 610 shows y as 610 - y.
    assert!(page.contains("\"face\":1,\"mirror\":[1.0,0.0,0.0,-1.0,0.0,610.0]"), "mirrored");
    assert_eq!(page.matches("\"mirror\":").count(), 1, "the second face is not");
}

/// The job page shows what is cut from below as what cannot be seen from above, and says so.
#[test]
fn the_page_tells_recesses_below_from_those_above() {
    let page = |text: &str| {
        let files = nestwright::export::files(&make(text)).expect("files");
        let page = files.into_iter().find(|(path, _)| path == "job.html").expect("a page");
        String::from_utf8(page.1).expect("text")
    };
    let both = page(&spec("flip = \"length\"\npin = 8", "30"));
    assert_eq!(both.matches("class=\"pocket\"").count(), 1);
    assert_eq!(both.matches("class=\"pocket below\"").count(), 1);
    assert!(both.contains("Dashed: a recess"));
    let one = page(&spec("", "30").replace("face = \"inner\"", "face = \"outer\""));
    assert!(!one.contains("pocket below") && !one.contains("Dashed: a recess"));
}

/// In thick stock the thinnest dowel whose hole the cutter could bore is too deep for it: a listed drill that reaches makes
/// a wider one. Where none does, the pin is to blame, not a part.
#[test]
fn pins_are_such_that_a_tool_reaches_through_the_sheet() {
    for thickness in ["17.2", "18", "18.9"] {
        let thick = spec("flip = \"length\"", "30").replace("thickness = 12.1", &format!("thickness = {thickness}"));
        let made = make(&thick);
        assert!(crate::shared::proved(&made.proof));
        let pins = &made.routes[0].holding.pins;
        assert!(pins.len() == 2 && pins.iter().all(|pin| pin.diameter == 20.0 && pin.depth >= 5.0), "{pins:?}");
        let undrilled = thick.replace("drills = [\"drill-20\"]", "");
        let why = refused(&undrilled);
        assert!(why.starts_with("desktop-router: hole for a registration pin: flute length of endmill-6"), "{why}");
        assert!(why.contains("list a drill") && !why.contains("lid"), "{why}");
        assert!(why.contains("`pin-depth` of"), "{why}");
        // With a pin of its own that only the cutter makes: the drill that would do is named.
        let why = refused(&thick.replace("flip = \"length\"", "flip = \"length\"\npin = 8"));
        assert!(why.contains("set `pin` to 20 mm, for which drill-20 is long enough"), "{why}");
    }
}

/// Nothing is cut out of the first face, nor by a drill: nothing there is held by tabs. Where the second is cut out, all is.
#[test]
fn only_where_parts_are_cut_out_is_there_a_word_of_tabs() {
    const TABS: &str = "parts are held by tabs";
    let made = make(&spec("flip = \"length\"\npin = 8", "30"));
    let mut of_tabs = Vec::new();
    for program in &made.programs {
        if program.text.contains(TABS) {
            of_tabs.push(program.file.as_str());
        }
        assert!(program.text.contains("wear eye and ear protection"));
    }
    assert_eq!(of_tabs, ["sheet-1-face-2-endmill-6.nc"]);
    // The page says of which programs it is true.
    let page = |made: &Made| {
        let files = nestwright::export::files(made).expect("files");
        String::from_utf8_lossy(&files["job.html"]).into_owned()
    };
    let both = page(&made);
    assert!(both.contains(&format!("<li>in sheet-1-face-2-endmill-6.nc, {TABS}")), "its name before it");
    assert!(both.contains("<li>wear eye and ear protection"), "of all programs");
    // A machine that changes tools cuts all of a face in one program.
    let one = spec("", "30").replace("face = \"inner\"", "face = \"outer\"").replace("drills = [\"drill-20\"]", "");
    assert!(page(&make(&one)).contains(&format!("<li>{TABS}")));
}

/// Whoever builds a box hears which of its panels have two faces that are easily taken for one another, and whoever opens
/// the drawings, which sheets are turned over.
#[test]
fn a_box_with_a_panel_cut_from_both_faces_says_so() {
    let tray = |pocket: &str| {
        format!(
            r#"
            title = "Tray with a hand hold"
            stock = {{ material = "birch-plywood", size = [1220, 610], thickness = 12.1 }}
            router = {{ machine = "desktop-router", cutter = "endmill-6", flip = "length" }}
            [[box]]
            name = "tray"
            kind = "open-box"
            count = 1
            inside = [300, 200, 100]
            [[box.pocket]]
            panel = "front"
            face = "inner"
            size = [80, 30]
            depth = 4
            across = "centre"
            up = 60
            {pocket}
            "#
        )
    };
    let outer = "[[box.pocket]]\npanel = \"front\"\nface = \"outer\"\nsize = [20, 20]\ndepth = 4\nacross = 60\nup = 60";
    let told = |text: &str| {
        let files = nestwright::export::files(&make(text)).expect("files");
        String::from_utf8_lossy(&files["assembly.txt"]).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let both = told(&tray(outer));
    assert!(both.contains("Cut from both faces: the front. Hold each against its drawing"), "{both}");
    assert!(!told(&tray("")).contains("both faces"));
    let words = |text: &str| {
        let book = nestwright::draw::book(&make(text));
        let cover = book.iter().find(|page| matches!(page.shows, nestwright::draw::Shows::Cover)).expect("a cover");
        cover.picture.texts().map(|text| text.text.clone()).collect::<Vec<_>>().join(" ")
    };
    assert!(words(&tray(outer)).contains("Sheet 1 is turned over between its programs"));
    assert!(!words(&tray("")).contains("turned over"));
}
