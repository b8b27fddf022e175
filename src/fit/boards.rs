//! Boards that a maker added: clear of the frames, and of the way through entrances.

use super::frames::bodies;
use super::{PRACTICE, Solid, Subject, clear};
use crate::design::{Hole, HoleUse, Panel};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::units::INCH;

/// Two things may share a film (mm).
const SHARED: f64 = 0.3;
/// A way that drones and laden bees pass (mm).
const BEES: f64 = INCH * 5.0 / 16.0;

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    if subject.assembly.panels.iter().all(|panel| panel.added.is_none()) {
        return Vec::new();
    }
    frame_room(subject).into_iter().chain(entrances(subject)).collect()
}

/// No added board stands where a frame is to hang.
fn frame_room(subject: &Subject) -> Option<Finding> {
    let frames = subject.assembly.frames.as_ref()?;
    let added = || subject.assembly.panels.iter().filter(|panel| panel.added.is_some());
    let met = |panel: &&Panel| {
        let (low, high) = panel.bounds();
        let meets = |solid: &Solid| (solid.least + SHARED).cmplt(high).all() && (low + SHARED).cmplt(solid.most).all();
        frames.centres().position(|x| {
            let bodies = bodies(frames, x);
            meets(&bodies.body) || meets(&bodies.top_bar)
        })
    };
    let name = &subject.assembly.name;
    let worst = added().find_map(|panel| Some((panel, met(&panel)?)));
    let Some((panel, frame)) = worst else {
        return Some(Finding::plain(JobCheck::FrameRoom, name, Status::Ok).source(PRACTICE));
    };
    let finding = Finding::plain(JobCheck::FrameRoom, subject.panel_name(panel), Status::Refused);
    Some(
        finding
            .source("geometry of the box")
            .advice(format!(
                "it stands where frame {} from the left is to hang: move it, take fewer `frames`, or give the box more room \
                 with `side-gap`",
                frame + 1
            ))
            .at(panel.added.clone()),
    )
}

/// What goes in by an entrance is not stopped by a board behind it, nor by one before it.
fn entrances(subject: &Subject) -> Vec<Finding> {
    let panels = subject.assembly.panels.iter();
    let holes = panels.flat_map(|panel| panel.holes.iter().map(move |hole| (panel, hole)));
    let ways = holes.filter(|(_, hole)| hole.use_ == HoleUse::Entrance);
    ways.flat_map(|(panel, hole)| [1.0, -1.0].map(|side| way(subject, (panel, hole), side))).flatten().collect()
}

fn way(subject: &Subject, (panel, hole): (&Panel, &Hole), side: f64) -> Option<Finding> {
    let (wide, high) = hole.size();
    let (u, v, normal) = (panel.place.u.abs(), panel.place.v.abs(), panel.place.normal());
    let middle = panel.place.to_space(hole.centre, -panel.thickness / 2.0);
    let solid = Solid::about(middle, u * wide + v * high + normal.abs() * panel.thickness);
    let (free, other) = clear(&subject.surfaces, &solid, normal * side)?;
    let board = &subject.assembly.panels[other];
    // What lies on the hole is told with the holes; what the kind itself puts there is as it should be.
    if board.added.is_none() || free < SHARED {
        return None;
    }
    let least = if subject.assembly.is_hive() { BEES } else { hole.width };
    (free < least).then(|| {
        let name = format!("{}, entrance", subject.panel_name(panel));
        Finding::measured(JobCheck::EntranceWay, name, Measure::Length(free), Limits::at_least(least), Status::Refused)
            .source(format!("{PRACTICE}: the way in goes on as wide as the entrance; bees pass 5/16 in"))
            .advice(format!("the {} stands in the way: move it, or the entrance", board.name))
            .at(hole.spot.clone().or_else(|| board.added.clone()))
    })
}
