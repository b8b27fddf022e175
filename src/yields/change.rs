//! A spec with one value written otherwise.

use crate::reading::Source;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A table of a spec.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    Saw,
    Router,
    Stock(usize),
    Box(usize),
}

impl Place {
    fn of<'a>(self, top: &'a DeTable<'a>) -> Option<&'a Spanned<DeValue<'a>>> {
        match self {
            Place::Saw => top.get("saw"),
            Place::Router => top.get("router"),
            Place::Stock(i) => one_of(top.get("stock")?, i),
            Place::Box(i) => one_of(top.get("box")?, i),
        }
    }
}

/// One of several tables; one alone may stand without being a list.
fn one_of<'a>(entry: &'a Spanned<DeValue<'a>>, index: usize) -> Option<&'a Spanned<DeValue<'a>>> {
    match entry.get_ref() {
        DeValue::Array(list) => list.get(index),
        _ => (index == 0).then_some(entry),
    }
}

/// The spec with this value at this key, in place of what stands there or as a key more; `None` where the table is
/// written so that it cannot be told where to put it.
pub(super) fn with(source: &Source, place: Place, key: &str, value: &str) -> Option<Arc<Source>> {
    let top = DeTable::parse(&source.text).ok()?;
    let entry = place.of(top.get_ref())?;
    let table = entry.get_ref().as_table()?;
    let text = &source.text;
    let changed = match table.get(key) {
        Some(old) => format!("{}{value}{}", &text[..old.span().start], &text[old.span().end..]),
        None => {
            let start = entry.span().start;
            let rest = text.get(start..)?;
            let (at, more) = if rest.starts_with('[') {
                (start + rest.find('\n').map_or(rest.len(), |end| end + 1), format!("{key} = {value}\n"))
            } else if rest.starts_with('{') {
                let comma = if table.is_empty() { "" } else { "," };
                (start + 1, format!(" {key} = {value}{comma} "))
            } else {
                return None;
            };
            format!("{}{more}{}", &text[..at], &text[at..])
        }
    };
    Some(source.changed(changed))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPEC: &str = "stock = [{ size = [1, 2], trim = 3 }, {}]\n[saw] # by hand\nkerf = \"1/8\" # measured\n[[box]]\n\
                        name = \"a\"\n[[box.hole]]\nup = 1\n[[box]]\nname = \"b\"\n";

    fn changed(place: Place, key: &str) -> String {
        with(&Source::new("job.toml", SPEC), place, key, "7").map_or_else(String::new, |source| source.text.clone())
    }

    #[test]
    fn a_value_is_changed_where_it_stands_and_nothing_else() {
        assert_eq!(changed(Place::Saw, "kerf"), SPEC.replace("\"1/8\"", "7"));
        assert_eq!(changed(Place::Stock(0), "trim"), SPEC.replace("trim = 3", "trim = 7"));
    }

    #[test]
    fn a_key_more_is_put_into_its_table() {
        assert_eq!(changed(Place::Saw, "together"), SPEC.replace("by hand\n", "by hand\ntogether = 7\n"));
        assert_eq!(changed(Place::Stock(0), "margin"), SPEC.replace("[{ size", "[{ margin = 7,  size"));
        assert_eq!(changed(Place::Stock(1), "trim"), SPEC.replace("{}", "{ trim = 7 }"));
        let second = changed(Place::Box(1), "lip");
        assert!(second.ends_with("[[box]]\nlip = 7\nname = \"b\"\n"), "{second}");
        assert_eq!(changed(Place::Box(2), "lip"), "");
    }
}
