//! A spec with one value written otherwise.

use crate::reading::Source;
use std::sync::Arc;
use toml_edit::{DocumentMut, Item, TableLike, Value};

/// A table of a spec.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    Saw,
    Router,
    Stock(usize),
    Box(usize),
}

impl Place {
    fn of(self, spec: &mut DocumentMut) -> Option<&mut dyn TableLike> {
        match self {
            Place::Saw => spec.get_mut("saw")?.as_table_like_mut(),
            Place::Router => spec.get_mut("router")?.as_table_like_mut(),
            Place::Stock(i) => one_of(spec.get_mut("stock")?, i),
            Place::Box(i) => one_of(spec.get_mut("box")?, i),
        }
    }
}

/// One of several tables; one alone may stand without being a list.
fn one_of(entry: &mut Item, index: usize) -> Option<&mut dyn TableLike> {
    match entry {
        Item::ArrayOfTables(tables) => tables.get_mut(index).map(|table| table as &mut dyn TableLike),
        Item::Value(Value::Array(tables)) => {
            tables.get_mut(index)?.as_inline_table_mut().map(|table| table as &mut dyn TableLike)
        }
        one if index == 0 => one.as_table_like_mut(),
        _ => None,
    }
}

/// The spec with this value, written as in TOML, at this key; `None` where there is no such table.
pub(super) fn with(source: &Source, place: Place, key: &str, value: &str) -> Option<Arc<Source>> {
    let mut spec: DocumentMut = source.text.parse().ok()?;
    place.of(&mut spec)?.insert(key, Item::Value(value.parse().ok()?));
    Some(source.changed(spec.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPEC: &str = "stock = [{ size = [1, 2], trim = 3 }, {}]\n[saw] # by hand\nkerf = \"1/8\" # measured\n[[box]]\n\
                        name = \"a\"\n[[box.hole]]\nup = 1\n[[box]]\nname = \"b\"\n";

    /// The value that stands at this key of a changed spec, and how many values have changed besides.
    fn changed(place: Place, key: &str) -> Option<(String, bool)> {
        let mut after: DocumentMut = with(&Source::new("job.toml", SPEC), place, key, "7")?.text.parse().ok()?;
        let mut before: DocumentMut = SPEC.parse().ok()?;
        let value = place.of(&mut after)?.remove(key)?.to_string();
        place.of(&mut before)?.remove(key);
        let plain = |spec: DocumentMut| toml::from_str::<toml::Table>(&spec.to_string()).ok();
        Some((value.trim().into(), plain(after) == plain(before)))
    }

    #[test]
    fn one_value_is_changed_or_added_and_no_other() {
        let same = Some(("7".to_string(), true));
        for (place, key) in [
            (Place::Saw, "kerf"),
            (Place::Saw, "together"),
            (Place::Stock(0), "trim"),
            (Place::Stock(0), "margin"),
            (Place::Stock(1), "trim"),
            (Place::Box(0), "lip"),
            (Place::Box(1), "lip"),
        ] {
            assert_eq!(changed(place, key), same, "{place:?} {key}");
        }
        assert_eq!(changed(Place::Box(2), "lip"), None);
        assert_eq!(changed(Place::Router, "feed"), None);
    }
}
