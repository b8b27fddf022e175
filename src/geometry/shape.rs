//! Areas of lines and arcs with islands, shrunk by a distance.

use super::number::Number;
use super::offset::{from_polyline, to_polyline};
use super::{Outline, offset};
use cavalier_contours::shape_algorithms::{Shape, ShapeOffsetOptions};

/// An area shrunk by `distance`: what a round cutter's centre may reach inside it.
///
/// `area` is counter-clockwise outlines with clockwise islands in them, and so is the result; arcs stay arcs.
pub fn inset(area: &[Outline], distance: f64) -> Vec<Outline> {
    if let [single] = area {
        return offset(single, -distance);
    }
    // The library's positive side is the left of the path: the inside of every loop.
    let shape =
        Shape::from_plines(area.iter().map(to_polyline)).parallel_offset(Number(distance), &ShapeOffsetOptions::new());
    shape.ccw_plines.iter().chain(&shape.cw_plines).map(|line| from_polyline(&line.polyline)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use std::f64::consts::PI;

    /// A square of 100 with a round island of 20, shrunk by 5: a square of 90 with a round island of 30.
    #[test]
    fn an_area_with_an_island_shrinks_from_both() {
        let area = [Outline::rectangle(100.0, 100.0), Outline::circle(Point::new(50.0, 50.0), 20.0).reversed()];
        let shrunk = inset(&area, 5.0);
        assert_eq!(shrunk.len(), 2);
        let net: f64 = shrunk.iter().map(Outline::area).sum();
        assert!((net - (8100.0 - 225.0 * PI)).abs() < 1e-6, "{net}");
        assert_eq!(inset(&area, 24.0).len(), 4, "the island's ring has cut the square's into four corners");
        assert!(inset(&area, 30.0).is_empty());
        assert!(inset(&area, 51.0).is_empty());
    }
}
