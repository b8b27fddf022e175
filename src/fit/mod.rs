//! Checks on assemblies: does it fit the animal, does it fit together, is every hole free?
//!
//! A check measures the panels as they stand; it does not repeat the design's arithmetic. A new check is a function from
//! a [`Subject`] to findings, and a line in `CHECKS`.

mod cavity;
mod frames;
mod holes;
mod space;

pub use space::{Solid, clear};

use crate::design::{Assembly, Contact, Surface, contacts};
use crate::finding::{Finding, Theme};
use crate::job::Job;

/// An assembly and what is derived from it, ready to be checked.
pub struct Subject<'a> {
    pub job: &'a Job,
    pub assembly: &'a Assembly,
    pub contacts: Vec<Contact>,
    /// The surfaces of each panel.
    pub surfaces: Vec<Vec<Surface>>,
}

impl<'a> Subject<'a> {
    pub fn new(job: &'a Job, assembly: &'a Assembly) -> Subject<'a> {
        Subject {
            job,
            assembly,
            contacts: contacts(&assembly.panels),
            surfaces: assembly.panels.iter().map(crate::design::Panel::surfaces).collect(),
        }
    }

    /// `nuc, front`; of a loose part only its name.
    fn panel_name(&self, panel: &crate::design::Panel) -> String {
        if self.assembly.loose { panel.name.clone() } else { format!("{}, {}", self.assembly.name, panel.name) }
    }

    /// Free way from a solid to the nearest panel, see [`clear`].
    fn clear(&self, solid: &Solid, direction: glam::DVec3) -> Option<(f64, &'a str)> {
        clear(&self.surfaces, solid, direction).map(|(way, panel)| (way, self.assembly.panels[panel].name.as_str()))
    }
}

type Check = fn(&Subject) -> Vec<Finding>;

/// What is measured on every assembly, and what it is about.
const CHECKS: [(Theme, Check); 3] =
    [(Theme::Frames, frames::check), (Theme::Cavity, cavity::check), (Theme::Holes, holes::check)];

/// Every check on every assembly.
pub fn check(job: &Job, assemblies: &[Assembly]) -> Vec<Finding> {
    assemblies.iter().flat_map(|assembly| check_one(&Subject::new(job, assembly))).collect()
}

fn check_one(subject: &Subject) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (theme, check) in CHECKS {
        findings.extend(check(subject).into_iter().map(|finding| Finding {
            theme,
            box_name: Some(subject.assembly.name.clone()),
            ..finding
        }));
    }
    findings
}
