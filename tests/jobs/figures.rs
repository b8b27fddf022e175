//! Figures: what is and what is allowed are told apart, and one thing has one figure on every paper.

use crate::drawn::job;
use crate::drawn::look::{figures, papers};
use crate::shared::{make, samples};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::finding::{Check, Finding, JobCheck};
use nestwright::profile::Profiles;
use nestwright::units::{Units, parse_length};
use nestwright::watch::Search;
use rayon::prelude::*;

/// The checks of random jobs, in millimetres and in inches, whatever the job's own units are; made ones are looked at
/// wherever these are made.
#[test]
fn no_finding_of_a_random_job_shows_what_it_refuses_as_allowed() {
    let (built_in, kinds) = (Profiles::built_in(), Kinds::built_in());
    let looked_at: Vec<usize> = (0..80u64)
        .into_par_iter()
        .map(|number| {
            let job = job(31, number);
            let shelf = job.shelf(&built_in);
            let checked =
                shelf.and_then(|shelf| nestwright::check(&job.source(), &shelf, &kinds, &Search::of(job.effort)));
            let findings = match checked {
                Ok(checked) => checked.findings,
                Err(Error::Refused(findings)) => findings.to_vec(),
                Err(_) => return 0,
            };
            let units = if job.spec.contains("units = \"in\"") { Units::Inches } else { Units::Millimetres };
            figures(&findings, units).unwrap_or_else(|why| panic!("job {number}: {why}\n{}", job.text()));
            findings.len()
        })
        .collect();
    assert!(looked_at.iter().sum::<usize>() > 500);
}

#[test]
fn every_paper_of_a_sample_gives_a_part_one_size() {
    for (name, spec) in samples() {
        let made = make(&spec);
        let files = nestwright::export::files(&made).unwrap_or_else(|why| panic!("{name}: {why}"));
        papers(&made, &files).unwrap_or_else(|why| panic!("{name}: {why}"));
    }
}

fn refused(spec: &str, id: JobCheck) -> Finding {
    let findings = crate::shared::check(spec).findings;
    findings.into_iter().find(|it| it.id == Check::Job(id) && it.refused()).unwrap_or_else(|| panic!("{id:?} holds"))
}

fn strip(length: &str, more: &str) -> String {
    format!(
        r#"
        title = "strip"
        stock = {{ material = "birch-plywood", size = [600, 300], thickness = 12, on-hand = 1 }}
        saw = {{ kerf = 3 }}
        [[part]]
        name = "strip"
        size = ["{length}", 100]
        grain = "long"
        {more}
        "#
    )
}

/// Three hundredths too long for the sheet: to a tenth both would be 600.
#[test]
fn a_part_too_long_by_a_hair_is_not_shown_as_long_as_its_sheet() {
    let advice = refused(&strip("600.03 mm", ""), JobCheck::PartFitsSheet).advice;
    assert!(advice.contains("600.03 × 100 mm") && advice.contains("600 × 300 mm"), "{advice}");
    assert!(advice.contains("A sheet of 600.1 × 100 mm would do"), "{advice}");
}

/// Who moves a hole to where the advice says that it is free has it free, at either end of each range, in either unit.
#[test]
fn a_hole_is_free_at_the_ends_of_what_is_told() {
    for (units, unit) in [("mm", Units::Millimetres), ("in", Units::Inches)] {
        let spec = |left: &str| {
            let hole =
                format!("hole = {{ use = \"vent\", diameter = \"7.77 mm\", across = \"{left}\", up = \"50 mm\" }}");
            strip("500.03 mm", &hole)
                .replace("title =", &format!("units = \"{units}\"\ntitle ="))
                .replace("size = [600, 300], thickness = 12", "size = [\"600 mm\", \"300 mm\"], thickness = \"12 mm\"")
                .replace("\", 100]", "\", \"100 mm\"]")
                .replace("kerf = 3", "kerf = \"3 mm\"")
        };
        let advice = refused(&spec("2 mm"), JobCheck::HoleToEdge).advice;
        let (_, told) = advice.split_once("free from ").expect("where it is free");
        let (range, _) = told.split_once(&format!(" {units} from the")).expect("a range");
        for end in range.split(" to ") {
            assert!(parse_length(end, unit).is_ok());
            let findings = crate::shared::check(&spec(&format!("{end} {units}"))).findings;
            assert!(!findings.iter().any(Finding::refused), "{end} {units} of {advice}");
        }
    }
}
