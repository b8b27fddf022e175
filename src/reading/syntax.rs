//! What the TOML library says, in words that tell a maker what to write.

use super::{Problem, Source};
use std::ops::Range;
use std::sync::Arc;

/// How deep the library lets tables and lists stand in each other.
const DEEPEST: usize = 80;

/// A complaint of the library's, made a problem that says what would be right.
pub(super) fn problem(source: &Arc<Source>, message: &str, span: Option<Range<usize>>) -> Problem {
    let span = span.or_else(|| too_deep(&source.text)).unwrap_or(0..0);
    let (what, expected) = message.split_once(", expected ").unwrap_or((message, ""));
    let here = source.text.get(span.clone()).unwrap_or("");
    let (message, expected, help) = said(what, expected, here, source.text.get(span.start..).unwrap_or(""));
    let mut problem = Problem::new(source, span, message, expected, help);
    problem.make_harmless();
    problem
}

/// What is wrong, what would be right, and what helps. `here` is the offending text, `rest` all that follows from there.
fn said(what: &str, expected: &str, here: &str, rest: &str) -> (String, String, String) {
    let plain = |message: &str, expected: &str, help: &str| (message.into(), expected.into(), help.into());
    let here = here.trim();
    match what {
        "key with no value" | "missing value for key" | "missing assignment between key-value pairs" => plain(
            "here is a name and no value for it",
            "expected name = value",
            "a title over a table is written [title]",
        ),
        "string values must be quoted" | "missing value" | "invalid boolean" if here.is_empty() => plain(
            "there is no value after the equals sign",
            "expected a number, text in quotes, true, false, or a list in brackets",
            "",
        ),
        "string values must be quoted" | "invalid boolean" if here.starts_with(['“', '”', '„', '‘', '’', '«']) => {
            plain("these are not the quotes that TOML knows", "expected straight quotes: \"…\"", "")
        }
        "string values must be quoted" | "invalid boolean" | "invalid float" | "invalid integer" => (
            format!("`{}` is neither a number nor text in quotes", shortened(here)),
            "expected quotes around text, and around a length with a unit or a fraction".into(),
            "a length is written 12.1, \"12.1 mm\", \"19 1/8 in\" or \"3/4\"".into(),
        ),
        "unexpected leading zero" => plain("a number with a zero in front", "expected it without the zero", ""),
        "invalid mantissa" | "invalid fraction" | "invalid exponent" => {
            plain("here a number lacks digits", "expected digits on both sides of the point", "write 0.5 and 12.0")
        }
        "duplicate key" => (
            format!("`{}` is given a second time", shortened(here)),
            "expected it once".into(),
            "several tables of one name take double brackets over each: [[stock]], [[box]], [[part]]".into(),
        ),
        "invalid value" | "too few unicode value digits" => {
            plain("no letter has this number", "expected the number of a letter in Unicode, as in \\u00e9", "")
        }
        deep if deep.contains("recurs") => (
            "tables or lists stand in each other too deep".into(),
            format!("expected at most {DEEPEST} in each other"),
            String::new(),
        ),
        "invalid basic string" | "invalid literal string" if rest.starts_with('\n') || rest.is_empty() => {
            plain("this text has no quote at its end", "expected \" before the end of the line", "")
        }
        "invalid multi-line basic string" | "invalid multi-line literal string" if rest.is_empty() => {
            plain("a text that began with three quotes never ends", "expected three quotes at its end", "")
        }
        "invalid basic string" | "invalid literal string" | "invalid comment character" => {
            plain("a control character", "expected letters that can be seen", "is this a text file?")
        }
        "missing escaped value" => plain(
            "a backslash in quotes begins an escape, and this is none",
            "expected \\\\ for a backslash, or single quotes around the text: '…'",
            "",
        ),
        "unexpected key or value" if rest.starts_with(',') => {
            plain("a comma after a value", "expected a decimal point, or [ ] around several values", "")
        }
        "unclosed table" | "unclosed array table" => {
            plain("this heading has no end", "expected ] for [ and ]] for [[", "")
        }
        "unquoted keys cannot be empty" => plain("a heading or key without a name", "expected a name", ""),
        "invalid unquoted key" | "invalid key-value pair" | "invalid key" => plain(
            "this is no name of a key",
            "expected letters, digits, - or _, then an equals sign and a value",
            "is this a TOML file? `nestwright start` prints one to begin with",
        ),
        _ if expected.is_empty() => {
            (what.into(), "expected name = value, one to a line".into(), "is this a TOML file?".into())
        }
        _ => {
            let expected =
                if expected == "nothing" { "nothing more".into() } else { expected.replace("newline", "a new line") };
            (what.into(), format!("expected {expected}"), "one name = value to a line; text takes quotes".into())
        }
    }
}

/// The library does not say where it is too deep: the first line with more brackets, braces or points than it takes.
fn too_deep(text: &str) -> Option<Range<usize>> {
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let deeper = line.bytes().enumerate().filter(|(_, byte)| matches!(byte, b'[' | b'{' | b'.')).nth(DEEPEST);
        if let Some((at, _)) = deeper {
            return Some(start + at..start + at + 1);
        }
        start += line.len();
    }
    None
}

fn shortened(text: &str) -> String {
    let line = text.lines().next().unwrap_or("");
    if line.chars().count() > 40 { line.chars().take(37).chain("...".chars()).collect() } else { line.into() }
}
