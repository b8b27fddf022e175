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

use std::collections::HashSet;

/// A name as a file's name on any system: lower-case letters, digits and hyphens, never empty, never a device's name.
pub fn file_name(name: &str) -> String {
    /// Names that some systems keep for devices.
    const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];
    let mut slug = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.ends_with('-') && !slug.is_empty() {
            slug.push('-');
        }
    }
    slug.truncate(60);
    let slug = slug.trim_matches('-').to_string();
    let device = DEVICES.iter().any(|device| slug.trim_end_matches(|c: char| c.is_ascii_digit()) == *device);
    if slug.is_empty() || device { format!("part-{slug}").trim_end_matches('-').to_string() } else { slug }
}

/// A file name for each of the names, no two alike.
pub fn file_names<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let mut taken = HashSet::new();
    names
        .into_iter()
        .map(|name| {
            let plain = file_name(name);
            let mut unique = plain.clone();
            let mut number = 2;
            while !taken.insert(unique.clone()) {
                unique = format!("{plain}-{number}");
                number += 1;
            }
            unique
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_harmless() {
        assert_eq!(file_name("left side"), "left-side");
        assert_eq!(file_name("../../etc/passwd"), "etc-passwd");
        assert_eq!(file_name("CON"), "part-con");
        assert_eq!(file_name("lpt1"), "part-lpt1");
        assert_eq!(file_name("🐝"), "part");
        assert!(file_name(&"x".repeat(500)).len() <= 60);
        assert_eq!(file_names(["Side", "side!"]), ["side", "side-2"]);
    }
}
