//! A folder written all at once or not at all.

use crate::error::Error;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Files by name; a name may have folders in it, with `/`.
pub type Files = BTreeMap<String, Vec<u8>>;

/// A checksum by which a file is known again (CRC-32).
pub(super) fn checksum(bytes: &[u8]) -> u32 {
    crc32fast::hash(bytes)
}

/// Builds the folder beside its target and renames it over it.
///
/// A target that exists is replaced only when every file in it is one that an earlier run wrote and nobody has changed
/// since. `spec` may lie in the target; it is carried over as it is.
///
/// # Errors
/// [`Error::File`] naming the file that stands in the way, or what could not be written. The target is then as it was.
pub fn write_folder(target: &Path, files: &Files, spec: Option<&Path>) -> Result<(), Error> {
    let fail = |path: &Path, why: String| Error::File { path: path.into(), why };
    let target = std::path::absolute(target).map_err(|why| fail(target, why.to_string()))?;
    let parent = target.parent().ok_or_else(|| fail(&target, "is not a folder that can be written".into()))?;
    let kept = carried_over(&target, files, spec)?;
    fs::create_dir_all(parent).map_err(|why| fail(parent, why.to_string()))?;
    let beside = tempfile::Builder::new()
        .prefix(".nestwright-")
        .tempdir_in(parent)
        .map_err(|why| fail(parent, format!("no folder can be made here: {why}")))?;

    let new = beside.path().join("new");
    for (name, bytes) in files.iter().chain(&kept) {
        let path = new.join(name);
        let folder = path.parent().unwrap_or(&new);
        fs::create_dir_all(folder).map_err(|why| fail(folder, why.to_string()))?;
        fs::write(&path, bytes).map_err(|why| fail(&target.join(name), format!("could not be written: {why}")))?;
    }
    if !target.exists() {
        return fs::rename(&new, &target).map_err(|why| fail(&target, why.to_string()));
    }
    // The old folder steps aside, and back again if the new one can't take its place.
    let old = beside.path().join("old");
    fs::rename(&target, &old).map_err(|why| fail(&target, why.to_string()))?;
    fs::rename(&new, &target).map_err(|why| {
        let back = fs::rename(&old, &target);
        let lost = if back.is_err() { format!("; what was there is now in {}", old.display()) } else { String::new() };
        fail(&target, format!("{why}{lost}"))
    })
}

/// Looks through the target for anything that would be lost; returns the spec, if it lies there under its own name.
fn carried_over(target: &Path, files: &Files, spec: Option<&Path>) -> Result<Files, Error> {
    let fail = |path: &Path, why: &str| Error::File { path: path.into(), why: why.into() };
    let mut kept = Files::new();
    if !target.exists() {
        return Ok(kept);
    }
    if !target.is_dir() {
        return Err(fail(target, "is there already and is not a folder; nothing was written"));
    }
    let written = written_before(target);
    let spec = spec.and_then(|spec| spec.canonicalize().ok());
    for path in all_files(target)? {
        let name = path.strip_prefix(target).unwrap_or(&path).to_string_lossy().replace('\\', "/");
        let bytes = fs::read(&path).map_err(|why| fail(&path, &why.to_string()))?;
        if spec.as_ref().is_some_and(|spec| path.canonicalize().is_ok_and(|path| path == *spec)) {
            kept.insert(name, bytes);
            continue;
        }
        match written.get(&name) {
            Some(sum) if *sum == checksum(&bytes) => {}
            Some(_) if files.get(&name) == Some(&bytes) => {}
            Some(_) => {
                return Err(fail(
                    &path,
                    "was changed after nestwright wrote it; move it away first, or give another -o",
                ));
            }
            None => {
                return Err(fail(&path, "was not written by nestwright; move it away first, or give another -o"));
            }
        }
    }
    Ok(kept)
}

/// What `job.json` in the folder says was written with it, by name, with checksums; and `job.json` itself.
fn written_before(target: &Path) -> BTreeMap<String, u32> {
    let mut written = BTreeMap::new();
    let Ok(bytes) = fs::read(target.join("job.json")) else { return written };
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

fn all_files(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let fail = |why: std::io::Error| Error::File { path: folder.into(), why: why.to_string() };
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(fail)? {
        let path = entry.map_err(fail)?.path();
        if path.is_dir() && !path.is_symlink() {
            found.extend(all_files(&path)?);
        } else {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(text: &str) -> Files {
        let mut files = Files::from([("a.txt".to_string(), text.as_bytes().to_vec()), ("parts/b.txt".into(), vec![1])]);
        let list: Vec<_> = files
            .iter()
            .map(|(name, bytes)| serde_json::json!({ "name": name, "crc32": format!("{:08x}", checksum(bytes)) }))
            .collect();
        let json = serde_json::json!({ "made_by": "nestwright 0", "files": list });
        files.insert("job.json".into(), json.to_string().into_bytes());
        files
    }

    #[test]
    fn its_own_folder_is_replaced_whole() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        write_folder(&target, &files("two"), None).expect("replaced");
        assert_eq!(fs::read_to_string(target.join("a.txt")).expect("there"), "two");
        assert_eq!(fs::read_dir(dir.path()).expect("there").count(), 1, "nothing is left beside it");
    }

    #[test]
    fn what_others_wrote_or_changed_stays() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        fs::write(target.join("notes.txt"), "mine").expect("written");
        assert!(write_folder(&target, &files("two"), None).is_err());
        fs::remove_file(target.join("notes.txt")).expect("removed");
        fs::write(target.join("a.txt"), "edited").expect("written");
        assert!(write_folder(&target, &files("two"), None).is_err());
        assert_eq!(fs::read_to_string(target.join("a.txt")).expect("there"), "edited");
    }

    #[test]
    fn the_spec_in_the_folder_is_carried_over() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let target = dir.path().join("out");
        fs::create_dir(&target).expect("made");
        let spec = target.join("mine.toml");
        fs::write(&spec, "spec").expect("written");
        write_folder(&target, &files("one"), Some(&spec)).expect("written");
        assert_eq!(fs::read_to_string(&spec).expect("there"), "spec");
    }
}
