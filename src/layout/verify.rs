//! An independent check of a layout: it knows the pieces and their places, and nothing of how they were found.

use super::{Layout, Placement, Sheet, holders, turns};
use crate::design::Part;
use crate::error::Error;
use crate::geometry::{Outline, Point, Rect};
use crate::job::Job;

/// Is the router's layout of a job sound? What is not is a fault of ours, and no program is to be made of it.
///
/// # Errors
/// [`Error::Fault`] with everything that [`verify`] finds.
pub fn verified(job: &Job, parts: &[Part], layout: &Layout) -> Result<(), Error> {
    let wrong = job.router.as_ref().map_or_else(Vec::new, |router| verify(job, parts, layout, router.gap()));
    if wrong.is_empty() { Ok(()) } else { Err(Error::Fault(format!("the layout is not sound: {}", wrong.join("; ")))) }
}

/// Everything wrong with the layout: pieces missing, turned against their grain, off the sheet or too near each other.
///
/// `gap` is what must lie between two pieces (mm). Empty when the layout is sound.
pub fn verify(job: &Job, parts: &[Part], layout: &Layout, gap: f64) -> Vec<String> {
    let mut wrong = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        let placed = layout.sheets.iter().flat_map(|sheet| &sheet.placements).filter(|p| p.part == i).count();
        if placed != part.count as usize {
            wrong.push(format!("{placed} of {} × {} placed", part.count, part.name));
        }
    }
    for (number, sheet) in layout.sheets.iter().enumerate() {
        wrong.extend(
            verify_sheet(job, parts, sheet, gap).into_iter().map(|what| format!("sheet {}: {what}", number + 1)),
        );
    }
    wrong
}

fn verify_sheet(job: &Job, parts: &[Part], sheet: &Sheet, gap: f64) -> Vec<String> {
    const HAIR: f64 = 0.002;
    let mut wrong = Vec::new();
    let stock = &job.stock[sheet.stock];
    let inner = kurbo::Rect::new(0.0, 0.0, stock.length, stock.width).inset(HAIR - stock.margin);
    let mut placed: Vec<_> = sheet.placements.iter().map(|p| (p, p.bounds(&parts[p.part]))).collect();
    for (placement, bounds) in &placed {
        let part = &parts[placement.part];
        let (straight, turned) = turns(part.grain);
        if !(if placement.turn.swaps() { turned } else { straight }) {
            wrong.push(format!("{} lies against its grain", part.name));
        }
        if inner.union(*bounds) != inner {
            wrong.push(format!("{} reaches past the margin", part.name));
        }
        if !stock.serves(&job.stock[part.stock]) {
            wrong.push(format!("{} is cut from another stock", part.name));
        }
    }
    for kept in &stock.keep_out {
        let cut = |bounds: &Rect| kept.rect.inflate(gap - HAIR, gap - HAIR).overlaps(*bounds);
        wrong.extend(placed.iter().filter(|(_, bounds)| cut(bounds)).map(|(placement, _)| {
            format!("{} is too near a place that is kept out ({})", parts[placement.part].name, kept.called())
        }));
    }
    let held = holders(&sheet.placements, parts);
    for (i, holder) in held.iter().enumerate() {
        let Some(within) = holder else { continue };
        let (inner, outer) = (&sheet.placements[i], &sheet.placements[within.holder]);
        let (part, opening) = (&parts[inner.part], within.opening.outline());
        let corners = part.outline.transformed(inner.affine(part)).flattened(0.001);
        let inside = |at: &Point| if opening.contains(*at) { opening.distance(*at) } else { 0.0 };
        let apart = corners.iter().map(inside).fold(f64::INFINITY, f64::min);
        if apart < gap - HAIR {
            wrong.push(format!("{} is {apart:.3} from the opening of {}", part.name, parts[outer.part].name));
        }
    }
    let in_opening = |a: &Placement, b: &Placement| {
        let lies = |inner: &Placement, outer: &Placement| {
            let at = |which: &Placement| sheet.placements.iter().position(|it| it == which);
            let holder = at(inner).and_then(|i| held[i].as_ref());
            holder.is_some_and(|it| Some(it.holder) == at(outer))
        };
        lies(a, b) || lies(b, a)
    };
    // Sweep along x: only pieces that overlap there can be too near.
    placed.sort_by(|a, b| a.1.x0.total_cmp(&b.1.x0));
    for (i, (a, at)) in placed.iter().enumerate() {
        for (b, other) in placed[i + 1..].iter().take_while(|(_, other)| other.x0 < at.x1 + gap - HAIR) {
            let apart = (other.x0 - at.x1).max(at.y0 - other.y1).max(other.y0 - at.y1);
            let apart = if apart < gap - HAIR && !in_opening(a, b) { between(parts, a, b, gap) } else { apart };
            if apart < gap - HAIR && !in_opening(a, b) {
                wrong.push(format!("{} and {} are {apart:.3} apart", parts[a.part].name, parts[b.part].name));
            }
        }
    }
    wrong
}

/// How far the true outlines of two pieces are apart, as far as that is less than the gap; nothing when one is in the other.
///
/// Of two outlines that do not cross, the nearest points include a corner of one. Where they cross, a point of one lies on
/// the other, and so does nearly a point of a row that is no more than a gap from one to the next.
fn between(parts: &[Part], a: &Placement, b: &Placement, gap: f64) -> f64 {
    const CHORD: f64 = 0.001;
    let outline = |placement: &Placement| {
        let part = &parts[placement.part];
        part.outline.transformed(placement.affine(part))
    };
    let (a, b) = (outline(a), outline(b));
    let nearest = |of: &Outline, to: &Outline| {
        let corners = of.flattened(CHORD);
        let mut nearest = f64::INFINITY;
        for (i, from) in corners.iter().enumerate() {
            let end = corners[(i + 1) % corners.len()];
            let steps = (from.distance(end) / gap.max(CHORD)).ceil().max(1.0);
            for step in 0..steps as u32 {
                let point = from.lerp(end, f64::from(step) / steps);
                nearest = nearest.min(if to.contains(point) { 0.0 } else { to.distance(point) });
            }
        }
        nearest
    };
    nearest(&a, &b).min(nearest(&b, &a))
}
