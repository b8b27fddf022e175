//! Registration pins: where a sheet that is turned over finds its place again.

use super::waste::Waste;
use super::{Pin, Tab, flip};
use crate::design::Part;
use crate::error::Error;
use crate::finding::{Finding, Limits, Measure, Status};
use crate::geometry::{Point, Rect};
use crate::job::{Flip, Job, Router};
use crate::layout::Sheet;

/// The pins are at least this far apart (mm).
const APART: f64 = 150.0;
/// The middle between the pins is at least this far from the sheet's (mm): turned the wrong way, the sheet does not go
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
            Finding::plain("registration pins", &router.machine.name, Status::Refused)
                .source("its profile does not say how deep a pin may stand in the spoilboard")
                .advice("put `pin-depth` into the machine's profile, no more than half the spoilboard's thickness"),
        );
    }
    let Some(tool) = router.pin_tool(pin) else {
        let [narrowest, widest] = router.bores();
        return Some(
            Finding::measured(
                "holes for registration pins",
                &router.machine.name,
                Measure::Length(pin),
                Limits::between(narrowest, widest),
                Status::Refused,
            )
            .source(format!("no drill of {} is listed, and {} bores no such hole", units.show(pin), router.cutter.name))
            .advice("add a drill of the pin's size to `drills`, or set `pin` to what the cutter can bore")
            .at(router.pin_spot.clone()),
        );
    };
    // A tool that does not reach so far makes the holes as deep as it can, but not less deep than holds a pin.
    let (reach, deep) = (tool.flute_length.value, thickness + router.least_pin_depth());
    if reach >= deep {
        return None;
    }
    let mut ways = Vec::new();
    let drill = router.drills.iter().find(|drill| drill.flute_length.value >= deep && drill.diameter.value >= 3.0);
    if let Some(drill) = drill {
        ways.push(format!(
            "set `pin` to {}, for which {} is long enough",
            units.show(drill.diameter.value),
            drill.name
        ));
    } else {
        ways.push("list a drill in `drills` that is long enough, and set `pin` to its diameter".into());
    }
    let shallow = ((reach - thickness) * 10.0 + 1e-6).floor() / 10.0;
    if shallow >= LEAST {
        let shallow = units.measured(shallow);
        ways.push(format!(
            "give the machine's profile a `pin-depth` of {shallow} or less, if so short a pin stands firm"
        ));
    }
    let finding = Finding::measured(
        format!("hole for a registration pin: flute length of {}", tool.name),
        &router.machine.name,
        Measure::Length(reach),
        Limits::at_least(deep),
        Status::Refused,
    );
    Some(
        finding
            .source(&tool.flute_length.source)
            .advice(format!(
                "through the sheet and into the spoilboard the hole is {} deep: {}, or take a tool with at least that \
                 much cutting edge",
                units.measured(deep),
                ways.join(", ")
            ))
            .at(router.pin_spot.clone()),
    )
}

/// Two places in the waste that change places, or stay, when the sheet is turned over: the farthest apart there are. No
/// other way of laying the sheet into its corner brings its holes over the pins.
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
    let waste = Waste::new(parts, sheet, (tabs, kept), away, from_edge);
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
    // An off-cut that is kept gets a hole only where there is no other way.
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
    let tool = router.drill_for(diameter).map_or(&router.cutter, |(_, drill)| drill);
    let reach = tool.flute_length.value - sheet.thickness;
    let Some(depth) = router.machine.pin_depth.as_ref().map(|depth| depth.value.min(reach)) else {
        return Ok(Vec::new());
    };
    let units = job.units;
    let Some(mut pair) = best else {
        let room = (away + from_edge).ceil();
        let refused = Finding::plain("room for registration pins", format!("sheet {}", index + 1), Status::Refused)
            .source("a sheet that is turned over finds its place again on two pins, mirror images of one another")
            .advice(format!(
                "the waste has no two such places, at least {} apart: a `margin` of {} gives them room along the edges; \
                 or take thinner pins, or another `flip`",
                units.show(APART),
                units.show(room)
            ));
        return Err(Error::Refused(vec![refused]));
    };
    pair.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    Ok(pair.into_iter().map(|at| Pin { at, diameter, depth }).collect())
}
