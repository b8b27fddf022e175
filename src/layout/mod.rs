//! Parts → sheets.

pub mod bound;
mod cut_outs;
pub mod exact;
pub mod fewest;
pub mod free;
mod gathered;
mod glued;
mod guillotine;
mod kept_out;
mod least;
mod left_over;
mod mix;
mod pairs;
mod pattern;
mod rectangles;
mod roomy;
pub mod search;
mod strips;
mod verify;

pub(crate) use cut_outs::holders;
pub use glued::{glue_lines, glue_ups};
pub use guillotine::cut_plan;
pub use kept_out::clear_piece;
use least::fewest_sheets;
pub use least::least_cost;
pub(crate) use left_over::off_cuts;
pub use pattern::{Axis, Content, Pattern, Strip};
pub use verify::{verified, verify};

use crate::design::{Grain, Part};
use crate::error::Error;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Affine, Rect};
use crate::job::{CutBy, Job, Stock};
use crate::units::Units;
use crate::watch::Search;

/// Parts on sheets.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    pub sheets: Vec<Sheet>,
}

/// One sheet and what is cut from it. Its frame: origin at the lower-left corner, x along the face grain.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Index into the job's stock.
    pub stock: usize,
    pub length: f64,
    pub width: f64,
    pub thickness: f64,
    pub placements: Vec<Placement>,
}

/// One piece of a part on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Index into the parts.
    pub part: usize,
    /// Lower-left corner of the rectangle around the piece, on the sheet.
    pub x: f64,
    pub y: f64,
    pub turn: Turn,
}

/// How far a piece is turned on its sheet, counter-clockwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    #[default]
    None,
    /// The part's length runs along the sheet's width.
    Quarter,
    Half,
    ThreeQuarters,
}

impl Turn {
    pub fn degrees(self) -> u32 {
        match self {
            Turn::None => 0,
            Turn::Quarter => 90,
            Turn::Half => 180,
            Turn::ThreeQuarters => 270,
        }
    }

    /// Does the part's length run along the sheet's width?
    pub fn swaps(self) -> bool {
        matches!(self, Turn::Quarter | Turn::ThreeQuarters)
    }
}

impl Placement {
    /// From the part's frame to the sheet's.
    pub fn affine(&self, part: &Part) -> Affine {
        let (length, width) = (part.length, part.width);
        let turn = match self.turn {
            Turn::None => Affine::IDENTITY,
            Turn::Quarter => Affine::new([0.0, 1.0, -1.0, 0.0, width, 0.0]),
            Turn::Half => Affine::new([-1.0, 0.0, 0.0, -1.0, length, width]),
            Turn::ThreeQuarters => Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, length]),
        };
        Affine::translate((self.x, self.y)) * turn
    }

    /// The rectangle around the piece, on the sheet.
    pub fn bounds(&self, part: &Part) -> Rect {
        let (length, width) = if self.turn.swaps() { (part.width, part.length) } else { (part.length, part.width) };
        Rect::new(self.x, self.y, self.x + length, self.y + width)
    }
}

impl Sheet {
    /// Share of the sheet's area that becomes parts.
    pub fn yield_(&self, parts: &[Part]) -> f64 {
        let used: f64 = self.placements.iter().map(|placement| parts[placement.part].outline.area()).sum();
        used / (self.length * self.width)
    }
}

/// May a part lie straight on the sheet, and may it lie turned?
pub fn turns(grain: Grain) -> (bool, bool) {
    match grain {
        Grain::Long => (true, false),
        Grain::Cross => (false, true),
        Grain::Any => (true, true),
    }
}

/// Nests all pieces for a router: any place and quarter turn that grain allows, with the cutter's width and the
/// clearance between pieces.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("nuc").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// use nestwright::{build, layout};
///
/// let parts = build::parts(&checked.job, &checked.assemblies);
/// let layout = layout::nest(&checked.job, &parts, &Search::default())?;
/// let pieces: usize = layout.sheets.iter().map(|sheet| sheet.placements.len()).sum();
/// assert_eq!(pieces, parts.iter().map(|part| part.count as usize).sum::<usize>());
/// # Ok::<(), nestwright::error::Error>(())
/// ```
///
/// Where the margin is left to us, the sheets have room for hold-down screws along their edges, unless that costs more
/// sheets.
///
/// # Errors
/// [`Error::Refused`] when a part fits no sheet, or the sheets on hand are too few.
pub fn nest(job: &Job, parts: &[Part], search: &Search) -> Result<Layout, Error> {
    nest_with(job, parts, search, roomy::best_nesting)
}

/// Like [`nest`], as near to the edges as the margin lets: for whoever only asks what fits.
///
/// # Errors
/// Those of [`nest`].
pub fn nest_close(job: &Job, parts: &[Part], search: &Search) -> Result<Layout, Error> {
    nest_with(job, parts, search, best_nesting)
}

/// How the wanted parts are nested on one group of stocks, with a gap (mm) between them; or those that no sheet is left for.
type Nesting = fn(&Job, &[Part], &[usize], On) -> Result<Vec<Sheet>, Vec<usize>>;

/// What parts are nested on, and how that is searched for.
#[derive(Clone, Copy)]
struct On<'a> {
    /// Stocks that serve the same parts, by index.
    group: &'a [usize],
    /// Between two pieces (mm).
    gap: f64,
    search: &'a Search,
}

fn nest_with(job: &Job, parts: &[Part], search: &Search, best: Nesting) -> Result<Layout, Error> {
    let Some(router) = &job.router else { return Ok(Layout::default()) };
    let gap = router.gap();
    let mut layout = Layout::default();
    let mut refused = Vec::new();
    for group in stock_groups_for(job, CutBy::Router) {
        let wanted = wanted(job, parts, &group);
        let on = On { group: &group, gap, search };
        let around = kept_out::around(job, on);
        let too_large = |job: &Job, group: &[usize]| -> Vec<Finding> {
            let large = |i: &usize| fits_no_sheet(&parts[*i], group, job, |i| job.stock[i].margin);
            wanted.iter().filter_map(large).collect()
        };
        let too_large = match &around[..] {
            [] => too_large(job, &group),
            ways => {
                let of_ways = ways.iter().map(|way| too_large(&way.job, &way.group));
                of_ways.min_by_key(Vec::len).unwrap_or_default()
            }
        };
        if too_large.is_empty() {
            // Small parts go into the openings of others where that is asked for and costs no more.
            let lay =
                |job: &Job, on: On| cut_outs::filled(router, parts, &wanted, gap).nest(job, parts, &wanted, on, best);
            let area = wanted.iter().map(|i| parts[*i].outline.area() * f64::from(parts[*i].count)).sum();
            let laid = if around.is_empty() { lay(job, on) } else { kept_out::cheapest(job, on, &around, area, lay) };
            match laid {
                Ok(sheets) => layout.sheets.extend(sheets.into_iter().map(|sheet| glued::clear(job, parts, sheet))),
                Err(left_out) => {
                    let stopped = search.watch.stopped();
                    refused.push(too_few_sheets(job, parts, &group, (&left_out, stopped), CutBy::Router));
                }
            }
        }
        refused.extend(too_large);
    }
    if refused.is_empty() { Ok(layout) } else { Err(Error::refused(refused)) }
}

/// Sheets for one group of stocks. Where parts go in pairs head to tail, those are laid out as one rectangle each, unless
/// that costs more than every part in a rectangle of its own.
fn best_nesting(job: &Job, parts: &[Part], wanted: &[usize], on: On) -> Result<Vec<Sheet>, Vec<usize>> {
    let fits = |pair: &Part| fits_no_sheet(pair, on.group, job, |i| job.stock[i].margin).is_none();
    pairs::paired(parts, wanted, on.gap, fits).nest(job, parts, wanted, on, nest_rectangles)
}

/// Sheets for one group of stocks: as free nesting packs them at once, or, where that costs more than it must, as the search
/// for patterns finds them cheaper. So a router never takes more sheets than a saw with the same gap would.
fn nest_rectangles(job: &Job, parts: &[Part], wanted: &[usize], on: On) -> Result<Vec<Sheet>, Vec<usize>> {
    let On { group, gap, search } = on;
    let lay = |job: &Job| free::pack(job, parts, wanted, group, gap);
    let asked = rectangles::Rectangles::of(job, parts, wanted, group, |stock| stock.margin, gap);
    if asked.large() {
        // Free nesting looks at every sheet for every piece: for so many that would take minutes.
        let found = asked.search(search, i64::MAX);
        let complete = found.iter().filter(|found| found.left_out.is_empty());
        if let Some(found) = complete.min_by_key(|found| found.cost) {
            return Ok(asked.sheets(job, &asked.lie(found)));
        }
    }
    let packed = mix::cheapest(job, parts, wanted, group, CutBy::Router, lay, |sheet| sheet.stock);
    if wanted.is_empty() || asked.large() {
        return packed;
    }
    let least = least_cost(&asked.problem);
    let known = packed.as_ref().map_or(i64::MAX, |sheets| asked.cost_of_sheets(sheets));
    if known <= least {
        return packed;
    }
    if let Some(cheapest) = asked.cheapest_of_few_with_free_cuts() {
        return if asked.cost_of_nested(&cheapest) < known { Ok(asked.sheets(job, &cheapest)) } else { packed };
    }
    let found = asked.search(search, known);
    let best = found.iter().min_by_key(|found| (found.left_out.len(), found.cost));
    let best = best.filter(|found| packed.is_err() || found.left_out.is_empty() && found.cost < known);
    let start = match (best, &packed) {
        (Some(found), _) => asked.lie(found),
        (None, Ok(sheets)) => asked.nested(job, sheets),
        (None, Err(_)) => return packed,
    };
    let better = asked.search_free(search, &start);
    match (better, best, packed) {
        (Some(better), ..) => Ok(asked.sheets(job, &better)),
        (None, Some(found), _) if found.left_out.is_empty() => Ok(asked.sheets(job, &start)),
        (None, Some(found), Err(left)) if found.left_out.len() < left.len() => Err(asked.parts_of(&found.left_out)),
        (None, _, packed) => packed,
    }
}

/// Stocks that can serve the same parts, cut by a router or by a saw. A router gets only those that its machine takes,
/// where there are any: a larger sheet is cut down first and given as stock of that size.
pub(crate) fn stock_groups_for(job: &Job, cut: CutBy) -> Vec<Vec<usize>> {
    let mut groups = job.stock_groups();
    if let (CutBy::Router, Some(router)) = (cut, &job.router) {
        let takes = |i: &usize| {
            let Stock { length, width, thickness, .. } = job.stock[*i];
            router.machine.takes([length, width, thickness])
        };
        for group in groups.iter_mut().filter(|group| group.iter().any(takes)) {
            group.retain(takes);
        }
    }
    groups
}

/// The parts that are cut from one group of stocks, by index.
fn wanted(job: &Job, parts: &[Part], group: &[usize]) -> Vec<usize> {
    let serves = |part: &Part| group.first().is_some_and(|first| job.stock[*first].serves(&job.stock[part.stock]));
    (0..parts.len()).filter(|i| serves(&parts[*i])).collect()
}

/// Millimetres to whole micrometres, up: no piece and no gap comes out short. Sheets too, so that a piece as large as one
/// lies on it.
fn micrometres(mm: f64) -> i32 {
    (mm * 1000.0 - 1e-6).ceil() as i32
}

/// What is left of a sheet inside a strip of this width along each edge, length and width.
fn inside(stock: &Stock, edge: f64) -> (f64, f64) {
    (stock.length - 2.0 * edge, stock.width - 2.0 * edge)
}

fn fits_no_sheet(part: &Part, group: &[usize], job: &Job, edge: impl Fn(usize) -> f64) -> Option<Finding> {
    let (straight, turned) = turns(part.grain);
    let fits = |length: f64, width: f64| {
        group.iter().any(|i| {
            let (l, w) = inside(&job.stock[*i], edge(*i));
            length <= l + 1e-6 && width <= w + 1e-6
        })
    };
    if (straight && fits(part.length, part.width)) || (turned && fits(part.width, part.length)) {
        return None;
    }
    let (units, margin) = (job.units, group.first().map_or(0.0, |first| edge(*first)));
    let spaces: Vec<(f64, f64)> = group.iter().map(|i| inside(&job.stock[*i], edge(*i))).collect();
    // Digits enough that what is too large for a sheet is not shown as large as it.
    let told = |more: u32| {
        let show = |mm: f64| units.number_finely(mm, more);
        let of = |(l, w): &(f64, f64)| [show(*l), show(*w)];
        ([part.length, part.width].map(show), spaces.iter().map(of).collect::<Vec<_>>())
    };
    let apart = |more: &u32| {
        let (own, sheets) = told(*more);
        sheets.iter().all(|sheet| own.iter().all(|side| !sheet.contains(side)))
    };
    /// Digits beyond the usual ones, as far as there is any use in them.
    const MOST: u32 = 3;
    let ([length, width], sheets) = told((0..MOST).find(apart).unwrap_or(0));
    let sheets: Vec<String> = sheets.iter().map(|[l, w]| format!("{l} × {w} {units}")).collect();
    let (need_l, need_w) = if straight { (part.length, part.width) } else { (part.width, part.length) };
    let turning = if straight && turned { "however it is turned" } else { "with its grain along the sheet's" };
    let need = (need_l + 2.0 * margin, need_w + 2.0 * margin);
    let glued =
        group.iter().find_map(|i| Some(format!(", or `glue-up = {}` in the stock", job.stock[*i].boards_for(need)?)));
    Some(Finding::plain(JobCheck::PartFitsSheet, &part.name, Status::Refused).advice(format!(
        "the {} is {length} × {width} {units} and fits no sheet {turning}: inside the edges there is {}. A sheet of {} × {} \
             {units} would do{}",
        part.name,
        if sheets.is_empty() { "nothing that is not kept out".into() } else { sheets.join(" or ") },
        units.number_above(need.0, 0),
        units.number_above(need.1, 0),
        glued.unwrap_or_default(),
    )))
}

/// These parts found no sheet, in a search that went on to its end unless it was `stopped`.
fn too_few_sheets(
    job: &Job,
    parts: &[Part],
    group: &[usize],
    (left_out, stopped): (&[usize], bool),
    cut: CutBy,
) -> Finding {
    let on_hand: u32 = group.iter().filter_map(|i| job.stock[*i].on_hand).sum();
    let mut names: Vec<String> = Vec::new();
    for part in left_out {
        let count = left_out.iter().filter(|other| *other == part).count();
        let name = format!("{count} × {}", parts[*part].name);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let bounds = fewest::of_stocks(job, parts, cut);
    let proved = match bounds.iter().find(|bound| bound.stock == group && bound.too_few(job)) {
        Some(bound) => format!("Proved: {}", bound.why(job, parts)),
        None if stopped => "The search was stopped; a longer one may find a way".into(),
        None => {
            let or_stages = match (cut, job.saw.as_ref().and_then(|saw| saw.stages)) {
                (CutBy::Saw, Some(stages)) => format!(", or more than {stages} stages of cuts,"),
                _ => String::new(),
            };
            format!("It is not proved that they cannot fit; a search with more effort{or_stages} may find a way")
        }
    };
    Finding::measured(
        JobCheck::SheetsOnHand,
        &job.stock[group[0]].name,
        Measure::Count(f64::from(on_hand)),
        Limits::at_least(f64::from(on_hand + 1)),
        Status::Refused,
    )
    .advice(format!(
        "these did not fit on the sheets on hand: {}. Build fewer, or get another sheet. {proved}",
        names.join(", ")
    ))
}

/// For the terminal, a sheet of this length and width: `2440 × 1220 mm`.
pub fn describe(stock: &Stock, (length, width): (f64, f64), units: Units) -> String {
    let glued = stock.glued.map_or_else(String::new, |glued| format!(", glued up of {} boards,", glued.boards));
    format!("{} × {}{glued}", units.number(length), units.show(width))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Outline, Point};

    #[test]
    fn a_turned_piece_stays_in_its_rectangle() {
        let outline = Outline::polygon([(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (0.0, 8.0)]);
        let part = Part::plain("slope", outline, 5.0);
        let corner = |turn| {
            let placement = Placement { part: 0, x: 100.0, y: 200.0, turn };
            let placed = part.outline.transformed(placement.affine(&part)).bounds();
            assert!((placed.area() - placement.bounds(&part).area()).abs() < 1e-9);
            assert!(placed.origin().distance(Point::new(100.0, 200.0)) < 1e-9);
            placement.affine(&part) * Point::new(30.0, 0.0)
        };
        assert_eq!(corner(Turn::None), Point::new(130.0, 200.0));
        assert_eq!(corner(Turn::Quarter), Point::new(110.0, 230.0));
        assert_eq!(corner(Turn::Half), Point::new(100.0, 210.0));
        assert_eq!(corner(Turn::ThreeQuarters), Point::new(100.0, 200.0));
    }
}
