//! Holes too far from any edge for paper to reach: a page for each kind, laid on lines drawn with a rule.

use super::block::block;
use super::tile::Tile;
use super::{LETTERS, centres};
use crate::design::{Elevation, LEFT, LOWER, PartHole};
use crate::draw::{Anchor, Pen, Picture, wrapped};
use crate::geometry::{Outline, Point, Rect, Vec2};
use crate::job::Job;

/// More places than this are left to the part's drawing.
const MOST_PLACES: usize = 12;

/// A page for each kind of hole: its outline on two long centre lines, and where to draw these lines on the panel.
pub(super) fn far_pages(job: &Job, shown: &Elevation, room: (f64, f64)) -> Vec<Picture> {
    let mut kinds: Vec<Vec<&PartHole>> = Vec::new();
    for hole in &shown.part.holes {
        match kinds.iter_mut().find(|kind| alike(kind[0], hole)) {
            Some(kind) => kind.push(hole),
            None => kinds.push(vec![hole]),
        }
    }
    let count = kinds.len();
    kinds.iter().enumerate().map(|(page, kind)| far_page(job, shown, kind, room, (page, count))).collect()
}

fn alike(a: &PartHole, b: &PartHole) -> bool {
    a.use_ == b.use_ && a.length == b.length && a.width == b.width && a.upright == b.upright
}

fn far_page(job: &Job, shown: &Elevation, kind: &[&PartHole], room: (f64, f64), page: (usize, usize)) -> Picture {
    let units = job.units;
    // The hole is at the middle of the page, y down.
    let window = Rect::new(-room.0 / 2.0, -room.1 / 2.0, room.0 / 2.0, room.1 / 2.0);
    let mut tile = Tile::new(job.paper.sides(), window);
    let hole = PartHole { centre: Point::ORIGIN, ..kind[0].clone() };
    let outline = hole.outline();
    let bounds = outline.bounds();
    let fits = window.union(bounds) == window;
    if fits {
        tile.outline(&outline, Pen::Thick);
    }
    for end in [Vec2::new(window.x1, 0.0), Vec2::new(0.0, window.y1)] {
        tile.path(&[Point::ORIGIN - end, Point::ORIGIN + end], Pen::Mark);
    }
    for centre in centres(&hole) {
        tile.outline(&Outline::circle(centre, 1.0), Pen::Thin);
    }
    let size = if hole.is_round() {
        format!("⌀{} {}", units.show(hole.length), hole.use_)
    } else {
        format!("{} slot {} × {}", hole.use_, units.number(hole.length), units.show(hole.width))
    };
    let size = if fits { size } else { format!("{size}: too large for the page, draw it about this centre") };
    let places: Vec<String> = kind
        .iter()
        .take(MOST_PLACES)
        .map(|hole| {
            let [x, y] = [hole.centre.x, hole.centre.y].map(|mm| units.number(mm));
            format!("{x} from {}, {y} from {}", shown.edges[LEFT], shown.edges[LOWER])
        })
        .collect();
    let more = if kind.len() > MOST_PLACES { "; the others as on the part's drawing" } else { "" };
    let text = format!("{size}. Centre lines: {}{more}.", places.join("; "));
    let corner = Point::new(window.x0 + 3.0, window.y0 + 3.0) + tile.onto_paper;
    for (i, line) in wrapped(&text, LETTERS, room.0 / 2.0 - 8.0).iter().enumerate() {
        let at = corner + Vec2::new(0.0, LETTERS * (1.0 + 1.6 * i as f64));
        tile.picture.text(at, LETTERS, Anchor::Start, false, line);
    }
    let how = "Too far from the edges for paper: draw both centre lines on the panel with a rule and square, and lay the blue \
               lines on them.";
    block(&mut tile.picture, job, shown, page, how);
    tile.picture.titled(format!("Template for the holes of {}, page {} of {}", shown.part.name, page.0 + 1, page.1))
}
