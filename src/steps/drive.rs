//! Fasteners as the hand drives them: from where, through which boards, how many, and what becomes of their points.

use super::{pose, words};
use crate::design::Assembly;
use crate::job::{CLINCHED_FROM, FLUSH, Job};
use crate::joining::Driven;
use crate::profile::{Fastener, FastenerKind};
use glam::DVec3;
use schemars::JsonSchema;
use serde::Serialize;

/// A hammer or a nailer wants this much room above the place where it drives (mm): common practice.
const HAMMER: f64 = 150.0;
/// A hand that clinches points wants this much behind them (mm): common practice.
const HAND: f64 = 60.0;

/// Fasteners that are driven one after the other, in one pose of the work.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Drive {
    /// How the work lies meanwhile: the direction of the box's frame that is up.
    pub up: [f64; 3],
    /// Where the face looks that they are driven into, in the box's frame.
    pub out: [f64; 3],
    /// Panels that they go through first, by place in the box's list.
    pub through: Vec<usize>,
    pub count: u32,
    /// Where each goes in, in the box's frame (mm).
    #[serde(skip)]
    pub places: Vec<DVec3>,
    /// Which way each stands out of the wood before it is driven: square to the face, or in line with the board under it.
    #[serde(skip)]
    pub stands: Vec<DVec3>,
}

/// What becomes of points that come out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Points {
    Inside,
    /// A hand gets at them as the work lies.
    Reached,
    /// They come out where the work lies on the bench.
    Below,
    /// Nobody gets at them.
    Shut,
}

/// How far one sees from a place in a direction before wood of these panels is in the way, up to `far` (mm).
fn sight(assembly: &Assembly, present: &[usize], from: DVec3, direction: DVec3, far: f64) -> f64 {
    const EVERY: f64 = 2.0;
    let mut at = 0.5;
    while at < far {
        let point = from + direction * at;
        if present.iter().any(|panel| assembly.panels[*panel].contains(point)) {
            return at;
        }
        at += EVERY;
    }
    far
}

/// Is there room above every place where these go in?
pub(super) fn is_free(assembly: &Assembly, present: &[usize], driven: &Driven) -> bool {
    driven.places.iter().all(|place| sight(assembly, present, *place, driven.out, HAMMER) >= HAMMER)
}

fn points(assembly: &Assembly, present: &[usize], driven: &Driven) -> Points {
    if driven.points <= FLUSH {
        return Points::Inside;
    }
    let Some(place) = driven.places.get(driven.places.len() / 2) else { return Points::Inside };
    let exit = *place - driven.stands * (driven.fastener.length.value - driven.points);
    /// Beyond this there is no box left.
    const FAR: f64 = 2000.0;
    let ahead = sight(assembly, present, exit, -driven.out, FAR);
    if ahead >= FAR {
        let (lowest, behind) = (lowest(assembly, present, driven.out), exit.dot(driven.out));
        return if behind < lowest + HAND { Points::Below } else { Points::Reached };
    }
    let hand = exit - driven.out * (ahead / 2.0);
    let open = DVec3::AXES
        .into_iter()
        .flat_map(|axis| [axis, -axis])
        .any(|aside| aside.dot(driven.out).abs() < 0.9 && sight(assembly, present, hand, aside, FAR) >= FAR);
    if ahead >= HAND && open { Points::Reached } else { Points::Shut }
}

/// How far down the work reaches when `up` is up.
fn lowest(assembly: &Assembly, present: &[usize], up: DVec3) -> f64 {
    let corners = present.iter().flat_map(|panel| {
        let (a, b) = assembly.panels[*panel].bounds();
        [a, b, DVec3::new(a.x, b.y, a.z), DVec3::new(b.x, a.y, b.z)]
    });
    corners.map(|corner| corner.dot(up)).fold(f64::INFINITY, f64::min)
}

/// Sentences for the fasteners of a step that are driven in one pose: before and after the turn that they may ask for.
pub(super) struct Said {
    /// Before anything is driven.
    pub before: Option<&'static str>,
    pub drive: Vec<String>,
    /// The points are to be seen to from the other side.
    pub turned: Option<String>,
}

/// `Drive 8 brads of 31.8 mm down through the floor.` Where there are several lengths, which goes into what is told too.
fn driven(assembly: &Assembly, job: &Job, kinds: &[(&Fastener, Vec<&Driven>)]) -> Option<String> {
    let named = |of: fn(&Driven) -> usize, all: &[&Driven]| {
        let mut panels: Vec<usize> = all.iter().map(|one| of(one)).collect();
        panels.sort_unstable();
        panels.dedup();
        words::the(&assembly.panels, &panels)
    };
    let one = |(fastener, list): &(&Fastener, Vec<&Driven>)| {
        let count: u32 = list.iter().map(|one| one.count()).sum();
        let plural = if count == 1 { "" } else { "s" };
        let into = if kinds.len() > 1 { format!(" into {}", named(|one| one.into, list)) } else { String::new() };
        format!("{count} {}{plural} of {}{into}", noun(fastener), job.units.show(fastener.length.value))
    };
    let verb = match kinds.first()?.0.kind {
        FastenerKind::Brad | FastenerKind::Nail => "Drive",
        FastenerKind::Screw if job.hardware.screw_holes => "Drive",
        FastenerKind::Screw => "Drill pilot holes and drive",
    };
    let all: Vec<&Driven> = kinds.iter().flat_map(|(_, list)| list.iter().copied()).collect();
    let which: Vec<String> = kinds.iter().map(one).collect();
    let comma = if kinds.len() > 1 { "," } else { "" };
    Some(format!("{verb} {}{comma} down through {}.", which.join(" and "), named(|one| one.through, &all)))
}

/// `all` are driven in one pose, into faces that are up.
pub(super) fn say(assembly: &Assembly, present: &[usize], job: &Job, all: &[&Driven]) -> Said {
    let units = job.units;
    let mut kinds: Vec<(&Fastener, Vec<&Driven>)> = Vec::new();
    for one in all {
        match kinds.iter_mut().find(|(known, _)| known.name == one.fastener.name) {
            Some((_, list)) => list.push(one),
            None => kinds.push((one.fastener, vec![one])),
        }
    }
    let mut said = Said { before: None, drive: Vec::new(), turned: None };
    said.drive.extend(driven(assembly, job, &kinds));
    for (fastener, list) in kinds {
        let worst = |wanted: Points| {
            let out = list.iter().filter(|one| points(assembly, present, one) == wanted).map(|one| one.points);
            out.reduce(f64::max)
        };
        let how = |out: f64| if out < CLINCHED_FROM { "file them flush" } else { "clinch them" };
        if let Some(out) = worst(Points::Reached) {
            said.drive.push(format!("Points come out by {} inside: {}.", units.show(out), how(out)));
        }
        if let Some(out) = worst(Points::Shut) {
            let most = units.show(fastener.length.value - out);
            let into: Vec<usize> = list.iter().filter(|one| one.points > FLUSH).map(|one| one.into).collect();
            said.drive.push(format!(
                "Into {} take none longer than {most}: longer points come out where no hand reaches them.",
                words::the(&assembly.panels, &into)
            ));
        }
        if let Some(out) = worst(Points::Below) {
            said.before = Some("Lay it on scrap wood: points come out below.");
            said.turned = Some(format!("The points stand out by {}: {}.", units.show(out), how(out)));
        }
    }
    said
}

/// What it is called in a sentence.
pub(super) fn noun(fastener: &Fastener) -> &'static str {
    match fastener.kind {
        FastenerKind::Brad => "brad",
        FastenerKind::Nail => "nail",
        FastenerKind::Screw => "screw",
    }
}

/// The fasteners of a step by the pose that they are driven in, in order; those that can be driven as the work lies come
/// first.
pub(super) fn by_pose<'d, 'a>(all: &[&'d Driven<'a>], up: DVec3) -> Vec<(DVec3, Vec<&'d Driven<'a>>)> {
    let mut poses: Vec<(DVec3, Vec<&Driven>)> = Vec::new();
    for one in all {
        let wanted = if pose::is_up(up, one.out) { up } else { pose::with_up(one.out) };
        match poses.iter_mut().find(|(known, _)| *known == wanted) {
            Some((_, list)) => list.push(one),
            None => poses.push((wanted, vec![one])),
        }
    }
    poses.sort_by_key(|(pose, _)| *pose != up);
    poses
}
