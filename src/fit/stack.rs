//! Boxes that stand on each other: equal outsides, and bee space across the joint.

use super::frames::{BEE_SPACE, BEE_SPACE_SOURCE, Hung};
use super::{PRACTICE, Subject};
use crate::design::HungFrames;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::units::INCH;

/// Outsides may differ by this much: a ledge holds water, and a hive tool finds no hold.
const OUTSIDE: f64 = 1.0;

/// A deep body of the trade, 9 5/8 in for frames of 9 1/8, leaves this much across a stack (common practice).
const TRADE_MOST: f64 = INCH / 2.0;

/// How the box of this number stands on the one it is to stand on, or on another of its own.
pub(super) fn check(subjects: &[Subject], upper: usize) -> Vec<Finding> {
    let over = &subjects[upper];
    let Some(footprint) = over.assembly.footprint else { return Vec::new() };
    let (under, name) = match over.assembly.stands_on.and_then(|i| subjects.get(i)) {
        Some(under) => (under, format!("{}, on {}", over.assembly.name, under.assembly.name)),
        // With no floor of its own it is made to stand on its like.
        None if is_open_below(over) => (over, over.assembly.name.clone()),
        None => return Vec::new(),
    };
    let Some(carrying) = under.assembly.footprint else {
        return vec![Finding::plain(JobCheck::StandsOn, name, Status::Refused).source(PRACTICE).advice(format!(
            "{} carries no other box: take its cover off the design, or let this one stand elsewhere",
            under.assembly.name
        ))];
    };
    let mut findings = Vec::new();
    if !std::ptr::eq(under, over) {
        let (a, b) = (footprint.outside, carrying.outside);
        let apart = (a.width() - b.width()).abs().max((a.height() - b.height()).abs());
        findings.push(
            Finding::measured(
                JobCheck::StackOutsides,
                &name,
                Measure::Length(apart),
                Limits::at_most(OUTSIDE),
                Status::Refused,
            )
            .source(PRACTICE)
            .advice_unless_ok(|| {
                "boxes of a stack are equal outside: give both the same frames, number of frames and stock".into()
            }),
        );
    }
    if let (Some(above), Some(below)) = (&over.assembly.frames, &under.assembly.frames)
        && let Some(gap) = frame_gap(above, footprint.lower, below, carrying.upper)
    {
        let limits = Limits::between(BEE_SPACE.0, BEE_SPACE.1);
        let bridged = gap > BEE_SPACE.1 && gap <= TRADE_MOST + 0.01;
        let otherwise = if bridged { Status::Caution } else { Status::Refused };
        findings.push(
            Finding::measured(JobCheck::StackBeeSpace, &name, Measure::Length(gap), limits, otherwise)
                .source(BEE_SPACE_SOURCE)
                .advice_unless_ok(|| {
                    if bridged {
                        return "the trade's deep bodies leave up to 1/2 in, and bees bridge it with a little comb: a \
                                smaller `below` of the upper box keeps them from it"
                            .into();
                    }
                    let change = if gap > BEE_SPACE.1 { "smaller" } else { "larger" };
                    format!("from the lower frames to those above: make `below` of the upper box {change}")
                }),
        );
    }
    findings
}

/// From the lower box's top bars up to the upper box's bottom bars, once the edges meet.
fn frame_gap(above: &HungFrames, lower_edge: f64, below: &HungFrames, upper_edge: f64) -> Option<f64> {
    let (above, below) = (Hung::new(above)?, Hung::new(below)?);
    Some(above.first.body.least.z - lower_edge + upper_edge - below.first.top_bar.most.z)
}

fn is_open_below(subject: &Subject) -> bool {
    let Some(hung) = subject.assembly.frames.as_ref().and_then(Hung::new) else { return false };
    subject.clear(&hung.first.body, glam::DVec3::NEG_Z).is_none()
}
