//! Off-cuts of one job as the stock of the next.

use nestwright::offcuts::{promised, read};
use nestwright::reading::Source;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

/// One board of 400 × 496 from a sheet of 1000 × 500: 591 × 500 are left, and a strip too narrow to keep.
const FIRST: &str = "title = \"Spring trays\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [1000, 500]\nthickness = 9\n\
                     [saw]\nkerf = 3\n[[part]]\nname = \"base\"\nsize = [400, 496]\ngrain = \"long\"\n";

fn next(title: &str, stock: &str) -> String {
    format!("title = \"{title}\"\n{stock}\n[saw]\nkerf = 3\n[[part]]\nname = \"lid\"\nsize = [300, 200]\n")
}

const FROM: &str = "[stock]\nfrom = \"first/offcuts.toml\"";

fn run(dir: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_nestwright")).args(args).current_dir(dir).output().expect("it runs")
}

fn made(dir: &Path, name: &str, spec: &str) -> (Option<i32>, String) {
    fs::write(dir.join(format!("{name}.toml")), spec).expect("written");
    let output = run(dir, &["make", &format!("{name}.toml")]);
    (output.status.code(), String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" "))
}

fn first(spec: &str) -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    assert_eq!(made(dir.path(), "first", spec), (Some(0), String::new()));
    dir
}

fn list(dir: &Path) -> String {
    fs::read_to_string(dir.join("first/offcuts.toml")).expect("a list")
}

#[test]
fn what_a_job_leaves_over_is_listed() {
    let dir = first(FIRST);
    let list = read(&Source::new("offcuts.toml", list(dir.path()))).expect("readable");
    assert_eq!(list.job, "Spring trays");
    let [(off_cut, _)] = &list.off_cuts[..] else { panic!("{list:?}") };
    assert_eq!((off_cut.id.as_str(), off_cut.sheet), ("spring-trays-saw-1", 1));
    // One end is squared first: 1000 less 3 and a kerf, the board and a kerf. Above the board too little is left to keep.
    assert_eq!((off_cut.length, off_cut.width, off_cut.thickness), (591.0, 500.0, 9.0));
    assert_eq!(off_cut.material, "birch-plywood");
}

#[test]
fn what_is_worth_keeping_is_for_the_maker_to_say() {
    let dir = first(&FIRST.replace("thickness = 9", "thickness = 9\nusable = [100, 600]"));
    assert!(!dir.path().join("first/offcuts.toml").exists());
    let dir = first(&FIRST.replace("thickness = 9", "thickness = 9\nusable = [590, 500]"));
    assert!(dir.path().join("first/offcuts.toml").exists());
}

/// The next job is cut from the off-cut and gets it; a third is told who has it.
#[test]
fn an_off_cut_is_promised_to_one_job_only() {
    let dir = first(FIRST);
    let note = "# leans against the back wall\n";
    fs::write(dir.path().join("first/offcuts.toml"), format!("{note}{}", list(dir.path()))).expect("written");
    assert_eq!(made(dir.path(), "lids", &next("Lids", FROM)), (Some(0), String::new()));
    let json = fs::read_to_string(dir.path().join("lids/job.json")).expect("made");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["saw"]["sheets"][0]["stock"], "spring-trays-saw-1");
    let promised = list(dir.path());
    assert!(promised.contains("promised-to = \"Lids (lids.toml)\"") && promised.starts_with(note), "{promised}");
    let (code, said) = made(dir.path(), "more", &next("More lids", FROM));
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("no off-cut of the list is free") && said.contains("promised to Lids (lids.toml)"), "{said}");
    assert!(!dir.path().join("more").exists());
    // The same job again has what it had, and the list stays as it is.
    assert_eq!(made(dir.path(), "lids", &next("Lids", FROM)).0, Some(0));
    assert_eq!(list(dir.path()), promised);
    // The first job again leaves the same, and its list keeps note and promise.
    assert_eq!(made(dir.path(), "first", FIRST), (Some(0), String::new()));
    assert_eq!(list(dir.path()), promised);
    // One that leaves something else would break the promise.
    let (code, said) = made(dir.path(), "first", &FIRST.replace("[400, 496]", "[500, 496]"));
    assert_eq!(code, Some(1));
    assert!(said.contains("is promised to Lids (lids.toml)"), "{said}");
    assert_eq!(list(dir.path()), promised);
}

#[test]
fn off_cuts_save_whole_sheets_as_far_as_they_go() {
    let dir = first(FIRST);
    let whole = "[[stock]]\nname = \"whole\"\nmaterial = \"birch-plywood\"\nsize = [1000, 500]\nthickness = 9\n\
                 [[stock]]\nfrom = \"first/offcuts.toml\"";
    let spec = next("Lids", whole).replace("[300, 200]", "[300, 200]\ncount = 8");
    assert_eq!(made(dir.path(), "lids", &spec).0, Some(0));
    let json = fs::read_to_string(dir.path().join("lids/job.json")).expect("made");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let sheets: Vec<_> = json["saw"]["sheets"].as_array().expect("sheets").iter().map(|s| &s["stock"]).collect();
    // A whole sheet takes six, three along and two across; two of them would cost more than one and the off-cut.
    assert_eq!(sheets.len(), 2);
    assert!(sheets.iter().any(|stock| **stock == "spring-trays-saw-1"), "{sheets:?}");
    // Fewer lids, and whole sheets that are listed first: what is not used is free again.
    let spec = spec.replace("[300, 200]", "[900, 400]").replace("count = 8", "count = 1");
    assert_eq!(made(dir.path(), "lids", &spec).0, Some(0));
    assert!(!list(dir.path()).contains("promised-to"), "{}", list(dir.path()));
}

/// Router and saw leave different pieces of the same sheets: which was cut is for the maker to say.
#[test]
fn a_list_of_two_plans_must_say_which_was_cut() {
    let router = "[router]\nmachine = \"desktop-router\"\ncutter = \"endmill-6\"\n[saw]";
    let dir = first(&FIRST.replace("[saw]", router).replace("496", "470"));
    let (code, said) = made(dir.path(), "lids", &next("Lids", FROM));
    assert_eq!(code, Some(2));
    assert!(said.contains("expected cut = \"router\" or cut = \"saw\""), "{said}");
    let said_so = list(dir.path()).replace("# cut = \"router\"", "cut = \"router\"");
    fs::write(dir.path().join("first/offcuts.toml"), said_so).expect("written");
    assert_eq!(made(dir.path(), "lids", &next("Lids", FROM)), (Some(0), String::new()));
    let promised: Vec<String> = list(dir.path()).split("[[off-cut]]").map(String::from).collect();
    assert!(promised.iter().any(|piece| piece.contains("plan = \"router\"") && piece.contains("promised-to")));
    assert!(!promised.iter().any(|piece| piece.contains("plan = \"saw\"") && piece.contains("promised-to")));
}

/// A job whose folder cannot be written gives back what it was promised.
#[test]
fn a_job_that_is_not_written_keeps_no_promise() {
    let dir = first(FIRST);
    let before = list(dir.path());
    fs::create_dir(dir.path().join("lids")).expect("a folder");
    fs::write(dir.path().join("lids/letter.txt"), "mine").expect("written");
    let (code, said) = made(dir.path(), "lids", &next("Lids", FROM));
    assert_eq!(code, Some(1), "{said}");
    assert_eq!(list(dir.path()), before);
    assert_eq!(fs::read_dir(dir.path().join("first")).expect("there").count(), {
        // Nothing is left beside the list.
        let json = fs::read_to_string(dir.path().join("first/job.json")).expect("made");
        let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
        let names = json["files"].as_array().expect("files").iter().filter_map(|file| file["name"].as_str());
        let tops: BTreeSet<&str> = names.filter_map(|name| name.split('/').next()).collect();
        tops.len() + 1
    });
}

/// Two jobs made at once: one gets the off-cut, the other is told, whichever comes first.
#[test]
fn of_two_jobs_at_once_one_gets_it() {
    for _ in 0..3 {
        let dir = first(FIRST);
        for name in ["a", "b"] {
            fs::write(dir.path().join(format!("{name}.toml")), next(name, FROM)).expect("written");
        }
        let mut runs: Vec<_> = ["a.toml", "b.toml"]
            .iter()
            .map(|spec| {
                let mut command = Command::new(env!("CARGO_BIN_EXE_nestwright"));
                command.args(["make", spec, "--quiet"]).current_dir(dir.path());
                command.stderr(std::process::Stdio::null()).spawn().expect("it runs")
            })
            .collect();
        let codes: Vec<_> = runs.iter_mut().map(|run| run.wait().expect("ended").code()).collect();
        assert_eq!(codes.iter().filter(|code| **code == Some(0)).count(), 1, "{codes:?}");
        assert_eq!(list(dir.path()).matches("promised-to").count(), 1);
        let made = ["a", "b"].iter().filter(|name| dir.path().join(name).exists()).count();
        assert_eq!(made, 1);
    }
}

/// However the list is written, a promise changes that one mark and nothing else.
#[test]
fn a_promise_changes_its_mark_and_nothing_else() {
    let text = "job = \"a\" # of spring\n\n[[off-cut]] # by the door\nid = \"p\"   # marked in chalk\nplan = \"saw\"\n\
                sheet = 1\nmaterial = \"birch-plywood\"\nthickness = 9\nsize = [400, 300]\n\n[[off-cut]]\n\
                promised-to = \"b\"\nid = \"q\"\nplan = \"saw\"\nsheet = 1\nmaterial = \"birch-plywood\"\n\
                thickness = 9\nsize = [500, 300]";
    let with = promised(text, "b", &BTreeSet::from(["p", "q"])).expect("marked");
    assert_eq!(with, text.replace("size = [400, 300]\n", "size = [400, 300]\npromised-to = \"b\"\n"));
    assert_eq!(promised(&with, "b", &BTreeSet::from(["q"])).as_deref(), Some(text));
    let free = promised(text, "b", &BTreeSet::new()).expect("freed");
    assert_eq!(free, text.replace("promised-to = \"b\"\n", ""));
    // Another job's piece is not to be had.
    assert_eq!(promised(text, "c", &BTreeSet::from(["q"])), None);
    assert_eq!(promised(text, "c", &BTreeSet::from(["x"])), None);
    let inline = "job = \"a\"\noff-cut = [{ id = \"p\", plan = \"saw\", sheet = 1, material = \"m\", thickness = 9, \
                  size = [400, 300] }]\n";
    let with = promised(inline, "b \"two\"", &BTreeSet::from(["p"])).expect("marked");
    assert_eq!(promised(&with, "b \"two\"", &BTreeSet::new()).as_deref(), Some(inline));
}

/// Whoever takes one from the rack knows it by what is pencilled on it.
#[test]
fn a_sawn_off_cut_is_listed_by_the_number_pencilled_on_it() {
    let spec = "title = \"racks\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [1500, 1200]\nthickness = 12\nusable = [150, 80]\n\
                [saw]\nkerf = 3\n[[part]]\nname = \"wide\"\nsize = [800, 500]\ncount = 3\ngrain = \"long\"\n\
                [[part]]\nname = \"strip\"\nsize = [420, 130]\ncount = 5\ngrain = \"long\"\n\
                [[part]]\nname = \"block\"\nsize = [230, 210]\ncount = 7\ngrain = \"long\"\n";
    let made = crate::shared::make(spec);
    let pieces: Vec<_> = made.saw.sheets.iter().flat_map(|sheet| &sheet.left_over).collect();
    assert!(made.off_cuts.len() > 3, "{:?}", made.off_cuts);
    // Numbered as they are cut off, which is not as they lie on the sheets.
    let numbers: Vec<_> = pieces.iter().filter_map(|piece| piece.name.strip_prefix("off-cut ")).collect();
    assert!(!numbers.is_sorted_by_key(|number| number.parse::<u32>().expect("a number")), "{numbers:?}");
    for off_cut in &made.off_cuts {
        let number = off_cut.id.strip_prefix("racks-saw-").expect("its number");
        let pencilled =
            pieces.iter().find(|piece| piece.name == format!("off-cut {number}")).expect("one of that number");
        let (long, wide) = (pencilled.rect.width(), pencilled.rect.height());
        assert!(
            (0.0..1.0).contains(&(long - off_cut.length)) && (0.0..1.0).contains(&(wide - off_cut.width)),
            "{off_cut:?}"
        );
    }
}

/// A run that is killed while it marks an off-cut leaves a part of the list beside it: neither the job that the list is of
/// nor the next that wants a piece is hindered, and the part goes.
#[test]
fn what_a_killed_run_left_of_marking_is_in_nobodys_way() {
    let dir = first(FIRST);
    let plain = list(dir.path());
    let stray = dir.path().join("first/.offcuts.toml.nestwright");
    let marked = promised(&plain, "Lids \"two\" (lids.toml)", &BTreeSet::from(["spring-trays-saw-1"])).expect("marked");
    let in_the_mark = marked.find("promised-to").expect("a mark");
    for end in [0, 40, in_the_mark + 5, in_the_mark + 20, marked.len() - 3, marked.len()] {
        fs::write(&stray, &marked[..end]).expect("written");
        assert_eq!(made(dir.path(), "first", FIRST), (Some(0), String::new()), "{}", &marked[..end]);
        assert!(!stray.exists());
        assert_eq!(list(dir.path()), plain);
    }
    fs::write(&stray, &marked[..in_the_mark]).expect("written");
    assert_eq!(made(dir.path(), "lids", &next("Lids", FROM)), (Some(0), String::new()));
    assert!(!stray.exists() && list(dir.path()).contains("promised-to"));
    // What somebody else wrote under that name stays.
    let before = list(dir.path());
    fs::write(&stray, "a letter").expect("written");
    let (code, said) = made(dir.path(), "first", FIRST);
    assert!(code == Some(1) && said.contains("was not written by nestwright"), "{said}");
    let (code, said) = made(dir.path(), "lids", &next("Lids", FROM).replace("[300, 200]", "[3000, 200]"));
    assert_ne!(code, Some(0), "{said}");
    let (code, said) = made(dir.path(), "lids", &next("Other lids", FROM));
    assert_ne!(code, Some(0), "{said}");
    assert_eq!((fs::read_to_string(&stray).expect("there").as_str(), list(dir.path())), ("a letter", before));
}

/// A list that is reached by a link is marked where it lies, so that whoever reaches it another way finds the mark.
#[cfg(unix)]
#[test]
fn a_list_behind_a_link_is_marked_itself() {
    let dir = first(FIRST);
    let link = dir.path().join("rack.toml");
    std::os::unix::fs::symlink("first/offcuts.toml", &link).expect("linked");
    assert_eq!(made(dir.path(), "lids", &next("Lids", "[stock]\nfrom = \"rack.toml\"")), (Some(0), String::new()));
    assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
    assert!(list(dir.path()).contains("promised-to = \"Lids (lids.toml)\""), "{}", list(dir.path()));
    assert_eq!(made(dir.path(), "more", &next("More lids", FROM)).0, Some(2), "it is promised already");
}
