//! What is to be done on one sheet: the tasks of every piece, tool by tool.

use super::feeds::Feeds;
use super::order::{self, Task};
use super::template::Template;
use super::{CutterAt, Holding, Operation, OperationKind, Route, Run, Screw};
use super::{bore, drill, screws, shared};
use crate::design::Part;
use crate::error::Error;
use crate::geometry::Point;
use crate::job::{Job, Router};
use crate::layout::Sheet;
use crate::profile::{Material, ToolChange};
use std::sync::Arc;

/// A mark for a screw is so deep (mm), unless a drill makes a hole for it.
const MARK: f64 = 1.0;
/// A drill no wider than this makes holes for screws right through (mm).
const SCREW_HOLE: f64 = 5.0;

/// The route of a sheet.
///
/// # Errors
/// [`Error::Fault`] when no way is found around a piece.
pub(super) fn route(
    job: &Job,
    router: &Router,
    parts: &[Part],
    templates: &[Template],
    index: usize,
    sheet: &Sheet,
) -> Result<Route, Error> {
    let material = &job.stock[sheet.stock].material;
    let cutting = &router.cutting;
    let marks = Marks {
        router,
        material,
        cutter: CutterAt::new(router, material),
        through: sheet.thickness + router.machine.spoilboard.value,
    };
    let mut holding = Holding::default();
    let mut findings = Vec::new();
    if cutting.screws {
        holding.screws = screws::plan(router, parts, sheet);
        findings.push(screws::check(router, parts, index, sheet, &holding.screws));
    }
    let mut drilled: Vec<Vec<Task>> = vec![Vec::new(); router.drills.len()];
    let mut cut: Vec<Task> = Vec::new();
    for (i, placement) in sheet.placements.iter().enumerate() {
        let place = placement.affine(&parts[placement.part]);
        let template = &templates[placement.part];
        for (which, task) in &template.drilled {
            drilled[*which].push(task.moved(place));
        }
        cut.extend(template.cut.iter().map(|task| task.moved(place)));
        holding.tabs.extend(template.tabs.iter().map(|tab| tab.of(i, place)));
    }
    for (i, placement) in sheet.placements.iter().enumerate() {
        let (part, template) = (&parts[placement.part], &templates[placement.part]);
        let place = placement.affine(part);
        // A cut never takes the wood to which another piece is held.
        let others = shared::near(&holding.tabs, i, place, part, &marks.cutter);
        if others.is_empty() {
            cut.extend(template.outline.iter().map(|task| task.moved(place)));
        } else {
            let outline = Template::outline_beside(job, router, part, &others)?;
            cut.extend(outline.iter().map(|task| task.moved(place)));
        }
    }

    let [x, y] = router.machine.park.value;
    let park = Point::new(x, y);
    let mut at = park;
    // Each program begins and ends at the park position.
    let alone = router.machine.tool_change.value == ToolChange::None;
    let beginnings = |tasks: &[Task]| -> Vec<Point> {
        tasks.iter().flat_map(|task| &task.ways).filter_map(|way| Some(way.first()?.end().flat())).collect()
    };
    let to_cut = if alone || cut.is_empty() { vec![park] } else { beginnings(&cut) };
    let mut runs: Vec<Run> = Vec::new();
    for (which, tasks) in drilled.into_iter().enumerate().filter(|(_, tasks)| !tasks.is_empty()) {
        if alone {
            at = park;
        }
        let tool = Arc::clone(&router.drills[which]);
        let feeds = marks.drill_feeds(which);
        findings.push(feeds.check(&tool, material, &router.machine));
        let mut operations = Vec::new();
        if runs.is_empty() {
            operations.extend(marks.screws(&holding.screws, Some(which), &mut at, &beginnings(&tasks)));
        }
        let holes = order::ordered(tasks, &mut at, &to_cut);
        operations.extend(drill::grouped(holes, &holding.screws, tool.diameter.value));
        runs.push(Run { number: which as u32 + 2, tool, feeds, operations });
    }
    if alone {
        at = park;
    }
    let mut operations = Vec::new();
    if runs.is_empty() {
        operations.extend(marks.screws(&holding.screws, None, &mut at, &beginnings(&cut)));
    }
    operations.extend(order::ordered(cut, &mut at, &[park]));
    if !operations.is_empty() {
        findings.push(marks.cutter.feeds.check(&router.cutter, material, &router.machine));
        let feeds = marks.cutter.feeds;
        runs.push(Run { number: 1, tool: Arc::clone(&router.cutter), feeds, operations });
    }
    Ok(Route { sheet: index, runs, holding, findings })
}

/// What the screws of a sheet need.
struct Marks<'a> {
    router: &'a Router,
    material: &'a Material,
    cutter: CutterAt<'a>,
    /// Depth of a hole right through.
    through: f64,
}

impl Marks<'_> {
    fn drill_feeds(&self, which: usize) -> Feeds {
        Feeds::new(&self.router.drills[which], self.material, &self.router.machine, &self.router.cutting)
    }

    /// Marks for the screws, or holes where a drill is thin enough, and a stop to drive them.
    fn screws(&self, screws: &[Screw], drill: Option<usize>, at: &mut Point, then: &[Point]) -> Vec<Operation> {
        let tasks: Vec<Task> = screws
            .iter()
            .map(|screw| {
                let moves = match drill {
                    Some(which) => {
                        let tool = &self.router.drills[which];
                        let depth = if tool.diameter.value <= SCREW_HOLE { self.through } else { MARK };
                        drill::moves(screw.at, depth, tool, &self.drill_feeds(which), 0.0, self.cutter.clear)
                    }
                    None => bore::dimple(screw.at, MARK, &self.cutter),
                };
                Task { kind: OperationKind::Screw, about: "mark for a screw".into(), rank: 0, ways: vec![moves] }
            })
            .collect();
        let mut marks = order::ordered(tasks, at, then);
        if let Some(last) = marks.last_mut() {
            last.pause = Some(format!(
                "drive {} screws at the marks, heads no wider than {}; none through a part",
                screws.len(),
                self.router.machine.units.show(screws::HEAD)
            ));
        }
        marks
    }
}
