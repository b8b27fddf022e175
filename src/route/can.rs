//! Which parts can be cut with the tools at hand, and what would have to change for the others.
//!
//! A limit is compared in one place, [`Finding::measured`]: what that finds within its limits is not refused. A limit in an
//! advice is rounded to its own side, so that whoever keeps to what is shown is not refused again.

use super::asked;
use super::pins;
use super::relief;
use crate::design::{Hole, Part};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::math::{atan2, tan};
use crate::geometry::{Outline, Point, Region, inset, offset, region_area, to_polygon};
use crate::job::{Cutting, Job, Relief, Router};
use crate::layout::Sheet;
use crate::profile::Tool;
use crate::reading::Word;
use crate::units::Units;
use geo::BooleanOps;
use std::sync::Arc;

/// Wood under a recess is at least so thick (mm): common practice.
const THINNEST_FLOOR: f64 = 0.5;

/// Everything that neither the cutter nor a listed drill can make, and feeds beyond the machine.
pub(super) fn be_cut(job: &Job, router: &Router, parts: &[Part]) -> Vec<Finding> {
    let mut refused = beyond_machine(job, router);
    refused.extend(too_much_to_finish(job, router, parts));
    refused.extend(pins::needed(job, router, parts));
    for part in parts {
        refused.extend(outline(job, router, part));
        for hole in &part.holes {
            let asked = hole.spot.clone();
            refused.extend(hole_of(job, router, part, hole).map(|finding| finding.at(asked)));
        }
        refused.extend(pockets(job, router, part));
    }
    refused.retain(Finding::refused);
    refused
}

/// The largest of the lengths that can be shown with so many digits more than usual and are no longer than this one (mm).
fn no_more(units: Units, mm: f64, more: u32) -> String {
    format!("{} {}", units.number_below(mm, more), units.sign())
}

/// The smallest of those that are no shorter.
fn no_less(units: Units, mm: f64, more: u32) -> String {
    format!("{} {}", units.number_above(mm, more), units.sign())
}

/// A feed or a speed that the maker asked for and the machine does not have.
fn beyond_machine(job: &Job, router: &Router) -> Vec<Finding> {
    let (machine, cutting) = (&router.machine, &router.cutting);
    let mut refused = Vec::new();
    if let Some(feed) = cutting.feed {
        let most = no_more(job.units, machine.feed.value, 0);
        refused.push(
            Finding::measured(
                JobCheck::FeedAsked,
                &machine.name,
                Measure::Feed(feed),
                Limits::at_most(machine.feed.value),
                Status::Refused,
            )
            .worded(format!("feed of {}", router.cutter.name))
            .source(&machine.feed.source)
            .advice(format!("the machine goes {most} a minute at most: set `feed` to that or less, or leave it out"))
            .at(router.spots.named(&["feed"])),
        );
    }
    let [slowest, fastest] = machine.spindle.value;
    refused.extend(turned_too_fast(router));
    if let Some(speed) = cutting.speed {
        refused.push(
            Finding::measured(
                JobCheck::SpeedAsked,
                &machine.name,
                Measure::Speed(speed),
                Limits::between(slowest, fastest),
                Status::Refused,
            )
            .worded(format!("speed of {}", router.cutter.name))
            .source(&machine.spindle.source)
            .advice(format!("the spindle turns {slowest} to {fastest} times a minute: set `speed` within that"))
            .at(router.spots.named(&["speed"])),
        );
    }
    refused
}

/// Tools that may not turn as fast as the spindle turns at least, or as the maker asked for.
fn turned_too_fast(router: &Router) -> Vec<Finding> {
    let slowest = router.machine.spindle.value[0];
    let of_tool = |tool: &Arc<Tool>| {
        let highest = tool.highest_speed.as_ref()?;
        let asked = router.cutting.speed.filter(|_| tool.name == router.cutter.name);
        let keys: &[&str] = if asked.is_some() { &["speed"] } else { &[] };
        let advice = if highest.value < slowest {
            format!(
                "the spindle turns {slowest} times a minute at least, and the tool may turn {} at most: leave it out of the \
                 job, or take another one",
                highest.value
            )
        } else {
            format!("set `speed` to {} or less, or leave it out", highest.value)
        };
        let measure = Measure::Speed(asked.unwrap_or(slowest).max(slowest));
        let limits = Limits::at_most(highest.value);
        let finding = Finding::measured(JobCheck::ToolTurns, &tool.name, measure, limits, Status::Refused);
        Some(finding.source(&highest.source).advice(advice).at(router.spots.named(keys)))
    };
    std::iter::once(&router.cutter).chain(&router.drills).filter_map(of_tool).collect()
}

/// A last pass goes to the full depth at once, so what is left for it has to be thin.
fn too_much_to_finish(job: &Job, router: &Router, parts: &[Part]) -> Option<Finding> {
    let cutter = &router.cutter;
    let thickest = parts.iter().map(|part| part.thickness).fold(0.0, f64::max);
    let most = Tool::LIGHT * cutter.diameter.value;
    let deep = thickest > cutter.pass_depth.value * cutter.diameter.value;
    let measure = Measure::Length(router.cutting.finish);
    Finding::measured(JobCheck::LastPass, &cutter.name, measure, Limits::at_most(most), Status::Refused)
        .source("common practice: a quarter of the cutter's diameter, as the last pass goes to the full depth at once")
        .advice(format!("set `finish` to {} or less", no_more(job.units, most, 1)))
        .at(router.spots.named(&["finish"]))
        .if_refused()
        .filter(|_| deep)
}

fn outline(job: &Job, router: &Router, part: &Part) -> Vec<Finding> {
    let mut refused = Vec::new();
    let depth = part.thickness + router.machine.spoilboard.value;
    refused.extend(too_short(job, &router.cutter, part, "outline", depth));
    let radius = router.cutter.diameter.value / 2.0;
    if leaves_too_much(&part.outline, radius, false) {
        refused.push(too_wide(job, router, part, "outline", widest(&part.outline, radius, false)));
    } else if let Some(corner) = relief::outline(part, &router.cutting, radius).unreached.first() {
        let reaches = |cutting: &Cutting| relief::outline(part, cutting, radius).unreached.is_empty();
        refused.push(no_relief(job, router, part, "outline", *corner, reaches));
    }
    refused
}

fn hole_of(job: &Job, router: &Router, part: &Part, hole: &Hole) -> Option<Finding> {
    let depth = part.thickness + router.machine.spoilboard.value;
    let [narrowest, _] = router.bores();
    let what = hole.use_.name();
    if let Some((_, drill)) = router.drill_for(hole.width).filter(|_| hole.is_round()) {
        return too_short(job, drill, part, what, depth);
    }
    let units = job.units;
    if let Some(corner) = hole.corner.filter(|_| hole.width >= narrowest) {
        return corner_of(job, router, part, (what, corner));
    }
    // The hole's own size is said as it is shown beside it.
    let instead = |size: &str| {
        if hole.is_round() {
            format!(
                "no listed drill is {size} and the cutter is too wide to bore it: add a drill of that size to `drills`, "
            )
        } else {
            let most = no_more(units, router.widest_cutter_in(hole.width), 1);
            let what = if hole.corner.is_some() { "opening" } else { "slot" };
            format!("the cutter is too wide for the {what}: take a cutter of at most {most}, ")
        }
    };
    Finding::measured(
        JobCheck::FeatureMade,
        &part.name,
        Measure::Length(hole.width),
        Limits::at_least(narrowest),
        Status::Refused,
    )
    .worded(format!("{what} can be made"))
    .source(router.why_no_narrower(units))
    .advice_on_measured(units, |size| format!("{}or make it {} or more", instead(size), no_less(units, narrowest, 0)))
    .if_refused()
}

/// Does the cutter get into the corners of a rectangular opening?
fn corner_of(job: &Job, router: &Router, part: &Part, (what, corner): (&str, f64)) -> Option<Finding> {
    /// Narrower than this no cutter is (mm).
    const THIN: f64 = 0.5;
    let (units, diameter) = (job.units, router.cutter.diameter.value);
    let narrower = if 2.0 * corner < THIN {
        String::new()
    } else {
        format!(", or take a cutter of at most {}", no_more(units, 2.0 * corner, 1))
    };
    let least = no_less(units, diameter / 2.0, 0);
    Finding::measured(
        JobCheck::FeatureMade,
        &part.name,
        Measure::Length(corner),
        Limits::at_least(diameter / 2.0),
        Status::Refused,
    )
    .worded(format!("{what}: radius of the corners"))
    .source(format!("{} is {} wide", router.cutter.name, units.show(diameter)))
    .advice(format!(
        "the cutter leaves its own radius in the corners: set `corner-radius` to {least} or more and file them out by hand \
         where they must be square{narrower}"
    ))
    .if_refused()
}

fn pockets(job: &Job, router: &Router, part: &Part) -> Vec<Finding> {
    let mut refused = Vec::new();
    let radius = router.cutter.diameter.value / 2.0;
    if part.pockets.iter().any(|pocket| pocket.under) && part.pockets.iter().any(|pocket| !pocket.under) {
        match router.cutting.flip {
            None => refused.push(turned_over(part)),
            Some(_) => refused.extend(floor_between(job, part)),
        }
    }
    for (i, (pocket, relieved)) in part.pockets.iter().zip(relief::pockets(part, &router.cutting, radius)).enumerate() {
        let (what, before) = (&pocket.purpose, refused.len());
        refused.extend(too_short(job, &router.cutter, part, what, pocket.depth));
        refused.extend(
            Finding::measured(
                JobCheck::FeatureDepth,
                &part.name,
                Measure::Length(pocket.depth),
                Limits::at_most(part.thickness - THINNEST_FLOOR),
                Status::Refused,
            )
            .worded(format!("{what}: depth"))
            .source("common practice: a floor thinner than half a millimetre does not hold")
            .advice("make it shallower, or an opening right through")
            .if_refused(),
        );
        if leaves_too_much(&pocket.outline, radius, true) {
            refused.push(too_wide(job, router, part, what, widest(&pocket.outline, radius, true)));
        } else if let Some(corner) = relieved.unreached.first() {
            let reaches = |cutting: &Cutting| relief::pockets(part, cutting, radius)[i].unreached.is_empty();
            refused.push(no_relief(job, router, part, what, *corner, reaches));
        }
        for finding in &mut refused[before..] {
            finding.spot = asked::pocket(job, part, pocket);
        }
    }
    refused
}

/// Recesses on both faces cannot be cut from one.
fn turned_over(part: &Part) -> Finding {
    let named = |under: bool| {
        let names: Vec<&str> =
            part.pockets.iter().filter(|pocket| pocket.under == under).map(|pocket| pocket.purpose.as_str()).collect();
        names.join(", ")
    };
    Finding::plain(JobCheck::RecessUp, &part.name, Status::Refused)
        .source("a router cuts from above: for the other face the sheet would have to be turned over")
        .advice(format!(
            "the {} is on one face and the {} on the other: put both on one face, leave one to be cut by hand, or let the \
             sheet be turned over on pins: `flip = \"length\"` under `[router]`",
            named(false),
            named(true)
        ))
}

/// Recesses that lie over one another leave wood between them.
fn floor_between(job: &Job, part: &Part) -> Option<Finding> {
    /// Common practice: what is thinner than this breaks (mm).
    const THINNEST: f64 = 2.0;
    let region = |outline: &Outline| Region::from(to_polygon(outline));
    let (below, above): (Vec<_>, Vec<_>) = part.pockets.iter().partition(|pocket| pocket.under);
    let pairs = below.iter().flat_map(|a| above.iter().map(move |b| (*a, *b)));
    let over = pairs.filter(|(a, b)| region_area(&region(&a.outline).intersection(&region(&b.outline))) > 0.5);
    let (a, b) = over.max_by(|p, q| (p.0.depth + p.1.depth).total_cmp(&(q.0.depth + q.1.depth)))?;
    let left = part.thickness - a.depth - b.depth;
    Finding::measured(
        JobCheck::RecessesApart,
        &part.name,
        Measure::Length(left.max(0.0)),
        Limits::at_least(THINNEST),
        Status::Refused,
    )
    .worded(format!("wood between the {} and the {}", b.purpose, a.purpose))
    .source("common practice: a thinner floor breaks")
    .advice(format!(
        "they lie over one another, in one face and the other: together no deeper than {}",
        no_more(job.units, part.thickness - THINNEST, 1)
    ))
    .if_refused()
}

fn too_short(job: &Job, tool: &Tool, part: &Part, what: &str, depth: f64) -> Option<Finding> {
    Finding::measured(
        JobCheck::FluteLength,
        &part.name,
        Measure::Length(tool.flute_length.value),
        Limits::at_least(depth),
        Status::Refused,
    )
    .worded(format!("{what}: flute length of {}", tool.name))
    .source(&tool.flute_length.source)
    .advice(format!(
        "the cut is {} deep: take a longer tool, with at least that much cutting edge",
        no_less(job.units, depth, 1)
    ))
    .if_refused()
}

fn too_wide(job: &Job, router: &Router, part: &Part, what: &str, widest: f64) -> Finding {
    let units = job.units;
    let finding = Finding::measured(
        JobCheck::CutterWidth,
        &part.name,
        Measure::Length(router.cutter.diameter.value),
        Limits::at_most(widest),
        Status::Refused,
    )
    .worded(format!("{what}: width of {}", router.cutter.name))
    .source("the cutter must get into every notch and corner");
    // However near it is to the widest that does, it leaves more than it may.
    Finding { status: Status::Refused, ..finding }.advice(if widest > 0.5 {
        format!(
            "the cutter does not get into its narrowest place: take one of at most {}, or make the place wider",
            no_more(units, widest, 1)
        )
    } else {
        "no cutter gets into its narrowest place: make it wider".into()
    })
}

/// `reaches`: does a relief get into all corners of this place?
fn no_relief(
    job: &Job,
    router: &Router,
    part: &Part,
    what: &str,
    corner: Point,
    reaches: impl Fn(&Cutting) -> bool,
) -> Finding {
    let units = job.units;
    let would_do = |(_, relief): &&(&str, Relief)| reaches(&Cutting { relief: *relief, ..router.cutting.clone() });
    let other: Vec<String> =
        Relief::WORDS.iter().filter(would_do).map(|(word, _)| format!("`relief = \"{word}\"`")).collect();
    let other = if other.is_empty() { String::new() } else { format!(", or set {}", other.join(" or ")) };
    Finding::plain(JobCheck::ReliefRoom, &part.name, Status::Refused)
        .worded(format!("{what}: room for the relief of a square corner"))
        .source(format!("{} is {} wide", router.cutter.name, units.show(router.cutter.diameter.value)))
        .advice(format!(
            "in the corner at {} from the left and {} from below, a square edge of another part goes in, and the cutter \
             has no room to open it: take a narrower cutter or wider fingers{other}",
            units.show(corner.x),
            units.show(corner.y)
        ))
}

/// Does a cutter of this radius leave more than the fillets in the corners? `inside`: it works inside the outline.
pub(super) fn leaves_too_much(outline: &Outline, radius: f64, inside: bool) -> bool {
    let swept: f64 = if inside {
        let middles = inset(std::slice::from_ref(outline), radius);
        // Where a whole outline is smaller than the fillets of its corners, the cutter does not get in at all.
        if middles.is_empty() {
            return true;
        }
        middles.iter().flat_map(|o| offset(o, radius)).map(|o| o.area()).sum()
    } else {
        let Some(path) = offset(outline, radius).into_iter().max_by(|a, b| a.area().total_cmp(&b.area())) else {
            return true;
        };
        offset(&path, -radius).iter().map(Outline::area).sum()
    };
    let left = (swept - outline.area()).abs();
    // Nobody sees a leftover of half a square millimetre.
    left > fillets(outline, radius, inside) * 1.001 + 0.5
}

/// Area that a round cutter leaves in the straight-sided corners that it works into.
fn fillets(outline: &Outline, radius: f64, inside: bool) -> f64 {
    let sides: Vec<_> = outline.segments().collect();
    let count = sides.len();
    (0..count)
        .map(|i| {
            let (before, after) = (&sides[(i + count - 1) % count], &sides[i]);
            let (on, off) = (before.direction(1.0), after.direction(0.0));
            let turn = atan2(on.cross(off), on.dot(off)) * if inside { 1.0 } else { -1.0 };
            // A corner that turns by `turn` leaves the area between its sides and the arc that touches both.
            if turn > 1e-6 { radius * radius * (tan(turn / 2.0) - turn / 2.0) } else { 0.0 }
        })
        .sum()
}

/// Diameter of the widest cutter that gets everywhere, to a tenth; 0 when none does.
fn widest(outline: &Outline, radius: f64, inside: bool) -> f64 {
    let (mut good, mut bad) = (0.0, radius);
    for _ in 0..24 {
        let middle = f64::midpoint(good, bad);
        if leaves_too_much(outline, middle, inside) {
            bad = middle;
        } else {
            good = middle;
        }
    }
    (good * 20.0).floor() / 10.0
}

pub(super) fn fit_machine(job: &Job, router: &Router, index: usize, sheet: &Sheet) -> Option<Finding> {
    let [x, y, z] = router.machine.travel.value;
    let radius = router.cutter.diameter.value / 2.0;
    let high = sheet.thickness + router.machine.clear.value + router.machine.spoilboard.value;
    let units = job.units;
    if router.machine.takes([sheet.length, sheet.width, sheet.thickness]) {
        return None;
    }
    if sheet.length <= x && sheet.width <= y && high <= z {
        // It could not be parked.
        let park = router.machine.park.value;
        return Some(
            Finding::plain(JobCheck::SpindleParked, &router.machine.name, Status::Refused)
                .worded(format!("sheet {} and where the spindle is parked", index + 1))
                .source(&router.machine.park.source)
                .advice(format!(
                    "`park` is {} from the sheet's corner in X and {} in Y: with the sheet beside it that is more than the \
                     machine's reach of {} × {}; put a nearer `park` into its profile, or give a smaller sheet as stock",
                    units.show(park[0]),
                    units.show(park[1]),
                    units.number_below(x, 0),
                    no_more(units, y, 0),
                )),
        );
    }
    let turned = if router.machine.takes([sheet.width, sheet.length, sheet.thickness]) {
        let (width, length) = (units.number(sheet.width), units.number(sheet.length));
        format!(", or, if it is nothing to the job which way the face grain runs, give its size as [{width}, {length}]")
    } else {
        String::new()
    };
    Some(
        Finding::plain(JobCheck::SheetOnMachine, &router.machine.name, Status::Refused)
            .worded(format!("sheet {} fits the machine", index + 1))
            .source(&router.machine.travel.source)
            .advice(format!(
                "the sheet is {} × {} and the machine reaches {} × {} ({} above the spoilboard): cut the sheet down \
                 first and give the smaller size as stock; leave {} beside the outermost part for the cutter{turned}",
                units.number_above(sheet.length, 0),
                no_less(units, sheet.width, 0),
                units.number_below(x, 0),
                no_more(units, y, 0),
                no_more(units, z, 0),
                no_less(units, radius, 0),
            )),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_notch_narrower_than_the_cutter_is_found_and_the_widest_that_fits_is_told() {
        let notched = Outline::polygon([
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 50.0),
            (54.0, 50.0),
            (54.0, 30.0),
            (48.0, 30.0),
            (48.0, 50.0),
            (0.0, 50.0),
        ]);
        assert!(leaves_too_much(&notched, 3.175, false));
        assert!(!leaves_too_much(&notched, 2.5, false));
        let widest = widest(&notched, 3.175, false);
        assert!((5.8..=6.0).contains(&widest), "{widest}");
        assert!(!leaves_too_much(&Outline::rectangle(40.0, 10.0), 3.0, true));
        assert!(leaves_too_much(&Outline::rectangle(40.0, 5.0), 3.0, true));
        // A cutter that does not even go in leaves less than it would in four corners.
        assert!(leaves_too_much(&Outline::rectangle(2.0, 2.0), 3.0, true));
    }
}
