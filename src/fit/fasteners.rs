//! Is the fastener long enough to hold, and does its point stay in the wood?

use super::{PRACTICE, Subject};
use crate::design::{Joint, JointKind};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::job::{CLINCHED_FROM, FLUSH};
use crate::profile::{Fastener, FastenerKind};

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let hardware = &subject.job.hardware;
    let nailed: Vec<(&Joint, &Fastener)> = subject
        .joints
        .iter()
        .filter(|joint| joint.glued)
        .filter_map(|joint| {
            Some((
                joint,
                hardware.fastener_for_joint(joint, subject.assembly.panels[joint.through].thickness)?.as_ref(),
            ))
        })
        .collect();
    let into_edges = nailed.iter().filter(|(joint, _)| joint.kind != JointKind::Lap);
    let mut findings = Vec::new();
    if let Some((joint, fastener)) = into_edges.min_by(|a, b| grip(a.1, a.0).total_cmp(&grip(b.1, b.0))) {
        findings.push(holds(subject, fastener, joint));
    }
    if let Some((joint, fastener)) = nailed.iter().max_by(|a, b| comes_out(a.1, a.0).total_cmp(&comes_out(b.1, b.0))) {
        findings.push(point(subject, fastener, joint));
    }
    findings
}

/// Length in the wood that the fastener ends in (mm).
fn grip(fastener: &Fastener, joint: &Joint) -> f64 {
    (fastener.length.value - joint.outer_wood).min(joint.inner_wood)
}

/// How far the point comes out (mm); negative when it stays in the wood.
fn comes_out(fastener: &Fastener, joint: &Joint) -> f64 {
    fastener.length.value - joint.outer_wood - joint.inner_wood
}

fn names<'a>(subject: &Subject<'a>, joint: &Joint) -> (&'a str, &'a str) {
    let name = |panel: usize| subject.assembly.panels[panel].name.as_str();
    (name(joint.through), name(joint.into()))
}

fn holds(subject: &Subject, fastener: &Fastener, joint: &Joint) -> Finding {
    let (through, into) = names(subject, joint);
    Finding::measured(
        JobCheck::FastenerHold,
        format!("{}, {}", subject.assembly.name, fastener.name),
        Measure::Length(grip(fastener, joint)),
        // A low rim has less to give.
        Limits::at_least(joint.outer_wood.min(joint.inner_wood * 2.0 / 3.0)),
        Status::Caution,
    )
    .source(format!("{PRACTICE}: at least as deep in the second part as the first is thick"))
    .advice_unless_ok(|| {
        format!(
            "through the {through} into the {into} it holds too little: take a longer `fastener`, or rely on the glue"
        )
    })
}

fn point(subject: &Subject, fastener: &Fastener, joint: &Joint) -> Finding {
    let (through, into) = names(subject, joint);
    let out = comes_out(fastener, joint);
    Finding::measured(
        JobCheck::FastenerPoint,
        format!("{}, {}", subject.assembly.name, fastener.name),
        Measure::Length(out.max(0.0)),
        Limits::at_most(FLUSH),
        Status::Caution,
    )
    .source(format!("{PRACTICE}: brads that come out are clinched"))
    .advice_on_measured(subject.job.units, |shown| {
        let units = subject.job.units;
        let both = units.measured(joint.outer_wood + joint.inner_wood);
        let what = format!(
            "{} long, {both} of wood: driven through the {through} it comes out of the {into} by {shown}",
            units.show(fastener.length.value),
        );
        match fastener.kind {
            FastenerKind::Brad | FastenerKind::Nail if out < CLINCHED_FROM => {
                format!("{what}. File it flush, or use a shorter `fastener` there")
            }
            FastenerKind::Brad | FastenerKind::Nail => {
                format!("{what}. Clinch it, points hurt hands and bees; or use a shorter `fastener` there")
            }
            FastenerKind::Screw => format!("{what}. Use a shorter screw there"),
        }
    })
}
