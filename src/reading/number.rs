//! Numbers and lengths of a table, within limits.

use super::table::{Table, shortened};
use super::{Key, Takes, any_of};
use crate::units::{Units, decimal, parse_length};
use std::fmt::Write;
use std::ops::RangeInclusive;
use toml::Spanned;
use toml::de::DeValue;

/// Values longer than this are no lengths of wood (mm): two hundred metres.
const LONGEST: f64 = 200_000.0;

impl Table<'_> {
    /// A plain number, within the key's limits.
    pub fn number(&self, key: &Key) -> Option<f64> {
        let (key, within) = (key.name, limits(key));
        let entry = self.entry(key)?;
        match bare_number(entry.get_ref()) {
            Some(value) if within.contains(&value) => Some(value),
            _ => {
                self.wrong(key, entry.span(), format!("a number from {} to {}", within.start(), within.end()));
                None
            }
        }
    }

    /// Plain numbers, each within the key's limits, exactly `N` of them.
    pub fn numbers<const N: usize>(&self, key: &Key) -> Option<[f64; N]> {
        let (key, within) = (key.name, limits(key));
        let entry = self.entry(key)?;
        let values: Option<Vec<f64>> = entry.get_ref().as_array().and_then(|array| {
            array.iter().map(|item| bare_number(item.get_ref()).filter(|value| within.contains(value))).collect()
        });
        let values = values.and_then(|values| <[f64; N]>::try_from(values).ok());
        if values.is_none() {
            let expected = format!("{N} numbers from {} to {} in brackets", within.start(), within.end());
            self.wrong(key, entry.span(), expected);
        }
        values
    }

    /// A whole number, within the key's limits.
    pub fn whole(&self, key: &Key) -> Option<u32> {
        let within = limits(key);
        self.whole_within(key.name, *within.start() as u32..=*within.end() as u32)
    }

    /// A whole number within limits that its key alone does not tell.
    pub fn whole_within(&self, key: &str, within: RangeInclusive<u32>) -> Option<u32> {
        let entry = self.entry(key)?;
        let value = match entry.get_ref() {
            DeValue::Integer(_) => bare_number(entry.get_ref()),
            _ => None,
        };
        match value {
            Some(value) if value >= f64::from(*within.start()) && value <= f64::from(*within.end()) => {
                Some(value as u32)
            }
            _ => {
                self.wrong(key, entry.span(), format!("a whole number from {} to {}", within.start(), within.end()));
                None
            }
        }
    }

    /// Whole numbers in brackets, at least `least` of them.
    pub fn wholes_within(&self, key: &str, least: usize, within: RangeInclusive<u32>) -> Option<Vec<u32>> {
        let entry = self.entry(key)?;
        let whole = |item: &Spanned<DeValue>| {
            let number = bare_number(item.get_ref()).filter(|number| number.fract() == 0.0)?;
            let number = number as i64;
            u32::try_from(number).ok().filter(|number| within.contains(number))
        };
        let list = entry.get_ref().as_array().filter(|array| array.len() >= least);
        let numbers: Option<Vec<u32>> = list.and_then(|array| array.iter().map(whole).collect());
        if numbers.is_none() {
            let (from, to) = (within.start(), within.end());
            self.wrong(key, entry.span(), format!("at least {least} whole numbers from {from} to {to}, in brackets"));
        }
        numbers
    }

    /// A length in millimetres, within the key's limits.
    pub fn length(&self, key: &Key) -> Option<f64> {
        self.length_in(key.name, self.entry(key.name)?, &limits(key))
    }

    /// Exactly `N` lengths in brackets, each within the key's limits.
    pub fn lengths<const N: usize>(&self, key: &Key) -> Option<[f64; N]> {
        self.lengths_within(key, limits(key))
    }

    /// The same, within closer limits.
    pub fn lengths_within<const N: usize>(&self, key: &Key, within: RangeInclusive<f64>) -> Option<[f64; N]> {
        let key = key.name;
        let entry = self.entry(key)?;
        let Some(array) = entry.get_ref().as_array().filter(|array| array.len() == N) else {
            self.wrong(key, entry.span(), format!("{N} lengths in brackets"));
            return None;
        };
        let lengths: Vec<Option<f64>> = array.iter().map(|item| self.length_in(key, item, &within)).collect();
        <[f64; N]>::try_from(lengths.into_iter().collect::<Option<Vec<_>>>()?).ok()
    }

    fn length_in(&self, key: &str, entry: &Spanned<DeValue>, within: &RangeInclusive<f64>) -> Option<f64> {
        let units = self.desk.units();
        let value = match entry.get_ref() {
            DeValue::String(text) => match parse_length(text, units) {
                Ok(mm) => Some(mm),
                Err(why) => {
                    // The opening quote is one byte; escapes only make the place a little early.
                    let at = (entry.span().start + 1 + why.at).min(entry.span().end.saturating_sub(1));
                    self.desk.problem(
                        at..entry.span().end.saturating_sub(1).max(at),
                        format!("`{key}` cannot be `{}`: not a length", shortened(text)),
                        why.to_string(),
                        "lengths are written 12.1, \"12.1 mm\", \"19 1/8 in\" or \"3/4\"",
                    );
                    return None;
                }
            },
            value => bare_number(value).map(|number| number * units.in_mm()),
        };
        match value {
            Some(mm) if within.contains(&mm) && mm.abs() <= LONGEST => Some(mm),
            Some(_) => {
                let expected = format!("a length {}", show_range(within, units));
                self.wrong_but(key, entry.span(), expected, in_other_units(entry.get_ref(), within, units));
                None
            }
            None => {
                self.wrong(key, entry.span(), "a length, such as 12.1 or \"19 1/8 in\"");
                None
            }
        }
    }

    /// A length; where it is left out, the key's own.
    pub fn mm(&self, key: &Key) -> f64 {
        self.length(key).unwrap_or(key.mm())
    }

    /// A whole number; where it is left out, the key's own.
    pub fn count(&self, key: &Key) -> u32 {
        self.whole(key).unwrap_or(key.count())
    }

    /// Two lengths; where they are left out, the key's own.
    pub fn pair(&self, key: &Key) -> [f64; 2] {
        self.lengths(key).unwrap_or(key.pair())
    }

    /// One of a few words, or a length within limits.
    pub fn word_or_length<T: Copy>(
        &self,
        key: &str,
        words: &[(&str, T)],
        within: RangeInclusive<f64>,
    ) -> Option<Result<T, f64>> {
        let entry = self.entry(key)?;
        if let DeValue::String(text) = entry.get_ref()
            && text.starts_with(char::is_alphabetic)
        {
            let found = words.iter().find(|(word, _)| *word == text.as_ref());
            if found.is_none() {
                let words = any_of(words.iter().map(|(word, _)| *word));
                self.wrong(key, entry.span(), format!("{words}, or a length"));
            }
            return found.map(|(_, value)| Ok(*value));
        }
        if !matches!(entry.get_ref(), DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_)) {
            let words = any_of(words.iter().map(|(word, _)| *word));
            self.wrong(key, entry.span(), format!("{words}, or a length"));
            return None;
        }
        self.length_in(key, entry, &within).map(Err)
    }
}

/// From where to where the key's values go; anywhere for one that has no such values.
fn limits(key: &Key) -> RangeInclusive<f64> {
    match key.takes {
        Takes::Length(least, most)
        | Takes::Lengths(_, least, most)
        | Takes::Number(least, most)
        | Takes::Numbers(_, least, most) => least..=most,
        Takes::Whole(least, most) => f64::from(least)..=f64::from(most),
        _ => {
            debug_assert!(false, "`{}` is declared to take {}, and read as a number", key.name, key.takes.say());
            f64::MIN..=f64::MAX
        }
    }
}

/// For a length that is told without a unit and would be right in the other one: how that is written. Empty for any other.
fn in_other_units(value: &DeValue, within: &RangeInclusive<f64>, units: Units) -> String {
    let other = if units == Units::Inches { Units::Millimetres } else { Units::Inches };
    let (written, mm) = match value {
        DeValue::String(text) => match [units, other].map(|bare| parse_length(text, bare)) {
            [Ok(own), Ok(mm)] if own != mm => (text.trim().to_string(), mm),
            _ => return String::new(),
        },
        value => match bare_number(value) {
            Some(number) => (decimal(number, 6), number * other.in_mm()),
            None => return String::new(),
        },
    };
    if mm <= 0.0 || !within.contains(&mm) {
        return String::new();
    }
    format!("without a unit it is in {}: did you mean \"{written} {}\"?", units.name(), other.sign())
}

fn bare_number(value: &DeValue) -> Option<f64> {
    let number = match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse::<f64>().ok()?,
        DeValue::Float(f) => f.as_str().parse::<f64>().ok()?,
        _ => return None,
    };
    number.is_finite().then_some(number)
}

fn show_range(within: &RangeInclusive<f64>, units: Units) -> String {
    let mut text = String::new();
    let (least, most) = (*within.start(), *within.end());
    let _ = match (least.is_finite(), most.is_finite()) {
        // What shows as nothing is something all the same.
        (true, true) if least > 0.0 && units.show(least) == units.show(0.0) => {
            write!(text, "more than 0: from {} to {}", in_full(least, units), units.show(most))
        }
        (true, true) => write!(text, "from {} to {}", units.show(least), units.show(most)),
        (true, false) => write!(text, "of at least {}", units.show(least)),
        _ => write!(text, "of at most {}", units.show(most)),
    };
    text
}

/// A length too short for the usual decimals.
fn in_full(mm: f64, units: Units) -> String {
    format!("{} {}", decimal(mm / units.in_mm(), 5), units.sign())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_length_that_is_right_in_the_other_unit_is_asked_about() {
        let asked = |text: &str, units| in_other_units(&DeValue::String(text.to_string().into()), &(2.0..=80.0), units);
        let meant = "without a unit it is in millimetres: did you mean \"15/32 in\"?";
        assert_eq!(asked("15/32", Units::Millimetres), meant);
        let meant = "without a unit it is in inches: did you mean \"12.1 mm\"?";
        assert_eq!(asked(" 12.1", Units::Inches), meant);
        // It has a unit, or would be as wrong.
        for (text, units) in [("1 mm", Units::Millimetres), ("0.01", Units::Millimetres), ("900", Units::Inches)] {
            assert_eq!(asked(text, units), "", "{text}");
        }
    }
}
