//! What was checked, by theme, what needs looking at first.

use super::range::{Bar, bar};
use crate::finding::{Finding, Limits, Status, Theme};
use crate::made::Designed;
use crate::units::Units;
use crate::words::letter;
use serde::Serialize;
use std::ops::Range;

#[derive(Serialize)]
pub(super) struct ThemeView {
    title: &'static str,
    /// Always to be seen: what asks for care.
    open: bool,
    findings: Vec<FindingView>,
}

#[derive(Serialize)]
struct FindingView {
    status: Status,
    /// The check's name that stays.
    id: &'static str,
    check: String,
    /// What it was made on, as the finding has it.
    of: String,
    /// Where in the spec it comes from.
    spot: Option<Range<usize>>,
    /// Left out where it is the job's only box.
    subject: String,
    measured: Option<String>,
    allowed: Option<String>,
    bar: Option<Bar>,
    source: String,
    advice: String,
}

/// All findings: those that are not ok first, the rest by theme.
pub(super) fn themes(designed: Designed) -> Vec<ThemeView> {
    let boxes: Vec<&str> = designed.assemblies.iter().filter(|one| !one.loose).map(|one| one.name.as_str()).collect();
    let holes = lettered(designed);
    let view = |finding: &Finding| finding_view(finding, designed.job.units, &boxes, &holes);
    let (ok, not): (Vec<&Finding>, Vec<&Finding>) =
        designed.findings.iter().partition(|finding| finding.status <= Status::Accepted);
    let mut themes: Vec<ThemeView> = Vec::new();
    if !not.is_empty() {
        themes.push(ThemeView { title: "Look at these", open: true, findings: not.into_iter().map(view).collect() });
    }
    let mut known: Vec<Theme> = ok.iter().map(|finding| finding.theme).collect();
    known.sort_unstable();
    known.dedup();
    themes.extend(known.into_iter().map(|theme| ThemeView {
        title: theme.title(),
        open: false,
        findings: ok.iter().filter(|finding| finding.theme == theme).map(|finding| view(finding)).collect(),
    }));
    themes
}

/// The holes of panels that have several alike: what a finding calls each, where the spec asks for it, and its letter on the page.
fn lettered(designed: Designed) -> Vec<(String, Range<usize>, String)> {
    let mut found = Vec::new();
    for assembly in designed.assemblies {
        for panel in &assembly.panels {
            let title = assembly.called(panel);
            for (i, hole) in panel.holes.iter().enumerate() {
                let alike = panel.holes.iter().filter(|other| other.use_ == hole.use_).count();
                if let Some(spot) = hole.spot.clone().filter(|_| alike > 1) {
                    found.push((format!("{title}, {}", hole.use_), spot, letter(i)));
                }
            }
        }
    }
    found
}

fn finding_view(
    finding: &Finding,
    units: Units,
    boxes: &[&str],
    holes: &[(String, Range<usize>, String)],
) -> FindingView {
    let held = finding.measured.zip(finding.allowed.as_ref());
    let subject = match boxes {
        [only] => finding.subject.strip_prefix(only).map(|rest| rest.trim_start_matches(", ")),
        _ => None,
    };
    let hole = holes.iter().find(|(name, spot, _)| *name == finding.subject && finding.spot.as_ref() == Some(spot));
    let letter = hole.map_or_else(String::new, |(.., letter)| format!(" {letter}"));
    FindingView {
        status: finding.status,
        id: finding.id.name(),
        check: finding.check.clone(),
        of: finding.subject.clone(),
        spot: finding.spot.clone(),
        subject: format!("{}{letter}", subject.unwrap_or(&finding.subject)),
        measured: measured(finding, units),
        allowed: allowed(finding, units),
        bar: held.and_then(|(measured, allowed)| bar(measured, allowed)),
        source: finding.source.clone(),
        advice: finding.advice.clone(),
    }
}

/// What was measured, for people.
pub(super) fn measured(finding: &Finding, units: Units) -> Option<String> {
    finding.figures(units).map(|(measured, _)| measured).or_else(|| finding.measured.map(|it| it.show(units)))
}

/// What a finding allows, for people; none when it allows anything.
pub(super) fn allowed(finding: &Finding, units: Units) -> Option<String> {
    finding.figures(units).filter(|_| finding.allowed != Some(Limits::default())).map(|(_, allowed)| allowed)
}
