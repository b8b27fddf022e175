//! All drawings, the PDF and every other file of a job of fifty kinds of parts: how long they take once the job is planned.
//!
//!     cargo bench --bench drawings

mod timed;

use nestwright::design::Kinds;
use nestwright::draw::{Page, book, svg};
use nestwright::export::{files, pdf};
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use nestwright::{Made, check, make};
use std::collections::BTreeMap;
use std::fmt::Write;
use timed::least;

/// Kinds of parts in the job.
const PARTS: usize = 50;
/// Each time is the least of so many.
const TIMES: usize = 5;

fn main() {
    let made = job();
    println!(
        "{} kinds of parts, {} boxes",
        made.parts.len(),
        made.assemblies.iter().filter(|box_| !box_.loose).count()
    );
    let pages = book(&made);
    let draw = least(TIMES, || book(&made));
    let svgs = least(TIMES, || pages.iter().map(|page| svg(&page.picture).len()).sum::<usize>());
    let bound = pdf(&made.job.title, &pages);
    let bind = least(TIMES, || pdf(&made.job.title, &pages));
    let all = files(&made).expect("files");
    let everything = least(TIMES, || files(&made).expect("files"));
    println!("{:>4} pages drawn          {draw:>7.1} ms", pages.len());
    println!("     written as SVG       {svgs:>7.1} ms, one after the other");
    println!("     bound as PDF         {bind:>7.1} ms, {} KB", bound.len() / 1024);
    println!(
        "{:>4} files, the page too  {everything:>7.1} ms, {:.2} of the 300 allowed",
        all.len(),
        everything / 300.0
    );
    let mut marks: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for Page { chapter, picture, .. } in &pages {
        let sum = marks.entry(chapter).or_default();
        *sum = (sum.0 + 1, sum.1 + picture.marks.len());
    }
    for (chapter, (pages, marks)) in marks {
        println!("     {chapter:<24} {pages:>4} pages {marks:>7} marks");
    }
}

/// Nucs, a hive with finger joints and nest boxes, and loose parts to make fifty.
fn job() -> Made {
    let mut spec = String::from(
        r#"
        title = "Fifty parts"
        units = "mm"
        stock = { material = "birch-plywood", size = [2500, 1250], thickness = 12.1, margin = 8 }
        router = { machine = "desktop-router", cutter = "endmill-6", drills = ["drill-20"] }
        saw = { kerf = 3 }
        "#,
    );
    let hole = r#"hole = [{ panel = "front", use = "entrance", diameter = 20, across = "centre", up = 22 }]"#;
    for (name, keys) in [
        ("nuc", "kind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5"),
        ("wide nuc", "kind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 6\ncorner = \"finger\""),
        ("low nuc", "kind = \"frame-box\"\nframe = \"langstroth-medium\"\nframes = 4\ncorner = \"rabbet\""),
    ] {
        let _ = write!(spec, "[[box]]\nname = \"{name}\"\n{keys}\ncount = 2\n{hole}\n");
    }
    for occupant in ["bluebird", "great-tit"] {
        let keys = "kind = \"cavity-box\"\ncount = 2";
        let _ = write!(spec, "[[box]]\nname = \"{occupant} box\"\noccupant = \"{occupant}\"\n{keys}\n");
    }
    let parts = made(&spec).parts.len();
    for i in parts..PARTS {
        let size = 80 + 7 * i;
        let hole = r#"hole = [{ use = "pilot", diameter = 20, across = 25, up = 20 }]"#;
        let _ = write!(spec, "[[part]]\nname = \"shelf {i}\"\nsize = [{size}, 60]\n{hole}\n");
    }
    made(&spec)
}

fn made(spec: &str) -> Made {
    check(&Source::new("bench.toml", spec), &Profiles::built_in(), &Kinds::built_in(), &Search::default())
        .and_then(|checked| make(checked, &Search::default()))
        .unwrap_or_else(|error| panic!("{error}"))
}
