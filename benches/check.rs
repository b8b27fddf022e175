//! The geometric checks of a job, as they are made while a spec is typed: how long they take on one core, how that grows with
//! the boxes, and what the ranges of thickness take that follow.
//!
//!     cargo bench --bench check

mod jobs;
mod timed;

use nestwright::build::assemble;
use nestwright::design::Kinds;
use nestwright::fit;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::spec::read;
use std::fmt::Write;
use std::sync::Arc;
use timed::least;

/// Each time is the least of so many.
const TIMES: usize = 7;

fn main() {
    let profiles = Profiles::built_in();
    println!(
        "{:<24} {:>8} {:>8} {:>8} {:>8} {:>10}",
        "one core, ms", "read", "built", "measured", "in all", "and ranges"
    );
    for (name, text) in jobs::all() {
        let source = Source::new(format!("{name}.toml"), text);
        row(&name, &source, &profiles);
    }
    let mut one = 0.0;
    for boxes in [1, 4, 16, 64] {
        let source = Source::new("many.toml", many(boxes));
        let took = row(&format!("{boxes} different boxes"), &source, &profiles);
        one = if boxes == 1 { took } else { one };
        println!("{:>71.2} of {boxes} times the first", took / one / f64::from(boxes));
    }
}

/// Prints one job's times; gives the sum.
fn row(name: &str, source: &Arc<Source>, profiles: &Profiles) -> f64 {
    let kinds = Kinds::built_in();
    let job = read(source, profiles, &kinds).unwrap_or_else(|problems| panic!("{name}: {problems:?}"));
    let assemblies = assemble(&job).unwrap_or_else(|error| panic!("{name}: {error}"));
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a thread");
    let reading = least(TIMES, || read(source, profiles, &kinds).is_ok());
    let building = least(TIMES, || assemble(&job).is_ok());
    let checking = alone.install(|| least(TIMES, || fit::measure(&job, &assemblies)));
    let ranges = alone.install(|| least(TIMES, || fit::check(&job, &assemblies)));
    let all = reading + building + checking;
    println!("{name:<24} {reading:>8.2} {building:>8.2} {checking:>8.2} {all:>8.2} {ranges:>10.2}");
    all
}

/// So many nucs, no two alike.
fn many(boxes: u32) -> String {
    let mut spec = String::from(
        "title = \"Many\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12.1 }\n",
    );
    for i in 0..boxes {
        let _ = write!(
            spec,
            "[[box]]\nname = \"nuc {i}\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = {}\n\
             [[box.hole]]\npanel = \"front\"\nuse = \"entrance\"\ndiameter = {}\nacross = \"centre\"\nup = 24\n",
            3 + i % 6,
            16.0 + 0.1 * f64::from(i)
        );
    }
    spec
}
