//! Air in and water out: vents with their mesh, and drain holes.

use super::{PRACTICE, Subject};
use crate::design::{Face, Fitting, FittingKind, Hole, HoleUse, Panel};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Outline, Rect, Region, region_area, to_polygon};
use crate::units::INCH;
use geo::BooleanOps;

/// Mesh reaches this far past its opening, for staples.
const STAPLES: f64 = INCH * 3.0 / 8.0;

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let mut findings = vents(subject);
    findings.extend(subject.assembly.fittings.iter().flat_map(|fitting| seats(subject, fitting)));
    findings.extend(drains(subject));
    findings
}

fn vents(subject: &Subject) -> Vec<Finding> {
    let vents: Vec<(&Panel, &Hole)> = subject
        .assembly
        .panels
        .iter()
        .flat_map(|panel| panel.holes.iter().map(move |hole| (panel, hole)))
        .filter(|(_, hole)| hole.use_ == HoleUse::Vent)
        .collect();
    if vents.is_empty() {
        return Vec::new();
    }
    let area = vents.iter().map(|(_, hole)| hole.outline().area()).sum();
    let name = &subject.assembly.name;
    let mut findings =
        vec![Finding::measured(JobCheck::VentArea, name, Measure::Area(area), Limits::default(), Status::Ok)];
    if subject.assembly.is_hive() {
        findings.extend(vents.iter().map(|(panel, hole)| meshed(subject, panel, hole)));
    }
    findings
}

/// How far the mesh reaches past a vent, on the side where it reaches least.
fn meshed(subject: &Subject, panel: &Panel, hole: &Hole) -> Finding {
    let margin = mesh_past(subject, panel, hole);
    let subject_name = format!("{}, vent", subject.panel_name(panel));
    if margin < 0.0 {
        return Finding::plain(JobCheck::VentMesh, subject_name, Status::Caution)
            .source(format!("{PRACTICE}: number-eight hardware cloth inside"))
            .advice("bees take an open vent for an entrance: staple mesh of 8 to the inch over it, inside")
            .at(hole.spot.clone());
    }
    Finding::measured(
        JobCheck::MeshReach,
        subject_name,
        Measure::Length(margin),
        Limits::at_least(STAPLES),
        Status::Caution,
    )
    .source(format!("{PRACTICE}: 3/8 in all round for staples"))
    .advice_unless_ok(|| "staples want more: take a larger piece of mesh".into())
    .at(hole.spot.clone())
}

/// How far mesh reaches past an opening, on the side where it reaches least (mm); less than nothing where none covers it.
pub(super) fn mesh_past(subject: &Subject, panel: &Panel, hole: &Hole) -> f64 {
    let opening = hole.outline().bounds();
    subject
        .assembly
        .fittings
        .iter()
        .filter(|fitting| fitting.kind == FittingKind::Mesh)
        .flat_map(|fitting| fitting.seats.iter().map(move |seat| (fitting, seat)))
        .filter(|(_, seat)| seat.panel == panel.name)
        .map(|(fitting, seat)| {
            let mesh = around(fitting, seat.centre);
            [opening.x0 - mesh.x0, mesh.x1 - opening.x1, opening.y0 - mesh.y0, mesh.y1 - opening.y1]
                .into_iter()
                .fold(f64::INFINITY, f64::min)
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

fn around(fitting: &Fitting, centre: crate::geometry::Point) -> Rect {
    Rect::from_center_size(centre, (fitting.size[0], fitting.size[1]))
}

/// A piece of mesh lies flat on its panel and on nothing else.
fn seats(subject: &Subject, fitting: &Fitting) -> Vec<Finding> {
    if fitting.kind != FittingKind::Mesh {
        return Vec::new();
    }
    let panels = &subject.assembly.panels;
    let mut findings = Vec::new();
    for seat in &fitting.seats {
        let Some(index) = panels.iter().position(|panel| panel.name == seat.panel) else { continue };
        let panel = &panels[index];
        let mesh = Region::from(to_polygon(&Outline::from_rect(around(fitting, seat.centre))));
        let own = Region::from(to_polygon(&panel.outline));
        let past_the_edge = region_area(&mesh.difference(&own)) > 1.0;
        let under = subject.contacts.iter().find_map(|contact| {
            let (face, region) = contact.on_face(index, panels)?;
            (face == seat.face && region_area(&region.intersection(&mesh)) > 1.0).then(|| contact.other(index))?
        });
        let side = if seat.face == Face::Inner { "inside" } else { "outside" };
        let subject_name = format!("{}, mesh {side}", subject.panel_name(panel));
        let check = JobCheck::MeshSeat;
        let finding = if let Some(other) = under {
            Finding::plain(check, subject_name, Status::Refused)
                .advice(format!("it would lie under the {}: move the vent away from it", panels[other].name))
        } else if past_the_edge {
            Finding::plain(check, subject_name, Status::Refused)
                .advice("it reaches over the panel's edge: move the vent further in, or make it smaller")
        } else {
            Finding::plain(check, subject_name, Status::Ok)
        };
        findings.push(finding.source(PRACTICE).at(fitting.spot.clone()));
    }
    findings
}

/// Rain gets into a nest box, and young birds wet it from inside.
fn drains(subject: &Subject) -> Option<Finding> {
    subject.assembly.occupant.as_ref().filter(|occupant| occupant.floor.is_some())?;
    let drains = subject.assembly.panels.iter().flat_map(|panel| &panel.holes);
    let count = drains.filter(|hole| hole.use_ == HoleUse::Drain).count();
    Some(
        Finding::measured(
            JobCheck::DrainHoles,
            &subject.assembly.name,
            Measure::Count(count as f64),
            Limits::at_least(1.0),
            Status::Caution,
        )
        .source("US Fish & Wildlife Service, \"For the Birds\" (2001): holes of 1/4 in drilled in the floor")
        .advice_unless_ok(|| "the floor stays wet: add a [[box.hole]] in the floor with use = \"drain\"".into()),
    )
}
