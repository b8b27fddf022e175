use super::*;
use crate::units::Units;

/// Whole numbers that are the same every time: a 64-bit xorshift (Marsaglia, 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }

    fn within(&mut self, least: i64, most: i64) -> i64 {
        least + self.below((most - least + 1) as u64) as i64
    }
}

/// Cuts a sheet into pieces edge to edge at random, now and then losing one. Each may be turned, or is written down as
/// it lies or turned.
fn cut_up(dice: &mut Dice, (length, width): (i64, i64), kinds: &mut Vec<AlikePieces>) {
    let splits = dice.below(5) > 0 && length.max(width) > 2;
    if splits && (length > width || width < 3) && length > 2 {
        let at = dice.within(1, length - 1);
        cut_up(dice, (at, width), kinds);
        cut_up(dice, (length - at, width), kinds);
    } else if splits && width > 2 {
        let at = dice.within(1, width - 1);
        cut_up(dice, (length, at), kinds);
        cut_up(dice, (length, width - at), kinds);
    } else if dice.below(8) > 0 {
        kinds.push(match dice.below(4) {
            0 => AlikePieces::fixed(length, width, 1),
            1 => AlikePieces { straight: false, turned: true, ..AlikePieces::free(width, length, 1) },
            2 => AlikePieces::free(length, width, 1),
            _ => AlikePieces::free(width, length, 1),
        });
    }
}

/// The pieces come out of this many sheets by construction: no bound may say that they need more.
#[test]
fn what_was_cut_from_some_sheets_never_needs_more() {
    let mut dice = Dice(0x5eed_0001);
    for round in 0..40 {
        let sheets = dice.within(1, 4);
        let size = (dice.within(8, 60), dice.within(8, 60));
        let mut kinds = Vec::new();
        for _ in 0..sheets {
            cut_up(&mut dice, size, &mut kinds);
        }
        let found = bound(&kinds, &[Bin::endless(size.0, size.1)]);
        assert!(found.sheets <= sheets as u64, "round {round}: {sheets} of {size:?} give {kinds:?}: {found:?}");
        // Nor with these sheets on hand, and smaller or larger ones beside them.
        let mixed = [
            Bin { on_hand: Some(sheets as u64), ..Bin::endless(size.0, size.1) },
            Bin { on_hand: Some(0), ..Bin::endless(2 * size.0, size.1 + 3) },
            Bin { on_hand: Some(0), ..Bin::endless(size.0 / 2, size.1) },
        ];
        let found = bound(&kinds, &mixed);
        assert!(found.sheets <= sheets as u64, "round {round}: {mixed:?} give {kinds:?}: {found:?}");
    }
}

/// Sheets of two sizes, each cut up: the bound may not ask for one sheet more of what there is.
#[test]
fn what_was_cut_from_sheets_of_two_sizes_never_needs_more() {
    let mut dice = Dice(0x5eed_0002);
    for round in 0..40 {
        let bins: Vec<Bin> = (0..2)
            .map(|_| Bin { on_hand: Some(dice.below(3)), ..Bin::endless(dice.within(8, 60), dice.within(8, 60)) })
            .collect();
        let mut kinds = Vec::new();
        for bin in &bins {
            (0..bin.on_hand.unwrap_or(0)).for_each(|_| cut_up(&mut dice, (bin.length, bin.width), &mut kinds));
        }
        let there: u64 = bins.iter().filter_map(|bin| bin.on_hand).sum();
        let found = bound(&kinds, &bins);
        assert!(found.sheets <= there, "round {round}: {bins:?} give {kinds:?}: {found:?}");
    }
}

/// Not only the best mix: any mix of any functions holds for what one sheet gives.
#[test]
fn no_mix_of_functions_counts_one_sheet_for_two() {
    let mut dice = Dice(0x5eed_0003);
    for _ in 0..60 {
        let (length, width) = (dice.within(8, 50), dice.within(8, 50));
        let mut kinds = Vec::new();
        cut_up(&mut dice, (length, width), &mut kinds);
        let sides: Vec<i64> = kinds.iter().flat_map(|kind| [kind.length, kind.width]).collect();
        let (along, across) = (Rule::all(&sides, length), Rule::all(&sides, width));
        for _ in 0..200 {
            let mut one = |rules: &[Rule]| rules[dice.below(rules.len() as u64) as usize];
            let mix = (1..=3).map(|parts| (parts, one(&along), one(&across))).collect();
            let sheet = Bin::endless(length, width);
            let found = dual::exact(&kinds, &[sheet], &sheet, mix);
            assert!(found.sheets <= 1, "{length} × {width} gave {kinds:?}: {found:?}");
        }
    }
}

/// Examples that can be drawn on a napkin: the pieces, the sheet, and how many sheets it takes.
#[test]
fn small_examples_whose_answer_can_be_drawn() {
    let square = Bin::endless(100, 100);
    let sheets = |kinds: &[AlikePieces], bin: Bin| bound(kinds, &[bin]).sheets;
    // Just over a third along each side: two by two to a sheet.
    assert_eq!(sheets(&[AlikePieces::free(34, 34, 4)], square), 1);
    assert_eq!(sheets(&[AlikePieces::free(34, 34, 5)], square), 2);
    assert_eq!(sheets(&[AlikePieces::free(34, 34, 9)], square), 3);
    // Just over a half along each side: one to a sheet.
    assert_eq!(sheets(&[AlikePieces::free(51, 51, 3)], square), 3);
    // Long and just over a third wide: two to a sheet, however they lie; by area it might be three.
    assert_eq!(sheets(&[AlikePieces::free(90, 34, 3)], square), 2);
    // The same where grain forbids turning, and across it.
    assert_eq!(sheets(&[AlikePieces::fixed(34, 90, 3)], square), 2);
    // A sheet twice as long as wide: a piece over half the width stands one above the other on no sheet.
    assert_eq!(sheets(&[AlikePieces::fixed(60, 51, 4)], Bin::endless(200, 100)), 2);
    // Four large ones, and one small one that fits beside each: area decides.
    assert_eq!(sheets(&[AlikePieces::free(60, 60, 4), AlikePieces::free(40, 40, 4)], square), 4);
    // Exactly what covers two sheets takes two, and a hair more three.
    assert_eq!(sheets(&[AlikePieces::free(50, 20, 20)], square), 2);
    assert_eq!(sheets(&[AlikePieces::free(50, 20, 20), AlikePieces::free(1, 1, 1)], square), 3);
    assert_eq!(sheets(&[], square), 0);
}

/// Four of 8 × 8 on sheets of 20 × 10 leave a strip of 4 × 10 on each of two sheets, which takes one of 7 × 3: the third
/// wants a third sheet. No single pair of functions shows it, a mix of two does.
#[test]
fn a_mix_of_pairs_shows_what_no_single_pair_does() {
    let (kinds, sheet) = ([AlikePieces::free(7, 3, 3), AlikePieces::free(8, 8, 4)], Bin::endless(20, 10));
    let found = bound(&kinds, &[sheet]);
    assert_eq!(found.sheets, 3, "{found:?}");
    let sides = [7, 3, 8, 8];
    for along in Rule::all(&sides, 20) {
        for across in Rule::all(&sides, 10) {
            assert!(dual::exact(&kinds, &[sheet], &sheet, vec![(1, along, across)]).sheets < 3, "{along:?} {across:?}");
        }
    }
}

#[test]
fn larger_sheets_are_used_first_and_no_more_than_there_are() {
    let large = Bin { on_hand: Some(1), ..Bin::endless(200, 100) };
    let small = Bin::endless(100, 100);
    let pieces = |count| [AlikePieces::free(50, 50, count)];
    assert_eq!(bound(&pieces(8), &[small, large]).sheets, 1);
    assert_eq!(bound(&pieces(9), &[small, large]).sheets, 2);
    assert_eq!(bound(&pieces(13), &[small, large]).sheets, 3);
    // None beside them: one more than there are says that it cannot be done.
    assert_eq!(bound(&pieces(9), &[large]).sheets, 2);
}

#[test]
fn a_shape_counts_by_its_area_only() {
    let shape = AlikePieces { shape: Some(2_000), ..AlikePieces::free(80, 80, 5) };
    let found = bound(&[shape], &[Bin::endless(100, 100)]);
    assert_eq!(found.sheets, 1);
    assert!(matches!(found.reason, Reason::Area { .. }));
}

#[test]
fn what_fits_nowhere_is_named() {
    let found = bound(&[AlikePieces::free(10, 10, 1), AlikePieces::free(101, 20, 1)], &[Bin::endless(100, 100)]);
    assert_eq!(found.reason, Reason::TooLarge { kind: 1 });
    assert_eq!(found.why(&["lid", "rail"], &[1, 1], Units::Millimetres), "the rail fits no sheet");
}

#[test]
fn reasons_are_told_with_their_figures() {
    let sheet = Bin::endless(1_000_000, 1_000_000);
    let area = bound(&[AlikePieces::free(500_000, 200_000, 11)], &[sheet]);
    assert_eq!(
        area.why(&["lid"], &[11], Units::Millimetres),
        "with what the cut takes about each, the pieces cover 1.1 m², a sheet within its edges 1 m²: 1.1 sheets' worth"
    );
    let apart = bound(&[AlikePieces::free(600_000, 510_000, 2), AlikePieces::free(510_000, 510_000, 1)], &[sheet]);
    assert_eq!(
        apart.why(&["lid", "floor"], &[2, 1], Units::Millimetres),
        "no two of these 3 lie on one sheet, however they are turned: 2 × lid, 1 × floor"
    );
    let counted = bound(&[AlikePieces::free(340_000, 340_000, 5)], &[sheet]);
    let why = counted.why(&["lid"], &[5], Units::Millimetres);
    assert!(why.starts_with("counted by what can lie beside each other, the pieces make 1.25 sheets' worth: 5 × lid at 0.25 of a sheet (along the sheet in halves, what is over 1/3 as one of them; across it"), "{why}");
}
