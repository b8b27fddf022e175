//! What the plans of a job leave over of its sheets, and which off-cuts of earlier jobs they use.

use crate::design::Part;
use crate::geometry::Rect;
use crate::job::{CutBy, Job, Stock};
use crate::layout::{Layout, Pattern};
use crate::offcuts::OffCut;
use crate::saw::{Becomes, SawPlan};
use crate::words::file_name;
use std::collections::{BTreeMap, BTreeSet};

/// What the router's plan leaves over, then what the saw's does.
pub fn off_cuts(job: &Job, parts: &[Part], layout: &Layout, saw: &SawPlan) -> Vec<OffCut> {
    let around = job.router.as_ref().map_or(0.0, |router| router.cutter.diameter.value);
    let title = file_name(&job.title);
    let about = |plan: CutBy, number: usize, sheet: usize, stock: usize, rect: Rect| {
        off_cut(format!("{title}-{}-{number}", plan.name()), plan, sheet, &job.stock[stock], rect)
    };
    let routed = layout.sheets.iter().enumerate().flat_map(|(i, sheet)| {
        let found = crate::layout::off_cuts(sheet, parts, around, &job.stock[sheet.stock]);
        found.into_iter().map(move |rect| (i, sheet.stock, rect))
    });
    let routed = routed.zip(1..).map(|((i, stock, rect), number)| about(CutBy::Router, number, i, stock, rect));
    // A sawn one has the number that is pencilled on it.
    let mut sawn: Vec<(usize, OffCut)> = Vec::new();
    for (i, sheet) in saw.sheets.iter().enumerate() {
        for piece in &sheet.left_over {
            if let Becomes::OffCut { number } = piece.becomes {
                sawn.push((number, about(CutBy::Saw, number, i, sheet.stock, piece.rect)));
            }
        }
    }
    sawn.sort_by_key(|(number, _)| *number);
    routed.chain(sawn.into_iter().map(|(_, off_cut)| off_cut)).collect()
}

/// Which off-cuts of earlier jobs the plans use, by list as the spec names it: those of router and saw together.
pub fn used(job: &Job, layout: &Layout, patterns: &[Pattern]) -> BTreeMap<String, BTreeSet<String>> {
    let sheets = layout.sheets.iter().map(|sheet| sheet.stock).chain(patterns.iter().map(|pattern| pattern.stock));
    let mut used: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for from in sheets.filter_map(|stock| job.stock[stock].from.as_ref()) {
        used.entry(from.list.clone()).or_default().insert(from.id.clone());
    }
    used
}

fn off_cut(id: String, plan: CutBy, sheet: usize, stock: &Stock, rect: Rect) -> OffCut {
    // Never more than there is.
    let down = |mm: f64| ((mm + 1e-6) * 10.0).floor() / 10.0;
    let near = |mm: f64| (mm * 10.0).round() / 10.0;
    OffCut {
        id,
        plan,
        sheet: sheet as u32 + 1,
        material: stock.material.name.clone(),
        thickness: stock.thickness,
        length: down(rect.width()),
        width: down(rect.height()),
        at: [near(rect.x0), near(rect.y0)],
        promised_to: None,
    }
}
