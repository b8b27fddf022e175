//! Every drawing of a job in the order in which a maker needs them: the pages of `drawings.pdf`.

use super::assembly::exploded_view;
use super::cover::{cover, holds_cautions};
use super::lists::{findings_list, shop_lists};
use super::parts_page::parts_pages;
use super::section::section_view;
use super::steps::step_pages;
use super::{Picture, saw_card, saw_pictures, saw_step_pages, sheet_picture, template_pages};
use crate::made::Made;
use crate::words::letter;
use rayon::prelude::*;

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
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shows {
    Cover,
    List,
    Sheet(usize),
    /// A sheet of the saw plan: the whole of it, or one of its details, from 1 on.
    SawSheet(usize, usize),
    /// Drawings of parts; that of each alone is a file of its own.
    Parts(Vec<usize>),
    /// Part of a template; the whole of it is a file of its own.
    TemplatePage,
    /// A box, taken apart.
    Exploded(usize),
    /// The frames in a box.
    Section(usize),
    /// How a box goes together, and which page of it.
    Steps(usize, usize),
}

/// The pages of a job.
pub fn book(made: &Made) -> Vec<Page> {
    // What there is to draw, chapter by chapter, is told first and drawn side by side: first what is pinned up, then what is
    // cut from, then what is built from.
    let mut tasks: Vec<Box<Task>> = vec![Box::new(|| vec![page("Cover", &made.job.title, Shows::Cover, cover(made))])];
    let boxes = || made.assemblies.iter().enumerate().filter(|(_, assembly)| !assembly.loose);
    for (i, assembly) in boxes() {
        tasks.push(Box::new(move || {
            let name = format!("{}, section", assembly.name);
            let section =
                section_view(made.designed(), i).map(|picture| page("Boxes", &name, Shows::Section(i), picture));
            let exploded = page("Boxes", &assembly.name, Shows::Exploded(i), exploded_view(made, i));
            section.into_iter().chain([exploded]).collect()
        }));
    }
    tasks.push(Box::new(|| {
        let pages = shop_lists(made).into_iter().enumerate();
        pages.map(|(i, (names, list))| page(&names, &format!("Page {}", i + 1), Shows::List, list)).collect()
    }));
    tasks.push(Box::new(|| {
        let card = saw_card(&made.job, &made.saw);
        card.map(|card| page("Saw plan", "Saw card", Shows::List, card)).into_iter().collect()
    }));
    for i in 0..made.layout.sheets.len() {
        tasks.push(Box::new(move || {
            vec![page("Sheets", &format!("Sheet {}", i + 1), Shows::Sheet(i), sheet_picture(made, i))]
        }));
    }
    for i in 0..made.saw.sheets.len() {
        tasks.push(Box::new(move || {
            let pictures = saw_pictures(&made.job, &made.parts, &made.saw, i).into_iter().enumerate();
            let name = |detail: usize| match detail {
                0 => format!("Sheet {}", i + 1),
                detail => format!("Sheet {}, detail {}", i + 1, letter(detail - 1)),
            };
            pictures.map(|(k, picture)| page("Saw plan", &name(k), Shows::SawSheet(i, k), picture)).collect()
        }));
    }
    tasks.push(Box::new(|| {
        let pages = saw_step_pages(&made.job, &made.parts, &made.saw).into_iter().enumerate();
        pages.map(|(i, steps)| page("Saw plan", &format!("Steps, page {}", i + 1), Shows::List, steps)).collect()
    }));
    tasks.push(Box::new(|| {
        let names = |parts: &[usize]| parts.iter().map(|i| made.parts[*i].name.as_str()).collect::<Vec<_>>().join(", ");
        let pages = parts_pages(made).into_iter();
        pages.map(|it| page("Parts", &names(&it.parts), Shows::Parts(it.parts.clone()), it.picture)).collect()
    }));
    // A router drills its own holes.
    if made.job.saw.is_some() || made.job.router.is_none() {
        tasks.push(Box::new(|| {
            let pages = template_pages(made, &(0..made.parts.len()).collect::<Vec<_>>()).into_iter().enumerate();
            let name = |i: usize| format!("Page {}", i + 1);
            pages.map(|(i, tile)| page("Templates at true scale", &name(i), Shows::TemplatePage, tile)).collect()
        }));
    }
    for (i, assembly) in boxes() {
        tasks.push(Box::new(move || {
            let steps = step_pages(made, i).into_iter().enumerate().map(|(k, picture)| {
                page("Assembly", &format!("{}, steps, page {}", assembly.name, k + 1), Shows::Steps(i, k), picture)
            });
            steps.collect()
        }));
    }
    // What the cover has no room for.
    if !holds_cautions(made) {
        tasks.push(Box::new(|| {
            let pages = findings_list(made).into_iter().enumerate();
            pages.map(|(i, list)| page("Findings", &format!("Page {}", i + 1), Shows::List, list)).collect()
        }));
    }
    tasks.par_iter().map(|draw| draw()).collect::<Vec<_>>().into_iter().flatten().collect()
}

/// Draws some pages.
type Task<'a> = dyn Fn() -> Vec<Page> + Sync + Send + 'a;

fn page(chapter: &str, name: &str, shows: Shows, picture: Picture) -> Page {
    Page { chapter: chapter.into(), name: name.into(), shows, picture }
}
