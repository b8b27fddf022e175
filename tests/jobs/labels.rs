//! Labels engraved into the faces that will be hidden: where they are, how they are proved, and when there are none.

use crate::shared::{check, make};
use geo::{BooleanOps, Buffer, Contains, Distance, Euclidean, Intersects, LineString, MultiLineString, Point, Polygon};
use glam::DVec3;
use nestwright::Made;
use nestwright::design::Face;
use nestwright::finding::Status;
use nestwright::label::{Label, NoLabel};
use nestwright::proof::{Claim, Prover, Text};
use nestwright::route::OperationKind;
use std::sync::Arc;

fn spec(router: &str) -> String {
    format!(
        r#"
        title = "Nuc"
        stock = {{ material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }}
        [router]
        machine = "desktop-router"
        cutter = "endmill-6"
        {router}
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        hole = [{{ panel = "front", use = "entrance", diameter = 20, across = "centre", up = 100 }}]
        [[box.pocket]]
        panel = "back"
        face = "outer"
        size = [60, 20]
        depth = 4
        across = "centre"
        up = 60
        [[part]]
        name = "gauge"
        size = [150, 80]
        "#
    )
}

fn label<'a>(made: &'a Made, name: &str) -> &'a Label {
    made.parts.iter().find(|part| part.name == name).and_then(|part| part.engraved()).expect("engraved")
}

#[test]
fn nothing_is_engraved_unless_asked_for() {
    let made = make(&spec(""));
    assert!(made.parts.iter().all(|part| part.label.is_none()));
    assert!(made.programs.iter().all(|program| !program.text.contains("label")));
    assert!(made.findings.iter().all(|finding| finding.check != "engraved label"));
}

/// Each part of a box is engraved, or there is a caution that says why not; every program is proved with it.
#[test]
fn every_part_has_its_label_or_a_caution() {
    let made = make(&spec("labels = true"));
    assert!(crate::shared::proved(&made.proof));
    let why = |name: &str| made.parts.iter().find(|part| part.name == name).and_then(|part| part.label.clone());
    // Its recess is outside, so its outer face is up.
    assert_eq!(why("back"), Some(Err(NoLabel::Shows)));
    assert_eq!(why("gauge"), Some(Err(NoLabel::Loose)));
    assert_eq!(why("cover cleat"), Some(Err(NoLabel::NoRoom)));
    for (i, part) in made.parts.iter().enumerate() {
        let cautions = made.findings.iter().filter(|it| it.check == "engraved label" && it.subject == part.name);
        let cautions: Vec<Status> = cautions.map(|finding| finding.status).collect();
        match &part.label {
            Some(Ok(label)) => {
                assert_eq!(part.up, Face::Inner, "{}", part.name);
                assert!(label.text.starts_with(&(i + 1).to_string()), "{}", label.text);
                assert!(label.height >= 30.0 && label.depth == 0.5, "{label:?}");
                assert!(cautions.is_empty());
            }
            Some(Err(_)) => assert_eq!(cautions, [Status::Caution], "{}", part.name),
            None => panic!("{} was forgotten", part.name),
        }
    }
    let number = made.parts.iter().position(|part| part.name == "side").expect("a side") + 1;
    assert_eq!(label(&made, "side").text, format!("{number} side"));
    let record: serde_json::Value =
        serde_json::from_slice(&nestwright::export::files(&made).expect("files")["job.json"]).expect("JSON");
    assert!(record["programs"][0]["by_operation"]["label"].as_f64().expect("minutes") > 0.1);
    assert_eq!(record["parts"][number - 1]["label"]["text"], format!("{number} side"));
    let drawn = nestwright::draw::part_drawing(&made, number - 1);
    let words: Vec<&str> = drawn.texts().map(|text| text.text.as_str()).collect();
    let engraves = format!("The router engraves \"{number} side\" into its inner face, 0.5 mm deep.");
    assert!(words.join(" ").contains(&engraves), "{words:?}");
    assert!(made.programs[0].text.contains("(writes labels, 0.5 mm deep, into the faces that will be hidden)"));
}

/// With the polygon library as a witness: what the cutter writes lies on its part, clear of its edges and of all that is cut
/// into it, and wood is left inside of closed letters.
#[test]
fn letters_lie_clear_of_everything_and_can_be_read() {
    let made = make(&spec("labels = true"));
    let polygon = |outline: &nestwright::geometry::Outline| {
        let ring: Vec<(f64, f64)> = outline.flattened(0.01).iter().map(|it| (it.x, it.y)).collect();
        Polygon::new(LineString::from(ring), vec![])
    };
    let mut seen = 0;
    for part in &made.parts {
        let Some(label) = part.engraved() else { continue };
        seen += 1;
        let ways = label.strokes.iter().map(|stroke| stroke.iter().map(|it| (it.x, it.y)).collect::<LineString>());
        let swept = MultiLineString::new(ways.collect()).buffer(3.0);
        let outline = polygon(&part.outline);
        assert!(outline.contains(&swept), "{}", part.name);
        let edge = outline.exterior();
        let corners = swept.iter().flat_map(|it| it.exterior().points());
        let nearest = corners.map(|it: Point| Euclidean.distance(&it, edge)).fold(f64::INFINITY, f64::min);
        assert!(nearest >= part.thickness - 0.1, "{}: {nearest}", part.name);
        for hole in &part.holes {
            assert!(swept.intersection(&polygon(&hole.outline()).buffer(3.9)).0.is_empty(), "{}", part.name);
        }
        for pocket in &part.pockets {
            assert!(swept.intersection(&polygon(&pocket.outline).buffer(3.9)).0.is_empty(), "{}", part.name);
        }
        // O, D, 0, 4, 6, 8 and 9 have an inside; so have A, B, P, Q and R.
        let closed = label.text.to_uppercase().chars().filter(|c| "OD0469APQR".contains(*c)).count()
            + 2 * label.text.to_uppercase().chars().filter(|c| "B8".contains(*c)).count();
        let inside = swept.iter().map(|it| it.interiors().len()).sum::<usize>();
        assert_eq!(inside, closed, "{}", label.text);
    }
    assert!(seen >= 4, "{seen}");
}

/// What the proof says of the sheet's program with another text.
fn faults(made: &Made, text: &str) -> Vec<String> {
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let prover = Prover::new(&claim).expect("a router");
    let file = &made.programs[0].file;
    let proofs = prover.prove(1, &[Text { file, text, tool: prover.first_tool(1, file) }]).expect("read");
    proofs[0].faults().map(|fault| format!("{}: {}", fault.finding.check, fault.finding.subject)).collect()
}

/// The program with its first label written otherwise, line by line.
fn rewritten(text: &str, line: impl Fn(usize, &str) -> Option<String>) -> String {
    let (mut inside, mut done, mut at) = (false, false, 0);
    let mut lines = Vec::new();
    for old in text.lines() {
        if old.starts_with('(') {
            inside = old.ends_with(", label)") && !done;
            done |= inside;
            lines.push(old.to_string());
        } else if inside {
            lines.extend(line(at, old));
            at += 1;
        } else {
            lines.push(old.to_string());
        }
    }
    lines.join("\n")
}

#[test]
fn a_label_that_is_not_as_claimed_is_caught() {
    let made = make(&spec("labels = true"));
    let text = &made.programs[0].text;
    assert_eq!(faults(&made, &rewritten(text, |_, line| Some(line.into()))), Vec::<String>::new());
    let deeper = |to: &'static str| rewritten(text, move |_, line| Some(line.replace("Z-0.5", to)));
    let too_deep = faults(&made, &deeper("Z-0.8"));
    assert!(too_deep.iter().any(|it| it.starts_with("cut into a part")), "{too_deep:?}");
    assert!(too_deep.iter().any(|it| it.starts_with("depth of a recess") && it.ends_with("label")), "{too_deep:?}");
    let shallow = faults(&made, &deeper("Z-0.3"));
    assert!(shallow.iter().any(|it| it.starts_with("left in a recess") && it.ends_with("label")), "{shallow:?}");
    let none = faults(&made, &rewritten(text, |_, _| None));
    assert!(none.iter().any(|it| it.ends_with("label")), "{none:?}");
    // Further along than the letter goes.
    let first = rewritten(text, |at, line| Some(if at == 4 { "X-60 Y-60".into() } else { line.into() }));
    assert!(!faults(&made, &first).is_empty());
    // A job that claims no label lets nobody write one.
    let mut plain = make(&spec("labels = true"));
    plain.parts.iter_mut().for_each(|part| part.label = None);
    let unasked = faults(&plain, text);
    assert!(unasked.iter().any(|it| it.starts_with("cut into a part")), "{unasked:?}");
}

/// Of a sheet that is turned over, labels are in the face from which the parts are cut out.
#[test]
fn a_sheet_that_is_turned_over_is_written_on_once() {
    let two_sided = spec("labels = true\nflip = \"length\"").replace(
        "[[part]]",
        "[[box.pocket]]\npanel = \"side\"\nface = \"inner\"\nsize = [60, 20]\ndepth = 4\nacross = 60\nup = 60\n\
         [[box.pocket]]\npanel = \"side\"\nface = \"outer\"\nsize = [40, 20]\ndepth = 4\nacross = 300\nup = 60\n[[part]]",
    );
    let checked = check(&two_sided.replace("\"side\"", "\"left side\""));
    let made = nestwright::make(checked, &crate::shared::search()).unwrap_or_else(|why| panic!("{why}"));
    assert!(crate::shared::proved(&made.proof));
    for route in &made.routes {
        let first = route.face == Some(nestwright::route::SheetFace::First);
        let written = route.runs.iter().flat_map(|run| &run.operations).any(|it| it.kind == OperationKind::Label);
        assert_eq!(written, !first);
    }
    let side = made.parts.iter().position(|part| part.pockets.iter().any(|pocket| pocket.under)).expect("one");
    assert_eq!(made.parts[side].label, Some(Err(NoLabel::Shows)));
    let drawn = nestwright::draw::part_drawing(&made, side);
    let words: Vec<String> = drawn.texts().map(|text| text.text.clone()).collect();
    let words = words.join(" ");
    for said in [
        "Dashed: cut into the inner face, which lies behind.",
        "No label is engraved into it: the face that is up shows.",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
}

/// A thin cutter writes names where a thick one has only room for a number or for nothing.
#[test]
fn a_thinner_cutter_writes_more() {
    let made = make(&spec("labels = true"));
    let router = made.job.router.as_ref().expect("asked for");
    let signs = |diameter: f64| {
        let mut router = router.clone();
        let mut cutter = (*router.cutter).clone();
        cutter.diameter.value = diameter;
        router.cutter = Arc::new(cutter);
        let labels = made
            .parts
            .iter()
            .zip(1..)
            .filter_map(|(part, number)| Label::of(part, number, &router, &made.assemblies[part.assembly]).ok());
        labels.map(|label| label.text.len()).sum::<usize>()
    };
    assert!(signs(3.0) > signs(6.0) && signs(6.0) > signs(12.0), "{} {} {}", signs(3.0), signs(6.0), signs(12.0));
}

/// Boxes with eaves, and one whose back reaches past the box below it.
const STANDING_OVER: &str = r#"
    title = "Eaves"
    stock = { material = "softwood-plywood", size = [2440, 1220], thickness = 12.1 }
    router = { machine = "desktop-router", cutter = "endmill-6", labels = true }
    [[box]]
    name = "sloping"
    kind = "cavity-box"
    count = 1
    inside = [150, 150, 200]
    roof = "sloping"
    overhang = 90
    [[box]]
    name = "gabled"
    kind = "cavity-box"
    count = 1
    inside = [150, 150, 200]
    roof = "gabled"
    overhang = 60
    [[box]]
    name = "roost"
    kind = "cavity-box"
    count = 1
    occupant = "bat"
"#;

/// Each corner of what is written, and the part's name, in the box's own space.
fn in_space(made: &Made) -> Vec<(&str, usize, DVec3)> {
    let mut all = Vec::new();
    for part in &made.parts {
        for (panel, way) in part.panels.iter().filter(|_| part.engraved().is_some()) {
            let panel = &made.assemblies[part.assembly].panels[*panel];
            let corners = part.engraved().into_iter().flat_map(|label| label.strokes.iter().flatten());
            let to_space =
                |at: &nestwright::geometry::Point| panel.place.to_space(way.inverse() * *at, -panel.thickness);
            all.extend(corners.map(|at| (part.name.as_str(), part.assembly, to_space(at))));
        }
    }
    all
}

/// A label is not under an eave nor on what of a back reaches past the box: there it could be seen. The walls are measured
/// where the panels stand in space, without asking what lies on what.
#[test]
fn what_is_written_is_inside_the_box() {
    let made = make(STANDING_OVER);
    assert!(crate::shared::proved(&made.proof));
    let walls = |assembly: usize, names: &[&str]| {
        let panels = made.assemblies[assembly].panels.iter().filter(|panel| names.contains(&panel.name.as_str()));
        panels.map(nestwright::design::Panel::bounds).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).expect("walls")
    };
    let (mut roofs, mut backs) = (0, 0);
    for (name, assembly, at) in in_space(&made) {
        if name.ends_with("roof") {
            let (least, most) = walls(assembly, &["front", "back", "left side", "right side"]);
            assert!(at.x > least.x && at.x < most.x, "{name} of {assembly}: {at} is beside {least} to {most}");
            assert!(at.y > least.y && at.y < most.y, "{name} of {assembly}: {at} is beside {least} to {most}");
            roofs += 1;
        } else if name.ends_with("back") {
            let (least, most) = walls(assembly, &["left side", "right side"]);
            assert!(at.z > least.z && at.z < most.z, "{name} of {assembly}: {at} is above or below {least} to {most}");
            backs += 1;
        }
    }
    assert!(roofs > 3 * 4 && backs > 4, "{roofs} {backs}");
    // It takes all the room there is: a gable has its name between its slopes and its floor.
    let gable = made.parts.iter().find(|part| part.name.contains("front and back")).expect("a gable");
    let label = gable.engraved().expect("engraved");
    assert!(label.text.ends_with("front and back"), "{}", label.text);
}

/// A name with signs that the font lacks is not engraved, and the maker is told which signs.
#[test]
fn a_name_that_cannot_be_written_is_told() {
    let named = STANDING_OVER.replace("\"gabled\"\n    kind", "\"G\u{e4}ste & Tor\"\n    kind");
    assert_ne!(named, STANDING_OVER);
    let made = make(&named);
    let mut told = 0;
    for (i, part) in made.parts.iter().enumerate().filter(|(_, part)| part.engraved().is_some()) {
        let about = made.findings.iter().filter(|it| it.check == "engraved label" && it.subject == part.name);
        let about: Vec<_> = about.collect();
        let text = &part.engraved().expect("engraved").text;
        if part.name.starts_with('G') {
            assert_eq!(text.trim_end_matches('.'), (i + 1).to_string());
            let [one] = about[..] else { panic!("{} is told once", part.name) };
            assert_eq!(one.status, Status::Caution);
            assert!(one.advice.contains("there is no \"ä\" or \"&\" among its letters"), "{}", one.advice);
            assert!(one.advice.contains(&format!("\"{text}\" alone")), "{}", one.advice);
            told += 1;
        } else {
            assert!(about.is_empty(), "{}", part.name);
        }
    }
    assert!(told >= 1, "{told}");
}

/// On the job's page no number stands on what is engraved. A figure is a rectangle as high as its letters and 0.6 as wide.
#[test]
fn the_page_writes_no_number_over_a_label() {
    let made = make(STANDING_OVER);
    let files = nestwright::export::files(&made).expect("files");
    let page = String::from_utf8(files["job.html"].clone()).expect("text");
    let (_, sheets) = page.split_once("<section id=\"sheets\"").expect("sheets");
    let (sheets, _) = sheets.split_once("</section>").expect("its end");
    let mut pieces = sheets.split("class=\"piece\"").skip(1);
    let (mut numbers, mut written) = (0, 0);
    for sheet in &made.layout.sheets {
        for placement in &sheet.placements {
            let (part, piece) = (&made.parts[placement.part], pieces.next().expect("a piece"));
            let place = placement.affine(part);
            let on_page = |at: &nestwright::geometry::Point| {
                let at = place * *at;
                (at.x, sheet.width - at.y)
            };
            let strokes = part.engraved().into_iter().flat_map(|label| &label.strokes);
            let strokes: Vec<LineString> = strokes.map(|stroke| stroke.iter().map(on_page).collect()).collect();
            written += strokes.len();
            let Some((_, at)) = piece.split_once("<g transform=\"translate(") else {
                assert!(!strokes.is_empty(), "{} has a number one way or the other", part.name);
                continue;
            };
            let (at, rest) = at.split_once(')').expect("its end");
            let (x, y) = at.split_once(' ').expect("x and y");
            let (x, y): (f64, f64) = (x.parse().expect("x"), y.parse().expect("y"));
            let (_, size) = rest.split_once("font-size=\"").expect("its size");
            let size: f64 = size.split('"').next().expect("its end").parse().expect("a number");
            let mut half = [0.3 * size * (placement.part + 1).to_string().len() as f64, size * 0.36];
            if rest.starts_with(" rotate") {
                half.reverse();
            }
            // With a name under it, it stands higher.
            let up = if piece.contains("piece-name") { size * 0.35 } else { 0.0 };
            let middle = if rest.starts_with(" rotate") { (x - up, y) } else { (x, y - up) };
            let number =
                geo::Rect::new((middle.0 - half[0], middle.1 - half[1]), (middle.0 + half[0], middle.1 + half[1]));
            assert!(strokes.iter().all(|stroke| !stroke.intersects(&number)), "{}: {number:?}", part.name);
            numbers += 1;
        }
    }
    assert!(pieces.next().is_none() && numbers > 8 && written > 40, "{numbers} {written}");
}
