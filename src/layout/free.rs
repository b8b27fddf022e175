//! Free nesting of rectangles: maximal rectangles, the best of several orders and rules.
//!
//! After J. Jylänki, "A thousand ways to pack the bin" (2010): the free space of a sheet is kept as the set of maximal
//! free rectangles, which may overlap; each piece goes where it leaves the least on its shorter side.

use super::{Placement, Sheet, Turn, inside, turns};
use crate::design::Part;
use crate::job::Job;

/// A piece waiting for a place, in micrometres, grown by the gap.
#[derive(Clone, Copy)]
struct Piece {
    part: usize,
    length: i64,
    width: i64,
    straight: bool,
    turned: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
struct Space {
    x: i64,
    y: i64,
    length: i64,
    width: i64,
}

struct OpenSheet {
    stock: usize,
    spaces: Vec<Space>,
    placed: Vec<(usize, i64, i64, bool)>,
}

/// How a place is judged: less is better.
type Rule = fn(&Space, i64, i64) -> (i64, i64);

const RULES: [Rule; 3] = [
    // Least left on the shorter side, then on the longer.
    |space, length, width| {
        let (a, b) = (space.length - length, space.width - width);
        (a.min(b), a.max(b))
    },
    // Lowest, then leftmost.
    |space, _, width| (space.y + width, space.x),
    // Least area left.
    |space, length, width| {
        (space.length * space.width - length * width, (space.length - length).min(space.width - width))
    },
];

type Order = fn(&Piece) -> (i64, i64);

const ORDERS: [Order; 4] = [
    |piece| (piece.length * piece.width, piece.length),
    |piece| (piece.length.max(piece.width), piece.length.min(piece.width)),
    |piece| (piece.length.min(piece.width), piece.length.max(piece.width)),
    |piece| (piece.length + piece.width, piece.length),
];

/// Packs every piece of the wanted parts, on the fewest sheets that any order and rule finds.
///
/// # Errors
/// The parts left out when the sheets on hand are too few, one entry per piece.
pub(super) fn pack(
    job: &Job,
    parts: &[Part],
    wanted: &[usize],
    group: &[usize],
    gap: f64,
) -> Result<Vec<Sheet>, Vec<usize>> {
    let mut pieces: Vec<Piece> = Vec::new();
    for &part in wanted {
        let about = &parts[part];
        let (straight, turned) = turns(about.grain);
        let piece =
            Piece { part, length: micro(about.length + gap), width: micro(about.width + gap), straight, turned };
        pieces.extend(std::iter::repeat_n(piece, about.count as usize));
    }
    let mut best: Option<Vec<OpenSheet>> = None;
    let mut fewest_left: Option<Vec<usize>> = None;
    for order in ORDERS {
        pieces.sort_by_key(|piece| std::cmp::Reverse(order(piece)));
        for rule in RULES {
            match pack_once(job, &pieces, group, gap, rule) {
                Ok(sheets) => {
                    // Fewest sheets; among those, the least on the last one.
                    let key = |sheets: &Vec<OpenSheet>| (sheets.len(), sheets.last().map_or(0, |s| s.placed.len()));
                    if best.as_ref().is_none_or(|known| key(&sheets) < key(known)) {
                        best = Some(sheets);
                    }
                }
                Err(left) => {
                    if fewest_left.as_ref().is_none_or(|known| left.len() < known.len()) {
                        fewest_left = Some(left);
                    }
                }
            }
        }
    }
    let Some(sheets) = best else { return Err(fewest_left.unwrap_or_default()) };
    Ok(sheets.into_iter().map(|sheet| finished(job, sheet)).collect())
}

fn finished(job: &Job, sheet: OpenSheet) -> Sheet {
    let stock = &job.stock[sheet.stock];
    let placements = sheet
        .placed
        .into_iter()
        .map(|(part, x, y, turned)| Placement {
            part,
            x: stock.margin + x as f64 / 1000.0,
            y: stock.margin + y as f64 / 1000.0,
            turn: if turned { Turn::Quarter } else { Turn::None },
        })
        .collect();
    Sheet { stock: sheet.stock, length: stock.length, width: stock.width, thickness: stock.thickness, placements }
}

/// Millimetres to micrometres, up: what is grown never comes out short.
fn micro(mm: f64) -> i64 {
    (mm * 1000.0 - 1e-6).ceil() as i64
}

fn pack_once(job: &Job, pieces: &[Piece], group: &[usize], gap: f64, rule: Rule) -> Result<Vec<OpenSheet>, Vec<usize>> {
    let mut sheets: Vec<OpenSheet> = Vec::new();
    let mut used = vec![0u32; group.len()];
    let mut left_out = Vec::new();
    for piece in pieces {
        let found = sheets
            .iter_mut()
            .find_map(|sheet| sheet.best_place(piece, rule).map(|(space, turned)| (sheet, space, turned)));
        if let Some((sheet, space, turned)) = found {
            sheet.put(piece, space, turned);
            continue;
        }
        let opened = group.iter().enumerate().find_map(|(i, &stock)| {
            if job.stock[stock].on_hand.is_some_and(|there| used[i] >= there) {
                return None;
            }
            let (length, width) = inside(&job.stock[stock], job.stock[stock].margin);
            // A piece at the far edge needs no gap beyond it.
            let whole = Space {
                x: 0,
                y: 0,
                length: ((length + gap) * 1000.0 + 1e-6).floor() as i64,
                width: ((width + gap) * 1000.0 + 1e-6).floor() as i64,
            };
            let mut sheet = OpenSheet { stock, spaces: vec![whole], placed: Vec::new() };
            let (space, turned) = sheet.best_place(piece, rule)?;
            sheet.put(piece, space, turned);
            Some((i, sheet))
        });
        match opened {
            Some((i, sheet)) => {
                used[i] += 1;
                sheets.push(sheet);
            }
            None => left_out.push(piece.part),
        }
    }
    if left_out.is_empty() { Ok(sheets) } else { Err(left_out) }
}

impl OpenSheet {
    fn best_place(&self, piece: &Piece, rule: Rule) -> Option<(Space, bool)> {
        let mut best: Option<((i64, i64), Space, bool)> = None;
        for turned in [false, true] {
            let (allowed, length, width) = if turned {
                (piece.turned, piece.width, piece.length)
            } else {
                (piece.straight, piece.length, piece.width)
            };
            if !allowed {
                continue;
            }
            for space in self.spaces.iter().filter(|space| length <= space.length && width <= space.width) {
                let cost = rule(space, length, width);
                if best.as_ref().is_none_or(|(known, ..)| cost < *known) {
                    best = Some((cost, *space, turned));
                }
            }
        }
        best.map(|(_, space, turned)| (space, turned))
    }

    fn put(&mut self, piece: &Piece, space: Space, turned: bool) {
        let (length, width) = if turned { (piece.width, piece.length) } else { (piece.length, piece.width) };
        let taken = Space { x: space.x, y: space.y, length, width };
        self.placed.push((piece.part, taken.x, taken.y, turned));
        let mut spaces: Vec<Space> = self.spaces.iter().flat_map(|space| space.without(&taken)).collect();
        // A space inside another says nothing.
        let mut i = 0;
        while i < spaces.len() {
            let inside =
                (0..spaces.len()).any(|j| j != i && spaces[j].holds(&spaces[i]) && (j < i || spaces[i] != spaces[j]));
            if inside {
                spaces.swap_remove(i);
            } else {
                i += 1;
            }
        }
        self.spaces = spaces;
    }
}

impl Space {
    fn holds(&self, other: &Space) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && self.x + self.length >= other.x + other.length
            && self.y + self.width >= other.y + other.width
    }

    /// The maximal free rectangles that are left of this one.
    fn without(&self, taken: &Space) -> Vec<Space> {
        let (right, top) = (self.x + self.length, self.y + self.width);
        let (taken_right, taken_top) = (taken.x + taken.length, taken.y + taken.width);
        if taken.x >= right || taken_right <= self.x || taken.y >= top || taken_top <= self.y {
            return vec![*self];
        }
        let mut left = Vec::with_capacity(4);
        if taken.x > self.x {
            left.push(Space { length: taken.x - self.x, ..*self });
        }
        if taken_right < right {
            left.push(Space { x: taken_right, length: right - taken_right, ..*self });
        }
        if taken.y > self.y {
            left.push(Space { width: taken.y - self.y, ..*self });
        }
        if taken_top < top {
            left.push(Space { y: taken_top, width: top - taken_top, ..*self });
        }
        left
    }
}
