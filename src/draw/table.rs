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

/// Rows under heads.
#[derive(Clone, Debug)]
pub(super) struct Table {
    /// What stands over it where several share a page.
    pub name: &'static str,
    pub columns: Vec<Column>,
    pub rows: Vec<Vec<String>>,
}

/// A table with its cells broken into lines.
struct Laid<'a> {
    table: &'a Table,
    heads: Vec<Vec<String>>,
    rows: Vec<Vec<Vec<String>>>,
}

impl Laid<'_> {
    fn of(table: &Table, width: f64) -> Laid<'_> {
        let heads: Vec<String> = table.columns.iter().map(|column| column.head.to_string()).collect();
        Laid {
            table,
            heads: lay(&heads, &table.columns, width),
            rows: table.rows.iter().map(|row| lay(row, &table.columns, width)).collect(),
        }
    }

    fn height(&self) -> f64 {
        height(&self.heads) + self.rows.iter().map(|row| height(row)).sum::<f64>()
    }

    /// How many rows go on each page when a page holds so much.
    fn shares(&self, high: f64) -> Vec<usize> {
        let mut shares = vec![0];
        let mut y = height(&self.heads);
        for row in &self.rows {
            let last = shares.len() - 1;
            if y + height(row) > high && shares[last] > 0 {
                shares.push(1);
                y = height(&self.heads);
            } else {
                shares[last] += 1;
            }
            y += height(row);
        }
        shares
    }

    /// On no more pages than needed, and no page much emptier than the others.
    fn even_shares(&self, high: f64) -> Vec<usize> {
        let most = self.shares(high);
        let (mut low, mut enough) = (0.0, high);
        while most.len() > 1 && enough - low > 1.0 {
            let middle = f64::midpoint(low, enough);
            if self.shares(middle).len() > most.len() {
                low = middle;
            } else {
                enough = middle;
            }
        }
        self.shares(enough)
    }

    fn draw(&self, picture: &mut Picture, area: Rect, y: &mut f64, rows: &[Vec<Vec<String>>]) {
        put(picture, &self.heads, &self.table.columns, area, y, Pen::Thick);
        for row in rows {
            put(picture, row, &self.table.columns, area, y, Pen::Fine);
        }
    }
}

fn area_of(form: &Form) -> Rect {
    let open = form.open();
    Rect::new(open.x0 + 4.0, open.y0 + 4.0, open.x1 - 4.0, open.y1 - 4.0)
}

/// The table on pages with this title block; each page has the columns' heads. At least one page.
pub(super) fn pages(form: &Form, title: &Title, table: &Table) -> Vec<Picture> {
    let area = area_of(form);
    let laid = Laid::of(table, area.width());
    let shares = laid.even_shares(area.height());
    let count = shares.len();
    let mut rest = &laid.rows[..];
    shares
        .into_iter()
        .enumerate()
        .map(|(i, share)| {
            let (rows, after) = rest.split_at(share);
            rest = after;
            let sheet = if count > 1 { format!("{} of {count}", i + 1) } else { title.sheet.clone() };
            let (mut picture, _) = form.start(&Title { sheet, ..title.clone() });
            laid.draw(&mut picture, area, &mut area.y0.clone(), rows);
            picture.titled(format!("{}: {}", title.job, title.title))
        })
        .collect()
}

/// White over the name of a further table, and the name's height.
const APART: f64 = 8.0;
const NAME: f64 = 3.5;

/// Several tables under each other on one page, each with its name; `None` when they do not fit.
pub(super) fn together(form: &Form, title: &Title, tables: &[&Table]) -> Option<Picture> {
    let area = area_of(form);
    let laid: Vec<Laid> = tables.iter().map(|table| Laid::of(table, area.width())).collect();
    let high: f64 = laid.iter().map(|table| NAME + 1.0 + table.height()).sum();
    if high + APART * (tables.len() as f64 - 1.0) > area.height() {
        return None;
    }
    let (mut picture, _) = form.start(title);
    let mut y = area.y0;
    for table in &laid {
        y += NAME;
        picture.text(Point::new(area.x0 + 1.0, y), NAME, Anchor::Start, false, table.table.name);
        y += 1.0;
        table.draw(&mut picture, area, &mut y, &table.rows);
        y += APART;
    }
    Some(picture.titled(format!("{}: {}", title.job, title.title)))
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
        let columns = vec![figures("No.", 1.0), column("Part", 4.0)];
        let rows: Vec<Vec<String>> = (0..100).map(|i| vec![i.to_string(), format!("part {i}")]).collect();
        let table = Table { name: "Parts", columns, rows };
        let pages = pages(&form, &Title::default(), &table);
        assert!(pages.len() > 1);
        let parts = pages.iter().flat_map(Picture::texts).filter(|text| text.text.starts_with("part ")).count();
        assert_eq!(parts, 100);
        for text in pages.iter().flat_map(Picture::texts).filter(|text| text.text.starts_with("part ")) {
            assert!(text.bounds().y1 <= form.open().y1);
        }
        // No page is left with a row or two.
        let on = |page: &Picture| page.texts().filter(|text| text.text.starts_with("part ")).count();
        let (least, most) = (pages.iter().map(on).min(), pages.iter().map(on).max());
        assert!(least.zip(most).is_some_and(|(least, most)| most - least <= pages.len()), "{least:?} {most:?}");
    }

    #[test]
    fn short_tables_share_a_page_and_long_ones_do_not() {
        let form = Form::listing(Paper::A4);
        let table = |count: usize| Table {
            name: "Parts",
            columns: vec![column("Part", 4.0)],
            rows: (0..count).map(|i| vec![format!("part {i}")]).collect(),
        };
        assert!(together(&form, &Title::default(), &[&table(5), &table(6)]).is_some());
        assert!(together(&form, &Title::default(), &[&table(5), &table(60)]).is_none());
    }
}
