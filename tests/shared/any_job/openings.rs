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

/// What the tools of a job can make in its boards.
#[derive(Clone, Debug)]
pub struct Fit {
    /// Thickness of the boards (mm).
    pub thickness: f64,
    /// The narrowest hole that the cutter bores (mm); nothing where nothing is cut by CNC.
    pub least: f64,
    /// Diameters of the drills (mm).
    pub drills: Vec<f64>,
}

/// Some holes and recesses of a `box` or a `part` (whose only board is itself).
pub fn openings(draw: &mut Draw, of: &str, boards: &[Board], fit: &Fit) {
    /// Places side by side on one board.
    const LANES: usize = 4;
    let own = of == "part";
    let mut taken = vec![0; boards.len()];
    for (table, odds) in [("hole", if own { 0.5 } else { 0.35 }), ("pocket", if own { 0.35 } else { 0.12 })] {
        if !draw.chance.odds(odds) {
            continue;
        }
        for _ in 0..draw.chance.whole(1, 2) {
            let which = draw.chance.below(boards.len());
            let board = boards[which];
            let first = draw.chance.below(LANES);
            let lane = (first + taken[which]) % LANES;
            taken[which] += 1;
            draw.open(&format!("[[{of}.{table}]]"), &format!("{of}.{table}"));
            if !own {
                draw.quoted("panel", board.name);
            }
            let cell = [board.wide / LANES as f64 - 8.0, board.high - 12.0].map(|mm| mm.max(4.0));
            let share = (lane as f64 + 0.5) / LANES as f64;
            if table == "hole" {
                hole(draw, (of, board), cell, fit)
            } else {
                pocket(draw, cell, fit)
            }
            // Alone on its board it may stand in the middle.
            let aside = taken[which] > 1 || draw.chance.odds(0.5);
            place(draw, board, aside.then_some(share));
            if table == "hole" && !own && draw.given() {
                draw.flag("mesh");
            }
        }
    }
}

/// A rectangular opening, its corners as they come or as round as the cutter makes them; now and then square.
fn rectangle(draw: &mut Draw, cell: [f64; 2], least: f64) {
    let low = (3.0 * least).min(cell[0].min(cell[1]));
    let [wide, high] = [cell[0], low].map(|room| {
        let size = Span::of(1.0, 2000.0).mostly(least, room.max(least));
        draw.any_length("size", size)
    });
    draw.line("size", format_args!("[{}, {}]", wide.0, high.0));
    if draw.given() {
        let most = wide.1.min(high.1) / 2.0;
        draw.length("corner-radius", Span::of(0.0, most).mostly((least / 2.0).min(most), most));
    }
}

fn hole(draw: &mut Draw, (of, board): (&str, Board), cell: [f64; 2], fit: &Fit) {
    let use_ = draw.chance.pick(board.uses);
    let use_ = if draw.chance.clone().odds(0.04) { "opening" } else { use_ };
    draw.this_word("use", use_);
    let room = cell[0].min(cell[1]).max(fit.least);
    let least = fit.least.max(3.0);
    if draw.chance.odds(0.15) {
        return rectangle(draw, cell, least);
    }
    if use_ == "handhold" || draw.chance.odds(0.2) {
        let width = Span::of(1.0, 2000.0).mostly(least, (1.6 * least).min(room).max(least));
        let (wide, width) = draw.any_length("slot", width);
        let length = Span::of(width, 2000.0_f64.max(width)).mostly(width, cell[0].max(width));
        let (long, _) = draw.any_length("slot", length);
        draw.line("slot", format_args!("[{long}, {wide}]"));
        if draw.chance.odds(0.25) {
            draw.flag("upright");
        } else if draw.given() {
            let turn = draw.chance.pick(&[0, 90]);
            draw.line("turn", turn);
        }
        return;
    }
    let diameter = match (draw.chance.below(10), fit.drills.is_empty()) {
        (0..=3, false) => {
            let size = draw.chance.pick(&fit.drills);
            let text = draw.exactly(size);
            draw.line("diameter", text);
            size
        }
        (4, _) => draw.length("diameter", Span::of(1.0, 1000.0).mostly(2.0, 12.0)),
        // Wide ones are cut round, with a plug left in them.
        (5 | 6, _) => {
            draw.length("diameter", Span::of(1.0, 1000.0).mostly(4.0 * least, (7.0 * least).min(room).max(4.0 * least)))
        }
        _ => draw.length("diameter", Span::of(1.0, 1000.0).mostly(least, (3.0 * least).min(room).max(least))),
    };
    // Several of a size, where they are small.
    if diameter < cell[0] / 3.0 && draw.chance.odds(0.15) {
        for key in ["row", "column"] {
            if key == "row" || draw.given() {
                draw.whole(key, Span::of(1.0, 50.0).mostly(2.0, 3.0));
            }
        }
        draw.length("pitch", Span::of(1.0, 5000.0).mostly(diameter + 3.0, diameter * 2.0 + 6.0));
    }
    if draw.chance.odds(if of == "part" { 0.2 } else { 0.06 }) {
        let wide = Span::of(0.1, 1000.0).mostly(diameter + 0.5, diameter * 2.0 + 6.0);
        let (wide, _) = draw.any_length("counterbore", wide);
        let (deep, _) = draw.any_length("counterbore", Span::of(0.1, 1000.0).mostly(1.0, fit.thickness * 0.6));
        draw.line("counterbore", format_args!("[{wide}, {deep}]"));
    }
}

fn pocket(draw: &mut Draw, cell: [f64; 2], fit: &Fit) {
    if draw.given() {
        draw.word("face", &["outer", "outer", "inner"]);
    }
    let least = (1.3 * fit.least).max(4.0);
    let side = Span::of(2.0, 20_000.0);
    let (long, _) = draw.any_length("size", side.mostly(least, cell[0].max(least)));
    let (wide, _) = draw.any_length("size", side.mostly(least, (0.6 * cell[1]).max(least)));
    draw.line("size", format_args!("[{long}, {wide}]"));
    draw.length("depth", Span::of(0.1, 80.0).mostly(0.5, 0.7 * fit.thickness));
    if draw.given() {
        let purpose = draw.chance.pick(&["groove", "rabbet", "hinge"]);
        draw.quoted("purpose", purpose);
    }
}

/// In the middle of the board, or a share of its width from its left.
fn place(draw: &mut Draw, board: Board, share: Option<f64>) {
    match share {
        None => {
            let centre = draw.chance.pick(&["centre", "center"]);
            draw.this_word("across", centre);
        }
        Some(share) => {
            let at = board.wide * share;
            draw.length("across", Span::of(0.0, 20_000.0).mostly(at - 4.0, at + 4.0));
        }
    }
    let key = draw.chance.pick(&["up", "down"]);
    draw.length(key, Span::of(0.0, 20_000.0).mostly(0.4 * board.high, 0.6 * board.high));
}
