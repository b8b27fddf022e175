//! A cavity and who is to live in it.

use super::{Solid, Subject};
use crate::design::HoleUse;
use crate::finding::{Finding, Limits, Measure, Status};
use crate::profile::Occupant;
use glam::DVec3;

/// A floor may be this much smaller than published, for sizes are rounded.
const FLOOR_LEAST: f64 = 0.95;
/// And this much larger before it stops being that animal's box.
const FLOOR_MOST: f64 = 1.5;
/// An entrance may be this much wider than published before larger animals get in (mm).
const ENTRANCE_MORE: f64 = 3.0;

/// The clear inside of a box: width, depth, and height where it is lowest.
fn inside(subject: &Subject) -> Option<[f64; 3]> {
    let from = subject.assembly.inside?;
    let speck = Solid::about(from, DVec3::ONE);
    let reach = |solid: &Solid, way: DVec3| subject.clear(solid, way).map(|(free, _)| free);
    let width = reach(&speck, DVec3::X)? + reach(&speck, DVec3::NEG_X)? + 1.0;
    let depth = reach(&speck, DVec3::Y)? + reach(&speck, DVec3::NEG_Y)? + 1.0;
    // A plate as large as the floor rises until it meets the lowest place of the roof.
    let plate = Solid::about(from, DVec3::new(width - 0.02, depth - 0.02, 1.0));
    let height = reach(&plate, DVec3::Z)? + reach(&speck, DVec3::NEG_Z)? + 1.0;
    Some([width, depth, height])
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let Some(occupant) = &subject.assembly.occupant else { return Vec::new() };
    let mut findings = Vec::new();
    if let Some([width, depth, height]) = inside(subject) {
        if let Some(floor) = &occupant.floor {
            let [floor_a, floor_b] = floor.value;
            let (across, along) = (width.min(depth), width.max(depth));
            let (least, most) = (floor_a.min(floor_b), floor_a.max(floor_b));
            for (what, mm, published) in [("floor, shorter side", across, least), ("floor, longer side", along, most)] {
                let limits = Limits::between(published * FLOOR_LEAST, published * FLOOR_MOST);
                findings.push(suits(subject, occupant, what, mm, limits, &floor.source));
            }
        }
        if let Some(published) = &occupant.height {
            let [least, most] = published.value;
            let limits = Limits::between(least * FLOOR_LEAST, most * FLOOR_MOST);
            findings.push(suits(subject, occupant, "height", height, limits, &published.source));
        }
    }
    findings.extend(entrance(subject, occupant));
    if let Some(wall) = &occupant.wall {
        let thickness = subject.job.stock[subject.assembly.stock].thickness;
        findings.push(
            Finding::measured(
                "thickness of the walls",
                &subject.assembly.name,
                Measure::Length(thickness),
                Limits::at_least(wall.value),
                Status::Caution,
            )
            .source(&wall.source)
            .advice_unless_ok(|| "thinner walls keep less warmth in and heat out".into()),
        );
    }
    findings
}

fn suits(subject: &Subject, occupant: &Occupant, what: &str, mm: f64, limits: Limits, source: &str) -> Finding {
    let too_small = limits.least.is_some_and(|least| mm < least);
    let check = format!("{what} of the cavity");
    let status = if too_small { Status::Refused } else { Status::Caution };
    Finding::measured(check, &subject.assembly.name, Measure::Length(mm), limits, status)
        .source(source)
        .advice_unless_ok(|| {
            format!("{} takes another size: change `inside`, or leave it out", occupant.title.to_lowercase())
        })
}

fn entrance(subject: &Subject, occupant: &Occupant) -> Vec<Finding> {
    let name = &subject.assembly.name;
    let mut findings = Vec::new();
    let mut found = false;
    for panel in &subject.assembly.panels {
        for hole in panel.holes.iter().filter(|hole| hole.use_ == HoleUse::Entrance) {
            found = true;
            if let Some(entrance) = &occupant.entrance {
                let published = entrance.value;
                let too_small = hole.width < published - 0.5;
                findings.push(
                    Finding::measured(
                        "entrance, narrower way",
                        subject.panel_name(panel),
                        Measure::Length(hole.width),
                        Limits::between(published - 0.5, published + ENTRANCE_MORE),
                        if too_small { Status::Refused } else { Status::Caution },
                    )
                    .source(&entrance.source)
                    .advice_unless_ok(|| {
                        let what = if too_small { "it would not get in" } else { "larger animals would get in" };
                        format!("{what}: {} takes {}", occupant.title.to_lowercase(), subject.job.units.show(published))
                    })
                    .at(hole.spot.clone()),
                );
            }
            let Some(height) = &occupant.entrance_up else { continue };
            let floor = subject.assembly.inside.map_or(0.0, |inside| {
                let speck = Solid::about(inside, DVec3::ONE);
                inside.z - 0.5 - subject.clear(&speck, DVec3::NEG_Z).map_or(0.0, |(free, _)| free)
            });
            let up = panel.place.to_space(hole.centre, 0.0).z - floor;
            let [least, most] = height.value;
            findings.push(
                Finding::measured(
                    "entrance centre above the floor",
                    subject.panel_name(panel),
                    Measure::Length(up),
                    Limits::between(least - 3.0, most + 3.0),
                    Status::Caution,
                )
                .source(&height.source)
                .advice_unless_ok(|| "change `up` of the entrance".into())
                .at(hole.spot.clone()),
            );
        }
    }
    // A roost is open below.
    if !found && occupant.roost.is_none() {
        let source = occupant.entrance.as_ref().map(|entrance| &entrance.source);
        let source = source.or(occupant.entrance_area.as_ref().map(|area| &area.source));
        findings.push(
            Finding::plain("entrance", name, Status::Refused)
                .source(source.map_or("", String::as_str))
                .advice("there is no way in: add a [[box.hole]] with use = \"entrance\""),
        );
    }
    findings
}
