//! A step to tick off.

use serde::Serialize;

#[derive(Serialize)]
pub(super) struct StepView {
    pub number: usize,
    /// What stands out: the machine and its setting, or what is added to what.
    pub lead: String,
    /// What follows it, a line each.
    pub rest: Vec<String>,
    /// What belongs to this step, and is shown on it.
    pub cautions: Vec<String>,
}

impl StepView {
    /// A step in one sentence after another; what stands before its first colon is its lead.
    pub fn of_text(number: usize, text: &str, cautions: Vec<String>) -> StepView {
        let (lead, rest) = text.split_once(": ").unwrap_or(("", text));
        let lead = if lead.is_empty() { String::new() } else { format!("{lead}:") };
        StepView { number, lead, rest: vec![rest.into()], cautions }
    }
}
