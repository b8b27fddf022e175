//! `turning.txt`: how each sheet that is turned over is turned, in words.

use super::assembly::folded;
use crate::gcode::CAUTIONS;
use crate::made::Made;
use crate::steps::turning;
use std::fmt::Write;

/// For each sheet that is turned over what is done at the machine, in order; `None` when none is.
pub(super) fn turning_text(made: &Made) -> Option<String> {
    let mut text = format!("{}: turning the sheets over\n\n", made.job.title);
    CAUTIONS.iter().for_each(|caution| folded(&mut text, "  ! ", caution));
    let mut any = false;
    for (i, sheet) in made.layout.sheets.iter().enumerate() {
        let steps = turning(&made.job, i, sheet.thickness, &made.routes, &made.programs);
        if steps.is_empty() {
            continue;
        }
        any = true;
        let _ = write!(text, "\n\nSheet {}\n\n", i + 1);
        for (step, words) in steps.iter().enumerate() {
            folded(&mut text, &format!("{:>3}. ", step + 1), words);
        }
    }
    any.then_some(text)
}
