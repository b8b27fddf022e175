//! Names of pieces too small to bear them: beside the piece, on a leader that ends in a dot on it (ISO 128: a leader ends
//! in a dot where it ends within an outline).

use super::label::line_places;
use super::letters::TAIL;
use super::room::{Room, overlap};
use super::{Anchor, Pen, Picture, text_width};
use crate::geometry::math::unit;
use crate::geometry::{Point, Rect, Vec2};

/// Height of its letters: the smallest of ISO 3098 (mm).
pub(super) const SMALL: f64 = 1.8;
/// The dot's diameter, and white round the text.
pub(super) const DOT: f64 = 0.8;
const WHITE: f64 = 0.5;
/// Leaders to try, the shortest first.
const REACHES: [f64; 14] = [2.5, 3.5, 4.5, 6.0, 8.0, 10.0, 12.5, 15.0, 18.0, 22.0, 27.0, 33.0, 40.0, 50.0];
/// A leader that crosses a line costs as much as one so much longer, and so does a name that stands on another piece or
/// runs upwards.
const CROSSING: f64 = 1.5;
const ON_ANOTHER: f64 = 5.0;
const UPWARDS: f64 = 8.0;

/// A name on a plate, and its leader.
struct Flag {
    cost: f64,
    dot: Point,
    knee: Point,
    plate: Rect,
    on_another: bool,
    /// Does the text run upwards?
    turned: bool,
}

/// Writes a name beside the piece it belongs to, within an area: the first of several that needs to stand on no other of
/// the pieces, or else the last. `None` when there is no room anywhere near.
pub(super) fn flag(
    picture: &mut Picture,
    room: &mut Room,
    within: Rect,
    of: (Rect, &[Rect]),
    names: &[&str],
    letters: f64,
) -> Option<()> {
    let flags = names.iter().filter_map(|name| Some((*name, cheapest(room, within, of, name, letters)?)));
    let (text, Flag { dot, knee, plate, turned, .. }) = flags.reduce(|a, b| if a.1.on_another { b } else { a })?;
    picture.line(dot, knee, Pen::Thin);
    picture.circle(dot, DOT, Pen::Solid);
    picture.rect(plate.x0, plate.y0, plate.width(), plate.height(), Pen::Hole);
    if let Some(at) = line_places(plate.inflate(-WHITE, -WHITE), letters, turned).next() {
        picture.text(at, letters, Anchor::Middle, turned, text);
    }
    room.take_text(plate);
    room.take_text(around(dot));
    room.take_line(dot, knee);
    Some(())
}

/// The cheapest place for a flag: near, its leader crossing little, on no other piece.
fn cheapest(room: &Room, within: Rect, (piece, pieces): (Rect, &[Rect]), text: &str, letters: f64) -> Option<Flag> {
    let (along, across) = (text_width(text, letters) + 2.0 * WHITE, letters * (1.0 + TAIL) + 2.0 * WHITE);
    let mut best: Option<Flag> = None;
    for (dot, turned) in dots(piece).into_iter().flat_map(|dot| [(dot, false), (dot, true)]) {
        if !clear(room, dot) {
            continue;
        }
        let (wide, high) = if turned { (across, along) } else { (along, across) };
        for reach in REACHES {
            let least = reach + if turned { UPWARDS } else { 0.0 };
            // Nothing further off can be better.
            if best.as_ref().is_some_and(|known| known.cost <= least) {
                break;
            }
            for sixteenth in 0..16 {
                let direction = unit((f64::from(sixteenth) + 0.5) * std::f64::consts::PI / 8.0);
                let knee = dot + direction * reach;
                // The plate's nearest corner, or the middle of its nearest side, is the leader's end.
                let part = |along: f64| if along.abs() < 0.3 { 0.0 } else { along.signum() / 2.0 };
                let middle = knee + Vec2::new(part(direction.x) * wide, part(direction.y) * high);
                let plate = Rect::from_center_size(middle, (wide, high));
                if within.union(plate) != within || overlap(plate, piece) {
                    continue;
                }
                if !room.has_room(plate, 0.2) || !room.is_open(dot, knee) {
                    continue;
                }
                let on_another = pieces.iter().any(|other| overlap(*other, plate));
                let crossed = room.crossings(dot, knee) as f64;
                let cost = least + CROSSING * crossed + if on_another { ON_ANOTHER } else { 0.0 };
                if best.as_ref().is_none_or(|known| cost < known.cost) {
                    best = Some(Flag { cost, dot, knee, plate, on_another, turned });
                }
            }
        }
    }
    best
}

/// Places for the dot: along the middle of the piece, the likeliest first.
fn dots(piece: Rect) -> Vec<Point> {
    let lying = piece.width() >= piece.height();
    let at = |share: f64| {
        let (x, y) = if lying { (share, 0.5) } else { (0.5, share) };
        Point::new(piece.x0 + piece.width() * x, piece.y0 + piece.height() * y)
    };
    [0.5, 0.35, 0.65, 0.2, 0.8].map(at).to_vec()
}

fn around(dot: Point) -> Rect {
    Rect::from_center_size(dot, (DOT, DOT))
}

fn clear(room: &Room, dot: Point) -> bool {
    room.clear_of_texts(around(dot).inflate(0.2, 0.2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A lath between two boards: its name stands off it, in the waste rather than on a board, and its dot is on the lath.
    #[test]
    fn a_name_stands_beside_its_piece_and_points_at_it() {
        let paper = Rect::new(0.0, 0.0, 100.0, 60.0);
        let (lath, boards) =
            (Rect::new(20.0, 30.0, 50.0, 31.5), [Rect::new(20.0, 10.0, 50.0, 29.5), Rect::new(20.0, 32.0, 50.0, 50.0)]);
        let (mut picture, mut room) = (Picture::new(100.0, 60.0), Room::new(paper));
        let pieces = [lath, boards[0], boards[1]];
        pieces.iter().for_each(|piece| room.take_sides(*piece));
        for name in ["cover cleat 3", "cover cleat 4"] {
            flag(&mut picture, &mut room, paper, (lath, &pieces), &[name], SMALL).expect("room enough");
        }
        let bounds: Vec<Rect> = picture.texts().map(|text| text.bounds()).collect();
        assert!(!overlap(bounds[0], bounds[1]));
        assert!(bounds.iter().all(|text| pieces.iter().all(|piece| !overlap(*text, *piece))), "{bounds:?}");
        let dots = picture.marks.iter().filter_map(|mark| match mark {
            super::super::Mark::Area { outlines, pen: Pen::Solid } => Some(outlines[0].bounds().center()),
            _ => None,
        });
        assert!(
            dots.clone().count() == 2 && dots.clone().all(|dot| lath.contains(dot)),
            "{:?}",
            dots.collect::<Vec<_>>()
        );
        // Where there is no room, nothing is drawn.
        room.take_text(paper);
        let before = picture.marks.len();
        assert!(flag(&mut picture, &mut room, paper, (lath, &pieces), &["cover cleat 5"], SMALL).is_none());
        assert_eq!(picture.marks.len(), before);
    }
}
