//! Which dimensions of a part hold something apart.
//!
//! A dimension is critical when something bears on both its ends: a wall between two others, a side between the rests at
//! its ends, an end wall between the floor and the lugs. What bears is read off the assembly, not asked of the design.

use crate::design::{Assembly, Contact, Panel, Part, SurfaceKind, contacts};
use crate::geometry::{Affine, Outline, Point, Vec2};
use glam::DVec3;

/// Something bears on these ends of a part: at low x, low y, high x, high y.
type Borne = [bool; 4];

/// Of each part, whether its length and whether its width holds something apart.
pub(super) fn critical(assemblies: &[Assembly], parts: &[Part]) -> Vec<[bool; 2]> {
    let touching: Vec<Vec<Contact>> = assemblies
        .iter()
        .map(|assembly| if assembly.loose { Vec::new() } else { contacts(&assembly.panels) })
        .collect();
    parts
        .iter()
        .map(|part| {
            let assembly = &assemblies[part.assembly];
            let borne = part.panels.iter().map(|(index, into_part)| {
                let panel = &assembly.panels[*index];
                let mut borne = [false; 4];
                for contact in touching[part.assembly].iter().filter(|contact| contact.panels.contains(index)) {
                    bear(&mut borne, contact, (*index, panel), *into_part, part);
                }
                bear_levels(&mut borne, panel, assembly, *into_part);
                borne
            });
            let borne: Vec<Borne> = borne.collect();
            [(0, 2), (1, 3)].map(|(low, high)| borne.iter().any(|borne| borne[low] && borne[high]))
        })
        .collect()
}

/// What a contact bears on: an edge of the part with nothing of the part beyond it, or a wall of a recess near one end.
fn bear(borne: &mut Borne, contact: &Contact, (index, panel): (usize, &Panel), into_part: Affine, part: &Part) {
    match contact.surface_of(index) {
        Some(SurfaceKind::Edge(edge)) => {
            let Some(side) = panel.outline.segments().nth(edge) else { return };
            let (start, end) = (into_part * side.start, into_part * side.end);
            // An outline that is mirrored into the part runs clockwise there.
            let out = outward(end - start) * into_part.determinant().signum();
            mark_edge(borne, &part.outline, start.midpoint(end), out);
        }
        Some(SurfaceKind::PocketWall(_)) => {
            let normal = contact.place.normal();
            let flat = Vec2::new(normal.dot(panel.place.u), normal.dot(panel.place.v));
            let Some(bounds) = geo::BoundingRect::bounding_rect(&contact.region) else { return };
            let middle = bounds.center();
            let in_space = contact.place.to_space(Point::new(middle.x, middle.y), 0.0);
            let at = into_part * panel.place.to_flat(in_space).0;
            let [a, b, c, d, ..] = into_part.as_coeffs();
            let faces = Vec2::new(a * flat.x + c * flat.y, b * flat.x + d * flat.y);
            mark_wall(borne, part, at, faces);
        }
        _ => {}
    }
}

/// The low or high end that an edge makes, unless more of the part lies beyond it.
fn mark_edge(borne: &mut Borne, outline: &Outline, middle: Point, out: Vec2) {
    let Some(end) = end_towards(out) else { return };
    let beyond = |p: Point| (p - middle).dot(out) > 0.1;
    let beside = |p: Point| (p - middle).cross(out);
    let covered = outline.segments().any(|side| {
        let (a, b) = (beside(side.start), beside(side.end));
        a * b < 0.0 && beyond(side.start.lerp(side.end, a / (a - b)))
    });
    borne[end] |= !covered;
}

/// The end that a recess lies near, by the wall that something bears on: where this is, and which direction it faces.
fn mark_wall(borne: &mut Borne, part: &Part, at: Point, faces: Vec2) {
    let (share, low, high) =
        if faces.x.abs() > faces.y.abs() { (at.x / part.length, 0, 2) } else { (at.y / part.width, 1, 3) };
    borne[low] |= share < 1.0 / 3.0;
    borne[high] |= share > 2.0 / 3.0;
}

/// Which end of a part a direction points to.
fn end_towards(direction: Vec2) -> Option<usize> {
    let square = 0.999;
    [-direction.x, -direction.y, direction.x, direction.y].iter().position(|share| *share > square)
}

/// Lugs bear on upper edges at the height they rest at; the box above and the box below bear where boxes meet.
fn bear_levels(borne: &mut Borne, panel: &Panel, assembly: &Assembly, into_part: Affine) {
    let rest = assembly.frames.as_ref().map(|frames| (1.0, frames.rest));
    let meets = assembly.footprint.map(|footprint| [(1.0, footprint.upper), (-1.0, footprint.lower)]);
    let levels: Vec<(f64, f64)> = rest.into_iter().chain(meets.into_iter().flatten()).collect();
    for side in panel.outline.segments() {
        let out = outward(side.end - side.start);
        let up = (panel.place.u * out.x + panel.place.v * out.y).dot(DVec3::Z);
        let height = panel.place.to_space(side.at(0.5), 0.0).z;
        if levels.iter().any(|(faces, level)| up * faces > 0.99 && (height - level).abs() < 0.1) {
            let (start, end) = (into_part * side.start, into_part * side.end);
            let out = outward(end - start) * into_part.determinant().signum();
            if let Some(end) = end_towards(out) {
                borne[end] = true;
            }
        }
    }
}

/// The unit vector out of a counter-clockwise outline, from one of its sides: the outside is on a side's right.
fn outward(side: Vec2) -> Vec2 {
    let along = side / side.hypot().max(1e-9);
    Vec2::new(along.y, -along.x)
}
