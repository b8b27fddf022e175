//! Good sheets that the search met, and those of them that together leave out least.
//!
//! The search seldom has all good sheets at once. What it saw is a set covering problem: choose sheets within the limit
//! so that every piece lies on one. It is solved near enough by Lagrangian relaxation with a greedy choice at each set of
//! prices, after A. Caprara, M. Fischetti and P. Toth, "A heuristic method for the set covering problem", Operations
//! Research, 1999; that sheets of a heuristic are combined so is from M. Monaci and P. Toth, "A set-covering-based heuristic
//! approach for bin-packing problems", INFORMS Journal on Computing, 2006.

use super::Problem;
use super::random::Random;
use super::tree::{Tree, What};
use std::collections::HashSet;
use std::hash::{BuildHasherDefault, Hasher};

/// Most sheets kept.
const MOST: usize = 30_000;

/// Steps of the prices over all sheets, as many of these as half the time allows; and for each choice after that.
const FIRST_STEPS: std::ops::RangeInclusive<u64> = 30..=200;
const STEPS: usize = 8;

/// Sheets that are chosen among: those worth most at the prices, and of each kind of piece some.
const CORE: usize = 3_000;
const OF_EACH: u32 = 15;

/// Choices made at most, each at prices a little changed.
const CHOICES: usize = 60;

/// How often a sheet is passed over in a choice, in 65,536 times.
const SKIP: u64 = 3_000;

/// Of so many sheets one is looked at piece by piece when a sheet is chosen; the others are seen to be no better as a whole.
const PASSED_OVER: u64 = 2;

/// Pieces visited in the time of one look.
const VISITS: u64 = 2;

/// The sheets seen so far.
#[derive(Default)]
pub(super) struct Pool {
    known: HashSet<u64, BuildHasherDefault<AsItIs>>,
    pub sheets: Vec<Tree>,
    /// Kinds of the pieces on each sheet, in order, and where each sheet's end.
    pieces: Vec<u32>,
    ends: Vec<u32>,
    /// What each sheet costs, in the dearest.
    costs: Vec<f64>,
    /// How often each could be used before it holds more of a kind than there are.
    times: Vec<f64>,
}

/// Sheets chosen, and the area that they leave out.
struct Choice {
    sheets: Vec<usize>,
    left: i64,
}

/// What is asked of a choice.
pub(super) struct Wanted<'a> {
    pub problem: &'a Problem,
    pub areas: &'a [i64],
    /// What the sheets may cost.
    pub limit: i64,
    /// How many looks the choice may take; it takes a little more than that.
    pub looks: u64,
}

/// Prices of the kinds, and what the sheets cost at least by them.
struct Prices {
    of: Vec<f64>,
    least: f64,
}

/// Keys are well mixed already.
#[derive(Default)]
struct AsItIs(u64);

impl Hasher for AsItIs {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = self.0.rotate_left(8) ^ u64::from(*byte);
        }
    }

    fn write_u64(&mut self, key: u64) {
        self.0 = key;
    }
}

impl Pool {
    /// Keeps a sheet, unless one with the same pieces is known or there are too many.
    pub fn add(&mut self, sheet: &Tree, problem: &Problem) {
        if self.sheets.len() >= MOST || !self.known.insert(sheet.key) {
            return;
        }
        let start = self.pieces.len();
        self.pieces.extend(sheet.nodes.iter().filter_map(|node| match node.what {
            What::Part { kind, .. } => Some(kind),
            _ => None,
        }));
        self.pieces[start..].sort_unstable();
        let mut times = u32::MAX;
        for run in self.pieces[start..].chunk_by(|a, b| a == b) {
            times = times.min(problem.kinds[run[0] as usize].count / run.len() as u32);
        }
        self.times.push(f64::from(times.max(1)));
        let dearest = problem.bins.iter().map(|bin| bin.cost).max().unwrap_or(1);
        self.costs.push(problem.bins[sheet.bin as usize].cost as f64 / dearest as f64);
        self.ends.push(self.pieces.len() as u32);
        self.sheets.push(sheet.kept());
    }

    fn of(&self, sheet: usize) -> &[u32] {
        let start = if sheet == 0 { 0 } else { self.ends[sheet - 1] };
        &self.pieces[start as usize..self.ends[sheet] as usize]
    }

    /// Sheets that leave out little, and the looks that it took to choose them; once the pool is nearly full, it
    /// forgets those that are worth little.
    pub fn choose(&mut self, wanted: &Wanted, random: &mut Random) -> (Vec<Tree>, u64) {
        let all: Vec<usize> = (0..self.sheets.len()).collect();
        let half = wanted.looks * VISITS / 2 / (self.pieces.len() as u64).max(1);
        let first = half.clamp(*FIRST_STEPS.start(), *FIRST_STEPS.end());
        let sheet = wanted.problem.bins.iter().map(|bin| i64::from(bin.length) * i64::from(bin.width)).max();
        let by_area = wanted.areas.iter().map(|area| *area as f64 / sheet.unwrap_or(1) as f64);
        let prices = self.priced(&all, wanted, by_area.collect(), first as usize, 1.0).of;
        let in_core = self.core(&prices, wanted.areas.len());
        let core: Vec<usize> = all.into_iter().filter(|i| in_core[*i]).collect();
        let mut best: Option<Choice> = None;
        let mut work = self.pieces.len() as u64 * first;
        let pieces = core.iter().map(|i| self.of(*i).len()).sum::<usize>() as u64;
        let areas: Vec<i64> =
            core.iter().map(|i| self.of(*i).iter().map(|kind| wanted.areas[*kind as usize]).sum()).collect();
        for choice in 0..CHOICES {
            let now = if choice == 0 {
                prices.clone()
            } else {
                let shaken =
                    prices.iter().map(|price| price * (0.9 + 0.2 * random.below(1024) as f64 / 1024.0)).collect();
                work += pieces * STEPS as u64;
                self.priced(&core, wanted, shaken, STEPS, 0.3).of
            };
            let mut found = self.greedy(&core, wanted, &now, random);
            work += pieces * found.sheets.len() as u64 / PASSED_OVER;
            let rounds = self.exchange(&core, &areas, wanted, &mut found);
            work += pieces * rounds * found.sheets.len() as u64 / PASSED_OVER;
            if best.as_ref().is_none_or(|best| found.left < best.left) {
                best = Some(found);
            }
            if best.as_ref().is_some_and(|best| best.left == 0) || work > wanted.looks * VISITS {
                break;
            }
        }
        let chosen = best.map_or_else(Vec::new, |best| best.sheets.iter().map(|i| self.sheets[*i].clone()).collect());
        if self.sheets.len() * 10 > MOST * 9 {
            let old = std::mem::take(self);
            for i in core {
                self.add(&old.sheets[i], wanted.problem);
            }
        }
        (chosen, work / VISITS)
    }

    /// Which sheets are worth choosing among.
    fn core(&self, prices: &[f64], kinds: usize) -> Vec<bool> {
        let over = |i: usize| self.costs[i] - self.of(i).iter().map(|kind| prices[*kind as usize]).sum::<f64>();
        let mut ranked: Vec<(f64, usize)> = (0..self.sheets.len()).map(|i| (over(i), i)).collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut of_kind = vec![0; kinds];
        let mut core = vec![false; self.sheets.len()];
        for (rank, (_, i)) in ranked.into_iter().enumerate() {
            core[i] = rank < CORE;
            for kind in self.of(i) {
                if of_kind[*kind as usize] < OF_EACH {
                    of_kind[*kind as usize] += 1;
                    core[i] = true;
                }
            }
        }
        core
    }

    /// Better prices by steps along the subgradient, from these on.
    fn priced(&self, sheets: &[usize], wanted: &Wanted, start: Vec<f64>, steps: usize, length: f64) -> Prices {
        let dearest = wanted.problem.bins.iter().map(|bin| bin.cost).max().unwrap_or(1);
        let known = wanted.limit as f64 / dearest as f64 + 1.0;
        let counts: Vec<f64> = wanted.problem.kinds.iter().map(|kind| f64::from(kind.count)).collect();
        let (mut length, mut idle) = (length, 0);
        let mut prices = start.clone();
        let mut best = Prices { of: start, least: f64::NEG_INFINITY };
        let mut slope = Vec::new();
        for _ in 0..steps {
            slope.clone_from(&counts);
            let mut least: f64 = counts.iter().zip(&prices).map(|(count, price)| count * price).sum();
            for &i in sheets {
                let over = self.costs[i] - self.of(i).iter().map(|kind| prices[*kind as usize]).sum::<f64>();
                if over < 0.0 {
                    least += over * self.times[i];
                    for kind in self.of(i) {
                        slope[*kind as usize] -= self.times[i];
                    }
                }
            }
            if least > best.least + 1e-6 {
                (best.least, idle) = (least, 0);
                best.of.copy_from_slice(&prices);
            } else {
                idle += 1;
                if idle >= 10 {
                    (length, idle) = (length * 0.7, 0);
                }
            }
            let square: f64 = slope.iter().map(|slope| slope * slope).sum();
            if square < 1e-9 {
                break;
            }
            let step = length * (known - least).max(0.05) / square;
            for (price, slope) in prices.iter_mut().zip(&slope) {
                *price = (*price + step * slope).max(0.0);
            }
        }
        best
    }

    /// One sheet after another, each time the one that gives most for its cost of what is still wanted.
    fn greedy(&self, core: &[usize], wanted: &Wanted, prices: &[f64], random: &mut Random) -> Choice {
        let mut left: Vec<u32> = wanted.problem.kinds.iter().map(|kind| kind.count).collect();
        let mut open = vec![0; wanted.problem.bins.len()];
        let mut money = wanted.limit;
        let mut sheets = Vec::new();
        let score = |over: f64, new: f64| if over > 0.0 { over / new } else { over * new };
        // No sheet scores better than with all its pieces.
        let whole = |i: &usize| {
            let pieces = self.of(*i);
            score(self.costs[*i] - pieces.iter().map(|kind| prices[*kind as usize]).sum::<f64>(), pieces.len() as f64)
        };
        let whole: Vec<f64> = core.iter().map(whole).collect();
        loop {
            let mut best = (f64::INFINITY, usize::MAX);
            for (&i, whole) in core.iter().zip(&whole) {
                if *whole >= best.0 {
                    continue;
                }
                let bin = self.sheets[i].bin as usize;
                let about = &wanted.problem.bins[bin];
                if about.cost > money || about.supply.is_some_and(|supply| open[bin] >= supply) {
                    continue;
                }
                let (mut over, mut new) = (self.costs[i], 0.0);
                self.counted(i, |kind, number| {
                    if left[kind] >= number {
                        over -= prices[kind];
                        new += 1.0;
                    }
                });
                let score = score(over, new);
                if new > 0.0 && score < best.0 && !random.chance(SKIP) {
                    best = (score, i);
                }
            }
            if best.1 == usize::MAX {
                break;
            }
            let bin = self.sheets[best.1].bin as usize;
            money -= wanted.problem.bins[bin].cost;
            open[bin] += 1;
            for kind in self.of(best.1) {
                left[*kind as usize] = left[*kind as usize].saturating_sub(1);
            }
            sheets.push(best.1);
        }
        Choice { sheets, left: left.iter().zip(wanted.areas).map(|(left, area)| i64::from(*left) * area).sum() }
    }

    /// Takes another sheet of the same size in a sheet's place as long as that leaves out less; how often all were tried.
    /// `areas` are those of the sheets' pieces.
    fn exchange(&self, core: &[usize], areas: &[i64], wanted: &Wanted, choice: &mut Choice) -> u64 {
        // Of each kind, how many more lie on the sheets than there are.
        let mut over: Vec<i32> = wanted.problem.kinds.iter().map(|kind| -(kind.count as i32)).collect();
        for kind in choice.sheets.iter().flat_map(|i| self.of(*i)) {
            over[*kind as usize] += 1;
        }
        let mut rounds = 0;
        loop {
            let mut better = false;
            rounds += 1;
            for at in 0..choice.sheets.len() {
                let old = choice.sheets[at];
                for kind in self.of(old) {
                    over[*kind as usize] -= 1;
                }
                let gain = |i: usize| {
                    let mut gain = 0;
                    self.counted(i, |kind, number| {
                        if -over[kind] >= number as i32 {
                            gain += wanted.areas[kind];
                        }
                    });
                    gain
                };
                let was = gain(old);
                let mut best = (was, old);
                let alike = |i: usize| self.sheets[i].bin == self.sheets[old].bin;
                for (&i, area) in core.iter().zip(areas) {
                    // It gains no more than all its pieces are.
                    if *area <= best.0 || !alike(i) {
                        continue;
                    }
                    let gain = gain(i);
                    if gain > best.0 {
                        best = (gain, i);
                    }
                }
                better |= best.1 != old;
                choice.left -= best.0 - was;
                choice.sheets[at] = best.1;
                for kind in self.of(best.1) {
                    over[*kind as usize] += 1;
                }
            }
            if !better {
                return rounds;
            }
        }
    }

    /// Every piece of a sheet by its kind and which of that kind on this sheet it is, from 1.
    #[inline]
    fn counted(&self, sheet: usize, mut each: impl FnMut(usize, u32)) {
        let (mut last, mut number) = (u32::MAX, 0);
        for &kind in self.of(sheet) {
            number = if kind == last { number + 1 } else { 1 };
            last = kind;
            each(kind as usize, number);
        }
    }
}
