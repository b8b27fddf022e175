//! Every sample and every starter, on every machine, with no drill, with each alone and with all, from 1 to 6 of it.

use crate::any_job::AnyJob;
use nestwright::profile::{Machine, Profiles, Tool, ToolKind};
use nestwright::starters;
use std::collections::BTreeMap;
use std::fs;

const MOST: u32 = 6;

/// All of them, in an order that is the same everywhere.
pub fn jobs() -> Vec<AnyJob> {
    let profiles = Profiles::built_in();
    let machines: Vec<&str> = profiles.all::<Machine>().map(|machine| machine.name.as_str()).collect();
    let drills = profiles.all::<Tool>().filter(|tool| tool.kind == ToolKind::Drill);
    let drills: Vec<&str> = drills.map(|drill| drill.name.as_str()).collect();
    let mut choices: Vec<Vec<&str>> = vec![Vec::new()];
    choices.extend(drills.iter().map(|drill| vec![*drill]));
    choices.push(drills);
    let mut jobs: Vec<AnyJob> = Vec::new();
    for spec in specs() {
        for machine in &machines {
            for drills in &choices {
                for count in 1..=MOST {
                    let spec = with(&spec, machine, drills, count);
                    let number = jobs.len() as u64;
                    let (profiles, lists, keys) = (Vec::new(), Vec::new(), BTreeMap::new());
                    jobs.push(AnyJob { number, spec, profiles, lists, effort: 0, keys });
                }
            }
        }
    }
    jobs
}

/// The samples, by name, and the starters.
fn specs() -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../out-samples");
    let samples =
        fs::read_dir(folder).expect("the samples").map(|entry| entry.expect("a sample").path().join("job.toml"));
    let mut samples: Vec<_> = samples.collect();
    samples.sort();
    let samples = samples.iter().map(|path| fs::read_to_string(path).expect("a spec"));
    samples.chain(starters::ALL.iter().map(|starter| starter.source().text.clone())).collect()
}

/// The spec with these in its `[router]`, which it gets where it has none, and so many of each box and part.
fn with(spec: &str, machine: &str, drills: &[&str], count: u32) -> String {
    let quoted: Vec<String> = drills.iter().map(|drill| format!("\"{drill}\"")).collect();
    let chosen = format!("machine = \"{machine}\"\ndrills = [{}]\n", quoted.join(", "));
    let (mut text, mut table) = (String::new(), "");
    for line in spec.lines() {
        if line.starts_with('[') {
            table = line.split([']', '#']).next().unwrap_or_default();
        }
        let own = |key: &str| line.split_once('=').is_some_and(|(name, _)| name.trim() == key);
        if table == "[router" && (own("machine") || own("drills")) {
            continue;
        }
        if own("count") && ["[[box", "[[part"].contains(&table) {
            text += &format!("count = {count}\n");
            continue;
        }
        text += &format!("{line}\n");
        if table == "[router" && line.starts_with('[') {
            text += &chosen;
        }
    }
    if !text.contains("\n[router]") {
        text += &format!("\n[router]\ncutter = \"endmill-6\"\n{chosen}");
    }
    text
}
