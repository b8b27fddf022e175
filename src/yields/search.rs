//! The largest number of sets that a layout is found for.

use super::{parts_of_one, parts_of_sets};
use crate::design::{Assembly, Part};
use crate::error::Error;
use crate::finding::Finding;
use crate::job::{CutBy, Job};
use crate::layout::fewest::{StockBound, of_stocks};
use crate::layout::{self, Sheet};
use crate::spec::schema::MOST_BOXES;
use crate::watch::Search;

/// The most sets that the sheets on hand give, cut by one machine.
#[derive(Clone, Debug)]
pub struct Most {
    pub sets: u32,
    /// Sheets used and sheets on hand, and the share of those used that becomes parts.
    pub used: u32,
    pub on_hand: u32,
    pub share: f64,
    pub why: WhyNotMore,
    /// What refuses a single set, where not even that fits.
    pub refused: Vec<Finding>,
}

/// Why one more set does not fit.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyNotMore {
    /// It cannot, by a bound; the reason in words.
    Proved(String),
    /// No layout was found. None can hold more than `at_most` sets, for the reason given.
    NotFound { at_most: u32, reason: String },
    /// More than anyone builds from one job.
    Enough,
}

/// Sets beyond which not every number is tried.
const EACH: u32 = 12;

/// Layouts tried that give nothing, before the search ends.
const MISSES: u32 = 2;

impl Most {
    /// In a sentence: why not one more of what makes up a set.
    pub fn say(&self, set: &[(String, u32)]) -> String {
        let so_many = |sets: u32| match set {
            [(name, 1)] => format!("{sets} × {name}"),
            _ => format!("{sets} {}", if sets == 1 { "set" } else { "sets" }),
        };
        let next = self.sets + 1;
        match &self.why {
            WhyNotMore::Proved(reason) => {
                format!("{} cannot be cut from the sheets there are. Proved: {reason}", so_many(next))
            }
            WhyNotMore::NotFound { at_most, reason } => format!(
                "no way was found to lay out {}, which is not proved to be impossible. Proved is that {} cannot be cut: \
                 {reason}",
                so_many(next),
                so_many(at_most + 1)
            ),
            WhyNotMore::Enough => "more are not built from one job".into(),
        }
    }
}

/// Parts of the sets tried.
struct Sets<'a> {
    job: &'a Job,
    /// How a layout of each number of sets is searched for.
    search: &'a Search,
    /// Of one set.
    one: Vec<Part>,
    cut: CutBy,
}

/// Finds the most sets. The number that the bound leaves room for is tried first and then every smaller one, so that what
/// is found does not depend on a layout being found for all smaller numbers.
pub fn most(job: &Job, assemblies: &[Assembly], cut: CutBy, search: &Search) -> Most {
    let all = Sets { job, search, one: parts_of_one(job, assemblies), cut };
    let largest = largest_count(job, &all.one);
    let (room, over) = all.room(largest);
    let mut refused = Vec::new();
    let found = all.find(room, &mut refused);
    let (sets, sheets) = found.unwrap_or_default();
    let why = if sets < room {
        let reason = over.map_or_else(String::new, |bound| all.why(&bound, room + 1));
        WhyNotMore::NotFound { at_most: room, reason }
    } else {
        over.map_or(WhyNotMore::Enough, |bound| WhyNotMore::Proved(all.why(&bound, room + 1)))
    };
    if sets == 0 && refused.is_empty() {
        // The bound left no room for even one: let the layout say it in its own words.
        refused = all.lay(1).err().unwrap_or_default();
    }
    let parts = parts_of_sets(job, &all.one, sets);
    let area: f64 = sheets.iter().map(|sheet| sheet.length * sheet.width).sum();
    let cut_out: f64 = parts.iter().map(|part| part.outline.area() * f64::from(part.count)).sum();
    let stocks: Vec<usize> = all.one.iter().map(|part| part.stock).collect();
    let served = job.stock.iter().filter(|stock| stocks.iter().any(|other| job.stock[*other].serves(stock)));
    Most {
        sets,
        used: sheets.len() as u32,
        on_hand: served.filter_map(|stock| stock.on_hand).sum(),
        share: if area > 0.0 { cut_out / area } else { 0.0 },
        why,
        refused: if sets == 0 { refused } else { Vec::new() },
    }
}

/// Can this job be laid out with so many sets?
pub(super) fn fits(job: &Job, assemblies: &[Assembly], cut: CutBy, sets: u32, search: &Search) -> bool {
    let all = Sets { job, search, one: parts_of_one(job, assemblies), cut };
    all.too_many(sets).is_none() && all.lay(sets).is_ok()
}

/// No more pieces than these are looked for: a search for the most lays them out a dozen times over.
const MOST_SOUGHT: u32 = 5_000;

/// No more sets than anyone builds from one job.
fn largest_count(job: &Job, one: &[Part]) -> u32 {
    let each =
        job.boxes.iter().filter_map(|order| order.per_set).chain(job.loose.iter().filter_map(|part| part.per_set));
    let pieces: u32 = one.iter().map(|part| part.count).sum();
    (MOST_BOXES / each.sum::<u32>().max(1)).min(MOST_SOUGHT / pieces.max(1)).max(1)
}

impl Sets<'_> {
    /// A bound by which so many sets cannot fit.
    fn too_many(&self, sets: u32) -> Option<StockBound> {
        let parts = parts_of_sets(self.job, &self.one, sets);
        of_stocks(self.job, &parts, self.cut).into_iter().find(|bound| bound.too_few(self.job))
    }

    /// The most sets that bounds leave room for, and the bound that one more breaks; no more than `largest`. More sets
    /// hold fewer, so one number that cannot fit says it of all above.
    fn room(&self, largest: u32) -> (u32, Option<StockBound>) {
        let (mut room, mut over) = (0, None);
        let mut step = 1;
        // Double until a bound breaks, then halve.
        while room < largest {
            let tried = (room + step).min(largest);
            match self.too_many(tried) {
                Some(bound) => {
                    over = Some(bound);
                    break;
                }
                None => (room, step) = (tried, step * 2),
            }
        }
        if over.is_none() {
            return (room, None);
        }
        let mut above = (room + step).min(largest);
        while above - room > 1 {
            let middle = room + (above - room) / 2;
            match self.too_many(middle) {
                Some(bound) => (above, over) = (middle, Some(bound)),
                None => room = middle,
            }
        }
        (room, over)
    }

    fn why(&self, bound: &StockBound, sets: u32) -> String {
        bound.why(self.job, &parts_of_sets(self.job, &self.one, sets))
    }

    /// The most sets up to `room` that a layout is found for, and its sheets.
    fn find(&self, room: u32, refused: &mut Vec<Finding>) -> Option<(u32, Vec<Sheet>)> {
        let mut tried = |sets: u32| match self.lay(sets) {
            Ok(sheets) => Some((sets, sheets)),
            Err(findings) => {
                *refused = findings;
                None
            }
        };
        // Downwards, one by one; far down in growing steps.
        let (mut sets, mut step, mut missed) = (room, 1, 0);
        let mut failed = room + 1;
        let mut found = loop {
            if sets == 0 {
                return None;
            }
            if let Some(found) = tried(sets) {
                break found;
            }
            failed = sets;
            missed += 1;
            if missed >= EACH {
                step *= 2;
            }
            sets = if sets == 1 { 0 } else { sets.saturating_sub(step).max(1) };
        };
        // Upwards again through what was stepped over.
        let mut misses = 0;
        for sets in found.0 + 1..failed {
            match tried(sets) {
                Some(better) => (found, misses) = (better, 0),
                None => misses += 1,
            }
            if misses >= MISSES {
                break;
            }
        }
        Some(found)
    }

    fn lay(&self, sets: u32) -> Result<Vec<Sheet>, Vec<Finding>> {
        let parts = parts_of_sets(self.job, &self.one, sets);
        let laid = match self.cut {
            CutBy::Router => layout::nest_close(self.job, &parts, self.search).map(|layout| layout.sheets),
            CutBy::Saw => layout::cut_plan(self.job, &parts, self.search).map(|patterns| {
                let sheet = |pattern: &layout::Pattern| Sheet {
                    stock: pattern.stock,
                    length: pattern.length,
                    width: pattern.width,
                    thickness: pattern.thickness,
                    placements: pattern.placements(),
                };
                patterns.iter().map(sheet).collect()
            }),
        };
        laid.map_err(|error| match error {
            Error::Refused(refusal) => refusal.into_findings(),
            _ => Vec::new(),
        })
    }
}
