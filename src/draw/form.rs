//! The printed sheet of paper: its frame after ISO 5457, without reference grid and trimming marks, and its title block after ISO
//! 7200, without a date of issue.

use super::dimension::LETTERS;
use super::room::Room;
use super::{Anchor, CAUTION, Pen, Picture, shortened, text_width, wrapped};
use crate::geometry::{Point, Rect};
use crate::job::Job;
use crate::paper::Paper;

/// Margin at the left, where the sheet is filed, and at the other sides (mm), as ISO 5457 has them.
const FILING: f64 = 20.0;
const MARGIN: f64 = 10.0;
/// Length of a centring mark (mm).
const MARK: f64 = 5.0;
/// The title block: as wide as ISO 7200 allows, and three rows high.
const BLOCK: (f64, f64) = (180.0, 28.5);
const ROW: f64 = BLOCK.1 / 3.0;
/// From one line of the notes to the next.
const NOTE: f64 = LETTERS * 1.48;
/// Height of the small words that say what a field holds.
const LABELS: f64 = 2.5;

/// A sheet of paper lying on its longer side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Form {
    pub width: f64,
    pub height: f64,
    pub american: bool,
    /// A page of a list, which needs less of a title block.
    list: bool,
}

/// Said where a drawing has no room for all that is said of a part.
const MORE: &str = "There is more to look at: see the findings.";

/// A field of the title block: what it holds, what stands in it, and how wide it is (mm).
type Field<'a> = (&'a str, &'a str, f64);

/// What the title block says.
#[derive(Clone, Debug, Default)]
pub(super) struct Title {
    /// Of the drawing: the part's or the box's name.
    pub title: String,
    pub job: String,
    /// Whose the drawing is, and who drew it; empty where the spec does not say.
    pub owner: String,
    pub drawn_by: String,
    /// `Part drawing`.
    pub kind: String,
    /// `P 3`, and `3 of 8`.
    pub number: String,
    pub sheet: String,
    pub scale: String,
    pub material: String,
    /// Three more fields, which depend on the kind.
    pub more: [(&'static str, String); 3],
    /// Show by which method views are arranged.
    pub projected: bool,
}

impl Title {
    /// Of a drawing of this job.
    pub fn of(job: &Job) -> Title {
        let said = |name: &Option<String>| name.clone().unwrap_or_default();
        Title { job: job.title.clone(), owner: said(&job.owner), drawn_by: said(&job.drawn_by), ..Title::default() }
    }
}

impl Form {
    pub fn lying(paper: Paper) -> Form {
        let (height, width) = paper.sides();
        Form { width, height, american: paper.american(), list: false }
    }

    /// For tables: the title block is a single row along the frame.
    pub fn listing(paper: Paper) -> Form {
        Form { list: true, ..Form::lying(paper) }
    }

    pub fn frame(&self) -> Rect {
        Rect::new(FILING, MARGIN, self.width - MARGIN, self.height - MARGIN)
    }

    pub fn block(&self) -> Rect {
        let frame = self.frame();
        if self.list {
            return Rect::new(frame.x0, frame.y1 - ROW, frame.x1, frame.y1);
        }
        Rect::new(frame.x1 - BLOCK.0, frame.y1 - BLOCK.1, frame.x1, frame.y1)
    }

    /// Inside the frame, above the title block.
    pub fn open(&self) -> Rect {
        let frame = self.frame();
        Rect::new(frame.x0, frame.y0, frame.x1, self.block().y0)
    }

    /// Beside the title block.
    pub fn notes(&self) -> Rect {
        let (frame, block) = (self.frame(), self.block());
        Rect::new(frame.x0, block.y0, block.x0, frame.y1)
    }

    /// The paper with frame and title block, and the room that is left.
    pub fn start(&self, title: &Title) -> (Picture, Room) {
        let mut picture = Picture::new(self.width, self.height);
        let frame = self.frame();
        picture.rect(frame.x0, frame.y0, frame.width(), frame.height(), Pen::Border);
        self.centring_marks(&mut picture);
        self.title_block(&mut picture, title);
        picture.text(Point::new(frame.x0, frame.y1 + 4.5), LABELS, Anchor::Start, false, CAUTION);
        let mut room = Room::new(frame);
        room.take_text(self.block());
        (picture, room)
    }

    /// At the middle of each side of the paper, from the frame outwards; short at the lower side, over the caution.
    fn centring_marks(&self, picture: &mut Picture) {
        let (frame, middle) = (self.frame(), Point::new(self.width / 2.0, self.height / 2.0));
        let ends = [
            (Point::new(frame.x0, middle.y), Point::new(frame.x0 - MARK, middle.y)),
            (Point::new(frame.x1, middle.y), Point::new(frame.x1 + MARK, middle.y)),
            (Point::new(middle.x, frame.y0), Point::new(middle.x, frame.y0 - MARK)),
            (Point::new(middle.x, frame.y1), Point::new(middle.x, frame.y1 + 1.6)),
        ];
        for (from, to) in ends {
            picture.line(from, to, Pen::Border);
        }
    }

    /// How many lines notes take, and how many have room beside the title block.
    pub fn lines(&self, notes: &[String]) -> usize {
        let room = self.notes().width() - 5.0;
        notes.iter().map(|note| wrapped(note, LETTERS, room).len()).sum()
    }

    pub fn lines_beside(&self) -> usize {
        (self.notes().height() / NOTE) as usize
    }

    /// Is there room for all of these notes?
    pub fn has_room(&self, notes: &[String]) -> bool {
        let (mut picture, mut room) = (Picture::new(self.width, self.height), Room::new(self.frame()));
        self.write(&mut picture, &mut room, notes);
        picture.texts().all(|text| text.text != MORE)
    }

    /// Writes notes beside the title block; those that have no room there go over it, across the whole frame. Returns the
    /// height (y) above which the paper is still free.
    pub fn write(&self, picture: &mut Picture, room: &mut Room, notes: &[String]) -> f64 {
        let (area, frame) = (self.notes(), self.frame());
        let mut beside: Vec<String> = Vec::new();
        let mut rest = notes;
        while let [first, more @ ..] = rest {
            let lines = wrapped(first, LETTERS, area.width() - 5.0);
            if beside.len() + lines.len() > self.lines_beside() {
                break;
            }
            beside.extend(lines);
            rest = more;
        }
        write_lines(picture, room, Rect::new(area.x0, area.y0, area.x1, area.y1), &beside);
        let mut over: Vec<String> = rest.iter().flat_map(|note| wrapped(note, LETTERS, frame.width() - 5.0)).collect();
        // A drawing is still a drawing: half of it at most is words.
        let most = (self.open().height() / 2.0 / NOTE) as usize;
        if over.len() > most {
            over.truncate(most.saturating_sub(1));
            over.push(MORE.into());
        }
        if over.is_empty() {
            return area.y0;
        }
        let top = area.y0 - NOTE * over.len() as f64 - 2.0;
        write_lines(picture, room, Rect::new(frame.x0, top, frame.x1, area.y0), &over);
        top
    }

    fn title_block(&self, picture: &mut Picture, title: &Title) {
        let block = self.block();
        picture.rect(block.x0, block.y0, block.width(), block.height(), Pen::Thick);
        let [more_a, more_b, more_c] = &title.more;
        let rest = block.width() - 186.0;
        let list: [&[Field]; 1] = [&[
            ("Title", &title.title, 40.0),
            ("Job", &title.job, rest),
            (more_a.0, &more_a.1, 30.0),
            (more_b.0, &more_b.1, 30.0),
            ("Document", &title.kind, 30.0),
            ("Number", &title.number, 16.0),
            ("Sheet", &title.sheet, 20.0),
            ("", "", 20.0),
        ]];
        let full: [&[Field]; 3] = [
            &[("Title", &title.title, 85.0), (more_a.0, &more_a.1, 25.0), (more_b.0, &more_b.1, 70.0)],
            &[
                ("Job", &title.job, 55.0),
                ("Owner", &title.owner, 40.0),
                (more_c.0, &more_c.1, 48.0),
                ("Scale", &title.scale, 37.0),
            ],
            &[
                ("Document", &title.kind, 31.0),
                ("Number", &title.number, 16.0),
                ("Sheet", &title.sheet, 18.0),
                ("Material", &title.material, 45.0),
                ("Drawn by", &title.drawn_by, 32.0),
                ("Checked, date", "", 38.0),
            ],
        ];
        for (i, row) in if self.list { &list[..] } else { &full[..] }.iter().enumerate() {
            let y = block.y0 + ROW * i as f64;
            let mut x = block.x0;
            for (label, value, wide) in row.iter() {
                picture.rect(x, y, *wide, ROW, Pen::Thin);
                picture.text(Point::new(x + 1.2, y + 3.4), LABELS, Anchor::Start, false, label);
                let large = i == 0 && *label == "Title" && text_width(value, 3.5) < wide - 3.0;
                let height = if large { 3.5 } else { LETTERS };
                let value = shortened(value, height, wide - 3.0);
                picture.text(Point::new(x + 1.5, y + ROW - 1.5), height, Anchor::Start, false, &value);
                x += wide;
            }
        }
        if title.projected {
            let middle = Point::new(block.x1 - 9.0, block.y0 + 1.5 * ROW);
            self.projection_symbol(picture, middle);
        }
    }

    /// A cut cone in two views (ISO 5456-2): the first-angle method, or the third-angle method on American paper.
    fn projection_symbol(&self, picture: &mut Picture, middle: Point) {
        let (circles, cone) = if self.american { (-4.0, 3.5) } else { (4.0, -3.5) };
        let eye = Point::new(middle.x + circles, middle.y);
        picture.circle(eye, 5.0, Pen::Thin);
        picture.circle(eye, 2.5, Pen::Thin);
        let at = |x: f64, y: f64| Point::new(middle.x + cone + x, middle.y + y);
        picture.path(&[at(-2.5, -1.25), at(2.5, -2.5), at(2.5, 2.5), at(-2.5, 1.25), at(-2.5, -1.25)], Pen::Thin);
        picture.line(Point::new(middle.x - 7.5, middle.y), Point::new(middle.x + 7.5, middle.y), Pen::Centre);
    }
}

/// Lines from the top of an area, whose width is then taken.
fn write_lines(picture: &mut Picture, room: &mut Room, area: Rect, lines: &[String]) {
    for (i, line) in lines.iter().enumerate() {
        let at = Point::new(area.x0 + 2.5, area.y0 + 4.0 + NOTE * i as f64);
        picture.text(at, LETTERS, Anchor::Start, false, line);
    }
    room.take_text(area);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// However many they are, notes keep off the title block, inside the frame and off what is drawn over them.
    #[test]
    fn long_notes_go_over_the_title_block() {
        let long = "entrance: narrower way, for drones and mice: mice get in when the cluster is small: pin a guard or a \
                    queen excluder over it in autumn, and look after it in the winter.";
        for paper in [Paper::A4, Paper::A3, Paper::Letter, Paper::Tabloid] {
            let form = Form::lying(paper);
            for count in [0, 1, 2, 3, 5, 12, 200] {
                let (mut picture, mut room) = form.start(&Title::default());
                let before = picture.texts().count();
                let notes: Vec<String> = (0..count).map(|i| format!("{i} {long}")).collect();
                let floor = form.write(&mut picture, &mut room, &notes);
                let texts: Vec<Rect> = picture.texts().skip(before).map(|text| text.bounds()).collect();
                let said: Vec<&str> = picture.texts().skip(before).flat_map(|it| it.text.split(' ')).collect();
                assert!(
                    count == 200 || said == notes.join(" ").split(' ').filter(|it| !it.is_empty()).collect::<Vec<_>>()
                );
                for (i, text) in texts.iter().enumerate() {
                    assert!(
                        text.y0 >= floor && form.frame().union(*text) == form.frame(),
                        "{paper:?}, {count}: {text}"
                    );
                    assert!(!super::super::room::overlap(*text, form.block()), "{paper:?}, {count}: {text}");
                    assert!(texts[i + 1..].iter().all(|other| !super::super::room::overlap(*text, *other)));
                    assert!(!room.is_free(*text));
                }
                assert!(floor - form.open().y0 >= form.open().height() / 2.0 - 2.0, "{paper:?}: room for the drawing");
                let cut = picture.texts().any(|text| text.text == MORE);
                assert_eq!(cut, count == 200, "{paper:?}, {count}");
            }
        }
    }
}
