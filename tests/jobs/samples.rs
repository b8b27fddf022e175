//! The samples in `out-samples/` are what this version makes from their specs.
//!
//! Some are kept whole, to be looked at. Of the others only the spec, one picture and `fingerprints.txt` are kept, which has
//! the SHA-256 of every file that is made.

use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use nestwright::{export, starters};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::{env, fs};

/// What a sample has that is not kept whole.
const FINGERPRINTS: &str = "fingerprints.txt";

type Files = BTreeMap<String, Vec<u8>>;

fn samples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("out-samples");
    let mut found: Vec<PathBuf> =
        fs::read_dir(folder).expect("samples").map(|entry| entry.expect("readable").path()).collect();
    found.retain(|path| path.is_dir());
    found.sort();
    found
}

fn all_files(folder: &Path, under: &str, into: &mut Files) {
    for entry in fs::read_dir(folder).expect("readable") {
        let path = entry.expect("readable").path();
        let name = format!("{under}{}", path.file_name().expect("named").to_string_lossy());
        if path.is_dir() {
            all_files(&path, &format!("{name}/"), into);
        } else {
            into.insert(name, fs::read(path).expect("readable"));
        }
    }
}

fn made_from(text: String) -> Files {
    let made = nestwright::check(
        &Source::new("job.toml", text),
        &Profiles::built_in(),
        &Kinds::built_in(),
        &Search::default(),
    )
    .and_then(|checked| nestwright::make(checked, &Search::default()))
    .unwrap_or_else(|error| panic!("{error}"));
    export::files(&made).expect("files").into_iter().collect()
}

/// One line a file: its SHA-256 and its name, as `sha256sum` writes and checks them.
fn fingerprints(files: &Files) -> Vec<u8> {
    let line = |(name, bytes): (&String, &Vec<u8>)| {
        let digest: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        format!("{digest}  {name}\n")
    };
    files.iter().map(line).collect::<String>().into_bytes()
}

/// What is kept of a sample: all of it, or where there are fingerprints those, the spec and the picture that is there.
fn kept_of(made: Files, there: &Files) -> Files {
    if !there.contains_key(FINGERPRINTS) {
        return made;
    }
    let fingerprints = fingerprints(&made);
    let shown = |name: &String| name == "job.toml" || (name.ends_with(".svg") && there.contains_key(name));
    let mut kept: Files = made.into_iter().filter(|(name, _)| shown(name)).collect();
    assert_eq!(kept.len(), 2, "beside its fingerprints a sample keeps its spec and one picture: {:?}", kept.keys());
    kept.insert(FINGERPRINTS.into(), fingerprints);
    kept
}

/// With `NESTWRIGHT_WRITE` set, the samples are made anew.
#[test]
fn every_sample_is_fresh() {
    let mut whole = 0;
    for sample in samples() {
        let mut there = Files::new();
        all_files(&sample, "", &mut there);
        let spec = String::from_utf8(there["job.toml"].clone()).expect("text");
        let kept = kept_of(made_from(spec), &there);
        whole += usize::from(!there.contains_key(FINGERPRINTS));
        if env::var_os("NESTWRIGHT_WRITE").is_some() {
            write(&sample, &there, &kept);
            continue;
        }
        let names = |files: &Files| files.keys().cloned().collect::<BTreeSet<String>>();
        assert_eq!(names(&there), names(&kept), "{}", sample.display());
        for (name, bytes) in &kept {
            assert!(there[name] == *bytes, "{}/{name} is stale", sample.display());
        }
    }
    assert!(samples().len() >= 6 && whole >= 2, "{whole} samples are kept whole");
}

/// Puts the files of a sample in the place of those that are there.
fn write(sample: &Path, there: &Files, kept: &Files) {
    for name in there.keys().filter(|name| !kept.contains_key(*name)) {
        fs::remove_file(sample.join(name)).expect("removed");
    }
    for (name, bytes) in kept.iter().filter(|(name, bytes)| there.get(*name) != Some(bytes)) {
        let path = sample.join(name);
        fs::create_dir_all(path.parent().expect("in a folder")).expect("a folder");
        fs::write(path, bytes).expect("written");
    }
}

/// What is listed as a fingerprint is what other programs take it for: the first example of FIPS 180-2 (NIST, 2002),
/// appendix B.1.
#[test]
fn fingerprints_are_sha_256() {
    let files = Files::from([("a.txt".to_string(), b"abc".to_vec())]);
    let line = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  a.txt\n";
    assert_eq!(String::from_utf8(fingerprints(&files)).expect("text"), line);
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
