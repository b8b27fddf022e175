//! The first page: the finished boxes, what is to be made of what, and what to mind.

use super::assembly::finished;
use super::form::{Form, Title};
use super::room::Room;
use super::{Anchor, Picture, shortened, text_width};
use crate::finding::{Finding, Status, accepted};
use crate::geometry::{Point, Rect};
use crate::made::Made;
use crate::route::SheetFace;
use crate::units::decimal;
use crate::words::counted;

const HEADING: f64 = 7.0;
const NAMES: f64 = 3.5;
/// More pictures than this would be too small.
const MOST: usize = 12;

/// Does the cover have room for everything that asks for care?
pub(super) fn holds_cautions(made: &Made) -> bool {
    let form = Form::lying(made.job.paper);
    form.has_room(&notes(made))
}

/// The cover of a job.
pub fn cover(made: &Made) -> Picture {
    let job = &made.job;
    let form = Form::lying(job.paper);
    let boxes: u32 = job.boxes.iter().map(|order| order.count).sum();
    let pieces: usize = made.parts.iter().map(|part| part.count as usize).sum();
    let title = Title {
        title: job.title.clone(),
        kind: "Cover".into(),
        number: "C 1".into(),
        sheet: "1 of 1".into(),
        material: materials(made),
        more: [
            ("Boxes", boxes.to_string()),
            ("Parts", format!("{}, {}", counted(made.parts.len(), "kind"), counted(pieces, "piece"))),
            ("Sheets", sheets(made)),
        ],
        ..Title::of(job)
    };
    let (mut picture, mut room) = form.start(&title);
    let open = form.open();
    let heading = shortened(&job.title, HEADING, open.width() - 12.0);
    picture.text(Point::new(open.x0 + 6.0, open.y0 + 13.0), HEADING, Anchor::Start, false, &heading);
    let foot = form.write(&mut picture, &mut room, &notes(made));
    let area = Rect::new(open.x0 + 6.0, open.y0 + 18.0, open.x1 - 6.0, foot - 4.0);
    pictures(&mut picture, &mut room, made, area);
    picture.titled(format!("{}: the finished boxes", job.title))
}

/// What to mind before anything turns; and before anything is laid on the machine, which sheets are cut from both faces.
fn notes(made: &Made) -> Vec<String> {
    let over = made.routes.iter().filter(|route| route.face == Some(SheetFace::First));
    let over: Vec<String> = over.map(|route| (route.sheet + 1).to_string()).collect();
    let turned = match over.as_slice() {
        [] => None,
        [one] => Some(format!("Sheet {one} is turned over between its programs: turning.txt says how.")),
        some => {
            Some(format!("Sheets {} are turned over between their programs: turning.txt says how.", some.join(", ")))
        }
    };
    [CAUTIONS.into()].into_iter().chain(made.glue_ups()).chain(turned).chain(found(made)).collect()
}

/// What the checks found: those that ask for care in full, the others as a count; the job page has them all.
fn found(made: &Made) -> Vec<String> {
    let units = made.job.units;
    let cautions: Vec<&Finding> = made.findings.iter().filter(|it| it.status == Status::Caution).collect();
    let passed = made.findings.iter().filter(|it| it.status == Status::Ok).count();
    let mut told = vec![format!("{} passed; all of them with their sources: job.html.", counted(passed, "check"))];
    told.extend(accepted(&made.findings).map(|said| format!("{said}.")));
    told.extend(cautions.into_iter().map(|caution| {
        let figures = caution.figures(units).map_or_else(String::new, |(is, may_be)| format!(" {is} ({may_be})"));
        format!("▲ {}: {}{figures}: {}.", caution.subject, caution.check, caution.advice)
    }));
    told
}

fn materials(made: &Made) -> String {
    let mut names: Vec<&str> = Vec::new();
    for stock in &made.job.stock {
        if !names.contains(&stock.material.title.as_str()) {
            names.push(&stock.material.title);
        }
    }
    names.join(", ")
}

fn sheets(made: &Made) -> String {
    let mut methods = Vec::new();
    if !made.layout.sheets.is_empty() {
        let minutes: f64 = made.programs.iter().map(|program| program.travel.minutes).sum();
        methods.push(format!("{} by router, {} min", made.layout.sheets.len(), decimal(minutes, 0)));
    }
    if !made.patterns.is_empty() {
        methods.push(format!("{} by saw", made.patterns.len()));
    }
    methods.join("; ")
}

/// Each kind of box in a cell of its own, with its name and count under it.
fn pictures(picture: &mut Picture, room: &mut Room, made: &Made, area: Rect) {
    let of = |loose: bool| made.assemblies.iter().filter(move |assembly| assembly.loose == loose).collect::<Vec<_>>();
    // A job without boxes is its loose parts.
    let boxes = Some(of(false)).filter(|boxes| !boxes.is_empty()).unwrap_or_else(|| of(true));
    let count = boxes.len().clamp(1, MOST);
    // As square cells as can be.
    let columns = (1..=count)
        .max_by(|a, b| {
            let cell = |columns: usize| {
                let rows = count.div_ceil(columns);
                (area.width() / columns as f64).min((area.height() / rows as f64 - 8.0) * 1.2)
            };
            cell(*a).total_cmp(&cell(*b))
        })
        .unwrap_or(1);
    let rows = count.div_ceil(columns);
    let (wide, high) = (area.width() / columns as f64, area.height() / rows as f64);
    for (i, assembly) in boxes.into_iter().take(count).enumerate() {
        let (column, row) = ((i % columns) as f64, (i / columns) as f64);
        let cell = Rect::new(
            area.x0 + column * wide + 3.0,
            area.y0 + row * high + 1.0,
            area.x0 + (column + 1.0) * wide - 3.0,
            area.y0 + (row + 1.0) * high - 8.0,
        );
        let foot = finished(picture, room, assembly, cell).map_or(cell.y1, |bounds| bounds.y1);
        let name = format!("{} × {}", assembly.count, assembly.name);
        let name = shortened(&name, NAMES, cell.width());
        let at = Point::new(cell.center().x, foot + 6.5);
        picture.text(at, NAMES, Anchor::Middle, false, &name);
        let half = text_width(&name, NAMES) / 2.0;
        room.take_text(Rect::new(at.x - half, at.y - NAMES, at.x + half, at.y + 1.2));
    }
}

/// What to do before anything turns.
const CAUTIONS: &str = "Before you cut: check the thickness of the wood against these drawings, mark off one part and hold \
                        it against its neighbour. Wear eye and ear protection, extract the dust, use the guards. What the \
                        machine's manual, local rules and qualified practice say comes first.";
