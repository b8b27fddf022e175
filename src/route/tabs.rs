//! Where tabs hold a part.

use super::track::Track;
use crate::geometry::{Outline, Point, Vec2};

/// A part has at least this many tabs,
const LEAST: usize = 2;
/// one for each length like this of its outline (mm),
const EVERY: f64 = 400.0;
/// and one for each area like this (mm²).
const EVERY_AREA: f64 = 50_000.0;

/// A tab keeps this away from holes and recesses near the edge (mm): it is broken or sawn off later.
const AWAY: f64 = 8.0;

/// What tabs on a track should be like.
pub(super) struct Wish<'a> {
    /// Width of the wood at the tab's top.
    pub width: f64,
    /// The cutter's diameter.
    pub diameter: f64,
    /// Length over which the cutter comes down behind a tab.
    pub fall: f64,
    /// Holes and recesses of the part.
    pub avoid: &'a [Outline],
    /// The part's area.
    pub area: f64,
    /// The track runs around the outside: sides that end in inside corners are joints, and get no tabs.
    pub outside: bool,
}

/// The middles of the tabs as distances along the track, sorted.
///
/// Tabs sit on straight runs with room on both sides, away from holes, recesses and joints; two of them stand opposite
/// each other, the others as far from all others as the runs allow. A track that has no such runs gets the best that
/// its shape has.
pub(super) fn places(track: &Track, wish: &Wish) -> Vec<f64> {
    let half = (wish.width + wish.diameter) / 2.0;
    let apart = 2.0 * half + wish.fall + wish.diameter;
    let rules = [
        Rules { behind: half + wish.fall, joints: false, near_holes: false },
        Rules { behind: half + wish.diameter, joints: false, near_holes: false },
        Rules { behind: half + wish.diameter, joints: true, near_holes: true },
    ];
    let found = rules.iter().map(|rules| candidates(track, wish, half, rules)).find_map(|found| {
        let pair = opposed(track, &found, apart)?;
        Some((found, pair))
    });
    let Some((candidates, (a, b))) = found else {
        // Too small for room on both sides of a tab, or round: then evenly around.
        return in_the_middle(track, wish.width)
            .unwrap_or_else(|| (0..LEAST).map(|i| (i as f64 + 0.5) * track.length() / LEAST as f64).collect());
    };
    let by_length = (track.length() / EVERY).ceil() as usize;
    let by_area = (wish.area / EVERY_AREA).ceil() as usize;
    let mut tabs = vec![candidates[a].s, candidates[b].s];
    while tabs.len() < LEAST.max(by_length).max(by_area) {
        let nearest = |s: f64| tabs.iter().map(|tab| around(s, *tab, track.length())).fold(f64::INFINITY, f64::min);
        let Some(next) = candidates.iter().map(|c| c.s).max_by(|a, b| nearest(*a).total_cmp(&nearest(*b))) else {
            break;
        };
        if nearest(next) < apart {
            break;
        }
        tabs.push(next);
    }
    tabs.sort_by(f64::total_cmp);
    tabs
}

/// The middles of the two straight runs, each longer than a tab is wide, that lie farthest apart along the track. A tab
/// beside a corner would hold by its tip alone.
fn in_the_middle(track: &Track, width: f64) -> Option<Vec<f64>> {
    let runs = track.segments().filter(|(_, segment)| !segment.is_arc() && !track.is_spur(segment));
    let middles: Vec<f64> =
        runs.filter(|(_, run)| run.length() >= width).map(|(start, run)| start + run.length() / 2.0).collect();
    let pairs = middles.iter().enumerate().flat_map(|(i, a)| middles[i + 1..].iter().map(move |b| (*a, *b)));
    let apart = |(a, b): &(f64, f64)| around(*a, *b, track.length());
    let (a, b) = pairs.max_by(|p, q| apart(p).total_cmp(&apart(q)))?;
    Some(vec![a, b])
}

struct Rules {
    /// Room behind a tab's middle.
    behind: f64,
    joints: bool,
    near_holes: bool,
}

struct Candidate {
    s: f64,
    at: Point,
    along: Vec2,
}

/// Places that keep the rules, a few on each run.
fn candidates(track: &Track, wish: &Wish, half: f64, rules: &Rules) -> Vec<Candidate> {
    /// Candidates on a run are no further apart than this (mm).
    const STEP: f64 = 25.0;
    let segments: Vec<_> = track.segments().collect();
    let count = segments.len();
    let mut found = Vec::new();
    for (i, (start, segment)) in segments.iter().enumerate() {
        if segment.is_arc() || track.is_spur(segment) {
            continue;
        }
        let (before, after) = (segments[(i + count - 1) % count].1, segments[(i + 1) % count].1);
        if wish.outside && !rules.joints && !(before.is_arc() && after.is_arc()) {
            continue;
        }
        let (from, to) = (start + half + wish.diameter, start + segment.length() - rules.behind);
        if to < from {
            continue;
        }
        // From the run's middle to both ends: middles of opposite sides stand across from each other.
        let middle = (start + segment.length() / 2.0).clamp(from, to);
        let towards = |end: f64| {
            let steps = ((end - middle).abs() / STEP).ceil();
            (1..=steps as u32).map(move |k| middle + (end - middle) * f64::from(k) / steps)
        };
        for s in std::iter::once(middle).chain(towards(from)).chain(towards(to)) {
            let at = track.at(s);
            let reach = half + wish.diameter / 2.0 + AWAY;
            let near =
                |shape: &Outline| shape.bounds().inflate(reach, reach).contains(at) && shape.distance(at) < reach;
            if rules.near_holes || !wish.avoid.iter().any(near) {
                found.push(Candidate { s, at, along: segment.direction(0.5) });
            }
        }
    }
    found
}

/// The two candidates on opposite sides that stand most nearly across from each other through the part's middle.
fn opposed(track: &Track, candidates: &[Candidate], apart: f64) -> Option<(usize, usize)> {
    let middle = middle_of(track);
    let mut best: Option<(f64, (usize, usize))> = None;
    for (i, a) in candidates.iter().enumerate() {
        for (j, b) in candidates.iter().enumerate().skip(i + 1) {
            if around(a.s, b.s, track.length()) < apart || a.along.dot(b.along) > -0.9 {
                continue;
            }
            let shear = (a.at - b.at).dot(a.along).abs();
            let off = a.at.midpoint(b.at).distance(middle);
            let score = shear + off + 0.05 * a.at.distance(b.at);
            if best.is_none_or(|(least, _)| score < least - 1e-6) {
                best = Some((score, (i, j)));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

fn middle_of(track: &Track) -> Point {
    track
        .segments()
        .map(|(_, segment)| segment.bounds())
        .reduce(|a, b| a.union(b))
        .map_or(Point::ORIGIN, |b| b.center())
}

/// Distance along a closed track of this length, in the shorter direction.
fn around(a: f64, b: f64, length: f64) -> f64 {
    let d = (a - b).rem_euclid(length);
    d.min(length - d)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::offset;

    fn wish<'a>(avoid: &'a [Outline], area: f64) -> Wish<'a> {
        Wish { width: 6.0, diameter: 6.0, fall: 19.0, avoid, area, outside: true }
    }

    fn track(outline: &Outline) -> Track {
        Track::new(&offset(outline, 3.0)[0])
    }

    #[test]
    fn every_board_has_two_tabs_across_from_each_other() {
        for (length, width) in [(500.0, 260.0), (150.0, 30.0), (60.0, 60.0), (480.0, 20.0)] {
            let board = track(&Outline::rectangle(length, width));
            let tabs = places(&board, &wish(&[], length * width));
            let opposite = tabs.iter().any(|a| {
                tabs.iter().any(|b| {
                    let apart = board.at(*a) - board.at(*b);
                    board.direction(*a).dot(board.direction(*b)) < -0.99 && apart.dot(board.direction(*a)).abs() < 1.0
                })
            });
            assert!(tabs.len() >= 2 && opposite, "{length} × {width}: {tabs:?}");
        }
    }

    #[test]
    fn large_parts_get_more() {
        let count = |length: f64, width: f64| {
            places(&track(&Outline::rectangle(length, width)), &wish(&[], length * width)).len()
        };
        assert_eq!(count(100.0, 60.0), 2);
        assert_eq!(count(500.0, 260.0), 4);
        assert_eq!(count(900.0, 600.0), 11, "by its area");
    }

    #[test]
    fn tabs_keep_away_from_holes_at_the_edge_and_from_joints() {
        let hole = Outline::circle(Point::new(100.0, 8.0), 10.0);
        let board = track(&Outline::rectangle(200.0, 100.0));
        for s in places(&board, &wish(std::slice::from_ref(&hole), 20_000.0)) {
            assert!(hole.distance(board.at(s)) > 15.0, "{:?}", board.at(s));
        }
        // A notch in the lower edge: its bottom and its sides are a joint.
        let notched = Outline::polygon([
            (0.0, 0.0),
            (60.0, 0.0),
            (60.0, 30.0),
            (140.0, 30.0),
            (140.0, 0.0),
            (200.0, 0.0),
            (200.0, 100.0),
            (0.0, 100.0),
        ]);
        let board = track(&notched);
        for s in places(&board, &wish(&[], 17_600.0)) {
            let at = board.at(s);
            assert!(!(at.x > 55.0 && at.x < 145.0 && at.y < 50.0), "{at:?}");
        }
    }
}
