//! Putting a box together, a picture for each step: what is added stands out in blue, drawn back to where it comes from;
//! glue is hatched, and nails stand where they are driven in.

use super::dimension::LETTERS;
use super::form::{Form, Title};
use super::scene::{Patch, Role, Scene, Shown};
use super::view::View;
use super::{Anchor, Pen, Picture, text_width, wrapped};
use crate::design::{Assembly, Contact, Face, Fitting, FittingKind, Seat, contacts};
use crate::geometry::{Outline, Point, Rect};
use crate::made::Made;
use crate::steps::{BoxSteps, Step, StepKind};
use glam::DVec3;

/// Cells on a page, across and down.
const CELLS: [(usize, usize); 2] = [(3, 2), (2, 2)];
/// Words take at most this much of a cell's height, or the cells are larger.
const WORDS: f64 = 0.7;
const LINE: f64 = LETTERS * 1.5;
const NUMBER: f64 = 5.0;
/// Nothing is shown larger than this many times the scale at which the whole box fills a cell's picture.
const LARGER: f64 = 1.25;
/// So many times larger still on a page of one or two.
const ALONE: f64 = 1.6;
/// How far a part is drawn back from its place, as a share of the box's largest side.
const BACK: f64 = 0.14;

/// How to read the pictures.
const LEGEND: &str = "In the pictures: blue, what the step adds, drawn back from its place; hatched, glue; nails stand where \
                      they are driven in, those out of sight are left out. Left and right are those of the box as it \
                      stands, seen from its front.";

/// The pages of a box's steps; `index` is that of its assembly.
pub fn step_pages(made: &Made, index: usize) -> Vec<Picture> {
    let assembly = &made.assemblies[index];
    let Some(box_steps) = made.steps.iter().find(|steps| steps.box_name == assembly.name) else { return Vec::new() };
    let form = Form::listing(made.job.paper);
    let open = form.open();
    let cautions: Vec<String> = box_steps
        .cautions
        .iter()
        .map(String::as_str)
        .chain([LEGEND])
        .flat_map(|words| wrapped(words, LETTERS, open.width() - 12.0))
        .collect();
    let strip = LINE * cautions.len() as f64 + 4.0;
    // What is done again on another side of the work needs no picture of its own, unless the words for both are too many.
    let together: Vec<&[Step]> = box_steps.steps.chunk_by(|_, next| next.like.is_some()).collect();
    let alone: Vec<&[Step]> = box_steps.steps.chunks(1).collect();
    let area = (open.width(), open.height() - strip);
    let fits = |((columns, rows), cells): &((usize, usize), &[&[Step]])| {
        let (wide, high) = (area.0 / *columns as f64, area.1 / *rows as f64);
        cells.iter().all(|steps| LINE * words(steps, wide).len() as f64 <= WORDS * high)
    };
    let tried = CELLS.into_iter().flat_map(|grid| [(grid, &together[..]), (grid, &alone[..])]);
    let ((columns, rows), cells) = tried.clone().find(fits).unwrap_or((CELLS[1], &alone));
    let usual = Rect::new(0.0, 0.0, open.width() / columns as f64 * 0.8, open.height() / rows as f64 * 0.65);
    let bench = Bench::new(assembly, box_steps, usual);
    let pages = cells.chunks(columns * rows);
    let count = pages.len();
    pages
        .enumerate()
        .map(|(page, steps)| {
            let title = Title {
                title: assembly.name.clone(),
                kind: "Assembly steps".into(),
                number: format!("A {}.4", index + 1),
                sheet: format!("{} of {count}", page + 1),
                more: [
                    ("Boxes", assembly.count.to_string()),
                    ("Steps", box_steps.steps.len().to_string()),
                    ("", String::new()),
                ],
                ..Title::of(&made.job)
            };
            let (mut picture, _) = form.start(&title);
            for (i, line) in cautions.iter().enumerate() {
                let at = Point::new(open.x0 + 6.0, open.y0 + 4.8 + LINE * i as f64);
                picture.text(at, LETTERS, Anchor::Start, false, line);
            }
            let area = Rect::new(open.x0, open.y0 + strip, open.x1, open.y1);
            // One or two that are left over have the page to themselves.
            let (columns, rows, larger) = match steps.len() {
                1 => (1, 1, ALONE),
                2 => (2, 1, ALONE),
                _ => (columns, rows, 1.0),
            };
            let wide = area.width() / columns as f64;
            // Each row has as much height for its pictures.
            let tall =
                |row: &[&[Step]]| row.iter().map(|step| words(step, wide).len()).max().unwrap_or(0) as f64 * LINE;
            let talls: Vec<f64> = steps.chunks(columns).map(tall).chain(std::iter::repeat(0.0)).take(rows).collect();
            let pictures = (area.height() - talls.iter().sum::<f64>()) / rows as f64;
            let mut y = area.y0;
            for (row, tall) in steps.chunks(columns).zip(talls) {
                for (column, step) in row.iter().enumerate() {
                    let x = area.x0 + wide * column as f64;
                    bench.draw(&mut picture, step, Rect::new(x, y, x + wide, y + pictures + tall), larger);
                }
                y += pictures + tall;
            }
            picture.titled(format!("{}: steps, page {} of {count}", assembly.name, page + 1))
        })
        .collect()
}

/// The words of a step and of those that repeat it, for a cell of this width (mm).
fn words(steps: &[Step], wide: f64) -> Vec<String> {
    let of_step = |(i, step): (usize, &Step)| {
        let number = if i == 0 { String::new() } else { format!("{}. ", step.number) };
        wrapped(&format!("{number}{}", step.text.join(" ")), LETTERS, wide - 8.0)
    };
    steps.iter().enumerate().flat_map(of_step).collect()
}

/// A box, and what is known of how it goes together.
struct Bench<'a> {
    assembly: &'a Assembly,
    steps: &'a BoxSteps,
    contacts: Vec<Contact>,
    /// How far parts are drawn back (mm).
    back: f64,
    /// The largest scale (paper over life).
    most: f64,
}

impl<'a> Bench<'a> {
    /// `picture` is the room for a usual picture on paper.
    fn new(assembly: &'a Assembly, steps: &'a BoxSteps, picture: Rect) -> Bench<'a> {
        let contacts = contacts(&assembly.panels);
        let (least, most) = super::solid::extent(assembly);
        let back = BACK * (most - least).max_element();
        let whole = Scene::of(assembly, |_| Some(Role::Wood), |_| DVec3::ZERO).scale(&View::ISOMETRIC, picture);
        Bench { assembly, steps, contacts, back, most: LARGER * whole }
    }

    /// A step in its cell, and those that repeat it: number, picture and words.
    fn draw(&self, picture: &mut Picture, steps: &[Step], cell: Rect, larger: f64) {
        let Some(step) = steps.first() else { return };
        picture.rect(cell.x0, cell.y0, cell.width(), cell.height(), Pen::Cell);
        let lines = words(steps, cell.width());
        let foot = cell.y1 - 3.0 - LINE * lines.len() as f64;
        for (i, line) in lines.iter().enumerate() {
            let at = Point::new(cell.x0 + 4.0, foot + LINE * (i as f64 + 0.75));
            picture.text(at, LETTERS, Anchor::Start, false, line);
        }
        let number: Vec<String> = steps.iter().map(|step| step.number.to_string()).collect();
        let number = number.join(", ");
        picture.text(Point::new(cell.x0 + 4.0, cell.y0 + 8.5), NUMBER, Anchor::Start, false, &number);
        let left = cell.x0 + 5.0 + text_width(&number, NUMBER);
        let area = Rect::new(left, cell.y0 + 5.0, cell.x1 - 4.0, foot - 2.0);
        if area.height() > 10.0 {
            self.show(picture, step, area, larger);
        }
    }

    fn show(&self, picture: &mut Picture, step: &Step, area: Rect, larger: f64) {
        let present = self.present(step);
        let direction = step.direction.map_or(DVec3::ZERO, DVec3::from_array);
        let moved = |panel: usize| if step.adds.contains(&panel) { -direction * self.back } else { DVec3::ZERO };
        let role = |panel: usize| match (step.adds.contains(&panel), present.contains(&panel)) {
            (true, _) => Some(Role::Added),
            (false, true) => Some(Role::Wood),
            (false, false) => None,
        };
        let mut scene = Scene::of(self.assembly, role, moved);
        let view = self.view(step, &scene, moved);
        if step.kind == StepKind::Glue {
            for contact in self.glue(step) {
                scene.patch(glue_patch(contact, &view, moved), Role::Glue);
            }
        }
        // What was fixed on before is still there.
        for earlier in self.steps.steps.iter().filter(|other| other.number <= step.number) {
            let now = earlier.number == step.number;
            for Fixed { patch, panel, mesh } in self.fittings(earlier) {
                if role(panel).is_some() {
                    scene.patch(patch.moved(moved(panel)), Role::Fitting { now, mesh });
                }
            }
        }
        let Some(shown) = scene.show(view, area, self.most * larger) else { return };
        scene.draw(&shown, picture);
        for Fixed { patch, mesh, .. } in self.fittings(step) {
            let middle = patch.middle();
            // Mesh is large enough to be seen.
            if !mesh && view.faces(patch.normal) && !scene.hides(middle + patch.normal * 0.5, &view) {
                let tip = shown.at(middle);
                let along = shown.at(-patch.normal) - shown.at(DVec3::ZERO);
                let along = along.normalize();
                // A short one where a long one would stand in the words.
                let long = [8.0, 4.0].into_iter().find(|long| area.contains(tip - along * (long + 4.0)));
                if let Some(long) = long {
                    block_arrow(picture, tip - along * (long + 2.0), along, long);
                }
            }
        }
        if step.kind == StepKind::Glue {
            self.nails(picture, step, &scene, &shown, moved);
        }
        // What comes as one piece needs one arrow.
        let largest = step.adds.iter().copied().max_by(|a, b| self.area(*a).total_cmp(&self.area(*b)));
        let moving = if step.kind == StepKind::Place { largest.into_iter().collect() } else { step.adds.clone() };
        for panel in moving.into_iter().filter(|_| direction != DVec3::ZERO) {
            self.arrow(picture, &shown, panel, direction);
        }
    }

    /// The panels that are on the bench in a step.
    fn present(&self, step: &Step) -> Vec<usize> {
        let panels = || 0..self.assembly.panels.len();
        let of = |panel: usize| self.assembly.panels[panel].sub_assembly.as_str();
        let placed = |name: &str| {
            let earlier = self.steps.steps.iter().filter(|other| other.number < step.number);
            name.is_empty()
                || earlier.filter(|other| other.kind == StepKind::Place).any(|other| other.sub_assembly == name)
        };
        match step.kind {
            StepKind::Lay | StepKind::Glue => {
                let so_far = self.steps.steps.iter().filter(|other| {
                    other.number <= step.number
                        && other.sub_assembly == step.sub_assembly
                        && matches!(other.kind, StepKind::Lay | StepKind::Glue)
                });
                so_far.flat_map(|other| other.adds.iter().copied()).collect()
            }
            StepKind::Place => panels().filter(|panel| placed(of(*panel)) || step.adds.contains(panel)).collect(),
            // Mesh goes on while its panel still lies flat, the rest on the finished box.
            StepKind::Fit if self.is_mesh(step) => step.onto.clone(),
            StepKind::Fit => panels().filter(|panel| placed(of(*panel)) || step.onto.contains(panel)).collect(),
            StepKind::Paint => panels().collect(),
        }
    }

    /// From where it is looked at: as it lies on the bench, from the corner where most of what is told can be seen.
    fn view(&self, step: &Step, scene: &Scene, moved: impl Fn(usize) -> DVec3) -> View {
        let fixed = self.fittings(step);
        // A board that gets its mesh lies with that face up.
        let mesh = fixed.first().filter(|fixed| fixed.mesh).map(|fixed| fixed.patch.normal);
        let lies = step.drives.first().map(|drive| drive.up).or_else(|| step.poses.last().copied());
        let corners = match mesh.or(lies.map(DVec3::from_array)) {
            Some(up) => View::lying(up).to_vec(),
            None => View::CORNERS.to_vec(),
        };
        let in_sight = |view: &View| {
            let open = |at: DVec3, normal: DVec3| view.faces(normal) && !scene.hides(at + normal * 0.5, view);
            let fixed = fixed.iter().filter(|it| open(it.patch.middle(), it.patch.normal)).count();
            let nails = self.entries(step, &moved).filter(|(entry, out)| open(*entry, *out)).count();
            let added = step.adds.iter().filter(|panel| {
                let (least, most) = self.assembly.panels[**panel].bounds();
                !scene.hides_but((least + most) / 2.0 + moved(**panel), view, **panel)
            });
            (fixed + nails, added.count(), self.openings_in_sight(view, scene))
        };
        // The first of the best: the usual one, if nothing speaks against it.
        corners.into_iter().rev().max_by_key(in_sight).unwrap_or(View::ISOMETRIC)
    }

    /// How much of the openings is seen in the outer faces; what an animal goes in by counts most.
    fn openings_in_sight(&self, view: &View, scene: &Scene) -> usize {
        let of = |panel: &crate::design::Panel| {
            let normal = panel.place.normal();
            let seen = panel.holes.iter().filter(|hole| {
                view.faces(normal) && !scene.hides(panel.place.to_space(hole.centre, 0.0) + normal * 0.5, view)
            });
            seen.map(|hole| if hole.use_ == crate::design::HoleUse::Entrance { 10 } else { 1 }).sum::<usize>()
        };
        self.assembly.panels.iter().map(of).sum()
    }

    /// Contacts that are glued in a step.
    fn glue(&self, step: &Step) -> impl Iterator<Item = &Contact> {
        self.contacts.iter().filter(|contact| self.assembly.is_glued(contact) && is_between(step, contact.panels))
    }

    fn is_mesh(&self, step: &Step) -> bool {
        let mut fixed = self.fixed_on(step).peekable();
        fixed.peek().is_some() && fixed.all(|(fitting, _)| fitting.kind == FittingKind::Mesh)
    }

    /// The fittings of a step, each with its seats and the panels they are on.
    fn fixed_on<'s>(&'s self, step: &'s Step) -> impl Iterator<Item = (&'s Fitting, Vec<(&'s Seat, usize)>)> {
        let place = |name: &str| self.assembly.panels.iter().position(|panel| panel.name == name);
        step.fittings.iter().filter_map(|which| self.assembly.fittings.get(*which)).filter_map(move |fitting| {
            let seats: Vec<(&Seat, usize)> =
                fitting.seats.iter().filter_map(|seat| Some((seat, place(&seat.panel)?))).collect();
            // A cloth lies on frames, which are not drawn.
            (!seats.is_empty()).then_some((fitting, seats))
        })
    }

    /// What a step fixes on, as flat pieces.
    fn fittings(&self, step: &Step) -> Vec<Fixed> {
        /// A screw's head, or where a catch sits: smaller would not be seen (mm).
        const HEAD: f64 = 16.0;
        if step.kind != StepKind::Fit {
            return Vec::new();
        }
        let mut fixed = Vec::new();
        for (fitting, seats) in self.fixed_on(step) {
            let [length, width] = fitting.size;
            for (seat, on) in seats {
                let panel = &self.assembly.panels[on];
                let outline = match fitting.kind {
                    // A head is about twice as wide as its screw.
                    FittingKind::Screw | FittingKind::WallScrew | FittingKind::Catch => {
                        Outline::circle(seat.centre, (2.0 * width).max(HEAD))
                    }
                    _ => Outline::from_rect(Rect::from_center_size(seat.centre, (length, width))),
                };
                let (w, normal) = match seat.face {
                    Face::Outer => (0.0, panel.place.normal()),
                    Face::Inner => (-panel.thickness, -panel.place.normal()),
                };
                let ring: Vec<DVec3> =
                    outline.flattened(0.2).into_iter().map(|at| panel.place.to_space(at, w)).collect();
                let mesh = fitting.kind == FittingKind::Mesh;
                fixed.push(Fixed { patch: Patch::new(vec![ring], normal), panel: on, mesh });
            }
        }
        fixed
    }

    /// Where fasteners go in, drawn back with their board, and out of which way they stand: those that are driven as the
    /// work is drawn.
    fn entries<'s>(
        &'s self,
        step: &'s Step,
        moved: impl Fn(usize) -> DVec3 + 's,
    ) -> impl Iterator<Item = (DVec3, DVec3)> + 's {
        step.drives.first().into_iter().flat_map(move |drive| {
            let within = |at: DVec3, panel: usize| self.assembly.panels[panel].contains(at);
            let of = |at: DVec3| drive.through.iter().copied().find(|panel| within(at, *panel));
            let entry =
                |(place, out): (&DVec3, &DVec3)| (*place + of(*place - *out * 0.5).map_or(DVec3::ZERO, &moved), *out);
            let entries: Vec<(DVec3, DVec3)> = drive.places.iter().zip(&drive.stands).map(entry).collect();
            entries
        })
    }

    /// A nail at each place where one is driven, unless it is out of sight.
    fn nails(&self, picture: &mut Picture, step: &Step, scene: &Scene, shown: &Shown, moved: impl Fn(usize) -> DVec3) {
        for (entry, out) in self.entries(step, moved) {
            if shown.view.faces(out) && !scene.hides(entry + out * 0.5, &shown.view) {
                nail(picture, shown.at(entry), shown.at(entry + out * 10.0));
            }
        }
    }

    fn area(&self, panel: usize) -> f64 {
        self.assembly.panels[panel].outline.area()
    }

    /// An arrow on a part, in the direction it comes in.
    fn arrow(&self, picture: &mut Picture, shown: &Shown, panel: usize, direction: DVec3) {
        let Some(from) = shown.spot_on(panel) else { return };
        let along = shown.at(direction) - shown.at(DVec3::ZERO);
        block_arrow(picture, from, along.normalize(), (along.hypot() * self.back * 0.8).clamp(5.0, 11.0));
    }
}

/// Something flat on a panel.
struct Fixed {
    patch: Patch,
    panel: usize,
    mesh: bool,
}

/// An arrow with a shaft, so long.
fn block_arrow(picture: &mut Picture, from: Point, unit: kurbo::Vec2, long: f64) {
    /// Half widths of shaft and head, and the head's length (mm).
    const SHAFT: f64 = 0.7;
    const HEAD: f64 = 1.8;
    const POINT: f64 = 3.2;
    let across = kurbo::Vec2::new(-unit.y, unit.x);
    let at = |a: f64, c: f64| from + unit * a + across * c;
    let neck = long - POINT;
    let corners = [
        at(0.0, -SHAFT),
        at(neck, -SHAFT),
        at(neck, -HEAD),
        at(long, 0.0),
        at(neck, HEAD),
        at(neck, SHAFT),
        at(0.0, SHAFT),
    ];
    picture.polygon(&corners, Pen::Arrow);
}

/// Does the step bring the two together?
fn is_between(step: &Step, [a, b]: [usize; 2]) -> bool {
    (step.adds.contains(&a) && step.onto.contains(&b)) || (step.adds.contains(&b) && step.onto.contains(&a))
}

/// The glue of a contact, on whichever of the two surfaces is seen.
fn glue_patch(contact: &Contact, view: &View, moved: impl Fn(usize) -> DVec3) -> Patch {
    let normal = contact.place.normal();
    let first = view.faces(normal);
    let on = moved(contact.panels[usize::from(!first)]);
    let rings = contact
        .region
        .iter()
        .flat_map(|patch| std::iter::once(patch.exterior()).chain(patch.interiors()))
        .map(|ring| {
            let corners = ring.coords().skip(1);
            corners.map(|c| contact.place.to_space(Point::new(c.x, c.y), 0.0) + on).collect()
        })
        .collect();
    Patch::new(rings, if first { normal } else { -normal })
}

/// A nail about to be driven: its shank, and its head across the outer end.
fn nail(picture: &mut Picture, entry: Point, outer: Point) {
    let along = (outer - entry).normalize();
    let outer = entry + along * 3.2;
    let across = kurbo::Vec2::new(-along.y, along.x) * 0.8;
    picture.line(entry, outer, Pen::Mark);
    picture.line(outer - across, outer + across, Pen::Mark);
}
