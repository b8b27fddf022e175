//! Checks against figures from outside the project. Each names its source beside it.

#[path = "../shared/mod.rs"]
mod shared;

mod boxes;
mod feeds;
mod frames;
mod lifting;
mod occupants;
mod practice;
mod rs274;
mod sawing;
mod sources;
mod steiner;
mod stock;
mod wood;
