//! Holes for the screws of joints. A screw fills its own: they are no openings into the box, and no check takes them for any.

use super::{Face, Hole, HoleUse};
use crate::geometry::{Affine, Outline, Point};
use crate::units::Units;

/// Which of a screw's two holes it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bored {
    /// In the first board, which is to slide on the shank.
    Clearance,
    /// In the second, which the thread is to grip.
    Pilot,
}

impl Bored {
    pub fn name(self) -> &'static str {
        match self {
            Bored::Clearance => "clearance",
            Bored::Pilot => "pilot",
        }
    }
}

/// A round hole in a panel, in its frame; on a part, in the part's.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewHole {
    pub bored: Bored,
    pub centre: Point,
    pub diameter: f64,
    /// How deep it is as wide as that (mm); `None` right through.
    pub depth: Option<f64>,
    /// The face that it is bored from.
    pub face: Face,
    /// The router bores it; else a hand does.
    pub by_router: bool,
}

impl ScrewHole {
    pub fn outline(&self) -> Outline {
        Outline::circle(self.centre, self.diameter)
    }

    /// As a hole of the same place and size, for whoever draws them all alike.
    pub fn drawn(&self) -> Hole {
        let use_ = match self.bored {
            Bored::Clearance => HoleUse::Clearance,
            Bored::Pilot => HoleUse::Pilot,
        };
        Hole::round(use_, self.centre, self.diameter)
    }

    /// `⌀2.5 pilot, 12 deep, by hand`. `beside` a router a hand's own holes are told from its.
    pub fn called(&self, units: Units, beside: bool) -> String {
        let deep = self.depth.map_or_else(String::new, |depth| format!(", {} deep", units.number(depth)));
        let hand = if beside && !self.by_router { ", by hand" } else { "" };
        format!("⌀{} {}{deep}{hand}", units.number(self.diameter), self.bored.name())
    }

    /// In another frame.
    pub(super) fn placed(&self, by: Affine) -> ScrewHole {
        ScrewHole { centre: by * self.centre, ..self.clone() }
    }
}

/// Pilots in an edge of a panel, of the screws of one joint: drilled through the first board when the two are put together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgePilots {
    pub count: u32,
    pub diameter: f64,
    pub depth: f64,
}
