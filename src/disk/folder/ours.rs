//! Which files of a folder were written by an earlier run, and whether anything else is among them.

use super::seal::is_sealed;
use super::{Files, called, checksum};
use crate::disk::{offcuts, plainly};
use crate::error::Error;
use crate::export::is_sealed_json;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const NOT_OURS: &str = "was not written by nestwright; move it away first, or give another -o";
const CHANGED: &str = "was changed after nestwright wrote it; move it away first, or give another -o";

/// Looks through the target for anything that would be lost; returns the spec, if it lies there under a name of its own.
///
/// `given` is how the target is called in messages.
pub(super) fn carried_over(target: &Path, given: &Path, files: &Files, spec: Option<&Path>) -> Result<Files, Error> {
    let mut kept = Files::new();
    let spec = spec.and_then(|spec| spec.canonicalize().ok());
    if let Some(spec) = &spec
        && let Ok(inside) = spec.strip_prefix(target)
    {
        let name = written(inside);
        // `job.toml` is a copy of the spec. On some disks names that differ in capitals are one.
        if name != "job.toml" && files.keys().any(|other| other.eq_ignore_ascii_case(&name)) {
            let why = "is the spec, and a file of this name is to be written: call the spec something else, or give another -o";
            return Err(called(&given.join(inside), why));
        }
        let bytes = fs::read(spec).map_err(|why| called(&given.join(inside), plainly(&why)))?;
        kept.insert(name, bytes);
    }
    refuse_loss(target, given, files, &kept)?;
    Ok(kept)
}

/// Is every file in the folder one that an earlier run wrote and nobody changed, or one that is written again as it is?
///
/// # Errors
/// [`Error::File`] with the first that is not.
pub(super) fn refuse_loss(folder: &Path, given: &Path, files: &Files, kept: &Files) -> Result<(), Error> {
    let again = |name: &str, bytes: &[u8]| [kept, files].iter().any(|of| of.get(name).is_some_and(|now| now == bytes));
    match lost(folder, &again) {
        Some((inside, why)) => Err(called(&given.join(inside), why)),
        None => Ok(()),
    }
}

/// The first in a folder that would be lost with it, and why: all but what an earlier run wrote and nobody changed, what
/// such a run left of its own, and what is the same elsewhere. Where there is no folder, nothing is lost.
pub(super) fn lost(folder: &Path, same: &dyn Fn(&str, &[u8]) -> bool) -> Option<(PathBuf, String)> {
    let known = written_before(folder);
    everything(folder).into_iter().find_map(|(path, is_file)| {
        let inside = path.strip_prefix(folder).unwrap_or(&path);
        let name = written(inside);
        let why = match is_file.then(|| fs::read(&path)) {
            // A pipe or a device is not read, nor what a link leads to.
            None => NOT_OURS.into(),
            Some(Err(why)) => plainly(&why),
            Some(Ok(bytes)) => {
                let ours = known.get(&name) == Some(&Some(checksum(&bytes))) || is_sealed(&name, &bytes);
                let half_marked = || offcuts::is_half_marked(&path, &bytes);
                match known.contains_key(&name) {
                    _ if ours || same(&name, &bytes) || half_marked() => return None,
                    true => CHANGED.into(),
                    false => NOT_OURS.into(),
                }
            }
        };
        Some((inside.into(), why))
    })
}

/// A path inside the folder as the list of its files has it.
fn written(inside: &Path) -> String {
    inside.to_string_lossy().replace('\\', "/")
}

/// What `job.json` in the folder says was written with it, by name, with checksums; and `job.json` itself, without one when
/// somebody has changed it.
fn written_before(folder: &Path) -> BTreeMap<String, Option<u32>> {
    let list = folder.join("job.json");
    let is_file = fs::symlink_metadata(&list).is_ok_and(|about| about.is_file());
    let bytes = is_file.then(|| fs::read(list).ok()).flatten().unwrap_or_default();
    let json: serde_json::Value = serde_json::from_slice(&bytes).unwrap_or_default();
    if !json["made_by"].as_str().is_some_and(|by| by.starts_with("nestwright ")) {
        return BTreeMap::new();
    }
    let listed = json["files"].as_array().into_iter().flatten().filter_map(|file| {
        let sum = u32::from_str_radix(file["crc32"].as_str()?, 16).ok()?;
        Some((file["name"].as_str()?.to_string(), Some(sum)))
    });
    let itself = ("job.json".to_string(), is_sealed_json(&bytes).then(|| checksum(&bytes)));
    listed.chain([itself]).collect()
}

/// Everything in a folder that is not itself a folder with something in it, in order; and whether it is a file, and no
/// link, pipe, device or empty folder. What cannot be looked into counts as no file.
fn everything(folder: &Path) -> Vec<(PathBuf, bool)> {
    let mut entries: Vec<_> = fs::read_dir(folder).into_iter().flatten().flatten().collect();
    entries.sort_by_key(fs::DirEntry::path);
    let each = entries.into_iter().flat_map(|entry| {
        let (path, kind) = (entry.path(), entry.file_type());
        let inside = if kind.as_ref().is_ok_and(fs::FileType::is_dir) { everything(&path) } else { Vec::new() };
        if inside.is_empty() { vec![(path, kind.is_ok_and(|kind| kind.is_file()))] } else { inside }
    });
    each.collect()
}
