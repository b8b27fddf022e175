//! The folder beside the target in which a run works, and what a killed run left in it.

use super::{called, checksum, ours};
use crate::disk::plainly;
use crate::error::Error;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::thread;

/// What the names of such folders begin with; a checksum of the target's name follows.
const PREFIX: &str = ".nestwright-";
/// A file that the run holds locked as long as it lives, and by which the folder is known as ours: it goes last.
const AT_WORK: &str = "at-work";
const MARK: &str = "nestwright works here. The next run into the folder beside this one clears it away.\n";
/// The new folder is built under this name. It may go at any time.
const NEW: &str = "new";
/// Under this one it changes places with the target: so it may be the old folder.
const READY: &str = "ready";
/// Where folders cannot change places at once, the old one steps aside under this name.
const OLD: &str = "old";
/// What has been looked through and may go.
const DONE: &str = "done";

/// How the new folder takes the old one's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Swap {
    /// Both change names in one step of the system's: there is no moment without a folder.
    AtOnce,
    /// The old one steps aside, then the new one takes its place.
    InTwo,
}

impl Swap {
    /// What the system can do; [`Beside::swap`] falls back where a disk cannot.
    pub(super) fn best() -> Swap {
        let at_once = cfg!(any(target_os = "linux", target_os = "android", target_vendor = "apple"));
        if at_once { Swap::AtOnce } else { Swap::InTwo }
    }
}

/// What to say where no folder can be made beside the target.
pub(super) fn no_room(given: &Path, why: &io::Error) -> Error {
    let above = given.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    called(above, format!("no folder can be made in it: {}", plainly(why)))
}

/// A folder beside the target that only this run uses; when dropped it goes, but for what is nowhere else.
pub(super) struct Beside {
    folder: PathBuf,
    /// Held locked. A disk without locks has no second run that could be told.
    _at_work: File,
}

impl Beside {
    /// Makes the folder, or takes over that of a killed run and puts right what it left: an old folder that had stepped
    /// aside comes back.
    ///
    /// # Errors
    /// [`Error::File`] when another run works there, when something else has that name, or a killed run left what is
    /// nowhere else.
    pub(super) fn begin(target: &Path, given: &Path) -> Result<Beside, Error> {
        let name = target.file_name().unwrap_or_default();
        let folder = target.with_file_name(format!("{PREFIX}{:08x}", checksum(name.as_encoded_bytes())));
        let beside = Beside { _at_work: locked(&folder, given)?, folder };
        beside.clear();
        if beside.at(OLD).exists() && fs::symlink_metadata(target).is_err() {
            fs::rename(beside.at(OLD), target).map_err(|why| no_room(given, &why))?;
        }
        let in_target = |name: &str, bytes: &[u8]| fs::read(target.join(name)).is_ok_and(|there| there == bytes);
        for taken in [READY, OLD].map(|name| beside.at(name)) {
            if let Some((inside, _)) = ours::lost(&taken, &in_target) {
                let why = "is of a run that was killed, and nowhere else: move it away first";
                return Err(called(&taken.join(inside), why));
            }
            beside.may_go(&taken);
        }
        fs::create_dir(beside.at(NEW)).map_err(|why| no_room(given, &why))?;
        Ok(beside)
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Writes a file of the new folder.
    pub(super) fn write(&self, name: &str, bytes: &[u8]) -> io::Result<()> {
        let path = self.at(NEW).join(name);
        path.parent().map_or(Ok(()), fs::create_dir_all)?;
        fs::write(path, bytes)
    }

    /// Brings the new folder to the disk, its files first.
    pub(super) fn sync<'a>(&self, names: impl Iterator<Item = &'a String>) -> io::Result<()> {
        let paths: Vec<PathBuf> = names.map(|name| self.at(NEW).join(name)).collect();
        paths.par_iter().try_for_each(|path| OpenOptions::new().write(true).open(path)?.sync_all())?;
        let folders: BTreeSet<&Path> = paths.iter().flat_map(|path| path.ancestors().skip(1)).collect();
        let inside = folders.into_iter().filter(|folder| folder.starts_with(&self.folder));
        inside.rev().try_for_each(|folder| sync_folder(Some(folder)))
    }

    /// The new folder becomes the target where there is none.
    pub(super) fn put(&self, target: &Path) -> io::Result<()> {
        fs::rename(self.at(NEW), target)?;
        sync_folder(target.parent())
    }

    /// The new folder takes the target's place; returns where the old one is now.
    ///
    /// # Errors
    /// The target is then as it was, unless even that could not be.
    pub(super) fn swap(
        &self,
        target: &Path,
        swap: Swap,
        aside: &mut dyn FnMut() -> io::Result<()>,
    ) -> io::Result<PathBuf> {
        let [new, ready, old] = [NEW, READY, OLD].map(|name| self.at(name));
        fs::rename(&new, &ready)?;
        let mut in_two = || {
            fs::rename(target, &old)?;
            let Err(why) = aside().and_then(|()| fs::rename(&ready, target)) else { return Ok(old.clone()) };
            match fs::rename(&old, target) {
                Ok(()) => Err(why),
                Err(_) => Err(io::Error::other(format!("{why}; what was there is now in {}", old.display()))),
            }
        };
        let exchanged = if swap == Swap::AtOnce { exchange(&ready, target) } else { Ok(false) };
        let swapped = match exchanged {
            Ok(true) => Ok(ready.clone()),
            Ok(false) => in_two(),
            Err(why) => Err(why),
        };
        if swapped.is_err() {
            fs::rename(&ready, &new)?;
        }
        swapped
    }

    /// Undoes [`Beside::swap`].
    pub(super) fn swap_back(&self, target: &Path, old: &Path, swap: Swap) -> io::Result<()> {
        if swap == Swap::AtOnce && exchange(old, target)? {
            return fs::rename(old, self.at(NEW));
        }
        fs::rename(target, self.at(NEW)).and_then(|()| fs::rename(old, target))
    }

    /// Nothing is lost with what was there.
    pub(super) fn may_go(&self, old: &Path) {
        let _ = fs::rename(old, self.at(DONE));
        self.clear();
    }

    /// What cannot be removed now the next run removes.
    fn clear(&self) {
        for gone in [NEW, DONE] {
            let _ = fs::remove_dir_all(self.at(gone));
        }
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        self.clear();
        if ![READY, OLD].iter().any(|name| self.at(name).exists()) {
            let _ = fs::remove_file(self.at(AT_WORK));
            let _ = fs::remove_dir(&self.folder);
        }
    }
}

/// Makes the folder, or finds that of a killed run, and locks its mark.
fn locked(folder: &Path, given: &Path) -> Result<File, Error> {
    /// Another run may end at any moment, and its folder with it: then look again.
    const TRIES: usize = 100;
    let path = folder.join(AT_WORK);
    for _ in 0..TRIES {
        match fs::create_dir(folder) {
            Err(why) if why.kind() != io::ErrorKind::AlreadyExists => return Err(no_room(given, &why)),
            _ => {}
        }
        let marked = match fs::read(&path) {
            Ok(there) => MARK.as_bytes().starts_with(&there),
            Err(why) if why.kind() == io::ErrorKind::NotFound => {
                fs::read_dir(folder).is_ok_and(|mut inside| inside.next().is_none())
            }
            // Where a file that is locked cannot be read.
            Err(_) => true,
        };
        let open = || OpenOptions::new().create(true).truncate(false).write(true).open(&path).ok();
        let Some(mut at_work) = marked.then(open).flatten() else {
            thread::yield_now();
            continue;
        };
        if let Err(TryLockError::WouldBlock) = at_work.try_lock() {
            return Err(called(given, "is being written by another run: make it again when that has ended"));
        }
        if is_at(&at_work, &path) {
            at_work.write_all(MARK.as_bytes()).map_err(|why| no_room(given, &why))?;
            return Ok(at_work);
        }
    }
    Err(called(folder, "is in the way and was not made by nestwright: move it away first"))
}

/// Is the open file still the one of this path?
#[cfg(unix)]
fn is_at(open: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let which = |about: fs::Metadata| (about.dev(), about.ino());
    open.metadata().is_ok_and(|open| fs::metadata(path).is_ok_and(|there| which(there) == which(open)))
}

#[cfg(not(unix))]
fn is_at(_: &File, path: &Path) -> bool {
    path.exists()
}

/// Brings a folder's list of names to the disk, where the system knows that of folders.
pub(super) fn sync_folder(folder: Option<&Path>) -> io::Result<()> {
    let Some(folder) = folder.filter(|_| cfg!(unix)) else { return Ok(()) };
    match File::open(folder)?.sync_all() {
        Err(why) if matches!(why.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
        synced => synced,
    }
}

/// Lets two folders change names in one step; false where the system or the disk cannot.
#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
fn exchange(one: &Path, other: &Path) -> io::Result<bool> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    use rustix::io::Errno;
    match renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE) {
        Ok(()) => Ok(true),
        Err(Errno::INVAL | Errno::NOSYS | Errno::NOTSUP) => Ok(false),
        Err(why) => Err(why.into()),
    }
}

#[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
fn exchange(_: &Path, _: &Path) -> io::Result<bool> {
    Ok(false)
}
