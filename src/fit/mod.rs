//! Checks on assemblies: does it fit the animal, does it fit together, is every hole free?
//!
//! A check measures the panels as they stand; it does not repeat the design's arithmetic. A new check is a function from
//! a [`Subject`] to findings, and a line in `CHECKS`; one file per theme.

mod boards;
mod cavity;
mod cover;
mod entrance;
mod fasteners;
mod frames;
mod grain;
mod holes;
mod joints;
mod lugs;
mod moved;
mod seasons;
mod space;
mod stack;
mod stock;
mod strength;
mod thickness;
mod ventilation;
mod weight;

pub use grain::glued_too_far_across;
pub use space::{Solid, clear};
pub use strength::{lateral, withdrawal};

use crate::design::{Assembly, Cavity, Contact, Joint, Panel, Surface, contacts_of, joints};
use crate::finding::{Finding, JobCheck, Theme};
use crate::job::{Job, Moisture};
use crate::profile::Wood;
use glam::DVec3;
use rayon::prelude::*;
use std::cell::OnceCell;

/// The source of limits that nobody has published.
const PRACTICE: &str = "common practice";

/// An assembly and what is derived from it, ready to be checked.
pub struct Subject<'a> {
    pub job: &'a Job,
    pub assembly: &'a Assembly,
    pub contacts: Vec<Contact>,
    pub joints: Vec<Joint>,
    /// The surfaces of each panel.
    pub surfaces: Vec<Vec<Surface>>,
    cavity: OnceCell<Option<Cavity>>,
}

impl<'a> Subject<'a> {
    pub fn new(job: &'a Job, assembly: &'a Assembly) -> Subject<'a> {
        let surfaces: Vec<Vec<Surface>> = assembly.panels.iter().map(Panel::surfaces).collect();
        let contacts = contacts_of(&surfaces);
        Subject { job, assembly, joints: joints(assembly, &contacts), contacts, surfaces, cavity: OnceCell::new() }
    }

    /// The solid wood that a panel is made of, and how damp it is.
    fn wood(&self, panel: &Panel) -> Option<(&'a Wood, &'a Moisture)> {
        let stock = self.job.stock.get(self.assembly.stock_of(panel))?;
        stock.material.wood.as_ref().zip(stock.moisture.as_ref())
    }

    /// What the box encloses.
    pub fn cavity(&self) -> Option<&Cavity> {
        self.cavity.get_or_init(|| Cavity::of(self.assembly)).as_ref()
    }

    /// `nuc, front`; of a loose part only its name.
    fn panel_name(&self, panel: &Panel) -> String {
        self.assembly.called(panel)
    }

    /// Free distance from a solid to the nearest panel, see [`clear`].
    fn clear(&self, solid: &Solid, direction: DVec3) -> Option<(f64, &'a str)> {
        clear(&self.surfaces, solid, direction).map(|(free, panel)| (free, self.assembly.panels[panel].name.as_str()))
    }

    /// z of the highest edge of the box itself, without what comes off it.
    fn upper_edge(&self) -> f64 {
        self.box_corners().map(|corner| corner.z).fold(f64::NEG_INFINITY, f64::max)
    }

    /// z of the lowest.
    fn lower_edge(&self) -> f64 {
        self.box_corners().map(|corner| corner.z).fold(f64::INFINITY, f64::min)
    }

    /// The corners of every surface of the box itself, without legs and what else is added.
    fn box_corners(&self) -> impl Iterator<Item = DVec3> + '_ {
        let all = self.assembly.panels.iter().zip(&self.surfaces);
        let own = all.filter(|(panel, _)| panel.sub_assembly.is_empty() && panel.added.is_none());
        own.flat_map(|(_, surfaces)| surfaces).flat_map(Surface::corners)
    }

    /// The sub-assemblies by name, the box itself first.
    fn sub_assemblies(&self) -> Vec<&'a str> {
        let mut names = vec![""];
        for panel in &self.assembly.panels {
            if !names.contains(&panel.sub_assembly.as_str()) {
                names.push(&panel.sub_assembly);
            }
        }
        names
    }

    /// The wood as it is in stock, or as a check wants to try it (mm).
    fn thickness(&self) -> f64 {
        self.assembly.panels.first().map_or(0.0, |panel| panel.thickness)
    }
}

type Check = fn(&Subject) -> Vec<Finding>;

/// What is measured on every assembly, what it is about, and whether it is worth trying at other thicknesses.
const CHECKS: [(Theme, Check, bool); 15] = [
    (Theme::Frames, frames::check, true),
    (Theme::Frames, lugs::check, true),
    (Theme::Joints, boards::check, true),
    (Theme::Cover, cover::check, true),
    (Theme::Cavity, cavity::check, false),
    (Theme::Entrance, entrance::check, false),
    (Theme::Ventilation, ventilation::check, false),
    (Theme::Holes, holes::check, true),
    (Theme::Joints, joints::check, true),
    (Theme::Joints, joints::refusals, true),
    (Theme::Fasteners, fasteners::check, false),
    (Theme::Fasteners, strength::check, false),
    (Theme::Wood, grain::check, false),
    (Theme::Wood, seasons::movement, false),
    (Theme::Weight, weight::check, false),
];

/// Every check on every assembly, and on the job as a whole.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("nuc").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// use nestwright::{finding::JobCheck, fit};
///
/// let findings = fit::check(&checked.job, &checked.assemblies);
/// let bee_space = findings.iter().filter(|finding| finding.id == JobCheck::BeeSpaceEnds.into());
/// assert!(bee_space.clone().count() > 0 && bee_space.clone().all(|finding| !finding.source.is_empty()));
/// # Ok::<(), nestwright::error::Error>(())
/// ```
pub fn check(job: &Job, assemblies: &[Assembly]) -> Vec<Finding> {
    checked(job, assemblies, true)
}

/// The same for the boards as they are, without what other thicknesses would do: a fraction of the work.
pub fn measure(job: &Job, assemblies: &[Assembly]) -> Vec<Finding> {
    checked(job, assemblies, false)
}

fn checked(job: &Job, assemblies: &[Assembly], in_other_stock: bool) -> Vec<Finding> {
    // Each box by itself first, as many at once as the machine has cores.
    let alone: Vec<(Subject, Vec<Finding>)> = assemblies
        .par_iter()
        .enumerate()
        .map(|(i, assembly)| {
            let subject = Subject::new(job, assembly);
            let findings = run(&subject, false);
            let findings = match job.boxes.get(i).filter(|_| in_other_stock) {
                Some(order) => thickness::check(&subject, order, findings),
                None => findings,
            };
            (subject, findings)
        })
        .collect();
    let (subjects, alone): (Vec<Subject>, Vec<Vec<Finding>>) = alone.into_iter().unzip();
    let mut findings = Vec::new();
    let mut by_box: Vec<Vec<Finding>> = Vec::new();
    for (i, mut own) in alone.into_iter().enumerate() {
        own.extend(of(&subjects[i], Theme::Stack, stack::check(&subjects, i)));
        by_box.push(own);
    }
    let over_a_year = if in_other_stock { seasons::check(job, &subjects, &by_box) } else { Vec::new() };
    findings.extend(by_box.into_iter().flatten());
    findings.extend(over_a_year);
    entrance::once_a_job(&mut findings);
    findings.extend(stock::check(job, assemblies));
    findings
}

/// The checks on one assembly; only those that its thickness may change, if `sweeping`.
fn run(subject: &Subject, sweeping: bool) -> Vec<Finding> {
    let checks = CHECKS.iter().filter(|(_, _, sweeps)| *sweeps || !sweeping);
    let mut findings: Vec<Finding> = checks.flat_map(|(theme, check, _)| of(subject, *theme, check(subject))).collect();
    // What the design itself cannot have is told once. How the panels then run into each other tells a maker nothing.
    let own = &subject.assembly.refusals;
    let unbuildable = own.iter().any(|refusal| refusal.subject == subject.assembly.name);
    if unbuildable {
        let follows = |finding: &Finding| {
            let about_panels = FOLLOWS.iter().any(|check| finding.id == (*check).into());
            about_panels && own.iter().all(|refusal| refusal.check != finding.check)
        };
        findings.retain(|finding| !(finding.refused() && follows(finding)));
    }
    findings
}

/// Checks that fail because a rest or a corner cannot be cut, beside the refusal that says so.
const FOLLOWS: [JobCheck; 7] = [
    JobCheck::LugBearing,
    JobCheck::LugPlay,
    JobCheck::FramesLift,
    JobCheck::PartsApart,
    JobCheck::PartsHeld,
    JobCheck::PartsGoTogether,
    JobCheck::WoodUnderRecess,
];

/// The findings, with what they are about.
fn of(subject: &Subject, theme: Theme, findings: Vec<Finding>) -> Vec<Finding> {
    let box_name = Some(subject.assembly.name.clone());
    findings.into_iter().map(|finding| Finding { theme, box_name: box_name.clone(), ..finding }).collect()
}
