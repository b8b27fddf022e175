//! Checks against other libraries that do the same thing their own way.

#[path = "../shared/mod.rs"]
mod shared;

#[path = "../shared/mutants/mod.rs"]
mod mutants;

mod files;
mod offsets;
mod pdf;
mod pictures;
mod replay;
mod toolpaths;
