//! What the pieces of a sheet and its off-cuts are called on its picture: on them where there is room, in rows, or tiny.

use super::dimension::LETTERS;
use super::flag::SMALL;
use super::label::{line_places, spot_with};
use super::letters::TAIL;
use super::room::{AROUND, Room};
use super::{Anchor, Pen, Picture, text_width, wrapped};
use crate::design::{Label, Part};
use crate::geometry::{Affine, Point, Rect};
use crate::units::Units;

/// A piece that has no room for its name: its number in the cut list, its part, and the rectangle around it on paper.
pub(super) type Unnamed<'a> = (usize, &'a Part, Rect);

/// The pieces by rows: those of one part that lie side by side or end to end, with nothing between them; others alone.
pub(super) fn rows<'r, 'a>(unnamed: &'r [Unnamed<'a>], bounds: &[Rect]) -> Vec<Vec<&'r Unnamed<'a>>> {
    /// Further apart they are in no row (mm).
    const APART: f64 = 3.0;
    let mut left: Vec<&Unnamed> = unnamed.iter().collect();
    let mut rows = Vec::new();
    for lying in [true, false] {
        let along = |rect: &Rect| if lying { (rect.x0, rect.x1, rect.y0) } else { (rect.y0, rect.y1, rect.x0) };
        left.sort_by(|a, b| {
            let ((a0, _, a_off), (b0, _, b_off)) = (along(&a.2), along(&b.2));
            a.0.cmp(&b.0).then((a_off * 10.0).round().total_cmp(&(b_off * 10.0).round())).then(a0.total_cmp(&b0))
        });
        let next = |a: &&Unnamed, b: &&Unnamed| {
            let ((_, end, off), (start, _, other_off)) = (along(&a.2), along(&b.2));
            let between = a.2.union(b.2);
            let free = bounds.iter().all(|it| *it == a.2 || *it == b.2 || !between.contains(it.center()));
            a.0 == b.0 && (off - other_off).abs() < 0.2 && start - end < APART && free
        };
        let (some, alone): (Vec<_>, Vec<_>) = left.chunk_by(next).map(<[_]>::to_vec).partition(|row| row.len() > 1);
        rows.extend(some);
        left = alone.concat();
    }
    rows.extend(left.into_iter().map(|piece| vec![piece]));
    rows
}

/// What is engraved into a part, where it is large enough on paper to be read.
pub(super) fn legible(part: &Part, to_paper: Affine) -> Option<&Label> {
    part.engraved().filter(|label| label.height * to_paper.as_coeffs()[0] >= SMALL)
}

/// The part's number in the cut list and its name, as large as fits and along its longer side; on small pieces the number
/// alone. `None` where even that would be too small to read.
pub(super) fn write_name(
    picture: &mut Picture,
    room: &mut Room,
    number: usize,
    part: &Part,
    bounds: Rect,
    units: Units,
) -> Option<()> {
    let name = format!("{number} {}", part.name);
    let size = format!("{} × {}", units.number(part.length), units.number(part.width));
    let upright = bounds.height() > bounds.width();
    let number = number.to_string();
    let mut tries: Vec<(Vec<String>, f64)> = Vec::new();
    for height in [3.5, LETTERS, 1.8] {
        tries.push((vec![name.clone(), size.clone()], height));
        if height < 3.0 {
            tries.push((vec![name.clone()], height));
            tries.extend([2, 3].into_iter().filter_map(|lines| Some((folded(&name, height, lines)?, height))));
        }
    }
    tries.extend([3.5, LETTERS].map(|height| (vec![number.clone()], height)));
    for (lines, height) in tries {
        let alone = lines.len() == 1 && lines[0] == number;
        let wide = lines.iter().map(|line| text_width(line, height)).fold(0.0, f64::max);
        // Figures have no tails.
        let tails = if alone { 0.0 } else { TAIL };
        let high = height * (1.0 + tails + 1.5 * (lines.len() as f64 - 1.0));
        let around = if alone { 0.2 } else { AROUND };
        for turned in [upright, !upright] {
            let (w, h) = if turned { (high, wide) } else { (wide, high) };
            let Some(spot) = spot_with(room, bounds, w, h, around) else { continue };
            for (line, at) in lines.iter().zip(line_places(spot, height, turned)) {
                picture.text(at, height, Anchor::Middle, turned, line);
            }
            room.take_text(spot);
            return Some(());
        }
    }
    None
}

/// The number of a piece that has no room for a name, nor has the paper near it.
pub(super) fn tiny_number(picture: &mut Picture, room: &mut Room, number: usize, bounds: Rect) {
    const TINY: f64 = 1.3;
    let number = number.to_string();
    let (wide, high) = (text_width(&number, TINY), TINY);
    for turned in [false, true] {
        let (w, h) = if turned { (high, wide) } else { (wide, high) };
        let Some(spot) = spot_with(room, bounds, w, h, 0.2) else { continue };
        let at = if turned { Point::new(spot.x1, spot.center().y) } else { Point::new(spot.center().x, spot.y1) };
        picture.text(at, TINY, Anchor::Middle, turned, &number);
        room.take_text(spot);
        return;
    }
}

/// A name on this many lines, as even as whole words allow.
fn folded(name: &str, height: f64, lines: usize) -> Option<Vec<String>> {
    let even = text_width(name, height) / lines as f64;
    [1.0, 1.15, 1.3, 1.5].into_iter().map(|slack| wrapped(name, height, even * slack)).find(|found| {
        // A word that was broken makes more of the name than there was.
        found.len() == lines && found.join(" ") == name
    })
}

/// What is left over, and how large it is, on white.
pub(super) fn off_cut_label(
    picture: &mut Picture,
    room: &mut Room,
    number: usize,
    rect: Rect,
    to_paper: Affine,
    units: Units,
) {
    /// Round the text (mm).
    const WHITE: f64 = 0.7;
    let bounds = to_paper.transform_rect_bbox(rect);
    let lines =
        [format!("off-cut {number}"), format!("{} × {}", units.number(rect.width()), units.show(rect.height()))];
    let turned = bounds.height() > bounds.width();
    for height in [LETTERS, 1.8, 1.3] {
        let wide = lines.iter().map(|line| text_width(line, height)).fold(0.0, f64::max) + 1.6;
        let high = height * (2.5 + TAIL) + 2.0 * WHITE;
        let (w, h) = if turned { (high, wide) } else { (wide, high) };
        let Some(spot) = spot_with(room, bounds, w, h, 0.2) else { continue };
        picture.rect(spot.x0, spot.y0, w, h, Pen::Paper);
        for (line, at) in lines.iter().zip(line_places(spot.inflate(-WHITE, -WHITE), height, turned)) {
            picture.text(at, height, Anchor::Middle, turned, line);
        }
        room.take_text(spot);
        return;
    }
}
