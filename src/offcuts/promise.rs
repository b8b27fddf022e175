//! Promising off-cuts to a job: marks in their list.

use super::list::quoted;
use super::read::{self, PROMISED_TO, read};
use crate::error::{Error, plainly};
use crate::reading::Source;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::Write;
use std::ops::Range;
use std::path::{Path, PathBuf};
use toml::de::DeTable;

/// The list's text with these off-cuts promised to the job, and none but these; everything else stays as it is, comments
/// too. `None` where it is no list, or where one of them is promised to another job or not there.
pub fn promised(text: &str, job: &str, used: &BTreeSet<&str>) -> Option<String> {
    let list = read(&Source::new("", text)).ok()?;
    for id in used {
        let (off_cut, _) = list.off_cuts.iter().find(|(off_cut, _)| off_cut.id == **id)?;
        if off_cut.promised_to.as_ref().is_some_and(|other| other != job) {
            return None;
        }
    }
    let top = DeTable::parse(text).ok()?;
    let tables = top.get_ref().get("off-cut").and_then(|entry| entry.get_ref().as_array());
    // What stands at each place, and what is to stand there.
    let mut changes: Vec<(Range<usize>, String)> = Vec::new();
    for (entry, (off_cut, _)) in tables.into_iter().flat_map(|list| list.iter()).zip(&list.off_cuts) {
        let wanted = used.contains(off_cut.id.as_str());
        let ours = off_cut.promised_to.as_deref() == Some(job);
        if wanted == ours {
            continue;
        }
        let table = entry.get_ref().as_table()?;
        if wanted {
            // Behind its id, whichever way the table is written.
            let id = table.get("id")?.span();
            let rest = &text[id.end..];
            let line = rest.find('\n').map_or(text.len(), |end| id.end + end);
            let inline = text[entry.span().start..].starts_with('{');
            let mark = format!("{} = {}", PROMISED_TO.name, quoted(job));
            changes.push(if inline {
                (id.end..id.end, format!(", {mark}"))
            } else if text[..line].ends_with('\r') {
                (line - 1..line - 1, format!("\r\n{mark}"))
            } else {
                (line..line, format!("\n{mark}"))
            });
        } else {
            let (key, value) = table.get_key_value(PROMISED_TO.name)?;
            let (mut start, mut end) = (key.span().start, value.span().end);
            if text[entry.span().start..].starts_with('{') {
                // With the comma before it, or the one behind.
                let before = text[..start].trim_end();
                if before.ends_with(',') {
                    start = before.len() - 1;
                } else if let Some(behind) = text[end..].trim_start().strip_prefix(',') {
                    end = text.len() - behind.len();
                }
            } else {
                let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
                if text[line..start].trim().is_empty() {
                    start = line;
                }
                let rest = &text[end..];
                let to = rest.find('\n').map_or(rest.len(), |at| at + 1);
                if rest[..to].trim().is_empty() {
                    end += to;
                }
            }
            changes.push((start..end, String::new()));
        }
    }
    changes.sort_by_key(|(range, _)| std::cmp::Reverse(range.start));
    let mut text = text.to_string();
    for (range, put) in changes {
        text.replace_range(range, &put);
    }
    // What was done must read as what was wanted.
    let now = read(&Source::new("", text.as_str())).ok()?;
    let marked: BTreeSet<&str> = now
        .off_cuts
        .iter()
        .filter(|(off_cut, _)| off_cut.promised_to.as_deref() == Some(job))
        .map(|(off_cut, _)| off_cut.id.as_str())
        .collect();
    (marked == *used).then_some(text)
}

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
pub(crate) fn is_half_marked(path: &Path, bytes: &[u8]) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let Some(list) = name.strip_prefix('.').and_then(|name| name.strip_suffix(MARKING)) else { return false };
    let Ok(list) = crate::profile::read_text(&path.with_file_name(list), read::LONGEST) else { return false };
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
    let Ok(old) = crate::profile::read_text(path, read::LONGEST) else { return Ok(None) };
    let Ok(there) = read(&Source::new("", old.as_str())) else { return Ok(None) };
    let Ok(now) = read(&Source::new("", fresh)) else { return Ok(None) };
    let plain = |list: &read::List| -> Vec<super::OffCut> {
        list.off_cuts.iter().map(|(off_cut, _)| super::OffCut { promised_to: None, ..off_cut.clone() }).collect()
    };
    let (before, after) = (plain(&there), plain(&now));
    if before == after {
        return Ok(Some(old));
    }
    let lost = there.off_cuts.iter().find(|(off_cut, _)| {
        let free = super::OffCut { promised_to: None, ..off_cut.clone() };
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
