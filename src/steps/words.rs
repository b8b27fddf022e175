//! What parts and their surfaces are called in a step.

use crate::design::{Face, Panel, Surface, SurfaceKind};
use glam::DVec3;

pub(super) use crate::words::and;

/// `the front and the back`.
pub(super) fn the(panels: &[Panel], which: &[usize]) -> String {
    and(&which.iter().map(|i| format!("the {}", panels[*i].name)).collect::<Vec<_>>())
}

/// A surface as one sees it in the standing box: `lower edge`, `inner face`, `rabbet`.
pub(super) fn surface(panel: &Panel, surface: &Surface) -> String {
    match surface.kind {
        SurfaceKind::Face(face) => match (surface.normal().z, face) {
            (z, _) if z > 0.7 => "upper face".into(),
            (z, _) if z < -0.7 => "underside".into(),
            (_, Face::Inner) => "inner face".into(),
            (_, Face::Outer) => "outer face".into(),
        },
        SurfaceKind::Edge(_) => format!("{} edge", direction(surface.normal())),
        SurfaceKind::PocketFloor(i) | SurfaceKind::PocketWall(i) => {
            panel.pockets.get(i).map_or_else(|| "recess".into(), |pocket| pocket.purpose.clone())
        }
    }
}

/// Where a direction points in the standing box, seen from the front.
pub(super) fn direction(vector: DVec3) -> &'static str {
    match vector.abs().max_position() {
        0 if vector.x > 0.0 => "right",
        0 => "left",
        1 if vector.y > 0.0 => "back",
        1 => "front",
        _ if vector.z > 0.0 => "upper",
        _ => "lower",
    }
}

/// Where something comes from that moves in this direction.
pub(super) fn coming_from(moves: DVec3) -> &'static str {
    match direction(-moves) {
        "upper" => "from above",
        "lower" => "from below",
        "front" => "from the front",
        "back" => "from the back",
        "left" => "from the left",
        _ => "from the right",
    }
}
