//! What is to be done to one part, in the part's own frame.
//!
//! All pieces of a part are cut alike, so this is worked out once, and then put wherever a piece lies.

use super::feeds::Feeds;
use super::lead::Leads;
use super::moves::Move;
use super::order::Task;
use super::profile::{Around, Stay};
use super::tabs::{self, Wish};
use super::track::Track;
use super::{CutterAt, Form, Openings, OperationKind, Tab};
use super::{bore, drill, holding, label, pocket, relief};
use crate::design::{Hole, Part, ScrewHole};
use crate::error::Error;
use crate::geometry::math::log2;
use crate::geometry::{Affine, Outline, Point, Rect, Vec2, offset};
use crate::job::{Hold, Job, Lead, Router};
use crate::profile::Material;

/// Parts up to this area are the smallest class (mm²); each next class is four times as large.
const SMALLEST: f64 = 4_000.0;
/// A skin is cut at this share of the feed: nothing else holds the part any more.
const SKIN_FEED: f64 = 0.5;
/// What comes out of an opening is held by tabs no narrower and no lower than this (mm), whatever those of parts are: it
/// stands free of everything else.
const INNER_TAB: (f64, f64) = (4.0, 1.5);
/// With less room than this beside the outline there is no lead (mm).
const LEAST_LEAD: f64 = 0.2;

/// Width and height of the tabs that hold what comes out of an opening, and their width at the sheet's lower face (mm).
pub fn opening_tabs(router: &Router) -> [f64; 3] {
    let (width, height) = (router.cutting.tab_width.max(INNER_TAB.0), router.cutting.tab_height.max(INNER_TAB.1));
    [width, height, holding::foot(width, height, &router.cutter)]
}

/// The tasks of one part, and its tabs (all of placement 0).
#[derive(Default)]
pub(super) struct Template {
    /// By the index of the drill.
    pub drilled: Vec<(usize, Task)>,
    pub cut: Vec<Task>,
    /// For an opening in which another piece lies: the hole's index, the index in `cut` of the task that this one takes the
    /// place of, and how its middle is cut around.
    pub around: Vec<(usize, usize, Task)>,
    /// Around it, where no tab of another piece is near.
    pub outline: Vec<Task>,
    pub tabs: Vec<Tab>,
}

impl Template {
    /// Everything that is done to a part.
    ///
    /// # Errors
    /// [`Error::Fault`] when no path is found for what [`super::can`] said could be cut.
    pub fn new(job: &Job, router: &Router, part: &Part, form: Form) -> Result<Template, Error> {
        let router = &form.router(router);
        let planner = Planner::new(job, router, part);
        let mut template = Template::default();
        for (i, hole) in part.holes.iter().enumerate() {
            match router.drill_for(hole.width).filter(|_| hole.is_round()) {
                Some((which, _)) => template.drilled.push((which, planner.drilled(hole, which))),
                None => {
                    template.cut.push(planner.opening(hole, form.openings)?);
                    if router.cutting.in_cut_outs && router.cuts_out(hole.width) {
                        template.around.push((i, template.cut.len() - 1, planner.around(hole)?));
                    }
                }
            }
        }
        for hole in part.bored() {
            match router.drill_for(hole.diameter) {
                Some((which, _)) => template.drilled.push((which, planner.screw_hole(hole, which))),
                None => template.cut.push(planner.bored(hole)),
            }
        }
        template.cut.extend(planner.pockets()?);
        template.cut.extend(planner.label());
        template.cut.extend(planner.joint_lines());
        planner.rank_where_they_meet(&mut template.cut);
        template.outline = planner.outline(&[], &mut template.tabs)?;
        Ok(template)
    }

    /// The recesses of a part, and nothing else.
    ///
    /// # Errors
    /// [`Error::Fault`] as above.
    pub fn recesses(job: &Job, router: &Router, part: &Part) -> Result<Vec<Task>, Error> {
        Planner::new(job, router, part).pockets()
    }

    /// Around a piece beside which others have tabs, in the part's frame: these are left standing.
    ///
    /// # Errors
    /// [`Error::Fault`] as above.
    pub fn outline_beside(
        job: &Job,
        router: &Router,
        part: &Part,
        form: Form,
        others: &[Tab],
    ) -> Result<Vec<Task>, Error> {
        Planner::new(job, &form.router(router), part).outline(others, &mut Vec::new())
    }
}

impl Tab {
    /// The tab of a piece that lies so.
    pub(super) fn of(&self, placement: usize, place: Affine) -> Tab {
        let along = place * self.along.to_point() - place * Vec2::ZERO.to_point();
        Tab { placement, at: place * self.at, along, ..*self }
    }
}

struct Planner<'a> {
    router: &'a Router,
    part: &'a Part,
    material: &'a Material,
    cutter: CutterAt<'a>,
    /// Depth of a cut right through.
    through: f64,
}

impl<'a> Planner<'a> {
    fn new(job: &'a Job, router: &'a Router, part: &'a Part) -> Planner<'a> {
        let material = &job.stock[part.stock].material;
        let through = part.thickness + router.machine.spoilboard.value;
        Planner { router, part, material, cutter: CutterAt::new(router, material), through }
    }
}

impl Planner<'_> {
    fn about(&self, what: &str) -> String {
        format!("{}, {what}", self.part.name)
    }

    fn drill_feeds(&self, which: usize) -> Feeds {
        Feeds::new(&self.router.drills[which], self.material, &self.router.machine, self.cutter.cutting)
    }

    fn drilled(&self, hole: &Hole, which: usize) -> Task {
        self.by_drill(hole.centre, self.through, hole.use_.name(), which)
    }

    fn by_drill(&self, at: Point, depth: f64, what: &str, which: usize) -> Task {
        let (drill, feeds) = (&self.router.drills[which], self.drill_feeds(which));
        let moves = drill::moves(at, depth, drill, &feeds, self.cutter.cutting.dwell, self.cutter.clear);
        Task { kind: OperationKind::Drill, about: self.about(what), rank: 0, piece: None, variants: vec![moves] }
    }

    /// A hole for a screw, by a drill.
    fn screw_hole(&self, hole: &ScrewHole, which: usize) -> Task {
        self.by_drill(hole.centre, hole.depth.unwrap_or(self.through), hole.bored.name(), which)
    }

    /// The same by the cutter.
    fn bored(&self, hole: &ScrewHole) -> Task {
        let (depth, about) = (hole.depth.unwrap_or(self.through), self.about(hole.bored.name()));
        let wide = hole.diameter + self.cutter.cutting.hole_allowance;
        let moves = bore::moves(hole.centre, wide, depth, &self.cutter);
        Task { kind: OperationKind::Bore, about, rank: 0, piece: None, variants: vec![moves] }
    }

    /// A hole, slot or rectangle that the cutter makes.
    fn opening(&self, hole: &Hole, openings: Openings) -> Result<Task, Error> {
        let about = self.about(hole.use_.name());
        let wider = self.cutter.cutting.hole_allowance;
        let task = |kind, variants| Task { kind, about: about.clone(), rank: 0, piece: None, variants };
        if hole.is_round() && hole.width + wider <= self.router.bores()[1] {
            let at = hole.centre;
            let moves = bore::moves(at, hole.width + wider, self.through, &self.cutter);
            return Ok(task(OperationKind::Bore, vec![moves]));
        }
        if self.router.cuts_out(hole.width) && openings == Openings::Asked && !self.router.as_chips(hole) {
            return self.around(hole);
        }
        let clearing = pocket::Clearing { area: &[self.as_made(hole)], depth: self.through, spurs: &[] };
        let moves = clearing.moves(&self.cutter).ok_or_else(|| fault(&about))?;
        let kind = if hole.is_round() { OperationKind::Bore } else { OperationKind::Pocket };
        Ok(task(kind, vec![moves]))
    }

    /// An opening whose middle comes out in one piece.
    fn around(&self, hole: &Hole) -> Result<Task, Error> {
        let about = self.about(hole.use_.name());
        let variants = self.cut_out(&self.as_made(hole)).ok_or_else(|| fault(&about))?;
        Ok(Task { kind: OperationKind::Cutout, about, rank: 0, piece: None, variants })
    }

    /// The outline of a hole with what it is made larger.
    fn as_made(&self, hole: &Hole) -> Outline {
        hole.grown(self.cutter.cutting.hole_allowance / 2.0).outline()
    }

    fn pockets(&self) -> Result<Vec<Task>, Error> {
        let part = self.part;
        let relieved = relief::pockets(part, self.cutter.cutting, self.cutter.radius());
        // What is in the other face is cut when that is up.
        let above = part.pockets.iter().zip(relieved).filter(|(pocket, _)| !pocket.under);
        let tasks = above.map(|(pocket, relieved)| {
            let about = self.about(&pocket.purpose);
            let area = [pocket.outline.clone()];
            let spurs = relieved.spurs(self.cutter.radius(), self.cutter.radius());
            let clearing = pocket::Clearing { area: &area, depth: pocket.depth, spurs: &spurs };
            let moves = clearing.moves(&self.cutter).ok_or_else(|| fault(&about))?;
            Ok(Task { kind: OperationKind::Pocket, about, rank: 0, piece: None, variants: vec![moves] })
        });
        tasks.collect()
    }

    fn label(&self) -> Option<Task> {
        let label = self.part.engraved()?;
        let variants = vec![label::moves(label.strokes.iter().map(Vec::as_slice), label.depth, &self.cutter)];
        Some(Task { kind: OperationKind::Label, about: self.about("label"), rank: 0, piece: None, variants })
    }

    fn joint_lines(&self) -> impl Iterator<Item = Task> {
        self.part.lined().map(|line| {
            let moves = label::moves(line.strokes.iter().map(|ends| &ends[..]), line.depth, &self.cutter);
            let about = self.about("joint line");
            Task { kind: OperationKind::Line, about, rank: 0, piece: None, variants: vec![moves] }
        })
    }

    /// Recesses go after the bores that they meet, and what comes out in one piece after the recesses: it is whole as long
    /// as anything is cut in it. Whatever meets nothing may be cut in any order.
    fn rank_where_they_meet(&self, tasks: &mut [Task]) {
        let room = self.cutter.diameter();
        let recesses = self.part.pockets.iter().filter(|pocket| !pocket.under);
        let recesses: Vec<Rect> = recesses.map(|pocket| pocket.outline.bounds().inflate(room, room)).collect();
        let holes = self.part.holes.iter().map(Hole::outline).chain(self.part.bored().map(ScrewHole::outline));
        let openings: Vec<Rect> = holes.map(|outline| outline.bounds()).collect();
        let meets = |a: &Rect, others: &[Rect]| others.iter().any(|b| a.overlaps(*b));
        if openings.iter().any(|opening| meets(opening, &recesses)) {
            for task in tasks {
                task.rank = match task.kind {
                    OperationKind::Bore => 0,
                    OperationKind::Cutout => 2,
                    _ => 1,
                };
            }
        }
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
        self.contour(outline, &track, off, &wish, &[]).map(|(variants, _, _)| variants)
    }

    /// Around a piece, and its skin where one was left. `others` are tabs of the pieces beside it.
    fn outline(&self, others: &[Tab], held: &mut Vec<Tab>) -> Result<Vec<Task>, Error> {
        let part = self.part;
        let name = self.about("outline");
        let outline = &part.outline;
        let relieved = relief::outline(part, self.cutter.cutting, self.cutter.radius());
        let track = |away: f64| {
            let path = offset(outline, away).into_iter().max_by(|a, b| a.area().total_cmp(&b.area()))?;
            let track = Track::new(&path).with_spurs(&relieved.spurs(away, self.cutter.radius()))?;
            Some(if self.cutter.climb() { track.reversed() } else { track })
        };
        let off = self.router.lead_off();
        let avoid: Vec<Outline> = part
            .holes
            .iter()
            .map(Hole::outline)
            .chain(part.screw_holes.iter().map(ScrewHole::outline))
            .chain(part.pockets.iter().map(|pocket| pocket.outline.clone()))
            .collect();
        let wish = self.wish(&avoid, part.outline.area(), true);
        let (variants, track, tabs) = self.contour(outline, &track, off, &wish, others).ok_or_else(|| fault(&name))?;
        let height = self.part.thickness + self.tab_top();
        held.extend(tabs.iter().map(|s| {
            let (at, along) = (track.at(*s), track.direction(*s));
            // From the cutter's middle back to the outline: the part is on the right of a climb cut.
            let inwards = if self.cutter.climb() { 1.0 } else { -1.0 } * self.cutter.radius();
            let at = at + Vec2::new(along.y, -along.x) * inwards;
            Tab { placement: 0, at, along, width: self.cutter.cutting.tab_width, height }
        }));
        // Small parts go before large ones, which hold what is around them.
        let rank = log2(part.outline.area() / SMALLEST).div_euclid(2.0).max(0.0) as usize;
        let mut tasks = vec![Task { kind: OperationKind::Outline, about: name, rank, piece: None, variants }];
        if self.cutter.cutting.hold == Hold::OnionSkin {
            let own = (wish.width, self.tab_top());
            let variants = self.skin(&track, outline, &self.stays(&track, &tabs, own, others, -self.through));
            tasks.push(Task { kind: OperationKind::Skin, about: self.about("skin"), rank, piece: None, variants });
        }
        Ok(tasks)
    }

    /// Along an outline down through the sheet, with tabs; also the track of the last pass, and the tabs on it.
    ///
    /// `track` gives the cutter's path at a distance from the outline; `off` is the room for leads, `others` are the tabs
    /// of pieces beside this one.
    fn contour(
        &self,
        wall: &Outline,
        track: &dyn Fn(f64) -> Option<Track>,
        off: f64,
        wish: &Wish,
        others: &[Tab],
    ) -> Option<(Vec<Vec<Move>>, Track, Vec<f64>)> {
        let cutter = &self.cutter;
        let last = track(cutter.radius())?;
        let tabs = tabs::places(&last, wish);
        let skin = self.cutter.cutting.hold == Hold::OnionSkin && wish.outside;
        let depth = if skin {
            self.part.thickness - self.cutter.cutting.skin.min(self.part.thickness / 2.0)
        } else {
            self.through
        };
        // What comes out of an opening is held by tabs in any case.
        let top = if wish.outside { self.tab_top() } else { self.tab_height(INNER_TAB.1) };
        let of_this = if skin { &[][..] } else { &tabs[..] };
        let style = if off >= LEAST_LEAD { cutter.lead() } else { Lead::None };
        let leads = Leads { style, off: if style == Lead::None { 0.0 } else { off }, waste_left: cutter.climb() };
        let passes = cutter.passes(depth) as usize;
        let finish = self.finish(wall, wish.outside, passes);
        let rough = if finish > 0.0 { track(cutter.radius() + finish) } else { None };
        let spans = self.stays(&last, of_this, (wish.width, top), others, -depth);
        let around = |track, tabs, from: f64, passes, leads, feed, last| Around {
            track,
            wall,
            leads,
            from,
            to: -depth,
            passes,
            tabs,
            feed,
            last,
        };
        let variants = if let Some(rough) = rough {
            let rough_tabs: Vec<f64> = of_this.iter().map(|s| rough.nearest(last.at(*s))).collect();
            let rough_spans = self.stays(&rough, &rough_tabs, (wish.width, top), others, -depth);
            let roughs = around(&rough, &rough_spans[..], 0.0, passes, leads, cutter.feeds.cut, false).variants(cutter);
            // The last pass comes from the middle of the slot that the first have cut.
            let leads = Leads { off: if style == Lead::None { 0.0 } else { finish }, ..leads };
            let (from, passes) = if cutter.finishes_at_once() { (-depth, 1) } else { (0.0, passes) };
            // The first passes have left wood at the tabs as far as they stayed up, which beside other pieces is further.
            let mut spans = spans;
            let onto = |s: f64| last.nearest(rough.at(s));
            spans.extend(rough_spans.iter().skip(of_this.len()).filter_map(|stay| {
                let from = onto(stay.from);
                let long = (onto(stay.to) - from).rem_euclid(last.length());
                // Round a corner both ends may come to the same place, or past each other.
                let goes_on = long <= stay.to - stay.from + cutter.diameter();
                goes_on.then_some(Stay { from, to: from + long, ..*stay })
            }));
            let fine = around(&last, &spans[..], from, passes, leads, cutter.feeds.side, true).variants(cutter);
            roughs.into_iter().filter_map(|rough| joined(rough, &fine)).collect()
        } else {
            around(&last, &spans[..], 0.0, passes, leads, cutter.feeds.cut, !skin).variants(cutter)
        };
        Some((variants, last, tabs))
    }

    /// What is left on an outline for a last pass: nothing where a notch is too narrow for that, which the last pass would
    /// have to cut full width, and in more than one pass.
    fn finish(&self, wall: &Outline, outside: bool, passes: usize) -> f64 {
        let (finish, radius) = (self.cutter.finish(), self.cutter.radius());
        let away = |outline: &Outline, by: f64| {
            let paths = offset(outline, if outside { by } else { -by }).into_iter();
            paths.max_by(|a, b| a.area().total_cmp(&b.area()))
        };
        let (Some(whole), Some(rough)) = (away(wall, radius), away(wall, radius + finish)) else { return 0.0 };
        // In every square corner the rough pass leaves less than a quarter of the allowance's square.
        let corners = 0.25 * finish * finish * whole.vertices.len() as f64 + 0.1;
        let fits = away(&rough, -finish).is_some_and(|reached| (reached.area() - whole.area()).abs() <= corners);
        if fits || passes == 1 { finish } else { 0.0 }
    }

    /// Slowly through what was left under an outline, except at its tabs.
    fn skin(&self, track: &Track, wall: &Outline, tabs: &[Stay]) -> Vec<Vec<Move>> {
        let cutter = &self.cutter;
        let skin = self.cutter.cutting.skin.min(self.part.thickness / 2.0);
        let around = Around {
            track,
            wall,
            leads: Leads { style: Lead::None, off: 0.0, waste_left: cutter.climb() },
            from: skin - self.part.thickness,
            to: -self.through,
            passes: cutter.passes(skin + self.through - self.part.thickness) as usize,
            tabs,
            feed: cutter.feeds.cut * SKIN_FEED,
            last: true,
        };
        around.variants(cutter)
    }

    /// Where the cutter stays up on a track: over its own tabs, which are this wide and end at that height, and over those of
    /// pieces beside it, as far as they reach above `floor`.
    fn stays(&self, track: &Track, own: &[f64], (width, top): (f64, f64), others: &[Tab], floor: f64) -> Vec<Stay> {
        let half = (width + self.cutter.diameter()) / 2.0;
        let mut stays: Vec<Stay> = own.iter().map(|at| Stay { from: at - half, to: at + half, top }).collect();
        for tab in others {
            let top = tab.height - self.part.thickness;
            if top > floor {
                let spans = tab.on(track, &self.cutter).into_iter();
                stays.extend(spans.map(|(from, to)| Stay { from, to, top }));
            }
        }
        stays
    }

    fn wish<'a>(&self, avoid: &'a [Outline], area: f64, outside: bool) -> Wish<'a> {
        let (least, top) = if outside { (0.0, self.tab_top()) } else { (INNER_TAB.0, self.tab_height(INNER_TAB.1)) };
        let rise = self.through + top;
        Wish {
            width: self.cutter.cutting.tab_width.max(least),
            diameter: self.cutter.diameter(),
            fall: rise / self.cutter.slope(),
            avoid,
            area,
            outside,
        }
    }

    /// Height at which the cutter goes over a tab.
    fn tab_top(&self) -> f64 {
        let thickness = self.part.thickness;
        match self.cutter.cutting.hold {
            Hold::Tabs => self.tab_height(0.0),
            Hold::OnionSkin => self.cutter.cutting.skin.min(thickness / 2.0) - thickness,
        }
    }

    /// Height of a full tab's top, which is at least this far above the sheet's lower face.
    fn tab_height(&self, least: f64) -> f64 {
        let thickness = self.part.thickness;
        self.cutter.cutting.tab_height.max(least).min(thickness / 2.0) - thickness
    }
}

fn fault(about: &str) -> Error {
    Error::Fault(format!("no way to cut the {about}"))
}

/// A rough pass and, of the fine ones, the one that begins nearest to its end, with nothing but air between.
fn joined(mut rough: Vec<Move>, fine: &[Vec<Move>]) -> Option<Vec<Move>> {
    let end = rough.last()?.end().flat();
    let begins = |variant: &Vec<Move>| variant.first().map_or(f64::INFINITY, |first| first.end().flat().distance(end));
    let fine = fine.iter().min_by(|a, b| begins(a).total_cmp(&begins(b)))?;
    rough.extend_from_slice(fine);
    Some(rough)
}
