//! What is seen of a panel, and how much room a box takes.

use crate::design::{Assembly, Panel};
use crate::geometry::{Facet, skin};
use glam::DVec3;

/// The facets of a panel. The surfaces of [`crate::design`] are what joints are found from, and leave holes out; these are
/// what is seen.
pub(super) fn facets(owner: usize, panel: &Panel) -> Vec<Facet> {
    skin(owner, &panel.solid(), &panel.place)
}

/// The least upright block around a box: its lowest corner and its highest.
pub(super) fn extent(assembly: &Assembly) -> (DVec3, DVec3) {
    let corners: Vec<DVec3> =
        assembly.panels.iter().flat_map(|panel| facets(0, panel)).flat_map(|facet| facet.rings.concat()).collect();
    let least = corners.iter().copied().fold(DVec3::INFINITY, DVec3::min);
    let most = corners.iter().copied().fold(DVec3::NEG_INFINITY, DVec3::max);
    if corners.is_empty() { (DVec3::ZERO, DVec3::ONE) } else { (least, most) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Face, Facing, Hole, HoleUse, Pocket};
    use crate::geometry::{Outline, Point};

    /// Gauss's theorem: the facets of a closed skin enclose the panel's volume, and their areas, each along its normal, add
    /// up to nothing. Holds only if nothing is missing, doubled or turned inside out.
    fn volume(facets: &[Facet]) -> f64 {
        let mut sum = DVec3::ZERO;
        let mut volume = 0.0;
        for facet in facets {
            for ring in &facet.rings {
                let (mut area, first) = (DVec3::ZERO, ring[0]);
                for pair in ring.windows(2) {
                    area += (pair[0] - first).cross(pair[1] - first) / 2.0;
                }
                assert!(area.cross(facet.normal).length() < 1e-6 * area.length().max(1.0), "not flat");
                sum += area;
                volume += area.dot(first) / 3.0;
            }
        }
        assert!(sum.length() < 1e-3, "not closed: {sum}");
        volume
    }

    fn board(facing: Facing) -> Panel {
        let (least, most) = (DVec3::new(30.0, 40.0, 50.0), DVec3::new(42.0, 340.0, 150.0));
        Panel::block("side", "side", facing, least, most)
    }

    #[test]
    fn a_plain_board_encloses_its_volume_however_it_stands() {
        for facing in [Facing::Front, Facing::Back, Facing::Left, Facing::Right, Facing::Up, Facing::Down] {
            let found = facets(0, &board(facing));
            assert_eq!(found.len(), 6);
            assert!((volume(&found) - 12.0 * 300.0 * 100.0).abs() < 1e-6);
        }
    }

    #[test]
    fn holes_and_recesses_take_their_volume_away() {
        let mut panel = board(Facing::Left);
        panel.holes.push(Hole::round(HoleUse::Vent, Point::new(150.0, 50.0), 20.0));
        let pocket = |face, depth, x: (f64, f64)| Pocket {
            purpose: "rabbet".into(),
            face,
            outline: Outline::polygon([(x.0, -5.0), (x.1, -5.0), (x.1, 105.0), (x.0, 105.0)]),
            depth,
        };
        // One to the edge, one across it on the other face, deeper than what is left over between the two.
        panel.pockets.push(pocket(Face::Inner, 6.0, (288.0, 310.0)));
        panel.pockets.push(pocket(Face::Outer, 4.0, (200.0, 220.0)));
        let circle = Outline::polygon(panel.holes[0].outline().flattened(0.1).into_iter().map(Into::into)).area();
        let expected = 12.0 * (300.0 * 100.0 - circle) - 6.0 * 12.0 * 100.0 - 4.0 * 20.0 * 100.0;
        assert!((volume(&facets(0, &panel)) - expected).abs() < 0.5, "{}", volume(&facets(0, &panel)) - expected);
    }
}
