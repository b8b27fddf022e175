//! Programs for the machine, in RS274/NGC as NIST IR 6556 describes it.

pub mod read;
mod write;

pub use write::{CAUTIONS, Header, Program, programs};
