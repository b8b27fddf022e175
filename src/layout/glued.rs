//! Panels that are glued up of boards, edge to edge, before anything is cut: how that is done, and where their glue joints come
//! to lie in the parts.

use super::{Placement, Sheet, Turn};
use crate::design::{Hole, Part};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::Rect;
use crate::job::{CutBy, Job, PLANED};
use crate::words::counted;

/// Wood between a glue joint and a hole (mm), and between it and an edge along it. Common practice.
const FROM_HOLE: f64 = 6.0;
const FROM_EDGE: f64 = 20.0;

const REMEDY: &str = "glue that panel up of boards of other widths, or add boards as bought as another stock, for parts that \
                      they take";

const SOURCE: &str = "common practice: no strip narrower than 3/4 in, and holes clear of glue joints";

/// What is glued up first, a sentence or two for each stock that these sheets are of; `stocks` tells the stock of each.
pub fn glue_ups(job: &Job, stocks: &[usize]) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    let units = job.units;
    for (i, stock) in job.stock.iter().enumerate() {
        let panels = stocks.iter().filter(|one| **one == i).count();
        let Some(glued) = stock.glued.filter(|_| panels > 0) else { continue };
        let lines: Vec<String> = stock.glue_lines().map(|y| units.show(y)).collect();
        told.push(format!(
            "Glue up {} of {} first: {} boards each, {} × {}, edge to edge. Plane {} off every edge that is glued. Let the grain \
             of all run one way, clamp them flat, and scrape the panel when the glue has set: it is {} wide. Its glue joints \
             lie {} from the lower edge.",
            counted(panels, "panel"),
            stock.name,
            glued.boards,
            units.number(stock.length),
            units.show(glued.width),
            units.show(PLANED),
            units.show(stock.width),
            lines.join(", ")
        ));
    }
    told
}

/// What a glue joint does to a piece that it runs through.
#[derive(Default)]
struct Met {
    /// It runs through or beside a hole.
    hole: bool,
    /// The narrowest strip that it leaves of the piece (mm).
    strip: Option<f64>,
}

/// How a glue joint at this height of the sheet meets a piece.
fn met(part: &Part, placement: &Placement, y: f64) -> Met {
    let bounds = placement.bounds(part);
    let strip = (y - bounds.y0).min(bounds.y1 - y);
    if strip <= 0.0 {
        return Met::default();
    }
    let to_sheet = placement.affine(part);
    let hits = |hole: &Hole| {
        let hole = hole.outline().transformed(to_sheet).bounds();
        y > hole.y0 - FROM_HOLE && y < hole.y1 + FROM_HOLE
    };
    Met { hole: part.holes.iter().any(hits), strip: Some(strip) }
}

/// The sheet with its pieces moved together, or turned end for end, to where the glue joints of its panel meet the fewest holes
/// and leave the fewest narrow strips. They keep as far from the edges as they were.
pub(super) fn clear(job: &Job, parts: &[Part], sheet: Sheet) -> Sheet {
    /// Places that are tried, each so much higher (mm).
    const STEP: f64 = 1.0;
    let lines: Vec<f64> = job.stock[sheet.stock].glue_lines().collect();
    // What lies around a knot stays where it is.
    if lines.is_empty() || sheet.placements.is_empty() || !job.stock[sheet.stock].keep_out.is_empty() {
        return sheet;
    }
    let bounds = |placements: &[Placement]| {
        let each = placements.iter().map(|placement| placement.bounds(&parts[placement.part]));
        each.reduce(|all, one| all.union(one)).unwrap_or(Rect::ZERO)
    };
    let all = bounds(&sheet.placements);
    let room = (sheet.width - all.y0 - all.y1).max(0.0);
    let turned: Vec<Placement> = sheet.placements.iter().map(|it| end_for_end(it, parts, all)).collect();
    let higher = |placements: &[Placement], by: f64| -> Vec<Placement> {
        placements.iter().map(|placement| Placement { y: placement.y + by, ..*placement }).collect()
    };
    let tries =
        (0..=(room / STEP) as u32).flat_map(|i| [&sheet.placements, &turned].map(|it| (it, f64::from(i) * STEP)));
    let score = |placements: &[Placement], by: f64| {
        let met = placements.iter().flat_map(|it| lines.iter().map(move |y| met(&parts[it.part], it, *y - by)));
        met.fold((0, 0), |(holes, strips), met| {
            let narrow = met.strip.is_some_and(|strip| strip < FROM_EDGE);
            (holes + u32::from(met.hole), strips + u32::from(narrow))
        })
    };
    let best = tries.min_by_key(|(placements, by)| score(placements, *by));
    match best {
        Some((placements, by)) => Sheet { placements: higher(placements, by), ..sheet },
        None => sheet,
    }
}

/// A piece turned by half a turn with all others, within the rectangle around them.
fn end_for_end(placement: &Placement, parts: &[Part], all: Rect) -> Placement {
    let own = placement.bounds(&parts[placement.part]);
    let turn = match placement.turn {
        Turn::None => Turn::Half,
        Turn::Quarter => Turn::ThreeQuarters,
        Turn::Half => Turn::None,
        Turn::ThreeQuarters => Turn::Quarter,
    };
    Placement { x: all.x0 + all.x1 - own.x1, y: all.y0 + all.y1 - own.y1, turn, ..*placement }
}

/// Whether the glue joints of panels are clear of the parts' holes and edges. `sheets` are the stock of each and what lies on it, cut by this plan.
pub fn glue_lines<'a>(
    (job, parts): (&Job, &[Part]),
    plan: CutBy,
    sheets: impl Iterator<Item = (usize, &'a [Placement])>,
) -> Option<Finding> {
    let mut crossed: Vec<String> = Vec::new();
    let (mut narrowest, mut any): (Option<(f64, String)>, bool) = (None, false);
    for (number, (stock, placements)) in sheets.enumerate() {
        for y in job.stock[stock].glue_lines() {
            any = true;
            for placement in placements {
                let part = &parts[placement.part];
                let name = format!("{} on the {}'s sheet {}", part.name, plan.name(), number + 1);
                let met = met(part, placement, y);
                if let Some(strip) = met.strip.filter(|strip| narrowest.as_ref().is_none_or(|(known, _)| strip < known))
                {
                    narrowest = Some((strip, name.clone()));
                }
                if met.hole && !crossed.contains(&name) {
                    crossed.push(name);
                }
            }
        }
    }
    if !any {
        return None;
    }
    let check = JobCheck::GlueLines;
    if !crossed.is_empty() {
        return Some(
            Finding::plain(check, &job.title, Status::Caution)
                .source(SOURCE)
                .advice(format!("a glue joint runs through or beside a hole of {}: {REMEDY}", crossed.join(", "))),
        );
    }
    let Some((strip, name)) = narrowest else {
        return Some(Finding::plain(check, &job.title, Status::Ok).source(SOURCE));
    };
    let (measured, limits) = (Measure::Length(strip), Limits::at_least(FROM_EDGE));
    let finding = Finding::measured(check, &job.title, measured, limits, Status::Caution)
        .worded("narrowest strip beside a glue joint")
        .source(SOURCE);
    Some(finding.advice_unless_ok(|| format!("{name}: the strip may break off: {REMEDY}")))
}
