//! A panel as a stack of prisms, for a picture that can be turned.

use crate::design::Panel;
use crate::geometry::Region;
use geo::BooleanOps;
use serde::Serialize;

/// Chords stay within this of their arcs (mm): finer than the eye can see on a whole box.
const FINE: f64 = 0.15;

/// A ring of corners as `[u, v, u, v, …]`, material on the left.
pub(super) type Ring = Vec<f64>;

/// A stretch of the panel's thickness over which its cross-section stays the same.
#[derive(Debug, Serialize)]
pub(super) struct Layer {
    /// Depths below the outer face.
    pub top: f64,
    pub bottom: f64,
    /// The cross-section.
    pub rings: Vec<Ring>,
    /// What of its upper and its lower side lies bare.
    pub upper: Vec<Ring>,
    pub lower: Vec<Ring>,
}

/// The layers of a panel from its outer face down, in the panel's own frame.
pub(super) fn layers(panel: &Panel) -> Vec<Layer> {
    let layers = panel.solid().layers(FINE);
    let bare = |this: usize, beside: Option<usize>| {
        let (this, beside) = (&layers[this].region, beside.and_then(|beside| layers.get(beside)));
        beside.map_or_else(|| this.clone(), |that| this.difference(&that.region))
    };
    let prism = |(i, layer): (usize, &crate::geometry::Layer)| Layer {
        top: -layer.top,
        bottom: -layer.foot,
        rings: rings(&layer.region),
        upper: rings(&bare(i, i.checked_sub(1))),
        lower: rings(&bare(i, Some(i + 1))),
    };
    layers.iter().enumerate().map(prism).collect()
}

/// Every ring of a region, outer ones counter-clockwise and inner ones clockwise.
pub(super) fn rings(region: &Region) -> Vec<Ring> {
    use geo::orient::{Direction, Orient};
    region
        .orient(Direction::Default)
        .iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .map(|ring| {
            // A ring's last corner repeats its first.
            let corners = ring.0.len().saturating_sub(1);
            ring.coords().take(corners).flat_map(|c| [hundredth(c.x), hundredth(c.y)]).collect()
        })
        .collect()
}

/// To a hundredth of a millimetre: enough for any picture.
pub(super) fn hundredth(value: f64) -> f64 {
    let rounded = (value * 100.0).round() / 100.0;
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Face;
    use crate::design::{Hole, HoleUse, Pocket};
    use crate::geometry::Outline;
    use crate::geometry::Point;

    /// Signed area of all rings together.
    fn area(rings: &[Ring]) -> f64 {
        let cross = |ring: &Ring| {
            let n = ring.len() / 2;
            (0..n)
                .map(|i| ring[2 * i] * ring[2 * ((i + 1) % n) + 1] - ring[2 * ((i + 1) % n)] * ring[2 * i + 1])
                .sum::<f64>()
        };
        rings.iter().map(cross).sum::<f64>() / 2.0
    }

    #[test]
    fn a_plain_panel_is_one_layer_with_its_holes_in_it() {
        let panel =
            Panel::flat("a", 200.0, 100.0, 12.0).with_hole(Hole::round(HoleUse::Vent, Point::new(50.0, 50.0), 20.0));
        let layers = layers(&panel);
        assert_eq!(layers.len(), 1);
        assert_eq!(layers[0].rings.len(), 2);
        // Chords of a circle enclose a little less than it does.
        assert!((area(&layers[0].rings) - (20_000.0 - 314.2)).abs() < 6.0);
    }

    /// What is bare on both sides of all layers adds up to both faces, pocket floors taking the place of what they took.
    #[test]
    fn a_rabbet_leaves_a_step() {
        let mut panel = Panel::flat("a", 200.0, 100.0, 12.0);
        panel.pockets.push(Pocket {
            purpose: "rabbet".into(),
            face: Face::Inner,
            outline: Outline::polygon([(188.0, -5.0), (210.0, -5.0), (210.0, 105.0), (188.0, 105.0)]),
            depth: 5.0,
        });
        let layers = layers(&panel);
        assert_eq!(layers.iter().map(|layer| (layer.top, layer.bottom)).collect::<Vec<_>>(), [(0.0, 7.0), (7.0, 12.0)]);
        assert!((area(&layers[0].lower) - 1200.0).abs() < 0.1 && layers[1].upper.is_empty());
        assert!((area(&layers[1].lower) - 18_800.0).abs() < 0.1);
    }
}
