//! Which dimensions of a part hold something apart.
//!
//! A dimension is critical when something bears on both its ends: a wall between two others, a side between the rests at
//! its ends, an end wall between the floor and the lugs. What bears is read off the assembly, not asked of the design.

use crate::design::{Assembly, HungFrames, Panel, Part, SurfaceKind, contacts};
use crate::geometry::{Affine, Point, Vec2};
use glam::DVec3;

/// Something bears on these four sides of a part's rectangle: at x = 0, y = 0, x = length, y = width.
type Borne = [bool; 4];

/// Of each part, whether its length and whether its width holds something apart.
pub(super) fn critical(assemblies: &[Assembly], parts: &[Part]) -> Vec<[bool; 2]> {
    let mut borne: Vec<Vec<Borne>> = parts.iter().map(|part| vec![[false; 4]; part.panels.len()]).collect();
    for (index, assembly) in assemblies.iter().enumerate() {
        if assembly.loose {
            continue;
        }
        let edges = edges_that_bear(assembly);
        for (part, borne) in parts.iter().zip(&mut borne).filter(|(part, _)| part.assembly == index) {
            for ((panel, into_part), borne) in part.panels.iter().zip(borne) {
                for edge in edges.iter().filter(|(bearing, _)| bearing == panel).map(|(_, edge)| *edge) {
                    mark(borne, &assembly.panels[*panel], edge, *into_part, part);
                }
            }
        }
    }
    borne
        .iter()
        .map(|panels| [(0, 2), (1, 3)].map(|(low, high)| panels.iter().any(|borne| borne[low] && borne[high])))
        .collect()
}

/// Panels and the numbers of their edges that something bears on.
fn edges_that_bear(assembly: &Assembly) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for contact in contacts(&assembly.panels) {
        for (panel, surface) in contact.panels.into_iter().zip(contact.surfaces) {
            if let SurfaceKind::Edge(edge) = surface {
                found.push((panel, edge));
            }
        }
    }
    if let Some(frames) = &assembly.frames {
        for (i, panel) in assembly.panels.iter().enumerate() {
            found.extend(under_lugs(panel, frames).map(|edge| (i, edge)));
        }
    }
    found
}

/// Upper edges at the height that the lugs rest on.
fn under_lugs<'a>(panel: &'a Panel, frames: &'a HungFrames) -> impl Iterator<Item = usize> + 'a {
    panel.outline.segments().enumerate().filter_map(move |(i, side)| {
        let out = outward(side.end - side.start);
        let up = panel.place.u * out.x + panel.place.v * out.y;
        let height = panel.place.to_space(side.at(0.5), 0.0).z;
        (up.dot(DVec3::Z) > 0.99 && (height - frames.rest).abs() < 0.1).then_some(i)
    })
}

/// A counter-clockwise outline has its outside on the right of the way.
fn outward(way: Vec2) -> Vec2 {
    let way = way / way.hypot().max(1e-9);
    Vec2::new(way.y, -way.x)
}

/// Marks the side of the part's rectangle that an edge of its panel lies along.
fn mark(borne: &mut Borne, panel: &Panel, edge: usize, into_part: Affine, part: &Part) {
    let Some(side) = panel.outline.segments().nth(edge) else { return };
    let (start, end) = (into_part * side.start, into_part * side.end);
    let sides: [&dyn Fn(Point) -> f64; 4] =
        [&|p| p.x, &|p| p.y, &|p: Point| p.x - part.length, &|p: Point| p.y - part.width];
    for (borne, distance) in borne.iter_mut().zip(sides) {
        if distance(start).abs() < 0.01 && distance(end).abs() < 0.01 {
            *borne = true;
        }
    }
}
