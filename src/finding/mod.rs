//! One type for the result of every check.

mod check;
mod measure;
mod program;

pub use check::{Check, JobCheck, ProgramCheck};
pub use measure::{Limits, Measure};
pub use program::Measured;

use crate::units::Units;
use crate::words::counted;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt;
use std::ops::Range;

/// How a check came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    Ok,
    /// It can be built, and the maker knows: the spec accepts the caution.
    Accepted,
    /// It can be built, but the maker should know.
    Caution,
    /// It must not be built like this.
    Refused,
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.pad(match self {
            Status::Ok => "ok",
            Status::Accepted => "accepted",
            Status::Caution => "caution",
            Status::Refused => "refused",
        })
    }
}

/// What a check is about; a report groups its findings by it, in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Theme {
    /// Frames, their lugs, and the bee space around them.
    Frames,
    Cover,
    /// Boxes that stand on each other.
    Stack,
    /// The animal's cavity.
    Cavity,
    Entrance,
    Ventilation,
    Holes,
    Joints,
    Fasteners,
    /// The stock's thickness and its tolerance.
    Thickness,
    /// Solid wood: its grain, and how it moves over a year.
    Wood,
    Weight,
    Cost,
    /// Layout, toolpaths and their proof.
    #[default]
    Making,
}

impl Theme {
    pub fn title(self) -> &'static str {
        match self {
            Theme::Frames => "Frames",
            Theme::Cover => "What comes off",
            Theme::Stack => "Stacking",
            Theme::Cavity => "Cavity",
            Theme::Entrance => "Entrance",
            Theme::Ventilation => "Ventilation and drainage",
            Theme::Holes => "Holes",
            Theme::Joints => "Joints",
            Theme::Fasteners => "Fasteners",
            Theme::Thickness => "Thickness of the stock",
            Theme::Wood => "Solid wood",
            Theme::Weight => "Weight",
            Theme::Cost => "Cost",
            Theme::Making => "Making",
        }
    }
}

/// The result of one check on one thing.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Finding {
    pub theme: Theme,
    /// The box it is about; left out for what is about the whole job or a loose part.
    #[serde(rename = "box", skip_serializing_if = "Option::is_none")]
    pub box_name: Option<String>,
    /// What was checked, by a name that stays: `bee-space-ends`.
    pub id: Check,
    /// The same for a person, in the trade's words: `bee space at the frame ends`. They may name what the check was made on,
    /// and may change.
    pub check: String,
    /// The thing it was checked on: `six-frame nuc`, or `six-frame nuc, front`.
    pub subject: String,
    pub status: Status,
    pub measured: Option<Measure>,
    /// Limits in the measure's own unit.
    pub allowed: Option<Limits>,
    /// Unit of `measured` and `allowed`.
    pub unit: &'static str,
    /// Where the limit comes from: a published source, or `common practice`.
    pub source: String,
    /// What to change, or why it matters; empty when there is nothing to say.
    pub advice: String,
    /// The thicknesses of stock, in millimetres, for which this check would hold; left out where the stock does not
    /// matter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Limits>,
    /// Bytes of the spec that this is about.
    #[serde(skip)]
    pub spot: Option<Range<usize>>,
}

impl Finding {
    /// A check of a measure against limits: ok inside them, `otherwise` outside.
    pub fn measured(
        check: impl Into<Check>,
        subject: impl Into<String>,
        measured: Measure,
        allowed: Limits,
        otherwise: Status,
    ) -> Finding {
        let status = if allowed.hold(measured.value()) { Status::Ok } else { otherwise };
        let plain = Finding::plain(check, subject, status);
        Finding { measured: Some(measured), allowed: Some(allowed), unit: measured.unit(), ..plain }
    }

    /// A check without a number.
    pub fn plain(check: impl Into<Check>, subject: impl Into<String>, status: Status) -> Finding {
        let id = check.into();
        Finding {
            theme: Theme::default(),
            box_name: None,
            id,
            check: id.title().into(),
            subject: subject.into(),
            status,
            measured: None,
            allowed: None,
            unit: "",
            source: String::new(),
            advice: String::new(),
            thickness: None,
            spot: None,
        }
    }

    /// What was checked, in words that name what it was made on.
    pub fn worded(mut self, check: impl Into<String>) -> Finding {
        self.check = check.into();
        self
    }

    pub fn theme(mut self, theme: Theme) -> Finding {
        self.theme = theme;
        self
    }

    pub fn source(mut self, source: impl Into<String>) -> Finding {
        self.source = source.into();
        self
    }

    pub fn advice(mut self, advice: impl Into<String>) -> Finding {
        self.advice = advice.into();
        self
    }

    /// Advice that is only given when the check did not come out ok.
    pub fn advice_unless_ok(self, advice: impl FnOnce() -> String) -> Finding {
        if self.status == Status::Ok { self } else { self.advice(advice()) }
    }

    /// The same where the advice says what was measured: in the figure that stands beside it.
    pub fn advice_on_measured(self, units: Units, advice: impl FnOnce(&str) -> String) -> Finding {
        let measured = self.figures(units).map_or_else(String::new, |(measured, _)| measured);
        self.advice_unless_ok(|| advice(&measured))
    }

    pub fn at(mut self, spot: Option<Range<usize>>) -> Finding {
        self.spot = spot;
        self
    }

    /// What was measured and what is allowed, for a person. What is not allowed is never shown with the figure of the limit: both
    /// then have as many digits as tell them apart. What is forgiven beyond a limit is shown as the limit.
    pub fn figures(&self, units: Units) -> Option<(String, String)> {
        /// More digits than anyone measures.
        const MOST: usize = 6;
        let (measured, allowed) = self.measured.zip(self.allowed)?;
        let alike = |more: usize| {
            let mut bounds = [allowed.least, allowed.most].into_iter().flatten();
            let shown = measured.finely(units, more);
            bounds.any(|bound| measured.like(bound).finely(units, more) == shown)
        };
        let kept = self.status == Status::Ok || allowed.hold(measured.value());
        let more = (0..MOST).find(|more| kept || !alike(*more)).unwrap_or(MOST);
        let shown = if kept && allowed.hold(measured.value()) {
            measured.like(allowed.nearest(measured.value()))
        } else {
            measured
        };
        Some((shown.finely(units, more), allowed.finely(measured, units, more)))
    }

    /// The finding where it refuses; nothing where what was measured is within its limits.
    pub fn if_refused(self) -> Option<Finding> {
        Some(self).filter(Finding::refused)
    }

    pub fn refused(&self) -> bool {
        self.status == Status::Refused
    }
}

/// Cautions that the spec accepts are counted from here on, and no longer shouted.
pub fn accept(findings: &mut [Finding], accepted: &[JobCheck]) {
    for finding in findings.iter_mut().filter(|finding| finding.status == Status::Caution) {
        let job_check = if let Check::Job(check) = finding.id { Some(check) } else { None };
        debug_assert!(
            job_check.is_none_or(JobCheck::may_be_a_caution),
            "{:?} is a caution, and in no list",
            finding.id
        );
        if job_check.is_some_and(|check| accepted.contains(&check)) {
            finding.status = Status::Accepted;
        }
    }
}

/// What is accepted, for a person: `2 cautions accepted by the spec: mouse-way-in`; `None` where nothing is.
pub fn accepted(findings: &[Finding]) -> Option<String> {
    let all: Vec<&Finding> = findings.iter().filter(|finding| finding.status == Status::Accepted).collect();
    let mut names: Vec<&str> = all.iter().map(|finding| finding.id.name()).collect();
    names.sort_unstable();
    names.dedup();
    (!all.is_empty()).then(|| format!("{} accepted by the spec: {}", counted(all.len(), "caution"), names.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An eighth of an inch is 3.175 mm; 3.16 mm is shown as an eighth, too.
    #[test]
    fn what_is_refused_is_not_shown_with_the_figure_of_its_limit() {
        let wood = |mm| {
            let (measured, limits) = (Measure::Length(mm), Limits::at_least(3.175));
            Finding::measured(JobCheck::HoleToEdge, "front", measured, limits, Status::Refused).figures(Units::Inches)
        };
        let shown = |a: &str, b: &str| Some((a.to_string(), b.to_string()));
        assert_eq!(wood(3.16), shown("0.124 in", "at least 0.125 in"));
        assert_eq!(wood(3.175), shown("1/8 in", "at least 1/8 in"));
        assert_eq!(wood(2.0), shown("3/32 in", "at least 1/8 in"));
    }

    proptest::proptest! {
        #[test]
        fn no_figure_is_that_of_the_limit_it_does_not_keep(limit in 0.0..3000.0f64, off in -1.0..1.0f64, which in 0..10usize) {
            let value = limit + off;
            let measure = [
                Measure::Length(value), Measure::Thickness(value), Measure::Area(value), Measure::Volume(value), Measure::Mass(value),
                Measure::Count(value), Measure::Angle(value), Measure::Speed(value), Measure::Feed(value), Measure::Seconds(value),
            ][which];
            for units in [Units::Millimetres, Units::Inches] {
                for (limits, words) in [(Limits::at_least(limit), "at least "), (Limits::at_most(limit), "at most ")] {
                    let finding = Finding::measured(JobCheck::HoleToEdge, "", measure, limits, Status::Refused);
                    let (is, may_be) = finding.figures(units).expect("it has both");
                    proptest::prop_assert!(finding.status == Status::Ok || format!("{words}{is}") != may_be, "{is}, {may_be}");
                }
            }
        }
    }

    #[test]
    fn a_measure_outside_its_limits_takes_the_given_status() {
        let finding = |mm| {
            Finding::measured(
                JobCheck::BeeSpaceEnds,
                "box",
                Measure::Length(mm),
                Limits::between(6.0, 9.5),
                Status::Refused,
            )
        };
        assert_eq!(finding(6.0).status, Status::Ok);
        assert_eq!(finding(9.6).status, Status::Refused);
    }
}
