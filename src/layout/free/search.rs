//! Ruin and recreate for free nesting, from sheets that are known.
//!
//! Goal and acceptance are those of the search for guillotine patterns: fewer sheets are allowed than are known to do, and
//! less and less is left out. A step clears a window of a sheet or takes single pieces out, and puts in what is out, the
//! most restricted first, where it lies best.

use super::sheet::{Nested, Open};
use super::space::Space;
use super::waiting::Waiting;
use crate::layout::search::{self, Problem, Random, Settings};

/// What a step costs beside the places it looks at, in looks.
const STEP: u64 = 200;

/// Steps without gain after which what is out counts for more.
const PATIENCE: u32 = 1_000;

/// One search.
pub(super) struct Engine<'a> {
    pub problem: &'a Problem,
    pub settings: &'a Settings,
    pub random: Random,
    /// What leaving out a piece of each kind counts.
    pub weights: Vec<i64>,
    pub sheets: Vec<Open>,
    /// Pieces out, by kind; sheets in use, by bin.
    pub out: Vec<u32>,
    pub open: Vec<u32>,
    pub cost: i64,
    pub limit: i64,
    pub looks: u64,
    pub touched: Vec<bool>,
    before: Vec<(usize, Open)>,
    spare: Vec<Open>,
    pub waiting: Vec<Waiting>,
    pub scratch: Vec<Space>,
    pub by_contact: bool,
}

/// Looks that one step of effort stands for.
pub const LOOKS: u64 = search::LOOKS * 3 / 10;

/// Searches for cheaper sheets than these, or where they leave pieces out, for sheets that hold all. It stops when they cost
/// no more than `bound`. `None` when none are found.
pub fn improve(problem: &Problem, settings: &Settings, bound: i64, known: &[Nested]) -> Option<Vec<Nested>> {
    let mut engine = Engine::new(problem, settings, known);
    let mut best = None;
    if !engine.complete() {
        best = engine.search().then(|| engine.found());
    }
    while engine.complete() && engine.cost > bound && engine.time_left() {
        engine.lower(engine.cost - 1);
        if engine.search() {
            best = Some(engine.found());
        }
    }
    best
}

impl Engine<'_> {
    fn new<'a>(problem: &'a Problem, settings: &'a Settings, known: &[Nested]) -> Engine<'a> {
        let mut scratch = Vec::new();
        let mut open = vec![0; problem.bins.len()];
        let mut out: Vec<u32> = problem.kinds.iter().map(|kind| kind.count).collect();
        let mut cost = 0;
        let mut sheets = Vec::new();
        for nested in known {
            let bin = &problem.bins[nested.bin];
            let mut sheet = Open::new(nested.bin as u32, bin.length, bin.width);
            for piece in &nested.placed {
                sheet.put(*piece, &mut scratch);
                out[piece.kind as usize] = out[piece.kind as usize].saturating_sub(1);
            }
            sheets.push(sheet);
            open[nested.bin] += 1;
            cost += bin.cost;
        }
        Engine {
            problem,
            settings,
            random: Random::new(settings.seed),
            weights: problem.kinds.iter().map(|kind| i64::from(kind.length) * i64::from(kind.width)).collect(),
            touched: vec![false; sheets.len()],
            sheets,
            out,
            open,
            cost,
            limit: i64::MAX,
            looks: 0,
            before: Vec::new(),
            spare: Vec::new(),
            waiting: Vec::new(),
            scratch,
            by_contact: true,
        }
    }

    fn time_left(&self) -> bool {
        self.looks < self.settings.looks && !self.settings.watch.stopped()
    }

    fn complete(&self) -> bool {
        self.out.iter().all(|out| *out == 0)
    }

    fn rating(&self) -> (i64, f64) {
        let out = self.out.iter().zip(&self.weights).map(|(out, weight)| i64::from(*out) * weight).sum();
        (out, -self.sheets.iter().map(|sheet| sheet.worth).sum::<f64>())
    }

    /// Steps until everything is in, or the time is up. Says whether it is.
    fn search(&mut self) -> bool {
        let mut current = self.rating();
        let mut history = vec![current; self.settings.history.max(1)];
        let (mut least, mut idle) = (i64::MAX, 0);
        for step in (0..history.len()).cycle() {
            if self.complete() || !self.time_left() {
                break;
            }
            idle += 1;
            if current.0 < least {
                (least, idle) = (current.0, 0);
            } else if idle > PATIENCE {
                self.weigh_anew();
                current = self.rating();
                history.fill(current);
                (least, idle) = (current.0, 0);
            }
            let (out, open, cost) = (self.out.clone(), self.open.clone(), self.cost);
            self.ruin();
            // What leaves out more is not kept.
            self.recreate(history[step].0.max(current.0));
            self.looks += STEP;
            let new = self.rating();
            if self.complete() || new <= current || new < history[step] {
                self.keep();
                current = new;
            } else {
                self.take_back();
                (self.out, self.open, self.cost) = (out, open, cost);
            }
            history[step] = current;
        }
        self.complete()
    }

    fn weigh_anew(&mut self) {
        for (kind, about) in self.problem.kinds.iter().enumerate().filter(|(kind, _)| self.out[*kind] > 0) {
            self.weights[kind] += i64::from(about.length) * i64::from(about.width) / 8;
        }
    }

    pub fn touch(&mut self, sheet: usize) {
        if !self.touched[sheet] {
            self.touched[sheet] = true;
            let mut copy = self.spare.pop().unwrap_or_else(|| Open::new(0, 1, 1));
            copy.copy_from(&self.sheets[sheet]);
            self.before.push((sheet, copy));
        }
    }

    fn keep(&mut self) {
        while let Some((sheet, copy)) = self.before.pop() {
            self.touched[sheet] = false;
            self.spare.push(copy);
        }
    }

    fn take_back(&mut self) {
        while let Some((sheet, mut copy)) = self.before.pop() {
            self.touched[sheet] = false;
            std::mem::swap(&mut self.sheets[sheet], &mut copy);
            self.spare.push(copy);
        }
    }

    /// Clears windows of sheets, or takes single pieces out.
    fn ruin(&mut self) {
        if self.sheets.is_empty() {
            return;
        }
        let windows = 1 + self.random.below(3);
        for _ in 0..windows {
            let sheet = self.random.below(self.sheets.len());
            if self.sheets[sheet].placed.is_empty() {
                continue;
            }
            let (length, width) = (self.sheets[sheet].whole.length, self.sheets[sheet].whole.width);
            let at = self.random.below(self.sheets[sheet].placed.len());
            let piece = self.sheets[sheet].placed[at].at;
            let window = if self.random.below(2) == 0 {
                piece
            } else {
                let reach = |side: i32, random: &mut Random| random.below(side as usize / 2) as i32;
                let (x, y) = (reach(length, &mut self.random), reach(width, &mut self.random));
                Space { x: piece.x - x / 2, y: piece.y - y / 2, length: piece.length + x, width: piece.width + y }
            };
            self.clear(sheet, &window);
        }
    }

    fn clear(&mut self, sheet: usize, window: &Space) {
        self.touch(sheet);
        let Self { sheets, out, scratch, .. } = self;
        let sheet = &mut sheets[sheet];
        self.looks += 8 * sheet.placed.len() as u64;
        sheet.clear(
            |piece| {
                let gone = piece.at.meets(window);
                if gone {
                    out[piece.kind as usize] += 1;
                }
                gone
            },
            scratch,
        );
        if sheet.placed.is_empty() {
            self.open[sheet.bin as usize] -= 1;
            self.cost -= self.problem.bins[sheet.bin as usize].cost;
        }
    }

    /// Sheets may now cost this much in all: the emptiest are given up until they do.
    fn lower(&mut self, limit: i64) {
        self.keep();
        self.limit = limit;
        while self.cost > limit {
            let fill = |sheet: &Open| sheet.used as f64 / self.problem.bins[sheet.bin as usize].cost as f64;
            let emptiest = (0..self.sheets.len())
                .filter(|i| !self.sheets[*i].placed.is_empty())
                .min_by(|a, b| fill(&self.sheets[*a]).total_cmp(&fill(&self.sheets[*b])));
            let Some(sheet) = emptiest else { return };
            let whole = self.sheets[sheet].whole;
            self.clear(sheet, &whole);
        }
        self.keep();
    }

    fn found(&self) -> Vec<Nested> {
        let used = self.sheets.iter().filter(|sheet| !sheet.placed.is_empty());
        used.map(|sheet| Nested { bin: sheet.bin as usize, placed: sheet.placed.clone() }).collect()
    }
}
