//! Off-cuts that a job leaves, and those that it uses.

use super::beside;
use nestwright::error::Error;
use nestwright::export::Files;
use nestwright::reading::Beside;
use nestwright::{Made, disk, left_over, offcuts, spec};
use std::path::{Path, PathBuf};

/// A list as it was, and as it is with a promise in it.
pub struct Promise {
    list: PathBuf,
    before: String,
    after: String,
}

/// The list in a folder that is made again stays as it is there, with what the maker and other jobs have written into it, as
/// long as the job leaves the same off-cuts.
pub fn keep(target: &Path, files: &mut Files) -> Result<(), Error> {
    let fresh = files.get(offcuts::NAME).map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    let path = target.join(offcuts::NAME);
    if let Some(kept) = disk::kept(&path, &fresh.unwrap_or_default())? {
        files.insert(offcuts::NAME.into(), kept.into_bytes());
    }
    Ok(())
}

/// Marks what the job uses of each list that its spec names, before anything is written: a run that is killed leaves at worst
/// an off-cut promised to a job that is not made yet, and never one that two jobs think theirs.
pub fn promise(spec: &Path, made: &Made) -> Result<Vec<Promise>, Error> {
    let job = spec::job_name(&made.job.title, &made.job.source);
    let used = left_over::used(&made.job, &made.layout, &made.patterns);
    let mut promises = Vec::new();
    let lists = spec::lists_named(&made.job.source.text);
    for Beside { name, read } in made.job.source.beside.iter().filter(|beside| lists.contains(&beside.name)) {
        let Ok(source) = read else { continue };
        let ids = used.get(name).into_iter().flatten().map(String::as_str).collect();
        let list = beside(spec, name);
        match disk::promise(&list, &source.text, &job, &ids) {
            Ok(after) => promises.push(Promise { list, before: source.text.clone(), after }),
            Err(error) => {
                take_back(&promises);
                return Err(error);
            }
        }
    }
    Ok(promises)
}

/// Frees what was promised to a job that could not be written after all. What cannot be freed stays promised to it.
pub fn take_back(promises: &[Promise]) {
    for Promise { list, before, after } in promises {
        let _ = disk::take_back(list, before, after);
    }
}
