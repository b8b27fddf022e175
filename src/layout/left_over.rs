//! What is left of a nested sheet in pieces worth keeping: the largest upright rectangles that nothing was cut from.

use crate::design::Part;
use crate::geometry::Rect;
use crate::job::Stock;
use crate::layout::Sheet;

/// Rectangles are looked for on a grid so fine (mm), and are smaller than what is there by no more than two of it.
const GRID: f64 = 5.0;
/// More pieces than this crowd a drawing.
const MOST: usize = 3;

/// The largest first, in the sheet's frame; `around` is what a cutter takes beside each piece (mm). None has a place in it that is
/// kept out of the sheet, and none is smaller than what is worth keeping of this stock.
pub(crate) fn off_cuts(sheet: &Sheet, parts: &[Part], around: f64, stock: &Stock) -> Vec<Rect> {
    let [long_enough, wide_enough] = stock.usable;
    let (columns, rows) = ((sheet.length / GRID) as usize, (sheet.width / GRID) as usize);
    let mut taken = vec![false; columns * rows];
    let mut take = |rect: Rect| {
        // Every cell that it touches.
        let cells = |from: f64, to: f64, most: usize| {
            let last = ((to / GRID).ceil().max(0.0) as usize).min(most);
            ((from / GRID).floor().max(0.0) as usize).min(last)..last
        };
        for row in cells(rect.y0, rect.y1, rows) {
            for column in cells(rect.x0, rect.x1, columns) {
                taken[row * columns + column] = true;
            }
        }
    };
    stock.keep_out.iter().for_each(|kept| take(kept.rect));
    for placement in &sheet.placements {
        let part = &parts[placement.part];
        take(part.outline.transformed(placement.affine(part)).bounds().inflate(around, around));
    }
    let mut found = Vec::new();
    while found.len() < MOST {
        let Some([x0, y0, x1, y1]) = largest(&taken, columns) else { break };
        let rect = Rect::new(x0 as f64, y0 as f64, x1 as f64, y1 as f64).scale_from_origin(GRID);
        let (long, short) = (rect.width().max(rect.height()), rect.width().min(rect.height()));
        if long < long_enough || short < wide_enough {
            break;
        }
        found.push(rect);
        for row in y0..y1 {
            taken[row * columns + x0..row * columns + x1].fill(true);
        }
    }
    found
}

/// The largest rectangle of free cells, as its first column and row and those after its last.
fn largest(taken: &[bool], columns: usize) -> Option<[usize; 4]> {
    let mut free_below = vec![0usize; columns];
    let (mut best, mut most) = (None, 0);
    for (row, cells) in taken.chunks(columns.max(1)).enumerate() {
        for (free, taken) in free_below.iter_mut().zip(cells) {
            *free = if *taken { 0 } else { *free + 1 };
        }
        // Columns whose heights rise: what a lower one ends is measured.
        let mut open: Vec<(usize, usize)> = Vec::new();
        for column in 0..=columns {
            let high = free_below.get(column).copied().unwrap_or(0);
            let mut start = column;
            while let Some((from, height)) = open.pop_if(|(_, height)| *height >= high) {
                let area = height * (column - from);
                if area > most {
                    most = area;
                    best = Some([from, row + 1 - height, column, row + 1]);
                }
                start = from;
            }
            open.push((start, high));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_rectangle_is_found() {
        let rows = ["..#..", ".....", ".#...", "....."];
        let taken: Vec<bool> = rows.iter().flat_map(|row| row.chars().map(|c| c == '#')).collect();
        // Columns 2 to 4 of the last three rows; counted by hand.
        assert_eq!(largest(&taken, 5), Some([2, 1, 5, 4]));
        assert_eq!(largest(&[true; 4], 2), None);
        assert_eq!(largest(&[], 0), None);
    }
}
