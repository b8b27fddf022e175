//! What the checks said of a part, for its drawing.

use crate::design::Part;
use crate::finding::{Finding, Measure, Status};
use crate::made::Made;

/// What the checks said of this part: what asks for care first, then what was measured.
pub(super) fn fit_notes(made: &Made, part: &Part) -> Vec<(Status, String)> {
    let units = made.job.units;
    let mut about: Vec<&Finding> = made
        .findings
        .iter()
        .filter(|finding| finding.status == Status::Caution || finding.measured.is_some())
        .filter(|finding| concerns(finding, part, made))
        .collect();
    about.sort_by_key(|finding| finding.status != Status::Caution);
    // What differs only in its measure is said once, from the least to the most.
    let mut alike: Vec<(&Finding, &str, Vec<Measure>)> = Vec::new();
    for finding in about {
        let what = finding.subject.rsplit(", ").next().unwrap_or_default();
        let same = |(other, its, _): &&mut (&Finding, &str, Vec<Measure>)| {
            *its == what
                && (other.status, &other.check, &other.advice) == (finding.status, &finding.check, &finding.advice)
        };
        match alike.iter_mut().find(same) {
            Some((.., measures)) => measures.extend(finding.measured),
            None => alike.push((finding, what, finding.measured.into_iter().collect())),
        }
    }
    let note = |(finding, what, mut measures): (&Finding, &str, Vec<Measure>)| {
        measures.sort_by(|a, b| a.value().total_cmp(&b.value()));
        measures.dedup_by_key(|measure| measure.show(units));
        let measured = match &measures[..] {
            [] => String::new(),
            [only] => format!(" {}", only.show(units)),
            [least, .., most] => format!(" {} to {}", least.show(units), most.show(units)),
        };
        let advice = if finding.status == Status::Caution { format!(": {}", finding.advice) } else { String::new() };
        (finding.status, format!("{what}: {}{measured}{advice}.", finding.check))
    };
    alike.into_iter().map(note).collect()
}

/// Is the finding about a panel of this part? Its subject names the box and the panel, of a loose part the part alone.
fn concerns(finding: &Finding, part: &Part, made: &Made) -> bool {
    let mut names = finding.subject.split(", ");
    let first = names.next();
    match &part.box_name {
        None => first == Some(part.name.as_str()),
        Some(box_name) => {
            let panels = &made.assemblies[part.assembly].panels;
            let named = |name: &str| part.panels.iter().any(|(panel, _)| panels[*panel].name == name);
            first == Some(box_name.as_str()) && names.next().is_some_and(named)
        }
    }
}
