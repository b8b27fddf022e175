//! Once around the outside of a part, down through the sheet, leaving tabs.

use super::CutterAt;
use super::moves::{Move, Space};
use super::tabs::{self, TAB_HEIGHT, TAB_WIDTH};
use super::track::{Heights, Track};
use crate::geometry::{Outline, offset};

/// Cuts around `outline` with the cutter outside it, clockwise (climb cutting for a right-hand cutter).
///
/// Each pass ramps down along the path and then goes once round, so the ramp itself is cut away. `None` when the cutter
/// cannot get round.
pub(super) fn moves(outline: &Outline, thickness: f64, depth: f64, cutter: &CutterAt) -> Option<Vec<Move>> {
    let diameter = cutter.tool.diameter.value;
    let path = offset(outline, diameter / 2.0).into_iter().max_by(|a, b| a.area().total_cmp(&b.area()))?;
    let track = Track::new(&path.reversed());
    let slope = cutter.tool.ramp_angle.value.to_radians().tan();
    let heights = spiral(&track, depth, cutter.tool.pass_depth.value * diameter, slope, start(&track));

    let tab_top = -thickness + TAB_HEIGHT.min(thickness / 2.0);
    let mut held = heights;
    let last = held.0.last().map_or(0.0, |(s, _)| *s);
    for (from, to) in tabs::places(&track, diameter, TAB_WIDTH) {
        // The same place comes by once in every turn.
        let mut turn = 0.0;
        while from + turn < last {
            held = held.raised(from + turn, to + turn, tab_top, slope);
            turn += track.length();
        }
        held = held.raised(from - track.length(), to - track.length(), tab_top, slope);
    }
    Some(entered(&held, &track, cutter))
}

/// Heights for going round and round to `depth`: a ramp down to each pass, then the whole way round at its depth.
pub(super) fn spiral(track: &Track, depth: f64, pass: f64, slope: f64, start: f64) -> Heights {
    let passes = (depth / pass - 1e-6).ceil().max(1.0);
    let step = depth / passes;
    let ramp = step / slope;
    let mut s = start;
    let mut heights = vec![(s, 0.0)];
    for pass in 1..=passes as usize {
        s += ramp;
        heights.push((s, -step * pass as f64));
        s += track.length();
        heights.push((s, -step * pass as f64));
    }
    Heights(heights)
}

/// The moves along the heights, with the way in and out.
pub(super) fn entered(heights: &Heights, track: &Track, cutter: &CutterAt) -> Vec<Move> {
    let feeds = cutter.feeds;
    let Some((start, _)) = heights.0.first() else { return Vec::new() };
    let entry = track.at(*start);
    let mut moves = vec![
        Move::Rapid(Space::new(entry, cutter.clear)),
        Move::Rapid(Space::new(entry, APPROACH)),
        Move::Line { to: Space::new(entry, 0.0), feed: feeds.plunge },
    ];
    moves.extend(heights.moves(track, |drop| if drop < 0.0 { feeds.ramp } else { feeds.cut }));
    if let Some(end) = moves.last().map(Move::end) {
        moves.push(Move::Rapid(Space { z: cutter.clear, ..end }));
    }
    moves
}

/// Rapid moves stop this far above the sheet (mm).
pub(super) const APPROACH: f64 = 1.0;

/// Where to go in: on the longest straight run, a quarter of the way along, clear of the corners and of the tab in its
/// middle.
fn start(track: &Track) -> f64 {
    track
        .segments()
        .filter(|(_, segment)| !segment.is_arc())
        .max_by(|a, b| a.1.length().total_cmp(&b.1.length()))
        .map_or(0.0, |(start, segment)| start + segment.length() / 4.0)
}
