//! A job that was kept: made again, and made smaller.

use super::{sign_of, timed, wrong};
use crate::any_job::{AnyJob, attempt::Outcome};
use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::ExitCode;
use std::{fs, io};

const FOLDERS: [&str; 7] = ["frames", "occupants", "materials", "tools", "machines", "saws", "fasteners"];

/// Makes it, and says what comes of it.
pub fn again(folder: &Path) -> ExitCode {
    let job = match read(folder) {
        Ok(job) => job,
        Err(why) => {
            eprintln!("{}: {why}", folder.display());
            return ExitCode::from(2);
        }
    };
    let (outcome, took) = timed(&job, &Profiles::built_in(), &Kinds::built_in());
    match &outcome {
        Outcome::Made(files) => {
            println!("made: {} files, {took:?}", files.len());
            let out = folder.join("made");
            for (name, bytes) in files.iter() {
                let path = out.join(name);
                path.parent()
                    .map_or(Ok(()), fs::create_dir_all)
                    .and_then(|()| fs::write(&path, bytes))
                    .expect("written");
            }
        }
        Outcome::Fault(why) | Outcome::Disagrees(why) => println!("{why}\n{took:?}"),
        other => println!("{other:?}\n{took:?}"),
    }
    ExitCode::SUCCESS
}

fn read(folder: &Path) -> io::Result<AnyJob> {
    let spec = fs::read_to_string(folder.join("job.toml"))?;
    let why = fs::read_to_string(folder.join("why.txt")).unwrap_or_default();
    let effort = why.lines().find_map(|line| line.strip_prefix("effort ")?.parse().ok()).unwrap_or(0);
    let mut job = AnyJob { number: 0, spec, profiles: Vec::new(), lists: Vec::new(), effort, keys: BTreeMap::new() };
    if let Ok(list) = fs::read_to_string(folder.join("earlier.toml")) {
        job.lists.push(("earlier.toml".into(), list));
    }
    for kind in FOLDERS {
        let Ok(files) = fs::read_dir(folder.join("profiles").join(kind)) else { continue };
        for file in files {
            let path = file?.path();
            let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            job.profiles.push((kind, name, fs::read_to_string(&path)?));
        }
    }
    Ok(job)
}

/// What tells causes apart; nothing where nothing is wrong.
fn cause(job: &AnyJob) -> String {
    let outcome = timed(job, &Profiles::built_in(), &Kinds::built_in()).0;
    wrong(&outcome).map_or_else(String::new, |(what, why)| format!("{what}: {}", sign_of(why)))
}

/// Writes the smaller job to `small` in its folder, one text with all its files.
pub fn shrink(folder: &Path) -> ExitCode {
    let Ok(mut job) = read(folder) else {
        eprintln!("{}: no job", folder.display());
        return ExitCode::from(2);
    };
    let wanted = cause(&job);
    if wanted.is_empty() {
        println!("{}: nothing is wrong with it", folder.display());
        return ExitCode::FAILURE;
    }
    loop {
        let before = job.spec.clone();
        for smaller in smaller(&job) {
            if smaller.spec.len() < job.spec.len() + 20 && cause(&smaller) == wanted {
                job = smaller;
                break;
            }
        }
        if job.spec == before {
            break;
        }
    }
    job.profiles.retain(|(_, name, _)| job.spec.contains(&format!("\"{name}\"")));
    fs::write(folder.join("small"), format!("# {wanted}\n{}", job.text())).expect("written");
    println!("{}: {wanted}", folder.display());
    ExitCode::SUCCESS
}

/// The job without one of its tables or lines, and with what is built in for what is its own.
fn smaller(job: &AnyJob) -> Vec<AnyJob> {
    let lines: Vec<&str> = job.spec.lines().filter(|line| !line.is_empty() && !line.starts_with('#')).collect();
    let mut specs: Vec<String> = Vec::new();
    let without = |from: usize, to: usize| [&lines[..from], &lines[to..]].concat().join("\n") + "\n";
    let heads: Vec<usize> = (0..lines.len()).filter(|i| lines[*i].starts_with('[')).chain([lines.len()]).collect();
    // A box goes with its holes.
    for (k, from) in heads.iter().enumerate().take(heads.len() - 1) {
        let whole = heads[k + 1..]
            .iter()
            .find(|next| !lines.get(**next).is_some_and(|line| line.contains('.') && line.starts_with("[[")));
        specs.extend(whole.map(|next| without(*from, *next)));
        specs.push(without(*from, heads[k + 1]));
    }
    specs.extend((0..lines.len()).filter(|i| !lines[*i].starts_with('[')).map(|i| without(i, i + 1)));
    let own = [
        ("own-cutter", "endmill-6"),
        ("own-router", "desktop-router"),
        ("own-saw", "table-saw"),
        ("own-board", "birch-plywood"),
    ];
    specs.extend(
        own.iter().filter(|(own, _)| job.spec.contains(own)).map(|(own, built_in)| job.spec.replace(own, built_in)),
    );
    specs.into_iter().map(|spec| AnyJob { spec, ..job.clone() }).collect()
}
