//! Walks that forget.
//!
//! The shortest walk that makes so many visits is found step by step, and is no longer than the shortest tour, which is
//! such a walk. It would go to and fro between near stops. So each stop has a price, which may be below nothing: whatever
//! the prices are, the cheapest walk less the sum of all prices is a bound, and prices that climb where a stop is visited
//! too often and fall where it is left out make it better (Held and Karp 1971 for trees, Christofides, Mingozzi and Toth
//! 1981 for walks; both from memory). And a walk remembers some of the stops it has been to: it goes to none of those
//! again, nor to one that had to come before any of them. What each stop lets it remember begins with those near, and
//! grows by what the cheapest walk forgot in between (Baldacci, Mingozzi and Roberti 2011, and Roberti and Mingozzi 2014,
//! from memory). Where it forgets nothing that matters it is a tour, and the shortest.

use super::Stop;
use nestwright::geometry::Point;
use nestwright::route::Variant;
use std::ops::Range;

/// Stops of one group, by their place in it.
type Set = [u64; 4];

fn with(mut set: Set, i: usize) -> Set {
    set[i / 64] |= 1 << (i % 64);
    set
}

fn has(set: &Set, i: usize) -> bool {
    set[i / 64] & 1 << (i % 64) != 0
}

fn both(a: &Set, b: &Set) -> Set {
    std::array::from_fn(|i| a[i] & b[i])
}

fn either(a: &Set, b: &Set) -> Set {
    std::array::from_fn(|i| a[i] | b[i])
}

fn count(set: &Set) -> usize {
    set.iter().map(|word| word.count_ones() as usize).sum()
}

/// A walk as far as it has come, by the way of its last stop.
#[derive(Clone, Copy)]
struct Reached {
    variant: usize,
    cost: f64,
    memory: Set,
    from: usize,
}

struct Problem {
    park: Point,
    variants: Vec<Variant>,
    /// Of each way: its stop. Of each stop: its ways, where its group begins; which of the group it remembers, and which
    /// come before and after it.
    stop_of: Vec<usize>,
    stops: Vec<Range<usize>>,
    groups: Vec<Range<usize>>,
    first: Vec<usize>,
    remembered: Vec<Set>,
    before: Vec<Set>,
    after: Vec<Set>,
    /// From way to way, with how much longer the second takes.
    far: Vec<Vec<f64>>,
}

/// How hard to look for a better bound.
#[derive(Clone, Copy, Debug)]
pub struct Patience {
    /// So many walks are kept at once.
    pub walks: usize,
    /// So often stops are let remember what the cheapest walk forgot.
    pub looks: usize,
}

/// The bound. `known` is how long some tour is.
pub fn least(groups: &[Vec<Stop>], park: Point, known: f64, patience: Patience) -> f64 {
    // So many near stops each remembers to begin with: fewer where that is too much at once.
    const NEAR: usize = 3;
    let found = (0..=NEAR).rev().find_map(|near| Problem::new(groups, park, near).climb(known, patience));
    found.unwrap_or(0.0)
}

impl Problem {
    fn new(groups: &[Vec<Stop>], park: Point, near: usize) -> Problem {
        let mut all = Problem {
            park,
            variants: Vec::new(),
            stop_of: Vec::new(),
            stops: Vec::new(),
            groups: Vec::new(),
            first: Vec::new(),
            remembered: Vec::new(),
            before: Vec::new(),
            after: Vec::new(),
            far: Vec::new(),
        };
        for group in groups {
            let first = all.stops.len();
            assert!(group.len() <= 64 * Set::default().len(), "{} stops in a group", group.len());
            for stop in group {
                let variants = all.variants.len()..all.variants.len() + stop.variants.len();
                all.stop_of.extend(variants.clone().map(|_| all.stops.len()));
                all.variants.extend(&stop.variants);
                all.stops.push(variants);
                all.first.push(first);
            }
            all.groups.push(first..all.stops.len());
            // Whatever comes before one that comes before, too: the order in which they are told is one that is allowed.
            let mut before = vec![Set::default(); group.len()];
            let mut after = before.clone();
            for (i, stop) in group.iter().enumerate() {
                for &earlier in &stop.after {
                    before[i] = with(either(&before[i], &before[earlier]), earlier);
                }
                (0..i).filter(|j| has(&before[i], *j)).for_each(|j| after[j] = with(after[j], i));
            }
            for (i, stop) in group.iter().enumerate() {
                let apart = |other: &Stop| {
                    super::link(&stop.variants, &other.variants).min(super::link(&other.variants, &stop.variants))
                };
                let mut others: Vec<(f64, usize)> = group.iter().map(apart).zip(0..).filter(|(_, j)| *j != i).collect();
                others.sort_by(|a, b| a.0.total_cmp(&b.0));
                all.remembered
                    .push(others.iter().take(near).fold(with(Set::default(), i), |set, (_, j)| with(set, *j)));
            }
            all.before.extend(before);
            all.after.extend(after);
        }
        let on = |from: &Variant| all.variants.iter().map(|to| from.end.distance(to.begin) + to.longer).collect();
        all.far = all.variants.iter().map(on).collect();
        all
    }

    /// The best bound that is found; nothing where even the first walk takes more than there is patience for.
    fn climb(&mut self, known: f64, patience: Patience) -> Option<f64> {
        /// Steps at first, and between two looks.
        const FIRST: usize = 120;
        const THEN: usize = 40;
        /// So many steps without a better bound, and they are made shorter, down to a share.
        const IDLE: usize = 6;
        const SHORTER: f64 = 0.6;
        const SHORTEST: f64 = 1e-3;
        /// A better bound is better by this share.
        const BETTER: f64 = 1e-4;
        let mut prices = vec![0.0; self.stops.len()];
        let mut best: Option<(f64, Vec<f64>)> = None;
        let mut share = 1.0;
        for look in 0..=patience.looks {
            let (mut idle, mut last) = (0, Vec::new());
            for _ in 0..if look == 0 { FIRST } else { THEN } {
                let Some((bound, walk)) = self.walk(&prices, known, patience.walks) else {
                    return best.map(|best| best.0);
                };
                let so_far = best.as_ref().map_or(0.0, |best| best.0);
                idle = if bound > so_far * (1.0 + BETTER) { 0 } else { idle + 1 };
                if best.is_none() || bound > so_far {
                    best = Some((bound, prices.clone()));
                }
                // No walk is shorter than the tour that is known: that is the shortest.
                let Some(walk) = walk else { return Some(known) };
                let mut visits = vec![-1.0; self.stops.len()];
                walk.iter().for_each(|stop| visits[*stop] += 1.0);
                let steep: f64 = visits.iter().map(|off| off * off).sum();
                last = walk;
                if steep < 0.5 || share < SHORTEST {
                    break;
                }
                if idle > IDLE {
                    (share, idle) = (share * SHORTER, 0);
                    best.iter().for_each(|best| prices.clone_from(&best.1));
                    continue;
                }
                let step = 0.3 * share * bound.max(so_far).max(1.0) / steep;
                prices.iter_mut().zip(&visits).for_each(|(price, off)| *price += step * off);
            }
            if !self.remember(&last) {
                break;
            }
            share = f64::max(share, 0.1);
        }
        best.map(|best| best.0)
    }

    /// Lets stops remember what this walk forgot; `false` where it forgot nothing.
    fn remember(&mut self, walk: &[usize]) -> bool {
        let mut grown = false;
        for (i, &stop) in walk.iter().enumerate() {
            let first = self.first[stop];
            // The next visit that would not have been, had this one been remembered up to then.
            let wrong = |later: &usize| {
                self.first[*later] == first && (*later == stop || has(&self.before[stop], *later - first))
            };
            if let Some(next) = walk[i + 1..].iter().position(wrong) {
                for between in &walk[i + 1..i + 1 + next] {
                    self.remembered[*between] = with(self.remembered[*between], stop - first);
                }
                grown = true;
            }
        }
        grown
    }

    /// The bound at these prices, and the stops of the walk that gives it; no walk where none is as cheap as the tour that is
    /// known; nothing where more would have to be kept at once than there is patience for.
    fn walk(&self, prices: &[f64], known: f64, patience: usize) -> Option<(f64, Option<Vec<usize>>)> {
        let paid: f64 = prices.iter().sum();
        let onward = self.onward(prices);
        let mut steps: Vec<Vec<Reached>> = Vec::new();
        for (which, group) in self.groups.iter().enumerate() {
            for step in 0..group.len() {
                let before = steps.last().map_or(&[][..], |before| before);
                let left = &onward[steps.len()];
                let mut reached: Vec<Reached> = Vec::new();
                for stop in group.clone().filter(|stop| self.may_be(*stop, step, group)) {
                    let place = stop - group.start;
                    let variants = self.stops[stop].clone();
                    // Cheapest for each memory, way by way.
                    let mut memories: Vec<Set> = Vec::new();
                    let mut cheapest: Vec<(f64, usize)> = Vec::new();
                    if which == 0 && step == 0 {
                        memories.push(with(Set::default(), place));
                        let first = |variant: &Variant| (self.park.distance(variant.begin) + variant.longer, 0);
                        cheapest.extend(self.variants[variants.clone()].iter().map(first));
                    }
                    for (from, so_far) in before.iter().enumerate() {
                        let memory = if step == 0 {
                            with(Set::default(), place)
                        } else if has(&so_far.memory, place)
                            || both(&so_far.memory, &self.after[stop]) != Set::default()
                        {
                            continue;
                        } else {
                            with(both(&so_far.memory, &self.remembered[stop]), place)
                        };
                        let known = memories.iter().position(|known| *known == memory).unwrap_or_else(|| {
                            memories.push(memory);
                            cheapest.resize(memories.len() * variants.len(), (f64::INFINITY, 0));
                            memories.len() - 1
                        });
                        let row = &self.far[so_far.variant][variants.clone()];
                        let cheapest = &mut cheapest[known * variants.len()..(known + 1) * variants.len()];
                        for (least, far) in cheapest.iter_mut().zip(row) {
                            if so_far.cost + far < least.0 {
                                *least = (so_far.cost + far, from);
                            }
                        }
                    }
                    for (i, variant) in variants.clone().enumerate() {
                        let first = reached.len();
                        let mut order: Vec<usize> = (0..memories.len()).collect();
                        order.sort_by(|a, b| {
                            cheapest[a * variants.len() + i].0.total_cmp(&cheapest[b * variants.len() + i].0)
                        });
                        for memory in order {
                            let (cost, from) = cheapest[memory * variants.len() + i];
                            let cost = cost + prices[stop];
                            if cost + left[variant] - paid > known + 1e-6 {
                                break;
                            }
                            let memory = memories[memory];
                            // Cheaper, and it may go wherever this may.
                            if !reached[first..].iter().any(|it| both(&it.memory, &memory) == it.memory) {
                                reached.push(Reached { variant, cost, memory, from });
                            }
                        }
                    }
                }
                if reached.len() > patience {
                    return None;
                }
                steps.push(reached);
            }
        }
        let whole = |it: &Reached| it.cost + self.variants[it.variant].end.distance(self.park);
        let last = steps.last().map_or(&[][..], |last| last);
        let Some((mut at, best)) = last.iter().enumerate().min_by(|a, b| whole(a.1).total_cmp(&whole(b.1))) else {
            return Some((known, None));
        };
        let bound = whole(best) - paid;
        let mut walk = Vec::new();
        for step in steps.iter().rev() {
            walk.push(self.stop_of[step[at].variant]);
            at = step[at].from;
        }
        walk.reverse();
        Some((bound, Some(walk)))
    }

    /// May a stop be visited at this step of its group, with as many before and after it as must be?
    fn may_be(&self, stop: usize, step: usize, group: &Range<usize>) -> bool {
        step >= count(&self.before[stop]) && step + count(&self.after[stop]) < group.len()
    }

    /// What a walk that remembers nothing has at least to go from each way, at each step.
    fn onward(&self, prices: &[f64]) -> Vec<Vec<f64>> {
        let steps: Vec<(usize, &Range<usize>)> =
            self.groups.iter().flat_map(|group| (0..group.len()).map(move |step| (step, group))).collect();
        let mut then: Vec<f64> = self.variants.iter().map(|variant| variant.end.distance(self.park)).collect();
        let mut all = Vec::with_capacity(steps.len());
        for (i, (_, group)) in steps.iter().enumerate().rev() {
            let next = steps.get(i + 1);
            if let Some((step, next)) = next {
                let mut cost = vec![f64::INFINITY; self.variants.len()];
                let may: Vec<usize> = (*next).clone().filter(|stop| self.may_be(*stop, *step, next)).collect();
                for from in (*group).clone().flat_map(|stop| self.stops[stop].clone()) {
                    for &stop in may.iter().filter(|stop| **stop != self.stop_of[from]) {
                        let variants = self.stops[stop].clone();
                        let least = self.far[from][variants.clone()].iter().zip(&then[variants]);
                        let least = least.map(|(far, then)| far + then).fold(f64::INFINITY, f64::min);
                        cost[from] = cost[from].min(least + prices[stop]);
                    }
                }
                then = cost;
            }
            all.push(then.clone());
        }
        all.reverse();
        all
    }
}

/// Holds the bound against the shortest of all tours of small problems, tried one by one.
pub fn tried() {
    const PROBLEMS: usize = 60;
    let mut dice = 5_u32;
    let mut throw = |sides: u32| {
        dice = dice.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (dice >> 8) % sides
    };
    let mut reached = 0;
    for _ in 0..PROBLEMS {
        let mut place = || Point::new(f64::from(throw(1000)), f64::from(throw(600)));
        let mut groups = [(); 2].map(|()| Vec::new());
        for group in &mut groups {
            for _ in 0..4 {
                let variants = [(); 3].map(|()| Variant { begin: place(), end: place(), longer: 0.0 });
                group.push(Stop { variants: variants.to_vec(), after: Vec::new() });
            }
        }
        for stop in groups.iter_mut().flatten() {
            stop.variants.iter_mut().for_each(|variant| variant.longer = f64::from(throw(200)));
        }
        for (group, j) in (0..2).flat_map(|group| (1..4).map(move |j| (group, j))) {
            groups[group][j].after = (0..j).filter(|_| throw(4) == 0).collect();
        }
        let park = Point::ORIGIN;
        let shortest = shortest(&groups, &mut Vec::new(), park, park);
        // As if only a tour twice as long were known.
        let bound = least(&groups, park, 2.0 * shortest, Patience { walks: 10_000, looks: 20 });
        assert!(bound <= shortest + 1e-3, "{bound} mm is no bound: a tour goes {shortest} mm");
        reached += usize::from(bound > 0.999 * shortest);
    }
    println!(
        "{reached} of {PROBLEMS} bounds of small problems are within a thousandth of the shortest of all their tours,"
    );
    println!("and none is longer than that\n");
}

/// The shortest of all tours that begin with these visits, from `at` on, tried one by one.
fn shortest(groups: &[Vec<Stop>], visited: &mut Vec<(usize, usize)>, at: Point, park: Point) -> f64 {
    let Some(which) = (0..groups.len()).find(|i| visited.iter().filter(|it| it.0 == *i).count() < groups[*i].len())
    else {
        return at.distance(park);
    };
    let mut best = f64::INFINITY;
    for (i, stop) in groups[which].iter().enumerate() {
        if visited.contains(&(which, i)) || !stop.after.iter().all(|earlier| visited.contains(&(which, *earlier))) {
            continue;
        }
        visited.push((which, i));
        for variant in &stop.variants {
            best = best.min(at.distance(variant.begin) + variant.longer + shortest(groups, visited, variant.end, park));
        }
        visited.pop();
    }
    best
}
