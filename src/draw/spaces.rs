//! The spaces around hung frames: where each is in a section, and what the checks measured of it.
//!
//! Where a space is, is found in the panels; how large it is, is what the checks say.

use crate::design::{Assembly, HoleUse, HungFrames, Panel, Surface};
use crate::finding::{Finding, JobCheck, Measure};
use crate::fit::{Solid, clear};
use crate::made::Designed;
use glam::DVec3;

/// x of the frame nearest to the middle of the row.
pub(super) fn nearest_frame(frames: &HungFrames) -> f64 {
    let middle = frames.middle.0;
    frames.centres().min_by(|a, b| (a - middle).abs().total_cmp(&(b - middle).abs())).unwrap_or(middle)
}

/// A space in the box, and what the checks say of it.
pub(super) struct Space {
    pub from: DVec3,
    pub to: DVec3,
    pub text: Option<String>,
}

/// Finds the spaces around the frames.
pub(super) struct Spaces<'a> {
    designed: Designed<'a>,
    assembly: &'a Assembly,
    frames: &'a HungFrames,
    surfaces: Vec<Vec<Surface>>,
}

impl<'a> Spaces<'a> {
    pub fn new(designed: Designed<'a>, assembly: &'a Assembly, frames: &'a HungFrames) -> Spaces<'a> {
        let surfaces = assembly.panels.iter().map(Panel::surfaces).collect();
        Spaces { designed, assembly, frames, surfaces }
    }

    /// Where the front lug ends.
    pub fn front_lug(&self) -> f64 {
        self.frames.middle.1 - self.frames.frame.top_bar_length.value / 2.0
    }

    /// The frame in the cut as two blocks: its top bar, and all of it between the outsides of its end bars.
    fn frame(&self) -> (Solid, Solid) {
        let frame = &self.frames.frame;
        let (x, y) = (nearest_frame(self.frames), self.frames.middle.1);
        let (bar, body) = (frame.top_bar_length.value / 2.0, frame.body_length.value / 2.0);
        let (rest, top) = (self.frames.rest, self.frames.rest + frame.lug_thickness.value);
        let half = frame.top_bar_width.value / 2.0;
        (
            Solid::new([x - half, y - bar, rest], [x + half, y + bar, top]),
            Solid::new([x - half, y - body, top - frame.depth.value], [x + half, y + body, top]),
        )
    }

    /// Around the front lug, in the cut along the frames.
    pub fn at_the_rest(&self) -> Vec<Space> {
        let (bar, body) = self.frame();
        let (x, rest) = (nearest_frame(self.frames), self.frames.rest);
        let mut spaces = Vec::new();
        let mut add = |check: JobCheck, from: DVec3, to: DVec3| {
            spaces.push(Space { from, to, text: self.text(check) });
        };
        if let Some((gap, _)) = clear(&self.surfaces, &bar, DVec3::NEG_Y) {
            let at = DVec3::new(x, bar.least.y, f64::midpoint(rest, bar.most.z));
            add(JobCheck::LugPlay, at, at - DVec3::Y * gap);
        }
        if let Some(bearing) = self.measured(JobCheck::LugBearing) {
            let at = DVec3::new(x, bar.least.y, rest);
            add(JobCheck::LugBearing, at, at + DVec3::Y * bearing);
        }
        let near = bar.least.y + 12.0;
        if let Some((gap, _)) = clear(&self.surfaces, &bar, DVec3::Z) {
            let at = DVec3::new(x, near, bar.most.z);
            add(JobCheck::BeeSpaceAbove, at, at + DVec3::Z * gap);
        }
        if let Some((gap, _)) = clear(&self.surfaces, &body, DVec3::NEG_Y) {
            let at = DVec3::new(x, body.least.y, rest - 14.0);
            add(JobCheck::BeeSpaceEnds, at, at - DVec3::Y * gap);
        }
        spaces
    }

    /// Elsewhere in the cut along the frames.
    pub fn along(&self) -> Vec<Space> {
        let (_, body) = self.frame();
        let below = clear(&self.surfaces, &body, DVec3::NEG_Z).map(|(gap, _)| {
            let at = DVec3::new(nearest_frame(self.frames), self.frames.middle.1, body.least.z);
            Space { from: at, to: at - DVec3::Z * gap, text: self.text(JobCheck::SpaceBelow) }
        });
        below.into_iter().collect()
    }

    /// In the cut across them.
    pub fn across(&self) -> Vec<Space> {
        let (_, body) = self.frame();
        let half = self.frames.spacing / 2.0;
        let centres: Vec<f64> = self.frames.centres().collect();
        let (Some(first), Some(last)) = (centres.first(), centres.last()) else { return Vec::new() };
        let outermost = Solid {
            least: DVec3::new(last - half, body.least.y, body.least.z),
            most: DVec3::new(last + half, body.most.y, body.most.z),
        };
        let mut spaces = Vec::new();
        if let Some((gap, _)) = clear(&self.surfaces, &outermost, DVec3::X) {
            let at = DVec3::new(last + half, self.frames.middle.1, body.least.z + (body.most.z - body.least.z) * 0.5);
            spaces.push(Space { from: at, to: at + DVec3::X * gap, text: self.text(JobCheck::BeeSpaceSides) });
        }
        let units = self.designed.job.units;
        let text = match centres.len() {
            1 => "1 frame".to_string(),
            count => format!("{count} frames, {} from centre to centre", units.show(self.frames.spacing)),
        };
        let at = DVec3::new(*first, self.frames.middle.1, body.most.z);
        spaces.push(Space { from: at, to: at, text: Some(text) });
        spaces
    }

    /// From where to where it is clear inside, at the height of the frames: front to back, and left to right.
    pub fn clear_inside(&self) -> [Option<[f64; 2]>; 2] {
        let (_, body) = self.frame();
        let half = self.frames.spacing / 2.0;
        let centres: Vec<f64> = self.frames.centres().collect();
        let ends = |least: f64, most: f64, solid: &[Solid; 2], axis: DVec3| {
            let [(before, _), (behind, _)] =
                [clear(&self.surfaces, &solid[0], -axis)?, clear(&self.surfaces, &solid[1], axis)?];
            Some([least - before, most + behind])
        };
        let along = ends(body.least.y, body.most.y, &[body, body], DVec3::Y);
        let across = centres.first().zip(centres.last()).and_then(|(first, last)| {
            let at = |x: f64| Solid {
                least: DVec3::new(x - half, body.least.y, body.least.z),
                most: DVec3::new(x + half, body.most.y, body.most.z),
            };
            ends(first - half, last + half, &[at(*first), at(*last)], DVec3::X)
        });
        [along, across]
    }

    /// Heights over the walls' lower edge that a maker sets out: of the middle of the lowest entrance in front, of the rest, and of
    /// the walls.
    pub fn heights(&self) -> Vec<f64> {
        let walls = || self.assembly.panels.iter().filter(|panel| panel.place.normal().z.abs() < 0.5);
        let front = walls().filter(|panel| panel.place.normal().y < -0.7);
        let entrances = front.flat_map(|panel| {
            let holes = panel.holes.iter().filter(|hole| hole.use_ == HoleUse::Entrance);
            holes.map(|hole| panel.place.to_space(hole.centre, 0.0).z)
        });
        let own = walls().filter(|panel| panel.sub_assembly.is_empty() && panel.bounds().0.z.abs() < 1e-6);
        let top = own.map(|panel| panel.bounds().1.z).fold(self.frames.rest, f64::max);
        let mut heights: Vec<f64> =
            entrances.min_by(f64::total_cmp).into_iter().chain([self.frames.rest, top]).collect();
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|a, b| (*a - *b).abs() < 0.05);
        heights.retain(|height| *height > 0.05);
        heights
    }

    fn finding(&self, check: JobCheck) -> Option<&Finding> {
        let name = &self.assembly.name;
        self.designed
            .findings
            .iter()
            .find(|finding| finding.id == check.into() && finding.subject.starts_with(name.as_str()))
    }

    fn measured(&self, check: JobCheck) -> Option<f64> {
        self.finding(check).and_then(|finding| finding.measured).map(Measure::value)
    }

    /// `bee space at the frame ends 8.4 mm (6 to 9.5 mm)`.
    fn text(&self, check: JobCheck) -> Option<String> {
        let finding = self.finding(check)?;
        let units = self.designed.job.units;
        Some(match finding.figures(units) {
            Some((measured, allowed)) => format!("{} {measured} ({allowed})", check.title()),
            None => format!("{} {}", check.title(), finding.measured?.show(units)),
        })
    }
}
