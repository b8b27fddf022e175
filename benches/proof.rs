//! How long a proof takes, in processor time of one core, and how it grows: `cargo bench --bench proof`.

use nestwright::Made;
use nestwright::design::Kinds;
use nestwright::profile::Profiles;
use nestwright::proof::{Claim, Prover, Text};
use nestwright::reading::Source;
use nestwright::watch::Search;
use std::fs;

/// A sheet of boards, `count` of each of five sizes, with holes that are drilled, bored and cleared.
fn boards(count: usize, sheets: usize) -> Made {
    let mut spec = String::from(
        "title = \"boards\"\nunits = \"mm\"\n\
         stock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12.1, margin = 10 }\n\
         router = { machine = \"desktop-router\", cutter = \"endmill-6\", drills = [\"drill-20\"] }\n",
    );
    for (i, (length, width)) in [(400, 200), (300, 240), (360, 150), (240, 110), (180, 90)].into_iter().enumerate() {
        spec.push_str(&format!(
            "[[part]]\nname = \"board {i}\"\nsize = [{length}, {width}]\ncount = {}\n\
             hole = [{{ use = \"vent\", diameter = 20, across = 40, up = 40 }}, \
                     {{ use = \"entrance\", diameter = 32, across = 120, up = 45 }}]\n",
            count * sheets
        ));
    }
    nestwright::check(&Source::new("boards.toml", spec), &Profiles::built_in(), &Kinds::built_in(), &Search::default())
        .and_then(|checked| nestwright::make(checked, &Search::default()))
        .unwrap_or_else(|error| panic!("{error}"))
}

/// Processor time of this thread so far, in milliseconds, where the system tells (Linux).
fn processor_ms() -> f64 {
    let text = fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    text.split_whitespace().next().and_then(|ns| ns.parse::<f64>().ok()).unwrap_or(0.0) / 1e6
}

/// The most memory that the process has held, in megabytes, where the system tells (Linux).
fn peak_mb() -> f64 {
    let text = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = text.lines().find(|line| line.starts_with("VmHWM")).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|kb| kb.parse::<f64>().ok()).unwrap_or(0.0) / 1024.0
}

/// Proves every sheet, one after the other; milliseconds for each.
fn prove(made: &Made) -> Vec<f64> {
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let prover = Prover::new(&claim).expect("a router");
    let mut times = Vec::new();
    for sheet in 1..=claim.sheets.len() {
        let texts: Vec<Text> = made
            .programs
            .iter()
            .filter(|program| program.sheet + 1 == sheet)
            .map(|program| Text {
                file: &program.file,
                text: &program.text,
                tool: prover.first_tool(sheet, &program.file),
            })
            .collect();
        let before = processor_ms();
        let proofs = prover.prove(sheet, &texts).expect("readable");
        times.push(processor_ms() - before);
        assert_eq!(proofs.len(), texts.len());
    }
    times
}

fn main() {
    let one = boards(10, 1);
    let pieces: usize = one.layout.sheets.iter().map(|sheet| sheet.placements.len()).sum();
    let moves: usize = one.programs.iter().map(|program| program.text.lines().count()).sum();
    let best = (0..7).map(|_| prove(&one).iter().sum::<f64>()).fold(f64::INFINITY, f64::min);
    println!(
        "{pieces} parts on {} sheet(s), {moves} lines: {best:.1} ms of one core, {:.2} of the 100 ms allowed",
        one.layout.sheets.len(),
        best / 100.0
    );
    let before = peak_mb();
    let many = boards(10, 100);
    let made = peak_mb();
    let sheets = many.layout.sheets.len();
    let total: f64 = prove(&many).iter().sum();
    println!(
        "{sheets} sheets: {:.2} s of one core, {:.2} s on two, {:.2} of the 10 s allowed; {:.2} times as long for each sheet",
        total / 1e3,
        total / 2e3,
        total / 2e4,
        total / sheets as f64 / best * one.layout.sheets.len() as f64
    );
    println!(
        "memory: {before:.0} MB before, {made:.0} MB with {sheets} sheets made, {:.0} MB after proving them",
        peak_mb()
    );
}
