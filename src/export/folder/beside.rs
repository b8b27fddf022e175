//! The folder beside the target in which a run works, and what killed runs left of theirs.

use super::ours;
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// What the names of such folders begin with.
const PREFIX: &str = ".nestwright-";
/// And of those that are being removed: whatever is still in one may go.
const GOING: &str = ".nestwright-going-";
/// The new folder is built under this name.
const NEW: &str = "new";
/// Where folders cannot change places at once, the old one steps aside under this name.
const OLD: &str = "old";
/// And what had taken its place for a moment, under this.
const UNDONE: &str = "undone";
/// A file that the run holds locked as long as it lives, with the target's name in it.
const AT_WORK: &str = "at-work";
/// A file that stands there from when the new folder is about to take its place.
const PUT: &str = "put";

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
        if cfg!(any(target_os = "linux", target_os = "android", target_vendor = "apple")) {
            Swap::AtOnce
        } else {
            Swap::InTwo
        }
    }
}

/// A folder beside the target that only this run uses; it is removed when dropped.
pub(super) struct Beside {
    folder: tempfile::TempDir,
    /// It holds what is nowhere else.
    keep: bool,
    /// Held locked; dropped after the folder is gone.
    _at_work: File,
}

impl Beside {
    pub(super) fn new(parent: &Path, target: &OsStr) -> io::Result<Beside> {
        // A run that clears up may take an empty folder for a dead one's: then make another.
        const TRIES: usize = 3;
        for _ in 1..TRIES {
            if let Ok(beside) = Beside::made(parent, target) {
                return Ok(beside);
            }
        }
        Beside::made(parent, target)
    }

    fn made(parent: &Path, target: &OsStr) -> io::Result<Beside> {
        // The library's own error names a folder that is not there; the kind says enough.
        let folder = tempfile::Builder::new().prefix(PREFIX).tempdir_in(parent).map_err(|why| plain(&why))?;
        let mut at_work = File::create_new(folder.path().join(AT_WORK))?;
        // A disk without locks has no run that could clear up wrongly.
        let _ = at_work.lock();
        // A name that is no text is not written down; then nothing of this run's is taken for granted later.
        at_work.write_all(target.to_str().unwrap_or("").as_bytes())?;
        fs::create_dir(folder.path().join(NEW))?;
        Ok(Beside { folder, keep: false, _at_work: at_work })
    }

    pub(super) fn new_folder(&self) -> PathBuf {
        self.folder.path().join(NEW)
    }

    /// Writes a file of the new folder.
    pub(super) fn write(&self, name: &str, bytes: &[u8]) -> io::Result<()> {
        let path = self.new_folder().join(name);
        path.parent().map_or(Ok(()), fs::create_dir_all)?;
        fs::write(path, bytes)
    }

    /// The new folder takes the target's place; returns where the old one is now.
    ///
    /// # Errors
    /// The target is then as it was, unless even that could not be.
    pub(super) fn swap(
        &mut self,
        target: &Path,
        swap: Swap,
        aside: &mut dyn FnMut() -> io::Result<()>,
    ) -> io::Result<PathBuf> {
        let (new, old) = (self.new_folder(), self.folder.path().join(OLD));
        File::create(self.folder.path().join(PUT))?;
        if swap == Swap::AtOnce && exchange(&new, target)? {
            return Ok(new);
        }
        fs::rename(target, &old)?;
        let put = aside().and_then(|()| fs::rename(&new, target));
        if let Err(why) = put {
            if fs::rename(&old, target).is_ok() {
                return Err(why);
            }
            self.keep = true;
            return Err(io::Error::other(format!("{why}; what was there is now in {}", old.display())));
        }
        Ok(old)
    }

    /// Undoes [`Beside::swap`].
    pub(super) fn swap_back(&mut self, target: &Path, old: &Path, swap: Swap) -> io::Result<()> {
        if swap == Swap::AtOnce && exchange(old, target)? {
            return Ok(());
        }
        let undone = fs::rename(target, self.folder.path().join(UNDONE)).and_then(|()| fs::rename(old, target));
        self.keep = undone.is_err();
        undone
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        self.folder.disable_cleanup(self.keep || remove(self.folder.path()));
    }
}

/// Removes a folder that nothing is lost with; false where not even its name could be changed.
///
/// Under its new name the next run removes it wholly should this one be killed half-way, when nothing in it tells any more
/// whose it was.
fn remove(folder: &Path) -> bool {
    let Some(name) = folder.file_name().and_then(OsStr::to_str) else { return false };
    let going = folder.with_file_name(format!("{GOING}{}", name.trim_start_matches(PREFIX)));
    let renamed = fs::rename(folder, &going).is_ok();
    // What cannot be removed now the next run removes.
    let _ = fs::remove_dir_all(if renamed { &going } else { folder });
    renamed
}

fn plain(why: &io::Error) -> io::Error {
    why.kind().into()
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

/// Clears away what runs that were killed have left in this folder; an old folder that had stepped aside comes back. What
/// might be somebody's own stays.
pub(super) fn clear_up(parent: &Path) {
    let Ok(entries) = fs::read_dir(parent) else { return };
    for entry in entries.flatten() {
        let named = entry.file_name().to_string_lossy().starts_with(PREFIX);
        if !named || !entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            continue;
        }
        if entry.file_name().to_string_lossy().starts_with(GOING) {
            let _ = fs::remove_dir_all(entry.path());
        } else {
            clear(&entry.path(), parent);
        }
    }
}

fn clear(left: &Path, parent: &Path) {
    let Ok(at_work) = File::open(left.join(AT_WORK)) else {
        // Killed before it had begun; only an empty folder goes.
        let _ = fs::remove_dir(left);
        return;
    };
    if at_work.try_lock().is_err() {
        return;
    }
    let (new, old) = (left.join(NEW), left.join(OLD));
    let name = fs::read_to_string(left.join(AT_WORK)).unwrap_or_default();
    let target = (super::stays_inside(&name) && !name.contains('/')).then(|| parent.join(name));
    if old.exists() && target.as_ref().is_some_and(|target| !target.exists() && fs::rename(&old, target).is_err()) {
        return;
    }
    // What may have changed places may be the old folder: it goes only if nothing is lost with it.
    let changed = old.exists() || left.join(PUT).exists();
    let mut left_over = [&old, &new].into_iter().filter(|folder| changed && folder.exists());
    if left_over.all(|folder| target.as_ref().is_some_and(|target| ours::no_loss(folder, target))) {
        remove(left);
    }
}
