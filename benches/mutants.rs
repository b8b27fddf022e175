//! How many programs that were broken by machine the proof catches: `cargo bench --bench mutants`, or with how often each
//! sheet is broken in each way: `cargo bench --bench mutants -- 40`.

mod jobs;

#[path = "../tests/shared/mod.rs"]
mod shared;

#[path = "../tests/shared/mutants/mod.rs"]
mod mutants;

use mutants::{Count, Outcome};
use rayon::prelude::*;
use std::collections::BTreeMap;

fn main() {
    let mut given = std::env::args().skip(1).filter(|it| !it.starts_with("--"));
    let small: usize = given.next().and_then(|it| it.parse().ok()).unwrap_or(40);
    let only = given.next();
    let large = small.div_ceil(4);
    let measured = mutants::small().into_iter().map(|job| (job, small));
    let measured = measured.chain(jobs::samples().into_iter().map(|job| (job, large)));
    let measured: Vec<_> =
        measured.filter(|((name, _), _)| only.as_ref().is_none_or(|only| name.contains(only))).collect();
    let sheets: Vec<(String, mutants::Programs, usize)> = measured
        .into_iter()
        .flat_map(|((name, spec), count)| {
            let made = shared::make(&spec);
            let sheets = if made.programs.is_empty() { Vec::new() } else { mutants::sheets(&made) };
            sheets.into_iter().map(move |sheet| (format!("{name}, sheet {}", sheet.sheet), sheet, count))
        })
        .collect();
    let outcomes: Vec<(String, Outcome)> = sheets
        .par_iter()
        .enumerate()
        .flat_map_iter(|(i, (name, sheet, count))| {
            sheet.break_them(*count, 1000 + i as u64).into_iter().map(move |it| (name.clone(), it))
        })
        .collect();
    let mut counts: BTreeMap<_, Count> = BTreeMap::new();
    let mut all = Count::default();
    for (name, outcome) in &outcomes {
        counts.entry(outcome.kind).or_default().add(outcome);
        all.add(outcome);
        if let (Some(why), None) = (&outcome.matters, &outcome.caught) {
            println!("not caught: {name}: {}: {}: {why}", outcome.kind, outcome.told);
        }
        if std::env::var_os("MUTANTS_CAREFUL").is_some()
            && let (None, Some(why)) = (&outcome.matters, &outcome.caught)
        {
            println!("careful: {name}: {}: {}: {why}", outcome.kind, outcome.told);
        }
    }
    println!("| what was done | made | of these matter | caught | refused beside them |");
    println!("|---|---:|---:|---:|---:|");
    let row = |name: &str, it: &Count| {
        println!("| {name} | {} | {} | {} | {} |", it.made, it.matter, it.caught, it.careful);
    };
    for (kind, count) in &counts {
        row(&kind.to_string(), count);
    }
    row("all", &all);
    println!(
        "{} sheets of {} programs unbroken: all proved; {:.2} % of what matters is caught",
        sheets.len(),
        sheets.iter().map(|it| it.1.count()).sum::<usize>(),
        all.caught as f64 * 100.0 / all.matter.max(1) as f64
    );
}
