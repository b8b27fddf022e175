//! Checks against other libraries that do the same thing their own way.

#[path = "../shared/mod.rs"]
mod shared;

mod files;
mod offsets;
mod pdf;
mod pictures;
mod toolpaths;
