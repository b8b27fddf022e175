//! What is still to be done to a sawn rectangle: slopes, notches, recesses, holes.

use super::SLIVER;
use crate::design::{Part, PartPocket};
use crate::geometry::{Affine, Outline, Point, Rect, to_polygon};
use crate::layout::Axis;
use geo::{Area, BooleanOps, MultiPolygon};

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

/// Smaller than this a corner is dust (mm²).
const DUST: f64 = 0.5;

/// What a part's outline leaves out of the rectangle around it.
pub(super) fn corners(part: &Part) -> Vec<Corner> {
    if part.outline.is_rectangle() {
        return Vec::new();
    }
    let whole = MultiPolygon::from(to_polygon(&Outline::rectangle(part.length, part.width)));
    let missing = whole.difference(&MultiPolygon::from(to_polygon(&part.outline)));
    let mut found: Vec<Corner> =
        missing.iter().filter(|piece| piece.unsigned_area() > DUST).map(|piece| corner(piece, part)).collect();
    let at = |corner: &Corner| match corner {
        Corner::Slope([a, b]) => (0, a.x.min(b.x), a.y.min(b.y)),
        Corner::Notch(rect) => (1, rect.x0, rect.y0),
        Corner::Curve(rect) => (2, rect.x0, rect.y0),
    };
    found.sort_by(|a, b| at(a).partial_cmp(&at(b)).unwrap_or(std::cmp::Ordering::Equal));
    found
}

fn corner(missing: &geo::Polygon, part: &Part) -> Corner {
    let points: Vec<Point> = missing.exterior().coords().map(|c| Point::new(c.x, c.y)).collect();
    let bounds = points.iter().fold(Rect::from_points(points[0], points[0]), |rect, p| rect.union_pt(*p));
    let near = |a: f64, b: f64| (a - b).abs() < SLIVER;
    let on_rim = |p: Point| near(p.x, 0.0) || near(p.y, 0.0) || near(p.x, part.length) || near(p.y, part.width);
    let along_rim = |a: Point, b: Point| {
        (near(a.x, b.x) && (near(a.x, 0.0) || near(a.x, part.length)))
            || (near(a.y, b.y) && (near(a.y, 0.0) || near(a.y, part.width)))
    };
    let inner: Vec<(Point, Point)> =
        points.windows(2).map(|pair| (pair[0], pair[1])).filter(|(a, b)| !along_rim(*a, *b)).collect();
    if let [(a, b)] = inner[..]
        && on_rim(a)
        && on_rim(b)
    {
        // The missing piece is to lie on the line's right.
        let middle = bounds.center();
        return Corner::Slope(if (b - a).cross(middle - a) < 0.0 { [a, b] } else { [b, a] });
    }
    if near(missing.unsigned_area(), bounds.area()) {
        return Corner::Notch(bounds);
    }
    Corner::Curve(bounds)
}

/// A recess, by how it is cut. Measures are in the part's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Recess {
    /// Along a whole edge: at the low or the high end of an axis.
    Rabbet { across: Axis, high: bool, width: f64, depth: f64 },
    /// From end to end, this far from the edge at the low end of an axis.
    Groove { across: Axis, from_low: f64, width: f64, depth: f64 },
    /// Closed on at least three sides.
    Pocket { rect: Rect, depth: f64 },
}

/// What kind of recess a pocket is.
pub(super) fn recess(part: &Part, pocket: &PartPocket) -> Recess {
    let whole = Rect::new(0.0, 0.0, part.length, part.width);
    let reach = pocket.outline.bounds();
    let rect = reach.intersect(whole);
    let depth = pocket.depth;
    if pocket.outline.is_rectangle() {
        let low_x = reach.x0 <= SLIVER;
        let high_x = reach.x1 >= part.length - SLIVER;
        let low_y = reach.y0 <= SLIVER;
        let high_y = reach.y1 >= part.width - SLIVER;
        match (low_x && high_x, low_y && high_y) {
            (true, false) if low_y || high_y => {
                return Recess::Rabbet { across: Axis::Y, high: high_y, width: rect.height(), depth };
            }
            (false, true) if low_x || high_x => {
                return Recess::Rabbet { across: Axis::X, high: high_x, width: rect.width(), depth };
            }
            (true, false) => return Recess::Groove { across: Axis::Y, from_low: rect.y0, width: rect.height(), depth },
            (false, true) => return Recess::Groove { across: Axis::X, from_low: rect.x0, width: rect.width(), depth },
            _ => {}
        }
    }
    Recess::Pocket { rect, depth }
}

/// A slope's two ends on the sheet.
pub(super) fn placed(ends: [Point; 2], by: Affine) -> [Point; 2] {
    ends.map(|end| by * end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Face, Grain};

    fn part(outline: Outline) -> Part {
        let bounds = outline.bounds();
        Part {
            name: "p".into(),
            box_name: None,
            count: 1,
            stock: 0,
            length: bounds.width(),
            width: bounds.height(),
            thickness: 12.0,
            grain: Grain::Any,
            outline,
            holes: vec![],
            pockets: vec![],
            square_corners: vec![],
            up: Face::Inner,
            assembly: 0,
            panels: vec![],
        }
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
        };
        assert_eq!(
            recess(&board, &pocket(-5.0, 190.0, 305.0, 205.0)),
            Recess::Rabbet { across: Axis::Y, high: true, width: 10.0, depth: 6.0 }
        );
        assert_eq!(
            recess(&board, &pocket(40.0, -5.0, 52.0, 205.0)),
            Recess::Groove { across: Axis::X, from_low: 40.0, width: 12.0, depth: 6.0 }
        );
        assert!(matches!(recess(&board, &pocket(40.0, 50.0, 120.0, 80.0)), Recess::Pocket { .. }));
    }
}
