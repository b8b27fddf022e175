//! One type for the result of every check.

mod check;

pub use check::{Check, JobCheck, ProgramCheck};

use crate::units::{INCH, Units, decimal};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use std::borrow::Cow;
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
            Theme::Weight => "Weight",
            Theme::Cost => "Cost",
            Theme::Making => "Making",
        }
    }
}

/// Litres.
const CUBIC_FOOT: f64 = 28.316_846_592;

/// A measured value, in the unit named by its variant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// Millimetres.
    Length(f64),
    /// Millimetres of a board, shown as calipers show it.
    Thickness(f64),
    /// Square millimetres.
    Area(f64),
    /// Litres.
    Volume(f64),
    /// Kilograms.
    Mass(f64),
    Count(f64),
    /// Degrees.
    Angle(f64),
    /// Revolutions per minute.
    Speed(f64),
    /// Millimetres per minute.
    Feed(f64),
    Seconds(f64),
}

impl Measure {
    /// The number alone.
    pub fn value(self) -> f64 {
        match self {
            Measure::Length(v)
            | Measure::Thickness(v)
            | Measure::Area(v)
            | Measure::Volume(v)
            | Measure::Mass(v)
            | Measure::Count(v)
            | Measure::Angle(v)
            | Measure::Speed(v)
            | Measure::Feed(v)
            | Measure::Seconds(v) => v,
        }
    }

    /// The unit that goes with [`Measure::value`].
    pub fn unit(self) -> &'static str {
        match self {
            Measure::Length(_) | Measure::Thickness(_) => "mm",
            Measure::Area(_) => "mm²",
            Measure::Volume(_) => "l",
            Measure::Mass(_) => "kg",
            Measure::Count(_) => "",
            Measure::Angle(_) => "°",
            Measure::Speed(_) => "rev/min",
            Measure::Feed(_) => "mm/min",
            Measure::Seconds(_) => "s",
        }
    }

    /// For a person, in their units.
    pub fn show(self, units: Units) -> String {
        self.finely(units, 0)
    }

    /// The same with so many digits more than usual.
    fn finely(self, units: Units, more: usize) -> String {
        match (self, units) {
            (Measure::Length(mm), _) if !fine(mm, units) => match more {
                0 => units.show(mm),
                more => units.finely(mm, more - 1),
            },
            (Measure::Length(mm) | Measure::Thickness(mm), _) => units.finely(mm, more),
            (Measure::Area(a), Units::Millimetres) => format!("{} cm²", decimal(a / 100.0, 1 + more)),
            (Measure::Area(a), Units::Inches) => format!("{} sq in", decimal(a / 645.16, 2 + more)),
            (Measure::Volume(l), Units::Millimetres) => format!("{} l", decimal(l, 1 + more)),
            // A nest box in cubic inches, a hive in cubic feet.
            (Measure::Volume(l), Units::Inches) if l < 0.5 * CUBIC_FOOT => {
                format!("{} cu in", decimal(l / CUBIC_FOOT * 1728.0, more))
            }
            (Measure::Volume(l), Units::Inches) => format!("{} cu ft", decimal(l / CUBIC_FOOT, 2 + more)),
            (Measure::Mass(kg), Units::Millimetres) => format!("{} kg", decimal(kg, 1 + more)),
            (Measure::Mass(kg), Units::Inches) => format!("{} lb", decimal(kg * 2.204_62, 1 + more)),
            (Measure::Count(n), _) => decimal(n, 2 + more),
            (Measure::Angle(degrees), _) => format!("{}°", decimal(degrees, 1 + more)),
            (Measure::Speed(speed), _) => format!("{} rev/min", decimal(speed, more)),
            (Measure::Feed(feed), units) => format!("{} {}/min", decimal(feed / units.in_mm(), more), units.sign()),
            (Measure::Seconds(seconds), _) => format!("{} s", decimal(seconds, 1 + more)),
        }
    }

    fn like(self, value: f64) -> Measure {
        match self {
            Measure::Length(_) => Measure::Length(value),
            Measure::Thickness(_) => Measure::Thickness(value),
            Measure::Area(_) => Measure::Area(value),
            Measure::Volume(_) => Measure::Volume(value),
            Measure::Mass(_) => Measure::Mass(value),
            Measure::Count(_) => Measure::Count(value),
            Measure::Angle(_) => Measure::Angle(value),
            Measure::Speed(_) => Measure::Speed(value),
            Measure::Feed(_) => Measure::Feed(value),
            Measure::Seconds(_) => Measure::Seconds(value),
        }
    }
}

/// Is a length too small for the digits that lengths are shown with?
fn fine(mm: f64, units: Units) -> bool {
    mm.abs()
        < match units {
            Units::Millimetres => 1.0,
            Units::Inches => INCH / 64.0,
        }
}

/// A bare number, in the unit of [`Measure::unit`].
impl JsonSchema for Measure {
    fn schema_name() -> Cow<'static, str> {
        "Measure".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number", "description": "In millimetres, mm², litres, kilograms, or a bare count." })
    }
}

impl Serialize for Measure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64((self.value() * 1000.0).round() / 1000.0)
    }
}

/// What a measure may be, both ends included; an end left out is open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Limits {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
}

impl Limits {
    pub fn between(least: f64, most: f64) -> Limits {
        Limits { least: Some(least), most: Some(most) }
    }

    pub fn at_least(least: f64) -> Limits {
        Limits { least: Some(least), most: None }
    }

    pub fn at_most(most: f64) -> Limits {
        Limits { least: None, most: Some(most) }
    }

    /// Does the value keep the limits? A hundredth of a millimetre beyond them still does.
    pub fn hold(&self, value: f64) -> bool {
        const SLACK: f64 = 0.01;
        self.least.is_none_or(|least| value >= least - SLACK) && self.most.is_none_or(|most| value <= most + SLACK)
    }

    /// For a person: `6 to 9.5 mm`, `at least 12 mm`.
    pub fn show(&self, like: Measure, units: Units) -> String {
        self.finely(like, units, 0)
    }

    fn finely(&self, like: Measure, units: Units, more: usize) -> String {
        let shown = |value: f64| like.like(value).finely(units, more);
        match (self.least, self.most) {
            (Some(least), Some(most)) => {
                let (least, most) = (shown(least), shown(most));
                // The unit is said once.
                let sign = if like.unit().is_empty() { "" } else { most.rsplit_once(' ').map_or("", |(_, sign)| sign) };
                if least == most {
                    return most;
                }
                format!("{} to {most}", least.strip_suffix(sign).unwrap_or(&least).trim_end())
            }
            (Some(least), None) => format!("at least {}", shown(least)),
            (None, Some(most)) => format!("at most {}", shown(most)),
            (None, None) => "any".into(),
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

    pub fn at(mut self, spot: Option<Range<usize>>) -> Finding {
        self.spot = spot;
        self
    }

    /// What was measured and what is allowed, for a person. What is not allowed is never shown with the figure of the limit: both
    /// then have as many digits as tell them apart.
    pub fn figures(&self, units: Units) -> Option<(String, String)> {
        /// More digits than anyone measures.
        const MOST: usize = 6;
        let (measured, allowed) = self.measured.zip(self.allowed)?;
        let alike = |more: usize| {
            let bounds = [allowed.least, allowed.most].into_iter().flatten();
            let shown = measured.finely(units, more);
            bounds.into_iter().any(|bound| measured.like(bound).finely(units, more) == shown)
        };
        let kept = self.status == Status::Ok || allowed.hold(measured.value());
        let more = (0..MOST).find(|more| kept || !alike(*more)).unwrap_or(MOST);
        Some((measured.finely(units, more), allowed.finely(measured, units, more)))
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
    let plural = if all.len() == 1 { "" } else { "s" };
    (!all.is_empty()).then(|| format!("{} caution{plural} accepted by the spec: {}", all.len(), names.join(", ")))
}

/// A measure of a program, and where in it that is worst.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Measured {
    #[serde(flatten)]
    pub finding: Finding,
    /// Line of the program, from 1.
    pub line: Option<usize>,
    /// On the sheet, in millimetres; z = 0 on its upper face.
    pub at: Option<[f64; 3]>,
}

impl Measured {
    /// For a person: `6 mm, allowed at most 0.02 mm; side, at X 744.6 Y 683.2 Z -12.1, line 2095`.
    pub fn told(&self, units: Units) -> String {
        let mut told = String::new();
        if let Some((measured, allowed)) = self.finding.figures(units) {
            told = format!("{measured}, allowed {allowed}");
        }
        let place = [self.finding.subject.clone(), self.place(units), self.line_number()];
        let place: Vec<String> = place.into_iter().filter(|it| !it.is_empty()).collect();
        if place.is_empty() { told } else { format!("{told}; {}", place.join(", ")) }
    }

    /// `at X 744.6 Y 683.2 Z -12.1`, Z counted from the sheet's upper face; empty where it has no place.
    pub fn place(&self, units: Units) -> String {
        let Some([x, y, z]) = self.at else { return String::new() };
        let digits = if units == Units::Inches { 3 } else { 1 };
        let shown = |mm: f64| decimal(mm / units.in_mm(), digits);
        format!("at X {} Y {} Z {}", shown(x), shown(y), shown(z))
    }

    /// `line 2095`, or nothing.
    pub fn line_number(&self) -> String {
        self.line.map_or(String::new(), |line| format!("line {line}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_finer_than_the_digits_of_lengths_is_not_shown_as_nothing() {
        let chip = Measure::Length(0.127);
        assert_eq!(chip.show(Units::Millimetres), "0.13 mm");
        assert_eq!(chip.show(Units::Inches), "0.005 in");
        assert_eq!(Limits::between(0.1524, 0.2286).show(chip, Units::Inches), "0.006 to 0.009 in");
        assert_eq!(Measure::Length(0.0).show(Units::Inches), "0 in");
        assert_eq!(Measure::Length(12.0).show(Units::Millimetres), "12 mm");
    }

    #[test]
    fn limits_are_shown_with_the_unit_once() {
        let bee_space = Limits::between(6.0, 9.5);
        assert_eq!(bee_space.show(Measure::Length(0.0), Units::Millimetres), "6 to 9.5 mm");
        assert_eq!(Limits::at_least(12.7).show(Measure::Length(0.0), Units::Inches), "at least 1/2 in");
    }

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
