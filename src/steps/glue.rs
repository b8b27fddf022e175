//! Gluing up a sub-assembly at the bench: which part comes next, how the work lies for it, and what is driven from where.
//!
//! A board that the fasteners go through is laid on from above, so that they are driven down. Where a part comes between
//! boards that are there, the work is clamped and turned for each side.

use super::drive::{self, Driven};
use super::flush::{self, keep};
use super::plan::{GlueLine, Planner, StepKind, tidy};
use super::{pose, words};
use crate::design::{Contact, Face, Joint, Placing, SurfaceKind, order};
use glam::DVec3;

/// What a step says and how the work lies meanwhile.
struct Telling {
    text: Vec<String>,
    poses: Vec<DVec3>,
}

impl Telling {
    fn from(pose: DVec3) -> Telling {
        Telling { text: Vec::new(), poses: vec![pose] }
    }

    fn pose(&self) -> DVec3 {
        self.poses.last().copied().unwrap_or(pose::UPRIGHT)
    }

    fn turn(&mut self, to: DVec3) -> bool {
        let from = self.pose();
        if from == to {
            return false;
        }
        self.text.push(pose::turn("the work", from, to));
        self.poses.push(to);
        true
    }
}

/// Which of the first boards is laid on the others.
enum OnTop {
    /// The first one, on those that were to be glued to it.
    Base,
    /// The second one; this is up then.
    Second(DVec3),
}

impl<'a> Planner<'a> {
    /// The parts of one sub-assembly, from the first on the bench to the last.
    pub(super) fn glue_up(&mut self, name: &str) {
        let order = order(self.assembly, &self.contacts, &self.surfaces, name);
        let all: Vec<usize> = order.placings.iter().map(|placing| placing.panel).collect();
        self.staple_mesh(name, &all);
        self.squared = false;
        let mut groups = self.groups(&order.placings).into_iter().peekable();
        let (Some(first), Some(second)) = (groups.next(), groups.next()) else {
            // A single board needs no laying out.
            return;
        };
        let base = first[0].panel;
        let (second, after) = self.of_one_side(base, second);
        let mut there: Vec<usize> = Vec::new();
        match self.on_top(base, &second) {
            Some(OnTop::Base) => {
                there.extend(second.iter().map(|placing| placing.panel));
                self.stand(name, &there, base);
                let direction = -second[0].direction;
                self.glue_on(name, &[Placing { panel: base, direction }], &mut there);
            }
            Some(OnTop::Second(up)) => {
                there.push(base);
                let top = second[0].panel;
                // What else is only fastened through the same board stands under it too.
                while after.is_empty()
                    && let Some(more) = groups.next_if(|next| self.hangs_on(next, &there, top, up))
                {
                    there.extend(more.iter().map(|placing| placing.panel));
                }
                self.stand(name, &there, top);
                self.glue_on(name, &second, &mut there);
            }
            None => {
                there.push(base);
                self.lay(name, base);
                self.glue_on(name, &second, &mut there);
            }
        }
        if !after.is_empty() {
            self.glue_on(name, &after, &mut there);
        }
        for group in groups {
            self.glue_on(name, &group, &mut there);
        }
    }

    /// Of the first placings those that are fastened from the same side as the first of them, and the rest.
    fn of_one_side(&self, base: usize, group: Vec<Placing>) -> (Vec<Placing>, Vec<Placing>) {
        let sides = |placing: &Placing| -> Vec<DVec3> {
            self.driven(placing.panel, &[base]).iter().map(|one| pose::with_up(one.out)).collect()
        };
        let first = sides(&group[0]);
        group.into_iter().partition(|placing| sides(placing).iter().all(|side| first.contains(side)))
    }

    /// Which of the first boards is laid on top of the others, so that it is driven through from above? None where that is
    /// so as the first one lies.
    fn on_top(&self, base: usize, second: &[Placing]) -> Option<OnTop> {
        let direction = second[0].direction;
        let driven: Vec<Driven> = second.iter().flat_map(|placing| self.driven(placing.panel, &[base])).collect();
        let first = driven.first()?;
        if driven.iter().any(|one| one.out.dot(first.out) < 0.99) {
            return None;
        }
        if driven.iter().all(|one| one.through == base) {
            let alike = second.iter().all(|placing| placing.direction.dot(direction) > 0.99);
            return (alike && first.out.dot(direction) > 0.7).then_some(OnTop::Base);
        }
        let lies = pose::with_up(-self.assembly.panels[base].place.normal());
        let alone = second.len() == 1 && driven.iter().all(|one| one.through == second[0].panel);
        (alone && !pose::is_up(lies, first.out)).then(|| OnTop::Second(pose::with_up(first.out)))
    }

    /// Does all of a group meet nothing but the board on top, and is it fastened through it from that side?
    fn hangs_on(&self, group: &[Placing], there: &[usize], top: usize, up: DVec3) -> bool {
        let meets = |panel: usize| self.contacts.iter().filter_map(move |contact| contact.other(panel));
        group.iter().all(|placing| {
            let driven = self.driven(placing.panel, &[top]);
            placing.direction.dot(up) > 0.7
                && !driven.is_empty()
                && driven.iter().all(|one| one.through == top && one.out.dot(up) > 0.7)
                && !meets(placing.panel).any(|other| there.contains(&other))
        })
    }

    /// Placings that are one thing to do: alike, or onto the same.
    fn groups(&self, placings: &[Placing]) -> Vec<Vec<Placing>> {
        let mut groups: Vec<Vec<Placing>> = Vec::new();
        let mut there: Vec<usize> = Vec::new();
        let mut rest = placings;
        while let [first, more @ ..] = rest {
            let alike = more.iter().take_while(|next| self.go_together(&there, first, next)).count();
            let (group, after) = rest.split_at(1 + alike);
            rest = after;
            there.extend(group.iter().map(|placing| placing.panel));
            groups.push(group.to_vec());
        }
        groups
    }

    fn lay(&mut self, name: &str, part: usize) {
        let panels = &self.assembly.panels;
        self.up = pose::with_up(-panels[part].place.normal());
        let text = vec![format!("Lay the {} on the bench, {} up.", panels[part].name, self.upper_on_the_bench(part))];
        let up = tidy(self.up);
        self.add(StepKind::Lay, name, vec![part], text).poses = vec![up];
    }

    /// Boards that another is laid on, and driven into from above, stand on the bench first.
    fn stand(&mut self, name: &str, parts: &[usize], base: usize) {
        let panels = &self.assembly.panels;
        let meets = |part: &usize| {
            let contact = self.contacts.iter().filter(|contact| contact.other(*part) == Some(base));
            let kind = contact.max_by(|a, b| a.area.total_cmp(&b.area))?.surface_of(*part)?;
            let surface = self.surfaces[*part].iter().find(|surface| surface.kind == kind)?;
            Some(words::surface(&panels[*part], surface))
        };
        let mut up: Vec<String> = parts.iter().filter_map(meets).collect();
        up.dedup();
        let up = match &up[..] {
            [one] => format!("{one}{} up", if parts.len() > 1 { "s" } else { "" }),
            several => format!("{} up", words::and(several)),
        };
        let blocks = if parts.len() > 1 { "blocks" } else { "a block" };
        let text = vec![format!(
            "Stand {} on the bench, {up}, where the {} will lie on {}; hold with {blocks} and clamps.",
            words::the(panels, parts),
            panels[base].name,
            if parts.len() > 1 { "them" } else { "it" }
        )];
        let driven = parts.iter().flat_map(|part| self.driven(*part, &[base])).next();
        self.up = pose::with_up(driven.map_or(pose::UPRIGHT, |one| one.out));
        let pose = tidy(self.up);
        self.add(StepKind::Lay, name, parts.to_vec(), text).poses = vec![pose];
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

    /// The joints of a part with what is there.
    fn joints_of(&self, part: usize, there: &[usize]) -> impl Iterator<Item = &Joint> {
        let with = move |joint: &&Joint| joint.other(part).is_some_and(|other| there.contains(&other));
        self.joints.iter().filter(move |joint| joint.glued && with(joint))
    }

    /// What is driven where a part meets what is there.
    fn driven(&self, part: usize, there: &[usize]) -> Vec<Driven<'a>> {
        let job = self.job;
        let joints = self.joints_of(part, there);
        joints
            .filter_map(|joint| drive::driven(job, &self.assembly.panels, joint, &self.contacts, self.thickness))
            .collect()
    }

    /// A group as one step for each side of the work that it is fastened from.
    fn glue_on(&mut self, name: &str, group: &[Placing], there: &mut Vec<usize>) {
        let mut sides: Vec<(Vec<DVec3>, Vec<Placing>)> = Vec::new();
        for placing in group {
            let mut poses: Vec<DVec3> = Vec::new();
            for one in self.driven(placing.panel, there) {
                let pose = pose::with_up(one.out);
                if !poses.contains(&pose) {
                    poses.push(pose);
                }
            }
            match sides.iter_mut().find(|(known, _)| *known == poses) {
                Some((_, list)) => list.push(*placing),
                None => sides.push((poses, vec![*placing])),
            }
        }
        // What is fastened as the work lies comes first.
        sides.sort_by_key(|(poses, _)| poses.first() != Some(&self.up));
        let mut before: Option<usize> = None;
        for (_, side) in sides {
            let like = before.filter(|step| self.repeats(*step, &side, there));
            before = Some(self.glue_side(name, &side, there, like));
            there.extend(side.iter().map(|placing| placing.panel));
        }
    }

    /// Is the next thing to do the same as that step, on another side of the work?
    fn repeats(&self, step: usize, side: &[Placing], there: &[usize]) -> bool {
        let panels = &self.assembly.panels;
        let done = &self.steps[step];
        let before: Vec<usize> = there.iter().copied().filter(|panel| !done.adds.contains(panel)).collect();
        let [first] = done.drives.as_slice() else { return false };
        let driven: Vec<Driven> = side.iter().flat_map(|placing| self.driven(placing.panel, there)).collect();
        let count: u32 = driven.iter().map(|one| one.count).sum();
        // Front and back change places where the work is turned over from one to the other.
        let Some(turned) = driven.first().map(|one| pose::with_up(one.out)) else { return false };
        let (far, near) = (words::direction(turned), words::direction(-turned));
        let phrases = |part: usize, there: &[usize]| self.phrases(part, there).join(";").replace(far, near);
        done.adds.len() == side.len()
            && count == first.count
            && driven.iter().all(|one| side.iter().any(|placing| placing.panel == one.through))
            && first.through == done.adds
            && done.adds.iter().zip(side).all(|(a, b)| {
                panels[*a].family == panels[b.panel].family && phrases(*a, &before) == phrases(b.panel, there)
            })
    }

    /// Glue lines between a part and what is there.
    fn lines(&self, part: usize, there: &[usize]) -> Vec<&Contact> {
        self.contacts
            .iter()
            .filter(|contact| contact.other(part).is_some_and(|other| there.contains(&other)))
            .filter(|contact| self.assembly.is_glued(contact))
            .collect()
    }

    /// What is to be kept flush.
    fn phrases(&self, part: usize, there: &[usize]) -> Vec<String> {
        let lines = self.lines(part, there);
        // A part that lies flat on another is placed better by that than by a line it leans on.
        let flat: Vec<&Contact> = lines.iter().copied().filter(|contact| !contact.leans).collect();
        let by = if flat.is_empty() { &lines } else { &flat };
        flush::phrases(self.assembly, &self.surfaces, by, part, self.job.units)
    }

    /// The pose in which a part is put on: such that what is driven through it is driven down, or else such that it comes
    /// from above or from a side.
    fn pose_for(&self, side: &[Placing], driven: &[Driven], up: DVec3) -> DVec3 {
        let adds = |panel: usize| side.iter().any(|placing| placing.panel == panel);
        if let [first, rest @ ..] = driven
            && driven.iter().all(|one| adds(one.through))
            && rest.iter().all(|one| one.out.dot(first.out) > 0.7)
        {
            return if pose::is_up(up, first.out) { up } else { pose::with_up(first.out) };
        }
        let comes = side[0].direction;
        if comes.dot(up) < 0.3 { up } else { pose::with_up(-comes) }
    }

    /// One step. Gives its place in the list.
    fn glue_side(&mut self, name: &str, side: &[Placing], there: &[usize], like: Option<usize>) -> usize {
        let panels = &self.assembly.panels;
        let adds: Vec<usize> = side.iter().map(|placing| placing.panel).collect();
        let mut onto: Vec<usize> = adds.iter().flat_map(|part| self.onto(*part, there)).collect();
        onto.sort_unstable();
        onto.dedup();
        let all: Vec<Driven> = adds.iter().flat_map(|part| self.driven(*part, there)).collect();
        let present: Vec<usize> = there.iter().chain(&adds).copied().collect();
        let mut told = Telling::from(self.up);
        told.turn(self.pose_for(side, &all, self.up));
        self.steady(&mut told, there);
        let coming = told.pose();
        let glue: Vec<GlueLine> = adds
            .iter()
            .flat_map(|part| self.lines(*part, there).into_iter().filter_map(|line| self.glue_line(line, *part)))
            .collect();
        match like {
            Some(step) => told.text.push(format!(
                "Glue {} on in the same way as {}.",
                words::the(panels, &adds),
                words::the(panels, &self.steps[step].adds)
            )),
            None => {
                told.text.push(format!("Glue {} to {}.", words::the(panels, &adds), words::the(panels, &onto)));
                let phrases: Vec<_> =
                    adds.iter().map(|part| (panels[*part].name.as_str(), self.phrases(*part, there))).collect();
                // What stands loose is placed by the board that is laid on it.
                let loose: Vec<_> =
                    there.iter().map(|part| (panels[*part].name.as_str(), self.phrases(*part, &adds))).collect();
                let first = self.steps.last().is_some_and(|step| step.kind == StepKind::Lay && step.adds.len() > 1);
                told.text.extend(keep(if first { &loose } else { &phrases }));
            }
        }
        let square = self.square(&adds, &onto, there);
        told.text.extend(square);
        let drives = self.fasten(&mut told, &all, &present);
        let leaning = self.leaning(&adds, there, !all.is_empty());
        told.text.extend(leaning);
        self.up = told.pose();
        let (direction, count) = (tidy(side[0].direction), all.iter().map(|one| one.count).sum());
        let poses = told.poses.iter().map(|pose| tidy(*pose)).collect();
        debug_assert!(coming.is_normalized());
        let like = like.map(|step| self.steps[step].number);
        let step = self.add(StepKind::Glue, name, adds, told.text);
        (step.onto, step.glue, step.direction, step.fasteners) = (onto, glue, Some(direction), count);
        (step.poses, step.drives, step.like) = (poses, drives, like);
        self.steps.len() - 1
    }

    /// After a turn: what keeps the work from tipping.
    fn steady(&self, told: &mut Telling, there: &[usize]) {
        let panels: Vec<_> = there.iter().map(|panel| &self.assembly.panels[*panel]).collect();
        if told.poses.len() > 1 && !pose::rests(&panels, told.pose()) {
            told.text.push("Wedge it so that it cannot rock.".into());
        }
    }

    /// Says what is driven and from where, turning the work where a face is not up.
    fn fasten(&self, told: &mut Telling, all: &[Driven], present: &[usize]) -> Vec<drive::Drive> {
        let mut drives = Vec::new();
        let (free, shut): (Vec<&Driven>, Vec<&Driven>) =
            all.iter().partition(|one| drive::is_free(self.assembly, present, one));
        if all.is_empty() || !shut.is_empty() {
            told.text.push("Clamp it until the glue has set.".into());
        }
        let turns = drive::by_pose(&free, told.pose());
        // What is driven from one side would give way while the work is turned for the other.
        if turns.iter().any(|(up, _)| *up != told.pose()) {
            told.text.push("Clamp it together.".into());
        }
        for (up, some) in turns {
            if told.turn(up) {
                self.steady(told, present);
            }
            let said = drive::say(self.assembly, present, self.job.units, &some);
            told.text.extend(said.before.map(String::from));
            told.text.extend(said.drive);
            let mut through: Vec<usize> = some.iter().map(|one| one.through).collect();
            through.sort_unstable();
            through.dedup();
            drives.push(drive::Drive {
                up: tidy(up),
                out: tidy(some[0].out),
                through,
                count: some.iter().map(|one| one.count).sum(),
                places: some.iter().flat_map(|one| one.places.iter().copied()).collect(),
            });
            if let Some(points) = said.turned {
                told.turn(-up);
                told.text.push(points);
            }
        }
        drives
    }

    /// Along a slope the glue fills a wedge.
    fn leaning(&self, adds: &[usize], there: &[usize], fastened: bool) -> Option<String> {
        let joints = adds.iter().flat_map(|part| self.joints_of(*part, there));
        let edges = joints.filter(|_| fastened).flat_map(|joint| &joint.contacts).filter_map(|i| {
            let contact = &self.contacts[*i];
            let edge = contact.surfaces.iter().position(|surface| matches!(surface, SurfaceKind::Edge(_)));
            edge.filter(|_| contact.leans).map(|which| contact.panels[which])
        });
        let mut leaning: Vec<usize> = edges.collect();
        leaning.sort_unstable();
        leaning.dedup();
        (!leaning.is_empty()).then(|| {
            let walls = words::the(&self.assembly.panels, &leaning);
            format!("Along {walls} the glue fills a wedge: drive in line with the wall, not square to the slope.")
        })
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
    fn square(&mut self, adds: &[usize], onto: &[usize], there: &[usize]) -> Option<String> {
        let panels = &self.assembly.panels;
        let upright = |panel: usize| panels[panel].place.normal().z.abs() < 0.1;
        let walls: Vec<usize> = onto.iter().copied().filter(|panel| upright(*panel)).collect();
        if self.squared || !adds.iter().all(|panel| upright(*panel)) || walls.is_empty() {
            return None;
        }
        let across = |a: usize, b: usize| panels[a].place.normal().dot(panels[b].place.normal()).abs() < 0.1;
        let meet = |a: usize, b: usize| self.contacts.iter().any(|contact| contact.other(a) == Some(b));
        // A ring of four: the new wall, the two it stands against, and the one opposite.
        let closes = |part: &usize| {
            let opposite = |panel: &&usize| upright(**panel) && !across(*part, **panel);
            let sides: Vec<usize> = walls.iter().copied().filter(|wall| across(*part, *wall)).collect();
            there.iter().filter(opposite).any(|far| sides.iter().filter(|side| meet(**side, *far)).count() > 1)
        };
        if adds.iter().any(closes) {
            self.squared = true;
            return Some("Measure both diagonals: when they are equal the box is square.".into());
        }
        let corner = adds.iter().any(|part| walls.iter().any(|wall| across(*part, *wall)));
        corner.then(|| "Hold a square in each corner.".into())
    }
}
