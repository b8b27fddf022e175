//! Numbers in circles, keyed to the cut list, each with a leader to its part.

use super::dimension::LETTERS;
use super::room::{Room, meet};
use super::{Anchor, Pen, Picture, text_width};
use crate::geometry::{Point, Rect};

/// Of a balloon, and the least distance between the middles of two.
const DIAMETER: f64 = 7.5;
const APART: f64 = 9.5;
/// The dot at a leader's end.
const DOT: f64 = 0.9;

/// Draws a balloon for each numbered point, in two columns left and right of what is drawn in `around`.
pub(super) fn balloons(picture: &mut Picture, room: &mut Room, around: Rect, numbered: &[(usize, Point)]) {
    let mut sides: [Vec<(usize, Point)>; 2] = [Vec::new(), Vec::new()];
    // To the side to which its leader crosses fewer lines, then to the nearer one; neither side gets much more than the other.
    let most = numbered.len() * 3 / 5 + 1;
    let cost = |at: Point, x: f64| {
        let end = Point::new(x, at.y);
        room.crossings(at, end) as f64 * 15.0 + at.distance(end)
    };
    let mut wishes: Vec<(f64, (usize, Point))> =
        numbered.iter().map(|item| (cost(item.1, around.x0) - cost(item.1, around.x1), *item)).collect();
    // Those who care most choose first.
    wishes.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
    for (wish, item) in wishes {
        let wanted = usize::from(wish > 0.0);
        let side = if sides[wanted].len() < most { wanted } else { 1 - wanted };
        sides[side].push(item);
    }
    for (side, items) in sides.into_iter().enumerate() {
        let x = if side == 0 { around.x0 - DIAMETER } else { around.x1 + DIAMETER };
        column(picture, room, x, around, items);
    }
}

fn column(picture: &mut Picture, room: &mut Room, x: f64, around: Rect, mut items: Vec<(usize, Point)>) {
    items.sort_by(|a, b| a.1.y.total_cmp(&b.1.y));
    let wanted: Vec<f64> = items.iter().map(|item| item.1.y).collect();
    let mut heights = super::dimension::spread(&wanted, APART);
    let (Some(first), Some(last)) = (heights.first().copied(), heights.last().copied()) else { return };
    // The whole column moved into the area.
    let shift = (around.y0 + DIAMETER / 2.0 - first).max(0.0) - (last - around.y1 + DIAMETER / 2.0).max(0.0);
    heights.iter_mut().for_each(|y| *y += shift);
    let mut order: Vec<usize> = (0..items.len()).collect();
    uncross(&mut order, |place, item| (Point::new(x, heights[place]), items[item].1));
    for (place, item) in order.iter().enumerate() {
        let (number, target) = items[*item];
        let centre = Point::new(x, heights[place]);
        let along = (target - centre).normalize();
        let start = centre + along * (DIAMETER / 2.0);
        picture.line(start, target, Pen::Thin);
        room.take_line(start, target);
        picture.circle(target, DOT, Pen::Solid);
        picture.circle(centre, DIAMETER, Pen::Hole);
        let text = number.to_string();
        let height = if text_width(&text, LETTERS) > DIAMETER - 1.5 { 1.8 } else { LETTERS };
        picture.text(Point::new(x, centre.y + height / 2.0), height, Anchor::Middle, false, &text);
        room.take_text(Rect::from_center_size(centre, (DIAMETER, DIAMETER)));
    }
}

/// Swaps places until no two leaders cross: each swap shortens them, so it ends.
fn uncross(order: &mut [usize], ends: impl Fn(usize, usize) -> (Point, Point)) {
    for _ in 0..order.len() {
        let mut quiet = true;
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                let ((a, b), (c, d)) = (ends(i, order[i]), ends(j, order[j]));
                if meet(a, b, c, d) {
                    order.swap(i, j);
                    quiet = false;
                }
            }
        }
        if quiet {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaders_do_not_cross() {
        let mut picture = Picture::new(200.0, 200.0);
        let mut room = Room::new(Rect::new(0.0, 0.0, 200.0, 200.0));
        let points: Vec<(usize, Point)> = (0..12)
            .map(|i| (i, Point::new(60.0 + f64::from(i as u32 * 37 % 80), 60.0 + f64::from(i as u32 * 53 % 70))))
            .collect();
        balloons(&mut picture, &mut room, Rect::new(50.0, 50.0, 150.0, 150.0), &points);
        let leaders: Vec<(Point, Point)> = picture
            .marks
            .iter()
            .filter_map(|mark| match mark {
                super::super::Mark::Line { points, .. } => Some((points[0], points[1])),
                _ => None,
            })
            .collect();
        assert_eq!(leaders.len(), 12);
        for (i, (a, b)) in leaders.iter().enumerate() {
            for (c, d) in &leaders[i + 1..] {
                assert!(!meet(*a, *b, *c, *d));
            }
        }
    }
}
