//! Openings in the boards of a box: where a fastener would find no wood.

use crate::design::{Assembly, Contact, Face, Panel, SurfaceKind};
use crate::geometry::math::hypot;
use crate::geometry::{Outline, Rect, Region, to_polygon, without};
use geo::{Area, BooleanOps, BoundingRect, Coord, Intersects, Line, Polygon};
use glam::DVec3;

/// Beside a recess a fastener is as thick as this (mm, on either side of its middle): common practice for brads.
const THICK: f64 = 1.0;

/// What is narrower than this is the play of a joint (mm).
const PLAY: f64 = 1.0;

/// A hole, or what of a recess no board fills.
#[derive(Clone, Debug)]
pub struct Opening {
    /// The panel that it is in, by place in the box's list.
    pub panel: usize,
    /// `entrance hole`.
    pub what: String,
    /// In the panel's frame, and depths below its outer face (mm).
    region: Region,
    around: Rect,
    depths: [f64; 2],
}

/// All openings of an assembly.
pub fn openings(assembly: &Assembly, contacts: &[Contact]) -> Vec<Opening> {
    let mut found = Vec::new();
    for (index, panel) in assembly.panels.iter().enumerate() {
        let mut add = |what: String, region: Region, depths: [f64; 2]| {
            let Some(bounds) = region.bounding_rect() else { return };
            let around = Rect::new(bounds.min().x, bounds.min().y, bounds.max().x, bounds.max().y);
            found.push(Opening { panel: index, what, region, around, depths });
        };
        for hole in &panel.holes {
            let region = Region::from(to_polygon(&hole.outline()));
            add(format!("{} hole", hole.use_), region, [0.0, panel.thickness]);
        }
        let wood = Region::from(to_polygon(&panel.outline));
        for (i, pocket) in panel.pockets.iter().enumerate() {
            let depths = match pocket.face {
                Face::Outer => [0.0, pocket.depth + THICK],
                Face::Inner => [panel.thickness - pocket.depth - THICK, panel.thickness],
            };
            let empty = left_empty(assembly, contacts, (index, i), &wood, &pocket.outline);
            add(pocket.purpose.clone(), empty, depths);
        }
    }
    found
}

/// Those of these places in the list, in words: `the entrance hole in the front`; of several alike, `the drain holes in the
/// floor`.
pub fn named(openings: &[Opening], which: &[usize], panels: &[Panel]) -> Vec<String> {
    let phrase = |i: &usize| {
        let opening = &openings[*i];
        let alike = |other: &&Opening| other.panel == opening.panel && other.what == opening.what;
        let plural = if openings.iter().filter(alike).count() > 1 { "s" } else { "" };
        format!("the {}{plural} in the {}", opening.what, panels[opening.panel].name)
    };
    let mut phrases: Vec<String> = Vec::new();
    for phrase in which.iter().map(phrase) {
        if !phrases.contains(&phrase) {
            phrases.push(phrase);
        }
    }
    phrases
}

/// What of a recess is empty once the boards are in it that are glued there.
fn left_empty(
    assembly: &Assembly,
    contacts: &[Contact],
    (panel, pocket): (usize, usize),
    wood: &Region,
    outline: &Outline,
) -> Region {
    let mut empty = Region::from(to_polygon(outline)).intersection(wood);
    for contact in contacts.iter().filter(|contact| assembly.is_glued(contact)) {
        if contact.surface_of(panel) == Some(SurfaceKind::PocketFloor(pocket))
            && let Some((_, region)) = contact.on_face(panel, &assembly.panels)
        {
            empty = without(&empty, &region);
        }
    }
    wide(empty)
}

/// The pieces of a region that are more than the play of a joint.
fn wide(region: Region) -> Region {
    let around = |piece: &Polygon| -> f64 { piece.exterior().lines().map(|side| hypot(side.dx(), side.dy())).sum() };
    let is_wide = |piece: &Polygon| 2.0 * piece.unsigned_area() > PLAY * around(piece);
    Region::new(region.into_iter().filter(is_wide).collect())
}

impl Opening {
    /// How far a fastener from one place to another passes beside it, in the plane of the board (mm): 0 where it goes in. None
    /// where it stays further away than `far`, or does not reach its depth.
    pub(super) fn distance(&self, panels: &[Panel], from: DVec3, to: DVec3, far: f64) -> Option<f64> {
        let place = &panels[self.panel].place;
        let ((a, high), (b, low)) = (place.to_flat(from), place.to_flat(to));
        let (start, end) = within([-high, -low], self.depths)?;
        let (a, b) = (a.lerp(b, start), a.lerp(b, end));
        let apart = |low: f64, high: f64, least: f64, most: f64| (least - high).max(low - most).max(0.0);
        let x = apart(a.x.min(b.x), a.x.max(b.x), self.around.x0, self.around.x1);
        let y = apart(a.y.min(b.y), a.y.max(b.y), self.around.y0, self.around.y1);
        if hypot(x, y) > far {
            return None;
        }
        let [a, b] = [a, b].map(|p| Coord { x: p.x, y: p.y });
        self.region.iter().map(|piece| between(Line::new(a, b), piece)).reduce(f64::min)
    }
}

/// Distance between a line and a piece of an area, 0 where they meet. Computed here, as places that are drawn hang on it.
fn between(line: Line, piece: &Polygon) -> f64 {
    if piece.intersects(&line) {
        return 0.0;
    }
    let to = |from: Coord, side: Line| {
        let (run, arm) = (side.delta(), from - side.start);
        let square = run.x * run.x + run.y * run.y;
        let share = if square > 0.0 { ((arm.x * run.x + arm.y * run.y) / square).clamp(0.0, 1.0) } else { 0.0 };
        hypot(arm.x - share * run.x, arm.y - share * run.y)
    };
    let rings = std::iter::once(piece.exterior()).chain(piece.interiors());
    let ends =
        |side: Line| to(line.start, side).min(to(line.end, side)).min(to(side.start, line)).min(to(side.end, line));
    rings.flat_map(|ring| ring.lines()).map(ends).fold(f64::INFINITY, f64::min)
}

/// Which share of the way from one depth to another lies between two depths.
fn within([from, to]: [f64; 2], [least, most]: [f64; 2]) -> Option<(f64, f64)> {
    if (to - from).abs() < 1e-9 {
        return (least..=most).contains(&from).then_some((0.0, 1.0));
    }
    let share = |depth: f64| ((depth - from) / (to - from)).clamp(0.0, 1.0);
    let (a, b) = (share(least), share(most));
    let (start, end) = (a.min(b), a.max(b));
    (end - start > 1e-9).then_some((start, end))
}
