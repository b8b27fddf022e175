//! Every key that a spec may have, table by table, from the lists that the reader itself goes by.

use super::{cutting, schema};
use crate::design::Kinds;
use crate::profile;
use crate::reading::{Key, Unless, any_of};
use crate::words::sentence;
use std::fmt::{self, Write};

/// A table of a spec: how its heading is written, what it is for, what may stand in it.
#[derive(Clone, Debug)]
pub struct TableKeys {
    /// As in the file: `[router]`, `[[box.hole]]`; for the keys of one kind of box, `[[box]] kind = "frame-box"`.
    pub heading: String,
    pub about: &'static str,
    pub keys: Vec<Key>,
}

/// All tables, in the order of a spec, the kinds of box among them.
pub fn tables(kinds: &Kinds) -> Vec<TableKeys> {
    let table =
        |heading: &str, about, lists: &[&[Key]]| TableKeys { heading: heading.into(), about, keys: lists.concat() };
    let mut tables = vec![
        table("top of the file", "before the first heading", &[schema::TOP]),
        table("[[stock]]", "the sheets; with one stock `[stock]` will do", &[schema::STOCK]),
        table("[[stock.keep-out]]", "a place on its sheets that is left alone", &[schema::KEPT_OUT]),
        table("[router]", "what is cut by CNC, and how", &[schema::ROUTER, cutting::KEYS]),
        table("[saw]", "what is cut by hand", &[schema::SAW]),
        table("[[box]]", "boxes of one kind; the kind adds keys of its own", &[schema::BOX]),
    ];
    tables.extend(kinds.iter().map(|kind| TableKeys {
        heading: format!("[[box]] kind = \"{}\"", kind.name),
        about: kind.about,
        keys: kind.keys.to_vec(),
    }));
    tables.extend([
        table("[[box.board]]", "a board added to a box", &[schema::BOARD]),
        table("[[box.hole]], [[part.hole]]", "a hole; of a loose part without `panel`", &[schema::HOLE]),
        table("[[box.pocket]], [[part.pocket]]", "a recess; of a loose part without `panel`", &[schema::POCKET]),
        table("[[part]]", "a part that belongs to no box", &[schema::PART]),
        table("[hardware]", "what holds the boxes together and covers them", &[schema::HARDWARE]),
        table("[cost]", "what a box costs", &[schema::COST]),
        table("[[cost.item]]", "the price of one thing on the hardware list", &[schema::COST_ITEM]),
    ]);
    tables
}

/// The files of a maker's own profiles, as tables of keys.
pub fn profiles() -> Vec<TableKeys> {
    profile::kinds()
        .map(|(folder, one, keys)| TableKeys {
            heading: format!("profiles/{folder}/*.toml, a {one}"),
            about: "each figure as { value = …, source = \"…\" }, but for the title",
            keys,
        })
        .collect()
}

/// Tables of keys as Markdown, one under each heading; of those whose heading holds `part` only.
pub fn markdown(tables: &[TableKeys], part: &str) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write_markdown(&mut text, tables, part);
    text
}

fn write_markdown(text: &mut String, tables: &[TableKeys], part: &str) -> fmt::Result {
    for table in tables.iter().filter(|table| table.heading.contains(part)) {
        writeln!(text, "### `{}`\n\n{}.\n", table.heading, sentence(table.about))?;
        writeln!(text, "| key | takes | unless given | |\n|---|---|---|---|")?;
        for key in &table.keys {
            writeln!(text, "| `{}` | {} | {} | {} |", key.name, cell(&takes(key)), unless(key), cell(key.about))?;
        }
        text.push('\n');
    }
    Ok(())
}

/// What a key takes, and its limits.
fn takes(key: &Key) -> String {
    let limits = key.takes.limits().map_or_else(String::new, |limits| format!(", {limits}"));
    format!("{}{limits}", key.takes.say())
}

/// What holds when the key is left out.
fn unless(key: &Key) -> String {
    match (key.default, key.instead) {
        (Unless::Needed, []) => "**needed**".into(),
        (Unless::Needed, instead) => {
            let instead: Vec<String> = instead.iter().map(|(name, _)| format!("`{name}`")).collect();
            format!("**needed**, {}", any_of(std::iter::once("this").chain(instead.iter().map(String::as_str))))
        }
        (default, _) => cell(&default.say()),
    }
}

/// Words between bars are a choice; in a table of Markdown a bar would end the cell.
fn cell(text: &str) -> String {
    text.replace(" | ", ", ").replace('|', "\\|").replace('[', "\\[")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_says_what_it_takes_and_means() {
        for table in tables(&Kinds::built_in()).into_iter().chain(profiles()) {
            assert!(!table.keys.is_empty() && !table.about.is_empty(), "{}", table.heading);
            for key in table.keys {
                assert!(!key.takes.say().is_empty() && !key.about.is_empty(), "{} {}", table.heading, key.name);
            }
        }
    }
}
