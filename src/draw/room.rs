//! What of the paper is taken: where another text or line may go without touching what is there.

use crate::geometry::{Point, Rect, Vec2, crosses};
use std::collections::HashMap;

/// White kept round every text (mm).
pub(super) const AROUND: f64 = 0.6;

/// The paper inside a frame, and what is taken of it by texts and lines.
#[derive(Clone, Debug)]
pub(super) struct Room {
    within: Rect,
    texts: Vec<Rect>,
    lines: Vec<(Point, Point)>,
    /// Texts and lines, by their index, that come into each square of the paper: thousands of lines are never all near.
    squares: HashMap<(i32, i32), Near>,
}

#[derive(Clone, Debug, Default)]
struct Near {
    texts: Vec<usize>,
    lines: Vec<usize>,
}

/// Squares of paper into which a rectangle comes.
fn squares(rect: Rect) -> impl Iterator<Item = (i32, i32)> {
    /// Side of a square (mm).
    const SIDE: f64 = 8.0;
    let at = |mm: f64| (mm / SIDE).floor() as i32;
    let (rows, columns) = (at(rect.y0)..=at(rect.y1), at(rect.x0)..=at(rect.x1));
    rows.flat_map(move |row| columns.clone().map(move |column| (column, row)))
}

impl Room {
    pub fn new(within: Rect) -> Room {
        Room { within, texts: Vec::new(), lines: Vec::new(), squares: HashMap::new() }
    }

    pub fn take_text(&mut self, rect: Rect) {
        for square in squares(rect) {
            self.squares.entry(square).or_default().texts.push(self.texts.len());
        }
        self.texts.push(rect);
    }

    pub fn take_line(&mut self, from: Point, to: Point) {
        for square in squares(Rect::from_points(from, to)) {
            self.squares.entry(square).or_default().lines.push(self.lines.len());
        }
        self.lines.push((from, to));
    }

    pub fn take_path(&mut self, points: &[Point]) {
        for pair in points.windows(2) {
            self.take_line(pair[0], pair[1]);
        }
    }

    /// Takes the four sides of a rectangle.
    pub fn take_sides(&mut self, rect: Rect) {
        let corners = corners(rect);
        for i in 0..4 {
            self.take_line(corners[i], corners[(i + 1) % 4]);
        }
    }

    /// May a text stand here?
    pub fn is_free(&self, rect: Rect) -> bool {
        self.has_room(rect, AROUND)
    }

    /// May a text stand here with so much white round it?
    pub fn has_room(&self, rect: Rect, around: f64) -> bool {
        let wide = rect.inflate(around, around);
        let inside = wide.x0 >= self.within.x0
            && wide.x1 <= self.within.x1
            && wide.y0 >= self.within.y0
            && wide.y1 <= self.within.y1;
        let text = |i: &usize| overlap(self.texts[*i], wide);
        let line = |i: &usize| crosses(self.lines[*i].0, self.lines[*i].1, wide);
        let taken = |near: &Near| near.texts.iter().any(text) || near.lines.iter().any(line);
        inside && !self.near(wide).any(taken)
    }

    /// What comes into the squares that a rectangle comes into.
    fn near(&self, rect: Rect) -> impl Iterator<Item = &Near> {
        squares(rect).filter_map(|square| self.squares.get(&square))
    }

    /// Is it on the paper and clear of all texts, whatever lines run under it?
    pub fn clear_of_texts(&self, rect: Rect) -> bool {
        let text = |i: &usize| overlap(self.texts[*i], rect);
        self.within.union(rect) == self.within && !self.near(rect).any(|near| near.texts.iter().any(text))
    }

    /// May a line run here? Lines may cross lines, but never a text.
    pub fn is_open(&self, from: Point, to: Point) -> bool {
        let inside = |p: Point| self.within.contains(p);
        let text = |i: &usize| crosses(from, to, self.texts[*i].inflate(0.3, 0.3));
        let around = Rect::from_points(from, to).inflate(0.3, 0.3);
        inside(from) && inside(to) && !self.near(around).any(|near| near.texts.iter().any(text))
    }

    /// How many of the lines it would cross.
    pub fn crossings(&self, from: Point, to: Point) -> usize {
        self.lines.iter().filter(|(a, b)| meet(*a, *b, from, to)).count()
    }
}

/// Do two rectangles have an area in common?
pub(super) fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

/// Do two straight lines cross, ends not counted?
pub(super) fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let opposite = |s: f64, t: f64| (s > 1e-9 && t < -1e-9) || (s < -1e-9 && t > 1e-9);
    opposite(side(a, b, c), side(a, b, d)) && opposite(side(c, d, a), side(c, d, b))
}

pub(super) fn corners(rect: Rect) -> [Point; 4] {
    [
        Point::new(rect.x0, rect.y0),
        Point::new(rect.x1, rect.y0),
        Point::new(rect.x1, rect.y1),
        Point::new(rect.x0, rect.y1),
    ]
}

/// Directions to try a label in, the likeliest first: y runs down.
pub(super) const DIRECTIONS: [Vec2; 12] = [
    Vec2::new(0.71, -0.71),
    Vec2::new(-0.71, -0.71),
    Vec2::new(0.71, 0.71),
    Vec2::new(-0.71, 0.71),
    Vec2::new(0.5, -0.87),
    Vec2::new(-0.5, -0.87),
    Vec2::new(0.5, 0.87),
    Vec2::new(-0.5, 0.87),
    Vec2::new(0.87, -0.5),
    Vec2::new(-0.87, -0.5),
    Vec2::new(0.87, 0.5),
    Vec2::new(-0.87, 0.5),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_keeps_off_texts_lines_and_the_frame() {
        let mut room = Room::new(Rect::new(0.0, 0.0, 100.0, 100.0));
        let spot = Rect::new(40.0, 40.0, 60.0, 44.0);
        assert!(room.is_free(spot));
        assert!(!room.is_free(Rect::new(90.0, 40.0, 100.0, 44.0)));
        room.take_line(Point::new(0.0, 0.0), Point::new(100.0, 100.0));
        assert!(!room.is_free(spot));
        assert!(room.is_free(Rect::new(50.0, 20.0, 70.0, 24.0)));
        room.take_text(Rect::new(50.0, 20.0, 70.0, 24.0));
        assert!(!room.is_free(Rect::new(69.0, 23.0, 80.0, 27.0)));
        assert!(!room.is_open(Point::new(60.0, 0.0), Point::new(60.0, 50.0)));
        assert!(room.is_open(Point::new(80.0, 0.0), Point::new(80.0, 90.0)));
        assert_eq!(room.crossings(Point::new(0.0, 100.0), Point::new(100.0, 0.0)), 1);
    }

    #[test]
    fn a_line_along_a_side_does_not_cross() {
        let rect = Rect::new(10.0, 10.0, 20.0, 20.0);
        assert!(!crosses(Point::new(0.0, 10.0), Point::new(30.0, 10.0), rect));
        assert!(crosses(Point::new(0.0, 0.0), Point::new(30.0, 30.0), rect));
        assert!(crosses(Point::new(15.0, 15.0), Point::new(16.0, 15.0), rect));
        assert!(!crosses(Point::new(0.0, 0.0), Point::new(9.0, 9.0), rect));
    }
}
