//! Linear dimensions after ISO 129-1: the value above its line, read from the bottom or from the right.

use super::{Anchor, Pen, Picture, text_width};
use crate::geometry::{Point, Vec2};

/// Height of all letters of a drawing (mm), from the series of ISO 3098.
pub(super) const LETTERS: f64 = 2.5;
/// Extension lines start this far from the outline and run this far past the dimension line (mm).
const GAP: f64 = 1.0;
const PAST: f64 = 2.0;
/// Arrow heads.
const ARROW: f64 = 2.5;

/// A horizontal dimension between two points, its line at height `y`, extension lines coming from each point.
pub(super) fn horizontal(picture: &mut Picture, from: Point, to: Point, y: f64, text: &str) {
    for point in [from, to] {
        let way = (y - point.y).signum();
        picture.line(Point::new(point.x, point.y + way * GAP), Point::new(point.x, y + way * PAST), Pen::Thin);
    }
    let (a, b) = (Point::new(from.x, y), Point::new(to.x, y));
    arrows(picture, a, b, Vec2::new(1.0, 0.0));
    if text_width(text, LETTERS) < to.x - from.x - 1.0 {
        picture.text(Point::new(f64::midpoint(from.x, to.x), y - 0.8), LETTERS, Anchor::Middle, false, text);
    } else {
        // No room between: beside the arrow, on a longer line.
        let wide = text_width(text, LETTERS) + 3.0;
        picture.line(b, Point::new(b.x + 4.0 + wide, y), Pen::Thin);
        picture.text(Point::new(b.x + 5.0, y - 0.8), LETTERS, Anchor::Start, false, text);
    }
}

/// A vertical dimension between two points (`from` lower on paper), its line at `x`.
pub(super) fn vertical(picture: &mut Picture, from: Point, to: Point, x: f64, text: &str) {
    for point in [from, to] {
        let way = (x - point.x).signum();
        picture.line(Point::new(point.x + way * GAP, point.y), Point::new(x + way * PAST, point.y), Pen::Thin);
    }
    let (a, b) = (Point::new(x, from.y), Point::new(x, to.y));
    arrows(picture, a, b, Vec2::new(0.0, -1.0));
    if text_width(text, LETTERS) < from.y - to.y - 1.0 {
        picture.text(Point::new(x - 0.8, f64::midpoint(from.y, to.y)), LETTERS, Anchor::Middle, true, text);
    } else {
        let wide = text_width(text, LETTERS) + 3.0;
        picture.line(b, Point::new(x, b.y - 4.0 - wide), Pen::Thin);
        picture.text(Point::new(x - 0.8, b.y - 5.0), LETTERS, Anchor::Start, true, text);
    }
}

/// The dimension line with its two heads; pointing inwards from outside where the line is too short for them.
fn arrows(picture: &mut Picture, a: Point, b: Point, along: Vec2) {
    let outside = a.distance(b) < 3.0 * ARROW;
    let (start, end) = if outside { (a - along * 2.0 * ARROW, b + along * 2.0 * ARROW) } else { (a, b) };
    picture.line(start, end, Pen::Thin);
    let sign = if outside { -1.0 } else { 1.0 };
    head(picture, a, along * sign);
    head(picture, b, along * -sign);
}

fn head(picture: &mut Picture, tip: Point, into: Vec2) {
    let side = Vec2::new(-into.y, into.x) * (ARROW / 6.0);
    let foot = tip + into * ARROW;
    picture.polygon(&[tip, foot + side, foot - side], Pen::Solid);
}
