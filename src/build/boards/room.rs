//! The room inside a box, and how high its walls are.

use crate::design::{Assembly, Panel};
use crate::geometry::{Point, spans_inside};
use glam::DVec3;

/// Where the height of a wall is looked for, as shares of its width: away from what is cut into its ends.
const WITHIN: [f64; 2] = [0.1, 0.9];
/// What stands in the room of a box and doesn't bound it.
const IN_IT: [&str; 3] = ["division board", "entrance block", "partition"];

/// The upright block inside a box, between the walls of its kind; up to the lowest of their upper edges.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub least: DVec3,
    pub most: DVec3,
}

impl Room {
    pub fn of(assembly: &Assembly) -> Room {
        let panels: Vec<&Panel> = assembly.panels.iter().filter(|it| !IN_IT.contains(&it.family.as_str())).collect();
        let all = panels.iter().map(|panel| panel.bounds());
        let (mut least, mut most) =
            all.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |all, one| (all.0.min(one.0), all.1.max(one.1)));
        let from = assembly.inside.unwrap_or((least + most) / 2.0);
        let upper = panels.iter().filter(|panel| panel.sub_assembly.is_empty()).filter_map(|panel| upper_edge(panel));
        let upper = upper.filter(|z| *z > from.z).fold(most.z, f64::min);
        most.z = assembly.footprint.map_or(upper, |footprint| footprint.upper);
        let floorless = assembly.footprint.map_or(least.z, |footprint| footprint.lower);
        least.z = floorless.max(least.z).min(from.z);
        for panel in panels {
            let (low, high) = panel.bounds();
            for axis in 0..3 {
                let beside = (0..3).filter(|other| *other != axis).all(|o| low[o] < from[o] && from[o] < high[o]);
                if beside && high[axis] <= from[axis] {
                    least[axis] = least[axis].max(high[axis]);
                } else if beside && axis != 2 && low[axis] >= from[axis] {
                    most[axis] = most[axis].min(low[axis]);
                }
            }
        }
        Room { least, most }
    }
}

/// The lowest place of a wall's upper edge: z, for a panel that stands upright along an axis.
pub(super) fn upper_edge(panel: &Panel) -> Option<f64> {
    if panel.place.normal().z.abs() > 1e-6 || panel.place.v.z < 1.0 - 1e-6 {
        return None;
    }
    let bounds = panel.outline.bounds();
    let heights = WITHIN.map(|share| {
        let u = bounds.x0 + share * bounds.width();
        let spans = spans_inside(&panel.outline, Point::new(u, bounds.y0 - 1.0), Point::new(u, bounds.y1 + 1.0));
        let top = spans.iter().map(|(_, end)| *end).fold(f64::NEG_INFINITY, f64::max);
        panel.place.to_space(Point::new(u, bounds.y0 - 1.0 + top), 0.0).z
    });
    Some(heights[0].min(heights[1])).filter(|z| z.is_finite())
}

/// The axis that a panel is square to; `None` where it leans.
pub(super) fn axis_of(panel: &Panel) -> Option<usize> {
    let normal = panel.place.normal();
    (0..3).find(|axis| normal[*axis].abs() > 1.0 - 1e-9)
}
