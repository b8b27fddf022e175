//! How many boxes the sheets on hand give.

use crate::shared::{check, make, problems};
use nestwright::design::Kinds;
use nestwright::job::CutBy;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use nestwright::yields::{Answer, WhyNotMore, Yield, yields};
use nestwright::{Checked, error::Error};
use std::process::{Command, Output};

fn found(spec: &str) -> (Checked, Yield) {
    yields(&Source::new("test.toml", spec), &Profiles::built_in(), &Kinds::built_in(), &Search::default())
        .unwrap_or_else(|error| panic!("{error}"))
}

fn answer(spec: &str, cut: CutBy) -> Answer {
    let (_, found) = found(spec);
    found.answers.into_iter().find(|answer| answer.cut == cut).expect("it is cut so")
}

/// Boards of one size from one sheet, by saw.
fn boards(sheet: &str, saw: &str, board: &str) -> String {
    format!(
        "title = \"boards\"\n[stock]\nmaterial = \"birch-plywood\"\nthickness = 9\non-hand = 1\n{sheet}\n\
         [saw]\n{saw}\n[[part]]\nname = \"board\"\ncount = \"max\"\n{board}\n"
    )
}

const NUCS: &str = r#"
    title = "Spring nucs"
    units = "in"
    [stock]
    material = "birch-plywood"
    size = [96, 48]
    thickness = "12.1 mm"
    on-hand = 1
    margin = "1/4"
    [router]
    machine = "desktop-router"
    cutter = "endmill-1-4"
    [saw]
    kerf = "1/8"
    [[box]]
    name = "nuc"
    kind = "frame-box"
    count = "max"
    frame = "langstroth-deep"
    frames = 5
    rest = "cleat"
    floor = "fixed"
    cover = "cleated"
"#;

/// Counted on a napkin: without a kerf eight of 250 × 250 come out of 1000 × 500; with one of 3 mm three do, since four
/// would need 1009 mm and two rows 503.
#[test]
fn what_can_be_counted_on_a_napkin() {
    let board = "size = [250, 250]";
    let exact = answer(&boards("size = [1000, 500]", "kerf = 0", board), CutBy::Saw);
    assert_eq!(exact.most.sets, 8);
    assert!(matches!(exact.most.why, WhyNotMore::Proved(_)), "{:?}", exact.most.why);
    assert!((exact.most.share - 1.0).abs() < 1e-9);
    assert!(exact.near.is_empty(), "{:?}", exact.near);
    let sawn = answer(&boards("size = [1000, 500]", "kerf = 3", board), CutBy::Saw);
    assert_eq!(sawn.most.sets, 3);
    assert!(matches!(sawn.most.why, WhyNotMore::Proved(_)), "{:?}", sawn.most.why);
    // The thinnest blade still takes 4 × 250 + 3 × 1.6 mm.
    assert!(sawn.near.is_empty(), "{:?}", sawn.near);
}

/// Four boards of 250 and three kerfs of 2 take 1006 mm; inside a trim of 2 mm there are 1004, inside one of 1 mm 1006.
#[test]
fn the_near_miss_is_the_smallest_change_that_lets_one_more_in() {
    let spec = boards("size = [1008, 506]\ntrim = 2", "kerf = 2", "size = [250, 500]\ngrain = \"cross\"");
    let spec = spec.replace("size = [250, 500]\ngrain = \"cross\"", "size = [500, 250]\ngrain = \"cross\"");
    let answer = answer(&spec, CutBy::Saw);
    assert_eq!(answer.most.sets, 3);
    let near = answer.near.first().expect("a near miss");
    assert_eq!((near.key, near.from, near.to), ("trim", 2.0, 1.0));
    // As the spec's own words it gives four.
    let changed = spec.replace("trim = 2", "trim = 1");
    assert_eq!(self::answer(&changed, CutBy::Saw).most.sets, 4);
}

/// Sets of two lids to a base: the bases take half a sheet each, the lids a quarter; two sheets hold two sets.
#[test]
fn kinds_come_in_the_ratio_that_is_asked_for() {
    let spec = boards("size = [1000, 500]", "kerf = 0", "size = [500, 500]").replace("on-hand = 1", "on-hand = 2")
        + "[[part]]\nname = \"lid\"\nsize = [500, 250]\ncount = \"max\"\nper-set = 2\n";
    let (_, found) = found(&spec);
    assert_eq!(found.set, [("board".to_string(), 1), ("lid".to_string(), 2)]);
    assert_eq!(found.answers[0].most.sets, 2);
    let made = make(&spec);
    let count = |name: &str| made.parts.iter().find(|part| part.name == name).map(|part| part.count);
    assert_eq!((count("board"), count("lid")), (Some(2), Some(4)));
}

/// What has a count of its own is built so many times, and only the rest of the sheet is filled.
#[test]
fn a_fixed_count_stays_as_it_is() {
    let spec = boards("size = [1000, 500]", "kerf = 0", "size = [250, 250]")
        + "[[part]]\nname = \"base\"\nsize = [500, 500]\ncount = 1\n";
    assert_eq!(answer(&spec, CutBy::Saw).most.sets, 4);
}

/// Where no count is "max", boxes are taken in the ratio of their counts.
#[test]
fn a_spec_without_max_is_counted_in_the_ratio_of_its_counts() {
    let spec = NUCS.replace("count = \"max\"", "count = 6");
    assert_eq!(found(&spec).1.set, [("nuc".to_string(), 1)]);
}

/// Four five-frame deep Langstroth nucs with floors, covers, rest cleats and cover cleats come out of a sheet of 4 × 8 ft
/// half-inch plywood with a kerf of 1/8 in or a cutter of 1/4 in (common practice), and five do not: that is proved.
#[test]
fn four_nucs_come_out_of_one_sheet_and_five_do_not() {
    let (checked, found) = found(NUCS);
    assert!(!checked.refused());
    assert_eq!(found.answers.iter().map(|answer| answer.cut).collect::<Vec<_>>(), [CutBy::Router, CutBy::Saw]);
    for answer in found.answers {
        assert_eq!((answer.most.sets, answer.most.used), (4, 1), "{:?}", answer.cut);
        assert!(matches!(answer.most.why, WhyNotMore::Proved(_)), "{:?}: {:?}", answer.cut, answer.most.why);
    }
}

/// A job made with "max" is for as many as both ways of cutting give, and says why.
#[test]
fn make_builds_what_yield_finds() {
    let (_, found) = found(NUCS);
    let least = found.answers.iter().map(|answer| answer.most.sets).min();
    let made = make(NUCS);
    assert_eq!(Some(made.job.boxes[0].count), least);
    let number = made.findings.iter().find(|finding| finding.check == "number from the sheets on hand").expect("told");
    assert_eq!(number.measured.map(|measure| measure.value()), least.map(f64::from));
    assert!(number.advice.contains("router: ") && number.advice.contains("saw: "), "{}", number.advice);
}

#[test]
fn sheets_without_a_number_are_pointed_at() {
    let told = problems(&NUCS.replace("    on-hand = 1\n", ""));
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].starts_with("test.toml:4:5") && told[0].contains("on-hand"), "{told:?}");
    // `yield` needs it of any spec.
    let fixed = NUCS.replace("    on-hand = 1\n", "").replace("\"max\"", "2");
    let source = Source::new("test.toml", fixed);
    let Err(Error::Unreadable(told)) = yields(&source, &Profiles::built_in(), &Kinds::built_in(), &Search::default())
    else {
        panic!("it was counted")
    };
    assert!(told[0].to_string().contains("on-hand"), "{told:?}");
}

#[test]
fn where_not_even_one_fits_it_is_refused() {
    let (checked, found) = found(&boards("size = [1000, 500]", "kerf = 3", "size = [1000, 510]"));
    assert!(checked.refused());
    assert_eq!(found.answers[0].most.sets, 0);
    assert!(check(&boards("size = [1000, 500]", "kerf = 3", "size = [1000, 510]")).refused());
}

fn run(args: &[&str], dir: &std::path::Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_nestwright")).args(args).current_dir(dir).output().expect("it runs")
}

/// The keys that the book names, and the exit codes.
#[test]
fn the_command_prints_a_table_or_json() {
    let dir = tempfile::tempdir().expect("a folder");
    let spec = boards("size = [1008, 506]\ntrim = 2", "kerf = 2", "size = [500, 250]\ngrain = \"cross\"");
    std::fs::write(dir.path().join("job.toml"), spec).expect("written");
    let table = run(&["yield", "job.toml"], dir.path());
    let text = String::from_utf8(table.stdout).expect("text");
    assert_eq!(table.status.code(), Some(0));
    assert!(text.contains("3 × board") && text.contains("4 × board cannot be cut"), "{text}");
    assert!(text.contains("near miss: "), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let json = run(&["yield", "job.toml", "--json"], dir.path());
    let value: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let answer = &value["answers"][0];
    assert_eq!((&answer["cut"], &answer["sets"]), (&"saw".into(), &3.into()));
    assert_eq!(answer["one_more"]["status"], "impossible");
    assert_eq!(answer["near_misses"][0]["key"], "trim");
    assert_eq!(value["set"][0]["name"], "board");
}

/// Whoever stops the search is told what was found by then, and no near miss is looked for; `make` goes on with the same
/// wish to stop.
#[test]
fn a_search_that_is_stopped_tells_what_it_has() {
    let search = Search::default();
    search.watch.stop();
    let source = Source::new("test.toml", NUCS);
    let (_, found) = yields(&source, &Profiles::built_in(), &Kinds::built_in(), &search).expect("it is read");
    assert!(found.answers.iter().all(|answer| answer.most.sets >= 1 && answer.near.is_empty()));
    let checked = nestwright::check(&source, &Profiles::built_in(), &Kinds::built_in(), &search).expect("it is read");
    assert!(checked.job.boxes[0].count >= 1);
    assert_eq!(nestwright::make(checked, &search).expect("it is made").layout.sheets.len(), 1);
}
