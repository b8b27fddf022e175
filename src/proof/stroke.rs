//! What a disc sweeps over along one line or arc, as a ring.

use super::flat::Ring;
use crate::geometry::math::{acos, angle_of, cos, sin, unit};
use crate::geometry::{FLATTEN, Point, Segment, Vec2};
use std::f64::consts::{PI, TAU};

/// A cut goes on into the next one's sweep by this much (mm), so that no hair of wood is left between two that touch.
const LAP: f64 = 0.05;

/// How close the chords come to a round end that other cuts cover (mm).
const ROUGH: f64 = 0.1;

/// From one place of a line or a circle to another, and whether these ends are smooth.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    pub from: f64,
    pub to: f64,
    pub smooth: (bool, bool),
}

/// A straight path: a box with round ends.
pub(super) fn capsule(path: &Segment, radius: f64, smooth_start: bool, smooth_end: bool) -> Ring {
    let along = (path.end - path.start).normalize();
    let angle = angle_of(along);
    let aside = Vec2::new(along.y, -along.x) * radius;
    let mut ring = Vec::with_capacity(96);
    if smooth_end {
        let end = path.end + along * LAP;
        ring.extend([end + aside, end - aside].map(|p| [p.x, p.y]));
    } else {
        arc(path.end, radius, angle - PI / 2.0, angle + PI / 2.0, &mut ring);
    }
    if smooth_start {
        let start = path.start - along * LAP;
        ring.extend([start - aside, start + aside].map(|p| [p.x, p.y]));
    } else {
        arc(path.start, radius, angle + PI / 2.0, angle + 1.5 * PI, &mut ring);
    }
    ring
}

/// A counter-clockwise arc at least as wide as the cutter: a sector of a ring with round ends.
pub(super) fn sector(centre: Point, round: f64, radius: f64, span: Span) -> Ring {
    // On the inner side of a tight arc the lap comes to nothing, and two centres, each to the digits that were written,
    // are not one: there the round ends are needed, if only roughly, as the sweep of the next cut covers them.
    let wide = round >= 2.0 * radius;
    let (smooth_start, smooth_end) = (span.smooth.0 && wide, span.smooth.1 && wide);
    let end = |centre, from, smooth, ring: &mut Ring| {
        let close = if smooth { ROUGH } else { FLATTEN };
        arc_within(close, centre, radius, from, from + PI, ring);
    };
    let (lap, first, last) = (LAP / round, span.from, span.to);
    let (from, to) = (if smooth_start { first - lap } else { first }, if smooth_end { last + lap } else { last });
    let place = |angle: f64| centre + unit(angle) * round;
    let mut ring = Vec::with_capacity(160);
    arc(centre, round + radius, from, to, &mut ring);
    if !smooth_end {
        end(place(last), last, span.smooth.1, &mut ring);
    }
    if round - radius > 1e-6 {
        arc(centre, round - radius, to, from, &mut ring);
    } else {
        ring.push([centre.x, centre.y]);
    }
    if !smooth_start {
        end(place(first), first + PI, span.smooth.0, &mut ring);
    }
    ring
}

pub(super) fn disc(centre: Point, radius: f64) -> Ring {
    let mut ring = Vec::with_capacity(96);
    arc(centre, radius, 0.0, TAU, &mut ring);
    ring.pop();
    ring
}

/// Points along an arc, both ends among them, so close that every chord is within [`FLATTEN`] of it.
pub(super) fn arc(centre: Point, radius: f64, from: f64, to: f64, into: &mut Ring) {
    arc_within(FLATTEN, centre, radius, from, to, into);
}

/// The same, with chords that are within `close` of it.
fn arc_within(close: f64, centre: Point, radius: f64, from: f64, to: f64, into: &mut Ring) {
    let step = 2.0 * acos(1.0 - (close / radius).min(1.0));
    let steps = ((to - from).abs() / step).ceil().max(1.0) as usize;
    for i in 0..=steps {
        let angle = from + (to - from) * i as f64 / steps as f64;
        into.push([centre.x + radius * cos(angle), centre.y + radius * sin(angle)]);
    }
}
