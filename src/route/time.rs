//! How long a run takes and how far the tool goes.
//!
//! A machine cannot jump to a feed: it speeds up, slows down before corners and on small arcs, and stops where it turns
//! back. Each move's speed is a trapezoid over its length; where two moves meet, the speed is such that a corner rounded
//! by the machine's corner tolerance would be taken at its acceleration (the usual model of motion controllers).

use super::moves::{Drilling, Move, Space};
use super::{OperationKind, Route, Run};
use crate::geometry::{Point, Vec2};
use crate::profile::Machine;
use std::collections::BTreeMap;

/// Lengths in millimetres, time in minutes. Tool changes and stops are the maker's own time and not in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Travel {
    pub minutes: f64,
    pub cut: f64,
    pub rapid: f64,
    /// How often a tool goes into wood from above.
    pub pierces: u32,
    /// Minutes of the moves of each kind of operation, with the travel to each. The spindle's start is in none of them.
    pub by_kind: BTreeMap<OperationKind, f64>,
    /// Minutes of rapid moves sideways; and of those straight up and down above the wood.
    pub sideways: f64,
    pub upright: f64,
}

impl Route {
    pub fn travel(&self, machine: &Machine) -> Travel {
        let mut whole = Travel::default();
        let [x, y] = machine.park.value;
        let mut at = Space::new(Point::new(x, y), machine.clear.value);
        for run in &self.runs {
            whole.add(&run.travel_from(machine, &mut at));
        }
        whole.home(machine, at);
        whole
    }
}

impl Run {
    /// From the park position, through every move, and back.
    pub fn travel(&self, machine: &Machine) -> Travel {
        let [x, y] = machine.park.value;
        let mut at = Space::new(Point::new(x, y), machine.clear.value);
        let mut travel = self.travel_from(machine, &mut at);
        travel.home(machine, at);
        travel
    }

    fn travel_from(&self, machine: &Machine, at: &mut Space) -> Travel {
        let mut travel = Travel { minutes: machine.spin_up.value / 60.0, ..Travel::default() };
        let mut legs = Vec::new();
        for operation in &self.operations {
            let mut inside = false;
            for step in &operation.moves {
                let before = legs.len();
                expand(step, at, machine, operation.kind, &mut legs);
                for leg in &legs[before..] {
                    let into = !leg.rapid && leg.to_z < 0.0;
                    travel.pierces += u32::from(into && !inside);
                    inside = if leg.rapid { leg.to_z < 0.0 && inside } else { into };
                }
                if let Move::Drill(drilling) = step {
                    travel.minutes += drilling.dwell / 60.0;
                    *travel.by_kind.entry(operation.kind).or_default() += drilling.dwell / 60.0;
                    inside = false;
                }
            }
        }
        for (leg, seconds) in legs.iter().zip(times(&legs, machine)) {
            travel.minutes += seconds / 60.0;
            *travel.by_kind.entry(leg.kind).or_default() += seconds / 60.0;
            *(if leg.rapid { &mut travel.rapid } else { &mut travel.cut }) += leg.length;
            if leg.rapid {
                let level = leg.first[2].abs() < 0.5;
                *(if level { &mut travel.sideways } else { &mut travel.upright }) += seconds / 60.0;
            }
        }
        travel
    }
}

impl Travel {
    fn add(&mut self, other: &Travel) {
        self.minutes += other.minutes;
        self.cut += other.cut;
        self.rapid += other.rapid;
        self.pierces += other.pierces;
        self.sideways += other.sideways;
        self.upright += other.upright;
        for (kind, minutes) in &other.by_kind {
            *self.by_kind.entry(*kind).or_default() += minutes;
        }
    }

    /// The travel to the park position.
    fn home(&mut self, machine: &Machine, at: Space) {
        let [x, y] = machine.park.value;
        let distance = at.flat().distance(Point::new(x, y));
        self.rapid += distance;
        let (v, a) = (machine.rapid.value / 60.0, machine.acceleration.value);
        let minutes = trapezoid(distance, 0.0, v, 0.0, a) / 60.0;
        self.minutes += minutes;
        self.sideways += minutes;
    }
}

/// A stretch without a corner.
struct Leg {
    kind: OperationKind,
    rapid: bool,
    length: f64,
    /// Highest speed on it, mm/s.
    speed: f64,
    /// Unit vectors at its two ends.
    first: [f64; 3],
    last: [f64; 3],
    to_z: f64,
}

/// Appends the legs of a move.
fn expand(step: &Move, at: &mut Space, machine: &Machine, kind: OperationKind, legs: &mut Vec<Leg>) {
    let rapid = machine.rapid.value;
    let mut straight = |to: Space, feed: f64, rapid: bool| {
        let length = at.distance(to);
        if length > 1e-9 {
            let direction = [(to.x - at.x) / length, (to.y - at.y) / length, (to.z - at.z) / length];
            legs.push(Leg { kind, rapid, length, speed: feed / 60.0, first: direction, last: direction, to_z: to.z });
        }
        *at = to;
    };
    match *step {
        Move::Rapid(to) => straight(to, rapid, true),
        Move::Line { to, feed } => straight(to, feed, false),
        Move::Drill(drilling) => {
            let above = |z: f64| Space::new(drilling.at, z);
            straight(above(drilling.top), rapid, true);
            let mut reached = drilling.top;
            for bottom in drilling.pecks() {
                if reached < drilling.top {
                    straight(above((reached + Drilling::CLEAR).min(drilling.top)), rapid, true);
                }
                straight(above(bottom), drilling.feed, false);
                straight(above(drilling.top), rapid, true);
                reached = bottom;
            }
            straight(above(drilling.out), rapid, true);
        }
        Move::Arc { to, centre, clockwise, feed } => {
            let length = step.length(*at);
            if length > 1e-9 {
                let radius = to.flat().distance(centre);
                let rise = (to.z - at.z) / length;
                let level = (1.0 - rise * rise).max(0.0).sqrt();
                let along = |p: Point| {
                    let arm = (p - centre).normalize();
                    let tangent = if clockwise { Vec2::new(arm.y, -arm.x) } else { Vec2::new(-arm.y, arm.x) };
                    [tangent.x * level, tangent.y * level, rise]
                };
                let (first, last) = (along(at.flat()), along(to.flat()));
                let bent = (machine.acceleration.value * radius).sqrt();
                legs.push(Leg { kind, rapid: false, length, speed: (feed / 60.0).min(bent), first, last, to_z: to.z });
            }
            *at = to;
        }
    }
}

/// Seconds for each leg, from a standstill to a standstill.
fn times(legs: &[Leg], machine: &Machine) -> Vec<f64> {
    let a = machine.acceleration.value;
    // Speeds at the legs' ends: first what the corners allow, then what can be reached and braked from.
    let mut meeting = vec![0.0; legs.len() + 1];
    for i in 1..legs.len() {
        meeting[i] = corner_speed(&legs[i - 1], &legs[i], a, machine.corner.value);
    }
    for (i, leg) in legs.iter().enumerate() {
        meeting[i + 1] = f64::min(meeting[i + 1], (meeting[i] * meeting[i] + 2.0 * a * leg.length).sqrt());
    }
    for (i, leg) in legs.iter().enumerate().rev() {
        meeting[i] = f64::min(meeting[i], (meeting[i + 1] * meeting[i + 1] + 2.0 * a * leg.length).sqrt());
    }
    legs.iter().enumerate().map(|(i, leg)| trapezoid(leg.length, meeting[i], leg.speed, meeting[i + 1], a)).collect()
}

/// Speed at which two legs may meet: that of a circle which rounds their corner by `tolerance`.
fn corner_speed(before: &Leg, after: &Leg, acceleration: f64, tolerance: f64) -> f64 {
    let most = before.speed.min(after.speed);
    let turn: f64 = before.last.iter().zip(after.first).map(|(a, b)| a * b).sum();
    let half = ((1.0 + turn) / 2.0).max(0.0).sqrt();
    if half > 1.0 - 1e-9 {
        return most;
    }
    // `half` is the cosine of half the turn, which is the sine of half the angle between the two legs.
    most.min((acceleration * tolerance * half / (1.0 - half)).sqrt())
}

/// Seconds over a length from one speed to another, at most at `most` between them.
fn trapezoid(length: f64, from: f64, most: f64, to: f64, a: f64) -> f64 {
    if length <= 0.0 {
        return 0.0;
    }
    let peak = f64::min(most, ((2.0 * a * length + from * from + to * to) / 2.0).sqrt()).max(from.max(to));
    let ramps = (2.0 * peak * peak - from * from - to * to) / (2.0 * a);
    (2.0 * peak - from - to) / a + (length - ramps).max(0.0) / peak.max(1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A body sped up by 500 mm/s² reaches 100 mm/s after 0.2 s and 10 mm, and needs as much to stop.
    #[test]
    fn a_trapezoid_s_time_is_that_of_even_acceleration() {
        let time = |length| trapezoid(length, 0.0, 100.0, 0.0, 500.0);
        assert!((time(20.0) - 0.4).abs() < 1e-9, "speeds up and stops");
        assert!((time(120.0) - (0.4 + 1.0)).abs() < 1e-9, "100 mm at full speed between");
        assert!((time(5.0) - 2.0 * (5.0f64 / 500.0).sqrt()).abs() < 1e-9, "too short to reach full speed");
        assert!((trapezoid(30.0, 100.0, 100.0, 100.0, 500.0) - 0.3).abs() < 1e-9);
    }

    #[test]
    fn a_sharp_corner_slows_down_and_a_straight_line_does_not() {
        let leg = |direction: [f64; 3]| Leg {
            kind: OperationKind::Outline,
            rapid: false,
            length: 100.0,
            speed: 100.0,
            first: direction,
            last: direction,
            to_z: -1.0,
        };
        let east = leg([1.0, 0.0, 0.0]);
        let at = |direction| corner_speed(&east, &leg(direction), 500.0, 0.02);
        assert_eq!(at([1.0, 0.0, 0.0]), 100.0);
        let square = at([0.0, 1.0, 0.0]);
        assert!(square > 1.0 && square < 10.0, "{square}");
        assert_eq!(at([-1.0, 0.0, 0.0]), 0.0, "a turn back is a stop");
    }
}
