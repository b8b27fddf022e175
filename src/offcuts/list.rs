//! The off-cuts of a job, and the text of their list.

use crate::design::Part;
use crate::export::file_name;
use crate::geometry::Rect;
use crate::job::{Job, Stock};
use crate::layout::bound::Cut;
use crate::layout::{Layout, Pattern};
use crate::saw::{Becomes, SawPlan};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::{self, Write};

/// What the list is called in a job's folder.
pub const NAME: &str = "offcuts.toml";

/// A usable rectangle that a job leaves over. Millimetres.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OffCut {
    /// Its name in the list.
    pub id: String,
    /// Which of the job's plans leaves it.
    pub plan: Cut,
    /// The sheet it is cut from, from 1.
    pub sheet: u32,
    /// The material's profile.
    pub material: String,
    pub thickness: f64,
    /// Along the face grain.
    pub length: f64,
    pub width: f64,
    /// Its lower-left corner on that sheet.
    pub at: [f64; 2],
    /// The job it is promised to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub promised_to: Option<String>,
}

impl OffCut {
    /// Where it lies on its sheet.
    pub fn rect(&self) -> Rect {
        let [x, y] = self.at;
        Rect::new(x, y, x + self.length, y + self.width)
    }
}

/// What the router's plan leaves over, then what the saw's does.
pub fn off_cuts(job: &Job, parts: &[Part], layout: &Layout, saw: &SawPlan) -> Vec<OffCut> {
    let around = job.router.as_ref().map_or(0.0, |router| router.cutter.diameter.value);
    let title = file_name(&job.title);
    let about = |plan: Cut, number: usize, sheet: usize, stock: usize, rect: Rect| {
        off_cut(format!("{title}-{}-{number}", plan.name()), plan, sheet, &job.stock[stock], rect)
    };
    let routed = layout.sheets.iter().enumerate().flat_map(|(i, sheet)| {
        let found = crate::layout::off_cuts(sheet, parts, around, job.stock[sheet.stock].usable);
        found.into_iter().map(move |rect| (i, sheet.stock, rect))
    });
    let routed = routed.zip(1..).map(|((i, stock, rect), number)| about(Cut::Router, number, i, stock, rect));
    // A sawn one has the number that is pencilled on it.
    let mut sawn: Vec<(usize, OffCut)> = Vec::new();
    for (i, sheet) in saw.sheets.iter().enumerate() {
        for piece in &sheet.left_over {
            if let Becomes::OffCut { number } = piece.becomes {
                sawn.push((number, about(Cut::Saw, number, i, sheet.stock, piece.rect)));
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

fn off_cut(id: String, plan: Cut, sheet: usize, stock: &Stock, rect: Rect) -> OffCut {
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

/// The list of a job called `title`.
pub fn text(title: &str, off_cuts: &[OffCut]) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write(&mut text, title, off_cuts);
    text
}

fn write(text: &mut String, title: &str, off_cuts: &[OffCut]) -> fmt::Result {
    let both = [Cut::Router, Cut::Saw].iter().all(|plan| off_cuts.iter().any(|off_cut| off_cut.plan == *plan));
    writeln!(
        text,
        "# What this job leaves over. Give it to a later job as stock: [stock] from = \"offcuts.toml\", with the"
    )?;
    writeln!(
        text,
        "# way to this file. Measure each piece first. Lengths are millimetres, along the face grain first."
    )?;
    writeln!(
        text,
        "# An id ends in the off-cut's number on the sheet's drawing, which for a saw is pencilled on the piece."
    )?;
    writeln!(
        text,
        "# Hold-down screws may have left holes in what a router leaves. Strike out what you have not got.\n"
    )?;
    writeln!(text, "job = {}", quoted(title))?;
    if both {
        writeln!(
            text,
            "# Router and saw are two plans for the same sheets. Say here which was cut, then take the # away:"
        )?;
        writeln!(text, "# cut = \"router\"")?;
    }
    for off_cut in off_cuts {
        writeln!(text, "\n[[off-cut]]\nid = {}", quoted(&off_cut.id))?;
        writeln!(text, "plan = \"{}\"\nsheet = {}", off_cut.plan.name(), off_cut.sheet)?;
        writeln!(text, "at = [{}, {}]", off_cut.at[0], off_cut.at[1])?;
        writeln!(text, "material = {}", quoted(&off_cut.material))?;
        writeln!(text, "thickness = {}", off_cut.thickness)?;
        writeln!(text, "size = [{}, {}]", off_cut.length, off_cut.width)?;
        if let Some(job) = &off_cut.promised_to {
            writeln!(text, "promised-to = {}", quoted(job))?;
        }
    }
    Ok(())
}

/// A text as TOML writes it.
pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.into()).to_string()
}
