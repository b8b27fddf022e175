//! Lead-in and lead-out: onto a track and off it from beside it, where the wood is waste.

use super::track::Track;
use crate::geometry::math::{atan, tan};
use crate::geometry::{Segment, Vec2};
use crate::job::Lead;

/// How leads are made on one track.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leads {
    pub style: Lead,
    /// How far beside the track they begin and end (mm); 0 for leads on the track itself.
    pub off: f64,
    /// The waste is on the left of the track.
    pub waste_left: bool,
}

impl Leads {
    /// From beside the track to it at `s`; `reach` is how far ahead of `s` the lead begins.
    ///
    /// An arc touches the track at `s`: there the cutter already goes in the track's direction, and leaves no mark.
    pub fn onto(&self, track: &Track, s: f64, reach: f64) -> Segment {
        let (at, along) = (track.at(s), track.direction(s));
        let start = at - along * reach + self.aside(along);
        Segment { start, end: at, bulge: self.bulge(reach) }
    }

    /// Off the track from `s`: the mirror image of a lead onto it.
    pub fn off(&self, track: &Track, s: f64, reach: f64) -> Segment {
        let (at, along) = (track.at(s), track.direction(s));
        Segment { start: at, end: at + along * reach + self.aside(along), bulge: self.bulge(reach) }
    }

    fn aside(&self, along: Vec2) -> Vec2 {
        let left = Vec2::new(-along.y, along.x);
        left * if self.waste_left { self.off } else { -self.off }
    }

    fn bulge(&self, reach: f64) -> f64 {
        // The arc turns by twice the angle of its chord to the track.
        let quarter = atan(self.off / reach) / 2.0;
        match self.style {
            Lead::Arc if self.off > 0.0 => tan(quarter) * if self.waste_left { 1.0 } else { -1.0 },
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Outline, Point};

    /// The arc's direction at the track is the track's own, and it stays on the waste's side.
    #[test]
    fn an_arc_touches_the_track() {
        let track = Track::new(&Outline::rectangle(200.0, 100.0));
        for waste_left in [true, false] {
            let leads = Leads { style: Lead::Arc, off: 2.0, waste_left };
            let onto = leads.onto(&track, 60.0, 20.0);
            assert!(onto.direction(1.0).cross(Vec2::new(1.0, 0.0)).abs() < 1e-9);
            assert!(onto.end.distance(Point::new(60.0, 0.0)) < 1e-9);
            let side = if waste_left { 1.0 } else { -1.0 };
            for t in [0.0, 0.3, 0.7] {
                assert!(onto.at(t).y * side > 0.0);
            }
            let off = leads.off(&track, 60.0, 20.0);
            assert!(off.direction(0.0).cross(Vec2::new(1.0, 0.0)).abs() < 1e-9);
            assert!((off.end.y - 2.0 * side).abs() < 1e-9);
        }
    }
}
