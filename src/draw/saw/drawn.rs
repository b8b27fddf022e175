//! A sheet of the saw plan being drawn, or a part of it: wood, pieces, cuts, and what is written on them.

use crate::design::{Hole, Part, ScrewHole};
use crate::draw::dimension::{Baseline, Dimensions, LETTERS, Measured};
use crate::draw::room::{Room, overlap};
use crate::draw::{Anchor, Pen, Picture, text_width};
use crate::geometry::{Affine, Outline, Point, Rect};
use crate::job::Job;
use crate::layout::{Axis, Placement};
use crate::saw::{Action, Becomes, CutPiece, Method, SawPlan, SawSheet, Step, say};

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
pub(super) struct Numbered {
    number: usize,
    a: Point,
    b: Point,
    on_sheet: Rect,
}

/// A picture being drawn.
pub(super) struct Drawn {
    pub picture: Picture,
    pub room: Room,
    pub to_paper: Affine,
    /// The part of the sheet that is drawn.
    pub window: Rect,
}

impl Drawn {
    pub(super) fn on_paper(&self, rect: Rect) -> Rect {
        Rect::from_points(self.to_paper * Point::new(rect.x0, rect.y0), self.to_paper * Point::new(rect.x1, rect.y1))
    }

    pub(super) fn line(&mut self, from: Point, to: Point, pen: Pen) {
        self.picture.line(from, to, pen);
        self.room.take_line(from, to);
    }

    /// The four sides of a rectangle.
    fn sides(&mut self, rect: Rect, pen: Pen) {
        self.picture.rect(rect.x0, rect.y0, rect.width(), rect.height(), pen);
        self.room.take_sides(rect);
    }

    pub(super) fn text(&mut self, at: Point, height: f64, anchor: Anchor, turned: bool, text: &str) {
        self.picture.text(at, height, anchor, turned, text);
        if let Some(text) = self.picture.texts().last() {
            self.room.take_text(text.bounds());
        }
    }

    /// The wood that is in the window, its pieces and its cuts. Returns the cuts with their numbers, and the pieces.
    pub(super) fn wood(
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
        self.sides(rect, Pen::Fine);
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
            let outline = |outline: Outline| outline.transformed(place);
            // The cuts are the lines here, not what they leave.
            self.picture.outline(&outline(part.outline.clone()), Pen::Piece);
            for pocket in &part.pockets {
                self.picture.outline(&outline(pocket.outline.clone()), Pen::Fine);
            }
            let holes = part.holes.iter().map(Hole::outline).chain(part.screw_holes.iter().map(ScrewHole::outline));
            let holes: Vec<Outline> = holes.collect();
            for hole in &holes {
                self.picture.outline(&outline(hole.clone()), Pen::Fine);
            }
            let all = std::iter::once(part.outline.clone())
                .chain(part.pockets.iter().map(|pocket| pocket.outline.clone()))
                .chain(holes);
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
    pub(super) fn framed(&mut self, window: Rect, name: &str) {
        let frame = self.on_paper(window);
        self.sides(frame, Pen::MarkFine);
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
    pub(super) fn names_and_numbers(
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
    pub(super) fn references(&mut self, plan: &SawPlan, index: usize) {
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
    pub(super) fn strips(&mut self, job: &Job, plan: &SawPlan, index: usize, whole: Rect) -> f64 {
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
    pub(super) fn overall(&mut self, job: &Job, (length, width): (f64, f64), whole: Rect, lowest: f64) {
        let origin = Point::new(whole.x0, whole.y1);
        let mut dimensions = Dimensions { picture: &mut self.picture, room: &mut self.room, low: false, kept: None };
        let along = Measured { at: Point::new(whole.x1, whole.y1), text: job.units.number(length) };
        let across = Measured { at: Point::new(whole.x0, whole.y0), text: job.units.number(width) };
        let _ = dimensions.baseline(Baseline::Below, origin, &[along], (lowest - whole.y1 + 5.5).max(7.0));
        let _ = dimensions.baseline(Baseline::Left, origin, &[across], 13.0);
    }
}
