//! The bench: pieces with their names and edges, and what a cut makes of them.

use super::block::{Block, Making, other};
use super::board::{Board, Choice, Finished, Open, SoFar};
use super::can_come_off;
use super::care::cautions;
use super::caution::Caution;
use super::lines::{Line, Lines};
use super::method::{BY_HAND, Work, method, trouble, trouble_of};
use super::names;
use super::step::{Action, Becomes, CutPiece, Edge, Method, Step};
use crate::geometry::{Rect, Side};
use crate::layout::{Axis, Pattern, Placement};
use crate::spec::schema::USABLE;

/// What a squaring cut takes off beside its kerf where there is wood to spare (mm).
const SQUARED_OFF: f64 = 3.0;
/// With less to spare than this, an end is not squared (mm).
const TOO_LITTLE: f64 = 2.0;
/// How far a bought edge may be off: the width of a sheet, and its squareness (PS 1-19: 1/16 in; 1/64 in a foot).
const BOUGHT: (f64, f64) = (25.4 / 16.0, 1000.0 / 12.0 / 64.0);

pub(super) struct Bench<'a> {
    pub making: Making<'a>,
    pub so_far: SoFar,
    pub lines: Lines,
    pub steps: Vec<Step>,
    pub open: Vec<Open>,
    pub finished: Vec<Finished>,
    pub left_over: Vec<(usize, CutPiece)>,
}

impl<'a> Bench<'a> {
    pub fn new(making: Making<'a>, so_far: SoFar) -> Bench<'a> {
        Bench {
            making,
            so_far,
            lines: Lines::default(),
            steps: Vec::new(),
            open: Vec::new(),
            finished: Vec::new(),
            left_over: Vec::new(),
        }
    }

    /// Lays a sheet on the bench and makes its two references.
    pub fn lay(&mut self, sheet: usize, pattern: &Pattern) {
        let block = self.making.block(pattern);
        let name = format!("sheet {}", sheet + 1);
        let rect = Rect::new(0.0, 0.0, pattern.length, pattern.width);
        let root = |edge, from, error, guide, skew| Line { edge, from, error, guide, skew };
        let bought = |lines: &mut Lines, from: usize, guide: usize| {
            lines.add(root(Edge::Factory, Some(from), BOUGHT.0, Some(guide), BOUGHT.1))
        };
        let long = self.lines.add(root(Edge::LongReference, None, 0.0, None, 0.0));
        let skew = self.making.bench.squareness.value;
        let spare = pattern.inner().width() - self.making.need(&block, Axis::X);
        let (ends, squared) = if pattern.trim > 0.0 {
            (pattern.trim, true)
        } else if spare >= 2.0 * TOO_LITTLE {
            // Half of what is to spare at most: what is left at the far end is to be cut off as well.
            ((spare / 2.0).min(self.making.kerf + SQUARED_OFF), true)
        } else {
            (0.0, false)
        };
        let skew = if squared { skew } else { BOUGHT.1 };
        let end = self.lines.add(root(Edge::EndReference, None, 0.0, Some(long), skew));
        let far = [bought(&mut self.lines, end, long), bought(&mut self.lines, long, long)];
        let stem = if self.so_far.many { (sheet + 1).to_string() } else { String::new() };
        let mut board = Board { sheet, name, stem, rect, lines: [end, long, far[0], far[1]], depth: 0 };
        if pattern.trim > 0.0 {
            self.reference(&mut board, Action::Straighten, Side::Lower, pattern.trim);
        }
        if squared {
            self.reference(&mut board, Action::Square, Side::Left, ends);
        } else {
            self.reference(&mut board, Action::Check, Side::Left, 0.0);
        }
        let block = self.settled(&board, block);
        // A sheet that is a part as it is, or nothing at all, has its name from the last step.
        let named = match &block {
            Block::Part { .. } => Some(self.come_off(&mut board, &block)),
            Block::Left => {
                let piece = self.left_over(&board);
                self.left_over.push((sheet, piece.clone()));
                Some(piece)
            }
            Block::Cut { .. } => None,
        };
        if let (Some(named), Some(step)) = (named, self.steps.last_mut()) {
            step.left = Some(named);
        }
        self.take_up(board, block, self.open.len());
    }

    /// Makes an edge of the whole sheet straight or square by cutting a little off it.
    fn reference(&mut self, board: &mut Board, action: Action, from: Side, measure: f64) {
        let before = board.rect;
        let kerf = self.making.kerf;
        let mut off = before;
        match from {
            Side::Lower => {
                board.rect.y0 += measure;
                off.y1 = off.y0 + measure - kerf;
            }
            _ => {
                board.rect.x0 += measure;
                off.x1 = off.x0 + measure - kerf;
            }
        }
        let off =
            can_come_off(measure - kerf).then(|| CutPiece { name: "waste".into(), rect: off, becomes: Becomes::Waste });
        let long = self.lines.edge(board.lines[Side::Lower.index()]);
        let mut step = Step {
            sheet: board.sheet,
            action,
            method: Method::Guide,
            setting: None,
            piece: board.name.clone(),
            rect: before,
            axis: Axis::from_side(from),
            from,
            from_edge: Edge::Factory,
            measure,
            square: (action != Action::Straighten).then_some((Side::Lower, long)),
            off,
            left: Some(CutPiece { name: board.name.clone(), rect: board.rect, becomes: Becomes::Strip }),
            cautions: Vec::new(),
        };
        if action != Action::Check {
            step.cautions = cautions(self.making.bench, &step, &[]);
        }
        self.steps.push(step);
    }

    /// Takes up a board: it is finished as it is, or lies open at this place among the others, to be cut further.
    fn take_up(&mut self, board: Board, block: Block, at: usize) {
        match block {
            Block::Left => {}
            Block::Part { part, turn } => {
                let sizes = [Axis::X, Axis::Y].map(|axis| {
                    let (low, high) = axis.ends();
                    let (a, b) = (board.lines[low.index()], board.lines[high.index()]);
                    self.lines.dimension(a, b, board.extent(other(axis)))
                });
                let placement = Placement { part, x: board.rect.x0, y: board.rect.y0, turn };
                self.finished.push(Finished {
                    sheet: board.sheet,
                    name: board.name,
                    placement,
                    rect: board.rect,
                    edges: board.lines.map(|line| self.lines.edge(line)),
                    sizes,
                });
            }
            Block::Cut { axis, slices } => {
                let mut open = Open { board, axis, slices, choices: Vec::new() };
                open.choices = self.choices(&open);
                self.open.insert(at.min(self.open.len()), open);
            }
        }
    }

    /// The cuts that may come next at an open board: one for each size of slice, without those that would leave more of
    /// the rest to hand and clamp than need be.
    fn choices(&self, open: &Open) -> Vec<Choice> {
        let (bench, kerf) = (self.making.bench, self.making.kerf);
        let (across, along) = (open.board.extent(open.axis), open.board.extent(other(open.axis)));
        let sizes: Vec<f64> = open.slices.iter().map(|slice| slice.size).collect();
        let mut found: Vec<(Choice, usize)> = Vec::new();
        for (slice, &measure) in sizes.iter().enumerate() {
            if found.iter().any(|(choice, _)| (choice.measure - measure).abs() < 1e-6) {
                continue;
            }
            let work = Work { across, along, measure, kerf };
            let rest: Vec<f64> = sizes.iter().enumerate().filter(|(i, _)| *i != slice).map(|(_, size)| *size).collect();
            let trouble = trouble_of(bench, work) + trouble(bench, work.rest(), along, &rest, kerf);
            let trouble = if self.making.clamp { trouble / BY_HAND } else { trouble };
            found.push((Choice { method: method(bench, work).0, slice, measure }, trouble));
        }
        let least = found.iter().map(|(_, trouble)| *trouble).min().unwrap_or(0);
        found.into_iter().filter(|(_, trouble)| *trouble <= least).map(|(choice, _)| choice).collect()
    }

    /// Makes a cut at the open board of this index.
    pub fn cut(&mut self, open: usize, choice: Choice) {
        let Open { mut board, axis, mut slices, .. } = self.open.remove(open);
        let slice = slices.remove(choice.slice);
        let (bench, kerf) = (self.making.bench, self.making.kerf);
        let (near, far) = axis.ends();
        let (across, along) = (board.extent(axis), board.extent(other(axis)));
        let work = Work { across, along, measure: slice.size, kerf };
        let (chosen, why) = method(bench, work);
        let from = board.lines[near.index()];
        let square = square(chosen, &board, axis, &self.lines);
        let line = self.lines.add(Line {
            edge: Edge::CutIn(self.so_far.steps + self.steps.len()),
            from: Some(from),
            error: match chosen {
                Method::Guide => bench.guide_accuracy.value,
                Method::Hand => bench.hand_accuracy.value,
                _ => bench.accuracy.value,
            },
            guide: Some(square.map_or(from, |side| board.lines[side.index()])),
            skew: bench.squareness.value,
        });
        let mut step = Step {
            sheet: board.sheet,
            action: Action::Cut,
            method: chosen,
            setting: None,
            piece: board.name.clone(),
            rect: board.rect,
            axis,
            from: near,
            from_edge: self.lines.edge(from),
            measure: slice.size,
            square: square.map(|side| (side, self.lines.edge(board.lines[side.index()]))),
            off: None,
            left: None,
            cautions: Vec::new(),
        };

        let (off_rect, rest_rect) = split(board.rect, axis, slice.size, kerf);
        let mut off = Board { rect: off_rect, ..board.clone() };
        off.lines[far.index()] = line;
        let off_block = self.settled(&off, slice.block);
        step.off = Some(self.come_off(&mut off, &off_block));
        board.rect = rest_rect;
        board.lines[near.index()] = line;
        let rest = can_come_off(work.rest()).then(|| {
            let block = if slices.is_empty() { Block::Left } else { self.settled(&board, Block::Cut { axis, slices }) };
            let piece = match &block {
                Block::Left => self.left_over(&board),
                // More is to come off it: it keeps its name.
                Block::Cut { axis: again, .. } if *again == axis => {
                    CutPiece { name: board.name.clone(), rect: board.rect, becomes: Becomes::Strip }
                }
                whole => self.come_off(&mut board, whole),
            };
            (block, piece)
        });
        step.left = rest.as_ref().map(|(_, piece)| piece.clone());
        step.cautions = cautions(bench, &step, &why);
        if matches!(chosen, Method::GaugeStop | Method::GaugeFree) && work.is_clamped(bench) {
            step.cautions.push(Caution::ClampToTheGauge);
        }
        self.steps.push(step);
        // What is left of a board stays where it was, so that one board is finished before the next; what came off lies
        // before it.
        match rest {
            Some((Block::Left, piece)) => self.left_over.push((board.sheet, piece)),
            Some((block, _)) => self.take_up(board, block, open),
            None => {}
        }
        self.take_up(off, off_block, open);
    }

    /// What a board really becomes: a single slice as large as the board is the board itself, and a part in a board that
    /// is larger, as where the sheet's far trim is still on it, is yet to be cut to size.
    fn settled(&self, board: &Board, block: Block) -> Block {
        match block {
            Block::Cut { axis, mut slices }
                if slices.len() == 1 && !can_come_off((board.extent(axis) - slices[0].size).abs()) =>
            {
                self.settled(board, slices.remove(0).block)
            }
            Block::Part { part, turn } => self.making.part(part, turn, board.size()),
            block => block,
        }
    }

    /// Names a board that has come off another.
    fn come_off(&mut self, board: &mut Board, block: &Block) -> CutPiece {
        let becomes = match block {
            Block::Part { part, turn } => {
                let count = self.so_far.pieces.entry(*part).or_default();
                *count += 1;
                // Its number in the cut list, and which of them it is.
                board.name = format!("{}.{count}", part + 1);
                Becomes::Part { part: *part, turn: *turn }
            }
            Block::Left | Block::Cut { .. } => {
                let given = self.so_far.strips.entry(board.stem.clone()).or_default();
                board.name = names::strip(&board.stem, board.depth, *given);
                *given += 1;
                Becomes::Strip
            }
        };
        if board.depth == 0 {
            board.stem.clone_from(&board.name);
        }
        board.depth += 1;
        CutPiece { name: board.name.clone(), rect: board.rect, becomes }
    }

    fn left_over(&mut self, board: &Board) -> CutPiece {
        let [x, y] = board.size();
        let [long, wide] = self.making.kept.get(board.sheet).copied().unwrap_or(USABLE.pair());
        if x.max(y) < long || x.min(y) < wide {
            return CutPiece { name: "waste".into(), rect: board.rect, becomes: Becomes::Waste };
        }
        self.so_far.off_cuts += 1;
        let number = self.so_far.off_cuts;
        CutPiece { name: format!("off-cut {number}"), rect: board.rect, becomes: Becomes::OffCut { number } }
    }
}

/// The edge that a cut is held square to: at the gauge always; along the guide only the long reference itself. Otherwise
/// it is parallel to the edge it is measured from: along the fence, or between two marks.
fn square(method: Method, board: &Board, axis: Axis, lines: &Lines) -> Option<Side> {
    let (low, _) = other(axis).ends();
    match method {
        Method::GaugeStop | Method::GaugeFree => Some(low),
        Method::Guide if lines.edge(board.lines[low.index()]) == Edge::LongReference => Some(low),
        Method::Guide | Method::Fence | Method::Hand => None,
    }
}

/// What a cut at a measure leaves on both sides.
fn split(rect: Rect, axis: Axis, measure: f64, kerf: f64) -> (Rect, Rect) {
    let (mut off, mut rest) = (rect, rect);
    match axis {
        Axis::X => {
            off.x1 = rect.x0 + measure;
            rest.x0 = (off.x1 + kerf).min(rect.x1);
        }
        Axis::Y => {
            off.y1 = rect.y0 + measure;
            rest.y0 = (off.y1 + kerf).min(rect.y1);
        }
    }
    (off, rest)
}
