//! Rules that count a length anew, so that what did fit side by side still fits.
//!
//! A function f on lengths is *dual feasible* when pieces that lie side by side within c never count for more than f(c)
//! in all. Counting lengths by one such function and widths by another, the pieces on a sheet never count for more than
//! the sheet does (Fekete and Schepers, "A general framework for bounds for higher-dimensional orthogonal packing
//! problems", 2004). All functions here also never fall and are superadditive, f(a) + f(b) ≤ f(a + b), so that they hold
//! for smaller sheets too. The families are those that Clautiaux, Alves and Valério de Carvalho list as maximal ("A
//! survey of dual-feasible and superadditive functions", 2010). Everything is whole numbers.

use crate::units::Units;

/// A dual feasible function on lengths from 0 to c.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// A length counts as it is.
    Size,
    /// What is shorter than this counts as nothing, what leaves less than this beside it as the whole; the rest as it
    /// is. Fekete and Schepers' U.
    Whole(i64),
    /// In k-ths of the whole, rounded down as k + 1 of them would be: what is longer than a (k + 1)-th counts as a k-th,
    /// since no k + 1 of such lie side by side. Fekete and Schepers' u.
    Parts(i64),
    /// In whole steps of this size; what is longer than half counts as what it takes away from the steps. Carlier,
    /// Clautiaux and Moukrim (2007), after Fekete and Schepers' φ.
    Steps(i64),
    /// In (k - 1)-ths by how many k-ths it is longer than; what is longer than half counts as what it takes away.
    /// Vanderbeck (2000), as the survey gives it.
    Shares(i64),
}

impl Rule {
    /// What a length from 0 to `c` counts; `c` itself counts [`Rule::top`].
    pub fn value(self, x: i64, c: i64) -> i64 {
        match self {
            Rule::Size => x,
            Rule::Whole(least) if x < least => 0,
            Rule::Whole(least) if c - x < least => c,
            Rule::Whole(_) => x,
            Rule::Parts(k) if x * (k + 1) % c == 0 => x * k,
            Rule::Parts(k) => c * (x * (k + 1) / c),
            Rule::Steps(step) if 2 * x > c => 2 * (c / step - (c - x) / step),
            Rule::Steps(step) if 2 * x == c => c / step,
            Rule::Steps(step) => 2 * (x / step),
            Rule::Shares(k) if 2 * x > c => 2 * (k - 1) - 2 * longer_than(c - x, c, k),
            Rule::Shares(k) if 2 * x == c => k - 1,
            Rule::Shares(k) => 2 * longer_than(x, c, k),
        }
    }

    /// What the whole counts.
    pub fn top(self, c: i64) -> i64 {
        self.value(c, c)
    }

    /// The functions worth trying for these lengths. Another one counts them as one of these does, or as less.
    pub(super) fn all(lengths: &[i64], c: i64) -> Vec<Rule> {
        let mut steps: Vec<i64> = lengths.iter().flat_map(|x| [*x, c - x + 1]).collect();
        // Two, three, four to the whole: what is just longer counts for more.
        steps.extend((2..=8).flat_map(|k| [c / k, c / k + 1]));
        steps.retain(|step| *step > 0 && 2 * step <= c);
        steps.sort_unstable();
        steps.dedup();
        let mut rules = vec![Rule::Size];
        rules.extend((1..=MOST_PARTS).map(Rule::Parts));
        rules.extend((2..=MOST_PARTS).map(Rule::Shares));
        rules.extend(steps.iter().map(|step| Rule::Steps(*step)));
        rules.extend(steps.iter().map(|step| Rule::Whole(*step)));
        rules
    }

    /// In words, for lengths along one side of a sheet.
    pub(super) fn say(self, units: Units) -> String {
        let show = |micro: i64| units.measured(micro as f64 / 1000.0);
        match self {
            Rule::Size => "as it is".into(),
            Rule::Whole(least) => format!(
                "what leaves less than {} beside it as the whole, what is shorter than that as nothing",
                show(least)
            ),
            Rule::Parts(1) => "what is over half as the whole".into(),
            Rule::Parts(k) => format!("in {}, what is over 1/{} as one of them", parts(k), k + 1),
            Rule::Steps(step) => format!("in steps of {}, what is over half as the steps it takes away", show(step)),
            Rule::Shares(k) => format!("by how many {} it is longer than", parts(k)),
        }
    }
}

/// Pieces to a sheet beyond which its length is as good as continuous.
const MOST_PARTS: i64 = 16;

/// How many k-ths of `c` is `x` longer than?
fn longer_than(x: i64, c: i64, k: i64) -> i64 {
    ((x * k + c - 1) / c - 1).max(0)
}

fn parts(k: i64) -> String {
    match k {
        2 => "halves".into(),
        3 => "thirds".into(),
        4 => "quarters".into(),
        _ => format!("{k}ths"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every length up to 60 and every pair of them: never falls, and two side by side never count for more than what
    /// they make together. From that follows, by adding piece after piece, that no row counts for more than its whole.
    #[test]
    fn no_row_of_pieces_counts_for_more_than_its_whole() {
        for c in 2..=60 {
            let lengths: Vec<i64> = (1..c).collect();
            for rule in Rule::all(&lengths, c) {
                let value: Vec<i64> = (0..=c).map(|x| rule.value(x, c)).collect();
                assert_eq!(value[0], 0, "{rule:?} of nothing in {c}");
                assert!(rule.top(c) > 0, "{rule:?} of {c}");
                for a in 0..=c as usize {
                    for b in 0..=(c as usize - a) {
                        assert!(value[a] + value[b] <= value[a + b], "{rule:?}: {a} and {b} in {c}");
                    }
                }
            }
        }
    }

    /// Fekete and Schepers' u with k = 1 counts what is over half as the whole; with k = 2 what is over a third as half.
    #[test]
    fn what_is_over_a_third_counts_as_half() {
        assert_eq!((Rule::Parts(1).value(51, 100), Rule::Parts(1).top(100)), (100, 100));
        assert_eq!((Rule::Parts(2).value(34, 100), Rule::Parts(2).top(100)), (100, 200));
        assert_eq!(Rule::Parts(2).value(33, 100), 0);
        assert_eq!((Rule::Parts(1).value(50, 100), Rule::Parts(1).value(49, 100)), (50, 0));
    }
}
