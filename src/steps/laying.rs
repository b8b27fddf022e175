//! Laying out a sub-assembly at the bench: which part comes next, what stands or lies first, and on which side the work is
//! turned.
//!
//! A board that the fasteners go through is laid on from above, so that they are driven down. Where a part comes between
//! boards that are there, the work is clamped and turned for each side.

use super::plan::{Planner, StepKind, tidy};
use super::{pose, words};
use crate::design::{Face, Placing, SurfaceKind, order};
use crate::joining::Driven;
use glam::DVec3;

/// Which of the first boards is laid on the others.
enum OnTop {
    /// The first one, on those that were to be glued to it.
    Base,
    /// The second one; this is up then.
    Second(DVec3),
}

impl Planner<'_> {
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

    /// Are two placings one step: alike, or onto the same, and not onto each other?
    fn go_together(&self, there: &[usize], a: &Placing, b: &Placing) -> bool {
        let panels = &self.assembly.panels;
        !there.is_empty()
            && !self.contacts.iter().any(|contact| contact.other(a.panel) == Some(b.panel))
            && a.direction.dot(b.direction).abs() > 0.99
            && (panels[a.panel].family == panels[b.panel].family
                || self.onto(a.panel, there) == self.onto(b.panel, there))
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
        let count: u32 = driven.iter().map(Driven::count).sum();
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
}
