//! What the search finds, held against a check that knows nothing of how it was found.

use crate::cut_up::{cut_up, in_two};
use crate::shared::check;
use nestwright::layout::search::{Bin, Cut, Found, PieceKind, Problem, Settings, search, search_many};
use nestwright::layout::{Axis, least_cost, verify};
use nestwright::watch::Search;
use proptest::prelude::*;

/// Every piece's rectangle on its sheet, from the tree of cuts: x, y, length, width.
fn pieces(cut: &Cut, at: [i32; 4], problem: &Problem, found: &mut Vec<(usize, [i32; 4])>) {
    match cut {
        Cut::Left => {}
        Cut::Part { kind, turned } => {
            let about = &problem.kinds[*kind];
            assert!(if *turned { about.turned } else { about.straight }, "a piece lies as it may not");
            let size = if *turned { [about.width, about.length] } else { [about.length, about.width] };
            assert_eq!(size, [at[2], at[3]], "a piece fills its rectangle");
            found.push((*kind, at));
        }
        Cut::Split(axis, strips) => {
            let i = usize::from(*axis == Axis::Y);
            let mut from = at[i];
            for (size, cut) in strips {
                assert!(*size > 0);
                let mut inner = at;
                (inner[i], inner[2 + i]) = (from, *size);
                pieces(cut, inner, problem, found);
                from += size;
            }
            assert_eq!(from, at[i] + at[2 + i], "the strips make up the rectangle");
        }
    }
}

/// How often the saw is turned, at most, from the whole sheet to a piece; the first way it runs counts too.
fn turns(cut: &Cut, last: Option<Axis>) -> u32 {
    match cut {
        Cut::Left | Cut::Part { .. } => 0,
        Cut::Split(axis, strips) => {
            let within = strips.iter().map(|(_, cut)| turns(cut, Some(*axis))).max();
            u32::from(last != Some(*axis)) + within.unwrap_or(0)
        }
    }
}

fn sound(problem: &Problem, found: &Found) {
    let mut out: Vec<u32> = problem.kinds.iter().map(|kind| kind.count).collect();
    for kind in &found.left_out {
        out[*kind] -= 1;
    }
    if let Some(stages) = problem.stages {
        assert!(found.sheets.iter().all(|sheet| turns(&sheet.cut, None) <= stages), "more stages than {stages}");
    }
    let mut cost = 0;
    let mut used = vec![0; problem.bins.len()];
    for sheet in &found.sheets {
        let bin = &problem.bins[sheet.bin];
        (cost, used[sheet.bin]) = (cost + bin.cost, used[sheet.bin] + 1);
        let mut placed = Vec::new();
        pieces(&sheet.cut, [0, 0, bin.length, bin.width], problem, &mut placed);
        for (i, (kind, a)) in placed.iter().enumerate() {
            out[*kind] -= 1;
            assert!(a[0] >= 0 && a[1] >= 0 && a[0] + a[2] <= bin.length && a[1] + a[3] <= bin.width);
            for (_, b) in &placed[i + 1..] {
                let apart = |i: usize| a[i] + a[i + 2] <= b[i] || b[i] + b[i + 2] <= a[i];
                assert!(apart(0) || apart(1), "{a:?} and {b:?} overlap");
            }
        }
    }
    assert_eq!(out, vec![0; out.len()], "every piece is on a sheet or told to be left out");
    assert_eq!(cost, found.cost);
    assert!(problem.bins.iter().zip(&used).all(|(bin, used)| bin.supply.is_none_or(|supply| *used <= supply)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    /// The fewest sheets are known, as the pieces were cut from so many without waste. As nothing at all may be wasted, one
    /// sheet more is allowed from the fifth piece on: the search finds such puzzles often, not always.
    #[test]
    fn what_was_cut_up_goes_together_again(
        sheets in 1u32..5,
        dice in prop::collection::vec(any::<u32>(), 0..60),
        grain in any::<bool>(),
    ) {
        let problem = cut_up(sheets, &dice, grain, in_two);
        let settings = Settings { looks: 3_000_000, combine: 500_000, ..Settings::default() };
        let bound = least_cost(&problem);
        prop_assert_eq!(bound, i64::from(sheets), "the area says so");
        let found = search(&problem, &settings, bound);
        sound(&problem, &found);
        let over = found.cost - i64::from(sheets);
        prop_assert!(over <= i64::from(problem.kinds.len() > 4), "{over} sheets more than {sheets}");
    }

    /// Sheets of two sizes, few of one of them, and whatever pieces.
    #[test]
    fn any_pieces_and_sheets_are_packed_soundly(
        pieces in prop::collection::vec((20i32..1200, 20i32..600, any::<bool>(), any::<bool>(), 1u32..5), 1..12),
        supply in 0u32..4,
        stages in prop::option::of(2u32..5),
    ) {
        let kinds = pieces.into_iter().map(|(length, width, straight, turned, count)| {
            PieceKind { length, width, straight: straight || !turned, turned, count }
        });
        let bins = vec![
            Bin { length: 1300, width: 1250, supply: Some(supply), cost: 7 },
            Bin { length: 2440, width: 1220, supply: None, cost: 13 },
        ];
        let problem = Problem { kinds: kinds.collect(), bins, stages };
        let found = search(
            &problem,
            &Settings { looks: 300_000, combine: 30_000, ..Settings::default() },
            least_cost(&problem),
        );
        sound(&problem, &found);
        prop_assert!(found.left_out.is_empty() && found.cost >= least_cost(&problem));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Sheets cut up without waste in two or three stages, with the grain along them: so many stages hold the pieces again,
    /// in so many sheets or one more.
    #[test]
    fn what_was_cut_up_in_stages_goes_together_in_as_many(
        sheets in 1i32..4,
        rows in prop::collection::vec((100i32..400, prop::collection::vec(150i32..900, 0..3)), 3..5),
        halves in any::<bool>(),
    ) {
        let (length, width) = (2440, 1220);
        let mut kinds = Vec::new();
        let mut piece = |length, width, count: i32| {
            kinds.push(PieceKind { length, width, straight: true, turned: false, count: count as u32 });
        };
        // Each stage fills what the one before it cut: rows up the sheet, pieces along a row, halves up a piece.
        let mut left = width;
        for (row, along) in &rows {
            let row = (*row).min(left);
            if row == 0 {
                continue;
            }
            left -= row;
            let mut rest = length;
            for size in along {
                let size = (*size).min(rest - 100);
                if size < 100 {
                    continue;
                }
                rest -= size;
                if halves && row % 2 == 0 { piece(size, row / 2, 2 * sheets) } else { piece(size, row, sheets) }
            }
            piece(rest, row, sheets);
        }
        if left > 0 {
            piece(length, left, sheets);
        }
        let bins = vec![Bin { length, width, supply: None, cost: 1 }];
        let problem = Problem { kinds, bins, stages: Some(if halves { 3 } else { 2 }) };
        prop_assert_eq!(least_cost(&problem), i64::from(sheets), "the area says so");
        let found = search(&problem, &Settings { looks: 3_000_000, combine: 500_000, ..Settings::default() }, i64::from(sheets));
        sound(&problem, &found);
        prop_assert!(found.cost <= i64::from(sheets) + 1, "{} sheets for {sheets}", found.cost);
    }
}

/// Three boards that come out of a sheet in three stages: one along it all, one beside it, the last with a strip above it.
/// Two stages take a second sheet: the last board is as wide as no other.
#[test]
fn fewer_stages_cost_sheets() {
    let kind = |length, width| PieceKind { length, width, straight: true, turned: false, count: 1 };
    let bins = vec![Bin { length: 100, width: 100, supply: None, cost: 1 }];
    let kinds = vec![kind(100, 50), kind(60, 50), kind(40, 45)];
    for (stages, sheets) in [(None, 1), (Some(3), 1), (Some(2), 2)] {
        let problem = Problem { kinds: kinds.clone(), bins: bins.clone(), stages };
        let found = search(&problem, &Settings { looks: 100_000, ..Settings::default() }, 1);
        sound(&problem, &found);
        assert_eq!(found.cost, sheets, "{stages:?}");
    }
}

/// The fewest sheets are known by construction: each of these was cut up so often without waste.
#[test]
fn thousands_of_pieces_are_laid_out_by_repeating_good_sheets() {
    let dice: Vec<u32> = (7..48u32).map(|i| i.wrapping_mul(2_654_435_761)).collect();
    for (grain, supply) in [(false, None), (true, Some(2_200))] {
        let mut problem = cut_up(4, &dice, grain, in_two);
        for kind in &mut problem.kinds {
            kind.count *= 500;
        }
        problem.bins[0].supply = supply;
        let found = search_many(&problem, &Settings { looks: 2_000_000, ..Settings::default() });
        sound(&problem, &found);
        assert!(found.left_out.is_empty());
        // No waste at all is allowed for; one part in twenty of it is common for so few looks.
        assert!((2_000..=2_100).contains(&found.cost), "{} sheets, of 2000", found.cost);
    }
}

#[test]
fn the_same_seed_gives_the_same_sheets() {
    let dice: Vec<u32> = (1..120u32).map(|i| i.wrapping_mul(2_654_435_761)).collect();
    let problem = cut_up(3, &dice, false, in_two);
    let settings = Settings { looks: 400_000, combine: 50_000, ..Settings::default() };
    let once = search(&problem, &settings, 0);
    let again = search(&problem, &settings, 0);
    assert_eq!(format!("{once:?}"), format!("{again:?}"));
}

#[test]
fn more_than_the_sheets_on_hand_hold_is_told_by_kind() {
    let kind = |length, count| PieceKind { length, width: 60, straight: true, turned: true, count };
    let bins = vec![Bin { length: 100, width: 100, supply: Some(2), cost: 1 }];
    let problem = Problem { kinds: vec![kind(90, 3), kind(30, 1)], bins, stages: None };
    let found = search(&problem, &Settings { looks: 100_000, ..Settings::default() }, 0);
    sound(&problem, &found);
    assert_eq!(found.left_out, [0], "two of the large ones and the small one go in");
}

/// Four five-frame nucs with floors and covers come out of one 4 × 8 ft sheet of half-inch ply, five do not: common practice
/// among those who build them, without a source.
#[test]
fn four_nucs_come_out_of_one_sheet_by_saw_and_router() {
    for (nucs, sheets) in [(4, 1), (5, 2)] {
        let checked = check(&format!(
            "title = \"nucs\"\nunits = \"in\"\n\
             stock = {{ material = \"birch-plywood\", size = [96, 48], thickness = \"1/2\" }}\n\
             saw = {{ machine = \"table-saw\", kerf = \"1/8\" }}\n\
             router = {{ machine = \"shop-router\", cutter = \"endmill-1-4\" }}\n\
             [[box]]\nname = \"nuc\"\nkind = \"frame-box\"\ncount = {nucs}\nframe = \"langstroth-deep\"\nframes = 5\n"
        ));
        let made = nestwright::make(checked, &Search::default()).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(made.patterns.len(), sheets, "{nucs} nucs by saw");
        assert_eq!(made.layout.sheets.len(), sheets, "{nucs} nucs by router");
        let gap = made.job.router.as_ref().expect("given").gap();
        assert_eq!(verify(&made.job, &made.parts, &made.layout, gap), Vec::<String>::new());
    }
}

/// A job whose pieces pack badly one after another: what the search finds for the saw, the router need not better, but it may
/// not be worse where its gap is the kerf.
#[test]
fn a_router_takes_no_more_sheets_than_a_saw_with_the_same_gap() {
    for seed in 1..6u32 {
        let mut spec = String::from(
            "title = \"boards\"\nstock = { material = \"birch-plywood\", size = [1220, 610], thickness = 9, margin = 6, trim = 6 }\n\
             router = { machine = \"desktop-router\", cutter = \"endmill-6\", clearance = 0 }\n",
        );
        for i in 0..9u32 {
            let roll = (seed * 977 + i * 353).wrapping_mul(2_654_435_761) >> 8;
            let (length, width) = (180 + roll % 700, 60 + roll / 700 % 240);
            spec += &format!("[[part]]\nname = \"b{i}\"\nsize = [{length}, {width}]\ncount = {}\n", 1 + roll % 3);
        }
        let mut job = check(&spec).job;
        let kerf = job.router.as_ref().expect("given").gap();
        let bench = nestwright::profile::Profiles::built_in().find("table-saw").expect("built in");
        job.saw = Some(nestwright::job::Saw { kerf, bench, together: 1, stages: None });
        let assemblies = nestwright::build::assemble(&job).expect("boards");
        let parts = nestwright::build::parts(&job, &assemblies);
        let layout = nestwright::layout::nest(&job, &parts, &crate::shared::search()).expect("a layout");
        let patterns = nestwright::layout::cut_plan(&job, &parts, &crate::shared::search()).expect("patterns");
        assert_eq!(verify(&job, &parts, &layout, kerf), Vec::<String>::new());
        assert!(layout.sheets.len() <= patterns.len(), "{seed}: {} and {}", layout.sheets.len(), patterns.len());
    }
}
