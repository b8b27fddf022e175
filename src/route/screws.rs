//! The hold-down plan: screws in the waste, where no cut ever comes.

use super::waste::{Place, Waste};
use super::{Holding, Screw};
use crate::design::Part;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Point, Rect};
use crate::job::{Job, Router, SCREW_FROM_EDGE, SCREW_HEAD, Stock};
use crate::layout::Sheet;

/// Kept free around the mark of a screw (mm).
const FREE: f64 = 2.0;
/// The middle of every part should have a screw no further than this (mm), and every corner, which is what lifts first,
/// one nearer.
const REACH: f64 = 300.0;
const CORNER_REACH: f64 = 150.0;
/// A screw's middle keeps this away from a registration pin's (mm).
const FROM_PIN: f64 = 40.0;
/// No sheet is held by fewer, where there is room for them.
const FEWEST: usize = 4;
/// An edge of the sheet has a screw this near (mm): two such reaches are the longest distance from one to the next.
const EDGE_REACH: f64 = 225.0;
/// Where the waste has nothing within reach, a screw this many times as far away as the nearest place is as good.
const AS_GOOD: f64 = 1.15;
/// Two screws are never nearer to one another (mm): the second would hold what the first does.
const APART: f64 = 80.0;

/// Places for screws on a sheet.
///
/// The sheet's corners and edges, the middles of its parts and each large piece of waste are to have a screw within
/// reach. Of the places in the waste the one that serves most of them goes first, until all are served; then those go
/// that the others have made idle. `mark` is the diameter of what marks the places. An off-cut that is kept gets a screw
/// only for what is too far from all other places.
pub(super) fn plan(
    router: &Router,
    parts: &[Part],
    (sheet, stock, kept): (&Sheet, &Stock, &[Rect]),
    held: &Holding,
    mark: f64,
) -> Vec<Screw> {
    let away = router.screw_from_part().max(mark / 2.0 + FREE);
    let waste = Waste::new(parts, (sheet, stock), (&held.tabs, kept), away, SCREW_FROM_EDGE);
    // Neither on a pin, nor where a driver would be in its way.
    let free = |place: &&Place| held.pins.iter().all(|pin| pin.at.distance(place.at) >= FROM_PIN);
    let holds = |place: &&Place| waste.pieces[place.piece].holds();
    let places: Vec<Place> = waste.places.iter().filter(free).filter(holds).copied().collect();
    let mut wanted = wanted(parts, sheet);
    for want in &mut wanted {
        // Nothing is cut at the corners and edges of what is kept whole.
        if kept.iter().any(|rect| in_or_at(rect, want.at)) {
            want.reach = want.reach.max(REACH);
        }
        let nearest = places.iter().map(|place| place.at.distance(want.at)).fold(f64::INFINITY, f64::min);
        want.reach = want.reach.max(nearest * AS_GOOD);
    }
    let large = (0..waste.pieces.len()).filter(|piece| waste.pieces[*piece].is_large());
    let mut screws = cover(&places, &wanted, &large.collect::<Vec<usize>>());
    screws.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    screws.into_iter().map(|at| Screw { at, head: SCREW_HEAD }).collect()
}

/// Places that serve all that can be served, none to no purpose and no two close together.
fn cover(places: &[Place], wanted: &[Wanted], large: &[usize]) -> Vec<Point> {
    let serves: Vec<Vec<usize>> = places
        .iter()
        .map(|place| {
            let near = (0..wanted.len()).filter(|i| place.at.distance(wanted[*i].at) <= wanted[*i].reach);
            let within = (0..large.len()).filter(|i| large[*i] == place.piece).map(|i| wanted.len() + i);
            near.chain(within).collect()
        })
        .collect();
    let mut times = vec![0_u32; wanted.len() + large.len()];
    let mut chosen: Vec<usize> = Vec::new();
    let mut free: Vec<usize> = (0..places.len()).collect();
    let mut spared: Vec<usize> = free.extract_if(.., |which| places[*which].kept).collect();
    let choose = |which: usize, chosen: &mut Vec<usize>, free: &mut Vec<usize>, times: &mut [u32]| {
        serves[which].iter().for_each(|i| times[*i] += 1);
        chosen.push(which);
        free.retain(|other| places[*other].at.distance(places[which].at) >= APART);
    };
    // Most first; among equals the one that is nearest to what it serves.
    let worth = |which: usize, times: &[u32]| {
        let new = serves[which].iter().filter(|i| times[**i] == 0);
        let distance = |i: &usize| wanted.get(*i).map_or(0.0, |want| want.at.distance(places[which].at));
        (new.clone().count(), -new.map(distance).sum::<f64>())
    };
    loop {
        let best = free
            .iter()
            .map(|which| (worth(*which, &times), *which))
            .max_by(|(a, i), (b, j)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(j.cmp(i)));
        let Some(((1.., _), which)) = best else {
            if spared.is_empty() {
                break;
            }
            // What is left is served from the off-cuts.
            spared.retain(|other| chosen.iter().all(|it| places[*it].at.distance(places[*other].at) >= APART));
            free.append(&mut spared);
            continue;
        };
        choose(which, &mut chosen, &mut free, &mut times);
    }
    // What others serve as well is given up, the last chosen first.
    for i in (0..chosen.len()).rev() {
        if serves[chosen[i]].iter().all(|served| times[*served] > 1) {
            serves[chosen[i]].iter().for_each(|served| times[*served] -= 1);
            chosen.remove(i);
        }
    }
    // Fewer would let the sheet rock: the farthest from all others are added.
    let to_others = |which: usize, chosen: &[usize]| {
        chosen.iter().map(|other| places[*other].at.distance(places[which].at)).fold(f64::INFINITY, f64::min)
    };
    while !chosen.is_empty() && chosen.len() < FEWEST {
        let farthest = (0..places.len()).map(|which| (to_others(which, &chosen), which));
        let Some((_, which)) = farthest.filter(|(far, _)| *far >= APART).max_by(|a, b| {
            let spares = |which: usize| !places[which].kept;
            spares(a.1).cmp(&spares(b.1)).then(a.0.total_cmp(&b.0)).then(b.1.cmp(&a.1))
        }) else {
            break;
        };
        choose(which, &mut chosen, &mut free, &mut times);
    }
    chosen.into_iter().map(|which| places[which].at).collect()
}

/// Does a corner or edge of the sheet lie in a rectangle, or where that ends just short of it?
fn in_or_at(rect: &Rect, at: Point) -> bool {
    /// Rectangles are looked for on a grid that may end this far from the sheet's edge (mm).
    const SHORT: f64 = 10.0;
    rect.inflate(SHORT, SHORT).contains(at)
}

/// Holes that are left in off-cuts which are kept; `None` when there are none.
pub(super) fn in_off_cuts(job: &Job, index: usize, kept: &[Rect], held: &Holding) -> Option<Finding> {
    let screws = held.screws.iter().map(|screw| screw.at);
    let inside = |at: &Point| kept.iter().any(|rect| rect.contains(*at));
    let holes: Vec<Point> = screws.chain(held.pins.iter().map(|pin| pin.at)).filter(inside).collect();
    let at = |hole: &Point| format!("X{} Y{}", job.units.show(hole.x), job.units.show(hole.y));
    let first = holes.first().map(at)?;
    let more = if holes.len() > 1 { format!(" and {} more", holes.len() - 1) } else { String::new() };
    Some(
        Finding::plain(JobCheck::OffCutHoles, format!("sheet {}", index + 1), Status::Caution)
            .source("the sheet must be held there, and the rest of the waste has no place within reach")
            .advice(format!(
                "{} in what is listed as an off-cut ({first}{more}): mark it there before you put it away, or hold the \
                 sheet otherwise (`screws = false`)",
                crate::words::counted(holes.len(), "hole")
            )),
    )
}

/// How far the corner or part that is worst off is from a screw.
pub(super) fn check(
    job: &Job,
    router: &Router,
    parts: &[Part],
    (index, sheet): (usize, &Sheet),
    screws: &[Screw],
) -> Finding {
    let (farthest, there) = wanted(parts, sheet)
        .iter()
        .map(|want| (screws.iter().map(|screw| screw.at.distance(want.at)).fold(f64::INFINITY, f64::min), want.at))
        .fold((0.0, Point::ORIGIN), |most, it| if it.0 > most.0 { it } else { most });
    let subject = format!("sheet {}", index + 1);
    let units = job.units;
    let rim = Rect::new(0.0, 0.0, sheet.length, sheet.width).inflate(-REACH, -REACH);
    let margin = router.margin_for_screws();
    let pieces = sheet.placements.iter().map(|placement| placement.bounds(&parts[placement.part]));
    let has_room = pieces.fold(f64::INFINITY, |least, piece| {
        let (x, y) = (piece.x0.min(sheet.length - piece.x1), piece.y0.min(sheet.width - piece.y1));
        least.min(x).min(y)
    });
    let instead = if has_room >= margin || rim.contains(there) {
        "hold the sheet there by double-sided tape below it, or all of it by vacuum (`screws = false`)".into()
    } else {
        format!(
            "hold the sheet there by clamps outside its edge, or all of it by vacuum (`screws = false`); a margin of {} \
             would give screws room along the edges",
            units.show(margin)
        )
    };
    if screws.is_empty() {
        return Finding::plain(JobCheck::HoldDown, subject, Status::Caution)
            .source("common practice")
            .advice(format!("no piece of waste is large enough for a screw: {instead}"));
    }
    Finding::measured(
        JobCheck::HoldDown,
        subject,
        Measure::Length(farthest),
        Limits::at_most(REACH * 1.5),
        Status::Caution,
    )
    .source("common practice: a screw every 300 to 450 mm")
    .advice_unless_ok(|| {
        let (x, y) = (units.show(there.x), units.show(there.y));
        format!("X{x} Y{y} is that far from the nearest screw that the waste has room for: {instead}")
    })
}

/// What is to have a screw near it.
struct Wanted {
    at: Point,
    reach: f64,
}

/// The sheet's corners, its edges and the middles of its parts, each with how near a screw should be. What nothing is cut
/// from needs no holding.
fn wanted(parts: &[Part], sheet: &Sheet) -> Vec<Wanted> {
    let (l, w) = (sheet.length, sheet.width);
    let share = |length: f64| {
        let steps = (length / EDGE_REACH).ceil().max(1.0);
        (1..steps as u32).map(move |i| length * f64::from(i) / steps)
    };
    let corners = [(0.0, 0.0), (l, 0.0), (l, w), (0.0, w)].map(|at| Wanted { at: at.into(), reach: CORNER_REACH });
    let along = share(l).flat_map(|x| [(x, 0.0), (x, w)]).chain(share(w).flat_map(|y| [(0.0, y), (l, y)]));
    let edges = along.map(|at| Wanted { at: at.into(), reach: EDGE_REACH });
    let pieces: Vec<Rect> = sheet.placements.iter().map(|placement| placement.bounds(&parts[placement.part])).collect();
    let near = |want: &Wanted| pieces.iter().any(|piece| piece.inflate(REACH, REACH).contains(want.at));
    let mut wanted: Vec<Wanted> = corners.into_iter().chain(edges).filter(near).collect();
    wanted.extend(pieces.iter().map(|piece| Wanted { at: piece.center(), reach: REACH }));
    wanted
}
