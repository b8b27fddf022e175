//! The entrance: wide enough for who lives there, too small for who does not.

use super::frames::room;
use super::ventilation::mesh_past;
use super::{PRACTICE, Solid, Subject};
use crate::design::{Hole, HoleUse, HungFrames, Panel};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::profile::Occupant;
use crate::reading::Sourced;
use crate::units::INCH;
use glam::DVec3;
use std::ops::Range;

/// An entrance may be this much wider than published before larger animals get in (mm).
const MORE: f64 = 3.0;
/// And this much narrower, for bits are made in steps.
const LESS: f64 = 0.5;
/// The narrower size of a hive's entrance: drones and laden bees pass, mice do not.
const DRONES: f64 = INCH * 5.0 / 16.0;
const MICE: f64 = INCH * 3.0 / 8.0;
/// A small colony guards no more than what a swarm chooses for its nest (mm²).
const ROBBERS: f64 = 1500.0;
const ROBBERS_SOURCE: &str = "Information Bulletin 187, \"Bait Hives for Honey Bees\" (Cornell Cooperative Extension, 1989): \
                              swarms choose 10 to 15 cm² in all";
/// Frames that a small colony covers.
const SMALL_COLONY: u32 = 6;

/// An entrance, through a panel or between panels.
struct Entrance {
    subject: String,
    /// The narrower and the wider of its two sizes (mm).
    narrow: f64,
    wide: f64,
    /// Square millimetres.
    area: f64,
    /// z of its centre.
    height: f64,
    /// x of it.
    x: f64,
    spot: Option<Range<usize>>,
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let holes = subject.assembly.panels.iter().flat_map(|panel| panel.holes.iter().map(move |hole| (panel, hole)));
    let through = holes.filter(|(_, hole)| hole.use_ == HoleUse::Entrance).map(|(panel, hole)| Entrance {
        subject: format!("{}, entrance", subject.panel_name(panel)),
        narrow: hole.width,
        wide: hole.length,
        area: hole.outline().area(),
        height: panel.place.to_space(hole.centre, 0.0).z,
        x: panel.place.to_space(hole.centre, 0.0).x,
        spot: hole.spot.clone(),
    });
    let between = subject.assembly.openings.iter().filter(|opening| opening.use_ == HoleUse::Entrance);
    let between = between.map(|opening| Entrance {
        subject: format!("{}, entrance slot", subject.assembly.name),
        narrow: opening.width.min(opening.height),
        wide: opening.width.max(opening.height),
        area: opening.width * opening.height,
        height: opening.centre.z,
        x: opening.centre.x,
        spot: None,
    });
    let entrances: Vec<Entrance> = through.chain(between).collect();
    let mut findings = Vec::new();
    if let Some(occupant) = &subject.assembly.occupant {
        findings.extend(occupant_entrance(subject, occupant, &entrances));
    } else if subject.assembly.frames.is_some() {
        findings.extend(hive_entrance(subject, &entrances));
    }
    if subject.assembly.is_hive() {
        findings.extend(handholds(subject));
    }
    findings
}

fn area(entrances: &[Entrance]) -> f64 {
    entrances.iter().map(|entrance| entrance.area).sum()
}

fn occupant_entrance(subject: &Subject, occupant: &Occupant, entrances: &[Entrance]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let title = occupant.title.to_lowercase();
    if entrances.is_empty() {
        // A roost is open below.
        if occupant.roost.is_none() {
            let source = occupant.entrance.as_ref().map(|entrance| &entrance.source);
            let source = source.or(occupant.entrance_oval.as_ref().map(|oval| &oval.source));
            let source = source.or(occupant.entrance_area.as_ref().map(|area| &area.source));
            findings.push(
                Finding::plain(JobCheck::WayIn, &subject.assembly.name, Status::Refused)
                    .source(source.map_or(PRACTICE, String::as_str))
                    .advice("there is none: add a [[box.hole]] with use = \"entrance\""),
            );
        }
        return findings;
    }
    if let Some(wish) = &occupant.entrance_area {
        let [least, most] = wish.value;
        let found = area(entrances);
        findings.push(
            Finding::measured(
                JobCheck::EntranceArea,
                &subject.assembly.name,
                Measure::Area(found),
                Limits::between(least, most),
                Status::Caution,
            )
            .source(&wish.source)
            .advice_unless_ok(|| {
                let change = if found < least { "larger, or add another" } else { "smaller" };
                format!("{title} chooses less and more seldom: make the entrance {change}")
            }),
        );
    }
    for entrance in entrances {
        findings.extend(size(subject, entrance, occupant));
        if let Some(height) = &occupant.entrance_up {
            findings.push(height_above_floor(subject, entrance, height, occupant.volume.is_some()));
        }
    }
    findings
}

/// Does the animal get in, and do larger ones stay out?
fn size(subject: &Subject, entrance: &Entrance, occupant: &Occupant) -> Option<Finding> {
    let Held { across, limits, source } = held_against(entrance, occupant)?;
    let measured = if across { entrance.wide } else { entrance.narrow };
    let too_small = limits.least.is_some_and(|least| measured < least);
    let status = if too_small { Status::Refused } else { Status::Caution };
    let finding =
        Finding::measured(JobCheck::EntranceWidth, &entrance.subject, Measure::Length(measured), limits, status)
            .source(source)
            .advice_unless_ok(|| {
                let what = if too_small { "it would not get in" } else { "larger animals would get in" };
                let key = if entrance.narrow == entrance.wide { "diameter" } else { "slot" };
                let title = occupant.title.to_lowercase();
                format!("{what}: {title} takes {}; change `{key}`", taken(subject, occupant))
            })
            .at(entrance.spot.clone());
    Some(if across { finding.worded("wider way") } else { finding })
}

/// What of an entrance is held against which figure.
struct Held {
    /// The wider of its sizes, not the narrower.
    across: bool,
    limits: Limits,
    source: String,
}

/// An animal takes a round hole between two sizes, or an oval, or either. A hole that an oval goes into is held against
/// the oval.
fn held_against(entrance: &Entrance, occupant: &Occupant) -> Option<Held> {
    let narrow = |[least, most]: [f64; 2], source: &str| Held {
        across: false,
        limits: Limits::between(least - LESS, most + MORE),
        source: source.into(),
    };
    let round = occupant.round_entrance();
    let Some(oval) = &occupant.entrance_oval else {
        return round.map(|round| narrow(round.value, &round.source));
    };
    let [a, b] = oval.value;
    let (wider, narrower) = (a.max(b), a.min(b));
    let (high, long) = (entrance.narrow >= narrower - LESS, entrance.wide >= wider - LESS);
    Some(match round {
        Some(round) if !(high && long) => narrow(round.value, &round.source),
        round if long || !high => {
            narrow([narrower, round.map_or(narrower, |round| narrower.max(round.value[1]))], &oval.source)
        }
        _ => Held { across: true, limits: Limits::at_least(wider - LESS), source: oval.source.clone() },
    })
}

/// `3 1/2 to 4 in, or an oval of 4 × 3 in`
fn taken(subject: &Subject, occupant: &Occupant) -> String {
    let units = subject.job.units;
    let round = occupant.round_entrance().map(|round| match round.value {
        [least, most] if least == most => units.show(least),
        [least, most] => format!("{} to {}", units.number(least), units.show(most)),
    });
    let oval = occupant.entrance_oval.as_ref();
    let oval = oval.map(|oval| format!("an oval of {} × {}", units.number(oval.value[0]), units.show(oval.value[1])));
    [round, oval].into_iter().flatten().collect::<Vec<_>>().join(", or ")
}

fn height_above_floor(subject: &Subject, entrance: &Entrance, height: &Sourced<[f64; 2]>, bees: bool) -> Finding {
    let [least, most] = height.value;
    let up = entrance.height - floor_of(subject);
    Finding::measured(
        JobCheck::EntranceHeight,
        &entrance.subject,
        Measure::Length(up),
        Limits::between(least - MORE, most + MORE),
        Status::Caution,
    )
    .source(&height.source)
    .advice_unless_ok(|| match (up < least, bees) {
        (true, false) => "young birds fall out of it, and cats reach in: make `up` of the entrance more".into(),
        (true, true) => "it lies on the floor: make `up` of the entrance more".into(),
        (false, _) => "that is higher than it is taken: make `up` of the entrance less".into(),
    })
    .at(entrance.spot.clone())
}

/// z of the cavity's floor.
fn floor_of(subject: &Subject) -> f64 {
    subject.assembly.inside.map_or(0.0, |inside| {
        let speck = Solid::about(inside, DVec3::ONE);
        inside.z - 0.5 - subject.clear(&speck, DVec3::NEG_Z).map_or(0.0, |(free, _)| free)
    })
}

/// A hive's entrance, against mice and robbers and for drones.
fn hive_entrance(subject: &Subject, entrances: &[Entrance]) -> Vec<Finding> {
    let name = &subject.assembly.name;
    let mut findings = Vec::new();
    if entrances.is_empty() {
        if has_floor(subject) {
            findings.push(Finding::plain(JobCheck::WayIn, name, Status::Caution).source(PRACTICE).advice(
                "a box with a floor needs one: add a [[box.hole]] with use = \"entrance\" low in the front, 3/4 in is usual",
            ));
        }
        return findings;
    }
    for entrance in entrances {
        let narrow = entrance.narrow;
        let too_small = narrow < DRONES;
        findings.push(
            Finding::measured(
                JobCheck::MouseWayIn,
                &entrance.subject,
                Measure::Length(narrow),
                Limits::between(DRONES, MICE),
                Status::Caution,
            )
            .source(format!("{PRACTICE}: drones pass 5/16 in, mice are kept out by 3/8 in"))
            .advice_unless_ok(|| {
                if too_small {
                    "drones and laden bees stick in it: make it higher".into()
                } else {
                    "mice get in when the cluster is small: pin a guard or a queen excluder over it in autumn".into()
                }
            })
            .at(entrance.spot.clone()),
        );
    }
    if let Some(frames) = subject.assembly.frames.as_ref().filter(|frames| frames.rooms.len() > 1) {
        findings.extend(rooms(subject, frames, entrances));
        return findings;
    }
    let count = subject.assembly.frames.as_ref().map_or(0, |frames| frames.count);
    if count <= SMALL_COLONY {
        findings.push(
            Finding::measured(
                JobCheck::RobberWayIn,
                name,
                Measure::Area(area(entrances) + beside_entrances(subject)),
                Limits::at_most(ROBBERS),
                Status::Caution,
            )
            .source(ROBBERS_SOURCE)
            .advice_unless_ok(|| "a small colony cannot guard so much: make the entrance smaller, or reduce it".into()),
        );
    }
    findings
}

/// Each room of a hive is a colony of its own: it has a way in, which it can guard.
fn rooms(subject: &Subject, frames: &HungFrames, entrances: &[Entrance]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let rows = frames.rows();
    // The room that an entrance leads into: the one whose frames are nearest.
    let leads_into = |entrance: &Entrance| {
        let from =
            |(count, x): &(u32, f64)| ((entrance.x - x).abs() - f64::from(*count) * frames.spacing / 2.0).max(0.0);
        (0..rows.len()).min_by(|a, b| from(&rows[*a]).total_cmp(&from(&rows[*b])))
    };
    for (i, (count, _)) in rows.iter().enumerate() {
        let name = room(&subject.assembly.name, i);
        let own: Vec<&Entrance> = entrances.iter().filter(|entrance| leads_into(entrance) == Some(i)).collect();
        if own.is_empty() && has_floor(subject) {
            findings.push(
                Finding::plain(JobCheck::WayIn, &name, Status::Caution)
                    .source(PRACTICE)
                    .advice("nothing leads into it: add a [[box.hole]] with use = \"entrance\" low in a wall of it"),
            );
        }
        if *count <= SMALL_COLONY && !own.is_empty() {
            let area = own.iter().map(|entrance| entrance.area).sum();
            findings.push(
                Finding::measured(
                    JobCheck::RobberWayIn,
                    &name,
                    Measure::Area(area),
                    Limits::at_most(ROBBERS),
                    Status::Caution,
                )
                .source(ROBBERS_SOURCE)
                .advice_unless_ok(|| "a small colony cannot guard so much: make its entrance smaller".into()),
            );
        }
    }
    findings
}

/// Openings of the box itself that nothing covers and that are meant for no bee: handholds and vents.
fn left_open<'a>(subject: &'a Subject) -> impl Iterator<Item = (&'a Panel, &'a Hole)> {
    let own = subject.assembly.panels.iter().filter(|panel| panel.sub_assembly.is_empty());
    own.flat_map(|panel| panel.holes.iter().map(move |hole| (panel, hole)))
        .filter(|(_, hole)| matches!(hole.use_, HoleUse::Handhold | HoleUse::Vent | HoleUse::Opening))
        .filter(|(panel, hole)| mesh_past(subject, panel, hole) < 0.0)
}

/// What robbers find open beside the entrances (mm²).
fn beside_entrances(subject: &Subject) -> f64 {
    left_open(subject).map(|(_, hole)| hole.outline().area()).sum()
}

/// A slot for the fingers right through the wall of a hive is a way in.
fn handholds(subject: &Subject) -> Vec<Finding> {
    let through = left_open(subject).filter(|(_, hole)| hole.use_ == HoleUse::Handhold);
    through
        .map(|(panel, hole)| {
            let name = format!("{}, handhold", subject.panel_name(panel));
            Finding::plain(JobCheck::HandholdOpen, name, Status::Caution)
                .source(PRACTICE)
                .advice(
                    "it goes right through: robbers, mice and rain come in by it. Take handhold = \"recess\" or \"cleat\", or \
                     staple mesh over it, inside",
                )
                .at(hole.spot.clone())
        })
        .collect()
}

fn has_floor(subject: &Subject) -> bool {
    let Some(inside) = subject.assembly.inside else { return false };
    subject.clear(&Solid::about(inside, DVec3::ONE), DVec3::NEG_Z).is_some()
}
/// Mice get in by every entrance alike: what to do in autumn is told once for the job, with all entrances that it is
/// about and the widest of them, not once a hole.
pub(super) fn once_a_job(findings: &mut Vec<Finding>) {
    let lets_mice_in = |finding: &Finding| {
        finding.id == JobCheck::MouseWayIn.into()
            && finding.status == Status::Caution
            && finding.measured.is_some_and(|width| width.value() > MICE)
    };
    let all: Vec<&Finding> = findings.iter().filter(|finding| lets_mice_in(finding)).collect();
    let [first, _, ..] = all[..] else { return };
    let mut subjects: Vec<&str> = all.iter().map(|finding| finding.subject.as_str()).collect();
    subjects.dedup();
    let widest = all.iter().filter_map(|finding| finding.measured).max_by(|a, b| a.value().total_cmp(&b.value()));
    let alike = all.iter().all(|finding| finding.box_name == first.box_name);
    let told = Finding {
        box_name: first.box_name.clone().filter(|_| alike),
        subject: subjects.join("; "),
        measured: widest,
        ..first.clone()
    };
    let place = findings.iter().position(lets_mice_in).unwrap_or(0);
    findings.retain(|finding| !lets_mice_in(finding));
    findings.insert(place, told);
}
