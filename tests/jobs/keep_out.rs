//! Places on a sheet where nothing is nested, driven or cut: knots, broken corners, clamps.

use crate::shared;
use nestwright::design::Kinds;
use nestwright::finding::ProgramCheck;
use nestwright::geometry::{Point, Rect};
use nestwright::profile::Profiles;
use nestwright::proof::{Claim, KeepOutClaim, Prover, Text};
use nestwright::reading::Source;
use nestwright::{Made, layout};
use proptest::prelude::*;

fn spec(keep_out: &str, more: &str) -> String {
    format!(
        "title = \"boards round knots\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [1250, 800], thickness = 12.1, keep-out = [{keep_out}] }}\n\
         router = {{ machine = \"desktop-router\", cutter = \"endmill-6\", drills = [\"drill-20\"] }}\n{more}\
         [[part]]\nname = \"board\"\nsize = [300, 200]\ncount = 6\n\
         hole = [{{ use = \"vent\", diameter = 20, across = 60, up = 60 }}]\n\
         [[part]]\nname = \"strip\"\nsize = [250, 40]\ncount = 4\n"
    )
}

/// A clamp in each of two corners, and a knot near the middle.
const PLACES: &str = "{ at = [0, 0], size = [80, 60], why = \"clamp\", height = 22 }, \
    { at = [1170, 740], size = [80, 60], why = \"clamp\", height = 22 }, { at = [600, 380], size = [50, 40], why = \"knot\" }";

fn rects(made: &Made) -> Vec<Rect> {
    made.job.stock[0].keep_out.iter().map(|it| it.rect).collect()
}

/// Ends of all moves of a program, read word by word: X, Y and the height above the sheet.
fn ends(text: &str) -> Vec<[f64; 3]> {
    let mut at = [f64::NAN; 3];
    let mut all = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('(')) {
        for word in line.split_whitespace() {
            let (letter, number) = word.split_at(1);
            if let (Some(axis), Ok(number)) = ("XYZ".find(letter), number.parse()) {
                at[axis] = number;
            }
        }
        if at.iter().all(|it| it.is_finite()) {
            all.push(at);
        }
    }
    all
}

#[test]
fn nothing_is_nested_driven_or_cut_where_it_is_kept_out() {
    let made = shared::make(&spec(PLACES, ""));
    let rects = rects(&made);
    assert_eq!(made.layout.sheets.len(), 1);
    for placement in &made.layout.sheets[0].placements {
        let bounds = placement.bounds(&made.parts[placement.part]);
        // The cutter goes around a part.
        assert!(rects.iter().all(|rect| !rect.overlaps(bounds.inflate(6.0, 6.0))), "{bounds:?}");
    }
    let screws = &made.routes[0].holding.screws;
    assert!(screws.len() >= 4);
    assert!(screws.iter().all(|screw| rects.iter().all(|rect| !rect.inflate(4.0, 4.0).contains(screw.at))));
    assert!(made.off_cuts.iter().all(|it| rects.iter().all(|rect| !rect.inflate(-0.1, -0.1).overlaps(it.rect()))));
    for program in &made.programs {
        // A clamp of 22 mm, and 5 mm over it.
        assert!(program.text.contains("Z27"), "{}", program.file);
        assert!(
            program
                .text
                .contains("(keeps out of X1170 Y740, 80 x 60: clamp, nothing there may stand higher than 25 mm)")
        );
        for [x, y, z] in ends(&program.text).into_iter().filter(|[.., z]| *z < 26.99) {
            let near = rects.iter().find(|rect| rect.inflate(2.99, 2.99).contains(Point::new(x, y)));
            assert_eq!(near, None, "{}: {x} {y} {z}", program.file);
        }
    }
}

#[test]
fn a_program_that_comes_there_is_refused() {
    let made = shared::make(&spec("", ""));
    let mut claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let proofs = |claim: &Claim| {
        let prover = Prover::new(claim).expect("a router");
        let texts: Vec<Text> = made
            .programs
            .iter()
            .map(|it| Text { file: &it.file, text: &it.text, tool: prover.first_tool(1, &it.file) })
            .collect();
        let proofs = prover.prove(1, &texts).unwrap_or_else(|why| panic!("{why:?}"));
        proofs.iter().flat_map(|proof| proof.faults()).map(|it| it.finding.id.name()).collect::<Vec<_>>()
    };
    assert!(proofs(&claim).is_empty());
    // Beside a part, where the cutter goes around it; and in the middle of one, over which it passes at 6 mm.
    let bounds = made.layout.sheets[0].placements[0].bounds(&made.parts[made.layout.sheets[0].placements[0].part]);
    let beside = KeepOutClaim { x: bounds.x0 - 5.0, y: bounds.y0 + 20.0, length: 3.0, width: 30.0, why: None };
    claim.sheets[0].keep_out = vec![beside.clone()];
    assert_eq!(proofs(&claim), [ProgramCheck::KeptOut.name(); 1]);
    // No tool touches what is a whole cutter further away.
    claim.sheets[0].keep_out =
        vec![KeepOutClaim { x: bounds.center().x, y: bounds.center().y, length: 2.0, width: 2.0, ..beside }];
    assert!(proofs(&claim).is_empty());
}

/// A saw's cuts go from edge to edge: it gets the largest piece without a knot, and is told how to come by it.
#[test]
fn a_saw_takes_the_largest_clear_piece() {
    let saw = "saw = { kerf = 3 }\n";
    let made = shared::make(&spec("{ at = [300, 380], size = [50, 40], why = \"knot\" }", saw));
    // Right of the knot and a kerf: 1250 - 350 - 3. Above it there are 800 - 420 - 3 over the whole length, less.
    assert!(made.saw.sheets.iter().all(|sheet| (sheet.length - 897.0).abs() < 1e-6 && sheet.width == 800.0));
    let told = made.findings.iter().find(|it| it.id.name() == "cut-down-first").expect("a caution");
    assert!(
        told.advice.contains("897 × 800 mm") && told.advice.contains("353 mm from its left edge"),
        "{}",
        told.advice
    );
}

#[test]
fn a_sheet_with_nothing_left_is_refused_in_words() {
    let text = spec("{ at = [0, 300], size = [1250, 200] }, { at = [500, 0], size = [100, 800] }", "");
    let checked = nestwright::check(
        &Source::new("job.toml", text.replace("size = [300, 200]", "size = [700, 350]")),
        &Profiles::built_in(),
        &Kinds::built_in(),
        &shared::search(),
    );
    let why = checked.and_then(|checked| nestwright::make(checked, &shared::search())).expect_err("it fits nowhere");
    assert!(why.to_string().contains("fits no sheet"), "{why}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Whatever is kept out, the layout is sound, or it is said that the sheets do not do.
    #[test]
    fn layouts_round_any_places_are_sound(
        places in prop::collection::vec((0.0..1200.0f64, 0.0..760.0f64, 5.0..300.0f64, 5.0..200.0f64), 1..6)
    ) {
        let places: Vec<String> = places
            .iter()
            .map(|(x, y, length, width)| format!("{{ at = [{x:.1}, {y:.1}], size = [{length:.1}, {width:.1}] }}"))
            .collect();
        let source = Source::new("job.toml", spec(&places.join(", "), ""));
        let search = shared::search();
        let checked = nestwright::check(&source, &Profiles::built_in(), &Kinds::built_in(), &search);
        let checked = checked.unwrap_or_else(|why| panic!("{why}"));
        let parts = nestwright::build::parts(&checked.job, &checked.assemblies);
        if let Ok(laid) = layout::nest(&checked.job, &parts, &search) {
            let wrong = layout::verify(&checked.job, &parts, &laid, checked.job.router.as_ref().expect("one").gap());
            prop_assert!(wrong.is_empty(), "{wrong:?}");
        }
    }
}
