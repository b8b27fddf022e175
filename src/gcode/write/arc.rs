//! Arcs in the digits of a program.

use crate::geometry::math::{angle_of, asin, unit};
use crate::geometry::{Point, Vec2};
use std::f64::consts::TAU;

/// Start and end of an arc may differ by this much in their distance from its centre: what NIST IR 6556 allows, 0.002 mm
/// or 0.0002 in.
pub(super) fn allowed(millimetres: bool) -> f64 {
    if millimetres { 0.002 } else { 0.0002 }
}

/// The angle an arc turns through, up to a whole turn.
pub(super) fn turn(start: Point, end: Point, centre: Point, clockwise: bool) -> f64 {
    let (start, end) = (angle_of(start - centre), angle_of(end - centre));
    let turn = if clockwise { start - end } else { end - start }.rem_euclid(TAU);
    // Rounded ends of a very short arc may have passed each other.
    if turn > TAU - 1e-6 { 0.0 } else { turn }
}

/// How far an arc may stray from what is meant, in units of the program, one of which is `scale` mm: the proof holds a cut to a
/// digit and a half, and to a hundredth of a millimetre for what it rounds itself.
pub(super) fn strays_at_most(digit: f64, scale: f64) -> f64 {
    /// Besides a digit (mm).
    const HAIR: f64 = 0.003;
    digit + HAIR / scale
}

/// How far an arc about `middle` strays from the circle that is meant, whose centre and radius are given.
///
/// Both ends are rounded and the centre once more, so over a long arc between two ends that are right its far side may be
/// off by several digits.
pub(super) fn strays(start: Point, end: Point, middle: Point, clockwise: bool, meant: (Point, f64)) -> f64 {
    /// It is looked at in so many places: between two of them a long arc's distance changes by a hundredth.
    const PLACES: u32 = 16;
    let (from, radius) = (angle_of(start - middle), f64::midpoint(middle.distance(start), middle.distance(end)));
    let sweep = turn(start, end, middle, clockwise) * if clockwise { -1.0 } else { 1.0 };
    let off = |i: u32| {
        let at = middle + unit(from + sweep * f64::from(i) / f64::from(PLACES)) * radius;
        (at.distance(meant.0) - meant.1).abs()
    };
    (0..=PLACES).map(off).fold(0.0, f64::max)
}

/// The centre of an arc of less than half a turn by its radius.
pub(super) fn middle(start: Point, end: Point, radius: f64, clockwise: bool) -> Point {
    let (chord, half) = (end - start, start.distance(end) / 2.0);
    let left = Vec2::new(-chord.y, chord.x) / chord.hypot();
    let off = (radius * radius - half * half).max(0.0).sqrt();
    start.midpoint(end) + left * if clockwise { -off } else { off }
}

/// The centre of an arc as the digits of I and J, counted from the start: `None` when no such digits make both ends
/// equally far from it.
///
/// `start` and `end` are in the digits of the program already, which moves them; the centre is moved along so that both
/// are again equally far from it, and is then the best of the places around that can be written.
pub(super) fn arms(start: Point, end: Point, centre: Point, digit: f64, allowed: f64) -> Option<(f64, f64)> {
    let chord = end - start;
    let middle = start.midpoint(end);
    let fitted = centre - chord * ((centre - middle).dot(chord) / chord.hypot2());
    let arm = fitted - start;
    let (i, j) = ((arm.x / digit).round(), (arm.y / digit).round());
    let mut best: Option<(f64, (f64, f64))> = None;
    for di in -2..=2 {
        for dj in -2..=2 {
            let (i, j) = ((i + f64::from(di)) * digit, (j + f64::from(dj)) * digit);
            let place = Point::new(start.x + i, start.y + j);
            // Ends may differ by as much as this arc is from its centre: it would turn about the place where it starts.
            if place.distance(start).min(place.distance(end)) < allowed + digit {
                continue;
            }
            let disagreement = (place.distance(start) - place.distance(end)).abs();
            // A hair inside what is allowed, for the reader's own arithmetic.
            if disagreement > allowed * 0.95 {
                continue;
            }
            let score = place.distance(fitted) + disagreement;
            if best.is_none_or(|(least, _)| score < least) {
                best = Some((score, (i, j)));
            }
        }
    }
    best.map(|(_, arms)| arms)
}

/// The radius to write for an arc of less than half a turn: never less than half its chord.
pub(super) fn radius(start: Point, end: Point, centre: Point, digit: f64) -> f64 {
    let half = start.distance(end) / 2.0;
    let radius = f64::midpoint(centre.distance(start), centre.distance(end));
    let rounded = (radius / digit).round() * digit;
    if rounded < half { (half / digit).ceil() * digit } else { rounded }
}

/// Length of an arc of less than half a turn by its radius.
pub(super) fn length(start: Point, end: Point, radius: f64) -> f64 {
    2.0 * radius * asin((start.distance(end) / 2.0 / radius).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// An arc whose ends are rounded to the digits of a program; what I and J then say.
    fn written(centre: Point, radius: f64, from: f64, turn: f64, digit: f64, allowed: f64) -> Option<f64> {
        let snap = |angle: f64| {
            let at = centre + (radius * angle.cos(), radius * angle.sin());
            Point::new((at.x / digit).round() * digit, (at.y / digit).round() * digit)
        };
        let (start, end) = (snap(from), snap(from + turn));
        if start.distance(end) < 5.0 * digit {
            return Some(0.0); // Written as a straight line.
        }
        let (i, j) = arms(start, end, centre, digit, allowed)?;
        let places = (-digit.log10()).round() as usize;
        // As a reader sees it: in the printed digits.
        let read = |value: f64| format!("{value:.places$}").parse::<f64>().expect("a number");
        let start = Point::new(read(start.x), read(start.y));
        let end = Point::new(read(end.x), read(end.y));
        let centre = Point::new(start.x + read(i), start.y + read(j));
        Some((centre.distance(start) - centre.distance(end)).abs())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]
        /// NIST IR 6556 (from memory): the two radii of an arc in centre form agree within 0.002 mm or 0.0002 in.
        #[test]
        fn both_ends_of_a_written_arc_are_equally_far_from_its_centre(
            x in -100.0..3000.0f64, y in -100.0..1600.0f64,
            radius in 0.05..2000.0f64, from in 0.0..6.2f64, turn in -4.7..4.7f64,
        ) {
            let centre = Point::new(x, y);
            for (digit, allowed) in [(1e-3, 0.002), (1e-4, 0.002), (1e-4, 0.0002)] {
                let disagreement = written(centre, radius, from, turn, digit, allowed);
                prop_assert!(disagreement.is_some(), "no digits at {digit}");
                prop_assert!(disagreement.is_some_and(|d| d <= allowed), "{disagreement:?} at {digit}");
            }
            // Three decimals of an inch are coarse: where it cannot be had, the arc is not written as one.
            for (digit, allowed) in [(1e-3, 0.0002), (1e-2, 0.002)] {
                let disagreement = written(centre, radius, from, turn, digit, allowed);
                prop_assert!(disagreement.is_none_or(|d| d <= allowed), "{disagreement:?} at {digit}");
            }
        }

        /// With many digits a circle may be smaller than what its ends may differ by: its centre is still another place.
        #[test]
        fn no_arc_is_about_one_of_its_ends(
            radius in 2e-5..0.01f64, from in 0.0..6.2f64, turn in 0.1..3.0f64, digit in prop::sample::select(vec![1e-5, 1e-6]),
        ) {
            let snap = |at: Point| Point::new((at.x / digit).round() * digit, (at.y / digit).round() * digit);
            let centre = Point::new(12.0, 7.0);
            let (start, end) = (snap(centre + unit(from) * radius), snap(centre + unit(from + turn) * radius));
            prop_assume!(start.distance(end) > digit / 2.0);
            if let Some((i, j)) = arms(start, end, centre, digit, 0.002) {
                prop_assert!(i.hypot(j) > 0.002, "{i} {j}");
            }
        }

        /// A circle about a place near the middle that was meant is nowhere further off than by that, and off by that somewhere.
        #[test]
        fn what_an_arc_strays_is_told_over_all_of_it(
            radius in 20.0..300.0f64, off in 0.0..0.05f64, towards in 0.0..6.2f64, turn in 0.1..4.7f64,
        ) {
            let (meant, middle) = (Point::new(40.0, 30.0), Point::new(40.0, 30.0) + unit(towards) * off);
            let at = |angle: f64| middle + unit(angle) * radius;
            let told = |from: f64, to: f64| strays(at(from), at(to), middle, false, (meant, radius));
            prop_assert!(told(towards - turn / 2.0, towards + turn / 2.0) >= 0.99 * off - 1e-9);
            prop_assert!(told(towards - turn / 2.0, towards + turn / 2.0) <= off + 1e-9);
            // Square to where it is off, a short arc shows little of it.
            let beside = towards + std::f64::consts::FRAC_PI_2;
            prop_assert!(told(beside - 0.05, beside + 0.05) <= 0.06 * off + 1e-4);
        }

        #[test]
        fn a_written_radius_always_spans_its_chord(
            radius_ in 0.05..2000.0f64, from in 0.0..6.2f64, turn in 0.01..2.1f64,
        ) {
            for digit in [1e-3, 1e-4] {
                let snap = |angle: f64| {
                    let (x, y) = (radius_ * angle.cos(), radius_ * angle.sin());
                    Point::new((x / digit).round() * digit, (y / digit).round() * digit)
                };
                let (start, end) = (snap(from), snap(from + turn));
                let r = radius(start, end, Point::ORIGIN, digit);
                prop_assert!(r >= start.distance(end) / 2.0 - 1e-12);
                prop_assert!((r - radius_).abs() <= 2.0 * digit + 1e-9);
            }
        }
    }
}
