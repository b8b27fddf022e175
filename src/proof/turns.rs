//! Round holes that were cut by turns about their middle: told by angles, without polygons.
//!
//! Whatever is not plainly such a hole, or not plainly well made, is left to the polygons: each of these says `None` then.

use super::bench::Bench;
use super::near::Path;
use super::shape::{ACROSS, HoleShape};
use crate::geometry::math::{acos, angle_of, unit};
use crate::geometry::{Point, Rect, Segment};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// A circle about a place this far from the hole's middle is about the middle (mm).
const SAME: f64 = 0.005;

/// Angles that differ by less are one (radians): the round ends of two cuts leave nothing between them.
const HAIR: f64 = 1e-3;

/// What stands in a round hole that was drilled in its middle, or cut by whole turns around it, from the hole's edge.
/// `None` where it was made otherwise, or something is left.
pub(super) fn round(bench: &Bench, hole: &HoleShape, z: f64) -> Option<f64> {
    let wanted = hole.diameter?.min(hole.made) / 2.0;
    let edge =
        rings(bench, hole, z).iter().fold(0.0, |edge, ring| if ring.0 <= edge { ring.1.max(edge) } else { edge });
    let left = (wanted - edge).max(0.0);
    (left <= bench.tolerance).then_some(left)
}

/// What stands at a height in the slot around the middle of a round hole, where one turn or more went right round:
/// from the hole's edge. `None` where it was made otherwise, or something is left.
pub(super) fn round_slot(bench: &Bench, hole: &HoleShape, z: f64) -> Option<f64> {
    hole.diameter?;
    let (edge, slot) = (hole.made / 2.0, 2.0 * bench.radius - bench.tolerance);
    let lefts =
        rings(bench, hole, z).into_iter().filter(|ring| ring.0 <= edge - slot).map(|ring| (edge - ring.1).max(0.0));
    lefts.min_by(f64::total_cmp).filter(|left| *left <= bench.tolerance)
}

/// Rings about a round hole's middle that are cut whole at a height: inner and outer radius, by the inner one.
fn rings(bench: &Bench, hole: &HoleShape, z: f64) -> Vec<(f64, f64)> {
    let Cuts { turns, others } = cuts(bench, hole, z);
    let upright =
        others.iter().filter(|it| it.path.start == it.path.end && it.path.start.distance(hole.centre) <= SAME);
    let mut rings: Vec<(f64, f64)> = upright.map(|it| (0.0, it.radius)).collect();
    for Turn { radius, cutter, arcs, .. } in turns {
        if gaps(arcs).is_some_and(|gaps| gaps.is_empty()) {
            rings.push(((radius - cutter).max(0.0), radius + cutter));
        }
    }
    rings.sort_by(|a, b| a.0.total_cmp(&b.0));
    rings
}

/// A tab that holds the middle of a round hole.
#[derive(Clone, Copy, Debug)]
pub(super) struct RoundTab {
    /// Where it is narrowest (mm), as that is measured on any tab.
    pub width: f64,
    pub middle: Point,
}

/// What is left at a height of the slot around the middle of a round hole that the cutter took in one turn: tabs at least
/// `least` wide, and nothing else. `None` where it was made otherwise, or a tab is narrower.
pub(super) fn round_tabs(bench: &Bench, hole: &HoleShape, z: f64, least: f64) -> Option<Vec<RoundTab>> {
    hole.diameter?;
    let Cuts { turns, others } = cuts(bench, hole, z);
    let [turn] = &turns[..] else { return None };
    let wall = hole.made / 2.0;
    let whole = turn.cutter == bench.radius && (wall - turn.radius - turn.cutter).abs() + SAME <= bench.tolerance;
    if !whole {
        return None;
    }
    let gaps = gaps(turn.arcs.clone())?;
    let place = |angle: f64| hole.centre + unit(angle) * turn.radius;
    let tab = |(from, to): (f64, f64)| RoundTab {
        width: turn.narrowest(wall, to - from),
        middle: place(f64::midpoint(from, to)),
    };
    let tabs: Vec<RoundTab> = gaps.iter().copied().map(tab).collect();
    // Any other cut, a lead-in or lead-out, must leave the tabs alone.
    let spared = others.iter().all(|other| {
        gaps.iter().zip(&tabs).all(|((from, _), tab)| {
            // None of the tab is further from its middle than its corners at the wall.
            let reach = tab.middle.distance(hole.centre + unit(*from) * wall);
            Path::new(&other.path).to_side(tab.middle, tab.middle) >= other.radius + reach
        }) || turn.covers(&gaps, hole.centre, other)
    });
    (spared && tabs.iter().all(|tab| tab.width >= least)).then_some(tabs)
}

/// Cuts at or below a height in a round hole.
#[derive(Debug, Default)]
struct Cuts {
    /// Arcs about its middle, by radius.
    turns: Vec<Turn>,
    others: Vec<Other>,
}

/// Arcs about a hole's middle that may make a whole turn: from and to, in radians.
#[derive(Debug)]
struct Turn {
    radius: f64,
    cutter: f64,
    arcs: Vec<(f64, f64)>,
}

/// A path that is not one of the turns, and the radius of its tool.
#[derive(Debug)]
struct Other {
    path: Segment,
    radius: f64,
}

fn cuts(bench: &Bench, hole: &HoleShape, z: f64) -> Cuts {
    let mut turns: BTreeMap<i64, Turn> = BTreeMap::new();
    let mut others = Vec::new();
    for cut in bench.near(Rect::from_center_size(hole.centre, (hole.made, hole.made))) {
        let cut = &bench.replay.cuts[cut];
        let Some(path) = cut.path_below(z) else { continue };
        let Some(circle) = cut.round.filter(|circle| circle.centre.distance(hole.centre) <= SAME) else {
            others.push(Other { path, radius: cut.radius });
            continue;
        };
        let from = angle_of(path.start - circle.centre);
        let sweep = path.sweep();
        let (from, to) = if sweep < 0.0 { (from + sweep, from) } else { (from, from + sweep) };
        let key = (circle.radius * 100.0).round() as i64;
        let turn = turns.entry(key).or_insert(Turn { radius: circle.radius, cutter: cut.radius, arcs: Vec::new() });
        turn.arcs.push((from, to));
    }
    Cuts { turns: turns.into_values().collect(), others }
}

impl Turn {
    /// Width of what stands between two ends of the turn, this angle apart, on that of the lines across it where it is
    /// narrowest.
    fn narrowest(&self, wall: f64, angle: f64) -> f64 {
        let on_line = |share: &f64| {
            let line = wall - share * self.cutter;
            // The cutter at either end covers this much of a circle about the hole's middle.
            let cos =
                (line * line + self.radius * self.radius - self.cutter * self.cutter) / (2.0 * line * self.radius);
            (angle - 2.0 * acos(cos.clamp(-1.0, 1.0))) * line
        };
        ACROSS.iter().map(on_line).fold(f64::INFINITY, f64::min)
    }

    /// Is the other straight down on this turn, where that has been anyway?
    fn covers(&self, gaps: &[(f64, f64)], centre: Point, other: &Other) -> bool {
        let arm = other.path.start - centre;
        let angle = angle_of(arm);
        other.path.start == other.path.end
            && other.radius <= self.cutter
            && (arm.hypot() - self.radius).abs() <= SAME
            && !gaps.iter().any(|(from, to)| (angle - from - HAIR).rem_euclid(TAU) < to - from - 2.0 * HAIR)
    }
}

/// Where these angles together do not go round: from and to, growing. `None` of no angles at all.
fn gaps(mut arcs: Vec<(f64, f64)>) -> Option<Vec<(f64, f64)>> {
    arcs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let first = arcs.first()?.0;
    for arc in &mut arcs {
        let turns = ((arc.0 - first) / TAU).floor() * TAU;
        *arc = (arc.0 - turns, arc.1 - turns);
    }
    // What goes past a whole turn covers the beginning too.
    let over: Vec<(f64, f64)> = arcs.iter().filter(|arc| arc.1 > first + TAU).map(|arc| (first, arc.1 - TAU)).collect();
    arcs.extend(over);
    arcs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut gaps = Vec::new();
    let mut reached = first;
    for (from, to) in arcs {
        if from > reached + HAIR {
            gaps.push((reached, from));
        }
        reached = reached.max(to);
    }
    if reached < first + TAU - HAIR {
        gaps.push((reached, first + TAU));
    }
    Some(gaps)
}

#[cfg(test)]
mod tests {
    use super::super::flat;
    use super::super::stroke::disc;
    use super::super::sweep::Sweeps;
    use super::*;
    use crate::geometry::Vec2;

    #[test]
    fn what_is_not_gone_round_is_found_across_the_beginning_of_a_turn() {
        assert_eq!(gaps(vec![]), None);
        assert_eq!(gaps(vec![(0.5, 0.5 + TAU)]), Some(vec![]));
        assert_eq!(gaps(vec![(0.0, 3.0), (2.0, 6.0), (-0.5, 0.1)]), Some(vec![]));
        let found = gaps(vec![(1.0, 3.0), (4.0, 7.0)]).expect("some are left");
        assert_eq!(found, [(3.0, 4.0), (7.0, 1.0 + TAU)].map(|(a, b): (f64, f64)| (a, b)));
        // Two turns on, the same.
        let found = gaps(vec![(1.0, 3.0), (4.0 + 2.0 * TAU, 7.0 + 2.0 * TAU)]).expect("some are left");
        assert!((found[0].0 - 3.0).abs() < 1e-9 && (found[0].1 - 4.0).abs() < 1e-9 && found.len() == 2, "{found:?}");
    }

    /// The width by angles is the one that polygons give: what two ends of a turn leave of lines across the slot.
    #[test]
    fn tabs_are_as_wide_as_polygons_tell() {
        for (wall, cutter, angle) in [(16.0, 3.0, 0.9), (30.0, 3.175, 0.4), (12.0, 2.0, 1.3), (60.0, 6.0, 0.35)] {
            let turn = Turn { radius: wall - cutter, cutter, arcs: Vec::new() };
            let at = |angle: f64| Point::ORIGIN + Vec2::from_angle(angle) * turn.radius;
            let mut sweeps = Sweeps::default();
            // From one end of the tab to the other, round the far side.
            let middle = f64::midpoint(angle, TAU);
            for (from, to) in [(angle, middle), (middle, TAU)] {
                let path = Segment { start: at(from), end: at(to), bulge: ((to - from) / 4.0).tan() };
                sweeps.path(&path, cutter, (false, false));
            }
            let left = flat::rings(flat::minus(&[disc(Point::ORIGIN, wall)], &sweeps.rings()));
            // What is left and is not the middle: the tab, and with it the middle that it holds.
            let width = |share: &f64| {
                let line = disc(Point::ORIGIN, wall - share * cutter);
                flat::length_inside(&line, &left)
            };
            let narrowest = ACROSS.iter().map(width).fold(f64::INFINITY, f64::min);
            let told = turn.narrowest(wall, angle);
            assert!((narrowest - told).abs() < 0.01, "{narrowest} by polygons, {told} by angles");
        }
    }
}
