//! What `yield` finds, as data.

use crate::finding::Finding;
use crate::job::Job;
use crate::yields::{Answer, Near, WhyNotMore, Yield};
use serde::Serialize;

/// The whole answer. Lengths are millimetres.
#[derive(Serialize)]
struct YieldFile<'a> {
    title: &'a str,
    /// What makes up a set.
    set: Vec<Member<'a>>,
    answers: Vec<AnswerRecord<'a>>,
    findings: &'a [Finding],
}

/// A box or loose part, and how many of it.
#[derive(Serialize)]
struct Member<'a> {
    name: &'a str,
    count: u32,
}

#[derive(Serialize)]
struct AnswerRecord<'a> {
    /// `router` or `saw`.
    cut: &'static str,
    sets: u32,
    counts: Vec<Member<'a>>,
    sheets_used: u32,
    sheets_on_hand: u32,
    /// Share of the used sheets' area that becomes parts, 0 to 1.
    #[serde(rename = "yield")]
    yield_: f64,
    one_more: OneMore<'a>,
    near_misses: Vec<NearRecord<'a>>,
}

/// Why there is not one set more.
#[derive(Serialize)]
struct OneMore<'a> {
    /// `impossible`: proved by a bound; `not found`; `not tried`: more are not built from one job.
    status: &'static str,
    /// No layout has more sets than this; left out where no bound was reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    at_most: Option<u32>,
    reason: &'a str,
}

#[derive(Serialize)]
struct NearRecord<'a> {
    of: &'a str,
    key: &'a str,
    what: &'a str,
    from: f64,
    to: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    profile: Option<&'a str>,
}

/// The answer of `yield` as JSON.
pub fn yield_json(job: &Job, found: &Yield, findings: &[Finding]) -> serde_json::Value {
    let members = |sets: u32| found.set.iter().map(|(name, each)| Member { name, count: each * sets }).collect();
    let answers = found.answers.iter().map(|answer| record(answer, members(answer.most.sets))).collect();
    let file = YieldFile { title: &job.title, set: members(1), answers, findings };
    serde_json::to_value(file).unwrap_or_default()
}

fn record<'a>(answer: &'a Answer, counts: Vec<Member<'a>>) -> AnswerRecord<'a> {
    let most = &answer.most;
    let (status, at_most, reason) = match &most.why {
        WhyNotMore::Proved(reason) => ("impossible", Some(most.sets), reason.as_str()),
        WhyNotMore::NotFound { at_most, reason } => ("not found", Some(*at_most), reason.as_str()),
        WhyNotMore::Enough => ("not tried", None, ""),
    };
    AnswerRecord {
        cut: answer.cut.name(),
        sets: most.sets,
        counts,
        sheets_used: most.used,
        sheets_on_hand: most.on_hand,
        yield_: (most.share * 1e4).round() / 1e4,
        one_more: OneMore { status, at_most, reason },
        near_misses: answer.near.iter().map(near).collect(),
    }
}

fn near(near: &Near) -> NearRecord<'_> {
    let round = |mm: f64| (mm * 1e4).round() / 1e4;
    NearRecord {
        of: &near.of,
        key: near.key,
        what: near.what,
        from: round(near.from),
        to: round(near.to),
        profile: near.profile.as_deref(),
    }
}
