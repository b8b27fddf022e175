//! Routes → the text of programs.

use crate::geometry::Point;
use crate::job::{Job, Router};
use crate::layout::Layout;
use crate::profile::{Machine, Tool, ToolChange, ZZero};
use crate::route::{Move, Route, Run, Space, Travel};
use crate::units::{Units, decimal};
use std::fmt::Write;
use std::sync::Arc;

/// One program: its text, and what it is.
#[derive(Clone, Debug)]
pub struct Program {
    /// `sheet-1.nc`
    pub file: String,
    /// Index into the layout's sheets.
    pub sheet: usize,
    /// The tools it uses, with their numbers.
    pub tools: Vec<(u32, Arc<Tool>)>,
    pub travel: Travel,
    pub text: String,
}

/// What the comment at a program's head says.
#[derive(Clone, Debug)]
pub struct Header<'a> {
    pub job: &'a str,
    pub sheet: String,
    pub stock: String,
}

/// The programs of all routes: one per sheet, or one per sheet and tool where the machine cannot change tools.
pub fn programs(job: &Job, router: &Router, layout: &Layout, routes: &[Route]) -> Vec<Program> {
    let mut programs = Vec::new();
    for route in routes {
        let sheet = &layout.sheets[route.sheet];
        let stock = &job.stock[sheet.stock];
        let units = router.machine.units;
        let header = Header {
            job: &job.title,
            sheet: format!("sheet {} of {}", route.sheet + 1, layout.sheets.len()),
            stock: format!(
                "{}, {} x {}, {} thick",
                stock.material.title,
                units.number(stock.length),
                units.show(stock.width),
                units.measured(stock.thickness)
            ),
        };
        let whole = router.machine.tool_change.value == ToolChange::Automatic || route.runs.len() == 1;
        let groups: Vec<&[Run]> = if whole { vec![&route.runs[..]] } else { route.runs.chunks(1).collect() };
        for (i, runs) in groups.iter().enumerate() {
            let file = if whole {
                format!("sheet-{}.nc", route.sheet + 1)
            } else {
                format!("sheet-{}-{}.nc", route.sheet + 1, runs[0].tool.name)
            };
            let turn = (groups.len() > 1).then_some((i + 1, groups.len()));
            let tools = runs.iter().map(|run| (run.number, Arc::clone(&run.tool))).collect();
            let travel = Route { sheet: route.sheet, runs: runs.to_vec() }.travel(&router.machine);
            let text = Writer::new(&router.machine, sheet.thickness).program(&header, runs, turn);
            programs.push(Program { file, sheet: route.sheet, tools, travel, text });
        }
    }
    programs
}

/// Writes one program, word by word, saying only what changes.
struct Writer<'a> {
    machine: &'a Machine,
    thickness: f64,
    text: String,
    /// Where the tool is, in the digits written so far.
    at: [Option<f64>; 3],
    motion: &'static str,
    feed: Option<f64>,
}

impl<'a> Writer<'a> {
    fn new(machine: &'a Machine, thickness: f64) -> Writer<'a> {
        Writer { machine, thickness, text: String::new(), at: [None; 3], motion: "", feed: None }
    }

    fn program(mut self, header: &Header, runs: &[Run], turn: Option<(usize, usize)>) -> String {
        self.head(header, runs, turn);
        self.line(&format!("G17 {} G90 G94", if self.machine.units == Units::Inches { "G20" } else { "G21" }));
        self.line("G40 G49 G80 G54");
        for (i, run) in runs.iter().enumerate() {
            self.run(run, i > 0);
        }
        self.comment("done");
        self.retract();
        self.line("M5");
        self.motion = "";
        self.rapid_to(Space { x: 0.0, y: 0.0, z: self.machine.clear.value });
        self.line("M30");
        self.text
    }

    fn head(&mut self, header: &Header, runs: &[Run], turn: Option<(usize, usize)>) {
        let units = self.machine.units;
        self.comment(header.job);
        self.comment(&header.sheet);
        self.comment(&format!("stock: {}", header.stock));
        if let Some((this, all)) = turn {
            self.comment(&format!(
                "program {this} of {all} for this sheet: run them in this order, do not move the sheet"
            ));
        }
        for run in runs {
            let tool = &run.tool;
            self.comment(&format!(
                "T{}: {}, diameter {}, {} rev/min",
                run.number,
                tool.title,
                units.measured(tool.diameter.value),
                run.feeds.speed
            ));
        }
        self.comment("X0 Y0: lower-left corner of the sheet, X along its length");
        self.comment(match self.machine.z_zero.value {
            ZZero::SheetTop => "Z0: upper face of the sheet",
            ZZero::Spoilboard => "Z0: face of the spoilboard",
        });
        let below = self.machine.spoilboard.value;
        self.comment(&format!(
            "cuts {} into the spoilboard; keep screws and clamps out of every cut",
            units.measured(below)
        ));
        for caution in CAUTIONS {
            self.comment(caution);
        }
    }

    fn run(&mut self, run: &Run, again: bool) {
        if again {
            self.retract();
            self.line("M5");
        }
        self.comment(&format!("tool {}: {}", run.number, run.tool.title));
        if self.machine.tool_change.value == ToolChange::Automatic {
            self.line(&format!("T{} M6", run.number));
        }
        self.line(&format!("S{} M3", decimal(run.feeds.speed, 0)));
        if self.machine.spin_up.value > 0.0 {
            self.line(&format!("G4 P{}", decimal(self.machine.spin_up.value, 1)));
        }
        // Nothing is known of where a changed tool stands.
        self.at = [None; 3];
        self.motion = "";
        self.feed = None;
        self.retract();
        for operation in &run.operations {
            self.comment(&operation.about);
            for step in &operation.moves {
                self.step(step);
            }
        }
    }

    fn step(&mut self, step: &Move) {
        match *step {
            Move::Rapid(to) => self.rapid_to(to),
            Move::Line { to, feed } => {
                let words = self.position(to);
                if !words.is_empty() {
                    self.motion("G1", words, Some(feed));
                }
            }
            Move::Arc { to, centre, clockwise, feed } => self.arc(to, centre, clockwise, feed),
            Move::Drill { at, top, bottom, peck, feed } => self.drill(at, top, bottom, peck, feed),
        }
    }

    fn rapid_to(&mut self, to: Space) {
        let words = self.position(to);
        if !words.is_empty() {
            self.motion("G0", words, None);
        }
    }

    /// Straight up to the height of rapid moves.
    fn retract(&mut self) {
        let z = self.rounded(self.height(self.machine.clear.value));
        if self.at[2] != Some(z) {
            self.at[2] = Some(z);
            let words = self.word('Z', z);
            self.motion("G0", words, None);
        }
    }

    fn arc(&mut self, to: Space, centre: Point, clockwise: bool, feed: f64) {
        let ([Some(x), Some(y), _], scale) = (self.at, self.machine.units.in_mm()) else { return };
        let start = Point::new(x, y);
        let end = Point::new(self.rounded(to.x), self.rounded(to.y));
        let arm = self.fitted_centre(start, end, Point::new(centre.x / scale, centre.y / scale)) - start;
        let words = self.position(to);
        if start == end {
            // Shorter than the last digit: nothing to go round.
            if !words.is_empty() {
                self.motion("G1", words, Some(feed));
            }
            return;
        }
        let arms = format!("{}{}", self.word('I', self.snap(arm.x)), self.word('J', self.snap(arm.y)));
        self.motion(if clockwise { "G2" } else { "G3" }, format!("{words}{arms}"), Some(feed));
    }

    /// The centre moved so that both rounded ends are equally far from it; a controller checks that they are.
    fn fitted_centre(&self, start: Point, end: Point, centre: Point) -> Point {
        let chord = end - start;
        if chord.hypot2() == 0.0 {
            return centre;
        }
        let middle = start.midpoint(end);
        centre - chord * ((centre - middle).dot(chord) / chord.hypot2())
    }

    fn drill(&mut self, at: Point, top: f64, bottom: f64, peck: f64, feed: f64) {
        let pecks = (top - bottom) > peck;
        if self.machine.canned_cycles.value {
            let (x, y) = (self.rounded(at.x), self.rounded(at.y));
            let (z, r) = (self.rounded(self.height(bottom)), self.rounded(self.height(top)));
            let mut words = format!(
                "G99 {}{}{}{}{}",
                if pecks { "G83" } else { "G81" },
                self.word('X', x),
                self.word('Y', y),
                self.word('Z', z),
                self.word('R', r)
            );
            if pecks {
                let each = self.rounded(peck);
                words.push_str(&self.word('Q', each));
            }
            let feed = self.word('F', feed / self.machine.units.in_mm());
            self.line(&format!("{words}{feed}"));
            self.line("G80");
            self.at = [Some(x), Some(y), Some(r)];
            self.motion = "";
            self.feed = None;
            return;
        }
        let mut reached = top;
        self.rapid_to(Space::new(at, top));
        while reached > bottom {
            if reached < top {
                // Back down to just above where the last peck ended.
                self.rapid_to(Space::new(at, reached + PECK_CLEAR));
            }
            reached = (reached - peck).max(bottom);
            self.step(&Move::Line { to: Space::new(at, reached), feed });
            self.rapid_to(Space::new(at, top));
        }
    }

    fn motion(&mut self, code: &'static str, words: String, feed: Option<f64>) {
        let mut line = String::new();
        if code != self.motion {
            line.push_str(code);
            self.motion = code;
        }
        line.push_str(&words);
        if let Some(feed) = feed.filter(|feed| self.feed != Some(*feed)) {
            self.feed = Some(feed);
            let in_units = feed / self.machine.units.in_mm();
            line.push_str(&self.word('F', in_units));
        }
        let line = line.trim_start().to_string();
        self.line(&line);
    }

    /// The words for whatever changes on the way to a position.
    fn position(&mut self, to: Space) -> String {
        let wanted = [('X', to.x), ('Y', to.y), ('Z', self.height(to.z))];
        let mut words = String::new();
        for (i, (letter, mm)) in wanted.into_iter().enumerate() {
            let value = self.rounded(mm);
            if self.at[i] != Some(value) {
                self.at[i] = Some(value);
                words.push_str(&self.word(letter, value));
            }
        }
        words
    }

    fn height(&self, z: f64) -> f64 {
        match self.machine.z_zero.value {
            ZZero::SheetTop => z,
            ZZero::Spoilboard => z + self.thickness,
        }
    }

    /// Millimetres in the machine's units, to the digits it takes.
    fn rounded(&self, mm: f64) -> f64 {
        self.snap(mm / self.machine.units.in_mm())
    }

    fn snap(&self, value: f64) -> f64 {
        let scale = 10f64.powf(self.machine.decimals.value);
        let snapped = (value * scale).round() / scale;
        if snapped == 0.0 { 0.0 } else { snapped }
    }

    fn word(&self, letter: char, value: f64) -> String {
        let places = self.machine.decimals.value as usize;
        let number = decimal(value, if letter == 'F' { 1 } else { places });
        format!(" {letter}{number}")
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn comment(&mut self, about: &str) {
        let _ = writeln!(self.text, "({})", plain(about));
    }
}

/// A peck starts again this far above where the last one ended (mm).
const PECK_CLEAR: f64 = 0.5;

/// What any program for a machine with a turning cutter should say.
pub const CAUTIONS: [&str; 6] = [
    "CAUTION: read the machine's manual; its rules and local rules come before this program",
    "wear eye and ear protection, use dust extraction, keep hands and sleeves away",
    "check the tool, the zero point, the sheet's thickness and the hold-down before you start",
    "run it once in the air above the sheet; stay at the machine, with the stop button in reach",
    "stop the spindle and wait until it stands before you touch the sheet or a part",
    "parts are held by tabs: do not pull them out while the spindle turns",
];

/// Text that any controller takes as a comment: printable ASCII without brackets, not too long.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '(' | '[' | '{' => '<',
            ')' | ']' | '}' => '>',
            '×' => 'x',
            ' '..='~' => c,
            _ => '?',
        })
        .take(110)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_can_never_end_early_or_carry_a_command() {
        assert_eq!(plain("box) M30 (\n%G0\u{e9}"), "box> M30 <?%G0?");
    }
}
