//! nestwright turns a short spec of a box into parts that fit, nested sheets, toolpaths and dimensioned drawings.
//!
//! One way through, stage by stage; each takes the one before it by reference and returns a value:
//!
//! 1. [`spec::read`]: the text a maker wrote → a [`job::Job`], every value concrete, in millimetres
//! 2. [`build::assemble`]: each box → an [`design::Assembly`] of panels in space
//! 3. [`fit::check`]: the panels measured → [`finding::Finding`]s; with each part tried alone on the sheets and tools there are
//! 4. [`build::parts`]: identical panels → flat [`design::Part`]s with a count
//! 5. [`layout::nest`]: parts → [`layout::Sheet`]s for a router; [`layout::cut_plan`]: → [`layout::Pattern`]s for a saw
//! 6. [`route::routes`]: sheets → operations and moves; [`saw::plan`]: patterns → cuts in order
//! 7. [`gcode::programs`]: moves → the text of programs
//! 8. [`proof`]: the text of programs replayed and held against the parts, before anything is written
//! 9. [`export::files`]: everything → the files of a folder
//!
//! Lengths are `f64` millimetres throughout; inches exist where a spec is read and where a value is shown.
//!
//! ```
//! use nestwright::{check, design::Kinds, profile::Profiles, reading::Source, watch::Search};
//!
//! let spec = Source::new("tray.toml", r#"
//!     title = "Tool tray"
//!     stock = { material = "birch-plywood", size = [1220, 610], thickness = 12.1 }
//!     [[box]]
//!     name = "tray"
//!     kind = "open-box"
//!     count = 1
//!     inside = [300, 200, 80]
//! "#);
//! let checked = check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
//! assert!(!checked.refused());
//! # Ok::<(), nestwright::error::Error>(())
//! ```

#![forbid(unsafe_code)]

pub mod build;
mod claim;
pub mod design;
#[cfg(feature = "cli")]
pub mod disk;
pub mod draw;
pub mod error;
pub mod export;
pub mod finding;
pub mod fit;
pub mod gcode;
pub mod geometry;
pub mod job;
pub mod joining;
pub mod label;
pub mod layout;
pub mod left_over;
pub mod made;
pub mod offcuts;
pub mod paper;
pub mod profile;
pub mod proof;
pub mod reading;
pub mod route;
pub mod saw;
pub mod spec;
pub mod starters;
pub mod steps;
pub mod supply;
mod trial;
pub mod units;
pub mod watch;
pub mod words;
pub mod yields;

pub use made::{Checked, Designed, Made};

use design::Kinds;
use error::Error;
use finding::Finding;
use job::CutBy;
use layout::fewest::fewest_of_plans;
use profile::Profiles;
use proof::Proved;
use reading::Source;
use std::sync::Arc;
use trial::Cut;
use watch::Search;

/// Reads a spec, builds its boxes and checks them; and where nothing is refused, tries whether its sheets and tools can make
/// each part at all, and whether the sheets on hand are proved to be too few. Whether they suffice, only [`make`] finds out. A
/// count of `"max"` becomes the number that this search finds a layout for: take the same on to [`make`].
///
/// # Errors
/// [`Error::Unreadable`] with everything that is wrong with the spec. A check that fails is a finding, not an error.
/// [`Error::Fault`] when no path is found that cuts a part that nothing speaks against.
pub fn check(spec: &Arc<Source>, profiles: &Profiles, kinds: &Kinds, search: &Search) -> Result<Checked, Error> {
    let job = spec::read(spec, profiles, kinds).map_err(Error::Unreadable)?;
    try_out(Checked::ranged(job)?, search)
}

/// The first step of [`check`], quick enough to follow a maker's typing: reads a spec, builds its boxes and measures them. That
/// nothing is refused so far does not mean that its sheets and tools can make the parts.
///
/// # Errors
/// Those of [`check`].
pub fn measure(spec: &Arc<Source>, profiles: &Profiles, kinds: &Kinds) -> Result<Checked, Error> {
    Checked::of(spec::read(spec, profiles, kinds).map_err(Error::Unreadable)?)
}

/// The second step: in which other thicknesses of stock the boxes work, and what gives out first.
pub fn range(mut checked: Checked) -> Checked {
    checked.try_thicknesses();
    checked
}

/// The third step of [`check`], after the first and the second if that has not been done: tries the parts on the sheets and tools
/// there are.
///
/// # Errors
/// Those of [`check`].
pub fn try_out(mut checked: Checked, search: &Search) -> Result<Checked, Error> {
    if !checked.ranged {
        checked = range(checked);
    }
    checked.try_parts()?;
    yields::fill(&mut checked, search);
    checked.findings.extend(supply::prices(&checked.job, &checked.assemblies));
    finding::accept(&mut checked.findings, &checked.job.accepts);
    Ok(checked)
}

/// Takes a checked job to its end, with the search that it was checked with.
///
/// # Errors
/// [`Error::Refused`] with all findings when a check failed, a part fits no sheet, or a feature cannot be cut.
/// [`Error::Unproved`] when a program would not cut what it should. [`Error::Fault`] when what stands between spec and
/// programs is not sound: the layout, or a saw plan that does not give the parts.
pub fn make(checked: Checked, search: &Search) -> Result<Made, Error> {
    let Checked { mut job, assemblies, mut findings, forms, .. } = checked;
    if findings.iter().any(Finding::refused) {
        return Err(Error::refused(findings));
    }
    let parts = build::parts(&job, &assemblies);
    let (layout, cut) = trial::laid(&mut job, &parts, &forms, search)?;
    let Cut { routes, programs, proved: Proved { proofs, swaths }, told } = cut;
    findings.extend(told);
    let patterns = layout::cut_plan(&job, &parts, search)?;
    let saw = saw::plan(&job, &assemblies, &parts, &patterns)?;
    findings.extend(saw.findings.iter().cloned());
    let routed = layout.sheets.iter().map(|sheet| (sheet.stock, &sheet.placements[..]));
    let sawn = saw.sheets.iter().map(|sheet| (sheet.stock, &sheet.placements[..]));
    findings.extend(layout::glue_lines((&job, &parts), CutBy::Router, routed));
    findings.extend(layout::glue_lines((&job, &parts), CutBy::Saw, sawn));
    finding::accept(&mut findings, &job.accepts);
    let of_layout: Vec<usize> = layout.sheets.iter().map(|sheet| sheet.stock).collect();
    let of_patterns: Vec<usize> = patterns.iter().map(|pattern| pattern.stock).collect();
    let fewest = fewest_of_plans(&job, &parts, &of_layout, &of_patterns);
    let off_cuts = left_over::off_cuts(&job, &parts, &layout, &saw);
    let beside = supply::supplies(&job, &assemblies);
    let used = supply::Used::of(&layout, &patterns, &programs);
    let cost = supply::cost(&job, &parts, &beside, &used);
    let supplies = [supply::sheets(&job, &used), beside].concat();
    let steps = steps::steps(&job, &assemblies);
    Ok(Made {
        job,
        assemblies,
        findings,
        parts,
        layout,
        routes,
        programs,
        proof: proofs,
        swaths,
        patterns,
        saw,
        fewest,
        off_cuts,
        supplies,
        cost,
        steps,
    })
}
