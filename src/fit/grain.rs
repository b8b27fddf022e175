//! Solid wood: what is cut across short grain breaks out, and glue across the grain gives way as the wood moves.

use super::{PRACTICE, Subject};
use crate::design::{Assembly, Contact, Joint, JointKind, Panel, SurfaceKind};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::Rect;
use crate::job::Job;
use geo::BoundingRect;
use glam::DVec3;

/// Glue gives by about this much over a year (mm): what 4 in of oak move, the most that is glued across the grain; by more, one
/// of the two splits.
const GIVES: f64 = 2.0;
/// Directions this near to each other are the same: the cosine of about 25 degrees.
const ALONG: f64 = 0.9;
/// A surface at the height of the lugs' rest is it (mm).
const AT_REST: f64 = 0.1;

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    if subject.assembly.panels.iter().all(|panel| subject.wood(panel).is_none()) {
        return Vec::new();
    }
    let mut findings = corners(subject);
    findings.extend(rest(subject));
    findings.extend(glued_across(subject));
    findings
}

/// Fingers, and the lips of rabbets, in walls whose grain runs along the corner instead of towards it.
fn corners(subject: &Subject) -> Vec<Finding> {
    let panels = &subject.assembly.panels;
    let mut cut = 0;
    let mut short: Vec<(&Panel, JointKind)> = Vec::new();
    for joint in subject.joints.iter().filter(|joint| joint.glued) {
        let [a, b] = joint.panels.map(|i| &panels[i]);
        let line = a.place.normal().cross(b.place.normal());
        if !a.is_upright() || !b.is_upright() || line.z.abs() < ALONG {
            continue;
        }
        for index in joint.panels.into_iter().filter(|index| is_cut(subject, joint, *index)) {
            cut += 1;
            let panel = &panels[index];
            let along = subject.wood(panel).and(panel.along_and_across()).map(|(along, _)| along.dot(line).abs());
            if along.is_some_and(|along| along > ALONG) && !short.iter().any(|(known, _)| known.family == panel.family)
            {
                short.push((panel, joint.kind));
            }
        }
    }
    if cut > 0 && short.is_empty() {
        return vec![Finding::plain(JobCheck::ShortGrain, &subject.assembly.name, Status::Ok).source(PRACTICE)];
    }
    let finding = |(panel, kind): (&Panel, JointKind)| {
        let fingers = kind == JointKind::Finger;
        let status = if fingers { Status::Refused } else { Status::Caution };
        let what = if fingers { "its fingers are" } else { "the lip of its rabbet is" };
        Finding::plain(JobCheck::ShortGrain, subject.panel_name(panel), status).source(PRACTICE).advice(format!(
            "its grain runs up, so {what} short grain and breaks off: let it run along the wall, panel-grain = \
             {{ {} = \"across\" }}",
            key(&panel.family)
        ))
    };
    short.into_iter().map(finding).collect()
}

/// A panel's name as a key of a spec.
fn key(name: &str) -> String {
    if name.contains(' ') { format!("\"{name}\"") } else { name.into() }
}

/// Is the joint cut into this panel: as fingers, or as a rabbet along its edge?
fn is_cut(subject: &Subject, joint: &Joint, index: usize) -> bool {
    if joint.kind == JointKind::Finger {
        return true;
    }
    let panel = &subject.assembly.panels[index];
    let whole = panel.outline.bounds();
    joint.contacts.iter().any(|contact| match subject.contacts[*contact].surface_of(index) {
        Some(SurfaceKind::PocketFloor(pocket)) => {
            let pocket = panel.pockets[pocket].outline.bounds();
            pocket.x0 < whole.x0 || pocket.x1 > whole.x1
        }
        _ => false,
    })
}

/// What the lugs lie on is not the end of a board.
fn rest(subject: &Subject) -> Option<Finding> {
    let frames = subject.assembly.frames.as_ref()?;
    let bears = |surface: &crate::design::Surface| {
        surface.normal().z > ALONG && (surface.place.origin.z - frames.rest).abs() < AT_REST
    };
    let rests = subject.assembly.panels.iter().zip(&subject.surfaces).filter(|(panel, surfaces)| {
        let faces_frames = panel.place.normal().y.abs() > ALONG || !panel.is_upright();
        panel.sub_assembly.is_empty() && faces_frames && surfaces.iter().any(bears) && subject.wood(panel).is_some()
    });
    let mut found = false;
    for (panel, _) in rests {
        found = true;
        if panel.along_and_across().is_some_and(|(along, _)| along.z.abs() > ALONG) {
            return Some(
                Finding::plain(JobCheck::RestGrain, subject.panel_name(panel), Status::Caution)
                    .source(PRACTICE)
                    .advice(format!(
                        "the lugs lie on end grain: it takes up water, and breaks out where frames are levered up. Let it \
                         run along the wall, panel-grain = {{ {} = \"across\" }}",
                        key(&panel.family)
                    )),
            );
        }
    }
    found.then(|| Finding::plain(JobCheck::RestGrain, &subject.assembly.name, Status::Ok).source(PRACTICE))
}

/// A glued joint over which one panel moves and the other does not: how far it reaches across the grain of the one that moves.
struct Across {
    /// The one that moves, and the one that holds it.
    panels: [usize; 2],
    /// Millimetres.
    reach: f64,
    /// By how much one moves against the other from the driest to the dampest (mm).
    slides: f64,
}

/// Glue over more of the grain than it holds: each panel that moves, with the joint where it does so most.
fn glued_across(subject: &Subject) -> Vec<Finding> {
    let mut worst: Vec<Across> = Vec::new();
    for contact in subject.contacts.iter().filter(|contact| subject.assembly.is_glued(contact)) {
        let Some(found) = across(subject, contact) else { continue };
        let family = |index: usize| &subject.assembly.panels[index].family;
        match worst.iter_mut().find(|known| family(known.panels[0]) == family(found.panels[0])) {
            Some(known) if known.slides < found.slides => *known = found,
            Some(_) => {}
            None => worst.push(found),
        }
    }
    let units = subject.job.units;
    let finding = |across: &Across| {
        let [moves, holds] = across.panels.map(|index| &subject.assembly.panels[index]);
        Finding::measured(
            JobCheck::GluedAcross,
            subject.panel_name(moves),
            Measure::Thickness(across.slides),
            Limits::at_most(GIVES),
            Status::Caution,
        )
        .source(format!("{PRACTICE}: glue across the grain over 4 in at most, which in oak slides by 2 mm over a year"))
        .advice_unless_ok(|| {
            format!(
                "it is glued {} wide across its grain to the {}, which does not move with it: glue a hand's width in the \
                 middle only and nail the rest, turn the grain of one with `panel-grain`, or make it of plywood",
                units.show(across.reach),
                holds.name
            )
        })
    };
    let wide: Vec<&Across> = worst.iter().filter(|across| across.slides > GIVES).collect();
    match (wide.is_empty(), worst.iter().max_by(|a, b| a.slides.total_cmp(&b.slides))) {
        (false, _) => wide.into_iter().map(finding).collect(),
        (true, Some(most)) => vec![finding(most)],
        (true, None) => Vec::new(),
    }
}

/// Pairs of panels that are glued over more of the grain than glue holds: the one that moves, and the one that holds it.
pub fn glued_too_far_across(job: &Job, assembly: &Assembly) -> Vec<[usize; 2]> {
    // Most boxes are of plywood, and need no contacts for that.
    if assembly.panels.iter().all(|panel| job.stock[assembly.stock_of(panel)].material.wood.is_none()) {
        return Vec::new();
    }
    let subject = Subject::new(job, assembly);
    let glued = subject.contacts.iter().filter(|contact| assembly.is_glued(contact));
    let far = glued.filter_map(|contact| across(&subject, contact)).filter(|across| across.slides > GIVES);
    far.map(|across| across.panels).collect()
}

fn across(subject: &Subject, contact: &Contact) -> Option<Across> {
    let bounds = contact.region.bounding_rect()?;
    let bounds = Rect::new(bounds.min().x, bounds.min().y, bounds.max().x, bounds.max().y);
    let moves = contact.panels.map(|index| &subject.assembly.panels[index]).map(|panel| panel_moves(subject, panel));
    let sides = [(contact.place.u, bounds.width()), (contact.place.v, bounds.height())];
    sides
        .into_iter()
        .filter_map(|(direction, reach)| {
            let [a, b] = [moves[0](direction)?, moves[1](direction)?];
            let [first, second] = contact.panels;
            let panels = if a > b { [first, second] } else { [second, first] };
            // Two that move alike keep together.
            (a.max(b) > 2.0 * a.min(b)).then_some(Across { panels, reach, slides: reach * (a - b).abs() })
        })
        .max_by(|a, b| a.slides.total_cmp(&b.slides))
}

/// The share of its size by which a panel moves in a direction over the year; `None` in a direction askew to its grain.
fn panel_moves<'a>(subject: &Subject, panel: &'a Panel) -> impl Fn(DVec3) -> Option<f64> + 'a {
    let wood = subject.wood(panel).map(|(wood, moisture)| {
        let [driest, dampest] = moisture.season;
        let [radial, tangential] = wood.movement.value;
        [radial * (dampest - driest), tangential * (dampest - driest)]
    });
    move |direction| {
        let Some([radial, tangential]) = wood else { return Some(0.0) };
        let (along, across) = panel.along_and_across()?;
        let shares = [(along, 0.0), (across, tangential), (panel.place.normal(), radial)];
        shares.into_iter().find(|(axis, _)| axis.dot(direction).abs() > ALONG).map(|(_, share)| share)
    }
}
