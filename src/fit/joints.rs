//! Do the parts go together: nothing twice in one place, nothing left in the air, enough wood beside every recess?

use super::{PRACTICE, Subject};
use crate::design::{JointKind, Panel, order};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Layer, Place, Rect, section};
use geo::{BooleanOps, BoundingRect};

/// Two parts may share a film of wood: the allowance of a tight joint (mm).
const SHARED: f64 = 0.3;
/// Least wood under a recess (mm), and as a share of the thickness.
const LEFT_LEAST: f64 = 3.0;
const LEFT_SHARE: f64 = 1.0 / 3.0;
/// A cleat glued over an edge wants this much of it.
const LAP_LEAST: f64 = 12.0;
/// A roof board that is held over a smaller share of its length or width than this works loose.
const HELD: f64 = 0.3;

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    if subject.assembly.panels.len() < 2 {
        return recesses(subject);
    }
    let mut findings = vec![clashes(subject)];
    findings.extend(together(subject));
    findings.extend(laps(subject));
    findings.extend(roofs(subject));
    findings.extend(recesses(subject));
    findings
}

/// What the design itself says cannot be built.
pub(super) fn refusals(subject: &Subject) -> Vec<Finding> {
    subject.assembly.refusals.clone()
}

/// No two parts fill the same space.
fn clashes(subject: &Subject) -> Finding {
    let panels = &subject.assembly.panels;
    let layers: Vec<Vec<Layer>> = panels.iter().map(Panel::layers).collect();
    let mut worst: Option<(f64, usize, usize)> = None;
    for a in 0..panels.len() {
        for b in (0..panels.len()).filter(|b| *b != a) {
            let shared = shared(&layers, panels, a, b);
            if shared > SHARED && worst.is_none_or(|(known, ..)| shared > known) {
                worst = Some((shared, a.min(b), a.max(b)));
            }
        }
    }
    let finding = Finding::measured(
        JobCheck::PartsApart,
        &subject.assembly.name,
        Measure::Thickness(worst.map_or(0.0, |(shared, ..)| shared)),
        Limits::at_most(SHARED),
        Status::Refused,
    );
    let added = worst.and_then(|(_, a, b)| panels[b].added.clone().or_else(|| panels[a].added.clone()));
    finding.source(PRACTICE).at(added).advice_unless_ok(|| {
        worst.map_or(String::new(), |(_, a, b)| {
            format!(
                "the {} and the {} run into each other: change the size that brings them together",
                panels[a].name, panels[b].name
            )
        })
    })
}

/// How wide the wood of `b` is that stands in the slices of `a` (mm).
fn shared(layers: &[Vec<Layer>], panels: &[Panel], a: usize, b: usize) -> f64 {
    let (on, other) = (&panels[a], &panels[b]);
    if !may_meet(on, other) {
        return 0.0;
    }
    let mut worst: f64 = 0.0;
    for layer in &layers[a] {
        let (top, foot) = (layer.top - SHARED, layer.foot + SHARED);
        for w in [top, f64::midpoint(top, foot), foot] {
            let place = Place { origin: on.place.origin + on.place.normal() * w, ..on.place };
            let cut = section(&layers[b], &other.place, &place);
            if cut.0.is_empty() {
                continue;
            }
            for patch in &layer.region.intersection(&cut) {
                worst = worst.max(crate::design::patch_width(patch));
            }
        }
    }
    worst
}

/// Do the upright blocks around two panels share more than a film?
fn may_meet(a: &Panel, b: &Panel) -> bool {
    let (a, b) = (a.bounds(), b.bounds());
    (a.0 + SHARED).cmplt(b.1).all() && (b.0 + SHARED).cmplt(a.1).all()
}

/// Every panel is held by its sub-assembly, and can come to its place.
fn together(subject: &Subject) -> Vec<Finding> {
    let mut findings = Vec::new();
    for name in subject.sub_assemblies() {
        let members: Vec<usize> =
            (0..subject.assembly.panels.len()).filter(|i| subject.assembly.panels[*i].sub_assembly == name).collect();
        if members.len() < 2 {
            continue;
        }
        let of =
            if name.is_empty() { subject.assembly.name.clone() } else { format!("{}, {name}", subject.assembly.name) };
        let loose: Vec<&str> = members
            .iter()
            .filter(|i| !subject.joints.iter().any(|joint| joint.glued && joint.other(**i).is_some()))
            .map(|i| subject.assembly.panels[*i].name.as_str())
            .collect();
        let status = if loose.is_empty() { Status::Ok } else { Status::Refused };
        findings.push(Finding::plain(JobCheck::PartsHeld, &of, status).source(PRACTICE).advice_unless_ok(|| {
            format!(
                "the {} {} nothing to be glued to: change the size that sets it apart",
                loose.join(" and the "),
                if loose.len() == 1 { "touches" } else { "touch" }
            )
        }));
        let order = order(subject.assembly, &subject.contacts, &subject.surfaces, name);
        let stuck: Vec<&str> = order.stuck.iter().map(|i| subject.assembly.panels[*i].name.as_str()).collect();
        let status = if stuck.is_empty() { Status::Ok } else { Status::Refused };
        findings.push(Finding::plain(JobCheck::PartsGoTogether, &of, status).source(PRACTICE).advice_unless_ok(|| {
            format!("none of these can come to its place along a straight line: {}", stuck.join(", "))
        }));
    }
    findings
}

/// The narrowest lap of face on face.
fn laps(subject: &Subject) -> Option<Finding> {
    let laps = subject.joints.iter().filter(|joint| joint.glued && joint.kind == JointKind::Lap);
    let narrowest = laps.min_by(|a, b| a.width.total_cmp(&b.width))?;
    let [a, b] = narrowest.panels.map(|i| subject.assembly.panels[i].name.as_str());
    Some(
        Finding::measured(
            JobCheck::CleatOverlap,
            &subject.assembly.name,
            Measure::Length(narrowest.width),
            Limits::at_least(LAP_LEAST),
            Status::Caution,
        )
        .source(format!("{PRACTICE}: about half an inch for glue and a row of nails"))
        .advice_unless_ok(|| {
            format!(
                "the {a} and the {b} have too little of each other to hold on: make the cleat wider (`rest-cleat`, \
                 `cover-cleat`)"
            )
        }),
    )
}

/// A roof that stays on is held over most of its length and of its width, not at one end.
fn roofs(subject: &Subject) -> Option<Finding> {
    let panels = &subject.assembly.panels;
    let leans = |panel: &Panel| panel.sub_assembly.is_empty() && (0.01..0.99).contains(&panel.place.normal().z);
    let held = |index: usize| {
        let under = subject.contacts.iter().filter(|contact| {
            // The other half of the roof does not hold it: that hangs on the same walls.
            contact.other(index).is_some_and(|other| panels[other].sub_assembly.is_empty() && !leans(&panels[other]))
        });
        let patches: Vec<Rect> = under
            .filter_map(|contact| contact.on_face(index, panels)?.1.bounding_rect())
            .map(|patch| Rect::new(patch.min().x, patch.min().y, patch.max().x, patch.max().y))
            .collect();
        let held = patches.iter().skip(1).fold(patches.first().copied().unwrap_or(Rect::ZERO), |a, b| a.union(*b));
        let whole = panels[index].outline.bounds();
        (held.width() / whole.width()).min(held.height() / whole.height())
    };
    let boards: Vec<usize> = (0..panels.len()).filter(|i| leans(&panels[*i])).collect();
    let worst = boards.into_iter().map(held).min_by(f64::total_cmp)?;
    let status = if worst < HELD { Status::Caution } else { Status::Ok };
    let finding = Finding::plain(JobCheck::RoofHeld, &subject.assembly.name, status);
    Some(finding.source(PRACTICE).advice_unless_ok(|| {
        "only one wall has glue under it: let another wall be the door (`access`), or plane the upper edges of the walls \
         beside to the roof's slope and nail it there as well"
            .into()
    }))
}

/// Wood left under pockets, grooves and rabbets.
fn recesses(subject: &Subject) -> Vec<Finding> {
    let mut findings = Vec::new();
    for panel in &subject.assembly.panels {
        for pocket in &panel.pockets {
            let left = panel.thickness - pocket.depth;
            let least = LEFT_LEAST.max(panel.thickness * LEFT_SHARE);
            findings.push(
                Finding::measured(
                    JobCheck::WoodUnderRecess,
                    subject.panel_name(panel),
                    Measure::Length(left),
                    Limits::at_least(least),
                    if left < LEFT_LEAST { Status::Refused } else { Status::Caution },
                )
                .worded(format!("wood left under the {}", pocket.purpose))
                .source(format!("{PRACTICE}: a third of the thickness, and never under 3 mm"))
                .advice_unless_ok(|| "the wood left breaks: make the recess shallower, or use thicker stock".into()),
            );
        }
    }
    findings
}
