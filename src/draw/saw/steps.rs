//! The saw plan's steps as a table to tick off at the bench: a heading for each set-up, a row for each cut.

use crate::design::Part;
use crate::draw::{Anchor, CAUTION, Pen, Picture, shortened, wrapped};
use crate::geometry::{Point, Rect, Side};
use crate::job::Job;
use crate::saw::{Action, Becomes, CutPiece, Edge, Method, Run, SawPlan, Step, runs, say};
use crate::words::counted;

const MARGIN: f64 = 12.0;
/// A margin to file the page.
const FILED: f64 = 18.0;
const LETTERS: f64 = 2.5;
const HEADING: f64 = 3.0;
const LINE: f64 = 3.5;
/// White over a heading.
const OVER: f64 = 2.2;
/// White over and under a row.
const WHITE: f64 = 0.45;
/// Where the words begin, after the box to tick and the number.
const INDENT: f64 = 13.0;
/// The columns' shares of what is right of that: the piece, its edges, what comes off, what stays.
const SHARES: [f64; 4] = [0.13, 0.37, 0.25, 0.25];
const HEADS: [&str; 4] = ["on the saw", "which edge where", "comes off", "stays"];

/// How to read the rows, and what is done alike at every cut of a kind.
const HOW: &str = "In the table each edge has in brackets what it is: R1, R2, or the number of the step that cut it. Fence: that edge runs \
                   along the fence. Gauge: the one edge lies against the gauge, the other at the stop; at a block it is \
                   brought to the block before the cut. Guide: measure from the edge at both ends, or set the guide square \
                   to the other edge. ✓: finished. Sizes in the picture's directions, length along the sheet first.";

/// Something that is not parted between pages.
enum Block {
    /// What is set up, and what to take care of meanwhile.
    Heading { text: String, care: Vec<String> },
    /// A cut, its cells broken into lines.
    Row { number: usize, cells: [Vec<String>; 4] },
    /// What has to be told in sentences.
    Words { number: Option<usize>, lines: Vec<String>, care: Vec<String> },
}

impl Block {
    fn height(&self) -> f64 {
        let lines = |count: usize| count as f64 * LINE + 2.0 * WHITE;
        match self {
            Block::Heading { care, .. } => OVER + LINE + lines(care.len()),
            Block::Row { cells, .. } => lines(cells.iter().map(Vec::len).max().unwrap_or(1).max(1)),
            Block::Words { lines: words, care, .. } => lines(words.len() + care.len()),
        }
    }
}

/// All steps in order, on the job's paper upright.
pub fn saw_step_pages(job: &Job, parts: &[Part], plan: &SawPlan) -> Vec<Picture> {
    if plan.is_empty() {
        return Vec::new();
    }
    let (width, height) = job.paper.sides();
    let room = width - FILED - MARGIN - INDENT;
    let blocks = blocks(job, parts, plan, room);
    let (top, bottom) = (MARGIN + 16.0, height - MARGIN - 7.0);
    let mut pages: Vec<Picture> = Vec::new();
    let mut y = f64::INFINITY;
    for (i, block) in blocks.iter().enumerate() {
        // A heading is no page's last line.
        let next = blocks.get(i + 1).filter(|_| matches!(block, Block::Heading { .. })).map_or(0.0, Block::height);
        if y + block.height() + next > bottom {
            let mut page = Picture::new(width, height);
            heads(&mut page, top - 5.5, room);
            pages.push(page);
            y = top;
        }
        if let Some(page) = pages.last_mut() {
            write(page, block, y, room);
            y += block.height();
        }
    }
    let count = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        let title = format!("{}: saw plan, {}", job.title, counted(plan.length(), "step"));
        let short = shortened(&title, 3.5, width - FILED - 60.0);
        page.text(Point::new(FILED, MARGIN + 3.0), 3.5, Anchor::Start, false, &short);
        let number = format!("page {} of {count}", i + 1);
        page.text(Point::new(width - MARGIN, MARGIN + 3.0), LETTERS, Anchor::End, false, &number);
        page.line(Point::new(FILED, MARGIN + 6.0), Point::new(width - MARGIN, MARGIN + 6.0), Pen::Thin);
        for (line, words) in wrapped(CAUTION, LETTERS, width - FILED - MARGIN).iter().enumerate() {
            let at = Point::new(FILED, height - MARGIN + LINE * line as f64);
            page.text(at, LETTERS, Anchor::Start, false, words);
        }
        page.title = format!("{title}, page {} of {count}", i + 1);
    }
    pages
}

fn blocks(job: &Job, parts: &[Part], plan: &SawPlan, room: f64) -> Vec<Block> {
    let care = |words: Vec<String>| words.iter().flat_map(|text| wrapped(text, LETTERS, room)).collect::<Vec<_>>();
    let heading = |text: &str, care| Block::Heading { text: text.into(), care };
    let mut all = vec![heading("Before the first cut", Vec::new())];
    for text in say::before(job, plan).iter().map(String::as_str).chain([HOW]) {
        all.push(Block::Words { number: None, lines: wrapped(text, LETTERS, room), care: Vec::new() });
    }
    let mut said = Vec::new();
    for run in runs(plan) {
        all.push(heading(&run.heading(job, plan), care(run.cautions(job, &mut said))));
        all.extend(
            run.steps.iter().enumerate().map(|(i, step)| row(job, parts, plan, &run, run.first + i, step, room)),
        );
    }
    let mut cared: Vec<String> = Vec::new();
    for (i, work) in plan.works.iter().enumerate() {
        if i == 0 {
            all.push(heading("After sawing", Vec::new()));
        }
        let (words, source) = say::work_care(work);
        let words = format!("{words} ({source})");
        let known = cared.contains(&words);
        all.push(Block::Words {
            number: Some(plan.steps.len() + i + 1),
            lines: wrapped(&say::work(job, &parts[work.part], work), LETTERS, room),
            care: care(if known { Vec::new() } else { vec![words.clone()] }),
        });
        cared.push(words);
    }
    all
}

fn row(job: &Job, parts: &[Part], plan: &SawPlan, run: &Run, index: usize, step: &Step, room: f64) -> Block {
    let units = job.units;
    if step.action != Action::Cut {
        let lines = wrapped(&say::step(job, parts, plan, step), LETTERS, room);
        return Block::Words { number: Some(index + 1), lines, care: Vec::new() };
    }
    let size = |rect: Rect| format!("{} × {}", units.number(rect.width()), units.number(rect.height()));
    let edge = |side: Side, which: Edge| match which {
        Edge::CutIn(step) => format!("{} ({})", side.name(), step + 1),
        which => format!("{} ({})", side.name(), say::edge(which)),
    };
    let from = edge(step.from, step.from_edge);
    let square = step.square.map(|(side, which)| edge(side, which));
    let edges = match (run.method, square) {
        (Method::Fence, _) => from,
        (Method::GaugeStop, Some(square)) => format!("gauge {square}, stop {from}"),
        (Method::GaugeFree, Some(square)) => format!("gauge {square}, block {from}"),
        (_, Some(square)) => format!("{} from {from}, square to {square}", units.number(step.measure)),
        (_, None) => format!("{} from {from}, at both ends", units.number(step.measure)),
    };
    let named = |piece: &CutPiece| {
        let size = size(piece.rect);
        match piece.becomes {
            Becomes::Part { .. } => format!("✓ {}, {size}", piece.name),
            Becomes::Strip => format!("{}, {size}", piece.name),
            Becomes::OffCut { .. } => format!("{}, {size}, keep", piece.name),
            Becomes::Waste => format!("waste, {size}"),
        }
    };
    let cell = |piece: &Option<CutPiece>| piece.as_ref().map_or_else(|| "–".to_string(), named);
    // How large it is stands where it came off or stayed.
    let cells = [step.piece.clone(), edges, cell(&step.off), cell(&step.left)];
    let mut shares = SHARES.into_iter();
    let cells = cells.map(|text| wrapped(&text, LETTERS, room * shares.next().unwrap_or(0.2) - 2.0));
    Block::Row { number: index + 1, cells }
}

/// Where each column begins.
fn columns(room: f64) -> [f64; 4] {
    let mut x = FILED + INDENT;
    SHARES.map(|share| {
        let at = x;
        x += share * room;
        at
    })
}

fn heads(page: &mut Picture, y: f64, room: f64) {
    page.text(Point::new(FILED, y), LETTERS, Anchor::Start, false, "step");
    for (head, x) in HEADS.iter().zip(columns(room)) {
        page.text(Point::new(x, y), LETTERS, Anchor::Start, false, head);
    }
    page.line(Point::new(FILED, y + 1.3), Point::new(FILED + INDENT + room, y + 1.3), Pen::Fine);
}

/// A box to tick, and the number of a step.
fn ticked(page: &mut Picture, number: usize, y: f64) {
    page.rect(FILED, y - 0.2, 3.0, 3.0, Pen::Thin);
    page.text(Point::new(FILED + INDENT - 1.5, y + LETTERS), LETTERS, Anchor::End, false, &number.to_string());
}

/// Writes a block from `y` on.
fn write(page: &mut Picture, block: &Block, y: f64, room: f64) {
    let mut y = y + WHITE;
    let x = FILED + INDENT;
    let lines = |page: &mut Picture, lines: &[String], x: f64, mut y: f64| {
        for line in lines {
            page.text(Point::new(x, y + LETTERS), LETTERS, Anchor::Start, false, line);
            y += LINE;
        }
        y
    };
    let careful = |page: &mut Picture, care: &[String], y: f64| {
        let end = lines(page, care, x, y);
        if !care.is_empty() {
            // Care stands out by a bar, not by colour alone.
            page.line(Point::new(x - 1.8, y), Point::new(x - 1.8, end - 0.8), Pen::Mark);
        }
    };
    match block {
        Block::Heading { text, care } => {
            y += OVER;
            let text = shortened(text, HEADING, room + INDENT);
            page.text(Point::new(FILED, y + LETTERS), HEADING, Anchor::Start, false, &text);
            careful(page, care, y + LINE);
        }
        Block::Row { number, cells } => {
            page.line(Point::new(x, y - WHITE), Point::new(x + room, y - WHITE), Pen::Fine);
            ticked(page, *number, y);
            for (cell, x) in cells.iter().zip(columns(room)) {
                lines(page, cell, x, y);
            }
        }
        Block::Words { number, lines: words, care } => {
            match number {
                Some(number) => ticked(page, *number, y),
                None => page.text(Point::new(x - 3.0, y + LETTERS), LETTERS, Anchor::End, false, "–"),
            }
            let below = lines(page, words, x, y);
            careful(page, care, below);
        }
    }
}
