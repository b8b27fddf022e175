//! Layouts with free cuts, held against a check that knows nothing of how they were found.

use crate::cut_up::{cut_up, in_two_or_pinwheels};
use nestwright::layout::free::{Nested, Placed, improve};
use nestwright::layout::least_cost;
use nestwright::layout::search::{Bin, PieceKind, Problem, Settings, search};
use proptest::prelude::*;

/// Checks that every piece lies on a sheet as it may, and beside the others.
pub fn sound(problem: &Problem, sheets: &[Nested]) {
    let mut out: Vec<u32> = problem.kinds.iter().map(|kind| kind.count).collect();
    let mut used = vec![0; problem.bins.len()];
    for sheet in sheets {
        let bin = &problem.bins[sheet.bin];
        used[sheet.bin] += 1;
        for (i, Placed { kind, turned, at }) in sheet.placed.iter().enumerate() {
            let about = &problem.kinds[*kind as usize];
            out[*kind as usize] -= 1;
            assert!(if *turned { about.turned } else { about.straight }, "a piece lies as it may not");
            let size = if *turned { (about.width, about.length) } else { (about.length, about.width) };
            assert_eq!((at.length, at.width), size);
            assert!(at.x >= 0 && at.y >= 0 && at.x + at.length <= bin.length && at.y + at.width <= bin.width);
            for Placed { at: other, .. } in &sheet.placed[i + 1..] {
                let beside = at.x + at.length <= other.x || other.x + other.length <= at.x;
                let above = at.y + at.width <= other.y || other.y + other.width <= at.y;
                assert!(beside || above, "{at:?} and {other:?} overlap");
            }
        }
    }
    assert_eq!(out, vec![0; out.len()], "every piece is on a sheet");
    assert!(problem.bins.iter().zip(&used).all(|(bin, used)| bin.supply.is_none_or(|supply| *used <= supply)));
}

fn guillotine(problem: &Problem, looks: u64) -> Vec<Nested> {
    let settings = Settings { looks, combine: 0, ..Settings::default() };
    let found = search(problem, &settings, least_cost(problem));
    found.sheets.iter().map(|sheet| Nested::of(sheet, problem)).collect()
}

fn kind(length: i32, width: i32, turned: bool) -> PieceKind {
    PieceKind { length, width, straight: true, turned, count: 1 }
}

/// Four boards about a square in the middle: no cut goes from edge to edge.
#[test]
fn a_pinwheel_takes_one_sheet_with_free_cuts_and_two_with_cuts_from_edge_to_edge() {
    let problem = Problem {
        kinds: vec![PieceKind { count: 4, ..kind(300, 200, true) }, kind(100, 100, true)],
        bins: vec![Bin { length: 500, width: 500, supply: None, cost: 1 }],
        stages: None,
    };
    let known = guillotine(&problem, 200_000);
    assert_eq!(known.len(), 2);
    let better = improve(&problem, &Settings { looks: 2_000_000, ..Settings::default() }, 1, &known).expect("one");
    assert_eq!(better.len(), 1);
    sound(&problem, &better);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]
    /// Never more sheets than with cuts from edge to edge, and never fewer than the pieces were cut from.
    #[test]
    fn free_cuts_take_no_more_sheets(
        sheets in 1u32..4,
        dice in prop::collection::vec(any::<u32>(), 0..38),
        grain in any::<bool>(),
    ) {
        let problem = cut_up(sheets, &dice, grain, in_two_or_pinwheels);
        let known = guillotine(&problem, 200_000);
        let settings = Settings { looks: 1_000_000, ..Settings::default() };
        if let Some(better) = improve(&problem, &settings, least_cost(&problem), &known) {
            sound(&problem, &better);
            prop_assert!(better.len() < known.len() && better.len() >= sheets as usize);
        }
    }

    /// Of two sizes of sheet, few of one of them, the cheaper way is taken.
    #[test]
    fn sheets_of_two_sizes_are_packed_soundly(
        pieces in prop::collection::vec((20i32..1200, 20i32..600, any::<bool>(), any::<bool>(), 1u32..5), 1..12),
        supply in 0u32..4,
    ) {
        let kinds = pieces.into_iter().map(|(length, width, straight, turned, count)| {
            PieceKind { length, width, straight: straight || !turned, turned, count }
        });
        let bins = vec![
            Bin { length: 1300, width: 1250, supply: Some(supply), cost: 7 },
            Bin { length: 2440, width: 1220, supply: None, cost: 13 },
        ];
        let problem = Problem { kinds: kinds.collect(), bins, stages: None };
        let cost = |sheets: &[Nested]| sheets.iter().map(|sheet| problem.bins[sheet.bin].cost).sum::<i64>();
        let known = guillotine(&problem, 0);
        let least = least_cost(&problem);
        if let Some(better) = improve(&problem, &Settings { looks: 300_000, ..Settings::default() }, least, &known) {
            sound(&problem, &better);
            prop_assert!((least..cost(&known)).contains(&cost(&better)));
        }
    }
}
