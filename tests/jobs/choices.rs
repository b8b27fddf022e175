//! Choices of a spec that contradict each other, or that this stock cannot have: each message points at its key and says
//! what would do.

use crate::shared::{check, problems};
use nestwright::design::Kinds;
use nestwright::finding::{Check, Finding, JobCheck};
use nestwright::profile::Profiles;
use nestwright::reading::{Key, Source, Takes};

fn frame_box(thickness: f64, lines: &str) -> String {
    format!(
        "title = \"choices\"\n\
         stock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = {thickness} }}\n\
         router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
         [[box]]\nname = \"b\"\nkind = \"frame-box\"\ncount = 1\n{lines}\n"
    )
}

fn cavity_box(lines: &str) -> String {
    format!(
        "title = \"choices\"\n\
         stock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12 }}\n\
         [[box]]\nname = \"b\"\nkind = \"cavity-box\"\ncount = 1\n{lines}\n"
    )
}

/// The text on the line that a message points at.
fn pointed_at<'a>(spec: &'a str, message: &str) -> &'a str {
    let line: usize = message.split(':').nth(1).and_then(|line| line.parse().ok()).expect("file:line:column");
    spec.lines().nth(line - 1).expect("a line of the spec")
}

#[test]
fn choices_that_contradict_each_other_are_pointed_at() {
    let deep = "frame = \"langstroth-deep\"\nframes = 5\n";
    let cases = [
        (format!("{deep}walls = \"ends\""), "walls", "expected walls = \"sides\""),
        (format!("{deep}rest = \"inner-wall\"\nwalls = \"ends\""), "walls", "expected walls = \"sides\""),
        (format!("{deep}rest = \"inner-wall\"\ncorner = \"finger\""), "corner", "\"butt\" or \"rabbet\""),
        (
            format!("{deep}rest = \"rabbet\"\ncorner = \"rabbet\"\nhandhold = \"recess\""),
            "handhold",
            "\"cleat\" or \"slot\"",
        ),
        (format!("{deep}rest = \"inner-wall\"\nhandhold = \"slot\""), "handhold", "expected handhold = \"none\""),
        (format!("{deep}handhold = \"cleat\""), "handhold", "the rest cleats are the handhold"),
        (format!("{deep}entrance-block = true"), "entrance-block", "expected floor = \"loose\""),
        (format!("{deep}stands-on = \"b\""), "stands-on", "cannot stand on itself"),
        (format!("{deep}stands-on = \"nothing\""), "stands-on", "there is no box `nothing`"),
        (
            "frame = { top-bar-length = 470, body-length = 480, depth = 300, lug-thickness = 10 }\nframes = 5".into(),
            "body-length",
            "that the top bar reaches past",
        ),
        (
            "frame = { top-bar-length = 470, depth = 300, lug-thickness = 10 }\nframes = 5".into(),
            "frame",
            "lacks `body-length`",
        ),
    ];
    for (lines, key, expected) in cases {
        let spec = frame_box(12.1, &lines);
        let found = problems(&spec);
        assert_eq!(found.len(), 1, "{lines}: {found:#?}");
        assert!(found[0].contains(expected), "{lines}: {}", found[0]);
        assert!(pointed_at(&spec, &found[0]).contains(key), "{lines}: {}", found[0]);
    }
}

#[test]
fn a_cavity_box_s_choices_likewise() {
    let cases = [
        ("inside = [120, 120, 200]\nroof = \"gabled\"\nslope = 10", "slope", "expected slope = 20 to 45"),
        ("inside = [120, 120, 200]\nroof = \"gabled\"\naccess = \"roof\"\nslope = 30", "slope", "expected slope = 45"),
        ("inside = [120, 120, 200]\naccess-by = \"slide\"", "access-by", "\"front\" or \"side\""),
        ("inside = [120, 120, 200]\naccess = \"roof\"\naccess-by = \"slide\"", "access-by", "\"front\" or \"side\""),
        ("inside = [120, 120, 200]\naccess = \"roof\"\nback-plate = true", "back-plate", "back-plate = false"),
        ("inside = [120, 120, 200]\nchambers = 3", "chambers", "expected occupant = \"bat\""),
        ("occupant = \"bat\"\naccess = \"front\"", "access", "open below"),
    ];
    for (lines, key, expected) in cases {
        let spec = cavity_box(lines);
        let found = problems(&spec);
        assert_eq!(found.len(), 1, "{lines}: {found:#?}");
        assert!(found[0].contains(expected), "{lines}: {}", found[0]);
        assert!(pointed_at(&spec, &found[0]).contains(key), "{lines}: {}", found[0]);
    }
}

fn refusals(spec: &str) -> Vec<Finding> {
    check(spec).findings.into_iter().filter(Finding::refused).collect()
}

/// What depends on the stock is a refusal, and still points at the key that asked for it.
#[test]
fn what_this_stock_cannot_have_points_at_its_key() {
    let cases = [
        (
            9.0,
            "frame = \"langstroth-deep\"\nframes = 5\nrest = \"rabbet\"",
            "thickness of walls with a rest rabbet",
            "\"rabbet\"",
            "holds in stock from 13.3",
        ),
        (
            19.0,
            "frame = \"langstroth-deep\"\nframes = 5\nrest = \"inner-wall\"",
            "room for an inner wall and a rail",
            "\"inner-wall\"",
            "holds in stock up to 10.3",
        ),
        (
            24.0,
            "frame = \"national-brood\"\nframes = 5\nrest = \"inner-wall\"",
            "room for an inner wall and a rail",
            "\"inner-wall\"",
            "holds in stock up to 22.2",
        ),
        (
            12.0,
            "frame = { top-bar-length = 300, body-length = 266, depth = 28, lug-thickness = 10 }\n\
             frames = 3\ncorner = \"finger\"\nbelow = 0\nfloor = \"none\"\ncover = \"none\"\nrest-cleat = 20",
            "height of a corner with fingers",
            "\"finger\"",
            "a narrower cutter",
        ),
    ];
    for (thickness, lines, what, value, advice) in cases {
        let spec = frame_box(thickness, lines);
        let found = refusals(&spec);
        let finding = found.iter().find(|finding| finding.check == what);
        let finding = finding.unwrap_or_else(|| panic!("{lines}: no {what} in {found:#?}"));
        assert!(finding.advice.contains(advice), "{lines}: {}", finding.advice);
        assert_eq!(finding.subject, "b");
        assert!(finding.measured.is_some() && finding.allowed.is_some(), "told in the job's own units");
        // What follows from it is not told as well.
        let alone =
            found.iter().all(|other| !other.check.starts_with("wood left") && !other.check.starts_with("no two"));
        assert!(alone, "{found:#?}");
        let spot = finding.spot.clone().expect("points into the spec");
        assert_eq!(&spec[spot], value, "{lines}");
    }
}

/// A frame that a maker writes down gives the same box as the profile of that frame.
#[test]
fn a_frame_written_down_in_the_spec_is_as_good_as_a_profile() {
    let own = "frame = { top-bar-length = \"19 in\", top-bar-width = \"1 1/16 in\", lug-thickness = \"3/8 in\", \
               body-length = \"17 5/8 in\", depth = \"9 1/8 in\", spacing = \"1 3/8 in\" }\nframes = 5";
    let sizes = |lines: &str| -> Vec<(String, f64, f64)> {
        let made = nestwright::make(check(&frame_box(12.1, lines)), &crate::shared::search())
            .unwrap_or_else(|error| panic!("{error}"));
        made.parts.iter().map(|part| (part.name.clone(), part.length, part.width)).collect()
    };
    assert_eq!(sizes(own), sizes("frame = \"langstroth-deep\"\nframes = 5"));
    let sourced = own.replace("depth = \"9 1/8 in\"", "depth = { value = \"9 1/8 in\", source = \"my own bench\" }");
    assert_eq!(sizes(&sourced), sizes(own));
}

#[test]
fn recesses_of_the_maker_s_own() {
    let part = |pockets: &str| {
        format!(
            "title = \"recesses\"\n\
             stock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12 }}\n\
             [[part]]\nname = \"shelf\"\nsize = [300, 100]\npocket = [{pockets}]\n"
        )
    };
    // A rabbet along the far edge, asked for wider than the part: open at three edges, and no further than a cutter
    // needs.
    let along = part("{ size = [500, 40], depth = 5, across = \"centre\", down = 10, purpose = \"rabbet\" }");
    let assemblies = check(&along).assemblies;
    let pocket = &assemblies[0].panels[0].pockets[0];
    let bounds = pocket.outline.bounds();
    assert_eq!(pocket.purpose, "rabbet");
    assert!((bounds.y0 - 70.0).abs() < 1e-9, "{bounds:?}");
    assert!(bounds.x0 < 0.0 && bounds.x1 > 300.0 && bounds.y1 > 100.0, "{bounds:?}");
    assert!(bounds.x0 > -4.0 && bounds.x1 < 304.0 && bounds.y1 < 104.0, "{bounds:?}");

    let off = part("{ size = [20, 20], depth = 5, across = \"centre\", up = 300 }");
    assert!(problems(&off)[0].contains("lies off the wood of the panel"), "{:?}", problems(&off));

    let both = part(
        "{ size = [20, 20], depth = 3, across = 50, up = 50, purpose = \"groove\" }, \
         { size = [20, 20], depth = 3, across = 200, up = 50, face = \"inner\", purpose = \"recess\" }",
    );
    let found = refusals(&both);
    assert!(found.iter().any(|finding| finding.advice.contains("groove outside and recess inside")), "{found:#?}");
}

/// The words and lengths that any key of a kind may be given, right or wrong.
fn values_of(key: &Key) -> Vec<String> {
    let own = |values: &[&str]| values.iter().map(|value| value.to_string()).collect();
    match key.takes {
        Takes::Flag => own(&["true", "false"]),
        Takes::Words(words) => words.iter().map(|word| format!("\"{word}\"")).collect(),
        Takes::Length(..) => own(&["0", "0.1", "6", "9.5", "19.05", "\"2 in\""]),
        Takes::Number(..) | Takes::Whole(..) => own(&["0", "1", "3", "20", "45"]),
        Takes::Lengths(..) => own(&["[60, 20]", "[300, 20, 300]", "[150, 150, 200]"]),
        _ if key.name == "frame" => {
            own(&["\"national-brood\"", "\"zander\"", "\"deutsch-normal\"", "\"langstroth-medium\"", "\"bluebird\""])
        }
        _ if key.name == "compartments" => own(&["[2, 1, 2]", "[4, 1]", "[2, 2]", "[5]", "[5, 0]"]),
        Takes::Profile => own(&["\"bluebird\"", "\"bat\"", "\"honey-bee-swarm\"", "\"barn-owl\"", "\"zander\""]),
        other => panic!("`{}` takes {}", key.name, other.say()),
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig {
        cases: 300, failure_persistence: None, ..proptest::prelude::ProptestConfig::default()
    })]
    /// Any choices together are read or refused, and what is read can be built from any sheet, without panic.
    #[test]
    fn any_choices_are_refused_or_built(
        kind in 0..3usize,
        picks in proptest::collection::vec((0..40usize, 0..12usize), 2..9),
        thickness in 2.0..80.0f64,
    ) {
        let kinds = Kinds::built_in();
        let kind = kinds.iter().nth(kind).expect("three kinds");
        let mut lines = std::collections::BTreeMap::new();
        for (key, value) in picks {
            let key = &kind.keys[key % kind.keys.len()];
            let values = values_of(key);
            if let Some(value) = values.get(value % values.len().max(1)) {
                lines.insert(key.name, format!("{} = {value}", key.name));
            }
        }
        for (key, line) in [("frame", "frame = \"langstroth-deep\""), ("frames", "frames = 5"), ("inside", "inside = [200, 200, 200]")] {
            if kind.keys.iter().any(|known| known.name == key) {
                lines.entry(key).or_insert_with(|| line.to_string());
            }
        }
        let lines: Vec<String> = lines.into_values().collect();
        let spec = format!(
            "title = \"any\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = {thickness} }}\n\
             [[box]]\nname = \"b\"\nkind = \"{}\"\ncount = 1\n{}\n",
            kind.name,
            lines.join("\n")
        );
        let source = Source::new("any.toml", spec);
        if let Ok(job) = nestwright::spec::read(&source, shelf(), &kinds) {
            let assemblies = nestwright::build::assemble(&job).expect("no holes were asked for");
            let parts = nestwright::build::parts(&job, &assemblies);
            proptest::prop_assert!(!parts.is_empty());
            for panel in assemblies.iter().flat_map(|assembly| &assembly.panels) {
                let bounds = panel.outline.bounds();
                proptest::prop_assert!(bounds.width().is_finite() && bounds.height().is_finite());
            }
        }
    }
}

fn shelf() -> &'static Profiles {
    static SHELF: std::sync::OnceLock<Profiles> = std::sync::OnceLock::new();
    SHELF.get_or_init(Profiles::built_in)
}

/// A hive of thirty frames: wider than long, made by router and saw; nobody lifts it full, so only the empty box is weighed.
#[test]
fn a_long_hive_is_made_and_weighed_empty() {
    let spec = "title = \"t\"\nstock = { material = \"softwood-plywood\", size = [2440, 1220], thickness = 18 }\n\
                router = { machine = \"large-router\", cutter = \"endmill-6\" }\nsaw = { kerf = 3.2 }\n\
                [[box]]\nname = \"hive\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = 30\n\
                rest = \"rabbet\"\n\
                hole = [{ panel = \"front\", use = \"entrance\", slot = [100, 9], across = \"centre\", up = 22 }]\n";
    let made = crate::shared::make(spec);
    let (least, most) = made.assemblies[0].panel("floor").expect("a floor").bounds();
    // Thirty frames of 1 3/8 in, 5/8 in beside them in all, and two walls.
    assert!((most.x - least.x - (30.0 * 34.925 + 15.875 + 36.0)).abs() < 0.01, "{}", most.x - least.x);
    assert!(!made.proof.is_empty() && !made.patterns.is_empty());
    assert!(crate::shared::proved(&made.proof));
    let weighed = |check| made.findings.iter().filter(|it| it.id == Check::Job(check)).count();
    assert_eq!((weighed(JobCheck::LiftEmpty), weighed(JobCheck::LiftFull)), (1, 0));
}
