//! The steps of a box.

use super::turning::cut_from_both;
use super::{flush, words};
use crate::design::{
    Assembly, Blocked, Contact, Face, Joint, Panel, Placing, Surface, SurfaceKind, contacts, joints, order, wiped,
};
use crate::job::{CLINCHED_FROM, FLUSH, Job};
use crate::profile::{Fastener, FastenerKind};
use crate::supply::{fasteners_in, outside_area};
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
    contacts: Vec<Contact>,
    joints: Vec<Joint>,
    surfaces: Vec<Vec<Surface>>,
    thickness: f64,
    /// The sub-assembly's ring of walls is closed, and was squared.
    squared: bool,
    pub(super) cloth_is_laid: bool,
    steps: Vec<Step>,
}

impl<'a> Planner<'a> {
    fn new(job: &'a Job, assembly: &'a Assembly) -> Planner<'a> {
        let contacts = contacts(&assembly.panels);
        let thickness = assembly.panels.first().map_or(0.0, |panel| panel.thickness);
        Planner {
            job,
            assembly,
            joints: joints(assembly, &contacts),
            contacts,
            surfaces: assembly.panels.iter().map(Panel::surfaces).collect(),
            thickness,
            squared: false,
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
        for name in &names {
            self.glue_up(name);
        }
        self.put_in_place(&names);
        self.lay_cloth();
        self.fit_hardware();
        self.paint();
        let mut cautions =
            vec!["Let each glue line set, or hold it with fasteners, before the next one loads it.".into()];
        if self.job.hardware.fastener_for(self.thickness).is_some() {
            cautions.insert(
                0,
                "Wear eye protection and keep the other hand out of the line of the fastener; the tool's manual comes first."
                    .into(),
            );
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
            text,
        });
        &mut self.steps[number - 1]
    }

    /// The parts of one sub-assembly, from the first on the bench to the last.
    fn glue_up(&mut self, name: &str) {
        let order = order(self.assembly, &self.contacts, &self.surfaces, name);
        let mut there: Vec<usize> = Vec::new();
        self.squared = false;
        let mut rest = order.placings.as_slice();
        while let [first, more @ ..] = rest {
            let alike = more.iter().take_while(|next| self.go_together(&there, first, next)).count();
            let (group, after) = rest.split_at(1 + alike);
            rest = after;
            let adds: Vec<usize> = group.iter().map(|placing| placing.panel).collect();
            self.staple_mesh(name, &adds);
            if there.is_empty() {
                // A single board needs no laying out.
                if order.placings.len() > 1 {
                    let (lies, up) = (words::the(&self.assembly.panels, &adds), self.upper_on_the_bench(adds[0]));
                    self.add(StepKind::Lay, name, adds.clone(), vec![format!("Lay {lies} on the bench, {up} up.")]);
                }
            } else {
                self.glue_on(name, group, &there);
            }
            there.extend(adds);
        }
    }

    /// The face that the rest is glued to.
    fn upper_on_the_bench(&self, part: usize) -> String {
        let inner = self.surfaces[part].iter().find(|surface| surface.kind == SurfaceKind::Face(Face::Inner));
        inner.map_or_else(|| "inner face".into(), |surface| words::surface(&self.assembly.panels[part], surface))
    }

    fn onto(&self, part: usize, there: &[usize]) -> Vec<usize> {
        let glued = |other: &usize| self.contacts.iter().any(|contact| contact.other(part) == Some(*other));
        there.iter().copied().filter(glued).collect()
    }

    /// Are two placings one step: alike, or onto the same, and not onto each other?
    fn go_together(&self, there: &[usize], a: &Placing, b: &Placing) -> bool {
        let panels = &self.assembly.panels;
        !there.is_empty()
            && !self.contacts.iter().any(|contact| contact.other(a.panel) == Some(b.panel))
            && a.direction.dot(b.direction).abs() > 0.99
            && (panels[a.panel].family == panels[b.panel].family
                || self.onto(a.panel, there) == self.onto(b.panel, there))
    }

    fn glue_on(&mut self, name: &str, group: &[Placing], there: &[usize]) {
        let panels = &self.assembly.panels;
        let adds: Vec<usize> = group.iter().map(|placing| placing.panel).collect();
        let mut onto: Vec<usize> = adds.iter().flat_map(|part| self.onto(*part, there)).collect();
        onto.sort_unstable();
        onto.dedup();
        let mut glue = Vec::new();
        let mut text = vec![format!("Glue {} to {}.", words::the(panels, &adds), words::the(panels, &onto))];
        for part in &adds {
            let lines: Vec<&Contact> = self
                .contacts
                .iter()
                .filter(|contact| contact.other(*part).is_some_and(|other| there.contains(&other)))
                .filter(|contact| self.assembly.is_glued(contact))
                .collect();
            glue.extend(lines.iter().filter_map(|contact| self.glue_line(contact, *part)));
            // A part that lies flat on another is placed better by that than by a line it leans on.
            let flat: Vec<&Contact> = lines.iter().copied().filter(|contact| !contact.leans).collect();
            let by = if flat.is_empty() { &lines } else { &flat };
            let phrases = flush::phrases(self.assembly, &self.surfaces, by, *part, self.job.units);
            if !phrases.is_empty() {
                text.push(format!("Keep the {}: {}.", panels[*part].name, phrases.join("; ")));
            }
        }
        let square = self.square(&adds, &onto);
        text.extend(square);
        let own: Vec<&Joint> = self
            .joints
            .iter()
            .filter(|joint| joint.glued && adds.iter().any(|p| joint.other(*p).is_some_and(|o| there.contains(&o))))
            .collect();
        let (fasteners, words) = self.fasten(&own);
        text.extend(words);
        let edges = own.iter().filter(|_| fasteners > 0).flat_map(|joint| &joint.contacts).filter_map(|i| {
            let contact = &self.contacts[*i];
            let edge = contact.surfaces.iter().position(|surface| matches!(surface, SurfaceKind::Edge(_)));
            edge.filter(|_| contact.leans).map(|which| contact.panels[which])
        });
        let mut leaning: Vec<usize> = edges.collect();
        leaning.sort_unstable();
        leaning.dedup();
        if !leaning.is_empty() {
            let walls = words::the(panels, &leaning);
            text.push(format!(
                "Along {walls} the glue fills a wedge: drive in line with the wall, not square to the slope."
            ));
        }
        let direction = tidy(group[0].direction);
        let step = self.add(StepKind::Glue, name, adds, text);
        (step.onto, step.glue, step.direction, step.fasteners) = (onto, glue, Some(direction), fasteners);
    }

    fn glue_line(&self, contact: &Contact, part: usize) -> Option<GlueLine> {
        let onto = contact.other(part)?;
        let named = |panel: usize| {
            let kind = contact.surface_of(panel)?;
            let surface = self.surfaces[panel].iter().find(|surface| surface.kind == kind)?;
            Some(words::surface(&self.assembly.panels[panel], surface))
        };
        let joint = self.joints.iter().find(|joint| joint.other(part) == Some(onto))?;
        let round = |value: f64| (value * 100.0).round() / 100.0;
        Some(GlueLine {
            part,
            onto,
            surface: named(part)?,
            onto_surface: named(onto)?,
            length: round(joint.length),
            area: round(contact.area),
        })
    }

    /// What to check with a square.
    fn square(&mut self, adds: &[usize], onto: &[usize]) -> Option<String> {
        let upright = |panel: usize| self.assembly.panels[panel].place.normal().z.abs() < 0.1;
        let walls: Vec<usize> = onto.iter().copied().filter(|panel| upright(*panel)).collect();
        if !adds.iter().all(|panel| upright(*panel)) || walls.is_empty() {
            return None;
        }
        let across = |a: usize, b: usize| {
            let panels = &self.assembly.panels;
            panels[a].place.normal().dot(panels[b].place.normal()).abs() < 0.1
        };
        let closes = adds.iter().any(|part| walls.iter().filter(|wall| across(*part, **wall)).count() > 1);
        if self.squared {
            return None;
        }
        if closes {
            self.squared = true;
            return Some("Measure both diagonals: when they are equal the box is square.".into());
        }
        let corner = adds.iter().any(|part| walls.iter().any(|wall| across(*part, *wall)));
        corner.then(|| "Hold a square in each corner.".into())
    }

    fn fasten(&self, joints: &[&Joint]) -> (u32, Vec<String>) {
        // By fastener: how many, through which panels, and how far the worst comes out.
        let mut kinds: Vec<(&Fastener, u32, Vec<usize>, f64)> = Vec::new();
        for joint in joints {
            let Some(fastener) = self.job.hardware.fastener_for_joint(joint, self.thickness) else { continue };
            let count = fasteners_in(joint, fastener, self.job.hardware.spacing);
            if count == 0 {
                continue;
            }
            let at = kinds.iter().position(|(known, ..)| known.name == fastener.name).unwrap_or_else(|| {
                kinds.push((fastener, 0, Vec::new(), 0.0));
                kinds.len() - 1
            });
            let (_, all, through, out) = &mut kinds[at];
            *all += count;
            through.push(joint.through);
            *out = out.max(fastener.length.value - joint.outer_wood - joint.inner_wood);
        }
        let text = kinds.iter_mut().map(|(fastener, count, through, out)| {
            through.sort_unstable();
            through.dedup();
            let (verb, noun) = match fastener.kind {
                FastenerKind::Brad => ("Drive", "brad"),
                FastenerKind::Screw => ("Drill pilot holes and drive", "screw"),
            };
            let plural = if *count == 1 { "" } else { "s" };
            let length = self.job.units.show(fastener.length.value);
            let clinch = if *out > FLUSH {
                let how = if *out < CLINCHED_FROM { "file them flush" } else { "clinch them" };
                format!("; the points come out by {}: {how}", self.job.units.show(*out))
            } else {
                String::new()
            };
            let panels = words::the(&self.assembly.panels, through);
            format!("{verb} {count} {noun}{plural} of {length} through {panels}{clinch}.")
        });
        let text: Vec<String> = text.collect();
        (kinds.iter().map(|(_, count, ..)| count).sum(), text)
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
            let text = match words::coming_from(direction) {
                // A door of a box reaches up between its walls; a floor does not.
                "from below" if self.top(name) > self.foot("") + 1.0 => {
                    format!("Push the {name} up into its place from below, without glue.")
                }
                "from below" => format!("Set the box on the {name}, without glue."),
                "from above" => format!("Set the {name} in its place from above, without glue."),
                from => format!("Push the {name} in {from}, without glue."),
            };
            self.add(StepKind::Place, name, adds, vec![text]).direction = Some(tidy(direction));
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

    fn paint(&mut self) {
        let area = outside_area(self.assembly, &self.contacts, &self.surfaces);
        let coats = self.job.hardware.coats;
        let text = if coats == 0 {
            vec!["Leave the inside bare wood.".into()]
        } else {
            let area = match self.job.units {
                crate::units::Units::Millimetres => format!("{} m²", decimal(area * 1e-6, 2)),
                crate::units::Units::Inches => format!("{} sq ft", decimal(area / 92_903.04, 1)),
            };
            let coats = if coats == 1 { "one coat".into() } else { format!("{coats} coats") };
            vec![format!("Paint or stain the outside only, {area}, {coats}. The inside stays bare wood.")]
        };
        self.add(StepKind::Paint, "", vec![], text);
    }
}

/// A direction without the dust of its arithmetic.
fn tidy(direction: DVec3) -> [f64; 3] {
    direction.to_array().map(|v| (v * 1e6).round() / 1e6 + 0.0)
}
