//! Jobs drawn at random from every key are made, or refused by `check`; more of them by `cargo run --release -- jobs` in `fuzz/`.

use crate::drawn::attempt::{Outcome, attempt};
use crate::drawn::job;
use nestwright::design::Kinds;
use nestwright::profile::{Fastener, Frame, Machine, Material, Occupant, Profile, Profiles, SawBench, Tool};
use nestwright::spec::reference;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Whatever `check` passes is made, but for sheets that are too few; and at least half of what can be read and asks for no
/// more sheets than there are is made: refusing is no way to pass.
#[test]
fn what_check_passes_is_made() {
    let (built_in, kinds) = (Profiles::built_in(), Kinds::built_in());
    let outcomes: Vec<(u64, Outcome)> =
        (0..60).into_par_iter().map(|number| (number, attempt(&job(19, number), &built_in, &kinds))).collect();
    let (mut made, mut refused) = (0, 0);
    for (number, outcome) in &outcomes {
        match outcome {
            Outcome::Made(files) => {
                made += 1;
                assert!(files.contains_key("parts.csv") && files.contains_key("job.html"), "job {number}");
            }
            Outcome::Refused(checks) => {
                refused += 1;
                assert!(!checks.is_empty(), "job {number} is refused without a word");
            }
            Outcome::Unreadable(_) | Outcome::TooFewSheets => {}
            other => panic!("job {number}: {other:?}\n{}", job(19, *number).text()),
        }
    }
    assert!(made >= refused && made > 20, "{made} made, {refused} refused");
}

#[test]
fn every_key_and_every_word_is_drawn() {
    let drawn: BTreeSet<String> = (0..3000).flat_map(|number| job(3, number).keys.into_keys()).collect();
    let mut missing: Vec<String> = Vec::new();
    let mut look = |tables: &[&str], key: &str, words: &[&str]| {
        let given = |what: &str| tables.iter().any(|table| drawn.contains(&format!("{table}.{what}")));
        // A table of its own shows in its keys.
        let inside = |drawn: &String| {
            let own = format!("{}.", tables[0]);
            let path = if tables[0] == "top" { key.to_string() } else { format!("{own}{key}") };
            drawn.strip_prefix(&path).is_some_and(|rest| rest.starts_with('.'))
        };
        if !given(key) && !drawn.iter().any(inside) {
            missing.push(format!("{tables:?} {key}"));
        }
        missing
            .extend(words.iter().filter(|word| !given(&format!("{key}={word}"))).map(|word| format!("{key} = {word}")));
    };
    const BOXES: [&str; 4] = ["box", "frame-box", "cavity-box", "open-box"];
    for table in reference::tables(&Kinds::built_in()) {
        let heading = table.heading.split(", ").next().unwrap_or_default();
        let own = heading.trim_matches(['[', ']']).to_string();
        let kind = heading.split('"').nth(1).unwrap_or(&own).to_string();
        let tables: Vec<&str> = match heading {
            "top of the file" => vec!["top"],
            "[[box]]" => BOXES.to_vec(),
            _ => vec![&kind],
        };
        for key in &table.keys {
            // One kind has no frame: any box may stand for it, and boxes of frames are boxes.
            match key.name {
                "box" => look(&["top"], "open-box", &[]),
                name => look(&tables, name, key.words()),
            }
        }
    }
    let shelf = [
        (Tool::FOLDER, Tool::KEYS),
        (Machine::FOLDER, Machine::KEYS),
        (SawBench::FOLDER, SawBench::KEYS),
        (Fastener::FOLDER, Fastener::KEYS),
        (Material::FOLDER, Material::KEYS),
        (Occupant::FOLDER, Occupant::KEYS),
        ("frame", Frame::KEYS),
    ];
    for (folder, keys) in shelf {
        keys.iter().for_each(|key| look(&[folder], key.name, &[]));
    }
    assert!(missing.is_empty(), "never drawn: {missing:#?}");
}

/// Another number is another job, and the same one is the same.
#[test]
fn a_job_is_known_by_its_seed_and_number() {
    assert_eq!(job(1, 7).text(), job(1, 7).text());
    let texts: BTreeSet<String> = (0..4).flat_map(|seed| (0..50).map(move |number| job(seed, number).text())).collect();
    assert_eq!(texts.len(), 200);
}
