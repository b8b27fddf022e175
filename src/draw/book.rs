//! Every drawing of a job in the order in which a maker needs them: the pages of `drawings.pdf`.

use super::{Picture, part_drawing, saw_picture, saw_step_pages, sheet_picture, template_pages};
use crate::Made;

/// A page to be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// The heading it stands under in the table of contents.
    pub chapter: String,
    pub name: String,
    pub picture: Picture,
}

/// The pages of a job.
pub fn book(made: &Made) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut add = |chapter: &str, name: &str, picture| {
        pages.push(Page { chapter: chapter.into(), name: name.into(), picture });
    };
    for i in 0..made.layout.sheets.len() {
        add("Sheets", &format!("Sheet {}", i + 1), sheet_picture(&made.job, &made.parts, &made.layout, i));
    }
    for i in 0..made.saw.sheets.len() {
        add("Saw plan", &format!("Sheet {}", i + 1), saw_picture(&made.job, &made.parts, &made.saw, i));
    }
    for (i, page) in saw_step_pages(&made.job, &made.parts, &made.saw).into_iter().enumerate() {
        add("Saw plan", &format!("Steps, page {}", i + 1), page);
    }
    for part in &made.parts {
        add("Parts", &part.name, part_drawing(&made.job, part));
    }
    // A router drills its own holes.
    if made.job.saw.is_some() || made.job.router.is_none() {
        for part in &made.parts {
            for (i, page) in template_pages(&made.job, part).into_iter().enumerate() {
                add("Templates at true scale", &format!("{}, page {}", part.name, i + 1), page);
            }
        }
    }
    pages
}
