//! Few pieces, of which every way of cutting is gone through: held against a plain trial of every cut at every place, or of
//! every piece at every place, and against pieces whose fewest sheets are known.

use crate::cut_up::{cut_up, in_two};
use crate::free_cuts::sound;
use crate::shared::check;
use nestwright::job::CutBy;
use nestwright::layout::exact::{cheapest, cheapest_with_free_cuts};
use nestwright::layout::search::{Bin, Cut, PieceKind, Problem, Settings, search};
use nestwright::layout::{Axis, least_cost};
use proptest::prelude::*;
use std::collections::HashMap;

/// Do the pieces whose bits are set come out of a rectangle? Every part of them is tried on either side of a cut at every
/// whole number.
fn comes_out(pieces: &[PieceKind], set: u32, size: (i32, i32), known: &mut HashMap<(u32, i32, i32), bool>) -> bool {
    if let Some(known) = known.get(&(set, size.0, size.1)) {
        return *known;
    }
    let lies = |piece: &PieceKind| {
        (piece.straight && piece.length <= size.0 && piece.width <= size.1)
            || (piece.turned && piece.width <= size.0 && piece.length <= size.1)
    };
    let mut found = match set.count_ones() {
        0 => true,
        1 => lies(&pieces[set.trailing_zeros() as usize]),
        _ => false,
    };
    let mut part = set;
    while !found && set.count_ones() > 1 && part != 0 {
        part = (part - 1) & set;
        if part == 0 {
            break;
        }
        let rest = set & !part;
        found = (1..size.0).any(|x| {
            comes_out(pieces, part, (x, size.1), known) && comes_out(pieces, rest, (size.0 - x, size.1), known)
        }) || (1..size.1).any(|y| {
            comes_out(pieces, part, (size.0, y), known) && comes_out(pieces, rest, (size.0, size.1 - y), known)
        });
    }
    known.insert((set, size.0, size.1), found);
    found
}

/// Do the pieces whose bits are set lie on a sheet of few squares, of which those taken have a bit each? Each is tried in
/// every place.
fn lies_free(pieces: &[PieceKind], set: u32, size: (i32, i32), taken: u64) -> bool {
    if set == 0 {
        return true;
    }
    let next = set.trailing_zeros();
    let piece = &pieces[next as usize];
    let ways = [(piece.straight, piece.length, piece.width), (piece.turned, piece.width, piece.length)];
    ways.iter().filter(|(may, length, width)| *may && *length <= size.0 && *width <= size.1).any(
        |(_, length, width)| {
            let squares = (0..*width).map(|y| ((1_u64 << length) - 1) << (y * size.0)).sum::<u64>();
            let mut places = (0..=size.1 - width).flat_map(|y| (0..=size.0 - length).map(move |x| y * size.0 + x));
            places.any(|at| {
                let here = squares << at;
                here & taken == 0 && lies_free(pieces, set & !(1 << next), size, taken | here)
            })
        },
    )
}

/// Fewest sheets, by trying every way to deal the pieces out.
fn fewest(pieces: &[PieceKind], sheet: (i32, i32)) -> usize {
    let mut known = HashMap::new();
    dealt(pieces, |set| comes_out(pieces, set, sheet, &mut known))
}

/// Fewest sheets, where so many pieces come from one.
fn dealt(pieces: &[PieceKind], mut from_one: impl FnMut(u32) -> bool) -> usize {
    let mut best = vec![usize::MAX; 1 << pieces.len()];
    best[0] = 0;
    for set in 1..best.len() {
        let mut part = set;
        while part != 0 {
            if best[set & !part] < usize::MAX && from_one(part as u32) {
                best[set] = best[set].min(best[set & !part] + 1);
            }
            part = (part - 1) & set;
        }
    }
    best[best.len() - 1]
}

/// Pieces on a sheet as its cuts say; panics where strips do not make up their rectangle or a piece does not fill its own.
fn count(cut: &Cut, size: (i32, i32), problem: &Problem, pieces: &mut [u32]) {
    match cut {
        Cut::Left => {}
        Cut::Part { kind, turned } => {
            let about = &problem.kinds[*kind];
            assert!(if *turned { about.turned } else { about.straight });
            assert_eq!(size, if *turned { (about.width, about.length) } else { (about.length, about.width) });
            pieces[*kind] += 1;
        }
        Cut::Split(axis, strips) => {
            let along = if *axis == Axis::X { size.0 } else { size.1 };
            assert_eq!(strips.iter().map(|(wide, _)| wide).sum::<i32>(), along);
            for (wide, cut) in strips {
                assert!(*wide > 0);
                let inner = if *axis == Axis::X { (*wide, size.1) } else { (size.0, *wide) };
                count(cut, inner, problem, pieces);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn the_fewest_sheets_are_those_of_trying_every_cut(
        pieces in prop::collection::vec((1i32..7, 1i32..5, any::<bool>(), any::<bool>()), 1..6),
        sheet in (5i32..8, 4i32..7),
    ) {
        let kind = |(length, width, straight, turned): (i32, i32, bool, bool)| {
            PieceKind { length, width, straight: straight || !turned, turned, count: 1 }
        };
        let mut kinds: Vec<PieceKind> = pieces.into_iter().map(kind).collect();
        kinds.retain(|kind| comes_out(std::slice::from_ref(kind), 1, sheet, &mut HashMap::new()));
        let by_hand = fewest(&kinds, sheet);
        let bins = vec![Bin { length: sheet.0, width: sheet.1, supply: None, cost: 1 }];
        let problem = Problem { kinds, bins, stages: None };
        let found = cheapest(&problem).expect("few pieces");
        prop_assert_eq!(found.sheets.len(), by_hand);
        let mut there = vec![0; problem.kinds.len()];
        for sheet in &found.sheets {
            let bin = &problem.bins[sheet.bin];
            count(&sheet.cut, (bin.length, bin.width), &problem, &mut there);
        }
        prop_assert_eq!(there, vec![1; problem.kinds.len()]);
        // Pieces alike told as one kind give the same.
        let mut alike = problem.clone();
        alike.kinds.clear();
        for kind in &problem.kinds {
            match alike.kinds.iter_mut().find(|known| PieceKind { count: 1, ..(**known).clone() } == *kind) {
                Some(known) => known.count += 1,
                None => alike.kinds.push(kind.clone()),
            }
        }
        prop_assert_eq!(cheapest(&alike).expect("few pieces").cost, by_hand as i64);
        let free = cheapest_with_free_cuts(&problem).expect("few pieces");
        prop_assert_eq!(free.len(), dealt(&problem.kinds, |set| lies_free(&problem.kinds, set, sheet, 0)));
        sound(&problem, &free);
        prop_assert_eq!(cheapest_with_free_cuts(&alike).expect("few pieces").len(), free.len());
    }
}

/// Pieces found by chance: of 10 × 10 they come with free cuts alone. And four boards about a square, as on the saw below.
#[test]
fn free_cuts_take_one_sheet_where_cuts_from_edge_to_edge_take_two() {
    let by_chance = [(7, 5, 1), (5, 4, 2), (8, 2, 1), (3, 2, 1)];
    for (sheet, kinds) in [(10, &by_chance[..]), (5, &[(3, 2, 4), (1, 1, 1)])] {
        let kind = |&(length, width, count)| PieceKind { length, width, straight: true, turned: true, count };
        let bins = vec![Bin { length: sheet, width: sheet, supply: None, cost: 1 }];
        let problem = Problem { kinds: kinds.iter().map(kind).collect(), bins, stages: None };
        assert_eq!(cheapest(&problem).expect("few pieces").cost, 2);
        let free = cheapest_with_free_cuts(&problem).expect("few pieces");
        sound(&problem, &free);
        assert_eq!(free.len(), 1);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// A sheet cut up without waste: one sheet holds the pieces again; and no search finds fewer sheets for any pieces.
    #[test]
    fn eight_pieces_of_one_sheet_go_together_again(dice in prop::collection::vec(any::<u32>(), 7 * 3)) {
        let mut problem = cut_up(1, &dice, false, in_two);
        prop_assert_eq!(cheapest(&problem).expect("few pieces").cost, 1);
        for kind in &mut problem.kinds {
            kind.length = (kind.length * 7 / 6).min(2440);
        }
        let fewest = cheapest(&problem).expect("few pieces").cost;
        let found = search(&problem, &Settings { looks: 200_000, combine: 0, ..Settings::default() }, fewest);
        prop_assert!((least_cost(&problem)..=found.cost).contains(&fewest));
    }
}

/// Four boards about a square in the middle cover the sheet, so the area says one; cut from edge to edge they take two.
#[test]
fn a_saw_plan_is_proved_best_where_no_count_proves_it() {
    let checked = check(
        "title = \"boards\"\nstock = { material = \"birch-plywood\", size = [500, 500], thickness = 9, trim = 0 }\n\
         saw = { kerf = 0 }\n\
         [[part]]\nname = \"board\"\nsize = [300, 200]\ncount = 4\ngrain = \"any\"\n\
         [[part]]\nname = \"square\"\nsize = [100, 100]\ngrain = \"any\"\n",
    );
    let made = nestwright::make(checked, &crate::shared::search()).unwrap_or_else(|error| panic!("{error}"));
    let saw = made.fewest.iter().find(|fewest| fewest.plan == CutBy::Saw).expect("a saw plan");
    assert_eq!((saw.sheets, saw.at_least), (2, 2));
    assert!(saw.reason.contains("every way of cutting these 5 pieces"), "{}", saw.reason);
}

/// They cover 0.86 of a sheet, and no count says more than one; in every place that was tried, one is left over.
#[test]
fn a_router_is_told_that_three_boards_take_two_sheets() {
    // The cutter takes 6 mm between two boards.
    let checked = check(
        "title = \"boards\"\nstock = { material = \"birch-plywood\", size = [494, 494], thickness = 9, margin = 0 }\n\
         router = { machine = \"desktop-router\", cutter = \"endmill-6\", clearance = 0 }\n\
         [[part]]\nname = \"a\"\nsize = [394, 244]\ngrain = \"any\"\n\
         [[part]]\nname = \"b\"\nsize = [344, 194]\ngrain = \"any\"\n\
         [[part]]\nname = \"c\"\nsize = [294, 144]\ngrain = \"any\"\n",
    );
    let made = nestwright::make(checked, &crate::shared::search()).unwrap_or_else(|error| panic!("{error}"));
    let router = made.fewest.iter().find(|fewest| fewest.plan == CutBy::Router).expect("a layout");
    assert_eq!((router.sheets, router.at_least), (2, 2));
    assert!(router.reason.contains("every way of laying these 3 pieces"), "{}", router.reason);
}
