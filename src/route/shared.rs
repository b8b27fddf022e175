//! Tabs of one piece that reach into the slot around another: neither cut may take them.
//!
//! Pieces lie so close that the slots around two of them are often one. A tab that only its own piece's cut spares would
//! end in the air.

use super::track::Track;
use super::{CutterAt, Tab};
use crate::design::Part;
use crate::geometry::math::hypot;
use crate::geometry::{Affine, Point, Rect, Vec2};

/// The tabs of other pieces that come into reach of the cutter on its path around this one, in the part's frame.
pub(super) fn near(tabs: &[Tab], placement: usize, place: Affine, part: &Part, cutter: &CutterAt) -> Vec<Tab> {
    let reach = cutter.diameter() + cutter.finish();
    let bounds = part.outline.bounds().inflate(reach, reach);
    let back = place.inverse();
    tabs.iter()
        .filter(|tab| tab.placement != placement)
        .map(|tab| tab.of(tab.placement, back))
        .filter(|tab| {
            let wood = tab.wood(cutter);
            wood.x0 <= bounds.x1 && bounds.x0 <= wood.x1 && wood.y0 <= bounds.y1 && bounds.y0 <= wood.y1
        })
        .collect()
}

impl Tab {
    /// Away from the part: on the left of the cutter's path when it climbs.
    fn outwards(&self, cutter: &CutterAt) -> Vec2 {
        Vec2::new(-self.along.y, self.along.x) * if cutter.climb() { 1.0 } else { -1.0 }
    }

    /// How far a tab's wood goes: across the slot, and as far again into what it stands on as it is wide.
    fn depth(&self, cutter: &CutterAt) -> f64 {
        cutter.diameter() + cutter.finish() + self.width
    }

    /// Rectangle around the tab's wood.
    fn wood(&self, cutter: &CutterAt) -> Rect {
        let (side, out) = (self.along * (self.width / 2.0), self.outwards(cutter) * self.depth(cutter));
        Rect::from_points(self.at - side, self.at + side)
            .union(Rect::from_points(self.at - side + out, self.at + side + out))
    }

    /// Distance from a place to the tab's wood, 0 in it.
    fn distance(&self, at: Point, cutter: &CutterAt) -> f64 {
        let arm = at - self.at;
        let (along, out) = (arm.dot(self.along).abs(), arm.dot(self.outwards(cutter)));
        let aside = (along - self.width / 2.0).max(0.0);
        let beyond = (-out).max(out - self.depth(cutter)).max(0.0);
        hypot(aside, beyond)
    }

    /// The stretches of a track on which the cutter would take some of the tab's wood.
    pub(super) fn on(&self, track: &Track, cutter: &CutterAt) -> Vec<(f64, f64)> {
        /// Looked at in places so close together (mm).
        const STEP: f64 = 0.5;
        let takes = |s: f64| self.distance(track.at(s), cutter) < cutter.radius() - 1e-6;
        // From outside to inside, halved until it is sharp.
        let edge = |mut outside: f64, mut inside: f64| {
            while (inside - outside).abs() > 1e-4 {
                let middle = f64::midpoint(outside, inside);
                if takes(middle) { inside = middle } else { outside = middle }
            }
            outside
        };
        let steps = (track.length() / STEP).ceil().max(1.0);
        let place = |i: u32| track.length() * f64::from(i) / steps;
        let steps = steps as u32;
        let Some(first) = (0..steps).find(|i| !takes(place(*i))) else { return vec![(0.0, track.length())] };
        let mut spans = Vec::new();
        let mut began = None;
        for i in first + 1..=first + steps {
            match (began, takes(place(i))) {
                (None, true) => began = Some(edge(place(i - 1), place(i))),
                (Some(from), false) => {
                    spans.push((from, edge(place(i), place(i - 1))));
                    began = None;
                }
                _ => {}
            }
        }
        spans
    }
}
