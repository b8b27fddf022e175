//! The cuts of a plan by what is set up for them: a position of fence or stop, or a saw that is led by hand or by a guide.

use super::{Caution, Method, SawPlan, Step, say};
use crate::job::Job;
use crate::words::counted;

/// Cuts that follow each other at one set-up.
pub struct Run<'a> {
    /// Index of the setting; none where each cut is marked for itself.
    pub setting: Option<usize>,
    pub method: Method,
    /// Index of the first step.
    pub first: usize,
    pub steps: &'a [Step],
}

/// All cuts in order.
pub fn runs(plan: &SawPlan) -> Vec<Run<'_>> {
    let mut first = 0;
    let alike = |a: &Step, b: &Step| a.setting == b.setting && (a.setting.is_some() || a.method == b.method);
    let chunks = plan.steps.chunk_by(alike);
    chunks
        .map(|steps| {
            let run = Run { setting: steps[0].setting, method: steps[0].method, first, steps };
            first += steps.len();
            run
        })
        .collect()
}

impl Run<'_> {
    /// `Setting 3: table saw, fence at 260.4 mm; 4 cuts`.
    pub fn heading(&self, job: &Job, plan: &SawPlan) -> String {
        let cuts = counted(self.steps.len(), "cut");
        match self.setting {
            Some(number) => {
                let about = say::setting(job.units, &plan.settings[number]);
                format!("Setting {}: table saw, {about}; {cuts}", number + 1)
            }
            None => {
                let name = self.method.name();
                let (head, tail) = name.split_at(1);
                format!("{}{tail}; {cuts}", head.to_uppercase())
            }
        }
    }

    /// `steps 4–7`.
    pub fn numbers(&self) -> String {
        let (from, to) = (self.first + 1, self.first + self.steps.len());
        if from == to { from.to_string() } else { format!("{from}–{to}") }
    }

    /// Its cautions, each once, with the steps that it is for where it is not for all. Who says so stands where a caution is
    /// given first: `said` are those that were given before.
    pub fn cautions(&self, job: &Job, said: &mut Vec<&'static str>) -> Vec<String> {
        let mut all: Vec<(Caution, Vec<usize>)> = Vec::new();
        for (i, step) in self.steps.iter().enumerate() {
            for caution in &step.cautions {
                match all.iter_mut().find(|(known, _)| known == caution) {
                    Some((_, steps)) => steps.push(self.first + i + 1),
                    None => all.push((*caution, vec![self.first + i + 1])),
                }
            }
        }
        let words = all.into_iter().map(|(caution, steps)| {
            let which = match &steps[..] {
                all if all.len() == self.steps.len() => String::new(),
                [one] => format!("Step {one}: "),
                several => {
                    let numbers: Vec<String> = several.iter().map(usize::to_string).collect();
                    format!("Steps {}: ", numbers.join(", "))
                }
            };
            let source = if said.contains(&caution.key()) {
                String::new()
            } else {
                said.push(caution.key());
                format!(" ({})", caution.source())
            };
            format!("{which}{}{source}", caution.text(job.units))
        });
        words.collect()
    }
}
