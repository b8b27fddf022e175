//! A measure against its limits, as a small bar.

use crate::finding::{Limits, Measure};
use serde::Serialize;

/// Positions along a bar from 0 to 100. A band that is open on one side runs to that end of the bar.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Bar {
    pub from: f64,
    pub to: f64,
    pub open_below: bool,
    pub open_above: bool,
    pub mark: f64,
}

/// Room left beside the outermost thing on the bar.
const EDGE: f64 = 14.0;

/// The bar of a measure; none when it is held against nothing.
pub(super) fn bar(measured: Measure, allowed: &Limits) -> Option<Bar> {
    let ends: Vec<f64> = allowed.least.into_iter().chain(allowed.most).collect();
    let value = measured.value();
    // What keeps a limit by less than anyone measures stands on it.
    let value = ends.iter().copied().find(|end| (end - value).abs() < 1e-3).unwrap_or(value);
    if ends.is_empty() || !value.is_finite() {
        return None;
    }
    // Under a most alone, nothing is the other end; over a least alone, the nearer to it the less is left.
    let (origin, value) = match (allowed.least, allowed.most) {
        (None, Some(most)) if value >= 0.0 && most > 0.0 => (0.0, value),
        (Some(least), None) if least > 0.0 && value > least => (least, least + least * (1.0 - least / value)),
        _ => (value, value),
    };
    // What is over twice the least has all of the bar to itself.
    let far = allowed.least.filter(|least| allowed.most.is_none() && *least > 0.0 && value > *least);
    let least = ends.iter().copied().fold(value, f64::min).min(origin);
    let most = ends.iter().copied().fold(value, f64::max).max(far.map_or(f64::NEG_INFINITY, |least| 2.0 * least));
    // A single point stands in the middle.
    let width = if most - least > 1e-9 { most - least } else { 1.0 };
    let start = if most - least > 1e-9 { least } else { least - 0.5 };
    let at = |value: f64| tenth(EDGE + (value - start) / width * (100.0 - 2.0 * EDGE));
    Some(Bar {
        from: allowed.least.map_or(0.0, at),
        to: allowed.most.map_or(100.0, at),
        open_below: allowed.least.is_none(),
        open_above: allowed.most.is_none(),
        mark: at(value),
    })
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_inside_the_band_exactly_when_the_measure_is() {
        for (value, inside) in [(5.0, false), (6.0, true), (8.0, true), (9.5, true), (30.0, false)] {
            let bar = bar(Measure::Length(value), &Limits::between(6.0, 9.5)).expect("a bar");
            assert_eq!((bar.from..=bar.to).contains(&bar.mark), inside, "{value}");
            assert!((0.0..=100.0).contains(&bar.mark));
        }
    }

    #[test]
    fn a_measure_that_is_its_limit_but_for_rounding_stands_on_it() {
        let bar = bar(Measure::Length(-1e-12), &Limits::at_least(0.0)).expect("a bar");
        assert_eq!((bar.from, bar.to, bar.mark), (50.0, 100.0, 50.0));
    }

    /// A quarter of what is allowed stands a quarter of the way, and what is just allowed next to the limit.
    #[test]
    fn how_much_is_left_can_be_seen() {
        let at_most = |value| bar(Measure::Length(value), &Limits::at_most(20.0)).expect("a bar");
        assert_eq!((at_most(0.0).mark, at_most(5.0).mark, at_most(19.0).mark), (14.0, 32.0, 82.4));
        assert_eq!((at_most(5.0).to, at_most(5.0).open_below), (86.0, true));
        let at_least = |value| bar(Measure::Length(value), &Limits::at_least(5.0)).expect("a bar");
        let marks = [5.1, 6.0, 10.0, 500.0].map(|value| at_least(value).mark);
        assert!(marks.windows(2).all(|pair| pair[0] < pair[1]) && marks[0] < 17.0 && marks[3] > 85.0, "{marks:?}");
        assert!([5.1, 10.0, 500.0].iter().all(|value| at_least(*value).from == 14.0));
        assert!(at_least(4.0).mark < at_least(4.0).from);
    }

    #[test]
    fn open_ends_run_to_the_end() {
        let bar = bar(Measure::Length(12.0), &Limits::at_least(12.0)).expect("a bar");
        assert_eq!((bar.from, bar.to, bar.mark), (50.0, 100.0, 50.0));
    }

    #[test]
    fn no_limits_no_bar() {
        assert_eq!(bar(Measure::Length(12.0), &Limits::default()), None);
    }
}
