//! Linear dimensions after ISO 129-1: the value above its line, read from the bottom or from the right.
//!
//! All dimensions of a view are taken from one reference edge, so that no errors add up: each on a line of its own, or,
//! where there are many, on one running line whose values stand at the ends of the extension lines.

use super::picture::Text;
use super::room::{Room, overlap};
use super::{Anchor, Pen, Picture, text_width};
use crate::geometry::{Point, Rect, Vec2};

/// Height of all letters of a drawing (mm), from the series of ISO 3098.
pub(super) const LETTERS: f64 = 2.5;
/// Extension lines start this far from the outline and run this far past the dimension line (mm).
const GAP: f64 = 1.0;
const PAST: f64 = 2.0;
/// Arrow heads, an angle of 15 degrees.
const ARROW: f64 = 2.5;
/// The value stands this far above its line.
const LIFT: f64 = 0.9;
/// Dimension lines stand this far apart, the first a little more from the outline.
pub(super) const ROW: f64 = 8.0;
pub(super) const FIRST_ROW: f64 = 9.0;
/// More dimensions than this go on one running line.
const MOST_ROWS: usize = 5;

/// Something that is measured from the reference edge.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Measured {
    /// The point on paper.
    pub at: Point,
    pub text: String,
}

/// On which side of a view the dimensions stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Baseline {
    /// Below it, measured to the right.
    Below,
    /// On its left, measured upwards.
    Left,
}

impl Baseline {
    /// Unit vectors in which it is measured, and away from the view; paper's y runs down.
    fn axes(self) -> (Vec2, Vec2) {
        match self {
            Baseline::Below => (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)),
            Baseline::Left => (Vec2::new(0.0, -1.0), Vec2::new(-1.0, 0.0)),
        }
    }

    /// Towards where the value stands over its line.
    fn over(self) -> Vec2 {
        match self {
            Baseline::Below => Vec2::new(0.0, -1.0),
            Baseline::Left => Vec2::new(-1.0, 0.0),
        }
    }
}

/// Draws dimensions and takes the room they need.
pub(super) struct Dimensions<'a> {
    pub picture: &'a mut Picture,
    pub room: &'a mut Room,
    /// A value at the left that has no room between its arrows stands under them, not over them, if it can.
    pub low: bool,
    /// Kept free of values, for what comes there later.
    pub kept: Option<Rect>,
}

impl Dimensions<'_> {
    /// Dimensions from `origin` to each of what is measured, which must be in order of distance; the first line stands
    /// `first` from the origin. `None` if the room does not suffice; something may have been drawn then.
    pub fn baseline(&mut self, side: Baseline, origin: Point, measured: &[Measured], first: f64) -> Option<()> {
        if measured.len() > MOST_ROWS {
            self.running(side, origin, measured, first)
        } else {
            self.parallel(side, origin, measured, first)
        }
    }

    /// One line above the other, the shortest next to the view.
    fn parallel(&mut self, side: Baseline, origin: Point, measured: &[Measured], first: f64) -> Option<()> {
        let (along, away) = side.axes();
        let mut row = first;
        for (i, item) in measured.iter().enumerate() {
            let reach = (item.at - origin).dot(along);
            // The extension lines of all longer ones pass this row.
            let mut crossed = self.room.clone();
            for longer in &measured[i + 1..] {
                let foot = origin + along * (longer.at - origin).dot(along);
                crossed.take_line(foot, foot + away * 1000.0);
            }
            let mut tries = 0;
            let (text, line, legs) = loop {
                let start = origin + away * row;
                let legs = [leg(origin, start, side), leg(item.at, start + along * reach, side)];
                let open = legs.iter().all(|(from, to)| self.room.is_open(*from, *to));
                let found = place_value(&crossed, (side, self.low), start, reach, &item.text, self.kept);
                match found {
                    Some((text, line)) if open => break (text, line, legs),
                    _ => {}
                }
                row += ROW / 2.0;
                tries += 1;
                if tries > 6 {
                    return None;
                }
            };
            for (from, to) in legs {
                self.line(from, to);
            }
            self.line(line.0, line.1);
            let (from, to) = (origin + away * row, origin + away * row + along * reach);
            let outside = reach < 3.0 * ARROW;
            let sign = if outside { -1.0 } else { 1.0 };
            head(self.picture, from, along * sign);
            head(self.picture, to, along * -sign);
            self.value(text);
            row += ROW;
        }
        Some(())
    }

    /// All on one line from a small circle at the reference edge, each value at the end of its extension line.
    fn running(&mut self, side: Baseline, origin: Point, measured: &[Measured], first: f64) -> Option<()> {
        let (along, away) = side.axes();
        /// Values stand at least this far apart, a line and a little more.
        const APART: f64 = LETTERS * 1.6;
        let reaches: Vec<f64> = measured.iter().map(|item| (item.at - origin).dot(along)).collect();
        let spread = spread(&reaches, APART);
        let start = origin + away * first;
        let mut lines = vec![leg(origin, start + away * 1.0, side), (start, start + along * reaches.last().copied()?)];
        let circle = Rect::from_center_size(start, (3.0, 3.0));
        let mut texts = Vec::new();
        let mut taken = self.room.clone();
        taken.take_sides(circle);
        for ((item, reach), label) in measured.iter().zip(&reaches).zip(&spread) {
            let bend = start + along * *reach + away * PAST;
            let end = start + along * *label + away * (PAST + 3.0);
            lines.extend([(item.at + away * GAP, bend), (bend, end)]);
            // Read along the extension line: from the right below a view, from the bottom on its left.
            let text = Text {
                text: item.text.clone(),
                at: end + away * 1.0 + over_middle(side),
                height: LETTERS,
                anchor: Anchor::End,
                turned: side == Baseline::Below,
            };
            let bounds = text.bounds();
            if !taken.is_free(bounds) || self.kept.is_some_and(|kept| overlap(kept, bounds)) {
                return None;
            }
            taken.take_text(bounds);
            texts.push(text);
        }
        if !taken.clear_of_texts(circle) || !lines.iter().all(|(from, to)| taken.is_open(*from, *to)) {
            return None;
        }
        *self.room = taken;
        self.picture.circle(start, 3.0, Pen::Thin);
        for (from, to) in lines {
            self.line(from, to);
        }
        for (reach, text) in reaches.iter().zip(texts) {
            head(self.picture, start + along * *reach, -along);
            self.picture.text(text.at, text.height, text.anchor, text.turned, &text.text);
        }
        Some(())
    }

    fn line(&mut self, from: Point, to: Point) {
        self.picture.line(from, to, Pen::Thin);
        self.room.take_line(from, to);
    }

    fn value(&mut self, text: Text) {
        self.room.take_text(text.bounds());
        self.picture.text(text.at, text.height, text.anchor, text.turned, &text.text);
    }
}

/// An extension line, from a little off what is measured to a little past the dimension line.
fn leg(from: Point, to: Point, side: Baseline) -> (Point, Point) {
    let away = side.axes().1;
    (from + away * GAP, to + away * PAST)
}

/// From the end of an extension line to the baseline of a value that stands across it.
fn over_middle(side: Baseline) -> Vec2 {
    match side {
        Baseline::Below => Vec2::new(LETTERS / 2.0, 0.0),
        Baseline::Left => Vec2::new(0.0, LETTERS / 2.0),
    }
}

/// Where a value may stand on the line that starts at `start`, and where that line then runs.
fn place_value(
    room: &Room,
    (side, low): (Baseline, bool),
    start: Point,
    reach: f64,
    text: &str,
    kept: Option<Rect>,
) -> Option<(Text, (Point, Point))> {
    let (along, _) = side.axes();
    let lift = side.over() * LIFT;
    let turned = side == Baseline::Left;
    let wide = text_width(text, LETTERS);
    let end = start + along * reach;
    let outside = reach < 3.0 * ARROW;
    let stub = if outside { 2.0 * ARROW } else { 0.0 };
    let value = |at: Point, anchor| Text { text: text.into(), at: at + lift, height: LETTERS, anchor, turned };
    let between = value(start + along * (reach / 2.0), Anchor::Middle);
    let beyond = value(end + along * (ARROW * 2.0 + 1.0), Anchor::Start);
    let before = value(start - along * (ARROW * 2.0 + 1.0), Anchor::End);
    let mut places = Vec::new();
    if wide < reach - 1.0 {
        places.push((between, (start - along * stub, end + along * stub)));
    }
    let tail = ARROW * 2.0 + 1.5 + wide;
    let outer = 2.0 * ARROW;
    places.push((beyond, (start - along * outer, end + along * tail)));
    places.push((before, (start - along * tail, end + along * outer)));
    if low && side == Baseline::Left {
        let last = places.len() - 1;
        places.swap(last, last - 1);
    }
    places.into_iter().find(|(text, line)| {
        let bounds = text.bounds();
        room.is_free(bounds) && room.is_open(line.0, line.1) && !kept.is_some_and(|kept| overlap(kept, bounds))
    })
}

/// Positions moved apart to at least `apart`, as little as possible and in their order.
pub(super) fn spread(wanted: &[f64], apart: f64) -> Vec<f64> {
    // Neighbours that press on each other become a block about the middle of what they want.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for at in wanted {
        blocks.push((*at, 1));
        while let [.., (a, n), (b, m)] = blocks[..] {
            let room = apart * (n + m) as f64 / 2.0;
            if b - a >= room - 1e-9 {
                break;
            }
            blocks.pop();
            blocks.pop();
            blocks.push(((a * n as f64 + b * m as f64) / (n + m) as f64, n + m));
        }
    }
    blocks
        .into_iter()
        .flat_map(|(middle, count)| (0..count).map(move |i| middle + apart * (i as f64 - (count as f64 - 1.0) / 2.0)))
        .collect()
}

/// An arrow head whose tip is at `tip`, its body towards `into`.
pub(super) fn head(picture: &mut Picture, tip: Point, into: Vec2) {
    let side = Vec2::new(-into.y, into.x) * (ARROW / 7.6);
    let foot = tip + into * ARROW;
    picture.polygon(&[tip, foot + side, foot - side], Pen::Solid);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_spread_no_more_than_needed() {
        assert_eq!(spread(&[0.0, 10.0, 20.0], 4.0), [0.0, 10.0, 20.0]);
        assert_eq!(spread(&[10.0, 11.0], 4.0), [8.5, 12.5]);
        let close = spread(&[0.0, 5.0, 5.5, 6.0, 30.0], 4.0);
        assert!(close.windows(2).all(|pair| pair[1] - pair[0] >= 4.0 - 1e-9), "{close:?}");
        assert_eq!(close[4], 30.0);
    }

    /// The value of a dimension that is too short for it stands beside, and the lines still do not touch it.
    #[test]
    fn short_dimensions_put_their_value_outside() {
        let mut picture = Picture::new(200.0, 200.0);
        let mut room = Room::new(Rect::new(0.0, 0.0, 200.0, 200.0));
        let origin = Point::new(80.0, 80.0);
        let items: Vec<Measured> = [1.0, 4.0, 9.0, 60.0]
            .iter()
            .map(|x| Measured { at: origin + Vec2::new(*x, -5.0), text: format!("{}", x * 10.0) })
            .collect();
        let mut dimensions = Dimensions { picture: &mut picture, room: &mut room, low: false, kept: None };
        dimensions.baseline(Baseline::Below, origin, &items, FIRST_ROW).expect("room enough");
        for text in picture.texts() {
            for mark in &picture.marks {
                if let super::super::Mark::Line { points, .. } = mark {
                    for pair in points.windows(2) {
                        assert!(!crate::geometry::crosses(pair[0], pair[1], text.bounds()), "{}", text.text);
                    }
                }
            }
        }
    }
}
