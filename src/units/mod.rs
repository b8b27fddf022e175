//! Lengths as people write them: millimetres, inches, and fractions of an inch.
//!
//! Inside the program a length is an `f64` of millimetres. This module is the edge: it reads `"19 1/8 in"` and shows
//! 485.775 as `19 1/8 in`.

mod parse;

pub use parse::{NotALength, parse_length};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Millimetres in an inch, exactly (the international inch of 1959).
pub const INCH: f64 = 25.4;

/// Shop fractions go down to this part of an inch.
const FINEST: f64 = 32.0;

/// So much of a step is the noise of a sum.
const DUST: f64 = 1e-6;

/// What bare numbers mean, and what is shown back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Units {
    /// Millimetres, shown to a tenth.
    #[default]
    #[serde(rename = "mm")]
    Millimetres,
    /// Inches, shown as shop fractions to 1/32.
    #[serde(rename = "in")]
    Inches,
}

impl Units {
    /// Millimetres in one of these.
    pub fn in_mm(self) -> f64 {
        match self {
            Units::Millimetres => 1.0,
            Units::Inches => INCH,
        }
    }

    /// The unit's sign: `mm` or `in`.
    pub fn sign(self) -> &'static str {
        match self {
            Units::Millimetres => "mm",
            Units::Inches => "in",
        }
    }

    /// The unit in words: `millimetres`.
    pub fn name(self) -> &'static str {
        match self {
            Units::Millimetres => "millimetres",
            Units::Inches => "inches",
        }
    }

    /// A length in millimetres as a number in these units, without the sign: `485.8` or `19 1/8`.
    ///
    /// ```
    /// use nestwright::units::Units;
    /// assert_eq!(Units::Inches.number(485.775), "19 1/8");
    /// assert_eq!(Units::Millimetres.number(485.775), "485.8");
    /// ```
    pub fn number(self, mm: f64) -> String {
        match self {
            Units::Millimetres => decimal(evened(mm), 1),
            Units::Inches => shop_fraction(evened(mm) / INCH),
        }
    }

    /// The number of a length that is no longer, with so many digits more than usual: who does not go beyond what is shown does
    /// not go beyond the length.
    ///
    /// ```
    /// use nestwright::units::Units;
    /// assert_eq!(Units::Millimetres.number_below(21.38, 0), "21.3");
    /// assert_eq!(Units::Inches.number_below(25.3, 0), "31/32");
    /// assert_eq!(Units::Inches.number_below(25.3, 1), "0.996");
    /// ```
    pub fn number_below(self, mm: f64, more: u32) -> String {
        self.stepped(mm, more, |steps| (steps + DUST).floor())
    }

    /// The number of a length that is no shorter: who does not stay below what is shown does not stay below the length.
    pub fn number_above(self, mm: f64, more: u32) -> String {
        self.stepped(mm, more, |steps| (steps - DUST).ceil())
    }

    /// The number of a length with so many digits more than usual.
    pub fn number_finely(self, mm: f64, more: u32) -> String {
        if more == 0 { self.number(mm) } else { self.stepped(mm, more, f64::round) }
    }

    /// A length in whole steps: fractions of an inch, or decimals where more digits are wanted.
    fn stepped(self, mm: f64, more: u32, whole: impl Fn(f64) -> f64) -> String {
        match (self, more) {
            (Units::Millimetres, _) => {
                let steps = tenths(1 + more);
                decimal(whole(mm * steps) / steps, 1 + more as usize)
            }
            (Units::Inches, 0) => shop_fraction(whole(mm / INCH * FINEST) / FINEST),
            (Units::Inches, _) => {
                let steps = tenths(2 + more);
                decimal(whole(mm / INCH * steps) / steps, 2 + more as usize)
            }
        }
    }

    /// A length with its sign: `485.8 mm` or `19 1/8 in`.
    pub fn show(self, mm: f64) -> String {
        format!("{} {}", self.number(mm), self.sign())
    }

    /// A length as measured with calipers: two decimals of a millimetre, three of an inch.
    ///
    /// ```
    /// use nestwright::units::Units;
    /// assert_eq!(Units::Inches.measured(12.1), "0.476 in");
    /// ```
    pub fn measured(self, mm: f64) -> String {
        self.finely(mm, 0)
    }

    /// The same with so many decimals more.
    pub(crate) fn finely(self, mm: f64, more: usize) -> String {
        match self {
            Units::Millimetres => format!("{} mm", decimal(evened(mm), 2 + more)),
            Units::Inches => format!("{} in", decimal(evened(mm) / INCH, 3 + more)),
        }
    }
}

impl fmt::Display for Units {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(self.sign())
    }
}

/// Rounded the same way wherever the arithmetic came from: half a digit that lost a nanometre underway is still half.
fn evened(mm: f64) -> f64 {
    mm + 1e-7_f64.copysign(mm)
}

/// Steps in one, of so many decimals.
fn tenths(decimals: u32) -> f64 {
    (0..decimals).fold(1.0, |steps, _| steps * 10.0)
}

/// A number with at most `places` decimals and no trailing zeros.
pub fn decimal(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.into() }
}

/// Inches as a whole number and a reduced fraction, to the nearest 1/32.
fn shop_fraction(inches: f64) -> String {
    let parts = (inches.abs() * FINEST).round();
    let sign = if inches < 0.0 && parts > 0.0 { "-" } else { "" };
    let (whole, mut over) = ((parts / FINEST).floor(), parts % FINEST);
    let mut under = FINEST;
    if over == 0.0 {
        return format!("{sign}{whole}");
    }
    while over % 2.0 == 0.0 {
        over /= 2.0;
        under /= 2.0;
    }
    if whole == 0.0 { format!("{sign}{over}/{under}") } else { format!("{sign}{whole} {over}/{under}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shows_shop_fractions_reduced() {
        let shown = |inches: f64| Units::Inches.number(inches * INCH);
        assert_eq!(shown(19.125), "19 1/8");
        assert_eq!(shown(0.75), "3/4");
        assert_eq!(shown(10.0), "10");
        assert_eq!(shown(31.0 / 32.0), "31/32");
        assert_eq!(shown(0.999), "1");
        assert_eq!(shown(-0.001), "0");
        assert_eq!(shown(-1.5), "-1 1/2");
        assert_eq!(Units::Millimetres.number(-0.01), "0");
    }

    /// 10 1/4 in are 260.35 mm, whichever sum it comes out of.
    #[test]
    fn one_length_is_shown_one_way() {
        for mm in [260.35, 1204.15 - 943.8, 260.350_000_000_02, 260.349_999_999_9] {
            assert_eq!(Units::Millimetres.number(mm), "260.4", "{mm:?}");
            assert_eq!(Units::Millimetres.number(-mm), "-260.4", "{mm:?}");
        }
        for inches in [1.0 / 64.0, 1.0 / 64.0 - 1e-12] {
            assert_eq!(Units::Inches.number(inches * INCH), "1/32");
        }
        assert_eq!(Units::Inches.measured(0.4725 * INCH - 1e-9), "0.473 in");
    }

    proptest::proptest! {
        /// A limit that is rounded is kept by who keeps to what is shown, whatever the digits.
        #[test]
        fn a_length_shown_as_a_limit_is_on_its_own_side(mm in 0.0..5000.0f64, more in 0..3u32) {
            for (units, step) in [(Units::Millimetres, 0.1), (Units::Inches, INCH / FINEST)] {
                let read = |text: String| parse_length(&text, units).expect("its own output");
                let (below, above) = (read(units.number_below(mm, more)), read(units.number_above(mm, more)));
                proptest::prop_assert!(below <= mm + 1e-5 && above >= mm - 1e-5 && above - below < step + 1e-4);
            }
        }

        /// What is shown can be read back, and differs by no more than half the last digit shown.
        #[test]
        fn showing_loses_at_most_half_the_last_digit(mm in 0.0..5000.0f64) {
            for (units, finest) in [(Units::Millimetres, 0.1), (Units::Inches, INCH / FINEST)] {
                let back = parse_length(&units.show(mm), Units::Millimetres).expect("its own output");
                proptest::prop_assert!((back - mm).abs() <= finest / 2.0 + 1e-6);
            }
        }
    }
}
