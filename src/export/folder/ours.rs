//! Which files of a folder were written by an earlier run, and whether anything else is among them.

use super::proof::is_sealed;
use super::{Files, checksum};
use crate::error::{Error, plainly};
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

const NOT_OURS: &str = "was not written by nestwright; move it away first, or give another -o";
const CHANGED: &str = "was changed after nestwright wrote it; move it away first, or give another -o";

/// Looks through the target for anything that would be lost; returns the spec, if it lies there under its own name.
///
/// `given` is how the target is called in messages.
pub(super) fn carried_over(target: &Path, given: &Path, files: &Files, spec: Option<&Path>) -> Result<Files, Error> {
    let mut kept = Files::new();
    if !target.exists() {
        return Ok(kept);
    }
    if let Some(spec) = spec.and_then(|spec| spec.canonicalize().ok())
        && let Ok(inside) = spec.strip_prefix(target)
    {
        let bytes = fs::read(&spec).map_err(|why| Error::File { path: given.join(inside), why: plainly(&why) })?;
        kept.insert(written(inside), bytes);
    }
    all_ours(target, given, files, &kept)?;
    Ok(kept)
}

/// Is every file in the folder one that an earlier run wrote and nobody changed, a picture of a proof, or one of `kept`, and
/// every folder one of theirs?
///
/// # Errors
/// [`Error::File`] with the first that is not.
pub(super) fn all_ours(folder: &Path, given: &Path, files: &Files, kept: &Files) -> Result<(), Error> {
    let known = written_before(folder);
    for (path, kind) in everything(folder).map_err(|(path, why)| called(folder, given, &path, plainly(&why)))? {
        let name = written(path.strip_prefix(folder).unwrap_or(&path));
        let stranger = |why: &str| Err(called(folder, given, &path, why.into()));
        match kind {
            // A pipe or a device is not read, nor what a link leads to.
            Kind::Other => return stranger(NOT_OURS),
            Kind::EmptyFolder => return stranger(NOT_OURS),
            Kind::File => {}
        }
        let bytes = fs::read(&path).map_err(|why| called(folder, given, &path, plainly(&why)))?;
        if !known.contains_key(&name) && !kept.contains_key(&name) {
            if is_sealed(&name, &bytes) {
                continue;
            }
            return stranger(NOT_OURS);
        }
        let as_written = known.get(&name) == Some(&checksum(&bytes));
        let as_now = files.get(&name) == Some(&bytes) || kept.get(&name) == Some(&bytes);
        if !as_written && !as_now {
            return stranger(CHANGED);
        }
    }
    Ok(())
}

/// Is there nothing in the folder but what an earlier run wrote, or what stands in `other` as well?
pub(super) fn no_loss(folder: &Path, other: &Path) -> bool {
    let known = written_before(folder);
    let Ok(everything) = everything(folder) else { return false };
    everything.into_iter().all(|(path, kind)| {
        let inside = path.strip_prefix(folder).unwrap_or(&path);
        let Ok(bytes) = fs::read(&path) else { return false };
        let same = || fs::read(other.join(inside)).is_ok_and(|there| there == bytes);
        let name = written(inside);
        kind == Kind::File && (known.get(&name) == Some(&checksum(&bytes)) || is_sealed(&name, &bytes) || same())
    })
}

/// An error about a path in the folder, called as the folder was given.
fn called(folder: &Path, given: &Path, path: &Path, why: String) -> Error {
    Error::File { path: path.strip_prefix(folder).map_or(path.into(), |inside| given.join(inside)), why }
}

/// A path inside the folder as the list of its files has it.
fn written(inside: &Path) -> String {
    inside.to_string_lossy().replace('\\', "/")
}

/// What `job.json` in the folder says was written with it, by name, with checksums; and `job.json` itself.
fn written_before(folder: &Path) -> BTreeMap<String, u32> {
    let mut written = BTreeMap::new();
    let list = folder.join("job.json");
    if !fs::symlink_metadata(&list).is_ok_and(|about| about.is_file()) {
        return written;
    }
    let Ok(bytes) = fs::read(list) else { return written };
    let Ok(json) = serde_json::from_slice::<serde_json::Value>(&bytes) else { return written };
    let ours = json["made_by"].as_str().is_some_and(|by| by.starts_with("nestwright "));
    if !ours {
        return written;
    }
    written.insert("job.json".into(), checksum(&bytes));
    for file in json["files"].as_array().into_iter().flatten() {
        if let (Some(name), Some(sum)) = (file["name"].as_str(), file["crc32"].as_str())
            && let Ok(sum) = u32::from_str_radix(sum, 16)
        {
            written.insert(name.into(), sum);
        }
    }
    written
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    File,
    EmptyFolder,
    /// A link, a pipe, a device.
    Other,
}

/// Everything in a folder that is not itself a folder with something in it.
fn everything(folder: &Path) -> Result<Vec<(PathBuf, Kind)>, (PathBuf, io::Error)> {
    let fail = |why: io::Error| (folder.to_path_buf(), why);
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(fail)? {
        let entry = entry.map_err(fail)?;
        let (path, kind) = (entry.path(), entry.file_type().map_err(fail)?);
        if !kind.is_dir() {
            found.push((path, if kind.is_file() { Kind::File } else { Kind::Other }));
            continue;
        }
        let inside = everything(&path)?;
        if inside.is_empty() {
            found.push((path, Kind::EmptyFolder));
        }
        found.extend(inside);
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(found)
}
