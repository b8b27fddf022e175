//! Labels engraved into the face of a part that will be hidden: its number in the cut list, and its name where that fits.
//!
//! The cutter writes them with its own width, so its letters are some cutters high: see [`LEAST`].

pub mod font;
mod unseen;

use crate::design::{Assembly, Part};
pub use crate::design::{Label, NoLabel};
use crate::geometry::{Affine, Outline, Point, ROUGH, Rect, Vec2, crosses};
use crate::job::Router;
use unseen::Unseen;

/// The least height of letters, in diameters of the cutter. A letter's strokes are at least a third of its height apart: at
/// five diameters, two thirds of a diameter of wood stand between them.
pub const LEAST: f64 = 5.0;
/// The height where there is room, in diameters of the cutter: a whole diameter of wood stands between strokes.
const ROOMY: f64 = 6.0;
/// Smaller letters are hard to read on rough wood, however thin the cutter (mm).
const SMALLEST: f64 = 8.0;
/// A label has no more lines.
const LINES: usize = 3;
/// Between the edge of a stroke and whatever else is cut (mm).
const FREE: f64 = 4.0;

impl Label {
    /// The least height of letters that a cutter of this diameter can write (mm).
    pub fn least_height(cutter: f64) -> f64 {
        (LEAST * cutter).max(SMALLEST)
    }

    /// The label of a part, which has this number in the cut list: number and name in a line, or in some; else the number.
    /// Where it cannot be seen from outside its box, an assembly of the job, if that has room even for the number alone; else
    /// anywhere on the face.
    ///
    /// # Errors
    /// [`NoLabel`]
    pub fn of(part: &Part, number: usize, router: &Router, assembly: &Assembly) -> Result<Label, NoLabel> {
        if part.box_name.is_none() {
            return Err(NoLabel::Loose);
        }
        // Seen from above with its inner face up, a panel is mirrored.
        if part.panels.iter().any(|(_, to_part)| to_part.determinant() > 0.0) {
            return Err(NoLabel::Shows);
        }
        let cutter = router.cutter.diameter.value;
        let depth = router.cutting.label_depth.min(router.cutter.pass_depth.value * cutter).min(part.thickness / 4.0);
        let whole = format!("{number} {}", part.name);
        let number = alone(number);
        let heights = [ROOMY, LEAST].map(|share| (share * cutter).max(SMALLEST));
        let mut tries: Vec<(&str, usize, f64)> = Vec::new();
        tries.extend((1..=LINES).flat_map(|lines| heights.map(|height| (whole.as_str(), lines, height))));
        tries.extend(heights.map(|height| (number.as_str(), 1, height)));
        let unseen = Unseen::of(part, assembly).map(|unseen| Room::of(part).within(unseen));
        let fitting = unseen.into_iter().chain([Room::of(part)]).find_map(|room| {
            tries.iter().find_map(|(text, lines, height)| {
                let block = Block::new(text, *lines, *height, cutter)?;
                let at = room.place(block.size + Vec2::new(cutter, cutter))?;
                let to_part = Affine::translate(at.to_vec2() - block.size / 2.0);
                let strokes =
                    block.strokes.iter().map(|stroke| stroke.iter().map(|it| to_part * it.to_point()).collect());
                let (text, strokes) = (block.text, strokes.collect());
                Some(Label { text, height: *height, depth, strokes, lacking: font::lacking(&part.name) })
            })
        });
        fitting.ok_or(NoLabel::NoRoom)
    }
}

/// A number that stands alone, with a point where it could be read upside down as another.
fn alone(number: usize) -> String {
    let number = number.to_string();
    let turned: Option<String> = number
        .chars()
        .rev()
        .map(|digit| match digit {
            '6' => Some('9'),
            '9' => Some('6'),
            '0' | '2' | '5' | '8' => Some(digit),
            _ => None,
        })
        .collect();
    if turned.is_some_and(|turned| turned != number) { format!("{number}.") } else { number }
}

/// Lines of a text one above the other, from their lower-left corner.
struct Block {
    text: String,
    strokes: Vec<Vec<Vec2>>,
    size: Vec2,
}

impl Block {
    /// `None` where the text has fewer words than lines, or a sign that the font does not have.
    fn new(text: &str, lines: usize, height: f64, cutter: f64) -> Option<Block> {
        let unit = height / font::HIGH;
        // Letters stand as far apart as their strokes, lines a little further.
        let gap = 2.0f64.max(1.6 * cutter / unit);
        let step = font::HIGH + gap + 1.0;
        let set = |text: &str| font::line(text, gap);
        let written = broken(text, lines, &|text| set(text).map(|line| line.width))?;
        let mut block = Block { text: written.join(" "), strokes: Vec::new(), size: Vec2::ZERO };
        for (row, text) in written.iter().rev().enumerate() {
            let line = set(text)?;
            let foot = Vec2::new(0.0, row as f64 * step);
            let placed = |stroke: &Vec<Vec2>| stroke.iter().map(|corner| (*corner + foot) * unit).collect();
            block.strokes.extend(line.strokes.iter().map(placed));
            block.size.x = block.size.x.max(line.width * unit);
        }
        block.size.y = ((written.len() - 1) as f64 * step + font::HIGH) * unit;
        Some(block)
    }
}

/// A text broken into this many lines, so that the widest is as narrow as can be.
fn broken(text: &str, lines: usize, width: &dyn Fn(&str) -> Option<f64>) -> Option<Vec<String>> {
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.len() < lines {
        return None;
    }
    if lines == 1 {
        let line = words.join(" ");
        width(&line)?;
        return Some(vec![line]);
    }
    let widest = |lines: &[String]| lines.iter().filter_map(|line| width(line)).fold(0.0, f64::max);
    let breaks = (1..=words.len() + 1 - lines).filter_map(|first| {
        let mut all = vec![words[..first].join(" ")];
        width(&all[0])?;
        all.extend(broken(&words[first..].join(" "), lines - 1, width)?);
        Some(all)
    });
    breaks.min_by(|a, b| widest(a).total_cmp(&widest(b)))
}

/// Where a part has room: its outline, and all that is cut into it.
struct Room<'a> {
    outline: Outline,
    cut: Vec<Outline>,
    /// A label has to be unseen as well.
    unseen: Option<Unseen<'a>>,
    bounds: Rect,
    /// What is glued on along an edge is as wide as the board is thick: a label keeps off it.
    from_edge: f64,
}

impl<'a> Room<'a> {
    fn of(part: &Part) -> Room<'a> {
        let holes = part.holes.iter().map(|hole| hole.outline());
        let lines = part.joint_lines.iter().flat_map(|line| &line.strokes);
        let lines = lines.map(|[from, to]| Outline::from_rect(Rect::from_points(*from, *to)));
        let holes = holes.chain(part.screw_holes.iter().map(|hole| hole.outline())).chain(lines);
        let cut = holes.chain(part.pockets.iter().map(|pocket| pocket.outline.clone()));
        Room {
            outline: part.outline.clone(),
            cut: cut.collect(),
            unseen: None,
            bounds: part.outline.bounds(),
            from_edge: part.thickness.max(FREE),
        }
    }

    fn within(self, unseen: Unseen<'a>) -> Room<'a> {
        Room { bounds: unseen.bounds, unseen: Some(unseen), ..self }
    }

    /// Where something of this size may be centred: of places a few millimetres apart, the free one nearest to the middle.
    fn place(&self, size: Vec2) -> Option<Point> {
        /// About this many places are looked at.
        const MANY: f64 = 20_000.0;
        let middle = self.bounds.center();
        let free = (self.bounds.size().to_vec2() - size) / 2.0;
        if free.x < 0.0 || free.y < 0.0 {
            return None;
        }
        // Between a gable's slopes there may be a millimetre to spare.
        let step = (4.0 * free.x * free.y / MANY).sqrt().clamp(1.0, 6.0);
        let [across, up] = [free.x, free.y].map(|free| (free / step).floor() as i32);
        let steps = (-across..=across).flat_map(|x| (-up..=up).map(move |y| Vec2::new(x.into(), y.into()) * step));
        let mut places: Vec<Vec2> = steps.collect();
        places.sort_by(|a, b| a.hypot2().total_cmp(&b.hypot2()).then(b.y.total_cmp(&a.y)).then(b.x.total_cmp(&a.x)));
        places.into_iter().map(|away| middle + away).find(|at| self.is_free(*at, size))
    }

    fn is_free(&self, at: Point, size: Vec2) -> bool {
        let rect = Rect::from_center_size(at, size.to_size());
        let (far, near) = (rect.inflate(self.from_edge, self.from_edge), rect.inflate(FREE, FREE));
        let within = !meets(&self.outline, far) && self.outline.contains(at);
        within
            && self.cut.iter().all(|outline| !meets(outline, near) && !outline.contains(at))
            && self.unseen.as_ref().is_none_or(|unseen| unseen.contains_all(rect))
    }
}

/// Does a side of the outline come into the rectangle?
fn meets(outline: &Outline, rect: Rect) -> bool {
    let corners = outline.flattened(ROUGH);
    let sides = corners.iter().zip(corners.iter().skip(1).chain(corners.first()));
    sides.into_iter().any(|(a, b)| crosses(*a, *b, rect))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_never_another_upside_down() {
        assert_eq!([6, 8, 9, 16, 25, 69, 86].map(alone), ["6.", "8", "9.", "16", "25.", "69", "86."]);
    }

    #[test]
    fn lines_are_broken_where_the_widest_is_narrowest() {
        let letters = |text: &str| Some(text.len() as f64);
        let lines = |count| broken("3 six-frame nuc front", count, &letters);
        assert_eq!(lines(1).expect("one").len(), 1);
        assert_eq!(lines(2), Some(vec!["3 six-frame".into(), "nuc front".into()]));
        assert_eq!(lines(5), None);
    }

    #[test]
    fn what_is_cut_into_a_part_keeps_a_label_away() {
        let mut room = Room::of(&Part::plain("board", crate::geometry::Outline::rectangle(300.0, 200.0), 12.0));
        let size = Vec2::new(100.0, 30.0);
        assert_eq!(room.place(size), Some(Point::new(150.0, 100.0)));
        // Twelve from either edge, as wide as the board is thick.
        assert!(room.place(Vec2::new(300.0 - 2.0 * 12.0, 30.0)).is_some());
        assert_eq!(room.place(Vec2::new(300.0 - 2.0 * 12.0 + 1.0, 30.0)), None);
        // A hole in the middle: beside it, four clear.
        let hole = crate::geometry::Outline::circle(Point::new(150.0, 100.0), 20.0);
        room.cut.push(hole);
        let at = room.place(size).expect("above or below it");
        assert!((at.y - 100.0).abs() >= 10.0 + 4.0 + 15.0 - 0.1 && (at.y - 100.0).abs() < 36.0, "{at}");
    }
}
