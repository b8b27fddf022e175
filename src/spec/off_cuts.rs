//! Sheets that are off-cuts of earlier jobs.

use super::schema::{self, FROM, STOCK};
use crate::job::{FromList, Moisture, Stock};
use crate::offcuts::{self, List, OffCut};
use crate::profile::{Material, Profiles};
use crate::reading::{Problem, Source, Table};
use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Off-cuts of one job; more are no help.
const MOST: usize = 200;

/// Lists that the `from` of stocks name.
pub(super) fn lists_named(text: &str) -> Vec<String> {
    named(text, "stock", FROM.name, schema::MOST_STOCKS)
}

/// The files that a key names in the tables of a list.
pub(super) fn named(text: &str, list: &str, key: &str, most: usize) -> Vec<String> {
    let (top, _) = DeTable::parse_recoverable(text);
    let Some(stock) = top.get_ref().get(list) else { return Vec::new() };
    let from = |value: &DeValue| value.as_table()?.get(key)?.get_ref().as_str().map(str::to_string);
    let mut names: Vec<String> = match stock.get_ref() {
        DeValue::Array(list) => list.iter().take(most).filter_map(|entry| from(entry.get_ref())).collect(),
        one => from(one).into_iter().collect(),
    };
    names.sort();
    names.dedup();
    names
}

/// A stock for each off-cut that is free, or is promised to this job already; `None` for each table that is wrong.
pub(super) fn read(tables: &[&Table], bought: &[&Table], profiles: &Profiles, of_job: &str) -> Vec<Option<Stock>> {
    let mut stock: Vec<Option<Stock>> = Vec::new();
    let mut seen: HashSet<String> = bought.iter().filter_map(|table| table.word("name")).collect();
    let mut promised: Vec<(String, Range<usize>)> = Vec::new();
    for table in tables {
        match of_table(table, profiles, of_job, &mut promised) {
            None => stock.push(None),
            Some(found) => {
                for one in found {
                    if !seen.insert(one.name.clone()) {
                        let message = format!("there are two sheets called `{}`", one.name);
                        let expected = "expected each list once, and lists whose off-cuts differ in name";
                        table.desk.problem(table.spot(FROM.name).unwrap_or(one.spot.clone()), message, expected, "");
                    }
                    stock.push(Some(one));
                }
            }
        }
    }
    if stock.is_empty() && bought.is_empty() {
        for table in tables {
            let mut jobs: Vec<&str> = promised.iter().map(|(job, _)| job.as_str()).collect();
            jobs.dedup();
            let message = "no off-cut of the list is free";
            let help = if jobs.is_empty() {
                "it has none of a useful size from the plan that was cut".into()
            } else {
                format!("promised to {}", jobs.join(", "))
            };
            let expected = "expected a list with off-cuts that no job has, or another [[stock]]";
            table.desk.problem(table.spot(FROM.name).unwrap_or(table.span.clone()), message, expected, help);
        }
        stock.push(None);
    }
    stock
}

/// The off-cuts of a table's list, each a stock; `None` where the table or the list is wrong. Notes in `promised` which
/// other jobs have some of them.
fn of_table(
    table: &Table,
    profiles: &Profiles,
    of_job: &str,
    promised: &mut Vec<(String, Range<usize>)>,
) -> Option<Vec<Stock>> {
    table.only(&[STOCK]);
    let trim = table.mm(&schema::TRIM);
    let margin = table.mm(&schema::STOCK_MARGIN);
    let usable = super::stock::usable(table);
    for key in STOCK.iter().filter(|key| ![FROM.name, "trim", "margin", "usable"].contains(&key.name)) {
        if let Some(spot) = table.spot(key.name) {
            let message = format!("`{}` is said by the list for each off-cut", key.name);
            table.desk.problem(spot, message, "expected only from, trim, margin and usable here", "");
            return None;
        }
    }
    let from = table.text(FROM.name)?;
    let source = list_beside(table, &from)?;
    let list = match offcuts::read(source) {
        Ok(list) => list,
        Err(problems) => {
            table.desk.problems_beside(problems);
            return None;
        }
    };
    let there = there(table, source, &list)?;
    let mut stock = Vec::new();
    for (off_cut, spot) in there {
        if let Some(other) = off_cut.promised_to.as_ref().filter(|job| *job != of_job) {
            promised.push((other.clone(), spot.clone()));
            continue;
        }
        let material = material(table, source, profiles, off_cut, spot)?;
        // What is not wide enough inside its edges is no sheet.
        if off_cut.length.min(off_cut.width) < 2.0 * f64::max(trim, margin) + 50.0 {
            continue;
        }
        stock.push(Stock {
            name: off_cut.id.clone(),
            glued: None,
            moisture: material.wood.as_ref().map(Moisture::usual),
            material,
            length: off_cut.length,
            width: off_cut.width,
            thickness: off_cut.thickness,
            thinnest: None,
            nominal: None,
            on_hand: Some(1),
            // It was paid for with the sheet that it comes from.
            price: Some(0.0),
            trim,
            margin,
            roomy: None,
            usable,
            keep_out: Vec::new(),
            from: Some(FromList { list: from.get_ref().clone(), id: off_cut.id.clone() }),
            spot: table.span.clone(),
        });
    }
    if stock.len() > MOST {
        let message = format!("the list has {} off-cuts", stock.len());
        table.desk.problem(from.span(), message, format!("expected at most {MOST}"), "strike out what is least worth");
        return None;
    }
    Some(stock)
}

/// The text of the list that a table names, if it could be read.
fn list_beside<'a>(table: &Table<'a>, from: &Spanned<String>) -> Option<&'a Arc<Source>> {
    let beside = table.desk.source.beside.iter().find(|beside| beside.name == *from.get_ref());
    match beside.map(|beside| &beside.read) {
        Some(Ok(source)) => Some(source),
        other => {
            let why = other.and_then(|read| read.as_ref().err()).map_or("it was not given", String::as_str);
            let message = format!("`{}` cannot be read", from.get_ref());
            let expected = "expected the path of the offcuts.toml of an earlier job, from this file's folder";
            table.desk.problem(from.span(), message, expected, why);
            None
        }
    }
}

/// The profile of what an off-cut is made of.
fn material(
    table: &Table,
    source: &Arc<Source>,
    profiles: &Profiles,
    off_cut: &OffCut,
    spot: &Range<usize>,
) -> Option<Arc<Material>> {
    let unknown = |help| {
        let message = format!("there is no material `{}`", off_cut.material);
        let wrong = in_list(source, spot.clone(), message, "expected a material's profile", help);
        table.desk.problems_beside(vec![wrong]);
    };
    profiles.find::<Material>(&off_cut.material).map_err(unknown).ok()
}

/// The off-cuts of the plan that was cut.
fn there<'a>(table: &Table, source: &Arc<Source>, list: &'a List) -> Option<Vec<&'a (OffCut, Range<usize>)>> {
    if list.off_cuts.is_empty() {
        return Some(Vec::new());
    }
    let Some(cut) = list.cut else {
        let message = "the list has the off-cuts of two plans for the same sheets, and does not say which was cut";
        let help = format!("the job is `{}`", list.job);
        let wrong =
            in_list(source, 0..0, message.into(), "expected cut = \"router\" or cut = \"saw\" at its top", help);
        table.desk.problems_beside(vec![wrong]);
        return None;
    };
    Some(list.of_plan(cut).collect())
}

fn in_list(source: &Arc<Source>, span: Range<usize>, message: String, expected: &str, help: String) -> Problem {
    Problem::new(source, span, message, expected, help)
}
