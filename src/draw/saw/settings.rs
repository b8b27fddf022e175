//! The list of fence and stop settings under a sheet's picture.

use super::SMALL;
use crate::draw::{Anchor, Picture, shortened};
use crate::geometry::{Point, Vec2};
use crate::job::Job;
use crate::saw::{Method, SawPlan, say};

/// A row of the list (mm), and the most there is room for.
const ROW: f64 = 3.0;
const MOST_ROWS: usize = 7;

/// The settings that this sheet's pieces go through, as lines of text.
pub(super) fn settings(job: &Job, plan: &SawPlan, index: usize) -> Vec<String> {
    // Setting, first and last step on this sheet, pieces.
    let mut through: Vec<(usize, usize, usize, Vec<&str>)> = Vec::new();
    for (i, step) in plan.steps.iter().enumerate().filter(|(_, step)| step.sheet == index) {
        let Some(setting) = step.setting else { continue };
        match through.last_mut().filter(|(known, ..)| *known == setting) {
            Some((_, _, last, pieces)) => {
                *last = i;
                if pieces.last() != Some(&step.piece.as_str()) {
                    pieces.push(&step.piece);
                }
            }
            None => through.push((setting, i, i, vec![&step.piece])),
        }
    }
    let lines = through.into_iter().map(|(setting, first, last, pieces)| {
        let steps = if first == last { format!("{}", first + 1) } else { format!("{}–{}", first + 1, last + 1) };
        let about = &plan.settings[setting];
        let place = match about.method {
            Method::GaugeFree => format!("block at {}", job.units.show(about.measure)),
            _ => say::setting(job.units, about),
        };
        format!("{steps}: {place}: {}", pieces.join(", "))
    });
    lines.collect()
}

/// The list of settings, in columns.
pub(super) struct List {
    lines: Vec<String>,
    rows: usize,
    column: f64,
}

impl List {
    const HEAD: &'static str =
        "Settings by steps: fence, stop, or a stop block that ends ahead of the blade; then what goes through.";

    pub fn new(mut lines: Vec<String>, room: f64) -> List {
        let columns = if lines.len() > 8 { 3 } else { 2 };
        if lines.len() > columns * MOST_ROWS {
            lines.truncate(columns * MOST_ROWS - 1);
            lines.push("The other settings stand on the pages of steps.".into());
        }
        List { rows: lines.len().div_ceil(columns), column: room / columns as f64, lines }
    }

    pub fn height(&self) -> f64 {
        if self.lines.is_empty() { 0.0 } else { ROW * (self.rows as f64 + 1.0) + 3.0 }
    }

    pub fn write(&self, picture: &mut Picture, at: Point) {
        if self.lines.is_empty() {
            return;
        }
        picture.text(at + Vec2::new(0.0, ROW - 0.8), SMALL, Anchor::Start, false, List::HEAD);
        for (i, line) in self.lines.iter().enumerate() {
            let (column, row) = (i / self.rows, i % self.rows);
            let at = at + Vec2::new(self.column * column as f64, ROW * (row as f64 + 2.0) - 0.8);
            picture.text(at, SMALL, Anchor::Start, false, &shortened(line, SMALL, self.column - 3.0));
        }
    }
}
