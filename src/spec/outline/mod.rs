//! The outline of a loose part, from a drawing in a file of its own: the outermost closed line, and openings in it.

mod dxf;

use super::schema::OUTLINE;
use crate::design::{Hole, HoleUse};
use crate::geometry::{Affine, Outline, Point, Rect, SAME, Segment, to_polygon};
use crate::reading::{Problem, Source, Table};
use crate::units::Units;
use dxf::{Piece, Told};
use geo::Validation;
use std::ops::Range;
use std::sync::Arc;

/// Ends of lines nearer than this meet (mm): drawings are written to a few decimals.
const MEETS: f64 = 0.05;
/// An opening is the shape that it is nowhere further from than this (mm).
const ALIKE: f64 = 0.02;
/// Sides of one part; more are a picture that was traced, not a drawing.
const MOST_SIDES: usize = 2_000;
/// The least and the largest size of a part (mm).
const SIZES: std::ops::RangeInclusive<f64> = 10.0..=20_000.0;

/// The shape of a part, its lower-left corner at the origin. Millimetres.
pub(super) struct Shape {
    pub outline: Outline,
    pub openings: Vec<Hole>,
}

/// A closed line, and where the drawing begins it.
struct Loop {
    outline: Outline,
    at: Range<usize>,
}

/// The file that a table's `outline` names.
pub(super) fn read(table: &Table) -> Option<Shape> {
    let name = table.text(OUTLINE.name)?;
    let beside = table.desk.source.beside.iter().find(|beside| beside.name == *name.get_ref());
    let source = match beside.map(|beside| &beside.read) {
        Some(Ok(source)) => source,
        other => {
            let why = other.and_then(|read| read.as_ref().err()).map_or("it was not given", String::as_str);
            let message = format!("`{}` cannot be read", name.get_ref());
            let expected = "expected the path of a drawing in DXF, as text, from this file's folder";
            table.desk.problem(name.span(), message, expected, why);
            return None;
        }
    };
    match shape(source, table.desk.units()) {
        Ok(shape) => Some(shape),
        Err(Told { at, message, expected }) => {
            table.desk.problems_beside(vec![Problem::new(source, at, message, expected, "")]);
            None
        }
    }
}

/// The files that the `outline` of parts name.
pub(super) fn named(text: &str) -> Vec<String> {
    super::off_cuts::named(text, "part", OUTLINE.name, super::schema::MOST_LOOSE)
}

fn shape(source: &Arc<Source>, units: Units) -> Result<Shape, Told> {
    let pieces = dxf::pieces(&source.text, units.in_mm())?;
    let sides: usize = pieces.iter().map(|piece| piece.sides.len()).sum();
    if pieces.is_empty() || sides > MOST_SIDES {
        let message = if pieces.is_empty() { "nothing is drawn in it".into() } else { format!("it has {sides} sides") };
        let expected = format!("expected lines, arcs and circles, at most {MOST_SIDES} in all");
        return Err(Told { at: 0..0, message, expected });
    }
    let mut loops = closed(pieces, units)?;
    loops.sort_by(|a, b| b.outline.area().total_cmp(&a.outline.area()));
    let mut loops = loops.into_iter();
    let Some(outer) = loops.next() else { return Err(Told::new(0..0, "no line in it is closed", CLOSED)) };
    let inner: Vec<Loop> = loops.collect();
    let bounds = outer.outline.bounds();
    if !SIZES.contains(&bounds.width()) || !SIZES.contains(&bounds.height()) {
        let message = format!("the outline is {} × {}", units.number(bounds.width()), units.show(bounds.height()));
        let (least, most) = (units.show(*SIZES.start()), units.show(*SIZES.end()));
        let expected = format!("expected from {least} to {most}, in the units that the drawing says");
        return Err(Told { at: outer.at, message, expected });
    }
    for (i, one) in inner.iter().enumerate() {
        let within = |other: &Loop| one.outline.vertices.iter().all(|corner| other.outline.contains(corner.at));
        if !within(&outer) {
            let message = "this line lies beside the outline, or across it";
            return Err(Told::new(one.at.clone(), message, "expected one outline, and openings inside it"));
        }
        if inner[..i].iter().any(within) {
            let message = "this line lies inside an opening, where there is no wood";
            return Err(Told::new(one.at.clone(), message, "expected openings beside each other"));
        }
    }
    let home = Affine::translate(-bounds.origin().to_vec2());
    let openings: Result<Vec<Hole>, Told> = inner.iter().map(|one| opening(one, home)).collect();
    Ok(Shape { outline: outer.outline.transformed(home), openings: openings? })
}

const CLOSED: &str = "expected closed lines: each end on the next line's beginning";

/// The pieces put end to end, each ring counter-clockwise.
fn closed(pieces: Vec<Piece>, units: Units) -> Result<Vec<Loop>, Told> {
    let (mut rings, mut open): (Vec<Piece>, Vec<Piece>) = pieces.into_iter().partition(|piece| piece.closed);
    while let Some(mut chain) = open.pop() {
        while chain.end().distance(chain.start()) > MEETS || chain.sides.len() < 2 {
            let end = chain.end();
            let near = |at: Point| at.distance(end) <= MEETS;
            let next = open.iter().position(|piece| near(piece.start()) || near(piece.end()));
            let Some(next) = next else {
                let [x, y] = [units.number(end.x), units.show(end.y)];
                let message = format!("this line ends at {x}, {y}, where no other begins");
                return Err(Told::new(chain.at, message, CLOSED));
            };
            let next = open.swap_remove(next);
            let next = if near(next.start()) { next } else { next.reversed() };
            chain.sides.extend(next.sides);
        }
        rings.push(chain);
    }
    rings.into_iter().map(ring).collect()
}

/// A ring of sides as an outline: each side begins exactly where the one before ends.
fn ring(piece: Piece) -> Result<Loop, Told> {
    let sides: Vec<Segment> = piece.sides.into_iter().filter(|side| side.chord() > SAME).collect();
    let outline = Outline::from_segments(&sides);
    let outline = if outline.area() < 0.0 { outline.reversed() } else { outline };
    if outline.vertices.len() < 2 || outline.area() < 1.0 || !to_polygon(&outline).is_valid() {
        return Err(Told::new(
            piece.at,
            "this line crosses itself, or encloses nothing",
            "expected a closed line that goes round once",
        ));
    }
    Ok(Loop { outline, at: piece.at })
}

/// An opening as a bit and a cutter make it: round, a slot, or a rectangle that lies square to the drawing.
fn opening(one: &Loop, home: Affine) -> Result<Hole, Told> {
    let outline = one.outline.transformed(home);
    if let Some((centre, diameter)) = outline.as_circle() {
        return Ok(Hole::round(HoleUse::Opening, centre, diameter));
    }
    let bounds: Rect = outline.bounds();
    let size = (bounds.width(), bounds.height());
    let arcs = outline.segments().filter(|side| side.is_arc()).map(|side| side.radius());
    let radius = arcs.fold(0.0, f64::max).min(size.0.min(size.1) / 2.0);
    let hole = Hole::rectangle(HoleUse::Opening, bounds.center(), size, radius);
    let alike = hole.outline();
    let on = |a: &Outline, b: &Outline| a.vertices.iter().all(|corner| b.distance(corner.at) < ALIKE);
    let same_area = (alike.area() - outline.area()).abs() < ALIKE * outline.perimeter();
    if on(&outline, &alike) && on(&alike, &outline) && same_area {
        return Ok(hole);
    }
    let message = "an opening is round, a slot, or a rectangle square to the drawing, with corners alike";
    Err(Told::new(one.at.clone(), message, "expected such an opening, or a part of its own for what fills it"))
}
