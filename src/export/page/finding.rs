//! What was checked, by theme, what needs looking at first.

use super::range::{Bar, bar};
use crate::finding::{Finding, Limits, Status, Theme};
use crate::made::Made;
use crate::units::Units;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct ThemeView {
    title: &'static str,
    findings: Vec<FindingView>,
}

#[derive(Serialize)]
struct FindingView {
    status: Status,
    check: String,
    /// Left out where it is the job's only box.
    subject: String,
    measured: Option<String>,
    allowed: Option<String>,
    bar: Option<Bar>,
    source: String,
    advice: String,
}

/// All findings: those that are not ok first, the rest by theme.
pub(super) fn themes(made: &Made) -> Vec<ThemeView> {
    let boxes: Vec<&str> = made.assemblies.iter().filter(|one| !one.loose).map(|one| one.name.as_str()).collect();
    let view = |finding: &Finding| finding_view(finding, made.job.units, &boxes);
    let (ok, not): (Vec<&Finding>, Vec<&Finding>) =
        made.findings.iter().partition(|finding| finding.status <= Status::Accepted);
    let mut themes: Vec<ThemeView> = Vec::new();
    if !not.is_empty() {
        themes.push(ThemeView { title: "Look at these", findings: not.into_iter().map(view).collect() });
    }
    let mut known: Vec<Theme> = ok.iter().map(|finding| finding.theme).collect();
    known.sort_unstable();
    known.dedup();
    themes.extend(known.into_iter().map(|theme| ThemeView {
        title: theme.title(),
        findings: ok.iter().filter(|finding| finding.theme == theme).map(|finding| view(finding)).collect(),
    }));
    themes
}

fn finding_view(finding: &Finding, units: Units, boxes: &[&str]) -> FindingView {
    let held = finding.measured.zip(finding.allowed.as_ref());
    let subject = match boxes {
        [only] => finding.subject.strip_prefix(only).map(|rest| rest.trim_start_matches(", ")),
        _ => None,
    };
    FindingView {
        status: finding.status,
        check: finding.check.clone(),
        subject: subject.unwrap_or(&finding.subject).into(),
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
