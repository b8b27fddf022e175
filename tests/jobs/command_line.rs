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

/// Programs are run in the order in which they are given.
#[test]
fn programs_given_in_the_wrong_order_are_refused() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let spec = BOARD.replace("endmill-6\" }", "endmill-6\", drills = [\"drill-20\"] }").replace(
        "size = [200, 120]",
        "size = [200, 120], hole = [{ use = \"vent\", diameter = 20, across = 60, up = 60 }]",
    );
    fs::write(dir.path().join("t.toml"), spec).expect("written");
    assert_eq!(run(&["make", "t.toml"], dir.path()).status.code(), Some(0));
    let (drill, mill) = ("t/sheet-1-drill-20.nc", "t/sheet-1-endmill-6.nc");
    for (files, code) in [([drill, mill], 0), ([mill, drill], 1)] {
        let proved = run(&["prove", files[0], files[1], "--job", "t"], dir.path());
        assert_eq!(proved.status.code(), Some(code), "{proved:?}");
        assert_eq!(out(&proved).contains("FAULT   programs run too early"), code == 1, "{proved:?}");
    }
}

const BOARD: &str = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [600, 400], thickness = 12 }\n\
                     router = { machine = \"desktop-router\", cutter = \"endmill-6\" }\n\
                     part = { name = \"board\", size = [200, 120] }\n";

/// A spec `t.toml`, made into the folder `t`.
fn board() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("t.toml"), BOARD).expect("written");
    assert_eq!(run(&["make", "t.toml"], dir.path()).status.code(), Some(0));
    dir
}

fn names(dir: &Path) -> Vec<String> {
    let entries = fs::read_dir(dir).expect("a folder").map(|entry| entry.expect("readable").file_name());
    let mut names: Vec<String> = entries.map(|name| name.to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Proving changes nothing in the folder, unless a picture is asked for: that goes with the programs it shows.
#[test]
fn a_job_is_made_anew_after_its_program_was_proved_in_its_folder() {
    let dir = board();
    let make = || run(&["make", "t.toml", "-o", "t"], dir.path());
    let before = names(&dir.path().join("t"));
    let proved = run(&["prove", "t/sheet-1.nc", "--job", "t"], dir.path());
    assert_eq!(proved.status.code(), Some(0), "{proved:?}");
    assert_eq!(names(&dir.path().join("t")), before, "nothing was asked for");
    for _ in 0..2 {
        let proved = run(&["prove", "t/sheet-1.nc", "--job", "t", "--picture", "t"], dir.path());
        assert_eq!(proved.status.code(), Some(0), "{proved:?}");
        assert!(out(&proved).contains("picture: t/sheet-1.proof.svg"), "{}", out(&proved));
    }
    let picture = dir.path().join("t/sheet-1.proof.svg");
    let svg = fs::read_to_string(&picture).expect("a picture");
    let options = resvg::usvg::Options::default();
    assert!(resvg::usvg::Tree::from_str(&svg, &options).is_ok(), "the seal leaves it a picture");
    assert_eq!(make().status.code(), Some(0));
    assert!(!picture.exists(), "it was of programs that are no more");
    fs::write(&picture, "<svg/>").expect("written");
    assert_eq!(make().status.code(), Some(1), "this one is the maker's own");
    let proved = run(&["prove", "t/sheet-1.nc", "--job", "t", "--picture", "t"], dir.path());
    assert_eq!(proved.status.code(), Some(1));
    assert_eq!(fs::read_to_string(&picture).expect("there"), "<svg/>");
}

/// Whatever is refused or fails says so on the error channel, quiet or not, as text and as JSON; quiet says nothing else.
#[test]
fn a_code_other_than_0_never_comes_without_a_word() {
    let dir = board();
    fs::write(dir.path().join("large.toml"), BOARD.replace("[200, 120]", "[2000, 120]")).expect("written");
    let nc = fs::read_to_string(dir.path().join("t/sheet-1.nc")).expect("a program");
    fs::write(dir.path().join("shallow.nc"), nc.replace("Z-12", "Z-9")).expect("written");
    let runs: [(&[&str], i32); 8] = [
        (&["check", "large.toml"], 1),
        (&["yield", "large.toml"], 2),
        (&["make", "large.toml"], 1),
        (&["make", "large.toml", "t.toml", "-o", "both"], 1),
        (&["prove", "shallow.nc", "--job", "t"], 1),
        (&["check", "t.toml"], 0),
        (&["make", "t.toml"], 0),
        (&["prove", "t/sheet-1.nc", "--job", "t"], 0),
    ];
    for (args, code) in runs {
        for more in [&[][..], &["--quiet"], &["--json"], &["--json", "--quiet"]] {
            if args[0] == "make" && more.contains(&"--json") {
                continue;
            }
            let args = [args, more].concat();
            let ended = run(&args, dir.path());
            assert_eq!(ended.status.code(), Some(code), "{args:?}: {ended:?}");
            assert_eq!(code == 0, ended.stderr.is_empty(), "{args:?}: {ended:?}");
            if more == ["--quiet"] && !args.contains(&"both") {
                assert!(ended.stdout.is_empty(), "{args:?}: {}", out(&ended));
            }
            if more.contains(&"--json") && code != 2 {
                assert!(serde_json::from_slice::<serde_json::Value>(&ended.stdout).is_ok(), "{args:?}");
            }
        }
    }
}

/// The sheets that are there are searched with the effort asked for, whether so many boxes are wanted or as many as go.
#[test]
fn the_most_that_the_sheets_give_are_searched_for_as_long_as_asked() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let spec = |count: &str| {
        format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [1200, 800], thickness = 9, on-hand = 3 }}\n\
             saw = {{ kerf = 3 }}\n\
             [[part]]\nname = \"a\"\nsize = [397, 211]\ncount = {count}\n\
             [[part]]\nname = \"b\"\nsize = [283, 157]\ncount = {count}\n\
             [[part]]\nname = \"c\"\nsize = [171, 131]\ncount = {count}\n"
        )
    };
    fs::write(dir.path().join("max.toml"), spec("\"max\"")).expect("written");
    let found = |effort: &str| {
        let yields = run(&["yield", "max.toml", "--json", "--effort", effort], dir.path());
        let value: serde_json::Value = serde_json::from_slice(&yields.stdout).expect("JSON");
        value["answers"][0]["sets"].as_u64().expect("a number")
    };
    let (least, most) = (found("0"), found("1"));
    assert!(least < most, "the spec tells efforts apart: {least}, {most}");
    for (effort, sets) in [("0", least), ("1", most)] {
        let checked = run(&["check", "max.toml", "--json", "--effort", effort], dir.path());
        let value: serde_json::Value = serde_json::from_slice(&checked.stdout).expect("JSON");
        let numbers = value.as_array().expect("findings").iter();
        let numbers = numbers.filter(|finding| finding["check"] == "number from the sheets on hand");
        let numbers: Vec<_> = numbers.map(|finding| finding["measured"].as_f64()).collect();
        assert_eq!(numbers, [Some(sets as f64); 3], "{effort}");
        fs::write(dir.path().join("t.toml"), spec(&sets.to_string())).expect("written");
        assert_eq!(
            run(&["make", "t.toml", "--quiet", "--effort", effort], dir.path()).status.code(),
            Some(0),
            "{effort}"
        );
        let made = run(&["make", "max.toml", "--effort", effort], dir.path());
        assert!(out(&made).contains(&format!("{sets} × a")), "{effort}: {made:?}");
    }
}

/// What a path holds reaches no terminal as anything but letters.
#[cfg(unix)]
#[test]
fn what_a_path_holds_is_shown_as_letters() {
    let dir = board();
    let red = "\u{1b}[31mred";
    fs::copy(dir.path().join("t.toml"), dir.path().join(format!("{red}.toml"))).expect("copied");
    let (spec, folder) = (&format!("{red}.toml")[..], &format!("{red}-out")[..]);
    let runs: &[&[&str]] = &[
        &["check", spec],
        &["make", spec, "-o", folder],
        &["make", spec, "t.toml"],
        &["make", spec, spec],
        &["make", spec, "t.toml", "missing\u{1b}[0m.toml"],
        &["prove", "t/sheet-1.nc", "--job", folder, "--picture", folder],
        &["prove", spec, "--job", "t"],
        &["prove", "t/sheet-1.nc", "--job", red],
        &["check", red],
        &["check", "t.toml", "--profiles", red],
        &["start", red],
        &["profiles", red],
        &["keys", red],
        &["manual", red],
        &["yield", spec],
        &[red],
        &["check", "t.toml", red],
        &["check", "t.toml", &format!("--{red}")],
        &["make", "t.toml", "--effort", red],
    ];
    for args in runs {
        let ended = run(args, dir.path());
        for said in [&ended.stdout, &ended.stderr] {
            assert!(!said.contains(&0x1b), "{args:?}: {}", String::from_utf8_lossy(said));
        }
        let said = String::from_utf8_lossy(&ended.stderr);
        // The reader of arguments leaves such letters out of what it says; everything else shows a question mark for them.
        assert!(ended.status.success() || said.contains("?[") || said.contains("red'"), "{args:?}: {said}");
    }
}

/// A pipe that nobody writes into is not waited at, and what never ends is not read to its end.
#[cfg(unix)]
#[test]
fn an_input_that_never_ends_is_refused() {
    let dir = board();
    let pipe = dir.path().join("pipe");
    let mkfifo = |path: &Path| assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo").success());
    mkfifo(&pipe);
    let from = BOARD.replace(
        "stock = { material = \"birch-plywood\", size = [600, 400], thickness = 12 }",
        "stock = { from = \"pipe\" }",
    );
    fs::write(dir.path().join("from.toml"), from).expect("written");
    fs::create_dir_all(dir.path().join("own/tools")).expect("made");
    mkfifo(&dir.path().join("own/tools/mine.toml"));
    fs::create_dir(dir.path().join("job")).expect("made");
    mkfifo(&dir.path().join("job/job.json"));
    let piped: &[&[&str]] = &[
        &["check", "pipe"],
        &["make", "pipe"],
        &["yield", "pipe"],
        &["check", "from.toml"],
        &["check", "t.toml", "--profiles", "own"],
        &["prove", "pipe", "--job", "t"],
        &["prove", "t/sheet-1.nc", "--job", "job"],
    ];
    for args in piped {
        let ended = run(args, dir.path());
        let said = String::from_utf8_lossy(&ended.stderr);
        assert_eq!(ended.status.code(), Some(2), "{args:?}: {said}");
        assert!(said.contains("is a pipe"), "{args:?}: {said}");
    }
    if Path::new("/dev/zero").exists() {
        for args in [&["check", "/dev/zero"][..], &["prove", "/dev/zero", "--job", "t"]] {
            let ended = run(args, dir.path());
            let said = String::from_utf8_lossy(&ended.stderr);
            assert_eq!(ended.status.code(), Some(2), "{args:?}: {said}");
            assert!(said.contains("is too long"), "{args:?}: {said}");
        }
    }
    // What the shell hands over is read.
    let script = format!("cat t.toml | '{}' check /dev/stdin --quiet", env!("CARGO_BIN_EXE_nestwright"));
    let read = Command::new("sh").args(["-c", &script]).current_dir(dir.path()).env("HOME", dir.path()).output();
    assert_eq!(read.expect("a shell").status.code(), Some(0));
}

/// Where the output cannot be printed, what was made is made, what was refused is said, and the code is not 0.
#[cfg(target_os = "linux")]
#[test]
fn an_output_that_cannot_be_printed_is_told() {
    let dir = board();
    fs::write(dir.path().join("large.toml"), BOARD.replace("[200, 120]", "[2000, 120]")).expect("written");
    let full = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_nestwright"));
        command.args(args).current_dir(dir.path()).env("XDG_CONFIG_HOME", dir.path()).env("HOME", dir.path());
        command.stdout(fs::File::options().write(true).open("/dev/full").expect("it is there"));
        let ended = command.output().expect("the program runs");
        (ended.status.code(), String::from_utf8_lossy(&ended.stderr).into_owned())
    };
    fs::remove_dir_all(dir.path().join("t")).expect("removed");
    let (code, said) = full(&["make", "t.toml", "large.toml"]);
    assert_eq!(code, Some(1), "{said}");
    assert!(dir.path().join("t/job.json").exists());
    for words in
        ["part fits a sheet", "1 of 2 jobs made", "cannot write the output", "the folders themselves are written"]
    {
        assert!(said.contains(words), "{words}: {said}");
    }
    for (args, words) in [
        (&["check", "large.toml"][..], "part fits a sheet"),
        (&["check", "t.toml"], "cannot write the output"),
        (&["prove", "t/sheet-1.nc", "--job", "t"], "cannot write the output"),
        (&["profiles"], "cannot write the output"),
    ] {
        let (code, said) = full(args);
        assert_eq!(code, Some(1), "{args:?}: {said}");
        assert!(said.contains(words), "{args:?}: {said}");
    }
}

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

/// What is nobody's is counted for the machine and the tool that cut, and for no other.
#[test]
fn make_says_which_placeholders_it_relied_on() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("birds.toml"), run(&["start", "nest-box"], dir.path()).stdout).expect("written");
    let said = out(&run(&["make", "birds.toml"], dir.path())).split_whitespace().collect::<Vec<_>>().join(" ");
    let of = |name: &str| {
        let marked = out(&run(&["profiles", name], dir.path())).matches("\"placeholder: ").count();
        format!("{marked} of {name}")
    };
    let expected = format!("Figures that are placeholders: {}, {}. ", of("shop-router"), of("endmill-1-4"));
    assert!(said.contains(&expected), "{expected}: {said}");
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

/// Programs that are proved together are of one sheet, one after the other on it.
#[test]
fn programs_of_two_sheets_are_not_taken_for_those_of_one() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let spec = "title = 't'\nstock = { material = 'birch-plywood', size = [400, 300], thickness = 12.1 }\n\
                router = { machine = 'desktop-router', cutter = 'endmill-6' }\n\
                part = { name = 'board', size = [300, 200], count = 2 }\n";
    fs::write(dir.path().join("t.toml"), spec).expect("written");
    assert!(run(&["make", "t.toml"], dir.path()).status.success());
    let both = run(&["prove", "t/sheet-1.nc", "t/sheet-2.nc", "--job", "t"], dir.path());
    assert_eq!(both.status.code(), Some(2));
    let said = String::from_utf8_lossy(&both.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("sheet-1.nc for sheet 1 and sheet-2.nc for sheet 2: prove"), "{said}");
    assert!(run(&["prove", "t/sheet-2.nc", "--job", "t"], dir.path()).status.success());
}

#[test]
fn completions_and_manual_know_every_command() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let manual = run(&["manual"], dir.path());
    // The commands that the program itself lists, but for its help.
    let help = run(&["--help"], dir.path());
    let listed = out(&help)
        .lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| !line.is_empty());
    let commands: Vec<&str> = listed
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .collect();
    assert!(commands.len() >= 10, "{commands:?}");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let completions = run(&["completions", shell], dir.path());
        for command in &commands {
            assert!(out(&completions).contains(command), "{shell} {command}");
        }
    }
    for command in commands {
        assert!(out(&manual).contains(&format!("nestwright\\-{command}")), "{command}");
        assert!(run(&["manual", command], dir.path()).status.success());
    }
    assert_eq!(run(&["manual", "dance"], dir.path()).status.code(), Some(2));
}

/// Twenty-four boards that no saw gets out of three sheets, and that are not proved to need four: 98 of each 100 parts of
/// three would have to become boards.
fn hopeless() -> String {
    let boards = [
        [400, 164],
        [203, 171],
        [272, 193],
        [368, 321],
        [398, 228],
        [244, 305],
        [234, 305],
        [189, 298],
        [354, 190],
        [290, 313],
        [280, 280],
        [275, 289],
        [419, 263],
        [308, 218],
        [410, 159],
        [402, 157],
        [273, 269],
        [418, 231],
        [412, 247],
        [288, 284],
        [222, 293],
        [225, 210],
        [239, 156],
        [225, 233],
    ];
    let mut spec = String::from(
        "title = \"boards\"\nstock = { material = \"birch-plywood\", size = [1000, 600], thickness = 9 }\nsaw = { kerf = 3 }\n",
    );
    for (i, [length, width]) in boards.iter().enumerate() {
        spec.push_str(&format!("[[part]]\nname = \"b{i}\"\nsize = [{length}, {width}]\ngrain = \"long\"\n"));
    }
    spec
}

/// A search ends when it is told to while it runs, with what it has: at this effort it would take days on any machine.
#[test]
fn a_search_that_is_stopped_while_it_runs_ends_with_what_it_has() {
    use nestwright::watch::Search;
    let job = crate::shared::check(&hopeless()).job;
    let parts = nestwright::build::parts(&job, &nestwright::build::assemble(&job).expect("boards"));
    let search = Search::of(u32::MAX);
    std::thread::scope(|scope| {
        let found = scope.spawn(|| nestwright::layout::cut_plan(&job, &parts, &search).expect("sheets"));
        // It is stopped when it has looked at something; however long that takes.
        while !search.watch.progress().is_some_and(|progress| progress.done > 0.0) {
            assert!(!found.is_finished(), "it never searched");
            std::thread::yield_now();
        }
        search.watch.stop();
        assert_eq!(found.join().expect("it ends").len(), 4);
    });
}

/// Signals as Linux tells them: bit 1 of a process's mask of signals that it handles itself is the interrupt (proc(5)).
/// From then on the wish to stop holds, whether the search has begun or not, so that no time is to be waited for.
#[cfg(target_os = "linux")]
#[test]
fn ctrl_c_ends_the_search_and_the_folder_is_still_written() {
    use std::process::Stdio;
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join("boards.toml"), hopeless()).expect("written");
    let mut child = Command::new(env!("CARGO_BIN_EXE_nestwright"))
        .args(["make", "boards.toml", "--effort", "100000"])
        .current_dir(dir.path())
        .env("XDG_CONFIG_HOME", dir.path())
        .env("HOME", dir.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let id = child.id();
    let handles = || {
        let status = fs::read_to_string(format!("/proc/{id}/status")).unwrap_or_default();
        let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).map(str::trim);
        mask.and_then(|mask| u64::from_str_radix(mask, 16).ok()).is_some_and(|mask| mask & 0b10 != 0)
    };
    while !handles() {
        assert!(child.try_wait().expect("it can be asked").is_none(), "it ended before it handled interrupts");
        std::thread::yield_now();
    }
    let sent = Command::new("kill").args(["-INT", &id.to_string()]).status().expect("kill is there");
    assert!(sent.success());
    // It ends: without the interrupt that would take days.
    let output = child.wait_with_output().expect("its words");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(dir.path().join("boards/job.json").exists() && dir.path().join("boards/saw-4.svg").exists());
    let said = str::from_utf8(&output.stderr).expect("text");
    assert!(said.contains("best sheets found so far") && !said.contains("no fewer than"), "{said}");
    assert!(out(&output).contains("Saw plan"), "{}", out(&output));
}
