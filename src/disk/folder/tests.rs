//! A folder is whole or untouched, whatever happens at whichever step.

use super::*;
use crate::export::{UNSEALED, seal_json};
use std::process::Command;
use tempfile::TempDir;

const WAYS: [Swap; 2] = [Swap::AtOnce, Swap::InTwo];

/// A folder as a job would give it, told from others by its text.
fn files(text: &str) -> Files {
    let mut files = Files::from([
        ("a.txt".to_string(), text.as_bytes().to_vec()),
        ("job.toml".into(), text.as_bytes().to_vec()),
        ("parts/b.txt".into(), format!("{text} b").into_bytes()),
        ("parts/deep/c.txt".into(), vec![7; 100]),
    ]);
    let list: Vec<_> = files
        .iter()
        .map(|(name, bytes)| serde_json::json!({ "name": name, "crc32": format!("{:08x}", checksum(bytes)) }))
        .collect();
    let json = serde_json::json!({ "made_by": "nestwright 0", "files": list, "seal": UNSEALED });
    files.insert("job.json".into(), seal_json(serde_json::to_vec_pretty(&json).expect("JSON")));
    files
}

fn dir() -> TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

/// What is in a folder, by name; `None` where there is no folder.
fn seen(folder: &Path) -> Option<Files> {
    fn into(found: &mut Files, top: &Path, folder: &Path) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                into(found, top, &path);
            } else {
                let name = path.strip_prefix(top).expect("inside").to_string_lossy().into_owned();
                found.insert(name, fs::read(&path).expect("readable"));
            }
        }
    }
    let mut found = Files::new();
    folder.is_dir().then(|| into(&mut found, folder, folder))?;
    Some(found)
}

fn beside(target: &Path) -> usize {
    fs::read_dir(target.parent().expect("above")).expect("there").count()
}

fn put(path: &Path, text: &str) {
    fs::create_dir_all(path.parent().expect("above")).expect("made");
    fs::write(path, text).expect("written");
}

/// The steps of a run, in order.
fn steps(target: &Path, swap: Swap, text: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    write_in_steps(target, &files(text), None, swap, &mut |step| {
        steps.push(step);
        Ok(())
    })
    .expect("written");
    steps
}

#[test]
fn its_own_folder_is_replaced_whole() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        assert!(!steps(&target, swap, "one").contains(&Step::Look), "there is nothing to look through");
        let second = steps(&target, swap, "two");
        assert_eq!(second.contains(&Step::Aside), swap == Swap::InTwo, "{second:?}");
        assert_eq!(seen(&target), Some(files("two")));
        assert_eq!(beside(&target), 1, "nothing is left beside it");
    }
}

#[test]
fn what_others_wrote_or_changed_stays() {
    for (name, text) in [
        ("notes.txt", "mine"),
        ("parts/deep/more/notes.txt", "mine"),
        (".hidden", ""),
        ("a.txt", "edited"),
        ("job.json", "{}"),
        ("job.json", "no json"),
        ("job.json", r#"{"made_by":"someone","files":[]}"#),
    ] {
        let dir = dir();
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        put(&target.join(name), text);
        let before = seen(&target);
        let why = write_folder(&target, &files("two"), None).expect_err(name).to_string();
        assert!(why.contains("another -o"), "{why}");
        assert_eq!(seen(&target), before, "{name}");
        assert_eq!(beside(&target), 1);
    }
}

#[test]
fn a_picture_of_a_proof_goes_and_what_only_looks_like_one_stays() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        let picture = target.join("sheet-1.proof.svg");
        write_proof(&picture, "<svg/>\n").expect("written");
        write_proof(&picture, "<svg></svg>\n").expect("written in place of the first");
        assert!(fs::read_to_string(&picture).expect("there").starts_with("<svg></svg>\n<!--"));
        assert!(steps(&target, swap, "two").contains(&Step::Look));
        assert_eq!(seen(&target), Some(files("two")), "the picture is gone");
    }
    let seal = |name: &str| seal::sealed(name, "<svg/>\n");
    let edited = seal("sheet-1.proof.svg").replace("<svg/>", "<svg />");
    for (name, text) in [
        ("sheet-1.proof.svg", "<svg/>\n"),
        ("sheet-1.proof.svg", ""),
        ("sheet-1.proof.svg", &edited),
        ("before-the-mend.proof.svg", &seal("sheet-1.proof.svg")),
        ("sheet-1.svg", &seal("sheet-1.svg")),
    ] {
        let dir = dir();
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        put(&target.join(name), text);
        assert!(write_folder(&target, &files("two"), None).is_err(), "{name}: {text}");
        assert!(name == "sheet-1.svg" || write_proof(&target.join(name), "<svg/>").is_err(), "{name}: {text}");
        assert_eq!(fs::read_to_string(target.join(name)).expect("there"), text);
    }
}

#[test]
fn an_empty_folder_of_the_maker_s_stays() {
    let dir = dir();
    let target = dir.path().join("out");
    write_folder(&target, &files("one"), None).expect("written");
    fs::create_dir(target.join("photos")).expect("made");
    assert!(write_folder(&target, &files("two"), None).is_err());
    assert!(target.join("photos").is_dir());
}

#[test]
fn the_spec_in_the_folder_is_carried_over() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        put(&target.join("mine.toml"), "spec");
        for text in ["one", "two"] {
            let spec = target.join("mine.toml");
            write_in_steps(&target, &files(text), Some(&spec), swap, &mut |_| Ok(())).expect("written");
            assert_eq!(fs::read_to_string(&spec).expect("there"), "spec");
            assert_eq!(fs::read_to_string(target.join("a.txt")).expect("there"), text);
        }
    }
}

/// The disk is full, or fails, at each step in turn: the target is as it was and nothing is left.
#[test]
fn a_fault_at_any_step_changes_nothing() {
    for swap in WAYS {
        for there in [false, true] {
            let rehearsal = dir();
            let target = rehearsal.path().join("a/b/out");
            if there {
                write_folder(&target, &files("one"), None).expect("written");
            }
            let all = steps(&target, swap, "two");
            assert!(all.len() >= 8, "{all:?}");
            for fault in all.into_iter().filter(|step| *step != Step::Clear) {
                let dir = dir();
                let target = dir.path().join("a/b/out");
                if there {
                    write_folder(&target, &files("one"), None).expect("written");
                }
                let failed = write_in_steps(&target, &files("two"), None, swap, &mut |step| {
                    if step == fault { Err(io::ErrorKind::StorageFull.into()) } else { Ok(()) }
                });
                let why = failed.expect_err("it failed").to_string();
                assert!(why.contains("the disk is full"), "{fault:?}: {why}");
                assert_eq!(seen(&target), there.then(|| files("one")), "{fault:?}");
                if there {
                    assert_eq!(beside(&target), 1, "{fault:?}");
                } else {
                    assert_eq!(
                        fs::read_dir(dir.path()).expect("there").count(),
                        0,
                        "{fault:?}: the folders above go too"
                    );
                }
            }
        }
    }
}

const KILL_AT: &str = "NESTWRIGHT_TEST_KILL_AT";

/// Writes a folder and is killed before the step of a number, where the test below runs it in a process of its own; among the
/// others it has nothing to do.
#[test]
fn killed() {
    let Ok(told) = std::env::var(KILL_AT) else { return };
    let mut words = told.splitn(3, ' ');
    let (swap, at, target) = (words.next(), words.next(), words.next().expect("a target"));
    let swap = if swap == Some("two") { Swap::InTwo } else { Swap::AtOnce };
    let (at, mut step) = (at.expect("a step").parse::<usize>().expect("a number"), 0);
    let _ = write_in_steps(Path::new(target), &files("two"), None, swap, &mut |_| {
        if step == at {
            std::process::abort();
        }
        step += 1;
        Ok(())
    });
}

/// Killed before each step in turn: the folder is wholly the old or wholly the new one, and the next run finds its way
/// and leaves nothing beside it.
#[test]
fn killed_at_any_step_nothing_is_half_written() {
    let this = std::env::current_exe().expect("this program");
    for swap in WAYS {
        let rehearsal = dir();
        steps(&rehearsal.path().join("out"), swap, "one");
        let all = steps(&rehearsal.path().join("out"), swap, "two");
        for (at, step) in all.iter().enumerate() {
            let dir = dir();
            let target = dir.path().join("out");
            write_folder(&target, &files("one"), None).expect("written");
            let way = if swap == Swap::InTwo { "two" } else { "once" };
            let told = format!("{way} {at} {}", target.display());
            let ended = Command::new(&this)
                .args(["--exact", "disk::folder::tests::killed", "--quiet"])
                .env(KILL_AT, told)
                .output()
                .expect("this program runs");
            assert!(!ended.status.success(), "{step:?}: it was killed");
            let left = seen(&target);
            let whole = left == Some(files("one")) || left == Some(files("two"));
            // Where folders cannot change places at once there is a moment without one.
            assert!(whole || (left.is_none() && *step == Step::Aside), "{swap:?} {step:?}: {left:?}");
            assert!(*step != Step::Aside || swap == Swap::InTwo);
            write_folder(&target, &files("three"), None).expect("written");
            assert_eq!(seen(&target), Some(files("three")), "{swap:?} {step:?}");
            assert_eq!(beside(&target), 1, "{swap:?} {step:?}: the next run clears up");
        }
    }
}

/// Where a run into this target works.
fn works_in(target: &Path) -> PathBuf {
    let name = target.file_name().expect("a name").as_encoded_bytes();
    target.with_file_name(format!(".nestwright-{:08x}", checksum(name)))
}

/// As a run would leave it that was killed there.
fn left_by_a_killed_run(target: &Path) -> PathBuf {
    let left = works_in(target);
    put(&left.join("at-work"), "nestwright works here.");
    left
}

/// Killed while it removed what it had taken out: nothing there tells any more whose it was, but for the folder's name.
#[test]
fn what_was_half_removed_goes() {
    let dir = dir();
    let target = dir.path().join("out");
    put(&left_by_a_killed_run(&target).join("done/parts/b.txt"), "one b");
    write_folder(&target, &files("one"), None).expect("written");
    assert_eq!(beside(&target), 1);
}

/// Folders of others beside the target are left alone, whatever they are called.
#[test]
fn folders_of_others_stay() {
    let dir = dir();
    let target = dir.path().join("out");
    for name in [".nestwright-going-home/letter.txt", ".nestwright-odd/new/mine.txt", ".nestwright-going-1/x"] {
        put(&dir.path().join(name), "mine");
        write_folder(&target, &files("one"), None).expect("written");
        assert_eq!(fs::read_to_string(dir.path().join(name)).expect("there"), "mine", "{name}");
    }
    // One that has the very name that the run needs is said to be in the way.
    let odd = works_in(&target).join("done/letter.txt");
    put(&odd, "mine");
    let why = write_folder(&target, &files("two"), None).expect_err("refused").to_string();
    assert!(why.contains("not made by nestwright"), "{why}");
    assert_eq!((fs::read_to_string(&odd).expect("there"), seen(&target)), ("mine".into(), Some(files("one"))));
    put(&works_in(&target).join("at-work"), "a diary");
    assert!(write_folder(&target, &files("two"), None).is_err());
    assert_eq!(fs::read_to_string(&odd).expect("there"), "mine");
}

/// Where it had stepped aside when the run was killed, the old folder comes back before anything else.
#[test]
fn what_stepped_aside_comes_back() {
    let dir = dir();
    let target = dir.path().join("out");
    write_folder(&target, &files("one"), None).expect("written");
    put(&target.join("notes.txt"), "mine");
    fs::rename(&target, left_by_a_killed_run(&target).join("old")).expect("aside");
    let why = write_folder(&target, &files("two"), None).expect_err("refused").to_string();
    assert!(why.contains("notes.txt"), "{why}");
    assert_eq!(fs::read_to_string(target.join("notes.txt")).expect("there"), "mine");
    assert_eq!(beside(&target), 1);
}

/// What a dead run left is not cleared away if it holds what is nowhere else.
#[test]
fn what_is_nowhere_else_is_not_cleared_away() {
    for name in ["ready/thesis.txt", "old/thesis.txt"] {
        let dir = dir();
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        let thesis = left_by_a_killed_run(&target).join(name);
        put(&thesis, "mine");
        for _ in 0..2 {
            let why = write_folder(&target, &files("two"), None).expect_err("refused").to_string();
            assert!(why.contains("thesis.txt") && why.contains("nowhere else"), "{why}");
            assert_eq!(fs::read_to_string(&thesis).expect("there"), "mine");
        }
        fs::remove_file(&thesis).expect("moved away");
        write_folder(&target, &files("two"), None).expect("written");
        assert_eq!((seen(&target), beside(&target)), (Some(files("two")), 1));
    }
}

/// Every file is on the disk before the new folder takes its place: after the last is written, before the first step that
/// touches what was there.
#[test]
fn all_is_on_the_disk_before_the_old_folder_goes() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        steps(&target, swap, "one");
        let all = steps(&target, swap, "two");
        let at = |step: Step| all.iter().position(|it| *it == step).expect("it is taken");
        assert_eq!(at(Step::Sync), at(Step::File(files("two").len() - 1)) + 1, "{all:?}");
        assert_eq!(at(Step::Put), at(Step::Sync) + 1, "{all:?}");
    }
}

/// A `job.json` that was changed in any way is the maker's own, as is every other file.
#[test]
fn an_edited_job_json_stays() {
    let edits: [(&str, &str); 4] = [
        ("nestwright 0", "nestwright 0 "),
        ("\"files\"", "\"note\": \"mine\",\n  \"files\""),
        ("}\n", "} \n"),
        ("\"seal\"", "\"sale\""),
    ];
    for (from, to) in edits {
        let dir = dir();
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        let json = fs::read_to_string(target.join("job.json")).expect("there");
        let edited = json.replacen(from, to, 1);
        assert_ne!(edited, json, "{from}");
        put(&target.join("job.json"), &edited);
        let why = write_folder(&target, &files("two"), None).expect_err(to).to_string();
        assert!(why.contains("job.json") && why.contains("changed"), "{why}");
        assert_eq!(fs::read_to_string(target.join("job.json")).expect("there"), edited);
        assert_eq!(fs::read_to_string(target.join("a.txt")).expect("there"), "one");
    }
}

/// A spec in the folder that has the name of a file to be written is not written over, and does not take its place.
#[test]
fn a_spec_of_the_name_of_a_file_stays() {
    for name in ["a.txt", "parts/b.txt", "job.json", "A.TXT"] {
        let dir = dir();
        let target = dir.path().join("out");
        put(&target.join(name), "spec");
        let spec = target.join(name);
        let why = write_folder(&target, &files("one"), Some(&spec)).expect_err(name).to_string();
        assert!(why.contains("is the spec") && why.contains("call the spec something else"), "{why}");
        assert_eq!(fs::read_to_string(&spec).expect("there"), "spec");
        assert_eq!(seen(&target).expect("there").len(), 1);
    }
}

/// Somebody saves a file into the folder between the look and the swap.
#[test]
fn a_file_saved_meanwhile_stays_where_it_was_saved() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        write_folder(&target, &files("one"), None).expect("written");
        let saved = target.join("notes.txt");
        let why = write_in_steps(&target, &files("two"), None, swap, &mut |step| {
            if step == Step::Put { fs::write(&saved, "mine") } else { Ok(()) }
        })
        .expect_err("refused");
        assert!(why.to_string().contains("notes.txt"), "{why}");
        assert_eq!(fs::read_to_string(&saved).expect("there"), "mine");
        assert_eq!(fs::read_to_string(target.join("a.txt")).expect("there"), "one");
        assert_eq!(beside(&target), 1);
    }
}

/// Another run into the same folder is told of this one, and may work into the folder beside it.
#[test]
fn another_run_is_told_of_this_one() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        let mut told = 0;
        write_in_steps(&target, &files("two"), None, swap, &mut |step| {
            if !matches!(step, Step::Parents | Step::Beside) {
                let why = write_folder(&target, &files("one"), None).expect_err("it is told").to_string();
                assert!(why.contains("another run"), "{why}");
                write_folder(&target.with_file_name("other"), &files("one"), None).expect("written");
                told += 1;
            }
            Ok(())
        })
        .expect("written");
        assert!(told > 5);
        assert_eq!((seen(&target), beside(&target)), (Some(files("two")), 2));
    }
}

#[test]
fn runs_at_once_leave_the_whole_of_one() {
    let dir = dir();
    let target = dir.path().join("out");
    let texts: Vec<String> = (0..8).map(|run| format!("run {run}")).collect();
    std::thread::scope(|scope| {
        for text in &texts {
            let target = &target;
            scope.spawn(move || {
                for _ in 0..10 {
                    // A run may find the folder of another in its way; then it says so and changes nothing.
                    let _ = write_folder(target, &files(text), None);
                }
            });
        }
    });
    let left = seen(&target);
    assert!(texts.iter().any(|text| left == Some(files(text))), "{left:?}");
    write_folder(&target, &files("last"), None).expect("written");
    assert_eq!(beside(&target), 1);
}

#[test]
fn what_is_no_folder_stays() {
    let dir = dir();
    let target = dir.path().join("out");
    put(&target, "a file");
    assert!(write_folder(&target, &files("one"), None).expect_err("refused").to_string().contains("not a folder"));
    assert!(write_folder(&target.join("below"), &files("one"), None).is_err());
    assert_eq!(fs::read_to_string(&target).expect("there"), "a file");
    assert_eq!(beside(&target), 1);
}

#[test]
fn a_name_that_leads_out_is_refused() {
    for name in ["../x", "/x", "a/../../x", "", "./x", ".."] {
        let dir = dir();
        let bad = Files::from([(name.to_string(), vec![1])]);
        assert!(write_folder(&dir.path().join("out"), &bad, None).is_err(), "{name:?}");
        assert_eq!(fs::read_dir(dir.path()).expect("there").count(), 0);
    }
}

#[cfg(unix)]
mod links {
    use super::*;
    use std::os::unix::fs::symlink;

    #[test]
    fn a_link_to_a_folder_stays_a_link() {
        let dir = dir();
        let (real, link) = (dir.path().join("elsewhere/real"), dir.path().join("link"));
        write_folder(&real, &files("one"), None).expect("written");
        symlink(&real, &link).expect("linked");
        write_folder(&link, &files("two"), None).expect("written");
        assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
        assert_eq!(seen(&real), Some(files("two")));
        assert_eq!((beside(&real), beside(&link)), (1, 2));
    }

    #[test]
    fn a_link_that_leads_nowhere_is_said_to() {
        let dir = dir();
        let link = dir.path().join("link");
        symlink(dir.path().join("gone"), &link).expect("linked");
        let why = write_folder(&link, &files("one"), None).expect_err("refused").to_string();
        assert!(why.contains("leads nowhere"), "{why}");
        assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
    }

    /// A link among the files is not followed, a pipe is not waited at.
    #[test]
    fn links_and_pipes_in_the_folder_are_not_ours() {
        let dir = dir();
        let target = dir.path().join("out");
        let mine = dir.path().join("mine.txt");
        put(&mine, "mine");
        write_folder(&target, &files("one"), None).expect("written");
        let link = target.join("a.txt");
        fs::remove_file(&link).expect("removed");
        symlink(&mine, &link).expect("linked");
        assert!(write_folder(&target, &files("two"), None).is_err());
        assert_eq!(fs::read_to_string(&mine).expect("there"), "mine");
        fs::remove_file(&link).expect("removed");
        assert!(Command::new("mkfifo").arg(&link).status().expect("mkfifo runs").success());
        assert!(write_folder(&target, &files("two"), None).is_err());
    }
}
