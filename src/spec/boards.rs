//! The boards that a maker adds to a box.

use super::made_of::stock_called;
use super::schema::{
    self, AGAINST, BETWEEN, BOARD, BOARD_FACE, BOARD_FROM, BOARD_NAME, BOARD_SIZES, BOARD_STOCK, LET_IN,
};
use crate::design::Kind;
use crate::design::kinds::JOINT_PLAY;
use crate::job::{BoardOrder, HeldBy, PanelStock, Stock};
use crate::reading::{Key, Table};
use std::ops::Range;

/// Reads `[[box.board]]`, and what it is made from where that is told; `play` is the room across its grooves (mm).
pub(super) fn read(table: &Table, play: f64, stock: &[Option<Stock>]) -> Option<(BoardOrder, Option<PanelStock>)> {
    table.only(&[BOARD]);
    let name = table.needed(&BOARD_NAME, table.name(BOARD_NAME.name));
    let held = held(table);
    let size = BOARD_SIZES.each_ref().map(|key| table.length(key));
    let from = BOARD_FROM.each_ref().map(|pair| pair.each_ref().map(|key| table.length(key)));
    let let_in = table.mm(&LET_IN);
    let mut all_well = true;
    for (size, [near, far]) in BOARD_SIZES.iter().zip(&BOARD_FROM) {
        if [size, near, far].iter().all(|key| table.has(key.name)) {
            let expected = format!("expected two of `{}`, `{}` and `{}`", near.name, far.name, size.name);
            problem(table, size, "the third follows from the other two", &expected);
            all_well = false;
        }
    }
    if table.has(LET_IN.name) && table.has(AGAINST.name) {
        let expected = "expected `between` beside it; a recess for a board is a [[box.pocket]]";
        problem(table, &LET_IN, "a board that lies on a face has no edge in it", expected);
        all_well = false;
    }
    let made_from = match table.text(BOARD_STOCK.name) {
        None => None,
        Some(wanted) => Some((stock_called(table, &wanted, stock)?, wanted.span())),
    };
    let name = name?.into_inner();
    let made_from = made_from.map(|(stock, spot)| PanelStock { panels: name.clone(), stock, spot });
    let (spot, spots) = (table.span.clone(), table.spots(BOARD));
    let order = BoardOrder { held: held?, size, from, let_in, play, spot, spots, name };
    all_well.then_some((order, made_from))
}

/// The room across grooves in a box of this kind: its joints' own, where it has such.
pub(super) fn play(table: &Table, kind: &Kind) -> f64 {
    // What is wrong with the box's own key is told by its kind.
    let own = || table.as_if(schema::KIND.name, kind.name, |table| table.length(&JOINT_PLAY));
    kind.keys.contains(&JOINT_PLAY).then(own).flatten().unwrap_or(JOINT_PLAY.mm())
}

fn held(table: &Table) -> Option<HeldBy> {
    match (table.has(BETWEEN.name), table.has(AGAINST.name)) {
        (true, true) => {
            problem(
                table,
                &AGAINST,
                "a board reaches between two panels, or lies on one",
                "expected one of `between` and `against`",
            );
            None
        }
        (true, false) => {
            if table.has(BOARD_FACE.name) {
                problem(
                    table,
                    &BOARD_FACE,
                    "a board between two panels lies on neither",
                    "expected `face` beside `against` only",
                );
                return None;
            }
            let names = names(table, &BETWEEN)?;
            let Ok(two) = <[_; 2]>::try_from(names) else {
                let spot = table.spot(BETWEEN.name).unwrap_or(table.span.clone());
                table.wrong(BETWEEN.name, spot, format!("two panels: {}", BETWEEN.takes.say()));
                return None;
            };
            Some(HeldBy::Between(two))
        }
        (false, true) => {
            let face = table.chosen(&BOARD_FACE);
            let names = if table.is_list(AGAINST.name) {
                names(table, &AGAINST)?
            } else {
                let name = table.text(AGAINST.name)?;
                vec![(name.get_ref().clone(), name.span())]
            };
            if names.is_empty() {
                let spot = table.spot(AGAINST.name).unwrap_or(table.span.clone());
                table.wrong(AGAINST.name, spot, "one panel at least");
                return None;
            }
            Some(HeldBy::Against(names, face))
        }
        (false, false) => table.needed(&BETWEEN, None),
    }
}

fn names(table: &Table, key: &Key) -> Option<Vec<(String, Range<usize>)>> {
    let names = table.texts(key.name)?;
    Some(names.into_iter().map(|name| (name.get_ref().clone(), name.span())).collect())
}

fn problem(table: &Table, key: &Key, message: &str, expected: &str) {
    table.desk.problem(table.spot(key.name).unwrap_or(table.span.clone()), message, expected, "");
}
