//! A job, checked and then made.

use crate::build;
use crate::design::{Assembly, Part};
use crate::error::Error;
use crate::finding::{self, Finding};
use crate::fit;
use crate::gcode::Program;
use crate::job::Job;
use crate::layout;
use crate::layout::fewest::Fewest;
use crate::layout::{Layout, Pattern};
use crate::offcuts::OffCut;
use crate::proof::{Proof, Swaths};
use crate::route::{Form, Route};
use crate::saw::SawPlan;
use crate::steps::BoxSteps;
use crate::supply::{Cost, Supply};
use crate::trial;

/// A job as designed: what can be shown of it before anything is laid on a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Designed<'a> {
    pub job: &'a Job,
    pub assemblies: &'a [Assembly],
    pub findings: &'a [Finding],
}

/// A job as designed and checked.
#[derive(Clone, Debug)]
pub struct Checked {
    pub job: Job,
    pub assemblies: Vec<Assembly>,
    pub findings: Vec<Finding>,
    /// How each part is cut, where they have been tried.
    pub forms: Vec<Form>,
    /// Does every box know in which other thicknesses of stock it works?
    pub ranged: bool,
}

impl Checked {
    /// What can be shown of it.
    pub fn designed(&self) -> Designed<'_> {
        Designed { job: &self.job, assemblies: &self.assemblies, findings: &self.findings }
    }

    /// Did any check fail?
    pub fn refused(&self) -> bool {
        self.findings.iter().any(Finding::refused)
    }

    /// Builds the boxes of a job and measures them as they stand; of what is to be built as often as the sheets on hand give, one
    /// set.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for a hole or a recess in no panel, or in none of its wood.
    pub(crate) fn of(job: Job) -> Result<Checked, Error> {
        Checked::found(job, fit::measure, false)
    }

    /// The same at once with the other thicknesses of stock in which they work.
    pub(crate) fn ranged(job: Job) -> Result<Checked, Error> {
        Checked::found(job, fit::check, true)
    }

    fn found(job: Job, by: fn(&Job, &[Assembly]) -> Vec<Finding>, ranged: bool) -> Result<Checked, Error> {
        let assemblies = build::assemble(&job)?;
        let mut findings = by(&job, &assemblies);
        finding::accept(&mut findings, &job.accepts);
        Ok(Checked { job, assemblies, findings, forms: Vec::new(), ranged })
    }

    /// Adds in which other thicknesses the boxes work.
    pub(crate) fn try_thicknesses(&mut self) {
        self.findings = fit::check(&self.job, &self.assemblies);
        finding::accept(&mut self.findings, &self.job.accepts);
        self.ranged = true;
    }

    /// Tries each part by itself: adds what is refused of them whatever the layout, and how they are cut.
    pub(crate) fn try_parts(&mut self) -> Result<(), Error> {
        if !self.refused() {
            let tried = trial::parts(&self.job, &self.assemblies)?;
            self.findings.extend(tried.findings);
            self.forms = tried.forms;
        }
        Ok(())
    }
}

/// A job made: everything that goes into its folder.
#[derive(Debug)]
pub struct Made {
    pub job: Job,
    pub assemblies: Vec<Assembly>,
    pub findings: Vec<Finding>,
    pub parts: Vec<Part>,
    /// The router's nesting.
    pub layout: Layout,
    pub routes: Vec<Route>,
    pub programs: Vec<Program>,
    /// What replaying each program showed; all of them passed.
    pub proof: Vec<Proof>,
    /// What the programs cut away of each sheet; none when nothing is cut by CNC.
    pub swaths: Vec<Swaths>,
    /// The saw's sheets.
    pub patterns: Vec<Pattern>,
    /// How they are cut, step by step.
    pub saw: SawPlan,
    /// How near the plans come to the fewest sheets there can be.
    pub fewest: Vec<Fewest>,
    /// What is left over of the sheets in pieces worth keeping.
    pub off_cuts: Vec<OffCut>,
    /// What is to be bought for it, sheets first, and what it costs.
    pub supplies: Vec<Supply>,
    pub cost: Cost,
    /// How each box is put together.
    pub steps: Vec<BoxSteps>,
}

impl Made {
    /// What is glued up of boards before anything is cut, in words: for the router's sheets, or else for the saw's.
    pub fn glue_ups(&self) -> Vec<String> {
        let stocks: Vec<usize> = match self.job.router {
            Some(_) => self.layout.sheets.iter().map(|sheet| sheet.stock).collect(),
            None => self.patterns.iter().map(|pattern| pattern.stock).collect(),
        };
        layout::glue_ups(&self.job, &stocks)
    }

    /// Of how many boards the panel is glued up that a part is cut from, the most of several; `None` for sheets and boards as
    /// bought.
    pub fn boards_of(&self, part: usize) -> Option<u32> {
        let routed = self.layout.sheets.iter().map(|sheet| (sheet.stock, &sheet.placements));
        let sheets = routed.chain(self.saw.sheets.iter().map(|sheet| (sheet.stock, &sheet.placements)));
        let holding = sheets.filter(|(_, placements)| placements.iter().any(|placement| placement.part == part));
        holding.filter_map(|(stock, _)| Some(self.job.stock[stock].glued?.boards)).max()
    }

    /// What can be shown of it without its sheets.
    pub fn designed(&self) -> Designed<'_> {
        Designed { job: &self.job, assemblies: &self.assemblies, findings: &self.findings }
    }
}
