//! What the lugs rest on, their play, and whether the frames can be lifted out.

use super::frames::Hung;
use super::{PRACTICE, Solid, Subject, clear};
use crate::design::{HungFrames, Surface};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::units::INCH;
use glam::DVec3;

/// Least wood under a lug (mm): the shortest lugs in use are 12 mm, and a bee space takes more than half of that.
const BEARING_LEAST: f64 = 5.0;
/// Play of the top bar's ends, each.
const LUG_PLAY: (f64, f64) = (0.5, INCH / 4.0);

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let Some(frames) = &subject.assembly.frames else { return Vec::new() };
    let Some(hung) = Hung::new(frames) else { return Vec::new() };
    let mut findings = vec![bearing(subject, frames, &hung)];
    findings.extend(play(subject, &hung));
    findings.push(lifts_out(subject, &hung));
    findings
}

/// How much of each lug lies on wood.
fn bearing(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Finding {
    let lugs = [&hung.first, &hung.last].into_iter().flat_map(|bodies| bodies.lugs);
    let bearing = lugs.map(|lug| on_wood(subject, frames.rest, &lug)).fold(f64::INFINITY, f64::min);
    Finding::measured(
        JobCheck::LugBearing,
        &subject.assembly.name,
        Measure::Length(bearing),
        Limits::at_least(BEARING_LEAST),
        Status::Refused,
    )
    .source(PRACTICE)
    .advice_unless_ok(|| {
        if bearing <= 0.0 {
            "there is nothing under a lug: the rest is missing or stands elsewhere".into()
        } else {
            "the lugs would slip off: bring the rests nearer together with a smaller `lug-gap`, or use thicker stock"
                .into()
        }
    })
}

/// How much of a lug's length lies on wood at the height of the rest.
fn on_wood(subject: &Subject, rest: f64, lug: &Solid) -> f64 {
    let mut bearing: f64 = 0.0;
    for surface in subject.surfaces.iter().flatten() {
        if surface.normal().z < 1.0 - 1e-6 || (surface.place.origin.z - rest).abs() > 0.1 {
            continue;
        }
        let (mut least, mut most) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for corner in surface.corners() {
            least = least.min(corner);
            most = most.max(corner);
        }
        let wide = most.x.min(lug.most.x) - least.x.max(lug.least.x);
        if wide > 0.5 * (lug.most.x - lug.least.x) {
            bearing = bearing.max(most.y.min(lug.most.y) - least.y.max(lug.least.y));
        }
    }
    bearing
}

/// From the ends of the top bar to what stops it.
fn play(subject: &Subject, hung: &Hung) -> Option<Finding> {
    let bars = [&hung.first, &hung.last].map(|bodies| bodies.top_bar);
    let gaps = bars.iter().flat_map(|bar| [(bar, DVec3::NEG_Y), (bar, DVec3::Y)]);
    let tightest = gaps.filter_map(|(bar, direction)| subject.clear(bar, direction)).min_by(|a, b| a.0.total_cmp(&b.0));
    let (play, panel) = tightest?;
    Some(
        Finding::measured(
            JobCheck::LugPlay,
            &subject.assembly.name,
            Measure::Length(play),
            Limits::between(LUG_PLAY.0, LUG_PLAY.1),
            if play < LUG_PLAY.0 { Status::Refused } else { Status::Caution },
        )
        .source(PRACTICE)
        .advice_unless_ok(|| {
            let what = if play < LUG_PLAY.0 { "the frame jams" } else { "the frame slides about" };
            format!("the top bar ends at the {panel}, and {what}: change `lug-gap`, 1/8 in is usual")
        }),
    )
}

/// With everything off that comes off, nothing may be over the frames.
fn lifts_out(subject: &Subject, hung: &Hung) -> Finding {
    let own: Vec<Vec<Surface>> = subject
        .assembly
        .panels
        .iter()
        .zip(&subject.surfaces)
        .map(|(panel, surfaces)| if panel.sub_assembly.is_empty() { surfaces.clone() } else { Vec::new() })
        .collect();
    let over = [&hung.first, &hung.last]
        .into_iter()
        .flat_map(|bodies| [bodies.top_bar, bodies.body])
        .find_map(|solid| clear(&own, &solid, DVec3::Z));
    let name = &subject.assembly.name;
    match over {
        None => Finding::plain(JobCheck::FramesLift, name, Status::Ok),
        Some((_, panel)) => Finding::plain(JobCheck::FramesLift, name, Status::Refused).advice(format!(
            "the {} is fixed over the frames: it must come off the box, or stand elsewhere",
            subject.assembly.panels[panel].name
        )),
    }
    .source(PRACTICE)
}
