//! A TOML table with typed getters that collect what is wrong.

use super::{Problem, Source, any_of, nearest, shows_as_itself, syntax};
use crate::units::{Units, parse_length};
use std::cell::{Cell, RefCell};
use std::fmt::Write;
use std::ops::{Range, RangeInclusive};
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A key that a table may have: how it is written, and what it means. The reference in the README is made from these.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    pub name: &'static str,
    /// What it takes: `a length`, `butt | rabbet`.
    pub takes: &'static str,
    /// What holds when it is left out; empty when it can't be.
    pub default: &'static str,
    pub about: &'static str,
}

impl Key {
    /// The words it may be, where it is one of a few words.
    pub fn words(&self) -> Vec<&'static str> {
        let words: Vec<&str> = self.takes.split(" | ").collect();
        let plain = |word: &&str| word.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        if words.len() > 1 && words.iter().all(plain) { words } else { Vec::new() }
    }
}

/// Shorthand for a [`Key`] in a list.
pub const fn key(name: &'static str, takes: &'static str, default: &'static str, about: &'static str) -> Key {
    Key { name, takes, default, about }
}

/// Nobody reads more problems of one text.
pub const MOST_PROBLEMS: usize = 100;

/// Where the keys of a table stand in the text.
#[derive(Clone, Debug, Default)]
pub struct Spots(Vec<(&'static str, Range<usize>)>);

impl Spots {
    /// The first of these keys that was given.
    pub fn of(&self, keys: &[Key]) -> Option<Range<usize>> {
        keys.iter().find_map(|key| self.0.iter().find(|(name, _)| *name == key.name)).map(|(_, spot)| spot.clone())
    }
}

/// One text being read: its units and the problems found so far.
pub struct Desk {
    pub source: Arc<Source>,
    units: Cell<Units>,
    problems: RefCell<Vec<Problem>>,
    /// The text is not even TOML in places: a key that seems to be missing may just not have been understood.
    broken: bool,
}

impl Desk {
    /// Parses the text and hands its top table to `read`; returns what that returns, or all problems by place.
    pub fn read<T>(
        source: &Arc<Source>,
        units: Units,
        read: impl FnOnce(&Table) -> Option<T>,
    ) -> Result<T, Vec<Problem>> {
        let (top, errors) = DeTable::parse_recoverable(&source.text);
        let desk = Desk {
            source: Arc::clone(source),
            units: Cell::new(units),
            problems: RefCell::default(),
            broken: !errors.is_empty(),
        };
        let value = read(&Table { desk: &desk, entries: top.get_ref(), span: 0..0, path: String::new() });
        let mut problems = desk.problems.into_inner();
        // What cannot be read at all is not complained of once more for what it seems to say.
        let told: Vec<Problem> = errors
            .iter()
            .take(MOST_PROBLEMS)
            .map(|error| syntax::problem(source, error.message(), error.span()))
            .collect();
        for syntax in &told {
            let (at, line) = (syntax.span.start, source.line(syntax.span.start));
            problems.retain(|Problem { span, .. }| {
                let covers = span.start <= at && at <= span.end;
                !covers && !line.contains(&span.start) && *span != (0..0)
            });
        }
        problems.extend(told);
        problems.sort_by_key(|problem| problem.span.start);
        problems.dedup_by(|a, b| a.span == b.span && a.message == b.message);
        problems.truncate(MOST_PROBLEMS);
        match value {
            Some(value) if problems.is_empty() => Ok(value),
            _ => Err(problems),
        }
    }

    /// What bare numbers mean from here on.
    pub fn set_units(&self, units: Units) {
        self.units.set(units);
    }

    pub fn units(&self) -> Units {
        self.units.get()
    }

    pub fn problem(
        &self,
        span: Range<usize>,
        message: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) {
        let mut problems = self.problems.borrow_mut();
        if problems.len() < MOST_PROBLEMS {
            let (message, expected, help) = (message.into(), expected.into(), help.into());
            let mut problem = Problem { source: Arc::clone(&self.source), span, message, expected, help };
            problem.make_harmless();
            problems.push(problem);
        }
    }
}

/// A table of the text.
pub struct Table<'a> {
    pub desk: &'a Desk,
    entries: &'a DeTable<'a>,
    pub span: Range<usize>,
    /// How the table is called in messages: `[[box]] 2`.
    path: String,
}

/// Values longer than this are no lengths of wood (mm): two hundred metres.
const LONGEST: f64 = 200_000.0;

impl<'a> Table<'a> {
    pub(super) fn entry(&self, key: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.entries.get(key)
    }

    /// Where the value of a key stands, if it is there.
    pub fn spot(&self, key: &str) -> Option<Range<usize>> {
        self.entry(key).map(Spanned::span)
    }

    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Is the value of this key a table of its own?
    pub fn is_table(&self, key: &str) -> bool {
        self.entry(key).is_some_and(|entry| matches!(entry.get_ref(), DeValue::Table(_)))
    }

    /// Where each of these keys is given, for problems that come to light later.
    pub fn spots(&self, keys: &[Key]) -> Spots {
        Spots(keys.iter().filter_map(|key| Some((key.name, self.spot(key.name)?))).collect())
    }

    /// Complains of every key that is in none of the lists.
    pub fn only(&self, known: &[&[Key]]) {
        let names = || known.iter().flat_map(|keys| keys.iter()).map(|key| key.name);
        for entry in self.entries.keys() {
            if self.desk.problems.borrow().len() >= MOST_PROBLEMS {
                return;
            }
            let name = entry.get_ref().as_ref();
            if names().any(|known| known == name) {
                continue;
            }
            let where_ =
                if self.path.is_empty() { "at the top of the file".into() } else { format!("in {}", self.path) };
            let help = match nearest(name, names()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("known here: {}", names().collect::<Vec<_>>().join(", ")),
            };
            self.desk.problem(entry.span(), format!("unknown key `{name}` {where_}"), "no such key", help);
        }
    }

    pub(crate) fn wrong(&self, key: &str, span: Range<usize>, expected: impl Into<String>) {
        let problem = Problem {
            source: Arc::clone(&self.desk.source),
            span: span.clone(),
            message: String::new(),
            expected: String::new(),
            help: String::new(),
        };
        let message = format!("`{key}` cannot be `{}`", problem.offending());
        self.desk.problem(span, message, format!("expected {}", expected.into()), "");
    }

    /// Passes `value` on; complains when the key is not there at all.
    pub fn needed<T>(&self, key: &Key, value: Option<T>) -> Option<T> {
        if value.is_none() && !self.has(key.name) && !self.desk.broken {
            let whose = if self.path.is_empty() { "the file".into() } else { self.path.clone() };
            self.desk.problem(
                self.span.clone(),
                format!("{whose} lacks `{}`", key.name),
                format!("expected {} = {}", key.name, key.takes),
                key.about,
            );
        }
        value
    }

    /// Complains that there is none of what there must be one of, where nothing has been said of it yet.
    pub fn none_of(&self, key: &Key) {
        match self.entry(key.name) {
            None => drop(self.needed::<()>(key, None)),
            Some(entry) if entry.get_ref().as_array().is_some_and(|list| list.iter().next().is_none()) => {
                self.wrong(key.name, entry.span(), format!("at least one: {}", key.takes));
            }
            Some(_) => {}
        }
    }

    pub fn text(&self, key: &str) -> Option<Spanned<String>> {
        let entry = self.entry(key)?;
        match entry.get_ref() {
            DeValue::String(text) => Some(Spanned::new(entry.span(), text.to_string())),
            _ => {
                self.wrong(key, entry.span(), "text in quotes");
                None
            }
        }
    }

    /// The text of a key, if it has one; nothing is said where it is something else.
    pub fn word(&self, key: &str) -> Option<String> {
        self.entry(key)?.get_ref().as_str().map(str::to_string)
    }

    /// A short name to be shown and written: not empty, at most 60 characters, each of which shows as itself.
    pub fn name(&self, key: &str) -> Option<Spanned<String>> {
        let name = self.text(key)?;
        let text = name.get_ref().trim();
        if text.is_empty() || text.chars().count() > 60 || text.chars().any(char::is_control) {
            self.wrong(key, name.span(), "a name of 1 to 60 characters on one line");
            return None;
        }
        if !text.chars().all(shows_as_itself) {
            self.wrong(key, name.span(), "a name without invisible characters");
            return None;
        }
        Some(Spanned::new(name.span(), text.to_string()))
    }

    pub fn flag(&self, key: &str) -> Option<bool> {
        let entry = self.entry(key)?;
        let value = entry.get_ref().as_bool();
        if value.is_none() {
            self.wrong(key, entry.span(), "true or false");
        }
        value
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&self, key: &str, words: &[(&str, T)]) -> Option<T> {
        let entry = self.entry(key)?;
        let known = || words.iter().map(|(word, _)| *word);
        if let DeValue::String(text) = entry.get_ref() {
            if let Some((_, value)) = words.iter().find(|(word, _)| *word == text.as_ref()) {
                return Some(*value);
            }
            let help = nearest(text, known()).map(|near| format!("did you mean \"{near}\"?")).unwrap_or_default();
            self.desk.problem(
                entry.span(),
                format!("`{key}` cannot be `{}`", shortened(text)),
                format!("expected {}", any_of(known())),
                help,
            );
        } else {
            self.wrong(key, entry.span(), any_of(known()));
        }
        None
    }

    /// Reads the table as though one of its keys were this word; whatever is wrong with that is not said.
    pub fn as_if<T>(&self, key: &str, word: &str, read: impl FnOnce(&Table) -> Option<T>) -> Option<T> {
        let mut entries = self.entries.clone();
        let spot = self.spot(key).unwrap_or(self.span.clone());
        entries.insert(Spanned::new(spot.clone(), key.into()), Spanned::new(spot, DeValue::String(word.into())));
        let desk = Desk {
            source: Arc::clone(&self.desk.source),
            units: self.desk.units.clone(),
            problems: RefCell::default(),
            broken: false,
        };
        let value = read(&Table { desk: &desk, entries: &entries, span: self.span.clone(), path: self.path.clone() });
        if desk.problems.into_inner().is_empty() { value } else { None }
    }

    /// A plain number within limits.
    pub fn number(&self, key: &str, within: RangeInclusive<f64>) -> Option<f64> {
        let entry = self.entry(key)?;
        match bare_number(entry.get_ref()) {
            Some(value) if within.contains(&value) => Some(value),
            _ => {
                self.wrong(key, entry.span(), format!("a number from {} to {}", within.start(), within.end()));
                None
            }
        }
    }

    /// Plain numbers within limits, exactly `N` of them.
    pub fn numbers<const N: usize>(&self, key: &str, within: RangeInclusive<f64>) -> Option<[f64; N]> {
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

    /// A whole number within limits.
    pub fn whole(&self, key: &str, within: RangeInclusive<u32>) -> Option<u32> {
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

    /// A length in millimetres, within limits (also in millimetres).
    pub fn length(&self, key: &str, within: RangeInclusive<f64>) -> Option<f64> {
        self.length_in(key, self.entry(key)?, &within)
    }

    /// Exactly `N` lengths in brackets.
    pub fn lengths<const N: usize>(&self, key: &str, within: RangeInclusive<f64>) -> Option<[f64; N]> {
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
                self.wrong(key, entry.span(), format!("a length {}", show_range(within, units)));
                None
            }
            None => {
                self.wrong(key, entry.span(), "a length, such as 12.1 or \"19 1/8 in\"");
                None
            }
        }
    }

    /// One of a few words, or a length.
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
        self.length(key, within).map(Err)
    }

    /// Texts in brackets.
    pub fn texts(&self, key: &str) -> Option<Vec<Spanned<String>>> {
        let entry = self.entry(key)?;
        let texts: Option<Vec<_>> = entry.get_ref().as_array().and_then(|array| {
            array
                .iter()
                .map(|item| item.get_ref().as_str().map(|text| Spanned::new(item.span(), text.to_string())))
                .collect()
        });
        if texts.is_none() {
            self.wrong(key, entry.span(), "names in quotes, in brackets");
        }
        texts
    }

    /// A sub-table.
    pub fn table(&self, key: &str) -> Option<Table<'a>> {
        let entry = self.entry(key)?;
        match entry.get_ref() {
            DeValue::Table(entries) => {
                Some(Table { desk: self.desk, entries, span: entry.span(), path: self.path_of(key) })
            }
            _ => {
                self.wrong(key, entry.span(), format!("a table: [{key}]"));
                None
            }
        }
    }

    /// The tables of a list: `[[key]]`, or a single `[key]`; complains where there are more than `most`.
    pub fn tables(&self, key: &str, most: usize) -> Vec<Table<'a>> {
        let Some(entry) = self.entry(key) else { return Vec::new() };
        match entry.get_ref() {
            DeValue::Table(_) => self.table(key).into_iter().collect(),
            DeValue::Array(items) => items
                .iter()
                .enumerate()
                .take_while(|(i, item)| {
                    if *i == most {
                        let all = items.len();
                        let message = format!("{all} of [[{}]] are too many", self.key_path(key));
                        self.desk.problem(item.span(), message, format!("expected at most {most}"), "split the job");
                    }
                    *i < most
                })
                .filter_map(|(i, item)| match item.get_ref() {
                    DeValue::Table(entries) => Some(Table {
                        desk: self.desk,
                        entries,
                        span: item.span(),
                        path: format!("[[{}]] {}", self.key_path(key), i + 1),
                    }),
                    _ => {
                        self.wrong(key, item.span(), format!("a table: [[{key}]]"));
                        None
                    }
                })
                .collect(),
            _ => {
                self.wrong(key, entry.span(), format!("tables: [[{key}]]"));
                Vec::new()
            }
        }
    }

    fn key_path(&self, key: &str) -> String {
        let parent = self.path.trim_start_matches('[').split(']').next().unwrap_or("");
        if parent.is_empty() { key.into() } else { format!("{parent}.{key}") }
    }

    fn path_of(&self, key: &str) -> String {
        format!("[{}]", self.key_path(key))
    }
}

fn bare_number(value: &DeValue) -> Option<f64> {
    let number = match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse::<f64>().ok()?,
        DeValue::Float(f) => f.as_str().parse::<f64>().ok()?,
        _ => return None,
    };
    number.is_finite().then_some(number)
}

fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(37).collect();
    if short.len() < text.len() {
        short.push_str("...");
    }
    short
}

fn show_range(within: &RangeInclusive<f64>, units: Units) -> String {
    let mut text = String::new();
    let (least, most) = (*within.start(), *within.end());
    let _ = match (least.is_finite(), most.is_finite()) {
        (true, true) => write!(text, "from {} to {}", units.show(least), units.show(most)),
        (true, false) => write!(text, "of at least {}", units.show(least)),
        _ => write!(text, "of at most {}", units.show(most)),
    };
    text
}
