//! Holes at true scale, to be stuck on a panel and drilled through: a patch of paper around holes that lie together, laid on the
//! edges that it names.

mod block;
mod patch;
mod tile;

use super::Picture;
use crate::design::{Bored, Elevation, Hole, ScrewHole};
use crate::geometry::{Rect, Vec2};
use crate::job::Job;
use crate::made::Made;
use crate::words::counted;
use block::block;
use patch::{Patch, patches};

/// What a printer leaves free along the paper's edges (mm).
const MARGIN: f64 = 10.0;
/// Height of the block below the patches.
const BLOCK: f64 = 52.0;
/// What is shown around the holes, and beyond the panel's edges.
const AROUND: f64 = 14.0;
const BEYOND: f64 = 5.0;
/// A shorter edge is no use to align to.
const LEAST_EDGE: f64 = 20.0;
const LETTERS: f64 = 2.5;
/// The words over a patch, room for words beside it, and white between two patches.
const HEADING: f64 = 9.0;
const BESIDE: f64 = 50.0;
const APART: f64 = 6.0;

/// The pages of these parts' templates, each part seen as on its drawing; none of parts without holes.
pub fn template_pages(made: &Made, parts: &[usize]) -> Vec<Picture> {
    let job = &made.job;
    let paper = job.paper.sides();
    let room = (paper.0 - 2.0 * MARGIN, paper.1 - 2.0 * MARGIN - BLOCK);
    let shown: Vec<Elevation> = parts
        .iter()
        .map(|i| &made.parts[*i])
        .filter_map(|part| {
            let mut shown = part.elevation(&made.assemblies[part.assembly]);
            // Pilots are drilled through these on assembly.
            let by_hand = |hole: &&ScrewHole| hole.bored == Bored::Clearance && (job.saw.is_some() || !hole.by_router);
            let screwed: Vec<Hole> = shown.part.screw_holes.iter().filter(by_hand).map(ScrewHole::drawn).collect();
            shown.part.holes.extend(screwed);
            (!shown.part.holes.is_empty()).then_some(shown)
        })
        .collect();
    let patches: Vec<Patch> = shown.iter().flat_map(|shown| patches(shown, (room.0, room.1 - HEADING))).collect();
    let pages = laid(&patches, room);
    let count = pages.len();
    pages.iter().enumerate().map(|(number, page)| draw(job, page, (number, count))).collect()
}

/// The pages of one part in one file, one below the other, each as high as the paper: printed at full size they fall on pages of
/// their own.
pub fn template(made: &Made, index: usize) -> Option<Picture> {
    let pages = template_pages(made, &[index]);
    let first = pages.first()?;
    let (width, height) = (first.width, first.height);
    let mut all = Picture::new(width, height * pages.len() as f64);
    for (i, page) in pages.iter().enumerate() {
        all.append(page, Vec2::new(0.0, height * i as f64));
    }
    let name = &made.parts[index].name;
    Some(all.titled(format!("Template for the holes of {name}, {}", counted(pages.len(), "page"))))
}

/// Patches on pages, in rows from above: each with the corner of its cell on the paper.
fn laid<'a, 'b>(patches: &'b [Patch<'a>], room: (f64, f64)) -> Vec<Vec<(&'b Patch<'a>, Rect)>> {
    let mut pages: Vec<Vec<(&Patch, Rect)>> = Vec::new();
    // Where the next one goes, and where the row ends.
    let (mut x, mut y, mut foot) = (0.0f64, 0.0f64, 0.0f64);
    for patch in patches {
        let (wide, high) = patch.cell(room.0);
        if x > 0.0 && x + wide > room.0 {
            (x, y) = (0.0, foot + APART);
        }
        if pages.is_empty() || y + high > room.1 {
            pages.push(Vec::new());
            (x, y, foot) = (0.0, 0.0, 0.0);
        }
        let corner = Vec2::new(MARGIN + x, MARGIN + y);
        if let Some(page) = pages.last_mut() {
            page.push((patch, Rect::new(0.0, 0.0, wide, high) + corner));
        }
        x += wide + APART;
        foot = foot.max(y + high);
    }
    pages
}

fn draw(job: &Job, page: &[(&Patch, Rect)], (number, count): (usize, usize)) -> Picture {
    let (width, height) = job.paper.sides();
    let mut picture = Picture::new(width, height);
    for (patch, cell) in page {
        patch.draw(&mut picture, job.units, *cell);
    }
    block(&mut picture, job, (number, count));
    let mut names: Vec<&str> = page.iter().map(|(patch, _)| patch.shown.part.name.as_str()).collect();
    names.dedup();
    picture.titled(format!("Template for the holes of {}, page {} of {count}", names.join(", "), number + 1))
}
