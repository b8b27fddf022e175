//! A part as a proof needs it: what must stay, what must go, and where a cutter's centre may be beside it. All in the
//! part's own frame.

use super::claim::{Claim, HoleClaim, PartClaim, PointClaim, ReliefClaim, RouterClaim, VertexClaim};
use super::flat::{self, Ring};
use super::grow::{Edge, Side, largest};
use super::label;
use super::stroke::disc;
use crate::geometry::{Affine, Outline, Point, Segment, Vec2, Vertex};

/// Wood that must not be cut deeper than `depth` below the sheet's upper face.
#[derive(Clone, Debug)]
pub(super) struct Kept {
    pub depth: f64,
    pub rings: Vec<Ring>,
}

/// Wood around an outline that must be cut through, except at tabs.
#[derive(Clone, Debug)]
pub(super) struct Band {
    pub target: Vec<Ring>,
    /// The same without what lies within the tolerance of the wall.
    pub core: Vec<Ring>,
    /// The outline itself, from which what is left is measured.
    pub wall: Ring,
    /// Lines across a tab, at growing distances from the wall; the middle one is where the cutter's centre goes.
    pub across: Vec<Ring>,
    /// Places well inside the band.
    pub samples: Vec<Point>,
}

/// A hole: an opening right through, or one that is stopped.
#[derive(Clone, Debug)]
pub(super) struct HoleShape {
    pub use_: String,
    pub centre: Point,
    /// Of a round hole, as drawn.
    pub diameter: Option<f64>,
    /// As it is to be made, of a round hole.
    pub made: f64,
    /// How deep it goes; right through where that is `None`.
    pub depth: Option<f64>,
    /// What must go.
    pub target: Ring,
    /// The drill that makes it; `None` for the cutter.
    pub drill: Option<u32>,
    /// Around the middle, where that may come out in one piece.
    pub band: Option<Band>,
}

/// A recess.
#[derive(Clone, Debug)]
pub(super) struct PocketShape {
    pub purpose: String,
    pub depth: f64,
    /// The whole recess, inside the part.
    pub floor: Vec<Ring>,
    /// The part of it that a round cutter can reach, and must clear.
    pub target: Vec<Ring>,
    pub samples: Vec<Point>,
}

#[derive(Clone, Debug)]
pub(super) struct Shape {
    pub name: String,
    pub length: f64,
    pub width: f64,
    pub outline: Ring,
    /// The first is for the upper face; then one for each depth of a recess.
    pub kept: Vec<Kept>,
    /// Outside the part the cutter's centre stays within this.
    pub pale: Ring,
    /// Or in one of these: a recess may be cut past the part's edge.
    pub runouts: Vec<Ring>,
    pub band: Band,
    pub holes: Vec<HoleShape>,
    pub pockets: Vec<PocketShape>,
}

/// A drill this much wider or narrower than a hole makes it (mm).
pub(super) const DRILL_FITS: f64 = 0.1;

/// Width of the band around an outline (mm): a hair less than the slot that a cutter of this radius makes, whose far edge is
/// known to the tolerance only.
fn band_width(radius: f64, slack: f64) -> f64 {
    /// In radii: a hair less than the slot, and enough to tell a tab from what is left on a wall.
    const WIDEST: f64 = 1.98;
    const NARROWEST: f64 = 1.6;
    (2.0 * radius - slack).clamp(NARROWEST * radius, WIDEST * radius)
}

/// Where lines across a tab lie, in cutter's radii from the wall.
pub(super) const ACROSS: [f64; 5] = [0.1, 0.5, 1.0, 1.5, 1.9];

/// The same within the band, which begins beyond what the wall may be off: where it is narrow, the first and the last lie just
/// inside it.
pub(super) fn across(radius: f64, slack: f64) -> [f64; 5] {
    let (near, far) = (slack / radius + 0.02, band_width(radius, slack) / radius - 0.02);
    ACROSS.map(|share| share.max(near.min(1.0)).min(far))
}

impl Shape {
    /// `radius` is that of the cutter that goes around it, `slack` how far beyond the gap its centre may be.
    pub fn new(claim: &Claim, router: &RouterClaim, part: &PartClaim, radius: f64, slack: f64) -> Shape {
        let outline = outline_of(&part.outline);
        let ring = flat::ring(&outline);
        let relief = relief(part, router.relief, radius);
        let holes: Vec<HoleShape> =
            part.holes.iter().map(|hole| hole_shape(claim, router, hole, radius, slack)).collect();
        let pockets: Vec<(f64, Outline)> =
            part.pockets.iter().map(|pocket| (pocket.depth, outline_of(&pocket.outline))).collect();
        let lines = part.joint_lines.iter().map(|line| {
            let (floor, samples) = label::line_floor(line, &outline_of(&line.covered), radius);
            let (purpose, target) = ("joint line".into(), floor.clone());
            PocketShape { purpose, depth: line.depth, target, floor, samples }
        });
        let written: Vec<PocketShape> = label_shape(part, radius).into_iter().chain(lines).collect();
        let recesses: Vec<(f64, Vec<Ring>)> = pockets
            .iter()
            .map(|(depth, recess)| (*depth, vec![flat::ring(recess)]))
            .chain(written.iter().map(|it| (it.depth, it.floor.clone())))
            .collect();

        let open: Vec<Ring> = relief.iter().map(|centre| disc(*centre, radius)).collect();
        let kept_below = |depth: f64| {
            let mut gone = open.clone();
            let reach = |hole: &&HoleShape| hole.depth.is_none_or(|own| own > depth + 1e-6);
            gone.extend(holes.iter().filter(reach).map(HoleShape::made_ring));
            gone.extend(recesses.iter().filter(|(own, _)| *own > depth + 1e-6).flat_map(|(_, it)| it.clone()));
            let rings = flat::rings(flat::minus(std::slice::from_ref(&ring), &gone));
            Kept { depth, rings }
        };
        let mut depths: Vec<f64> = std::iter::once(0.0)
            .chain(recesses.iter().map(|(depth, _)| *depth))
            .chain(holes.iter().filter_map(|hole| hole.depth))
            .collect();
        depths.sort_by(f64::total_cmp);
        depths.dedup();

        let corners = &own_corners(&part.square_corners, &outline)[..];
        Shape {
            name: part.name.clone(),
            length: part.length,
            width: part.width,
            kept: depths.into_iter().map(kept_below).collect(),
            pale: Edge::of(&outline).grown(router.gap - radius + slack),
            runouts: pockets.iter().flat_map(|(_, recess)| Edge::of(recess).shrunk(radius - slack)).collect(),
            band: band_outside(&outline, corners, radius, slack),
            pockets: part
                .pockets
                .iter()
                .zip(&pockets)
                .map(|(claim, (depth, recess))| {
                    let floor = flat::rings(flat::both(&[flat::ring(recess)], std::slice::from_ref(&ring)));
                    let corners = own_corners(&part.square_corners, recess);
                    let (target, samples) = reachable(recess, &ring, &corners, radius, slack);
                    PocketShape { purpose: claim.purpose.clone(), depth: *depth, floor, target, samples }
                })
                .chain(written)
                .collect(),
            holes,
            outline: ring,
        }
    }

    /// From the part's frame to the sheet's.
    pub fn place(&self, x: f64, y: f64, angle: u32) -> Affine {
        let (length, width) = (self.length, self.width);
        let turn = match angle % 360 {
            90 => Affine::new([0.0, 1.0, -1.0, 0.0, width, 0.0]),
            180 => Affine::new([-1.0, 0.0, 0.0, -1.0, length, width]),
            270 => Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, length]),
            _ => Affine::IDENTITY,
        };
        Affine::translate((x, y)) * turn
    }

    /// The same shape where it lies on the sheet.
    pub fn moved(&self, by: Affine) -> Shape {
        let ring = |ring: &Ring| flat::moved(ring, by);
        let rings = |rings: &[Ring]| rings.iter().map(ring).collect::<Vec<Ring>>();
        let points = |points: &[Point]| points.iter().map(|at| by * *at).collect::<Vec<Point>>();
        let band = |band: &Band| Band {
            target: rings(&band.target),
            core: rings(&band.core),
            wall: ring(&band.wall),
            across: rings(&band.across),
            samples: points(&band.samples),
        };
        Shape {
            name: self.name.clone(),
            length: self.length,
            width: self.width,
            outline: ring(&self.outline),
            kept: self.kept.iter().map(|it| Kept { depth: it.depth, rings: rings(&it.rings) }).collect(),
            pale: ring(&self.pale),
            runouts: rings(&self.runouts),
            band: band(&self.band),
            holes: self
                .holes
                .iter()
                .map(|hole| HoleShape {
                    centre: by * hole.centre,
                    target: ring(&hole.target),
                    band: hole.band.as_ref().map(band),
                    ..hole.clone()
                })
                .collect(),
            pockets: self
                .pockets
                .iter()
                .map(|pocket| PocketShape {
                    floor: rings(&pocket.floor),
                    target: rings(&pocket.target),
                    samples: points(&pocket.samples),
                    ..pocket.clone()
                })
                .collect(),
        }
    }
}

impl HoleShape {
    /// The opening as it is to be made, counter-clockwise; for a round hole that may be wider than what must go.
    pub fn made_ring(&self) -> Ring {
        if self.diameter.is_some() { disc(self.centre, self.made / 2.0) } else { self.target.clone() }
    }
}

/// The label of a part as a recess, where it has one.
fn label_shape(part: &PartClaim, radius: f64) -> Option<PocketShape> {
    let depth = part.label.as_ref()?.depth;
    let (floor, samples) = label::floor(part, radius)?;
    Some(PocketShape { purpose: "label".into(), depth, target: floor.clone(), floor, samples })
}

/// An outline, counter-clockwise.
pub(super) fn outline_of(vertices: &[VertexClaim]) -> Outline {
    let outline = Outline {
        vertices: vertices.iter().map(|it| Vertex { at: Point::new(it.x, it.y), bulge: it.bulge }).collect(),
    };
    if outline.area() < 0.0 { outline.reversed() } else { outline }
}

fn hole_shape(claim: &Claim, router: &RouterClaim, hole: &HoleClaim, radius: f64, slack: f64) -> HoleShape {
    let centre = Point::new(hole.x, hole.y);
    let round = hole.corner.is_none() && hole.length.is_none_or(|length| length <= hole.diameter);
    let drill = claim
        .router
        .iter()
        .flat_map(|router| &router.tools)
        .filter(|tool| round && tool.drill && (tool.diameter - hole.diameter).abs() <= DRILL_FITS + 1e-9)
        .min_by(|a, b| (a.diameter - hole.diameter).abs().total_cmp(&(b.diameter - hole.diameter).abs()));
    let made = match drill {
        Some(drill) => drill.diameter.max(hole.diameter),
        None => hole.diameter + router.hole_allowance,
    };
    let outline = if round {
        // What is drawn must go; with a drill a little narrower, what that takes.
        let least = drill.map_or(made, |drill| drill.diameter.min(hole.diameter));
        Outline::circle(centre, least)
    } else {
        let length = hole.length.unwrap_or(hole.diameter) + router.hole_allowance;
        let lying = match hole.corner {
            Some(corner) => Outline::rounded(Point::ORIGIN, length, made, corner + router.hole_allowance / 2.0),
            None => Outline::slot(Point::ORIGIN, length, made),
        };
        let turn =
            if hole.upright == Some(true) { Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]) } else { Affine::IDENTITY };
        lying.transformed(Affine::translate(centre.to_vec2()) * turn)
    };
    let band = (made > 5.0 * radius).then(|| band_inside(&outline, radius, slack)).flatten();
    HoleShape {
        use_: hole.use_.clone(),
        centre,
        diameter: round.then_some(hole.diameter),
        made,
        depth: hole.depth,
        target: flat::ring(&outline),
        drill: drill.map(|drill| drill.number),
        band,
    }
}

/// Twice the cutter's radius all around, without the fillets that a round cutter leaves in inside corners which need not
/// be square.
fn band_outside(outline: &Outline, corners: &[PointClaim], radius: f64, slack: f64) -> Band {
    let edge = Edge::of(outline);
    let wall = flat::ring(outline);
    let mut spared = vec![wall.clone()];
    if edge.bends_inwards() {
        let closed = largest(Edge::of_ring(&edge.grown(radius)).shrunk(radius)).unwrap_or_else(|| wall.clone());
        let fillets = not_dust(flat::rings(flat::minus(std::slice::from_ref(&closed), std::slice::from_ref(&wall))));
        let wider = [Edge::of_ring(&closed).grown(slack)];
        let wider = flat::rings(flat::minus(&wider, std::slice::from_ref(&wall)));
        let fillets = flat::rings(flat::both(&wider, &around(&fillets, slack)));
        spared.extend(flat::rings(flat::minus(&fillets, &discs(corners, 1.5 * radius))));
    }
    let outer = [edge.grown(band_width(radius, slack))];
    let target = flat::rings(flat::minus(&outer, &spared));
    spared.push(edge.grown(slack));
    let core = flat::rings(flat::minus(&outer, &spared));
    let lines: Vec<Ring> = across(radius, slack).iter().map(|share| edge.grown(share * radius)).collect();
    Band { target, core, wall, across: lines, samples: edge.beside(radius, Side::Outside) }
}

/// The same inside an opening; `None` where that leaves no middle.
fn band_inside(outline: &Outline, radius: f64, slack: f64) -> Option<Band> {
    let edge = Edge::of(outline);
    let shrunk = |by: f64| largest(edge.shrunk(by));
    let inner = [shrunk(band_width(radius, slack))?];
    let wall = flat::ring(outline);
    let target = flat::rings(flat::minus(std::slice::from_ref(&wall), &inner));
    let core = flat::rings(flat::minus(&[shrunk(slack)?], &inner));
    let lines: Option<Vec<Ring>> = across(radius, slack).iter().map(|share| shrunk(share * radius)).collect();
    Some(Band { target, core, wall, across: lines?, samples: edge.beside(radius, Side::Inside) })
}

/// Without what is so small that only rounding can have left it.
fn not_dust(rings: Vec<Ring>) -> Vec<Ring> {
    rings.into_iter().filter(|ring| flat::ring_area(ring).abs() > 1e-3).collect()
}

/// A rectangle around each piece of what a round cutter leaves in corners. Its edge there is known to the tolerance, like
/// any other.
fn around(fillets: &[Ring], slack: f64) -> Vec<Ring> {
    let rectangle = |ring: &Ring| {
        let b = flat::bounds(ring).inflate(slack, slack);
        vec![[b.x0, b.y0], [b.x1, b.y0], [b.x1, b.y1], [b.x0, b.y1]]
    };
    fillets.iter().map(rectangle).collect()
}

/// Those of the corners that must be square which this outline has.
fn own_corners(corners: &[PointClaim], outline: &Outline) -> Vec<PointClaim> {
    let own = |corner: &PointClaim| {
        outline.vertices.iter().any(|vertex| vertex.at.distance(Point::new(corner.x, corner.y)) < 0.01)
    };
    corners.iter().copied().filter(own).collect()
}

fn discs(corners: &[PointClaim], radius: f64) -> Vec<Ring> {
    corners.iter().map(|corner| disc(Point::new(corner.x, corner.y), radius)).collect()
}

/// The part of a recess that a round cutter can reach, with the corners that must be square; and a place in each piece of it.
fn reachable(
    recess: &Outline,
    part: &Ring,
    corners: &[PointClaim],
    radius: f64,
    slack: f64,
) -> (Vec<Ring>, Vec<Point>) {
    let centres = Edge::of(recess).shrunk(radius);
    let whole = flat::ring(recess);
    if centres.is_empty() {
        let samples = recess.vertices.first().map(|vertex| vertex.at.midpoint(recess.bounds().center()));
        return (flat::rings(flat::both(&[whole], std::slice::from_ref(part))), samples.into_iter().collect());
    }
    let left_by = |radius: f64| {
        let open: Vec<Ring> = centres.iter().map(|ring| Edge::of_ring(ring).grown(radius)).collect();
        flat::rings(flat::minus(std::slice::from_ref(&whole), &open))
    };
    let fillets = not_dust(left_by(radius));
    let fillets = flat::rings(flat::both(&left_by(radius - slack), &around(&fillets, slack)));
    let spared = flat::rings(flat::minus(&fillets, &discs(corners, 1.5 * radius)));
    let reached = flat::rings(flat::minus(&[whole], &spared));
    let samples = centres.iter().filter_map(|ring| ring.first()).map(|at| Point::new(at[0], at[1]));
    (flat::rings(flat::both(&reached, std::slice::from_ref(part))), samples.collect())
}

/// Where the cutter's centre may go to open the corners that must be square.
fn relief(part: &PartClaim, style: ReliefClaim, radius: f64) -> Vec<Point> {
    let mut centres = Vec::new();
    let outlines = std::iter::once(&part.outline).chain(part.pockets.iter().map(|pocket| &pocket.outline));
    for outline in outlines.map(|it| outline_of(it)) {
        let sides: Vec<Segment> = outline.segments().filter(|side| side.chord() > 1e-6).collect();
        for (i, after) in sides.iter().enumerate() {
            let at = after.start;
            let wanted = part.square_corners.iter().any(|it| Point::new(it.x, it.y).distance(at) < 0.01);
            if !wanted {
                continue;
            }
            let before = &sides[(i + sides.len() - 1) % sides.len()];
            let (back, on) = (-before.direction(1.0), after.direction(0.0));
            let square = |side: Vec2, other: Vec2| (other - side * side.dot(other)).normalize();
            match style {
                ReliefClaim::Diagonal => centres.push(at + (back + on).normalize() * radius),
                ReliefClaim::Square => {
                    centres.extend([at + square(on, back) * radius, at + square(back, on) * radius]);
                }
            }
        }
    }
    centres.retain(|centre| centre.x.is_finite() && centre.y.is_finite());
    centres
}
