//! Frames in their box: bee space all round, and something for the lugs to rest on.

use super::{Solid, Subject};
use crate::design::HungFrames;
use crate::finding::{Finding, Limits, Measure, Status};
use crate::units::{INCH, Units};
use glam::DVec3;

/// Bee space, millimetres: less is glued shut, more is filled with comb.
pub const BEE_SPACE: (f64, f64) = (6.0, 3.0 / 8.0 * INCH);
const BEE_SPACE_SOURCE: &str =
    "Langstroth's observation, US patent 9300 (1852), as restated throughout the bee literature";

/// Most space under the frames on a floor; beyond it bees build down from the bottom bars.
const BELOW_MOST: f64 = INCH;
/// Least wood under a lug.
const BEARING_LEAST: f64 = INCH / 4.0;
/// Play of the top bar's ends, each.
const LUG_PLAY: (f64, f64) = (0.5, INCH / 4.0);
const PRACTICE: &str = "common practice";

/// The frames as blocks of space, hung at their rest.
struct Hung {
    first: Bodies,
    last: Bodies,
}

/// A frame's top bar and what hangs below it.
struct Bodies {
    top_bar: Solid,
    body: Solid,
    front_lug: Solid,
    back_lug: Solid,
}

impl Hung {
    fn new(frames: &HungFrames) -> Option<Hung> {
        let centres: Vec<f64> = frames.centres().collect();
        let bodies = |x: &f64| Bodies::new(frames, *x);
        Some(Hung { first: centres.first().map(bodies)?, last: centres.last().map(bodies)? })
    }
}

impl Bodies {
    fn new(frames: &HungFrames, x: f64) -> Bodies {
        let frame = &frames.frame;
        let y = frames.middle.1;
        let (bar, body) = (frame.top_bar_length.value / 2.0, frame.body_length.value / 2.0);
        let half_bar = frame.top_bar_width.value / 2.0;
        // Self-spacing end bars touch their neighbours.
        let half_body = frame.spacing.value / 2.0;
        let (rest, top) = (frames.rest, frames.rest + frame.lug_thickness.value);
        let foot = top - frame.depth.value;
        let bar_between = |from: f64, to: f64| Solid::new([x - half_bar, from, rest], [x + half_bar, to, top]);
        Bodies {
            top_bar: bar_between(y - bar, y + bar),
            body: Solid::new([x - half_body, y - body, foot], [x + half_body, y + body, top]),
            front_lug: bar_between(y - bar, y - body),
            back_lug: bar_between(y + body, y + bar),
        }
    }
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let Some(frames) = &subject.assembly.frames else { return Vec::new() };
    let Some(hung) = Hung::new(frames) else { return Vec::new() };
    let mut findings = rest(subject, frames, &hung);
    findings.extend(ends(subject, frames, &hung));
    findings.extend(sides(subject, &hung));
    findings.extend(above_and_below(subject, &hung));
    findings
}

/// What is under the lugs, and how much of it.
fn rest(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Vec<Finding> {
    let name = &subject.assembly.name;
    let lugs = [&hung.first, &hung.last].map(|bodies| [bodies.front_lug, bodies.back_lug]).concat();
    let bearing = lugs.iter().map(|lug| bearing(subject, frames.rest, lug)).fold(f64::INFINITY, f64::min);
    let mut findings = vec![
        Finding::measured(
            "lug bearing on the rest",
            name,
            Measure::Length(bearing),
            Limits::at_least(BEARING_LEAST),
            Status::Refused,
        )
        .source(PRACTICE)
        .advice_unless_ok(|| {
            "the lugs would slip off: bring the rests nearer together with a smaller `lug-gap`".into()
        }),
    ];
    let play = [(&hung.first.top_bar, DVec3::NEG_Y), (&hung.first.top_bar, DVec3::Y)]
        .into_iter()
        .filter_map(|(bar, way)| subject.clear(bar, way));
    if let Some((play, panel)) = play.min_by(|a, b| a.0.total_cmp(&b.0)) {
        findings.push(
            Finding::measured(
                "play at each lug end",
                name,
                Measure::Length(play),
                Limits::between(LUG_PLAY.0, LUG_PLAY.1),
                if play < LUG_PLAY.0 { Status::Refused } else { Status::Caution },
            )
            .source(PRACTICE)
            .advice_unless_ok(|| format!("the top bar ends at the {panel}: change `lug-gap`, 1/8 in is usual")),
        );
    }
    findings
}

/// How much of a lug's length lies on wood at the height of the rest.
fn bearing(subject: &Subject, rest: f64, lug: &Solid) -> f64 {
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

/// Bee space between the end bars and the end walls.
fn ends(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Vec<Finding> {
    let mut gaps: Vec<(f64, &str)> = Vec::new();
    for (bodies, way) in [(&hung.first, DVec3::NEG_Y), (&hung.first, DVec3::Y)] {
        let Some(gap) = subject.clear(&bodies.body, way) else { continue };
        if gaps.iter().all(|(known, _)| (known - gap.0).abs() > 0.05) {
            gaps.push(gap);
        }
    }
    let units = subject.job.units;
    let thickness = subject.job.stock[subject.assembly.stock].thickness;
    let reach = (frames.frame.top_bar_length.value - frames.frame.body_length.value) / 2.0;
    gaps.into_iter()
        .map(|(gap, wall)| {
            bee_space("bee space at the frame ends", subject, gap, Status::Refused)
                .advice_unless_ok(|| end_advice(gap, wall, reach, thickness, units))
        })
        .collect()
}

fn end_advice(gap: f64, wall: &str, reach: f64, thickness: f64, units: Units) -> String {
    if gap > BEE_SPACE.1 {
        let (least, most) = (thickness + gap - BEE_SPACE.1, thickness + gap - BEE_SPACE.0);
        format!(
            "the lugs are {} long and rest on the {wall}, which leaves {} between it and the end bars: bees fill that with \
             comb. A cleat rest needs walls of {} to {} for this frame; long lugs want a rest on a lower inner wall",
            units.show(reach),
            units.show(gap),
            units.show(least),
            units.show(most),
        )
    } else {
        format!(
            "the {wall} stands {} from the end bars: bees glue that shut. Use thinner stock, or let the lugs rest in a \
             rabbet",
            units.show(gap)
        )
    }
}

/// Bee space between the outermost frames and the side walls.
fn sides(subject: &Subject, hung: &Hung) -> Vec<Finding> {
    let left = subject.clear(&hung.first.body, DVec3::NEG_X);
    let right = subject.clear(&hung.last.body, DVec3::X);
    let narrowest = left.into_iter().chain(right).min_by(|a, b| a.0.total_cmp(&b.0));
    narrowest
        .map(|(gap, _)| {
            bee_space("bee space at the side walls", subject, gap, Status::Refused).advice_unless_ok(|| {
                if gap > BEE_SPACE.1 {
                    "make `side-gap` smaller, take one frame more, or fill the space with a dummy board".into()
                } else {
                    "make `side-gap` larger, or take one frame fewer".into()
                }
            })
        })
        .into_iter()
        .collect()
}

fn above_and_below(subject: &Subject, hung: &Hung) -> Vec<Finding> {
    let mut findings = Vec::new();
    let top = subject
        .surfaces
        .iter()
        .flatten()
        .flat_map(crate::design::Surface::corners)
        .map(|corner| corner.z)
        .fold(f64::NEG_INFINITY, f64::max);
    // Without a cover, what stands on the box closes it at its upper edge.
    let above = subject.clear(&hung.first.top_bar, DVec3::Z).map_or(top - hung.first.top_bar.most.z, |(gap, _)| gap);
    findings.push(
        bee_space("bee space above the top bars", subject, above, Status::Refused)
            .advice_unless_ok(|| "change `above`: 3/8 in at most".into()),
    );
    if let Some((below, _)) = subject.clear(&hung.first.body, DVec3::NEG_Z) {
        findings.push(
            Finding::measured(
                "space below the frames",
                &subject.assembly.name,
                Measure::Length(below),
                Limits::between(BEE_SPACE.0, BELOW_MOST),
                if below < BEE_SPACE.0 { Status::Refused } else { Status::Caution },
            )
            .source(format!("{PRACTICE}: a bee space at least, up to 1 in over a floor"))
            .advice_unless_ok(|| "change `below`: 3/4 in is usual over a floor".into()),
        );
    }
    findings
}

fn bee_space(check: &str, subject: &Subject, gap: f64, otherwise: Status) -> Finding {
    let limits = Limits::between(BEE_SPACE.0, BEE_SPACE.1);
    Finding::measured(check, &subject.assembly.name, Measure::Length(gap), limits, otherwise).source(BEE_SPACE_SOURCE)
}
