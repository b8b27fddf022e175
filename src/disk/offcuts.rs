//! Lists of off-cuts on the disk: marked as promised to a job, or put back.

use super::plainly;
use crate::error::Error;
use crate::offcuts::{LONGEST, List, OffCut, PROMISED_TO, promised, read};
use crate::reading::Source;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Marks off-cuts in their list, at `path`, as promised to a job; those that were promised to it and that it no longer uses
/// are free again. `seen` is the list as the job was laid out from it. Returns the list as it is now.
///
/// The list is locked, compared with what was seen, and replaced in one step: of two jobs that want the same off-cut one
/// gets it and the other is told.
///
/// # Errors
/// [`Error::File`] when the list was changed meanwhile, or cannot be written; it is then as it was.
pub fn promise(path: &Path, seen: &str, job: &str, used: &BTreeSet<&str>) -> Result<String, Error> {
    let text = promised(seen, job, used).ok_or_else(|| Error::File {
        path: path.into(),
        why: "the off-cuts could not be marked as promised: expected one key on a line".into(),
    })?;
    replace(path, seen, &text)?;
    Ok(text)
}

/// Puts a list back to what it was before a promise, if nobody has changed it since.
///
/// # Errors
/// [`Error::File`] when somebody has, or it cannot be written.
pub fn take_back(path: &Path, before: &str, after: &str) -> Result<(), Error> {
    replace(path, after, before)
}

/// Replaces a list that still is as it was seen.
fn replace(path: &Path, seen: &str, text: &str) -> Result<(), Error> {
    let fail = |why: String| Error::File { path: path.into(), why };
    if text == seen {
        return Ok(());
    }
    // Behind a link the list itself is marked: a copy of it would leave the piece free for whoever comes another way.
    let real = path.canonicalize().map_err(|why| fail(plainly(&why)))?;
    let lock = File::open(&real).map_err(|why| fail(plainly(&why)))?;
    lock.lock().map_err(|why| fail(plainly(&why)))?;
    let now = fs::read(&real).map_err(|why| fail(plainly(&why)))?;
    if now != seen.as_bytes() {
        let why = "was changed while the job was laid out: another job may have got these off-cuts. Make it again";
        return Err(fail(why.into()));
    }
    let marked = marking(&real);
    // A link or a pipe is not read.
    let ours =
        |about: fs::Metadata| about.is_file() && fs::read(&marked).is_ok_and(|there| is_half_marked(&marked, &there));
    if !fs::symlink_metadata(&marked).map_or(true, ours) {
        return Err(Error::File {
            path: marked,
            why: "is in the way of marking the off-cuts: move it away first".into(),
        });
    }
    let done = File::create(&marked).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.set_permissions(fs::metadata(&real)?.permissions())?;
        file.sync_all()?;
        fs::rename(&marked, &real)?;
        // The mark is on the disk before the job's folder is; some disks cannot say so of a folder.
        let _ = real.parent().map(|folder| File::open(folder).and_then(|folder| folder.sync_all()));
        Ok(())
    });
    done.map_err(|why| {
        let _ = fs::remove_file(&marked);
        fail(format!("could not be marked, and is as it was: {}", plainly(&why)))
    })
}

/// The list is marked in a copy beside it, which then takes its place. The copy's name follows from the list's, so that one
/// left by a run that was killed is known for what it is.
fn marking(list: &Path) -> PathBuf {
    let name = list.file_name().unwrap_or_default().to_string_lossy();
    list.with_file_name(format!(".{name}{MARKING}"))
}

const MARKING: &str = ".nestwright";

/// Is this what a killed run left of marking the list beside it: the list but for its marks, or the beginning of it?
pub(super) fn is_half_marked(path: &Path, bytes: &[u8]) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let Some(list) = name.strip_prefix('.').and_then(|name| name.strip_suffix(MARKING)) else { return false };
    let Ok(list) = super::read_text(&path.with_file_name(list), LONGEST) else { return false };
    let (list, mark) = (unmarked(&list), format!("{}=\"", PROMISED_TO.name));
    let found = unmarked(String::from_utf8_lossy(bytes).trim_end_matches('\u{fffd}'));
    let but_for = |begun: usize| found.strip_suffix(&mark[..begun]).is_some_and(|found| list.starts_with(found));
    (0..mark.len()).any(but_for)
}

/// The letters of a list without its marks, and without what stands between keys. A mark that is broken off ends it.
fn unmarked(text: &str) -> String {
    let mut left: String = text.chars().filter(|c| !c.is_whitespace() && *c != ',').collect();
    let key = format!("{}=", PROMISED_TO.name);
    while let Some(at) = left.find(&key) {
        let value = at + key.len();
        let quote = left[value..].chars().next().filter(|c| matches!(c, '"' | '\''));
        let ends = |(i, c): &(usize, char)| Some(*c) == quote && !(left[..value + i].ends_with('\\') && *c == '"');
        let end = left[value..].char_indices().skip(1).find(ends).map(|(i, _)| value + i + 1);
        left.replace_range(at..end.unwrap_or(left.len()), "");
    }
    left
}

/// The list that stays when its job is made again: the one that is there, with the maker's comments and its promises, as
/// long as it lists the same off-cuts.
///
/// # Errors
/// [`Error::File`] when an off-cut of it is promised to a job and would be there no more.
pub fn kept(path: &Path, fresh: &str) -> Result<Option<String>, Error> {
    let Ok(old) = super::read_text(path, LONGEST) else { return Ok(None) };
    let Ok(there) = read(&Source::new("", old.as_str())) else { return Ok(None) };
    let Ok(now) = read(&Source::new("", fresh)) else { return Ok(None) };
    let plain = |list: &List| -> Vec<OffCut> {
        list.off_cuts.iter().map(|(off_cut, _)| OffCut { promised_to: None, ..off_cut.clone() }).collect()
    };
    let (before, after) = (plain(&there), plain(&now));
    if before == after {
        return Ok(Some(old));
    }
    let lost = there.off_cuts.iter().find(|(off_cut, _)| {
        let free = OffCut { promised_to: None, ..off_cut.clone() };
        off_cut.promised_to.is_some() && !after.contains(&free)
    });
    match lost {
        Some((off_cut, _)) => Err(Error::File {
            path: path.into(),
            why: format!(
                "{} is promised to {}, and the job as it is now does not leave it. Make it into another folder, or strike \
                 the promise out",
                off_cut.id,
                off_cut.promised_to.as_deref().unwrap_or_default()
            ),
        }),
        None => Ok(None),
    }
}
