//! The cut list.

use crate::design::{Grain, Part};
use crate::error::Error;
use crate::job::Job;
use crate::layout::Placement;
use crate::made::Made;

/// `parts.csv`: a row per part, in the job's units.
pub(super) fn cut_list(made: &Made) -> Result<Vec<u8>, Error> {
    let (job, parts) = (&made.job, &made.parts);
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
        "router sheets",
        "saw sheets",
    ];
    rows.write_record(head).map_err(|why| fault(&why))?;
    for (i, part) in parts.iter().enumerate() {
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
            &inert(&match made.boards_of(i) {
                Some(boards) => format!("{}, panel of {boards} boards", job.stock[part.stock].material.title),
                None => job.stock[part.stock].material.title.clone(),
            }),
            &on_sheets(i, made.layout.sheets.iter().map(|sheet| &sheet.placements)),
            &on_sheets(i, made.saw.sheets.iter().map(|sheet| &sheet.placements)),
        ])
        .map_err(|why| fault(&why))?;
    }
    rows.into_inner().map_err(|why| fault(&why))
}

/// Which sheets a part lies on, and how many of it on each: `1: 6; 2: 2`.
fn on_sheets<'a>(part: usize, sheets: impl Iterator<Item = &'a Vec<Placement>>) -> String {
    let counts = sheets.map(|placements| placements.iter().filter(|placement| placement.part == part).count());
    let there = counts.enumerate().filter(|(_, count)| *count > 0);
    there.map(|(sheet, count)| format!("{}: {count}", sheet + 1)).collect::<Vec<_>>().join("; ")
}

/// `2 × 3/4 in vent, 1 × 3/4 in entrance`
pub(super) fn holes(job: &Job, part: &Part) -> String {
    let mut kinds: Vec<(String, usize)> = Vec::new();
    for hole in &part.holes {
        let size = if hole.is_round() {
            job.units.show(hole.length)
        } else {
            let (along, up) = hole.told_size();
            format!("{} × {}", job.units.number(along), job.units.show(up))
        };
        let kind = format!("{size} {}", hole.use_);
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, count)) => *count += 1,
            None => kinds.push((kind, 1)),
        }
    }
    for hole in &part.screw_holes {
        let kind = format!("{} {}", job.units.show(hole.diameter), hole.bored.name());
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, count)) => *count += 1,
            None => kinds.push((kind, 1)),
        }
    }
    kinds.iter().map(|(kind, count)| format!("{count} × {kind}")).collect::<Vec<_>>().join("; ")
}

/// A cell that no spreadsheet takes for a formula.
pub(super) fn inert(text: &str) -> String {
    if text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) {
        format!("'{text}")
    } else {
        text.into()
    }
}

#[cfg(test)]
mod tests {
    use super::inert;

    #[test]
    fn formulas_are_text() {
        assert_eq!(inert("=1+1"), "'=1+1");
        assert_eq!(inert(" =1+1"), "' =1+1");
        assert_eq!(inert("side"), "side");
    }
}
