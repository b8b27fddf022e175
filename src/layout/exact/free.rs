//! Few pieces with free cuts: every place of every piece.
//!
//! Pieces are laid one after another, each to the right of or above every one before it, as far to the left and down as the
//! others allow. Every layout can be made so: its pieces have such an order, and in that order each can be pushed into a
//! corner of the stairs that those before it make. After S. Martello, D. Pisinger and D. Vigo, "The three-dimensional bin
//! packing problem", Operations Research, 2000; that nothing is missed in two dimensions is from E. den Boef and others,
//! "Erratum to «The three-dimensional bin packing problem»", Operations Research, 2005.

use super::{All, Size, orientations};
use crate::layout::free::{Nested, Placed, Space};
use crate::layout::search::{Filled, Problem};
use std::collections::HashSet;

/// Pieces gone through at most, and states of a sheet over all selections.
const MOST_PIECES: u32 = 10;
const MOST_STATES: usize = 20_000;

/// The cheapest sheets that hold all pieces with free cuts and quarter turns: none cost less. The sheets on hand are not
/// counted. `None` where there is too much to go through, or where a piece fits no sheet.
pub fn cheapest_with_free_cuts(problem: &Problem) -> Option<Vec<Nested>> {
    if problem.kinds.iter().map(|kind| kind.count).sum::<u32>() > MOST_PIECES {
        return None;
    }
    let all = All::of(problem)?;
    let mut free = Free { all: &all, known: vec![None; all.fronts.len() * problem.bins.len()], states: MOST_STATES };
    let dealt = all.dealt(|selection, bin| free.fits(selection, bin))?;
    dealt.into_iter().map(|(bin, selection)| free.sheet(selection, bin)).collect()
}

struct Free<'a> {
    all: &'a All<'a>,
    /// Of each selection and bin, whether the one comes out of the other, if that has been tried.
    known: Vec<Option<bool>>,
    /// How many more states may be looked at.
    states: usize,
}

/// A sheet while pieces are laid on it.
struct Laying {
    whole: Size,
    placed: Vec<Placed>,
    /// What led nowhere: pieces still to be laid, and the stairs.
    seen: HashSet<(usize, Vec<Size>)>,
}

impl Free<'_> {
    fn fits(&mut self, selection: usize, bin: usize) -> Option<bool> {
        let at = selection * self.all.problem.bins.len() + bin;
        if self.known[at].is_none() {
            let by_edges = self.all.fits(selection, &self.all.problem.bins[bin]);
            self.known[at] = Some(by_edges || self.lay(selection, &mut self.empty(bin), &[])?);
        }
        self.known[at]
    }

    fn sheet(&mut self, selection: usize, bin: usize) -> Option<Nested> {
        let about = &self.all.problem.bins[bin];
        if self.all.fits(selection, about) {
            let cut = self.all.cut(selection, (about.length, about.width))?;
            return Some(Nested::of(&Filled { bin, cut }, self.all.problem));
        }
        let mut laying = self.empty(bin);
        self.lay(selection, &mut laying, &[])?.then_some(Nested { bin, placed: laying.placed })
    }

    fn empty(&self, bin: usize) -> Laying {
        let bin = &self.all.problem.bins[bin];
        Laying { whole: (bin.length, bin.width), placed: Vec::new(), seen: HashSet::new() }
    }

    /// Lays these pieces too. The stairs are the upper right corners of those that lie there, from left to right, without
    /// any below and to the left of another. `None` once too many states were looked at.
    fn lay(&mut self, left: usize, laying: &mut Laying, stairs: &[Size]) -> Option<bool> {
        if left == 0 {
            return Some(true);
        }
        if !laying.seen.insert((left, stairs.to_vec())) {
            return Some(false);
        }
        self.states = self.states.checked_sub(1)?;
        let (length, width) = laying.whole;
        let room = i64::from(length) * i64::from(width) - self.all.area_of(left);
        for (i, &kind) in self.all.kinds.iter().enumerate().filter(|(i, _)| self.all.digits[left][*i] > 0) {
            for (size, turned) in orientations(&self.all.problem.kinds[kind]) {
                for step in 0..=stairs.len() {
                    // The corner between two steps.
                    let x = step.checked_sub(1).map_or(0, |before| stairs[before].0);
                    let y = stairs.get(step).map_or(0, |next| next.1);
                    if x + size.0 > length || y + size.1 > width {
                        continue;
                    }
                    let after = self.all.area_of(left - self.all.weights[i]) - self.all.area_of(left);
                    let stairs = climbed(stairs, (x + size.0, y + size.1));
                    if under(&stairs) + after > room {
                        continue;
                    }
                    let at = Space { x, y, length: size.0, width: size.1 };
                    laying.placed.push(Placed { kind: kind as u32, turned, at });
                    if self.lay(left - self.all.weights[i], laying, &stairs)? {
                        return Some(true);
                    }
                    laying.placed.pop();
                }
            }
        }
        Some(false)
    }
}

/// The stairs with another corner.
fn climbed(stairs: &[Size], corner: Size) -> Vec<Size> {
    let mut new: Vec<Size> = stairs.iter().copied().filter(|(x, y)| *x > corner.0 || *y > corner.1).collect();
    new.insert(new.partition_point(|(x, _)| *x <= corner.0), corner);
    new
}

/// The area below and to the left of the stairs.
fn under(stairs: &[Size]) -> i64 {
    let mut from = 0;
    stairs.iter().map(|(x, y)| i64::from(x - std::mem::replace(&mut from, *x)) * i64::from(*y)).sum()
}
