//! Frames in their box: how many it takes, and bee space all round them.

use super::{PRACTICE, Solid, Subject};
use crate::design::HungFrames;
use crate::finding::{Check, Finding, JobCheck, Limits, Measure, Status};
use crate::profile::BeeSpace;
use crate::units::{INCH, Units};
use glam::DVec3;

/// Bee space, millimetres: less is glued shut, more is filled with comb.
pub const BEE_SPACE: (f64, f64) = (6.0, 3.0 / 8.0 * INCH);
pub(super) const BEE_SPACE_SOURCE: &str =
    "common practice: 6 mm to 3/8 in (9.5 mm); US patent 9300 (1852) has about three eighths of an inch";

/// Most space under the frames on a floor; beyond it bees build down from the bottom bars.
const BELOW_MOST: f64 = INCH;
/// Frames whose tops are level with the box's edge may miss it by this much.
const LEVEL: f64 = 1.5;
/// Centre to centre of two combs.
const SPACING: (f64, f64) = (32.0, 38.0);

/// The frames as blocks of space, hung at their rest.
pub(super) struct Hung {
    pub first: Bodies,
    pub last: Bodies,
}

/// A frame's top bar and what hangs below it.
pub(super) struct Bodies {
    pub top_bar: Solid,
    pub body: Solid,
    pub lugs: [Solid; 2],
}

impl Hung {
    pub fn new(frames: &HungFrames) -> Option<Hung> {
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
        let half_body = frames.spacing / 2.0;
        let (rest, top) = (frames.rest, frames.rest + frame.lug_thickness.value);
        let foot = top - frame.depth.value;
        let bar_between = |from: f64, to: f64| Solid::new([x - half_bar, from, rest], [x + half_bar, to, top]);
        Bodies {
            top_bar: bar_between(y - bar, y + bar),
            body: Solid::new([x - half_body, y - body, foot], [x + half_body, y + body, top]),
            lugs: [bar_between(y - bar, y - body), bar_between(y + body, y + bar)],
        }
    }
}

/// One frame as it hangs, its middle at this x.
pub(super) fn bodies(frames: &HungFrames, x: f64) -> Bodies {
    Bodies::new(frames, x)
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let Some(frames) = &subject.assembly.frames else { return Vec::new() };
    let rooms = frames.room_by_room();
    let several = rooms.len() > 1;
    let all = rooms.iter().enumerate().flat_map(|(i, frames)| {
        let mut findings = one_room(subject, frames);
        for finding in findings.iter_mut().filter(|_| several) {
            finding.subject = room(&subject.assembly.name, i);
        }
        findings
    });
    // How frames are spaced is alike in all rooms: it is told once.
    let once: [Check; 2] = [JobCheck::FrameSpacing.into(), JobCheck::TopBarSpace.into()];
    let first = several.then(|| room(&subject.assembly.name, 0));
    let mut findings: Vec<Finding> = all
        .filter(|finding| first.as_ref().is_none_or(|first| finding.subject == *first || !once.contains(&finding.id)))
        .collect();
    for finding in findings.iter_mut().filter(|finding| several && once.contains(&finding.id)) {
        finding.subject.clone_from(&subject.assembly.name);
    }
    findings
}

/// What findings call a room of a box: `mating box, room 2`.
pub(super) fn room(box_name: &str, index: usize) -> String {
    format!("{box_name}, room {}", index + 1)
}

fn one_room(subject: &Subject, frames: &HungFrames) -> Vec<Finding> {
    let Some(hung) = Hung::new(frames) else { return Vec::new() };
    let mut findings = row(subject, frames, &hung);
    findings.extend(ends(subject, frames, &hung));
    findings.extend(sides(subject, &hung));
    findings.push(above(subject, frames, &hung));
    findings.push(below(subject, frames, &hung));
    findings
}

/// Does the inside width take the row, and is the row spaced as combs are?
fn row(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Vec<Finding> {
    let name = &subject.assembly.name;
    let spacing = frames.spacing;
    let mut findings = Vec::new();
    let (left, right) = (subject.clear(&hung.first.body, DVec3::NEG_X), subject.clear(&hung.last.body, DVec3::X));
    if let (Some((left, _)), Some((right, _))) = (left, right) {
        let inside = left + right + spacing * f64::from(frames.count);
        let takes = ((inside - 2.0 * BEE_SPACE.0 + 0.01) / spacing).floor().max(0.0);
        findings.push(
            Finding::measured(
                JobCheck::FrameRow,
                name,
                Measure::Count(takes),
                Limits::between(f64::from(frames.count), f64::from(frames.count)),
                if takes < f64::from(frames.count) { Status::Refused } else { Status::Caution },
            )
            .source(format!("{PRACTICE}: the row and a bee space at either side"))
            .advice_unless_ok(|| {
                format!(
                    "{} inside takes {takes} frames at {}: set `frames` to that, or change `side-gap`",
                    subject.job.units.show(inside),
                    subject.job.units.show(spacing)
                )
            }),
        );
    }
    findings.push(
        Finding::measured(
            JobCheck::FrameSpacing,
            name,
            Measure::Length(spacing),
            Limits::between(SPACING.0, SPACING.1),
            Status::Caution,
        )
        .source(format!("{PRACTICE}: 35 mm, 32 to 38"))
        .advice_unless_ok(|| "bees build combs at their own spacing: change `spacing` in the frame's profile".into()),
    );
    let between = spacing - frames.frame.top_bar_width.value;
    findings.push(bee_space(JobCheck::TopBarSpace, subject, between, Status::Caution).advice_unless_ok(|| {
        if between > BEE_SPACE.1 {
            "narrow top bars: bees bridge the space with comb. Nothing is wrong with the box; frames with wider top \
                 bars stay cleaner"
                .into()
        } else {
            "bees glue the top bars together: change `spacing` or `top-bar-width` in the frame's profile".into()
        }
    }));
    findings
}

/// Bee space between the end bars and the end walls.
fn ends(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Vec<Finding> {
    let mut gaps: Vec<(f64, &str)> = Vec::new();
    for (bodies, direction) in [&hung.first, &hung.last].into_iter().flat_map(|b| [(b, DVec3::NEG_Y), (b, DVec3::Y)]) {
        let Some(gap) = subject.clear(&bodies.body, direction) else { continue };
        if gaps.iter().all(|(known, _)| (known - gap.0).abs() > 0.05) {
            gaps.push(gap);
        }
    }
    let units = subject.job.units;
    let reach = (frames.frame.top_bar_length.value - frames.frame.body_length.value) / 2.0;
    gaps.into_iter()
        .map(|(gap, wall)| {
            bee_space(JobCheck::BeeSpaceEnds, subject, gap, Status::Refused)
                .advice_on_measured(units, |shown| end_advice((gap, shown), wall, reach, units))
        })
        .collect()
}

fn end_advice((gap, shown): (f64, &str), wall: &str, reach: f64, units: Units) -> String {
    if gap > BEE_SPACE.1 {
        format!(
            "the lugs are {} long and the {wall} leaves {shown} to the end bars: bees fill that with comb. Long lugs want \
             thick end walls, or a rest on a lower inner wall",
            units.show(reach),
        )
    } else {
        let what = if gap > 0.2 {
            format!("the {wall} stands {shown} from the end bars: bees glue that shut")
        } else {
            format!("the {wall} stands where the end bars are to hang")
        };
        format!("{what}. Use thinner stock, or let the lugs rest in a rabbet")
    }
}

/// Bee space between the outermost frames and the side walls.
fn sides(subject: &Subject, hung: &Hung) -> Vec<Finding> {
    let mut gaps: Vec<f64> = Vec::new();
    let left = subject.clear(&hung.first.body, DVec3::NEG_X);
    for (gap, _) in left.into_iter().chain(subject.clear(&hung.last.body, DVec3::X)) {
        if gaps.iter().all(|known| (known - gap).abs() > 0.05) {
            gaps.push(gap);
        }
    }
    gaps.into_iter()
        .map(|gap| {
            bee_space(JobCheck::BeeSpaceSides, subject, gap, Status::Refused).advice_unless_ok(|| {
                if gap > BEE_SPACE.1 {
                    "make `side-gap` smaller, take one frame more, or fill the space with a dummy board".into()
                } else {
                    "make `side-gap` larger, or take one frame fewer".into()
                }
            })
        })
        .collect()
}

/// A frame without its ends: a wall that stands where they should is a finding of its own.
fn between_ends(body: &Solid) -> Solid {
    let end = DVec3::Y * (body.most.y - body.least.y) / 6.0;
    Solid { least: body.least + end, most: body.most - end }
}

/// From the top bars to the cover, or to the edge that carries what stands on the box.
fn above(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Finding {
    // Between the end bars: the lugs lie in the thickness of the walls.
    let covered = subject.clear(&between_ends(&hung.first.body), DVec3::Z);
    let edge = subject.assembly.footprint.map_or_else(|| subject.upper_edge(), |footprint| footprint.upper);
    let to_edge = edge - hung.first.top_bar.most.z;
    let gap = covered.map_or(to_edge, |(gap, _)| gap);
    // By a standard with the bee space below, the tops are level with the edge.
    if frames.frame.bee_space.value == BeeSpace::Bottom && gap < BEE_SPACE.0 / 2.0 {
        return Finding::measured(
            JobCheck::FrameTops,
            &subject.assembly.name,
            Measure::Length(gap),
            Limits::between(-0.1, LEVEL),
            Status::Refused,
        )
        .source(&frames.frame.bee_space.source)
        .advice_unless_ok(|| "frames with the bee space below them hang level with the edge: change `above`".into());
    }
    let edge_word = covered.map_or("box's upper edge", |(_, panel)| panel);
    bee_space(JobCheck::BeeSpaceAbove, subject, gap, Status::Refused).advice_on_measured(subject.job.units, |shown| {
        let what = if gap > BEE_SPACE.1 { "bees build comb in it" } else { "bees glue it shut" };
        format!("{shown} up to the {edge_word}: {what}. Change `above`: 1/4 to 3/8 in is usual")
    })
}

/// From the bottom bars to the floor, or to the edge that stands on what is below.
fn below(subject: &Subject, frames: &HungFrames, hung: &Hung) -> Finding {
    let name = &subject.assembly.name;
    let check = JobCheck::SpaceBelow;
    if let Some((below, floor)) = subject.clear(&between_ends(&hung.first.body), DVec3::NEG_Z) {
        let status = if below < BEE_SPACE.0 { Status::Refused } else { Status::Caution };
        return Finding::measured(
            check,
            name,
            Measure::Length(below),
            Limits::between(BEE_SPACE.0, BELOW_MOST),
            status,
        )
        .source(format!("{PRACTICE}: a bee space at least, up to 1 in over a floor"))
        .advice_on_measured(subject.job.units, |shown| {
            let what = if below < BEE_SPACE.0 { "bees glue the frames down" } else { "bees build comb in it" };
            format!("the {floor} is {shown} below: {what}. Change `below`")
        });
    }
    let edge = subject.assembly.footprint.map_or_else(|| subject.lower_edge(), |footprint| footprint.lower);
    let below = hung.first.body.least.z - edge;
    if frames.frame.bee_space.value == BeeSpace::Bottom {
        return bee_space(check, subject, below, Status::Refused)
            .advice_unless_ok(|| "this standard leaves a bee space below the frames: change `below`".into());
    }
    // What stands under the box has its own bee space over its frames.
    Finding::measured(check, name, Measure::Length(below), Limits::between(0.0, INCH / 4.0), Status::Refused)
        .source(format!("{PRACTICE}: with the bee space above the frames, next to none below"))
        .advice_unless_ok(|| {
            if below < 0.0 {
                "the frames hang out of the box: make `below` larger".into()
            } else {
                "with the space over the frames below it, this is more than a bee space: make `below` smaller".into()
            }
        })
}

pub(super) fn bee_space(check: JobCheck, subject: &Subject, gap: f64, otherwise: Status) -> Finding {
    let limits = Limits::between(BEE_SPACE.0, BEE_SPACE.1);
    Finding::measured(check, &subject.assembly.name, Measure::Length(gap), limits, otherwise).source(BEE_SPACE_SOURCE)
}
