//! What is to be done on one sheet: the tasks of every piece, tool by tool.

use super::feeds::Feeds;
use super::order::{self, Neighbours, Task};
use super::template::Template;
use super::{CutterAt, Form, Holding, Operation, OperationKind, Pin, Route, Run, Screw, SheetFace};
use super::{bore, drill, flip, label, pins, screws, shared, suits};
use crate::design::Part;
use crate::error::Error;
use crate::finding::Finding;
use crate::geometry::{Point, Rect};
use crate::job::{Flip, Job, Router};
use crate::layout::{Sheet, holders, off_cuts};
use crate::profile::{Material, ToolChange};
use crate::words::counted;
use std::sync::Arc;

/// A mark for a screw is this deep (mm): the wood below it is what the screw holds in.
const MARK: f64 = 1.0;

/// What all sheets of a job have in common.
#[derive(Clone, Copy)]
pub(super) struct Plan<'a> {
    pub job: &'a Job,
    pub router: &'a Router,
    pub parts: &'a [Part],
    /// How each part is cut, and what is done to it then.
    pub forms: &'a [Form],
    pub templates: &'a [Template],
}

impl Plan<'_> {
    /// The routes of a sheet: one, or one for each face where it is turned over.
    ///
    /// # Errors
    /// [`Error::Refused`] when the sheet is to be turned over and has no room for pins; [`Error::Fault`] when no path is found
    /// around a piece.
    pub fn routes(&self, index: usize, sheet: &Sheet) -> Result<Vec<Route>, Error> {
        let Plan { job, router, parts, .. } = *self;
        let turned = sheet.placements.iter().any(|placement| flip::two_sided(&parts[placement.part]));
        let flip = router.cutting.flip.filter(|_| turned);
        let mut second = self.route((index, sheet), flip)?;
        let Some(flip) = flip else { return Ok(vec![second]) };
        second.face = Some(SheetFace::Second);
        let first = first_face(job, router, parts, (index, sheet), &second.holding, flip)?;
        Ok(vec![first, second])
    }

    /// The route of a sheet that lies as it is drawn.
    fn route(&self, (index, sheet): (usize, &Sheet), flip: Option<Flip>) -> Result<Route, Error> {
        let Plan { job, router, parts, templates, .. } = *self;
        let material = &job.stock[sheet.stock].material;
        let cutting = &router.cutting;
        let marks = Marks {
            router,
            material,
            cutter: CutterAt::new(router, material),
            sheet,
            neighbours: Neighbours::of(sheet, parts, router.gap() + router.cutter.diameter.value),
        };
        let mut holding = Holding::default();
        let mut findings = Vec::new();
        let mut drilled: Vec<Vec<Task>> = vec![Vec::new(); router.drills.len()];
        let mut cut: Vec<Task> = Vec::new();
        let held = holders(&sheet.placements, parts);
        for (i, placement) in sheet.placements.iter().enumerate() {
            let place = placement.affine(&parts[placement.part]);
            let template = &templates[placement.part];
            for (which, task) in &template.drilled {
                drilled[*which].push(task.moved(place, i));
            }
            // What has a piece in it is cut around: its middle holds that piece.
            let around = template.around.iter().filter(|(hole, ..)| held.iter().flatten().any(|it| it.is(i, *hole)));
            let instead: Vec<&(usize, usize, Task)> = around.collect();
            cut.extend(template.cut.iter().enumerate().map(|(which, task)| {
                let around = instead.iter().find(|(_, other, _)| *other == which);
                Task { rank: task.rank, ..around.map_or(task, |(_, _, around)| around).moved(place, i) }
            }));
            holding.tabs.extend(template.tabs.iter().map(|tab| tab.of(i, place)));
        }
        for (i, placement) in sheet.placements.iter().enumerate() {
            let (part, template) = (&parts[placement.part], &templates[placement.part]);
            let place = placement.affine(part);
            // A cut never takes the wood to which another piece is held.
            let others = shared::near(&holding.tabs, i, place, part, &marks.cutter);
            if others.is_empty() {
                cut.extend(template.outline.iter().map(|task| task.moved(place, i)));
            } else {
                let outline = Template::outline_beside(job, router, part, self.forms[placement.part], &others)?;
                cut.extend(outline.iter().map(|task| task.moved(place, i)));
            }
        }

        // The narrowest drill goes first: it is the best to mark screws with.
        let diameter = |which: usize| router.drills[which].diameter.value;
        let mut drilled: Vec<(usize, Vec<Task>)> =
            drilled.into_iter().enumerate().filter(|(_, tasks)| !tasks.is_empty()).collect();
        drilled.sort_by(|a, b| diameter(a.0).total_cmp(&diameter(b.0)));
        let kept = off_cuts(sheet, parts, router.cutter.diameter.value, &job.stock[sheet.stock]);
        if let Some(flip) = flip {
            holding.pins = pins::plan(job, router, flip, parts, (index, sheet), (&holding.tabs, &kept))?;
        }
        if cutting.screws {
            let mark = drilled.first().map_or(router.cutter.diameter.value, |(which, _)| diameter(*which));
            holding.screws = screws::plan(router, parts, (sheet, &job.stock[sheet.stock], &kept), &holding, mark);
            findings.push(screws::check(job, router, parts, (index, sheet), &holding.screws));
        }
        findings.extend(screws::in_off_cuts(job, index, &kept, &holding));
        let on_it = (0..parts.len()).filter(|i| sheet.placements.iter().any(|placement| placement.part == *i));
        for part in on_it.map(|i| &parts[i]) {
            findings.extend(label::told(job, router, part));
            findings.extend(label::lines_told(job, router, part));
            findings.extend(label::holes_told(job, router, part));
        }
        let runs = marks.runs(&holding.screws, drilled, cut, &mut findings);
        Ok(Route { sheet: index, face: None, runs, holding, findings })
    }
}

/// What is cut with the sheet's other face up: the holes for the pins, and the recesses of that face.
fn first_face(
    job: &Job,
    router: &Router,
    parts: &[Part],
    (index, sheet): (usize, &Sheet),
    held: &Holding,
    flip: Flip,
) -> Result<Route, Error> {
    let mirror = flip.mirror(sheet.length, sheet.width);
    let sheet_over = flip::sheet(sheet, parts, flip);
    let material = &job.stock[sheet.stock].material;
    let marks = Marks {
        router,
        material,
        cutter: CutterAt::new(router, material),
        sheet: &sheet_over,
        neighbours: Neighbours::of(&sheet_over, parts, router.gap() + router.cutter.diameter.value),
    };
    let holding = Holding {
        tabs: Vec::new(),
        screws: held.screws.iter().map(|screw| Screw { at: mirror * screw.at, ..*screw }).collect(),
        pins: held.pins.iter().map(|pin| Pin { at: mirror * pin.at, ..*pin }).collect(),
    };
    let mut cut: Vec<Task> = Vec::new();
    for (i, placement) in sheet_over.placements.iter().enumerate() {
        if flip::two_sided(&parts[placement.part]) {
            let over = flip::part(&parts[placement.part], flip);
            let place = placement.affine(&over);
            cut.extend(Template::recesses(job, router, &over)?.iter().map(|task| task.moved(place, i)));
        }
    }
    let mut drilled: Vec<(usize, Vec<Task>)> = Vec::new();
    for pin in &holding.pins {
        let depth = sheet.thickness + pin.depth;
        let task = |moves| Task {
            kind: OperationKind::Pin,
            about: "hole for a pin".into(),
            rank: 0,
            piece: None,
            variants: vec![moves],
        };
        if let Some((which, drill)) = router.drill_for(pin.diameter) {
            let feeds = marks.drill_feeds(which);
            let moves = drill::moves(pin.at, depth, drill, &feeds, 0.0, marks.cutter.clear);
            match drilled.first_mut() {
                Some((_, tasks)) => tasks.push(task(moves)),
                None => drilled.push((which, vec![task(moves)])),
            }
        } else {
            cut.push(task(bore::moves(pin.at, pin.diameter, depth, &marks.cutter)));
        }
    }
    let mut findings = Vec::new();
    let runs = marks.runs(&holding.screws, drilled, cut, &mut findings);
    Ok(Route { sheet: index, face: Some(SheetFace::First), runs, holding, findings })
}

/// What the screws of a sheet need.
struct Marks<'a> {
    router: &'a Router,
    material: &'a Material,
    cutter: CutterAt<'a>,
    sheet: &'a Sheet,
    neighbours: Neighbours,
}

impl Marks<'_> {
    /// Tool by tool, drills first: the screws are marked and driven with the first of them.
    fn runs(
        &self,
        screws: &[Screw],
        drilled: Vec<(usize, Vec<Task>)>,
        cut: Vec<Task>,
        findings: &mut Vec<Finding>,
    ) -> Vec<Run> {
        let router = self.router;
        let [x, y] = self.router.machine.park.value;
        let park = Point::new(x, y);
        let mut at = park;
        // Each program begins and ends at the park position.
        let alone = self.router.machine.tool_change.value == ToolChange::None;
        let beginnings = |tasks: &[Task]| -> Vec<Point> {
            tasks.iter().flat_map(|task| &task.variants).filter_map(|moves| Some(moves.first()?.end().flat())).collect()
        };
        let to_cut = if cut.is_empty() { vec![park] } else { beginnings(&cut) };
        let after_drills = if alone { vec![park] } else { to_cut.clone() };
        let mut runs: Vec<Run> = Vec::new();
        for (which, tasks) in drilled {
            if alone {
                at = park;
            }
            let tool = Arc::clone(&router.drills[which]);
            let feeds = self.drill_feeds(which);
            findings.push(feeds.check(&tool, self.material, &router.machine));
            findings.extend(suits::point(router, &tool));
            let mut operations = Vec::new();
            if runs.is_empty() {
                operations.extend(self.screws(screws, Some(which), &mut at, &beginnings(&tasks)));
            }
            let holes = self.ordered(tasks, &mut at, &after_drills);
            operations.extend(drill::grouped(holes, screws, tool.diameter.value));
            runs.push(Run { number: which as u32 + 2, tool, feeds, operations });
        }
        if alone {
            at = park;
        }
        let mut operations = Vec::new();
        if runs.is_empty() {
            operations.extend(self.screws(screws, None, &mut at, &to_cut));
        }
        operations.extend(self.ordered(cut, &mut at, &[park]));
        if !operations.is_empty() {
            findings.push(self.cutter.feeds.check(&router.cutter, self.material, &router.machine));
            findings.extend(suits::cutter(&self.cutter, self.sheet.thickness + router.machine.spoilboard.value));
            let feeds = self.cutter.feeds;
            runs.push(Run { number: 1, tool: Arc::clone(&router.cutter), feeds, operations });
        }
        runs
    }

    fn drill_feeds(&self, which: usize) -> Feeds {
        Feeds::new(&self.router.drills[which], self.material, &self.router.machine, &self.router.cutting)
    }

    fn ordered(&self, tasks: Vec<Task>, at: &mut Point, then: &[Point]) -> Vec<Operation> {
        order::ordered(tasks, &self.neighbours, at, then, self.router.machine.rapid.value)
    }

    /// Where the spindle may wait while screws are driven, far enough from all of them: parked where that is beside the
    /// sheet, else parked or over a corner of the sheet. Where none is far enough: the farthest.
    fn waiting_places(&self, screws: &[Screw]) -> Vec<Point> {
        /// Room for a hand and a driver beside the spindle (mm).
        const ROOM: f64 = 150.0;
        let away = |at: Point| screws.iter().map(|screw| screw.at.distance(at)).fold(f64::INFINITY, f64::min);
        let [x, y] = self.router.machine.park.value;
        let park = Point::new(x, y);
        let (l, w) = (self.sheet.length, self.sheet.width);
        let places = [park, Point::ORIGIN, Point::new(l, 0.0), Point::new(l, w), Point::new(0.0, w)];
        let beside = !Rect::new(0.0, 0.0, l, w).inflate(1.0, 1.0).contains(park);
        if beside && away(park) >= ROOM {
            return vec![park];
        }
        let free: Vec<Point> = places.into_iter().filter(|place| away(*place) >= ROOM).collect();
        if free.is_empty() {
            return vec![
                places.into_iter().fold(park, |best, it| if away(it) > away(best) + 1e-6 { it } else { best }),
            ];
        }
        free
    }

    /// Marks for the screws, or holes where a drill is thin enough, and a stop to drive them; `then` is where the next
    /// operations may begin.
    fn screws(&self, screws: &[Screw], drill: Option<usize>, at: &mut Point, then: &[Point]) -> Vec<Operation> {
        let tasks: Vec<Task> = screws
            .iter()
            .map(|screw| {
                let moves = match drill {
                    Some(which) => {
                        let tool = &self.router.drills[which];
                        // A centre point makes the mark, and its edges stay above the sheet.
                        let depth = MARK - tool.point.value;
                        drill::moves(screw.at, depth, tool, &self.drill_feeds(which), 0.0, self.cutter.clear)
                    }
                    None => bore::dimple(screw.at, MARK, &self.cutter),
                };
                Task {
                    kind: OperationKind::Screw,
                    about: "mark for a screw".into(),
                    rank: 0,
                    piece: None,
                    variants: vec![moves],
                }
            })
            .collect();
        // Where the path over all marks and on is the shortest.
        let tries = self.waiting_places(screws).into_iter().map(|wait| {
            let mut end = *at;
            let marks = self.ordered(tasks.clone(), &mut end, &[wait]);
            let onward = then.iter().map(|next| next.distance(wait)).reduce(f64::min).unwrap_or(0.0);
            let places = marks.iter().filter_map(|mark| Some(mark.moves.first()?.end().flat())).chain([wait]);
            let (length, _) = places.fold((onward, *at), |(length, from), to| (length + from.distance(to), to));
            (length, wait, marks)
        });
        let Some((_, wait, mut marks)) = tries.min_by(|a, b| a.0.total_cmp(&b.0)) else { return Vec::new() };
        if let Some(which) = drill {
            // Up between them: some screws may be in already.
            marks = drill::grouped(marks, screws, self.router.drills[which].diameter.value);
        }
        if let Some(last) = marks.last_mut() {
            last.moves.push(super::Move::Rapid(super::Space::new(wait, self.cutter.clear)));
            *at = wait;
            last.pause = Some(format!(
                "drive {} at the marks, heads no wider than {}; none through a part",
                counted(screws.len(), "screw"),
                self.router.machine.units.show(crate::job::SCREW_HEAD)
            ));
        }
        marks
    }
}
