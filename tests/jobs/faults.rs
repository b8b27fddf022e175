//! The program stopped or hindered from outside: the folder is whole or untouched, and the message says why. Faults at each
//! step of the writing are with the code, in `src/export/folder/tests.rs`.
#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::thread;
use std::time::Duration;

const PROGRAM: &str = env!("CARGO_BIN_EXE_nestwright");

fn spec(size: u32) -> String {
    format!(
        "title = \"Board\"\nstock = {{ material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }}\n\
         router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
         part = {{ name = \"board\", size = [{size}, 50] }}\n"
    )
}

fn command(dir: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    command.args(["make", "job.toml", "-o", "out"]).current_dir(dir).env("HOME", dir).env("XDG_CONFIG_HOME", dir);
    command
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What is in a folder, by name and length; `None` where there is no folder. Every file must be as `job.json` lists it.
fn whole(folder: &Path) -> Option<BTreeMap<String, u64>> {
    if !folder.exists() {
        return None;
    }
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(folder.join("job.json")).expect("the list of files")).expect("JSON");
    let mut found = BTreeMap::new();
    for file in json["files"].as_array().expect("a list") {
        let name = file["name"].as_str().expect("a name");
        let bytes = fs::read(folder.join(name)).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!(format!("{:08x}", crc32fast::hash(&bytes)), file["crc32"].as_str().expect("a sum"), "{name}");
        found.insert(name.to_string(), bytes.len() as u64);
    }
    Some(found)
}

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(dir)
        .expect("there")
        .map(|entry| entry.expect("readable").file_name().to_string_lossy().into())
        .collect();
    names.sort();
    names
}

/// Killed at many moments, before the writing begins and in the midst of it: the folder is wholly the old or wholly the new one;
/// the next run leaves nothing beside it.
#[test]
fn killed_at_any_moment_the_folder_is_whole() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("job.toml"), spec(100)).expect("written");
    let first = command(dir.path()).output().expect("the program runs");
    assert!(first.status.success(), "{}", said(&first));
    let old = whole(&dir.path().join("out"));
    let mut in_its_midst = 0;
    for i in 0..24_u64 {
        fs::write(dir.path().join("job.toml"), spec(101 + i as u32)).expect("written");
        let before = names(dir.path());
        let mut child =
            command(dir.path()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the program runs");
        // A third are killed while they think; the others once something of theirs stands in the folder, each a little later.
        match i % 3 {
            0 => thread::sleep(Duration::from_millis(9 * i)),
            _ => {
                while names(dir.path()) == before && child.try_wait().expect("asked").is_none() {}
                thread::sleep(Duration::from_micros(300 * i));
            }
        }
        child.kill().expect("killed");
        child.wait().expect("ended");
        in_its_midst += u32::from(names(dir.path()).len() > 2);
        let left = whole(&dir.path().join("out")).expect("there is always a folder");
        assert_eq!(left.len(), old.as_ref().map_or(0, BTreeMap::len));
    }
    assert!(in_its_midst > 0, "none was killed while it wrote");
    let last = command(dir.path()).output().expect("the program runs");
    assert!(last.status.success(), "{}", said(&last));
    assert_eq!(names(dir.path()), ["job.toml", "out"]);
}

/// No file may grow over 4 KB (a disk that is full looks alike): nothing is left, and what was there stays.
#[test]
fn a_file_that_cannot_be_written_whole_leaves_everything_as_it_was() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("job.toml"), spec(100)).expect("written");
    let small = |dir: &Path| {
        let script = format!("trap '' XFSZ; ulimit -f 8; exec '{PROGRAM}' make job.toml -o out");
        Command::new("sh").args(["-c", &script]).current_dir(dir).env("HOME", dir).output().expect("a shell")
    };
    let failed = small(dir.path());
    assert_eq!(failed.status.code(), Some(1), "{}", said(&failed));
    assert!(said(&failed).contains("could not be written, and nothing was changed"), "{}", said(&failed));
    assert_eq!(names(dir.path()), ["job.toml"]);
    assert!(command(dir.path()).output().expect("the program runs").status.success());
    let before = whole(&dir.path().join("out"));
    fs::write(dir.path().join("job.toml"), spec(150)).expect("written");
    assert_eq!(small(dir.path()).status.code(), Some(1));
    assert_eq!(whole(&dir.path().join("out")), before);
    assert_eq!(names(dir.path()), ["job.toml", "out"]);
}

/// A folder that may be read but not written. Who runs the tests as root becomes nobody for it.
#[test]
fn a_folder_that_may_not_be_written_is_said_to() {
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().expect("a temporary folder");
    let locked = dir.path().join("locked");
    fs::create_dir(&locked).expect("made");
    fs::write(locked.join("job.toml"), spec(100)).expect("written");
    let allow = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("allowed");
    allow(dir.path(), 0o755);
    allow(&locked, 0o555);
    let root = fs::write(locked.join("test"), "").is_ok();
    let mut command = command(&locked);
    if root {
        fs::remove_file(locked.join("test")).expect("removed");
        command.uid(65_534).gid(65_534);
    }
    let refused = match command.output() {
        Ok(refused) => refused,
        Err(why) if root => panic!("nobody may run {PROGRAM}: {why}"),
        Err(why) => panic!("{why}"),
    };
    assert_eq!(refused.status.code(), Some(1), "{}", said(&refused));
    assert!(said(&refused).contains("no folder can be made in it: permission denied"), "{}", said(&refused));
    assert_eq!(names(&locked), ["job.toml"]);
    allow(&locked, 0o755);
}

/// Two runs into one folder at the same time: both end, and the folder is the whole of one of them.
#[test]
fn two_runs_at_once_leave_the_whole_of_one() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("job.toml"), spec(100)).expect("written");
    fs::write(dir.path().join("other.toml"), spec(300)).expect("written");
    for _ in 0..3 {
        let mut runs: Vec<_> = ["job.toml", "other.toml", "job.toml"]
            .into_iter()
            .map(|spec| {
                let mut command = Command::new(PROGRAM);
                command.args(["make", spec, "-o", "out"]).current_dir(dir.path()).env("HOME", dir.path());
                command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the program runs")
            })
            .collect();
        let codes: Vec<_> = runs.iter_mut().map(|run| run.wait().expect("ended").code()).collect();
        assert!(codes.contains(&Some(0)), "{codes:?}");
        assert!(whole(&dir.path().join("out")).is_some());
    }
    assert!(command(dir.path()).output().expect("the program runs").status.success());
    assert_eq!(names(dir.path()), ["job.toml", "other.toml", "out"]);
}
