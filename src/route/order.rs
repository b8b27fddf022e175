//! In which order operations are done: as little way between them as can be found.
//!
//! Each operation may be done in one of several ways, which begin and end in different places. A first order takes the
//! nearest next; then stretches of it are turned round and moved, and the ways chosen anew, as long as that shortens the
//! whole. Counted in steps, so that the same operations always get the same order.

use super::moves::Move;
use super::{Operation, OperationKind};
use crate::geometry::{Affine, Point};
use std::ops::Range;

/// An operation that is still to be placed in the order.
#[derive(Clone, Debug)]
pub(super) struct Task {
    pub kind: OperationKind,
    pub about: String,
    /// Tasks of a lower rank go first, whatever the way.
    pub rank: usize,
    /// The ways it can be done, at least one.
    pub ways: Vec<Vec<Move>>,
}

impl Task {
    /// The same, for a piece that lies so on the sheet; nothing is mirrored.
    pub fn moved(&self, by: Affine) -> Task {
        let ways = self.ways.iter().map(|way| way.iter().map(|step| step.moved(by)).collect()).collect();
        Task { ways, about: self.about.clone(), ..*self }
    }
}

/// The tasks as operations: by kind, by rank, and within a rank by the shortest way found. `at` is where the tool is,
/// before and after; `then` is where it goes on to.
pub(super) fn ordered(mut tasks: Vec<Task>, at: &mut Point, then: &[Point]) -> Vec<Operation> {
    let key = |task: &Task| (task.kind, task.rank);
    tasks.sort_by_key(key);
    let stops: Vec<Stop> = tasks.iter().map(Stop::new).collect();
    let groups: Vec<usize> = tasks.chunk_by(|a, b| key(a) == key(b)).map(<[Task]>::len).collect();
    let order = tour(&stops, &groups, *at, then);
    let operations = order.into_iter().map(|(stop, way)| {
        let Task { kind, ref about, rank, ref ways } = tasks[stop];
        let moves = ways[way].clone();
        *at = moves.last().map_or(*at, |last| last.end().flat());
        Operation { kind, rank, about: about.clone(), moves, ways: stops[stop].ways.clone(), pause: None }
    });
    operations.collect()
}

/// Where an operation begins and ends in each of its ways.
struct Stop {
    ways: Vec<(Point, Point)>,
}

impl Stop {
    fn new(task: &Task) -> Stop {
        let ends = |moves: &Vec<Move>| {
            let first = moves.first().map_or(Point::ORIGIN, |first| first.end().flat());
            (first, moves.last().map_or(first, |last| last.end().flat()))
        };
        Stop { ways: task.ways.iter().map(ends).collect() }
    }
}

/// Visits all stops from `start` on, to end near one of `then`; returns each with its way. The stops come in groups of so
/// many each, which stay in their order.
fn tour(stops: &[Stop], groups: &[usize], start: Point, then: &[Point]) -> Vec<(usize, usize)> {
    /// So often a good order is shaken up, to see whether a better one lies behind it; less often where it is long.
    const SHAKES: usize = 3_000;
    const MOST_SHAKES: usize = 120;
    let away = |exit: Point| then.iter().map(|point| point.distance(exit)).reduce(f64::min).unwrap_or(0.0);
    let onward = stops.iter().map(|stop| stop.ways.iter().map(|(_, exit)| away(*exit)).collect()).collect();
    let mut tour = Tour { stops, start, onward, spans: Vec::with_capacity(stops.len()), order: Vec::new() };
    let mut near = Vec::with_capacity(stops.len());
    let mut at = start;
    for &count in groups {
        let span = tour.order.len()..tour.order.len() + count;
        tour.order.extend(nearest_next(stops, span.clone(), &mut at));
        near.extend(neighbours(stops, span.clone()));
        tour.spans.extend(std::iter::repeat_n(span, count));
    }
    let mut length = tour.settle(&near);
    let mut dice = 0x9E37_79B9u32;
    let shakes = if stops.len() < 4 { 0 } else { (SHAKES / stops.len()).min(MOST_SHAKES) };
    for _ in 0..shakes {
        let kept = tour.order.clone();
        tour.shake(&mut dice);
        let now = tour.settle(&near);
        if now < length - 1e-6 {
            length = now;
        } else {
            tour.order = kept;
        }
    }
    tour.order
}

/// A group's stops, from `at` to where they end.
fn nearest_next(stops: &[Stop], group: Range<usize>, at: &mut Point) -> Vec<(usize, usize)> {
    let mut order = Vec::with_capacity(group.len());
    let mut left: Vec<usize> = group.collect();
    while !left.is_empty() {
        let mut best = (f64::INFINITY, 0, 0);
        for (place, stop) in left.iter().enumerate() {
            for (way, (entry, _)) in stops[*stop].ways.iter().enumerate() {
                let distance = entry.distance(*at);
                if distance < best.0 {
                    best = (distance, place, way);
                }
            }
        }
        let stop = left.swap_remove(best.1);
        *at = stops[stop].ways[best.2].1;
        order.push((stop, best.2));
    }
    order
}

/// The nearest other stops of each stop of a group.
fn neighbours(stops: &[Stop], group: Range<usize>) -> Vec<Vec<usize>> {
    const MOST: usize = 10;
    let apart = |a: &Stop, b: &Stop| {
        let ways = a.ways.iter().flat_map(|x| b.ways.iter().map(move |y| x.1.distance(y.0)));
        ways.fold(f64::INFINITY, f64::min)
    };
    group
        .clone()
        .map(|i| {
            let mut others: Vec<(f64, usize)> =
                group.clone().filter(|j| *j != i).map(|j| (apart(&stops[i], &stops[j]), j)).collect();
            if others.len() > MOST {
                others.select_nth_unstable_by(MOST, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                others.truncate(MOST);
            }
            others.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            others.into_iter().map(|(_, j)| j).collect()
        })
        .collect()
}

struct Tour<'a> {
    stops: &'a [Stop],
    start: Point,
    /// From each way of each stop to where the tool goes after the last.
    onward: Vec<Vec<f64>>,
    /// Of each place in the order: the places of its group.
    spans: Vec<Range<usize>>,
    /// Stops and their ways, first to last.
    order: Vec<(usize, usize)>,
}

impl Tour<'_> {
    fn entry(&self, (stop, way): (usize, usize)) -> Point {
        self.stops[stop].ways[way].0
    }

    fn exit(&self, (stop, way): (usize, usize)) -> Point {
        self.stops[stop].ways[way].1
    }

    /// From place `a` in the order to place `b`; `None` before the first and after the last.
    fn hop(&self, a: Option<(usize, usize)>, b: Option<(usize, usize)>) -> f64 {
        let Some(b) = b else { return a.map_or(0.0, |(stop, way)| self.onward[stop][way]) };
        a.map_or(self.start, |a| self.exit(a)).distance(self.entry(b))
    }

    fn length(&self) -> f64 {
        (0..=self.order.len()).map(|i| self.hop(self.before(i), self.order.get(i).copied())).sum()
    }

    fn before(&self, place: usize) -> Option<(usize, usize)> {
        place.checked_sub(1).map(|i| self.order[i])
    }

    /// Improves the order and the ways in turn until neither helps; returns the length.
    fn settle(&mut self, near: &[Vec<usize>]) -> f64 {
        const ROUNDS: usize = 40;
        let mut length = f64::INFINITY;
        for _ in 0..ROUNDS {
            self.improve(near);
            self.choose_ways();
            let now = self.length();
            if now > length - 1e-6 {
                break;
            }
            length = now;
        }
        self.length()
    }

    /// Swaps two neighbouring stretches. The dice always fall alike: the same stops get the same order.
    fn shake(&mut self, dice: &mut u32) {
        let mut throw = |sides: usize| {
            // A generator after Marsaglia: three shifts.
            *dice ^= *dice << 13;
            *dice ^= *dice >> 17;
            *dice ^= *dice << 5;
            *dice as usize % sides
        };
        let span = self.spans[throw(self.order.len())].clone();
        let mut cuts = [0; 3].map(|_| span.start + throw(span.len() + 1));
        cuts.sort_unstable();
        let [a, b, c] = cuts;
        self.order[a..c].rotate_left(b - a);
    }

    /// Turns stretches round and moves short ones, wherever that shortens the whole.
    fn improve(&mut self, near: &[Vec<usize>]) {
        let count = self.order.len();
        let mut places = vec![0; count];
        // Sums of hops along the order and against it, up to each place.
        let (mut along, mut against) = (vec![0.0; count], vec![0.0; count]);
        let mut steps = 40 * count;
        let mut place = 0;
        let mut unchanged = 0;
        let mut stale = true;
        while unchanged < count && steps > 0 {
            steps -= 1;
            if stale {
                for (i, (stop, _)) in self.order.iter().enumerate() {
                    places[*stop] = i;
                }
                for i in 1..count {
                    along[i] = along[i - 1] + self.hop(Some(self.order[i - 1]), Some(self.order[i]));
                    against[i] = against[i - 1] + self.hop(Some(self.order[i]), Some(self.order[i - 1]));
                }
                stale = false;
            }
            let stop = self.order[place].0;
            let Range { start, end } = self.spans[place];
            let found = near[stop].iter().any(|other| {
                self.turn_round(place, places[*other], &along, &against) || self.shift(place, places[*other])
            }) || self.reverse(start, place, &along, &against)
                || self.reverse(place, end - 1, &along, &against);
            if found {
                unchanged = 0;
                stale = true;
            } else {
                unchanged += 1;
                place = (place + 1) % count;
            }
        }
    }

    /// Turns a stretch round so that the stops at `a` and `b` become neighbours.
    fn turn_round(&mut self, a: usize, b: usize, along: &[f64], against: &[f64]) -> bool {
        let (from, to) = (a.min(b), a.max(b));
        // Either the stretch behind the first of them up to the second, or from the first to before the second.
        self.reverse(from + 1, to, along, against) || self.reverse(from, to.saturating_sub(1), along, against)
    }

    /// Turns the stretch between two places round, if that shortens the whole.
    fn reverse(&mut self, from: usize, to: usize, along: &[f64], against: &[f64]) -> bool {
        if from >= to {
            return false;
        }
        let (before, after) = (self.before(from), self.order.get(to + 1).copied());
        let (first, last) = (self.order[from], self.order[to]);
        let now = self.hop(before, Some(first)) + along[to] - along[from] + self.hop(Some(last), after);
        let then = self.hop(before, Some(last)) + against[to] - against[from] + self.hop(Some(first), after);
        if then < now - 1e-6 {
            self.order[from..=to].reverse();
            return true;
        }
        false
    }

    /// Moves a stretch of up to three stops that begins or ends at `a` to just behind or before the stop at `b`.
    fn shift(&mut self, a: usize, b: usize) -> bool {
        for length in 1..=3 {
            for from in [a, (a + 1).wrapping_sub(length)] {
                let to = from.wrapping_add(length);
                let within = self.spans[a].start <= from && to <= self.spans[a].end;
                if !within || from >= to || (from..to).contains(&b) {
                    continue;
                }
                let (first, last) = (self.order[from], self.order[to - 1]);
                let (before, after) = (self.before(from), self.order.get(to).copied());
                let freed = self.hop(before, Some(first)) + self.hop(Some(last), after) - self.hop(before, after);
                // Behind the stop at `b`, and before it.
                for target in [b + 1, b] {
                    if target >= from && target <= to {
                        continue;
                    }
                    let (left, right) = (self.before(target), self.order.get(target).copied());
                    let gap = self.hop(left, right);
                    let straight = self.hop(left, Some(first)) + self.hop(Some(last), right) - gap;
                    if straight < freed - 1e-6 {
                        let stretch: Vec<_> = self.order.drain(from..to).collect();
                        let target = if target > from { target - length } else { target };
                        self.order.splice(target..target, stretch);
                        return true;
                    }
                }
            }
        }
        false
    }

    /// The best way for each stop in this order, all at once.
    fn choose_ways(&mut self) {
        // Shortest distance to the exit of each way of the stop at hand, and from which way of the one before.
        let mut shortest: Vec<(f64, Point)> = vec![(0.0, self.start)];
        let mut came_from: Vec<Vec<usize>> = Vec::with_capacity(self.order.len());
        for (stop, _) in &self.order {
            let mut next = Vec::new();
            let mut from = Vec::new();
            for (entry, exit) in &self.stops[*stop].ways {
                let (best, length) = shortest
                    .iter()
                    .map(|(so_far, at)| so_far + at.distance(*entry))
                    .enumerate()
                    .min_by(|a, b| a.1.total_cmp(&b.1))
                    .unwrap_or_default();
                next.push((length, *exit));
                from.push(best);
            }
            shortest = next;
            came_from.push(from);
        }
        let last = self.order.last().map(|(stop, _)| &self.onward[*stop]);
        let whole = |way: usize| shortest[way].0 + last.map_or(0.0, |onward| onward[way]);
        let mut way = (0..shortest.len()).min_by(|a, b| whole(*a).total_cmp(&whole(*b))).unwrap_or(0);
        for (place, from) in came_from.iter().enumerate().rev() {
            self.order[place].1 = way;
            way = from.get(way).copied().unwrap_or(0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stops(points: &[(f64, f64)]) -> Vec<Stop> {
        points.iter().map(|p| Stop { ways: vec![(Point::from(*p), Point::from(*p))] }).collect()
    }

    fn length(stops: &[Stop], start: Point) -> f64 {
        let order = tour(stops, &[stops.len()], start, &[]);
        let mut seen: Vec<usize> = order.iter().map(|(stop, _)| *stop).collect();
        seen.sort_unstable();
        assert_eq!(seen, (0..stops.len()).collect::<Vec<_>>(), "every stop once");
        let onward = vec![vec![0.0]; stops.len()];
        Tour { stops, start, onward, spans: Vec::new(), order }.length()
    }

    /// Points on a line, where always going to the nearest runs to and fro.
    #[test]
    fn the_nearest_next_is_not_always_the_shortest_way() {
        let line = stops(&[(1.0, 0.0), (-1.5, 0.0), (5.0, 0.0), (-9.0, 0.0), (20.0, 0.0)]);
        // First the shorter side, then the other: 9 + 9 + 20.
        assert!((length(&line, Point::ORIGIN) - 38.0).abs() < 1e-9);
    }

    /// A grid of n × n points one apart can be visited in n² − 1.
    #[test]
    fn a_grid_is_visited_row_by_row() {
        let points: Vec<(f64, f64)> =
            (0..64).map(|i| (f64::from(i * 37 % 64 % 8), f64::from(i * 37 % 64 / 8))).collect();
        let found = length(&stops(&points), Point::ORIGIN);
        assert!(found <= 63.0 * 1.08, "{found}");
    }

    #[test]
    fn the_way_that_begins_nearest_is_taken() {
        let far = Point::new(100.0, 0.0);
        let near = Point::new(1.0, 0.0);
        let stops = [Stop { ways: vec![(far, far), (near, near)] }];
        assert_eq!(tour(&stops, &[1], Point::ORIGIN, &[]), [(0, 1)]);
    }

    /// Two stops and then four. From (4, 1) it is shortest to 10 and back to 0 (6 + 10), across (√2) to -1, and on to 0, 11
    /// and 20 (21), found by trying all orders by hand; to 0 first and from 10 straight to 11 goes to and fro behind that.
    #[test]
    fn groups_keep_their_order_and_are_joined_where_that_is_shortest_for_all() {
        let both = stops(&[(0.0, 1.0), (10.0, 1.0), (20.0, 0.0), (0.0, 0.0), (11.0, 0.0), (-1.0, 0.0)]);
        let order = tour(&both, &[2, 4], Point::new(4.0, 1.0), &[]);
        let places: Vec<usize> = order.iter().map(|(stop, _)| *stop).collect();
        assert!(places[..2].iter().all(|stop| *stop < 2), "{places:?}");
        let spans = Vec::new();
        let length =
            Tour { stops: &both, start: Point::new(4.0, 1.0), onward: vec![vec![0.0]; 6], spans, order }.length();
        let shortest = 16.0 + 2f64.sqrt() + 21.0;
        assert!((length - shortest).abs() < 1e-9, "{length} {shortest}");
    }

    #[test]
    fn the_order_ends_near_where_the_tool_goes_next() {
        let line = stops(&[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)]);
        let order =
            |then| tour(&line, &[3], Point::new(10.0, 1.0), &[then]).iter().map(|(stop, _)| *stop).collect::<Vec<_>>();
        assert_eq!(order(Point::new(30.0, 0.0)).last(), Some(&2));
        assert_eq!(order(Point::new(-30.0, 0.0)).last(), Some(&0));
    }
}
