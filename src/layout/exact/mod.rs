//! Small jobs exactly: every pattern of cuts from edge to edge of a few pieces.
//!
//! Of every selection of the pieces, the smallest rectangles that it can be cut from are found, from those of what a first
//! cut would part it into. Pieces that are alike are not told apart. From that follows which selections come from one sheet,
//! and from that the cheapest sheets for all. For free cuts those selections that no cuts from edge to edge give are tried
//! in every place.

mod free;

pub use free::cheapest_with_free_cuts;

use super::Axis;
use super::search::{Bin, Cut, Filled, Found, PieceKind, Problem};

/// Selections, and partitions of them, that are gone through at most: twelve pieces of as many kinds, or more that are
/// alike.
const MOST_SELECTIONS: usize = 20_000;
const MOST_PARTED: usize = 540_000;
/// Pieces in all: of hundreds that are alike each selection has many rectangles.
const MOST_PIECES: u32 = 160;

/// The cheapest sheets that hold all pieces with cuts from edge to edge: none cost less. The sheets on hand are not
/// counted. `None` where there is too much to go through, or where a piece fits no sheet.
pub fn cheapest(problem: &Problem) -> Option<Found> {
    All::of(problem)?.cover()
}

impl All<'_> {
    /// Every selection with its smallest rectangles; `None` where there are too many.
    fn of(problem: &Problem) -> Option<All<'_>> {
        let kinds: Vec<&PieceKind> = problem.kinds.iter().filter(|kind| kind.count > 0).collect();
        if kinds.iter().map(|kind| kind.count).sum::<u32>() > MOST_PIECES {
            return None;
        }
        let product = |of: fn(usize) -> usize| {
            kinds.iter().try_fold(1_usize, |product, kind| product.checked_mul(of(kind.count as usize)))
        };
        let selections = product(|count| count + 1).filter(|n| *n <= MOST_SELECTIONS)?;
        product(|count| (count + 1) * (count + 2) / 2).filter(|n| *n <= MOST_PARTED)?;
        let mut all = All::new(problem, selections);
        for selection in 1..selections {
            let smallest = all.smallest(selection);
            all.fronts.push(smallest);
        }
        Some(all)
    }
}

/// A rectangle, length and width.
type Size = (i32, i32);

struct All<'a> {
    problem: &'a Problem,
    /// Kinds of which there are pieces; a selection's number has a digit for each, which counts its pieces.
    kinds: Vec<usize>,
    weights: Vec<usize>,
    /// Of each selection, its digits.
    digits: Vec<Vec<u32>>,
    /// For each selection so far, the smallest rectangles that hold it, none within another: lengths rise, widths fall.
    fronts: Vec<Vec<Size>>,
    largest: Size,
}

impl All<'_> {
    fn new(problem: &Problem, selections: usize) -> All<'_> {
        let kinds: Vec<usize> = (0..problem.kinds.len()).filter(|kind| problem.kinds[*kind].count > 0).collect();
        let mut weights = Vec::new();
        let mut weight = 1;
        for kind in &kinds {
            weights.push(weight);
            weight *= problem.kinds[*kind].count as usize + 1;
        }
        let digit =
            |selection: usize, i: usize| (selection / weights[i] % (problem.kinds[kinds[i]].count as usize + 1)) as u32;
        let digits = (0..selections).map(|s| (0..kinds.len()).map(|i| digit(s, i)).collect()).collect();
        let most = |of: fn(&Bin) -> i32| problem.bins.iter().map(of).max().unwrap_or(0);
        let largest = (most(|bin| bin.length), most(|bin| bin.width));
        All { problem, kinds, weights, digits, fronts: vec![Vec::new()], largest }
    }

    /// Every part of a selection but nothing and all of it, by number.
    fn parts(&self, selection: usize) -> Vec<usize> {
        let mut parts = vec![0];
        for (count, weight) in self.digits[selection].iter().zip(&self.weights) {
            let known = parts.len();
            for more in 1..=*count as usize {
                parts.extend_from_within(..known);
                let new = parts.len() - known;
                parts[new..].iter_mut().for_each(|part| *part += more * weight);
            }
        }
        parts.retain(|part| *part != 0 && *part != selection);
        parts
    }

    /// The kind of a selection of one piece.
    fn single(&self, selection: usize) -> Option<usize> {
        let mut counts = self.digits[selection].iter().enumerate().filter(|(_, count)| **count > 0);
        let (at, count) = counts.next()?;
        (*count == 1 && counts.next().is_none()).then(|| self.kinds[at])
    }

    /// The smallest rectangles that a selection can be cut from.
    fn smallest(&self, selection: usize) -> Vec<Size> {
        if self.area_of(selection) > i64::from(self.largest.0) * i64::from(self.largest.1) {
            return Vec::new();
        }
        let mut found: Vec<Size> = Vec::new();
        if let Some(kind) = self.single(selection) {
            found.extend(orientations(&self.problem.kinds[kind]).map(|(size, _)| size));
        } else {
            let mut keep = |size: Size| {
                if size.0 <= self.largest.0 && size.1 <= self.largest.1 {
                    found.push(size);
                }
            };
            // Of one and the rest, the one of the larger number is the rest.
            for one in self.parts(selection).into_iter().filter(|one| 2 * one <= selection) {
                let (one, rest) = (&self.fronts[one], &self.fronts[selection - one]);
                // Lengths side by side: of each width, the shortest of both.
                beside(one, rest, &mut keep);
                // Widths one above the other: the same with the sides changed over.
                above(one, rest, &mut keep);
            }
        }
        found.retain(|size| size.0 <= self.largest.0 && size.1 <= self.largest.1);
        found.sort_unstable();
        let mut narrowest = i32::MAX;
        found.retain(|size| {
            let kept = size.1 < narrowest;
            narrowest = narrowest.min(size.1);
            kept
        });
        found
    }

    fn area_of(&self, selection: usize) -> i64 {
        self.digits[selection].iter().zip(&self.kinds).map(|(n, kind)| i64::from(*n) * self.area(*kind)).sum()
    }

    fn area(&self, kind: usize) -> i64 {
        let about = &self.problem.kinds[kind];
        i64::from(about.length) * i64::from(about.width)
    }

    fn fits(&self, selection: usize, bin: &Bin) -> bool {
        self.fronts[selection].iter().any(|size| size.0 <= bin.length && size.1 <= bin.width)
    }

    /// The cheapest sheets for all, with cuts from edge to edge.
    fn cover(&self) -> Option<Found> {
        let bins = &self.problem.bins;
        let dealt = self.dealt(|selection, bin| Some(self.fits(selection, &bins[bin])))?;
        let cost = dealt.iter().map(|(bin, _)| bins[*bin].cost).sum();
        let sheet = |&(bin, selection): &(usize, usize)| {
            let size = (bins[bin].length, bins[bin].width);
            Some(Filled { bin, cut: self.cut(selection, size)? })
        };
        Some(Found { sheets: dealt.iter().map(sheet).collect::<Option<_>>()?, cost, left_out: Vec::new() })
    }

    /// The pieces dealt out to the cheapest sheets: a bin and a selection for each. `fits` says whether a selection
    /// comes out of a bin; `None` where it cannot tell or a piece fits no sheet.
    fn dealt(&self, mut fits: impl FnMut(usize, usize) -> Option<bool>) -> Option<Vec<(usize, usize)>> {
        // Of each selection, what its sheets cost, and the first of them: the bin and what is on it.
        let mut best: Vec<Option<(i64, usize, usize)>> = vec![Some((0, 0, 0))];
        for selection in 1..self.fronts.len() {
            let first = self.digits[selection].iter().position(|count| *count > 0)?;
            let mut cheapest: Option<(i64, usize, usize)> = None;
            for on_it in self.parts(selection).into_iter().chain([selection]) {
                // A sheet has one of the first kind on it: let it be this one.
                if self.digits[on_it][first] == 0 {
                    continue;
                }
                let Some((rest, ..)) = best[selection - on_it] else { continue };
                for (i, bin) in self.problem.bins.iter().enumerate() {
                    let cost = rest + bin.cost;
                    if cheapest.is_none_or(|known| cost < known.0) && fits(on_it, i)? {
                        cheapest = Some((cost, i, on_it));
                    }
                }
            }
            best.push(cheapest);
        }
        let mut left = self.fronts.len() - 1;
        let mut sheets = Vec::new();
        while left != 0 {
            let (_, bin, on_it) = best[left]?;
            sheets.push((bin, on_it));
            left -= on_it;
        }
        Some(sheets)
    }

    /// How a selection is cut from a rectangle that holds it.
    fn cut(&self, selection: usize, (length, width): Size) -> Option<Cut> {
        if let Some(kind) = self.single(selection) {
            let ((l, w), turned) =
                orientations(&self.problem.kinds[kind]).find(|((l, w), _)| *l <= length && *w <= width)?;
            let slice = side_by_side(Axis::Y, [(w, Cut::Part { kind, turned }), (width - w, Cut::Left)]);
            return Some(side_by_side(Axis::X, [(l, slice), (length - l, Cut::Left)]));
        }
        for one in self.parts(selection) {
            let rest = selection - one;
            let shortest = |of: usize| self.fronts[of].iter().find(|size| size.1 <= width).map(|size| size.0);
            if let (Some(a), Some(b)) = (shortest(one), shortest(rest))
                && a + b <= length
            {
                let (one, rest) = (self.cut(one, (a, width))?, self.cut(rest, (length - a, width))?);
                return Some(side_by_side(Axis::X, [(a, one), (length - a, rest)]));
            }
            let narrowest = |of: usize| self.fronts[of].iter().rfind(|size| size.0 <= length).map(|size| size.1);
            if let (Some(a), Some(b)) = (narrowest(one), narrowest(rest))
                && a + b <= width
            {
                let (one, rest) = (self.cut(one, (length, a))?, self.cut(rest, (length, width - a))?);
                return Some(side_by_side(Axis::Y, [(a, one), (width - a, rest)]));
            }
        }
        None
    }
}

/// How a piece may lie: its size so, and whether it is turned.
fn orientations(kind: &PieceKind) -> impl Iterator<Item = (Size, bool)> {
    let straight = kind.straight.then_some(((kind.length, kind.width), false));
    straight.into_iter().chain(kind.turned.then_some(((kind.width, kind.length), true)))
}

/// Smallest rectangles of two selections side by side along the length. Of each width that either has, the shortest lengths
/// that are no wider.
fn beside(one: &[Size], rest: &[Size], found: &mut impl FnMut(Size)) {
    let (mut i, mut j) = (0, 0);
    while i < one.len() && j < rest.len() {
        let (a, b) = (one[i], rest[j]);
        found((a.0.saturating_add(b.0), a.1.max(b.1)));
        // The wider one's next is longer and narrower.
        if a.1 >= b.1 {
            i += 1;
        }
        if b.1 >= a.1 {
            j += 1;
        }
    }
}

/// The same one above the other.
fn above(one: &[Size], rest: &[Size], found: &mut impl FnMut(Size)) {
    let (mut i, mut j) = (one.len(), rest.len());
    while i > 0 && j > 0 {
        let (a, b) = (one[i - 1], rest[j - 1]);
        found((a.0.max(b.0), a.1.saturating_add(b.1)));
        if a.0 >= b.0 {
            i -= 1;
        }
        if b.0 >= a.0 {
            j -= 1;
        }
    }
}

/// Strips side by side, without those of no size; what is cut along the same axis within them lies in the same row, and
/// all that is left over in one place.
fn side_by_side(axis: Axis, strips: [(i32, Cut); 2]) -> Cut {
    let mut row: Vec<(i32, Cut)> = Vec::new();
    let mut left = 0;
    for (size, cut) in strips.into_iter().filter(|(size, _)| *size > 0) {
        match cut {
            Cut::Split(same, inner) if same == axis => {
                for (size, cut) in inner {
                    if cut == Cut::Left { left += size } else { row.push((size, cut)) }
                }
            }
            Cut::Left => left += size,
            cut => row.push((size, cut)),
        }
    }
    if left > 0 {
        row.push((left, Cut::Left));
    }
    if row.len() == 1 { row.swap_remove(0).1 } else { Cut::Split(axis, row) }
}
