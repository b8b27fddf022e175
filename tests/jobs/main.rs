//! Whole jobs, end to end, and the command line.

#[path = "../shared/mod.rs"]
mod shared;

mod assemblies;
mod bad_specs;
mod command_line;
mod drawings;
mod holes;
mod layouts;
mod page;
mod samples;
mod saw;
mod templates;
mod tight;
