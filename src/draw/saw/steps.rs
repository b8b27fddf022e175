//! The saw plan's steps as pages to tick off at the bench.

use crate::design::Part;
use crate::draw::{Anchor, CAUTION, Pen, Picture, shortened, wrapped};
use crate::geometry::Point;
use crate::job::Job;
use crate::saw::{Caution, SawPlan, say};
use crate::words::counted;

const MARGIN: f64 = 12.0;
/// A margin to file the page.
const FILED: f64 = 18.0;
const LETTERS: f64 = 2.5;
const SMALL: f64 = 2.0;
const LINE: f64 = 4.2;
const SMALL_LINE: f64 = 3.4;
/// Where the words begin, after the box to tick and the number.
const INDENT: f64 = 17.0;

/// A paragraph, kept together on one page.
struct Paragraph {
    /// Running number; `None` for headings and remarks.
    number: Option<usize>,
    heading: Option<String>,
    lines: Vec<String>,
    small: Vec<String>,
}

impl Paragraph {
    fn height(&self) -> f64 {
        let heading = if self.heading.is_some() { LINE + 2.5 } else { 0.0 };
        heading + self.lines.len() as f64 * LINE + self.small.len() as f64 * SMALL_LINE + 1.8
    }
}

/// All steps in order, in sentences, on the job's paper upright.
pub fn saw_step_pages(job: &Job, parts: &[Part], plan: &SawPlan) -> Vec<Picture> {
    if plan.is_empty() {
        return Vec::new();
    }
    let (width, height) = job.paper.sides();
    let room = width - FILED - MARGIN - INDENT;
    let paragraphs = paragraphs(job, parts, plan, room);
    let (top, bottom) = (MARGIN + 16.0, height - MARGIN - 6.0);
    let mut pages: Vec<Picture> = Vec::new();
    let mut y = f64::INFINITY;
    for paragraph in &paragraphs {
        if y + paragraph.height() > bottom {
            pages.push(Picture::new(width, height));
            y = top;
        }
        if let Some(page) = pages.last_mut() {
            y = write(page, paragraph, y, plan.length());
        }
    }
    let count = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        let title = format!("{}: saw plan, {}", job.title, counted(plan.length(), "step"));
        page.text(
            Point::new(FILED, MARGIN + 6.0),
            3.5,
            Anchor::Start,
            false,
            &shortened(&title, 3.5, width - FILED - 60.0),
        );
        let number = format!("page {} of {count}", i + 1);
        page.text(Point::new(width - MARGIN, MARGIN + 6.0), LETTERS, Anchor::End, false, &number);
        page.line(Point::new(FILED, MARGIN + 9.0), Point::new(width - MARGIN, MARGIN + 9.0), Pen::Thin);
        let foot = shortened(CAUTION, 1.8, width - FILED - MARGIN);
        page.text(Point::new(FILED, height - MARGIN), 1.8, Anchor::Start, false, &foot);
        page.title = format!("{title}, page {} of {count}", i + 1);
    }
    pages
}

fn paragraphs(job: &Job, parts: &[Part], plan: &SawPlan, room: f64) -> Vec<Paragraph> {
    let mut all = Vec::new();
    for (i, text) in say::BEFORE.iter().enumerate() {
        all.push(Paragraph {
            number: None,
            heading: (i == 0).then(|| "Before the first cut".to_string()),
            lines: wrapped(text, LETTERS, room),
            small: Vec::new(),
        });
    }
    let mut setting = None;
    let mut said: Vec<Caution> = Vec::new();
    for (i, step) in plan.steps.iter().enumerate() {
        let heading = if i == 0 {
            Some("Cuts".to_string())
        } else if step.setting != setting {
            step.setting.map(|number| {
                let about = &plan.settings[number];
                format!("Setting {}: {}, {}", number + 1, say::setting(job.units, about), counted(about.cuts, "cut"))
            })
        } else {
            None
        };
        if step.setting != setting {
            said.clear();
        }
        setting = step.setting;
        // What holds for a whole setting is said once, at its first cut.
        let care: Vec<String> = step
            .cautions
            .iter()
            .filter(|caution| !said.contains(caution))
            .map(|caution| format!("{} ({})", caution.text(job.units), caution.source()))
            .collect();
        said.extend(&step.cautions);
        let small = care.iter().flat_map(|text| wrapped(text, SMALL, room)).collect();
        let lines = wrapped(&say::step(job, plan, step), LETTERS, room);
        all.push(Paragraph { number: Some(i + 1), heading, lines, small });
    }
    for (i, work) in plan.works.iter().enumerate() {
        let (care, source) = say::work_care(work);
        all.push(Paragraph {
            number: Some(plan.steps.len() + i + 1),
            heading: (i == 0).then(|| "After sawing".to_string()),
            lines: wrapped(&say::work(job, &parts[work.part], work), LETTERS, room),
            small: wrapped(&format!("{care} ({source})"), SMALL, room),
        });
    }
    all
}

/// Writes a paragraph from `y` on; returns where the next one begins.
fn write(page: &mut Picture, paragraph: &Paragraph, mut y: f64, of: usize) -> f64 {
    if let Some(heading) = &paragraph.heading {
        y += 2.5;
        page.text(Point::new(FILED, y + LETTERS), 2.8, Anchor::Start, false, heading);
        y += LINE;
    }
    if let Some(number) = paragraph.number {
        page.rect(FILED, y + 0.2, 3.0, 3.0, Pen::Thin);
        let text = format!("{number}/{of}");
        page.text(Point::new(FILED + INDENT - 1.5, y + LETTERS), SMALL, Anchor::End, false, &text);
    } else {
        page.text(Point::new(FILED + INDENT - 3.0, y + LETTERS), LETTERS, Anchor::End, false, "–");
    }
    for line in &paragraph.lines {
        page.text(Point::new(FILED + INDENT, y + LETTERS), LETTERS, Anchor::Start, false, line);
        y += LINE;
    }
    for line in &paragraph.small {
        page.text(Point::new(FILED + INDENT, y + SMALL), SMALL, Anchor::Start, false, line);
        y += SMALL_LINE;
    }
    if let Some(first) = paragraph.small.len().checked_sub(1).map(|last| y - SMALL_LINE * (last as f64 + 1.0)) {
        // Care stands out by a bar, not by colour alone.
        let x = FILED + INDENT - 1.8;
        page.line(Point::new(x, first), Point::new(x, y - 0.6), Pen::Mark);
    }
    y + 1.8
}
