//! Tables over as many pages as they take.

use super::dimension::LETTERS;
use super::form::{Form, Title};
use super::{Anchor, Pen, Picture, wrapped};
use crate::geometry::{Point, Rect};

/// From one line of a row to the next, and white over and under it (mm).
const LINE: f64 = LETTERS * 1.5;
const WHITE: f64 = 1.3;

/// A column: what stands at its head, its share of the width, and on which side its cells stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub head: &'static str,
    pub share: f64,
    pub side: Anchor,
}

pub(super) const fn column(head: &'static str, share: f64) -> Column {
    Column { head, share, side: Anchor::Start }
}

/// A column of numbers.
pub(super) const fn figures(head: &'static str, share: f64) -> Column {
    Column { head, share, side: Anchor::End }
}

/// The table on pages with this title block; each page has the columns' heads. At least one page.
pub(super) fn pages(form: &Form, title: &Title, columns: &[Column], rows: &[Vec<String>]) -> Vec<Picture> {
    let open = form.open();
    let area = Rect::new(open.x0 + 4.0, open.y0 + 4.0, open.x1 - 4.0, open.y1 - 4.0);
    let laid: Vec<Vec<Vec<String>>> = rows.iter().map(|row| lay(row, columns, area.width())).collect();
    let heads: Vec<String> = columns.iter().map(|column| column.head.to_string()).collect();
    let heads = lay(&heads, columns, area.width());
    let mut shares: Vec<Vec<&Vec<Vec<String>>>> = vec![Vec::new()];
    let mut y = area.y0 + height(&heads);
    for row in &laid {
        if y + height(row) > area.y1 && shares.last().is_some_and(|page| !page.is_empty()) {
            shares.push(Vec::new());
            y = area.y0 + height(&heads);
        }
        y += height(row);
        if let Some(page) = shares.last_mut() {
            page.push(row);
        }
    }
    let count = shares.len();
    shares
        .into_iter()
        .enumerate()
        .map(|(i, rows)| {
            let sheet = if count > 1 { format!("{} of {count}", i + 1) } else { title.sheet.clone() };
            let (mut picture, _) = form.start(&Title { sheet, ..title.clone() });
            let mut y = area.y0;
            put(&mut picture, &heads, columns, area, &mut y, Pen::Thick);
            for row in rows {
                put(&mut picture, row, columns, area, &mut y, Pen::Fine);
            }
            picture.titled(format!("{}: {}", title.job, title.title))
        })
        .collect()
}

/// The lines of each cell.
fn lay(row: &[String], columns: &[Column], width: f64) -> Vec<Vec<String>> {
    let whole: f64 = columns.iter().map(|column| column.share).sum();
    row.iter().zip(columns).map(|(cell, column)| wrapped(cell, LETTERS, column.share / whole * width - 3.0)).collect()
}

fn height(row: &[Vec<String>]) -> f64 {
    let lines = row.iter().map(Vec::len).max().unwrap_or(0).max(1);
    LETTERS + LINE * (lines as f64 - 1.0) + 2.0 * WHITE + 0.8
}

/// A row, with a rule under it.
fn put(picture: &mut Picture, row: &[Vec<String>], columns: &[Column], area: Rect, y: &mut f64, rule: Pen) {
    let whole: f64 = columns.iter().map(|column| column.share).sum();
    let mut x = area.x0;
    for (cell, column) in row.iter().zip(columns) {
        let wide = column.share / whole * area.width();
        let at = match column.side {
            Anchor::Start => x + 1.0,
            Anchor::Middle => x + wide / 2.0,
            Anchor::End => x + wide - 2.0,
        };
        for (i, line) in cell.iter().enumerate() {
            let baseline = *y + WHITE + LETTERS + LINE * i as f64;
            picture.text(Point::new(at, baseline), LETTERS, column.side, false, line);
        }
        x += wide;
    }
    *y += height(row);
    picture.line(Point::new(area.x0, *y), Point::new(area.x1, *y), rule);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Paper;

    #[test]
    fn a_long_table_goes_over_pages_and_loses_no_row() {
        let form = Form::lying(Paper::A4);
        let columns = [figures("No.", 1.0), column("Part", 4.0)];
        let rows: Vec<Vec<String>> = (0..100).map(|i| vec![i.to_string(), format!("part {i}")]).collect();
        let pages = pages(&form, &Title::default(), &columns, &rows);
        assert!(pages.len() > 1);
        let parts = pages.iter().flat_map(Picture::texts).filter(|text| text.text.starts_with("part ")).count();
        assert_eq!(parts, 100);
        for text in pages.iter().flat_map(Picture::texts).filter(|text| text.text.starts_with("part ")) {
            assert!(text.bounds().y1 <= form.open().y1);
        }
    }
}
