//! A picture of a nested sheet.

use super::CAUTION;
use super::dimension::{horizontal, vertical};
use super::{Anchor, Pen, Picture, text_width};
use crate::design::Part;
use crate::geometry::{Affine, Point};
use crate::job::Job;
use crate::layout::{Layout, Sheet};
use crate::units::decimal;

/// Room around the sheet on paper (mm).
const LEFT: f64 = 24.0;
const TOP: f64 = 18.0;
/// The sheet's longer side comes out at most this long on paper.
const LONGEST: f64 = 360.0;

/// The picture of one sheet of a layout, .
pub fn sheet_picture(job: &Job, parts: &[Part], layout: &Layout, index: usize) -> Picture {
    let sheet = &layout.sheets[index];
    let units = job.units;
    let scale = LONGEST / sheet.length.max(sheet.width);
    let (length, width) = (sheet.length * scale, sheet.width * scale);
    let mut picture = Picture::new(LEFT + length + 14.0, TOP + width + 34.0);
    let origin = Point::new(LEFT, TOP + width);
    let to_paper = Affine::new([scale, 0.0, 0.0, -scale, origin.x, origin.y]);

    let stock = &job.stock[sheet.stock];
    let heading = format!(
        "{}: sheet {} of {}, {}, {} thick, {} % used",
        job.title,
        index + 1,
        layout.sheets.len(),
        stock.material.title,
        units.measured(sheet.thickness),
        decimal(sheet.yield_(parts) * 100.0, 1)
    );
    picture.text(Point::new(LEFT, 10.0), 3.5, Anchor::Start, false, &heading);
    picture.rect(LEFT, TOP, length, width, Pen::Sheet);
    for placement in &sheet.placements {
        let part = &parts[placement.part];
        let place = to_paper * placement.affine(part);
        picture.outline(&part.outline.transformed(place), Pen::Wood);
        for hole in &part.holes {
            picture.outline(&hole.outline().transformed(place), Pen::Hole);
        }
        label(&mut picture, part, placement.turn.swaps(), to_paper * placement.bounds(part).center(), scale);
    }
    zero_mark(&mut picture, origin);
    let far = Point::new(LEFT + length, TOP);
    horizontal(&mut picture, origin, Point::new(far.x, origin.y), origin.y + 12.0, &units.number(sheet.length));
    vertical(&mut picture, origin, Point::new(LEFT, far.y), LEFT - 12.0, &units.number(sheet.width));
    let foot = format!("Dimensions in {}. Face grain runs along the sheet's length. {CAUTION}", units.name());
    picture.text(Point::new(LEFT, origin.y + 26.0), 2.2, Anchor::Start, false, &foot);
    picture.titled(title(sheet, &heading))
}

fn title(sheet: &Sheet, heading: &str) -> String {
    format!("{heading}; {} pieces", sheet.placements.len())
}

/// The part's name in it, as large as fits, along its longer side.
fn label(picture: &mut Picture, part: &Part, turned: bool, at: Point, scale: f64) {
    let (along, across) = (part.length * scale - 2.0, part.width * scale - 1.0);
    for height in [3.5, 2.5, 1.8, 1.3] {
        if text_width(&part.name, height) <= along && height <= across {
            let down = height / 2.0;
            let at = if turned { Point::new(at.x + down, at.y) } else { Point::new(at.x, at.y + down) };
            picture.text(at, height, Anchor::Middle, turned, &part.name);
            return;
        }
    }
}

/// Where the program's X and Y are zero.
fn zero_mark(picture: &mut Picture, origin: Point) {
    picture.line(origin - (6.0, 0.0), origin + (10.0, 0.0), Pen::Thick);
    picture.line(origin - (0.0, 10.0), origin + (0.0, 6.0), Pen::Thick);
    picture.text(origin + (-2.0, 5.0), 2.2, Anchor::End, false, "X0 Y0");
}
