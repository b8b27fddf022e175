//! One step of gluing up: what it says, how the work lies for it, its glue lines, and what is driven from where.

use super::drive;
use super::flush::{self, keep};
use super::plan::{GlueLine, Planner, StepKind, tidy};
use super::{pose, rows, words};
use crate::design::{Bored, Contact, Joint, Placing, SurfaceKind};
use crate::joining::{Bores, Driven, named};
use crate::words::{counted, sentence};
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

impl<'a> Planner<'a> {
    /// Where the grain of what is added crosses that of what it is glued to, and glue over all of it would break.
    fn across_grain(&self, adds: &[usize], onto: &[usize]) -> Option<String> {
        let crossed = |on: &usize| {
            let meets = |pair: &[usize; 2]| pair.contains(on) && adds.iter().any(|add| add != on && pair.contains(add));
            self.across_grain.iter().any(meets)
        };
        let there: Vec<usize> = onto.iter().copied().filter(crossed).collect();
        (!there.is_empty()).then(|| {
            format!(
                "On {} put glue only on a hand's width in the middle: the grain crosses there, and the wood must be free to \
                 move.",
                words::the(&self.assembly.panels, &there)
            )
        })
    }

    /// Which added boards go into grooves with this step, and where those are.
    fn grooved(&self, adds: &[usize], there: &[usize]) -> Vec<String> {
        let panels = &self.assembly.panels;
        let receives = |contact: &Contact, panel: usize| {
            let other = contact.other(panel).and_then(|other| panels[other].added.as_ref().map(|_| other))?;
            let (SurfaceKind::PocketFloor(pocket) | SurfaceKind::PocketWall(pocket)) = contact.surface_of(panel)?
            else {
                return None;
            };
            panels[panel].pockets.get(pocket)?.purpose.starts_with("groove").then_some((other, panel))
        };
        let lines = adds.iter().flat_map(|part| self.lines(*part, there));
        let mut pairs: Vec<(usize, usize)> =
            lines.flat_map(|line| line.panels.into_iter().filter_map(move |panel| receives(line, panel))).collect();
        pairs.sort_unstable();
        pairs.dedup();
        let mut boards: Vec<usize> = pairs.iter().map(|(board, _)| *board).collect();
        boards.dedup();
        let say = |board: usize| {
            let into: Vec<usize> = pairs.iter().filter(|(one, _)| *one == board).map(|(_, panel)| *panel).collect();
            let noun = if into.len() == 1 { "its groove" } else { "its grooves" };
            format!("The {} goes into {noun} in {}.", panels[board].name, words::the(panels, &into))
        };
        boards.into_iter().map(say).collect()
    }

    /// Panels there that a part is glued to.
    pub(super) fn onto(&self, part: usize, there: &[usize]) -> Vec<usize> {
        let glued = |other: &usize| self.contacts.iter().any(|contact| contact.other(part) == Some(*other));
        there.iter().copied().filter(glued).collect()
    }

    /// The joints of a part with what is there.
    fn joints_of(&self, part: usize, there: &[usize]) -> impl Iterator<Item = &Joint> {
        let with = move |joint: &&Joint| joint.other(part).is_some_and(|other| there.contains(&other));
        self.joints.iter().filter(move |joint| joint.glued && with(joint))
    }

    /// What is driven where a part meets what is there.
    pub(super) fn driven(&self, part: usize, there: &[usize]) -> Vec<Driven<'a>> {
        let mut driven = self.nailed(part, there);
        driven.retain(|one| !one.places.is_empty());
        driven
    }

    /// The same, and joints whose fasteners have no place.
    fn nailed(&self, part: usize, there: &[usize]) -> Vec<Driven<'a>> {
        let all = self.joints.iter().zip(&self.fasteners);
        let here = all.filter(|(joint, _)| joint.other(part).is_some_and(|other| there.contains(&other)));
        here.filter_map(|(_, driven)| driven.clone()).collect()
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
    pub(super) fn phrases(&self, part: usize, there: &[usize]) -> Vec<String> {
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
    pub(super) fn glue_side(&mut self, name: &str, side: &[Placing], there: &[usize], like: Option<usize>) -> usize {
        let panels = &self.assembly.panels;
        let adds: Vec<usize> = side.iter().map(|placing| placing.panel).collect();
        let mut onto: Vec<usize> = adds.iter().flat_map(|part| self.onto(*part, there)).collect();
        onto.sort_unstable();
        onto.dedup();
        let mut all: Vec<Driven> = adds.iter().flat_map(|part| self.nailed(*part, there)).collect();
        let left_out: Vec<String> = all.iter().filter_map(|one| self.left_out(one)).collect();
        all.retain(|one| !one.places.is_empty());
        let present: Vec<usize> = there.iter().chain(&adds).copied().collect();
        let mut told = Telling::from(self.up);
        told.turn(self.pose_for(side, &all, self.up));
        self.steady(&mut told, there);
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
                told.text.extend(self.across_grain(&adds, &onto));
                told.text.extend(self.grooved(&adds, there));
                let phrases: Vec<_> =
                    adds.iter().map(|part| (panels[*part].name.as_str(), self.phrases(*part, there))).collect();
                // What stands loose is placed by the board that is laid on it.
                let loose: Vec<_> =
                    there.iter().map(|part| (panels[*part].name.as_str(), self.phrases(*part, &adds))).collect();
                let first = self.steps.last().is_some_and(|step| step.kind == StepKind::Lay && step.adds.len() > 1);
                told.text.extend(keep(if first { &loose } else { &phrases }));
            }
        }
        told.text.extend(self.to_lines(&adds, there));
        let square = self.square(&adds, &onto, there);
        told.text.extend(square);
        let drives = self.fasten(&mut told, &all, &present);
        told.text.extend(left_out);
        let leaning = self.leaning(&adds, there, !all.is_empty());
        told.text.extend(leaning);
        self.up = told.pose();
        // What no hammer gets to is clamped instead.
        let (direction, count) = (tidy(side[0].direction), drives.iter().map(|drive| drive.count).sum());
        let poses = told.poses.iter().map(|pose| tidy(*pose)).collect();
        let like = like.map(|step| self.steps[step].number);
        let step = self.add(StepKind::Glue, name, adds, told.text);
        (step.onto, step.glue, step.direction, step.fasteners) = (onto, glue, Some(direction), count);
        (step.poses, step.drives, step.like) = (poses, drives, like);
        self.steps.len() - 1
    }

    /// `Set the front rest cleat to the lines in the front.` Where the router has cut any.
    fn to_lines(&self, adds: &[usize], there: &[usize]) -> Vec<String> {
        let panels = &self.assembly.panels;
        let mut told = Vec::new();
        for (among, others) in [(there, adds), (adds, there)] {
            for on in among {
                let up = self.assembly.face_up(&panels[*on]);
                let cut = panels[*on].joint_lines.iter().filter(|line| line.face == up && !line.strokes.is_empty());
                let cut: Vec<&str> = cut.map(|line| line.board.as_str()).collect();
                let set: Vec<usize> =
                    others.iter().copied().filter(|other| cut.contains(&panels[*other].name.as_str())).collect();
                if !set.is_empty() {
                    told.push(format!(
                        "Set {} to the lines in {}.",
                        words::the(panels, &set),
                        words::the(panels, &[*on])
                    ));
                }
            }
        }
        told
    }

    /// After a turn: what keeps the work from tipping.
    fn steady(&self, told: &mut Telling, there: &[usize]) {
        let panels: Vec<_> = there.iter().map(|panel| &self.assembly.panels[*panel]).collect();
        if told.poses.len() < 2 {
            return;
        }
        match pose::rests(&panels, told.pose()) {
            pose::Rest::Still => {}
            pose::Rest::Packed(panel, by) => told.text.push(format!(
                "Put {} of scrap under the {}, so that it cannot rock.",
                self.job.units.show(by),
                panels[panel].name
            )),
            pose::Rest::Rocks => told.text.push("Wedge it so that it cannot rock.".into()),
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
            let said = drive::say(self.assembly, present, self.job, &some);
            told.text.extend(said.before.map(String::from));
            told.text.extend(self.holes(&some));
            told.text.extend(said.drive);
            told.text.extend(self.rows(&some));
            told.text.extend(self.clear_of(&some));
            let mut through: Vec<usize> = some.iter().map(|one| one.through).collect();
            through.sort_unstable();
            through.dedup();
            drives.push(drive::Drive {
                up: tidy(up),
                out: tidy(some[0].out),
                through,
                count: some.iter().map(|one| one.count()).sum(),
                places: some.iter().flat_map(|one| one.places.iter().copied()).collect(),
                stands: some.iter().flat_map(|one| one.places.iter().map(|_| one.stands)).collect(),
            });
            if let Some(points) = said.turned {
                told.turn(-up);
                told.text.push(points);
            }
        }
        drives
    }

    /// Holes for screws: with which bits, how deep, and which of them are there already.
    fn holes(&self, some: &[&Driven]) -> Vec<String> {
        if !self.job.hardware.screw_holes {
            return Vec::new();
        }
        let mut told: Vec<(String, Vec<usize>)> = Vec::new();
        for one in some.iter().filter(|one| one.bits(self.job, self.assembly).is_some()) {
            let line = self.hole(one);
            match told.iter_mut().find(|(known, _)| *known == line) {
                Some((_, into)) => into.push(one.into),
                None => told.push((line, vec![one.into])),
            }
        }
        let several = told.len() > 1;
        let line = |(line, mut into): (String, Vec<usize>)| {
            into.sort_unstable();
            into.dedup();
            let into = words::the(&self.assembly.panels, &into);
            if several { format!("For {into}: {line}") } else { sentence(&line) }
        };
        told.into_iter().map(line).collect()
    }

    /// The holes of one joint's screws: `clearance 4.5 mm, pilot 2.5 mm: drill the pilots through the clearance holes, 27 mm deep.`
    fn hole(&self, one: &Driven) -> String {
        let show = |mm: f64| self.job.units.show(mm);
        let of_these = |joint: &&Joint| joint.through == one.through && Joint::into(joint) == one.into;
        let joint = self.joints.iter().find(of_these);
        let bores = joint.and_then(|joint| Bores::of(self.job, self.assembly, (&self.contacts, joint), one));
        let Some(bores) = bores else {
            let bits = one.bits(self.job, self.assembly);
            let (clearance, pilot) = bits.map_or((0.0, 0.0), |bits| (bits.clearance, bits.pilot));
            return format!(
                "clearance {}, pilot {}: drill both by hand, in line with the wall.",
                show(clearance),
                show(pilot)
            );
        };
        let sizes = format!("clearance {}, pilot {}", show(bores.bits.clearance), show(bores.bits.pilot));
        let (first, second) = (one.bored(self.assembly, Bored::Clearance), one.bored(self.assembly, Bored::Pilot));
        match (first, bores.pilot.is_some() && second) {
            (true, true) => format!("{sizes}: both are bored already."),
            (false, true) => format!("{sizes}: the pilots are bored already."),
            _ => {
                // Right behind it the board ends.
                let stop = if bores.in_edge { "" } else { ", with a stop on the bit" };
                format!("{sizes}: drill the pilots through the clearance holes, {} deep{stop}.", show(bores.deep))
            }
        }
    }

    /// Where fasteners go in; of rows that an earlier step has told in the same words, which step that is.
    fn rows(&self, some: &[&Driven]) -> Vec<String> {
        let rows = rows::say(self.assembly, self.job.units, some);
        let before = |line: &String| self.steps.iter().rev().find(|step| step.text.contains(line));
        let known: Vec<usize> = rows.iter().filter_map(|line| before(line).map(|step| step.number)).collect();
        let Some(step) = known.iter().max() else { return rows };
        if known.len() == rows.len() && known.iter().all(|one| one == step) {
            return vec![format!("Set them as in step {step}.")];
        }
        rows.into_iter()
            .map(|line| match before(&line) {
                Some(step) => format!("{} as in step {}.", line.split(':').next().unwrap_or(&line), step.number),
                None => line,
            })
            .collect()
    }

    /// What fasteners keep clear of, where even spacing would lead them into it.
    fn clear_of(&self, some: &[&Driven]) -> Option<String> {
        let avoids = |one: &&Driven| one.moved > 0 && !one.clear_of.is_empty();
        let moved: Vec<&Driven> = some.iter().copied().filter(avoids).collect();
        let clear = moved.iter().map(|one| one.fastener.from_end.value).reduce(f64::max)?;
        let (openings, clear) = (words::and(&self.avoided(&moved)), self.job.units.show(clear));
        Some(format!("Move each that would end in {openings} along the joint, until it is {clear} clear."))
    }

    /// Fasteners that have no place in a joint.
    fn left_out(&self, one: &Driven) -> Option<String> {
        if one.left_out == 0 {
            return None;
        }
        let left = counted(one.left_out as usize, drive::noun(one.fastener));
        let (is, it) = if one.left_out == 1 { ("is", "it") } else { ("are", "they") };
        let panels = words::the(&self.assembly.panels, &[one.through, one.into]);
        let avoided = self.avoided(&[one]);
        let why = match &avoided[..] {
            [] => format!("{it} would meet those of another joint"),
            of => format!(
                "{it} would end in {}, and no place clear of that is far enough from the others",
                words::and(of)
            ),
        };
        Some(format!("Between {panels} {left} {is} left out: {why}."))
    }

    /// The openings, in words, that some of these would have run into.
    fn avoided(&self, some: &[&Driven]) -> Vec<String> {
        let mut which: Vec<usize> = some.iter().flat_map(|one| one.clear_of.iter().copied()).collect();
        which.sort_unstable();
        which.dedup();
        named(&self.openings, &which, &self.assembly.panels)
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
