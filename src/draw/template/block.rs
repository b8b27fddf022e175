//! What every page of a template says, and the rulers on it.

use super::{BLOCK, LETTERS, MARGIN};
use crate::draw::{Anchor, CAUTION, Pen, Picture, shortened, wrapped};
use crate::geometry::{Point, Vec2};
use crate::job::Job;

/// What the page says of itself, and the rulers that tell whether it was printed at true scale.
pub(super) fn block(picture: &mut Picture, job: &Job, (page, count): (usize, usize)) {
    let (width, height) = (picture.width, picture.height);
    let room = width - 2.0 * MARGIN;
    let mut y = height - MARGIN - BLOCK + 6.5;
    let title = format!("Holes at true scale, page {} of {count}", page + 1);
    picture.text(Point::new(MARGIN, y), 3.5, Anchor::Start, false, &shortened(&title, 3.5, room * 0.6));
    picture.text(
        Point::new(width - MARGIN, y),
        LETTERS,
        Anchor::End,
        false,
        &shortened(&job.title, LETTERS, room * 0.38),
    );
    let text = "Cut the patches out. Align their blue edges with the panel's own. Where a blue line runs through a hole, draw it on \
                the panel first, with rule and square, at the measure beside the hole. Tape the paper down, punch each centre, put \
                scrap below, clamp, drill. Check one hole's place with a rule first.";
    y += 0.8;
    for line in wrapped(text, LETTERS, room) {
        y += 4.0;
        picture.text(Point::new(MARGIN, y), LETTERS, Anchor::Start, false, &line);
    }
    rulers(picture, Point::new(MARGIN, height - MARGIN - 20.0));
    let care = "Print at 100 %, not fitted to the page: if the rulers are wrong, do not use it.";
    let lines = [care].map(String::from).into_iter().chain(wrapped(CAUTION, LETTERS, room));
    for (i, line) in lines.enumerate() {
        let at = Point::new(MARGIN, height - MARGIN - 8.0 + 3.9 * i as f64);
        picture.text(at, LETTERS, Anchor::Start, false, &line);
    }
}

/// 100 mm and 4 in beside it, to be held against a rule.
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
