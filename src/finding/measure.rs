//! A measured value with its unit, and what it may be.

use crate::units::{INCH, Units, decimal};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use std::borrow::Cow;

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
    pub(super) fn finely(self, units: Units, more: usize) -> String {
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

    pub(super) fn like(self, value: f64) -> Measure {
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

    /// The nearest value that is within the limits, without slack.
    pub(super) fn nearest(&self, value: f64) -> f64 {
        let up = value.max(self.least.unwrap_or(f64::NEG_INFINITY));
        up.min(self.most.unwrap_or(f64::INFINITY))
    }

    /// For a person: `6 to 9.5 mm`, `at least 12 mm`.
    pub fn show(&self, like: Measure, units: Units) -> String {
        self.finely(like, units, 0)
    }

    pub(super) fn finely(&self, like: Measure, units: Units, more: usize) -> String {
        let shown = |value: f64| like.like(value).finely(units, more);
        match (self.least, self.most) {
            (Some(least), Some(most)) => {
                let (least, most) = (shown(least), shown(most));
                // The unit is said once.
                let sign = most.trim_start_matches(|c: char| c.is_ascii_digit() || " ./-".contains(c));
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
        assert_eq!(Limits::between(1000.0, 1500.0).show(Measure::Area(0.0), Units::Inches), "1.55 to 2.33 sq in");
        assert_eq!(Limits::between(36.0, 44.0).show(Measure::Volume(0.0), Units::Inches), "1.27 to 1.55 cu ft");
        assert_eq!(Limits::between(2.0, 25.5).show(Measure::Angle(0.0), Units::Inches), "2 to 25.5°");
        assert_eq!(Limits::at_least(12.7).show(Measure::Length(0.0), Units::Inches), "at least 1/2 in");
    }
}
