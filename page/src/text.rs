//! A spec's text as a form shows it, and changed in one place: whatever stands around that place stays as it was, comments too.

use nestwright::reading::Takes;
use nestwright::spec::schema;
use serde::Deserialize;
use serde_json::{Map, Value as Json, json};
use std::ops::Range;
use toml_edit::{Array, ArrayOfTables, Document, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// A step on the way to a place in a text: a key, or the number of a table among several.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(untagged)]
pub enum Step {
    At(usize),
    Key(String),
}

/// What is to be written.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// The key's value.
    Value(Written),
    /// Nothing: the key, or the table, goes.
    Remove,
    /// One more table in a list of tables, with these keys.
    Add(Vec<(String, Written)>),
}

/// A value as a maker entered it.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Written {
    /// Always text.
    Text(String),
    /// A number where it is one; else text, as `7/8` or `centre` is.
    Plain(String),
    Flag(bool),
    /// Several, in brackets.
    List(Vec<Written>),
    /// A figure with its source.
    Sourced(Box<Written>, String),
}

impl Written {
    fn value(&self) -> Value {
        match self {
            Written::Text(text) => text.as_str().into(),
            Written::Plain(text) => {
                let text = text.trim();
                if let Ok(whole) = text.parse::<i64>() {
                    whole.into()
                } else if let Some(number) = text.parse::<f64>().ok().filter(|number| number.is_finite()) {
                    // As it was typed: 12.10 stays 12.10.
                    text.parse::<Value>().unwrap_or_else(|_| number.into())
                } else {
                    text.into()
                }
            }
            Written::Flag(flag) => (*flag).into(),
            Written::List(all) => Value::Array(all.iter().map(Written::value).collect::<Array>()),
            Written::Sourced(value, source) => {
                let mut table = InlineTable::new();
                table.insert("value", value.value());
                table.insert("source", source.as_str().into());
                Value::InlineTable(table)
            }
        }
    }
}

/// The text as tables and values, each with the bytes where it stands; or why it is no TOML.
pub fn fields(text: &str) -> Result<Json, String> {
    let document = Document::parse(text).map_err(|error| error.message().to_string())?;
    Ok(table(document.as_table(), None))
}

fn table(table: &dyn TableLike, span: Option<Range<usize>>) -> Json {
    let keys: Map<String, Json> = table.iter().map(|(name, item)| (name.to_string(), node(item))).collect();
    json!({ "is": "table", "keys": keys, "span": span.map(ends) })
}

fn node(item: &Item) -> Json {
    let span = item.span().map(ends);
    match item {
        Item::None => Json::Null,
        Item::Table(of) => table(of, item.span()),
        Item::ArrayOfTables(tables) => {
            json!({ "is": "tables", "items": tables.iter().map(|it| table(it, it.span())).collect::<Vec<_>>(), "span": span })
        }
        Item::Value(value) => of_value(value),
    }
}

fn of_value(value: &Value) -> Json {
    let span = value.span();
    match value {
        Value::InlineTable(of) => table(of, span),
        Value::Array(all) if !all.is_empty() && all.iter().all(Value::is_inline_table) => {
            json!({ "is": "tables", "items": all.iter().map(of_value).collect::<Vec<_>>(), "span": span.map(ends) })
        }
        Value::Array(all) => {
            json!({ "is": "list", "items": all.iter().map(shown).collect::<Vec<_>>(), "span": span.map(ends) })
        }
        other => json!({ "is": "value", "shown": shown(other), "span": span.map(ends) }),
    }
}

fn ends(span: Range<usize>) -> [usize; 2] {
    [span.start, span.end]
}

/// A value without quotes, comments or white space.
fn shown(value: &Value) -> String {
    match value.as_str() {
        Some(text) => text.to_string(),
        None => value.clone().decorated("", "").to_string().trim().to_string(),
    }
}

/// The text with one place changed. Tables on the way that are missing are put in.
///
/// # Errors
/// Why the text cannot be changed there, for a maker.
pub fn changed(text: &str, path: &[Step], change: &Change) -> Result<String, String> {
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| error.message().to_string())?;
    let Some((last, way)) = path.split_last() else { return Err("nothing is to be changed".into()) };
    let missing = || "this place is not in the text any more".to_string();
    let mut place = Place::Item(document.as_item_mut());
    for step in way {
        place = place.go(step, !matches!(change, Change::Remove)).ok_or_else(missing)?;
    }
    match change {
        Change::Value(written) => place.set(last, written.value()).ok_or_else(missing)?,
        Change::Remove => place.remove(last).ok_or_else(missing)?,
        Change::Add(keys) => place.add(last, keys).ok_or_else(missing)?,
    }
    let text = document.to_string();
    Ok(text)
}

/// What a shop has whatever it builds.
const SHOP: [&str; 5] = ["stock", "router", "saw", "hardware", "cost"];

/// A spec with the shop's tables of another. Where the two are in different units, lengths get theirs written behind them.
///
/// # Errors
/// Why one of the texts is no TOML.
pub fn carried(text: &str, from: &str) -> Result<String, String> {
    let read = |text: &str| text.parse::<DocumentMut>().map_err(|error| error.message().to_string());
    let (mut document, other) = (read(text)?, read(from)?);
    let units = |of: &DocumentMut| of.get("units").and_then(Item::as_str).unwrap_or("mm").to_string();
    let unit = (units(&document) != units(&other)).then(|| units(&other));
    for name in SHOP {
        let Some(item) = other.get(name) else { continue };
        let mut item = item.clone();
        if let (Some(unit), Some(key)) = (&unit, schema::TOP.iter().find(|key| key.name == name)) {
            in_unit(&mut item, key.takes, unit);
        }
        unplaced(&mut item);
        document.insert(name, item);
    }
    Ok(document.to_string())
}

/// Writes a unit behind every length that has none.
fn in_unit(item: &mut Item, takes: Takes, unit: &str) {
    match takes {
        Takes::Table(_, lists) | Takes::Tables(_, lists) => {
            let each = |table: &mut dyn TableLike| {
                for (name, item) in table.iter_mut() {
                    let mut keys = lists.iter().flat_map(|keys| keys.iter());
                    if let Some(key) = keys.find(|key| key.name == name.get()) {
                        in_unit(item, key.takes, unit);
                    }
                }
            };
            match item {
                Item::ArrayOfTables(tables) => tables.iter_mut().for_each(|table| each(table)),
                other => other.as_table_like_mut().into_iter().for_each(each),
            }
        }
        Takes::Length(..) if !item.is_array() => {
            item.as_value_mut().into_iter().for_each(|value| with_unit(value, unit));
        }
        // A thickness may be two: the thinnest and the thickest.
        Takes::Length(..) | Takes::Lengths(..) => {
            let all = item.as_array_mut().into_iter().flat_map(Array::iter_mut);
            all.for_each(|value| with_unit(value, unit));
        }
        _ => {}
    }
}

fn with_unit(value: &mut Value, unit: &str) {
    if value.is_integer() || value.is_float() {
        let text = format!("{} {unit}", shown(value));
        replace(value, text.into());
    }
}

/// Takes from tables the place they had in another text.
fn unplaced(item: &mut Item) {
    match item {
        Item::Table(table) => {
            table.set_position(None);
            table.iter_mut().for_each(|(_, item)| unplaced(item));
        }
        Item::ArrayOfTables(tables) => tables.iter_mut().for_each(|table| {
            table.set_position(None);
            table.iter_mut().for_each(|(_, item)| unplaced(item));
        }),
        _ => {}
    }
}

/// A place in a document.
enum Place<'a> {
    Item(&'a mut Item),
    Table(&'a mut Table),
    Value(&'a mut Value),
}

impl<'a> Place<'a> {
    fn table(self) -> Option<&'a mut dyn TableLike> {
        match self {
            Place::Item(item) => item.as_table_like_mut(),
            Place::Table(table) => Some(table),
            Place::Value(value) => value.as_inline_table_mut().map(|table| table as &mut dyn TableLike),
        }
    }

    fn go(self, step: &Step, make: bool) -> Option<Place<'a>> {
        match step {
            Step::Key(key) => {
                let table = self.table()?;
                if !table.contains_key(key) {
                    if !make {
                        return None;
                    }
                    table.insert(key, Item::Table(fresh()));
                }
                table.get_mut(key).map(Place::Item)
            }
            // One table alone is the first of a list.
            Step::At(at) => match self {
                Place::Item(Item::ArrayOfTables(tables)) => tables.get_mut(*at).map(Place::Table),
                Place::Item(Item::Value(Value::Array(all))) | Place::Value(Value::Array(all)) => {
                    all.get_mut(*at).map(Place::Value)
                }
                alone if *at == 0 => Some(alone),
                _ => None,
            },
        }
    }

    fn set(self, last: &Step, value: Value) -> Option<()> {
        match last {
            Step::Key(key) => {
                let table = self.table()?;
                match table.get_mut(key) {
                    Some(Item::Value(old)) => replace(old, value),
                    Some(item) => *item = Item::Value(value),
                    None => {
                        table.insert(key, Item::Value(value));
                    }
                }
            }
            Step::At(at) => match self {
                Place::Item(Item::Value(Value::Array(all))) | Place::Value(Value::Array(all)) => {
                    replace(all.get_mut(*at)?, value);
                }
                _ => return None,
            },
        }
        Some(())
    }

    fn remove(self, last: &Step) -> Option<()> {
        match last {
            Step::Key(key) => self.table()?.remove(key).map(|_| ()),
            Step::At(at) => match self {
                Place::Item(item) => {
                    match item {
                        Item::ArrayOfTables(tables) if *at < tables.len() => {
                            tables.remove(*at);
                        }
                        Item::Value(Value::Array(all)) if *at < all.len() => {
                            all.remove(*at);
                        }
                        Item::Table(_) | Item::Value(Value::InlineTable(_)) if *at == 0 => *item = Item::None,
                        _ => return None,
                    }
                    Some(())
                }
                _ => None,
            },
        }
    }

    fn add(self, last: &Step, keys: &[(String, Written)]) -> Option<()> {
        let Step::Key(key) = last else { return None };
        let table = self.table()?;
        let inline: InlineTable = keys.iter().map(|(name, written)| (name.as_str(), written.value())).collect();
        match table.get_mut(key) {
            Some(Item::Value(Value::Array(all))) => all.push(inline),
            Some(Item::ArrayOfTables(tables)) => tables.push(with(keys)),
            Some(other) => {
                // One table alone becomes the first of several.
                let mut tables = ArrayOfTables::new();
                let mut first = std::mem::take(other).into_table().ok()?;
                first.decor_mut().set_prefix("\n");
                tables.push(first);
                tables.push(with(keys));
                *other = Item::ArrayOfTables(tables);
            }
            None => {
                let mut tables = ArrayOfTables::new();
                tables.push(with(keys));
                table.insert(key, Item::ArrayOfTables(tables));
            }
        }
        Some(())
    }
}

/// Puts a value in another's place, with what stands beside that.
fn replace(old: &mut Value, mut value: Value) {
    *value.decor_mut() = old.decor().clone();
    *old = value;
}

fn fresh() -> Table {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table
}

fn with(keys: &[(String, Written)]) -> Table {
    let mut table = fresh();
    for (name, written) in keys {
        table.insert(name, Item::Value(written.value()));
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPEC: &str = r#"# Mine
title = "Nucs" # to sell
units = "mm"

[stock]
material = "birch-plywood"
size = [2440, 1220]   # along the grain first
thickness = 12.1      # calipers

[[box]]
name = "nuc"
frames = 5

[[box.hole]]
panel = "front"
up = 22

[[box]]
name = "wide"
hole = [{ panel = "back", up = "7/8" }]
"#;

    fn path(steps: &[&str]) -> Vec<Step> {
        steps.iter().map(|step| step.parse().map_or_else(|_| Step::Key((*step).into()), Step::At)).collect()
    }

    fn set(steps: &[&str], written: Written) -> String {
        changed(SPEC, &path(steps), &Change::Value(written)).expect("a place")
    }

    fn plain(text: &str) -> Written {
        Written::Plain(text.into())
    }

    /// Only the line that was meant is another.
    fn line(text: &str, number: usize) -> &str {
        for (i, (before, after)) in SPEC.lines().zip(text.lines()).enumerate() {
            assert!(i + 1 == number || before == after, "{before}\n{after}");
        }
        text.lines().nth(number - 1).expect("a line")
    }

    #[test]
    fn a_change_leaves_all_other_lines_and_its_comment() {
        assert_eq!(line(&set(&["stock", "0", "thickness"], plain("11.80")), 8), "thickness = 11.80      # calipers");
        assert_eq!(
            line(&set(&["stock", "0", "size", "1"], plain("4 ft")), 7),
            "size = [2440, \"4 ft\"]   # along the grain first"
        );
        assert_eq!(line(&set(&["box", "0", "hole", "0", "up"], plain("7/8")), 16), "up = \"7/8\"");
        assert_eq!(
            line(&set(&["box", "1", "hole", "0", "up"], plain("24")), 20),
            "hole = [{ panel = \"back\", up = 24 }]"
        );
        assert_eq!(line(&set(&["title"], Written::Text("A \"b\"".into())), 2), "title = 'A \"b\"' # to sell");
    }

    #[test]
    fn what_is_missing_is_put_in_where_it_belongs() {
        let text = set(&["router", "machine"], Written::Text("desktop-router".into()));
        assert!(text.contains("[router]\nmachine = \"desktop-router\"\n") && text.contains("# calipers"), "{text}");
        let hole = Change::Add(vec![("panel".into(), Written::Text("left side".into())), ("up".into(), plain("50"))]);
        let text = changed(SPEC, &path(&["box", "0", "hole"]), &hole).expect("a list");
        let first = text.find("left side").expect("added");
        assert!(first < text.find("\"wide\"").expect("still there"), "{text}");
        let text = changed(SPEC, &path(&["box", "1", "hole"]), &hole).expect("a list");
        assert!(text.contains("{ panel = \"left side\", up = 50 }"), "{text}");
        let second = Change::Add(vec![("material".into(), Written::Text("pine".into()))]);
        let text = changed(SPEC, &path(&["stock"]), &second).expect("a list");
        assert_eq!(text.matches("[[stock]]").count(), 2, "{text}");
        assert!(text.parse::<DocumentMut>().is_ok() && text.contains("# calipers"), "{text}");
    }

    #[test]
    fn a_shop_is_carried_over_with_its_units() {
        let inches = "title = \"x\"\nunits = \"in\"\n[[stock]]\nmaterial = \"pine\"\nsize = [96, \"4 ft\"]\nthickness = 0.75\n[saw]\nkerf = 0.125\n";
        let text = carried(SPEC, inches).expect("TOML");
        assert!(text.contains("size = [\"96 in\", \"4 ft\"]") && text.contains("thickness = \"0.75 in\""), "{text}");
        assert!(
            text.contains("kerf = \"0.125 in\"") && text.contains("frames = 5") && !text.contains("birch"),
            "{text}"
        );
        assert!(text.parse::<DocumentMut>().is_ok());
        let own = carried(SPEC, SPEC).expect("TOML");
        assert!(own.contains("thickness = 12.1      # calipers"), "{own}");
    }

    #[test]
    fn what_is_removed_takes_nothing_with_it() {
        let removed = |steps: &[&str]| changed(SPEC, &path(steps), &Change::Remove).expect("a place");
        let text = removed(&["box", "0", "hole", "0"]);
        assert!(!text.contains("up = 22") && text.contains("up = \"7/8\"") && text.contains("frames = 5"), "{text}");
        assert!(!removed(&["units"]).contains("units"));
        assert!(changed(SPEC, &path(&["router", "machine"]), &Change::Remove).is_err());
    }

    #[test]
    fn fields_stand_where_they_say() {
        let fields = fields(SPEC).expect("TOML");
        let at = |node: &Json| {
            let ends = |i: usize| node["span"][i].as_u64().expect("a place") as usize;
            &SPEC[ends(0)..ends(1)]
        };
        let keys = &fields["keys"];
        assert_eq!(at(&keys["stock"]["keys"]["thickness"]), "12.1");
        assert_eq!(keys["stock"]["keys"]["size"]["items"], json!(["2440", "1220"]));
        let holes = &keys["box"]["items"][1]["keys"]["hole"];
        assert_eq!(holes["items"][0]["keys"]["up"]["shown"], "7/8");
        assert!(at(&keys["box"]["items"][0]["keys"]["hole"]["items"][0]).starts_with("[[box.hole]]"));
        assert!(super::fields("title = ").is_err());
    }
}
