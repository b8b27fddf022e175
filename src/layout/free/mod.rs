//! Free nesting of rectangles: maximal rectangles, the best of several orders and rules.
//!
//! After J. Jylänki, "A thousand ways to pack the bin" (2010): the free space of a sheet is kept as the set of maximal
//! free rectangles, which may overlap; each piece goes where it leaves the least on its shorter side.

mod recreate;
mod search;
mod sheet;
mod space;
mod waiting;

pub use search::{LOOKS, improve};
pub use sheet::{Nested, Placed};
pub use space::Space;

use super::{Placement, Sheet, Turn, inside, micrometres, turns};
use crate::design::Part;
use crate::job::Job;

/// A piece waiting for a place, in micrometres, grown by the gap.
#[derive(Clone, Copy)]
struct Unplaced {
    part: usize,
    length: i32,
    width: i32,
    straight: bool,
    turned: bool,
}

struct OpenSheet {
    stock: usize,
    spaces: Vec<Space>,
    placed: Vec<(usize, i32, i32, bool)>,
}

/// How a place is judged: less is better.
type Rule = fn(&Space, i32, i32) -> (i64, i64);

const RULES: [Rule; 3] = [
    // Least left on the shorter side, then on the longer.
    |space, length, width| {
        let (a, b) = (space.length - length, space.width - width);
        (a.min(b).into(), a.max(b).into())
    },
    // Lowest, then leftmost.
    |space, _, width| ((space.y + width).into(), space.x.into()),
    // Least area left.
    |space, length, width| {
        let left = space.area() - i64::from(length) * i64::from(width);
        (left, (space.length - length).min(space.width - width).into())
    },
];

type Order = fn(&Unplaced) -> (i64, i32);

const ORDERS: [Order; 4] = [
    |piece| (i64::from(piece.length) * i64::from(piece.width), piece.length),
    |piece| (piece.length.max(piece.width).into(), piece.length.min(piece.width)),
    |piece| (piece.length.min(piece.width).into(), piece.length.max(piece.width)),
    |piece| (i64::from(piece.length) + i64::from(piece.width), piece.length),
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
    let mut pieces: Vec<Unplaced> = Vec::new();
    let between = micrometres(gap);
    for &part in wanted {
        let about = &parts[part];
        let (straight, turned) = turns(about.grain);
        let (length, width) = (micrometres(about.length) + between, micrometres(about.width) + between);
        let piece = Unplaced { part, length, width, straight, turned };
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

fn pack_once(
    job: &Job,
    pieces: &[Unplaced],
    group: &[usize],
    gap: f64,
    rule: Rule,
) -> Result<Vec<OpenSheet>, Vec<usize>> {
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
            let between = micrometres(gap);
            let whole = Space::whole(micrometres(length) + between, micrometres(width) + between);
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
    fn best_place(&self, piece: &Unplaced, rule: Rule) -> Option<(Space, bool)> {
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

    fn put(&mut self, piece: &Unplaced, space: Space, turned: bool) {
        let (length, width) = if turned { (piece.width, piece.length) } else { (piece.length, piece.width) };
        let taken = Space { x: space.x, y: space.y, length, width };
        self.placed.push((piece.part, taken.x, taken.y, turned));
        space::take(&mut self.spaces, &taken, &mut Vec::new());
    }
}
