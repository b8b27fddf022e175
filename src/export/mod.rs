//! The files of a job.

mod assembly;
mod csv;
mod dxf;
mod even;
mod files;
mod json;
mod page;
mod pdf;
mod record;
mod saw_csv;
mod saw_record;
mod seal;
mod turning;
mod yields;

pub use dxf::{part_dxf, sheet_dxf};
pub use even::json;
pub use files::files;
pub use json::job_schema;
pub use page::{Laid, Seen, View, policy as page_policy};
pub use pdf::pdf;
pub(crate) use seal::checksum;
#[cfg(feature = "cli")]
pub(crate) use seal::is_sealed_json;
#[cfg(test)]
pub(crate) use seal::{UNSEALED, seal_json};
pub use yields::yield_json;

use std::collections::BTreeMap;

/// Files by name; a name may have folders in it, with `/`.
pub type Files = BTreeMap<String, Vec<u8>>;
