//! A job's parts and sheets as plain rectangles for the search, and back.

use super::exact;
use super::free::{self, Nested, Placed, Space};
use super::mix::costs;
use super::search::{self, Bin, Cut, Filled, Found, PieceKind, Problem, Settings};
use super::{Content, Pattern, Placement, Sheet, Strip, Turn, fewest_sheets, inside, least_cost, micrometres, turns};
use crate::design::Part;
use crate::job::{Job, Stock};
use crate::watch::Search;
use rayon::prelude::*;

/// With more pieces than this, sheets found for a part of the job are repeated.
const MOST_SEARCHED: u64 = 1500;

/// First tries, each with another seed.
const TRIES: u64 = 12;

/// Long searches, each with another seed, on as many cores as there are.
const SEARCHES: u64 = 2;

/// What the search is asked, and which parts and stocks it is about.
///
/// Every piece and every sheet is larger by one gap, up and to the right: then nothing need lie between two pieces.
pub(super) struct Rectangles {
    pub problem: Problem,
    /// Of each bin, its stock.
    stocks: Vec<usize>,
    /// Of each kind, its parts and how many there are of each.
    parts: Vec<Vec<(usize, u32)>>,
    /// In millimetres.
    gap: f64,
}

impl Rectangles {
    /// `edge` is what of a sheet is not used along each side, `gap` what lies between two pieces (mm).
    pub fn of(
        job: &Job,
        parts: &[Part],
        wanted: &[usize],
        group: &[usize],
        edge: impl Fn(&Stock) -> f64,
        gap: f64,
    ) -> Rectangles {
        let between = micrometres(gap);
        let mut all = Rectangles { problem: Problem::default(), stocks: group.to_vec(), parts: Vec::new(), gap };
        for &part in wanted {
            let about = &parts[part];
            let (straight, turned) = turns(about.grain);
            let (length, width) = (micrometres(about.length) + between, micrometres(about.width) + between);
            let alike = |kind: &PieceKind| (kind.length, kind.width, kind.straight, kind.turned);
            match all.problem.kinds.iter().position(|kind| alike(kind) == (length, width, straight, turned)) {
                Some(known) => {
                    all.problem.kinds[known].count += about.count;
                    all.parts[known].push((part, about.count));
                }
                None => {
                    all.problem.kinds.push(PieceKind { length, width, straight, turned, count: about.count });
                    all.parts.push(vec![(part, about.count)]);
                }
            }
        }
        for (&stock, cost) in group.iter().zip(costs(job, group)) {
            let stock = &job.stock[stock];
            let (length, width) = inside(stock, edge(stock));
            all.problem.bins.push(Bin {
                length: micrometres(length) + between,
                width: micrometres(width) + between,
                supply: stock.on_hand,
                cost: i64::try_from(cost).unwrap_or(i64::MAX).max(1),
            });
        }
        all
    }

    /// The same, with no more stages of cuts than these.
    pub fn in_stages(mut self, stages: Option<u32>) -> Rectangles {
        self.problem.stages = stages;
        self
    }

    /// Solutions of the search, for the caller to choose from: what comes first, by several seeds, and where that costs more
    /// than it must, what a longer search finds. `known` is the cost of another solution.
    ///
    /// The searches know nothing of each other, so that it does not matter on how many cores they run.
    pub fn search(&self, asked: &Search, known: i64) -> Vec<Found> {
        if self.large() {
            return self.search_large(asked);
        }
        let least = least_cost(&self.problem);
        let settings =
            |looks: u64, seed: u64| Settings { looks, seed, watch: asked.watch.clone(), ..Settings::default() };
        let looks = u64::from(asked.effort) * search::LOOKS;
        asked.watch.begin(fewest_sheets(&self.problem), looks * SEARCHES);
        let mut found = search::first_tries(&self.problem, 1..TRIES + 1);
        let complete = found.iter().filter(|found| found.left_out.is_empty()).map(|found| found.cost);
        if complete.min().unwrap_or(i64::MAX).min(known) > least {
            let seeds = TRIES + 1..TRIES + 1 + SEARCHES;
            let searched: Vec<Found> = seeds
                .into_par_iter()
                .map(|seed| search::search(&self.problem, &settings(looks, seed), least))
                .collect();
            found.extend(searched);
        }
        asked.watch.end();
        found
    }

    /// Many first tries in few stages, for the caller to choose from: patterns of few stages take fewer cuts and
    /// settings, and often leave more in one piece. The fewer the pieces the more of them; those that cost more than
    /// `most` are left out.
    pub fn in_few_stages(&self, asked: &Search, most: i64) -> Vec<Found> {
        /// Pieces put in for each step of effort.
        const PUT_IN: u64 = 3_000;
        /// Beyond these the patterns are much like those without a limit.
        const FEW: [u32; 3] = [2, 3, 4];
        let pieces = self.problem.kinds.iter().map(|kind| u64::from(kind.count)).sum::<u64>().max(1);
        let seeds = u64::from(asked.effort) * PUT_IN / pieces / FEW.len() as u64;
        let limits = FEW.into_iter().filter(|limit| self.problem.stages.is_none_or(|stages| *limit <= stages));
        let tries = limits.take_while(|_| !asked.watch.stopped()).flat_map(|limit| {
            search::first_tries(&Problem { stages: Some(limit), ..self.problem.clone() }, 1..seeds + 1)
        });
        tries.filter(|found| found.left_out.is_empty() && found.cost <= most).collect()
    }

    /// The cheapest sheets of all, where the pieces are few enough to go through every pattern of cuts, and the sheets
    /// on hand suffice. Stages are counted only at the end: it is `None` where these sheets take too many.
    pub fn cheapest_of_few(&self) -> Option<Found> {
        let found = exact::cheapest(&self.problem)?;
        let in_stages = |sheet: &Filled| self.problem.stages.is_none_or(|stages| sheet.cut.stages() <= stages);
        let may_be = found.sheets.iter().all(in_stages) && self.on_hand(found.sheets.iter().map(|sheet| sheet.bin));
        may_be.then_some(found)
    }

    /// The same for free cuts.
    pub fn cheapest_of_few_with_free_cuts(&self) -> Option<Vec<Nested>> {
        let found = exact::cheapest_with_free_cuts(&self.problem)?;
        self.on_hand(found.iter().map(|sheet| sheet.bin)).then_some(found)
    }

    /// Are these sheets there?
    fn on_hand(&self, bins: impl Iterator<Item = usize>) -> bool {
        let mut used = vec![0; self.problem.bins.len()];
        bins.for_each(|bin| used[bin] += 1);
        self.problem.bins.iter().zip(used).all(|(bin, used)| bin.supply.is_none_or(|supply| used <= supply))
    }

    /// Are there too many pieces to search for all of them at once?
    pub fn large(&self) -> bool {
        self.problem.kinds.iter().map(|kind| u64::from(kind.count)).sum::<u64>() > MOST_SEARCHED
    }

    fn search_large(&self, asked: &Search) -> Vec<Found> {
        let looks = u64::from(asked.effort) * search::LOOKS;
        let mut problems: Vec<(Problem, u64)> = (1..=SEARCHES).map(|seed| (self.problem.clone(), seed)).collect();
        if self.problem.bins.len() > 1 {
            problems.extend((0..self.problem.bins.len()).filter_map(|bin| Some((self.with_one_size(bin)?, 1))));
        }
        asked.watch.begin(fewest_sheets(&self.problem), 2 * looks * problems.len() as u64);
        let found = problems.par_iter().map(|(problem, seed)| {
            search::search_many(
                problem,
                &Settings { looks, seed: *seed, watch: asked.watch.clone(), ..Settings::default() },
            )
        });
        let found = found.collect();
        asked.watch.end();
        found
    }

    /// The same pieces on sheets of one size alone; `None` where those on hand are too few.
    fn with_one_size(&self, bin: usize) -> Option<Problem> {
        let mut problem = self.problem.clone();
        for (_, other) in problem.bins.iter_mut().enumerate().filter(|(i, _)| *i != bin) {
            other.supply = Some(0);
        }
        let there = problem.bins[bin].supply.map_or(u64::MAX, u64::from);
        (fewest_sheets(&problem) <= there).then_some(problem)
    }

    /// What the sheets of these patterns cost, as the search counts it.
    pub fn cost(&self, patterns: &[Pattern]) -> i64 {
        self.cost_of(patterns.iter().map(|pattern| pattern.stock))
    }

    fn cost_of(&self, stocks: impl Iterator<Item = usize>) -> i64 {
        let bin = |stock: usize| self.stocks.iter().position(|known| *known == stock);
        stocks.filter_map(bin).map(|bin| self.problem.bins[bin].cost).sum()
    }

    /// The parts of pieces, by kind.
    pub fn parts_of(&self, kinds: &[usize]) -> Vec<usize> {
        let mut given = Given::new(&self.parts);
        kinds.iter().filter_map(|kind| given.next(*kind)).collect()
    }

    /// The sheets as patterns for a saw whose kerf is the gap.
    pub fn patterns(&self, job: &Job, sheets: &[Filled]) -> Vec<Pattern> {
        let mut given = Given::new(&self.parts);
        sheets
            .iter()
            .map(|sheet| {
                let stock = &job.stock[self.stocks[sheet.bin]];
                Pattern {
                    stock: self.stocks[sheet.bin],
                    length: stock.length,
                    width: stock.width,
                    thickness: stock.thickness,
                    trim: stock.trim,
                    kerf: self.gap,
                    content: self.content(&sheet.cut, &mut given),
                }
            })
            .collect()
    }

    /// What these sheets cost, as the search counts it.
    pub fn cost_of_sheets(&self, sheets: &[Sheet]) -> i64 {
        self.cost_of(sheets.iter().map(|sheet| sheet.stock))
    }

    /// Cheaper sheets than these for a router, which needs no cuts from edge to edge: of several searches the cheapest.
    pub fn search_free(&self, asked: &Search, known: &[Nested]) -> Option<Vec<Nested>> {
        let looks = u64::from(asked.effort) * free::LOOKS;
        let least = least_cost(&self.problem);
        asked.watch.begin(fewest_sheets(&self.problem), looks * SEARCHES);
        let found: Vec<Vec<Nested>> = (1..=SEARCHES)
            .into_par_iter()
            .filter_map(|seed| {
                let settings = Settings { looks, seed, watch: asked.watch.clone(), ..Settings::default() };
                free::improve(&self.problem, &settings, least, known)
            })
            .collect();
        asked.watch.end();
        found.into_iter().min_by_key(|sheets| self.cost_of_nested(sheets))
    }

    pub fn cost_of_nested(&self, sheets: &[Nested]) -> i64 {
        sheets.iter().map(|sheet| self.problem.bins[sheet.bin].cost).sum()
    }

    /// How the pieces of a pattern lie.
    pub fn lie(&self, found: &Found) -> Vec<Nested> {
        found.sheets.iter().map(|sheet| Nested::of(sheet, &self.problem)).collect()
    }

    /// Sheets of a router's layout as the search knows them.
    pub fn nested(&self, job: &Job, sheets: &[Sheet]) -> Vec<Nested> {
        let kind = |part: usize| self.parts.iter().position(|parts| parts.iter().any(|(known, _)| *known == part));
        let piece = |placement: &Placement, margin: f64| {
            let kind = kind(placement.part)?;
            let (about, turned) = (&self.problem.kinds[kind], placement.turn.swaps());
            let (length, width) = if turned { (about.width, about.length) } else { (about.length, about.width) };
            let micro = |mm: f64| ((mm - margin) * 1000.0).round() as i32;
            let at = Space { x: micro(placement.x), y: micro(placement.y), length, width };
            Some(Placed { kind: kind as u32, turned, at })
        };
        let sheets = sheets.iter().filter_map(|sheet| {
            let bin = self.stocks.iter().position(|stock| *stock == sheet.stock)?;
            let margin = job.stock[sheet.stock].margin;
            Some(Nested { bin, placed: sheet.placements.iter().filter_map(|at| piece(at, margin)).collect() })
        });
        sheets.collect()
    }

    /// The same with length and width exchanged.
    pub fn sheets(&self, job: &Job, nested: &[Nested]) -> Vec<Sheet> {
        let mut given = Given::new(&self.parts);
        let mut sheets = Vec::new();
        for nested in nested {
            let stock = self.stocks[nested.bin];
            let about = &job.stock[stock];
            let placed = |piece: &Placed| {
                Some(Placement {
                    part: given.next(piece.kind as usize)?,
                    x: about.margin + f64::from(piece.at.x) / 1000.0,
                    y: about.margin + f64::from(piece.at.y) / 1000.0,
                    turn: if piece.turned { Turn::Quarter } else { Turn::None },
                })
            };
            let placements = nested.placed.iter().filter_map(placed).collect();
            let (length, width, thickness) = (about.length, about.width, about.thickness);
            sheets.push(Sheet { stock, length, width, thickness, placements });
        }
        sheets
    }

    fn content(&self, cut: &Cut, given: &mut Given) -> Content {
        match cut {
            Cut::Left => Content::Left,
            Cut::Part { kind, turned } => given.next(*kind).map_or(Content::Left, |part| Content::Part {
                part,
                turn: if *turned { Turn::Quarter } else { Turn::None },
            }),
            Cut::Split(axis, strips) => {
                // The widest first, equal ones side by side, and what is left over last. What is no wider than a kerf goes
                // with the last cut.
                let between = micrometres(self.gap);
                let size = |size: i32| f64::from(size - between) / 1000.0;
                let mut order: Vec<&(i32, Cut)> = strips.iter().filter(|(wide, _)| size(*wide) > 1e-6).collect();
                order.sort_by_key(|(wide, cut)| (*cut == Cut::Left, -wide));
                let strips = order
                    .into_iter()
                    .map(|(wide, cut)| Strip { size: size(*wide), content: self.content(cut, given) })
                    .collect();
                Content::Split { axis: *axis, strips }
            }
        }
    }
}

/// Hands out the parts of a kind one after another.
struct Given<'a> {
    parts: &'a [Vec<(usize, u32)>],
    /// Of each kind, which of its parts is next, and how many of it are out already.
    next: Vec<(usize, u32)>,
}

impl Given<'_> {
    fn new(parts: &[Vec<(usize, u32)>]) -> Given<'_> {
        Given { parts, next: vec![(0, 0); parts.len()] }
    }

    fn next(&mut self, kind: usize) -> Option<usize> {
        let (at, out) = &mut self.next[kind];
        let (part, count) = *self.parts[kind].get(*at)?;
        *out += 1;
        if *out == count {
            (*at, *out) = (*at + 1, 0);
        }
        Some(part)
    }
}
