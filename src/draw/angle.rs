//! Angles of sloping edges after ISO 129-1: an arc about the corner where the edge leaves the part's outer lines, as a saw's
//! gauge is turned out of square.

use super::dimension::{LETTERS, head};
use super::label::{Target, note};
use super::letters::TAIL;
use super::room::Room;
use super::{Anchor, Pen, Picture, text_width};
use crate::design::Part;
use crate::geometry::math::{angle_of, atan2, unit};
use crate::geometry::{Affine, Point, Rect, Segment, Vec2, left_out};
use crate::units::decimal;

/// An edge shorter than this on the part (mm), or straighter (degrees), is no slope that anybody sets a saw to.
const SHORT: f64 = 12.0;
const STRAIGHT: f64 = 0.2;
/// Length of an arrow head (mm).
const HEADS: f64 = 2.5;
/// Radii of the arc to try (mm on paper).
const RADII: [f64; 6] = [22.0, 16.0, 30.0, 12.0, 40.0, 55.0];

/// A sloping edge: the corner that lies on the part's outer lines, the directions in which they go on from there, and the edge itself.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Slope {
    corner: Point,
    /// Along the outer line that the edge leaves, on the side of the edge.
    square: Vec2,
    other: Point,
    degrees: f64,
}

/// Draws the angle of every slope, those of equal slopes once. `None` when one has no room.
pub(super) fn angles(picture: &mut Picture, room: &mut Room, part: &Part, to_paper: Affine) -> Option<()> {
    let mut groups: Vec<Vec<Slope>> = Vec::new();
    for slope in slopes(part) {
        match groups.iter_mut().find(|group| (group[0].degrees - slope.degrees).abs() < 0.05) {
            Some(group) => group.push(slope),
            None => groups.push(vec![slope]),
        }
    }
    let mut all = Some(());
    for group in groups {
        let value = format!("{}°", decimal(group[0].degrees, 1));
        let value = if group.len() > 1 { format!("{value}, {} places", group.len()) } else { value };
        if group.iter().any(|slope| arc(picture, room, slope, to_paper, &value).is_some()) {
            continue;
        }
        let middles = group.iter().map(|it| to_paper * it.corner.midpoint(it.other));
        let targets: Vec<Target> = middles.map(|centre| Target::Round { centre, diameter: 0.1 }).collect();
        all = all.and(note(picture, room, &targets, &format!("{value} out of square")));
    }
    all
}

fn slopes(part: &Part) -> Vec<Slope> {
    let mut sides: Vec<(usize, Segment)> = left_out(&part.outline).into_iter().flat_map(|piece| piece.sides).collect();
    sides.sort_by_key(|(place, _)| *place);
    sides.retain(|(_, side)| !side.is_arc() && side.chord() > SHORT);
    sides
        .iter()
        .filter_map(|(_, side)| {
            let along = side.end - side.start;
            let upright = along.y.abs() > along.x.abs();
            let degrees =
                if upright { atan2(along.x.abs(), along.y.abs()) } else { atan2(along.y.abs(), along.x.abs()) };
            // The corner further out: the outer line goes on from it beside the edge.
            let out = |p: Point| {
                if upright { p.x.min(part.length - p.x) } else { p.y.min(part.width - p.y) }
            };
            let (corner, other) =
                if out(side.start) <= out(side.end) { (side.start, side.end) } else { (side.end, side.start) };
            let to = other - corner;
            let square = if upright { Vec2::new(0.0, to.y.signum()) } else { Vec2::new(to.x.signum(), 0.0) };
            let degrees = degrees.to_degrees();
            (degrees > STRAIGHT).then_some(Slope { corner, square, other, degrees })
        })
        .collect()
}

/// The arc from square to the edge, with its value in it, or beside its end.
fn arc(picture: &mut Picture, room: &mut Room, slope: &Slope, to_paper: Affine, value: &str) -> Option<()> {
    let corner = to_paper * slope.corner;
    let edge = to_paper * slope.other - corner;
    // Paper's y runs down.
    let square = Vec2::new(slope.square.x, -slope.square.y);
    let sweep = atan2(square.cross(edge), square.dot(edge));
    let start = angle_of(square);
    let at = |turn: f64, radius: f64| corner + unit(start + turn) * radius;
    let size = (text_width(value, LETTERS), LETTERS * (1.0 + TAIL));
    for radius in RADII.into_iter().filter(|radius| *radius < edge.hypot() - 2.0) {
        let past = -sweep.signum() * HEADS / radius;
        // Where there is no room between them the heads stand outside, and the arc goes on under them.
        let outside = radius * sweep.abs() < 3.0 * HEADS;
        let beyond = at(past, radius) - unit(start).turn_90() * sweep.signum() * (size.0 / 2.0 + 1.0);
        let within = at(sweep / 2.0, radius + 1.2 + size.0.max(size.1) / 2.0);
        let between = at(sweep / 2.0, radius - 1.2 - size.0.max(size.1) / 2.0);
        for (middle, goes_on) in [(within, outside), (between, outside), (beyond, true)] {
            let spot = Rect::from_center_size(middle, size);
            let (from, to) = (if goes_on { past } else { 0.0 }, if outside { sweep - past } else { sweep });
            let points: Vec<Point> = (0..=24).map(|i| at(from + (to - from) * f64::from(i) / 24.0, radius)).collect();
            let line = (corner + square * 1.0, corner + square * (radius + 2.0));
            let clear = room.is_free(spot)
                && room.is_open(line.0, line.1)
                && points.windows(2).all(|pair| room.is_open(pair[0], pair[1]))
                && !points
                    .windows(2)
                    .chain([&[line.0, line.1][..]])
                    .any(|it| crate::geometry::crosses(it[0], it[1], spot));
            if !clear {
                continue;
            }
            picture.path(&points, Pen::Thin);
            picture.line(line.0, line.1, Pen::Thin);
            room.take_path(&points);
            room.take_line(line.0, line.1);
            let into = if outside { -sweep.signum() } else { sweep.signum() };
            head(picture, at(0.0, radius), unit(start).turn_90() * into);
            head(picture, at(sweep, radius), unit(start + sweep).turn_90() * -into);
            picture.text(Point::new(spot.x0, spot.y0 + LETTERS), LETTERS, Anchor::Start, false, value);
            room.take_text(spot);
            return Some(());
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Outline;

    fn part(corners: &[(f64, f64)]) -> Part {
        Part::plain("side", Outline::polygon(corners.iter().copied()), 12.0)
    }

    /// A right-angled triangle of sides 3 and 4: tan of its smaller angle is three quarters, 36.87 degrees.
    #[test]
    fn a_slope_is_measured_from_square() {
        let found = slopes(&part(&[(0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (150.0, 200.0)]));
        assert_eq!(found.len(), 1);
        assert!((found[0].degrees - 36.8699).abs() < 1e-3, "{found:?}");
        assert_eq!((found[0].corner, found[0].square), (Point::new(0.0, 0.0), Vec2::new(0.0, 1.0)));
    }

    #[test]
    fn the_two_slopes_of_a_gable_are_told_once() {
        let gable = part(&[(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (100.0, 200.0), (0.0, 100.0)]);
        let mut picture = Picture::new(300.0, 300.0);
        let mut room = Room::new(Rect::new(0.0, 0.0, 300.0, 300.0));
        let to_paper = Affine::new([1.0, 0.0, 0.0, -1.0, 50.0, 250.0]);
        assert!(angles(&mut picture, &mut room, &gable, to_paper).is_some());
        let texts: Vec<&str> = picture.texts().map(|text| text.text.as_str()).collect();
        assert_eq!(texts, ["45°, 2 places"]);
        assert!(slopes(&part(&[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)])).is_empty());
    }
}
