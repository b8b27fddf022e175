//! What every page of a template says, and the rulers on it.

use super::{BLOCK, LETTERS, MARGIN};
use crate::design::{Elevation, Face};
use crate::draw::{Anchor, CAUTION, Pen, Picture, shortened, wrapped};
use crate::geometry::{Point, Vec2};
use crate::job::Job;
use crate::saw::stack;

/// What the page says of itself, and the rulers that tell whether it was printed at true scale.
pub(super) fn block(picture: &mut Picture, job: &Job, shown: &Elevation, (page, count): (usize, usize), how: &str) {
    let part = &shown.part;
    let (width, height) = (picture.width, picture.height);
    let top = height - MARGIN - BLOCK + 3.0;
    let room = width - 2.0 * MARGIN;
    let mut y = top + 3.5;
    let title = format!("Holes of {}, page {} of {count}", part.name, page + 1);
    picture.text(Point::new(MARGIN, y), 3.5, Anchor::Start, false, &shortened(&title, 3.5, room * 0.6));
    picture.text(
        Point::new(width - MARGIN, y),
        LETTERS,
        Anchor::End,
        false,
        &shortened(&job.title, LETTERS, room * 0.38),
    );
    let face = match (part.is_sided(), part.up) {
        (false, _) => "",
        (true, Face::Inner) => " This side lies on the inner face.",
        (true, Face::Outer) => " This side lies on the outer face.",
    };
    let side = if part.box_name.is_none() {
        format!("Stick it on as it is drawn.{face}")
    } else {
        format!("The {} {}.{face}", shown.panel, shown.seen())
    };
    let many = stack(part);
    let stacks = if part.count == 1 {
        "One piece.".to_string()
    } else if many > 1 {
        format!("{} pieces: clamp {many} in a stack, edges flush, and drill them at once.", part.count)
    } else {
        format!("{} pieces, one at a time.", part.count)
    };
    let text = format!(
        "{side} {stacks} {how} Tape the paper down, punch each centre, put scrap below, clamp, drill. Check one hole's place \
         with a rule first."
    );
    for line in wrapped(&text, 2.2, room) {
        y += 4.0;
        picture.text(Point::new(MARGIN, y), 2.2, Anchor::Start, false, &line);
    }
    rulers(picture, Point::new(MARGIN, height - MARGIN - 15.0));
    let care = "Print at 100 %, not fitted to the page: if the rulers are wrong, do not use it.";
    for (i, line) in [care, CAUTION].into_iter().enumerate() {
        let at = Point::new(MARGIN, height - MARGIN - 2.6 + 2.9 * i as f64);
        picture.text(at, 1.8, Anchor::Start, false, &shortened(line, 1.8, room));
    }
}

/// 100 mm and 4 in, to be held against a rule.
fn rulers(picture: &mut Picture, at: Point) {
    let mut ruler = |at: Point, length: f64, ticks: usize, long: usize, text: &str| {
        picture.line(at, at + Vec2::new(length, 0.0), Pen::Thick);
        for i in 0..=ticks {
            let x = length * i as f64 / ticks as f64;
            let tick = if i % long == 0 { 3.0 } else { 1.6 };
            picture.line(at + Vec2::new(x, 0.0), at + Vec2::new(x, -tick), Pen::Thin);
        }
        picture.text(at + Vec2::new(length + 2.0, 0.0), LETTERS, Anchor::Start, false, text);
    };
    ruler(at, 100.0, 10, 5, "100 mm");
    ruler(at + Vec2::new(0.0, 7.5), 4.0 * crate::units::INCH, 16, 4, "4 in");
}
