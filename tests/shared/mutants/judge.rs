//! Says whether a change of a program matters: does the cut differ by more than [`SMALL`] where it counts, or is a rule
//! broken? It knows the job's parts, machine and tools, and shares no code with the library's proof.

use super::go::Go;
use super::machine::{Bit, Run, Settings, run};
use super::walls::{Piece, Place, Plug, SMALL, Want, pieces, places, plugs};
use nestwright::proof::{Claim, RouterClaim, SheetClaim, Text, ToolClaim};
use std::collections::{BTreeSet, HashMap};
use std::sync::Mutex;

/// A tenth more than the depth of a pass is not too much (common practice).
const PASS: f64 = 1.1;
/// A mark for a screw is no deeper than this (mm): common practice.
const MARK: f64 = 2.0;
/// The middle of an opening is held by two bridges at least, each so wide and so high (mm): common practice.
const BRIDGE: (f64, f64) = (3.0, 1.0);

pub struct Judge<'a> {
    router: &'a RouterClaim,
    sheet: &'a SheetClaim,
    tools: Vec<Option<u32>>,
    moves: Vec<Go>,
    cells: Cells,
    places: Vec<Place>,
    plugs: Vec<Plug>,
    pieces: Vec<Piece>,
    /// Heights that the unbroken program leaves, as far as they were asked for.
    heights: Mutex<Vec<f64>>,
    place_cells: Cells,
}

/// Indices by square cells of the sheet.
struct Cells(HashMap<(i32, i32), Vec<u32>>);

const CELL: f64 = 20.0;

fn cell(x: f64) -> i32 {
    (x / CELL).floor() as i32
}

impl Cells {
    fn add(&mut self, b: [f64; 4], index: usize) {
        for x in cell(b[0])..=cell(b[2]) {
            for y in cell(b[1])..=cell(b[3]) {
                self.0.entry((x, y)).or_default().push(index as u32);
            }
        }
    }

    fn at(&self, p: [f64; 2]) -> &[u32] {
        self.0.get(&(cell(p[0]), cell(p[1]))).map_or(&[], Vec::as_slice)
    }
}

fn reach(go: &Go) -> [f64; 4] {
    let (b, r) = (go.bounds(), go.radius + 0.1);
    [b[0] - r, b[1] - r, b[2] + r, b[3] + r]
}

fn meet(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3]
}

/// Only such moves change wood.
fn cuts(go: &Go) -> bool {
    go.known() && go.lowest() < 0.0 && go.radius > 0.0
}

/// Moves of a broken program: the first `head` and all from `tail` on are the unbroken one's.
struct Changed {
    head: usize,
    tail: usize,
    middle: Vec<Go>,
}

impl<'a> Judge<'a> {
    /// # Panics
    /// Where the unbroken programs already break a rule: then it is the judge who is wrong, or they are.
    pub fn new(claim: &'a Claim, sheet: usize, texts: &[Text]) -> Judge<'a> {
        let (router, sheet) = (claim.router.as_ref().expect("a router"), &claim.sheets[sheet - 1]);
        let tools: Vec<Option<u32>> = texts.iter().map(|text| text.tool).collect();
        let programs: Vec<&str> = texts.iter().map(|text| text.text).collect();
        let mut judge = Judge {
            router,
            sheet,
            tools,
            moves: Vec::new(),
            cells: Cells(HashMap::new()),
            places: places(claim, sheet),
            plugs: plugs(claim, sheet),
            pieces: pieces(claim, sheet),
            heights: Mutex::default(),
            place_cells: Cells(HashMap::new()),
        };
        let run = judge.run(&programs, &judge.tools, &router.tools);
        assert!(run.broken.is_empty(), "{:?}", run.broken);
        for (i, go) in run.moves.iter().enumerate().filter(|(_, go)| cuts(go)) {
            judge.cells.add(reach(go), i);
        }
        let none = Changed { head: 0, tail: run.moves.len(), middle: run.moves.clone() };
        judge.moves = Vec::new();
        if let Some(why) = judge.text_rules(&run.moves) {
            panic!("the unbroken program: {why}");
        }
        judge.moves = run.moves;
        let whole = Changed { head: judge.moves.len(), tail: judge.moves.len(), middle: Vec::new() };
        for i in 0..none.middle.len() {
            if let Some(why) = judge.order_rules(&whole, i) {
                panic!("the unbroken program: {why}");
            }
        }
        if let Some(why) = judge.freed(&whole) {
            panic!("the unbroken program: {why}");
        }
        for (i, place) in judge.places.iter().enumerate() {
            judge.place_cells.add([place.at[0], place.at[1], place.at[0], place.at[1]], i);
        }
        judge.heights = Mutex::new(vec![f64::NAN; judge.places.len()]);
        judge
    }

    /// Why this change matters, or `None`.
    ///
    /// `first` are the tools that are in when each of the programs starts.
    pub fn matters(&self, programs: &[&str], first: &[Option<u32>], tools: &[ToolClaim]) -> Option<String> {
        let run = self.run(programs, first, tools);
        if let Some((line, why)) = run.broken.first() {
            return Some(format!("line {line}: {why}"));
        }
        if let Some(why) = self.text_rules(&run.moves) {
            return Some(why);
        }
        let head = self.moves.iter().zip(&run.moves).take_while(|(a, b)| a.same(b)).count();
        let left = run.moves.len().min(self.moves.len()) - head;
        let same =
            self.moves.iter().rev().zip(run.moves.iter().rev()).take(left).take_while(|(a, b)| a.same(b)).count();
        let (tail, end) = (self.moves.len() - same, run.moves.len() - same);
        let changed = Changed { head, tail, middle: run.moves[head..end].to_vec() };
        if changed.middle.is_empty() && head == tail {
            return None;
        }
        let boxes: Vec<[f64; 4]> =
            self.moves[head..tail].iter().chain(&changed.middle).filter(|go| cuts(go)).map(reach).collect();
        let count = head + changed.middle.len() + same;
        for i in head..count {
            let go = self.go(&changed, i);
            if (i < end || (cuts(go) && boxes.iter().any(|it| meet(*it, reach(go)))))
                && let Some(why) = self.order_rules(&changed, i)
            {
                return Some(why);
            }
        }
        // Only what comes in another order is cut when its part is free.
        let reordered = changed.middle.len() > 3;
        self.freed(&changed).filter(|_| reordered).or_else(|| self.shape(&changed, &boxes))
    }

    /// Is something cut in a part when nine tenths of what is cut around it are through?
    fn freed(&self, changed: &Changed) -> Option<String> {
        let floor = -self.sheet.thickness + SMALL / 2.0;
        let count = changed.head + changed.middle.len() + self.moves.len() - changed.tail;
        for piece in &self.pieces {
            let first = |p: &[f64; 2]| {
                let takes = |i: &usize| {
                    let go = self.go(changed, *i);
                    cuts(go) && go.lowest() <= floor && go.over(*p).is_some_and(|z| z <= floor)
                };
                (0..count).find(takes)
            };
            let mut gone: Vec<usize> = piece.around.iter().filter_map(first).collect();
            gone.sort_unstable();
            let Some(freed) = gone.get((gone.len() * 9).div_ceil(10).saturating_sub(1)) else { continue };
            for i in freed + 1..count {
                let go = self.go(changed, i);
                let p = go.at(0.5);
                if cuts(go) && piece.holds([p[0], p[1]]) {
                    return Some(format!("line {}: it cuts in a part that is free", go.line));
                }
            }
        }
        None
    }

    fn run(&self, programs: &[&str], first: &[Option<u32>], tools: &[ToolClaim]) -> Run {
        let machine = &self.router.machine;
        let bits: Vec<Bit> =
            tools.iter().map(|it| Bit { number: it.number, radius: it.diameter / 2.0, point: it.point }).collect();
        let settings = Settings {
            bits: &bits,
            top: if machine.zero_on_top { 0.0 } else { self.sheet.thickness },
            zero: [machine.sheet_zero[0] * self.sheet.length, machine.sheet_zero[1] * self.sheet.width],
            dwell_unit: machine.dwell_unit,
            by_hand: machine.by_hand,
            changer: machine.changes_tools,
        };
        let mut all = Run::default();
        for (text, first) in programs.iter().zip(first) {
            let mut run = run(text, *first, &settings);
            let stops = all.moves.last().map_or(0, |go: &Go| go.stops + 1);
            run.moves.iter_mut().for_each(|go| go.stops += stops);
            all.moves.extend(run.moves);
            all.broken.extend(run.broken);
        }
        all
    }

    /// Is it a dimple where a screw is to be driven?
    fn is_mark(&self, go: &Go) -> bool {
        let drill = self.router.tools.iter().any(|it| Some(it.number) == go.tool && it.drill);
        let reach = 0.5 + if drill { 0.0 } else { 0.2 * go.radius };
        let near = |p: &[f64; 3], x: f64, y: f64| (p[0] - x).hypot(p[1] - y) < reach;
        go.tip() >= -MARK - SMALL
            && self.sheet.screws.iter().any(|it| near(&go.from, it.x, it.y) && near(&go.to, it.x, it.y))
    }

    /// Rules that depend on the stops: nothing is cut before the screws are in, nothing goes into them then, and beside the
    /// sheet the spindle is only where it waits, high up.
    fn stop_rules(&self, moves: &[Go]) -> Option<String> {
        let (machine, sheet) = (&self.router.machine, self.sheet);
        let first_mark = moves.iter().find(|go| go.tip() < -SMALL && !go.rapid && self.is_mark(go));
        let driven = first_mark.map_or(0, |go| go.stops + 1);
        let waits = |stops: u32| moves.iter().rfind(|go| go.stops == stops).map(|go| go.to);
        for go in moves {
            let broken = |why: &str| Some(format!("line {}: {why}", go.line));
            if go.tip() < -SMALL && go.stops < driven && !self.is_mark(go) {
                return broken("it cuts before the screws are in");
            }
            if go.stops >= driven && go.tip() < machine.clear - SMALL && self.is_mark(go) {
                return broken("it goes into a screw");
            }
            for p in [go.from, go.to] {
                let beyond = (-p[0]).max(p[0] - sheet.length).max(-p[1]).max(p[1] - sheet.width);
                let here = |place: Option<[f64; 3]>| place.is_some_and(|it| (it[0] - p[0]).hypot(it[1] - p[1]) < 1e-6);
                let rests = here(waits(go.stops)) || (go.stops > 0 && here(waits(go.stops - 1)));
                if beyond > self.router.gap + SMALL && !(rests && p[2] - go.point >= machine.clear - SMALL) {
                    return broken("it goes far beyond the sheet's edge");
                }
                if beyond > SMALL && go.rapid && go.length() >= SMALL && go.tip() < machine.clear - SMALL {
                    return broken("a low rapid move where clamps may stand");
                }
            }
        }
        None
    }

    /// Rules that a move keeps or breaks by itself.
    fn text_rules(&self, moves: &[Go]) -> Option<String> {
        if let Some(why) = self.stop_rules(moves) {
            return Some(why);
        }
        let (machine, sheet) = (&self.router.machine, self.sheet);
        let mut reach = [[0.0, sheet.length], [0.0, sheet.width], [-sheet.thickness - machine.spoilboard, 0.0]];
        for go in moves {
            let broken = |why: &str| Some(format!("line {}: {why}", go.line));
            let sideways = go.length() >= SMALL || go.length().is_nan();
            if go.rapid && sideways {
                let least = if go.length() <= 150.0 { 1.0f64.min(machine.clear) } else { machine.clear };
                // The height that is known, where the other is not.
                let low = go.tip();
                if low < least - SMALL || low.is_nan() {
                    return broken("a rapid move sideways so low");
                }
            }
            if !go.known() {
                if go.to[2] - go.point < -SMALL {
                    return broken("a rapid move down into the sheet");
                }
                continue;
            }
            let b = go.bounds();
            for (axis, range) in reach.iter_mut().enumerate() {
                let (low, high) = [(b[0], b[2]), (b[1], b[3]), (go.tip(), go.from[2].max(go.to[2]) - go.point)][axis];
                *range = [range[0].min(low), range[1].max(high)];
                if range[1] - range[0] > machine.travel[axis] + SMALL {
                    return broken("further than the machine reaches");
                }
            }
            if go.lowest() < -sheet.thickness - machine.spoilboard - SMALL {
                return broken("deeper than the spoilboard allows");
            }
            let within = |r: f64| {
                let near = |p: &[f64; 3], x: f64, y: f64| (p[0] - x).hypot(p[1] - y) < r;
                sheet.screws.iter().any(|it| near(&go.from, it.x, it.y) && near(&go.to, it.x, it.y))
            };
            // A mark is a dimple at most a fifth wider than the cutter, or as wide as the drill.
            let marked = self.is_mark(go);
            if go.tip() < -SMALL && !marked && within(5.0) {
                return broken("a mark for a screw beside its place, or too deep");
            }
            if go.tip() < machine.clear - SMALL && !marked {
                for screw in &sheet.screws {
                    let near = Go { radius: go.radius + screw.head / 2.0 + 1.0 - SMALL, ..go.clone() };
                    if near.over([screw.x, screw.y]).is_some() {
                        return broken("it meets a screw");
                    }
                }
            }
            let down = go.from[2] - go.to[2];
            if !go.rapid {
                if go.feed > machine.feed * 1.002 {
                    return broken("faster than the machine");
                }
                if down > SMALL && go.feed * down / down.hypot(go.length()) > machine.plunge * 1.002 {
                    return broken("faster down than the machine");
                }
            }
            if go.tip() >= -SMALL {
                continue;
            }
            let Some(tool) = self.router.tools.iter().find(|tool| Some(tool.number) == go.tool) else {
                return broken("a tool that the job does not have");
            };
            if go.turns != 1 {
                return broken("the spindle stands or turns backwards");
            }
            if go.waited < machine.spin_up - 1e-6 {
                return broken("the spindle is not up to speed");
            }
            if go.speed < machine.spindle[0] * 0.998 || go.speed > machine.spindle[1] * 1.002 {
                return broken("a speed that the spindle does not have");
            }
            if tool.highest_speed.is_some_and(|most| go.speed > most * 1.002) {
                return broken("faster than the tool may turn");
            }
            if !go.rapid && go.feed <= 0.0 {
                return broken("no feed");
            }
            if !go.rapid && go.feed / (go.speed * tool.flutes) > tool.chip_load * sheet.chip_share.max(1.0) * 1.002 {
                return broken("more wood for a tooth than it takes");
            }
            if -go.lowest() > tool.flute_length + SMALL {
                return broken("deeper than the tool's edge");
            }
            if tool.drill && sideways {
                return broken("a drill moved sideways");
            }
        }
        None
    }

    fn go<'b>(&'b self, changed: &'b Changed, i: usize) -> &'b Go {
        let end = changed.head + changed.middle.len();
        match i {
            i if i < changed.head => &self.moves[i],
            i if i < end => &changed.middle[i - changed.head],
            i => &self.moves[changed.tail + (i - end)],
        }
    }

    /// Height of the wood at a place before the move of this index.
    fn height(&self, changed: &Changed, p: [f64; 2], before: usize) -> f64 {
        let end = changed.head + changed.middle.len();
        let mut height = 0.0f64;
        for i in self.cells.at(p) {
            let i = *i as usize;
            let now = if i < changed.head {
                i
            } else if i < changed.tail {
                continue;
            } else {
                i - changed.tail + end
            };
            if now < before
                && let Some(z) = self.moves[i].over(p)
            {
                height = height.min(z);
            }
        }
        for (k, go) in changed.middle.iter().enumerate() {
            if changed.head + k < before
                && cuts(go)
                && let Some(z) = go.over(p)
            {
                height = height.min(z);
            }
        }
        height
    }

    /// Rules that depend on what was cut before: how much wood a move meets.
    fn order_rules(&self, changed: &Changed, index: usize) -> Option<String> {
        let go = self.go(changed, index);
        if !cuts(go) {
            return None;
        }
        let broken = |why: &str, by: f64| Some(format!("line {}: {why} ({by:.2})", go.line));
        let tool = self.router.tools.iter().find(|tool| Some(tool.number) == go.tool)?;
        let (down, along) = (go.from[2] - go.to[2], go.length());
        let angle = if along < 1e-6 { 90.0 } else { (down - 0.01).max(0.0).atan2(along + 0.01).to_degrees() };
        let steps = (along / 2.0).ceil().clamp(1.0, 200.0) as usize;
        let places: Vec<f64> =
            if along < 1e-6 { vec![1.0] } else { (0..=steps).map(|k| k as f64 / steps as f64).collect() };
        for t in places {
            let mut p = go.at(t);
            if along < 1e-6 {
                p[2] = go.lowest();
            }
            let wood = self.height(changed, [p[0], p[1]], index) - p[2];
            if go.rapid {
                let rim = (0..8).map(|k| std::f64::consts::FRAC_PI_4 * f64::from(k)).map(|angle| {
                    let r = 0.9 * go.radius;
                    self.height(changed, [p[0] + r * angle.cos(), p[1] + r * angle.sin()], index) - p[2]
                });
                let most = rim.fold(wood, f64::max);
                if most > SMALL {
                    return broken("a rapid move through wood", most);
                }
            } else if wood > tool.pass_depth * go.radius * 2.0 * PASS + SMALL {
                return broken("too deep for one pass", wood);
            } else if down > 0.0 && angle > tool.ramp_angle + 0.5 && wood > SMALL {
                return broken("too steep into wood", angle);
            }
        }
        None
    }

    /// Is the wood that is left another than it should be?
    fn shape(&self, changed: &Changed, boxes: &[[f64; 4]]) -> Option<String> {
        let mut asked: BTreeSet<u32> = BTreeSet::new();
        for b in boxes {
            for x in cell(b[0])..=cell(b[2]) {
                for y in cell(b[1])..=cell(b[3]) {
                    asked.extend(self.place_cells.at([f64::from(x) * CELL + 1.0, f64::from(y) * CELL + 1.0]));
                }
            }
        }
        let floor = -self.sheet.thickness;
        let end = self.moves.len() - changed.tail + changed.head + changed.middle.len();
        let same = Changed { head: self.moves.len(), tail: self.moves.len(), middle: Vec::new() };
        for i in asked {
            let place = self.places[i as usize];
            let p = place.at;
            if !boxes.iter().any(|b| p[0] >= b[0] && p[0] <= b[2] && p[1] >= b[1] && p[1] <= b[3]) {
                continue;
            }
            let mut was = self.heights.lock().expect("whole")[i as usize];
            if was.is_nan() {
                was = self.height(&same, p, usize::MAX);
                self.heights.lock().expect("whole")[i as usize] = was;
            }
            // Deeper than the sheet is thick makes no other cut.
            let (was, now) = (was.max(floor), self.height(changed, p, end).max(floor));
            let bad = match place.want {
                Want::Same if now.min(was) >= -MARK - SMALL && self.under_screw(p) => false,
                Want::Same => (now - was).abs() > SMALL,
                Want::Gone => now > was + SMALL,
                Want::Flank(most) => now > was.max(most) + SMALL,
            };
            if bad {
                return Some(format!(
                    "at {:.2} {:.2} the wood is {now:.2} high, was {was:.2}, {:?}",
                    p[0], p[1], place.want
                ));
            }
        }
        self.plugs.iter().find_map(|plug| {
            let (b, high) = (plug.bounds(), floor + BRIDGE.1);
            if !boxes.iter().any(|it| meet(*it, b))
                || plug.bridges(BRIDGE.0, |p| self.height(&same, p, usize::MAX) >= high) == 0
            {
                return None;
            }
            let bridges = plug.bridges(BRIDGE.0, |p| self.height(changed, p, end) >= high);
            (bridges < 2).then(|| format!("at {:.2} {:.2} a middle is held by {bridges} bridges", b[0], b[1]))
        })
    }

    /// Under a screw's head, or in its mark: whether that is there changes nothing.
    fn under_screw(&self, p: [f64; 2]) -> bool {
        let mark = self.router.tools.iter().map(|tool| tool.diameter * 0.6 + 0.5).fold(0.0, f64::max);
        self.sheet.screws.iter().any(|it| (p[0] - it.x).hypot(p[1] - it.y) < mark.max(it.head / 2.0))
    }
}
