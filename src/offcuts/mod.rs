//! Off-cuts: usable rectangles that a job leaves over, listed in a file, and promised to later jobs.
//!
//! `make` writes `offcuts.toml` into the job's folder. A later job takes its sheets from it with
//! `[stock] from = "…/offcuts.toml"`, and when that job is made, what it uses is marked in the list as promised to it. A
//! promised off-cut is no stock for any other job. Nothing else remembers: whoever reads the list sees all there is to know.
//!
//! Router and saw are two plans for the same sheets, and what one leaves the other may not: the list has the off-cuts of
//! both, and says which plan was cut once the maker has written that down.

mod list;
mod promise;
mod read;

pub use list::{NAME, OffCut, text};
pub use promise::promised;
#[cfg(feature = "cli")]
pub(crate) use read::PROMISED_TO;
pub use read::{LONGEST, List, read};
