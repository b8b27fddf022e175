//! The saw plan's picture of a sheet: every cut with its number, every piece with its name.

mod labels;
mod settings;
mod steps;

pub use steps::saw_step_pages;

use super::dimension::LETTERS;
use super::form::{Form, Title};
use super::room::Room;
use super::{Anchor, Pen, Picture, text_width};
use crate::design::Part;
use crate::geometry::{Affine, Point, Rect};
use crate::job::Job;
use crate::layout::{Axis, Placement};
use crate::saw::{Action, Becomes, Method, SawPlan, Step, say};
use crate::words::counted;
use settings::{List, settings};

/// Room around the sheet: for its width on the left, for a name on the right, for strips' names above, and below for the
/// strips' measures and its length (mm on paper).
const LEFT: f64 = 20.0;
const RIGHT: f64 = 9.0;
const ABOVE: f64 = 8.0;
const BELOW: f64 = 20.0;
/// On a sheet of more pieces than this, those too small for their names bear them in the smallest letters, not beside them:
/// nobody follows hundreds of leaders.
const MOST_BESIDE: usize = 200;
/// Letters of the list of settings.
const SMALL: f64 = 1.8;

/// The picture of one sheet of a saw plan, lying on the job's paper.
pub fn saw_picture(job: &Job, parts: &[Part], plan: &SawPlan, index: usize) -> Picture {
    // Small pieces whose names found no room choose first the next time, before what has more places to stand.
    let mut first = Vec::new();
    loop {
        let (picture, unnamed) = attempt(job, parts, plan, index, &first);
        let more: Vec<usize> = unnamed.into_iter().filter(|piece| !first.contains(piece)).collect();
        if more.is_empty() || plan.sheets[index].placements.len() > MOST_BESIDE {
            return picture;
        }
        first.extend(more);
    }
}

/// Draws the sheet, writing the names of the pieces in `first` before all others. Also returns the pieces whose names found
/// no room.
fn attempt(job: &Job, parts: &[Part], plan: &SawPlan, index: usize, first: &[usize]) -> (Picture, Vec<usize>) {
    let sheet = &plan.sheets[index];
    let units = job.units;
    let form = Form::lying(job.paper);
    let open = form.open();
    let list = List::new(settings(job, plan, index), open.width() - 6.0);
    let space = |below: f64| (open.width() - LEFT - RIGHT, open.height() - ABOVE - below - list.height());
    // As large as it goes: the numbers must be read, nobody measures here.
    let scale = |space: (f64, f64)| (space.0 / sheet.length).min(space.1 / sheet.width);
    let space = space(BELOW + upright(job, plan, index, scale(space(BELOW))));
    let scale = scale(space);
    let (picture, room) = form.start(&title(job, plan, index));
    let (length, width) = (sheet.length * scale, sheet.width * scale);
    let origin = Point::new(open.x0 + LEFT + (space.0 - length) / 2.0, open.y0 + ABOVE + width);
    let to_paper = Affine::new([scale, 0.0, 0.0, -scale, origin.x, origin.y]);
    let mut drawn = Drawn { picture, room, to_paper };
    let whole = Rect::new(origin.x, origin.y - width, origin.x + length, origin.y);
    drawn.rect(whole, Pen::Sheet);
    let pieces = pieces(plan, index);
    drawn.outlines(parts, &pieces);
    let off_cuts = || sheet.left_over.iter().filter(|piece| matches!(piece.becomes, Becomes::OffCut { .. }));
    for piece in off_cuts() {
        drawn.hatch(piece.rect);
    }
    let cuts = drawn.cuts(plan, index);
    drawn.references(plan, index);
    let lowest = drawn.strips(job, plan, index, whole);
    let places: Vec<Rect> = pieces.iter().map(|(.., rect)| drawn.on_paper(*rect)).collect();
    let within = Rect::new(open.x0, open.y0, open.x1, open.y1 - list.height()).inflate(-1.0, -1.0);
    let beside = |drawn: &mut Drawn, piece: usize| drawn.label_beside(places[piece], &places, within, &pieces[piece].1);
    let mut unnamed: Vec<usize> = first.iter().copied().filter(|piece| beside(&mut drawn, *piece).is_none()).collect();
    for piece in off_cuts() {
        drawn.off_cut_label(&piece.name, &say::size(units, piece.rect), piece.rect);
    }
    let mut small = Vec::new();
    for (i, (placement, name, rect)) in pieces.iter().enumerate().filter(|(i, _)| !first.contains(i)) {
        let size = say::size(units, *rect);
        let upright = parts[placement.part].length > parts[placement.part].width && placement.turn.swaps();
        if drawn.label(places[i], name, &size, upright).is_none() {
            small.push(i);
        }
    }
    drawn.overall(job, (sheet.length, sheet.width), whole, lowest);
    drawn.numbers(cuts);
    unnamed.extend(small.into_iter().filter(|piece| beside(&mut drawn, *piece).is_none()));
    list.write(&mut drawn.picture, Point::new(open.x0 + 3.0, open.y1 - list.height() + 1.0));
    let notes = [
        "Numbers are steps; saw.csv has them in words.".to_string(),
        "Wide line: along the guide; narrow: fence; dashed: gauge; dash-dotted: by hand.".into(),
        format!("R1, R2: reference edges. Hatched: keep. Grain lengthwise, dimensions in {}.", units.name()),
    ];
    form.write(&mut drawn.picture, &mut drawn.room, &notes);
    let titled = format!("Saw plan of sheet {}: {}", index + 1, counted(sheet.placements.len(), "piece"));
    (drawn.picture.titled(titled), unnamed)
}

/// How much further down the measures of strips reach that are too narrow for them, at this scale.
fn upright(job: &Job, plan: &SawPlan, index: usize, scale: f64) -> f64 {
    let sheet = format!("sheet {}", index + 1);
    let across = |step: &&Step| step.piece == sheet && step.action == Action::Cut && step.axis == Axis::X;
    let narrow = plan.steps.iter().filter(across).filter_map(|step| {
        let wide = text_width(&job.units.number(step.measure), LETTERS);
        (wide >= step.off.as_ref()?.rect.width() * scale - 1.4).then_some(wide)
    });
    narrow.fold(0.0, f64::max)
}

fn title(job: &Job, plan: &SawPlan, index: usize) -> Title {
    let sheet = &plan.sheets[index];
    let units = job.units;
    let size =
        format!("{} × {} × {}", units.number(sheet.length), units.number(sheet.width), units.measured(sheet.thickness));
    Title {
        title: format!("Saw plan, sheet {}", index + 1),
        kind: "Saw plan".into(),
        number: format!("W {}", index + 1),
        sheet: format!("{} of {}", index + 1, plan.sheets.len()),
        scale: "to fit".into(),
        material: job.stock[sheet.stock].material.title.clone(),
        more: [
            ("Pieces", sheet.placements.len().to_string()),
            ("Length × width × thickness", size),
            ("Kerf", job.saw.as_ref().map_or_else(String::new, |saw| units.measured(saw.kerf))),
        ],
        ..Title::of(job)
    }
}

/// Finished pieces of a sheet: where they lay, and what is pencilled on them.
fn pieces(plan: &SawPlan, index: usize) -> Vec<(Placement, String, Rect)> {
    let mut found = Vec::new();
    for step in plan.steps.iter().filter(|step| step.sheet == index && !matches!(step.action, Action::Slope(_))) {
        for piece in [&step.off, &step.left].into_iter().flatten() {
            if let Becomes::Part { part, turn } = piece.becomes {
                let placement = Placement { part, x: piece.rect.x0, y: piece.rect.y0, turn };
                found.push((placement, piece.name.clone(), piece.rect));
            }
        }
    }
    found
}

/// How a cut is drawn, by the saw that makes it.
fn pen(method: Method) -> Pen {
    match method {
        Method::Guide => Pen::Thick,
        Method::Fence => Pen::Thin,
        Method::GaugeStop | Method::GaugeFree => Pen::Dashed,
        Method::Hand => Pen::Centre,
    }
}

/// A picture being drawn.
struct Drawn {
    picture: Picture,
    room: Room,
    to_paper: Affine,
}

impl Drawn {
    fn on_paper(&self, rect: Rect) -> Rect {
        Rect::from_points(self.to_paper * Point::new(rect.x0, rect.y0), self.to_paper * Point::new(rect.x1, rect.y1))
    }

    fn rect(&mut self, rect: Rect, pen: Pen) {
        self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), pen);
        self.room.take_sides(rect);
    }

    fn line(&mut self, from: Point, to: Point, pen: Pen) {
        self.picture.line(from, to, pen);
        self.room.take_line(from, to);
    }

    fn text(&mut self, at: Point, height: f64, anchor: Anchor, turned: bool, text: &str) {
        self.picture.text(at, height, anchor, turned, text);
        if let Some(text) = self.picture.texts().last() {
            self.room.take_text(text.bounds());
        }
    }

    fn outlines(&mut self, parts: &[Part], pieces: &[(Placement, String, Rect)]) {
        for (placement, ..) in pieces {
            let part = &parts[placement.part];
            let place = self.to_paper * placement.affine(part);
            let outline = |outline: crate::geometry::Outline| outline.transformed(place);
            self.picture.outline(&outline(part.outline.clone()), Pen::Wood);
            for pocket in &part.pockets {
                self.picture.outline(&outline(pocket.outline.clone()), Pen::recess(pocket.under));
            }
            for hole in &part.holes {
                self.picture.outline(&outline(hole.outline()), Pen::Hole);
            }
            let all = std::iter::once(part.outline.clone())
                .chain(part.pockets.iter().map(|pocket| pocket.outline.clone()))
                .chain(part.holes.iter().map(|hole| hole.outline()));
            for drawn in all.map(outline) {
                let mut points = drawn.flattened(0.2);
                points.extend(points.first().copied());
                self.room.take_path(&points);
            }
        }
    }

    /// Draws the cuts; returns them with their numbers.
    fn cuts(&mut self, plan: &SawPlan, index: usize) -> Vec<(usize, Point, Point)> {
        let mut lines = Vec::new();
        let on_it = |step: &Step| step.sheet == index && step.action != Action::Check;
        for (number, step) in plan.steps.iter().enumerate().filter(|(_, step)| on_it(step)) {
            let [a, b] = step.ends().map(|end| self.to_paper * end);
            self.line(a, b, pen(step.method));
            lines.push((number + 1, a, b));
        }
        // Short cuts have the fewest places for their numbers and choose first.
        lines.sort_by(|a, b| a.1.distance(a.2).total_cmp(&b.1.distance(b.2)));
        lines
    }

    /// The two edges that everything is measured from.
    fn references(&mut self, plan: &SawPlan, index: usize) {
        let squared = |step: &&Step| step.sheet == index && matches!(step.action, Action::Square | Action::Check);
        let Some(left) = plan.steps.iter().find(squared).and_then(|step| step.left.as_ref()) else { return };
        let inside = self.on_paper(left.rect);
        let (low, left) = (inside.y1 + 1.3, inside.x0 - 1.3);
        self.line(Point::new(inside.x0, low), Point::new(inside.x1, low), Pen::Mark);
        self.text(Point::new(inside.x1 + 1.5, low + 1.2), LETTERS, Anchor::Start, false, "R1");
        self.line(Point::new(left, inside.y0), Point::new(left, inside.y1), Pen::Mark);
        self.text(Point::new(left - 1.2, inside.y0 + LETTERS), LETTERS, Anchor::End, false, "R2");
    }

    /// The first strips: their names along the upper or right edge, and what to measure for each along the lower or left.
    /// Returns how far down that went.
    fn strips(&mut self, job: &Job, plan: &SawPlan, index: usize, whole: Rect) -> f64 {
        let sheet = format!("sheet {}", index + 1);
        let first = |step: &&Step| step.sheet == index && step.piece == sheet && step.action == Action::Cut;
        let strips: Vec<(&Step, Rect, String, &str)> = plan
            .steps
            .iter()
            .filter(first)
            .filter_map(|step| {
                let off = step.off.as_ref()?;
                Some((step, self.on_paper(off.rect), job.units.number(step.measure), off.name.as_str()))
            })
            .collect();
        let row = whole.y1 + 8.0;
        let mut lowest = whole.y1 + 2.0;
        for (step, rect, text, name) in strips {
            if step.axis == Axis::X {
                for x in [rect.x0, rect.x1] {
                    self.line(Point::new(x, whole.y1 + 2.6), Point::new(x, row + 1.5), Pen::Thin);
                }
                self.line(Point::new(rect.x0, row), Point::new(rect.x1, row), Pen::Thin);
                let wide = text_width(&text, LETTERS);
                lowest = lowest.max(row + 1.5);
                if wide < rect.width() - 1.4 {
                    self.text(Point::new(rect.center().x, row - 0.9), LETTERS, Anchor::Middle, false, &text);
                } else if rect.width() > LETTERS + 0.8 {
                    let at = Point::new(rect.center().x + LETTERS / 2.0, row + 1.4);
                    self.text(at, LETTERS, Anchor::End, true, &text);
                    lowest = lowest.max(row + 2.0 + wide);
                }
                if text_width(name, LETTERS) < rect.width() - 0.5 {
                    self.text(Point::new(rect.center().x, whole.y0 - 1.8), LETTERS, Anchor::Middle, false, name);
                }
            } else {
                let column = whole.x0 - 6.0;
                for y in [rect.y0, rect.y1] {
                    self.line(Point::new(whole.x0 - 2.6, y), Point::new(column - 1.5, y), Pen::Thin);
                }
                self.line(Point::new(column, rect.y0), Point::new(column, rect.y1), Pen::Thin);
                if text_width(&text, LETTERS) < rect.height() - 1.4 {
                    self.text(Point::new(column - 0.9, rect.center().y), LETTERS, Anchor::Middle, true, &text);
                } else if rect.height() > LETTERS + 0.8 {
                    let at = Point::new(column - 1.9, rect.center().y + LETTERS / 2.0);
                    self.text(at, LETTERS, Anchor::End, false, &text);
                }
                if rect.height() > LETTERS + 0.8 {
                    let at = Point::new(whole.x1 + 1.5, rect.center().y + LETTERS / 2.0);
                    if self.room.is_free(Rect::new(at.x, at.y - LETTERS, at.x + text_width(name, LETTERS), at.y)) {
                        self.text(at, LETTERS, Anchor::Start, false, name);
                    }
                }
            }
        }
        lowest
    }

    /// The sheet's own size, outside everything.
    fn overall(&mut self, job: &Job, (length, width): (f64, f64), whole: Rect, lowest: f64) {
        use super::dimension::{Dimensions, Measured, Side};
        let origin = Point::new(whole.x0, whole.y1);
        let mut dimensions = Dimensions { picture: &mut self.picture, room: &mut self.room, low: false, kept: None };
        let along = Measured { at: Point::new(whole.x1, whole.y1), text: job.units.number(length) };
        let across = Measured { at: Point::new(whole.x0, whole.y0), text: job.units.number(width) };
        let _ = dimensions.baseline(Side::Below, origin, &[along], (lowest - whole.y1 + 5.5).max(7.0));
        let _ = dimensions.baseline(Side::Left, origin, &[across], 13.0);
    }
}
