//! A whole job, from spec to folder, for ten to a thousand boxes: time by stage, memory at its peak, and how they grow.
//!
//!     cargo bench --bench scale
//!
//! Each size runs in a process of its own, so that the peak is its own. Where the system tells no peak it is left out.

use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
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

fn main() {
    if let Some(boxes) = env::var("NESTWRIGHT_BOXES").ok().and_then(|text| text.parse().ok()) {
        return one(boxes);
    }
    println!("seconds by stage; MB of memory at the peak, and of files written");
    println!(
        "{:>6} {:>7} {:>7} {:>9} {:>9} {:>9} {:>9} {:>9} {:>8} {:>8}",
        "boxes", "pieces", "sheets", "check", "make", "files", "write", "all", "peak MB", "files MB"
    );
    let mut times = Vec::new();
    for boxes in SIZES {
        let program = env::current_exe().expect("this program has a path");
        let child =
            process::Command::new(program).env("NESTWRIGHT_BOXES", boxes.to_string()).output().expect("it runs");
        let line = String::from_utf8(child.stdout).expect("text");
        assert!(child.status.success(), "{boxes} boxes: {}", String::from_utf8_lossy(&child.stderr));
        print!("{line}");
        times.push(line.split_whitespace().nth(7).and_then(|word| word.parse::<f64>().ok()).expect("a time"));
    }
    for (pair, sizes) in times.windows(2).zip(SIZES.windows(2)) {
        let power = (pair[1] / pair[0]).ln() / f64::from(sizes[1] / sizes[0]).ln();
        println!("from {} to {} boxes time grows as boxes ^ {power:.2}", sizes[0], sizes[1]);
    }
}

fn one(boxes: u32) {
    let source = Source::new("season.toml", job(boxes));
    let mut clock = Instant::now();
    let mut lap = || std::mem::replace(&mut clock, Instant::now()).elapsed().as_secs_f64();
    let checked = check(&source, &Profiles::built_in(), &Kinds::built_in()).expect("a good spec");
    let checking = lap();
    let made = make(checked).expect("it can be made");
    let making = lap();
    let files = export::files(&made).expect("files");
    let filing = lap();
    let folder = tempfile::tempdir().expect("a temporary folder");
    export::write_folder(&folder.path().join("job"), &files, None).expect("written");
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
