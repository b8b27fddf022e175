//! What was measured of a program, and where in it.

use super::Finding;
use crate::units::{Units, decimal};
use schemars::JsonSchema;
use serde::Serialize;

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
