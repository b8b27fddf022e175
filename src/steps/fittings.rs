//! What is not wood: mesh stapled on, hinges, catches and screws in their places, a cloth laid on the frames.

use super::plan::{Planner, StepKind};
use super::words;
use crate::design::{Fitting, FittingKind, Seat};
use crate::supply::STAPLES;

/// Fittings of one name and purpose: which they are, the panels they are on, and where on them.
struct Alike<'a> {
    fitting: &'a Fitting,
    which: Vec<usize>,
    panels: Vec<usize>,
    places: Vec<String>,
}

impl<'a> Planner<'a> {
    /// Fittings of these kinds, with their place in the box's list.
    fn of_kind(&self, kinds: &'static [FittingKind]) -> impl Iterator<Item = (usize, &'a Fitting)> + use<'a> {
        self.assembly.fittings.iter().enumerate().filter(|(_, fitting)| kinds.contains(&fitting.kind))
    }

    /// Mesh goes on while its panel still lies flat.
    pub(super) fn staple_mesh(&mut self, sub_assembly: &str, parts: &[usize]) {
        for part in parts {
            let panel = &self.assembly.panels[*part];
            let seated = |fitting: &&Fitting| fitting.seats.iter().any(|seat| seat.panel == panel.name);
            let (which, mesh): (Vec<usize>, Vec<&Fitting>) =
                self.of_kind(&[FittingKind::Mesh]).filter(|(_, fitting)| seated(fitting)).unzip();
            let Some(first) = mesh.first() else { continue };
            let mut sizes: Vec<(String, u32)> = Vec::new();
            for size in mesh.iter().map(|fitting| self.size(fitting)) {
                match sizes.iter_mut().find(|(known, _)| *known == size) {
                    Some((_, count)) => *count += 1,
                    None => sizes.push((size, 1)),
                }
            }
            let several = |(size, count)| if count > 1 { format!("{count} pieces of {size}") } else { size };
            let pieces: Vec<String> = sizes.into_iter().map(several).collect();
            let face = first.seats.iter().find(|seat| seat.panel == panel.name).map_or("inner", |s| s.face.name());
            let over = if mesh.len() > 1 { "Centre each" } else { "Centre it" };
            let text = vec![
                format!(
                    "Lay the {} on the bench, {face} face up, and staple {} ({}) on it.",
                    panel.name,
                    first.called(self.job.units),
                    words::and(&pieces)
                ),
                format!("{over} over what it covers, a staple about every {} round it.", self.job.units.show(STAPLES)),
            ];
            let step = self.add(StepKind::Fit, sub_assembly, vec![], text);
            (step.onto, step.fittings) = (vec![*part], which);
        }
    }

    fn size(&self, fitting: &Fitting) -> String {
        format!("{} × {}", self.job.units.number(fitting.size[0]), self.job.units.show(fitting.size[1]))
    }

    /// Hinges, catches and the screws that something hangs or turns on.
    pub(super) fn fit_hardware(&mut self) {
        let mut alike: Vec<Alike> = Vec::new();
        use FittingKind::{Catch, Hanger, Hinge, Screw, WallScrew};
        for (which, fitting) in self.of_kind(&[Hinge, Catch, Screw, Hanger, WallScrew]) {
            let seats = fitting.seats.iter();
            let on = seats.filter_map(|seat| self.assembly.panels.iter().position(|panel| panel.name == seat.panel));
            let place = self.place_of(fitting);
            match alike.iter_mut().find(|it| it.fitting.name == fitting.name && it.fitting.purpose == fitting.purpose) {
                Some(known) => {
                    known.which.push(which);
                    known.panels.extend(on);
                    known.places.push(place);
                }
                None => alike.push(Alike { fitting, which: vec![which], panels: on.collect(), places: vec![place] }),
            }
        }
        for Alike { fitting, which, mut panels, places } in alike {
            panels.sort_unstable();
            panels.dedup();
            let what = fitting.counted(places.len(), self.job.units);
            // A strip is cut to its size; the names of screws and hooks tell their size.
            let (verb, size) = match fitting.kind {
                Hinge => ("Fit", format!(", {}", self.size(fitting))),
                Screw => ("Drive", String::new()),
                Hanger => ("Screw on", String::new()),
                WallScrew => ("Keep", String::new()),
                _ => ("Fit", String::new()),
            };
            let comma = if size.is_empty() && !what.contains(", ") { "" } else { "," };
            let (stand, poses) = self.stand_up();
            let mut text: Vec<String> = stand.into_iter().collect();
            text.push(format!("{verb} {what}{size}{comma} {}: {}.", fitting.purpose, places.join("; ")));
            match fitting.kind {
                Screw => text.push("Drill first, or the wood splits: clear through the wall, thinner into the door.".into()),
                Hanger => text.push("Half of each stands out beside the box, for the screw into the wall; their own screws are shorter than the \
                     back is thick.".into()),
                WallScrew => text.push("They go in when the box is hung.".into()),
                _ => {}
            }
            let step = self.add(StepKind::Fit, "", vec![], text);
            (step.onto, step.fittings, step.poses) = (panels, which, poses);
        }
    }

    /// `on the left side, 15 mm from its left edge and 25 mm up as seen from outside`.
    fn place_of(&self, fitting: &Fitting) -> String {
        let units = self.job.units;
        let on = |seat: &Seat| {
            let panel = self.assembly.panels.iter().find(|panel| panel.name == seat.panel)?;
            if fitting.seats.len() > 1 {
                return Some(format!("the {}", panel.name));
            }
            let view = panel.view();
            let at = view.onto * seat.centre;
            let (left, right) = (at.x, panel.outline.bounds().width() - at.x);
            let across = match (right - left).abs() < 0.5 {
                true => "in the middle of its width".into(),
                false if left.min(right) < 0.5 => {
                    format!("at its {} edge", if left < right { "left" } else { "right" })
                }
                false if left < right => format!("{} from its left edge", units.show(left)),
                false => format!("{} from its right edge", units.show(right)),
            };
            let up = units.show(at.y);
            Some(match view.lies {
                true => format!("the {}, {across} and {up} from its front edge, as seen from above", panel.name),
                false => format!("the {}, {across} and {up} up, as seen from outside", panel.name),
            })
        };
        let on: Vec<String> = fitting.seats.iter().filter_map(on).collect();
        format!("on {}", words::and(&on))
    }

    /// Once, before a cover goes on, or at the end.
    pub(super) fn lay_cloth(&mut self) {
        if std::mem::replace(&mut self.cloth_is_laid, true) {
            return;
        }
        for (which, fitting) in self.of_kind(&[FittingKind::Cloth]) {
            let text =
                vec![format!("Cut {} to {}: {}.", fitting.called(self.job.units), self.size(fitting), fitting.purpose)];
            self.add(StepKind::Fit, "", vec![], text).fittings = vec![which];
        }
    }
}
