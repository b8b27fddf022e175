//! A TOML table with typed getters that collect what is wrong.

use super::{Desk, Key, MOST_PROBLEMS, Problem, Spots, Takes, Word, any_of, likeliest, nearest, shows_as_itself};
use std::cell::RefCell;
use std::ops::Range;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A table of the text.
pub struct Table<'a> {
    pub desk: &'a Desk,
    entries: &'a DeTable<'a>,
    pub span: Range<usize>,
    /// How the table is called in messages: `[[box]] 2`.
    path: String,
}

impl<'a> Table<'a> {
    pub(super) fn top(desk: &'a Desk, entries: &'a DeTable<'a>) -> Table<'a> {
        Table { desk, entries, span: 0..0, path: String::new() }
    }

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

    /// The keys that are there, for a table whose keys are names.
    pub fn keys(&self) -> impl Iterator<Item = Spanned<String>> + '_ {
        self.entries.keys().map(|entry| Spanned::new(entry.span(), entry.get_ref().to_string()))
    }

    /// Is the value of this key a table of its own?
    pub fn is_table(&self, key: &str) -> bool {
        self.entry(key).is_some_and(|entry| matches!(entry.get_ref(), DeValue::Table(_)))
    }

    /// Is the value of this key in brackets?
    pub fn is_list(&self, key: &str) -> bool {
        self.entry(key).is_some_and(|entry| matches!(entry.get_ref(), DeValue::Array(_)))
    }

    /// Where each of these keys is given, for problems that come to light later.
    pub fn spots(&self, keys: &[Key]) -> Spots {
        Spots::new(keys.iter().filter_map(|key| Some((key.name, self.spot(key.name)?))).collect())
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
            let help = match likeliest(name, names(), |known| self.has(known)) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("known here: {}", names().collect::<Vec<_>>().join(", ")),
            };
            self.desk.problem(entry.span(), format!("unknown key `{name}` {where_}"), "no such key", help);
        }
    }

    pub(crate) fn wrong(&self, key: &str, span: Range<usize>, expected: impl Into<String>) {
        self.wrong_but(key, span, expected, String::new());
    }

    /// The same, with what may have been meant.
    pub(super) fn wrong_but(&self, key: &str, span: Range<usize>, expected: impl Into<String>, help: String) {
        let problem = Problem::new(&self.desk.source, span.clone(), "", "", "");
        let message = format!("`{key}` cannot be `{}`", problem.offending());
        self.desk.problem(span, message, format!("expected {}", expected.into()), help);
    }

    /// Passes `value` on; complains when the key is not there at all.
    pub fn needed<T>(&self, key: &Key, value: Option<T>) -> Option<T> {
        if value.is_none() && !self.has(key.name) && !self.desk.broken {
            let whose = if self.path.is_empty() { "the file".into() } else { self.path.clone() };
            self.desk.problem_of(
                Some(*key),
                self.span.clone(),
                format!("{whose} lacks `{}`", key.name),
                format!("expected {}", key.wanted()),
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
                let or = key.instead.iter().map(|(_, takes)| format!(" or {takes}")).collect::<String>();
                self.wrong(key.name, entry.span(), format!("at least one: {}{or}", key.takes.say()));
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

    /// true or false.
    pub fn flag(&self, key: &Key) -> Option<bool> {
        debug_assert!(key.takes == Takes::Flag, "`{}` is read as true or false", key.name);
        let entry = self.entry(key.name)?;
        let value = entry.get_ref().as_bool();
        if value.is_none() {
            self.wrong(key.name, entry.span(), "true or false");
        }
        value
    }

    /// true or false; where it is left out, the key's own.
    pub fn is(&self, key: &Key) -> bool {
        self.flag(key).unwrap_or(key.flag())
    }

    /// One of the words of a type.
    pub fn choice<T: Word>(&self, key: &Key) -> Option<T> {
        self.choice_of(key, T::WORDS)
    }

    /// One of the words of a type; where it is left out, the key's own.
    pub fn chosen<T: Word>(&self, key: &Key) -> T {
        self.choice(key).unwrap_or_else(|| key.word())
    }

    /// One of the key's words, which mean this.
    pub fn choice_of<T: Copy>(&self, key: &Key, words: &[(&str, T)]) -> Option<T> {
        let declared = if let Takes::Words(declared) = key.takes { declared } else { &[] };
        debug_assert!(words.iter().map(|(word, _)| *word).eq(declared.iter().copied()), "the words of `{}`", key.name);
        let key = key.name;
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

    /// What a table of names says of each: `{ floor = "ply" }`.
    pub fn named(&self, key: &str) -> Vec<(Spanned<String>, Spanned<String>)> {
        let Some(table) = self.table(key) else { return Vec::new() };
        let named = |(name, value): (&Spanned<_>, &Spanned<DeValue>)| {
            let text = value.get_ref().as_str();
            if text.is_none() {
                table.wrong(name_of(name), value.span(), "text in quotes");
            }
            Some((Spanned::new(name.span(), name_of(name).to_string()), Spanned::new(value.span(), text?.to_string())))
        };
        table.entries.iter().filter_map(named).collect()
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

fn name_of(name: &Spanned<impl AsRef<str>>) -> &str {
    name.get_ref().as_ref()
}

pub(super) fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(37).collect();
    if short.len() < text.len() {
        short.push_str("...");
    }
    short
}
