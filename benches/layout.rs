//! Sheets that the search needs for published instances of two-dimensional bin packing, beside the published figures.
//!
//!     cargo bench --bench layout -- FILE [EFFORT] [--each] [--only=NAME,NAME] [--seed=N] [--stages=N]
//!
//! `--each` tells what became of every instance that is not proved best, `--only` leaves out all others than those whose
//! names begin so, `--seed` is another course of chance than the one that the program takes, `--stages` limits the stages of
//! guillotine cuts.
//!
//! FILE, or the file named by `NESTWRIGHT_INSTANCES`, has one instance a line: its name, the bin as 100x100, then the items
//! as 20x30 or 20x30*4. Names like CLASS07_060_01 tell the class. Pieces may turn; all cuts go from edge to edge. The
//! instances are those of J. Berkey and P. Wang (1987, classes 1 to 6) and of S. Martello and D. Vigo (1998, classes 7 to
//! 10). Free cuts, which a router has, start from the guillotine patterns; their seconds are those of both. Without a file, sheets cut up at random are put together again, so that the fewest sheets are known.
//!
//! Times are those of one core for one instance, by the processor's own clock where the system tells it.

use nestwright::layout::free::{self, Nested};
use nestwright::layout::least_cost;
use nestwright::layout::search::{Bin, LOOKS, PieceKind, Problem, Settings, search};
use rayon::prelude::*;
use std::time::Instant;
use std::{env, fs};

/// Sheets over the 50 instances of each class with turns and guillotine cuts, minutes per instance: J. Gardeyn and
/// T. Wauters, European Journal of Operational Research, 2022, table 2.
const PUBLISHED: [i64; 10] = [972, 124, 675, 119, 862, 109, 756, 759, 2119, 491];

struct Instance {
    name: String,
    class: usize,
    problem: Problem,
    /// The fewest sheets, where they are known by construction.
    known: Option<i64>,
}

struct Solved {
    name: String,
    class: usize,
    guillotine: i64,
    free: i64,
    bound: i64,
    known: Option<i64>,
    /// For guillotine cuts alone, and with free cuts after them.
    seconds: [f64; 2],
}

fn main() {
    let words: Vec<String> = env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    let effort = words.iter().find_map(|word| word.parse::<u64>().ok()).unwrap_or(nestwright::watch::EFFORT.into());
    let file = words.into_iter().find(|word| word.parse::<u64>().is_err());
    let option = |name: &str| env::args().find_map(|word| Some(word.strip_prefix(name)?.to_string()));
    let seed = option("--seed=").map_or(1, |seed| seed.parse().unwrap_or_else(|why| panic!("--seed={seed}: {why}")));
    let mut instances = match file.or_else(|| env::var("NESTWRIGHT_INSTANCES").ok()) {
        Some(path) => read(&fs::read_to_string(&path).unwrap_or_else(|why| panic!("{path}: {why}"))),
        None => {
            println!("no file of instances given; sheets cut up at random instead");
            (1..=60).map(cut_up).collect()
        }
    };
    if let Some(names) = option("--only=") {
        instances.retain(|instance| names.split(',').any(|name| instance.name.starts_with(name)));
    }
    if let Some(stages) = option("--stages=") {
        let stages = stages.parse().unwrap_or_else(|why| panic!("--stages={stages}: {why}"));
        instances.iter_mut().for_each(|instance| instance.problem.stages = Some(stages));
    }
    let solve = |instance| solve(instance, effort, seed);
    let solved: Vec<Solved> = instances.par_iter().with_max_len(1).map(solve).collect();
    if option("--each").is_some() {
        for solved in solved.iter().filter(|solved| solved.free > solved.bound || solved.guillotine > solved.bound) {
            let Solved { name, guillotine, free, bound, seconds: [first, both], .. } = solved;
            println!("{name} guillotine {guillotine} free {free} bound {bound}, {first:.2} s {both:.2} s");
        }
    }
    println!("effort {effort}");
    println!(
        "{:>5} {:>9} {:>10} {:>9} {:>6} {:>6} {:>11} {:>11} {:>11} {:>11}",
        "class",
        "instances",
        "guillotine",
        "published",
        "free",
        "bound",
        "mean s",
        "longest s",
        "free mean s",
        "longest s"
    );
    let classes = solved.iter().map(|solved| solved.class).max().unwrap_or(0);
    for class in 0..=classes {
        row(&class.to_string(), &solved.iter().filter(|solved| solved.class == class).collect::<Vec<_>>());
    }
    row("all", &solved.iter().collect::<Vec<_>>());
    let count = |of: fn(&Solved) -> bool| solved.iter().filter(|solved| of(solved)).count();
    println!(
        "free cuts take fewer sheets than guillotine cuts on {} instances, more on {}; proved best on {} and {}",
        count(|solved| solved.free < solved.guillotine),
        count(|solved| solved.free > solved.guillotine),
        count(|solved| solved.free <= solved.bound),
        count(|solved| solved.guillotine <= solved.bound),
    );
}

fn row(name: &str, solved: &[&Solved]) {
    if solved.is_empty() {
        return;
    }
    let sum = |of: fn(&Solved) -> i64| solved.iter().map(|solved| of(solved)).sum::<i64>();
    let published = match name {
        "all" => Some(PUBLISHED.iter().sum::<i64>()),
        class => class.parse::<usize>().ok().and_then(|class| PUBLISHED.get(class.wrapping_sub(1)).copied()),
    };
    let known = solved.iter().map(|solved| solved.known).sum::<Option<i64>>();
    let beside = known.or(published).map_or("-".into(), |sheets| sheets.to_string());
    let seconds = |of: usize| {
        let all = || solved.iter().map(|solved| solved.seconds[of]);
        format!("{:>11.3} {:>11.3}", all().sum::<f64>() / solved.len() as f64, all().fold(0.0, f64::max))
    };
    println!(
        "{name:>5} {:>9} {:>10} {beside:>9} {:>6} {:>6} {} {}",
        solved.len(),
        sum(|solved| solved.guillotine),
        sum(|solved| solved.free),
        sum(|solved| solved.bound),
        seconds(0),
        seconds(1),
    );
}

fn solve(instance: &Instance, effort: u64, seed: u64) -> Solved {
    let clock = Clock::start();
    let bound = least_cost(&instance.problem);
    let settings = Settings { looks: effort * LOOKS, seed, ..Settings::default() };
    let problem = &instance.problem;
    let found = search(problem, &settings, bound);
    assert!(found.left_out.is_empty(), "there is no end of sheets");
    let of_guillotine = clock.seconds();
    let settings = Settings { looks: effort * free::LOOKS, seed, ..Settings::default() };
    let known: Vec<Nested> = found.sheets.iter().map(|sheet| Nested::of(sheet, problem)).collect();
    let better = free::improve(problem, &settings, bound, &known);
    Solved {
        name: instance.name.clone(),
        class: instance.class,
        guillotine: found.cost,
        free: better.unwrap_or(known).len() as i64,
        bound,
        known: instance.known,
        seconds: [of_guillotine, clock.seconds()],
    }
}

/// This thread's time on a processor, so that what else runs does not count; elsewhere, the time of day.
struct Clock(Option<f64>, Instant);

impl Clock {
    fn start() -> Clock {
        Clock(Self::on_processor(), Instant::now())
    }

    fn seconds(&self) -> f64 {
        match (self.0, Self::on_processor()) {
            (Some(start), Some(end)) => end - start,
            _ => self.1.elapsed().as_secs_f64(),
        }
    }

    fn on_processor() -> Option<f64> {
        let told = fs::read_to_string("/proc/thread-self/schedstat").ok()?;
        Some(told.split(' ').next()?.parse::<f64>().ok()? / 1e9)
    }
}

fn read(text: &str) -> Vec<Instance> {
    text.lines().filter(|line| !line.trim().is_empty()).map(read_line).collect()
}

fn read_line(line: &str) -> Instance {
    let size = |word: &str| -> (i32, i32) {
        let (length, width) = word.split_once('x').unwrap_or_else(|| panic!("{word}: expected 20x30, in {line}"));
        let side = |side: &str| side.parse().unwrap_or_else(|why| panic!("{word}: {why}, in {line}"));
        (side(length), side(width))
    };
    let mut words = line.split_whitespace();
    let name = words.next().unwrap_or_default();
    let class = name.strip_prefix("CLASS").and_then(|rest| rest.get(..2)?.parse().ok()).unwrap_or(0);
    let bin = size(words.next().unwrap_or_else(|| panic!("no bin in {line}")));
    let items = words.flat_map(|word| {
        let (item, times) = word.split_once('*').unwrap_or((word, "1"));
        std::iter::repeat_n(size(item), times.parse().unwrap_or_else(|why| panic!("{word}: {why}")))
    });
    Instance { name: name.to_string(), class, problem: problem(bin, items), known: None }
}

fn problem((length, width): (i32, i32), items: impl Iterator<Item = (i32, i32)>) -> Problem {
    let mut kinds: Vec<PieceKind> = Vec::new();
    for (a, b) in items {
        let (length, width) = (a.max(b), a.min(b));
        match kinds.iter_mut().find(|kind| (kind.length, kind.width) == (length, width)) {
            Some(kind) => kind.count += 1,
            None => kinds.push(PieceKind { length, width, straight: true, turned: true, count: 1 }),
        }
    }
    Problem { kinds, bins: vec![Bin { length, width, supply: None, cost: 1 }], stages: None }
}

/// Some sheets of 2440 × 1220 mm, cut from edge to edge at random and without waste: no fewer sheets can hold the pieces.
fn cut_up(seed: u32) -> Instance {
    let mut state = u64::from(seed);
    let mut random = |end: i32| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) % end.max(1) as u64) as i32
    };
    let bin = (2440, 1220);
    let sheets = 1 + random(6);
    let mut items = vec![bin; sheets as usize];
    for _ in 0..sheets * 14 {
        let at = random(items.len() as i32) as usize;
        let (length, width) = items[at];
        let (cut_length, cut) = if random(length + width) < length {
            (true, length / 5 + random(length * 3 / 5))
        } else {
            (false, width / 5 + random(width * 3 / 5))
        };
        if cut < 60 || (if cut_length { length } else { width }) - cut < 60 {
            continue;
        }
        let (one, rest) =
            if cut_length { ((cut, width), (length - cut, width)) } else { ((length, cut), (length, width - cut)) };
        items[at] = one;
        items.push(rest);
    }
    Instance {
        name: format!("cut up {seed}"),
        class: 0,
        problem: problem(bin, items.into_iter()),
        known: Some(i64::from(sheets)),
    }
}
