//! How much of a box shows outside: what is painted. The inside stays bare.

use crate::design::{Assembly, Cavity, Contact, Surface};
use crate::geometry::{Affine, Point, Region, region_area};
use geo::{AffineOps, AffineTransform, BooleanOps, BoundingRect, Contains};

/// A face is looked at in this many places along its length, and as many along its width.
const GRID: usize = 16;
/// A face looks into the hollow if the point this far before it lies in there (mm).
const BEFORE: f64 = 1.0;

/// Area of all surfaces that do not look into the hollow and have no other panel on them (mm²).
///
/// Where a face is partly inside and partly outside it is shared out by places looked at.
pub fn outside_area(assembly: &Assembly, contacts: &[Contact], surfaces: &[Vec<Surface>]) -> f64 {
    let cavity = Cavity::of(assembly);
    let mut area = 0.0;
    for (panel, surface) in surfaces.iter().enumerate().flat_map(|(i, list)| list.iter().map(move |s| (i, s))) {
        let bare = uncovered(contacts, panel, surface);
        let whole = region_area(&bare);
        if whole > 0.0 {
            area += whole * cavity.as_ref().map_or(1.0, |cavity| share_outside(cavity, surface, &bare));
        }
    }
    area
}

/// The surface without what lies on it.
fn uncovered(contacts: &[Contact], panel: usize, surface: &Surface) -> Region {
    let on_it = contacts.iter().filter(|contact| contact.surface_of(panel) == Some(surface.kind));
    on_it.fold(surface.region.clone(), |bare, contact| {
        bare.difference(&moved(&contact.region, contact.place.into_flat_of(&surface.place)))
    })
}

fn moved(region: &Region, by: Affine) -> Region {
    use geo::orient::{Direction, Orient};
    let [a, d, b, e, x, y] = by.as_coeffs();
    region.affine_transform(&AffineTransform::new(a, b, x, d, e, y)).orient(Direction::Default)
}

fn share_outside(cavity: &Cavity, surface: &Surface, bare: &Region) -> f64 {
    let Some(around) = bare.bounding_rect() else { return 1.0 };
    let (mut seen, mut inside) = (0.0, 0.0);
    for i in 0..GRID {
        for j in 0..GRID {
            let at = geo::Point::new(
                around.min().x + around.width() * (i as f64 + 0.5) / GRID as f64,
                around.min().y + around.height() * (j as f64 + 0.5) / GRID as f64,
            );
            if bare.contains(&at) {
                seen += 1.0;
                if cavity.contains(surface.place.to_space(Point::new(at.x(), at.y()), BEFORE)) {
                    inside += 1.0;
                }
            }
        }
    }
    if seen > 0.0 { 1.0 - inside / seen } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Board;
    use crate::design::kinds::OpenBox;
    use crate::design::{Design, Panel, contacts};

    /// A tray: its four outsides, the floor's underside and edges, and the walls' upper edges.
    #[test]
    fn the_inside_of_a_tray_stays_bare() {
        let tray = OpenBox::new([300.0, 200.0, 80.0]).build(&Board::plain(12.0, None));
        let surfaces: Vec<_> = tray.panels.iter().map(Panel::surfaces).collect();
        let found = outside_area(&tray, &contacts(&tray.panels), &surfaces);
        let (width, depth) = (324.0, 224.0);
        let walls = 2.0 * (width + depth) * 92.0;
        let upper_edges = 2.0 * depth * 12.0 + 2.0 * 300.0 * 12.0;
        let expected = walls + width * depth + upper_edges;
        assert!((found - expected).abs() < 1.0, "{found} for {expected}");
    }
}
