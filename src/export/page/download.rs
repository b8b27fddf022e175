//! Links to the files beside the page, by what they are for.

use crate::export::Files;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Group {
    title: &'static str,
    files: Vec<Link>,
}

#[derive(Serialize)]
struct Link {
    name: String,
    /// For people; none where it is not known yet.
    size: Option<String>,
}

const TITLES: [&str; 5] = [
    "Programs for the router",
    "Drawings and plans",
    "Outlines for other programs",
    "Lists and data",
    "Part by part, and templates",
];

/// Which of the titles a file goes under.
fn title_of(name: &str) -> usize {
    match name.rsplit_once('.').map(|(_, kind)| kind) {
        Some("nc") => 0,
        _ if name.contains('/') => 4,
        Some("pdf" | "svg") => 1,
        Some("dxf") => 2,
        _ => 3,
    }
}

/// All files; `job.json`, which comes after the page, is the last of its group.
pub(super) fn groups(files: &Files) -> Vec<Group> {
    let mut groups: Vec<Group> = TITLES.iter().map(|title| Group { title, files: Vec::new() }).collect();
    let sizes = files.iter().map(|(name, bytes)| (name.as_str(), Some(shown(bytes.len()))));
    for (name, size) in sizes.chain([("job.json", None)]) {
        groups[title_of(name)].files.push(Link { name: name.into(), size });
    }
    groups.retain(|group| !group.files.is_empty());
    groups
}

fn shown(bytes: usize) -> String {
    if bytes < 1000 { format!("{bytes} B") } else { format!("{} kB", bytes.div_ceil(1000)) }
}
