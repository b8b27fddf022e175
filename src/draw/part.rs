//! A shop drawing of one part as it stands in its box: its face, an edge, its sizes, and every feature from two edges.

use super::angle::angles;
use super::call_out::{Located, Shape, without_sign};
use super::dimension::{Baseline, Dimensions, FIRST_ROW, LETTERS, Measured, ROW};
use super::features::{Features, features};
use super::form::{Form, Title};
use super::holes::{HoleTable, number_holes};
use super::key::key;
use super::label::{Target, free_spot, note};
use super::letters::TAIL;
use super::part_notes::fit_notes;
use super::room::Room;
use super::{Anchor, Pen, Picture, text_width};
use crate::design::{Elevation, Face, Grain, JointLine, Part, ScrewHole};
use crate::finding::Status;
use crate::geometry::{Affine, Outline, Point, Rect, Side, Vec2, to_polygon};
use crate::job::Job;
use crate::label::NoLabel;
use crate::made::Made;
use geo::{Area, BooleanOps, MultiPolygon};

/// Scales, as how many times smaller than life: those of ISO 5455, or on American paper those of an architect's rule (1/4 in
/// to the foot is 48).
pub(super) fn scales(american: bool) -> impl Iterator<Item = f64> + Clone {
    const ISO: [f64; 11] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0];
    const RULE: [f64; 11] = [1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 96.0, 192.0];
    if american { RULE } else { ISO }.into_iter()
}

/// Said where not everything could be said.
const CROWDED: &str = "Not every feature has room on this paper: see the DXF file.";

/// White between the face view and the edge view over it.
pub(super) const BETWEEN: f64 = 12.0;

/// So far under the edge view the dimension of its thickness may reach, with an arrow from outside.
const BELOW_THICKNESS: f64 = 5.6;

/// White over and under a table of holes.
const WHITE: f64 = 4.0;

/// White between a view and the words beside it.
pub(super) const ASIDE: f64 = 3.0;

/// The drawing of a part.
pub fn part_drawing(made: &Made, index: usize) -> Picture {
    let (job, part) = (&made.job, &made.parts[index]);
    let shown = part.elevation(&made.assemblies[part.assembly]);
    let wanted = features(&shown.part, job.units, job.router.is_some());
    let scales = scales(job.paper.american());
    let drawing = |scale, strict| Attempt::new(made, &shown, index, scale).draw(made, &wanted, strict);
    scales.clone().find_map(|scale| drawing(scale, true)).unwrap_or_else(|| {
        // A part with more features than a sheet of paper holds notes for: its shape and sizes at least.
        let fits = scales.clone().find_map(|scale| drawing(scale, false));
        fits.unwrap_or_else(|| {
            let mut attempt = Attempt::new(made, &shown, index, 1.0);
            attempt.say_crowded();
            attempt.picture
        })
    })
}

/// One try to get everything on the paper at a scale.
pub(super) struct Attempt<'a> {
    pub job: &'a Job,
    /// Which part of the job it is.
    index: usize,
    pub shown: &'a Elevation,
    /// The part as it is shown.
    pub part: &'a Part,
    pub scale: f64,
    pub american: bool,
    pub picture: Picture,
    pub room: Room,
    /// Where the drawing may be: inside the frame, above all words.
    open: Rect,
    /// One drawing of several on a page: what the words under it say is not drawn.
    small: bool,
}

impl<'a> Attempt<'a> {
    fn new(made: &'a Made, shown: &'a Elevation, index: usize, scale: f64) -> Attempt<'a> {
        let (job, part) = (&made.job, &shown.part);
        let form = Form::lying(job.paper);
        let (picture, room) = form.start(&title(job, &made.parts, index, scale));
        let (american, open) = (form.american, form.open());
        let mut attempt = Attempt { job, index, shown, part, scale, american, picture, room, open, small: false };
        attempt.notes(made, form);
        attempt
    }

    /// On an empty page, within this rectangle.
    pub fn within(job: &'a Job, shown: &'a Elevation, index: usize, scale: f64, open: Rect) -> Attempt<'a> {
        let (height, width) = job.paper.sides();
        Attempt {
            job,
            index,
            shown,
            part: &shown.part,
            scale,
            american: job.paper.american(),
            picture: Picture::clear(width, height),
            room: Room::new(open),
            open,
            small: true,
        }
    }

    /// `None` when something has no room; not `strict`, then that is left out.
    pub fn draw(mut self, made: &Made, features: &Features, strict: bool) -> Option<Picture> {
        let part = self.part;
        if !strict {
            self.say_crowded();
        }
        let (length, width) = (part.length / self.scale, part.width / self.scale);
        let units = self.job.units;
        let numbers = |points: &[Located], of: fn(&Point) -> f64| -> Vec<String> {
            let close = |mm: f64| without_sign(&units.measured(mm)).to_string();
            points.iter().map(|it| if it.joint { close(of(&it.at)) } else { units.number(of(&it.at)) }).collect()
        };
        let (columns, rows) = (numbers(&features.across, |p| p.x), numbers(&features.up, |p| p.y));
        let (left, below) = (depth_of(&rows), depth_of(&columns));
        // Where nothing is cut part of the way through, an edge tells no more than the thickness does.
        let edged = !self.small || !part.pockets.is_empty();
        let over = if edged { BETWEEN + part.thickness / self.scale + 8.0 } else { 2.0 };
        let open = self.open;
        let table = HoleTable::of(&features.table, self.job.units, open.height() - 2.0 * WHITE);
        let space = (open.width() - left - 8.0 - table.width(), open.height() - below - over);
        if length > space.0 || width > space.1 {
            return None;
        }
        let origin = Point::new(
            (open.x0 + left + (space.0 - length) / 2.0).round(),
            (open.y1 - below - (space.1 - width) / 2.0).round(),
        );
        // Paper's y runs down.
        let to_paper = Affine::new([1.0 / self.scale, 0.0, 0.0, -1.0 / self.scale, origin.x, origin.y]);
        self.face(to_paper);
        let at = Point::new(open.x1 - table.width(), open.y0 + WHITE);
        table.draw(&mut self.picture, &mut self.room, at);
        let measured = |points: &[Located], texts: Vec<String>| -> Vec<Measured> {
            points.iter().zip(texts).map(|(point, text)| Measured { at: to_paper * point.at, text }).collect()
        };
        let (across, up) = (measured(&features.across, columns), measured(&features.up, rows));
        // The thickness is given beside the edge view over this one.
        let foot = (to_paper * Point::new(0.0, part.width)).y - BETWEEN + BELOW_THICKNESS;
        let kept = edged.then(|| Rect::new(open.x0, open.y0, origin.x, foot));
        let mut dimensions = Dimensions { picture: &mut self.picture, room: &mut self.room, low: up.len() == 1, kept };
        let below = dimensions.baseline(Baseline::Below, origin, &across, FIRST_ROW);
        let beside = dimensions.baseline(Baseline::Left, origin, &up, FIRST_ROW);
        let edge = if edged { self.edge(to_paper, features) } else { Some(()) };
        if strict && (below.is_none() || beside.is_none() || edge.is_none()) {
            return None;
        }
        if number_holes(&mut self.picture, &mut self.room, &features.table, to_paper).is_none() && strict {
            return None;
        }
        if angles(&mut self.picture, &mut self.room, part, to_paper).is_none() && strict {
            return None;
        }
        for call_out in features.call_outs.iter().filter(|call_out| !call_out.listed) {
            let targets: Vec<Target> = call_out.shapes.iter().map(|shape| on_paper(shape, to_paper)).collect();
            let done = note(&mut self.picture, &mut self.room, &targets, &call_out.text);
            if strict && done.is_none() {
                return None;
            }
        }
        self.ends(to_paper);
        self.lie(to_paper, strict)?;
        let done = key(&mut self.picture, &mut self.room, made, part, self.open);
        if strict && done.is_none() {
            return None;
        }
        let size = format!("{} wide, {} high", units.number(part.length), units.show(part.width));
        let seen = self.shown.seen();
        Some(self.picture.titled(format!("{}, {seen}: {size}", part.name)))
    }

    /// Says over the drawing that it does not have everything.
    fn say_crowded(&mut self) {
        let at = Point::new(self.open.x0 + 4.0, self.open.y0 + 2.0 + LETTERS);
        self.picture.text(at, LETTERS, Anchor::Start, false, CROWDED);
        self.open.y0 += LETTERS + 4.0;
        self.room.take_text(Rect::new(at.x, at.y - LETTERS, at.x + text_width(CROWDED, LETTERS), at.y + 1.0));
    }

    /// What the edges are called where that is not told by how the picture stands; along them, inside.
    fn ends(&mut self, to_paper: Affine) {
        let bounds = self.part.outline.transformed(to_paper).bounds();
        let mut wanted = Vec::new();
        if let Some([left, right]) = self.shown.towards {
            wanted.extend([(Side::Left, left), (Side::Right, right)]);
        } else if self.shown.lies {
            wanted.extend([Side::Lower, Side::Upper].map(|side| (side, self.shown.edge(side))));
        }
        for (edge, name) in wanted {
            let upright = edge.is_upright();
            let (long, deep) = (text_width(name, LETTERS), LETTERS * (1.0 + TAIL));
            let (w, h) = if upright { (deep, long) } else { (long, deep) };
            let near = match edge {
                Side::Left => Rect::new(bounds.x0, bounds.y0, bounds.x0 + w + 4.0, bounds.y1),
                Side::Right => Rect::new(bounds.x1 - w - 4.0, bounds.y0, bounds.x1, bounds.y1),
                Side::Lower => Rect::new(bounds.x0, bounds.y1 - h - 4.0, bounds.x1, bounds.y1),
                Side::Upper => Rect::new(bounds.x0, bounds.y0, bounds.x1, bounds.y0 + h + 4.0),
            };
            let Some(spot) = free_spot(&self.room, near, w, h) else { continue };
            self.room.take_text(spot);
            let at = if upright {
                Point::new(spot.x0 + LETTERS, spot.center().y)
            } else {
                Point::new(spot.center().x, spot.y0 + LETTERS)
            };
            self.picture.text(at, LETTERS, Anchor::Middle, upright, name);
        }
    }

    /// The face that is towards the viewer.
    fn face(&mut self, to_paper: Affine) {
        let part = self.part;
        self.picture.outline(&part.outline.transformed(to_paper), Pen::Board);
        let whole = MultiPolygon::from(to_polygon(&part.outline));
        for pocket in &part.pockets {
            let inside = whole.intersection(&to_polygon(&pocket.outline));
            for polygon in &inside {
                // A pocket that keeps inside the part keeps its arcs.
                let whole = (polygon.unsigned_area() - pocket.outline.area().abs()).abs() < 0.5;
                let clipped = || Outline::polygon(polygon.exterior().coords().skip(1).map(|c| (c.x, c.y)));
                let outline = if whole { pocket.outline.clone() } else { clipped() }.transformed(to_paper);
                self.take_outline(&outline);
                self.picture.outline(&outline, Pen::recess(pocket.under));
            }
        }
        let outline = part.outline.transformed(to_paper);
        self.picture.outline(&outline, Pen::Thick);
        self.take_outline(&outline);
        self.joint_lines(to_paper);
        let behind = |hole: &ScrewHole| hole.depth.is_some() && hole.face != part.up;
        let pen = |hole: &ScrewHole| if behind(hole) { Pen::Dashed } else { Pen::Hole };
        let screwed = part.screw_holes.iter().map(|hole| (hole.outline(), pen(hole)));
        for (outline, pen) in part.holes.iter().map(|hole| (hole.outline(), Pen::Hole)).chain(screwed) {
            let outline = outline.transformed(to_paper);
            let bounds = outline.bounds();
            self.picture.outline(&outline, pen);
            self.take_outline(&outline);
            let (centre, reach) = (bounds.center(), (bounds.width() / 2.0 + 2.0, bounds.height() / 2.0 + 2.0));
            for arm in [Vec2::new(reach.0, 0.0), Vec2::new(0.0, reach.1)] {
                self.picture.line(centre - arm, centre + arm, Pen::Centre);
                self.room.take_line(centre - arm, centre + arm);
            }
        }
    }

    /// Lines that other parts are set to: those in the face behind are dashed.
    fn joint_lines(&mut self, to_paper: Affine) {
        let Some(router) = self.job.router.as_ref() else { return };
        let part = self.part;
        for line in &part.joint_lines {
            let pen = if line.face == part.up { Pen::Thin } else { Pen::Dashed };
            for [from, to] in line.walls(router.cutter.diameter.value) {
                let (from, to) = (to_paper * from, to_paper * to);
                self.picture.line(from, to, pen);
                self.room.take_line(from, to);
            }
        }
    }

    pub fn take_outline(&mut self, outline: &Outline) {
        let mut points = outline.flattened(0.2);
        points.extend(points.first().copied());
        self.room.take_path(&points);
    }

    /// Which face this is, and an arrow along the grain of it: on the part, or beside it when there is no room.
    fn lie(&mut self, to_paper: Affine, strict: bool) -> Option<()> {
        let face = match (self.part.is_sided(), self.part.up) {
            (false, _) => None,
            (true, Face::Inner) => Some("inner face"),
            (true, Face::Outer) => Some("outer face"),
        };
        let bounds = self.part.outline.transformed(to_paper).bounds();
        let done = match (self.part.grain, face) {
            (Grain::Any, None) => Some(()),
            (Grain::Any, Some(face)) => self.words(bounds, face, false, false),
            (Grain::Long, face) => self.words(bounds, &grain_words(face), false, true),
            (Grain::Cross, face) => self.words(bounds, &grain_words(face), true, true),
        };
        if strict { done } else { Some(()) }
    }

    /// Words on a free spot, over an arrow with two heads if wanted.
    fn words(&mut self, bounds: Rect, text: &str, upright: bool, arrow: bool) -> Option<()> {
        let (wide, high) = (text_width(text, LETTERS) + if arrow { 8.0 } else { 0.0 }, LETTERS + 2.4);
        let (w, h) = if upright { (high, wide) } else { (wide, high) };
        let inside = bounds.inflate(-1.0, -1.0);
        let (left, middle) = (bounds.x1 + ASIDE, bounds.center().y);
        let beside = Rect::new(left, middle - h / 2.0, left + w, middle + h / 2.0);
        let right = Rect::new(left, bounds.y0, left + w.max(40.0), bounds.y1);
        let near = Rect::new(right.x0, bounds.y0 - 30.0, right.x1 + 20.0, bounds.y1 + 30.0);
        let areas = [inside, beside, right, near, self.open];
        let spot = areas.into_iter().find_map(|area| free_spot(&self.room, area, w, h))?;
        self.room.take_text(spot);
        let (from, to, at) = if upright {
            let x = spot.x1 - 0.7;
            (Point::new(x, spot.y1), Point::new(x, spot.y0), Point::new(x - 1.1, spot.center().y))
        } else {
            let y = spot.y1 - 0.7;
            (Point::new(spot.x0, y), Point::new(spot.x1, y), Point::new(spot.center().x, y - 1.1))
        };
        if arrow {
            double_arrow(&mut self.picture, from, to);
        }
        self.picture.text(at, LETTERS, Anchor::Middle, upright, text);
        Some(())
    }

    /// What is said in words, beside the title block.
    fn notes(&mut self, made: &Made, form: Form) {
        let part = self.part;
        let (units, seen, datum) = (self.job.units.name(), self.shown.seen(), self.shown.datum());
        let mut notes = vec![if part.box_name.is_none() {
            format!("In {units}, from the {datum} edge.")
        } else if self.shown.lies {
            format!("The {} {seen}, its back edge up. In {units}, from its {datum} edge.", self.shown.panel)
        } else {
            format!("The {} as it stands, {seen}. In {units}, from its {datum} edge.", self.shown.panel)
        }];
        if part.pockets.iter().any(|pocket| pocket.under) {
            notes.push(format!("Dashed: cut into the {} face, which lies behind.", part.up.other().name()));
        }
        if self.job.router.is_some() && part.is_sided() {
            let lies = made.parts[self.index].up.name();
            notes.push(format!("On the machine its {lies} face is up."));
        }
        if part.grain == Grain::Any {
            notes.push("The grain may run either way.".into());
        }
        if !part.square_corners.is_empty() {
            notes
                .push("Inside corners that take a square edge: a router leaves relief, a saw cuts them square.".into());
        }
        match &part.label {
            Some(Ok(label)) => {
                let (face, deep) = (made.parts[self.index].up.name(), self.job.units.measured(label.depth));
                notes.push(format!("The router engraves \"{}\" into its {face} face, {deep} deep.", label.text));
            }
            Some(Err(NoLabel::Shows)) => notes.push("No label is engraved into it: the face that is up shows.".into()),
            Some(Err(_)) | None => {}
        }
        notes.extend(joining_notes(self.job, made, part, self.index));
        // What asks for care is always said; what is as it should be, while there is room.
        for (status, note) in fit_notes(made, part) {
            notes.push(note);
            if status != Status::Caution && form.lines(&notes) > form.lines_beside() {
                notes.pop();
            }
        }
        self.open.y1 = form.write(&mut self.picture, &mut self.room, &notes);
    }
}

/// What is bored and lined for its joints.
fn joining_notes(job: &Job, made: &Made, part: &Part, index: usize) -> Vec<String> {
    let mut notes = Vec::new();
    for hole in part.screw_holes.iter().filter(|hole| hole.depth.is_some()) {
        let face = hole.face.name();
        let note = match (&job.router, hole.by_router) {
            (Some(_), true) => format!("Pilots are bored from its {face} face."),
            _ => format!("Pilots in its {face} face: by hand, through the first board, on assembly."),
        };
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    let panels = part.panels.iter().filter_map(|(i, _)| made.assemblies[part.assembly].panels.get(*i));
    for pilots in panels.flat_map(|panel| &panel.edge_pilots) {
        let (wide, deep) = (job.units.show(pilots.diameter), job.units.show(pilots.depth));
        let note =
            format!("Pilots of {wide}, {deep} deep, into its edges: by hand, through the first board, on assembly.");
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    let lines: Vec<&JointLine> = made.parts[index].joint_lines.iter().collect();
    let up = made.parts[index].up;
    if let Some(line) = lines.iter().find(|line| line.face == up && !line.strokes.is_empty()) {
        let deep = job.units.measured(line.depth);
        let thin = if part.up == up { "Thin" } else { "Dashed" };
        notes.push(format!("{thin} lines, {deep} deep in its {} face: other parts are set to them.", up.name()));
    }
    if lines.iter().any(|line| line.face != up) {
        notes.push(format!("Lines on its {} face are not cut: mark them with a pencil.", up.other().name()));
    }
    notes
}

/// How deep a stack of dimensions stands under its view.
fn depth_of(texts: &[String]) -> f64 {
    if texts.len() > 5 {
        let longest = texts.iter().map(|text| text_width(text, LETTERS)).fold(0.0, f64::max);
        FIRST_ROW + 8.0 + longest
    } else {
        FIRST_ROW + ROW * (texts.len() as f64 - 1.0) + 5.0
    }
}

fn on_paper(shape: &Shape, to_paper: Affine) -> Target {
    match shape {
        Shape::Round { centre, diameter } => {
            Target::Round { centre: to_paper * *centre, diameter: diameter * to_paper.as_coeffs()[0] }
        }
        Shape::Box(rect) => Target::Box(to_paper.transform_rect_bbox(*rect)),
    }
}

fn grain_words(face: Option<&str>) -> String {
    face.map_or_else(|| "face grain".into(), |face| format!("{face}, grain"))
}

fn double_arrow(picture: &mut Picture, from: Point, to: Point) {
    picture.line(from, to, Pen::Thin);
    let along = (to - from).normalize();
    super::dimension::head(picture, from, along);
    super::dimension::head(picture, to, -along);
}

/// `485.8 × 260.4 × 12.1 mm`: length, width and thickness of a part as the cut list has them.
pub(super) fn size_of(job: &Job, part: &Part) -> String {
    let units = job.units;
    format!("{} × {} × {}", units.number(part.length), units.number(part.width), units.measured(part.thickness))
}

fn title(job: &Job, parts: &[Part], index: usize, scale: f64) -> Title {
    let part = &parts[index];
    let size = size_of(job, part);
    Title {
        title: part.name.clone(),
        kind: "Part drawing".into(),
        number: format!("P {}", index + 1),
        sheet: format!("{} of {}", index + 1, parts.len()),
        scale: scale_text(scale),
        material: job.stock[part.stock].material.title.clone(),
        more: [
            ("Quantity", part.count.to_string()),
            ("Length × width × thickness", size),
            ("Part of", part.box_name.clone().unwrap_or_else(|| "nothing: a loose part".into())),
        ],
        projected: true,
        ..Title::of(job)
    }
}

/// `1:5`.
pub(super) fn scale_text(scale: f64) -> String {
    format!("1:{scale}")
}
