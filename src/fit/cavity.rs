//! A cavity and who is to live in it.

use super::frames::room;
use super::{Solid, Subject};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Place, Point, Vec2, free_spans};
use crate::profile::{Occupant, Roost};
use crate::reading::Sourced;
use crate::units::INCH;
use glam::DVec3;

/// A floor may be this much smaller than published, for sizes are rounded.
const FLOOR_LEAST: f64 = 0.95;
/// And this much larger before it stops being that animal's box, where no table gives a larger one.
const FLOOR_MOST: f64 = 1.5;
/// Where a side is less than this share of the least that any table gives, the brood has no room: common practice.
const NO_ROOM: f64 = 0.75;
/// Small bats roost in crevices of half an inch and hardly in narrower ones; and none clusters between boards two
/// inches apart, where mice and wasps settle: common practice.
const NO_BAT: f64 = INCH / 2.0;
const TOO_WIDE: f64 = 2.0 * INCH;
/// Beyond any box (mm).
const FAR: f64 = 10_000.0;

/// The clear inside of a box: width, depth, and height where it is lowest.
pub(super) fn inside(subject: &Subject) -> Option<[f64; 3]> {
    let from = subject.assembly.inside?;
    let speck = Solid::about(from, DVec3::ONE);
    let reach = |solid: &Solid, direction: DVec3| subject.clear(solid, direction).map(|(free, _)| free);
    let width = reach(&speck, DVec3::X)? + reach(&speck, DVec3::NEG_X)? + 1.0;
    let depth = reach(&speck, DVec3::Y)? + reach(&speck, DVec3::NEG_Y)? + 1.0;
    // A plate as large as the floor rises until it meets the lowest place of the roof.
    let plate = Solid::about(from, DVec3::new(width - 0.02, depth - 0.02, 1.0));
    let height = reach(&plate, DVec3::Z)? + reach(&speck, DVec3::NEG_Z)? + 1.0;
    Some([width, depth, height])
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(occupant) = &subject.assembly.occupant {
        if let Some(inside) = inside(subject) {
            findings.extend(sizes(subject, occupant, inside));
        }
        if let Some(wall) = &occupant.wall {
            findings.push(walls(subject, wall));
        }
        if let Some(roost) = &occupant.roost {
            findings.extend(chambers(subject, roost));
        }
    }
    findings.extend(volume(subject));
    findings
}

fn sizes(subject: &Subject, occupant: &Occupant, [width, depth, height]: [f64; 3]) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(floor) = &occupant.floor {
        let (across, along) = (width.min(depth), width.max(depth));
        let (least, most) = (occupant.floor_least.as_ref().unwrap_or(floor), occupant.floor_most.as_ref());
        for (what, mm, side) in
            [("floor, shorter side", across, shorter as fn([f64; 2]) -> f64), ("floor, longer side", along, longer)]
        {
            let largest = most.map_or(side(floor.value) * FLOOR_MOST, |most| side(most.value).max(side(floor.value)));
            let limits = Limits::between(side(least.value) * FLOOR_LEAST, largest);
            let source = if mm > largest { most.unwrap_or(floor) } else { least };
            findings.push(suits(subject, occupant, what, mm, limits, &source.source));
        }
    }
    if let Some(published) = &occupant.height {
        let [least, most] = published.value;
        let limits = Limits::between(least * FLOOR_LEAST, most * FLOOR_MOST);
        findings.push(suits(subject, occupant, "height", height, limits, &published.source));
    }
    findings
}

fn shorter([a, b]: [f64; 2]) -> f64 {
    a.min(b)
}

fn longer([a, b]: [f64; 2]) -> f64 {
    a.max(b)
}

fn walls(subject: &Subject, wall: &Sourced<f64>) -> Finding {
    Finding::measured(
        JobCheck::WallThickness,
        &subject.assembly.name,
        Measure::Length(subject.thickness()),
        Limits::at_least(wall.value),
        Status::Caution,
    )
    .source(&wall.source)
    .advice_unless_ok(|| "thinner walls keep less warmth in and heat out: use thicker stock".into())
}

/// How much the box holds: against the occupant's wish, or for the maker to know.
fn volume(subject: &Subject) -> Option<Finding> {
    let occupant = subject.assembly.occupant.as_ref();
    // A roost's chambers are told one by one.
    if occupant.is_some_and(|occupant| occupant.roost.is_some()) {
        return None;
    }
    let litres = subject.cavity()?.volume();
    let parted = subject.assembly.frames.as_ref().is_some_and(|frames| frames.rooms.len() > 1);
    let name = &if parted { room(&subject.assembly.name, 0) } else { subject.assembly.name.clone() };
    let Some((occupant, wish)) = occupant.and_then(|occupant| Some((occupant, occupant.volume.as_ref()?))) else {
        return Some(Finding::measured(
            JobCheck::VolumeInside,
            name,
            Measure::Volume(litres),
            Limits::default(),
            Status::Ok,
        ));
    };
    let [least, most] = wish.value;
    Some(
        Finding::measured(
            JobCheck::CavityVolume,
            name,
            Measure::Volume(litres),
            Limits::between(least, most),
            Status::Caution,
        )
        .source(&wish.source)
        .advice_unless_ok(|| {
            let change = if litres < least { "larger" } else { "smaller" };
            format!("{} chooses another size: make `inside` {change}", occupant.title.to_lowercase())
        }),
    )
}

/// The chambers of a roost, measured along a line through the boards.
fn chambers(subject: &Subject, roost: &Roost) -> Vec<Finding> {
    let Some(cavity) = subject.cavity() else { return Vec::new() };
    let Some(from) = subject.assembly.inside else { return Vec::new() };
    let name = &subject.assembly.name;
    let (foot, top) = cavity.heights();
    let gaps = gaps_between_boards(subject, DVec3::new(from.x, 0.0, f64::midpoint(foot, top)));
    let mut findings = vec![
        Finding::measured(
            JobCheck::Chambers,
            name,
            Measure::Count(gaps.len() as f64),
            Limits::between(roost.chambers.value[0], roost.chambers.value[1]),
            Status::Caution,
        )
        .source(&roost.chambers.source)
        .advice_unless_ok(|| "change the number of `chambers`".into()),
    ];
    let [least, most] = roost.gap.value;
    let refused = |gap: f64| !(NO_BAT..=TOO_WIDE).contains(&gap);
    let mut seen: Vec<f64> = Vec::new();
    for gap in gaps {
        if seen.iter().any(|known| (known - gap).abs() < 0.1) {
            continue;
        }
        seen.push(gap);
        findings.push(
            Finding::measured(
                JobCheck::ChamberGap,
                name,
                Measure::Length(gap),
                Limits::between(least, most),
                if refused(gap) { Status::Refused } else { Status::Caution },
            )
            .source(&roost.gap.source)
            .advice_unless_ok(|| "bats want a narrow space: change `chamber-gap`".into()),
        );
    }
    let speck = Solid::about(from, DVec3::ONE);
    let sideways = [DVec3::X, DVec3::NEG_X].map(|direction| subject.clear(&speck, direction).map(|(free, _)| free));
    let width = sideways[0].zip(sideways[1]).map(|(right, left)| right + left + 1.0);
    for (check, measured, limit) in
        [(JobCheck::ChamberWidth, width, &roost.width), (JobCheck::ChamberHeight, Some(top - foot), &roost.height)]
    {
        let Some(measured) = measured else { continue };
        findings.push(
            Finding::measured(check, name, Measure::Length(measured), Limits::at_least(limit.value), Status::Caution)
                .source(&limit.source)
                .advice_unless_ok(|| "a larger roost is taken more readily: make `inside` larger".into()),
        );
    }
    // What the back reaches down below the chambers.
    let landing = foot - subject.lower_edge();
    let [least, most] = roost.landing.value;
    findings.push(
        Finding::measured(
            JobCheck::Landing,
            name,
            Measure::Length(landing),
            Limits::between(least, most),
            Status::Caution,
        )
        .source(&roost.landing.source)
        .advice_unless_ok(|| "bats land on it and crawl up: change `landing`".into()),
    );
    findings
}

/// Free stretches between boards along y, through a point.
fn gaps_between_boards(subject: &Subject, through: DVec3) -> Vec<f64> {
    use geo::BooleanOps;
    let plane = Place::new(DVec3::new(0.0, 0.0, through.z), DVec3::X, DVec3::Y);
    let sections = subject.assembly.panels.iter().map(|panel| panel.section(&plane));
    let wood = sections.fold(crate::geometry::Region::new(vec![]), |wood, section| wood.union(&section));
    let (from, length) = (Point::new(through.x, -FAR), 2.0 * FAR);
    free_spans(&wood, from, Vec2::new(0.0, 1.0), length, 0.0)
        .into_iter()
        .filter(|(start, end)| *start > 0.0 && *end < length)
        .map(|(start, end)| end - start)
        .filter(|gap| *gap > 1.0)
        .collect()
}

fn suits(subject: &Subject, occupant: &Occupant, what: &str, mm: f64, limits: Limits, source: &str) -> Finding {
    let no_room = limits.least.is_some_and(|least| mm < least / FLOOR_LEAST * NO_ROOM);
    let status = if no_room { Status::Refused } else { Status::Caution };
    Finding::measured(JobCheck::CavitySize, &subject.assembly.name, Measure::Length(mm), limits, status)
        .worded(format!("{what} of the cavity"))
        .source(source)
        .advice_unless_ok(|| {
            format!("{} takes another size: change `inside`, or leave it out", occupant.title.to_lowercase())
        })
}
