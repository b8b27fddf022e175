//! One text being read, and what is found wrong with it.

use super::{Key, Problem, Source, Table, syntax};
use crate::units::Units;
use std::cell::{Cell, RefCell};
use std::ops::Range;
use std::sync::Arc;
use toml::de::DeTable;

/// Nobody reads more problems of one text.
pub const MOST_PROBLEMS: usize = 100;

/// Where the keys of a table stand in the text.
#[derive(Clone, Debug, Default)]
pub struct Spots(Vec<(&'static str, Range<usize>)>);

impl Spots {
    pub(super) fn new(spots: Vec<(&'static str, Range<usize>)>) -> Spots {
        Spots(spots)
    }

    /// The first of the keys of these names that was given.
    pub fn named(&self, names: &[&str]) -> Option<Range<usize>> {
        names.iter().find_map(|name| self.0.iter().find(|(given, _)| given == name)).map(|(_, spot)| spot.clone())
    }

    /// The first of these keys that was given.
    pub fn of(&self, keys: &[Key]) -> Option<Range<usize>> {
        keys.iter().find_map(|key| self.0.iter().find(|(name, _)| *name == key.name)).map(|(_, spot)| spot.clone())
    }
}

/// One text being read: its units and the problems found so far.
pub struct Desk {
    pub source: Arc<Source>,
    pub(super) units: Cell<Units>,
    pub(super) problems: RefCell<Vec<Problem>>,
    /// The text is not even TOML in places: a key that seems to be missing may just not have been understood.
    pub(super) broken: bool,
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
        let value = read(&Table::top(&desk, top.get_ref()));
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

    /// Problems of a file that this text names: they point into that one.
    pub fn problems_beside(&self, found: Vec<Problem>) {
        let mut problems = self.problems.borrow_mut();
        let room = MOST_PROBLEMS.saturating_sub(problems.len());
        problems.extend(found.into_iter().take(room));
    }

    pub fn problem(
        &self,
        span: Range<usize>,
        message: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.problem_of(None, span, message, expected, help);
    }

    /// The same; that a key is missing, if one is given.
    pub(super) fn problem_of(
        &self,
        lacks: Option<Key>,
        span: Range<usize>,
        message: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) {
        let mut problems = self.problems.borrow_mut();
        if problems.len() < MOST_PROBLEMS {
            let mut problem = Problem { lacks, ..Problem::new(&self.source, span, message, expected, help) };
            problem.make_harmless();
            problems.push(problem);
        }
    }
}
