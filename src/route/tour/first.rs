//! A first order to improve, and which stops lie near each other.

use super::{Stop, Visit};
use crate::geometry::math::hypot;
use crate::geometry::{Point, Rect};
use std::ops::Range;

/// A group's stops, from `at` to where they end: always the nearest of those before which nothing else must be done;
/// `by_level`: and of these only such as are of the lowest level left.
pub(super) fn nearest_next(stops: &[Stop], group: Range<usize>, at: &mut Point, by_level: bool) -> Vec<Visit> {
    let mut order = Vec::with_capacity(group.len());
    let mut left: Vec<usize> = group.clone().collect();
    // How many of its group each stop still waits for.
    let mut waits: Vec<usize> = stops[group.clone()].iter().map(|stop| stop.after.len()).collect();
    while !left.is_empty() {
        let lowest = left.iter().map(|stop| stops[*stop].level).min().unwrap_or(0);
        let mut best = (f64::INFINITY, 0, 0);
        for (place, stop) in left.iter().enumerate() {
            if waits[stop - group.start] > 0 || by_level && stops[*stop].level > lowest {
                continue;
            }
            for (variant, it) in stops[*stop].variants.iter().enumerate() {
                let distance = it.begin.distance(*at) + it.longer;
                if distance < best.0 {
                    best = (distance, place, variant);
                }
            }
        }
        let stop = left.swap_remove(best.1);
        stops[stop].before.iter().for_each(|later| waits[later - group.start] -= 1);
        *at = stops[stop].variants[best.2].end;
        order.push((stop, best.2));
    }
    order
}

/// The nearest other stops of each stop of a group, by the rectangles that their ends lie in.
pub(super) fn neighbours(stops: &[Stop], group: Range<usize>) -> Vec<Vec<usize>> {
    const MOST: usize = 10;
    let bounds: Vec<Rect> = stops[group.clone()].iter().map(Stop::bounds).collect();
    let apart = |a: &Rect, b: &Rect| {
        let (dx, dy) = ((b.x0 - a.x1).max(a.x0 - b.x1).max(0.0), (b.y0 - a.y1).max(a.y0 - b.y1).max(0.0));
        // Of several that touch, those whose middles are near.
        hypot(dx, dy) + 0.01 * a.center().distance(b.center())
    };
    let of = |i: usize| {
        let others = (0..bounds.len()).filter(|j| *j != i);
        let mut others: Vec<(f64, usize)> = others.map(|j| (apart(&bounds[i], &bounds[j]), j)).collect();
        if others.len() > MOST {
            others.select_nth_unstable_by(MOST, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            others.truncate(MOST);
        }
        others.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        others.into_iter().map(|(_, j)| group.start + j).collect()
    };
    (0..bounds.len()).map(of).collect()
}
