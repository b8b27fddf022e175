//! Guillotine patterns for a saw: every cut from edge to edge.

use super::least_cost;
use super::rectangles::Rectangles;
use super::search::{self, Settings};
use super::strips::strips;
use super::{Content, Pattern, fits_no_sheet, stock_groups, too_few_sheets};
use crate::design::Part;
use crate::error::Error;
use crate::job::Job;

/// With more pieces than this only strips are tried: the search would take too long.
const MOST_SEARCHED: u32 = 1500;

/// First tries, each with another seed, from which the handiest pattern is taken.
const TRIES: u64 = 12;

/// Patterns for every piece of the job. Preferred are, in this order: the cheapest sheets; the largest single off-cut;
/// the fewest sizes to set a fence to; the fewest cuts.
///
/// # Errors
/// [`Error::Refused`] when a part fits no sheet, or the sheets on hand are too few.
pub fn cut_plan(job: &Job, parts: &[Part]) -> Result<Vec<Pattern>, Error> {
    let Some(saw) = &job.saw else { return Ok(Vec::new()) };
    let mut patterns = Vec::new();
    let mut refused = Vec::new();
    for group in stock_groups(job) {
        let wanted: Vec<usize> = (0..parts.len()).filter(|i| group.contains(&parts[*i].stock)).collect();
        let edge = |i: usize| job.stock[i].trim;
        let too_large: Vec<_> = wanted.iter().filter_map(|i| fits_no_sheet(&parts[*i], &group, job, edge)).collect();
        if too_large.is_empty() && !wanted.is_empty() {
            let (found, left_out) = best(job, parts, &wanted, &group, saw.kerf);
            patterns.extend(found);
            if !left_out.is_empty() {
                refused.push(too_few_sheets(job, parts, &group, &left_out));
            }
        }
        refused.extend(too_large);
    }
    if refused.is_empty() { Ok(patterns) } else { Err(Error::Refused(refused)) }
}

/// The best patterns for one group of stocks, and the pieces that found no sheet.
fn best(job: &Job, parts: &[Part], wanted: &[usize], group: &[usize], kerf: f64) -> (Vec<Pattern>, Vec<usize>) {
    let asked = Rectangles::of(job, parts, wanted, group, |stock| stock.trim, kerf);
    let mut best = strips(job, parts, wanted, group, kerf);
    if asked.problem.kinds.iter().map(|kind| kind.count).sum::<u32>() > MOST_SEARCHED {
        return best;
    }
    let mut key = handiness(&asked, &best);
    let mut consider = |found: search::Found| {
        let new = (asked.patterns(job, &found.sheets), asked.parts_of(&found.left_out));
        let new_key = handiness(&asked, &new);
        if new_key < key {
            (best, key) = (new, new_key);
        }
    };
    let bound = least_cost(&asked.problem);
    let settings = Settings { looks: u64::from(job.effort) * search::LOOKS, ..Settings::default() };
    consider(search::search(&asked.problem, &settings, bound));
    for seed in 1..=TRIES {
        consider(search::search(&asked.problem, &Settings { looks: 0, seed: settings.seed + seed, ..settings }, bound));
    }
    best
}

/// How patterns compare: less is better, the first difference decides.
type Key = (usize, i64, i64, usize, usize);

/// Pieces left out, what the sheets cost, the largest off-cut (in twentieths of a square metre, negated), sizes a fence is
/// set to, strips.
fn handiness(asked: &Rectangles, (patterns, left_out): &(Vec<Pattern>, Vec<usize>)) -> Key {
    let mut off_cut: f64 = 0.0;
    let mut settings = Vec::new();
    let mut cuts = 0;
    for pattern in patterns {
        pattern.walk(|rect, content| match content {
            Content::Left => off_cut = off_cut.max(rect.area()),
            Content::Part { .. } => {}
            Content::Split { strips, .. } => {
                for strip in strips.iter().filter(|strip| strip.content != Content::Left) {
                    cuts += 1;
                    let micro = (strip.size * 100.0).round() as i64;
                    if !settings.contains(&micro) {
                        settings.push(micro);
                    }
                }
            }
        });
    }
    (left_out.len(), asked.cost(patterns), -((off_cut / 50_000.0) as i64), settings.len(), cuts)
}
