//! Saw plans against a plain recursive order of the same patterns: cuts and fence settings, as ratios, on every sample and
//! starter; and how long a plan takes.
//!
//!     cargo bench --bench saw

mod jobs;

use nestwright::build::{assemble, parts};
use nestwright::design::Kinds;
use nestwright::job::{Job, Saw};
use nestwright::layout::cut_plan;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::saw::{plain_order, plan};
use nestwright::spec;
use nestwright::watch::Search;
use std::time::Instant;

fn main() {
    println!(
        "{:<22} {:>5} {:>18} {:>6} {:>22} {:>6}",
        "job", "boxes", "cuts/box, plain", "ratio", "settings/box, plain", "ratio"
    );
    let mut all = [0usize; 4];
    for (name, text) in jobs::all() {
        let Some(job) = sawn(&name, &text) else { continue };
        let assemblies = assemble(&job).expect("a design");
        let parts = parts(&job, &assemblies);
        let Ok(patterns) = cut_plan(&job, &parts, &Search::default()) else { continue };
        let made = plan(&job, &assemblies, &parts, &patterns).expect("a plan");
        let (cuts, settings) = made.cuts_and_settings();
        let (plain_cuts, plain_settings) = plain_order(&job, &parts, &patterns);
        let boxes = job.boxes.iter().map(|order| order.count).sum::<u32>().max(1);
        let per_box = |count: usize| count as f64 / f64::from(boxes);
        println!(
            "{name:<22} {boxes:>5} {:>8.1} {:>9.1} {:>6.2} {:>11.2} {:>10.2} {:>6.2}",
            per_box(cuts),
            per_box(plain_cuts),
            cuts as f64 / plain_cuts as f64,
            per_box(settings),
            per_box(plain_settings),
            settings as f64 / plain_settings.max(1) as f64
        );
        for (sum, count) in all.iter_mut().zip([cuts, plain_cuts, settings, plain_settings]) {
            *sum += count;
        }
    }
    println!(
        "all together: cuts {} of {} ({:.2}), settings {} of {} ({:.2})",
        all[0],
        all[1],
        all[0] as f64 / all[1] as f64,
        all[2],
        all[3],
        all[2] as f64 / all[3] as f64
    );
    time_one_sheet();
}

/// The job, cut by hand whether it asks for that or not.
fn sawn(name: &str, text: &str) -> Option<Job> {
    let profiles = Profiles::built_in();
    let mut job = spec::read(&Source::new(name, text), &profiles, &Kinds::built_in()).ok()?;
    if job.saw.is_none() {
        let bench = profiles.find("table-saw").expect("built in");
        job.saw = Some(Saw { kerf: 3.2, bench, together: 3, stages: None });
    }
    Some(job)
}

/// A sheet of fifty parts of ten sizes, from its pattern to its plan.
fn time_one_sheet() {
    let mut text = String::from(
        "title = \"fifty\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12, trim = 3 }\n",
    );
    for i in 0..10 {
        let (length, width) = (310 + 23 * i % 97, 120 + 17 * i % 60);
        text.push_str(&format!("[[part]]\nname = \"part {i}\"\nsize = [{length}, {width}]\ncount = 5\n"));
    }
    let job = sawn("fifty", &text).expect("a job");
    let assemblies = assemble(&job).expect("a design");
    let parts = parts(&job, &assemblies);
    let patterns = cut_plan(&job, &parts, &Search::default()).expect("patterns");
    let pieces: usize = patterns.iter().map(|pattern| pattern.placements().len()).sum();
    let mut times: Vec<f64> = (0..30)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(plan(&job, &assemblies, &parts, &patterns).expect("a plan"));
            start.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "a plan of {pieces} parts on {} sheet(s): {:.2} ms (the middle of {}, slowest {:.2} ms; to stay under 50 ms)",
        patterns.len(),
        times[times.len() / 2],
        times.len(),
        times[times.len() - 1]
    );
}
