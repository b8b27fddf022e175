//! `nestwright-fuzz TARGET SECONDS [SEED]`: gives a target inputs made at random from a small corpus, for so many seconds.
//!
//! What panics or takes longer than it may is written to `found/` and ends the run. Inputs that make the target say
//! something new join the corpus. The same seed goes the same way, so an input that ends the whole process is found again by its
//! number.
//!
//! `nestwright-fuzz jobs FROM COUNT [SEED]` makes jobs drawn at random, `nestwright-fuzz matrix` every sample on every machine:
//! see `jobs.rs`.

#[path = "../../tests/shared/any_job/mod.rs"]
mod any_job;
mod jobs;
mod mutate;
#[path = "../fuzz_targets/mod.rs"]
mod targets;

use mutate::Mutator;
use std::collections::HashSet;
use std::panic::{self, AssertUnwindSafe};
use std::process::ExitCode;
use std::sync::LazyLock;
use std::time::{Duration, Instant};
use std::{env, fs};

/// Processor time of this thread so far, so that a busy machine makes nothing slow; by the clock where the system does not
/// tell (elsewhere than on Linux).
fn processor_time() -> Duration {
    static START: LazyLock<Instant> = LazyLock::new(Instant::now);
    let text = fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanoseconds = text.split_whitespace().next().and_then(|ns| ns.parse().ok());
    nanoseconds.map_or_else(|| START.elapsed(), Duration::from_nanos)
}

fn main() -> ExitCode {
    let args: Vec<String> = env::args().skip(1).collect();
    if args.first().is_some_and(|name| name == "jobs") {
        return jobs::run(&args[1..]);
    }
    if args.len() == 1 && args[0] == "matrix" {
        return jobs::run_matrix();
    }
    let (Some(name), Some(seconds)) = (args.first(), args.get(1).and_then(|text| text.parse::<u64>().ok())) else {
        eprintln!("nestwright-fuzz TARGET SECONDS [SEED]; targets: {}", targets::names());
        return ExitCode::from(2);
    };
    let Some(target) = targets::find(name) else {
        eprintln!("no target `{name}`: {}", targets::names());
        return ExitCode::from(2);
    };
    let seed = args.get(2).and_then(|text| text.parse().ok()).unwrap_or(1);
    let mut mutator = Mutator::new(seed, target.words);
    let mut corpus = (target.corpus)();
    let (first, mut said) = (corpus.len(), HashSet::new());
    panic::set_hook(Box::new(|_| {}));
    let end = Instant::now() + Duration::from_secs(seconds);
    let (mut count, mut faults, mut slowest, mut told) = (0u64, 0u64, Duration::ZERO, Instant::now());
    while Instant::now() < end {
        let input = if count < first as u64 { corpus[count as usize].clone() } else { mutator.next(&corpus) };
        let started = processor_time();
        let outcome = panic::catch_unwind(AssertUnwindSafe(|| (target.run)(&input)));
        let took = processor_time().saturating_sub(started);
        slowest = slowest.max(took);
        count += 1;
        let wrong = match &outcome {
            Err(_) => Some("panic"),
            Ok(_) if took > target.patience => Some("slow"),
            Ok(_) => None,
        };
        if let Some(wrong) = wrong {
            fs::create_dir_all("found").expect("a folder");
            let path = format!("found/{name}-{seed}-{count}-{wrong}");
            fs::write(&path, &input).expect("written");
            println!("{wrong} at input {count} after {took:?}: {path}");
            return ExitCode::FAILURE;
        }
        if let Ok(signs) = outcome {
            // What the program itself calls a fault of its own is kept, and the run goes on.
            if signs.iter().any(|sign| sign == targets::FAULT) {
                faults += 1;
                if faults <= 10 {
                    fs::create_dir_all("found").expect("a folder");
                    fs::write(format!("found/{name}-{seed}-{count}-fault"), &input).expect("written");
                }
            }
            let fresh = signs.into_iter().filter(|sign| said.insert(sign.clone())).count();
            if fresh > 0 && count > first as u64 {
                corpus.push(input);
            }
        }
        if told.elapsed() > Duration::from_secs(60) {
            told = Instant::now();
            println!(
                "{name}: {count} inputs, {} things said, corpus {}, slowest {slowest:?}",
                said.len(),
                corpus.len()
            );
        }
    }
    println!(
        "{name}: {count} inputs in {seconds} s, {faults} faults, {} things said, corpus {}, slowest {slowest:?}",
        said.len(),
        corpus.len()
    );
    ExitCode::SUCCESS
}
