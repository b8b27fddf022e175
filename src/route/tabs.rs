//! Where tabs hold a part.

use super::track::Track;

/// Height of a tab above the sheet's lower face (mm), where the stock is thick enough.
pub const TAB_HEIGHT: f64 = 3.0;
/// Width of a tab along the outline (mm).
pub const TAB_WIDTH: f64 = 6.0;

/// At least this many tabs to a part, and one for each such length of its outline (mm).
const LEAST: usize = 2;
const EVERY: f64 = 400.0;

/// The stretches of the track, as distances, over which the cutter is raised for tabs of `width` in the wood.
///
/// Tabs sit on straight runs, as evenly as the runs allow, with room on both sides. A track without a straight run that
/// is long enough gets the best that its shape has.
pub(super) fn places(track: &Track, diameter: f64, width: f64) -> Vec<(f64, f64)> {
    let half = (width + diameter) / 2.0;
    let room = half + diameter;
    let count = LEAST.max((track.length() / EVERY).ceil() as usize);
    let runs: Vec<(f64, f64)> = track
        .segments()
        .filter(|(_, segment)| !segment.is_arc())
        .map(|(start, segment)| (start + room, start + segment.length() - room))
        .filter(|(from, to)| to >= from)
        .collect();
    let Some(longest) = runs.iter().copied().max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))) else {
        return (0..LEAST)
            .map(|i| (i as f64 + 0.5) * track.length() / LEAST as f64)
            .map(|s| (s - half, s + half))
            .collect();
    };
    // From the middle of the longest run on: two tabs then stand opposite each other.
    let first = f64::midpoint(longest.0, longest.1);
    let mut centres: Vec<f64> = (0..count)
        .map(|i| (first + track.length() * i as f64 / count as f64).rem_euclid(track.length()))
        .map(|wanted| nearest_on(&runs, wanted, track.length()))
        .collect();
    centres.sort_by(f64::total_cmp);
    centres.dedup_by(|b, a| *b - *a < 2.0 * room);
    centres.into_iter().map(|s| (s - half, s + half)).collect()
}

/// The place on one of the runs that is nearest to `wanted`, going round either way.
fn nearest_on(runs: &[(f64, f64)], wanted: f64, length: f64) -> f64 {
    let way = |s: f64| {
        let d = (s - wanted).abs();
        d.min(length - d)
    };
    runs.iter()
        .map(|(from, to)| {
            if (*from..=*to).contains(&wanted) {
                wanted
            } else if way(*from) < way(*to) {
                *from
            } else {
                *to
            }
        })
        .min_by(|a, b| way(*a).total_cmp(&way(*b)))
        .unwrap_or(wanted)
}
