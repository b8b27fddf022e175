//! Reading a list of off-cuts.

use super::OffCut;
use crate::job::CutBy;
use crate::reading::{Desk, Key, Problem, Source, Table, Takes, Unless, key};
use crate::units::Units;
use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;

/// No list is longer than this (bytes), and none names more pieces.
pub const LONGEST: u64 = 256 * 1024;
const MOST: usize = 500;

const JOB: Key = key("job", Takes::Text, Unless::Needed, "the job that left them over");
const CUT: Key =
    key("cut", Takes::Words(CutBy::NAMES), Unless::Rule("the only plan there is"), "which of the job's plans was cut");
const OFF_CUT: Key = key("off-cut", Takes::Tables("[[off-cut]]", &[KEYS]), Unless::Rule("none"), "a piece");
const TOP: &[Key] = &[JOB, CUT, OFF_CUT];

const ID: Key = key("id", Takes::Text, Unless::Needed, "what the piece is called");
const PLAN: Key = key("plan", Takes::Words(CutBy::NAMES), Unless::Needed, "which of the job's plans leaves it");
const SHEET: Key = key("sheet", Takes::Whole(1, 100_000), Unless::Needed, "the sheet it is cut from");
const AT: Key =
    key("at", Takes::Lengths("[x, y]", 0.0, 20_000.0), Unless::Rule("[0, 0]"), "its lower-left corner on that sheet");
const MATERIAL: Key = key("material", Takes::Profile, Unless::Needed, "what it is made of");
const THICKNESS: Key = key("thickness", Takes::Length(2.0, 80.0), Unless::Needed, "as measured");
const SIZE: Key =
    key("size", Takes::Lengths("[length, width]", 1.0, 20_000.0), Unless::Needed, "along the face grain first");
pub(crate) const PROMISED_TO: Key = key("promised-to", Takes::Text, Unless::Rule("free"), "the job that has it");
const KEYS: &[Key] = &[ID, PLAN, SHEET, AT, MATERIAL, THICKNESS, SIZE, PROMISED_TO];

/// The off-cuts that are there: those of the plan that was cut.
#[derive(Clone, Debug, PartialEq)]
pub struct List {
    pub job: String,
    /// Which plan was cut; `None` where the list does not say it and has the off-cuts of both.
    pub cut: Option<CutBy>,
    /// All that are listed, with the place of each one's material in the text.
    pub off_cuts: Vec<(OffCut, Range<usize>)>,
}

impl List {
    /// The off-cuts that are there once this plan is cut.
    pub fn of_plan(&self, plan: CutBy) -> impl Iterator<Item = &(OffCut, Range<usize>)> {
        self.off_cuts.iter().filter(move |(off_cut, _)| off_cut.plan == plan)
    }
}

/// Reads a list.
///
/// # Errors
/// Everything that is wrong with it, by place.
pub fn read(source: &Arc<Source>) -> Result<List, Vec<Problem>> {
    Desk::read(source, Units::Millimetres, read_list)
}

fn read_list(top: &Table) -> Option<List> {
    top.only(&[TOP]);
    let job = top.needed(&JOB, top.name(JOB.name));
    let cut = top.choice(&CUT);
    let tables = top.tables(OFF_CUT.name, MOST);
    let off_cuts: Vec<_> = tables.iter().map(read_off_cut).collect();
    let off_cuts = off_cuts.into_iter().collect::<Option<Vec<_>>>()?;
    let mut seen = HashSet::new();
    for (table, (off_cut, _)) in tables.iter().zip(&off_cuts) {
        if !seen.insert(off_cut.id.as_str()) {
            let message = format!("the id `{}` is used twice", off_cut.id);
            let spot = table.spot(ID.name).unwrap_or(table.span.clone());
            top.desk.problem(spot, message, "expected an id of its own for each off-cut", "");
        }
    }
    let plans: HashSet<&str> = off_cuts.iter().map(|(off_cut, _)| off_cut.plan.name()).collect();
    let only = off_cuts.first().map(|(off_cut, _)| off_cut.plan).filter(|_| plans.len() == 1);
    Some(List { job: job?.into_inner(), cut: cut.or(only), off_cuts })
}

fn read_off_cut(table: &Table) -> Option<(OffCut, Range<usize>)> {
    table.only(&[KEYS]);
    let id = table.needed(&ID, table.name(ID.name));
    let plan = table.needed(&PLAN, table.choice(&PLAN));
    let sheet = table.needed(&SHEET, table.whole(&SHEET));
    let at = if table.has(AT.name) { table.lengths::<2>(&AT) } else { Some([0.0, 0.0]) };
    let material = table.needed(&MATERIAL, table.text(MATERIAL.name));
    let thickness = table.needed(&THICKNESS, table.length(&THICKNESS));
    let size = table.needed(&SIZE, table.lengths::<2>(&SIZE));
    let promised_to = table.text(PROMISED_TO.name);
    if table.has(PROMISED_TO.name) && promised_to.is_none() {
        return None;
    }
    let [length, width] = size?;
    let material = material?;
    let spot = material.span();
    let off_cut = OffCut {
        id: id?.into_inner(),
        plan: plan?,
        sheet: sheet?,
        material: material.into_inner(),
        thickness: thickness?,
        length,
        width,
        at: at?,
        promised_to: promised_to.map(toml::Spanned::into_inner),
    };
    Some((off_cut, spot))
}
