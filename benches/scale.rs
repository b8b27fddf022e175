//! A whole job, from spec to folder, for ten to a thousand boxes: time by stage, memory at its peak, and how they grow.
//! Before that the layout alone: of a job for one season against its bound, and of ten to a thousand boxes with some
//! fourteen pieces each, all at default effort.
//!
//!     cargo bench --bench scale
//!
//! Each size runs in a process of its own, so that the peak is its own. Where the system tells no peak it is left out.

use nestwright::build;
use nestwright::design::{Kinds, Part};
use nestwright::geometry::Outline;
use nestwright::job::Job;
use nestwright::layout;
use nestwright::layout::fewest::fewest_of_plans;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;
use nestwright::{check, export, make};
use std::time::Instant;
use std::{env, fs, process};

const SIZES: [u32; 3] = [10, 100, 1000];

/// Two kinds of box in one job: as many nucs as nest boxes.
fn job(boxes: u32) -> String {
    format!(
        r#"
title = "Boxes for the season"
stock = {{ material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }}
router = {{ machine = "shop-router", cutter = "endmill-1-4", drills = ["drill-3-4"] }}

[[box]]
name = "nuc"
kind = "frame-box"
count = {half}
frame = "langstroth-deep"
frames = 5

[[box]]
name = "bird box"
kind = "cavity-box"
count = {half}
occupant = "great-tit"
"#,
        half = boxes / 2
    )
}

/// What a job for one season has: ten-frame supers, nucs and nest boxes, and boards for all of them.
fn season() -> String {
    let boxes = [("medium super", "frames = 10\nfloor = \"none\"\ncover = \"none\""), ("medium nuc", "frames = 5")];
    let hives = boxes.map(|(name, more)| {
        format!("[[box]]\nname = \"{name}\"\nkind = \"frame-box\"\ncount = 8\nframe = \"langstroth-medium\"\n{more}\n")
    });
    let saw = "saw = { machine = \"table-saw\", kerf = 3 }\n[[box]]";
    job(16).replacen("[[box]]", saw, 1).replace("count = 8", "count = 4") + &hives.concat() + &boards(24, 4)
}

/// Boards that go with so many boxes.
fn boards(boxes: u32, each: u32) -> String {
    format!("[[part]]\nname = \"dummy board\"\nsize = [440, 160]\ncount = {boxes}\n")
        + &format!("[[part]]\nname = \"slat\"\nsize = [300, 40]\ncount = {}\n", boxes * (each - 1))
}

fn parts(spec: String) -> (Job, Vec<Part>) {
    let source = Source::new("season.toml", spec);
    let checked = check(&source, &Profiles::built_in(), &Kinds::built_in(), &Search::default())
        .unwrap_or_else(|why| panic!("{why}"));
    let parts = build::parts(&checked.job, &checked.assemblies);
    (checked.job, parts)
}

/// The layout of a season's job, by router and by saw, against the fewest sheets that it can take.
fn one_season() {
    let (job, parts) = parts(season());
    let boxes: u32 = job.boxes.iter().map(|order| order.count).sum();
    println!("{boxes} boxes, {} pieces at default effort", pieces(&parts));
    let clock = Instant::now();
    let router: Vec<usize> = layout::nest(&job, &parts, &Search::default())
        .expect("a layout")
        .sheets
        .iter()
        .map(|sheet| sheet.stock)
        .collect();
    let by_router = clock.elapsed().as_secs_f64();
    let saw: Vec<usize> = layout::cut_plan(&job, &parts, &Search::default())
        .expect("patterns")
        .iter()
        .map(|pattern| pattern.stock)
        .collect();
    let times = [by_router, clock.elapsed().as_secs_f64() - by_router];
    for (fewest, seconds) in fewest_of_plans(&job, &parts, &router, &saw).iter().zip(times) {
        let proved = if fewest.proved() { ", proved best" } else { "" };
        println!(
            "  {}: {} sheets, at least {}{proved}; {seconds:.3} s",
            fewest.plan.name(),
            fewest.sheets,
            fewest.at_least
        );
    }
}

/// Nest boxes under sloping roofs, by the true shape of their sides and by rectangles: the most that come out of five sheets.
fn sloped_sides() {
    let boxes = job(2);
    let at = boxes.find("[[box]]").unwrap_or(0);
    let one = "[[box]]\nname = \"nest box\"\nkind = \"cavity-box\"\noccupant = \"great-tit\"\ncount = 1\nroof = \"sloping\"\nslope = 20\n";
    let (mut job, parts) = parts(boxes[..at].to_string() + one);
    job.stock[0].on_hand = Some(5);
    let mut rectangles = parts.clone();
    for part in &mut rectangles {
        part.outline = Outline::rectangle(part.length, part.width);
    }
    println!("nest boxes with sloped sides, {} pieces each, by router from five sheets", pieces(&parts));
    let area: f64 = parts.iter().map(|part| part.outline.area() * f64::from(part.count)).sum();
    let whole = 5.0 * job.stock[0].length * job.stock[0].width;
    for (how, parts) in [("true shapes", &parts), ("rectangles", &rectangles)] {
        let fit = |boxes: u32| {
            let parts = parts.iter().map(|part| Part { count: part.count * boxes, ..part.clone() });
            layout::nest(&job, &parts.collect::<Vec<_>>(), &Search::default()).is_ok()
        };
        let boxes = (50..).take_while(|boxes| fit(*boxes)).last().unwrap_or(0);
        println!("  by {how}: {boxes} boxes, {:.1} % of the sheets", 100.0 * area * f64::from(boxes) / whole);
    }
}

fn pieces(parts: &[Part]) -> u32 {
    parts.iter().map(|part| part.count).sum()
}

/// One layout for a router, in a process of its own.
fn layout_alone(boxes: u32) {
    let (job, parts) = parts(job(boxes) + &boards(boxes, 6));
    let before = peak();
    let clock = Instant::now();
    let layout = layout::nest(&job, &parts, &Search::default()).expect("a layout");
    let seconds = clock.elapsed().as_secs_f64();
    let router: Vec<usize> = layout.sheets.iter().map(|sheet| sheet.stock).collect();
    let at_least: u64 = fewest_of_plans(&job, &parts, &router, &[]).iter().map(|fewest| fewest.at_least).sum();
    let show = |kb: Option<u64>| kb.map_or_else(|| "-".into(), |kb| (kb / 1024).to_string());
    println!(
        "{boxes:>6} {:>7} {:>7} {at_least:>9} {seconds:>9.3} {:>8} {:>8}",
        pieces(&parts),
        layout.sheets.len(),
        show(before),
        show(peak()),
    );
}

/// Runs this program for each size, prints its line, and tells how the time in this column grows.
fn each_size(mode: &str, column: usize) {
    let mut times = Vec::new();
    for boxes in SIZES {
        let program = env::current_exe().expect("this program has a path");
        let child = process::Command::new(program).env(mode, boxes.to_string()).output().expect("it runs");
        let line = String::from_utf8(child.stdout).expect("text");
        assert!(child.status.success(), "{boxes} boxes: {}", String::from_utf8_lossy(&child.stderr));
        print!("{line}");
        times.push(line.split_whitespace().nth(column).and_then(|word| word.parse::<f64>().ok()).expect("a time"));
    }
    for (pair, sizes) in times.windows(2).zip(SIZES.windows(2)) {
        let power = (pair[1] / pair[0]).ln() / f64::from(sizes[1] / sizes[0]).ln();
        println!("from {} to {} boxes time grows as boxes ^ {power:.2}", sizes[0], sizes[1]);
    }
}

fn main() {
    if let Some(boxes) = env::var("NESTWRIGHT_LAYOUT").ok().and_then(|text| text.parse().ok()) {
        return layout_alone(boxes);
    }
    if let Some(boxes) = env::var("NESTWRIGHT_BOXES").ok().and_then(|text| text.parse().ok()) {
        return one(boxes);
    }
    one_season();
    sloped_sides();
    println!("the layout alone: seconds; MB of memory at the peak before it and after");
    println!(
        "{:>6} {:>7} {:>7} {:>9} {:>9} {:>8} {:>8}",
        "boxes", "pieces", "sheets", "at least", "layout", "MB", "MB"
    );
    each_size("NESTWRIGHT_LAYOUT", 4);
    println!("seconds by stage; MB of memory at the peak, and of files written");
    println!(
        "{:>6} {:>7} {:>7} {:>9} {:>9} {:>9} {:>9} {:>9} {:>8} {:>8}",
        "boxes", "pieces", "sheets", "check", "make", "files", "write", "all", "peak MB", "files MB"
    );
    each_size("NESTWRIGHT_BOXES", 7);
}

fn one(boxes: u32) {
    let source = Source::new("season.toml", job(boxes));
    let mut clock = Instant::now();
    let mut lap = || std::mem::replace(&mut clock, Instant::now()).elapsed().as_secs_f64();
    let checked = check(&source, &Profiles::built_in(), &Kinds::built_in(), &Search::default()).expect("a good spec");
    let checking = lap();
    let made = make(checked, &Search::default()).expect("it can be made");
    let making = lap();
    let files = export::files(&made).expect("files");
    let filing = lap();
    let folder = tempfile::tempdir().expect("a temporary folder");
    nestwright::disk::write_folder(&folder.path().join("job"), &files, None).expect("written");
    let writing = lap();
    let pieces: usize = made.layout.sheets.iter().map(|sheet| sheet.placements.len()).sum();
    let bytes: usize = files.values().map(Vec::len).sum();
    println!(
        "{boxes:>6} {pieces:>7} {:>7} {checking:>9.3} {making:>9.3} {filing:>9.3} {writing:>9.3} {:>9.3} {:>8} {:>8.1}",
        made.layout.sheets.len(),
        checking + making + filing + writing,
        peak().map_or_else(|| "-".into(), |kb| (kb / 1024).to_string()),
        bytes as f64 / 1e6
    );
}

/// Most memory held so far, in KB, where the system tells.
fn peak() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
