//! Everything that `make` writes, as names and bytes.

use super::folder::{Files, checksum};
use super::json::JobFile;
use super::page;
use super::{csv, dxf, file_names, pdf, saw_csv};
use crate::Made;
use crate::draw;
use crate::error::Error;

/// The files of a job, `job.json` and the spec itself among them.
///
/// # Errors
/// [`Error::Fault`] when a format's library refuses what it was given.
pub fn files(made: &Made) -> Result<Files, Error> {
    let (job, parts, layout) = (&made.job, &made.parts, &made.layout);
    let mut files = Files::new();
    let names = file_names(parts.iter().map(|part| part.name.as_str()));
    for (part, name) in parts.iter().zip(&names) {
        files.insert(format!("parts/{name}.svg"), draw::svg(&draw::part_drawing(job, part)).into_bytes());
        files.insert(format!("parts/{name}.dxf"), dxf::part_dxf(part, job.units)?);
        if let Some(template) = draw::template(job, part) {
            files.insert(format!("templates/{name}.svg"), draw::svg(&template).into_bytes());
        }
    }
    for (i, sheet) in layout.sheets.iter().enumerate() {
        files.insert(
            format!("sheet-{}.svg", i + 1),
            draw::svg(&draw::sheet_picture(job, parts, layout, i)).into_bytes(),
        );
        files.insert(format!("sheet-{}.dxf", i + 1), dxf::sheet_dxf(sheet, parts, job.units)?);
    }
    for i in 0..made.saw.sheets.len() {
        let picture = draw::saw_picture(job, parts, &made.saw, i);
        files.insert(format!("saw-{}.svg", i + 1), draw::svg(&picture).into_bytes());
    }
    for program in &made.programs {
        files.insert(program.file.clone(), program.text.clone().into_bytes());
    }
    files.insert("drawings.pdf".into(), pdf::pdf(&job.title, &draw::book(made)));
    files.insert("parts.csv".into(), csv::cut_list(made)?);
    if !made.saw.is_empty() {
        files.insert("saw.csv".into(), saw_csv::saw_steps(made)?);
    }
    // The folder tells by itself what it was made from.
    files.insert("job.toml".into(), job.source.text.clone().into_bytes());

    let drawings: Vec<String> = names.iter().map(|name| format!("parts/{name}.svg")).collect();
    let page = page::job_page(made, &JobFile::new(made, &drawings, std::iter::empty()), &files)?;
    files.insert(page::NAME.into(), page.into_bytes());
    let sums: Vec<(&str, u32)> = files.iter().map(|(name, bytes)| (name.as_str(), checksum(bytes))).collect();
    let record = JobFile::new(made, &drawings, sums.into_iter());
    let mut json = serde_json::to_vec_pretty(&record).map_err(|why| Error::Fault(format!("job.json: {why}")))?;
    json.push(b'\n');
    files.insert("job.json".into(), json);
    Ok(files)
}
