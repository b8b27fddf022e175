//! Toolpaths against what the same geometry cannot do without, as ratios, on every sample and starter; and how long
//! routing takes, and how that grows.
//!
//!     cargo bench --bench route

mod bounds;
mod jobs;
mod timed;

use bounds::Stop;
use bounds::walk::{self, Patience};
use nestwright::build::{assemble, parts};
use nestwright::design::{Kinds, Part};
use nestwright::geometry::Point;
use nestwright::job::{Job, Router};
use nestwright::layout::{Layout, nest};
use nestwright::profile::{Machine, Profiles};
use nestwright::reading::Source;
use nestwright::route::{Move, Operation, Route, Run, Space, Variant, routes};
use nestwright::spec;
use nestwright::watch::Search;
use timed::least;

/// For the bound that keeps all rules, and for the one that keeps none.
const RULES: Patience = Patience { walks: 4_000, looks: 20 };
const AT_WILL: Patience = Patience { walks: 12_000, looks: 2 };

fn main() {
    // Names given limit what is measured: `cargo bench --bench route -- nucs`; `bounds` and `growth` are the last parts.
    let asked: Vec<String> = std::env::args().skip(1).filter(|it| !it.starts_with('-')).collect();
    println!(
        "travel: level rapid travel, and what cuts take longer than in their quickest ways as rapid travel / bound, which"
    );
    println!(
        "no order of the same operations can do with less of, in any of their ways and with what must be before what (walks"
    );
    println!("that forget, see benches/bounds)");
    println!(
        "rapid*: level rapid travel / the tree over the nearest of all possible entry points of each pair, a weaker bound: an"
    );
    println!(
        "operation may begin here for one neighbour and there for another. best*: the least that rapid* could be in any order"
    );
    println!("whatever, with no rule of what must be before what, and in whichever way");
    println!("time: minutes at the machine's acceleration / (cut length / feed + going into the wood and out again)");
    println!("least: the same with as little travel as the bound, at full speed, and no corner to slow down for;");
    println!("least*: with as little travel, and the corners as they are");
    println!("moves: cutting moves / least that the same geometry needs");
    println!(
        "where minutes go: cut, along the cuts at their feeds; in/out, straight down to the wood and up again; rapid,"
    );
    println!(
        "sideways at the height of rapid moves; slow, speeding up and slowing down at corners and on small arcs\n"
    );
    println!(
        "{:<16} {:>6} {:>9} {:>9} {:>7} {:>7} {:>7} {:>8} {:>6} {:>6} {:>6} {:>7} {:>6} {:>7} {:>7} {:>6} {:>6}",
        "job",
        "pieces",
        "travel mm",
        "bound mm",
        "travel",
        "rapid*",
        "best*",
        "minutes",
        "time",
        "least",
        "least*",
        "moves",
        "ratio",
        "cut",
        "in/out",
        "rapid",
        "slow"
    );
    for (name, text) in jobs::all().into_iter().filter(|(name, _)| asked.is_empty() || asked.contains(name)) {
        let Some((job, parts, layout)) = nested(&name, &text) else { continue };
        let router = job.router.as_ref().expect("a router");
        let made = routes(&job, &parts, &layout).expect("routes");
        let pieces: usize = layout.sheets.iter().map(|sheet| sheet.placements.len()).sum();
        let mut sums = [0.0; 11];
        for route in &made {
            for (sum, value) in sums.iter_mut().zip(measures(route, router)) {
                *sum += value;
            }
        }
        let [rapid, extra, weak, free, strong, minutes, ideal, moves, least, entries, sideways] = sums;
        // What cuts take longer is in `ideal`.
        let at_full_speed = (strong - extra) / router.machine.rapid.value;
        println!(
            "{name:<16} {pieces:>6} {:>9.0} {strong:>9.0} {:>7.2} {:>7.2} {:>7.2} {minutes:>8.1} {:>6.3} {:>6.3} {:>6.3} {moves:>7} {:>6.3} {:>7.2} {entries:>7.2} {sideways:>6.2} {:>6.2}",
            rapid + extra,
            (rapid + extra) / strong,
            rapid / weak,
            free / weak,
            minutes / ideal,
            1.0 + at_full_speed / ideal,
            (minutes - sideways + at_full_speed) / ideal,
            moves / least,
            ideal - entries,
            minutes - ideal - sideways
        );
    }
    println!();
    let also = |part: &str| asked.is_empty() || asked.iter().any(|name| name == part);
    if also("bounds") {
        walk::tried();
    }
    if also("growth") {
        growth();
    }
}

fn nested(name: &str, text: &str) -> Option<(Job, Vec<Part>, Layout)> {
    let job = spec::read(&Source::new(name, text), &Profiles::built_in(), &Kinds::built_in()).expect("readable");
    job.router.as_ref()?;
    let assemblies = assemble(&job).expect("a design");
    let parts = parts(&job, &assemblies);
    let layout = nest(&job, &parts, &Search::default()).expect("it fits");
    Some((job, parts, layout))
}

/// Level rapid travel, what cuts take longer, three lower bounds, minutes, minutes at full feed, cutting moves, and the
/// least of them; of the minutes at full feed those of the entries, and of all minutes those of sideways rapid moves.
fn measures(route: &Route, router: &Router) -> [f64; 11] {
    let machine = &router.machine;
    let [x, y] = machine.park.value;
    let park = Point::new(x, y);
    let (mut rapid, mut extra) = (0.0, 0.0);
    let (mut weak, mut free, mut strong) = (0.0, 0.0, 0.0);
    let (mut ideal, mut moves, mut least) = (0.0, 0.0, 0.0);
    let (mut minutes, mut entries, mut sideways) = (0.0, 0.0, 0.0);
    let programs: Vec<&[Run]> = match machine.tool_change.value {
        nestwright::profile::ToolChange::None => route.runs.chunks(1).collect(),
        _ => vec![&route.runs[..]],
    };
    for runs in programs {
        let travel = Route { runs: runs.to_vec(), ..route.clone() }.travel(machine);
        minutes += travel.minutes - runs.len() as f64 * machine.spin_up.value / 60.0;
        sideways += travel.sideways;
        let operations: Vec<&Operation> = runs.iter().flat_map(|run| &run.operations).collect();
        let (mut at, before) = (park, rapid);
        for operation in &operations {
            for step in &operation.moves {
                if matches!(step, Move::Rapid(_) | Move::Drill(_)) {
                    rapid += at.distance(step.end().flat());
                }
                at = step.end().flat();
            }
            let (some, few) = cutting_moves(&operation.moves);
            moves += some;
            least += few;
            let (cutting, in_and_out) = minutes_at_feed(&operation.moves, machine);
            ideal += cutting + in_and_out;
            entries += in_and_out;
        }
        rapid += at.distance(park);
        // A tool's operations of one stage are a group. Where the program stops for the maker is a place of its own.
        let key = |run: &Run, operation: &Operation| (run.number, operation.kind.stage());
        let all: Vec<_> = runs.iter().flat_map(|run| run.operations.iter().map(move |o| (key(run, o), o))).collect();
        let mut possible: Vec<Vec<Stop>> = Vec::new();
        for group in all.chunk_by(|a, b| a.0 == b.0) {
            let group: Vec<&Operation> = group.iter().map(|(_, operation)| *operation).collect();
            possible.push(stops(&group));
            if let Some(last) = group.last().filter(|last| last.pause.is_some()).and_then(|last| last.moves.last()) {
                let wait = last.end().flat();
                possible.push(vec![Stop {
                    variants: vec![Variant { begin: wait, end: wait, longer: 0.0 }],
                    ..Stop::default()
                }]);
            }
        }
        let travelled = rapid - before;
        let more: f64 = operations.iter().map(|operation| longer(operation)).sum();
        let bound = walk::least(&possible, park, travelled + more, RULES);
        assert!(bound <= travelled + more + 1e-3, "{bound} mm is no bound: {travelled} and {more} mm are travelled");
        let at_will: Vec<Vec<Stop>> = possible.iter().map(|group| group.iter().map(Stop::at_will).collect()).collect();
        free += walk::least(&at_will, park, travelled, AT_WILL);
        extra += more;
        weak += bounds::nearest(&possible, park);
        strong += bound;
    }
    [rapid, extra, weak, free, strong, minutes, ideal, moves, least, entries, sideways]
}

/// The stops of a group, each with where it may begin and end.
fn stops(group: &[&Operation]) -> Vec<Stop> {
    let mut stops: Vec<Stop> = Vec::new();
    let mut places = Vec::new();
    for operation in group {
        let hole = |step: &Move| if let Move::Drill(hole) = step { Some(hole.at) } else { None };
        let holes: Vec<Point> = operation.moves.iter().filter_map(hole).collect();
        let after = operation.after.iter().map(|earlier| places[places.len() - earlier]).collect();
        places.push(stops.len());
        let drilled = holes
            .iter()
            .map(|at| Stop { variants: vec![Variant { begin: *at, end: *at, longer: 0.0 }], after: Vec::new() });
        stops.extend(drilled);
        if holes.is_empty() {
            stops.push(Stop { variants: operation.variants.clone(), after });
        }
    }
    stops
}

/// How much longer than the quickest the way takes in which an operation is done (mm of rapid travel).
fn longer(operation: &Operation) -> f64 {
    let ends = operation.moves.first().zip(operation.moves.last());
    let same = |variant: &&Variant| {
        ends.is_some_and(|(a, b)| a.end().flat() == variant.begin && b.end().flat() == variant.end)
    };
    operation.variants.iter().filter(same).map(|variant| variant.longer).reduce(f64::min).unwrap_or(0.0)
}

/// Cutting moves, and how many are left when neighbours that go on alike are joined: straight in the same direction and
/// slope, or round the same centre the same way with the same slope, at one feed. A turn of more than 270° is two arcs.
fn cutting_moves(moves: &[Move]) -> (f64, f64) {
    let (mut count, mut least) = (0.0, 0.0);
    let mut at: Option<Space> = None;
    let mut before: Option<(Space, Move)> = None;
    for step in moves {
        if let (Move::Line { .. } | Move::Arc { .. }, Some(from)) = (step, at) {
            count += 1.0;
            if !before.is_some_and(|(start, last)| goes_on(start, &last, from, step)) {
                least += 1.0;
            }
            before = Some((from, *step));
        } else {
            before = None;
            if matches!(step, Move::Drill(_)) {
                count += 1.0;
                least += 1.0;
            }
        }
        at = Some(step.end());
    }
    (count, least)
}

fn goes_on(start: Space, last: &Move, from: Space, step: &Move) -> bool {
    let slope = |a: Space, step: &Move| (step.end().z - a.z) / step.length(a).max(1e-12);
    if (slope(start, last) - slope(from, step)).abs() > 1e-6 {
        return false;
    }
    match (*last, *step) {
        (Move::Line { feed: f, .. }, Move::Line { to, feed: g }) if f == g => {
            let (a, b) = (from.flat() - start.flat(), to.flat() - from.flat());
            a.cross(b).abs() < 1e-6 * a.hypot() * b.hypot() && a.dot(b) >= 0.0
        }
        (Move::Arc { centre: c, clockwise: v, feed: f, .. }, Move::Arc { centre: d, clockwise: w, feed: g, .. })
            if f == g && v == w && c.distance(d) < 1e-6 =>
        {
            let radius = from.flat().distance(c);
            let level = |a: Space, step: &Move| {
                let (length, rise) = (step.length(a), step.end().z - a.z);
                (length * length - rise * rise).max(0.0).sqrt()
            };
            (level(start, last) + level(from, step)) / radius < 1.5 * std::f64::consts::PI
        }
        _ => false,
    }
}

/// Cut length over feed; and the entries: straight down to the wood and up again, from standstill to standstill.
fn minutes_at_feed(moves: &[Move], machine: &Machine) -> (f64, f64) {
    let (v, a) = (machine.rapid.value / 60.0, machine.acceleration.value);
    let rapid = |length: f64| if length > v * v / a { length / v + v / a } else { 2.0 * (length / a).sqrt() } / 60.0;
    let mut at: Option<Space> = None;
    let (mut cutting, mut entries) = (0.0, 0.0);
    for step in moves {
        let Some(from) = at.replace(step.end()) else { continue };
        match step {
            Move::Rapid(to) if from.flat().distance(to.flat()) < 1e-9 => entries += rapid((from.z - to.z).abs()),
            Move::Rapid(_) => {}
            Move::Line { feed, .. } | Move::Arc { feed, .. } => cutting += step.length(from) / feed,
            Move::Drill(hole) => {
                entries += rapid((from.z - hole.top).abs()) + rapid(hole.out - hole.top) + hole.dwell / 60.0;
                let mut reached = hole.top;
                for bottom in hole.pecks() {
                    entries += rapid(hole.top - reached) + rapid(hole.top - bottom);
                    cutting += (reached - bottom) / hole.feed;
                    reached = bottom;
                }
            }
        }
    }
    (cutting, entries)
}

/// One full sheet of 50 parts, and as many as a hundred such sheets.
fn growth() {
    let spec = |count: u32| {
        format!(
            r#"
            title = "growth"
            stock = {{ material = "birch-plywood", size = [2500, 1250], thickness = 12.1 }}
            router = {{ machine = "desktop-router", cutter = "endmill-6", drills = ["drill-20"] }}
            [[part]]
            name = "board"
            size = [235, 232]
            count = {count}
            hole = [
                {{ use = "vent", diameter = 20, across = 40, up = 40 }},
                {{ use = "handhold", slot = [90, 30], across = "centre", up = 180 }},
                {{ use = "drain", diameter = 10, across = 200, up = 40 }},
            ]
            "#
        )
    };
    let mut first = None;
    for sheets in [1u32, 10, 100] {
        let (job, parts, layout) = nested("growth", &spec(50 * sheets)).expect("a router");
        let best = least(5, || {
            let made = routes(&job, &parts, &layout).expect("routes");
            assert_eq!(made.len(), layout.sheets.len());
        });
        let sheets = layout.sheets.len() as f64;
        let per_sheet = best / sheets;
        let one = *first.get_or_insert(per_sheet);
        println!(
            "{:>4} sheets of {:>3.0} parts: {best:>8.1} ms, {per_sheet:>6.2} ms a sheet, {:.2} of the first",
            sheets,
            f64::from(50) * f64::from(sheets as u32) / sheets,
            per_sheet / one
        );
    }
}
