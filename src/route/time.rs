//! How long a run takes and how far the tool goes.

use super::moves::{Move, Space};
use super::{Route, Run};
use crate::geometry::Point;
use crate::profile::Machine;

/// Lengths in millimetres, time in minutes; tool changes are the maker's own time and not in it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Travel {
    pub minutes: f64,
    pub cut: f64,
    pub rapid: f64,
}

impl Route {
    pub fn travel(&self, machine: &Machine) -> Travel {
        self.runs.iter().map(|run| run.travel(machine)).fold(Travel::default(), |a, b| Travel {
            minutes: a.minutes + b.minutes,
            cut: a.cut + b.cut,
            rapid: a.rapid + b.rapid,
        })
    }
}

impl Run {
    /// From the park position above the sheet's origin, through every move.
    pub fn travel(&self, machine: &Machine) -> Travel {
        let mut travel = Travel { minutes: machine.spin_up.value / 60.0, ..Travel::default() };
        let mut at = Space::new(Point::ORIGIN, machine.clear.value);
        for step in self.operations.iter().flat_map(|operation| &operation.moves) {
            let length = step.length(at);
            match *step {
                Move::Rapid(_) => travel.add_rapid(length, machine),
                Move::Line { feed, .. } | Move::Arc { feed, .. } => travel.add_cut(length, feed),
                Move::Drill { top, bottom, peck, feed, .. } => {
                    travel.add_cut(top - bottom, feed);
                    // Out and in again after each peck but the last.
                    let mut reached = top - peck;
                    while reached > bottom {
                        travel.add_rapid(2.0 * (top - reached), machine);
                        reached -= peck;
                    }
                    travel.add_rapid(length, machine);
                }
            }
            at = step.end();
        }
        travel
    }
}

impl Travel {
    fn add_rapid(&mut self, length: f64, machine: &Machine) {
        self.rapid += length;
        self.minutes += length / machine.rapid.value;
    }

    fn add_cut(&mut self, length: f64, feed: f64) {
        self.cut += length;
        self.minutes += length / feed;
    }
}
