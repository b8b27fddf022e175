//! Names of pieces and numbers of cuts, where nothing else stands.

use super::{Drawn, SMALL};
use crate::draw::dimension::LETTERS;
use crate::draw::flag::flag;
use crate::draw::label::{line_places, spot_with};
use crate::draw::letters::TAIL;
use crate::draw::room::Room;
use crate::draw::{Anchor, Pen, text_width};
use crate::geometry::math::unit;
use crate::geometry::{Point, Rect};

/// Where there is no room, numbers of cuts are no smaller than this.
const TINY: f64 = 1.3;

impl Drawn {
    /// Fine lines at 45°. What is written on them clears its own place.
    pub fn hatch(&mut self, rect: Rect) {
        const APART: f64 = 4.0;
        let rect = self.on_paper(rect);
        let mut c = rect.x0 + rect.y0 + APART;
        while c < rect.x1 + rect.y1 {
            // The line x + y = c within the rectangle.
            let from = Point::new((c - rect.y1).max(rect.x0), (c - rect.x0).min(rect.y1));
            let to = Point::new((c - rect.y0).min(rect.x1), (c - rect.x1).max(rect.y0));
            self.picture.line(from, to, Pen::Fine);
            c += APART;
        }
    }

    pub fn off_cut_label(&mut self, name: &str, size: &str, rect: Rect) {
        let rect = self.on_paper(rect);
        let turned = rect.height() > rect.width() * 1.5;
        let along = if turned { rect.height() } else { rect.width() };
        for height in [LETTERS, SMALL, 1.3] {
            let wide = text_width(name, height).max(text_width(size, height)) + 1.6;
            let high = height * (2.5 + TAIL) + 1.4;
            if wide > along || high > rect.width().min(rect.height()) {
                continue;
            }
            let (w, h) = if turned { (high, wide) } else { (wide, high) };
            let Some(spot) = spot_with(&self.room, rect, w, h, 0.1) else { continue };
            self.picture.rect(spot.x0, spot.y0, spot.width(), spot.height(), Pen::Paper);
            for (i, text) in [name, size].into_iter().enumerate() {
                let down = 0.7 + height * (1.0 + 1.5 * i as f64);
                let at = if turned {
                    Point::new(spot.x0 + down, spot.center().y)
                } else {
                    Point::new(spot.center().x, spot.y0 + down)
                };
                self.text(at, height, Anchor::Middle, turned, text);
            }
            self.room.take_text(spot);
            return;
        }
    }

    /// A piece's name, and its size where there is room, as large as fits. `None` where it would be too small to read.
    pub fn label(&mut self, rect: Rect, name: &str, size: &str, upright: bool) -> Option<()> {
        let tries: [(&[&str], f64, f64); 4] = [
            (&[name, size], LETTERS, 0.5),
            (&[name], LETTERS, 1.0),
            (&[name, size], SMALL, 0.3),
            (&[name], SMALL, 0.2),
        ];
        self.write_in(rect, &tries, upright)
    }

    /// A small piece's name beside it on a leader. Where there is no room beside, it is very small in it: `None`.
    pub fn label_beside(&mut self, piece: Rect, pieces: &[Rect], within: Rect, name: &str) -> Option<()> {
        let few = pieces.len() <= super::MOST_BESIDE;
        let beside = few.then(|| flag(&mut self.picture, &mut self.room, within, (piece, pieces), &[name])).flatten();
        if beside.is_none() {
            self.write_in(piece, &[(&[name], 1.3, 0.1), (&[name], 1.1, 0.02)], piece.height() > piece.width());
        }
        beside
    }

    /// Writes the first of several texts that has room in a rectangle. Each is lines, their height, and the white around them
    /// (mm).
    fn write_in(&mut self, rect: Rect, tries: &[(&[&str], f64, f64)], upright: bool) -> Option<()> {
        for &(lines, height, around) in tries {
            let wide = lines.iter().map(|line| text_width(line, height)).fold(0.0, f64::max);
            let high = height * (1.0 + TAIL + 1.5 * (lines.len() as f64 - 1.0));
            for turned in [upright, !upright] {
                let (w, h) = if turned { (high, wide) } else { (wide, high) };
                let Some(spot) = spot_with(&self.room, rect, w, h, around) else { continue };
                for (line, at) in lines.iter().zip(line_places(spot, height, turned)) {
                    self.text(at, height, Anchor::Middle, turned, line);
                }
                return Some(());
            }
        }
        None
    }

    pub fn numbers(&mut self, cuts: Vec<(usize, Point, Point)>) {
        for (number, a, b) in cuts {
            self.number(&number.to_string(), a, b);
        }
    }

    /// The number of a cut in a box on its line, or beside it on a leader where the line has no room.
    fn number(&mut self, text: &str, a: Point, b: Point) {
        const SHARES: [f64; 13] = [0.12, 0.2, 0.28, 0.36, 0.44, 0.56, 0.64, 0.72, 0.8, 0.88, 0.5, 0.05, 0.95];
        let tag = |at: Point, height: f64| {
            Rect::from_center_size(at, (text_width(text, height) + 0.9, height * (1.13 + TAIL)))
        };
        let free = |room: &Room, rect: Rect| room.clear_of_texts(rect.inflate(0.05, 0.05));
        let heights: &[f64] = if a.distance(b) < 4.0 { &[TINY] } else { &[SMALL, TINY] };
        let on_line = heights
            .iter()
            .flat_map(|height| SHARES.map(|share| (a.lerp(b, share), *height)))
            .find(|(at, height)| free(&self.room, tag(*at, *height)));
        if let Some((at, height)) = on_line {
            return self.tag(text, tag(at, height), height);
        }
        for reach in [2.0, 3.0, 4.5, 6.5, 9.0, 13.0, 18.0, 25.0] {
            for share in SHARES {
                for eighth in 0..16 {
                    let direction = unit(f64::from(eighth) * std::f64::consts::PI / 8.0);
                    let (from, to) = (a.lerp(b, share), a.lerp(b, share) + direction * reach);
                    let rect = tag(to, TINY);
                    if free(&self.room, rect) && self.room.is_open(from, to) {
                        self.line(from, to, Pen::Fine);
                        return self.tag(text, rect, TINY);
                    }
                }
            }
        }
        self.tag(text, tag(a.midpoint(b), TINY), TINY);
    }

    fn tag(&mut self, text: &str, rect: Rect, height: f64) {
        self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), Pen::Hole);
        let at = Point::new(rect.center().x, rect.y1 - height * (TAIL + 0.02));
        self.picture.text(at, height, Anchor::Middle, false, text);
        self.room.take_text(rect);
    }
}
