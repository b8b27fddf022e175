//! Guillotine patterns for a saw: every cut from edge to edge.

use super::rectangles::Rectangles;
use super::search::Found;
use super::strips::strips;
use super::{Content, Pattern, fits_no_sheet, kept_out, least_cost, too_few_sheets, wanted};
use crate::design::Part;
use crate::error::Error;
use crate::job::{CutBy, Job, Saw};
use crate::watch::Search;

/// Patterns for every piece of the job. Preferred are, in this order: the cheapest sheets; the largest single off-cut;
/// the fewest sizes to set a fence to; the fewest cuts. Of stages, cuts all in one direction and then all across them,
/// no pattern takes more than the saw's limit.
///
/// # Errors
/// [`Error::Refused`] when a part fits no sheet, or the sheets on hand are too few.
pub fn cut_plan(job: &Job, parts: &[Part], search: &Search) -> Result<Vec<Pattern>, Error> {
    let Some(saw) = &job.saw else { return Ok(Vec::new()) };
    let job = &kept_out::clear_pieces(job, saw.kerf);
    let mut patterns = Vec::new();
    let mut refused = Vec::new();
    for group in job.stock_groups() {
        let wanted = wanted(job, parts, &group);
        let edge = |i: usize| job.stock[i].trim;
        let too_large: Vec<_> = wanted.iter().filter_map(|i| fits_no_sheet(&parts[*i], &group, job, edge)).collect();
        if too_large.is_empty() && !wanted.is_empty() {
            let (found, left_out) = best(job, parts, &wanted, (&group, saw), search);
            patterns.extend(found);
            if !left_out.is_empty() {
                refused.push(too_few_sheets(job, parts, &group, (&left_out, search.watch.stopped()), CutBy::Saw));
            }
        }
        refused.extend(too_large);
    }
    if refused.is_empty() { Ok(patterns) } else { Err(Error::refused(refused)) }
}

/// The best patterns for one group of stocks, and the pieces that found no sheet.
fn best(
    job: &Job,
    parts: &[Part],
    wanted: &[usize],
    (group, saw): (&[usize], &Saw),
    search: &Search,
) -> (Vec<Pattern>, Vec<usize>) {
    let asked = Rectangles::of(job, parts, wanted, group, |stock| stock.trim, saw.kerf).in_stages(saw.stages);
    let best = strips(job, parts, wanted, group, saw.kerf, saw.stages);
    let known = if best.1.is_empty() { asked.cost(&best.0) } else { i64::MAX };
    let mut found = asked.search(search, known);
    let complete = |found: &[Found]| -> Option<i64> {
        found.iter().filter(|found| found.left_out.is_empty()).map(|found| found.cost).min()
    };
    if complete(&found).unwrap_or(i64::MAX).min(known) > least_cost(&asked.problem) {
        found.extend(asked.cheapest_of_few());
    }
    let cheapest = complete(&found).unwrap_or(i64::MAX).min(known);
    found.extend(asked.in_few_stages(search, cheapest));
    let found = found.iter().map(|found| (asked.patterns(job, &found.sheets), asked.parts_of(&found.left_out)));
    // The first of equals is taken.
    std::iter::once(best).chain(found).min_by_key(|found| handiness(&asked, found)).unwrap_or_default()
}

/// How patterns compare: less is better, the first difference decides.
type Key = (usize, i64, i64, usize, usize);

/// Pieces left out, what the sheets cost, the largest off-cut (in twentieths of a square metre, negated), sizes a fence is
/// set to, strips. The steps keep a few millimetres of off-cut from costing a fence setting.
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
