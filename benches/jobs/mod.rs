//! The jobs that benchmarks measure: every starter, and every sample but those of which a copy is kept here. A copy stays as
//! it is when the sample changes, so that its figures can be compared with earlier ones.

use nestwright::starters;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// The samples' specs by name; a copy kept here stands for the sample of its name.
pub fn samples() -> Vec<(String, String)> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let read = |path: &Path| fs::read_to_string(path).ok();
    let paths = |folder: &str| {
        let entries = fs::read_dir(top.join(folder)).expect("a folder of jobs");
        entries.map(|entry| entry.expect("readable").path()).collect::<Vec<_>>()
    };
    let name = |path: &Path| path.file_stem().expect("named").to_string_lossy().into_owned();
    let mut jobs = BTreeMap::new();
    for path in paths("out-samples") {
        jobs.extend(read(&path.join("job.toml")).map(|text| (name(&path), text)));
    }
    for path in paths("benches/jobs").into_iter().filter(|path| path.extension().is_some_and(|it| it == "toml")) {
        jobs.extend(read(&path).map(|text| (name(&path), text)));
    }
    jobs.into_iter().collect()
}

/// Samples and starters.
#[allow(dead_code)] // Some benchmarks have no use for starters.
pub fn all() -> Vec<(String, String)> {
    let starters = starters::ALL.iter().map(|starter| (format!("start {}", starter.name), starter.text.to_string()));
    samples().into_iter().chain(starters).collect()
}
