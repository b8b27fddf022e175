//! Sheets → operations → moves.
//!
//! Everything here is in the sheet's frame (millimetres; Z zero on the sheet's upper face, negative into it), with the
//! cutter's width already allowed for. How a machine wants it said is the concern of [`crate::gcode`].

mod cutout;
mod drill;
mod feeds;
mod moves;
mod order;
mod profile;
mod tabs;
mod time;
mod track;

pub use feeds::Feeds;
pub use moves::{Move, Space};
pub use tabs::{TAB_HEIGHT, TAB_WIDTH};
pub use time::Travel;

use crate::design::Part;
use crate::error::Error;
use crate::finding::{Finding, Limits, Measure, Status};
use crate::geometry::Affine;
use crate::job::{Job, Router};
use crate::layout::{Layout, Sheet};
use crate::profile::Tool;
use rayon::prelude::*;
use std::sync::Arc;

/// What is done to one sheet, tool by tool.
#[derive(Clone, Debug)]
pub struct Route {
    /// Index into the layout's sheets.
    pub sheet: usize,
    pub runs: Vec<Run>,
}

/// Everything one tool does to a sheet.
#[derive(Clone, Debug)]
pub struct Run {
    /// Number in the magazine: the cutter is 1, the drills follow.
    pub number: u32,
    pub tool: Arc<Tool>,
    pub feeds: Feeds,
    pub operations: Vec<Operation>,
}

/// One feature or one outline, cut from start to end.
#[derive(Clone, Debug)]
pub struct Operation {
    pub kind: OperationKind,
    /// `side, outline`.
    pub about: String,
    /// Starts with a rapid move to above its entry.
    pub moves: Vec<Move>,
}

/// In the order in which they are cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OperationKind {
    Drill,
    /// A hole or slot cut by the cutter.
    Cutout,
    Outline,
}

/// The routes of all sheets.
///
/// # Errors
/// [`Error::Refused`] with every feature that cannot be cut.
pub fn routes(job: &Job, parts: &[Part], layout: &Layout) -> Result<Vec<Route>, Error> {
    let Some(router) = &job.router else { return Ok(Vec::new()) };
    let mut refused = can_be_cut(job, router, parts);
    refused.extend(layout.sheets.iter().enumerate().filter_map(|(i, sheet)| fits_machine(router, i, sheet)));
    if !refused.is_empty() {
        return Err(Error::Refused(refused));
    }
    let routes: Result<Vec<Route>, Error> =
        layout.sheets.par_iter().enumerate().map(|(i, sheet)| route(job, router, parts, i, sheet)).collect();
    routes
}

/// Which drill makes a hole of this size, if one is listed.
fn drill_for(router: &Router, diameter: f64) -> Option<(usize, &Arc<Tool>)> {
    /// A drill this close to the hole's diameter makes the hole (mm).
    const FITS: f64 = 0.1;
    router.drills.iter().enumerate().find(|(_, drill)| (drill.diameter.value - diameter).abs() <= FITS)
}

/// What of the parts neither the cutter nor a listed drill can make.
fn can_be_cut(job: &Job, router: &Router, parts: &[Part]) -> Vec<Finding> {
    let mut refused = Vec::new();
    let units = job.units;
    let cutter = &router.cutter;
    for part in parts {
        let depth = part.thickness + router.machine.spoilboard.value;
        let reach = |tool: &Tool, what: &str| {
            Finding::measured(
                format!("{what}: flute length of {}", tool.name),
                &part.name,
                Measure::Length(tool.flute_length.value),
                Limits::at_least(depth),
                Status::Refused,
            )
            .source(&tool.flute_length.source)
            .advice(format!("the cut is {} deep: take a longer tool", units.show(depth)))
        };
        if cutter.flute_length.value < depth {
            refused.push(reach(cutter, "outline"));
        }
        for hole in &part.holes {
            if let Some((_, drill)) = drill_for(router, hole.width).filter(|_| hole.is_round()) {
                if drill.flute_length.value < depth {
                    refused.push(reach(drill, "hole"));
                }
            } else if hole.width < cutout::narrowest(cutter) {
                refused.push(
                    Finding::measured(
                        format!("{} can be made", hole.use_),
                        &part.name,
                        Measure::Length(hole.width),
                        Limits::at_least(cutout::narrowest(cutter)),
                        Status::Refused,
                    )
                    .source(format!("{} is {} wide", cutter.name, units.show(cutter.diameter.value)))
                    .advice(format!(
                        "no listed drill is {} and the cutter is too wide to bore it: add a drill of that size to \
                         `drills`, or make it {} or more",
                        units.show(hole.width),
                        units.show(cutout::narrowest(cutter)),
                    )),
                );
            }
        }
    }
    refused
}

fn fits_machine(router: &Router, index: usize, sheet: &Sheet) -> Option<Finding> {
    let [x, y, z] = router.machine.travel.value;
    let radius = router.cutter.diameter.value / 2.0;
    let high = sheet.thickness + router.machine.clear.value + router.machine.spoilboard.value;
    let units = router.machine.units;
    let fits = sheet.length <= x && sheet.width <= y && high <= z;
    (!fits).then(|| {
        Finding::plain(format!("sheet {} fits the machine", index + 1), &router.machine.name, Status::Refused)
            .source(&router.machine.travel.source)
            .advice(format!(
                "the sheet is {} × {} and the machine reaches {} × {} ({} above the spoilboard): cut the sheet down \
                 first and give the smaller size as stock; leave {} beside the outermost part for the cutter",
                units.number(sheet.length),
                units.show(sheet.width),
                units.number(x),
                units.show(y),
                units.show(z),
                units.show(radius),
            ))
    })
}

fn route(job: &Job, router: &Router, parts: &[Part], index: usize, sheet: &Sheet) -> Result<Route, Error> {
    let material = &job.stock[sheet.stock].material;
    let depth = sheet.thickness + router.machine.spoilboard.value;
    let clear = router.machine.clear.value;
    let cutter = CutterAt { tool: &router.cutter, feeds: Feeds::new(&router.cutter, material, &router.machine), clear };

    let mut drilled: Vec<Vec<Operation>> = vec![Vec::new(); router.drills.len()];
    let mut cut: Vec<Operation> = Vec::new();
    let mut outlines: Vec<(f64, Operation)> = Vec::new();
    for placement in &sheet.placements {
        let part = &parts[placement.part];
        let place: Affine = placement.affine(part);
        for hole in &part.holes {
            let about = format!("{}, {}", part.name, hole.use_);
            match drill_for(router, hole.width).filter(|_| hole.is_round()) {
                Some((which, drill)) => {
                    let feeds = Feeds::new(drill, material, &router.machine);
                    let moves = drill::moves(place * hole.centre, depth, drill, &feeds, clear);
                    drilled[which].push(Operation { kind: OperationKind::Drill, about, moves });
                }
                None => {
                    let moves = cutout::moves(&hole.outline().transformed(place), depth, &cutter)
                        .ok_or_else(|| Error::Fault(format!("no way to cut the {about}")))?;
                    cut.push(Operation { kind: OperationKind::Cutout, about, moves });
                }
            }
        }
        let about = format!("{}, outline", part.name);
        let moves = profile::moves(&part.outline.transformed(place), sheet.thickness, depth, &cutter)
            .ok_or_else(|| Error::Fault(format!("no way around the {about}")))?;
        outlines.push((part.outline.area(), Operation { kind: OperationKind::Outline, about, moves }));
    }

    let mut at = kurbo::Point::ORIGIN;
    let mut runs = Vec::new();
    for (which, operations) in drilled.into_iter().enumerate().filter(|(_, operations)| !operations.is_empty()) {
        let tool = Arc::clone(&router.drills[which]);
        let feeds = Feeds::new(&tool, material, &router.machine);
        runs.push(Run { number: which as u32 + 2, tool, feeds, operations: order::nearest(operations, &mut at) });
    }
    let mut operations = order::nearest(cut, &mut at);
    operations.extend(order::small_first(outlines, &mut at));
    if !operations.is_empty() {
        runs.push(Run { number: 1, tool: Arc::clone(&router.cutter), feeds: cutter.feeds, operations });
    }
    Ok(Route { sheet: index, runs })
}

/// The cutter as the operations need to know it.
#[derive(Clone, Copy, Debug)]
struct CutterAt<'a> {
    tool: &'a Tool,
    feeds: Feeds,
    /// Height for rapid moves.
    clear: f64,
}
