//! Lengths as people write them: millimetres, inches, and fractions of an inch.
//!
//! Inside the program a length is an `f64` of millimetres. This module is the edge: it reads `"19 1/8 in"` and shows
//! 485.775 as `19 1/8 in`.

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

/// Why a text is not a length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotALength {
    /// Byte offset in the text where reading stopped.
    pub at: usize,
    /// What would have been right there.
    pub expected: &'static str,
}

impl fmt::Display for NotALength {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "expected {}", self.expected)
    }
}

impl std::error::Error for NotALength {}

/// Reads a length, in millimetres: decimals and fractions, with or without a unit; without one, `bare` is meant.
///
/// A fraction follows its whole number after a space or a hyphen. Several lengths with units add up, so `8 ft 4 in`
/// works.
///
/// # Errors
/// When the text is not such a length, or its value is not a finite number.
///
/// ```
/// use nestwright::units::{parse_length, Units};
/// assert_eq!(parse_length("1-1/2\"", Units::Millimetres), Ok(38.1));
/// assert_eq!(parse_length("3/4", Units::Inches), Ok(19.05));
/// assert!(parse_length("12,1 mm", Units::Millimetres).is_err());
/// ```
pub fn parse_length(text: &str, bare: Units) -> Result<f64, NotALength> {
    let mut read = Reader { text, at: 0 };
    read.spaces();
    let negative = read.take(|c| c == '-' || c == '−').is_some();
    read.spaces();
    let mut total = 0.0;
    let mut terms = 0;
    loop {
        let inches_ok = read.at;
        let (value, fraction) = read.quantity()?;
        read.spaces();
        let unit = read.unit()?;
        if fraction && unit.is_some_and(|mm| mm != INCH && mm != 12.0 * INCH) {
            return Err(NotALength { at: inches_ok, expected: "a decimal number: fractions are for inches" });
        }
        read.spaces();
        let last = read.rest().is_empty();
        if unit.is_none() && (!last || terms > 0) {
            return Err(NotALength { at: read.at, expected: "a unit: mm, cm, m, in or ft" });
        }
        total += value * unit.unwrap_or(bare.in_mm());
        terms += 1;
        if last {
            break;
        }
    }
    let total = if negative { -total } else { total };
    // A value that came through inches keeps at most a nanometre: that drops the noise of the conversion.
    let total = (total * 1e6).round() / 1e6;
    if total.is_finite() { Ok(total) } else { Err(NotALength { at: 0, expected: "a length that can be built" }) }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn take(&mut self, wanted: impl Fn(char) -> bool) -> Option<char> {
        let found = self.rest().chars().next().filter(|&c| wanted(c))?;
        self.at += found.len_utf8();
        Some(found)
    }

    fn spaces(&mut self) {
        while self.take(|c| c == ' ' || c == '\t' || c == '\u{a0}').is_some() {}
    }

    fn fail<T>(&self, expected: &'static str) -> Result<T, NotALength> {
        Err(NotALength { at: self.at, expected })
    }

    fn digits(&mut self) -> &'a str {
        let start = self.at;
        while self.take(|c| c.is_ascii_digit()).is_some() {}
        &self.text[start..self.at]
    }

    /// A number: `12`, `12.1`, `3/4`, `19 1/8`, `19-1/8`, `19⅛`. Tells whether a fraction was used.
    fn quantity(&mut self) -> Result<(f64, bool), NotALength> {
        let start = self.at;
        if let Some(value) = self.vulgar() {
            return Ok((value, true));
        }
        let whole = self.digits();
        if self.take(|c| c == ',').is_some() {
            self.at -= 1;
            return self.fail("a decimal point, not a comma");
        }
        let point = self.take(|c| c == '.').is_some();
        let decimals = if point { self.digits() } else { "" };
        if whole.is_empty() && decimals.is_empty() {
            self.at = start;
            return self.fail("a number such as 12.1 or 19 1/8");
        }
        let value = self.text[start..self.at].trim_end_matches('.').parse::<f64>();
        let Ok(value) = value else { return self.fail("a number such as 12.1 or 19 1/8") };
        if point {
            return Ok((value, false));
        }
        if let Some(over) = self.over()? {
            return Ok((value / over, true));
        }
        if let Some(more) = self.vulgar() {
            return Ok((value + more, true));
        }
        // A space or a hyphen, digits and a bar: the fraction that goes with the whole number.
        let mark = self.at;
        if self.take(|c| c == ' ' || c == '-' || c == '\u{a0}').is_some() {
            if let Some(more) = self.vulgar() {
                return Ok((value + more, true));
            }
            let top = self.digits();
            if let (Ok(top), Some(over)) = (top.parse::<f64>(), self.over()?) {
                return Ok((value + top / over, true));
            }
        }
        self.at = mark;
        Ok((value, false))
    }

    /// The bar and lower number of a fraction.
    fn over(&mut self) -> Result<Option<f64>, NotALength> {
        if self.take(|c| c == '/' || c == '⁄').is_none() {
            return Ok(None);
        }
        match self.digits().parse::<f64>() {
            Ok(over) if over > 0.0 => Ok(Some(over)),
            _ => self.fail("the lower number of the fraction, not zero"),
        }
    }

    fn vulgar(&mut self) -> Option<f64> {
        const SIGNS: [(char, f64); 7] =
            [('½', 0.5), ('¼', 0.25), ('¾', 0.75), ('⅛', 0.125), ('⅜', 0.375), ('⅝', 0.625), ('⅞', 0.875)];
        let sign = self.take(|c| SIGNS.iter().any(|(s, _)| *s == c))?;
        SIGNS.iter().find(|(s, _)| *s == sign).map(|(_, value)| *value)
    }

    /// Millimetres in the unit that comes next, if there is one.
    fn unit(&mut self) -> Result<Option<f64>, NotALength> {
        const NAMES: [(&str, f64); 16] = [
            ("mm", 1.0),
            ("millimetres", 1.0),
            ("millimeters", 1.0),
            ("cm", 10.0),
            ("m", 1000.0),
            ("in", INCH),
            ("inch", INCH),
            ("inches", INCH),
            ("\"", INCH),
            ("″", INCH),
            ("”", INCH),
            ("ft", 12.0 * INCH),
            ("foot", 12.0 * INCH),
            ("feet", 12.0 * INCH),
            ("'", 12.0 * INCH),
            ("′", 12.0 * INCH),
        ];
        let start = self.at;
        if self.take(|c| "\"″”'′".contains(c)).is_none() {
            while self.take(char::is_alphabetic).is_some() {}
        }
        let name = &self.text[start..self.at];
        if name.is_empty() {
            return Ok(None);
        }
        match NAMES.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)) {
            Some((_, mm)) => Ok(Some(*mm)),
            None => {
                self.at = start;
                self.fail("a unit: mm, cm, m, in or ft")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_makers_write() {
        let mm = |text| parse_length(text, Units::Millimetres).map(|v| (v * 1e4).round() / 1e4);
        for (text, expected) in [
            ("12.1 mm", 12.1),
            ("12.1", 12.1),
            (".5", 0.5),
            ("19 1/8 in", 485.775),
            ("19-1/8 in", 485.775),
            ("19⅛\"", 485.775),
            ("1-1/2\"", 38.1),
            ("3/4 in", 19.05),
            ("¾ in", 19.05),
            ("2.44 m", 2440.0),
            ("8 ft", 2438.4),
            ("8 ft 4 in", 2540.0),
            ("4' 1/2\"", 1231.9),
            ("-3 mm", -3.0),
            ("  7  ", 7.0),
        ] {
            assert_eq!(mm(text), Ok(expected), "{text}");
        }
        assert_eq!(parse_length("3/4", Units::Inches), Ok(19.05));
    }

    #[test]
    fn refuses_the_rest_and_points_at_it() {
        for (text, at) in [
            ("", 0),
            ("wide", 0),
            ("12,1 mm", 2),
            ("12 furlongs", 3),
            ("3/0 in", 3),
            ("3/4 mm", 0),
            ("1 2 3", 2),
            ("12mm 5", 6),
            ("NaN", 0),
            ("1e400", 1),
        ] {
            let error = parse_length(text, Units::Millimetres).expect_err(text);
            assert_eq!(error.at, at, "{text}: {error}");
        }
        assert!(parse_length(&"9".repeat(400), Units::Millimetres).is_err());
    }

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

        #[test]
        fn any_text_is_read_or_refused_without_panic(text in "\\PC{0,40}") {
            let _ = parse_length(&text, Units::Inches);
        }
    }
}
