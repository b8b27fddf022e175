//! An off-cut, and the text of a list of them.

use crate::geometry::Rect;
use crate::job::CutBy;
use crate::units::{INCH, Units, decimal};
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::{self, Write};

/// What the list is called in a job's folder.
pub const NAME: &str = "offcuts.toml";

/// A usable rectangle that a job leaves over. Millimetres.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OffCut {
    /// Its name in the list.
    pub id: String,
    /// Which of the job's plans leaves it.
    pub plan: CutBy,
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

/// The list of a job called `title`, its lengths in the job's units.
pub fn text(title: &str, units: Units, off_cuts: &[OffCut]) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write(&mut text, title, units, off_cuts);
    text
}

/// A length as a list reads it: a number of millimetres, or inches with their sign.
fn length(units: Units, mm: f64) -> String {
    match units {
        Units::Millimetres => decimal(mm, 2),
        Units::Inches => format!("\"{} in\"", decimal(mm / INCH, 3)),
    }
}

/// The same of a piece's size, which must not come out larger than the piece.
fn size(units: Units, mm: f64) -> String {
    /// Sizes are a tenth of a millimetre at the finest; what is less comes of the reckoning.
    const DUST: f64 = 1e-6;
    let finest = if units == Units::Inches { INCH / 1000.0 } else { 0.01 };
    length(units, ((mm / finest + DUST).floor()) * finest)
}

fn write(text: &mut String, title: &str, units: Units, off_cuts: &[OffCut]) -> fmt::Result {
    let both = [CutBy::Router, CutBy::Saw].iter().all(|plan| off_cuts.iter().any(|off_cut| off_cut.plan == *plan));
    writeln!(
        text,
        "# What this job leaves over. Give it to a later job as stock: [stock] from = \"offcuts.toml\", with the"
    )?;
    writeln!(
        text,
        "# path to this file. Measure each piece first. Lengths are in {}, along the face grain first.",
        units.name()
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
        writeln!(text, "at = [{}, {}]", length(units, off_cut.at[0]), length(units, off_cut.at[1]))?;
        writeln!(text, "material = {}", quoted(&off_cut.material))?;
        writeln!(text, "thickness = {}", length(units, off_cut.thickness))?;
        writeln!(text, "size = [{}, {}]", size(units, off_cut.length), size(units, off_cut.width))?;
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
