//! Simple parts together on a page: plain rectangles up to six, parts with a few features up to four.

use super::dimension::LETTERS;
use super::features::{Features, features};
use super::form::{Form, Title};
use super::part::{Attempt, part_drawing, scale_text, scales, size_of};
use super::{Anchor, Pen, Picture, shortened};
use crate::design::{Elevation, Part};
use crate::geometry::{Point, Rect, Vec2};
use crate::made::Made;
use crate::words::counted;

/// Columns and rows of a page of plain rectangles, and of one of parts with features.
const PLAIN: (usize, usize) = (3, 2);
const FEW: (usize, usize) = (2, 2);
/// With more dimensions than this a part has a page of its own.
const MOST_DIMENSIONS: usize = 8;
const MOST_NOTES: usize = 3;
/// Words under a drawing, and white around it (mm).
const WORDS: f64 = 11.5;
const WHITE: f64 = 2.0;
const NAME: f64 = 3.5;

/// A page of parts: which, and their picture.
pub(super) struct PartsPage {
    pub parts: Vec<usize>,
    pub picture: Picture,
}

/// How much paper a part takes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Size {
    Plain,
    Few,
    Page,
}

/// All parts of the job in the order of the cut list, those that go together on pages of their own.
pub(super) fn parts_pages(made: &Made) -> Vec<PartsPage> {
    let shown: Vec<Elevation> = made.parts.iter().map(|part| part.elevation(&made.assemblies[part.assembly])).collect();
    let wanted: Vec<Features> =
        shown.iter().map(|shown| features(&shown.part, made.job.units, made.job.router.is_some())).collect();
    let sizes: Vec<Size> = shown.iter().zip(&wanted).map(|(shown, wanted)| size(&shown.part, wanted)).collect();
    let mut pages = Vec::new();
    for (kind, grid) in [(Size::Plain, PLAIN), (Size::Few, FEW)] {
        let mut left: Vec<usize> = (0..sizes.len()).filter(|i| sizes[*i] == kind).collect();
        while left.len() > 1 {
            let page: Vec<usize> = left.drain(..left.len().min(grid.0 * grid.1)).collect();
            match together(made, &shown, &wanted, &page, grid) {
                Some(picture) => pages.push(PartsPage { parts: page, picture }),
                // What finds no room in its cell has a page of its own.
                None => pages.extend(page.into_iter().map(|i| alone(made, i))),
            }
        }
        pages.extend(left.into_iter().map(|i| alone(made, i)));
    }
    pages.extend((0..sizes.len()).filter(|i| sizes[*i] == Size::Page).map(|i| alone(made, i)));
    pages.sort_by_key(|page| page.parts[0]);
    pages
}

fn alone(made: &Made, index: usize) -> PartsPage {
    PartsPage { parts: vec![index], picture: part_drawing(made, index) }
}

fn size(part: &Part, wanted: &Features) -> Size {
    let dimensions = wanted.across.len() + wanted.up.len();
    if part.outline.is_rectangle() && part.holes.is_empty() && part.pockets.is_empty() {
        Size::Plain
    } else if part.square_corners.is_empty()
        && wanted.table.is_empty()
        && dimensions <= MOST_DIMENSIONS
        && wanted.call_outs.len() <= MOST_NOTES
    {
        Size::Few
    } else {
        Size::Page
    }
}

/// Several parts on a page, each in a cell; `None` when one has no room there.
fn together(
    made: &Made,
    shown: &[Elevation],
    wanted: &[Features],
    page: &[usize],
    (columns, rows): (usize, usize),
) -> Option<Picture> {
    let job = &made.job;
    let form = Form::lying(job.paper);
    let numbers: Vec<String> = page.iter().map(|i| (i + 1).to_string()).collect();
    let names: Vec<&str> = page.iter().map(|i| made.parts[*i].name.as_str()).collect();
    let pieces: usize = page.iter().map(|i| made.parts[*i].count as usize).sum();
    let title = Title {
        title: names.join(", "),
        kind: "Part drawings".into(),
        number: format!("P {}", numbers.join(", ")),
        sheet: format!("{} of {}", numbers.join(", "), made.parts.len()),
        scale: "as given".into(),
        material: String::new(),
        more: [
            ("Parts", counted(page.len(), "kind")),
            ("Pieces", pieces.to_string()),
            ("Length × width × thickness", "under each".into()),
        ],
        ..Title::of(job)
    };
    let (mut picture, mut room) = form.start(&title);
    let notes = [
        format!("In {}. Walls as they stand, seen from outside, from their left and lower edge.", job.units.name()),
        "Floors and covers seen from above, their back edge up, from their left and front edge.".into(),
    ];
    let mut open = form.open();
    open.y1 = form.write(&mut picture, &mut room, &notes);
    // Few parts have larger cells.
    let rows = if page.len() <= columns { 1 } else { rows };
    let cell = Vec2::new(open.width() / columns as f64, open.height() / rows as f64);
    for (place, i) in page.iter().enumerate() {
        let corner =
            Point::new(open.x0 + cell.x * (place % columns) as f64, open.y0 + cell.y * (place / columns) as f64);
        let cell = Rect::from_origin_size(corner, (cell.x, cell.y));
        picture.rect(cell.x0, cell.y0, cell.width(), cell.height(), Pen::Cell);
        let inside = cell.inflate(-WHITE, -WHITE);
        let area = Rect { y1: inside.y1 - WORDS, ..inside };
        let drawn = scales(job.paper.american()).find_map(|scale| {
            let attempt = Attempt::within(job, &shown[*i], *i, scale, area);
            Some((scale, attempt.draw(made, &wanted[*i], true)?))
        });
        let (scale, drawing) = drawn?;
        picture.append(&drawing, Vec2::ZERO);
        let part = &made.parts[*i];
        let material = &job.stock[part.stock].material.title;
        let face = if part.pockets.is_empty() {
            String::new()
        } else {
            format!(", {} face up on the machine", part.up.name())
        };
        let face = if job.router.is_some() { face } else { String::new() };
        let stands = &shown[*i].panel;
        let stands = if *stands == part.name || part.name.ends_with(stands) {
            String::new()
        } else {
            format!(" (as the {stands})")
        };
        let label = part.engraved().map_or_else(String::new, |label| format!(", engraved \"{}\"", label.text));
        let name = format!("{}  {}, {}{stands}", i + 1, part.name, counted(part.count as usize, "piece"));
        let size = format!("{} of {material}, {}{face}{label}", size_of(job, part), scale_text(scale));
        for (text, height, y) in [(name, NAME, area.y1 + 5.0), (size, LETTERS, area.y1 + 10.0)] {
            let text = shortened(&text, height, inside.width());
            picture.text(Point::new(inside.x0, y), height, Anchor::Start, false, &text);
        }
    }
    Some(picture.titled(format!("Parts: {}", names.join(", "))))
}
