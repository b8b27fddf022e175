//! The steps of a box.

use super::drive::Drive;
use super::turning::cut_from_both;
use super::{pose, words};
use crate::design::{Assembly, Blocked, Contact, Joint, Panel, Surface, wiped};
use crate::fit::glued_too_far_across;
use crate::job::Job;
use crate::joining::{Driven, Joining, Opening};
use crate::supply::outside_area;
use crate::units::decimal;
use glam::DVec3;
use schemars::JsonSchema;
use serde::Serialize;

/// All steps of one box.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BoxSteps {
    #[serde(rename = "box")]
    pub box_name: String,
    pub count: u32,
    /// Names of its panels; the steps refer to them by place in this list.
    pub panels: Vec<String>,
    /// Names of what is fixed on that is not wood; the steps refer to them by place in this list.
    pub fittings: Vec<String>,
    pub cautions: Vec<String>,
    pub steps: Vec<Step>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum StepKind {
    /// The first part of a sub-assembly is laid on the bench.
    Lay,
    Glue,
    /// Something that is not wood is fixed on.
    Fit,
    /// A sub-assembly goes on or into the box, without glue.
    Place,
    Paint,
}

/// One thing to do.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Step {
    /// From 1 on, through the whole box.
    pub number: usize,
    pub kind: StepKind,
    /// Which sub-assembly it belongs to: empty for the box itself.
    pub sub_assembly: String,
    /// Panels that are added, by place in the box's list.
    pub adds: Vec<usize>,
    /// Panels they are glued to or laid on.
    pub onto: Vec<usize>,
    /// Fittings that are fixed on, by place in the box's list.
    pub fittings: Vec<usize>,
    /// Which way they move as they come, in the box's frame.
    #[serde(rename = "way", skip_serializing_if = "Option::is_none")]
    pub direction: Option<[f64; 3]>,
    pub glue: Vec<GlueLine>,
    pub fasteners: u32,
    /// How the work lies, from before the step to its end: each time the direction of the box's frame that is up. Between
    /// two of them it is turned, and the text says so. None where the step is about a single board, or about no pose.
    pub poses: Vec<[f64; 3]>,
    /// What is driven, in order.
    pub drives: Vec<Drive>,
    /// The step that this one repeats on another side of the work.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub like: Option<usize>,
    /// Sentences, in order.
    pub text: Vec<String>,
}

/// A glue line between an added panel and one that is there.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct GlueLine {
    pub part: usize,
    pub onto: usize,
    /// What touches what: `left edge` on `inner face`.
    pub surface: String,
    pub onto_surface: String,
    /// Millimetres along it, and square millimetres.
    pub length: f64,
    pub area: f64,
}

/// The steps of every box of a job.
pub fn steps(job: &Job, assemblies: &[Assembly]) -> Vec<BoxSteps> {
    assemblies.iter().filter(|assembly| !assembly.loose).map(|assembly| Planner::new(job, assembly).plan()).collect()
}

pub(super) struct Planner<'a> {
    pub(super) job: &'a Job,
    pub(super) assembly: &'a Assembly,
    pub(super) contacts: Vec<Contact>,
    pub(super) joints: Vec<Joint>,
    pub(super) surfaces: Vec<Vec<Surface>>,
    /// What fasteners keep clear of.
    pub(super) openings: Vec<Opening>,
    /// Of each joint.
    pub(super) fasteners: Vec<Option<Driven<'a>>>,
    /// Pairs of panels that are glued too far across the grain.
    pub(super) across_grain: Vec<[usize; 2]>,
    pub(super) thickness: f64,
    /// The sub-assembly's ring of walls is closed, and was squared.
    pub(super) squared: bool,
    /// Which direction of the box's frame is up, as the sub-assembly lies that is being glued up.
    pub(super) up: DVec3,
    pub(super) cloth_is_laid: bool,
    pub(super) steps: Vec<Step>,
}

impl<'a> Planner<'a> {
    fn new(job: &'a Job, assembly: &'a Assembly) -> Planner<'a> {
        let Joining { contacts, joints, openings, fasteners } = Joining::of(&job.hardware, assembly);
        let thickness = assembly.panels.first().map_or(0.0, |panel| panel.thickness);
        Planner {
            job,
            assembly,
            fasteners,
            across_grain: glued_too_far_across(job, assembly),
            joints,
            openings,
            contacts,
            surfaces: assembly.panels.iter().map(Panel::surfaces).collect(),
            thickness,
            squared: false,
            up: pose::UPRIGHT,
            cloth_is_laid: false,
            steps: Vec::new(),
        }
    }

    fn plan(mut self) -> BoxSteps {
        let mut names: Vec<&'a str> = Vec::new();
        for panel in &self.assembly.panels {
            if !names.contains(&panel.sub_assembly.as_str()) {
                names.push(&panel.sub_assembly);
            }
        }
        let mut standing = pose::UPRIGHT;
        for name in &names {
            self.up = pose::UPRIGHT;
            self.glue_up(name);
            if name.is_empty() {
                standing = self.up;
            }
        }
        self.up = standing;
        self.put_in_place(&names);
        self.lay_cloth();
        self.fit_hardware();
        self.paint();
        let mut cautions = vec![
            "Wear eye and hearing protection. Each tool's manual, local rules and qualified practice come before this page."
                .into(),
            "Let each glue line set, or hold it with fasteners, before the next one loads it.".into(),
        ];
        if self.job.hardware.fastener_for(self.thickness).is_some() {
            cautions.insert(1, "Keep the other hand out of the line of the fastener.".into());
        }
        cautions.extend(cut_from_both(self.assembly));
        BoxSteps {
            box_name: self.assembly.name.clone(),
            count: self.assembly.count,
            panels: self.assembly.panels.iter().map(|panel| panel.name.clone()).collect(),
            fittings: self.assembly.fittings.iter().map(|fitting| fitting.called(self.job.units)).collect(),
            cautions,
            steps: self.steps,
        }
    }

    pub(super) fn add(&mut self, kind: StepKind, sub_assembly: &str, adds: Vec<usize>, text: Vec<String>) -> &mut Step {
        let number = self.steps.len() + 1;
        self.steps.push(Step {
            number,
            kind,
            sub_assembly: sub_assembly.into(),
            adds,
            onto: Vec::new(),
            fittings: Vec::new(),
            direction: None,
            glue: Vec::new(),
            fasteners: 0,
            poses: Vec::new(),
            drives: Vec::new(),
            like: None,
            text,
        });
        &mut self.steps[number - 1]
    }

    /// What comes off the box goes to its place, in an order in which nothing blocks anything.
    fn put_in_place(&mut self, names: &[&str]) {
        let bodies: Vec<Vec<Surface>> = names
            .iter()
            .map(|name| {
                let own = self.assembly.panels.iter().zip(&self.surfaces);
                own.filter(|(panel, _)| panel.sub_assembly == *name).flat_map(|(_, list)| list.clone()).collect()
            })
            .collect();
        let axes = [DVec3::Z, DVec3::NEG_Y, DVec3::Y, DVec3::X, DVec3::NEG_X, DVec3::NEG_Z];
        let exits: Vec<Blocked> = axes.into_iter().map(|axis| Blocked::along(&bodies, axis)).collect();
        let mut standing: Vec<usize> = (0..names.len()).collect();
        let mut leaving: Vec<(usize, DVec3)> = Vec::new();
        loop {
            // The box itself stays.
            let next = standing.iter().rev().filter(|body| !names[**body].is_empty()).find_map(|body| {
                let rest = || standing.iter().copied().filter(|other| other != body);
                let free = exits.iter().filter(|exit| exit.is_free(*body, rest()));
                let slides = |exit: &&Blocked| wiped(self.touching(names[*body]), exit.direction);
                free.min_by(|a, b| slides(a).total_cmp(&slides(b))).map(|exit| (*body, exit.direction))
            });
            let Some((body, direction)) = next else { break };
            standing.retain(|other| *other != body);
            leaving.push((body, -direction));
        }
        let box_top = self.top("");
        for (body, direction) in leaving.into_iter().rev() {
            let name = names[body];
            if self.top(name) > box_top {
                self.lay_cloth();
            }
            let adds: Vec<usize> =
                (0..self.assembly.panels.len()).filter(|i| self.assembly.panels[*i].sub_assembly == name).collect();
            // A door reaches up between the walls of a box: the box stands on its head for it. A floor does not.
            let from = words::coming_from(direction);
            let head = from == "from below" && self.top(name) > self.foot("") + 1.0;
            let before = self.up;
            self.up = if head { -pose::UPRIGHT } else { pose::UPRIGHT };
            let mut text = Vec::new();
            if before != self.up {
                text.push(pose::turn("the box", before, self.up));
            }
            text.push(match from {
                "from below" if head => format!("Push the {name} down into its place, without glue."),
                "from below" => format!("Set the box on the {name}, without glue."),
                "from above" => {
                    format!("Set the {name} in its place from above, with as much play on either side, without glue.")
                }
                from => format!("Push the {name} in {from}, without glue."),
            });
            let mut poses = vec![tidy(before), tidy(self.up)];
            poses.dedup();
            let step = self.add(StepKind::Place, name, adds, text);
            (step.direction, step.poses) = (Some(tidy(direction)), poses);
        }
    }

    /// What a sub-assembly has of others.
    fn touching<'b>(&'b self, name: &'b str) -> impl Iterator<Item = &'b Contact> {
        let of = move |panel: usize| self.assembly.panels[panel].sub_assembly == name;
        self.contacts.iter().filter(move |contact| of(contact.panels[0]) != of(contact.panels[1]))
    }

    /// z of a sub-assembly's highest point.
    fn top(&self, name: &str) -> f64 {
        let own = self.assembly.panels.iter().filter(|panel| panel.sub_assembly == name);
        own.map(|panel| panel.bounds().1.z).fold(f64::NEG_INFINITY, f64::max)
    }

    /// z of its lowest.
    fn foot(&self, name: &str) -> f64 {
        let own = self.assembly.panels.iter().filter(|panel| panel.sub_assembly == name);
        own.map(|panel| panel.bounds().0.z).fold(f64::INFINITY, f64::min)
    }

    /// Stands the box as it stands in use: the sentence that says so, if it lay, and the poses.
    pub(super) fn stand_up(&mut self) -> (Option<String>, Vec<[f64; 3]>) {
        let before = std::mem::replace(&mut self.up, pose::UPRIGHT);
        let said = (before != self.up).then(|| pose::turn("the box", before, self.up));
        let mut poses = vec![tidy(before), tidy(self.up)];
        poses.dedup();
        (said, poses)
    }

    fn paint(&mut self) {
        let area = outside_area(self.assembly, &self.contacts, &self.surfaces);
        let coats = self.job.hardware.coats;
        let (stand, poses) = self.stand_up();
        let mut text: Vec<String> = stand.into_iter().collect();
        text.extend(if coats == 0 {
            vec!["Leave the inside bare wood.".into()]
        } else {
            let area = match self.job.units {
                crate::units::Units::Millimetres => format!("{} m²", decimal(area * 1e-6, 2)),
                crate::units::Units::Inches => format!("{} sq ft", decimal(area / 92_903.04, 1)),
            };
            let coats = if coats == 1 { "one coat".into() } else { format!("{coats} coats") };
            vec![format!("Paint or stain the outside only, {area}, {coats}. The inside stays bare wood.")]
        });
        self.add(StepKind::Paint, "", vec![], text).poses = poses;
    }
}

/// A direction without the dust of its arithmetic.
pub(super) fn tidy(direction: DVec3) -> [f64; 3] {
    direction.to_array().map(|v| (v * 1e6).round() / 1e6 + 0.0)
}
