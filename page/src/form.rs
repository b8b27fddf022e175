//! The keys of a spec and of profiles, as data that a form is made from: the declarations that the reader itself goes by.

use nestwright::design::Kinds;
use nestwright::profile;
use nestwright::reading::{Key, Takes, Unless};
use nestwright::spec::schema;
use serde_json::{Map, Value, json};

/// Every key of a spec, table within table; those that a kind of box adds; and those of each kind of profile.
pub fn keys() -> Value {
    let kinds: Map<String, Value> = Kinds::built_in()
        .iter()
        .map(|kind| (kind.name.to_string(), json!({ "about": kind.about, "keys": all(&[kind.keys]) })))
        .collect();
    let profiles: Map<String, Value> = profile::kinds()
        .map(|(folder, one, keys)| (folder.to_string(), json!({ "one": one, "keys": all(&[&keys]) })))
        .collect();
    json!({ "spec": all(&[schema::TOP]), "kinds": kinds, "profiles": profiles })
}

fn all(lists: &[&[Key]]) -> Vec<Value> {
    lists.iter().flat_map(|keys| keys.iter()).map(one).collect()
}

fn one(key: &Key) -> Value {
    json!({
        "name": key.name,
        "about": key.about,
        "needed": key.default == Unless::Needed,
        "instead": instead(key),
        "unless": key.default.say(),
        "says": key.takes.say(),
        "limits": key.takes.limits(),
        "takes": takes(key.takes),
    })
}

/// Keys that may stand in place of this one.
pub fn instead(key: &Key) -> Vec<&'static str> {
    key.instead.iter().map(|(name, _)| *name).collect()
}

fn takes(takes: Takes) -> Value {
    match takes {
        Takes::Text => json!({ "kind": "text" }),
        Takes::Flag => json!({ "kind": "flag" }),
        Takes::Length(least, most) => json!({ "kind": "length", "least": least, "most": most }),
        Takes::Lengths(names, least, most) => {
            json!({ "kind": "lengths", "names": names_in(names), "least": least, "most": most })
        }
        Takes::Number(least, most) => json!({ "kind": "number", "least": least, "most": most }),
        Takes::Numbers(names, ..) => json!({ "kind": "numbers", "names": names_in(names) }),
        Takes::Whole(least, most) => json!({ "kind": "whole", "least": least, "most": most }),
        Takes::Words(words) => json!({ "kind": "words", "words": words }),
        Takes::ListOf(_, words) => json!({ "kind": "list", "words": words }),
        Takes::Profile => json!({ "kind": "profile" }),
        Takes::Profiles => json!({ "kind": "profiles" }),
        Takes::Table(_, lists) => json!({ "kind": "table", "keys": all(lists) }),
        Takes::Tables(_, lists) => json!({ "kind": "tables", "keys": all(lists) }),
        Takes::Said(_) => json!({ "kind": "said" }),
    }
}

/// `[length, width]` → `length`, `width`.
fn names_in(names: &str) -> Vec<&str> {
    names.trim_matches(['[', ']']).split(',').map(str::trim).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_form_has_every_key_that_the_reader_knows() {
        let keys = keys();
        let names = |list: &Value| {
            let keys = list.as_array().expect("keys").iter();
            keys.map(|key| key["name"].as_str().expect("a name").to_string()).collect::<Vec<_>>()
        };
        let declared: Vec<&str> = schema::TOP.iter().map(|key| key.name).collect();
        assert_eq!(names(&keys["spec"]), declared);
        let of_kinds = Kinds::built_in();
        for kind in of_kinds.iter() {
            let declared: Vec<&str> = kind.keys.iter().map(|key| key.name).collect();
            assert_eq!(names(&keys["kinds"][kind.name]["keys"]), declared, "{}", kind.name);
        }
        let stock = keys["spec"].as_array().expect("keys").iter().find(|key| key["name"] == "stock").expect("stock");
        let size = stock["takes"]["keys"].as_array().expect("keys").iter().find(|key| key["name"] == "size");
        assert_eq!(size.expect("size")["takes"]["names"], json!(["length", "width"]));
    }
}
