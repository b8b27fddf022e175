//! How much wood a cut meets, by what was cut there before it.

use super::bench::Bench;
use super::cut::{Cut, Next, Round};
use super::flat;
use super::near::Path;
use super::sweep::Sweeps;
use super::verdict::{Ledger, Spot};
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::math::{atan2, unit};
use crate::geometry::{Point, Rect, Vec2};
use crate::profile::Tool;
use std::f64::consts::{FRAC_PI_4, SQRT_2};

/// Two paths closer than this are one path (mm): a cutter on the second finds no wood that the first has left.
const SAME_PATH: f64 = 0.02;

/// Follows the cuts in order: rapid moves through wood, descents into it that are too steep, passes that are too deep.
///
/// What a cut really meets takes long to tell, so a program with hundreds of faults is looked at only where it may be worse.
pub(super) fn check(bench: &Bench, ledgers: &mut [Ledger]) {
    for (i, cut) in bench.replay.cuts.iter().enumerate() {
        if cut.point > 0.0 && bench.takes(cut) {
            point(bench, cut, &mut ledgers[cut.program]);
        }
        if cut.lowest() >= -bench.touch || cut.radius == 0.0 {
            continue;
        }
        let ledger = &mut ledgers[cut.program];
        let tool = bench.tool(cut);
        let pass = tool.map_or(0.0, |tool| tool.pass_depth * tool.diameter * Tool::DEEPER);
        let gentle = tool.is_some_and(|tool| !cut.rapid && !tool.drill && steepness(bench, cut) <= tool.ramp_angle);
        if let Some(tool) = tool.filter(|_| gentle && -cut.lowest() <= pass) {
            // No deeper than one pass, all of it: whatever stands there, the cutter takes it.
            let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
            ledger.note(ProgramCheck::Pass, -cut.lowest(), Limits::at_most(pass + bench.touch), spot);
            ledger.note(ProgramCheck::EntryAngle, steepness(bench, cut), Limits::at_most(tool.ramp_angle), spot);
            continue;
        }
        let stretches = stretches(bench, i);
        let deepest = stretches.iter().map(|it| it.wood()).fold(0.0, f64::max);
        let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
        if cut.rapid {
            if ledger.knows_worse(ProgramCheck::RapidInWood, deepest) {
                continue;
            }
            let wood = if deepest > bench.touch { uncut(bench, i, 1.0, bench.touch, deepest) } else { 0.0 };
            ledger.note(ProgramCheck::RapidInWood, wood, Limits::at_most(bench.touch), spot);
            continue;
        }
        let Some(tool) = tool else { continue };
        let most = pass + bench.touch;
        if !ledger.knows_worse(ProgramCheck::Pass, deepest) {
            let wood = if deepest > most { uncut(bench, i, CORE, most, deepest) } else { deepest };
            ledger.note(ProgramCheck::Pass, wood, Limits::at_most(most), spot);
        }
        if cut.z1 < cut.z0 - 1e-9 {
            entry(bench, i, &stretches, tool.ramp_angle, ledger);
        }
        if tool.drill && cut.length() > bench.touch && deepest > bench.touch {
            ledger.count(ProgramCheck::SidewaysDrill, spot);
        }
    }
}

/// The centre point of a drill goes straight down and nowhere else, and not rapidly where it has not been before.
fn point(bench: &Bench, cut: &Cut, ledger: &mut Ledger) {
    let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
    if cut.length() > bench.touch {
        ledger.count(ProgramCheck::SidewaysDrill, spot);
    }
    if cut.rapid && cut.z1 < cut.z0 {
        let here = bench.passing(Rect::from_center_size(cut.path.end, (SAME_PATH, SAME_PATH)));
        let before = here.into_iter().filter(|i| *i < cut.index).map(|i| &bench.replay.cuts[i]);
        let reached = before.map(Cut::tip).fold(0.0, f64::min);
        ledger.note(ProgramCheck::RapidInWood, (reached - cut.tip()).max(0.0), Limits::at_most(bench.touch), spot);
    }
}

/// How steeply a cut goes down at least, by its digits, in degrees.
fn steepness(bench: &Bench, cut: &Cut) -> f64 {
    if cut.z1 >= cut.z0 {
        return 0.0;
    }
    if cut.is_upright() {
        return 90.0;
    }
    let (digit, chords) = (bench.router.machine.digit, bench.router.machine.chords);
    // A chord that stands for an arc, which leaves it by s, is shorter than that: of length c by 8·s²/(3·c).
    let bow = 8.0 * chords * chords / (3.0 * cut.length().max(digit));
    // The last digits of both ends may make a short move look steeper than it is: each is off by half a digit at most, in X,
    // in Y and in Z.
    // So is the centre of an arc, which makes it longer by that share of its turn.
    let wider = cut.path.sweep().abs() * digit / SQRT_2;
    let (down, along) = (cut.z0 - cut.z1 - digit, cut.length() + SQRT_2 * digit + bow + wider);
    atan2(down.max(0.0), along).to_degrees()
}

/// Is a move down into wood too steep for its cutter?
fn entry(bench: &Bench, index: usize, stretches: &[Stretch], allowed: f64, ledger: &mut Ledger) {
    let cut = &bench.replay.cuts[index];
    let angle = steepness(bench, cut);
    if ledger.knows_worse(ProgramCheck::EntryAngle, angle) {
        return;
    }
    if angle > allowed {
        let deepest = stretches.iter().map(Stretch::wood).fold(0.0, f64::max);
        if deepest <= bench.touch || uncut(bench, index, CORE, bench.touch, deepest) <= bench.touch {
            return;
        }
    }
    let spot = || Spot::line(cut.line).at(cut.at(1.0), cut.tip());
    ledger.note(ProgramCheck::EntryAngle, angle, Limits::at_most(allowed), spot);
}

/// A stretch of a cut: the heights of its tip at both ends, and of the wood that may stand there.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    tip: (f64, f64),
    wood: (f64, f64),
}

impl Stretch {
    /// The most wood above the tip.
    fn wood(&self) -> f64 {
        (self.wood.0 - self.tip.0).max(self.wood.1 - self.tip.1).max(0.0)
    }
}

/// For each stretch of a cut the most height of wood on it, by the earlier cuts along the same path.
fn stretches(bench: &Bench, index: usize) -> Vec<Stretch> {
    let cut = &bench.replay.cuts[index];
    let mut paths: Vec<Before> = Vec::new();
    for before in bench.passing(cut.bounds().inflate(SAME_PATH, SAME_PATH)).into_iter().take_while(|i| *i < index) {
        let before = &bench.replay.cuts[before];
        if before.radius >= cut.radius - 1e-9
            && let Some(path) = along(cut, before)
            && !paths.iter().any(|other| other.lies_under(&path))
        {
            // One pass after another runs along the same path: only the lowest count, however often a program goes to and fro.
            paths.retain(|other| !path.lies_under(other));
            paths.push(path);
        }
    }
    let mut places: Vec<f64> = vec![0.0, 1.0];
    places.extend(paths.iter().flat_map(|path| [path.from, path.to]));
    // Where one earlier cut becomes lower than another.
    for (k, a) in paths.iter().enumerate() {
        for b in &paths[k + 1..] {
            let (from, to) = (a.from.max(b.from), a.to.min(b.to));
            if from < to {
                let (d0, d1) = (a.height(from) - b.height(from), a.height(to) - b.height(to));
                if d0 * d1 < 0.0 {
                    places.push(from + (to - from) * d0 / (d0 - d1));
                }
            }
        }
    }
    places.retain(|t| (0.0..=1.0).contains(t));
    places.sort_by(f64::total_cmp);
    let surface = |t: f64, middle: f64| {
        let cover = paths.iter().filter(|path| path.from <= middle && middle <= path.to);
        cover.map(|path| path.height(t)).fold(0.0, f64::min)
    };
    if cut.is_upright() {
        // All at one place: what stands there when the tip arrives at its lowest.
        let wood = paths.iter().map(|path| path.height(0.0)).fold(0.0, f64::min);
        let low = cut.lowest();
        return vec![Stretch { tip: (low, low), wood: (wood, wood) }];
    }
    // Gaps between earlier cuts shorter than this are none: their round ends close them.
    let least = SAME_PATH / cut.length().max(SAME_PATH);
    places
        .windows(2)
        .filter(|pair| pair[1] - pair[0] > least * 0.5)
        .map(|pair| {
            let middle = f64::midpoint(pair[0], pair[1]);
            Stretch {
                tip: (cut.height(pair[0]), cut.height(pair[1])),
                wood: (surface(pair[0], middle), surface(pair[1], middle)),
            }
        })
        .collect()
}

/// An earlier cut on the same path, as shares of the later one's.
#[derive(Clone, Copy, Debug)]
struct Before {
    from: f64,
    to: f64,
    /// Heights of its tip there.
    z: (f64, f64),
}

impl Before {
    /// Does it leave nothing for the other to take?
    fn lies_under(&self, other: &Before) -> bool {
        self.from <= other.from
            && self.to >= other.to
            && self.height(other.from) <= other.z.0
            && self.height(other.to) <= other.z.1
    }

    fn height(&self, t: f64) -> f64 {
        let share = if self.to > self.from { ((t - self.from) / (self.to - self.from)).clamp(0.0, 1.0) } else { 0.0 };
        self.z.0 + (self.z.1 - self.z.0) * share
    }
}

/// The stretch of `cut` on which `before` ran along the same path.
fn along(cut: &Cut, before: &Cut) -> Option<Before> {
    // Shares of `before` at which it passes the ends of `cut`, and the reverse.
    let there = |t: f64| place(before, cut.at(t));
    let here = |t: f64| place(cut, before.at(t));
    if cut.is_upright() {
        let share = there(0.0)?;
        let z = before.height(share);
        // Straight up or down through here: as low as it went.
        let z = if before.is_upright() { before.lowest() } else { z };
        return Some(Before { from: 0.0, to: 1.0, z: (z, z) });
    }
    match (cut.round, before.round) {
        (None, None) if !before.is_upright() => {}
        (Some(a), Some(b)) if a.centre.distance(b.centre) <= SAME_PATH && (a.radius - b.radius).abs() <= SAME_PATH => {}
        _ => return None,
    }
    let mut ends: Vec<(f64, f64)> = Vec::with_capacity(4);
    ends.extend([0.0, 1.0].into_iter().filter_map(|t| Some((t, there(t)?))));
    ends.extend([0.0, 1.0].into_iter().filter_map(|t| Some((here(t)?, t))));
    let first = ends.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let last = ends.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))?;
    if last.0 - first.0 < 1e-9 {
        return None;
    }
    // The same ends do not make it the same path: look between them.
    let (middle, other) = (f64::midpoint(first.0, last.0), f64::midpoint(first.1, last.1));
    let same = cut.at(middle).distance(before.at(other)) <= SAME_PATH;
    same.then(|| Before { from: first.0, to: last.0, z: (before.height(first.1), before.height(last.1)) })
}

/// The share of a cut's path at which it passes a place, if it does.
fn place(cut: &Cut, at: Point) -> Option<f64> {
    if cut.is_upright() {
        return (cut.path.start.distance(at) <= SAME_PATH).then_some(0.0);
    }
    let share = match cut.round {
        None => {
            let side = cut.path.end - cut.path.start;
            (at - cut.path.start).dot(side) / side.hypot2()
        }
        Some(round) => {
            let (start, arm): (Vec2, Vec2) = (cut.path.start - round.centre, at - round.centre);
            if (arm.hypot() - round.radius).abs() > SAME_PATH {
                return None;
            }
            let turn = atan2(start.cross(arm), start.dot(arm));
            let share = turn / round.sweep;
            // In the other direction, unless it is only a hair before the start.
            let hair = SAME_PATH / (round.radius * round.sweep.abs());
            if share < -hair { share + std::f64::consts::TAU / round.sweep.abs() } else { share }
        }
    };
    let slack = SAME_PATH / cut.length().max(SAME_PATH);
    let share = if share < 0.0 && share > -slack { 0.0 } else { share };
    let share = if share > 1.0 && share < 1.0 + slack { 1.0 } else { share };
    ((0.0..=1.0).contains(&share) && cut.at(share).distance(at) <= SAME_PATH).then_some(share)
}

/// What counts for the depth of a pass and for going straight down is the wood under this share of the tool's width.
const CORE: f64 = 1.0 - 2.0 * Tool::LIGHT;

/// How high above a cut's tip wood really stands under a share of the tool's width, where the paths alone cannot tell: by
/// what all earlier cuts have swept over. 0 where it is no more than `free`; `most` is as high as it can be.
fn uncut(bench: &Bench, index: usize, share: f64, free: f64, most: f64) -> f64 {
    if !stands(bench, index, share, free) {
        return 0.0;
    }
    // Somewhere between what it surely is and what it can be at most; halved until that is known well enough to be told.
    let (mut least, mut most) = (free, most);
    while most - least > 0.05 {
        let middle = f64::midpoint(least, most);
        if stands(bench, index, share, middle) {
            least = middle;
        } else {
            most = middle;
        }
    }
    most
}

/// Is there wood higher than `above` over the tip, anywhere on the cut's path?
fn stands(bench: &Bench, index: usize, share: f64, above: f64) -> bool {
    /// What is left thinner than this is a sliver of rounding (mm).
    const SLIVER: f64 = 0.05;
    let cut = &bench.replay.cuts[index];
    // A sloped cut is looked at in pieces over which its height hardly changes.
    let drop = (cut.z1 - cut.z0).abs();
    let pieces = if cut.is_upright() { 1 } else { (drop / 0.5).ceil().clamp(1.0, 40.0) as u32 };
    (0..pieces).any(|i| {
        let (from, to) = (f64::from(i) / f64::from(pieces), f64::from(i + 1) / f64::from(pieces));
        let low = if cut.is_upright() { cut.lowest() } else { cut.height(from).min(cut.height(to)) };
        let surface = low + above;
        if surface >= 0.0 {
            return false;
        }
        let path = if cut.is_upright() { cut.path } else { cut.path.between(from, to) };
        let piece = Cut {
            round: Round::of(&path),
            path,
            z0: low,
            z1: low,
            from_before: false,
            into_next: Next::Ends,
            ..cut.clone()
        };
        let mut own = Sweeps::default();
        // A little narrower than it is, so that what is left is no sliver.
        let narrow = Cut { radius: (cut.radius - SLIVER) * share, ..piece };
        narrow.sweep(low, &mut own);
        let own = own.rings();
        let bounds = own.iter().map(|ring| flat::bounds(ring)).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        let mut earlier = bench.near(bounds);
        earlier.retain(|before| *before < index && bench.replay.cuts[*before].lowest() <= surface);
        if missed(bench, &narrow, &earlier) {
            return true;
        }
        if taken_by_one(bench, &narrow, &earlier, surface) {
            return false;
        }
        // The latest first, a few and then more at a time: it is mostly the pass before that took the wood.
        let (mut left, mut few) = (flat::rings(flat::all(&own)), FEW);
        while flat::rings_area(&left) > SLIVER * SLIVER {
            if earlier.is_empty() {
                return true;
            }
            let last = earlier.split_off(earlier.len().saturating_sub(few));
            #[cfg(test)]
            tests::CLIPPED.with(|clipped| clipped.set(clipped.get() + last.len()));
            // The one before this ends here, with a round end.
            let before = |i: &usize| *i + 1 == index;
            let ends = last
                .iter()
                .copied()
                .find(before)
                .map(|i| Cut { into_next: Next::Ends, ..bench.replay.cuts[i].clone() });
            let earlier = last.iter().filter(|i| !before(i)).map(|i| &bench.replay.cuts[*i]).chain(&ends);
            let gone = Sweeps::of(earlier, surface, bench.router.machine.digit);
            left = flat::rings(flat::minus(&left, &gone.united()));
            few *= 4;
        }
        false
    })
}

/// Does one of these cuts, all of it that is at or below `surface`, go over everything under the cutter? That settles most of
/// the many short chords that stand for arcs, without any polygons.
fn taken_by_one(bench: &Bench, cut: &Cut, earlier: &[usize], surface: f64) -> bool {
    // No place of an arc is further from its chord.
    let bulges = cut.path.bulge.abs() * cut.path.chord() / 2.0;
    earlier.iter().rev().map(|i| &bench.replay.cuts[*i]).any(|before| {
        let reach = before.radius - cut.radius - bulges;
        // What a straight strip covers at both ends of a line it covers between them.
        let path = before.path_below(surface).filter(|path| reach >= 0.0 && !path.is_arc());
        path.is_some_and(|path| {
            let path = Path::new(&path);
            [cut.path.start, cut.path.end].into_iter().all(|at| path.to_side(at, at) <= reach)
        })
    })
}

/// So many cuts are looked at first.
const FEW: usize = 8;

/// Is there a place under the cutter that surely none of these cuts went over? A few are tried, which settles most cases in
/// which wood stands, without any polygons.
fn missed(bench: &Bench, cut: &Cut, earlier: &[usize]) -> bool {
    /// As far from every cut and from the cutter's own edge, what is left there is no sliver (mm).
    const FREE: f64 = 0.05;
    let rim = cut.radius - FREE - 0.005;
    if rim <= 0.0 {
        return false;
    }
    let round = (0..8).map(|k| unit(f64::from(k) * FRAC_PI_4) * rim).chain([Vec2::ZERO]);
    let mut places = round.flat_map(|aside| [0.0, 0.5, 1.0].map(|t| cut.at(t) + aside));
    let paths: Vec<(Path, f64)> =
        earlier.iter().map(|it| &bench.replay.cuts[*it]).map(|it| (Path::new(&it.path), it.radius + FREE)).collect();
    places.any(|at| paths.iter().all(|(path, reach)| path.to_side(at, at) > *reach))
}

#[cfg(test)]
mod tests {
    use crate::design::Kinds;
    use crate::profile::Profiles;
    use crate::proof::{Claim, Prover, Text};
    use crate::reading::Source;
    use crate::watch::Search;
    use std::cell::Cell;

    thread_local! {
        /// Earlier cuts that were clipped from the path of later ones.
        pub(super) static CLIPPED: Cell<usize> = const { Cell::new(0) };
    }

    /// A program whose inches became millimetres goes over one small place again and again, mostly through wood. Each move was
    /// clipped by all before it: so many that their number squared stood for the time.
    #[test]
    fn moves_crowded_into_one_place_are_clipped_by_few() {
        let spec = "title = \"shrunk\"\nunits = \"in\"\n\
            stock = { material = \"birch-plywood\", size = [48, 24], thickness = 0.472 }\n\
            router = { machine = \"shop-router\", cutter = \"endmill-1-4\" }\n\
            part = { name = \"board\", size = [6, 4], count = 12, hole = [\
            { use = \"vent\", diameter = 0.4, across = 1, up = 2 }, { use = \"vent\", diameter = 1.2, across = 4, up = 2 }] }\n";
        let spec = Source::new("shrunk.toml", spec);
        let search = Search::of(0);
        let checked = crate::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &search);
        let made = checked.and_then(|it| crate::make(it, &search)).unwrap_or_else(|error| panic!("{error}"));
        let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
        let text = made.programs[0].text.replace("G20", "G21");
        let prover = Prover::new(&claim).expect("a router");
        let tool = prover.first_tool(1, &made.programs[0].file);
        CLIPPED.set(0);
        let proofs = prover.prove(1, &[Text { file: "sheet-1.nc", text: &text, tool }]).expect("readable");
        assert!(proofs[0].faults().count() > 5);
        let (moves, clipped) = (text.lines().count(), CLIPPED.get());
        assert!(clipped < 10 * moves, "{clipped} for {moves} lines");
    }

    /// Round corners in chords, pass after pass, on a machine without arcs: most that stands under one is told by a chord of the pass
    /// before it alone.
    #[test]
    fn chords_over_chords_are_hardly_clipped() {
        let spec = "title = \"chords\"\n\
            stock = { material = \"birch-plywood\", size = [1200, 600], thickness = 18 }\n\
            router = { machine = \"plain-router\", cutter = \"endmill-6\" }\n\
            part = { name = \"board\", size = [160, 100], count = 4, hole = [\
            { use = \"vent\", diameter = 10, across = 30, up = 50 }, { use = \"vent\", slot = [40, 16], across = 100, up = 50 }] }\n";
        let spec = Source::new("chords.toml", spec);
        let search = Search::of(0);
        let checked = crate::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &search);
        let made = checked.and_then(|it| crate::make(it, &search)).unwrap_or_else(|error| panic!("{error}"));
        let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
        let prover = Prover::new(&claim).expect("a router");
        let text = &made.programs[0].text;
        let tool = prover.first_tool(1, &made.programs[0].file);
        CLIPPED.set(0);
        let proofs = prover.prove(1, &[Text { file: "sheet-1.nc", text, tool }]).expect("readable");
        assert!(proofs[0].proved());
        let (moves, clipped) = (text.lines().count(), CLIPPED.get());
        assert!(clipped < moves / 4, "{clipped} for {moves} lines");
    }
}
