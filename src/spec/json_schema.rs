//! The JSON Schema of a spec, for editors that complete and check TOML: made from the keys' own declarations.

use super::schema;
use crate::design::{Kind, Kinds};
use crate::reading::{Key, Takes, Unless};
use serde_json::{Map, Value, json};

/// The schema, by JSON Schema 2020-12. It takes what a spec may have, key by key; which keys go together the reader says.
pub fn json_schema(kinds: &Kinds) -> Value {
    let mut top = object(&[schema::TOP], kinds);
    top.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    top.insert("title".into(), "A spec of nestwright".into());
    Value::Object(top)
}

/// A box of any kind: the keys of all boxes, and those of its kind.
fn any_box(kinds: &Kinds) -> Value {
    let of_kind = |kind: &Kind| {
        let mut of_kind = object(&[schema::BOX, kind.keys], kinds);
        if let Some(properties) = of_kind.get_mut("properties").and_then(Value::as_object_mut) {
            properties.insert(schema::KIND.name.into(), json!({ "const": kind.name, "description": kind.about }));
        }
        Value::Object(of_kind)
    };
    json!({ "anyOf": kinds.iter().map(of_kind).collect::<Vec<_>>() })
}

/// Tables one after the other; one alone may stand without being a list.
fn tables(item: Value) -> Value {
    json!({ "anyOf": [item.clone(), { "type": "array", "items": item }] })
}

/// A table with these keys and no others.
fn object(lists: &[&[Key]], kinds: &Kinds) -> Map<String, Value> {
    let keys = || lists.iter().flat_map(|keys| keys.iter());
    let properties: Map<String, Value> = keys().map(|key| (key.name.into(), property(key, kinds))).collect();
    // A key is not required where another key may stand instead of it.
    let needed: Vec<&str> =
        keys().filter(|key| key.default == Unless::Needed && key.instead.is_empty()).map(|key| key.name).collect();
    let mut object = Map::new();
    object.insert("type".into(), "object".into());
    object.insert("properties".into(), Value::Object(properties));
    object.insert("required".into(), json!(needed));
    object.insert("additionalProperties".into(), false.into());
    object
}

fn property(key: &Key, kinds: &Kinds) -> Value {
    // A length has a unit or is in the spec's own: no number could be its limit here.
    let length = || json!({ "type": ["number", "string"] });
    let items = |names: &str, item: Value| {
        let count = names.split(',').count();
        json!({ "type": "array", "items": item, "minItems": count, "maxItems": count })
    };
    let mut property = match key.takes {
        Takes::Text => json!({ "type": "string" }),
        Takes::Flag => json!({ "type": "boolean" }),
        // It may be told at the thinnest and the thickest place.
        Takes::Length(..) if *key == schema::THICKNESS => {
            json!({ "anyOf": [length(), items("[thinnest, thickest]", length())] })
        }
        Takes::Length(..) => length(),
        Takes::Lengths(names, ..) => items(names, length()),
        Takes::Number(least, most) => json!({ "type": "number", "minimum": least, "maximum": most }),
        Takes::Numbers(names, least, most) => {
            items(names, json!({ "type": "number", "minimum": least, "maximum": most }))
        }
        Takes::Whole(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Takes::Words(words) => json!({ "enum": words }),
        Takes::Profile => json!({ "type": "string" }),
        Takes::ListOf(_, words) => json!({ "type": "array", "items": { "enum": words } }),
        Takes::Profiles => json!({ "type": "array", "items": { "type": "string" } }),
        Takes::Table(_, keys) => Value::Object(object(keys, kinds)),
        Takes::Tables(..) if *key == schema::BOX_LIST => tables(any_box(kinds)),
        Takes::Tables(_, keys) => tables(Value::Object(object(keys, kinds))),
        Takes::Said(_) => json!({}),
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
