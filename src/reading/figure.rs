//! Figures with their sources, as profiles have them: `{ value = …, source = "…" }`.

use super::{Key, Table, Takes, Unless, harmless, key};

/// A figure and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    pub value: T,
    pub source: String,
}

/// How the source of a figure begins that is nobody's: it stands until the maker puts their own in its place.
pub const PLACEHOLDER: &str = "placeholder: ";

const VALUE: Key = key("value", Takes::Said("the figure"), Unless::Needed, "the figure itself");
const SOURCE: Key = key("source", Takes::Said("\"…\""), Unless::Needed, "where the figure comes from");
const TAKES: &str = "{ value = …, source = \"…\" }";

impl<'a> Table<'a> {
    /// A figure with its source, whose value `read` takes from the inner table, by a key like this one.
    pub fn sourced<T>(&self, key: &Key, read: impl FnOnce(&Table<'a>, &Key) -> Option<T>) -> Option<Sourced<T>> {
        if let Some(spot) = self.spot(key.name)
            && !self.is_table(key.name)
        {
            self.wrong(key.name, spot, format!("a figure with its source: {TAKES}"));
            return None;
        }
        let figure = self.needed(&Key { takes: Takes::Said(TAKES), ..*key }, self.table(key.name))?;
        figure.only(&[&[VALUE, SOURCE]]);
        let value = figure.needed(&VALUE, read(&figure, &Key { name: VALUE.name, ..*key }));
        let source = figure.needed(&SOURCE, figure.text("source"));
        // It is shown beside the figure, on one line.
        let source = harmless(source?.get_ref()).split_whitespace().collect::<Vec<_>>().join(" ");
        Some(Sourced { value: value?, source })
    }

    /// Like [`Table::sourced`]; a figure that is not there has the value `otherwise`.
    pub fn sourced_or<T>(
        &self,
        key: &Key,
        otherwise: T,
        read: impl FnOnce(&Table<'a>, &Key) -> Option<T>,
    ) -> Option<Sourced<T>> {
        if self.has(key.name) {
            return self.sourced(key, read);
        }
        Some(Sourced { value: otherwise, source: "not said in the profile".into() })
    }

    /// Passes on a least and a most of this key; complains when the least is more.
    pub fn rising(&self, key: &Key, pair: Option<[f64; 2]>) -> Option<[f64; 2]> {
        let [least, most] = pair?;
        if least > most {
            let key = key.name;
            let spot = self.spot(key).unwrap_or(self.span.clone());
            self.wrong(key, spot, "the least first, then the most");
            return None;
        }
        pair
    }
}
