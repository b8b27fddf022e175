//! Fewest sheets: what no layout can beat, and why.
//!
//! A bound knows rectangles and sheets in whole micrometres and nothing of boxes. What must lie between two pieces (kerf,
//! or cutter and clearance) is added to every piece and once to every sheet; then there is no gap. It holds for free
//! nesting, and so for guillotine patterns, which are some of the free ones.
//!
//! Three bounds are taken and the best is told:
//!
//! 1. area;
//! 2. pieces so large that no two fit on one sheet;
//! 3. lengths and widths counted anew by dual feasible functions ([`Rule`]), and such counts mixed. A piece that may be
//!    turned counts as the less of its two orientations (after Dell'Amico, Martello and Vigo, 2002), taken after mixing; on
//!    square sheets the even mix of a pair and the same pair swapped loses nothing by turning.
//!
//! Few pieces are also tried in every pattern ([`by_trying`]).

mod dual;
mod exclusive;
mod of_job;
mod rule;
mod say;
#[cfg(test)]
mod tests;

use super::{exact, search};
use crate::job::CutBy;
pub use of_job::of_job;
pub use rule::Rule;

/// Pieces that are alike. Micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AlikePieces {
    pub length: i64,
    pub width: i64,
    /// May it lie with its length along the sheet's?
    pub straight: bool,
    /// May it lie across?
    pub turned: bool,
    pub count: u64,
    /// Area (µm²) of a piece that is no rectangle and is nested by its shape: others may reach into its rectangle.
    pub shape: Option<i128>,
}

impl AlikePieces {
    /// A rectangle that may lie in either orientation.
    pub fn free(length: i64, width: i64, count: u64) -> AlikePieces {
        AlikePieces { length, width, straight: true, turned: true, count, shape: None }
    }

    /// A rectangle that may not be turned.
    pub fn fixed(length: i64, width: i64, count: u64) -> AlikePieces {
        AlikePieces { turned: false, ..AlikePieces::free(length, width, count) }
    }

    fn area(&self) -> i128 {
        self.shape.unwrap_or(i128::from(self.length) * i128::from(self.width))
    }

    /// How it may lie on a sheet: its size along the sheet's length, and across.
    fn orientations(&self, bin: &Bin) -> impl Iterator<Item = (i64, i64)> + use<> {
        let straight = self.straight.then_some((self.length, self.width));
        let turned = self.turned.then_some((self.width, self.length));
        let (length, width) = (bin.length, bin.width);
        straight.into_iter().chain(turned).filter(move |(l, w)| *l <= length && *w <= width)
    }
}

/// A size of sheet. Micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bin {
    pub length: i64,
    pub width: i64,
    /// Sheets there are; `None` for as many as it takes.
    pub on_hand: Option<u64>,
}

impl Bin {
    /// As many sheets as it takes.
    pub fn endless(length: i64, width: i64) -> Bin {
        Bin { length, width, on_hand: None }
    }
}

/// Fewest sheets that any layout takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// More than there are: it cannot be done with the sheets on hand.
    pub sheets: u64,
    /// The same before rounding up, in sheets of the largest size: how near the next whole sheet it is.
    pub exactly: f64,
    pub reason: Reason,
}

/// Why no layout takes fewer.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// There is nothing to lay out.
    Nothing,
    /// This kind fits no sheet.
    TooLarge { kind: usize },
    /// The pieces' area with the gap about each, and that of the largest sheet with one gap (µm²).
    Area { pieces: i128, sheet: i128 },
    /// No two pieces of these kinds lie on one sheet.
    Exclusive { kinds: Vec<usize> },
    /// Each kind takes up a share of the largest sheet, and no sheet holds more than its own.
    Counted {
        /// How many parts of the mix each pair of functions makes up, the first for lengths along the sheet.
        mix: Vec<(u64, Rule, Rule)>,
        /// Share of one piece of each kind in the largest sheet.
        shares: Vec<f64>,
    },
    /// Every pattern of these few pieces was gone through: from edge to edge, or for a router in every place.
    Tried { pieces: u64, cut: CutBy },
}

/// The best bound there is.
///
/// ```
/// use nestwright::layout::bound::{Bin, AlikePieces, Reason, bound};
///
/// // Five pieces of 600 × 600 cover 1.8 m² of a sheet's 2.25 m², but only four lie on it: two along, two across.
/// let five = bound(&[AlikePieces::free(600_000, 600_000, 5)], &[Bin::endless(1_500_000, 1_500_000)]);
/// assert_eq!(five.sheets, 2);
/// assert!(matches!(five.reason, Reason::Counted { .. }));
/// ```
pub fn bound(kinds: &[AlikePieces], bins: &[Bin]) -> Bound {
    bound_up_to(kinds, bins, u64::MAX)
}

/// Like [`bound`], but looks for nothing better once the bound is as many sheets as this: those of a layout that is known.
pub fn bound_up_to(kinds: &[AlikePieces], bins: &[Bin], known: u64) -> Bound {
    let wanted: Vec<usize> = (0..kinds.len()).filter(|i| kinds[*i].count > 0).collect();
    if wanted.is_empty() {
        return Bound { sheets: 0, exactly: 0.0, reason: Reason::Nothing };
    }
    let fits = |kind: &AlikePieces| bins.iter().any(|bin| kind.orientations(bin).next().is_some());
    if let Some(&kind) = wanted.iter().find(|i| !fits(&kinds[**i])) {
        return Bound { sheets: u64::MAX, exactly: f64::INFINITY, reason: Reason::TooLarge { kind } };
    }
    let mut best = by_area(kinds, bins);
    if best.sheets >= known {
        return best;
    }
    let apart = exclusive::exclusive(kinds, bins);
    let pieces: u64 = apart.iter().map(|i| kinds[*i].count).sum();
    if pieces > best.sheets {
        let exactly = pieces as f64;
        best = Bound { sheets: pieces, exactly, reason: Reason::Exclusive { kinds: apart } };
    }
    if best.sheets >= known {
        return best;
    }
    if let Some(counted) = dual::counted(kinds, bins).filter(|counted| counted.sheets > best.sheets) {
        best = counted;
    }
    best
}

/// Fewest sheets of few pieces by going through every pattern; `None` where there are too many, or where some are nested by
/// their true shape.
pub fn by_trying(kinds: &[AlikePieces], bins: &[Bin], cut: CutBy) -> Option<Bound> {
    if cut == CutBy::Router && kinds.iter().any(|kind| kind.shape.is_some()) {
        return None;
    }
    let micro = |length: i64| i32::try_from(length).ok();
    let kinds = kinds.iter().map(|kind| {
        Some(search::PieceKind {
            length: micro(kind.length)?,
            width: micro(kind.width)?,
            straight: kind.straight,
            turned: kind.turned,
            count: u32::try_from(kind.count).ok()?,
        })
    });
    let bins = bins
        .iter()
        .map(|bin| Some(search::Bin { length: micro(bin.length)?, width: micro(bin.width)?, supply: None, cost: 1 }));
    let problem =
        search::Problem { kinds: kinds.collect::<Option<_>>()?, bins: bins.collect::<Option<_>>()?, stages: None };
    let pieces = problem.kinds.iter().map(|kind| u64::from(kind.count)).sum();
    let sheets = match cut {
        CutBy::Saw => exact::cheapest(&problem)?.sheets.len(),
        CutBy::Router => exact::cheapest_with_free_cuts(&problem)?.len(),
    };
    Some(Bound { sheets: sheets as u64, exactly: sheets as f64, reason: Reason::Tried { pieces, cut } })
}

fn by_area(kinds: &[AlikePieces], bins: &[Bin]) -> Bound {
    let pieces: i128 = kinds.iter().map(|kind| kind.area() * i128::from(kind.count)).sum();
    let areas: Vec<i128> = bins.iter().map(|bin| i128::from(bin.length) * i128::from(bin.width)).collect();
    let sheet = areas.iter().copied().max().unwrap_or(1).max(1);
    let exactly = pieces as f64 / sheet as f64;
    Bound { sheets: fewest(pieces, &areas, bins), exactly, reason: Reason::Area { pieces, sheet } }
}

/// Fewest sheets that hold so much together, when each size holds at most so much; one more than there are when even
/// all of them hold less.
fn fewest(total: i128, holds: &[i128], bins: &[Bin]) -> u64 {
    let mut order: Vec<usize> = (0..bins.len()).filter(|i| holds[*i] > 0).collect();
    order.sort_by_key(|i| std::cmp::Reverse(holds[*i]));
    let (mut sheets, mut left) = (0_u64, total);
    for i in order {
        if left <= 0 {
            break;
        }
        let needed = u64::try_from((left + holds[i] - 1) / holds[i]).unwrap_or(u64::MAX);
        let taken = bins[i].on_hand.map_or(needed, |there| there.min(needed));
        sheets += taken;
        left -= i128::from(taken) * holds[i];
    }
    if left > 0 { sheets + 1 } else { sheets }
}
