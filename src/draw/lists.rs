//! What is told in tables: the cut list, and what the checks found.

use super::features::features;
use super::form::{Form, Title};
use super::table::{column, figures, pages};
use super::{Anchor, Picture};
use crate::Made;
use crate::design::Grain;
use crate::finding::Status;

/// The cut list, its numbers those of the balloons.
pub fn cut_list(made: &Made) -> Vec<Picture> {
    let units = made.job.units;
    let mut columns = vec![
        figures("No.", 1.0),
        column("Part", 4.2),
        column("Of", 4.2),
        figures("Pieces", 1.4),
        figures("Length", 1.9),
        figures("Width", 1.9),
        figures("Thick", 1.9),
        column("Grain", 2.2),
        column("Features", 7.5),
    ];
    columns[0].side = Anchor::End;
    let rows: Vec<Vec<String>> = made
        .parts
        .iter()
        .enumerate()
        .map(|(i, part)| {
            let notes: Vec<String> =
                features(part, units).call_outs.into_iter().map(|call_out| call_out.text).collect();
            vec![
                (i + 1).to_string(),
                part.name.clone(),
                part.box_name.clone().unwrap_or_else(|| "loose".into()),
                part.count.to_string(),
                units.number(part.length),
                units.number(part.width),
                units.measured(part.thickness),
                match part.grain {
                    Grain::Long => "along".into(),
                    Grain::Cross => "across".into(),
                    Grain::Any => "either".into(),
                },
                notes.join("; "),
            ]
        })
        .collect();
    let pieces: u32 = made.parts.iter().map(|part| part.count).sum();
    let title = Title {
        title: "Cut list".into(),
        job: made.job.title.clone(),
        kind: "Parts list".into(),
        number: "L 1".into(),
        sheet: "1 of 1".into(),
        more: [("Pieces", pieces.to_string()), ("Lengths in", units.name().into()), ("", String::new())],
        ..Title::default()
    };
    pages(&Form::lying(made.job.paper), &title, &columns, &rows)
}

/// Every check with what was measured beside what is allowed.
pub fn findings_list(made: &Made) -> Vec<Picture> {
    let units = made.job.units;
    let columns = [
        column("", 1.6),
        column("Of", 4.8),
        column("Check", 5.0),
        figures("Measured", 2.2),
        figures("Allowed", 3.0),
        column("Source", 5.4),
        column("What to do", 5.0),
    ];
    let rows: Vec<Vec<String>> = made
        .findings
        .iter()
        .map(|finding| {
            let allowed = finding.allowed.zip(finding.measured);
            vec![
                // Told by a sign and a word, not by a colour.
                match finding.status {
                    Status::Ok => "✓ ok".into(),
                    Status::Caution => "▲ caution".into(),
                    Status::Refused => "✗ refused".into(),
                },
                finding.subject.clone(),
                finding.check.clone(),
                finding.measured.map_or_else(String::new, |measure| measure.show(units)),
                allowed.map_or_else(String::new, |(limits, like)| limits.show(like, units)),
                finding.source.clone(),
                finding.advice.clone(),
            ]
        })
        .collect();
    let cautions = made.findings.iter().filter(|finding| finding.status == Status::Caution).count();
    let title = Title {
        title: "Findings".into(),
        job: made.job.title.clone(),
        kind: "Checks".into(),
        number: "F 1".into(),
        sheet: "1 of 1".into(),
        more: [("Checks", made.findings.len().to_string()), ("Cautions", cautions.to_string()), ("", String::new())],
        ..Title::default()
    };
    pages(&Form::lying(made.job.paper), &title, &columns, &rows)
}
