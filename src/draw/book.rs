//! Every drawing of a job in the order in which a maker needs them: the pages of `drawings.pdf`.

use super::assembly::exploded_view;
use super::cover::cover;
use super::lists::{cut_list, findings_list};
use super::section::section_view;
use super::{Picture, part_drawing, saw_picture, saw_step_pages, sheet_picture, template_pages};
use crate::Made;

/// A page to be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// The heading it stands under in the table of contents.
    pub chapter: String,
    pub name: String,
    pub shows: Shows,
    pub picture: Picture,
}

/// What a page is about; numbers are places in the job's own lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shows {
    Cover,
    List,
    Sheet(usize),
    /// A sheet of the saw plan.
    SawSheet(usize),
    Part(usize),
    /// Part of a template; the whole of it is a file of its own.
    TemplatePage,
    /// A box, taken apart.
    Exploded(usize),
    /// The frames in a box.
    Section(usize),
}

/// The pages of a job.
pub fn book(made: &Made) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut add = |chapter: &str, name: &str, shows: Shows, picture: Picture| {
        pages.push(Page { chapter: chapter.into(), name: name.into(), shows, picture });
    };
    add("Cover", &made.job.title, Shows::Cover, cover(made));
    for (i, picture) in cut_list(made).into_iter().enumerate() {
        add("Cut list", &format!("Page {}", i + 1), Shows::List, picture);
    }
    for i in 0..made.layout.sheets.len() {
        let picture = sheet_picture(&made.job, &made.parts, &made.layout, i);
        add("Sheets", &format!("Sheet {}", i + 1), Shows::Sheet(i), picture);
    }
    for i in 0..made.saw.sheets.len() {
        let picture = saw_picture(&made.job, &made.parts, &made.saw, i);
        add("Saw plan", &format!("Sheet {}", i + 1), Shows::SawSheet(i), picture);
    }
    for (i, page) in saw_step_pages(&made.job, &made.parts, &made.saw).into_iter().enumerate() {
        add("Saw plan", &format!("Steps, page {}", i + 1), Shows::List, page);
    }
    for (i, part) in made.parts.iter().enumerate() {
        add("Parts", &part.name, Shows::Part(i), part_drawing(&made.job, &made.parts, i, &made.findings));
    }
    // A router drills its own holes.
    if made.job.saw.is_some() || made.job.router.is_none() {
        for part in &made.parts {
            for (i, page) in template_pages(&made.job, part).into_iter().enumerate() {
                add("Templates at true scale", &format!("{}, page {}", part.name, i + 1), Shows::TemplatePage, page);
            }
        }
    }
    for (i, assembly) in made.assemblies.iter().enumerate().filter(|(_, assembly)| !assembly.loose) {
        add("Assembly", &assembly.name, Shows::Exploded(i), exploded_view(made, i));
        if let Some(picture) = section_view(made, i) {
            add("Assembly", &format!("{}, section", assembly.name), Shows::Section(i), picture);
        }
    }
    for (i, picture) in findings_list(made).into_iter().enumerate() {
        add("Findings", &format!("Page {}", i + 1), Shows::List, picture);
    }
    pages
}
