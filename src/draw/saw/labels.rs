//! Names of pieces and numbers of cuts, where nothing else stands.

use super::drawn::Drawn;
use crate::draw::cut::hatch;
use crate::draw::dimension::LETTERS;
use crate::draw::flag::flag;
use crate::draw::label::{line_places, spot_with};
use crate::draw::letters::TAIL;
use crate::draw::room::Room;
use crate::draw::{Anchor, Pen, text_width};
use crate::geometry::math::unit;
use crate::geometry::{Affine, Outline, Point, Rect, Region, to_polygon};

impl Drawn {
    /// Fine lines at 45°. What is written on them clears its own place.
    pub fn hatch(&mut self, rect: Rect) {
        let region = Region::from(to_polygon(&Outline::from_rect(self.on_paper(rect))));
        hatch(&mut self.picture, &region, Affine::IDENTITY, true, Pen::Fine);
    }

    /// An off-cut's name and size on a clear place of its hatching; `None` where there is no room.
    pub fn off_cut_label(&mut self, name: &str, size: &str, rect: Rect) -> Option<()> {
        let rect = self.on_paper(rect);
        let turned = rect.height() > rect.width() * 1.5;
        let along = if turned { rect.height() } else { rect.width() };
        for lines in [&[name, size][..], &[name]] {
            let wide = lines.iter().map(|line| text_width(line, LETTERS)).fold(0.0, f64::max) + 1.6;
            let high = LETTERS * (1.0 + TAIL + 1.5 * (lines.len() as f64 - 1.0)) + 1.4;
            if wide > along || high > rect.width().min(rect.height()) {
                continue;
            }
            let (w, h) = if turned { (high, wide) } else { (wide, high) };
            let Some(spot) = spot_with(&self.room, rect, w, h, 0.1) else { continue };
            self.picture.rect(spot.x0, spot.y0, spot.width(), spot.height(), Pen::Paper);
            for (i, text) in lines.iter().enumerate() {
                let down = 0.7 + LETTERS * (1.0 + 1.5 * i as f64);
                let at = if turned {
                    Point::new(spot.x0 + down, spot.center().y)
                } else {
                    Point::new(spot.center().x, spot.y0 + down)
                };
                self.text(at, LETTERS, Anchor::Middle, turned, text);
            }
            self.room.take_text(spot);
            return Some(());
        }
        None
    }

    /// A piece's name, what it is called and its size where there is room. `None` where not even the name has room.
    pub fn label(&mut self, rect: Rect, (name, part): (&str, &str), size: &str, upright: bool) -> Option<()> {
        let called = format!("{name} {part}");
        let tries: [&[&str]; 4] = [&[&called, size], &[&called], &[name, size], &[name]];
        let whites = [0.5, 0.5, 0.5, 0.2];
        let tries: Vec<(&[&str], f64)> = tries.into_iter().zip(whites).collect();
        self.write_in(rect, &tries, upright)
    }

    /// A small piece's name beside it on a leader; `None` where there is no room.
    pub fn label_beside(&mut self, piece: Rect, pieces: &[Rect], within: Rect, name: &str) -> Option<()> {
        flag(&mut self.picture, &mut self.room, within, (piece, pieces), &[name], LETTERS)
    }

    /// Writes the first of several texts that has room in a rectangle. Each is lines, and the white around them (mm).
    fn write_in(&mut self, rect: Rect, tries: &[(&[&str], f64)], upright: bool) -> Option<()> {
        let height = LETTERS;
        for &(lines, around) in tries {
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

    /// The number of a cut in a box on its line, or beside it on a leader where the line has no room; `None` where neither has.
    pub fn number(&mut self, text: &str, a: Point, b: Point) -> Option<()> {
        const SHARES: [f64; 13] = [0.12, 0.2, 0.28, 0.36, 0.44, 0.56, 0.64, 0.72, 0.8, 0.88, 0.5, 0.05, 0.95];
        let tag = |at: Point| Rect::from_center_size(at, (text_width(text, LETTERS) + 0.9, LETTERS * (1.13 + TAIL)));
        let free = |room: &Room, rect: Rect| room.clear_of_texts(rect.inflate(0.05, 0.05));
        // A box longer than its cut would hide it.
        let long = a.distance(b) > tag(a).width().min(tag(a).height()) * 1.5;
        let on_line = SHARES.map(|share| a.lerp(b, share)).into_iter().find(|at| long && free(&self.room, tag(*at)));
        if let Some(at) = on_line {
            self.tag(text, tag(at));
            return Some(());
        }
        for reach in [3.0, 4.5, 6.5, 9.0, 13.0] {
            for share in SHARES {
                for eighth in 0..16 {
                    let direction = unit(f64::from(eighth) * std::f64::consts::PI / 8.0);
                    let (from, to) = (a.lerp(b, share), a.lerp(b, share) + direction * reach);
                    let rect = tag(to);
                    if free(&self.room, rect) && self.room.is_open(from, to) {
                        self.line(from, to, Pen::Fine);
                        self.tag(text, rect);
                        return Some(());
                    }
                }
            }
        }
        None
    }

    fn tag(&mut self, text: &str, rect: Rect) {
        let height = LETTERS;
        self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), Pen::Hole);
        let at = Point::new(rect.center().x, rect.y1 - height * (TAIL + 0.02));
        self.picture.text(at, height, Anchor::Middle, false, text);
        self.room.take_text(rect);
    }
}
