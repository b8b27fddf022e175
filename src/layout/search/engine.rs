//! One search: what is where, and the steps from one state to the next.

use super::pool::{Pool, Wanted};
use super::random::Random;
use super::tree::{ROOT, Tree, What};
use super::waiting::{Offer, Waiting};
use super::worth::Worth;
use super::{Cut, Filled, Found, Problem, Settings};
use crate::layout::Axis;

/// What a step costs beside the places it looks at, in looks.
const STEP: u64 = 60;

/// Looks after which whoever watches is told.
const TOLD: u64 = 200_000;

/// What a step may leave out, in times what is out, for its sheets to be remembered; and how well they must be filled, in
/// hundredths of the mean.
const NEAR: i64 = 2;
const WELL_FILLED: i64 = 95;

/// The part of its area that a piece counts more each time.
const HEAVIER: i64 = 8;

/// Area left out, weighted, then the worth of what is left over, negated: less is better.
type Cost = (i64, f64);

/// What is out and what is in use.
#[derive(Default)]
pub(super) struct Tally {
    /// Pieces out, by kind; the kinds of which some are out, in any order; the area of all of them.
    pub out: Vec<u32>,
    pub out_kinds: Vec<u32>,
    pub area_out: i64,
    /// Sheets in use by bin, and what they cost.
    pub open: Vec<u32>,
    pub cost: i64,
}

impl Tally {
    /// Takes over another's figures without giving up its own memory.
    fn copy_from(&mut self, from: &Tally) {
        self.out.clone_from(&from.out);
        self.out_kinds.clone_from(&from.out_kinds);
        self.open.clone_from(&from.open);
        (self.area_out, self.cost) = (from.area_out, from.cost);
    }
}

/// One search.
pub(super) struct Engine<'a> {
    pub problem: &'a Problem,
    pub settings: &'a Settings,
    pub worth: Worth,
    pub random: Random,
    /// What leaving out a piece of each kind counts: its area at first.
    pub areas: Vec<i64>,
    pub sheets: Vec<Tree>,
    pub tally: Tally,
    /// What the sheets in use may cost.
    pub limit: i64,
    pub looks: u64,
    /// Looks that whoever watches knows of.
    told: u64,
    /// Sheets as they were before this step, and the tally.
    before: Vec<(usize, Tree)>,
    pub touched: Vec<bool>,
    spare: Vec<Tree>,
    tally_before: Tally,
    /// Kinds that are out and may still find a place: the first `waits` of these.
    pub waiting: Vec<Waiting>,
    pub waits: usize,
    pub offers: Vec<Offer>,
    pool: Pool,
    /// Does a step change two or three sheets only? Each kind of step finds what the other misses, so they take turns.
    few: bool,
}

impl<'a> Engine<'a> {
    pub fn new(problem: &'a Problem, settings: &'a Settings, worth: Worth) -> Engine<'a> {
        let areas: Vec<i64> = problem.kinds.iter().map(|kind| i64::from(kind.length) * i64::from(kind.width)).collect();
        let out: Vec<u32> = problem.kinds.iter().map(|kind| kind.count).collect();
        let tally = Tally {
            area_out: areas.iter().zip(&out).map(|(area, count)| area * i64::from(*count)).sum(),
            out_kinds: (0..out.len() as u32).filter(|kind| out[*kind as usize] > 0).collect(),
            out,
            open: vec![0; problem.bins.len()],
            cost: 0,
        };
        Engine {
            problem,
            settings,
            worth,
            random: Random::new(settings.seed),
            areas,
            sheets: Vec::new(),
            tally,
            limit: i64::MAX,
            looks: 0,
            told: 0,
            before: Vec::new(),
            touched: Vec::new(),
            spare: Vec::new(),
            tally_before: Tally::default(),
            waiting: Vec::new(),
            waits: 0,
            offers: Vec::new(),
            pool: Pool::default(),
            few: false,
        }
    }

    pub fn time_left(&self) -> bool {
        self.looks < self.settings.looks && !self.settings.watch.stopped()
    }

    /// Is every piece in?
    pub fn complete(&self) -> bool {
        self.tally.area_out == 0
    }

    /// Steps until everything is in, or the time is up. Says whether it is.
    pub fn improve(&mut self) -> bool {
        let mut current = self.rating();
        // Late acceptance, after E. Burke and Y. Bykov, "The late acceptance hill-climbing heuristic", European Journal of
        // Operational Research, 2017.
        let mut history = vec![current; self.settings.history.max(1)];
        let combine = Some(self.settings.combine).filter(|looks| *looks > 0).unwrap_or(u64::MAX);
        let mut next = self.looks.saturating_add(combine);
        let (mut since, mut least) = (0, i64::MAX);
        for step in (0..history.len()).cycle() {
            if self.complete() || !self.time_left() {
                break;
            }
            if self.looks >= next {
                self.combine();
                current = self.rating();
                history.fill(current);
                next = self.looks.saturating_add(combine);
                continue;
            }
            since += 1;
            if current.0 < least {
                (least, since) = (current.0, 0);
            }
            if since > self.settings.patience {
                self.weigh_anew();
                current = self.rating();
                history.fill(current);
                (least, since) = (current.0, 0);
            }
            self.tally_before.copy_from(&self.tally);
            self.ruin();
            // What leaves out more is neither kept nor remembered.
            self.recreate(history[step].0.max(NEAR * current.0));
            self.looks += STEP;
            if self.looks - self.told > TOLD {
                self.settings.watch.looked(self.looks - self.told);
                self.told = self.looks;
            }
            let new = self.rating();
            if new.0 <= NEAR * current.0 {
                self.remember();
            }
            if self.complete() || new <= current || new < history[step] {
                self.keep();
                current = new;
            } else {
                self.take_back();
            }
            history[step] = current;
        }
        self.complete()
    }

    /// What is out counts for more from now on: what is hard to place gets its place before the rest. That weights make
    /// a search leave where it is stuck is from Y. Nagata and O. Bräysy, "A powerful route minimization heuristic for
    /// the vehicle routing problem with time windows", Operations Research Letters, 2009.
    fn weigh_anew(&mut self) {
        for &kind in &self.tally.out_kinds {
            let about = &self.problem.kinds[kind as usize];
            self.areas[kind as usize] += i64::from(about.length) * i64::from(about.width) / HEAVIER;
        }
        self.tally.area_out = self
            .tally
            .out_kinds
            .iter()
            .map(|&kind| self.areas[kind as usize] * i64::from(self.tally.out[kind as usize]))
            .sum();
    }

    /// Keeps the sheets that this step changed and that are filled about as well as the others.
    fn remember(&mut self) {
        if self.settings.combine == 0 {
            return;
        }
        let used: i64 = self.sheets.iter().map(|sheet| sheet.used).sum();
        let mean = used / self.sheets.len().max(1) as i64;
        for (sheet, _) in &self.before {
            let sheet = &self.sheets[*sheet];
            if sheet.used * 100 >= mean * WELL_FILLED {
                self.pool.add(sheet, self.problem);
            }
        }
    }

    /// Goes on from the sheets seen so far that together leave out the least.
    fn combine(&mut self) {
        self.few = !self.few;
        let looks = self.settings.combine.min(self.settings.looks - self.looks) / 2;
        let limit = if self.limit == i64::MAX { self.tally.cost } else { self.limit };
        let wanted = Wanted { problem: self.problem, areas: &self.areas, limit, looks };
        let (chosen, looks) = self.pool.choose(&wanted, &mut self.random);
        self.looks += looks;
        if chosen.is_empty() {
            return;
        }
        self.sheets = chosen;
        self.before.clear();
        self.touched = vec![false; self.sheets.len()];
        let tally = &mut self.tally;
        tally.out = self.problem.kinds.iter().map(|kind| kind.count).collect();
        for sheet in &mut self.sheets {
            for node in 0..sheet.nodes.len() {
                let What::Part { kind, .. } = sheet.nodes[node].what else { continue };
                match tally.out[kind as usize].checked_sub(1) {
                    Some(left) => tally.out[kind as usize] = left,
                    // It lies on an earlier sheet already.
                    None => sheet.remove(node as u32, &self.worth, &mut |_| ()),
                }
            }
        }
        let out = || tally.out.iter().enumerate().filter(|(_, count)| **count > 0);
        tally.out_kinds = out().map(|(kind, _)| kind as u32).collect();
        tally.area_out = out().map(|(kind, count)| self.areas[kind] * i64::from(*count)).sum();
        tally.open.fill(0);
        tally.cost = 0;
        for bin in self.sheets.iter().filter(|sheet| !sheet.is_empty()).map(|sheet| sheet.bin as usize) {
            tally.open[bin] += 1;
            tally.cost += self.problem.bins[bin].cost;
        }
    }

    fn rating(&self) -> Cost {
        let left: f64 = self.sheets.iter().filter(|sheet| !sheet.is_empty()).map(|sheet| sheet.worth).sum();
        let unspent = if self.limit == i64::MAX { 0.0 } else { (self.limit - self.tally.cost) as f64 };
        let dearest = self.problem.bins.iter().map(|bin| bin.cost).max().unwrap_or(1);
        (self.tally.area_out, -(left + unspent / dearest as f64))
    }

    /// Remembers a sheet before it is changed in this step.
    pub fn touch(&mut self, sheet: usize) {
        if !self.touched[sheet] {
            self.touched[sheet] = true;
            let mut copy = self.spare.pop().unwrap_or_else(|| Tree::new(0, 1, 1, &self.worth));
            copy.copy_from(&self.sheets[sheet]);
            self.before.push((sheet, copy));
        }
    }

    fn keep(&mut self) {
        while let Some((sheet, tree)) = self.before.pop() {
            self.touched[sheet] = false;
            self.spare.push(tree);
        }
    }

    fn take_back(&mut self) {
        while let Some((sheet, mut tree)) = self.before.pop() {
            self.touched[sheet] = false;
            std::mem::swap(&mut self.sheets[sheet], &mut tree);
            self.spare.push(tree);
        }
        std::mem::swap(&mut self.tally, &mut self.tally_before);
    }

    /// Takes a few nodes out with all that is in them: of any sheets, or of two or three, which then lose much.
    fn ruin(&mut self) {
        let nodes = 1 + self.random.below(self.settings.ruin);
        let nodes = if self.sheets.is_empty() { 0 } else { nodes };
        let mut few = [0; 3];
        let number = if self.few { 2 + self.random.below(2) } else { 0 };
        few[..number].fill_with(|| self.random.below(self.sheets.len().max(1)));
        for _ in 0..nodes {
            let sheet = if self.few { few[self.random.below(number)] } else { self.random.below(self.sheets.len()) };
            if self.sheets[sheet].is_empty() {
                continue;
            }
            self.touch(sheet);
            let node = loop {
                let node = self.random.below(self.sheets[sheet].nodes.len());
                match self.sheets[sheet].nodes[node].what {
                    What::Part { .. } | What::Split(_) => break node,
                    What::Left | What::Unused => {}
                }
            };
            self.take_out(sheet, node as u32);
        }
    }

    fn take_out(&mut self, sheet: usize, node: u32) {
        let (tally, areas) = (&mut self.tally, &self.areas);
        self.sheets[sheet].remove(node, &self.worth, &mut |kind| {
            if tally.out[kind as usize] == 0 {
                tally.out_kinds.push(kind);
            }
            tally.out[kind as usize] += 1;
            tally.area_out += areas[kind as usize];
        });
        if self.sheets[sheet].is_empty() {
            let bin = self.sheets[sheet].bin as usize;
            self.tally.open[bin] -= 1;
            self.tally.cost -= self.problem.bins[bin].cost;
        }
    }

    /// Sheets may now cost this much in all: the emptiest are given up until they do.
    pub fn lower(&mut self, limit: i64) {
        self.keep();
        self.limit = limit;
        while self.tally.cost > limit {
            let fill = |sheet: &Tree| {
                let bin = &self.problem.bins[sheet.bin as usize];
                sheet.used as f64 / bin.cost as f64
            };
            let emptiest = (0..self.sheets.len())
                .filter(|i| !self.sheets[*i].is_empty())
                .min_by(|a, b| fill(&self.sheets[*a]).total_cmp(&fill(&self.sheets[*b])));
            let Some(sheet) = emptiest else { return };
            self.take_out(sheet, ROOT);
        }
    }

    /// Tells whoever watches of a complete solution.
    pub fn report(&self) {
        if !self.complete() {
            return;
        }
        let sheets = || self.sheets.iter().filter(|sheet| !sheet.is_empty());
        let area = |bin: u32| {
            let bin = &self.problem.bins[bin as usize];
            i64::from(bin.length) * i64::from(bin.width)
        };
        let whole: i64 = sheets().map(|sheet| area(sheet.bin)).sum();
        let used: i64 = sheets().map(|sheet| sheet.used).sum();
        self.settings.watch.found(self.tally.cost, sheets().count() as u64, used as f64 / whole.max(1) as f64);
    }

    pub fn found(&self) -> Found {
        let sheets = self.sheets.iter().filter(|sheet| !sheet.is_empty());
        Found {
            sheets: sheets.map(|sheet| Filled { bin: sheet.bin as usize, cut: cut(sheet, ROOT) }).collect(),
            cost: self.tally.cost,
            left_out: self
                .tally
                .out
                .iter()
                .enumerate()
                .flat_map(|(kind, count)| std::iter::repeat_n(kind, *count as usize))
                .collect(),
        }
    }
}

fn cut(sheet: &Tree, node: u32) -> Cut {
    match sheet.nodes[node as usize].what {
        What::Part { kind, turned } => Cut::Part { kind: kind as usize, turned },
        What::Left | What::Unused => Cut::Left,
        What::Split(axis) => {
            let size = |child: u32| {
                let node = &sheet.nodes[child as usize];
                if axis == Axis::X { node.length } else { node.width }
            };
            Cut::Split(axis, sheet.children(node).map(|child| (size(child), cut(sheet, child))).collect())
        }
    }
}
