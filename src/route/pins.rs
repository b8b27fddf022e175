//! Registration pins: where a sheet that is turned over finds its place again.

use super::waste::Waste;
use super::{Pin, Tab, flip};
use crate::design::Part;
use crate::error::Error;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::{Point, Rect};
use crate::job::{Flip, Job, Router};
use crate::layout::{Sheet, turns};
use crate::reading::any_of;

/// The pins are at least this far apart (mm).
const APART: f64 = 150.0;
/// The middle between the pins is at least this far from the sheet's (mm): turned about the wrong axis, the sheet does not go
/// onto them.
const ASIDE: f64 = 20.0;

/// What a sheet that is turned over needs of the machine and its tools.
pub(super) fn needed(job: &Job, router: &Router, parts: &[Part]) -> Option<Finding> {
    /// A profile allows no `pin-depth` less than this (mm).
    const LEAST: f64 = 2.0;
    router.cutting.flip?;
    let turned = parts.iter().filter(|part| flip::two_sided(part)).map(|part| part.thickness);
    let thickness = turned.reduce(f64::max)?;
    let (units, pin) = (job.units, router.cutting.pin);
    if router.machine.pin_depth.is_none() {
        return Some(
            Finding::plain(JobCheck::PinDepth, &router.machine.name, Status::Refused)
                .source("its profile does not say how deep a pin may stand in the spoilboard")
                .advice("put `pin-depth` into the machine's profile, no more than half the spoilboard's thickness"),
        );
    }
    let Some(tool) = router.pin_tool(pin) else {
        let [narrowest, widest] = router.bores();
        return Some(
            Finding::measured(
                JobCheck::PinHoles,
                &router.machine.name,
                Measure::Length(pin),
                Limits::between(narrowest, widest),
                Status::Refused,
            )
            .source(format!("no drill of {} is listed, and {} bores no such hole", units.show(pin), router.cutter.name))
            .advice("add a drill of the pin's size to `drills`, or set `pin` to what the cutter can bore")
            .at(router.spots.named(&["pin", "flip"])),
        );
    };
    // A tool that does not reach so far makes the holes as deep as it can, but not less deep than holds a pin.
    let (reach, deep) = (tool.flute_length.value, thickness + router.least_pin_depth());
    if reach >= deep {
        return None;
    }
    let mut remedies = Vec::new();
    let drill = router.drills.iter().find(|drill| drill.flute_length.value >= deep && drill.diameter.value >= 3.0);
    if let Some(drill) = drill {
        remedies.push(format!(
            "set `pin` to {}, for which {} is long enough",
            units.show(drill.diameter.value),
            drill.name
        ));
    } else {
        remedies.push("list a drill in `drills` that is long enough, and set `pin` to its diameter".into());
    }
    let shallow = ((reach - thickness) * 10.0 + 1e-6).floor() / 10.0;
    if shallow >= LEAST {
        let shallow = units.measured(shallow);
        remedies.push(format!(
            "give the machine's profile a `pin-depth` of {shallow} or less, if so short a pin stands firm"
        ));
    }
    let finding = Finding::measured(
        JobCheck::FluteLength,
        &router.machine.name,
        Measure::Length(reach),
        Limits::at_least(deep),
        Status::Refused,
    );
    finding
        .worded(format!("hole for a registration pin: flute length of {}", tool.name))
        .source(&tool.flute_length.source)
        .advice(format!(
            "through the sheet and into the spoilboard the hole is {} deep: {}, or take a tool with at least that much \
             cutting edge",
            units.measured(deep),
            remedies.join(", ")
        ))
        .at(router.spots.named(&["pin", "flip"]))
        .if_refused()
}

/// Two places in the waste that change places, or stay, when the sheet is turned over: the farthest apart there are. The
/// sheet laid into its corner in any other position does not bring its holes over the pins.
///
/// # Errors
/// [`Error::Refused`] where the waste has no two such places.
pub(super) fn plan(
    job: &Job,
    router: &Router,
    flip: Flip,
    parts: &[Part],
    (index, sheet): (usize, &Sheet),
    (tabs, kept): (&[Tab], &[Rect]),
) -> Result<Vec<Pin>, Error> {
    let diameter = router.cutting.pin;
    let (away, from_edge) = (router.pin_from_part(), router.pin_from_edge());
    let waste = Waste::new(parts, (sheet, &job.stock[sheet.stock]), (tabs, kept), away, from_edge);
    let tool = router.drill_for(diameter).map_or(&router.cutter, |(_, drill)| drill);
    let reach = tool.flute_length.value - sheet.thickness;
    let Some(depth) = router.machine.pin_depth.as_ref().map(|depth| depth.value.min(reach)) else {
        return Ok(Vec::new());
    };
    let Some(mut pair) = farthest(&waste, flip, sheet, kept) else {
        let other = if flip == Flip::Length { Flip::Width } else { Flip::Length };
        let other = farthest(&waste, other, sheet, kept).map(|_| other);
        return Err(Error::refused(vec![no_room(job, router, other, parts, (index, sheet))]));
    };
    pair.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    Ok(pair.into_iter().map(|at| Pin { at, diameter, depth }).collect())
}

/// The pair farthest apart of places that change places when the sheet is turned over.
fn farthest(waste: &Waste, flip: Flip, sheet: &Sheet, kept: &[Rect]) -> Option<[Point; 2]> {
    let mirror = flip.mirror(sheet.length, sheet.width);
    // Along the line about which the sheet is turned, and its middle.
    let along = |at: Point| if flip == Flip::Length { at.x } else { at.y };
    let middle = if flip == Flip::Length { sheet.length } else { sheet.width } / 2.0;
    let places: Vec<Point> =
        waste.places.iter().filter(|place| waste.pieces[place.piece].holds()).map(|place| place.at).collect();
    let is_place = |at: Point| places.iter().any(|place| place.distance(at) < 1e-6);
    let pairs = places.iter().map(|at| [*at, mirror * *at]);
    let fits = |pair: &[Point; 2]| {
        pair[0].distance(pair[1]) >= APART && (along(pair[0].midpoint(pair[1])) - middle).abs() >= ASIDE
    };
    // An off-cut that is kept gets a hole only where there is no other place.
    let spoilt = |pair: &[Point; 2]| pair.iter().filter(|at| kept.iter().any(|rect| rect.contains(**at))).count();
    let mut best: Option<[Point; 2]> = None;
    for pair in pairs.filter(fits) {
        let (far, aside, holes) = (pair[0].distance(pair[1]), (along(pair[0]) - middle).abs(), spoilt(&pair));
        let better = best.is_none_or(|[a, b]| {
            let (other, less, fewer) = (a.distance(b), (along(a) - middle).abs(), spoilt(&[a, b]));
            let as_far = far > other - 1e-6;
            holes < fewer || (holes == fewer && (far > other + 1e-6 || (as_far && aside > less + 1e-6)))
        });
        if better && is_place(pair[1]) {
            best = Some(pair);
        }
    }
    best
}

/// What would make room for pins: only what does.
fn no_room(
    job: &Job,
    router: &Router,
    other: Option<Flip>,
    parts: &[Part],
    (index, sheet): (usize, &Sheet),
) -> Finding {
    let units = job.units;
    let stock = &job.stock[sheet.stock];
    // What is cut from sheets like this.
    let cut = || parts.iter().filter(|part| job.stock[part.stock].material.name == stock.material.name);
    let lies_in = |part: &Part, length: f64, width: f64| {
        let (straight, turned) = turns(part.grain);
        let fits = |l: f64, w: f64| l <= length + 1e-6 && w <= width + 1e-6;
        (straight && fits(part.length, part.width)) || (turned && fits(part.width, part.length))
    };
    let room = |pin: f64| (router.pin_from_part() + router.pin_from_edge() - router.cutting.pin + pin).ceil();
    let too_large = |room: f64| cut().find(|part| !lies_in(part, sheet.length - 2.0 * room, sheet.width - 2.0 * room));
    let mut remedies = Vec::new();
    let (pin, now) = (router.cutting.pin, room(router.cutting.pin));
    match too_large(now) {
        None if stock.margin < now => remedies.push(format!(
            "a `margin` of {} under `[stock]` gives them room along the edges, if need be on more sheets",
            units.show(now)
        )),
        None => {}
        Some(part) => {
            let (length, width) =
                if turns(part.grain).0 { (part.length, part.width) } else { (part.width, part.length) };
            let (length, width) = (sheet.length.max(length + 2.0 * now), sheet.width.max(width + 2.0 * now));
            let size = format!("{} × {}", units.number(length), units.show(width));
            remedies
                .push(format!("beside the {} no margin is wide enough: take a sheet of at least {size}", part.name));
            let thinner =
                Router::dowels(units).into_iter().filter(|thin| *thin < pin && router.pin_tool(*thin).is_some());
            if let Some(thin) = thinner.rev().find(|thin| too_large(room(*thin)).is_none()) {
                let (margin, thin) = (units.show(room(thin)), units.show(thin));
                remedies.push(format!("set `pin` to {thin} and a `margin` of {margin} under `[stock]`"));
            }
        }
    }
    if let Some(other) = other {
        let other = if other == Flip::Length { "length" } else { "width" };
        remedies.push(format!("set `flip` to \"{other}\": that way there are two"));
    }
    let here = sheet.placements.iter().map(|placement| &parts[placement.part]).filter(|part| flip::two_sided(part));
    let mut both: Vec<&str> = here.map(|part| part.name.as_str()).collect();
    both.sort_unstable();
    both.dedup();
    remedies.push(format!("leave out the recesses in one face of {}", any_of(both)));
    Finding::plain(JobCheck::PinRoom, format!("sheet {}", index + 1), Status::Refused)
        .source("a sheet that is turned over finds its place again on two pins, mirror images of one another")
        .advice(format!(
            "the waste has no two such places, at least {} apart: {}",
            units.show(APART),
            remedies.join("; or ")
        ))
        .at(router.spots.named(&["flip"]))
}
