//! How a box is put together, step by step.
//!
//! The order comes from [`crate::design::order`]: each part comes in along a straight line and presses onto its glue. What
//! is glued, kept flush and squared is read off the contacts and surfaces, and how the work lies on the bench follows from
//! where the fasteners are driven.

mod drive;
mod fittings;
mod flush;
mod glue;
mod laying;
mod plan;
mod pose;
mod rows;
mod turning;
mod words;

pub use drive::Drive;
pub use plan::{BoxSteps, GlueLine, Step, StepKind, steps};
pub use turning::turning;
