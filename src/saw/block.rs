//! A pattern as blocks to be cut: what is left over falls away by itself, and cuts that can be saved are.

use super::can_come_off;
use super::method::trouble;
use crate::design::Part;
use crate::layout::{Axis, Content, Pattern, Turn};
use crate::profile::SawBench;

/// What a rectangle is to become. Unlike a pattern's rectangle it may be larger than its contents: the rest is left over.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Block {
    Part {
        part: usize,
        turn: Turn,
    },
    Left,
    /// Slices cut off one after another from the low end of the axis, in any order, with a kerf after each.
    Cut {
        axis: Axis,
        slices: Vec<Slice>,
    },
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Slice {
    pub size: f64,
    pub block: Block,
}

/// A width and a height.
pub(super) type Size = [f64; 2];

/// What blocks are made with.
#[derive(Clone, Copy)]
pub(super) struct Making<'a> {
    pub parts: &'a [Part],
    pub bench: &'a SawBench,
    pub kerf: f64,
    /// Of each sheet: what is left over and at least so large is kept.
    pub kept: &'a [[f64; 2]],
    /// A part in a larger rectangle is cut to its size along x first.
    pub x_first: bool,
    /// Rows that go through neighbouring strips may be cut before the strips are parted.
    pub turn_over: bool,
    /// Strips are cut a little wider where that makes their last piece truer.
    pub ease: bool,
    /// Rather clamp a short piece than cut in an order that takes more settings.
    pub clamp: bool,
}

/// How much wider than its pieces such a strip is, beside a kerf (mm).
const EASE: f64 = 3.0;

pub(super) fn along(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
    }
}

pub(super) fn other(axis: Axis) -> Axis {
    match axis {
        Axis::X => Axis::Y,
        Axis::Y => Axis::X,
    }
}

/// The size of a piece as it lies on the sheet.
pub(super) fn lying(part: &Part, turn: Turn) -> Size {
    if turn.swaps() { [part.width, part.length] } else { [part.length, part.width] }
}

impl Making<'_> {
    /// The block that a pattern's sheet inside its trim becomes.
    pub fn block(&self, pattern: &Pattern) -> Block {
        let size = [pattern.inner().width(), pattern.inner().height()];
        let block = self.of_content(&pattern.content, size);
        let block = if self.turn_over { self.turned_over(block, size) } else { block };
        if self.ease { self.eased(block, size) } else { block }
    }

    /// Slices whose last piece would be just what the others leave get a little more, where there is wood to spare: that
    /// piece is then cut to its own size, and does not gather the errors of all the others.
    fn eased(&self, block: Block, size: Size) -> Block {
        let need = [self.need(&block, Axis::X), self.need(&block, Axis::Y)];
        let Block::Cut { axis, slices } = block else { return block };
        let i = along(axis);
        let mut spare = size[i] - need[i];
        let more = self.kerf + EASE;
        let slices = slices
            .into_iter()
            .map(|slice| {
                let mut inner = size;
                inner[i] = slice.size;
                if spare >= more && self.ends_exactly(&slice.block, axis, slice.size) {
                    spare -= more;
                    inner[i] += more;
                }
                Slice { size: inner[i], block: self.eased(slice.block, inner) }
            })
            .collect();
        Block::Cut { axis, slices }
    }

    /// Is there a row within, along this axis, that takes up all of it?
    fn ends_exactly(&self, block: &Block, axis: Axis, size: f64) -> bool {
        match block {
            Block::Part { .. } | Block::Left => false,
            Block::Cut { axis: inner, slices } if *inner == axis => {
                slices.len() > 1 && !can_come_off((self.need(block, axis) - size).abs())
            }
            Block::Cut { slices, .. } => slices.iter().any(|slice| self.ends_exactly(&slice.block, axis, size)),
        }
    }

    fn of_content(&self, content: &Content, size: Size) -> Block {
        match content {
            Content::Left => Block::Left,
            Content::Part { part, turn } => self.part(*part, *turn, size),
            Content::Split { axis, strips } => {
                let slices = strips.iter().map(|strip| {
                    let mut inner = size;
                    inner[along(*axis)] = strip.size;
                    Slice { size: strip.size, block: self.of_content(&strip.content, inner) }
                });
                self.cut(*axis, slices.collect(), size)
            }
        }
    }

    /// A part in a rectangle that may be larger.
    pub fn part(&self, part: usize, turn: Turn, size: Size) -> Block {
        let piece = Block::Part { part, turn };
        let wanted = lying(&self.parts[part], turn);
        let order = if self.x_first { [Axis::Y, Axis::X] } else { [Axis::X, Axis::Y] };
        // The last one wrapped around is cut first.
        order.into_iter().fold(piece, |block, axis| {
            let i = along(axis);
            if can_come_off(size[i] - wanted[i]) {
                Block::Cut { axis, slices: vec![Slice { size: wanted[i], block }] }
            } else {
                block
            }
        })
    }

    /// A cut of these slices in its simplest form: without empty slices, without another cut along the same axis inside
    /// it, and with each slice as wide as its contents.
    fn cut(&self, axis: Axis, slices: Vec<Slice>, size: Size) -> Block {
        let mut flat: Vec<Slice> = Vec::with_capacity(slices.len());
        for slice in slices {
            match slice.block {
                Block::Left => {}
                Block::Cut { axis: inner, slices } if inner == axis => flat.extend(slices),
                block => {
                    let need = self.need(&block, axis).min(slice.size);
                    let size = if can_come_off(slice.size - need) { need } else { slice.size };
                    flat.push(Slice { size, block });
                }
            }
        }
        match flat.len() {
            0 => Block::Left,
            1 if !can_come_off((flat[0].size - size[along(axis)]).abs()) => flat.remove(0).block,
            _ => Block::Cut { axis, slices: flat },
        }
    }

    /// How much of an axis a block takes up.
    pub fn need(&self, block: &Block, axis: Axis) -> f64 {
        match block {
            Block::Left => 0.0,
            Block::Part { part, turn } => lying(&self.parts[*part], *turn)[along(axis)],
            Block::Cut { axis: inner, slices } if *inner == axis => {
                slices.iter().map(|slice| slice.size).sum::<f64>() + self.kerf * (slices.len() as f64 - 1.0)
            }
            Block::Cut { slices, .. } => slices.iter().map(|slice| self.need(&slice.block, axis)).fold(0.0, f64::max),
        }
    }

    /// Where several slices have the same rows, the rows may be cut through all of them first, as long strips that are
    /// easily held. Done where it leaves less to the hand, or saves cuts.
    fn turned_over(&self, block: Block, size: Size) -> Block {
        let Block::Cut { axis, slices } = block else { return block };
        let slices: Vec<Slice> = slices
            .into_iter()
            .map(|slice| {
                let mut inner = size;
                inner[along(axis)] = slice.size;
                Slice { size: slice.size, block: self.turned_over(slice.block, inner) }
            })
            .collect();
        let plain = Block::Cut { axis, slices };
        let Some(turned) = self.with_rows_first(&plain, size) else { return plain };
        if self.cost(&turned, size) < self.cost(&plain, size) { turned } else { plain }
    }

    fn with_rows_first(&self, block: &Block, size: Size) -> Option<Block> {
        let Block::Cut { axis, slices } = block else { return None };
        let rows_of = |slice: &Slice| match &slice.block {
            Block::Cut { axis: inner, slices } if inner != axis => {
                Some(slices.iter().map(|row| (row.size * 100.0).round() as i64).collect::<Vec<_>>())
            }
            _ => None,
        };
        let mut groups: Vec<(Option<Vec<i64>>, Vec<&Slice>)> = Vec::new();
        for slice in slices {
            let rows = rows_of(slice);
            match groups.iter_mut().find(|(known, _)| known.is_some() && *known == rows) {
                Some((_, group)) => group.push(slice),
                None => groups.push((rows, vec![slice])),
            }
        }
        if groups.len() == slices.len() {
            return None;
        }
        let merged = groups
            .into_iter()
            .map(|(_, group)| if group.len() == 1 { group[0].clone() } else { self.merged(*axis, &group, size) });
        Some(self.cut(*axis, merged.collect(), size))
    }

    /// One slice in place of several that have the same rows.
    fn merged(&self, axis: Axis, group: &[&Slice], size: Size) -> Slice {
        let whole = group.iter().map(|slice| slice.size).sum::<f64>() + self.kerf * (group.len() as f64 - 1.0);
        let cells = |slice: &Slice| match &slice.block {
            Block::Cut { slices, .. } => slices.clone(),
            _ => Vec::new(),
        };
        let columns: Vec<(f64, Vec<Slice>)> = group.iter().map(|slice| (slice.size, cells(slice))).collect();
        let rows = (0..columns[0].1.len()).map(|row| {
            let height = columns[0].1[row].size;
            let mut inner = size;
            inner[along(axis)] = whole;
            inner[along(other(axis))] = height;
            let cells = columns.iter().map(|(size, cells)| Slice { size: *size, block: cells[row].block.clone() });
            Slice { size: height, block: self.cut(axis, cells.collect(), inner) }
        });
        let mut inner = size;
        inner[along(axis)] = whole;
        Slice { size: whole, block: self.cut(other(axis), rows.collect(), inner) }
    }

    /// What only hand or clamp can do, and cuts in all.
    fn cost(&self, block: &Block, size: Size) -> (usize, usize) {
        let Block::Cut { axis, slices } = block else { return (0, 0) };
        let i = along(*axis);
        let sizes: Vec<f64> = slices.iter().map(|slice| slice.size).collect();
        let fits = !can_come_off((self.need(block, *axis) - size[i]).abs());
        let here = trouble(self.bench, size[i], size[1 - i], &sizes, self.kerf);
        slices.iter().fold((here, slices.len() - usize::from(fits)), |(trouble, cuts), slice| {
            let mut inner = size;
            inner[i] = slice.size;
            let (more_trouble, more_cuts) = self.cost(&slice.block, inner);
            (trouble + more_trouble, cuts + more_cuts)
        })
    }
}

/// Adds how often each size of slice occurs in a block, at any depth.
pub(super) fn count_sizes(block: &Block, count: &mut impl FnMut(f64)) {
    if let Block::Cut { slices, .. } = block {
        for slice in slices {
            count(slice.size);
            count_sizes(&slice.block, count);
        }
    }
}
