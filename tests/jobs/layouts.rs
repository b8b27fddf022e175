//! Layouts, held against a check that knows nothing of how they were made.

use crate::shared::{check, make};
use nestwright::error::Error;
use nestwright::job::CutBy;
use nestwright::layout::fewest::of_stocks;
use nestwright::layout::verify;
use proptest::prelude::*;

fn spec(parts: &[(f64, f64, u32, &str)]) -> String {
    let mut spec = String::from(
        "title = \"boards\"\nstock = { material = \"birch-plywood\", size = [1220, 610], thickness = 9 }\n\
         router = { machine = \"desktop-router\", cutter = \"endmill-6\" }\n",
    );
    for (i, (length, width, count, grain)) in parts.iter().enumerate() {
        spec.push_str(&format!(
            "[[part]]\nname = \"board {i}\"\nsize = [{length:.1}, {width:.1}]\ncount = {count}\ngrain = \"{grain}\"\n"
        ));
    }
    spec
}

#[test]
fn grain_is_kept() {
    let made = make(&spec(&[(400.0, 100.0, 5, "long"), (300.0, 200.0, 5, "cross"), (150.0, 60.0, 9, "any")]));
    for placement in made.layout.sheets.iter().flat_map(|sheet| &sheet.placements) {
        match made.parts[placement.part].name.as_str() {
            "board 0" => assert!(!placement.turn.swaps()),
            "board 1" => assert!(placement.turn.swaps()),
            _ => {}
        }
    }
}

#[test]
fn a_part_that_fits_no_sheet_is_refused_by_name_with_a_size_that_would_do() {
    let checked = check(&spec(&[(1300.0, 300.0, 1, "any")]));
    let Err(Error::Refused(findings)) = nestwright::make(checked, &crate::shared::search()) else {
        panic!("it was made")
    };
    assert_eq!(findings[0].subject, "board 0");
    assert!(findings[0].advice.contains("1320 × 320 mm"), "{}", findings[0].advice);
}

#[test]
fn a_board_that_only_fits_across_is_turned() {
    let made = make(&spec(&[(580.0, 1100.0, 1, "any")]));
    assert!(made.layout.sheets[0].placements[0].bounds(&made.parts[0]).width() > 1000.0);
}

#[test]
fn too_few_sheets_on_hand_are_refused() {
    let spec = spec(&[(500.0, 500.0, 9, "any")]).replace("thickness = 9 }", "thickness = 9, on-hand = 2 }");
    let Err(Error::Refused(findings)) = nestwright::make(check(&spec), &crate::shared::search()) else {
        panic!("it was made")
    };
    assert!(findings[0].advice.contains("5 × board 0"), "{}", findings[0].advice);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn any_layout_is_sound(
        boards in prop::collection::vec(
            (40.0..560.0f64, 20.0..400.0f64, 1u32..6, prop::sample::select(vec!["long", "cross", "any"])),
            1..8,
        )
    ) {
        let made = make(&spec(&boards));
        let router = made.job.router.as_ref().expect("given");
        let gap = router.cutter.diameter.value + router.clearance;
        let wrong = verify(&made.job, &made.parts, &made.layout, gap);
        prop_assert!(wrong.is_empty(), "{wrong:?}");
        for fewest in of_stocks(&made.job, &made.parts, CutBy::Router) {
            prop_assert!(fewest.bound.sheets <= made.layout.sheets.len() as u64, "{fewest:?}");
        }
    }
}

/// What is laid out takes as many sheets as the bound says, or more; on the saw and on the router.
#[test]
fn no_starter_takes_fewer_sheets_than_its_bound() {
    for starter in nestwright::starters::ALL {
        let made = make(starter.text);
        for fewest in &made.fewest {
            assert!(fewest.at_least <= fewest.sheets, "{}: {fewest:?}", starter.name);
        }
        let sheets: [(CutBy, Vec<usize>); 2] = [
            (CutBy::Router, made.layout.sheets.iter().map(|sheet| sheet.stock).collect()),
            (CutBy::Saw, made.patterns.iter().map(|pattern| pattern.stock).collect()),
        ];
        for (cut, used) in sheets {
            for fewest in of_stocks(&made.job, &made.parts, cut) {
                let of_sort = used.iter().filter(|stock| fewest.stock.contains(stock)).count() as u64;
                let why = fewest.why(&made.job, &made.parts);
                assert!(
                    (1..=of_sort).contains(&fewest.bound.sheets),
                    "{}, {cut:?}: {of_sort} sheets; {why}",
                    starter.name
                );
            }
        }
    }
}

/// Three boards of 500 × 500 from sheets of 1000 × 500 at 10 and of 500 × 500 at 4, without a kerf: three small ones cost
/// 12; with one small one on hand a large one goes with it, 14; and with large ones alone it is 20.
#[test]
fn the_cheapest_mix_of_sheets_is_taken() {
    let sheet = |name: &str, size: &str, more: &str| {
        format!("[[stock]]\nname = \"{name}\"\nmaterial = \"birch-plywood\"\nsize = {size}\nthickness = 9\n{more}\n")
    };
    let bought = |small: &str| {
        let stocks = sheet("large", "[1000, 500]", "price = 10") + &sheet("small", "[500, 500]", small);
        let board = "[saw]\nkerf = 0\n[[part]]\nname = \"board\"\nsize = [500, 500]\ncount = 3\n";
        let made = make(&format!("title = \"boards\"\n{stocks}{board}"));
        let mut names: Vec<String> =
            made.patterns.iter().map(|pattern| made.job.stock[pattern.stock].name.clone()).collect();
        names.sort();
        names
    };
    assert_eq!(bought("price = 4"), ["small", "small", "small"]);
    assert_eq!(bought("price = 4\non-hand = 1"), ["large", "small"]);
    assert_eq!(bought("price = 9"), ["large", "small"]);
    assert_eq!(bought("price = 11"), ["large", "large"]);
    // Without prices the least wood is used.
    assert_eq!(bought(""), ["large", "small"]);
}

/// Thousands of boards of which each sheet holds two and each half sheet one: the cheaper size is bought, whatever the
/// order in which the sizes are listed.
#[test]
fn large_jobs_take_the_cheaper_size() {
    for (whole, half, bought) in [(10, 4, "half"), (10, 6, "whole")] {
        for turn in [false, true] {
            let sheet = |name: &str, size: &str, price: u32| {
                format!(
                    "[[stock]]\nname = \"{name}\"\nmaterial = \"birch-plywood\"\nsize = {size}\nthickness = 9\n\
                     price = {price}\n"
                )
            };
            let mut sheets = [sheet("whole", "[1020, 520]", whole), sheet("half", "[510, 520]", half)];
            if turn {
                sheets.reverse();
            }
            let board = "[saw]\nkerf = 3\n[[part]]\nname = \"board\"\nsize = [500, 500]\ncount = 1600\n";
            let job = check(&format!("title = \"boards\"\n{}{board}", sheets.concat())).job;
            let parts = nestwright::build::parts(&job, &nestwright::build::assemble(&job).expect("boards"));
            let patterns = nestwright::layout::cut_plan(&job, &parts, &crate::shared::search()).expect("patterns");
            assert!(patterns.iter().all(|pattern| job.stock[pattern.stock].name == bought), "{bought}");
            assert_eq!(patterns.len(), if bought == "half" { 1600 } else { 800 });
        }
    }
}

/// A part as large as what is inside the margins fits, whatever the gap: beyond it there is nothing to keep off. A 1/32 in
/// clearance is no whole number of micrometres.
#[test]
fn a_part_as_large_as_the_sheet_inside_its_margins_fits() {
    let spec = |sheet: &str, margin: &str, part: &str, router: &str| {
        format!(
            r#"
            title = "One board"
            router = {{ machine = "desktop-router", cutter = "endmill-6", screws = false{router} }}
            stock = {{ material = "birch-plywood", size = {sheet}, thickness = 12.1, margin = {margin} }}
            [[part]]
            name = "board"
            size = {part}
            "#
        )
    };
    let jobs = [
        spec("[1320, 120]", "10", "[1300, 100]", ""),
        spec("[1320, 120]", "10", "[1300, 100]", ", clearance = 0.8"),
        spec(r#"["16 in", "12 in"]"#, r#""1/4 in""#, r#"["15 1/2 in", "11 1/2 in"]"#, ""),
        spec(r#"["16 33/64 in", "12 in"]"#, r#""17/64 in""#, r#"["15 63/64 in", "11 15/32 in"]"#, ""),
    ];
    for job in jobs {
        assert_eq!(make(&job).layout.sheets.len(), 1, "{job}");
    }
}

/// Before a program is made of it, a layout goes through that check: what it finds is a fault of ours, and says what.
#[test]
fn a_layout_that_is_not_sound_is_a_fault_of_ours() {
    type Change = fn(&mut nestwright::layout::Layout);
    let made = make(&spec(&[(400.0, 100.0, 3, "long"), (300.0, 200.0, 2, "cross")]));
    let verified = |change: Change| {
        let mut layout = made.layout.clone();
        change(&mut layout);
        nestwright::layout::verified(&made.job, &made.parts, &layout)
    };
    assert!(verified(|_| {}).is_ok());
    let broken: [(Change, &str); 3] = [
        (|layout| layout.sheets[0].placements[0].x -= 50.0, "reaches past the margin"),
        (|layout| layout.sheets[0].placements[1] = layout.sheets[0].placements[0], "apart"),
        (|layout| layout.sheets[0].placements.truncate(4), "placed"),
    ];
    for (change, words) in broken {
        let Err(Error::Fault(why)) = verified(change) else { panic!("{words}: it is said to be sound") };
        assert!(why.contains("layout is not sound") && why.contains(words), "{why}");
    }
}

/// A narrow sheet with room along it takes no strip that is wider than itself: once that was a fault of the saw plan.
#[test]
fn a_strip_lies_on_a_sheet_as_wide_as_it() {
    let stock = |name: &str, width: f64, price: u32| {
        format!(
            "[[stock]]\nname = \"{name}\"\nmaterial = \"birch-plywood\"\nsize = [2400, {width}]\nthickness = 18\nprice = {price}\n"
        )
    };
    let part = |name: &str, size: &str, count: u32| {
        format!("[[part]]\nname = \"{name}\"\nsize = {size}\ngrain = \"long\"\ncount = {count}\n")
    };
    let made = make(&format!(
        "title = \"t\"\n{}{}[saw]\nkerf = 3\n{}{}{}",
        stock("narrow", 184.0, 18),
        stock("wide", 365.0, 40),
        part("roof", "[222, 202]", 2),
        part("side", "[260, 163]", 2),
        part("front", "[260, 145]", 4)
    ));
    let wide = |sheet: &nestwright::saw::SawSheet| {
        sheet.placements.iter().all(|it| it.bounds(&made.parts[it.part]).y1 <= sheet.width + 1e-6)
    };
    assert!(made.saw.sheets.iter().all(wide));
    assert!(made.saw.sheets.iter().any(|sheet| made.job.stock[sheet.stock].name == "wide"));
}
