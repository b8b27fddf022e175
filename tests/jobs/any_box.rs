//! Any valid spec is made, and what is made agrees: panels, parts, sheets, programs, cut list, steps and hardware.

use crate::shared::{check, make};
use nestwright::gcode::read::{Setup, Step, read};
use nestwright::{Made, export, layout, steps::StepKind};
use proptest::prelude::*;
use proptest::test_runner::{RngAlgorithm, TestRng, TestRunner};

/// A frame, a rest that carries it, and a thickness (mm) at which that rest keeps the bee space.
const HUNG: [(&str, &str, f64); 14] = [
    ("\"langstroth-deep\"", "cleat", 12.1),
    ("\"langstroth-medium\"", "cleat", 11.5),
    ("\"langstroth-shallow\"", "cleat", 12.7),
    ("\"langstroth-deep\"", "rabbet", 18.2),
    ("\"langstroth-medium\"", "rabbet", 19.05),
    ("\"national-brood\"", "inner-wall", 12.1),
    ("\"national-super\"", "inner-wall", 18.2),
    ("\"deutsch-normal\"", "rabbet", 12.1),
    ("\"deutsch-normal\"", "rabbet", 18.2),
    ("\"zander\"", "inner-wall", 12.1),
    ("\"dadant\"", "rabbet", 18.2),
    ("\"dadant-us\"", "cleat", 12.1),
    ("\"dadant-us\"", "rabbet", 18.2),
    ("{ top-bar-length = 430, body-length = 390, depth = 250, lug-thickness = 9, spacing = 36 }", "cleat", 14.0),
];

const OCCUPANTS: [&str; 7] =
    ["bluebird", "house-wren", "great-tit", "screech-owl", "wood-duck", "honey-bee-swarm", "blue-tit"];

fn head(thickness: f64, inches: bool) -> String {
    let (units, size, thickness, cutter, kerf) = if inches {
        ("in", "[96, 48]", format!("{:.4}", thickness / 25.4), "endmill-1-4", "0.125")
    } else {
        ("mm", "[2500, 1250]", thickness.to_string(), "endmill-6", "3")
    };
    format!(
        "title = \"any\"\nunits = \"{units}\"\n\
         stock = {{ material = \"birch-plywood\", size = {size}, thickness = {thickness}, price = 60 }}\n\
         router = {{ machine = \"desktop-router\", cutter = \"{cutter}\", labels = {inches} }}\nsaw = {{ kerf = {kerf} }}\n"
    )
}

fn pick<T: Clone + std::fmt::Debug + 'static>(of: &[T]) -> impl Strategy<Value = T> + use<T> {
    prop::sample::select(of.to_vec())
}

/// A frame box with every choice open that goes with its rest.
fn frame_box() -> impl Strategy<Value = String> {
    let choices = (
        pick(&["butt", "rabbet", "finger"]),
        pick(&["fixed", "loose", "none"]),
        pick(&["cleated", "telescoping", "inner", "none"]),
        pick(&["none", "cleat", "slot", "recess"]),
        (any::<bool>(), any::<bool>(), any::<bool>()),
    );
    (pick(&HUNG), 3u32..=12, 1u32..=3, choices, any::<bool>()).prop_map(
        |((frame, rest, t), frames, count, (corner, floor, cover, handhold, (board, block, ends)), inches)| {
            let frame = if inches && frame.starts_with('{') { "\"langstroth-deep\"" } else { frame };
            let t = if frame == "\"langstroth-deep\"" && rest == "cleat" { 12.1 } else { t };
            let corner = if rest == "inner-wall" && corner == "finger" { "rabbet" } else { corner };
            let recess_free = !(rest == "rabbet" && corner == "rabbet");
            let handhold = match (rest, handhold) {
                ("inner-wall", _) | ("cleat", "cleat") => "none",
                (_, "recess") if !recess_free => "slot",
                (_, other) => other,
            };
            let walls = if ends && rest == "rabbet" && handhold != "recess" { "ends" } else { "sides" };
            format!(
                "{}[[box]]\nname = \"b\"\nkind = \"frame-box\"\ncount = {count}\nframe = {frame}\nframes = {frames}\n\
                 rest = \"{rest}\"\ncorner = \"{corner}\"\nwalls = \"{walls}\"\nfloor = \"{floor}\"\n\
                 cover = \"{cover}\"\nhandhold = \"{handhold}\"\ndivision-board = {board}\nentrance-block = {}\n",
                head(t, inches),
                block && floor == "loose",
            )
        },
    )
}

fn cavity_box() -> impl Strategy<Value = String> {
    let who = prop_oneof![
        pick(&OCCUPANTS).prop_map(|name| (format!("occupant = \"{name}\""), true)),
        (120u32..400, 120u32..400, 150u32..500)
            .prop_map(|(w, d, h)| (format!("inside = [\"{w} mm\", \"{d} mm\", \"{h} mm\"]"), true)),
        (2u32..=4).prop_map(|chambers| (format!("occupant = \"bat\"\nchambers = {chambers}"), false)),
    ];
    let shape = (pick(&["sloping", "gabled"]), pick(&["none", "front", "side", "roof"]), any::<bool>(), 0u32..=3);
    (who, shape, pick(&[11.5, 12.1, 15.0, 18.2]), 1u32..=3, any::<(bool, bool)>()).prop_map(
        |((who, open), (roof, access, slides, vents), t, count, (plate, inches))| {
            let slides = slides && ["front", "side"].contains(&access);
            let plate = plate && access != "roof";
            let shape = format!(
                "roof = \"{roof}\"\naccess = \"{access}\"\naccess-by = \"{}\"\nvents = {vents}\nback-plate = {plate}\n",
                if slides { "slide" } else { "hinge" },
            );
            format!(
                "{}[[box]]\nname = \"b\"\nkind = \"cavity-box\"\ncount = {count}\n{who}\n{}",
                head(t, inches),
                if open { shape } else { String::new() },
            )
        },
    )
}

fn open_box() -> impl Strategy<Value = String> {
    let inside = (60u32..500, 60u32..400, 60u32..200);
    (inside, pick(&["butt", "rabbet", "finger"]), any::<bool>(), pick(&[6.2, 9.0, 12.1, 18.2]), 1u32..=4, any::<bool>())
        .prop_map(|((w, d, h), corner, floor, t, count, inches)| {
            format!(
                "{}[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = {count}\ncorner = \"{corner}\"\n\
                 inside = [\"{w} mm\", \"{d} mm\", \"{h} mm\"]\nfloor = \"{}\"\n\
                 [[part]]\nname = \"spare\"\nsize = [\"150 mm\", \"60 mm\"]\ncount = 2\n",
                head(t, inches),
                if floor { "fixed" } else { "none" },
            )
        })
}

/// What is made is one thing, told many ways.
fn agrees(made: &Made) -> Result<(), TestCaseError> {
    let assemblies = &made.assemblies;
    // Every panel is a part, and loses no wood on the way.
    let panels: u32 = assemblies.iter().map(|assembly| assembly.count * assembly.panels.len() as u32).sum();
    prop_assert_eq!(made.parts.iter().map(|part| part.count).sum::<u32>(), panels);
    let wood: f64 = assemblies
        .iter()
        .map(|assembly| {
            f64::from(assembly.count) * assembly.panels.iter().map(|p| p.outline.area() * p.thickness).sum::<f64>()
        })
        .sum();
    let cut: f64 = made.parts.iter().map(|part| f64::from(part.count) * part.outline.area() * part.thickness).sum();
    prop_assert!((wood - cut).abs() < 1e-6 * wood, "{wood} mm³ in panels, {cut} in parts");

    // Every part lies on a sheet as often as it is needed, by either plan.
    let router = made.job.router.as_ref().expect("asked for");
    let gap = router.cutter.diameter.value + router.clearance;
    let wrong = layout::verify(&made.job, &made.parts, &made.layout, gap);
    prop_assert!(wrong.is_empty(), "{wrong:?}");
    prop_assert!(!made.patterns.is_empty() && !made.steps.is_empty());

    // Every sheet has its programs, which cut through it inside its edges, and every round hole where it belongs.
    for (i, sheet) in made.layout.sheets.iter().enumerate() {
        let mut deep: Vec<[f64; 2]> = Vec::new();
        for program in made.programs.iter().filter(|program| program.sheet == i) {
            for step in read(&program.text, &Setup::default()) {
                let step = step.map_err(|why| TestCaseError::fail(format!("{}: {why}", program.file)))?;
                let Step::Move(step) = step else { continue };
                let [Some(x), Some(y), Some(z)] = step.to.map(|axis| axis.known()) else { continue };
                if z < 0.0 {
                    prop_assert!(z > -sheet.thickness - 1.0, "line {}: Z{z}", step.line);
                    let (far_x, far_y) = (sheet.length + 10.0, sheet.width + 10.0);
                    prop_assert!((-10.0..far_x).contains(&x) && (-10.0..far_y).contains(&y), "line {}", step.line);
                    if z <= -sheet.thickness {
                        deep.push([x, y]);
                    }
                }
            }
        }
        prop_assert!(!deep.is_empty(), "sheet {i} is not cut through");
        for placement in &sheet.placements {
            let part = &made.parts[placement.part];
            for hole in part.holes.iter().filter(|hole| hole.is_round()) {
                let at = placement.affine(part) * hole.centre;
                let near = deep.iter().any(|[x, y]| (x - at.x).hypot(y - at.y) <= hole.width / 2.0 + 0.01);
                prop_assert!(near, "no cut for the {} hole of {}", hole.use_, part.name);
            }
        }
    }

    // Every panel is set in its place by one step; the last one paints.
    for steps in &made.steps {
        let mut set = vec![0; steps.panels.len()];
        for step in steps.steps.iter().filter(|step| step.kind != StepKind::Place) {
            step.adds.iter().for_each(|panel| set[*panel] += 1);
        }
        let own =
            |i: usize| assemblies.iter().find(|a| a.name == steps.box_name).map_or("", |a| &a.panels[i].sub_assembly);
        let alone = |i: usize| (0..set.len()).filter(|j| own(*j) == own(i)).count() == 1 && !own(i).is_empty();
        prop_assert!((0..set.len()).all(|i| set[i] == 1 || (alone(i) && set[i] == 0)), "{set:?} of {:?}", steps.panels);
    }
    prop_assert!(made.supplies.iter().all(|supply| supply.total > 0.0 && supply.total.is_finite()));
    prop_assert!(made.cost.total.is_finite() && made.cost.total > 0.0, "sheets are priced");

    // And the files say the same.
    let files = export::files(made).map_err(|why| TestCaseError::fail(why.to_string()))?;
    let text = |name: &str| String::from_utf8_lossy(&files[name]).into_owned();
    prop_assert_eq!(text("parts.csv").lines().count(), made.parts.len() + 1);
    let json: serde_json::Value = serde_json::from_str(&text("job.json")).expect("JSON");
    prop_assert_eq!(json["parts"].as_array().map(Vec::len), Some(made.parts.len()));
    prop_assert_eq!(json["programs"].as_array().map(Vec::len), Some(made.programs.len()));
    for finding in made.findings.iter().filter(|finding| finding.allowed.is_some_and(|l| l != Default::default())) {
        prop_assert!(!finding.source.is_empty(), "{finding:?}");
    }
    Ok(())
}

/// So many boxes of a sort, the same ones every time; `NESTWRIGHT_TIMES=20` tries twenty times as many.
fn every(cases: u32, specs: impl Strategy<Value = String>) {
    let times: u32 = std::env::var("NESTWRIGHT_TIMES").ok().and_then(|it| it.parse().ok()).unwrap_or(1);
    let cases = cases * times;
    let config = ProptestConfig { cases, failure_persistence: None, max_shrink_iters: 0, ..ProptestConfig::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    let made_and_agreed = |spec: String| {
        let checked = check(&spec);
        let refused: Vec<_> = checked.findings.iter().filter(|finding| finding.refused()).collect();
        prop_assert!(refused.is_empty(), "{spec}\n{refused:#?}");
        agrees(
            &nestwright::make(checked, &crate::shared::search())
                .map_err(|why| TestCaseError::fail(format!("{spec}\n{why}")))?,
        )
    };
    runner.run(&specs, made_and_agreed).unwrap_or_else(|error| panic!("{error}"));
}

#[test]
fn any_frame_box_is_made_and_agrees() {
    every(8, frame_box());
}

/// An inner cover of which more than half the thickness is taken off round a feed hole that the cutter makes.
#[test]
fn a_hole_through_a_deep_recess_is_measured_below_its_floor() {
    let spec = r#"title = "covers"
units = "mm"
stock = { material = "birch-plywood", size = [2500, 1250], thickness = 12.1, price = 60 }
router = { machine = "desktop-router", cutter = "endmill-6" }
saw = { kerf = 3 }
[[box]]
name = "b"
kind = "frame-box"
count = 1
frame = "national-brood"
frames = 10
rest = "inner-wall"
corner = "rabbet"
walls = "sides"
floor = "fixed"
cover = "telescoping"
handhold = "none"
division-board = false
entrance-block = false
"#;
    agrees(&nestwright::make(check(spec), &crate::shared::search()).unwrap_or_else(|why| panic!("{why}")))
        .unwrap_or_else(|why| panic!("{why}"));
}

#[test]
fn any_cavity_box_is_made_and_agrees() {
    every(8, cavity_box());
}

#[test]
fn any_open_box_is_made_and_agrees() {
    every(6, open_box());
}

/// Boards that measure 11.5, 12.1 or 12.7 mm: what the animal needs inside stays, and the outside grows by the wood.
#[test]
fn the_inside_keeps_its_size_and_the_outside_grows_with_the_boards() {
    let sizes = |keys: &str, t: f64| {
        let made = make(&format!("{}[[box]]\nname = \"b\"\ncount = 1\n{keys}\n", head(t, false)));
        let of = |name: &str| {
            let part = made.parts.iter().find(|part| part.name.starts_with(name));
            let part = part
                .unwrap_or_else(|| panic!("no {name}: {:?}", made.parts.iter().map(|p| &p.name).collect::<Vec<_>>()));
            (part.length.max(part.width), part.length.min(part.width))
        };
        let (mut least, mut most) = (glam::DVec3::INFINITY, glam::DVec3::NEG_INFINITY);
        for panel in made.assemblies[0].panels.iter().filter(|panel| panel.sub_assembly.is_empty()) {
            let (a, b) = panel.bounds();
            (least, most) = (least.min(a), most.max(b));
        }
        (most - least, of("floor"), made)
    };
    let volume = |made: &Made| {
        let found = made.findings.iter().find(|finding| finding.check.starts_with("volume"));
        found.and_then(|finding| finding.measured).expect("measured").value()
    };
    let boards = [11.5, 12.1, 12.7];
    let tray = boards.map(|t| sizes("kind = \"open-box\"\ninside = [300, 200, 80]", t));
    let nest =
        boards.map(|t| sizes("kind = \"cavity-box\"\ninside = [127, 127, 203]\nroof = \"sloping\"\nslope = 0", t));
    for (i, t) in boards.into_iter().enumerate() {
        let (outside, floor, made) = &tray[i];
        assert!((*outside - glam::DVec3::new(300.0 + 2.0 * t, 200.0 + 2.0 * t, 80.0 + t)).length() < 1e-6, "{outside}");
        assert!(
            (floor.0 - 300.0 - 2.0 * t).abs() < 1e-6 && (volume(made) - 4.8).abs() < 0.05,
            "{floor:?} {}",
            volume(made)
        );
        // A nest box: its floor lies between the walls, as large as the cavity.
        let (_, floor, made) = &nest[i];
        assert!((floor.0 - 127.0).abs() < 1e-6 && (floor.1 - 127.0).abs() < 1e-6, "{floor:?}");
        assert!((volume(made) - 0.127 * 0.127 * 0.203 * 1000.0).abs() < 0.03, "{}", volume(made));
    }
    // A nuc on cleats: rest to rest is the frame's, 19 in and an eighth, whatever the boards; the ends stand in from there
    // by their thickness, and that is what the check on the bee space is for.
    for t in boards {
        let (outside, floor, made) = sizes("kind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5", t);
        let rest_to_rest = 19.125 * 25.4;
        let row = 5.0 * 1.375 * 25.4 + 0.625 * 25.4;
        // The sides reach from the outer face of one end's cleat to that of the other's.
        let side = made.parts.iter().find(|part| part.name == "side").expect("sides").length;
        assert!((side - rest_to_rest).abs() < 1e-6, "{side}");
        // The floor reaches 7/8 in further, for bees to land on; nothing of the box but its lid goes beyond it and a cleat.
        assert!((outside.y - rest_to_rest - 0.875 * 25.4 - t).abs() < 1e-6, "{outside}");
        assert!((floor.1 - row - 2.0 * t).abs() < 1e-6, "{floor:?}");
        let gap = |check: &str| {
            let found = made.findings.iter().find(|finding| finding.check == check);
            found.and_then(|finding| finding.measured).expect("measured").value()
        };
        assert!((gap("bee space at the side walls") - 0.3125 * 25.4).abs() < 1e-6);
        assert!((gap("bee space at the frame ends") - ((19.125 - 17.625) / 2.0 * 25.4 - t)).abs() < 1e-6);
        assert!((gap("bee space above the top bars") - 0.375 * 25.4).abs() < 1e-6);
    }
}
