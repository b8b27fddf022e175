//! Notes with leaders, put where there is room for them.

use super::dimension::{LETTERS, head};
use super::letters::TAIL;
use super::room::{AROUND, DIRECTIONS, Room};
use super::{Anchor, Pen, Picture, text_width};
use crate::geometry::{Point, Rect, Vec2};
use crate::words::unbroken;

/// White between a reference line and the text over it.
const LIFT: f64 = 0.9;
/// From one line of a note to the next.
const LINE: f64 = LETTERS * 1.5;

/// What a leader points at, on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Target {
    Round { centre: Point, diameter: f64 },
    Box(Rect),
}

impl Target {
    /// The point of its edge that is nearest in a direction from its middle.
    fn edge(&self, direction: Vec2) -> Point {
        match self {
            Target::Round { centre, diameter } => *centre + direction * (diameter / 2.0),
            Target::Box(rect) => {
                let (half_w, half_h) = (rect.width() / 2.0, rect.height() / 2.0);
                let reach = (half_w / direction.x.abs().max(1e-9)).min(half_h / direction.y.abs().max(1e-9));
                rect.center() + direction * reach
            }
        }
    }

    fn size(&self) -> f64 {
        match self {
            Target::Round { diameter, .. } => *diameter,
            Target::Box(rect) => rect.width().max(rect.height()),
        }
    }
}

/// A note longer than this is better written in two lines (mm).
const LONG: f64 = 34.0;

/// A note on its reference line, and its leader.
struct Note {
    cost: f64,
    tip: Point,
    knee: Point,
    taken: Rect,
    /// To the right of the knee, or to its left.
    sign: f64,
    lines: Vec<String>,
}

/// Writes a note on a reference line with a leader to one of the targets. `None` when there is no room anywhere near.
pub(super) fn note(picture: &mut Picture, room: &mut Room, targets: &[Target], text: &str) -> Option<()> {
    let mut layouts = vec![vec![text.to_string()]];
    if text_width(text, LETTERS) > LONG {
        layouts.push(in_two(text));
    }
    let notes = layouts.into_iter().filter_map(|lines| cheapest(room, targets, lines));
    let Note { tip, knee, taken, sign, lines, .. } = notes.min_by(|a, b| a.cost.total_cmp(&b.cost))?;
    picture.line(tip, knee, Pen::Thin);
    picture.line(knee, knee + Vec2::new(sign * taken.width(), 0.0), Pen::Thin);
    head(picture, tip, (knee - tip).normalize());
    for (i, line) in lines.iter().enumerate() {
        let below = lines.len() - 1 - i;
        let at = Point::new(taken.x0 + 0.5, knee.y - LIFT - LINE * below as f64);
        picture.text(at, LETTERS, Anchor::Start, false, line);
    }
    room.take_text(taken);
    room.take_line(tip, knee);
    Some(())
}

/// Writes a note without a leader on a free spot of an area, as near to its middle as can be.
pub(super) fn plain_note(picture: &mut Picture, room: &mut Room, area: Rect, text: &str) -> Option<()> {
    let wide = text_width(text, LETTERS);
    let spot = free_spot(room, area, wide, LETTERS * (1.0 + TAIL))?;
    picture.text(Point::new(spot.x0, spot.y0 + LETTERS), LETTERS, Anchor::Start, false, text);
    room.take_text(spot);
    Some(())
}

/// The text broken between two words so that the lines are as even as can be.
fn in_two(text: &str) -> Vec<String> {
    let words = unbroken(text);
    let breaks = (1..words.len()).map(|at| [words[..at].join(" "), words[at..].join(" ")]);
    let wider = |lines: &[String; 2]| lines.iter().map(|line| text_width(line, LETTERS)).fold(0.0, f64::max);
    let best = breaks.min_by(|a, b| wider(a).total_cmp(&wider(b)));
    best.map_or_else(|| vec![text.to_string()], Vec::from)
}

/// The best place for the lines: near one of the targets, its leader crossing little.
fn cheapest(room: &Room, targets: &[Target], lines: Vec<String>) -> Option<Note> {
    let wide = lines.iter().map(|line| text_width(line, LETTERS)).fold(0.0, f64::max) + 1.0;
    let high = LETTERS + LINE * (lines.len() as f64 - 1.0);
    let mut best: Option<Note> = None;
    for target in targets {
        for reach in [4.0, 6.0, 9.0, 13.0, 18.0, 25.0, 34.0, 46.0, 60.0, 80.0] {
            for direction in DIRECTIONS {
                let tip = target.edge(direction);
                let knee = tip + direction * reach;
                let sign = direction.x.signum();
                let from = if sign > 0.0 { knee.x } else { knee.x - wide };
                let taken = Rect::new(from, knee.y - LIFT - high, from + wide, knee.y + 0.4);
                if !room.is_free(taken) || !room.is_open(tip, knee) {
                    continue;
                }
                // Near is good, and so are crossing few lines and keeping to one line.
                let cost = reach + 6.0 * room.crossings(tip, knee) as f64 + target.size() * 0.01 + lines.len() as f64;
                if best.as_ref().is_none_or(|known| cost < known.cost) {
                    best = Some(Note { cost, tip, knee, taken, sign, lines: lines.clone() });
                }
            }
        }
    }
    best
}

/// Where the lines of a label stand that fill a spot: the middle of each one's foot, the first line's first. Turned, they
/// are read from the right.
pub(super) fn line_places(spot: Rect, height: f64, turned: bool) -> impl Iterator<Item = Point> {
    (0..).map(move |i| {
        let down = height * (1.0 + 1.5 * f64::from(i));
        if turned { Point::new(spot.x0 + down, spot.center().y) } else { Point::new(spot.center().x, spot.y0 + down) }
    })
}

/// A free rectangle of this size inside `area`, as near to its middle as can be.
pub(super) fn free_spot(room: &Room, area: Rect, width: f64, height: f64) -> Option<Rect> {
    spot_with(room, area, width, height, AROUND)
}

/// The same with so much white round it.
pub(super) fn spot_with(room: &Room, area: Rect, width: f64, height: f64, around: f64) -> Option<Rect> {
    const STEP: f64 = 2.0;
    let middle = area.center();
    let (across, up) = ((area.width() - width) / 2.0, (area.height() - height) / 2.0);
    if across < 0.0 || up < 0.0 {
        return None;
    }
    let (columns, rows) = ((across / STEP) as i32, (up / STEP) as i32);
    let mut places: Vec<(i32, i32)> = (-columns..=columns).flat_map(|i| (-rows..=rows).map(move |j| (i, j))).collect();
    places.sort_by_key(|(i, j)| (i * i + j * j, *j, *i));
    places.into_iter().find_map(|(i, j)| {
        let centre = middle + Vec2::new(f64::from(i) * STEP, f64::from(j) * STEP);
        let rect = Rect::from_center_size(centre, (width, height));
        room.has_room(rect, around).then_some(rect)
    })
}
