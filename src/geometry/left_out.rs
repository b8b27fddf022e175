//! What an outline leaves out of the rectangle around it: slopes, notches, rounded corners, piece by piece.
//!
//! The saw and the drawings both go by it: a saw by what of the rectangle is to be cut away, a drawing by its sides.

use super::math::angle_of;
use super::{FLATTEN, Outline, Point, Rect, Segment, Side};
use std::f64::consts::TAU;

/// What is nearer to a side of the rectangle than this lies on it (mm).
const ON: f64 = 0.05;
/// Smaller than this a piece is dust (mm²).
const DUST: f64 = 0.5;

/// A piece of the rectangle around an outline that lies outside of it.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// Its sides within the rectangle, in the outline's direction, and which sides of the outline they are of. The first begins
    /// on the rectangle and the last ends there.
    pub sides: Vec<(usize, Segment)>,
    /// The rectangle around the piece.
    pub bounds: Rect,
    /// Square millimetres.
    pub area: f64,
}

impl LeftOut {
    /// Cut off along one line: its ends, the outline's inside on the line's left.
    pub fn slope(&self) -> Option<[Point; 2]> {
        match self.sides[..] {
            [(_, side)] if !side.is_arc() => Some([side.start, side.end]),
            _ => None,
        }
    }

    /// A rectangular notch.
    pub fn notch(&self) -> Option<Rect> {
        ((self.area - self.bounds.area()).abs() < ON).then_some(self.bounds)
    }

    /// Where it begins and ends on the rectangle.
    pub fn ends(&self) -> [Point; 2] {
        [self.sides[0].1.start, self.sides[self.sides.len() - 1].1.end]
    }
}

/// The pieces of the rectangle around a counter-clockwise outline that the outline leaves out.
pub fn left_out(outline: &Outline) -> Vec<LeftOut> {
    let around = outline.bounds();
    let sides: Vec<(usize, Segment)> = outline
        .segments()
        .enumerate()
        .flat_map(|(i, side)| split(side, around).into_iter().map(move |it| (i, it)))
        .collect();
    let Some(first) = sides.iter().position(|(_, side)| on_rim(side.start, around)) else { return Vec::new() };
    let mut found = Vec::new();
    let mut open: Vec<(usize, Segment)> = Vec::new();
    for (i, side) in sides.iter().cycle().skip(first).take(sides.len()) {
        if open.is_empty() && along_rim(side, around) {
            continue;
        }
        open.push((*i, *side));
        if on_rim(side.end, around) {
            found.push(piece(std::mem::take(&mut open), around));
        }
    }
    found.retain(|piece| piece.area > DUST);
    found
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < ON
}

fn on_rim(at: Point, around: Rect) -> bool {
    Side::ALL.into_iter().any(|side| side.along_and_in(at, around).1 < ON)
}

fn along_rim(side: &Segment, around: Rect) -> bool {
    let on = |of: Side| [side.start, side.end].iter().all(|at| of.along_and_in(*at, around).1 < ON);
    !side.is_arc() && Side::ALL.into_iter().any(on)
}

/// An arc in two or more where it touches the rectangle in between.
fn split(side: Segment, around: Rect) -> Vec<Segment> {
    let (Some(centre), true) = (side.centre(), side.is_arc()) else { return vec![side] };
    let (radius, sweep) = (side.radius().abs(), side.sweep());
    let from = angle_of(side.start - centre);
    let mut cuts: Vec<f64> = [(radius, 0.0), (0.0, radius), (-radius, 0.0), (0.0, -radius)]
        .into_iter()
        .map(|arm| centre + super::Vec2::from(arm))
        .filter(|at| on_rim(*at, around))
        .map(|at| ((angle_of(at - centre) - from) * sweep.signum()).rem_euclid(TAU) / sweep.abs())
        .filter(|share| (1e-6..1.0 - 1e-6).contains(share))
        .collect();
    cuts.extend([0.0, 1.0]);
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2).map(|ends| side.between(ends[0], ends[1])).collect()
}

/// The piece between a way through the rectangle and its rim.
fn piece(sides: Vec<(usize, Segment)>, around: Rect) -> LeftOut {
    let (start, end) = (sides[0].1.start, sides[sides.len() - 1].1.end);
    let whole = 2.0 * (around.width() + around.height());
    // Counter-clockwise along the rim, from its lower left corner.
    let along = |at: Point| {
        let (x, y) = (at.x - around.x0, at.y - around.y0);
        if near(y, 0.0) {
            x
        } else if near(x, around.width()) {
            around.width() + y
        } else if near(y, around.height()) {
            2.0 * around.width() + around.height() - x
        } else {
            whole - y
        }
    };
    let from = along(start);
    let past = |at: Point| (along(at) - from).rem_euclid(whole);
    let Rect { x0, y0, x1, y1 } = around;
    let mut corners: Vec<Point> = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from).into();
    corners.retain(|corner| past(*corner) > ON && past(*corner) < past(end) - ON);
    corners.sort_by(|a, b| past(*a).total_cmp(&past(*b)));
    let mut way = vec![start];
    for (_, side) in &sides {
        side.flatten(FLATTEN, |at| way.push(at));
    }
    // The way ends where it ends; back along the rim to where it began.
    let ring: Vec<Point> = way.iter().copied().chain(corners.into_iter().rev()).collect();
    let bounds = ring.iter().fold(Rect::from_points(start, end), |rect, at| rect.union_pt(*at));
    let area =
        (0..ring.len()).map(|i| ring[i].to_vec2().cross(ring[(i + 1) % ring.len()].to_vec2())).sum::<f64>() / 2.0;
    LeftOut { sides, bounds, area: area.abs() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A gable, cut at both ends of its upper edge, with a notch in its lower edge.
    #[test]
    fn slopes_and_notches_are_left_out_of_a_gable() {
        let gable = Outline::polygon([
            (0.0, 0.0),
            (80.0, 0.0),
            (80.0, 15.0),
            (120.0, 15.0),
            (120.0, 0.0),
            (200.0, 0.0),
            (200.0, 100.0),
            (100.0, 200.0),
            (0.0, 100.0),
        ]);
        let pieces = left_out(&gable);
        assert_eq!(pieces.len(), 3);
        assert_eq!(pieces[0].notch(), Some(Rect::new(80.0, 0.0, 120.0, 15.0)));
        let slope = |a: (f64, f64), b: (f64, f64)| Some([Point::from(a), Point::from(b)]);
        assert_eq!(pieces[1].slope(), slope((200.0, 100.0), (100.0, 200.0)));
        assert_eq!(pieces[2].slope(), slope((100.0, 200.0), (0.0, 100.0)));
        let left: f64 = pieces.iter().map(|piece| piece.area).sum();
        assert!((gable.area() + left - 200.0 * 200.0).abs() < 1e-9);
    }

    /// A disc leaves out four corners of (1 - π/4) r² each, and touches its square between them.
    #[test]
    fn arcs_are_parted_where_they_touch_the_rectangle() {
        for outline in
            [Outline::circle(Point::new(50.0, 50.0), 100.0), Outline::slot(Point::new(90.0, 50.0), 180.0, 100.0)]
        {
            let pieces = left_out(&outline);
            assert_eq!(pieces.len(), 4, "{outline:?}");
            for piece in &pieces {
                let wanted = (1.0 - std::f64::consts::FRAC_PI_4) * 2500.0;
                assert!((piece.area - wanted).abs() < 0.5, "{}", piece.area);
                assert!((piece.bounds.width() - 50.0).abs() < 1e-6 && (piece.bounds.height() - 50.0).abs() < 1e-6);
                assert!(piece.slope().is_none() && piece.notch().is_none());
            }
        }
        assert!(left_out(&Outline::rectangle(30.0, 20.0)).is_empty());
    }
}
