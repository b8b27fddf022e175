//! Lines to which boards are set: where the router cuts them.
//!
//! Along each edge of the patch that a board will cover, the cutter goes half its width inside, so that the outer wall of its cut
//! is the line and all of the cut lies under the board. Edges that the face itself ends at need none.

use crate::design::{Assembly, Contact, Face, JointKind, JointLine, Panel, SurfaceKind, contacts, joints};
use crate::geometry::{Outline, Point, Region, Vec2, to_polygon, without};
use crate::job::Job;
use geo::{Contains, LineString, Polygon};

/// How deep the lines are (mm): enough to be felt with a finger-nail.
const LINE_DEPTH: f64 = 0.3;
/// A thinner board gets none (mm): common practice.
const THINNEST: f64 = 6.0;
/// So far outside the patch there must be wood of the same face (mm).
const OUTSIDE: f64 = 0.5;
/// Places along an edge that are looked at, so far apart (mm).
const STEP: f64 = 1.0;
const HAIR: f64 = 1e-6;

/// Puts the lines into the panels of an assembly, where the job asks for them.
pub fn line(job: &Job, assembly: &mut Assembly) {
    let Some(router) = job.router.as_ref().filter(|router| router.cutting.joint_lines) else { return };
    let diameter = router.cutter.diameter.value;
    let depth = LINE_DEPTH.min(router.cutter.pass_depth.value * diameter);
    let contacts = contacts(&assembly.panels);
    let joints = joints(assembly, &contacts);
    // Let in or between fingers a board finds its place by itself.
    let set = joints.iter().filter(|joint| joint.glued && matches!(joint.kind, JointKind::Butt | JointKind::Lap));
    let patches: Vec<&Contact> = set.flat_map(|joint| &joint.contacts).map(|i| &contacts[*i]).collect();
    let mut found: Vec<(usize, JointLine)> = Vec::new();
    for contact in patches.into_iter().filter(|contact| !contact.leans) {
        for (index, surface) in contact.panels.into_iter().zip(contact.surfaces) {
            let panel = &assembly.panels[index];
            if matches!(surface, SurfaceKind::Face(_)) && panel.thickness >= THINNEST {
                found.extend(on((panel, index), contact, &assembly.panels, (diameter / 2.0, depth)));
            }
        }
    }
    for (panel, line) in found {
        assembly.panels[panel].joint_lines.push(line);
    }
}

/// The lines on a panel's face around a contact.
fn on(
    (panel, index): (&Panel, usize),
    contact: &Contact,
    panels: &[Panel],
    (radius, depth): (f64, f64),
) -> Vec<(usize, JointLine)> {
    let Some((face, region)) = contact.on_face(index, panels) else { return Vec::new() };
    let bare = bare(panel, face);
    let lines = region.iter().filter_map(|patch| {
        let covered = outline_of(patch.exterior());
        let covered = if covered.area() < 0.0 { covered.reversed() } else { covered };
        let sides: Vec<(Point, Point)> = covered.segments().map(|side| (side.start, side.end)).collect();
        let edges = sides.iter().filter(|(from, to)| from.distance(*to) > 2.0 * radius.max(OUTSIDE));
        let runs: Vec<Edge> = edges.filter_map(|(from, to)| Edge::shown(*from, *to, &bare)).collect();
        if runs.is_empty() {
            return None;
        }
        let rims: Vec<Outline> = std::iter::once(patch.exterior()).chain(patch.interiors()).map(outline_of).collect();
        let strokes = runs.iter().flat_map(|edge| edge.strokes(patch, &rims, radius)).collect();
        let board = contact.other(index).map_or_else(String::new, |other| panels[other].name.clone());
        Some((index, JointLine { board, face, depth, covered, strokes }))
    });
    lines.collect()
}

/// A ring, whose last corner is its first again.
fn outline_of(ring: &LineString) -> Outline {
    Outline::polygon(ring.coords().skip(1).map(|corner| (corner.x, corner.y)))
}

/// What of a face neither a hole nor a recess takes away.
fn bare(panel: &Panel, face: Face) -> Region {
    let region = |outline: &Outline| Region::from(to_polygon(outline));
    let holes = panel.holes.iter().map(|hole| hole.outline());
    let recesses = panel.pockets.iter().filter(|pocket| pocket.face == face).map(|pocket| pocket.outline.clone());
    holes.chain(recesses).fold(region(&panel.outline), |wood, cut| without(&wood, &region(&cut)))
}

/// An edge of a patch, the patch on its left; and between which places along it there is wood on its right (mm).
struct Edge {
    from: Point,
    along: Vec2,
    runs: Vec<[f64; 2]>,
}

impl Edge {
    /// `None` where the face ends at it.
    fn shown(from: Point, to: Point, bare: &Region) -> Option<Edge> {
        let (along, long) = ((to - from).normalize(), from.distance(to));
        let right = Vec2::new(along.y, -along.x) * OUTSIDE;
        let shows = |s: f64| {
            let at = from + along * s + right;
            bare.contains(&geo::Point::new(at.x, at.y))
        };
        let runs = runs(long, shows);
        (!runs.is_empty()).then_some(Edge { from, along, runs })
    }

    /// The cutter's paths along it: nowhere nearer to the patch's rim than its radius.
    fn strokes(&self, patch: &Polygon, rims: &[Outline], radius: f64) -> Vec<[Point; 2]> {
        let left = Vec2::new(-self.along.y, self.along.x) * radius;
        let place = |s: f64| self.from + self.along * s + left;
        let clear = |s: f64| {
            let at = place(s);
            patch.contains(&geo::Point::new(at.x, at.y)) && rims.iter().all(|rim| rim.distance(at) >= radius - HAIR)
        };
        let cut = |[start, end]: [f64; 2]| {
            let (start, end) = (start + radius, end - radius);
            let stretches = if end > start { runs(end - start, |s| clear(start + s)) } else { Vec::new() };
            stretches
                .into_iter()
                .filter(|[a, b]| b - a >= radius)
                .map(move |[a, b]| [place(start + a), place(start + b)])
        };
        self.runs.iter().flat_map(|run| cut(*run).collect::<Vec<_>>()).collect()
    }
}

/// Where something holds along so long a way: at places a step apart, and at both ends.
fn runs(long: f64, holds: impl Fn(f64) -> bool) -> Vec<[f64; 2]> {
    if long <= 2.0 * HAIR {
        return Vec::new();
    }
    let steps = (long / STEP).ceil().max(1.0) as u32;
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut open = false;
    for s in (0..=steps).map(|i| long * f64::from(i) / f64::from(steps)) {
        if holds(s.clamp(HAIR, long - HAIR)) {
            match found.last_mut().filter(|_| open) {
                Some(run) => run[1] = s,
                None => found.push([s, s]),
            }
            open = true;
        } else {
            open = false;
        }
    }
    found.retain(|[a, b]| b > a);
    found
}
