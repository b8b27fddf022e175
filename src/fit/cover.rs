//! What comes off the box: the play it has, how far it reaches, and that it comes off.

use super::{PRACTICE, Subject};
use crate::design::{Blocked, Surface};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::units::INCH;
use glam::DVec3;

/// Play of a cover over the box, from stop to stop: less jams when the wood swells, more lets the rain in.
const PLAY: (f64, f64) = (INCH / 8.0, INCH * 5.0 / 8.0);
/// A cover's cleats or rim reach at least this far down the box.
const OVERLAP_LEAST: f64 = INCH * 3.0 / 8.0;

/// Edges nearer to each other than this are flush (mm).
const FLUSH: f64 = 0.05;

/// Something that comes off, and what it comes off, as bodies.
struct Pair<'a> {
    name: &'a str,
    bodies: [Vec<Surface>; 2],
}

impl Pair<'_> {
    /// How far it may move in this direction before it meets the other (mm).
    fn travel(&self, direction: DVec3) -> Option<f64> {
        Blocked::along(&self.bodies, direction).travel(0, [1]).map(|(far, _)| far)
    }

    /// Is it a roof that slopes?
    fn leans(&self) -> bool {
        self.bodies[0].iter().any(|surface| (0.01..0.99).contains(&surface.normal().z.abs()))
    }

    fn corners(&self) -> impl Iterator<Item = DVec3> + '_ {
        self.bodies[0].iter().flat_map(Surface::corners)
    }
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let mut findings = Vec::new();
    for name in subject.sub_assemblies().into_iter().filter(|name| !name.is_empty()) {
        let surfaces = |wanted: &dyn Fn(&str) -> bool| -> Vec<Surface> {
            let panels = subject.assembly.panels.iter().zip(&subject.surfaces);
            panels.filter(|(panel, _)| wanted(&panel.sub_assembly)).flat_map(|(_, list)| list.clone()).collect()
        };
        let own = surfaces(&|other| other == name);
        findings.push(comes_off(subject, &Pair { name, bodies: [own.clone(), surfaces(&str::is_empty)] }));
        // What lies on the box from above, or on something else that does, is a cover.
        let alike = alike(subject, name);
        let pair = Pair { name, bodies: [own, surfaces(&|other| !alike.contains(&other))] };
        let top = pair.corners().map(|corner| corner.z).fold(f64::NEG_INFINITY, f64::max);
        if top > subject.upper_edge() + 1.0 && pair.travel(DVec3::NEG_Z).is_some_and(|far| far < 1.0) {
            // A roof that leans sits down on its slopes, and has no play to jam in.
            if !pair.leans() && alike.len() == 1 {
                findings.extend(play(subject, &pair));
            }
            // Covers of several rooms lie side by side: together they cover the box.
            let together = Pair { name, bodies: [surfaces(&|other| alike.contains(&other)), Vec::new()] };
            findings.push(reach(subject, &together));
            findings.extend(overlap(subject, &pair));
        }
    }
    findings
}

/// This sub-assembly, and those of the same family beside it: the covers of several rooms.
fn alike<'a>(subject: &Subject<'a>, name: &str) -> Vec<&'a str> {
    let panels = &subject.assembly.panels;
    let of = |name: &str| panels.iter().find(|panel| panel.sub_assembly == name).map(|panel| panel.family.as_str());
    subject.sub_assemblies().into_iter().filter(|other| !other.is_empty() && of(other) == of(name)).collect()
}

/// The subject of a finding about something that comes off.
fn about(subject: &Subject, pair: &Pair) -> String {
    format!("{}, {}", subject.assembly.name, pair.name)
}

fn comes_off(subject: &Subject, pair: &Pair) -> Finding {
    let directions = [DVec3::Z, DVec3::NEG_Z, DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y];
    let free = directions.into_iter().any(|direction| pair.travel(direction).is_none());
    let status = if free { Status::Ok } else { Status::Refused };
    Finding::plain(JobCheck::ComesOff, about(subject, pair), status)
        .source(PRACTICE)
        .advice_unless_ok(|| "it is caught between the box's parts on every side: leave it a way out".into())
}

/// From stop to stop, in each direction that has two stops.
fn play(subject: &Subject, pair: &Pair) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for (axis, along) in [(DVec3::Y, "along"), (DVec3::X, "across")] {
        let (Some(one), Some(other)) = (pair.travel(axis), pair.travel(-axis)) else { continue };
        let play = one + other;
        findings.push(
            Finding::measured(
                JobCheck::CoverPlay,
                about(subject, pair),
                Measure::Length(play),
                Limits::between(PLAY.0, PLAY.1),
                if play < 0.5 { Status::Refused } else { Status::Caution },
            )
            .worded(format!("play {along} the box, in all"))
            .source(format!("{PRACTICE}: about 3/8 in over the box and its cleats"))
            .advice_unless_ok(|| {
                let what = if play < PLAY.0 { "it jams when the wood swells" } else { "it slides about" };
                format!("{what}: change `cover-play`, 3/8 in is usual")
            }),
        );
    }
    findings
}

/// How far it reaches past the box where it reaches least.
fn reach(subject: &Subject, pair: &Pair) -> Finding {
    let bounds = |corners: &mut dyn Iterator<Item = DVec3>| {
        corners.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(least, most), at| (least.min(at), most.max(at)))
    };
    // Under a roof that leans, the walls end at many heights.
    let upper = if pair.leans() { f64::NEG_INFINITY } else { subject.upper_edge() };
    let (least, most) = bounds(&mut pair.corners());
    let (box_least, box_most) = bounds(&mut subject.box_corners().filter(|corner| corner.z > upper - 1.0));
    let past = [
        ("left", box_least.x - least.x),
        ("right", most.x - box_most.x),
        ("front", box_least.y - least.y),
        ("back", most.y - box_most.y),
    ];
    let reach = past.iter().map(|(_, past)| *past).fold(f64::INFINITY, f64::min);
    // A side that ends flush is named, and the measure is that of the others: a roof that is hinged behind.
    let (flush, out): (Vec<_>, Vec<_>) = past.iter().partition(|(_, past)| past.abs() < FLUSH);
    if out.is_empty() {
        return Finding::plain(JobCheck::CoverReach, about(subject, pair), Status::Ok)
            .worded("covers the box, flush all round")
            .source(PRACTICE);
    }
    let sides: Vec<&str> = flush.iter().map(|(side, _)| *side).collect();
    let (check, reach) = match sides.is_empty() || reach < -FLUSH {
        true => ("reaches past the box".to_string(), reach),
        false => {
            let others = out.iter().map(|(_, past)| *past).fold(f64::INFINITY, f64::min);
            (format!("reaches past the box, flush at the {}", sides.join(" and the ")), others)
        }
    };
    Finding::measured(
        JobCheck::CoverReach,
        about(subject, pair),
        Measure::Length(reach),
        Limits::at_least(0.0),
        Status::Refused,
    )
    .worded(check)
    .source(PRACTICE)
    .advice_unless_ok(|| "it does not cover the box: make its overhang larger".into())
}

/// How far cleats or a rim hang down beside the box.
fn overlap(subject: &Subject, pair: &Pair) -> Option<Finding> {
    let foot = pair.corners().map(|corner| corner.z).fold(f64::INFINITY, f64::min);
    let overlap = subject.upper_edge() - foot;
    (overlap > 0.1 && !pair.leans()).then(|| {
        Finding::measured(
            JobCheck::CoverHang,
            about(subject, pair),
            Measure::Length(overlap),
            Limits::at_least(OVERLAP_LEAST),
            Status::Caution,
        )
        .source(PRACTICE)
        .advice_unless_ok(|| "wind lifts it off: take thicker stock for its cleats, or a deeper `cover-rim`".into())
    })
}
