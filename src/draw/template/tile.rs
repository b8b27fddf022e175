//! A patch being drawn: what lies in its window, and words where nothing is drawn.

use super::LETTERS;
use crate::draw::label::{Target, note};
use crate::draw::letters::TAIL;
use crate::draw::room::Room;
use crate::draw::{Anchor, Pen, Picture, Text, text_width};
use crate::geometry::{Affine, FLATTEN, Outline, Point, Rect, Vec2};

/// What lies in a window of the template, moved onto the paper.
pub(super) struct Tile {
    pub picture: Picture,
    pub window: Rect,
    pub onto_paper: Vec2,
    /// On paper.
    pub room: Room,
}

impl Tile {
    /// An empty window whose upper-left corner lies here on the paper. Words that have no room in it stand beside it, within
    /// the cell.
    pub fn new(window: Rect, corner: Vec2, cell: Rect) -> Tile {
        let onto_paper = corner - window.origin().to_vec2();
        let mut tile = Tile { picture: Picture::clear(cell.x1, cell.y1), window, onto_paper, room: Room::new(cell) };
        tile.frame();
        tile
    }

    fn frame(&mut self) {
        let on_paper = self.window + self.onto_paper;
        self.picture.rect(on_paper.x0, on_paper.y0, on_paper.width(), on_paper.height(), Pen::Fine);
        self.room.take_sides(on_paper);
    }

    /// A line through points of the template, as much of it as lies in the window.
    pub fn path(&mut self, points: &[Point], pen: Pen) {
        for pair in points.windows(2) {
            if let Some((a, b)) = clipped(pair[0], pair[1], self.window) {
                let (a, b) = (a + self.onto_paper, b + self.onto_paper);
                self.picture.line(a, b, pen);
                self.room.take_line(a, b);
            }
        }
    }

    pub fn outline(&mut self, outline: &Outline, pen: Pen) {
        let bounds = outline.bounds();
        if self.window.union(bounds) == self.window {
            let moved = outline.transformed(Affine::translate(self.onto_paper));
            // Drawn as a line, not as an area: what lies under it stays to be seen.
            let mut points: Vec<Point> = moved.flattened(FLATTEN);
            points.extend(points.first().copied());
            self.room.take_path(&points);
            self.picture.path(&points, pen);
            return;
        }
        let mut points = outline.flattened(FLATTEN);
        points.extend(points.first().copied());
        self.path(&points, pen);
    }

    /// Lines of text beside a rectangle of the template, on the side where there is room; further off, with a leader. All that
    /// is `like` it has words that begin so.
    pub fn words_beside(&mut self, beside: Rect, like: &str, lines: &[&str]) {
        let beside = beside + self.onto_paper;
        let wide = lines.iter().map(|line| text_width(line, LETTERS)).fold(0.0, f64::max);
        let high = LETTERS * (1.0 + TAIL + 1.6 * (lines.len() as f64 - 1.0));
        let middle = beside.center();
        let place = |x: f64, y: f64| Rect::new(x, y, x + wide, y + high);
        let columns = [beside.x1, beside.x0 - wide, middle.x - wide / 2.0, beside.x1 - wide, beside.x0];
        let rows = [middle.y - high / 2.0, beside.y0 - high, beside.y1, beside.y0, beside.y1 - high];
        // Beside it first, then over and under it, then at its corners.
        let beside_it = columns[..2].iter().map(|x| place(*x, rows[0]));
        let over_and_under = columns[2..].iter().flat_map(|x| rows[1..3].iter().map(|y| place(*x, *y)));
        let at_corners = columns[..2].iter().flat_map(|x| rows[1..].iter().map(|y| place(*x, *y)));
        let free = beside_it.chain(over_and_under).chain(at_corners).find(|place| self.room.is_free(*place));
        let place = match free {
            Some(place) => place,
            None => {
                let target = Target::Box(beside.inflate(-4.0, -4.0));
                let whole = lines.join(", ");
                if note(&mut self.picture, &mut self.room, &[target], &whole).is_some()
                    || note(&mut self.picture, &mut self.room, &[target], lines[0]).is_some()
                {
                    return;
                }
                // One of a row: its like has its words, and the part's drawing has all places.
                if self.picture.texts().any(|text| text.text.starts_with(like)) {
                    return;
                }
                place(columns[0], rows[0])
            }
        };
        for (i, line) in lines.iter().enumerate() {
            let at = Point::new(place.x0, place.y0 + LETTERS * (1.0 + 1.6 * i as f64));
            self.picture.text(at, LETTERS, Anchor::Start, false, line);
        }
        self.room.take_text(place);
    }

    /// Lines of text at the right of the window.
    pub fn words_at_the_right(&mut self, lines: &[&str]) {
        let corner = Point::new(self.window.x1 + 2.0, self.window.y0 + 2.0) + self.onto_paper;
        for (i, line) in lines.iter().enumerate() {
            let at = corner + Vec2::new(0.0, LETTERS * (1.0 + 1.6 * i as f64));
            self.picture.text(at, LETTERS, Anchor::Start, false, line);
        }
    }

    /// Text along an edge, just inside it, at the free place nearest to the edge's middle; false where there is none.
    pub fn along_edge(&mut self, on: Point, inside: Point, text: &str) -> bool {
        let upright = (on.x - inside.x).abs() > (on.y - inside.y).abs();
        let half = text_width(text, LETTERS) / 2.0 + 2.0;
        let room = self.window.inset(-3.0);
        let (low, high) = if upright { (room.y0 + half, room.y1 - half) } else { (room.x0 + half, room.x1 - half) };
        if low > high
            || (upright && !(room.x0..=room.x1).contains(&on.x))
            || (!upright && !(room.y0..=room.y1).contains(&on.y))
        {
            return false;
        }
        // Inside the edge by a letter; a baseline lies on the far side of its letters. From the middle of the edge
        // outwards, as far as it takes.
        let span = high - low;
        let middle = if upright { on.y.clamp(low, high) } else { on.x.clamp(low, high) };
        for step in 0..=40 {
            let by = f64::from((step + 1) / 2) * 4.0 * if step % 2 == 0 { 1.0 } else { -1.0 };
            if by.abs() > span || !(low..=high).contains(&(middle + by)) {
                continue;
            }
            let at = if upright {
                let x = if inside.x > on.x { on.x + 2.0 + LETTERS } else { on.x - 2.0 };
                Point::new(x, middle + by)
            } else {
                let y = if inside.y > on.y { on.y + 2.0 + LETTERS } else { on.y - 2.0 };
                Point::new(middle + by, y)
            };
            let words = Text {
                text: text.into(),
                at: at + self.onto_paper,
                height: LETTERS,
                anchor: Anchor::Middle,
                turned: upright,
            };
            if self.room.is_free(words.bounds()) {
                self.room.take_text(words.bounds());
                self.picture.text(words.at, LETTERS, Anchor::Middle, upright, text);
                return true;
            }
        }
        false
    }
}

/// The part of a straight line within a rectangle (Liang and Barsky).
fn clipped(a: Point, b: Point, within: Rect) -> Option<(Point, Point)> {
    let along = b - a;
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for (along, inside) in [
        (-along.x, a.x - within.x0),
        (along.x, within.x1 - a.x),
        (-along.y, a.y - within.y0),
        (along.y, within.y1 - a.y),
    ] {
        if along.abs() < 1e-12 {
            if inside < 0.0 {
                return None;
            }
        } else if along < 0.0 {
            from = from.max(inside / along);
        } else {
            to = to.min(inside / along);
        }
    }
    (from < to).then(|| (a.lerp(b, from), a.lerp(b, to)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_off_at_the_window() {
        let window = Rect::new(0.0, 0.0, 10.0, 10.0);
        let (a, b) = clipped(Point::new(-5.0, 5.0), Point::new(15.0, 5.0), window).expect("crosses it");
        assert!(a.distance(Point::new(0.0, 5.0)) < 1e-12 && b.distance(Point::new(10.0, 5.0)) < 1e-12);
        assert!(clipped(Point::new(-5.0, 11.0), Point::new(15.0, 11.0), window).is_none());
    }
}
