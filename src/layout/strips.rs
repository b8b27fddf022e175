//! Patterns of crosscut strips, filled side by side: few cuts and few settings, though not always the fewest sheets.

use super::{Axis, Content, Pattern, Strip, Turn, turns};
use crate::design::Part;
use crate::job::Job;

/// A strip across the sheet being filled: its size along x, and how far up it is filled.
struct Open {
    size: f64,
    filled: f64,
    strips: Vec<Strip>,
}

/// A piece of a part, how it is turned, and its size along x and y.
type Lying = (usize, Turn, f64, f64);

/// Patterns for the wanted parts: strips across the sheet, the longest first, each filled with pieces no longer than
/// itself; and the pieces that found no sheet, by part. With two `stages` of cuts at most, only with pieces of its length.
pub(super) fn strips(
    job: &Job,
    parts: &[Part],
    wanted: &[usize],
    group: &[usize],
    kerf: f64,
    stages: Option<u32>,
) -> (Vec<Pattern>, Vec<usize>) {
    let mut patterns = Vec::new();
    // The longest first.
    let mut pieces: Vec<Lying> = Vec::new();
    for &i in wanted {
        let part = &parts[i];
        let piece = if turns(part.grain).0 {
            (i, Turn::None, part.length, part.width)
        } else {
            (i, Turn::Quarter, part.width, part.length)
        };
        pieces.extend(std::iter::repeat_n(piece, part.count as usize));
    }
    pieces.sort_by(|a, b| b.2.total_cmp(&a.2).then(b.3.total_cmp(&a.3)));
    let shorter = stages.is_none_or(|stages| stages > 2);
    let mut left_out = Vec::new();
    let mut sheets: Vec<(usize, f64, Vec<Open>)> = Vec::new();
    for piece in pieces {
        if !put(job, &mut sheets, group, kerf, shorter, piece) {
            left_out.push(piece.0);
        }
    }
    for (stock, _, open) in sheets {
        let about = &job.stock[stock];
        let inner = (about.length - 2.0 * about.trim, about.width - 2.0 * about.trim);
        let mut strips: Vec<Strip> = open
            .into_iter()
            .map(|mut open| {
                close(&mut open.strips, inner.1, kerf);
                Strip { size: open.size, content: Content::Split { axis: Axis::Y, strips: open.strips } }
            })
            .collect();
        close(&mut strips, inner.0, kerf);
        patterns.push(Pattern {
            stock,
            length: about.length,
            width: about.width,
            thickness: about.thickness,
            trim: about.trim,
            kerf,
            content: Content::Split { axis: Axis::X, strips },
        });
    }
    (patterns, left_out)
}

/// Puts a piece on the first strip that has room, on a new strip, or on a new sheet; on a strip longer than itself only
/// where it may be shorter.
fn put(
    job: &Job,
    sheets: &mut Vec<(usize, f64, Vec<Open>)>,
    group: &[usize],
    kerf: f64,
    shorter: bool,
    (part, turn, length, width): Lying,
) -> bool {
    let inner = |stock: usize| {
        let stock = &job.stock[stock];
        (stock.length - 2.0 * stock.trim, stock.width - 2.0 * stock.trim)
    };
    let strip = || Strip { size: width, content: cut_to(part, turn) };
    for (stock, used, open) in sheets.iter_mut() {
        let (sheet_length, sheet_width) = inner(*stock);
        let suits = |size: f64| length <= size + 1e-9 && (shorter || size <= length + 1e-9);
        if let Some(strip_) = open.iter_mut().find(|o| suits(o.size) && o.filled + width <= sheet_width + 1e-9) {
            strip_.filled += width + kerf;
            strip_.strips.push(Strip { size: width, content: shortened(part, turn, length, strip_.size, kerf) });
            return true;
        }
        // The stocks of a group may differ in width.
        if *used + length <= sheet_length + 1e-9 && width <= sheet_width + 1e-9 {
            *used += length + kerf;
            open.push(Open { size: length, filled: width + kerf, strips: vec![strip()] });
            return true;
        }
    }
    let there = |stock: usize| sheets.iter().filter(|(used, ..)| *used == stock).count() as u32;
    let next = group.iter().copied().find(|&stock| {
        let (sheet_length, sheet_width) = inner(stock);
        let free = job.stock[stock].on_hand.is_none_or(|on_hand| there(stock) < on_hand);
        free && length <= sheet_length + 1e-9 && width <= sheet_width + 1e-9
    });
    let Some(stock) = next else { return false };
    sheets.push((stock, length + kerf, vec![Open { size: length, filled: width + kerf, strips: vec![strip()] }]));
    true
}

fn cut_to(part: usize, turn: Turn) -> Content {
    Content::Part { part, turn }
}

/// A piece at the start of a strip of `size`, with the rest of the strip left over.
fn shortened(part: usize, turn: Turn, length: f64, size: f64, kerf: f64) -> Content {
    let mut strips = vec![Strip { size: length, content: cut_to(part, turn) }];
    close(&mut strips, size, kerf);
    if strips.len() == 1 && (size - length).abs() < 1e-9 {
        return cut_to(part, turn);
    }
    Content::Split { axis: Axis::X, strips }
}

/// Adds what is left of a rectangle of this size as a last strip, if more than a kerf is left.
fn close(strips: &mut Vec<Strip>, size: f64, kerf: f64) {
    let used: f64 = strips.iter().map(|strip| strip.size + kerf).sum();
    if size - used > 1e-6 {
        strips.push(Strip { size: size - used, content: Content::Left });
    }
}
