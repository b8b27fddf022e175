//! Whole jobs: a spec with tools, machines, saws and nails of its own, made with all its files, and looked at from outside.
//!
//! It begins with jobs drawn at random, from every key that there is, and changes their texts.

use super::{FAULT, Target, sign};
use crate::any_job::{self, AnyJob, attempt::Outcome};
use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use std::sync::LazyLock;
use std::time::Duration;

static PROFILES: LazyLock<Profiles> = LazyLock::new(Profiles::built_in);
static KINDS: LazyLock<Kinds> = LazyLock::new(Kinds::built_in);

pub const TARGET: Target = Target {
    name: "job",
    corpus: || (0..200).map(|number| any_job::job(77, number).text().into_bytes()).collect(),
    words: &[
        "\n",
        "0",
        "1",
        "2",
        "3",
        "0.05",
        "0.5",
        "0.125",
        "6",
        "10",
        "12",
        "20",
        "45",
        "90",
        "100",
        "500",
        "10000",
        "true",
        "false",
        "\"max\"",
        "\"mm\"",
        "\"in\"",
        "\"1/8 in\"",
        "\"1/4 in\"",
        "\"3/4 in\"",
        "\"tabs\"",
        "\"onion-skin\"",
        "\"length\"",
        "\"width\"",
        "\"arc\"",
        "\"straight\"",
        "\"none\"",
        "\"automatic\"",
        "\"pause\"",
        "\"centre\"",
        "\"radius\"",
        "\"outer\"",
        "\"inner\"",
        "finish = ",
        "feed = ",
        "speed = ",
        "tab-height = ",
        "hold = ",
        "flip = ",
    ],
    run,
    patience: Duration::from_secs(20),
};

fn run(input: &[u8]) -> Vec<String> {
    let job = AnyJob::of_text(&String::from_utf8_lossy(input));
    match any_job::attempt::attempt(&job, &PROFILES, &KINDS) {
        Outcome::Unreadable(messages) => messages.iter().map(|message| sign(message)).collect(),
        Outcome::Refused(checks) => checks.iter().map(|check| sign(check)).collect(),
        Outcome::TooFewSheets => vec!["too few sheets".into()],
        Outcome::RefusedOnlyByMake(checks) => {
            checks.iter().map(|check| format!("only by make: {}", sign(check))).collect()
        }
        Outcome::Fault(_) => vec![FAULT.into()],
        Outcome::Silent => panic!("refused without a word"),
        Outcome::Disagrees(why) => panic!("{why}"),
        Outcome::Made(files) => vec![format!("made {}", files.len().min(60))],
    }
}
