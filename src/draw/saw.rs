//! The saw plan's picture of a sheet: every cut with its number, every piece with its name.

use super::dimension::{horizontal, vertical};
use super::{Anchor, CAUTION, Pen, Picture, shortened, text_width};
use crate::design::Part;
use crate::geometry::{Affine, Point, Rect};
use crate::job::Job;
use crate::layout::Axis;
use crate::saw::{Action, Becomes, SawPlan, Step, Way};

/// The page's margin, and room for what stands around the sheet (mm on paper).
const MARGIN: f64 = 10.0;
const LEFT: f64 = 26.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 27.0;
const BELOW: f64 = 22.0;
/// A row of the list of settings.
const ROW: f64 = 3.6;
const LETTERS: f64 = 1.8;
/// Numbers of cuts, and the smallest they get where there is no room.
const NUMBERS: [f64; 2] = [1.8, 1.3];

/// The picture of one sheet of a saw plan, lying on the job's paper.
pub fn saw_picture(job: &Job, parts: &[Part], plan: &SawPlan, index: usize) -> Picture {
    let sheet = &plan.sheets[index];
    let (high, wide) = job.paper.sides();
    let settings = settings(job, plan, index);
    let columns = if settings.len() > 6 { 2 } else { 1 };
    let rows = settings.len().div_ceil(columns).min(14);
    let foot = rows as f64 * ROW + 9.0;
    let room = (wide - LEFT - RIGHT, high - TOP - BELOW - foot - MARGIN);
    let scale = (room.0 / sheet.length).min(room.1 / sheet.width);
    let (length, width) = (sheet.length * scale, sheet.width * scale);
    let origin = Point::new(LEFT, TOP + width);
    let mut drawn = Drawn {
        picture: Picture::new(wide, high),
        to_paper: Affine::new([scale, 0.0, 0.0, -scale, origin.x, origin.y]),
        taken: Vec::new(),
    };
    heading(&mut drawn.picture, job, plan, index);
    drawn.picture.rect(LEFT, TOP, length, width, Pen::Sheet);
    drawn.pieces(job, parts, plan, index);
    drawn.cuts(plan, index);
    drawn.references(plan, index);
    drawn.strips(job, plan, index, origin);
    let far = Point::new(LEFT + length, TOP);
    let units = job.units;
    let picture = &mut drawn.picture;
    horizontal(picture, origin, Point::new(far.x, origin.y), origin.y + 17.0, &units.number(sheet.length));
    vertical(picture, origin, Point::new(LEFT, far.y), LEFT - 13.0, &units.number(sheet.width));
    list_settings(picture, &settings, columns, rows, high - MARGIN - foot, wide);
    let title = format!("Saw plan of sheet {}: {} pieces", index + 1, sheet.placements.len());
    drawn.picture.titled(title)
}

fn heading(picture: &mut Picture, job: &Job, plan: &SawPlan, index: usize) {
    let sheet = &plan.sheets[index];
    let units = job.units;
    let kerf = job.saw.as_ref().map_or(0.0, |saw| saw.kerf);
    let heading = format!(
        "{}: saw plan, sheet {} of {}, {}, {} thick, kerf {}",
        job.title,
        index + 1,
        plan.sheets.len(),
        job.stock[sheet.stock].material.title,
        units.measured(sheet.thickness),
        units.measured(kerf)
    );
    let room = picture.width - 2.0 * MARGIN;
    picture.text(Point::new(MARGIN, 13.0), 3.5, Anchor::Start, false, &shortened(&heading, 3.5, room));
    // How to read it, with a sample of each kind of line.
    let mut x = MARGIN;
    let kinds =
        [(Way::Guide, "along the guide"), (Way::Fence, "fence"), (Way::GaugeStop, "gauge"), (Way::Hand, "by hand")];
    for (way, text) in kinds {
        picture.line(Point::new(x, 18.0), Point::new(x + 9.0, 18.0), pen(way));
        picture.text(Point::new(x + 10.0, 18.9), LETTERS, Anchor::Start, false, text);
        x += 13.0 + text_width(text, LETTERS);
    }
    let note = format!(
        "Numbers are steps. Dimensions in {}. Face grain runs along the sheet's length. Hatched: kept off-cut.",
        units.name()
    );
    picture.text(Point::new(x + 2.0, 18.9), LETTERS, Anchor::Start, false, &note);
}

/// How a cut is drawn, by the saw that makes it.
fn pen(way: Way) -> Pen {
    match way {
        Way::Guide => Pen::Thick,
        Way::Fence => Pen::Thin,
        Way::GaugeStop | Way::GaugeFree => Pen::Dashed,
        Way::Hand => Pen::Centre,
    }
}

/// A picture being drawn, and the places on it that are taken by text.
struct Drawn {
    picture: Picture,
    to_paper: Affine,
    taken: Vec<Rect>,
}

impl Drawn {
    fn on_paper(&self, rect: Rect) -> Rect {
        let [a, b] = [Point::new(rect.x0, rect.y0), Point::new(rect.x1, rect.y1)].map(|p| self.to_paper * p);
        Rect::from_points(a, b)
    }

    fn pieces(&mut self, job: &Job, parts: &[Part], plan: &SawPlan, index: usize) {
        let sheet = &plan.sheets[index];
        for piece in sheet.left_over.iter().filter(|piece| piece.becomes == Becomes::OffCut) {
            let rect = self.on_paper(piece.rect);
            hatch(&mut self.picture, rect);
            let size = crate::saw::say::size(job.units, piece.rect);
            self.label(rect, &piece.name, &size, true);
        }
        for step in plan.steps.iter().filter(|step| step.sheet == index) {
            for piece in [&step.off, &step.left].into_iter().flatten() {
                let Becomes::Part { part, turn } = piece.becomes else { continue };
                if step.piece == piece.name {
                    continue;
                }
                let about = &parts[part];
                let placement = crate::layout::Placement { part, x: piece.rect.x0, y: piece.rect.y0, turn };
                let place = self.to_paper * placement.affine(about);
                self.picture.outline(&about.outline.transformed(place), Pen::Wood);
                for hole in &about.holes {
                    let outline = hole.outline().transformed(place);
                    self.picture.outline(&outline, Pen::Hole);
                    self.taken.push(outline.bounds());
                }
                let rect = self.on_paper(piece.rect);
                self.label(rect, &piece.name, &crate::saw::say::size(job.units, piece.rect), false);
            }
        }
    }

    /// A name, and a size under it where there is room, as large as fits, along the longer side.
    fn label(&mut self, rect: Rect, name: &str, size: &str, on_hatching: bool) {
        let turned = rect.height() > rect.width() * 1.5;
        let (along, across) = if turned { (rect.height(), rect.width()) } else { (rect.width(), rect.height()) };
        for height in [2.5, 1.8, 1.3] {
            let wide = text_width(name, height).max(text_width(size, height));
            let lines: &[&str] = if wide <= along - 1.5 && 3.2 * height <= across {
                &[name, size]
            } else if text_width(name, height) <= along - 1.0 && height * 1.25 <= across {
                &[name]
            } else {
                continue;
            };
            let middle = self.free_place(rect, turned, (wide.min(along), lines.len() as f64 * height * 1.6));
            for (i, text) in lines.iter().enumerate() {
                let down = height / 2.0 + (i as f64 - (lines.len() as f64 - 1.0) / 2.0) * height * 1.6;
                let at =
                    if turned { Point::new(middle.x + down, middle.y) } else { Point::new(middle.x, middle.y + down) };
                if on_hatching {
                    let (half, high) = (text_width(text, height) / 2.0 + 0.6, height + 1.2);
                    let (x, y) =
                        if turned { (at.x - height - 0.6, at.y - half) } else { (at.x - half, at.y - height - 0.6) };
                    let (w, h) = if turned { (high, 2.0 * half) } else { (2.0 * half, high) };
                    self.picture.rect(x, y, w, h, Pen::Paper);
                }
                self.put(at, height, turned, text);
            }
            return;
        }
    }

    /// Where in a piece a label of this size covers nothing, the middle first.
    fn free_place(&self, rect: Rect, turned: bool, (along, across): (f64, f64)) -> Point {
        let (wide, high) = if turned { (across, along) } else { (along, across) };
        let room = ((rect.width() - wide - 1.0).max(0.0) / 2.0, (rect.height() - high - 1.0).max(0.0) / 2.0);
        let places = [(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.6, 0.6), (-0.6, -0.6)];
        let at = |(x, y): (f64, f64)| Point::new(rect.center().x + x * room.0, rect.center().y + y * room.1);
        let covered = |at: Point| {
            let label = Rect::new(at.x - wide / 2.0, at.y - high / 2.0, at.x + wide / 2.0, at.y + high / 2.0);
            self.taken.iter().map(|other| overlap(label, *other)).sum::<f64>()
        };
        places.into_iter().map(at).min_by(|a, b| covered(*a).total_cmp(&covered(*b))).unwrap_or(rect.center())
    }

    fn put(&mut self, at: Point, height: f64, turned: bool, text: &str) {
        self.picture.text(at, height, Anchor::Middle, turned, text);
        if let Some(text) = self.picture.texts().last() {
            self.taken.push(text.bounds());
        }
    }

    fn cuts(&mut self, plan: &SawPlan, index: usize) {
        let mut lines = Vec::new();
        for (number, step) in plan.steps.iter().enumerate().filter(|(_, step)| step.sheet == index) {
            if step.action == Action::Check {
                continue;
            }
            let [a, b] = step.ends();
            let (a, b) = (self.to_paper * a, self.to_paper * b);
            self.picture.line(a, b, pen(step.way));
            lines.push((number + 1, a, b));
        }
        // The longest cuts choose their places last: they have the most.
        lines.sort_by(|a, b| a.1.distance(a.2).total_cmp(&b.1.distance(b.2)));
        for (number, a, b) in lines {
            self.number(&number.to_string(), a, b);
        }
    }

    /// The number of a cut on its line, where nothing else stands.
    fn number(&mut self, text: &str, a: Point, b: Point) {
        let mut least: Option<(f64, Rect, f64)> = None;
        'sizes: for height in NUMBERS {
            let (half_wide, half_high) = (text_width(text, height) / 2.0 + 0.5, height / 2.0 + 0.45);
            for share in [0.12, 0.2, 0.3, 0.4, 0.6, 0.7, 0.8, 0.88, 0.5, 0.06, 0.94] {
                let at = a.lerp(b, share);
                let bounds = Rect::new(at.x - half_wide, at.y - half_high, at.x + half_wide, at.y + half_high);
                let covered: f64 = self.taken.iter().map(|other| overlap(bounds, *other)).sum();
                if least.is_none_or(|(known, ..)| covered < known - 1e-9) {
                    least = Some((covered, bounds, height));
                }
                if covered == 0.0 {
                    break 'sizes;
                }
            }
        }
        let Some((_, bounds, height)) = least else { return };
        self.picture.rect(bounds.x0, bounds.y0, bounds.width(), bounds.height(), Pen::Hole);
        let at = Point::new(bounds.center().x, bounds.center().y + height / 2.0);
        self.put(at, height, false, text);
        self.taken.push(bounds);
    }

    /// The two edges that everything is measured from.
    fn references(&mut self, plan: &SawPlan, index: usize) {
        let squared = |step: &&Step| step.sheet == index && matches!(step.action, Action::Square | Action::Check);
        let Some(left) = plan.steps.iter().find(squared).and_then(|step| step.left.as_ref()) else { return };
        let inside = self.on_paper(left.rect);
        let low = inside.y1 + 1.3;
        self.picture.line(Point::new(inside.x0, low), Point::new(inside.x1, low), Pen::Mark);
        self.picture.text(Point::new(inside.x1 + 1.5, low + 0.9), 2.5, Anchor::Start, false, "R1");
        let left = inside.x0 - 1.3;
        self.picture.line(Point::new(left, inside.y0), Point::new(left, inside.y1), Pen::Mark);
        self.picture.text(Point::new(left, inside.y0 - 1.5), 2.5, Anchor::Middle, false, "R2");
    }

    /// The first strips: their names along the upper or right edge, and what to measure for each along the lower or left.
    fn strips(&mut self, job: &Job, plan: &SawPlan, index: usize, origin: Point) {
        let sheet = format!("sheet {}", index + 1);
        let first = |step: &&Step| step.sheet == index && step.piece == sheet && step.action == Action::Cut;
        for step in plan.steps.iter().filter(first) {
            let Some(off) = &step.off else { continue };
            let rect = self.on_paper(off.rect);
            let text = job.units.number(step.measure);
            match step.axis {
                Axis::X => {
                    let y = origin.y + 9.0;
                    for x in [rect.x0, rect.x1] {
                        self.picture.line(Point::new(x, origin.y + 2.5), Point::new(x, y + 1.5), Pen::Thin);
                    }
                    self.picture.line(Point::new(rect.x0, y), Point::new(rect.x1, y), Pen::Thin);
                    let turned = text_width(&text, 2.5) > rect.width() - 1.0;
                    let at = if turned {
                        Point::new(rect.center().x + 1.2, y + 6.0)
                    } else {
                        Point::new(rect.center().x, y - 0.8)
                    };
                    self.picture.text(at, 2.5, Anchor::Middle, turned, &text);
                    self.picture.text(Point::new(rect.center().x, TOP - 1.6), 2.5, Anchor::Middle, false, &off.name);
                }
                Axis::Y => {
                    let x = origin.x - 5.0;
                    for y in [rect.y0, rect.y1] {
                        self.picture.line(Point::new(origin.x - 2.5, y), Point::new(x - 1.5, y), Pen::Thin);
                    }
                    self.picture.line(Point::new(x, rect.y0), Point::new(x, rect.y1), Pen::Thin);
                    let turned = text_width(&text, 2.5) <= rect.height() - 1.0;
                    let at = if turned {
                        Point::new(x - 0.8, rect.center().y)
                    } else {
                        Point::new(x - 1.8, rect.center().y + 1.2)
                    };
                    let anchor = if turned { Anchor::Middle } else { Anchor::End };
                    self.picture.text(at, 2.5, anchor, turned, &text);
                    let at = Point::new(rect.x1 + 2.0, rect.center().y + 1.2);
                    self.picture.text(at, 2.5, Anchor::Start, false, &off.name);
                }
            }
        }
    }
}

fn overlap(a: Rect, b: Rect) -> f64 {
    let both = a.intersect(b);
    if both.width() > 0.0 && both.height() > 0.0 { both.area() } else { 0.0 }
}

/// Fine lines at 45°.
fn hatch(picture: &mut Picture, rect: Rect) {
    const APART: f64 = 4.0;
    let mut c = rect.x0 + rect.y0 + APART;
    while c < rect.x1 + rect.y1 {
        // The line x + y = c within the rectangle.
        let from = Point::new((c - rect.y1).max(rect.x0), (c - rect.x0).min(rect.y1));
        let to = Point::new((c - rect.y0).min(rect.x1), (c - rect.x1).max(rect.y0));
        picture.line(from, to, Pen::Fine);
        c += APART;
    }
}

/// The settings that this sheet's pieces go through, as lines of text.
fn settings(job: &Job, plan: &SawPlan, index: usize) -> Vec<String> {
    // Setting, first and last step on this sheet, pieces.
    let mut through: Vec<(usize, usize, usize, Vec<&str>)> = Vec::new();
    for (i, step) in plan.steps.iter().enumerate().filter(|(_, step)| step.sheet == index) {
        let Some(setting) = step.setting else { continue };
        match through.last_mut().filter(|(known, ..)| *known == setting) {
            Some((_, _, last, pieces)) => {
                *last = i;
                if pieces.last() != Some(&step.piece.as_str()) {
                    pieces.push(&step.piece);
                }
            }
            None => through.push((setting, i, i, vec![&step.piece])),
        }
    }
    let lines = through.into_iter().map(|(setting, first, last, pieces)| {
        let steps =
            if first == last { format!("step {}", first + 1) } else { format!("steps {}–{}", first + 1, last + 1) };
        let place = crate::saw::say::setting(job.units, &plan.settings[setting]);
        format!("Setting {}, {steps}: {place}: {}", setting + 1, pieces.join(", "))
    });
    lines.collect()
}

fn list_settings(picture: &mut Picture, lines: &[String], columns: usize, rows: usize, top: f64, wide: f64) {
    let room = (wide - 2.0 * MARGIN) / columns as f64;
    let mut lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    if lines.len() > rows * columns {
        lines.truncate(rows * columns - 1);
        lines.push("The other settings stand in saw.csv and on the pages of steps.");
    }
    for (i, line) in lines.into_iter().enumerate() {
        let (column, row) = (i / rows.max(1), i % rows.max(1));
        let at = Point::new(MARGIN + room * column as f64, top + ROW * (row as f64 + 1.0));
        picture.text(at, 2.0, Anchor::Start, false, &shortened(line, 2.0, room - 3.0));
    }
    let at = Point::new(MARGIN, top + ROW * rows as f64 + 6.0);
    picture.text(at, LETTERS, Anchor::Start, false, &shortened(CAUTION, LETTERS, wide - 2.0 * MARGIN));
}
