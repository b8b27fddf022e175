//! A table of holes, for parts with more of them than dimensions would tell apart: each has a number on the drawing, and its
//! place from the two reference edges in the table (coordinates in a table, ISO 129-1).

use super::dimension::LETTERS;
use super::features::Listed;
use super::letters::TAIL;
use super::room::Room;
use super::{Anchor, Pen, Picture, text_width};
use crate::geometry::{Affine, Point, Rect, Vec2};
use crate::units::Units;

/// From one row to the next, and white at the sides of a cell (mm).
const ROW: f64 = 4.4;
const SIDE: f64 = 1.2;
/// Between the view and the table, and between two columns of it.
const BESIDE: f64 = 6.0;

/// The table, broken into as many blocks beside each other as its length asks for.
pub(super) struct HoleTable {
    /// Number, across, up, and what it is.
    rows: Vec<[String; 4]>,
    widths: [f64; 4],
    /// Rows in a block, without its heads.
    high: usize,
}

const HEADS: [&str; 4] = ["No.", "across", "up", "hole"];

impl HoleTable {
    /// For room so high (mm).
    pub fn of(holes: &[Listed], units: Units, room: f64) -> HoleTable {
        let rows: Vec<[String; 4]> = holes
            .iter()
            .enumerate()
            .map(|(i, hole)| {
                [(i + 1).to_string(), units.number(hole.centre.x), units.number(hole.centre.y), hole.what.clone()]
            })
            .collect();
        let wide = |column: usize| {
            let cells = rows.iter().map(|row| row[column].as_str()).chain([HEADS[column]]);
            cells.map(|cell| text_width(cell, LETTERS)).fold(0.0, f64::max) + 2.0 * SIDE
        };
        let widths = [wide(0), wide(1), wide(2), wide(3)];
        let most = ((room / ROW) as usize).saturating_sub(1).max(1);
        // Blocks of one length.
        let high = rows.len().div_ceil(rows.len().div_ceil(most).max(1));
        HoleTable { rows, widths, high }
    }

    fn block(&self) -> f64 {
        self.widths.iter().sum()
    }

    /// With the white beside it; nothing for an empty table.
    pub fn width(&self) -> f64 {
        if self.rows.is_empty() {
            return 0.0;
        }
        self.rows.len().div_ceil(self.high) as f64 * (self.block() + BESIDE)
    }

    /// Draws it from its upper-left corner.
    pub fn draw(&self, picture: &mut Picture, room: &mut Room, at: Point) {
        if self.rows.is_empty() {
            return;
        }
        let heads = HEADS.map(String::from);
        for (i, rows) in self.rows.chunks(self.high).enumerate() {
            let corner = at + Vec2::new(i as f64 * (self.block() + BESIDE), 0.0);
            for (k, row) in std::iter::once(&heads).chain(rows).enumerate() {
                let foot = corner.y + ROW * (k as f64 + 1.0);
                let mut x = corner.x;
                for (column, cell) in row.iter().enumerate() {
                    let wide = self.widths[column];
                    let (anchor, from) =
                        if column == 3 { (Anchor::Start, x + SIDE) } else { (Anchor::End, x + wide - SIDE) };
                    picture.text(Point::new(from, foot - 1.1), LETTERS, anchor, false, cell);
                    x += wide;
                }
                let pen = if k == 0 { Pen::Thin } else { Pen::Fine };
                picture.line(Point::new(corner.x, foot), Point::new(x, foot), pen);
            }
            let high = ROW * (rows.len() as f64 + 1.0);
            room.take_text(Rect::new(corner.x, corner.y, corner.x + self.block(), corner.y + high));
        }
    }
}

/// Writes each hole's number beside it. `None` when one has no room.
pub(super) fn number_holes(picture: &mut Picture, room: &mut Room, holes: &[Listed], to_paper: Affine) -> Option<()> {
    const DIRECTIONS: [(f64, f64); 8] =
        [(1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (0.0, 1.0)];
    let mut all = true;
    for (i, hole) in holes.iter().enumerate() {
        let number = (i + 1).to_string();
        let scale = to_paper.as_coeffs()[0];
        let centre = to_paper * hole.centre;
        let spot = [LETTERS, 1.8].into_iter().find_map(|height| {
            let (wide, high) = (text_width(&number, height), height * (1.0 + TAIL));
            [1.0, 1.8, 2.8, 4.0].into_iter().find_map(|away| {
                DIRECTIONS.into_iter().find_map(|(x, y)| {
                    let out = hole.reach * scale + Vec2::new(away + wide / 2.0, away + high / 2.0);
                    let middle = centre + Vec2::new(out.x * x, out.y * y);
                    let spot = Rect::from_center_size(middle, (wide, high));
                    room.is_free(spot).then_some((spot, height))
                })
            })
        });
        let Some((spot, height)) = spot else {
            all = false;
            continue;
        };
        let at = Point::new(spot.x0, spot.y0 + height);
        picture.text(at, height, Anchor::Start, false, &number);
        room.take_text(spot);
    }
    all.then_some(())
}
