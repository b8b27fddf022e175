//! A box as its solid wood has moved: wider or narrower across the grain, at another moisture than it was cut at.

use super::Subject;
use crate::design::{Assembly, Panel};
use crate::geometry::{Affine, Place, Rect};
use glam::DVec3;

const AXES: [DVec3; 3] = [DVec3::X, DVec3::Y, DVec3::Z];
/// A panel that reaches over this share of its sub-assembly holds it, or moves it; cleats do not.
const HOLDS: f64 = 0.5;
/// Directions this near to each other are the same.
const ALONG: f64 = 0.9;

/// How a sub-assembly moves: it grows about a point by so much along each axis, and the point moves along.
#[derive(Clone, Copy, Debug)]
struct Growth {
    about: DVec3,
    /// 1 where nothing moves.
    by: DVec3,
    shift: DVec3,
}

impl Growth {
    fn place(&self, at: DVec3) -> DVec3 {
        self.about + (at - self.about) * self.by + self.shift
    }

    fn panel(&self, panel: &Panel) -> Panel {
        let (u, v) = (panel.place.u * self.by, panel.place.v * self.by);
        let along = u.normalize();
        let up = (v - along * v.dot(along)).normalize();
        let flat = Affine::new([u.length(), 0.0, 0.0, v.length(), 0.0, 0.0]);
        let thicker = (panel.place.normal() * self.by).length();
        let mut moved = panel.clone();
        moved.place = Place::new(self.place(panel.place.origin), along, up);
        moved.outline = panel.outline.transformed(flat);
        moved.thickness *= thicker;
        for hole in &mut moved.holes {
            hole.centre = flat * hole.centre;
        }
        for pocket in &mut moved.pockets {
            pocket.outline = pocket.outline.transformed(flat);
            pocket.depth *= thicker;
        }
        moved
    }
}

/// The box at this moisture, in per cent. Along each axis the panels with their grain along it hold the others, as the walls of a
/// hive hold its length; where all move, the box moves.
pub(super) fn at(subject: &Subject, moisture: f64) -> Assembly {
    let assembly = subject.assembly;
    let own = growth(subject, "", moisture);
    let mut moved = assembly.clone();
    for panel in &mut moved.panels {
        let growth = if panel.sub_assembly.is_empty() {
            own
        } else {
            let rests = growth(subject, &panel.sub_assembly, moisture);
            // What comes off goes with the place where it lies: a cover with the upper edge.
            let (low, high) = (subject.lower_edge(), subject.upper_edge());
            let lies = DVec3::new(rests.about.x, rests.about.y, rests.about.z.clamp(low, high));
            Growth { shift: own.place(lies) - lies, ..rests }
        };
        *panel = growth.panel(panel);
    }
    if let Some(frames) = &mut moved.frames {
        let middle = own.place(DVec3::new(frames.middle.0, frames.middle.1, frames.rest));
        for (_, x) in &mut frames.rooms {
            *x = own.place(DVec3::new(*x, middle.y, frames.rest)).x;
        }
        (frames.middle, frames.rest) = ((middle.x, middle.y), middle.z);
    }
    if let Some(footprint) = &mut moved.footprint {
        let corner = |x, y, z| own.place(DVec3::new(x, y, z));
        let outside = footprint.outside;
        let (least, most) =
            (corner(outside.x0, outside.y0, footprint.lower), corner(outside.x1, outside.y1, footprint.upper));
        footprint.outside = Rect::new(least.x, least.y, most.x, most.y);
        (footprint.lower, footprint.upper) = (least.z, most.z);
    }
    moved
}

fn growth(subject: &Subject, sub_assembly: &str, moisture: f64) -> Growth {
    // Legs and what else is added go along with the box.
    let own = |panel: &&Panel| panel.sub_assembly == sub_assembly && panel.added.is_none();
    let panels = || subject.assembly.panels.iter().filter(own);
    let (least, most) = panels()
        .map(Panel::bounds)
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |all, one| (all.0.min(one.0), all.1.max(one.1)));
    let middle = (least + most) / 2.0;
    // A box stands on its lower edge.
    let about = if sub_assembly.is_empty() { DVec3::new(middle.x, middle.y, 0.0) } else { middle };
    let by = AXES.map(|axis| {
        let whole = (most - least).dot(axis);
        let holds = |panel: &&Panel| {
            let (from, to) = panel.bounds();
            panel.place.normal().dot(axis).abs() < 1.0 - ALONG && (to - from).dot(axis) >= HOLDS * whole
        };
        let shares = panels().filter(holds).map(|panel| share(subject, panel, axis, moisture));
        shares.min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0)
    });
    Growth { about, by: DVec3::ONE + DVec3::from_array(by), shift: DVec3::ZERO }
}

/// The share of its size by which a panel grows along an axis in its plane.
fn share(subject: &Subject, panel: &Panel, axis: DVec3, moisture: f64) -> f64 {
    let Some((wood, now)) = subject.wood(panel) else { return 0.0 };
    let across = panel.along_and_across().is_some_and(|(_, across)| across.dot(axis).abs() > ALONG);
    if across { wood.moves(1.0, now.now, moisture) } else { 0.0 }
}
