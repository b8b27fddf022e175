//! The README says what the program does: its reference of keys is the one the reader goes by, its commands are real.

use nestwright::design::Kinds;
use nestwright::spec::reference;
use std::sync::Mutex;
use std::{env, fs};

const README: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");

/// What stands in the README between two marks is what is generated. With `NESTWRIGHT_WRITE` set, the README is brought up
/// to date in place of being compared.
fn stands(start: &str, end: &str, own: &str) {
    // Two tests may want to write.
    static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());
    let _held = ONE_AT_A_TIME.lock();
    let readme = fs::read_to_string(README).expect("the README is there");
    let (before, rest) = readme.split_once(start).expect("the README says where it starts");
    let (written, after) = rest.split_once(end).expect("the README says where it ends");
    if env::var_os("NESTWRIGHT_WRITE").is_some() {
        // Written beside it and put in its place: whoever reads it meanwhile finds the whole of one or the other.
        let (text, beside) = (format!("{before}{start}{own}{end}{after}"), format!("{README}.new"));
        fs::write(&beside, text).and_then(|()| fs::rename(&beside, README)).expect("the README can be written");
        return;
    }
    assert!(written == own, "run the tests with NESTWRIGHT_WRITE=1 once, and commit the README");
}

#[test]
fn reference_of_keys_is_the_readers_own() {
    stands(
        "<!-- The tables below are printed by `nestwright keys --markdown`. -->\n\n",
        "<!-- The end of the tables. -->",
        &reference::markdown(&Kinds::built_in(), ""),
    );
}

#[test]
fn schema_of_job_json_is_the_writers_own() {
    let schema = serde_json::to_string_pretty(&nestwright::export::job_schema()).expect("JSON");
    stands("```json\n", "```\n", &format!("{schema}\n"));
}

/// Every command that stands in the README is one that the program has.
#[test]
fn commands_are_real() {
    let readme = fs::read_to_string(README).expect("the README is there");
    let help = std::process::Command::new(env!("CARGO_BIN_EXE_nestwright")).arg("help").output().expect("it runs");
    let help = String::from_utf8(help.stdout).expect("text");
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|word| !word.is_empty())
        .collect();
    assert!(commands.contains(&"make"), "{commands:?}");
    let blocks = readme.lines().filter_map(|line| line.strip_prefix("    "));
    let spans = readme.lines().flat_map(|line| line.split('`').skip(1).step_by(2));
    let typed = blocks.chain(spans).filter_map(|text| text.trim().strip_prefix("nestwright "));
    let mut seen = 0;
    for line in typed {
        let word = line.split_whitespace().next().unwrap_or_default();
        if !word.starts_with('-') {
            assert!(commands.contains(&word), "`nestwright {line}` in the README is no command");
            seen += 1;
        }
    }
    assert!(seen >= 5, "only {seen} commands were found in the README");
}
