//! Values drawn for keys, and written as people write them.

use super::chance::Chance;
use std::collections::BTreeMap;
use std::fmt::{Display, Write};

pub const INCH: f64 = 25.4;

/// What a key's reader allows, and what people mostly give it.
#[derive(Clone, Copy, Debug)]
pub struct Span {
    least: f64,
    most: f64,
    low: f64,
    high: f64,
}

impl Span {
    /// All that the reader allows.
    pub fn of(least: f64, most: f64) -> Span {
        Span { least, most, low: least, high: most }
    }

    /// Mostly from here to there, both of which are drawn more often than what lies between.
    pub fn mostly(self, low: f64, high: f64) -> Span {
        let low = low.clamp(self.least, self.most);
        Span { low, high: high.clamp(low, self.most), ..self }
    }
}

/// A text under way, and the keys that were given.
#[derive(Clone, Debug)]
pub struct Draw {
    pub chance: Chance,
    /// Bare numbers are inches.
    pub inches: bool,
    /// How often the ends of what a reader allows are drawn, of 1.
    pub ends: f64,
    pub text: String,
    table: String,
    /// A profile's figures each name a source.
    sourced: bool,
    /// How often each key was given; words and ends count by themselves: `router.hold`, `router.hold=tabs`.
    pub keys: BTreeMap<String, u32>,
}

impl Draw {
    pub fn new(chance: Chance, inches: bool, ends: f64) -> Draw {
        Draw { chance, inches, ends, text: String::new(), table: "top".into(), sourced: false, keys: BTreeMap::new() }
    }

    /// A profile of this folder: its bare numbers are millimetres.
    pub fn profile(&mut self, folder: &str) -> Draw {
        let chance = Chance::new(self.chance.random(), 0);
        let mut draw =
            Draw { inches: false, table: folder.into(), sourced: true, ..Draw::new(chance, false, self.ends) };
        let _ = writeln!(draw.text, "title = \"drawn at random\"\n");
        draw
    }

    /// Counts the keys of a profile that was drawn for this job.
    pub fn absorb(&mut self, file: &Draw) {
        for (key, times) in &file.keys {
            *self.keys.entry(key.clone()).or_default() += times;
        }
    }

    /// Begins a table; `name` is how its keys are counted.
    pub fn open(&mut self, heading: &str, name: &str) {
        let _ = writeln!(self.text, "\n{heading}");
        self.table = name.into();
    }

    pub fn count(&mut self, key: &str) {
        self.count_as(&format!("{}.{key}", self.table));
    }

    /// Counts a key under a table of another name.
    pub fn count_as(&mut self, path: &str) {
        *self.keys.entry(path.into()).or_default() += 1;
    }

    /// Shall a key that may be left out be given?
    pub fn given(&mut self) -> bool {
        self.chance.odds(0.3)
    }

    pub fn line(&mut self, key: &str, value: impl Display) {
        self.count(key);
        let _ = match self.sourced {
            true => writeln!(self.text, "{key} = {{ value = {value}, source = \"drawn\" }}"),
            false => writeln!(self.text, "{key} = {value}"),
        };
    }

    pub fn quoted(&mut self, key: &str, value: &str) {
        self.line(key, format_args!("\"{value}\""));
    }

    pub fn word(&mut self, key: &str, words: &[&'static str]) -> &'static str {
        let word = self.chance.pick(words);
        self.this_word(key, word);
        word
    }

    pub fn this_word(&mut self, key: &str, word: &str) {
        self.quoted(key, word);
        self.count(&format!("{key}={word}"));
    }

    pub fn flag(&mut self, key: &str) -> bool {
        let value = self.chance.odds(0.5);
        self.this_flag(key, value);
        value
    }

    pub fn this_flag(&mut self, key: &str, value: bool) {
        self.line(key, value);
        self.count(&format!("{key}={value}"));
    }

    pub fn whole(&mut self, key: &str, span: Span) -> u32 {
        let value = self.value(key, span, true).round();
        self.line(key, value);
        value as u32
    }

    /// A plain number.
    pub fn number(&mut self, key: &str, span: Span) -> f64 {
        let value = self.value(key, span, true);
        let value: f64 = if self.is_end(value, span) { value } else { trimmed(value, 3).parse().unwrap_or(value) };
        self.line(key, value);
        value
    }

    /// A length; what it comes to, in millimetres.
    pub fn length(&mut self, key: &str, span: Span) -> f64 {
        let (text, mm) = self.any_length(key, span);
        self.line(key, text);
        mm
    }

    /// The same, not yet written, for lists of lengths.
    pub fn any_length(&mut self, key: &str, span: Span) -> (String, f64) {
        let mm = self.value(key, span, false);
        if self.is_end(mm, span) { (format!("\"{mm} mm\""), mm) } else { self.written(mm, span.least, span.most) }
    }

    /// A length that somebody else settled, written in any way.
    pub fn this_length(&mut self, key: &str, mm: f64) -> f64 {
        let (text, mm) = self.written(mm, 0.0, f64::INFINITY);
        self.line(key, text);
        mm
    }

    /// A length to a hundredth of a millimetre at least, in either unit.
    pub fn exactly(&mut self, mm: f64) -> String {
        match self.chance.below(3) {
            0 => format!("\"{} mm\"", trimmed(mm, 2)),
            1 => format!("\"{} in\"", trimmed(mm / INCH, 4)),
            _ => trimmed(mm / if self.inches { INCH } else { 1.0 }, if self.inches { 4 } else { 2 }),
        }
    }

    pub fn these_lengths(&mut self, key: &str, mm: &[f64]) {
        let texts: Vec<String> = mm.iter().map(|mm| self.written(*mm, 0.0, f64::INFINITY).0).collect();
        self.line(key, format_args!("[{}]", texts.join(", ")));
    }

    fn is_end(&self, value: f64, span: Span) -> bool {
        [span.least, span.most, span.low, span.high].contains(&value)
    }

    /// Ends more often, then the ends of what is usual, then anything between, tidy or not.
    fn value(&mut self, key: &str, span: Span, plain: bool) -> f64 {
        if self.chance.odds(self.ends) {
            let least = self.chance.odds(0.5);
            self.count(&format!("{key}={}", if least { "least" } else { "most" }));
            return if least { span.least } else { span.most };
        }
        match self.chance.below(10) {
            0 => span.low,
            1 => span.high,
            2..=5 => {
                let value = self.chance.between(span.low, span.high);
                let wide = span.high - span.low;
                let step = if plain {
                    if wide > 5000.0 {
                        500.0
                    } else if wide > 20.0 {
                        5.0
                    } else {
                        0.5
                    }
                } else if self.inches {
                    INCH / if wide > 100.0 { 2.0 } else { 16.0 }
                } else if wide > 100.0 {
                    5.0
                } else {
                    0.5
                };
                ((value / step).round() * step).clamp(span.low, span.high)
            }
            _ => self.chance.between(span.low, span.high),
        }
    }

    /// A length as a bare number or with one of the units, and what it comes to; never past what is allowed.
    fn written(&mut self, mm: f64, least: f64, most: f64) -> (String, f64) {
        let bare = if self.inches { INCH } else { 1.0 };
        let form = self.chance.below(12);
        let decimals = self.chance.below(3) + usize::from(self.inches) * 2;
        let with = |text: String, unit: f64, sign: &str| {
            let value = text.parse::<f64>().unwrap_or(mm / unit) * unit;
            (format!("\"{text} {sign}\""), (value * 1e6).round() / 1e6)
        };
        let (text, value) = match form {
            0 => with(trimmed(mm, 2), 1.0, "mm"),
            1 => with(trimmed(mm / 10.0, 3), 10.0, "cm"),
            2 => with(trimmed(mm / INCH, 4), INCH, "in"),
            3 if mm > 600.0 => with(trimmed(mm / 12.0 / INCH, 4), 12.0 * INCH, "ft"),
            3 | 4 => {
                let sixteenths = (mm / INCH * 16.0).round();
                let (whole, over) = ((sixteenths / 16.0).floor(), sixteenths % 16.0);
                let text = match (whole > 0.0, over > 0.0) {
                    (true, true) => format!("\"{whole} {over}/16 in\""),
                    (false, true) => format!("\"{over}/16 in\""),
                    _ => format!("\"{whole} in\""),
                };
                (text, sixteenths / 16.0 * INCH)
            }
            _ => {
                let text = trimmed(mm / bare, decimals);
                let value = text.parse::<f64>().unwrap_or(mm / bare) * bare;
                (text, value)
            }
        };
        if (least..=most).contains(&value) && (value > 0.0 || mm == 0.0) {
            (text, value)
        } else {
            (format!("\"{mm} mm\""), mm)
        }
    }
}

/// At most so many decimals, none that say nothing.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}
