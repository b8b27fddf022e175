//! Areas as outlines on paper.

use crate::geometry::{Affine, Outline, Point, Region};

/// The rings of an area, moved to the paper.
pub(super) fn rings_of(region: &Region, to_paper: Affine) -> Vec<Outline> {
    region
        .iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .map(|ring| {
            let points = ring.coords().skip(1).map(|c| to_paper * Point::new(c.x, c.y));
            Outline::polygon(points.map(|p| (p.x, p.y)))
        })
        .collect()
}
