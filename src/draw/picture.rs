//! A picture: marks on paper, from which every file format is written.

use super::letters::{TAIL, text_width};
use super::pen::Pen;
use crate::geometry::{Affine, Outline, Point, Rect, Vec2};

/// Where a text stands about its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// Marks on a piece of paper, in the order in which they are drawn. Millimetres, x to the right, y down.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    pub width: f64,
    pub height: f64,
    /// What it shows, for those who cannot see it.
    pub title: String,
    pub marks: Vec<Mark>,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// An open line through points.
    Line {
        points: Vec<Point>,
        pen: Pen,
    },
    /// A filled area; an outline inside another is a hole in it.
    Area {
        outlines: Vec<Outline>,
        pen: Pen,
    },
    Text(Text),
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    pub text: String,
    /// On the baseline.
    pub at: Point,
    /// Of a capital.
    pub height: f64,
    pub anchor: Anchor,
    /// Runs upwards, to be read from the right.
    pub turned: bool,
}

impl Text {
    pub fn width(&self) -> f64 {
        text_width(&self.text, self.height)
    }

    /// Where its baseline starts.
    pub fn start(&self) -> Point {
        let back = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => self.width() / 2.0,
            Anchor::End => self.width(),
        };
        self.at - self.along() * back
    }

    /// Unit vector along the baseline.
    pub fn along(&self) -> Vec2 {
        if self.turned { Vec2::new(0.0, -1.0) } else { Vec2::new(1.0, 0.0) }
    }

    /// The rectangle of paper it takes, from the tops of capitals to the ends of tails.
    pub fn bounds(&self) -> Rect {
        let start = self.start();
        let end = start + self.along() * self.width();
        // Figures have no tails.
        let tails = !self.text.chars().all(|c| c.is_ascii_digit());
        let (up, down) = (self.height, if tails { self.height * TAIL } else { 0.0 });
        if self.turned {
            Rect::new(start.x - up, end.y, start.x + down, start.y)
        } else {
            Rect::new(start.x, start.y - up, end.x, start.y + down)
        }
    }
}

impl Picture {
    /// An empty picture of this size on paper.
    pub fn new(width: f64, height: f64) -> Picture {
        let mut picture = Picture::clear(width, height);
        picture.rect(0.0, 0.0, width, height, Pen::Paper);
        picture
    }

    /// The same without the paper: to be laid on another picture.
    pub fn clear(width: f64, height: f64) -> Picture {
        Picture { width, height, title: String::new(), marks: Vec::new() }
    }

    pub fn titled(mut self, title: impl Into<String>) -> Picture {
        self.title = title.into();
        self
    }

    pub fn line(&mut self, from: Point, to: Point, pen: Pen) {
        self.path(&[from, to], pen);
    }

    /// A line through several points.
    pub fn path(&mut self, points: &[Point], pen: Pen) {
        self.marks.push(Mark::Line { points: points.to_vec(), pen });
    }

    /// A rectangle from its upper-left corner.
    pub fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, pen: Pen) {
        self.outline(&Outline::from_rect(Rect::new(x, y, x + width, y + height)), pen);
    }

    pub fn polygon(&mut self, points: &[Point], pen: Pen) {
        self.outline(&Outline::polygon(points.iter().map(|p| (p.x, p.y))), pen);
    }

    pub fn circle(&mut self, centre: Point, diameter: f64, pen: Pen) {
        self.outline(&Outline::circle(centre, diameter), pen);
    }

    /// An outline already in paper coordinates; arcs stay arcs.
    pub fn outline(&mut self, outline: &Outline, pen: Pen) {
        self.area(vec![outline.clone()], pen);
    }

    /// An area with holes in it.
    pub fn area(&mut self, outlines: Vec<Outline>, pen: Pen) {
        self.marks.push(Mark::Area { outlines, pen });
    }

    /// A line of text with its baseline at `at`, capitals `height` high; `turned` runs it upwards, to be read from the
    /// right.
    pub fn text(&mut self, at: Point, height: f64, anchor: Anchor, turned: bool, text: &str) {
        let text = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        self.marks.push(Mark::Text(Text { text, at, height, anchor, turned }));
    }

    /// Everything of another picture, moved.
    pub fn append(&mut self, other: &Picture, by: Vec2) {
        self.marks.extend(other.marks.iter().map(|mark| match mark {
            Mark::Line { points, pen } => {
                Mark::Line { points: points.iter().map(|point| *point + by).collect(), pen: *pen }
            }
            Mark::Area { outlines, pen } => {
                let moved = outlines.iter().map(|outline| outline.transformed(Affine::translate(by))).collect();
                Mark::Area { outlines: moved, pen: *pen }
            }
            Mark::Text(text) => Mark::Text(Text { at: text.at + by, ..text.clone() }),
        }));
    }

    /// All texts.
    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.marks.iter().filter_map(|mark| if let Mark::Text(text) = mark { Some(text) } else { None })
    }

    /// The pens it was drawn with.
    pub fn pens(&self) -> impl Iterator<Item = Pen> + '_ {
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Line { pen, .. } | Mark::Area { pen, .. } => Some(*pen),
            Mark::Text(_) => None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_text_runs_upwards_and_stands_left_of_its_baseline() {
        let mut picture = Picture::new(100.0, 100.0);
        picture.text(Point::new(50.0, 50.0), 2.5, Anchor::Middle, true, "235");
        let text = picture.texts().next().expect("a text");
        let (bounds, wide) = (text.bounds(), text.width());
        assert!((bounds.y0 - (50.0 - wide / 2.0)).abs() < 1e-9 && (bounds.y1 - (50.0 + wide / 2.0)).abs() < 1e-9);
        assert!((bounds.x0 - 47.5).abs() < 1e-9 && bounds.x1 < 51.0);
    }
}
