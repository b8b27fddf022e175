//! The saw plan's picture of a sheet: every cut with its number, every piece with its name.

mod card;
mod labels;
mod steps;

pub use card::saw_card;
pub use steps::saw_step_pages;

use super::dimension::LETTERS;
use super::form::{Form, Title};
use super::room::{Room, overlap};
use super::{Anchor, Pen, Picture, text_width};
use crate::design::Part;
use crate::geometry::{Affine, Point, Rect};
use crate::job::Job;
use crate::layout::{Axis, Placement};
use crate::saw::{Action, Becomes, CutPiece, Method, SawPlan, SawSheet, Step, say};
use crate::words::{counted, letter};

/// Room around the sheet: for its width on the left, for a name on the right, for strips' names above, and below for the
/// strips' measures and its length (mm on paper).
const LEFT: f64 = 20.0;
const RIGHT: f64 = 9.0;
const ABOVE: f64 = 8.0;
const BELOW: f64 = 20.0;

/// The pictures of one sheet of a saw plan, lying on the job's paper: the whole of it, and details, larger, of where names or
/// numbers have no room on it.
pub fn saw_pictures(job: &Job, parts: &[Part], plan: &SawPlan, index: usize) -> Vec<Picture> {
    let whole = Rect::new(0.0, 0.0, plan.sheets[index].length, plan.sheets[index].width);
    let Attempt { lacking, .. } = sheet(job, parts, plan, index, &[]);
    let windows = windows(job, parts, plan, index, &lacking, whole, MOST_HALVINGS);
    let mut pictures = vec![sheet(job, parts, plan, index, &windows).picture];
    for (i, window) in windows.iter().enumerate() {
        let name = letter(i);
        let picture = detail(job, parts, plan, (index, &name), *window).picture;
        pictures.push(picture.titled(format!("Saw plan of sheet {}, detail {name}", index + 1)));
    }
    pictures
}

/// A drawing, and the places on the sheet where a name or a number found no room.
struct Attempt {
    picture: Picture,
    lacking: Vec<Rect>,
}

/// A detail that still lacks room is halved no more often than this.
const MOST_HALVINGS: usize = 4;
/// Wood shown round what a detail is about (mm of wood).
const AROUND: f64 = 25.0;

/// Parts of the sheet to be shown larger, so that all that is lacking can be read.
fn windows(
    job: &Job,
    parts: &[Part],
    plan: &SawPlan,
    index: usize,
    lacking: &[Rect],
    whole: Rect,
    halvings: usize,
) -> Vec<Rect> {
    let Some(first) = lacking.first() else { return Vec::new() };
    let all = lacking.iter().fold(*first, |all, rect| all.union(*rect)).inflate(AROUND, AROUND);
    // No narrower than the paper: the rest would be empty.
    let (wide, high) = (all.width().max(all.height() * 1.6), all.height().max(all.width() / 2.0));
    let window = Rect::from_center_size(all.center(), (wide, high)).intersect(whole);
    if halvings == 0 || detail(job, parts, plan, (index, ""), window).lacking.is_empty() {
        return vec![window];
    }
    let lying = all.width() >= all.height();
    let middle = all.center();
    let (low, high): (Vec<Rect>, Vec<Rect>) = lacking.iter().partition(|rect| {
        let at = rect.center();
        if lying { at.x < middle.x } else { at.y < middle.y }
    });
    if low.is_empty() || high.is_empty() {
        return vec![window];
    }
    let mut both = windows(job, parts, plan, index, &low, whole, halvings - 1);
    both.extend(windows(job, parts, plan, index, &high, whole, halvings - 1));
    both
}

/// Draws the whole sheet, with the frames of its details.
fn sheet(job: &Job, parts: &[Part], plan: &SawPlan, index: usize, windows: &[Rect]) -> Attempt {
    let sheet = &plan.sheets[index];
    let form = Form::lying(job.paper);
    let open = form.open();
    let space = |below: f64| (open.width() - LEFT - RIGHT, open.height() - ABOVE - below);
    // As large as it goes: the numbers must be read, nobody measures here.
    let scale = |space: (f64, f64)| (space.0 / sheet.length).min(space.1 / sheet.width);
    let space = space(BELOW + upright(job, plan, index, scale(space(BELOW))));
    let scale = scale(space);
    let (picture, room) = form.start(&title(job, plan, index, None));
    let (length, width) = (sheet.length * scale, sheet.width * scale);
    let origin = Point::new(open.x0 + LEFT + (space.0 - length) / 2.0, open.y0 + ABOVE + width);
    let to_paper = Affine::new([scale, 0.0, 0.0, -scale, origin.x, origin.y]);
    let window = Rect::new(0.0, 0.0, sheet.length, sheet.width);
    let mut drawn = Drawn { picture, room, to_paper, window };
    let whole = Rect::new(origin.x, origin.y - width, origin.x + length, origin.y);
    let (cuts, pieces) = drawn.wood(parts, plan, index);
    drawn.references(plan, index);
    let lowest = drawn.strips(job, plan, index, whole);
    let within = open.inflate(-1.0, -1.0);
    for (i, window) in windows.iter().enumerate() {
        drawn.framed(*window, &letter(i));
    }
    drawn.overall(job, (sheet.length, sheet.width), whole, lowest);
    let lacking = drawn.names_and_numbers(job, plan, index, (&pieces, parts), cuts, within);
    let mut notes = notes(job);
    if !windows.is_empty() {
        notes.push("Framed: drawn larger on the next pages.".into());
    }
    form.write(&mut drawn.picture, &mut drawn.room, &notes);
    let titled = format!("Saw plan of sheet {}: {}", index + 1, counted(sheet.placements.len(), "piece"));
    Attempt { picture: drawn.picture.titled(titled), lacking }
}

/// Draws a part of the sheet as large as the paper takes it.
fn detail(job: &Job, parts: &[Part], plan: &SawPlan, (index, name): (usize, &str), window: Rect) -> Attempt {
    let form = Form::lying(job.paper);
    let open = form.open().inflate(-9.0, -9.0);
    let (picture, room) = form.start(&title(job, plan, index, Some(name)));
    let scale = (open.width() / window.width()).min(open.height() / window.height());
    let (x, y) = (open.center().x - window.center().x * scale, open.center().y + window.center().y * scale);
    let to_paper = Affine::new([scale, 0.0, 0.0, -scale, x, y]);
    let mut drawn = Drawn { picture, room, to_paper, window };
    let (cuts, pieces) = drawn.wood(parts, plan, index);
    let within = form.open().inflate(-1.0, -1.0);
    let lacking = drawn.names_and_numbers(job, plan, index, (&pieces, parts), cuts, within);
    form.write(&mut drawn.picture, &mut drawn.room, &notes(job));
    Attempt { picture: drawn.picture, lacking }
}

/// What the lines mean.
fn notes(job: &Job) -> Vec<String> {
    vec![
        "Numbers on cuts are steps. Pieces: number in the cut list, and which of them.".into(),
        "Wide: along the guide; narrow: fence; dashed: gauge; dash-dotted: by hand.".into(),
        format!("R1, R2: reference edges. Hatched: keep; white: waste. Grain lengthwise, in {}.", job.units.name()),
    ]
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

fn title(job: &Job, plan: &SawPlan, index: usize, detail: Option<&str>) -> Title {
    let sheet = &plan.sheets[index];
    let units = job.units;
    let size =
        format!("{} × {} × {}", units.number(sheet.length), units.number(sheet.width), units.measured(sheet.thickness));
    Title {
        title: match detail {
            Some(name) => format!("Saw plan, sheet {}, detail {name}", index + 1),
            None => format!("Saw plan, sheet {}", index + 1),
        },
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
        Method::Guide => Pen::CutWide,
        Method::Fence => Pen::Cut,
        Method::GaugeStop | Method::GaugeFree => Pen::CutDashed,
        Method::Hand => Pen::CutDotted,
    }
}

/// The pieces of a sheet that are kept.
fn off_cuts(sheet: &SawSheet) -> impl Iterator<Item = &CutPiece> {
    sheet.left_over.iter().filter(|piece| matches!(piece.becomes, Becomes::OffCut { .. }))
}

/// A cut on paper, its number, and where it is on the sheet.
struct Numbered {
    number: usize,
    a: Point,
    b: Point,
    on_sheet: Rect,
}

/// A picture being drawn.
struct Drawn {
    picture: Picture,
    room: Room,
    to_paper: Affine,
    /// The part of the sheet that is drawn.
    window: Rect,
}

impl Drawn {
    fn on_paper(&self, rect: Rect) -> Rect {
        Rect::from_points(self.to_paper * Point::new(rect.x0, rect.y0), self.to_paper * Point::new(rect.x1, rect.y1))
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

    /// The wood that is in the window, its pieces and its cuts. Returns the cuts with their numbers, and the pieces.
    fn wood(
        &mut self,
        parts: &[Part],
        plan: &SawPlan,
        index: usize,
    ) -> (Vec<Numbered>, Vec<(Placement, String, Rect)>) {
        let rect = self.on_paper(self.window);
        self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), Pen::Waste);
        let pieces = pieces(plan, index);
        let pieces: Vec<_> =
            pieces.into_iter().filter(|(.., rect)| overlap(rect.inflate(-0.1, -0.1), self.window)).collect();
        self.outlines(parts, &pieces);
        // Where the wood ends, finer than any cut.
        for side in [[rect.x0, rect.y0, rect.x1, rect.y0], [rect.x1, rect.y0, rect.x1, rect.y1]]
            .into_iter()
            .chain([[rect.x1, rect.y1, rect.x0, rect.y1], [rect.x0, rect.y1, rect.x0, rect.y0]])
        {
            self.line(Point::new(side[0], side[1]), Point::new(side[2], side[3]), Pen::Fine);
        }
        let sheet = &plan.sheets[index];
        let window = self.window;
        for piece in off_cuts(sheet).filter(|piece| overlap(piece.rect, window)) {
            self.hatch(piece.rect.intersect(window));
        }
        (self.cuts(plan, index), pieces)
    }

    fn outlines(&mut self, parts: &[Part], pieces: &[(Placement, String, Rect)]) {
        for (placement, _, rect) in pieces {
            let part = &parts[placement.part];
            if self.window.intersect(*rect) != *rect {
                let rect = self.on_paper(self.window.intersect(*rect));
                self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), Pen::Piece);
                continue;
            }
            let place = self.to_paper * placement.affine(part);
            let outline = |outline: crate::geometry::Outline| outline.transformed(place);
            // The cuts are the lines here, not what they leave.
            self.picture.outline(&outline(part.outline.clone()), Pen::Piece);
            for pocket in &part.pockets {
                self.picture.outline(&outline(pocket.outline.clone()), Pen::Fine);
            }
            for hole in &part.holes {
                self.picture.outline(&outline(hole.outline()), Pen::Fine);
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

    /// Draws the cuts that are in the window, as far as they are; returns them with their numbers.
    fn cuts(&mut self, plan: &SawPlan, index: usize) -> Vec<Numbered> {
        let mut lines = Vec::new();
        let on_it = |step: &Step| step.sheet == index && step.action != Action::Check;
        let window = self.window;
        let inside = |at: Point| Point::new(at.x.clamp(window.x0, window.x1), at.y.clamp(window.y0, window.y1));
        for (number, step) in plan.steps.iter().enumerate().filter(|(_, step)| on_it(step)) {
            let [a, b] = step.ends();
            // Cuts run along the sheet's sides; the few that slope are short.
            let straight = a.x == b.x || a.y == b.y;
            let (c, d) = if straight { (inside(a), inside(b)) } else { (a, b) };
            let across = if a.x == b.x { (a.x - c.x).abs() } else { (a.y - c.y).abs() };
            if c.distance(d) < 1.0 || (straight && across > 0.0) || inside(c.midpoint(d)) != c.midpoint(d) {
                continue;
            }
            let [a, b] = [self.to_paper * c, self.to_paper * d];
            self.line(a, b, pen(step.method));
            lines.push(Numbered { number: number + 1, a, b, on_sheet: Rect::from_points(c, d) });
        }
        // Short cuts have the fewest places for their numbers and choose first.
        lines.sort_by(|one, other| one.a.distance(one.b).total_cmp(&other.a.distance(other.b)));
        lines
    }

    /// A part of the sheet that is drawn larger elsewhere.
    fn framed(&mut self, window: Rect, name: &str) {
        let frame = self.on_paper(window);
        for (a, b) in [
            ((frame.x0, frame.y0), (frame.x1, frame.y0)),
            ((frame.x1, frame.y0), (frame.x1, frame.y1)),
            ((frame.x1, frame.y1), (frame.x0, frame.y1)),
            ((frame.x0, frame.y1), (frame.x0, frame.y0)),
        ] {
            self.line(Point::new(a.0, a.1), Point::new(b.0, b.1), Pen::MarkFine);
        }
        let text = format!("detail {name}");
        let (wide, high) = (text_width(&text, LETTERS) + 1.4, LETTERS * 1.5);
        let places = [(frame.x0, frame.y0), (frame.x1 - wide, frame.y0), (frame.x0, frame.y1 - high)];
        let tag = |(x, y): (f64, f64)| Rect::new(x, y, x + wide, y + high);
        let free = places.into_iter().map(tag).find(|rect| self.room.clear_of_texts(rect.inflate(0.1, 0.1)));
        let rect = free.unwrap_or_else(|| tag(places[0]));
        self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), Pen::Marked);
        self.text(Point::new(rect.center().x, rect.y1 - 1.0), LETTERS, Anchor::Middle, false, &text);
        self.room.take_text(rect);
    }

    /// Writes the names of pieces and off-cuts and the numbers of cuts; returns where there was no room.
    fn names_and_numbers(
        &mut self,
        job: &Job,
        plan: &SawPlan,
        index: usize,
        (pieces, parts): (&[(Placement, String, Rect)], &[Part]),
        cuts: Vec<Numbered>,
        within: Rect,
    ) -> Vec<Rect> {
        let mut lacking = Vec::new();
        let window = self.window;
        let whole = |rect: &Rect| window.intersect(*rect) == *rect;
        let places: Vec<Rect> = pieces.iter().map(|(.., rect)| self.on_paper(*rect)).collect();
        for piece in off_cuts(&plan.sheets[index]).filter(|piece| whole(&piece.rect)) {
            if self.off_cut_label(&piece.name, &say::size(job.units, piece.rect), piece.rect).is_none() {
                lacking.push(piece.rect);
            }
        }
        // The smallest first: they have the fewest places.
        let mut order: Vec<usize> = (0..pieces.len()).filter(|i| whole(&pieces[*i].2)).collect();
        order.sort_by(|a, b| places[*a].area().total_cmp(&places[*b].area()));
        let mut small = Vec::new();
        for i in order {
            let (placement, name, rect) = &pieces[i];
            let part = &parts[placement.part];
            let upright = part.length > part.width && placement.turn.swaps();
            if self.label(places[i], (name, &part.name), &say::size(job.units, *rect), upright).is_none() {
                small.push(i);
            }
        }
        for cut in cuts {
            if self.number(&cut.number.to_string(), cut.a, cut.b).is_none() {
                // Of a long cut a bit will do.
                let middle = cut.on_sheet.center();
                lacking.push(cut.on_sheet.intersect(Rect::from_center_size(middle, (120.0, 120.0))));
            }
        }
        for i in small {
            if self.label_beside(places[i], &places, within, &pieces[i].1).is_none() {
                lacking.push(pieces[i].2);
            }
        }
        lacking
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
