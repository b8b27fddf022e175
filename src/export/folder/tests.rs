//! A folder is whole or untouched, whatever happens at whichever step.

use super::*;
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
    let json = serde_json::json!({ "made_by": "nestwright 0", "files": list });
    files.insert("job.json".into(), json.to_string().into_bytes());
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
    let seal = |name: &str| proof::sealed(name, "<svg/>\n");
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
                .args(["--exact", "export::folder::tests::killed", "--quiet"])
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

/// Killed while it removed what it had taken out: nothing there tells any more whose it was, but for the folder's name.
#[test]
fn what_was_half_removed_goes() {
    let dir = dir();
    let target = dir.path().join("out");
    put(&dir.path().join(".nestwright-going-dead/new/parts/b.txt"), "one b");
    write_folder(&target, &files("one"), None).expect("written");
    assert_eq!(beside(&target), 1);
}

/// The next run is for another folder: what had stepped aside comes back all the same.
#[test]
fn what_stepped_aside_comes_back() {
    let dir = dir();
    let target = dir.path().join("out");
    write_folder(&target, &files("one"), None).expect("written");
    let left = dir.path().join(".nestwright-dead");
    put(&left.join("at-work"), "out");
    put(&left.join("put"), "");
    fs::rename(&target, left.join("old")).expect("aside");
    write_folder(&dir.path().join("other"), &files("two"), None).expect("written");
    assert_eq!(seen(&target), Some(files("one")));
    assert_eq!(beside(&target), 2);
}

/// What a dead run left is not cleared away if it holds what is nowhere else.
#[test]
fn what_is_nowhere_else_is_not_cleared_away() {
    let dir = dir();
    let target = dir.path().join("out");
    write_folder(&target, &files("one"), None).expect("written");
    let left = dir.path().join(".nestwright-dead");
    put(&left.join("at-work"), "out");
    put(&left.join("put"), "");
    put(&left.join("new/thesis.txt"), "mine");
    write_folder(&target, &files("two"), None).expect("written");
    assert_eq!(fs::read_to_string(left.join("new/thesis.txt")).expect("there"), "mine");
    // Nor is a folder of that name that no run of ours made.
    let odd = dir.path().join(".nestwright-odd");
    put(&odd.join("mine.txt"), "mine");
    write_folder(&target, &files("three"), None).expect("written");
    assert!(odd.join("mine.txt").exists());
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

/// Another run makes the folder between the look and the step.
#[test]
fn another_run_may_be_quicker() {
    for swap in WAYS {
        let dir = dir();
        let target = dir.path().join("out");
        let mut first = true;
        write_in_steps(&target, &files("two"), None, swap, &mut |step| {
            if step == Step::Put && std::mem::take(&mut first) {
                write_folder(&target, &files("one"), None).expect("written");
            }
            Ok(())
        })
        .expect("written");
        assert_eq!(seen(&target), Some(files("two")));
        assert_eq!(beside(&target), 1);
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
