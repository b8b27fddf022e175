//! A box cut through by a plane: what the plane cuts, hatched, and what is seen beyond it.

use super::rings::rings_of;
use super::room::Room;
use super::solid::facets;
use super::view::{View, seen};
use super::{Pen, Picture};
use crate::design::{Assembly, Facing, HungFrames, Panel};
use crate::geometry::{Affine, Facet, Outline, Point, Rect, Region, to_polygon};
use geo::bool_ops::FillRule;
use geo::{BooleanOps, Coord, LineString, MultiLineString, MultiPolygon, Polygon};
use glam::DVec3;

/// Lines of hatching stand this far apart (mm on paper).
const HATCH: f64 = 1.4;

/// A cut through the box: everything beyond a plane, looked at straight.
pub(super) struct Cut {
    pub view: View,
    /// Facets of the panels and frames beyond the plane.
    beyond: Vec<Facet>,
    /// Where the plane cuts the panels, in the view's plane; frames come after the panels.
    caps: Vec<Region>,
    panels: usize,
}

impl Cut {
    /// The cut by the plane at `height` along `toward`, which points at the eye: what is nearer is taken away.
    pub fn new(assembly: &Assembly, frames: &HungFrames, view: View, toward: DVec3, height: f64) -> Cut {
        let blocks = frame_blocks(frames);
        let (mut beyond, mut caps) = (Vec::new(), Vec::new());
        for (i, panel) in assembly.panels.iter().chain(&blocks).enumerate() {
            let rest: Vec<Facet> =
                facets(i, panel).into_iter().filter_map(|facet| behind(facet, toward, height)).collect();
            caps.push(cap(&rest, &view));
            beyond.extend(rest);
        }
        Cut { view, beyond, caps, panels: assembly.panels.len() }
    }

    pub fn bounds(&self) -> Rect {
        let points = self.beyond.iter().flat_map(|facet| &facet.rings[0]).map(|corner| self.view.flat(*corner));
        points.map(|p| Rect::from_points(p, p)).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
    }

    /// Draws it, only inside `within` (on paper) if that is given.
    pub fn draw(&self, picture: &mut Picture, room: &mut Room, to_paper: Affine, within: Option<&Outline>) {
        let within = within.map(|outline| to_polygon(&outline.transformed(to_paper.inverse())));
        let inside = |region: &Region| within.as_ref().map_or_else(|| region.clone(), |area| region.intersection(area));
        for face in seen(&self.beyond, &self.view) {
            let outlines = rings_of(&inside(&face.region), to_paper);
            if outlines.is_empty() {
                continue;
            }
            take(room, &outlines);
            picture.area(outlines, if face.owner < self.panels { Pen::WoodLight } else { Pen::Frame });
        }
        for (i, cap) in self.caps.iter().enumerate() {
            let cap = &inside(cap);
            let outlines = rings_of(cap, to_paper);
            if outlines.is_empty() {
                continue;
            }
            take(room, &outlines);
            if i < self.panels {
                picture.area(outlines, Pen::CutWood);
                hatch(picture, cap, to_paper, i % 2 == 0, Pen::Fine);
            } else {
                picture.area(outlines, Pen::CutFrame);
            }
        }
    }
}

pub(super) fn take(room: &mut Room, outlines: &[Outline]) {
    for outline in outlines {
        let mut points: Vec<Point> = outline.vertices.iter().map(|vertex| vertex.at).collect();
        points.extend(points.first().copied());
        room.take_path(&points);
    }
}

/// What of a facet is beyond the plane.
fn behind(facet: Facet, toward: DVec3, height: f64) -> Option<Facet> {
    let ahead = |corner: &DVec3| corner.dot(toward) - height;
    if facet.rings[0].iter().all(|corner| ahead(corner) <= 0.0) {
        return Some(facet);
    }
    let rings: Vec<Vec<DVec3>> = facet
        .rings
        .iter()
        .map(|ring| {
            let mut kept = Vec::new();
            for (i, corner) in ring.iter().enumerate() {
                let next = &ring[(i + 1) % ring.len()];
                let (h0, h1) = (ahead(corner), ahead(next));
                if h0 <= 0.0 {
                    kept.push(*corner);
                }
                if (h0 <= 0.0) != (h1 <= 0.0) {
                    kept.push(*corner + (*next - *corner) * (h0 / (h0 - h1)));
                }
            }
            kept
        })
        .filter(|ring| ring.len() >= 3)
        .collect();
    (!rings.is_empty()).then_some(Facet { rings, ..facet })
}

/// Where the plane cuts a solid, from what is left of its skin.
///
/// A line of sight that starts inside the solid leaves it once more often than it enters: laid over each other, the facets
/// that look at the eye and those that look away, which run in reverse, cancel out everywhere but there.
fn cap(skin: &[Facet], view: &View) -> Region {
    let rings: Vec<Polygon<f64>> = skin
        .iter()
        .flat_map(|facet| &facet.rings)
        .map(|ring| {
            let flat = ring.iter().map(|corner| view.flat(*corner)).map(|p| Coord { x: p.x, y: p.y }).collect();
            Polygon::new(LineString::new(flat), vec![])
        })
        .collect();
    let all = MultiPolygon::new(rings);
    let cut = all.union_with_fill_rule(&MultiPolygon::new(vec![]), FillRule::NonZero);
    cut.into_iter().filter(|polygon| geo::Area::unsigned_area(polygon) > 0.5).collect()
}

/// Narrow lines at 45 degrees, leaning to the right or to the left.
pub(super) fn hatch(picture: &mut Picture, region: &Region, to_paper: Affine, right: bool, pen: Pen) {
    let paper: Region = geo::MapCoords::map_coords(region, |c| {
        let p = to_paper * Point::new(c.x, c.y);
        Coord { x: p.x, y: p.y }
    });
    let Some(bounds) = geo::BoundingRect::bounding_rect(&paper) else { return };
    let (least, most) = (bounds.min(), bounds.max());
    let high = most.y - least.y;
    let step = HATCH * std::f64::consts::SQRT_2;
    let first = ((least.x - high) / step).floor() as i64;
    let last = ((most.x + high) / step).ceil() as i64;
    // Counted from the paper's corner, so that pieces of one panel line up.
    let lines: Vec<LineString<f64>> = (first..=last)
        .map(|i| {
            let x = step * i as f64;
            let (low, top) = if right { (x, x + high) } else { (x + high, x) };
            LineString::new(vec![Coord { x: low, y: most.y }, Coord { x: top, y: least.y }])
        })
        .collect();
    for line in paper.clip(&MultiLineString::new(lines), false) {
        let points: Vec<Point> = line.coords().map(|c| Point::new(c.x, c.y)).collect();
        if points.len() >= 2 {
            picture.path(&points, pen);
        }
    }
}

/// The frames as blocks: top bars, end bars as wide as the spacing, and bottom bars. What a standard does not give is drawn
/// as thick as the lug.
fn frame_blocks(frames: &HungFrames) -> Vec<Panel> {
    let frame = &frames.frame;
    let (bar, body) = (frame.top_bar_length.value / 2.0, frame.body_length.value / 2.0);
    let (half_bar, half_end) = (frame.top_bar_width.value / 2.0, frame.spacing.value / 2.0);
    let (thick, y, rest) = (frame.lug_thickness.value, frames.middle.1, frames.rest);
    let top = rest + thick;
    let foot = top - frame.depth.value;
    let block = |least: [f64; 3], most: [f64; 3]| {
        Panel::block("frame", "frame", Facing::Up, DVec3::from(least), DVec3::from(most))
    };
    frames
        .centres()
        .flat_map(|x| {
            [
                block([x - half_bar, y - bar, rest], [x + half_bar, y + bar, top]),
                block([x - half_end, y - body, foot], [x + half_end, y - body + thick, rest]),
                block([x - half_end, y + body - thick, foot], [x + half_end, y + body, rest]),
                block([x - half_bar, y - body + thick, foot], [x + half_bar, y + body - thick, foot + thick]),
            ]
        })
        .collect()
}
