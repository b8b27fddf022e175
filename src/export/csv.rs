//! The cut list.

use crate::design::{Grain, Part};
use crate::error::Error;
use crate::job::Job;

/// `parts.csv`: a row per part, in the job's units.
pub(super) fn cut_list(job: &Job, parts: &[Part]) -> Result<Vec<u8>, Error> {
    let units = job.units;
    let fault = |why: &dyn std::fmt::Display| Error::Fault(format!("parts.csv: {why}"));
    let mut rows = csv::Writer::from_writer(Vec::new());
    let unit = units.sign();
    let head = [
        "part",
        "box",
        "count",
        &format!("length {unit}"),
        &format!("width {unit}"),
        "thickness",
        "grain",
        "holes",
        "material",
    ];
    rows.write_record(head).map_err(|why| fault(&why))?;
    for part in parts {
        rows.write_record([
            inert(&part.name).as_str(),
            inert(part.box_name.as_deref().unwrap_or("")).as_str(),
            part.count.to_string().as_str(),
            units.number(part.length).as_str(),
            units.number(part.width).as_str(),
            units.measured(part.thickness).as_str(),
            match part.grain {
                Grain::Long => "along the length",
                Grain::Cross => "across the length",
                Grain::Any => "any",
            },
            &holes(job, part),
            &job.stock[part.stock].material.title,
        ])
        .map_err(|why| fault(&why))?;
    }
    rows.into_inner().map_err(|why| fault(&why))
}

/// `2 × 3/4 in vent, 1 × 3/4 in entrance`
fn holes(job: &Job, part: &Part) -> String {
    let mut kinds: Vec<(String, usize)> = Vec::new();
    for hole in &part.holes {
        let size = if hole.is_round() {
            job.units.show(hole.length)
        } else {
            format!("{} × {}", job.units.number(hole.length), job.units.show(hole.width))
        };
        let kind = format!("{size} {}", hole.use_);
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, count)) => *count += 1,
            None => kinds.push((kind, 1)),
        }
    }
    kinds.iter().map(|(kind, count)| format!("{count} × {kind}")).collect::<Vec<_>>().join("; ")
}

/// A cell that no spreadsheet takes for a formula.
fn inert(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.into() }
}

#[cfg(test)]
mod tests {
    use super::inert;

    #[test]
    fn formulas_are_text() {
        assert_eq!(inert("=1+1"), "'=1+1");
        assert_eq!(inert("side"), "side");
    }
}
