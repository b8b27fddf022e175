//! The samples in `out-samples/` are what this version makes from their specs.

use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use nestwright::{export, starters};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn samples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("out-samples");
    let mut found: Vec<PathBuf> =
        fs::read_dir(folder).expect("samples").map(|entry| entry.expect("readable").path()).collect();
    found.retain(|path| path.is_dir());
    found.sort();
    found
}

fn all_files(folder: &Path, under: &str, into: &mut BTreeSet<String>) {
    for entry in fs::read_dir(folder).expect("readable") {
        let path = entry.expect("readable").path();
        let name = format!("{under}{}", path.file_name().expect("named").to_string_lossy());
        if path.is_dir() {
            all_files(&path, &format!("{name}/"), into);
        } else {
            into.insert(name);
        }
    }
}

/// To make them anew: `cargo run --release -- make out-samples/NAME/job.toml -o out-samples/NAME` for each.
#[test]
fn every_sample_is_fresh() {
    assert!(samples().len() >= 2);
    for sample in samples() {
        let text = fs::read_to_string(sample.join("job.toml")).expect("a spec");
        let made = nestwright::check(
            &Source::new("job.toml", text),
            &Profiles::built_in(),
            &Kinds::built_in(),
            &Search::default(),
        )
        .and_then(|checked| nestwright::make(checked, &Search::default()))
        .unwrap_or_else(|error| panic!("{}: {error}", sample.display()));
        let files = export::files(&made).expect("files");
        let mut there = BTreeSet::new();
        all_files(&sample, "", &mut there);
        let made: BTreeSet<String> = files.keys().cloned().collect();
        assert_eq!(there, made, "{}", sample.display());
        for (name, bytes) in &files {
            let kept = fs::read(sample.join(name)).expect("readable");
            assert!(kept == *bytes, "{}/{name} is stale", sample.display());
        }
    }
}

#[test]
fn every_starter_can_be_made() {
    for starter in &starters::ALL {
        nestwright::check(
            &Source::new(starter.name, starter.text),
            &Profiles::built_in(),
            &Kinds::built_in(),
            &crate::shared::search(),
        )
        .and_then(|checked| nestwright::make(checked, &crate::shared::search()))
        .unwrap_or_else(|error| panic!("{}: {error}", starter.name));
    }
}
