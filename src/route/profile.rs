//! Once around an outline, down through the sheet, leaving tabs.

use super::CutterAt;
use super::heights::Heights;
use super::lead::Leads;
use super::moves::{Move, Space};
use super::track::Track;
use crate::geometry::{Outline, Segment};

/// Rapid moves stop this far above the sheet (mm).
pub(super) const APPROACH: f64 = 2.0;

/// A tab's flank on which the cutter rises (height over length): this, or as steep as the tool may go down.
pub(super) const RISE: f64 = 0.5;

/// The same where a corner that must be square lies so near that it would be on the flank: nearly upright.
const STEEPEST: f64 = 500.0;

/// This much at the end of a stretch is not taken to be on it (mm).
const END: f64 = 1e-4;

/// A cut around an outline, from one height to another.
pub(super) struct Around<'a> {
    pub track: &'a Track,
    /// The outline that the cutter must not go over, however it comes to the track.
    pub wall: &'a Outline,
    pub leads: Leads,
    /// Height from which it goes down, 0 or below where that is cut already; and the height it goes down to.
    pub from: f64,
    pub to: f64,
    /// Passes of equal depth.
    pub passes: usize,
    pub tabs: &'a [Stay],
    /// Feed along the track.
    pub feed: f64,
    /// No later cut goes over the same: it leaves nothing.
    pub last: bool,
}

/// A stretch over which the cutter stays up: a tab.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stay {
    /// Distances along the track; over its end where `to` is past its length.
    pub from: f64,
    pub to: f64,
    /// How high the cutter stays there.
    pub top: f64,
}

impl Around<'_> {
    /// The variants of it, from different places: each begins and ends with a rapid move at the clear height.
    pub fn variants(&self, cutter: &CutterAt) -> Vec<Vec<Move>> {
        let step = (self.from - self.to) / self.passes as f64;
        let out = if self.leads.off > 0.0 { cutter.radius() } else { 0.0 };
        let ramp = (step / cutter.slope()).max(cutter.radius());
        let fit = |zones: &[(f64, f64)]| ramp.min(zones.iter().map(|(a, b)| b - a).fold(0.0, f64::max) - out);
        let mut zones = self.zones(self.track.runs(), cutter);
        let mut reach = fit(&zones);
        if reach < cutter.radius() {
            // Round an opening there is nothing straight: its leads are short enough to stay inside of the curve.
            let Some(most) = self.most_inside() else { return self.spirals(cutter) };
            zones = self.zones(self.track.segments(), cutter);
            reach = fit(&zones).min(most);
            if reach < cutter.radius() || most < out {
                return self.spirals(cutter);
            }
        }
        let lead = Approach { zones: &zones, reach, out, step };
        lead.firsts().into_iter().map(|first| self.touching(first, &lead, cutter)).collect()
    }

    /// Down and round, the cutter first touching the track at `first`.
    fn touching(&self, first: f64, lead: &Approach, cutter: &CutterAt) -> Vec<Move> {
        let length = self.track.length();
        let overlap = cutter.radius() / 2.0;
        let mut touch = first;
        let mut z = self.from;
        let entry = self.leads.onto(self.track, touch, lead.reach).start;
        let mut moves = entered(entry, z, cutter);
        for pass in 1..=self.passes {
            let onto = self.leads.onto(self.track, touch, lead.reach);
            ramp(&onto, &mut z, self.from - lead.step * pass as f64, cutter, &mut moves);
            // Round to where the next pass can begin, or the lead-out; a little further than one turn.
            let last = pass == self.passes;
            let need = if last { lead.out } else { lead.out + lead.reach };
            let end = lead.next(touch + length + overlap, need, length);
            moves.extend(self.lap(touch, end, z, cutter));
            if lead.out > 0.0 {
                moves.push(Move::along(&self.leads.off(self.track, end, lead.out), z, self.feed));
            }
            touch = end + lead.out + lead.reach;
        }
        left(&mut moves, cutter);
        self.down_behind_tabs(cutter, &mut moves);
        moves
    }

    /// Along the track at one height, over the tabs.
    fn lap(&self, from: f64, to: f64, z: f64, cutter: &CutterAt) -> Vec<Move> {
        self.over_tabs(Heights(vec![(from, z), (to, z)]), cutter)
            .moves(self.track, |drop| if drop < 0.0 { cutter.feeds.ramp } else { self.feed })
    }

    fn over_tabs(&self, mut heights: Heights, cutter: &CutterAt) -> Heights {
        let length = self.track.length();
        let (Some((from, _)), Some((to, _))) = (heights.0.first().copied(), heights.0.last().copied()) else {
            return heights;
        };
        for tab in self.tabs {
            // The same tab comes by once in every turn.
            let mut turn = ((from - tab.to) / length).floor() * length;
            while tab.from + turn < to {
                let (rise, fall) = (self.rise(tab, cutter), cutter.slope());
                heights = heights.raised(tab.from + turn, tab.to + turn, tab.top, rise, fall);
                turn += length;
            }
        }
        heights
    }

    /// How far along the tangent a lead may begin that stays inside of a track which bends towards the waste everywhere: its
    /// arc is no wider than the narrowest of the track's. `None` where the track has a straight run, or one that bends away.
    fn most_inside(&self) -> Option<f64> {
        /// Not to the very edge of the curve.
        const SHORT: f64 = 0.95;
        let off = self.leads.off;
        let bends_in = |segment: &Segment| segment.is_arc() && (segment.bulge > 0.0) == self.leads.waste_left;
        let round = off > 0.0 && self.track.segments().all(|(_, segment)| bends_in(segment));
        let narrowest = self.track.segments().map(|(_, segment)| segment.radius()).fold(f64::INFINITY, f64::min);
        (round && narrowest > off).then(|| SHORT * (off * (2.0 * narrowest - off)).sqrt())
    }

    /// Stretches of some of the track's segments where a lead fits: clear of the tabs, and of the wall on the other side.
    fn zones<'t>(&self, segments: impl Iterator<Item = (f64, &'t Segment)>, cutter: &CutterAt) -> Vec<(f64, f64)> {
        let length = self.track.length();
        let taken = self.tabs.iter().flat_map(|tab| {
            let up = self.up(tab);
            // A cutter that comes straight down below the top of a tab must not meet its flanks.
            let beside = if self.from < tab.top { cutter.radius() } else { 0.0 };
            let span = (tab.from - up / RISE.max(cutter.slope()) - beside, tab.to + up / cutter.slope() + beside);
            [-length, 0.0, length].map(|turn| (span.0 + turn, span.1 + turn))
        });
        let taken: Vec<(f64, f64)> = taken.collect();
        let mut zones = Vec::new();
        for (start, segment) in segments {
            // Its very ends belong to its neighbours, which may go in another direction.
            let mut free = vec![(start + END, start + segment.length() - END)];
            for (from, to) in &taken {
                free = free
                    .into_iter()
                    .flat_map(|(a, b)| if *to <= a || *from >= b { vec![(a, b)] } else { vec![(a, *from), (*to, b)] })
                    .collect();
            }
            zones.extend(free.into_iter().filter(|(a, b)| *b - *a > cutter.radius() && self.is_open(*a, *b, cutter)));
        }
        zones
    }

    /// Does a lead beside this stretch stay away from the wall, also where that comes back on the other side?
    fn is_open(&self, from: f64, to: f64, cutter: &CutterAt) -> bool {
        if self.leads.off <= 0.0 {
            return true;
        }
        let steps = ((to - from) / cutter.radius()).ceil().max(1.0);
        (0..=steps as u32).all(|i| {
            let s = from + 1e-6 + (to - from - 2e-6) * f64::from(i) / steps;
            let beside = self.leads.off(self.track, s, 1e-3).end;
            self.wall.distance(beside) >= cutter.radius() - 1e-6
        })
    }

    /// Without a straight stretch to come in on: a ramp down along the track to each pass, then a whole turn.
    fn spirals(&self, cutter: &CutterAt) -> Vec<Vec<Move>> {
        // Below the tops of tabs it goes down beside them only: what is cut there already has their flanks.
        let from = self.tabs.iter().map(|tab| tab.top).fold(self.from, f64::max);
        let step = (from - self.to) / self.passes as f64;
        let starts: Vec<f64> = self.track.segments().map(|(start, segment)| start + segment.length() / 4.0).collect();
        let every = starts.len().div_ceil(4).max(1);
        starts
            .into_iter()
            .step_by(every)
            .map(|start| {
                let heights = spiral(self.track.length(), from, step, self.passes, cutter.slope(), start);
                let heights = self.over_tabs(heights, cutter);
                let mut moves = entered(self.track.at(start), from, cutter);
                moves.extend(heights.moves(self.track, |drop| if drop < 0.0 { cutter.feeds.ramp } else { self.feed }));
                left(&mut moves, cutter);
                self.down_behind_tabs(cutter, &mut moves);
                moves
            })
            .collect()
    }

    /// How high the cutter goes over the bottom at a tab.
    fn up(&self, tab: &Stay) -> f64 {
        (tab.top - self.to).max(0.0)
    }

    /// How steeply the cutter rises to a tab: a corner that must be square is cut to the bottom before.
    fn rise(&self, tab: &Stay, cutter: &CutterAt) -> f64 {
        let length = self.track.length();
        let room = self.track.spurs().map(|(_, end)| (tab.from - end).rem_euclid(length)).fold(f64::INFINITY, f64::min);
        (self.up(tab) / room).clamp(RISE.max(cutter.slope()), STEEPEST)
    }

    /// Down behind each tab, where the ramp down from it was too long: past a corner that must be square, into the next tab, or
    /// further than anybody saws off. The cutter can go down no steeper, so it goes to and fro there until it is down.
    fn down_behind_tabs(&self, cutter: &CutterAt, moves: &mut Vec<Move>) {
        /// A flank no longer than this is left as it is (mm).
        const SHORT: f64 = 25.0;
        /// To and fro over this many diameters of the cutter.
        const STROKE: f64 = 1.5;
        if !self.last {
            return;
        }
        let length = self.track.length();
        for (i, tab) in self.tabs.iter().enumerate() {
            let (fall, b) = (self.up(tab) / cutter.slope(), tab.to);
            let behind = |s: f64| (s - b).rem_euclid(length);
            // As far as the next tab, and no further than the flank goes.
            let others = self.tabs.iter().enumerate().filter(|(k, _)| *k != i);
            let room = others.map(|(_, other)| behind(other.from)).fold(fall + cutter.radius(), f64::min).min(length);
            let inside = self.tabs.iter().any(|it| behind(it.from) > behind(it.to) + 1e-6 && behind(it.to) > 1e-6);
            let corner =
                self.track.spurs().any(|(from, to)| behind(from) < fall && behind(from) + to - from <= room + 1e-6);
            let long = fall > SHORT.min(room);
            if fall <= 0.0 || inside || !(corner || long) || room < cutter.radius() / 4.0 {
                continue;
            }
            // What the strokes leave of the flank is cut in one pass; where that is too deep, they go over all of it.
            let up = self.up(tab);
            let whole = corner || up > cutter.pass();
            let stroke = if whole { room } else { room.min(STROKE * cutter.diameter()) };
            let there = self.track.between(b, b + stroke);
            let back: Vec<Segment> = there.iter().rev().map(Segment::reversed).collect();
            // An even number of strokes: they end where they began.
            let pairs = (fall / (2.0 * stroke)).max(up / cutter.pass()).ceil().max(1.0);
            let steepness = up / (2.0 * pairs * stroke);
            let mut z = tab.top;
            moves.extend(entered(self.track.at(b), z, cutter));
            for step in 0..2 * pairs as u32 {
                for piece in if step % 2 == 0 { &there } else { &back } {
                    z -= piece.length() * steepness;
                    moves.push(Move::along(piece, z.max(self.to), cutter.feeds.ramp));
                }
            }
            let rest = self.track.between(b, b + room);
            moves.extend(rest.iter().map(|piece| Move::along(piece, self.to, self.feed)));
            left(moves, cutter);
        }
    }
}

/// Where passes may begin and end.
struct Approach<'a> {
    zones: &'a [(f64, f64)],
    /// How far before its touch a lead-in begins, and how long a lead-out is.
    reach: f64,
    out: f64,
    /// Depth of one pass.
    step: f64,
}

impl Approach<'_> {
    /// Where the first pass may touch the track: a few places on each of the longest zones.
    fn firsts(&self) -> Vec<f64> {
        const MOST_ZONES: usize = 8;
        /// Places on one zone: about this far apart (mm), and no more steps than this.
        const EVERY: f64 = 60.0;
        const MOST_STEPS: f64 = 3.0;
        let mut zones: Vec<(f64, f64)> = self.zones.iter().copied().filter(|(a, b)| b - a >= self.reach).collect();
        zones.sort_by(|x, y| (y.1 - y.0).total_cmp(&(x.1 - x.0)));
        zones.truncate(MOST_ZONES);
        let mut firsts = Vec::new();
        for (a, b) in zones {
            // From end to end, not too many.
            let (from, to) = (a + self.reach, (b - self.out).max(a + self.reach));
            let steps = ((to - from) / EVERY).ceil().min(MOST_STEPS);
            firsts.extend((0..=steps as u32).map(|i| from + (to - from) * f64::from(i) / steps.max(1.0)));
        }
        firsts
    }

    /// The first place at or after `s` from which `need` more lies in one zone.
    fn next(&self, s: f64, need: f64, length: f64) -> f64 {
        let mut best = f64::INFINITY;
        for (a, b) in self.zones.iter().filter(|(a, b)| b - a >= need - 1e-9) {
            // The zone of the turn in which `s` lies, and of the next.
            let turn = ((s - b) / length).floor();
            for turn in [turn, turn + 1.0, turn + 2.0] {
                let (a, b) = (a + turn * length, b + turn * length);
                let from = s.max(a);
                if from + need <= b + 1e-9 {
                    best = best.min(from);
                }
            }
        }
        if best.is_finite() { best } else { s }
    }
}

/// Heights for going round and round: a ramp down to each pass, then a whole turn at its depth.
pub(super) fn spiral(length: f64, from: f64, step: f64, passes: usize, slope: f64, start: f64) -> Heights {
    let ramp = step / slope;
    let mut s = start;
    let mut heights = vec![(s, from)];
    for pass in 1..=passes {
        let z = from - step * pass as f64;
        s += ramp;
        heights.push((s, z));
        s += length;
        heights.push((s, z));
    }
    Heights(heights)
}

/// Above a place, and down to a height at which there is no wood yet.
pub(super) fn entered(at: crate::geometry::Point, z: f64, cutter: &CutterAt) -> Vec<Move> {
    vec![
        Move::Rapid(Space::new(at, cutter.clear)),
        Move::Rapid(Space::new(at, APPROACH)),
        Move::Line { to: Space::new(at, z), feed: cutter.feeds.plunge },
    ]
}

/// Straight up from where the moves end.
pub(super) fn left(moves: &mut Vec<Move>, cutter: &CutterAt) {
    if let Some(end) = moves.last().map(Move::end) {
        moves.push(Move::Rapid(Space { z: cutter.clear, ..end }));
    }
}

/// Down along a segment, to and fro as often as the tool's angle wants it, ending at its end.
fn ramp(onto: &Segment, z: &mut f64, to: f64, cutter: &CutterAt, moves: &mut Vec<Move>) {
    /// To and fro the cutter stays this share of the lead away from the track.
    const SHORT: f64 = 0.6;
    let drop = *z - to;
    let feed = if drop > 0.0 { cutter.feeds.ramp } else { cutter.feeds.cut };
    let length = onto.length();
    let pairs = ((drop / cutter.slope() - length) / (2.0 * SHORT * length)).ceil().max(0.0);
    let slope = drop / (length * (1.0 + 2.0 * SHORT * pairs));
    let there = onto.between(0.0, SHORT);
    for _ in 0..pairs as u32 {
        for piece in [there, there.reversed()] {
            *z -= slope * length * SHORT;
            moves.push(Move::along(&piece, *z, feed));
        }
    }
    *z = to;
    moves.push(Move::along(onto, to, feed));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    #[test]
    fn a_short_lead_is_gone_to_and_fro_no_steeper_than_the_tool_may() {
        let profiles = crate::profile::Profiles::built_in();
        let tool = profiles.find::<crate::profile::Tool>("endmill-6").expect("built in");
        let feeds = super::super::Feeds { speed: 16000.0, cut: 5000.0, side: 5000.0, ramp: 2500.0, plunge: 1000.0 };
        let cutting = crate::job::Cutting::default();
        let cutter = CutterAt { tool: &tool, feeds, clear: 6.0, digit: 0.001, cutting: &cutting };
        let onto = Segment { start: Point::new(0.0, 1.0), end: Point::new(10.0, 0.0), bulge: 0.0 };
        let mut moves = Vec::new();
        let mut z = 0.0;
        ramp(&onto, &mut z, -6.0, &cutter, &mut moves);
        let mut at = Space::new(onto.start, 0.0);
        for step in &moves {
            let flat = at.flat().distance(step.end().flat());
            assert!((at.z - step.end().z) / flat <= cutter.slope() + 1e-9, "too steep");
            at = step.end();
        }
        assert_eq!(at, Space::new(onto.end, -6.0));
        assert!(moves.len() > 1);
    }
}
