//! The files of a job, and how they get onto the disk.

mod assembly;
mod csv;
mod dxf;
mod files;
mod folder;
mod json;
mod page;
mod pdf;
mod record;
mod saw_csv;
mod saw_record;
mod turning;
mod yields;

pub use dxf::{part_dxf, sheet_dxf};
pub use files::files;
pub use folder::{Files, write_folder, write_proof};
pub use json::job_schema;
pub use pdf::pdf;
pub use yields::yield_json;
