//! Sizes of paper that drawings and templates are printed on.

use crate::units::Units;

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    A4,
    A3,
    Letter,
    Tabloid,
}

impl Paper {
    /// What a maker who uses these units most likely has in the printer.
    pub fn usual(units: Units) -> Paper {
        match units {
            Units::Millimetres => Paper::A4,
            Units::Inches => Paper::Letter,
        }
    }

    /// Its shorter and its longer side, millimetres: A4 and A3 by ISO 216; Letter is 8 1/2 × 11 in and Tabloid 11 × 17 in
    /// (ANSI/ASME Y14.1, sizes A and B).
    pub fn sides(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::A3 => (297.0, 420.0),
            Paper::Letter => (215.9, 279.4),
            Paper::Tabloid => (279.4, 431.8),
        }
    }

    /// What it is called: `A4`, `Letter`.
    pub fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::A3 => "A3",
            Paper::Letter => "Letter",
            Paper::Tabloid => "Tabloid",
        }
    }

    /// Is it one of the American sizes?
    pub fn american(self) -> bool {
        matches!(self, Paper::Letter | Paper::Tabloid)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 216: sides in the ratio 1 : √2 to the millimetre, and A3 is two A4 side by side.
    #[test]
    fn iso_sizes_halve_into_each_other() {
        let ((short, long), (half, whole)) = (Paper::A4.sides(), Paper::A3.sides());
        assert_eq!((long, 2.0 * short), (half, whole));
        for (short, long) in [(short, long), (half, whole)] {
            assert!((long - short * 2f64.sqrt()).abs() < 1.0);
        }
    }
}
