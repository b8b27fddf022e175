//! The saw plan's picture of a sheet: every cut with its number, every piece with its name.

mod card;
mod drawn;
mod labels;
mod steps;

pub use card::saw_card;
pub use steps::saw_step_pages;

use super::dimension::LETTERS;
use super::form::{Form, Title};
use super::{Pen, Picture, text_width};
use crate::design::Part;
use crate::geometry::{Affine, Point, Rect};
use crate::job::Job;
use crate::layout::Axis;
use crate::saw::{Action, SawPlan, Step};
use crate::words::{counted, letter};
use drawn::Drawn;

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
    for y in job.stock[sheet.stock].glue_lines() {
        let [from, to] = [0.0, sheet.length].map(|x| to_paper * Point::new(x, y));
        drawn.line(from, to, Pen::Centre);
    }
    drawn.references(plan, index);
    let lowest = drawn.strips(job, plan, index, whole);
    let within = open.inflate(-1.0, -1.0);
    for (i, window) in windows.iter().enumerate() {
        drawn.framed(*window, &letter(i));
    }
    drawn.overall(job, (sheet.length, sheet.width), whole, lowest);
    let lacking = drawn.names_and_numbers(job, plan, index, (&pieces, parts), cuts, within);
    let mut notes = notes(job);
    if job.stock[sheet.stock].glued.is_some() {
        notes.push("Thin dash-dotted: glue joints.".into());
    }
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
