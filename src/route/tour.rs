//! The shortest tour found through stops of which each has several variants.
//!
//! Each variant of a stop begins and ends in different places, and some stops must be visited before others. A first
//! order takes the nearest next; then stretches of it are turned round and moved, single stops are put elsewhere in
//! whichever variant suits there, and all variants are chosen anew, as long as that shortens the whole. Where nothing
//! does any more, two stretches that follow each other change places, what lies around their ends is put right again,
//! and the result is kept if it is no longer than before. Counted in steps, so that the same stops always get the same
//! order.

mod first;

use super::Variant;
use crate::geometry::{Point, Rect};
use first::{nearest_next, neighbours};
use std::ops::Range;

/// Something to visit, in one of its variants.
#[derive(Default)]
pub(super) struct Stop {
    pub variants: Vec<Variant>,
    /// Others of its group before which it is to be visited, and after which.
    pub before: Vec<usize>,
    pub after: Vec<usize>,
    /// An order in which levels follow each other visits nothing too early.
    pub level: usize,
}

impl Stop {
    /// What all its ends lie in.
    fn bounds(&self) -> Rect {
        let ends = self.variants.iter().map(|variant| Rect::from_points(variant.begin, variant.end));
        ends.reduce(|a, b| a.union(b)).unwrap_or_default()
    }
}

/// A stop in one of its variants: indices of both.
type Visit = (usize, usize);

/// Visits all stops from `start` on, to end near one of `then`; returns each with its variant. The stops come in groups
/// of these sizes, which stay in their order.
pub(super) fn tour(stops: &[Stop], groups: &[usize], start: Point, then: &[Point]) -> Vec<Visit> {
    let away = |exit: Point| then.iter().map(|point| point.distance(exit)).reduce(f64::min).unwrap_or(0.0);
    let onward = stops.iter().map(|stop| stop.variants.iter().map(|variant| away(variant.end)).collect()).collect();
    let mut spans = Vec::with_capacity(stops.len());
    let mut near = Vec::with_capacity(stops.len());
    // Two orders to begin with: level by level, and whatever is nearest.
    let mut firsts = [true, false].map(|by_level| (by_level, start, Vec::with_capacity(stops.len())));
    for &count in groups {
        let span = spans.len()..spans.len() + count;
        for (by_level, at, order) in &mut firsts {
            order.extend(nearest_next(stops, span.clone(), at, *by_level));
        }
        near.extend(neighbours(stops, span.clone()));
        spans.extend(std::iter::repeat_n(span, count));
    }
    let count = stops.len();
    let bounds = stops.iter().map(Stop::bounds).collect();
    let (order, places, turned) = (Vec::new(), vec![0; count], vec![0.0; count]);
    let mut tour = Tour { stops, bounds, start, onward, spans, near, order, places, turned };
    let mut best: Option<(f64, Vec<Visit>)> = None;
    for (_, _, order) in firsts {
        tour.order = order;
        let length = tour.settle();
        if best.as_ref().is_none_or(|(shortest, _)| length < shortest - SHORTER) {
            best = Some((length, tour.order.clone()));
        }
    }
    tour.order = best.map(|(_, order)| order).unwrap_or_default();
    tour.search();
    tour.order
}

/// An order is shorter only if it is by more than this (mm).
const SHORTER: f64 = 1e-6;

struct Tour<'a> {
    stops: &'a [Stop],
    bounds: Vec<Rect>,
    start: Point,
    /// From each variant of each stop to where the tool goes after the last.
    onward: Vec<Vec<f64>>,
    /// Of each place in the order: the places of its group.
    spans: Vec<Range<usize>>,
    /// Of each stop: the others near it.
    near: Vec<Vec<usize>>,
    /// First to last.
    order: Vec<Visit>,
    /// Where each stop is in the order.
    places: Vec<usize>,
    /// How much longer the tour up to each place would be if it were run backwards.
    turned: Vec<f64>,
}

impl Tour<'_> {
    fn entry(&self, (stop, variant): Visit) -> Point {
        self.stops[stop].variants[variant].begin
    }

    fn exit(&self, (stop, variant): Visit) -> Point {
        self.stops[stop].variants[variant].end
    }

    /// From one stop to the next, and what the variant taken there costs; `None` is before the first and after the last.
    fn hop(&self, a: Option<Visit>, b: Option<Visit>) -> f64 {
        let Some(b) = b else { return a.map_or(0.0, |(stop, variant)| self.onward[stop][variant]) };
        a.map_or(self.start, |a| self.exit(a)).distance(self.entry(b)) + self.stops[b.0].variants[b.1].longer
    }

    fn length(&self) -> f64 {
        (0..=self.order.len()).map(|i| self.hop(self.before(i), self.order.get(i).copied())).sum()
    }

    fn before(&self, place: usize) -> Option<Visit> {
        place.checked_sub(1).map(|i| self.order[i])
    }

    /// Brings what is known of places up to date.
    fn note_places(&mut self) {
        for i in 0..self.order.len() {
            self.places[self.order[i].0] = i;
            if i > 0 {
                let (a, b) = (self.order[i - 1], self.order[i]);
                let (there, back) = (self.hop(Some(a), Some(b)), self.hop(Some(b), Some(a)));
                self.turned[i] = self.turned[i - 1] + back - there;
            }
        }
    }

    /// Shortens the order for as long as the steps last.
    fn search(&mut self) {
        /// Steps in all: about this many distances are measured.
        const STEPS: usize = 300_000;
        const MOST_SHAKES: usize = 1_000;
        if self.stops.len() < 3 {
            return;
        }
        self.note_places();
        let mut length = self.length();
        let mut dice = 0x9E37_79B9;
        let mut steps = 0;
        let mut kept = self.order.clone();
        for _ in 0..MOST_SHAKES {
            let queue = self.shake(&mut dice);
            let now = self.length_after(queue, &mut steps);
            if now <= length {
                length = now;
                kept.clone_from(&self.order);
            } else {
                self.order.clone_from(&kept);
                self.note_places();
            }
            if steps > STEPS {
                break;
            }
        }
        self.settle();
    }

    /// Improves the order and all variants in turn until neither helps; returns the length.
    fn settle(&mut self) -> f64 {
        const ROUNDS: usize = 10;
        let mut length = f64::INFINITY;
        for _ in 0..ROUNDS {
            self.choose_variants();
            self.note_places();
            let now = self.length_after((0..self.stops.len()).collect(), &mut 0);
            if now > length - SHORTER {
                break;
            }
            length = now;
        }
        self.length()
    }

    /// Improves what lies around these stops; returns the length of the whole.
    fn length_after(&mut self, mut queue: Vec<usize>, steps: &mut usize) -> f64 {
        // First in, first out; each stop is in it once.
        let mut waiting = vec![false; self.stops.len()];
        queue.iter().for_each(|stop| waiting[*stop] = true);
        let most = queue.len() + 20 * self.stops.len();
        let mut changes = 0;
        let mut next = 0;
        while next < queue.len() && next < most {
            let stop = queue[next];
            next += 1;
            waiting[stop] = false;
            *steps += 300 + 4 * self.stops[stop].variants.len();
            while changes < most
                && let Some(ends) = self.improve(self.places[stop])
            {
                changes += 1;
                *steps += 200 + self.order.len();
                self.note_places();
                for place in ends.into_iter().flat_map(|end| [end.wrapping_sub(1), end]) {
                    if let Some((other, _)) = self.order.get(place)
                        && !std::mem::replace(&mut waiting[*other], true)
                    {
                        queue.push(*other);
                    }
                }
            }
        }
        *steps += self.order.len();
        self.length()
    }

    /// Two stretches that follow each other change places; returns the stops at their ends. The dice always fall alike.
    fn shake(&mut self, dice: &mut u32) -> Vec<usize> {
        /// Of a long order only this much is shaken at a time.
        const WINDOW: usize = 30;
        /// Throws for two stretches that may change places.
        const TRIES: usize = 8;
        let mut throw = |sides: usize| {
            // A generator after Marsaglia: three shifts.
            *dice ^= *dice << 13;
            *dice ^= *dice >> 17;
            *dice ^= *dice << 5;
            *dice as usize % sides
        };
        let mut found = None;
        for _ in 0..TRIES {
            let at = throw(self.order.len());
            let Range { start, end } = self.spans[at].clone();
            let from = at.saturating_sub(throw(WINDOW)).max(start);
            let count = WINDOW.min(end - from);
            let mut cuts = [0; 3].map(|_| from + throw(count + 1));
            cuts.sort_unstable();
            found = Some(cuts).filter(|[a, b, c]| a < b && b < c && self.may_move(*a..*b, *c));
            if found.is_some() {
                break;
            }
        }
        let Some([a, b, c]) = found else { return Vec::new() };
        self.order[a..c].rotate_left(b - a);
        self.note_places();
        let around = [a, a + c - b, c].into_iter().flat_map(|end| [end.wrapping_sub(1), end]);
        let mut queue: Vec<usize> = around.filter_map(|place| self.order.get(place)).map(|(stop, _)| *stop).collect();
        queue.sort_unstable();
        queue.dedup();
        queue
    }

    /// Makes the first change at a place that shortens the whole; returns the places before which it was changed.
    fn improve(&mut self, place: usize) -> Option<Vec<usize>> {
        if self.other_variant(place) {
            return Some(vec![place, place + 1]);
        }
        let stop = self.order[place].0;
        for i in 0..self.near[stop].len() {
            let other = self.places[self.near[stop][i]];
            let found = self.turn_round(place, other).or_else(|| self.shift(place, other));
            if found.is_some() {
                return found;
            }
        }
        let Range { start, end } = self.spans[place].clone();
        self.reverse(start, place).or_else(|| self.reverse(place, end - 1)).or_else(|| self.elsewhere(place))
    }

    /// Takes the best variant of the stop at a place, if that is another.
    fn other_variant(&mut self, place: usize) -> bool {
        let (stop, now) = self.order[place];
        let (before, after) = (self.before(place), self.order.get(place + 1).copied());
        let (variant, length) = self.best_variant(stop, before, after);
        let shorter = length < self.hop(before, Some((stop, now))) + self.hop(Some((stop, now)), after) - SHORTER;
        if shorter {
            self.order[place].1 = variant;
        }
        shorter
    }

    /// The variant of a stop that is shortest between two others, and how long that is.
    fn best_variant(&self, stop: usize, before: Option<Visit>, after: Option<Visit>) -> (usize, f64) {
        let from = before.map_or(self.start, |before| self.exit(before));
        let to = after.map(|after| self.entry(after));
        let mut best = (0, f64::INFINITY);
        let onward = after.map_or(0.0, |(next, variant)| self.stops[next].variants[variant].longer);
        for (variant, it) in self.stops[stop].variants.iter().enumerate() {
            let then = to.map_or_else(|| self.onward[stop][variant], |to| it.end.distance(to));
            let length = from.distance(it.begin) + it.longer + then + onward;
            if length < best.1 {
                best = (variant, length);
            }
        }
        best
    }

    /// Turns a stretch round so that the stops at `a` and `b` become neighbours.
    fn turn_round(&mut self, a: usize, b: usize) -> Option<Vec<usize>> {
        let (from, to) = (a.min(b), a.max(b));
        // Either the stretch behind the first of them up to the second, or from the first to before the second.
        self.reverse(from + 1, to).or_else(|| self.reverse(from, to.saturating_sub(1)))
    }

    /// Turns the stretch between two places round, if that shortens the whole.
    fn reverse(&mut self, from: usize, to: usize) -> Option<Vec<usize>> {
        if from >= to {
            return None;
        }
        let (before, after) = (self.before(from), self.order.get(to + 1).copied());
        let (first, last) = (self.order[from], self.order[to]);
        let now = self.hop(before, Some(first)) + self.hop(Some(last), after);
        let then = self.hop(before, Some(last)) + self.turned[to] - self.turned[from] + self.hop(Some(first), after);
        if then < now - SHORTER && self.may_turn(from, to) {
            self.order[from..=to].reverse();
            return Some(vec![from, to + 1]);
        }
        None
    }

    /// Moves a stretch of up to three stops that begins or ends at `a` to just behind or before the stop at `b`.
    fn shift(&mut self, a: usize, b: usize) -> Option<Vec<usize>> {
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
                    let longer = self.hop(left, Some(first)) + self.hop(Some(last), right) - self.hop(left, right);
                    if longer < freed - SHORTER && self.may_move(from..to, target) {
                        return Some(self.moved(from..to, target));
                    }
                }
            }
        }
        None
    }

    /// Moves the stop at a place to beside one near it, in the variant that suits there.
    fn elsewhere(&mut self, place: usize) -> Option<Vec<usize>> {
        let visit = self.order[place];
        let (before, after) = (self.before(place), self.order.get(place + 1).copied());
        let freed = self.hop(before, Some(visit)) + self.hop(Some(visit), after) - self.hop(before, after);
        if self.stops[visit.0].variants.len() < 2 || freed < SHORTER {
            return None;
        }
        let bounds = self.bounds[visit.0];
        let away =
            |at: Point| at.distance(Point::new(at.x.clamp(bounds.x0, bounds.x1), at.y.clamp(bounds.y0, bounds.y1)));
        for i in 0..self.near[visit.0].len() {
            let other = self.places[self.near[visit.0][i]];
            for target in [other + 1, other] {
                if target == place || target == place + 1 || !self.may_move(place..place + 1, target) {
                    continue;
                }
                let (left, right) = (self.before(target), self.order.get(target).copied());
                let gap = self.hop(left, right);
                // No variant of it can be shorter than to its bounds and back.
                let there = left.map_or(self.start, |left| self.exit(left));
                if away(there) + right.map_or(0.0, |right| away(self.entry(right))) > freed + gap {
                    continue;
                }
                let (variant, length) = self.best_variant(visit.0, left, right);
                if length - gap < freed - SHORTER {
                    self.order[place].1 = variant;
                    return Some(self.moved(place..place + 1, target));
                }
            }
        }
        None
    }

    /// Is nothing visited too early when the stretch between two places is turned round?
    fn may_turn(&self, from: usize, to: usize) -> bool {
        let later = |place: usize| self.stops[self.order[place].0].before.iter().map(|stop| self.places[*stop]);
        (from..to).all(|place| later(place).all(|later| later > to))
    }

    /// Is nothing visited too early when a stretch goes to before `target`?
    fn may_move(&self, stretch: Range<usize>, target: usize) -> bool {
        let over = if target > stretch.start { stretch.end..target } else { target..stretch.start };
        stretch.clone().all(|place| {
            let stop = &self.stops[self.order[place].0];
            let bound = if target > stretch.start { &stop.before } else { &stop.after };
            bound.iter().all(|other| !over.contains(&self.places[*other]))
        })
    }

    /// Moves a stretch to before `target`; returns the places before which the order is another.
    fn moved(&mut self, stretch: Range<usize>, target: usize) -> Vec<usize> {
        let Range { start, end } = stretch;
        if target > start {
            self.order[start..target].rotate_left(end - start);
            vec![start, target - (end - start), target]
        } else {
            self.order[target..end].rotate_right(end - start);
            vec![target, target + (end - start), end]
        }
    }

    /// The best variant for each stop in this order, all at once.
    fn choose_variants(&mut self) {
        // Shortest distance to the exit of each variant of the stop at hand, and from which variant of the one before.
        let mut shortest: Vec<(f64, Point)> = vec![(0.0, self.start)];
        let mut came_from: Vec<Vec<usize>> = Vec::with_capacity(self.order.len());
        for (stop, _) in &self.order {
            let mut next = Vec::new();
            let mut from = Vec::new();
            for variant in &self.stops[*stop].variants {
                let (best, length) = shortest
                    .iter()
                    .map(|(so_far, at)| so_far + at.distance(variant.begin))
                    .enumerate()
                    .min_by(|a, b| a.1.total_cmp(&b.1))
                    .unwrap_or_default();
                next.push((length + variant.longer, variant.end));
                from.push(best);
            }
            shortest = next;
            came_from.push(from);
        }
        let last = self.order.last().map(|(stop, _)| &self.onward[*stop]);
        let whole = |variant: usize| shortest[variant].0 + last.map_or(0.0, |onward| onward[variant]);
        let mut variant = (0..shortest.len()).min_by(|a, b| whole(*a).total_cmp(&whole(*b))).unwrap_or(0);
        for (place, from) in came_from.iter().enumerate().rev() {
            self.order[place].1 = variant;
            variant = from.get(variant).copied().unwrap_or(0);
        }
    }
}

#[cfg(test)]
mod tests;
