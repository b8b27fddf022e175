//! A sheet on the machine: its parts in their places, and all that its programs do.

use super::claim::{Claim, MachineClaim, RouterClaim, SheetClaim, ToolClaim};
use super::cut::Cut;
use super::driven::Driven;
use super::flat::{self, Ring};
use super::near::Path;
use super::replay::Replay;
use super::shape::Shape;
use super::sweep::Sweeps;
use crate::geometry::{Point, Rect};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// A part in its place on the sheet.
#[derive(Debug)]
pub(super) struct PlacedShape {
    pub shape: Shape,
    pub bounds: Rect,
    pub pale_bounds: Rect,
}

/// Everything that the checks look at.
#[derive(Debug)]
pub(super) struct Bench<'a> {
    pub router: &'a RouterClaim,
    pub sheet: &'a SheetClaim,
    pub pieces: Vec<PlacedShape>,
    pub replay: Replay,
    /// How far a cut may be off, sideways (mm): the machine's last digits, and the chords that stand for arcs.
    pub tolerance: f64,
    /// The same in height: nothing is cut where the tip is no deeper than this.
    pub touch: f64,
    /// Radius of the cutter that goes around parts.
    pub radius: f64,
    pub driven: Driven,
    /// Cuts by where they sweep.
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
    /// The same cuts by where the tool's middle passes.
    paths: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
    /// Pieces by where they and the gap around them lie.
    lying: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

/// Sideways tolerance of a machine (mm).
///
/// The last digit of a coordinate is rounded, the centre of an arc once more, arcs are chords of at most 0.002 mm here:
/// together less than a digit and a half and a hundredth of a millimetre.
pub(super) fn tolerance(machine: &MachineClaim) -> f64 {
    0.015 + 1.5 * machine.digit + machine.chords
}

/// Height within which nothing is cut, or all is (mm): the machine's last digit, and a hair.
pub(super) fn touch(machine: &MachineClaim) -> f64 {
    0.01 + machine.digit
}

impl<'a> Bench<'a> {
    pub fn new(
        claim: &Claim,
        router: &'a RouterClaim,
        shapes: &[Shape],
        sheet: &'a SheetClaim,
        replay: Replay,
    ) -> Bench<'a> {
        let pieces: Vec<PlacedShape> = sheet
            .placements
            .iter()
            .filter_map(|placement| {
                let which = claim.parts.iter().position(|part| part.name == placement.part)?;
                let shape = &shapes[which];
                let shape = shape.moved(shape.place(placement.x, placement.y, placement.angle));
                Some(PlacedShape {
                    bounds: flat::bounds(&shape.outline),
                    pale_bounds: flat::bounds(&shape.pale),
                    shape,
                })
            })
            .collect();
        let touch = touch(&router.machine);
        let boxed = |wider: f64| {
            let in_wood = replay.cuts.iter().enumerate();
            let in_wood = in_wood.filter(|(_, cut)| cut.tip() < -touch && cut.radius > 0.0);
            let boxes = in_wood.map(|(i, cut)| {
                let b = cut.bounds().inflate(cut.radius * wider, cut.radius * wider);
                GeomWithData::new(Rectangle::from_corners([b.x0, b.y0], [b.x1, b.y1]), i)
            });
            RTree::bulk_load(boxes.collect())
        };
        let (tree, paths) = (boxed(1.0), boxed(0.0));
        let radius = cutter_radius(router);
        let tolerance = tolerance(&router.machine);
        let around = |(i, piece): (usize, &PlacedShape)| {
            let b = piece.bounds.union(piece.pale_bounds);
            GeomWithData::new(Rectangle::from_corners([b.x0, b.y0], [b.x1, b.y1]), i)
        };
        let lying = RTree::bulk_load(pieces.iter().enumerate().map(around).collect());
        let driven = Driven::Before;
        let bench = Bench { router, sheet, pieces, replay, tolerance, touch, radius, driven, tree, paths, lying };
        let is_mark = |cut: &Cut| bench.takes(cut) && bench.marks(cut);
        Bench { driven: Driven::of(&bench.replay, is_mark), ..bench }
    }

    /// Pieces of which some, or of the gap around them, lies in a rectangle; in order.
    pub fn pieces_near(&self, bounds: Rect) -> Vec<&PlacedShape> {
        let area = AABB::from_corners([bounds.x0, bounds.y0], [bounds.x1, bounds.y1]);
        let mut found: Vec<usize> = self.lying.locate_in_envelope_intersecting(&area).map(|it| it.data).collect();
        found.sort_unstable();
        found.into_iter().map(|i| &self.pieces[i]).collect()
    }

    /// Every move whose tip goes below the sheet's upper face.
    pub fn in_wood(&self) -> impl Iterator<Item = &Cut> {
        self.replay.cuts.iter().filter(|cut| self.takes(cut))
    }

    /// Does the tip go below the sheet's upper face?
    pub fn takes(&self, cut: &Cut) -> bool {
        cut.tip() < -self.touch && cut.radius > 0.0
    }

    /// Indices of the cuts in wood that sweep over some of a rectangle, in order.
    pub fn near(&self, bounds: Rect) -> Vec<usize> {
        within(&self.tree, bounds)
    }

    /// Indices of those on which the tool's middle may pass through a rectangle, in order.
    pub fn passing(&self, bounds: Rect) -> Vec<usize> {
        within(&self.paths, bounds)
    }

    /// What some of the cuts sweep over within a rectangle at a height, as rings that may overlap; clockwise ones are what is missing
    /// inside others.
    pub fn swept(&self, bounds: Rect, z: f64, which: impl Fn(&Cut) -> bool) -> Vec<Ring> {
        let cuts = self.near(bounds).into_iter().map(|i| &self.replay.cuts[i]);
        Sweeps::of(cuts.filter(|cut| cut.lowest() <= z && which(cut)), z, self.router.machine.digit).united()
    }

    /// Height of what is left of the wood at a place.
    pub fn surface(&self, at: Point) -> f64 {
        /// Paths are looked at in this many places.
        const PLACES: u32 = 64;
        let here = Rect::new(at.x, at.y, at.x, at.y);
        let mut surface: f64 = 0.0;
        for cut in self.near(here).into_iter().map(|i| &self.replay.cuts[i]).filter(|cut| cut.lowest() < 0.0) {
            let level = cut.z0 == cut.z1;
            if level {
                if Path::new(&cut.path).to_side(at, at) <= cut.radius {
                    surface = surface.min(cut.z0);
                }
                continue;
            }
            for i in 0..=PLACES {
                let t = f64::from(i) / f64::from(PLACES);
                if cut.at(t).distance(at) <= cut.radius {
                    surface = surface.min(cut.height(t));
                }
            }
        }
        surface
    }

    pub fn tool(&self, cut: &Cut) -> Option<&ToolClaim> {
        self.router.tools.get(cut.tool)
    }

    /// A cut where a hold-down screw is to be driven, and is not in yet.
    pub fn is_mark(&self, cut: &Cut) -> bool {
        self.marks(cut) && !self.driven.at(cut.index)
    }

    /// A dimple about a screw's place, which leaves the wood that the screw holds in; or what leads to it.
    pub fn marks(&self, cut: &Cut) -> bool {
        /// A mark is no deeper than this (mm), no further off its place, and, where a cutter makes it, wider than
        /// that by no more than this share: common practice.
        const DEEPEST: f64 = 2.0;
        const OFF: f64 = 0.25;
        const ROUND: f64 = 0.2;
        if cut.tip() < -DEEPEST {
            return false;
        }
        let drill = self.tool(cut).is_some_and(|tool| tool.drill);
        let reach = OFF + if drill { 0.0 } else { ROUND * cut.radius };
        self.sheet.screws.iter().any(|screw| {
            let place = Point::new(screw.x, screw.y);
            cut.path.start.distance(place) <= reach && cut.path.end.distance(place) <= reach
        })
    }

    /// The line of the cut at or below a height that passes nearest to a place.
    pub fn line_near(&self, at: Point, z: f64) -> Option<(usize, usize)> {
        const FAR: f64 = 30.0;
        let bounds = Rect::new(at.x - FAR, at.y - FAR, at.x + FAR, at.y + FAR);
        self.near(bounds)
            .into_iter()
            .map(|i| &self.replay.cuts[i])
            .filter(|cut| cut.lowest() <= z + 1.0)
            .map(|cut| (Path::new(&cut.path).to_side(at, at) - cut.radius, cut))
            .min_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
            .map(|(_, cut)| (cut.program, cut.line))
    }
}

fn within(tree: &RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>, bounds: Rect) -> Vec<usize> {
    let area = AABB::from_corners([bounds.x0, bounds.y0], [bounds.x1, bounds.y1]);
    let mut found: Vec<usize> = tree.locate_in_envelope_intersecting(&area).map(|it| it.data).collect();
    found.sort_unstable();
    found
}

/// The narrowest tool that cuts sideways.
pub(super) fn cutter_radius(router: &RouterClaim) -> f64 {
    let cutters = router.tools.iter().filter(|tool| !tool.drill).map(|tool| tool.diameter / 2.0);
    let radius = cutters.fold(f64::INFINITY, f64::min);
    if radius.is_finite() { radius } else { 0.5 }
}
