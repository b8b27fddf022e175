//! What is still to be done to a sawn rectangle: slopes, notches, recesses, holes.

use super::SLIVER;
use crate::design::{Part, PartPocket};
use crate::geometry::{Affine, LeftOut, Point, Rect, left_out};
use crate::layout::Axis;

/// A corner of a part's rectangle that does not belong to it, in the part's frame.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Corner {
    /// Cut off along a line from one edge of the rectangle to another; the second point is on its right, so that the
    /// part lies on the line's left.
    Slope([Point; 2]),
    /// A rectangular notch.
    Notch(Rect),
    /// Anything else: sawn to the drawing.
    Curve(Rect),
}

/// What a part's outline leaves out of the rectangle around it.
pub(super) fn corners(part: &Part) -> Vec<Corner> {
    let corner = |piece: &LeftOut| match (piece.slope(), piece.notch()) {
        (Some(ends), _) => Corner::Slope(ends),
        (None, Some(rect)) => Corner::Notch(rect),
        (None, None) => Corner::Curve(piece.bounds),
    };
    let mut found: Vec<Corner> = left_out(&part.outline).iter().map(corner).collect();
    let at = |corner: &Corner| match corner {
        Corner::Slope([a, b]) => (0, a.x.min(b.x), a.y.min(b.y)),
        Corner::Notch(rect) => (1, rect.x0, rect.y0),
        Corner::Curve(rect) => (2, rect.x0, rect.y0),
    };
    found.sort_by(|a, b| at(a).partial_cmp(&at(b)).unwrap_or(std::cmp::Ordering::Equal));
    found
}

/// A recess, by how it is cut. Measures are in the part's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Recess {
    /// Along an edge: that at the low or the high end of an axis, from one place along it to another.
    Rabbet { across: Axis, high: bool, width: f64, depth: f64, run: Span },
    /// Across the part, this far from the nearer of the edges at the low and the high end of an axis.
    Groove { across: Axis, from_high: bool, distance: f64, width: f64, depth: f64, run: Span },
    /// Round: bored before the hole in it, from the same centre.
    Round { centre: Point, diameter: f64, depth: f64 },
    /// Closed all round.
    Pocket { rect: Rect, depth: f64 },
}

/// From where to where a recess runs, and whether it stops there or runs out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    pub from: f64,
    pub to: f64,
    pub stops: [bool; 2],
}

/// What kind of recess a pocket is.
pub fn recess(part: &Part, pocket: &PartPocket) -> Recess {
    if let Some((centre, diameter)) = pocket.outline.as_circle() {
        return Recess::Round { centre, diameter, depth: pocket.depth };
    }
    let reach = pocket.outline.bounds();
    let rect = pocket.in_wood(&part.outline);
    let depth = pocket.depth;
    let [low_x, low_y] = [reach.x0 <= SLIVER, reach.y0 <= SLIVER];
    let [high_x, high_y] = [reach.x1 >= part.length - SLIVER, reach.y1 >= part.width - SLIVER];
    if !pocket.outline.is_rectangle() || !(low_x || low_y || high_x || high_y) {
        return Recess::Pocket { rect, depth };
    }
    // It runs from end to end where it does, else along its longer side.
    let along_x = match (low_x && high_x, low_y && high_y) {
        (true, false) => true,
        (false, true) => false,
        _ => rect.width() >= rect.height(),
    };
    let (across, run, low, high, from_low, width) = if along_x {
        let run = Span { from: rect.x0, to: rect.x1, stops: [!low_x, !high_x] };
        (Axis::Y, run, low_y, high_y, rect.y0, rect.height())
    } else {
        let run = Span { from: rect.y0, to: rect.y1, stops: [!low_y, !high_y] };
        (Axis::X, run, low_x, high_x, rect.x0, rect.width())
    };
    if low || high {
        Recess::Rabbet { across, high, width, depth, run }
    } else {
        let whole = if across == Axis::X { part.length } else { part.width };
        let from_end = whole - from_low - width;
        let from_high = from_end < from_low - SLIVER;
        Recess::Groove { across, from_high, distance: if from_high { from_end } else { from_low }, width, depth, run }
    }
}

/// A slope's two ends on the sheet.
pub(super) fn placed(ends: [Point; 2], by: Affine) -> [Point; 2] {
    ends.map(|end| by * end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Outline;

    fn part(outline: Outline) -> Part {
        Part::plain("p", outline, 12.0)
    }

    #[test]
    fn a_sloped_side_has_one_slope_with_the_part_on_its_left() {
        let side = part(Outline::polygon([(0.0, 0.0), (260.0, 0.0), (220.0, 150.0), (0.0, 150.0)]));
        let found = corners(&side);
        let [Corner::Slope([a, b])] = found[..] else { panic!("{found:?}") };
        let left = (b - a).cross(Point::new(100.0, 75.0) - a);
        assert!(left > 0.0);
        assert!((a.distance(b) - 40f64.hypot(150.0)).abs() < 1e-6);
    }

    /// The cut-off triangle's bounds have their middle on the slope, to the last bit or next to it.
    #[test]
    fn every_slope_has_the_part_on_its_left() {
        for i in 0..200 {
            let (length, width, off) =
                (150.0 + f64::from(i) * 0.7713, 90.0 + f64::from(i) * 0.3331, 5.0 + f64::from(i) * 0.217);
            for outline in [
                [(0.0, 0.0), (length, 0.0), (length - off, width), (0.0, width)],
                [(off, 0.0), (length, 0.0), (length, width), (0.0, width)],
            ] {
                let found = corners(&part(Outline::polygon(outline)));
                let [Corner::Slope([a, b])] = found[..] else { panic!("{found:?}") };
                assert!((b - a).cross(Point::new(length / 2.0, width / 2.0) - a) > 0.0, "{outline:?}: {a} {b}");
            }
        }
    }

    #[test]
    fn fingers_are_notches_and_an_arc_is_neither() {
        let fingers = part(Outline::polygon([
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 60.0),
            (0.0, 60.0),
            (0.0, 40.0),
            (12.0, 40.0),
            (12.0, 20.0),
            (0.0, 20.0),
        ]));
        assert_eq!(corners(&fingers), [Corner::Notch(Rect::new(0.0, 20.0, 12.0, 40.0))]);
        assert!(matches!(
            corners(&part(Outline::slot(Point::new(50.0, 20.0), 100.0, 40.0)))[..],
            [Corner::Curve(_), ..]
        ));
    }

    #[test]
    fn a_pocket_over_an_edge_is_a_rabbet_and_one_across_a_groove() {
        let board = part(Outline::rectangle(300.0, 200.0));
        let pocket = |x0: f64, y0: f64, x1: f64, y1: f64| PartPocket {
            purpose: "recess".into(),
            outline: Outline::from_rect(Rect::new(x0, y0, x1, y1)),
            depth: 6.0,
            under: false,
        };
        let through = |to| Span { from: 0.0, to, stops: [false, false] };
        assert_eq!(
            recess(&board, &pocket(-5.0, 190.0, 305.0, 205.0)),
            Recess::Rabbet { across: Axis::Y, high: true, width: 10.0, depth: 6.0, run: through(300.0) }
        );
        assert_eq!(
            recess(&board, &pocket(40.0, -5.0, 52.0, 205.0)),
            Recess::Groove {
                across: Axis::X,
                from_high: false,
                distance: 40.0,
                width: 12.0,
                depth: 6.0,
                run: through(200.0)
            }
        );
        // Stopped, and nearer to the right edge: a groove that does not reach the upper edge. A rabbet that stops short of both ends.
        assert_eq!(
            recess(&board, &pocket(248.0, -5.0, 260.0, 150.0)),
            Recess::Groove {
                across: Axis::X,
                from_high: true,
                distance: 40.0,
                width: 12.0,
                depth: 6.0,
                run: Span { from: 0.0, to: 150.0, stops: [false, true] }
            }
        );
        assert_eq!(
            recess(&board, &pocket(20.0, 190.0, 280.0, 205.0)),
            Recess::Rabbet {
                across: Axis::Y,
                high: true,
                width: 10.0,
                depth: 6.0,
                run: Span { from: 20.0, to: 280.0, stops: [true, true] }
            }
        );
        assert!(matches!(recess(&board, &pocket(40.0, 50.0, 120.0, 80.0)), Recess::Pocket { .. }));
    }
}
