//! A text with a name, and a problem at a place in it.

use super::Key;
use super::seen::harmless;
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// A text somebody wrote, and what it is called.
#[derive(Debug, PartialEq, Eq)]
pub struct Source {
    pub name: String,
    pub text: String,
    /// Files that the text names, read for it: nothing here reads a disk.
    pub beside: Vec<Beside>,
}

/// A file that a text names.
#[derive(Debug, PartialEq, Eq)]
pub struct Beside {
    /// As the text has it.
    pub name: String,
    /// What stands in it, or why it cannot be read.
    pub read: Result<Arc<Source>, String>,
}

impl Source {
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Source> {
        Source::with_beside(name, text, Vec::new())
    }

    /// A text with the files that it names.
    pub fn with_beside(name: impl Into<String>, text: impl Into<String>, beside: Vec<Beside>) -> Arc<Source> {
        Arc::new(Source { name: name.into(), text: text.into(), beside })
    }

    /// The same with another text.
    pub fn changed(&self, text: String) -> Arc<Source> {
        let again = |beside: &Beside| Beside { name: beside.name.clone(), read: beside.read.clone() };
        Source::with_beside(&self.name, text, self.beside.iter().map(again).collect())
    }

    /// Line and column of a byte, both from 1; columns count characters.
    pub fn line_column(&self, at: usize) -> (usize, usize) {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let before = &self.text[..at];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }

    /// The bytes of the line that a byte stands in, without its end.
    pub fn line(&self, at: usize) -> Range<usize> {
        let at = at.min(self.text.len());
        let bytes = self.text.as_bytes();
        let start = bytes[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |i| i + 1);
        let end = bytes[at..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |i| at + i);
        start..end
    }
}

/// Something wrong at a place in a text, and what would be right.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    pub source: Arc<Source>,
    pub span: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What would be right, set beside the offending text.
    pub expected: String,
    /// Anything more that helps; may be empty.
    pub help: String,
    /// The key that is missing there, where that is what is wrong.
    pub lacks: Option<Key>,
}

impl Problem {
    /// Something wrong at these bytes of a text.
    pub fn new(
        source: &Arc<Source>,
        span: Range<usize>,
        message: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) -> Problem {
        let (message, expected, help) = (message.into(), expected.into(), help.into());
        Problem { source: Arc::clone(source), span, message, expected, help, lacks: None }
    }

    /// Shortens its words, and takes from them what would not show as itself: they quote what somebody else wrote.
    pub(super) fn make_harmless(&mut self) {
        /// Longer than anything worth saying (characters).
        const LONGEST: usize = 1_000;
        for text in [&mut self.message, &mut self.expected, &mut self.help] {
            let long = text.char_indices().nth(LONGEST).map(|(at, _)| at);
            *text = harmless(long.map_or(text, |at| &text[..at]));
            if long.is_some() {
                text.push_str("...");
            }
        }
    }

    /// The offending text, shortened if it is long.
    pub fn offending(&self) -> String {
        let text = self.source.text.get(self.span.clone()).unwrap_or("").trim();
        let line = text.lines().next().unwrap_or("");
        if line.chars().count() > 40 { line.chars().take(37).chain("...".chars()).collect() } else { line.into() }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let (line, column) = self.source.line_column(self.span.start);
        write!(f, "{}:{line}:{column}: {}", self.source.name, self.message)?;
        if !self.expected.is_empty() {
            write!(f, ": {}", self.expected)?;
        }
        if !self.help.is_empty() {
            write!(f, " ({})", self.help)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}
