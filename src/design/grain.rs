//! Which way the grain of a panel runs, as the panel stands in its box.

use super::{Grain, Panel};
use glam::DVec3;

/// Which way grain is to run, as a maker says it of a panel that stands in its box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// Level: along a wall, from side to side of a floor or a cover.
    Across,
    /// Up a wall; of a floor or a cover from front to back.
    Up,
    /// As it comes out best on the sheet.
    Any,
}

crate::words!(Running: Across = "across", Up = "up", Any = "any");

/// A panel whose outer face leans less than this from upright stands like a wall: the height of its normal.
const WALL: f64 = 0.7;
/// A strip is at least so many times as long as it is wide, and no wider than this (mm): its grain runs along it, whatever it is.
const STRIP: f64 = 2.0;
const STRIP_WIDTH: f64 = 60.0;

impl Panel {
    /// Does it stand like a wall, rather than lie like a floor or a roof?
    pub fn is_upright(&self) -> bool {
        self.place.normal().z.abs() < WALL
    }

    /// The grain that runs so, in the panel's own frame.
    pub fn grain_running(&self, running: Running) -> Grain {
        let (u, v) = (self.place.u, self.place.v);
        let u_is_up = if self.is_upright() { u.z.abs() > v.z.abs() } else { u.y.abs() > v.y.abs() };
        match running {
            Running::Any => Grain::Any,
            Running::Up if u_is_up => Grain::Long,
            Running::Across if !u_is_up => Grain::Long,
            _ => Grain::Cross,
        }
    }

    /// The grain along its longer side; along a wall where both are the same.
    pub fn grain_along_longer(&self) -> Grain {
        let bounds = self.outline.bounds();
        let (u, v) = (bounds.width(), bounds.height());
        match u - v {
            more if more.abs() < 0.5 => self.grain_running(Running::Across),
            more if more > 0.0 => Grain::Long,
            _ => Grain::Cross,
        }
    }

    /// A cleat, a rail, a ledge: too narrow for its grain to run any way but along it.
    pub fn is_strip(&self) -> bool {
        let bounds = self.outline.bounds();
        let (short, long) = (bounds.width().min(bounds.height()), bounds.width().max(bounds.height()));
        short <= STRIP_WIDTH && long >= STRIP * short
    }

    /// Along the grain and across it, in space; `None` where it may run any way.
    pub fn along_and_across(&self) -> Option<(DVec3, DVec3)> {
        match self.grain {
            Grain::Long => Some((self.place.u, self.place.v)),
            Grain::Cross => Some((self.place.v, self.place.u)),
            Grain::Any => None,
        }
    }

    /// Its size across the grain (mm).
    pub fn across_grain(&self) -> Option<f64> {
        let bounds = self.outline.bounds();
        match self.grain {
            Grain::Long => Some(bounds.height()),
            Grain::Cross => Some(bounds.width()),
            Grain::Any => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Facing;
    use super::*;

    #[test]
    fn up_is_up_a_wall_and_front_to_back_on_a_floor() {
        let size = DVec3::new(200.0, 300.0, 400.0);
        for facing in [Facing::Front, Facing::Back, Facing::Left, Facing::Right, Facing::Up, Facing::Down] {
            let mut panel = Panel::block("p", "p", facing, DVec3::ZERO, size);
            let wanted = if panel.is_upright() { DVec3::Z } else { DVec3::Y };
            for (running, up) in [(Running::Up, true), (Running::Across, false)] {
                panel.grain = panel.grain_running(running);
                let (along, across) = panel.along_and_across().expect("it has a direction");
                let towards = if up { along } else { across };
                assert!(towards.dot(wanted).abs() > 0.999, "{facing:?} {running:?}");
            }
        }
    }

    #[test]
    fn the_longer_side_is_the_one_along_the_grain() {
        let wall = Panel::block("w", "w", Facing::Front, DVec3::ZERO, DVec3::new(150.0, 12.0, 400.0));
        assert_eq!(wall.grain_along_longer(), Grain::Cross);
        let square = Panel::block("s", "s", Facing::Front, DVec3::ZERO, DVec3::new(150.0, 12.0, 150.0));
        assert_eq!(square.grain_along_longer(), Grain::Long);
        assert!(!wall.is_strip());
        assert!(Panel::flat("cleat", 300.0, 19.0, 19.0).is_strip());
    }
}
