//! The holes of a box or a loose part.

use super::schema::{
    ACROSS, COLUMN, CORNER_RADIUS, COUNTERBORE, DIAMETER, DOWN, HOLE, MESH, MOST_HOLES, OPENING_SIZE, PANEL, PITCH,
    ROW, SLOT, TURN, UP, UPRIGHT, USE,
};
use crate::job::{Across, Grid, HoleOrder, HoleSize, Up};
use crate::reading::{Key, Table};
use std::ops::Range;

/// Reads `[[box.hole]]`, or `[[part.hole]]` of the part named `part`.
pub(super) fn read(table: &Table, part: Option<&str>) -> Option<HoleOrder> {
    table.only(&[HOLE]);
    let (panel, panel_spot) = panel(table, part);
    let use_ = table.needed(&USE, table.choice(&USE));
    let size = read_size(table);
    let across = across(table);
    let up = height(table);
    let mesh = table.flag(&MESH);
    if let (Some(_), Some(true), Some(spot)) = (part, mesh, table.spot(MESH.name)) {
        let expected =
            "expected no cloth here: hardware is counted for boxes alone, so buy it for a loose part yourself";
        table.desk.problem(spot, "`mesh` changes nothing here", expected, "");
    }
    let counterbore = read_counterbore(table, size);
    let grid = read_grid(table, size);
    Some(HoleOrder {
        panel: panel?,
        use_: use_?,
        size: size?,
        across: across?,
        up: up?,
        grid: grid?,
        counterbore,
        mesh,
        spot: table.span.clone(),
        panel_spot,
    })
}

/// Which panel it is in: the one that `panel` names, or the loose part itself.
pub(super) fn panel(table: &Table, part: Option<&str>) -> (Option<String>, Range<usize>) {
    if let Some(name) = part {
        if let Some(spot) = table.spot(PANEL.name) {
            table.desk.problem(spot, "a loose part is the only panel there is", "expected none of `panel` here", "");
        }
        return (Some(name.to_string()), table.span.clone());
    }
    let panel = table.needed(&PANEL, table.text("panel"));
    let spot = panel.as_ref().map_or(table.span.clone(), toml::Spanned::span);
    (panel.map(toml::Spanned::into_inner), spot)
}

pub(super) fn across(table: &Table) -> Option<Across> {
    let words = [("centre", Across::Centre), ("center", Across::Centre)];
    match table.word_or_length("across", &words, 0.0..=20_000.0) {
        Some(Ok(centre)) => Some(centre),
        Some(Err(distance)) => Some(Across::FromLeft(distance)),
        None => table.needed(&ACROSS, None),
    }
}

/// A diameter, a slot or a rectangle, and what goes with it.
fn read_size(table: &Table) -> Option<HoleSize> {
    let given: Vec<&Key> = [&DIAMETER, &SLOT, &OPENING_SIZE].into_iter().filter(|key| table.has(key.name)).collect();
    let standing = [&UPRIGHT, &TURN].into_iter().find(|key| table.has(key.name));
    match given[..] {
        [first, _, ..] => {
            let expected = "expected one of `diameter`, `slot` and `size`";
            problem(table, first, "a hole has a diameter, or is a slot, or has a width and a height", expected);
            return None;
        }
        [only] if *only != SLOT && standing.is_some() => {
            let key = standing.unwrap_or(&UPRIGHT);
            let round = "a round hole stands no way";
            let message = if *only == DIAMETER { round } else { "a rectangle stands as its `size` says" };
            problem(table, key, message, &format!("expected `{}` beside a `slot` only", key.name));
            return None;
        }
        [only] if *only != OPENING_SIZE && table.has(CORNER_RADIUS.name) => {
            problem(table, &CORNER_RADIUS, "the hole has no corners", "expected `corner-radius` beside a `size` only");
            return None;
        }
        [only] if *only == SLOT => return read_slot(table),
        [only] if *only == OPENING_SIZE => return read_rectangle(table),
        _ => {}
    }
    let diameter = table.needed(&DIAMETER, table.length(&DIAMETER))?;
    Some(HoleSize::Round { diameter })
}

fn problem(table: &Table, key: &Key, message: &str, expected: &str) {
    table.desk.problem(table.spot(key.name).unwrap_or(table.span.clone()), message, expected, "");
}

fn read_slot(table: &Table) -> Option<HoleSize> {
    let [length, width] = table.lengths::<2>(&SLOT)?;
    if length < width {
        problem(table, &SLOT, "the slot is wider than long", "expected slot = [length, width]");
        return None;
    }
    let turn = table.whole(&TURN);
    let (flag, turned) = (table.flag(&UPRIGHT), turn == Some(90));
    if turn.is_some_and(|turn| turn != 0 && turn != 90) {
        problem(table, &TURN, "a slot lies along its panel or stands upright on it", "expected turn = 0 or turn = 90");
        return None;
    }
    if flag.is_some() && turn.is_some() {
        problem(table, &TURN, "it is said twice how the slot stands", "expected one of `upright` and `turn`");
        return None;
    }
    Some(HoleSize::Slot { length, width, upright: flag.unwrap_or(turned) })
}

fn read_rectangle(table: &Table) -> Option<HoleSize> {
    let [width, height] = table.lengths::<2>(&OPENING_SIZE)?;
    let corner = if table.has(CORNER_RADIUS.name) { Some(table.length(&CORNER_RADIUS)?) } else { None };
    let most = width.min(height) / 2.0;
    if corner.is_some_and(|corner| corner > most) {
        let expected = format!("expected at most half its narrower side, {}", table.desk.units().show(most));
        problem(table, &CORNER_RADIUS, "the opening is too narrow for such corners", &expected);
        return None;
    }
    Some(HoleSize::Rectangle { width, height, corner })
}

/// How many holes, and how far apart: so far that there is wood between them.
fn read_grid(table: &Table, size: Option<HoleSize>) -> Option<Grid> {
    let (row, column) = (table.count(&ROW), table.count(&COLUMN));
    let pitch = if table.has(PITCH.name) { Some(table.length(&PITCH)?) } else { None };
    let problem = |key: &str, message: String, expected: String| {
        table.desk.problem(table.spot(key).unwrap_or(table.span.clone()), message, expected, "");
    };
    let given = if table.has(ROW.name) { ROW.name } else { COLUMN.name };
    match pitch {
        _ if (row * column) as usize > MOST_HOLES => {
            problem(given, format!("{} holes in one place", row * column), format!("expected at most {MOST_HOLES}"));
            None
        }
        None if row * column > 1 => {
            let message = "it is not said how far apart the holes are".to_string();
            problem(given, message, format!("expected {}", PITCH.wanted()));
            None
        }
        Some(_) if row * column == 1 => {
            let message = "`pitch` changes nothing where there is one hole".to_string();
            problem(PITCH.name, message, format!("expected `{}` or `{}` beside it", ROW.name, COLUMN.name));
            None
        }
        Some(pitch) => {
            let (wide, high) = size?.wide_and_high();
            let least = if row > 1 { wide } else { 0.0 }.max(if column > 1 { high } else { 0.0 });
            if pitch <= least {
                let shown = table.desk.units().show(least);
                problem(PITCH.name, "the holes run into each other".into(), format!("expected more than {shown}"));
                return None;
            }
            Some(Grid { row, column, pitch })
        }
        None => Some(Grid::ONE),
    }
}

/// A round recess wider than the round hole in it.
fn read_counterbore(table: &Table, hole: Option<HoleSize>) -> Option<[f64; 2]> {
    let [diameter, depth] = table.lengths::<2>(&COUNTERBORE)?;
    let wider = match hole? {
        HoleSize::Round { diameter: narrow } => diameter > narrow,
        HoleSize::Slot { .. } | HoleSize::Rectangle { .. } => false,
    };
    if !wider {
        let spot = table.spot(COUNTERBORE.name).unwrap_or(table.span.clone());
        let expected = "expected [diameter, depth] about a round hole, wider than the hole";
        table.desk.problem(spot, "the counterbore is no wider than its hole", expected, "");
        return None;
    }
    Some([diameter, depth])
}

/// `up` or `down`.
pub(super) fn height(table: &Table) -> Option<Up> {
    match (table.has("up"), table.has("down")) {
        (true, true) => {
            let spot = table.spot("down").unwrap_or(table.span.clone());
            table.desk.problem(spot, "a hole's height is given once", "expected one of `up` and `down`", "");
            None
        }
        (false, true) => table.length(&DOWN).map(Up::FromUpperEdge),
        _ => table.needed(&UP, table.length(&UP)).map(Up::FromLowerEdge),
    }
}
