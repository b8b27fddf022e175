//! Holes at true scale, to be stuck on a panel and drilled through: as many pages as it takes, with marks to join them.

mod block;
mod far;
mod tile;

use super::{Pen, Picture};
use crate::design::{Elevation, LEFT, LOWER, Part, PartHole, RIGHT, UPPER};
use crate::geometry::{Affine, FLATTEN, Outline, Point, Rect, Vec2};
use crate::job::Job;
use crate::made::Made;
use crate::units::Units;
use crate::words::counted;
use block::block;
use far::far_pages;
use tile::Tile;

/// What a printer leaves free along the paper's edges (mm).
const MARGIN: f64 = 10.0;
/// Height of the block below the drawing.
const BLOCK: f64 = 46.0;
/// How far neighbouring pages overlap.
const OVERLAP: f64 = 12.0;
/// What is shown around the holes, and beyond the panel's edges.
const AROUND: f64 = 14.0;
const BEYOND: f64 = 5.0;
/// A shorter edge is no use to align to.
const LEAST_EDGE: f64 = 20.0;
const LETTERS: f64 = 2.5;
/// Nobody joins more pages than this.
const MOST_PAGES: usize = 20;

/// The pages of a part's template, the part seen as on its drawing; none when it has no holes.
pub fn template_pages(made: &Made, index: usize) -> Vec<Picture> {
    let (job, part) = (&made.job, &made.parts[index]);
    if part.holes.is_empty() {
        return Vec::new();
    }
    let shown = part.elevation(&made.assemblies[part.assembly]);
    let plan = Tiling::best(job, &shown.part);
    let count = plan.columns * plan.rows;
    if count > MOST_PAGES {
        return far_pages(job, &shown, plan.room);
    }
    (0..count).map(|page| plan.page(job, &shown, page)).collect()
}

/// The pages in one file, one below the other, each as high as the paper: printed at full size they fall on pages of
/// their own.
pub fn template(made: &Made, index: usize) -> Option<Picture> {
    let pages = template_pages(made, index);
    let first = pages.first()?;
    let (width, height) = (first.width, first.height);
    let mut all = Picture::new(width, height * pages.len() as f64);
    for (i, page) in pages.iter().enumerate() {
        all.append(page, Vec2::new(0.0, height * i as f64));
    }
    let name = &made.parts[index].name;
    Some(all.titled(format!("Template for the holes of {name}, {}", counted(pages.len(), "page"))))
}

/// How a template lies on its pages.
struct Tiling {
    /// From the part's frame to the template's: millimetres, y down, its upper left corner at zero.
    onto: Affine,
    columns: usize,
    rows: usize,
    /// The drawing's room on each page.
    room: (f64, f64),
    paper: (f64, f64),
    /// The edges of the part to align to: x at the left or the right end, y at the lower or the upper.
    corner: (f64, f64),
    whole: (f64, f64),
}

impl Tiling {
    /// The corner to align to and the turn that take the fewest pages, and then the least room.
    fn best(job: &Job, part: &Part) -> Tiling {
        let paper = job.paper.sides();
        let room = (paper.0 - 2.0 * MARGIN, paper.1 - 2.0 * MARGIN - BLOCK);
        let holes = part.holes.iter().map(|hole| hole.outline().bounds()).reduce(|a, b| a.union(b));
        let holes = holes.unwrap_or(Rect::ZERO).inflate(AROUND, AROUND);
        let panel = Rect::new(0.0, 0.0, part.length, part.width);
        let corners = [(0.0, 0.0), (part.length, 0.0), (0.0, part.width), (part.length, part.width)];
        let firm = |corner: &(f64, f64)| {
            upright_edge(part, corner.0) >= LEAST_EDGE && level_edge(part, corner.1) >= LEAST_EDGE
        };
        let mut best: Option<((usize, bool, i64), Tiling)> = None;
        // A part without a right corner is aligned to the rectangle around it.
        let any = !corners.iter().any(firm);
        for corner in corners.into_iter().filter(|corner| any || firm(corner)) {
            let at = Point::new(corner.0, corner.1);
            let least = Rect::from_points(at, at).union(holes).intersect(panel).inflate(BEYOND, BEYOND);
            for turned in [false, true] {
                let room = if turned { (room.1, room.0) } else { room };
                let (columns, rows) = (tiles(least.width(), room.0), tiles(least.height(), room.1));
                // What one page has room for is shown, up to the whole panel.
                let grown = |size: f64, panel: f64, room: f64, tiles: usize| {
                    if tiles == 1 { size.max(panel.min(room)) } else { size }
                };
                let size = (
                    grown(least.width(), part.length + 2.0 * BEYOND, room.0, columns),
                    grown(least.height(), part.width + 2.0 * BEYOND, room.1, rows),
                );
                let low =
                    |corner: f64, least: (f64, f64), size: f64| if corner == 0.0 { least.0 } else { least.1 - size };
                let x0 = low(corner.0, (least.x0, least.x1), size.0);
                let y0 = low(corner.1, (least.y0, least.y1), size.1);
                let region = Rect::new(x0, y0, x0 + size.0, y0 + size.1);
                let whole = region.width() > part.length && region.height() > part.width;
                let cost = (columns * rows, !whole, (least.area()) as i64);
                if best.as_ref().is_some_and(|(known, _)| cost >= *known) {
                    continue;
                }
                let tiling = if turned {
                    // A quarter turn, as one turns the paper: x runs down, y to the right.
                    let onto = Affine::new([0.0, 1.0, 1.0, 0.0, -region.y0, -region.x0]);
                    Tiling {
                        onto,
                        columns: rows,
                        rows: columns,
                        room: (room.1, room.0),
                        paper,
                        corner,
                        whole: (size.1, size.0),
                    }
                } else {
                    let onto = Affine::new([1.0, 0.0, 0.0, -1.0, -region.x0, region.y1]);
                    Tiling { onto, columns, rows, room, paper, corner, whole: size }
                };
                best = Some((cost, tiling));
            }
        }
        best.expect("every rectangle has four corners").1
    }

    /// What a page shows, in the template's frame.
    fn window(&self, page: usize) -> Rect {
        let (column, row) = (page % self.columns, page / self.columns);
        let x = column as f64 * (self.room.0 - OVERLAP);
        let y = row as f64 * (self.room.1 - OVERLAP);
        Rect::new(x, y, (x + self.room.0).min(self.whole.0), (y + self.room.1).min(self.whole.1))
    }

    fn page(&self, job: &Job, shown: &Elevation, page: usize) -> Picture {
        let part = &shown.part;
        let window = self.window(page);
        let mut tile = Tile::new(self.paper, window);
        self.edges(&mut tile, part);
        for hole in &part.holes {
            self.hole(&mut tile, hole);
        }
        self.joins(&mut tile);
        // Words last: they go where nothing is drawn.
        self.edge_words(&mut tile, shown);
        for hole in &part.holes {
            self.words(&mut tile, job.units, shown, hole);
        }
        let how = if self.columns * self.rows > 1 {
            "Join the pages where the crosses of one name lie on each other. Align the marked edges."
        } else {
            "Align the marked edges."
        };
        block(&mut tile.picture, job, shown, (page, self.columns * self.rows), how);
        tile.picture.titled(format!(
            "Template for the holes of {}, page {} of {}",
            part.name,
            page + 1,
            self.columns * self.rows
        ))
    }

    fn edges(&self, tile: &mut Tile, part: &Part) {
        for side in part.outline.segments() {
            let (a, b) = (side.start, side.end);
            let on = |p: Point| (p.x - self.corner.0).abs() < 1e-6 || (p.y - self.corner.1).abs() < 1e-6;
            let reference = on(a) && on(b) && ((a.x - b.x).abs() < 1e-6 || (a.y - b.y).abs() < 1e-6);
            let pen = if reference { Pen::Mark } else { Pen::Phantom };
            let mut points = vec![self.onto * a];
            side.flatten(FLATTEN, |point| points.push(self.onto * point));
            tile.path(&points, pen);
        }
        for pocket in &part.pockets {
            tile.outline(&pocket.outline.transformed(self.onto), Pen::Dashed);
        }
    }

    fn hole(&self, tile: &mut Tile, hole: &PartHole) {
        tile.outline(&hole.outline().transformed(self.onto), Pen::Thick);
        for centre in centres(hole) {
            let at = self.onto * centre;
            let arm = hole.width / 2.0 + 4.0;
            for arm in [Vec2::new(arm, 0.0), Vec2::new(0.0, arm)] {
                tile.path(&[at - arm, at + arm], Pen::Thin);
            }
            tile.outline(&Outline::circle(at, 1.0), Pen::Thin);
        }
    }

    /// Size, use and place of a hole, beside it.
    fn words(&self, tile: &mut Tile, units: Units, shown: &Elevation, hole: &PartHole) {
        let part = &shown.part;
        let bounds = hole.outline().transformed(self.onto).bounds();
        if !tile.window.contains(self.onto * hole.centre) {
            return;
        }
        let size = if hole.is_round() {
            format!("⌀{} {}", units.show(hole.length), hole.use_)
        } else {
            format!(
                "{} slot {} × {}: drill ⌀{} at both ends",
                hole.use_,
                units.number(hole.length),
                units.show(hole.width),
                units.show(hole.width)
            )
        };
        let [x_name, y_name] = self.edge_names(shown);
        let from = |at: Point| {
            let x = if self.corner.0 == 0.0 { at.x } else { part.length - at.x };
            let y = if self.corner.1 == 0.0 { at.y } else { part.width - at.y };
            (units.number(x), units.number(y))
        };
        let (mut across, mut up): (Vec<String>, Vec<String>) = centres(hole).into_iter().map(from).unzip();
        across.dedup();
        up.dedup();
        let place = format!("{} from {x_name}, {} from {y_name}", across.join(" and "), up.join(" and "));
        tile.words_beside(bounds.inflate(5.5, 5.5), &[&size, &place]);
    }

    /// What the edges to align to are called.
    fn edge_names(&self, shown: &Elevation) -> [&'static str; 2] {
        let x = if self.corner.0 == 0.0 { LEFT } else { RIGHT };
        let y = if self.corner.1 == 0.0 { LOWER } else { UPPER };
        [shown.edges[x], shown.edges[y]]
    }

    /// The names of the edges to align to, along them.
    fn edge_words(&self, tile: &mut Tile, shown: &Elevation) {
        let part = &shown.part;
        let on = [Point::new(self.corner.0, part.width / 2.0), Point::new(part.length / 2.0, self.corner.1)];
        let inside = Point::new(part.length / 2.0, part.width / 2.0);
        let ends = shown.towards.map(|ends| ends[usize::from(self.corner.0 != 0.0)]);
        for ((on, name), towards) in on.into_iter().zip(self.edge_names(shown)).zip([ends, None]) {
            let towards = towards.map_or_else(String::new, |end| format!(", towards the {end}"));
            let text = format!("{name} edge of {}{towards}: align here", shown.panel);
            tile.along_edge(self.onto * on, self.onto * inside, &text);
        }
    }

    /// Crosses in the overlaps, the same on both pages.
    fn joins(&self, tile: &mut Tile) {
        let step = (self.room.0 - OVERLAP, self.room.1 - OVERLAP);
        let mut marks: Vec<(Point, String)> = Vec::new();
        for row in 0..self.rows {
            for column in 0..self.columns {
                let window = self.window(row * self.columns + column);
                let y = |share: f64| window.y0 + window.height() * share;
                let x = |share: f64| window.x0 + window.width() * share;
                let name = |kind: &str, end: &str| format!("{kind}{}{end}", row * self.columns + column + 1);
                if column + 1 < self.columns {
                    let seam = (column as f64 + 1.0) * step.0 + OVERLAP / 2.0;
                    marks.push((Point::new(seam, y(0.15)), name("V", "a")));
                    marks.push((Point::new(seam, y(0.8)), name("V", "b")));
                }
                if row + 1 < self.rows {
                    let seam = (row as f64 + 1.0) * step.1 + OVERLAP / 2.0;
                    marks.push((Point::new(x(0.15), seam), name("H", "a")));
                    marks.push((Point::new(x(0.8), seam), name("H", "b")));
                }
            }
        }
        for (at, name) in marks {
            if !tile.window.contains(at) {
                continue;
            }
            for arm in [Vec2::new(4.0, 0.0), Vec2::new(0.0, 4.0)] {
                tile.path(&[at - arm, at + arm], Pen::Mark);
            }
            tile.outline(&Outline::circle(at, 4.0), Pen::Mark);
            tile.name_beside(at, &name);
        }
    }
}

/// Pages needed for a length, neighbours overlapping.
fn tiles(size: f64, room: f64) -> usize {
    (((size - OVERLAP) / (room - OVERLAP) - 1e-9).ceil() as usize).max(1)
}

/// How much of a part's outline lies along the line x = `at`.
fn upright_edge(part: &Part, at: f64) -> f64 {
    let on = |p: Point| (p.x - at).abs() < 1e-6;
    part.outline
        .segments()
        .filter(|side| !side.is_arc() && on(side.start) && on(side.end))
        .map(|side| side.chord())
        .sum()
}

/// How much of it lies along the line y = `at`.
fn level_edge(part: &Part, at: f64) -> f64 {
    let on = |p: Point| (p.y - at).abs() < 1e-6;
    part.outline
        .segments()
        .filter(|side| !side.is_arc() && on(side.start) && on(side.end))
        .map(|side| side.chord())
        .sum()
}

/// Where a bit's point goes: the hole's centre, or the centres of a slot's round ends.
fn centres(hole: &PartHole) -> Vec<Point> {
    if hole.is_round() {
        return vec![hole.centre];
    }
    let reach = (hole.length - hole.width) / 2.0;
    let arm = if hole.upright { Vec2::new(0.0, reach) } else { Vec2::new(reach, 0.0) };
    vec![hole.centre - arm, hole.centre + arm]
}
