//! Places on a sheet where a change of the cut would show: along every edge of every part on both sides of it, all over
//! recesses, holes and the rest of the sheet.

use nestwright::proof::{Claim, HoleClaim, PartClaim, PlacementClaim, SheetClaim, VertexClaim};
use std::f64::consts::FRAC_PI_2;

/// What a place must look like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Want {
    /// As the unbroken program leaves it.
    Same,
    /// Nothing stands here where nothing stood.
    Gone,
    /// A tab's sloped flank: wood up to this height.
    Flank(f64),
}

#[derive(Clone, Copy, Debug)]
pub struct Place {
    pub at: [f64; 2],
    pub want: Want,
}

/// A change of the cut smaller than this is none (mm).
pub const SMALL: f64 = 0.05;
/// So far from an edge a place shows a shift of that much.
const BESIDE: f64 = SMALL + 0.005;

/// A place on an edge, the direction out of what the edge encloses, and whether it is a hole's.
struct Edge {
    at: [f64; 2],
    out: [f64; 2],
}

/// Everything that is looked at on a sheet.
pub fn places(claim: &Claim, sheet: &SheetClaim) -> Vec<Place> {
    let router = claim.router.as_ref().expect("a router");
    let radius = cutter(claim);
    let mut all = Vec::new();
    let mut outlines: Vec<Vec<[f64; 2]>> = Vec::new();
    for placement in &sheet.placements {
        let part = claim.parts.iter().find(|part| part.name == placement.part).expect("a part");
        let on_sheet = |p: [f64; 2]| put(part, placement, p);
        let turn = |v: [f64; 2]| {
            let (a, b) = (on_sheet(v), on_sheet([0.0, 0.0]));
            [a[0] - b[0], a[1] - b[1]]
        };
        let mut add = |p: [f64; 2], want: Want| all.push(Place { at: on_sheet(p), want });
        for Edge { at, out } in edges(&part.outline, 0.5) {
            let off = |by: f64| [at[0] + out[0] * by, at[1] + out[1] * by];
            add(off(-BESIDE), Want::Same);
            add(off(-1.0), Want::Same);
            for by in [BESIDE, 0.5 * radius, radius, 1.9 * radius] {
                let p = off(by);
                add(p, in_slot(claim, sheet, on_sheet(p), turn(out)));
            }
        }
        for pocket in &part.pockets {
            for Edge { at, out } in edges(&pocket.outline, 0.5) {
                for by in [-BESIDE, BESIDE, -1.0] {
                    add([at[0] + out[0] * by, at[1] + out[1] * by], Want::Same);
                }
            }
            let ring: Vec<[f64; 2]> = edges(&pocket.outline, 0.5).iter().map(|edge| edge.at).collect();
            grid(&ring, 1.5, |p| add(p, Want::Same));
        }
        for hole in &part.holes {
            let outline = hole_outline(hole, router.hole_allowance);
            for Edge { at, out } in edges(&outline, 0.5) {
                let off = |by: f64| [at[0] + out[0] * by, at[1] + out[1] * by];
                add(off(BESIDE), Want::Same);
                for by in [-BESIDE, -0.5 * radius, -radius, -1.9 * radius] {
                    add(off(by), Want::Gone);
                }
            }
            if hole.diameter <= 5.0 * radius {
                let ring: Vec<[f64; 2]> = edges(&outline, 0.5).iter().map(|edge| edge.at).collect();
                grid(&ring, 1.5, |p| add(p, Want::Gone));
            }
        }
        let ring: Vec<[f64; 2]> = edges(&part.outline, 0.5).iter().map(|edge| edge.at).collect();
        let holes: Vec<Vec<[f64; 2]>> = part
            .holes
            .iter()
            .map(|hole| edges(&hole_outline(hole, router.hole_allowance), 1.0).iter().map(|edge| edge.at).collect())
            .collect();
        grid(&ring, 4.0, |p| {
            if !holes.iter().any(|hole| inside(hole, p)) {
                add(p, Want::Same);
            }
        });
        outlines.push(ring.into_iter().map(on_sheet).collect());
    }
    // The rest of the sheet, further from the parts than any cut may be.
    let step = 4.0;
    let (mut x, free) = (step / 2.0, router.gap + BESIDE);
    while x < sheet.length {
        let mut y = step / 2.0;
        while y < sheet.width {
            if outlines.iter().all(|ring| beyond(ring, [x, y], free)) {
                all.push(Place { at: [x, y], want: Want::Same });
            }
            y += step;
        }
        x += step;
    }
    all
}

/// The middle of the slot around what may come out of an opening in one piece, all the way round.
pub struct Plug(Vec<[f64; 2]>);

impl Plug {
    pub fn bounds(&self) -> [f64; 4] {
        let (low, high) = corners(&self.0);
        [low[0], low[1], high[0], high[1]]
    }

    /// How many runs of wood at least so wide stand across it.
    pub fn bridges(&self, wide: f64, stands: impl Fn([f64; 2]) -> bool) -> usize {
        let wood: Vec<bool> = self.0.iter().map(|p| stands(*p)).collect();
        let count = wood.len();
        let Some(gap) = wood.iter().position(|it| !it) else { return usize::from(count > 0) };
        let (mut runs, mut run) = (0, 0.0);
        for k in 0..=count {
            let i = (gap + k) % count;
            if wood[i] {
                let next = self.0[(i + 1) % count];
                run += (next[0] - self.0[i][0]).hypot(next[1] - self.0[i][1]);
            } else {
                runs += usize::from(run >= wide);
                run = 0.0;
            }
        }
        runs
    }
}

/// All of a sheet's.
pub fn plugs(claim: &Claim, sheet: &SheetClaim) -> Vec<Plug> {
    let (radius, larger) = (cutter(claim), claim.router.as_ref().map_or(0.0, |it| it.hole_allowance));
    let of = |placement: &PlacementClaim| {
        let part = claim.parts.iter().find(|part| part.name == placement.part).expect("a part");
        let wide = part.holes.iter().filter(|hole| hole.diameter > 5.0 * radius);
        let ring = |hole: &HoleClaim| {
            let edges = edges(&hole_outline(hole, larger), 0.2);
            let inward = |edge: &Edge| [edge.at[0] - edge.out[0] * radius, edge.at[1] - edge.out[1] * radius];
            Plug(edges.iter().map(|edge| put(part, placement, inward(edge))).collect())
        };
        wide.map(ring).collect::<Vec<_>>()
    };
    sheet.placements.iter().flat_map(of).collect()
}

/// A part in its place: places in the slot around it, near its edge, and its outline.
pub struct Piece {
    pub around: Vec<[f64; 2]>,
    outline: Vec<[f64; 2]>,
}

impl Piece {
    pub fn holds(&self, p: [f64; 2]) -> bool {
        inside(&self.outline, p)
    }
}

/// All of a sheet's.
pub fn pieces(claim: &Claim, sheet: &SheetClaim) -> Vec<Piece> {
    let away = cutter(claim) / 2.0;
    let of = |placement: &PlacementClaim| {
        let part = claim.parts.iter().find(|part| part.name == placement.part).expect("a part");
        let off =
            |edge: &Edge, by: f64| put(part, placement, [edge.at[0] + edge.out[0] * by, edge.at[1] + edge.out[1] * by]);
        let around = edges(&part.outline, 10.0).iter().map(|edge| off(edge, away)).collect();
        Piece { around, outline: edges(&part.outline, 0.5).iter().map(|edge| off(edge, 0.0)).collect() }
    };
    sheet.placements.iter().map(of).collect()
}

/// Radius of the cutter that goes round the parts.
pub fn cutter(claim: &Claim) -> f64 {
    let tools = claim.router.iter().flat_map(|router| &router.tools);
    tools.filter(|tool| !tool.drill).map(|tool| tool.diameter / 2.0).fold(f64::INFINITY, f64::min)
}

/// What stands in the slot around a part at a place there: nothing, a tab or a tab's flank.
fn in_slot(claim: &Claim, sheet: &SheetClaim, p: [f64; 2], out: [f64; 2]) -> Want {
    let router = claim.router.as_ref().expect("a router");
    let steepest = router.tools.iter().filter(|tool| !tool.drill).map(|tool| tool.ramp_angle).fold(90.0, f64::min);
    let mut want = Want::Gone;
    for tab in sheet.tabs.iter().flatten() {
        let (dx, dy) = (p[0] - tab.x, p[1] - tab.y);
        let (across, along) = ((dx * out[0] + dy * out[1]).abs(), (dx * out[1] - dy * out[0]).abs());
        if across > router.gap + BESIDE {
            continue;
        }
        if along <= tab.width / 2.0 + SMALL {
            return if along <= tab.width / 2.0 - SMALL {
                Want::Same
            } else {
                Want::Flank(tab.height - sheet.thickness)
            };
        }
        let flank = tab.height / steepest.min(45.0).to_radians().tan();
        if along <= tab.width / 2.0 + flank + SMALL {
            want = Want::Flank(tab.height - sheet.thickness);
        }
    }
    want
}

fn hole_outline(hole: &HoleClaim, larger: f64) -> Vec<VertexClaim> {
    let (across, long) = (hole.diameter + larger, hole.length.unwrap_or(hole.diameter) + larger);
    let (half, r) = ((long - across) / 2.0, across / 2.0);
    let corners = [(-half, -r, 0.0), (half, -r, 1.0), (half, r, 0.0), (-half, r, 1.0)];
    let upright = hole.upright == Some(true);
    if let Some(corner) = hole.corner {
        // A quarter turn's bulge is the tangent of its quarter, the square root of two less one.
        let (corner, quarter) = (corner + larger / 2.0, f64::sqrt(2.0) - 1.0);
        let (x, y) = if upright { (across / 2.0, long / 2.0) } else { (long / 2.0, across / 2.0) };
        let around = [
            (corner - x, -y, 0.0),
            (x - corner, -y, quarter),
            (x, corner - y, 0.0),
            (x, y - corner, quarter),
            (x - corner, y, 0.0),
            (corner - x, y, quarter),
            (-x, y - corner, 0.0),
            (-x, corner - y, quarter),
        ];
        return around.map(|(x, y, bulge)| VertexClaim { x: hole.x + x, y: hole.y + y, bulge }).to_vec();
    }
    let vertex = |(x, y, bulge): (f64, f64, f64)| {
        let (x, y) = if upright { (-y, x) } else { (x, y) };
        VertexClaim { x: hole.x + x, y: hole.y + y, bulge }
    };
    corners.map(vertex).to_vec()
}

/// From a part's frame to where it lies.
fn put(part: &PartClaim, placement: &PlacementClaim, p: [f64; 2]) -> [f64; 2] {
    let (x, y) = match placement.angle {
        90 => (part.width - p[1], p[0]),
        180 => (part.length - p[0], part.width - p[1]),
        270 => (p[1], part.length - p[0]),
        _ => (p[0], p[1]),
    };
    [placement.x + x, placement.y + y]
}

/// Places along an outline at most so far apart.
fn edges(outline: &[VertexClaim], step: f64) -> Vec<Edge> {
    let twice: f64 = (0..outline.len())
        .map(|i| {
            let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
            let chord = (b.x - a.x).powi(2) + (b.y - a.y).powi(2);
            // Twice what lies between chord and arc.
            let angle = 4.0 * a.bulge.atan();
            let bow =
                if a.bulge == 0.0 { 0.0 } else { chord / (4.0 * (angle / 2.0).sin().powi(2)) * (angle - angle.sin()) };
            a.x * b.y - b.x * a.y + bow
        })
        .sum();
    let way = twice.signum();
    let mut edges = Vec::new();
    for i in 0..outline.len() {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let chord = dx.hypot(dy);
        if chord < 1e-9 {
            continue;
        }
        let turn = 4.0 * a.bulge.atan();
        let long = if turn == 0.0 { chord } else { chord / (2.0 * (turn / 2.0).sin()) * turn };
        let steps = (long / step).ceil().max(1.0) as usize;
        // Between the corners only: at a corner there is no one direction.
        for k in 0..steps {
            let t = (k as f64 + 0.5) / steps as f64;
            let heading = dy.atan2(dx) + turn * (t - 0.5);
            let out = [heading.sin() * way, -heading.cos() * way];
            let at = if turn == 0.0 {
                [a.x + dx * t, a.y + dy * t]
            } else {
                // The centre lies to the left for a positive turn.
                let r = chord / (2.0 * (turn / 2.0).sin());
                let start = dy.atan2(dx) - turn / 2.0;
                let centre = [a.x - start.sin() * r, a.y + start.cos() * r];
                let angle = start - FRAC_PI_2 + turn * t;
                [centre[0] + angle.cos() * r, centre[1] + angle.sin() * r]
            };
            edges.push(Edge { at, out });
        }
    }
    edges
}

fn inside(ring: &[[f64; 2]], p: [f64; 2]) -> bool {
    let sides = (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]));
    let crossed = sides
        .filter(|(a, b)| (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]);
    crossed.count() % 2 == 1
}

fn corners(ring: &[[f64; 2]]) -> ([f64; 2], [f64; 2]) {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for q in ring {
        for i in 0..2 {
            (low[i], high[i]) = (low[i].min(q[i]), high[i].max(q[i]));
        }
    }
    (low, high)
}

/// Outside a ring and further from it than this?
fn beyond(ring: &[[f64; 2]], p: [f64; 2], free: f64) -> bool {
    let (low, high) = corners(ring);
    if (0..2).any(|i| p[i] < low[i] - free || p[i] > high[i] + free) {
        return true;
    }
    // The ring's places are half a millimetre apart at most.
    let near = free + 0.25;
    !inside(ring, p) && ring.iter().all(|q| (q[0] - p[0]).hypot(q[1] - p[1]) > near)
}

fn grid(ring: &[[f64; 2]], step: f64, mut each: impl FnMut([f64; 2])) {
    let (low, high) = corners(ring);
    // Not on the edge itself.
    let mut x = low[0] + step / 2.0 + 0.1;
    while x < high[0] {
        let mut y = low[1] + step / 2.0 + 0.1;
        while y < high[1] {
            if inside(ring, [x, y]) && ring.iter().all(|q| (q[0] - x).hypot(q[1] - y) > 0.3) {
                each([x, y]);
            }
            y += step;
        }
        x += step;
    }
}
