//! A bound's reason, for a maker.

use super::{Bound, Reason, Rule};
use crate::job::CutBy;
use crate::units::{Units, decimal};

/// Kinds that are named in a reason; the rest are smaller.
const MOST_NAMED: usize = 4;

impl Bound {
    /// Why no layout takes fewer sheets. `names` and `counts` are those of the kinds.
    pub fn why(&self, names: &[&str], counts: &[u64], units: Units) -> String {
        let named = |kind: usize| names.get(kind).copied().unwrap_or("piece");
        let some = |kind: usize| format!("{} × {}", counts.get(kind).copied().unwrap_or(1), named(kind));
        match &self.reason {
            Reason::Nothing => "there is nothing to cut".into(),
            Reason::TooLarge { kind } => format!("the {} fits no sheet", named(*kind)),
            Reason::Area { pieces, sheet } => format!(
                "with what the cut takes about each, the pieces cover {}, a sheet within its edges {}: {} sheets' worth",
                area(*pieces, units),
                area(*sheet, units),
                up(self.exactly)
            ),
            Reason::Tried { pieces, cut } => {
                let trial = match cut {
                    CutBy::Saw => format!("cutting these {pieces} pieces from edge to edge"),
                    CutBy::Router => format!("laying these {pieces} pieces, straight or turned by a quarter,"),
                };
                format!("every way of {trial} was tried, and none takes fewer sheets")
            }
            Reason::Exclusive { kinds } => {
                let pieces: u64 = kinds.iter().map(|kind| counts.get(*kind).copied().unwrap_or(1)).sum();
                let all: Vec<String> = kinds.iter().map(|kind| some(*kind)).collect();
                format!("no two of these {pieces} lie on one sheet, however they are turned: {}", all.join(", "))
            }
            Reason::Counted { mix, shares } => {
                let mut order: Vec<usize> = (0..shares.len()).filter(|kind| shares[*kind] > 0.0).collect();
                let worth = |kind: &usize| shares[*kind] * counts.get(*kind).copied().unwrap_or(1) as f64;
                order.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then(a.cmp(b)));
                let mut all: Vec<String> = order
                    .iter()
                    .take(MOST_NAMED)
                    .map(|kind| format!("{} at {} of a sheet", some(*kind), decimal(shares[*kind], 4)))
                    .collect();
                if order.len() > MOST_NAMED {
                    let rest: f64 = order[MOST_NAMED..].iter().map(worth).sum();
                    all.push(format!("the rest {}", decimal(rest, 4)));
                }
                format!(
                    "counted by what can lie beside each other, the pieces make {} sheets' worth: {} ({})",
                    up(self.exactly),
                    all.join(", "),
                    counting(mix, units)
                )
            }
        }
    }
}

/// How lengths were counted, so that somebody can count again.
fn counting(mix: &[(u64, Rule, Rule)], units: Units) -> String {
    let pair =
        |along: Rule, across: Rule| format!("along the sheet {}; across it {}", along.say(units), across.say(units));
    let parts: u64 = mix.iter().map(|(parts, ..)| parts).sum();
    match mix {
        [(_, along, across)] => pair(*along, *across),
        _ => {
            let all = mix.iter().map(|(n, along, across)| format!("{n} parts {}", pair(*along, *across)));
            format!("the mean of {parts} parts: {}", all.collect::<Vec<_>>().join("; "))
        }
    }
}

/// Sheets to four digits, never rounded to a whole number that it is above.
fn up(sheets: f64) -> String {
    decimal((sheets * 1e4 - 1e-6).ceil() / 1e4, 4)
}

fn area(square_micro: i128, units: Units) -> String {
    let square_mm = square_micro as f64 / 1e6;
    match units {
        Units::Millimetres => format!("{} m²", decimal(square_mm / 1e6, 4)),
        Units::Inches => format!("{} sq ft", decimal(square_mm / (304.8 * 304.8), 3)),
    }
}
