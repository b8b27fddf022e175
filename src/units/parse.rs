//! Lengths read: decimals and fractions, with and without units.

use super::{INCH, Units};
use std::fmt;

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

    proptest::proptest! {
        #[test]
        fn any_text_is_read_or_refused_without_panic(text in "\\PC{0,40}") {
            let _ = parse_length(&text, Units::Inches);
        }
    }
}
