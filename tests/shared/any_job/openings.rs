//! Holes and recesses in panels and loose parts.

use super::draw::{Draw, Span};

/// A panel as far as it is free: its name, and how wide and high it is at least (mm).
#[derive(Clone, Copy, Debug)]
pub struct Board {
    pub name: &'static str,
    wide: f64,
    high: f64,
    uses: &'static [&'static str],
}

const ALL: &[&str] = &["entrance", "vent", "handhold", "drain", "feed", "pilot"];

impl Board {
    /// What may have a hole for anything.
    pub fn new(name: &'static str, wide: f64, high: f64) -> Board {
        Board { name, wide, high, uses: ALL }
    }

    pub fn wall(self) -> Board {
        Board { uses: &["vent", "handhold", "pilot", "vent", "pilot", "entrance"], ..self }
    }

    pub fn flat(self) -> Board {
        Board { uses: &["drain", "feed", "pilot"], ..self }
    }
}

/// Some holes and recesses of a `box` or a `part` (whose only board is itself), in boards of this thickness.
pub fn openings(draw: &mut Draw, of: &str, boards: &[Board], t: f64) {
    let most = if of == "part" { 3 } else { 2 };
    for table in ["hole", "pocket"] {
        if !draw.chance.odds(if of == "part" { 0.45 } else { 0.3 }) {
            continue;
        }
        // Side by side, so that they seldom meet.
        let count = draw.chance.whole(1, most);
        for i in 0..count {
            let board = draw.chance.pick(boards);
            let share = (f64::from(i) + 0.5) / f64::from(count) * 0.5 + if table == "hole" { 0.0 } else { 0.5 };
            draw.open(&format!("[[{of}.{table}]]"), &format!("{of}.{table}"));
            if of == "box" {
                draw.quoted("panel", board.name);
            }
            let cell = [board.wide / f64::from(2 * count), board.high];
            if table == "hole" { hole(draw, (of, board), cell, share, t) } else { pocket(draw, board, cell, share, t) }
        }
    }
}

fn hole(draw: &mut Draw, (of, board): (&str, Board), cell: [f64; 2], share: f64, t: f64) {
    let use_ = draw.word("use", board.uses);
    let room = (cell[0].min(cell[1]) - 12.0).max(4.0);
    let plug = draw.chance.odds(0.3);
    let usual: (f64, f64) = if plug { (28.0, 70.0) } else { (4.0, 26.0) };
    let round = Span::of(1.0, 1000.0).mostly(usual.0.min(room), usual.1.min(room));
    if use_ == "handhold" || draw.chance.odds(0.2) {
        let (wide, width) =
            draw.any_length("slot", Span::of(1.0, 2000.0).mostly(6.0_f64.min(room), 25.0_f64.min(room)));
        let (long, _) =
            draw.any_length("slot", Span::of(width, 2000.0_f64.max(width)).mostly(width, cell[0].max(width)));
        draw.line("slot", format_args!("[{long}, {wide}]"));
    } else {
        let diameter = if draw.chance.odds(0.35) {
            // What a drill is likely to fit.
            let size = draw.chance.pick(&[2.0, 3.0, 3.175, 4.0, 5.0, 6.0, 6.35, 8.0, 10.0, 12.0, 19.05, 20.0]);
            draw.this_length("diameter", size)
        } else {
            draw.length("diameter", round)
        };
        if draw.chance.odds(0.15) {
            let (wide, _) =
                draw.any_length("counterbore", Span::of(0.1, 1000.0).mostly(diameter + 0.5, diameter * 2.0 + 6.0));
            let (deep, _) = draw.any_length("counterbore", Span::of(0.1, 1000.0).mostly(1.0, t * 0.6));
            draw.line("counterbore", format_args!("[{wide}, {deep}]"));
        }
    }
    place(draw, board, share);
    if of == "box" && draw.given() {
        draw.flag("mesh");
    }
}

fn pocket(draw: &mut Draw, board: Board, cell: [f64; 2], share: f64, t: f64) {
    if draw.given() {
        draw.word("face", &["outer", "outer", "inner"]);
    }
    let side = Span::of(2.0, 20_000.0);
    let (long, _) = draw.any_length("size", side.mostly(8.0, cell[0].max(12.0)));
    let (wide, _) = draw.any_length("size", side.mostly(8.0, (0.6 * cell[1]).max(12.0)));
    draw.line("size", format_args!("[{long}, {wide}]"));
    draw.length("depth", Span::of(0.1, 80.0).mostly(0.5, 0.7 * t));
    if draw.given() {
        let purpose = draw.chance.pick(&["groove", "rabbet", "hinge"]);
        draw.quoted("purpose", purpose);
    }
    place(draw, board, share);
}

/// In the board, a share of its width from its left.
fn place(draw: &mut Draw, board: Board, share: f64) {
    if draw.chance.odds(0.3) {
        let centre = draw.chance.pick(&["centre", "center"]);
        draw.this_word("across", centre);
    } else {
        let at = board.wide * share;
        draw.length("across", Span::of(0.0, 20_000.0).mostly(at - 4.0, at + 4.0));
    }
    let key = draw.chance.pick(&["up", "down"]);
    draw.length(key, Span::of(0.0, 20_000.0).mostly(0.35 * board.high, 0.65 * board.high));
}
