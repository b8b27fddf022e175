//! The two machines that a job may be laid out for.

use super::Job;
use schemars::JsonSchema;
use serde::Serialize;

/// How the parts are cut apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum CutBy {
    Router,
    Saw,
}

crate::words!(CutBy: Router = "router", Saw = "saw");

impl CutBy {
    /// What does the cutting.
    pub fn name(self) -> &'static str {
        match self {
            CutBy::Router => "router",
            CutBy::Saw => "saw",
        }
    }

    /// What lies between two pieces, and what is lost along each edge of a sheet (mm); `None` where the job has no such
    /// machine.
    pub(crate) fn loss(self, job: &Job, stock: usize) -> Option<(f64, f64)> {
        match self {
            CutBy::Router => job.router.as_ref().map(|router| (router.gap(), job.stock[stock].margin)),
            CutBy::Saw => job.saw.as_ref().map(|saw| (saw.kerf, job.stock[stock].trim)),
        }
    }
}
