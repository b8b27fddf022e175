//! Promising off-cuts to a job: marks in their list.

use super::read::{PROMISED_TO, read};
use crate::reading::Source;
use std::collections::BTreeSet;
use toml_edit::{DocumentMut, Item, TableLike, value};

/// The list's text with these off-cuts promised to the job, and none but these; everything else stays as it is, comments
/// too. `None` where it is no list, or where one of them is promised to another job or not there.
pub fn promised(text: &str, job: &str, used: &BTreeSet<&str>) -> Option<String> {
    let list = read(&Source::new("", text)).ok()?;
    for id in used {
        let (off_cut, _) = list.off_cuts.iter().find(|(off_cut, _)| off_cut.id == **id)?;
        if off_cut.promised_to.as_ref().is_some_and(|other| other != job) {
            return None;
        }
    }
    let mut list: DocumentMut = text.parse().ok()?;
    let mark = |off_cut: &mut dyn TableLike| {
        let wanted = off_cut.get("id").and_then(Item::as_str).is_some_and(|id| used.contains(id));
        let ours = off_cut.get(PROMISED_TO.name).and_then(Item::as_str) == Some(job);
        if wanted && !ours {
            off_cut.insert(PROMISED_TO.name, value(job));
        } else if ours && !wanted {
            off_cut.remove(PROMISED_TO.name);
        }
    };
    match list.get_mut("off-cut") {
        Some(Item::ArrayOfTables(tables)) => tables.iter_mut().for_each(|table| mark(table)),
        Some(Item::Value(tables)) => {
            let tables = tables.as_array_mut().into_iter().flat_map(|tables| tables.iter_mut());
            tables.filter_map(|table| table.as_inline_table_mut()).for_each(|table| mark(table));
        }
        _ => {}
    }
    let mut marked = list.to_string();
    if !text.ends_with('\n') {
        marked.truncate(marked.trim_end_matches('\n').len());
    }
    if text.contains("\r\n") {
        marked = marked.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    // What was done must read as what was wanted.
    let now = read(&Source::new("", marked.as_str())).ok()?;
    let ours = now.off_cuts.iter().filter(|(off_cut, _)| off_cut.promised_to.as_deref() == Some(job));
    let ours: BTreeSet<&str> = ours.map(|(off_cut, _)| off_cut.id.as_str()).collect();
    (ours == *used).then_some(marked)
}
