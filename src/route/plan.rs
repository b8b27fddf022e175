//! What is to be done on one sheet: the tasks of every piece, tool by tool.

use super::can::drill_for;
use super::feeds::Feeds;
use super::lead::Leads;
use super::moves::Move;
use super::order::{self, Task};
use super::profile::{Around, Tabs};
use super::tabs::{self, Wish};
use super::track::Track;
use super::{CutterAt, Cutting, Hold, Holding, Lead, Operation, OperationKind, Route, Run, Screw, Tab};
use super::{bore, drill, pocket, relief, screws};
use crate::design::{Part, PartHole};
use crate::error::Error;
use crate::geometry::{Affine, Outline, Point, offset};
use crate::job::{Job, Router};
use crate::layout::Sheet;
use crate::profile::Material;
use std::sync::Arc;

/// An opening wider than this many cutters is cut out in one piece, not cleared.
const CLEARED: f64 = 5.0;
/// A mark for a screw is so deep (mm), unless a drill makes a hole for it.
const MARK: f64 = 1.0;
/// A drill no wider than this makes holes for screws right through (mm).
const SCREW_HOLE: f64 = 5.0;
/// Wood between a lead and the next part (mm).
const HAIR: f64 = 0.1;

/// The route of a sheet.
pub(super) fn route(job: &Job, router: &Router, parts: &[Part], index: usize, sheet: &Sheet) -> Result<Route, Error> {
    let material = &job.stock[sheet.stock].material;
    let cutting = &router.cutting;
    let planner = Planner {
        router,
        cutting,
        material,
        sheet,
        cutter: CutterAt {
            tool: &router.cutter,
            feeds: Feeds::new(&router.cutter, material, &router.machine, cutting),
            clear: router.machine.clear.value,
            cutting,
        },
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
        let part = &parts[placement.part];
        let piece = Piece { index: i, part, place: placement.affine(part) };
        for hole in &part.holes {
            match drill_for(router, hole.width).filter(|_| hole.is_round()) {
                Some((which, _)) => drilled[which].push(planner.drilled(&piece, hole, which)),
                None => cut.push(planner.opening(&piece, hole)?),
            }
        }
        cut.extend(planner.pockets(&piece)?);
        cut.extend(planner.outline(&piece, &mut holding)?);
    }

    let [x, y] = router.machine.park.value;
    let mut at = Point::new(x, y);
    let mut runs: Vec<Run> = Vec::new();
    for (which, tasks) in drilled.into_iter().enumerate().filter(|(_, tasks)| !tasks.is_empty()) {
        let tool = Arc::clone(&router.drills[which]);
        let feeds = planner.drill_feeds(which);
        findings.push(feeds.check(&tool, material, &router.machine));
        let mut operations = Vec::new();
        if runs.is_empty() {
            operations.extend(planner.screw_marks(&holding.screws, Some(which), &mut at));
        }
        operations.extend(drill::grouped(order::ordered(tasks, &mut at), &holding.screws, tool.diameter.value));
        runs.push(Run { number: which as u32 + 2, tool, feeds, operations });
    }
    let mut operations = Vec::new();
    if runs.is_empty() {
        operations.extend(planner.screw_marks(&holding.screws, None, &mut at));
    }
    operations.extend(order::ordered(cut, &mut at));
    if !operations.is_empty() {
        findings.push(planner.cutter.feeds.check(&router.cutter, material, &router.machine));
        let feeds = planner.cutter.feeds;
        runs.push(Run { number: 1, tool: Arc::clone(&router.cutter), feeds, operations });
    }
    Ok(Route { sheet: index, runs, holding, findings })
}

/// A part in its place on the sheet.
struct Piece<'a> {
    /// Index into the sheet's placements.
    index: usize,
    part: &'a Part,
    place: Affine,
}

struct Planner<'a> {
    router: &'a Router,
    cutting: &'a Cutting,
    material: &'a Material,
    sheet: &'a Sheet,
    cutter: CutterAt<'a>,
    /// Depth of a cut right through.
    through: f64,
}

impl Planner<'_> {
    fn drill_feeds(&self, which: usize) -> Feeds {
        Feeds::new(&self.router.drills[which], self.material, &self.router.machine, self.cutting)
    }

    fn drilled(&self, piece: &Piece, hole: &PartHole, which: usize) -> Task {
        let (drill, feeds) = (&self.router.drills[which], self.drill_feeds(which));
        let at = piece.place * hole.centre;
        let moves = drill::moves(at, self.through, drill, &feeds, self.cutting.dwell, self.cutter.clear);
        Task { kind: OperationKind::Drill, about: about(piece, hole.use_.name()), rank: 0, ways: vec![moves] }
    }

    /// A hole or slot that the cutter makes.
    fn opening(&self, piece: &Piece, hole: &PartHole) -> Result<Task, Error> {
        let about = about(piece, hole.use_.name());
        let wider = self.cutting.hole_allowance;
        let task = |kind, ways| Task { kind, about: about.clone(), rank: 0, ways };
        let wide = (hole.width + wider) / self.cutter.diameter();
        if hole.is_round() && wide <= bore::WIDEST {
            let at = piece.place * hole.centre;
            let moves = bore::moves(at, hole.width + wider, self.through, &self.cutter);
            return Ok(task(OperationKind::Bore, vec![moves]));
        }
        let larger = PartHole { length: hole.length + wider, width: hole.width + wider, ..hole.clone() };
        let outline = larger.outline().transformed(piece.place);
        if wide > CLEARED {
            let ways = self.cut_out(&outline).ok_or_else(|| fault(&about))?;
            return Ok(task(OperationKind::Cutout, ways));
        }
        let clearing = pocket::Clearing { area: &[outline], depth: self.through, spurs: &[] };
        let moves = clearing.moves(&self.cutter).ok_or_else(|| fault(&about))?;
        let kind = if hole.is_round() { OperationKind::Bore } else { OperationKind::Pocket };
        Ok(task(kind, vec![moves]))
    }

    fn pockets(&self, piece: &Piece) -> Result<Vec<Task>, Error> {
        let part = piece.part;
        let relieved = relief::pockets(part, self.cutting, self.cutter.radius());
        let tasks = part.pockets.iter().zip(relieved).map(|(pocket, relieved)| {
            let about = about(piece, &pocket.purpose);
            let area = [pocket.outline.transformed(piece.place)];
            let spurs: Vec<_> =
                relieved.spurs(self.cutter.radius()).into_iter().map(|spur| spur.moved(piece.place)).collect();
            let clearing = pocket::Clearing { area: &area, depth: pocket.depth, spurs: &spurs };
            let moves = clearing.moves(&self.cutter).ok_or_else(|| fault(&about))?;
            Ok(Task { kind: OperationKind::Pocket, about, rank: 0, ways: vec![moves] })
        });
        tasks.collect()
    }

    /// An opening whose middle comes out in one piece, held by tabs of its own.
    fn cut_out(&self, outline: &Outline) -> Option<Vec<Vec<Move>>> {
        let track = |away: f64| {
            let path = offset(outline, -away).into_iter().max_by(|a, b| a.area().total_cmp(&b.area()))?;
            let track = Track::new(&path);
            Some(if self.cutter.climb() { track } else { track.reversed() })
        };
        let off = self.cutter.radius() / 2.0;
        let wish = self.wish(&[], outline.area(), false);
        self.contour(outline, &track, off, &wish).map(|(ways, _, _)| ways)
    }

    /// Around a piece, and its skin where one was left.
    fn outline(&self, piece: &Piece, holding: &mut Holding) -> Result<Vec<Task>, Error> {
        let part = piece.part;
        let name = about(piece, "outline");
        let outline = part.outline.transformed(piece.place);
        let relieved = relief::outline(part, self.cutting, self.cutter.radius());
        let track = |away: f64| {
            let path = offset(&outline, away).into_iter().max_by(|a, b| a.area().total_cmp(&b.area()))?;
            let spurs: Vec<_> = relieved.spurs(away).into_iter().map(|spur| spur.moved(piece.place)).collect();
            let track = Track::new(&path).with_spurs(&spurs)?;
            Some(if self.cutter.climb() { track.reversed() } else { track })
        };
        // The next part is a gap away: the leads take no more of it than the clearance.
        let off = (self.router.clearance - HAIR).min(self.cutter.radius() / 2.0);
        let avoid: Vec<Outline> = part
            .holes
            .iter()
            .map(PartHole::outline)
            .chain(part.pockets.iter().map(|pocket| pocket.outline.clone()))
            .map(|shape| shape.transformed(piece.place))
            .collect();
        let wish = self.wish(&avoid, part.outline.area(), true);
        let (ways, track, tabs) = self.contour(&outline, &track, off, &wish).ok_or_else(|| fault(&name))?;
        let height = self.sheet.thickness + self.tab_top();
        holding.tabs.extend(tabs.iter().map(|s| {
            let (at, along) = (track.at(*s), track.direction(*s));
            // From the cutter's middle back to the outline: the part is on the right of a climb cut.
            let inwards = if self.cutter.climb() { 1.0 } else { -1.0 } * self.cutter.radius();
            let at = at + crate::geometry::Vec2::new(along.y, -along.x) * inwards;
            Tab { placement: piece.index, at, along, width: self.cutting.tab_width, height }
        }));
        // Small parts go before large ones, which hold what is around them.
        let rank = (part.outline.area() / SMALLEST).log2().div_euclid(2.0).max(0.0) as usize;
        let mut tasks = vec![Task { kind: OperationKind::Outline, about: name, rank, ways }];
        if self.cutting.hold == Hold::OnionSkin {
            let ways = self.skin(&track, &outline, &tabs);
            tasks.push(Task { kind: OperationKind::Skin, about: about(piece, "skin"), rank, ways });
        }
        Ok(tasks)
    }

    /// Along an outline down through the sheet, with tabs; also the track of the last pass, and the tabs on it.
    ///
    /// `track` gives the cutter's way at a distance from the outline; `off` is the room for leads.
    fn contour(
        &self,
        wall: &Outline,
        track: &dyn Fn(f64) -> Option<Track>,
        off: f64,
        wish: &Wish,
    ) -> Option<(Vec<Vec<Move>>, Track, Vec<f64>)> {
        let cutter = &self.cutter;
        let last = track(cutter.radius())?;
        let tabs = tabs::places(&last, wish);
        let skin = self.cutting.hold == Hold::OnionSkin && wish.outside;
        let depth =
            if skin { self.sheet.thickness - self.cutting.skin.min(self.sheet.thickness / 2.0) } else { self.through };
        let half = (wish.width + wish.diameter) / 2.0;
        let held = |at| if skin { Tabs::NONE } else { Tabs { at, half, top: self.tab_top() } };
        let style = if off >= LEAST_LEAD { cutter.lead() } else { Lead::None };
        let leads = Leads { style, off: if style == Lead::None { 0.0 } else { off }, waste_left: cutter.climb() };
        let passes = (depth / cutter.pass() - 1e-6).ceil().max(1.0) as usize;
        let finish = cutter.finish();
        let around = |track, at, from: f64, passes, leads, feed| Around {
            track,
            wall,
            leads,
            from,
            to: -depth,
            passes,
            tabs: held(at),
            feed,
        };
        let ways = if finish > 0.0 {
            let rough = track(cutter.radius() + finish)?;
            let rough_tabs: Vec<f64> = tabs.iter().map(|s| rough.nearest(last.at(*s))).collect();
            let roughs = around(&rough, &rough_tabs, 0.0, passes, leads, cutter.feeds.cut).ways(cutter);
            // The last pass comes from the middle of the slot that the first have cut.
            let leads = Leads { off: if style == Lead::None { 0.0 } else { finish }, ..leads };
            let fine = around(&last, &tabs, -depth, 1, leads, cutter.feeds.side).ways(cutter);
            roughs.into_iter().filter_map(|rough| joined(rough, &fine)).collect()
        } else {
            around(&last, &tabs, 0.0, passes, leads, cutter.feeds.cut).ways(cutter)
        };
        Some((ways, last, tabs))
    }

    /// Slowly through what was left under an outline, except at its tabs.
    fn skin(&self, track: &Track, wall: &Outline, tabs: &[f64]) -> Vec<Vec<Move>> {
        let cutter = &self.cutter;
        let skin = self.cutting.skin.min(self.sheet.thickness / 2.0);
        let around = Around {
            track,
            wall,
            leads: Leads { style: Lead::None, off: 0.0, waste_left: cutter.climb() },
            from: skin - self.sheet.thickness,
            to: -self.through,
            passes: 1,
            tabs: Tabs {
                at: tabs,
                half: (self.cutting.tab_width + cutter.diameter()) / 2.0,
                top: skin - self.sheet.thickness,
            },
            feed: cutter.feeds.cut * SKIN_FEED,
        };
        around.ways(cutter)
    }

    fn wish<'a>(&self, avoid: &'a [Outline], area: f64, outside: bool) -> Wish<'a> {
        let rise = self.through + self.tab_top();
        Wish {
            width: self.cutting.tab_width,
            diameter: self.cutter.diameter(),
            fall: rise / self.cutter.slope(),
            avoid,
            area,
            outside,
        }
    }

    /// Height at which the cutter goes over a tab.
    fn tab_top(&self) -> f64 {
        let thickness = self.sheet.thickness;
        match self.cutting.hold {
            Hold::Tabs => self.cutting.tab_height.min(thickness / 2.0) - thickness,
            Hold::OnionSkin => self.cutting.skin.min(thickness / 2.0) - thickness,
        }
    }

    /// Marks for the screws, or holes where a drill is thin enough, and a stop to drive them.
    fn screw_marks(&self, screws: &[Screw], drill: Option<usize>, at: &mut Point) -> Vec<Operation> {
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
        let mut marks = order::ordered(tasks, at);
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

/// Parts up to this area are the smallest class (mm²); each next class is four times as large.
const SMALLEST: f64 = 4_000.0;
/// A skin is cut at this share of the feed: nothing else holds the part any more.
const SKIN_FEED: f64 = 0.5;
/// With less room than this beside the outline there is no lead (mm).
const LEAST_LEAD: f64 = 0.2;

fn about(piece: &Piece, what: &str) -> String {
    format!("{}, {what}", piece.part.name)
}

fn fault(about: &str) -> Error {
    Error::Fault(format!("no way to cut the {about}"))
}

/// A rough way and, of the fine ones, the one that begins nearest to its end, with nothing but air between.
fn joined(mut rough: Vec<Move>, fine: &[Vec<Move>]) -> Option<Vec<Move>> {
    let end = rough.last()?.end().flat();
    let begins = |way: &Vec<Move>| way.first().map_or(f64::INFINITY, |first| first.end().flat().distance(end));
    let fine = fine.iter().min_by(|a, b| begins(a).total_cmp(&begins(b)))?;
    rough.extend_from_slice(fine);
    Some(rough)
}
