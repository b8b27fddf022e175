//! A nested sheet as shapes for the page.

use crate::design::Part;
use crate::geometry::{Affine, Outline, Point, Rect, Region};
use crate::layout::{Placement, holders};
use crate::units::decimal;
use serde::Serialize;
use std::fmt::Write;

/// A piece on a sheet.
#[derive(Debug, Serialize)]
pub(super) struct PieceView {
    pub part: usize,
    /// From the part's frame to the sheet's, as SVG writes it.
    pub matrix: String,
    /// Where its number stands, on the sheet with y downwards, and how large (mm); nowhere where it is engraved and there is
    /// no room beside that.
    pub number: Option<Number>,
}

#[derive(Debug, Serialize)]
pub(super) struct Number {
    pub x: String,
    pub y: String,
    pub size: String,
    pub turned: bool,
    /// Is there room for the name under the number?
    pub named: bool,
}

/// The pieces of a sheet of this width, as they are `engraved` by a router or not by a saw.
pub(super) fn pieces(placements: &[Placement], parts: &[Part], sheet_width: f64, engraved: bool) -> Vec<PieceView> {
    let holders = holders(placements, parts);
    let piece = |(i, placement): (usize, &Placement)| {
        let part = &parts[placement.part];
        let place = placement.affine(part);
        let holds = holders.iter().flatten().any(|it| it.holder == i);
        let number = room_for_number(part, placement.part + 1, engraved, holds).map(|(room, size)| {
            let centre = place * room.center();
            let name_wide = part.name.chars().count() as f64 * size * 0.5 * WIDE;
            Number {
                x: short(centre.x),
                y: short(sheet_width - centre.y),
                size: short(size),
                turned: placement.turn.swaps(),
                named: room.height() > size * 1.9 && name_wide < room.width() * 0.92,
            }
        });
        PieceView { part: placement.part, matrix: matrix(place), number }
    };
    placements.iter().enumerate().map(piece).collect()
}

/// Width of a figure, in heights.
const WIDE: f64 = 0.6;

/// The rectangle of the part, in its frame, in whose middle its number is written, and how large; beside its openings where
/// it `holds` others in them.
fn room_for_number(part: &Part, number: usize, engraved: bool, holds: bool) -> Option<(Rect, f64)> {
    let digits = number.to_string().len() as f64;
    let size = |room: &Rect| (room.height() * 0.62).min(room.width() / (digits + 0.6)).min(72.0);
    let whole = Rect::new(0.0, 0.0, part.length, part.width);
    let beside = |taken: Rect| {
        [
            Rect { y0: taken.y1, ..whole },
            Rect { y1: taken.y0, ..whole },
            Rect { x1: taken.x0, ..whole },
            Rect { x0: taken.x1, ..whole },
        ]
    };
    let largest = |a: &Rect, b: &Rect| size(a).total_cmp(&size(b));
    let Some(label) = part.engraved().filter(|_| engraved) else {
        let openings = part.holes.iter().map(|hole| hole.outline().bounds()).reduce(|a, b| a.union(b));
        let room = openings.filter(|_| holds).and_then(|taken| beside(taken).into_iter().max_by(largest));
        let room = room.unwrap_or(whole);
        return Some((room, size(&room)));
    };
    let corners = label.strokes.iter().flatten().map(|at| Rect::from_points(*at, *at));
    let letters = corners.reduce(|a, b| a.union(b))?.inflate(label.height / 4.0, label.height / 4.0);
    // Beside the engraving, clear of holes, and no smaller than its letters, or it is the better number.
    let is_free = |room: &Rect| {
        let text = Rect::from_center_size(room.center(), (digits * WIDE * size(room), size(room)));
        let clear = |outline: &Outline| outline.bounds().intersect(text).is_zero_area();
        part.outline.contains(text.origin())
            && part.outline.contains(Point::new(text.x1, text.y1))
            && part.holes.iter().all(|hole| clear(&hole.outline()))
    };
    let large = beside(letters).into_iter().filter(|room| size(room) >= label.height && is_free(room));
    large.max_by(largest).map(|room| (room, size(&room)))
}

fn matrix(affine: Affine) -> String {
    affine.as_coeffs().map(short).join(" ")
}

/// A part's shape with its holes, in the part's frame, y up; filled by the even-odd rule.
pub(super) fn shape(part: &Part) -> String {
    let mut path = path(&part.outline);
    for hole in &part.holes {
        path.push_str(&self::path(&hole.outline()));
    }
    for hole in part.screw_holes.iter().filter(|hole| hole.depth.is_none()) {
        path.push_str(&self::path(&hole.outline()));
    }
    path
}

/// An outline as the data of an SVG path whose y runs up; arcs stay arcs.
pub(super) fn path(outline: &Outline) -> String {
    let Some(first) = outline.vertices.first() else { return String::new() };
    let mut path = format!("M{} {}", short(first.at.x), short(first.at.y));
    for side in outline.segments() {
        let (x, y) = (short(side.end.x), short(side.end.y));
        if side.is_arc() {
            let large = u8::from(side.sweep().abs() > std::f64::consts::PI);
            let turn = u8::from(side.bulge > 0.0);
            let radius = short(side.radius());
            let _ = write!(path, "A{radius} {radius} 0 {large} {turn} {x} {y}");
        } else {
            let _ = write!(path, "L{x} {y}");
        }
    }
    path.push('Z');
    path
}

/// A line from corner to corner as the data of an SVG path, y up.
pub(super) fn way(corners: &[Point]) -> String {
    let corners: Vec<String> = corners.iter().map(|at| format!("{} {}", short(at.x), short(at.y))).collect();
    format!("M{}", corners.join("L"))
}

/// A region as the data of an SVG path.
pub(super) fn region_path(region: &Region) -> String {
    super::solid::rings(region)
        .iter()
        .map(|ring| {
            let corners: Vec<String> =
                ring.chunks_exact(2).map(|at| format!("{} {}", short(at[0]), short(at[1]))).collect();
            format!("M{}Z", corners.join("L"))
        })
        .collect()
}

/// The view of something of this size, with room around it.
pub(super) fn view_box(width: f64, height: f64, room: f64) -> String {
    format!("{} {} {} {}", short(-room), short(-room), short(width + 2.0 * room), short(height + 2.0 * room))
}

/// To a thousandth, without trailing zeros.
pub(super) fn short(value: f64) -> String {
    decimal(value, 3)
}
