//! What the box weighs, empty and full: a caution for the one who lifts it.

use super::Subject;
use crate::design::{HungFrames, Panel};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::units::INCH;

/// More than this is too much for one pair of hands even in the best of positions (kg).
const LIFT: f64 = 23.0;
const LIFT_SOURCE: &str = "National Institute for Occupational Safety and Health, \"Applications Manual for the Revised \
                           NIOSH Lifting Equation\", Publication 94-110 (1994, revised 2021, the revision from memory): \
                           load constant of 51 lb (23 kg), for the best of conditions";
/// Bodies of no more frames are lifted whole; a longer hive stands where it is and is worked frame by frame (common practice).
const LIFTED_WHOLE: u32 = 12;
/// Kilograms of honey in a litre.
const HONEY: f64 = 1.4;
/// Kilograms of a frame's wood and wax.
const FRAME: f64 = 0.35;

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    if subject.assembly.loose {
        return Vec::new();
    }
    let mut findings = vec![lift(JobCheck::LiftEmpty, subject, wood(subject, |_| true))];
    if let Some(frames) = subject.assembly.frames.as_ref().filter(|frames| frames.count <= LIFTED_WHOLE) {
        // Nobody lifts it with the cover on.
        let body = wood(subject, |panel| panel.sub_assembly.is_empty());
        findings.push(lift(JobCheck::LiftFull, subject, body + full(frames)));
    }
    findings
}

/// Some of its panels (kg).
pub(super) fn wood(subject: &Subject, which: impl Fn(&Panel) -> bool) -> f64 {
    let density = |panel: &Panel| subject.job.stock[subject.assembly.stock_of(panel)].material.density.value;
    let some = subject.assembly.panels.iter().filter(|panel| which(panel));
    some.map(|panel| panel.volume() * 1e-9 * density(panel)).sum()
}

/// Frames with all of their comb full (kg): comb fills what is between the bars, up to a bee space from the next comb.
pub(super) fn full(frames: &HungFrames) -> f64 {
    let frame = &frames.frame;
    let (end_bars, bars) = (INCH * 3.0 / 4.0, INCH * 9.0 / 8.0);
    let comb = (frame.body_length.value - end_bars).max(0.0)
        * (frame.depth.value - bars).max(0.0)
        * (frames.spacing - INCH * 5.0 / 16.0).max(0.0);
    f64::from(frames.count) * (comb * 1e-6 * HONEY + FRAME)
}

fn lift(check: JobCheck, subject: &Subject, kilograms: f64) -> Finding {
    let name = &subject.assembly.name;
    Finding::measured(check, name, Measure::Mass(kilograms), Limits::at_most(LIFT), Status::Caution)
        .source(LIFT_SOURCE)
        .advice_unless_ok(|| "lift it with two, or frame by frame".into())
}
