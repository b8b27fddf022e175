//! A shop drawing of one part: its face, its sizes, and every hole from two edges.

use super::CAUTION;
use super::dimension::{LETTERS, horizontal, vertical};
use super::{Anchor, Pen, Picture};
use crate::design::{Face, Grain, Part};
use crate::geometry::{Affine, Point};
use crate::job::Job;
use crate::units::Units;

/// A4, lying (ISO 216), with the frame of ISO 5457: 20 on the left to file it, 10 elsewhere.
const PAPER: (f64, f64) = (297.0, 210.0);
const FRAME: (f64, f64, f64, f64) = (20.0, 10.0, 287.0, 200.0);
/// The title block, width and height.
const BLOCK: (f64, f64) = (180.0, 32.0);
/// Dimension lines stand this far apart, the first a little more from the outline.
const ROW: f64 = 8.0;
const FIRST_ROW: f64 = 10.0;
/// Scales that ISO 5455 knows, and 1:1.
const SCALES: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];

/// The drawing of a part .
pub fn part_drawing(job: &Job, part: &Part) -> Picture {
    let units = job.units;
    let columns = distinct(marks(part).map(|mark| mark.x), part.length);
    let rows = distinct(marks(part).map(|mark| mark.y), part.width);
    let left = FIRST_ROW + ROW * rows.len() as f64 + 8.0;
    let below = FIRST_ROW + ROW * columns.len() as f64 + 6.0;
    let room = (FRAME.2 - FRAME.0 - left - 60.0, FRAME.3 - FRAME.1 - BLOCK.1 - below - 24.0);
    let scale =
        SCALES.into_iter().find(|scale| part.length / scale <= room.0 && part.width / scale <= room.1).unwrap_or(500.0);

    let mut picture = Picture::new(PAPER.0, PAPER.1);
    picture.rect(FRAME.0, FRAME.1, FRAME.2 - FRAME.0, FRAME.3 - FRAME.1, Pen::Thick);
    let (length, width) = (part.length / scale, part.width / scale);
    let origin = Point::new(
        FRAME.0 + left + (room.0 - length).max(0.0) / 2.0,
        FRAME.3 - BLOCK.1 - below - (room.1 - width).max(0.0) / 2.0,
    );
    // Paper's y runs down.
    let to_paper = Affine::new([1.0 / scale, 0.0, 0.0, -1.0 / scale, origin.x, origin.y]);
    picture.outline(&part.outline.transformed(to_paper), Pen::Thick);
    draw_holes(&mut picture, part, to_paper, units);
    dimensions(&mut picture, part, to_paper, units, &columns, &rows);
    grain_arrow(&mut picture, part, to_paper);
    title_block(&mut picture, job, part, scale);
    picture.titled(format!("{}: {} × {}", part.name, units.number(part.length), units.show(part.width)))
}

/// Everything that has to be found from the two edges: the holes' centres and the corners.
fn marks(part: &Part) -> impl Iterator<Item = Point> + '_ {
    part.holes.iter().map(|hole| hole.centre).chain(part.outline.vertices.iter().map(|vertex| vertex.at))
}

/// Sorted, each value once; zero and the overall size, which have dimensions anyway, left out.
fn distinct(values: impl Iterator<Item = f64>, whole: f64) -> Vec<f64> {
    let mut values: Vec<f64> = values.filter(|value| *value > NEAR && *value < whole - NEAR).collect();
    values.sort_by(f64::total_cmp);
    values.dedup_by(|b, a| (*a - *b).abs() < NEAR);
    values
}

/// Distances nearer than this get one dimension (mm).
const NEAR: f64 = 0.05;

fn draw_holes(picture: &mut Picture, part: &Part, to_paper: Affine, units: Units) {
    // One call-out for all holes that are alike.
    let mut called: Vec<(String, Point, usize)> = Vec::new();
    for hole in &part.holes {
        let outline = hole.outline().transformed(to_paper);
        let bounds = outline.bounds();
        picture.outline(&outline, Pen::Thin);
        let centre = to_paper * hole.centre;
        let (dx, dy) = (bounds.width() / 2.0 + 2.0, bounds.height() / 2.0 + 2.0);
        picture.line(Point::new(centre.x - dx, centre.y), Point::new(centre.x + dx, centre.y), Pen::Centre);
        picture.line(Point::new(centre.x, centre.y - dy), Point::new(centre.x, centre.y + dy), Pen::Centre);
        let size = if hole.is_round() {
            format!("⌀{}", units.show(hole.length))
        } else {
            format!("slot {} × {}", units.number(hole.length), units.show(hole.width))
        };
        let text = format!("{size} {}", hole.use_);
        match called.iter_mut().find(|(known, ..)| *known == text) {
            Some((.., count)) => *count += 1,
            None => called.push((text, Point::new(bounds.x1, bounds.y0), 1)),
        }
    }
    let right = (to_paper * Point::new(part.length, 0.0)).x;
    let top = (to_paper * Point::new(0.0, part.width)).y;
    for (i, (text, from, count)) in called.into_iter().enumerate() {
        let at = Point::new(right + 8.0, top + 4.0 + 7.0 * i as f64);
        picture.line(from, Point::new(at.x - 1.0, at.y), Pen::Thin);
        picture.line(Point::new(at.x - 1.0, at.y), Point::new(at.x + 1.0, at.y), Pen::Thin);
        let text = if count > 1 { format!("{count} × {text}") } else { text };
        picture.text(Point::new(at.x + 2.0, at.y + LETTERS / 2.0), LETTERS, Anchor::Start, false, &text);
    }
}

/// Everything from the left edge and from the lower edge, each on a line of its own: nothing adds up.
fn dimensions(picture: &mut Picture, part: &Part, to_paper: Affine, units: Units, columns: &[f64], rows: &[f64]) {
    let corner = to_paper * Point::ORIGIN;
    // An extension line starts at what it marks, the nearest to the dimension's own edge.
    let mut y = corner.y + FIRST_ROW;
    for x in columns.iter().copied().chain([part.length]) {
        let lowest = marks(part).filter(|mark| (mark.x - x).abs() < NEAR).map(|mark| mark.y).fold(part.width, f64::min);
        horizontal(picture, corner, to_paper * Point::new(x, lowest), y, &units.number(x));
        y += ROW;
    }
    let mut x = corner.x - FIRST_ROW;
    for v in rows.iter().copied().chain([part.width]) {
        let leftmost =
            marks(part).filter(|mark| (mark.y - v).abs() < NEAR).map(|mark| mark.x).fold(part.length, f64::min);
        vertical(picture, corner, to_paper * Point::new(leftmost, v), x, &units.number(v));
        x -= ROW;
    }
}

fn grain_arrow(picture: &mut Picture, part: &Part, to_paper: Affine) {
    let middle = to_paper * Point::new(part.length / 2.0, part.width / 2.0);
    let text = match part.grain {
        Grain::Any => return,
        Grain::Long | Grain::Cross => "grain",
    };
    let upright = part.grain == Grain::Cross;
    let arm = if upright { (0.0, 8.0) } else { (8.0, 0.0) };
    picture.line(middle - arm, middle + arm, Pen::Thin);
    let at = if upright { middle - (1.0, 0.0) } else { middle - (0.0, 1.0) };
    picture.text(at, LETTERS, Anchor::Middle, upright, text);
}

/// After ISO 7200: what, of what, how many, how thick, at which scale.
fn title_block(picture: &mut Picture, job: &Job, part: &Part, scale: f64) {
    let units = job.units;
    let (x, y) = (FRAME.2 - BLOCK.0, FRAME.3 - BLOCK.1);
    picture.rect(x, y, BLOCK.0, BLOCK.1, Pen::Thick);
    let stock = &job.stock[part.stock];
    let face = match part.up {
        Face::Inner => "show face down",
        Face::Outer => "show face up",
    };
    let of = part.box_name.as_ref().map_or_else(|| "loose part".to_string(), |name| format!("part of {name}"));
    let size =
        format!("{} × {} × {}", units.number(part.length), units.number(part.width), units.measured(part.thickness));
    let cells: [(f64, f64, f64, &str, String); 8] = [
        (0.0, 0.0, 100.0, "Part", part.name.clone()),
        (100.0, 0.0, 40.0, "Quantity", part.count.to_string()),
        (140.0, 0.0, 40.0, "Scale", format!("1:{scale}")),
        (0.0, 10.0, 100.0, "Job", job.title.clone()),
        (100.0, 10.0, 80.0, "Size", size),
        (0.0, 20.0, 60.0, "For", of),
        (60.0, 20.0, 60.0, "Material", stock.material.title.clone()),
        (120.0, 20.0, 60.0, "Lies", face.into()),
    ];
    for (dx, dy, wide, label, value) in cells {
        picture.rect(x + dx, y + dy, wide, if dy == 20.0 { 12.0 } else { 10.0 }, Pen::Thin);
        picture.text(Point::new(x + dx + 1.5, y + dy + 3.5), 1.8, Anchor::Start, false, label);
        let fits = ((wide - 3.0) / (LETTERS * 0.82)) as usize;
        let short: String = value.chars().take(fits).collect();
        picture.text(Point::new(x + dx + 1.5, y + dy + 8.2), LETTERS, Anchor::Start, false, &short);
    }
    let note = format!("Dimensions in {}, from the lower and the left edge.", units.name());
    picture.text(Point::new(FRAME.0 + 2.0, FRAME.3 - BLOCK.1 - 2.0), LETTERS, Anchor::Start, false, &note);
    picture.text(Point::new(FRAME.0 + 2.0, FRAME.3 + 4.5), 1.8, Anchor::Start, false, CAUTION);
}
