//! A folder written all at once or not at all.
//!
//! It is built beside its target, in a folder whose name follows from the target's, and then changes places with what is
//! there. Whatever stops the run, the target is wholly as it was or wholly new, and nothing that somebody else wrote is lost.
//! What a run that was killed leaves beside the target is put right by the next one into it.

mod beside;
mod ours;
mod seal;
#[cfg(test)]
mod tests;

use super::plainly;
use crate::error::Error;
use crate::export::{Files, checksum};
use beside::{Beside, Swap};
pub use seal::write_proof;
use std::path::{Component, Path, PathBuf};
use std::{env, fs, io};

/// Builds the folder beside its target and puts it in the target's place.
///
/// A target that exists is replaced only when every file in it is one that an earlier run wrote and nobody has changed
/// since, or a picture of a proof, which then shows programs of yesterday and goes. `spec` may lie in the target; it is
/// carried over as it is. Where the target is a link, the folder it leads to is meant. Of two runs into one folder at the
/// same time one is told of the other. All of it is on the disk before what was there goes.
///
/// # Errors
/// [`Error::File`] naming the file that stands in the way, or what could not be written. The target is then as it was.
pub fn write_folder(target: &Path, files: &Files, spec: Option<&Path>) -> Result<(), Error> {
    write_in_steps(target, files, spec, Swap::best(), &mut |_| Ok(()))
}

/// What is done next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    Parents,
    Beside,
    /// The file of this number.
    File(usize),
    /// All files are written, and about to be brought to the disk.
    Sync,
    /// The new folder is about to take its place.
    Put,
    /// Where they cannot change places at once: the old folder has stepped aside.
    Aside,
    /// The new folder has its place; what was there is about to be looked through once more.
    Look,
    /// What was there is about to be removed.
    Clear,
}

/// Asked before each step; its error is that of the step.
type Before<'a> = &'a mut dyn FnMut(Step) -> io::Result<()>;

fn write_in_steps(given: &Path, files: &Files, spec: Option<&Path>, swap: Swap, before: Before) -> Result<(), Error> {
    if let Some(name) = files.keys().find(|name| !stays_inside(name)) {
        return Err(Error::Fault(format!("the file `{name}` would lie outside its folder")));
    }
    let target = resolved(given)?;
    let Some(parent) = target.parent() else { return Err(called(given, "is not a folder that can be written")) };
    let missing: Vec<&Path> = parent.ancestors().take_while(|above| fs::symlink_metadata(above).is_err()).collect();
    let parents = before(Step::Parents).and_then(|()| fs::create_dir_all(parent)).map_err(|why| match why.kind() {
        io::ErrorKind::AlreadyExists => io::ErrorKind::NotADirectory.into(),
        _ => why,
    });
    let written = parents
        .map_err(|why| called(parent, plainly(&why)))
        .and_then(|()| write_beside(given, &target, files, spec, swap, before));
    if written.is_err() {
        for made in missing {
            // Only an empty one goes.
            let _ = fs::remove_dir(made);
        }
    }
    written
}

fn write_beside(
    given: &Path,
    target: &Path,
    files: &Files,
    spec: Option<&Path>,
    swap: Swap,
    before: Before,
) -> Result<(), Error> {
    before(Step::Beside).map_err(|why| beside::no_room(given, &why))?;
    let beside = Beside::begin(target, given)?;
    let kept = ours::carried_over(target, given, files, spec)?;
    let unwritten = |path: &Path, why: io::Error| {
        called(path, format!("could not be written, and nothing was changed: {}", plainly(&why)))
    };
    for (i, (name, bytes)) in files.iter().chain(&kept).enumerate() {
        let written = before(Step::File(i)).and_then(|()| beside.write(name, bytes));
        written.map_err(|why| unwritten(&given.join(name), why))?;
    }
    before(Step::Sync)
        .and_then(|()| beside.sync(files.keys().chain(kept.keys())))
        .map_err(|why| unwritten(given, why))?;

    let fail = |why: io::Error| called(given, plainly(&why));
    before(Step::Put).map_err(fail)?;
    if fs::symlink_metadata(target).is_err() {
        return beside.put(target).map_err(fail);
    }
    let old = beside.swap(target, swap, &mut || before(Step::Aside)).map_err(fail)?;
    // Somebody may have put something into the old one meanwhile: then it gets its place back.
    let looked = before(Step::Look).and_then(|()| beside::sync_folder(target.parent())).map_err(fail);
    if let Err(stranger) = looked.and_then(|()| ours::refuse_loss(&old, given, files, &kept)) {
        let why_not = |why: io::Error| format!("{}; what was there is now in {}", plainly(&why), old.display());
        beside.swap_back(target, &old, swap).map_err(|why| called(given, why_not(why)))?;
        return Err(stranger);
    }
    // From here on it is done: what cannot be cleared now the next run clears.
    let _ = before(Step::Clear);
    beside.may_go(&old);
    Ok(())
}

fn called(path: &Path, why: impl Into<String>) -> Error {
    Error::File { path: path.into(), why: why.into() }
}

/// Does the name stay inside the folder it is joined to?
fn stays_inside(name: &str) -> bool {
    !name.is_empty() && Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

/// The folder meant: absolute, links followed. Not the one that the program runs in, nor one around it: whoever typed the
/// command would be left standing in a folder that is no more.
fn resolved(given: &Path) -> Result<PathBuf, Error> {
    let target = std::path::absolute(given).map_err(|why| called(given, plainly(&why)))?;
    let Ok(about) = fs::symlink_metadata(&target) else { return Ok(target) };
    let real = match target.canonicalize() {
        Ok(real) => real,
        Err(_) if about.is_symlink() => return Err(called(given, "is a link that leads nowhere")),
        Err(why) => return Err(called(given, plainly(&why))),
    };
    if !real.is_dir() {
        return Err(called(given, "is there already and is not a folder; nothing was written"));
    }
    if env::current_dir().and_then(|here| here.canonicalize()).is_ok_and(|here| here.starts_with(&real)) {
        return Err(called(given, "is the folder you are in, or around it: give another -o"));
    }
    Ok(real)
}
