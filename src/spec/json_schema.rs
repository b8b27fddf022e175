//! The JSON Schema of a spec, for editors that complete and check TOML: made from the keys' own declarations.

use super::{cutting, schema};
use crate::design::Kinds;
use crate::reading::{Key, Takes, Unless};
use serde_json::{Map, Value, json};

/// The schema, by JSON Schema 2020-12. It takes what a spec may have, key by key; which keys go together the reader says.
pub fn json_schema(kinds: &Kinds) -> Value {
    let nested = |takes: &str| nested(takes, kinds);
    let mut top = object(&[schema::TOP], &nested);
    top.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    top.insert("title".into(), "A spec of nestwright".into());
    Value::Object(top)
}

/// The table or tables that a key of the spec takes, by the words for them.
fn nested(takes: &str, kinds: &Kinds) -> Option<Value> {
    let nested = |takes: &str| nested(takes, kinds);
    let table = |lists: &[&[Key]]| Value::Object(object(lists, &nested));
    let list = |item: Value| json!({ "type": "array", "items": item });
    Some(match takes {
        "[stock] or several [[stock]]" => {
            let stock = table(&[schema::STOCK]);
            json!({ "anyOf": [stock.clone(), list(stock)] })
        }
        "[router]" => table(&[schema::ROUTER, cutting::KEYS]),
        "[saw]" => table(&[schema::SAW]),
        "[hardware]" => table(&[schema::HARDWARE]),
        "[cost]" => table(&[schema::COST]),
        "[[box]]" => list(json!({ "anyOf": kinds.iter().map(|kind| {
            let mut of_kind = object(&[schema::BOX, kind.keys], &nested);
            if let Some(properties) = of_kind.get_mut("properties").and_then(Value::as_object_mut) {
                properties.insert(schema::KIND.name.into(), json!({ "const": kind.name, "description": kind.about }));
            }
            Value::Object(of_kind)
        }).collect::<Vec<_>>() })),
        "[[part]]" => list(table(&[schema::PART])),
        "[[box.hole]]" | "[[part.hole]]" => list(table(&[schema::HOLE])),
        "[[box.pocket]]" | "[[part.pocket]]" => list(table(&[schema::POCKET])),
        "[[cost.item]]" => list(table(&[schema::COST_ITEM])),
        _ => return None,
    })
}

/// A table with these keys and no others.
fn object(lists: &[&[Key]], nested: &dyn Fn(&str) -> Option<Value>) -> Map<String, Value> {
    let keys = || lists.iter().flat_map(|keys| keys.iter());
    let properties: Map<String, Value> = keys().map(|key| (key.name.into(), property(key, nested))).collect();
    // A key is not required where another key may stand instead of it.
    let needed: Vec<&str> =
        keys().filter(|key| key.default == Unless::Needed && key.instead.is_none()).map(|key| key.name).collect();
    let mut object = Map::new();
    object.insert("type".into(), "object".into());
    object.insert("properties".into(), Value::Object(properties));
    object.insert("required".into(), json!(needed));
    object.insert("additionalProperties".into(), false.into());
    object
}

fn property(key: &Key, nested: &dyn Fn(&str) -> Option<Value>) -> Value {
    // A length has a unit or is in the spec's own: no number could be its limit here.
    let length = || json!({ "type": ["number", "string"] });
    let items = |names: &str, item: Value| {
        let count = names.split(',').count();
        json!({ "type": "array", "items": item, "minItems": count, "maxItems": count })
    };
    let mut property = match key.takes {
        Takes::Text => json!({ "type": "string" }),
        Takes::Flag => json!({ "type": "boolean" }),
        Takes::Length(..) => length(),
        Takes::Lengths(names, ..) => items(names, length()),
        Takes::Number(least, most) => json!({ "type": "number", "minimum": least, "maximum": most }),
        Takes::Numbers(names, least, most) => {
            items(names, json!({ "type": "number", "minimum": least, "maximum": most }))
        }
        Takes::Whole(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Takes::Words(words) => json!({ "enum": words }),
        Takes::Said(takes) => nested(takes).unwrap_or_else(|| json!({})),
    };
    if let Some(property) = property.as_object_mut() {
        let limits = key.takes.limits().map_or_else(String::new, |limits| format!(", {limits}"));
        let unless = match key.default {
            Unless::Needed => String::new(),
            usual => format!(" Unless given: {}.", usual.say()),
        };
        property.insert("description".into(), format!("{}: {}{limits}.{unless}", key.about, key.takes.say()).into());
        match key.default {
            Unless::Of(number) => drop(property.insert("default".into(), json!(number))),
            Unless::Is(flag) => drop(property.insert("default".into(), flag.into())),
            Unless::Word(word) => drop(property.insert("default".into(), word.into())),
            _ => {}
        }
    }
    property
}
