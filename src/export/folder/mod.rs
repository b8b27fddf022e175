//! A folder written all at once or not at all.
//!
//! It is built beside its target, in a folder that only this run uses, and then changes places with what is there. Whatever
//! stops the run, the target is wholly as it was or wholly new, and nothing that somebody else wrote is lost. What a run
//! that was killed leaves beside the target is cleared away by the next one.

mod beside;
mod ours;
mod proof;
#[cfg(test)]
mod tests;

use crate::error::{Error, plainly};
use beside::{Beside, Swap};
pub use proof::write_proof;
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::{env, fs, io};

/// Files by name; a name may have folders in it, with `/`.
pub type Files = BTreeMap<String, Vec<u8>>;

/// A checksum by which a file is known again (CRC-32).
pub(super) fn checksum(bytes: &[u8]) -> u32 {
    crc32fast::hash(bytes)
}

/// Builds the folder beside its target and puts it in the target's place.
///
/// A target that exists is replaced only when every file in it is one that an earlier run wrote and nobody has changed
/// since, or a picture of a proof, which then shows programs of yesterday and goes. `spec` may lie in the target; it is carried over as it is. Where the target is a link, the folder it leads to is
/// meant. Two runs into one folder leave the whole of one or the other.
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
    /// The new folder is about to take its place.
    Put,
    /// Where they cannot change places at once: the old folder has stepped aside.
    Aside,
    /// The new folder has its place; what was there is about to be looked through once more.
    Look,
    /// What was there is about to be removed.
    Clear,
}

/// Before each step `before` is asked; its error is that of the step.
fn write_in_steps(
    given: &Path,
    files: &Files,
    spec: Option<&Path>,
    swap: Swap,
    before: &mut dyn FnMut(Step) -> io::Result<()>,
) -> Result<(), Error> {
    let fail = |path: &Path, why: &io::Error| Error::File { path: path.into(), why: plainly(why) };
    if let Some(name) = files.keys().find(|name| !stays_inside(name)) {
        return Err(Error::Fault(format!("the file `{name}` would lie outside its folder")));
    }
    let target = resolved(given)?;
    let (Some(parent), Some(name)) = (target.parent(), target.file_name()) else {
        return Err(Error::File { path: given.into(), why: "is not a folder that can be written".into() });
    };
    beside::clear_up(parent);
    let kept = ours::carried_over(&target, given, files, spec)?;

    before(Step::Parents).map_err(|why| fail(parent, &why))?;
    let mut parents = Parents::make(parent).map_err(|(path, why)| fail(&path, &why))?;
    let no_room = |why: io::Error| {
        let why = format!("no folder can be made in it: {}", plainly(&why));
        Error::File { path: shown(given).into(), why }
    };
    before(Step::Beside).map_err(no_room)?;
    let mut beside = Beside::new(parent, name).map_err(no_room)?;
    for (i, (name, bytes)) in files.iter().chain(&kept).enumerate() {
        let written = before(Step::File(i)).and_then(|()| beside.write(name, bytes));
        written.map_err(|why| Error::File {
            path: given.join(name),
            why: format!("could not be written, and nothing was changed: {}", plainly(&why)),
        })?;
    }
    put_in_place(&mut beside, &target, given, files, &kept, swap, before)?;
    parents.keep();
    Ok(())
}

/// The new folder takes the target's place, and gives it back if somebody has put something into the old one meanwhile.
fn put_in_place(
    beside: &mut Beside,
    target: &Path,
    given: &Path,
    files: &Files,
    kept: &Files,
    swap: Swap,
    before: &mut dyn FnMut(Step) -> io::Result<()>,
) -> Result<(), Error> {
    let fail = |why: &io::Error| Error::File { path: given.into(), why: plainly(why) };
    // Another run may make the folder, or take it away, between the look and the step: then look again.
    const TRIES: usize = 5;
    let mut tries = 0;
    loop {
        tries += 1;
        before(Step::Put).map_err(|why| fail(&why))?;
        if fs::symlink_metadata(target).is_err() {
            match fs::rename(beside.new_folder(), target) {
                Ok(()) => return Ok(()),
                Err(_) if tries < TRIES && target.exists() => continue,
                Err(why) => return Err(fail(&why)),
            }
        }
        let old = match beside.swap(target, swap, &mut || before(Step::Aside)) {
            Ok(old) => old,
            Err(why) if tries < TRIES && why.kind() == io::ErrorKind::NotFound => continue,
            Err(why) => return Err(fail(&why)),
        };
        let looked = before(Step::Look).map_err(|why| fail(&why));
        if let Err(stranger) = looked.and_then(|()| ours::all_ours(&old, given, files, kept)) {
            beside.swap_back(target, &old, swap).map_err(|why| Error::File {
                path: given.into(),
                why: format!("{}; what was there is now in {}", plainly(&why), old.display()),
            })?;
            return Err(stranger);
        }
        // From here on it is done: what cannot be cleared now the next run clears.
        let _ = before(Step::Clear);
        return Ok(());
    }
}

/// Does the name stay inside the folder it is joined to?
fn stays_inside(name: &str) -> bool {
    !name.is_empty() && Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

/// The folder meant: absolute, links followed. Not the one that the program runs in, nor one around it: whoever typed the
/// command would be left standing in a folder that is no more.
fn resolved(given: &Path) -> Result<PathBuf, Error> {
    let fail = |why: &str| Error::File { path: given.into(), why: why.into() };
    let target = std::path::absolute(given).map_err(|why| fail(&plainly(&why)))?;
    let Ok(about) = fs::symlink_metadata(&target) else { return Ok(target) };
    let real = match target.canonicalize() {
        Ok(real) => real,
        Err(_) if about.is_symlink() => return Err(fail("is a link that leads nowhere")),
        Err(why) => return Err(fail(&plainly(&why))),
    };
    if !real.is_dir() {
        return Err(fail("is there already and is not a folder; nothing was written"));
    }
    if env::current_dir().and_then(|here| here.canonicalize()).is_ok_and(|here| here.starts_with(&real)) {
        return Err(fail("is the folder you are in, or around it: give another -o"));
    }
    Ok(real)
}

/// The folder above, as somebody typed it.
fn shown(given: &Path) -> &Path {
    given.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// The folders that had to be made above the target; they go again if nothing comes of it.
struct Parents(Vec<PathBuf>);

impl Parents {
    fn make(folder: &Path) -> Result<Parents, (PathBuf, io::Error)> {
        let missing: Vec<&Path> = folder.ancestors().take_while(|above| fs::symlink_metadata(above).is_err()).collect();
        let mut made = Parents(Vec::new());
        for above in missing.into_iter().rev() {
            match fs::create_dir(above) {
                Ok(()) => made.0.push(above.into()),
                // Another run was quicker.
                Err(_) if above.is_dir() => {}
                Err(why) => return Err((above.into(), why)),
            }
        }
        if folder.is_dir() { Ok(made) } else { Err((folder.into(), io::ErrorKind::NotADirectory.into())) }
    }

    fn keep(&mut self) {
        self.0.clear();
    }
}

impl Drop for Parents {
    fn drop(&mut self) {
        for made in self.0.iter().rev() {
            // Only an empty one goes.
            let _ = fs::remove_dir(made);
        }
    }
}
