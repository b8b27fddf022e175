//! The bound by dual feasible functions, and by mixes of them.

use super::{AlikePieces, Bin, Bound, Reason, Rule, fewest};
use std::collections::BTreeSet;

/// What the whole of a length counts, in fixed point. A piece's count is rounded down and a smaller sheet's up, so that
/// the bound stays a bound.
const ONE: i64 = 1 << 30;

/// Pairs of functions times kinds that are looked at.
const EFFORT: usize = 200_000;

/// Pairs that a mix is tried from, and pairs taken into it.
const STARTS: usize = 4;
const ROUNDS: usize = 4;

/// Kinds counted by one function: along the sheet and across it, each for the piece's length and its width; in sheets.
struct Counted {
    rule: Rule,
    length: Vec<f64>,
    width: Vec<f64>,
}

/// A mix of pairs: how many parts of each, as indices into the functions along and across.
type Mix = Vec<(u64, usize, usize)>;

/// What each kind's piece counts when it lies straight, and when it lies turned; infinite where it may not.
struct Weights {
    straight: Vec<f64>,
    turned: Vec<f64>,
}

/// The best bound found; `None` when no kind is a rectangle.
pub(super) fn counted(kinds: &[AlikePieces], bins: &[Bin]) -> Option<Bound> {
    // Functions are made for the sheet that holds every other.
    let whole = Bin::endless(
        bins.iter().map(|bin| bin.length).max().filter(|length| *length > 1)?,
        bins.iter().map(|bin| bin.width).max().filter(|width| *width > 1)?,
    );
    let rectangles: Vec<AlikePieces> =
        kinds.iter().copied().filter(|kind| kind.shape.is_none() && kind.count > 0).collect();
    if rectangles.is_empty() {
        return None;
    }
    let search = Search::new(&rectangles, bins, whole);
    let mix = search.best();
    let mix: Vec<(u64, Rule, Rule)> =
        mix.into_iter().map(|(parts, i, j)| (parts, search.along[i].rule, search.across[j].rule)).collect();
    Some(exact(kinds, bins, &whole, mix))
}

/// The bound that a mix gives, in whole numbers.
pub(super) fn exact(kinds: &[AlikePieces], bins: &[Bin], whole: &Bin, mix: Vec<(u64, Rule, Rule)>) -> Bound {
    let parts: i128 = mix.iter().map(|(parts, ..)| i128::from(*parts)).sum();
    let mixed = |count: &dyn Fn(Rule, Rule) -> i128| -> i128 {
        mix.iter().map(|(parts, along, across)| i128::from(*parts) * count(*along, *across)).sum()
    };
    let one = i128::from(ONE);
    let down = |rule: Rule, x: i64, c: i64| i128::from(rule.value(x, c)) * one / i128::from(rule.top(c));
    let up = |rule: Rule, x: i64, c: i64| {
        let top = i128::from(rule.top(c));
        (i128::from(rule.value(x, c)) * one + top - 1) / top
    };
    let of_piece = |kind: &AlikePieces| -> i128 {
        let orientations = bins.iter().flat_map(|bin| kind.orientations(bin).collect::<Vec<_>>());
        let least = orientations
            .map(|(l, w)| mixed(&|along, across| down(along, l, whole.length) * down(across, w, whole.width)) / parts)
            .min();
        if kind.shape.is_some() { 0 } else { least.unwrap_or(0) }
    };
    let holds: Vec<i128> = bins
        .iter()
        .map(|bin| {
            let count =
                mixed(&|along, across| up(along, bin.length, whole.length) * up(across, bin.width, whole.width));
            (count + parts - 1) / parts
        })
        .collect();
    let counts: Vec<i128> = kinds.iter().map(of_piece).collect();
    let total: i128 = counts.iter().zip(kinds).map(|(count, kind)| count * i128::from(kind.count)).sum();
    let largest = holds.iter().copied().max().unwrap_or(1).max(1) as f64;
    let shares = counts.iter().map(|count| *count as f64 / largest).collect();
    Bound {
        sheets: fewest(total, &holds, bins),
        exactly: total as f64 / largest,
        reason: Reason::Counted { mix, shares },
    }
}

struct Search<'a> {
    kinds: &'a [AlikePieces],
    /// May each kind lie straight, and turned, on any of the sheets?
    may: Vec<(bool, bool)>,
    along: Vec<Counted>,
    across: Vec<Counted>,
}

impl Search<'_> {
    fn new<'a>(kinds: &'a [AlikePieces], bins: &[Bin], whole: Bin) -> Search<'a> {
        let may: Vec<(bool, bool)> = kinds
            .iter()
            .map(|kind| {
                let fits = |l: i64, w: i64| bins.iter().any(|bin| l <= bin.length && w <= bin.width);
                (kind.straight && fits(kind.length, kind.width), kind.turned && fits(kind.width, kind.length))
            })
            .collect();
        let most = ((EFFORT / kinds.len()) as f64).sqrt().clamp(16.0, 160.0) as usize;
        let along = functions(kinds, &may, (whole.length, whole.width), most, |(straight, turned)| (straight, turned));
        let across = functions(kinds, &may, (whole.width, whole.length), most, |(straight, turned)| (turned, straight));
        Search { kinds, may, along, across }
    }

    fn weights(&self, (i, j): (usize, usize)) -> Weights {
        let (along, across) = (&self.along[i], &self.across[j]);
        let counted = |may: bool, count: f64| if may { count } else { f64::INFINITY };
        let kinds = || self.may.iter().enumerate();
        Weights {
            straight: kinds().map(|(k, may)| counted(may.0, along.length[k] * across.width[k])).collect(),
            turned: kinds().map(|(k, may)| counted(may.1, along.width[k] * across.length[k])).collect(),
        }
    }

    /// What all pieces count, each in the orientation in which it counts less.
    fn total(&self, weights: &Weights) -> f64 {
        let both = weights.straight.iter().zip(&weights.turned);
        self.kinds.iter().zip(both).map(|(kind, (a, b))| kind.count as f64 * a.min(*b)).sum()
    }

    /// What all pieces count when each lies this much straight: the slope of the total, where turning is undecided.
    fn total_lying(&self, pair: (usize, usize), straight: &[f64]) -> f64 {
        let (along, across) = (&self.along[pair.0], &self.across[pair.1]);
        self.kinds
            .iter()
            .enumerate()
            .map(|(k, kind)| {
                let (a, b) = (along.length[k] * across.width[k], along.width[k] * across.length[k]);
                // What is not to be counted may be no number.
                let counts = |share: f64, count: f64| if share > 0.0 { share * count } else { 0.0 };
                kind.count as f64 * (counts(straight[k], a) + counts(1.0 - straight[k], b))
            })
            .sum()
    }

    /// Pairs that count most, each piece lying this much straight; the best first.
    fn ranked(&self, straight: &[f64], most: usize) -> Vec<(usize, usize)> {
        let mut found: Vec<(f64, (usize, usize))> = Vec::new();
        for i in 0..self.along.len() {
            for j in 0..self.across.len() {
                found.push((self.total_lying((i, j), straight), (i, j)));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        found.into_iter().take(most).map(|(_, pair)| pair).collect()
    }

    /// The mix that counts most: from the best single pairs and from those that would be best if pieces lay half turned,
    /// one more pair is mixed in as long as that counts more.
    fn best(&self) -> Mix {
        let half: Vec<f64> =
            self.may.iter().map(|may| f64::from(u8::from(may.0)) / f64::from(1 + u8::from(may.1))).collect();
        let mut starts = self.ranked(&half, STARTS);
        let mut single: Vec<(f64, (usize, usize))> = Vec::new();
        for i in 0..self.along.len() {
            for j in 0..self.across.len() {
                single.push((self.total(&self.weights((i, j))), (i, j)));
            }
        }
        single.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        starts.extend(single.iter().take(STARTS).map(|(_, pair)| *pair));
        let mut best: (f64, Mix) = (f64::NEG_INFINITY, Vec::new());
        for start in starts.into_iter().collect::<BTreeSet<_>>() {
            let (total, mix) = self.mixed_from(start);
            // More, by more than is lost in adding up.
            if total > best.0 + 1e-9 {
                best = (total, mix);
            }
        }
        best.1
    }

    fn mixed_from(&self, start: (usize, usize)) -> (f64, Mix) {
        let mut mix: Mix = vec![(1, start.0, start.1)];
        let mut weights = self.weights(start);
        let mut total = self.total(&weights);
        for _ in 0..ROUNDS {
            // How each piece lies is undecided where it counts the same in both orientations.
            let lying: Vec<f64> = weights
                .straight
                .iter()
                .zip(&weights.turned)
                .map(|(a, b)| if (a - b).abs() < 1e-9 { 0.5 } else { f64::from(u8::from(a < b)) })
                .collect();
            let mut found: Option<(f64, (usize, usize), u64, Weights)> = None;
            for pair in self.ranked(&lying, STARTS) {
                let other = self.weights(pair);
                for one_in in 2..=6_u64 {
                    let share = 1.0 / one_in as f64;
                    let blend = |a: &[f64], b: &[f64]| -> Vec<f64> {
                        a.iter().zip(b).map(|(a, b)| a * (1.0 - share) + b * share).collect()
                    };
                    let blended = Weights {
                        straight: blend(&weights.straight, &other.straight),
                        turned: blend(&weights.turned, &other.turned),
                    };
                    let blended_total = self.total(&blended);
                    if found.as_ref().map_or(total, |known| known.0) + 1e-9 < blended_total {
                        found = Some((blended_total, pair, one_in, blended));
                    }
                }
            }
            let Some((better, pair, one_in, blended)) = found else { break };
            let all: u64 = mix.iter().map(|(parts, ..)| parts).sum();
            mix.iter_mut().for_each(|(parts, ..)| *parts *= one_in - 1);
            match mix.iter_mut().find(|(_, i, j)| (*i, *j) == pair) {
                Some(known) => known.0 += all,
                None => mix.push((all, pair.0, pair.1)),
            }
            (total, weights) = (better, blended);
        }
        (total, mix)
    }
}

/// The functions worth trying for one side of the sheet: no two that count all pieces alike, and of too many those that
/// count the most.
fn functions(
    kinds: &[AlikePieces],
    may: &[(bool, bool)],
    (c, across): (i64, i64),
    most: usize,
    sides: impl Fn((bool, bool)) -> (bool, bool),
) -> Vec<Counted> {
    let mut lengths = Vec::new();
    for (kind, may) in kinds.iter().zip(may) {
        // Along this side lies the length, the width, or either.
        let (by_length, by_width) = sides(*may);
        lengths.extend(by_length.then_some(kind.length));
        lengths.extend(by_width.then_some(kind.width));
    }
    lengths.sort_unstable();
    lengths.dedup();
    // Of very many lengths an even choice.
    let every = lengths.len().div_ceil(4 * most).max(1);
    let tried: Vec<i64> = lengths.iter().copied().step_by(every).collect();
    let mut seen: BTreeSet<Vec<u64>> = BTreeSet::new();
    let mut found: Vec<(f64, Counted)> = Vec::new();
    for rule in Rule::all(&tried, c) {
        let share = |x: i64| if x <= c { rule.value(x, c) as f64 / rule.top(c) as f64 } else { 0.0 };
        let counted = Counted {
            rule,
            length: kinds.iter().map(|kind| share(kind.length)).collect(),
            width: kinds.iter().map(|kind| share(kind.width)).collect(),
        };
        let alike = lengths.iter().map(|x| share(*x).to_bits()).collect();
        if !seen.insert(alike) {
            continue;
        }
        let mut worth = 0.0;
        for (k, kind) in kinds.iter().enumerate() {
            let (by_length, by_width) = sides(may[k]);
            let count = |may: bool, count: f64, other: i64| {
                if may { count * other as f64 / across as f64 } else { f64::INFINITY }
            };
            let (a, b) =
                (count(by_length, counted.length[k], kind.width), count(by_width, counted.width[k], kind.length));
            worth += kind.count as f64 * if a.is_finite() && b.is_finite() { (a + b) / 2.0 } else { a.min(b) };
        }
        found.push((worth, counted));
    }
    // The size as it is stays whatever it counts: with it the bound is never worse than by area.
    found.sort_by(|a, b| {
        (b.1.rule == Rule::Size).cmp(&(a.1.rule == Rule::Size)).then(b.0.total_cmp(&a.0)).then(a.1.rule.cmp(&b.1.rule))
    });
    found.into_iter().take(most).map(|(_, counted)| counted).collect()
}
