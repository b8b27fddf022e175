//! The program as its user runs it.

use std::path::Path;
use std::process::{Command, Output};
use std::{fs, str};

fn run(args: &[&str], dir: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_nestwright"))
        .args(args)
        .current_dir(dir)
        .env("XDG_CONFIG_HOME", dir)
        .env("HOME", dir)
        .output()
        .expect("the program runs")
}

fn out(output: &Output) -> &str {
    str::from_utf8(&output.stdout).expect("text")
}

#[test]
fn from_start_to_a_folder_in_three_commands() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let started = run(&["start", "nuc"], dir.path());
    assert!(started.status.success());
    fs::write(dir.path().join("nucs.toml"), &started.stdout).expect("written");
    let checked = run(&["check", "nucs.toml"], dir.path());
    assert_eq!(checked.status.code(), Some(0), "{checked:?}");
    let made = run(&["make", "nucs.toml", "-o", "nucs"], dir.path());
    assert_eq!(made.status.code(), Some(0), "{made:?}");
    for file in ["job.json", "parts.csv", "sheet-1.dxf", "sheet-1.svg", "sheet-1-endmill-6.nc", "parts/side.svg"] {
        assert!(dir.path().join("nucs").join(file).exists(), "{file}");
    }
    assert!(out(&made).contains("Sheets") && out(&made).contains("min"), "{}", out(&made));
}

#[test]
fn a_job_is_made_anew_after_its_program_was_proved_in_its_folder() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let board = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [600, 400], thickness = 12 }\n\
                 router = { machine = \"desktop-router\", cutter = \"endmill-6\" }\n\
                 part = { name = \"board\", size = [200, 120] }\n";
    fs::write(dir.path().join("t.toml"), board).expect("written");
    let make = || run(&["make", "t.toml", "-o", "t"], dir.path());
    assert_eq!(make().status.code(), Some(0));
    for _ in 0..2 {
        let proved = run(&["prove", "t/sheet-1.nc", "--job", "t"], dir.path());
        assert_eq!(proved.status.code(), Some(0), "{proved:?}");
    }
    let picture = dir.path().join("t/sheet-1.proof.svg");
    let svg = fs::read_to_string(&picture).expect("a picture");
    let options = resvg::usvg::Options::default();
    assert!(resvg::usvg::Tree::from_str(&svg, &options).is_ok(), "the seal leaves it a picture");
    assert_eq!(make().status.code(), Some(0));
    assert!(!picture.exists(), "it was of programs that are no more");
    fs::write(&picture, "<svg/>").expect("written");
    assert_eq!(make().status.code(), Some(1), "this one is the maker's own");
    assert_eq!(run(&["prove", "t/sheet-1.nc", "--job", "t"], dir.path()).status.code(), Some(1));
    assert_eq!(fs::read_to_string(&picture).expect("there"), "<svg/>");
}

/// Under another name nobody can tell which face of a sheet that is turned over a program is for, nor its tool: it is not held
/// against a face at random, and the names that would do are told.
#[test]
fn a_program_of_a_turned_sheet_under_another_name_is_not_guessed_at() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("lids.toml"), crate::two_sided::spec("flip = \"length\"", "30")).expect("written");
    assert_eq!(run(&["make", "lids.toml", "-o", "t", "-q", "--effort", "1"], dir.path()).status.code(), Some(0));
    for own in ["sheet-1-face-1.nc", "sheet-1-face-2-endmill-6.nc"] {
        let file = dir.path().join("t").join(own);
        assert_eq!(run(&["prove", &format!("t/{own}"), "--job", "t"], dir.path()).status.code(), Some(0), "{own}");
        fs::copy(file, dir.path().join("mine.nc")).expect("copied");
        let told = run(&["prove", "mine.nc", "--job", "t"], dir.path());
        assert_eq!(told.status.code(), Some(2), "{own}");
        let words = String::from_utf8_lossy(&told.stderr).into_owned();
        assert!(
            words.contains("mine.nc") && words.contains("which face is up: call it sheet-1-face-1.nc, "),
            "{words}"
        );
        assert!(words.contains("sheet-1-face-2-drill-20.nc or sheet-1-face-2-endmill-6.nc"), "{words}");
    }
}

#[test]
fn exit_codes_tell_refused_from_unreadable() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("bad.toml"), "title = 3").expect("written");
    assert_eq!(run(&["check", "bad.toml"], dir.path()).status.code(), Some(2));
    assert_eq!(run(&["check", "missing.toml"], dir.path()).status.code(), Some(2));
    assert_eq!(run(&["check", "."], dir.path()).status.code(), Some(2));
    let national = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12 }\n\
                    [[box]]\nname = \"n\"\nkind = \"frame-box\"\ncount = 1\nframe = \"national-brood\"\nframes = 5\n";
    fs::write(dir.path().join("national.toml"), national).expect("written");
    for command in ["check", "make"] {
        let refused = run(&[command, "national.toml"], dir.path());
        assert_eq!(refused.status.code(), Some(1), "{refused:?}");
    }
    assert!(!dir.path().join("national").exists(), "nothing is written for a refused job");
}

#[test]
fn findings_come_as_json_too() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("nuc.toml"), run(&["start", "nuc"], dir.path()).stdout).expect("written");
    let json: serde_json::Value =
        serde_json::from_slice(&run(&["check", "nuc.toml", "--json"], dir.path()).stdout).expect("JSON");
    let first = &json[0];
    for key in ["check", "subject", "status", "measured", "allowed", "source"] {
        assert!(first.get(key).is_some(), "{key} in {first}");
    }
}

#[test]
fn a_folder_with_somebody_s_files_is_left_alone() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("tray.toml"), run(&["start", "tray"], dir.path()).stdout).expect("written");
    fs::create_dir(dir.path().join("mine")).expect("made");
    fs::write(dir.path().join("mine/notes.txt"), "keep").expect("written");
    let refused = run(&["make", "tray.toml", "-o", "mine"], dir.path());
    assert_eq!(refused.status.code(), Some(1));
    assert!(str::from_utf8(&refused.stderr).expect("text").contains("notes.txt"));
    assert_eq!(fs::read_dir(dir.path().join("mine")).expect("there").count(), 1);
}

#[test]
fn own_profiles_are_found_and_their_mistakes_pointed_at() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let tools = dir.path().join("own/tools");
    fs::create_dir_all(&tools).expect("made");
    let mill = out(&run(&["profiles", "endmill-6"], dir.path())).replace("6 mm end mill", "4 mm end mill");
    fs::write(tools.join("endmill-4.toml"), mill.replace("value = 6,", "value = 4,")).expect("written");
    assert!(out(&run(&["profiles", "--profiles", "own"], dir.path())).contains("endmill-4"));
    fs::write(tools.join("broken.toml"), "title = \"t\"\ndiametre = 3").expect("written");
    let broken = run(&["profiles", "--profiles", "own"], dir.path());
    assert_eq!(broken.status.code(), Some(2));
    assert!(str::from_utf8(&broken.stderr).expect("text").contains("did you mean `diameter`?"));
}

#[test]
fn several_specs_are_made_at_once() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    for (file, starter) in [("nucs.toml", "nuc"), ("birds.toml", "nest-box")] {
        fs::write(dir.path().join(file), run(&["start", starter], dir.path()).stdout).expect("written");
    }
    fs::write(dir.path().join("bad.toml"), "title = 3").expect("written");
    let made = run(&["make", "nucs.toml", "bad.toml", "birds.toml", "-o", "jobs"], dir.path());
    assert_eq!(made.status.code(), Some(2), "the worst of the three codes");
    for name in ["nucs", "birds"] {
        assert!(dir.path().join("jobs").join(name).join("job.json").exists(), "{name}");
    }
    assert!(!dir.path().join("jobs/bad").exists());
    let said = str::from_utf8(&made.stderr).expect("text");
    assert!(said.contains("2 of 3 jobs made; not bad.toml"), "{said}");
    let (first, second) = (out(&made).find("Spring nucs"), out(&made).find("Nest boxes"));
    assert!(first.is_some() && first < second, "in the order asked for: {}", out(&made));
    // The same job made alone is the same, byte for byte.
    assert_eq!(run(&["make", "nucs.toml", "-o", "alone"], dir.path()).status.code(), Some(0));
    let read = |path: &str| fs::read(dir.path().join(path)).expect("a file");
    assert_eq!(read("alone/job.json"), read("jobs/nucs/job.json"));
}

#[test]
fn two_specs_never_share_a_folder() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let made = run(&["make", "a/nucs.toml", "b/nucs.toml", "-o", "jobs"], dir.path());
    assert_eq!(made.status.code(), Some(2));
    assert!(str::from_utf8(&made.stderr).expect("text").contains("jobs/nucs"), "{made:?}");
}

#[test]
fn quiet_says_nothing_when_all_is_well() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("nucs.toml"), run(&["start", "nuc"], dir.path()).stdout).expect("written");
    let made = run(&["--quiet", "make", "nucs.toml"], dir.path());
    assert_eq!((made.status.code(), made.stdout.len(), made.stderr.len()), (Some(0), 0, 0), "{made:?}");
    fs::write(dir.path().join("bad.toml"), "title = 3").expect("written");
    assert!(!run(&["-q", "make", "bad.toml"], dir.path()).stderr.is_empty());
}

#[test]
fn completions_and_manual_know_every_command() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let manual = run(&["manual"], dir.path());
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let completions = run(&["completions", shell], dir.path());
        for command in ["make", "check", "start", "profiles", "keys"] {
            assert!(out(&completions).contains(command), "{shell} {command}");
        }
    }
    for command in ["make", "check", "start", "profiles", "keys"] {
        assert!(out(&manual).contains(&format!("nestwright\\-{command}")), "{command}");
        assert!(run(&["manual", command], dir.path()).status.success());
    }
    assert_eq!(run(&["manual", "dance"], dir.path()).status.code(), Some(2));
}

/// Signals as Linux tells them: bit 1 of a process's mask of signals that it handles itself is the interrupt (proc(5)).
#[cfg(target_os = "linux")]
#[test]
fn ctrl_c_ends_the_search_and_the_folder_is_still_written() {
    use std::process::Stdio;
    use std::time::{Duration, Instant};
    let dir = tempfile::tempdir().expect("a temporary folder");
    let spec = concat!(env!("CARGO_MANIFEST_DIR"), "/out-samples/bat-roosts/job.toml");
    // Two sheets are taken and one is not proved to be too few: at this effort the search would take hours.
    let mut child = Command::new(env!("CARGO_BIN_EXE_nestwright"))
        .args(["make", spec, "-o", "roosts", "--effort", "100000"])
        .current_dir(dir.path())
        .env("XDG_CONFIG_HOME", dir.path())
        .env("HOME", dir.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let until = Instant::now() + Duration::from_secs(300);
    let handles = || {
        let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
        let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).map(str::trim);
        mask.and_then(|mask| u64::from_str_radix(mask, 16).ok()).is_some_and(|mask| mask & 0b10 != 0)
    };
    while !handles() {
        assert!(Instant::now() < until, "it never came to handle interrupts");
        std::thread::sleep(Duration::from_millis(20));
    }
    // Time to come to the search; at any moment before, the wish holds as well.
    std::thread::sleep(Duration::from_millis(500));
    let sent = Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill is there");
    assert!(sent.success());
    while child.try_wait().expect("it can be asked").is_none() {
        if Instant::now() > until {
            child.kill().expect("it ends");
            panic!("the interrupt did not end the search");
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    let output = child.wait_with_output().expect("its words");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(dir.path().join("roosts/job.json").exists() && dir.path().join("roosts/sheet-2.svg").exists());
    let said = str::from_utf8(&output.stderr).expect("text");
    assert!(said.contains("best sheets found so far") && !said.contains("no fewer than"), "{said}");
    assert!(out(&output).contains("Sheets"), "{}", out(&output));
}
