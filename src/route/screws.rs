//! The hold-down plan: screws in the waste, where no cut ever comes.

use super::Screw;
use crate::design::Part;
use crate::finding::{Finding, Limits, Measure, Status};
use crate::geometry::{Outline, Point, Rect};
use crate::job::{Job, Router};
use crate::layout::Sheet;

/// Largest head of a hold-down screw (mm).
pub const HEAD: f64 = 10.0;
/// Kept free around the head (mm): screws are not driven to the millimetre.
const FREE: f64 = 2.0;
/// A screw's middle keeps this away from the sheet's edge (mm), or the edge splits.
const FROM_EDGE: f64 = 12.0;
/// Every place on the sheet's edges and every part should have a screw no further than this (mm), and every corner, which
/// is what lifts first.
const REACH: f64 = 300.0;
const CORNER_REACH: f64 = 150.0;
/// No sheet is held by fewer, where there is room for them.
const FEWEST: usize = 4;
/// Places are looked for on a grid of this pitch (mm).
const PITCH: f64 = 10.0;

/// Places for screws on a sheet.
///
/// The sheet's corners and edges and the middles of its parts are to have a screw within reach; the place that is worst
/// off gets the nearest screw that the waste allows, until all are served or nothing better can be had.
/// `mark` is the diameter of what marks the places.
pub(super) fn plan(router: &Router, parts: &[Part], sheet: &Sheet, mark: f64) -> Vec<Screw> {
    let places = places(router, parts, sheet, mark);
    let wanted = wanted(parts, sheet);
    let mut screws: Vec<Point> = Vec::new();
    // How far each wanted place is from its screw, and whether anything nearer can still be had.
    let mut served: Vec<(f64, bool)> = vec![(f64::INFINITY, true); wanted.len()];
    while let Some(worst) = (0..wanted.len())
        .filter(|i| served[*i].1 && served[*i].0 > wanted[*i].1)
        .max_by(|a, b| served[*a].0.total_cmp(&served[*b].0).then(b.cmp(a)))
    {
        let at = wanted[worst].0;
        let place = places.iter().min_by(|a, b| a.distance(at).total_cmp(&b.distance(at)));
        // A screw that brings little is not worth its hole.
        let Some(place) = place.filter(|place| place.distance(at) < served[worst].0 - PITCH) else {
            served[worst].1 = false;
            continue;
        };
        screws.push(*place);
        for (i, (point, _)) in wanted.iter().enumerate() {
            served[i].0 = served[i].0.min(point.distance(*place));
        }
    }
    let mut screws = without_idle(screws, &wanted);
    screws.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    screws.into_iter().map(|at| Screw { at, head: HEAD }).collect()
}

/// Without the screws that later ones have made idle: every place stays within its reach, or no worse off than it was. Four
/// stay in any case: fewer let the sheet rock.
fn without_idle(mut screws: Vec<Point>, wanted: &[(Point, f64)]) -> Vec<Point> {
    let nearest = |screws: &[Point], at: Point| screws.iter().map(|s| s.distance(at)).fold(f64::INFINITY, f64::min);
    let allowed: Vec<f64> = wanted.iter().map(|(at, reach)| nearest(&screws, *at).max(*reach) + PITCH).collect();
    let mut i = 0;
    while i < screws.len() && screws.len() > FEWEST {
        let mut others = screws.clone();
        others.remove(i);
        if wanted.iter().zip(&allowed).all(|((at, _), allowed)| nearest(&others, *at) <= *allowed) {
            screws = others;
        } else {
            i += 1;
        }
    }
    screws
}

/// How far the corner or part that is worst off is from a screw.
pub(super) fn check(
    job: &Job,
    router: &Router,
    parts: &[Part],
    (index, sheet): (usize, &Sheet),
    screws: &[Screw],
) -> Finding {
    let farthest = wanted(parts, sheet)
        .iter()
        .map(|(point, _)| screws.iter().map(|screw| screw.at.distance(*point)).fold(f64::INFINITY, f64::min))
        .fold(0.0, f64::max);
    let subject = format!("sheet {}", index + 1);
    let units = job.units;
    let room = strip(router) + FROM_EDGE;
    let instead = format!(
        "hold the sheet there by clamps outside its edge, or all of it by vacuum (`screws = false`); a margin of {} \
         would give screws room along the edges",
        units.show(room.ceil())
    );
    if screws.is_empty() {
        return Finding::plain("hold-down", subject, Status::Caution)
            .source("common practice")
            .advice(format!("no waste is wide enough for a screw: {instead}"));
    }
    Finding::measured("hold-down", subject, Measure::Length(farthest), Limits::at_most(REACH * 1.5), Status::Caution)
        .source("common practice: a screw every 300 to 450 mm")
        .advice_unless_ok(|| {
            format!("some corner or part is that far from the nearest screw that the waste has room for: {instead}")
        })
}

/// What a screw's middle keeps away from a part (mm): what the cutter takes, half the head, and some.
fn strip(router: &Router) -> f64 {
    router.gap() + HEAD / 2.0 + FREE
}

/// Where a screw may be.
fn places(router: &Router, parts: &[Part], sheet: &Sheet, mark: f64) -> Vec<Point> {
    let away = strip(router).max(mark / 2.0 + FREE);
    let pieces: Vec<(Rect, Outline)> = sheet
        .placements
        .iter()
        .flat_map(|placement| {
            let part = &parts[placement.part];
            let place = placement.affine(part);
            // A groove may be cut past the edge of its part.
            let outlines = std::iter::once(&part.outline).chain(part.pockets.iter().map(|pocket| &pocket.outline));
            outlines.map(move |outline| outline.transformed(place))
        })
        .map(|outline| (outline.bounds().inflate(away, away), outline))
        .collect();
    let along = |length: f64| {
        let steps = ((length - 2.0 * FROM_EDGE) / PITCH).floor().max(0.0);
        (0..=steps as u32).map(move |i| {
            if steps == 0.0 { length / 2.0 } else { FROM_EDGE + (length - 2.0 * FROM_EDGE) * f64::from(i) / steps }
        })
    };
    let mut free = Vec::new();
    for x in along(sheet.length) {
        // Only pieces that this column passes can be in the way.
        let near: Vec<&(Rect, Outline)> = pieces.iter().filter(|(b, _)| b.x0 < x && x < b.x1).collect();
        for y in along(sheet.width) {
            let at = Point::new(x, y);
            let taken = near.iter().any(|(bounds, outline)| {
                bounds.y0 < y && y < bounds.y1 && (outline.distance(at) < away || outline.contains(at))
            });
            if !taken {
                free.push(at);
            }
        }
    }
    free
}

/// What a screw should be near to, and how near: the sheet's corners and its edges at every [`REACH`], where parts are
/// near, and the middle of every part.
fn wanted(parts: &[Part], sheet: &Sheet) -> Vec<(Point, f64)> {
    let (l, w) = (sheet.length, sheet.width);
    let share = |length: f64| {
        let steps = (length / REACH).ceil().max(1.0);
        (1..steps as u32).map(move |i| length * f64::from(i) / steps)
    };
    let corners = [(0.0, 0.0), (l, 0.0), (l, w), (0.0, w)].map(|corner| (Point::from(corner), CORNER_REACH));
    let mut wanted = corners.to_vec();
    wanted.extend(share(l).flat_map(|x| [(Point::new(x, 0.0), REACH), (Point::new(x, w), REACH)]));
    wanted.extend(share(w).flat_map(|y| [(Point::new(0.0, y), REACH), (Point::new(l, y), REACH)]));
    // What nothing is cut from needs no holding.
    let pieces: Vec<Rect> = sheet.placements.iter().map(|placement| placement.bounds(&parts[placement.part])).collect();
    wanted.retain(|(point, _)| pieces.iter().any(|piece| piece.inflate(REACH, REACH).contains(*point)));
    wanted.extend(pieces.iter().map(|piece| (piece.center(), REACH)));
    wanted
}
