//! Holes for the screws of joints: which bits they take, and where they go.
//!
//! The clearance hole goes right through the first board, at each place of a screw. Where the second board shows a face there, the
//! pilot goes into that, no deeper than the screw's point and never out of the other face. A pilot in an edge no router
//! reaches: it is drilled through the first board when the two are put together.

use super::{Driven, Joining};
use crate::design::{Assembly, Bored, Contact, EdgePilots, Face, Joint, Panel, ScrewHole, SurfaceKind};
use crate::geometry::{Outline, Point};
use crate::job::{Job, Router};
use crate::profile::Fastener;
use crate::units::{INCH, Units};

/// A drill makes a clearance hole so much wider than the shank, at least and at most, and a pilot so far from its size (mm):
/// common practice.
const CLEARS: [f64; 2] = [0.2, 1.0];
const GRIPS: f64 = 0.3;
/// Wood between the end of a pilot and the other face, at least (mm); a pilot shorter than that other length is none.
const BEHIND: f64 = 1.5;
const SHORTEST: f64 = 3.0;
/// Wood around a hole that the router bores, at least (mm).
const WOOD: f64 = 1.0;

/// What a screw's holes are drilled with (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bits {
    pub clearance: f64,
    pub pilot: f64,
    /// How far the point of the drill for the pilot goes on beyond its edges.
    point: f64,
}

/// The bits for a screw that ends in wood so dense (kg/m³): drills of the router that suit, else what a hand has in the box, by
/// half a millimetre or a 64th of an inch. `None` for a nail.
pub fn bits(job: &Job, fastener: &Fastener, density: f64) -> Option<Bits> {
    let (clearance, pilot) = (fastener.clearance()?, fastener.pilot(density)?);
    let shank = fastener.diameter.as_ref()?.value;
    let drill = |wanted: f64, least: f64, most: f64| {
        let drills = job.router.iter().flat_map(|router| &router.drills);
        let fitting = drills.filter(|drill| (least - 1e-9..=most + 1e-9).contains(&drill.diameter.value));
        let off = |size: f64| (size - wanted).abs();
        fitting.min_by(|a, b| off(a.diameter.value).total_cmp(&off(b.diameter.value)))
    };
    let step = match job.units {
        Units::Millimetres => 0.5,
        Units::Inches => INCH / 64.0,
    };
    let in_box = |wanted: f64| (wanted / step).round().max(1.0) * step;
    let through = drill(clearance, shank + CLEARS[0], shank + CLEARS[1]);
    let into = drill(pilot, pilot - GRIPS, pilot + GRIPS);
    Some(Bits {
        clearance: through.map_or(in_box(clearance), |drill| drill.diameter.value),
        pilot: into.map_or(in_box(pilot), |drill| drill.diameter.value),
        point: into.map_or(0.0, |drill| drill.point.value),
    })
}

/// Puts the holes of its screws into the panels of an assembly, where the job asks for them.
pub fn bore(job: &Job, assembly: &mut Assembly) {
    if !job.hardware.screw_holes {
        return;
    }
    let joining = Joining::of(&job.hardware, assembly);
    let both = joining.joints.iter().zip(&joining.fasteners).filter_map(|(joint, it)| Some((joint, it.as_ref()?)));
    let mut holes: Vec<(usize, ScrewHole)> = Vec::new();
    let mut edges: Vec<(usize, EdgePilots)> = Vec::new();
    for (joint, driven) in both {
        let bores = Bores::of(job, assembly, (&joining.contacts, joint), driven);
        if let Some(bores) = bores.as_ref().filter(|bores| bores.in_edge) {
            let (diameter, depth) = (bores.bits.pilot, bores.deep);
            edges.push((driven.into, EdgePilots { count: driven.count(), diameter, depth }));
        }
        for (panel, like) in bores.iter().flat_map(|bores| {
            let pilot = bores.pilot.as_ref().map(|pilot| (driven.into, pilot));
            std::iter::once((driven.through, &bores.clearance)).chain(pilot)
        }) {
            let centre = |place| assembly.panels[panel].place.to_flat(place).0;
            holes.extend(driven.places.iter().map(|at| (panel, ScrewHole { centre: centre(*at), ..like.clone() })));
        }
    }
    for (panel, pilots) in edges {
        assembly.panels[panel].edge_pilots.push(pilots);
    }
    for (panel, hole) in holes {
        assembly.panels[panel].screw_holes.push(hole);
    }
    for panel in &mut assembly.panels {
        let clear: Vec<bool> = (0..panel.screw_holes.len()).map(|i| is_clear(panel, i)).collect();
        panel.screw_holes.iter_mut().zip(clear).for_each(|(hole, clear)| hole.by_router &= clear);
    }
}

/// Is there wood around one of a panel's screw holes, so that a bit that nobody guides does not run out of it? A hole that goes right
/// through may lie in a recess, if not on its edge.
fn is_clear(panel: &Panel, which: usize) -> bool {
    let hole = &panel.screw_holes[which];
    let reach = hole.diameter / 2.0 + WOOD;
    let keeps_off = |outline: &Outline| outline.segments().all(|side| side.distance(hole.centre) >= reach);
    let inside = |outline: &Outline| outline.contains(hole.centre);
    let off = |outline: Outline| keeps_off(&outline) && !inside(&outline);
    let others = panel.screw_holes.iter().enumerate().filter(|(i, _)| *i != which).map(|(_, other)| other);
    keeps_off(&panel.outline)
        && inside(&panel.outline)
        && panel.holes.iter().all(|other| off(other.outline()))
        && panel
            .pockets
            .iter()
            .all(|pocket| if hole.depth.is_some() { off(pocket.outline.clone()) } else { keeps_off(&pocket.outline) })
        && others.into_iter().all(|other| other.centre.distance(hole.centre) >= reach + other.diameter / 2.0)
}

/// The holes of a joint's screws, all alike.
#[derive(Clone, Debug)]
pub struct Bores {
    pub bits: Bits,
    pub clearance: ScrewHole,
    /// In the second board, where that shows a face; else it is drilled through the first, on assembly.
    pub pilot: Option<ScrewHole>,
    /// How deep it is, or a hand drills it (mm).
    pub deep: f64,
    /// It goes into an edge, or into a recess.
    pub in_edge: bool,
}

impl Bores {
    /// `None` for nails, and for screws along a slope, which nothing bores before the boards meet.
    pub fn of(
        job: &Job,
        assembly: &Assembly,
        (contacts, joint): (&[Contact], &Joint),
        driven: &Driven,
    ) -> Option<Bores> {
        let bits = driven.bits(job, assembly).filter(|_| driven.is_square(assembly))?;
        let (first, second) = (&assembly.panels[driven.through], &assembly.panels[driven.into]);
        let entered = if driven.out.dot(first.place.normal()) > 0.0 { Face::Outer } else { Face::Inner };
        let hole = |panel: &Panel, bored, diameter, depth, face| {
            let hole = ScrewHole { bored, centre: Point::ORIGIN, diameter, depth, face, by_router: false };
            let up = assembly.face_up(panel);
            let by_router = job.router.as_ref().is_some_and(|router| hole.suits(router, panel.thickness, up));
            ScrewHole { by_router, ..hole }
        };
        let clearance = hole(first, Bored::Clearance, bits.clearance, None, entered);
        // As far as the point reaches; to a tenth, so that a drawing tells what is bored.
        let reach = driven.fastener.length.value - joint.outer_wood;
        let tenths = |deep: f64| (deep * 10.0).floor() / 10.0;
        let shown = match contacts[*joint.nailed.first()?].surface_of(driven.into)? {
            SurfaceKind::Face(face) => Some(face),
            _ => None,
        };
        let stopped = reach.min(second.thickness - BEHIND - bits.point);
        let pilot = shown.filter(|_| stopped >= SHORTEST);
        let pilot = pilot.map(|face| hole(second, Bored::Pilot, bits.pilot, Some(tenths(stopped)), face));
        let deep = pilot.as_ref().and_then(|pilot| pilot.depth);
        let most = if shown.is_some() { second.thickness - BEHIND } else { joint.inner_wood };
        let deep = deep.unwrap_or(tenths(reach.min(most))).max(1.0);
        Some(Bores { bits, clearance, pilot, deep, in_edge: shown.is_none() })
    }
}

impl Driven<'_> {
    /// The bits for its holes; `None` for nails.
    pub fn bits(&self, job: &Job, assembly: &Assembly) -> Option<Bits> {
        let into = &assembly.panels[self.into];
        bits(job, self.fastener, job.stock[assembly.stock_of(into)].material.density.value)
    }

    /// Has the router bored these holes of its screws, at all places?
    pub fn bored(&self, assembly: &Assembly, bored: Bored) -> bool {
        let panel = &assembly.panels[if bored == Bored::Clearance { self.through } else { self.into }];
        self.places.iter().all(|place| {
            let at = panel.place.to_flat(*place).0;
            let here = |hole: &&ScrewHole| hole.bored == bored && hole.centre.distance(at) < 1e-6;
            panel.screw_holes.iter().find(here).is_some_and(|hole| hole.by_router)
        })
    }

    /// Do they go in square to the face? Along a slope no router bores.
    pub fn is_square(&self, assembly: &Assembly) -> bool {
        self.stands.dot(assembly.panels[self.through].place.normal()).abs() > 1.0 - 1e-6
    }
}

impl ScrewHole {
    /// Does the router bore it in a board so thick that lies with this face up: by a drill of its size that is long enough, else by
    /// the cutter if that is no wider?
    fn suits(&self, router: &Router, thickness: f64, up: Face) -> bool {
        let reached = self.depth.is_none() || self.face == up;
        let deep = self.depth.unwrap_or(thickness + router.machine.spoilboard.value);
        let [narrowest, widest] = router.bores();
        let by_cutter = || {
            let size = self.diameter + router.cutting.hole_allowance;
            (narrowest..=widest).contains(&self.diameter) && size <= widest
        };
        let tool = router.drill_for(self.diameter).map(|(_, drill)| drill);
        let tool = tool.or_else(|| by_cutter().then_some(&router.cutter));
        reached && tool.is_some_and(|tool| tool.flute_length.value >= deep)
    }
}
