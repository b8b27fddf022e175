//! `nestwright-fuzz jobs FROM COUNT [SEED]`: jobs drawn at random, from this number on so many, each checked and made; every
//! tenth twice, to the same bytes.
//!
//! What comes of them is added up in `found/jobs-SEED.ledger`, in blocks; blocks that are in it are not done again, so a run may
//! be stopped and taken up, and runs over other numbers add to it. Each fault, refusal without a word, panic and slow job is
//! written to a folder in `found/` for `nestwright make job.toml --profiles profiles`.
//!
//! `nestwright-fuzz matrix`: every sample and every starter, from 1 to 6 of it, on every machine with every choice of drills; the
//! same way, in `found/matrix.ledger`.
//!
//! `nestwright-fuzz jobs again FOLDER` makes such a folder again; `jobs shrink FOLDER` strikes out of its spec what the same
//! fault does without.

mod ledger;
mod matrix;
mod shrink;

use crate::any_job::attempt::{Outcome, attempt};
use crate::any_job::{self, AnyJob};
use crate::{processor_time, targets};
use ledger::Ledger;
use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::Range;
use std::panic::{self, AssertUnwindSafe};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use std::{fs, thread};

/// A job that takes longer is slow.
const PATIENCE: Duration = Duration::from_secs(20);
/// Jobs that are entered in the ledger together.
const BLOCK: u64 = 20;
/// Folders that are kept of one cause.
const KEPT: u64 = 6;

thread_local! {
    /// What the last panic of this thread said, and where.
    static PANIC: RefCell<String> = const { RefCell::new(String::new()) };
}

fn hear_panics() {
    panic::set_hook(Box::new(|info| {
        PANIC.with(|said| *said.borrow_mut() = info.to_string().replace('\n', ": "));
    }));
}

pub fn run(args: &[String]) -> ExitCode {
    hear_panics();
    match args {
        [what, folder] if what == "again" => return shrink::again(folder.as_ref()),
        [what, folder] if what == "shrink" => return shrink::shrink(folder.as_ref()),
        _ => {}
    }
    let numbers: Option<Vec<u64>> = args.iter().map(|arg| arg.parse().ok()).collect();
    let (from, count, seed) = match numbers.as_deref() {
        Some([from, count]) => (*from, *count, 1),
        Some([from, count, seed]) => (*from, *count, *seed),
        _ => {
            eprintln!("nestwright-fuzz jobs FROM COUNT [SEED]");
            return ExitCode::from(2);
        }
    };
    series(&Series {
        name: format!("jobs-{seed}"),
        numbers: from..from + count,
        most: u64::MAX,
        job: &|number| any_job::job(seed, number),
    })
}

/// Every sample and starter on every machine: see `matrix.rs`.
pub fn run_matrix() -> ExitCode {
    hear_panics();
    let jobs = matrix::jobs();
    let most = jobs.len() as u64;
    series(&Series { name: "matrix".into(), numbers: 0..most, most, job: &|number| jobs[number as usize].clone() })
}

/// Jobs by number.
struct Series<'a> {
    /// Of its ledger, and of the folders of what went wrong.
    name: String,
    numbers: Range<u64>,
    /// There are no more.
    most: u64,
    job: &'a (dyn Fn(u64) -> AnyJob + Sync),
}

fn series(series: &Series) -> ExitCode {
    let Series { name, numbers, most, job } = series;
    let ledger = match Ledger::open(name) {
        Ok(ledger) => Mutex::new(ledger),
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::from(2);
        }
    };
    let blocks: Vec<u64> =
        (numbers.start / BLOCK..numbers.end.div_ceil(BLOCK)).filter(|it| !locked(&ledger).has(*it)).collect();
    let (next, cores) = (AtomicU64::new(0), thread::available_parallelism().map_or(1, usize::from));
    let (profiles, kinds) = (Profiles::built_in(), Kinds::built_in());
    let running: Vec<Mutex<Option<(u64, Instant)>>> = (0..cores).map(|_| Mutex::new(None)).collect();
    let left = AtomicU64::new(cores as u64);
    thread::scope(|scope| {
        for now in &running {
            scope.spawn(|| {
                // A job of its own on each core: nothing waits for another's search.
                let pool = |threads| rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
                let (one, two) = (pool(1), pool(2));
                while let Some(block) = blocks.get(next.fetch_add(1, Relaxed) as usize) {
                    let mut counts = Counts { name, counts: BTreeMap::new() };
                    for number in block * BLOCK..((block + 1) * BLOCK).min(*most) {
                        *locked(now) = Some((number, Instant::now()));
                        let job = job(number);
                        let (outcome, took) = one.install(|| timed(&job, &profiles, &kinds));
                        let again = matches!(outcome, Outcome::Made(_)) && number.is_multiple_of(10);
                        let again = again.then(|| two.install(|| timed(&job, &profiles, &kinds).0));
                        counts.enter(&job, &outcome, took, again);
                        *locked(now) = None;
                    }
                    locked(&ledger).add(*block, &counts.counts);
                }
                left.fetch_sub(1, Relaxed);
            });
        }
        scope.spawn(|| watch(series, &running, &left, &ledger, blocks.len()));
    });
    println!("{}", locked(&ledger).report());
    if locked(&ledger).sound() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn locked<T>(it: &Mutex<T>) -> MutexGuard<'_, T> {
    it.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What becomes of a job, and the processor time that it takes; a panic is a fault with its place.
fn timed(job: &AnyJob, profiles: &Profiles, kinds: &Kinds) -> (Outcome, Duration) {
    let started = processor_time();
    let outcome = panic::catch_unwind(AssertUnwindSafe(|| attempt(job, profiles, kinds)));
    let outcome = outcome.unwrap_or_else(|_| Outcome::Fault(PANIC.with(|said| said.borrow().clone())));
    (outcome, processor_time().saturating_sub(started))
}

/// What must not come of a job, and why it did.
fn wrong(outcome: &Outcome) -> Option<(&'static str, &str)> {
    match outcome {
        Outcome::RefusedOnlyByMake(checks) => Some(("refused only by make", checks.first().map_or("", String::as_str))),
        Outcome::Silent => Some(("silent", "")),
        Outcome::Fault(why) => Some(("fault", why)),
        Outcome::Disagrees(why) => Some(("disagrees", why)),
        _ => None,
    }
}

/// What tells causes apart: the measure that failed first, without names.
fn sign_of(why: &str) -> String {
    // The first line of a fault in a program says only that it is one; the next ones name file, line, check and part.
    let Some(first) = why.lines().nth(1) else { return targets::sign_of(why, 90) };
    first.split(": ").nth(1).unwrap_or(first).to_string()
}

/// Tells every minute how far it is, and writes down what hangs.
fn watch(
    series: &Series,
    running: &[Mutex<Option<(u64, Instant)>>],
    left: &AtomicU64,
    ledger: &Mutex<Ledger>,
    blocks: usize,
) {
    let (started, mut told, mut hanging) = (Instant::now(), Instant::now(), Vec::new());
    while left.load(Relaxed) > 0 {
        thread::sleep(Duration::from_millis(200));
        for now in running {
            let job = *locked(now);
            if let Some((number, since)) = job
                && since.elapsed() > 3 * PATIENCE
                && !hanging.contains(&number)
            {
                hanging.push(number);
                let path = keep(&series.name, &(series.job)(number), "hang", "");
                println!("job {number} has run for a minute: {}", path.display());
            }
        }
        if told.elapsed() > Duration::from_secs(60) {
            told = Instant::now();
            println!("{:.0} s: {}, of {blocks} blocks", started.elapsed().as_secs_f64(), locked(ledger).in_short());
        }
    }
}

/// Counts of one block of jobs.
struct Counts<'a> {
    name: &'a str,
    counts: BTreeMap<String, u64>,
}

impl Counts<'_> {
    fn count(&mut self, what: String) {
        *self.counts.entry(what).or_default() += 1;
    }

    fn enter(&mut self, job: &AnyJob, outcome: &Outcome, took: Duration, again: Option<Outcome>) {
        self.count("drawn".into());
        let made = matches!(outcome, Outcome::Made(_));
        for key in job.keys.keys() {
            self.count(format!("key {key}"));
            if made {
                self.count(format!("made {key}"));
            }
        }
        *self.counts.entry("milliseconds".into()).or_default() += took.as_millis() as u64;
        if took > PATIENCE {
            self.wrong(job, "slow", &format!("{took:?}"));
        }
        match outcome {
            Outcome::Unreadable(messages) => self.group("unreadable", messages),
            Outcome::Refused(checks) => self.group("refused", checks),
            Outcome::TooFewSheets => self.count("too few sheets".into()),
            Outcome::Made(_) => self.count("made".into()),
            outcome => {
                if let Some((what, why)) = wrong(outcome) {
                    self.wrong(job, what, why);
                }
            }
        }
        if let (Some(again), Outcome::Made(files)) = (again, outcome) {
            self.count("made twice".into());
            let other = match &again {
                Outcome::Made(twice) => {
                    files.iter().find(|(name, bytes)| twice.get(*name) != Some(*bytes)).map(|it| it.0.clone())
                }
                other => Some(format!("{other:?}")),
            };
            if let Some(name) = other {
                self.wrong(job, "other bytes", &name);
            }
        }
    }

    fn group(&mut self, what: &str, why: &[String]) {
        self.count(what.into());
        for one in why {
            self.count(format!("{what}: {}", targets::sign_of(one, 90)));
        }
    }

    fn wrong(&mut self, job: &AnyJob, what: &str, why: &str) {
        self.count(what.into());
        let cause = format!("{what}: {}", sign_of(why));
        self.count(cause.clone());
        if self.counts.get(&cause).is_some_and(|count| *count <= KEPT) {
            keep(self.name, job, what, why);
        }
    }
}

/// Writes the job's files to a folder of its own; its path.
fn keep(name: &str, job: &AnyJob, what: &str, why: &str) -> PathBuf {
    let folder = PathBuf::from("found").join(format!("{name}-{}-{}", job.number, what.replace(' ', "-")));
    let write = |name: &str, text: &str| {
        let path = folder.join(name);
        path.parent().map_or(Ok(()), fs::create_dir_all).and_then(|()| fs::write(&path, text)).expect("written");
    };
    write("job.toml", &job.spec);
    write("why.txt", &format!("effort {}\n{why}\n", job.effort));
    job.lists.iter().for_each(|(name, text)| write(name, text));
    for (kind, name, text) in &job.profiles {
        write(&format!("profiles/{kind}/{name}.toml"), text);
    }
    folder
}
