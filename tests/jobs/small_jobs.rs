//! Few pieces, of which every way of cutting is gone through: held against a plain trial of every cut at every place, and
//! against pieces whose fewest sheets are known.

use crate::cut_up::{cut_up, in_two};
use crate::shared::check;
use nestwright::layout::exact::cheapest;
use nestwright::layout::search::{Bin, Cut, Kind, Problem, Settings, search};
use nestwright::layout::{Axis, bound::Cut as By, least_cost};
use proptest::prelude::*;
use std::collections::HashMap;

/// Do the pieces whose bits are set come out of a rectangle? Every part of them is tried on either side of a cut at every
/// whole number.
fn comes_out(pieces: &[Kind], set: u32, size: (i32, i32), known: &mut HashMap<(u32, i32, i32), bool>) -> bool {
    if let Some(known) = known.get(&(set, size.0, size.1)) {
        return *known;
    }
    let lies = |piece: &Kind| {
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

/// Fewest sheets, by trying every way to deal the pieces out.
fn fewest(pieces: &[Kind], sheet: (i32, i32)) -> usize {
    let mut known = HashMap::new();
    let mut best = vec![usize::MAX; 1 << pieces.len()];
    best[0] = 0;
    for set in 1..best.len() {
        let mut part = set;
        while part != 0 {
            if best[set & !part] < usize::MAX && comes_out(pieces, part as u32, sheet, &mut known) {
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
            Kind { length, width, straight: straight || !turned, turned, count: 1 }
        };
        let mut kinds: Vec<Kind> = pieces.into_iter().map(kind).collect();
        kinds.retain(|kind| comes_out(std::slice::from_ref(kind), 1, sheet, &mut HashMap::new()));
        let by_hand = fewest(&kinds, sheet);
        let bins = vec![Bin { length: sheet.0, width: sheet.1, supply: None, cost: 1 }];
        let problem = Problem { kinds, bins };
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
            match alike.kinds.iter_mut().find(|known| Kind { count: 1, ..(**known).clone() } == *kind) {
                Some(known) => known.count += 1,
                None => alike.kinds.push(kind.clone()),
            }
        }
        prop_assert_eq!(cheapest(&alike).expect("few pieces").cost, by_hand as i64);
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
    let made = nestwright::make(checked).unwrap_or_else(|error| panic!("{error}"));
    let saw = made.fewest.iter().find(|fewest| fewest.plan == By::Saw).expect("a saw plan");
    assert_eq!((saw.sheets, saw.at_least), (2, 2));
    assert!(saw.reason.contains("every way of cutting these 5 pieces"), "{}", saw.reason);
}
