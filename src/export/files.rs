//! Everything that `make` writes, as names and bytes.

use super::json::JobFile;
use super::page;
use super::seal::seal_json;
use super::{Files, checksum};
use super::{csv, dxf, pdf, saw_csv};
use crate::design::Part;
use crate::draw::{self, Shows};
use crate::error::Error;
use crate::made::Made;
use crate::offcuts;
use crate::route::relief::as_cut;
use crate::words::{file_names, letter};
use rayon::prelude::*;

/// The files of a job, `job.json` and the spec itself among them.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("nuc").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// use nestwright::{export, make};
///
/// let files = export::files(&make(checked, &Search::default())?)?;
/// assert!(files.contains_key("parts.csv") && files.contains_key("drawings.pdf"));
/// # Ok::<(), nestwright::error::Error>(())
/// ```
///
/// # Errors
/// [`Error::Fault`] when a format's library refuses what it was given.
pub fn files(made: &Made) -> Result<Files, Error> {
    let (job, parts, layout) = (&made.job, &made.parts, &made.layout);
    let mut files = Files::new();
    let names = file_names(parts.iter().map(|part| part.name.as_str()));
    // What is drawn for a router has the relief that its cutter leaves in square corners.
    let cut: Vec<Part> = match &job.router {
        Some(router) => parts.iter().map(|part| as_cut(part, router)).collect(),
        None => parts.clone(),
    };
    for (i, (cut, name)) in cut.iter().zip(&names).enumerate() {
        files.insert(format!("parts/{name}.dxf"), dxf::part_dxf(cut, job.units)?);
        if let Some(template) = draw::template(made, i) {
            files.insert(format!("templates/{name}.svg"), draw::svg(&template).into_bytes());
        }
    }
    for (i, sheet) in layout.sheets.iter().enumerate() {
        files.insert(format!("sheet-{}.dxf", i + 1), dxf::sheet_dxf(sheet, &cut, job.units)?);
    }
    for program in &made.programs {
        files.insert(program.file.clone(), program.text.clone().into_bytes());
    }
    files.extend(drawings(made, &names));
    files.insert("parts.csv".into(), csv::cut_list(made)?);
    if !made.saw.is_empty() {
        files.insert("saw.csv".into(), saw_csv::saw_steps(made)?);
    }
    if !made.steps.is_empty() {
        files.insert("assembly.txt".into(), super::assembly::assembly_text(made).into_bytes());
    }
    if let Some(text) = super::turning::turning_text(made) {
        files.insert("turning.txt".into(), text.into_bytes());
    }
    if !made.off_cuts.is_empty() {
        files.insert(offcuts::NAME.into(), offcuts::text(&job.title, job.units, &made.off_cuts).into_bytes());
    }
    // The folder tells by itself what it was made from.
    files.insert("job.toml".into(), job.source.text.clone().into_bytes());

    let part_drawings: Vec<String> = names.iter().map(|name| format!("parts/{name}.svg")).collect();
    let page = page::job_page(made, &JobFile::new(made, &part_drawings, std::iter::empty()), &files)?;
    files.insert(page::NAME.into(), page.into_bytes());
    let sums: Vec<(&str, u32)> = files.iter().map(|(name, bytes)| (name.as_str(), checksum(bytes))).collect();
    let record = JobFile::new(made, &part_drawings, sums.into_iter());
    let mut json = super::json(&record)?;
    json.push(b'\n');
    files.insert("job.json".into(), seal_json(json));
    Ok(files)
}

/// Every drawing: bound as a PDF, and those that are of use alone as SVG. `parts` are the file names of the parts.
fn drawings(made: &Made, parts: &[String]) -> Vec<(String, Vec<u8>)> {
    let boxes = file_names(made.assemblies.iter().map(|assembly| assembly.name.as_str()));
    let pages = draw::book(made);
    let mut files: Vec<(String, Vec<u8>)> = pages
        .par_iter()
        .filter_map(|page| {
            let name = match &page.shows {
                Shows::Cover | Shows::List | Shows::Parts(_) | Shows::TemplatePage => return None,
                Shows::Sheet(i) => format!("sheet-{}.svg", i + 1),
                Shows::SawSheet(i, 0) => format!("saw-{}.svg", i + 1),
                Shows::SawSheet(i, detail) => {
                    format!("saw-{}-detail-{}.svg", i + 1, letter(detail - 1).to_lowercase())
                }
                Shows::Exploded(i) => format!("boxes/{}.svg", boxes[*i]),
                Shows::Steps(i, page) => format!("boxes/{}-steps-{}.svg", boxes[*i], page + 1),
                Shows::Section(i) => format!("boxes/{}-section.svg", boxes[*i]),
            };
            Some((name, draw::svg(&page.picture).into_bytes()))
        })
        .collect();
    files.par_extend((0..parts.len()).into_par_iter().map(|i| {
        let picture = draw::part_drawing(made, i);
        (format!("parts/{}.svg", parts[i]), draw::svg(&picture).into_bytes())
    }));
    files.push(("drawings.pdf".into(), pdf::pdf(&made.job.title, &pages)));
    files
}
