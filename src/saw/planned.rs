//! A saw plan, as it is handed on.

use super::Gathered;
use super::step::{Action, CutPiece, Setting, Step};
use super::works::Work;
use crate::finding::Finding;
use crate::layout::Placement;

/// A critical dimension should depend on no more cuts than this.
pub(super) const MOST_CUTS: usize = 2;

/// How the sheets of a job are cut by hand.
#[derive(Clone, Debug, Default)]
pub struct SawPlan {
    pub sheets: Vec<SawSheet>,
    /// All cuts of all sheets, in order.
    pub steps: Vec<Step>,
    pub settings: Vec<Setting>,
    /// Stages of cuts that it takes: all along one axis, then all along the other, and so on.
    pub stages: u32,
    /// What is done to the sawn pieces, after all cuts.
    pub works: Vec<Work>,
    /// Every piece of a part, in the order they come off.
    pub pieces: Vec<FinishedPiece>,
    /// Of each part, whether its length and whether its width holds something apart.
    pub critical: Vec<[bool; 2]>,
    pub findings: Vec<Finding>,
}

/// One sheet of the plan.
#[derive(Clone, Debug)]
pub struct SawSheet {
    /// Index into the job's stock.
    pub stock: usize,
    pub length: f64,
    pub width: f64,
    pub thickness: f64,
    /// Where the pieces lay on it, as they were cut.
    pub placements: Vec<Placement>,
    /// What is left over, in the order it fell off.
    pub left_over: Vec<CutPiece>,
}

/// A finished piece and how true it is.
#[derive(Clone, Debug)]
pub struct FinishedPiece {
    pub name: String,
    /// Index into the parts.
    pub part: usize,
    pub sheet: usize,
    /// How its length and its width came about.
    pub length: Gathered,
    pub width: Gathered,
}

impl SawPlan {
    /// Nothing is cut by hand.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// Cuts and works together: what the running position counts.
    pub fn length(&self) -> usize {
        self.steps.len() + self.works.len()
    }

    /// Straight cuts and the settings they take, without the slopes that no pattern knows of.
    pub fn cuts_and_settings(&self) -> (usize, usize) {
        let cuts = self.steps.iter().filter(|step| !matches!(step.action, Action::Slope(_))).count();
        (cuts, self.settings.iter().filter(|setting| setting.angle == 0.0).count())
    }
}
