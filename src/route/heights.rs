//! Heights along a track: how deep the cutter is at each place.

use super::moves::{Move, Space};
use super::track::Track;
use crate::geometry::Segment;

/// Heights along a track: straight between corners, which are sorted by distance; two corners at one distance are a
/// step straight up or down.
#[derive(Clone, Debug, Default)]
pub struct Heights(pub Vec<(f64, f64)>);

impl Heights {
    /// Height just before and just after a distance; they differ at a step.
    fn at(&self, s: f64) -> (f64, f64) {
        let corners = &self.0;
        let between = |i: usize| {
            let ((s0, z0), (s1, z1)) = (corners[i - 1], corners[i]);
            z0 + (z1 - z0) * (s - s0) / (s1 - s0)
        };
        let (first, last) = (corners.partition_point(|(at, _)| *at < s), corners.partition_point(|(at, _)| *at <= s));
        let end = corners.len();
        let before = if first == 0 {
            corners[0].1
        } else if first == end {
            corners[end - 1].1
        } else {
            between(first)
        };
        let after = if last == end {
            corners[end - 1].1
        } else if last == 0 {
            corners[0].1
        } else {
            between(last)
        };
        (before, after)
    }

    /// The higher of this and a bump that is `top` high between `from` and `to`; it rises and falls with these slopes
    /// (height over distance).
    pub fn raised(&self, from: f64, to: f64, top: f64, rise: f64, fall: f64) -> Heights {
        let (Some(first), Some(last)) = (self.0.first(), self.0.last()) else { return self.clone() };
        let lowest = self.0.iter().map(|(_, z)| *z).fold(f64::INFINITY, f64::min);
        let (start, end) = ((from - (top - lowest) / rise).max(first.0), last.0);
        let bump = |s: f64| (top - (from - s).max(0.0) * rise).min(top - (s - to).max(0.0) * fall);
        if start >= end || self.0.iter().all(|(_, z)| *z >= top) {
            return self.clone();
        }
        // Every place from there on where either line has a corner, or where the two cross.
        let mut places: Vec<f64> = self.0.iter().map(|(s, _)| *s).filter(|s| *s > start).collect();
        places.extend([start, from, to].into_iter().filter(|s| *s >= start && *s <= end));
        places.sort_by(f64::total_cmp);
        places.dedup();
        let crossings: Vec<f64> = places
            .windows(2)
            .filter_map(|pair| {
                let (a, b) = (pair[0], pair[1]);
                let (da, db) = (bump(a) - self.at(a).1, bump(b) - self.at(b).0);
                ((da > 0.0) != (db > 0.0)).then(|| a + (b - a) * da / (da - db))
            })
            .collect();
        places.extend(crossings);
        places.sort_by(f64::total_cmp);
        let mut heights: Vec<(f64, f64)> = self.0.iter().copied().filter(|(s, _)| *s < start).collect();
        for s in places {
            let (before, after) = self.at(s);
            let risen = if s > start { bump(s) } else { f64::NEG_INFINITY };
            heights.push((s, before.max(risen)));
            heights.push((s, after.max(bump(s))));
        }
        heights.dedup_by(|b, a| (a.0 - b.0).abs() < 1e-7 && (a.1 - b.1).abs() < 1e-7);
        Heights(heights).without_idle_corners()
    }

    /// Drops corners at which the line does not bend.
    fn without_idle_corners(mut self) -> Heights {
        let mut i = 1;
        while i + 1 < self.0.len() {
            let ((s0, z0), (s1, z1), (s2, z2)) = (self.0[i - 1], self.0[i], self.0[i + 1]);
            let straight = (s2 - s0).abs() > 1e-9
                && (s1 - s0).abs() > 1e-9
                && (s2 - s1).abs() > 1e-9
                && (z0 + (z2 - z0) * (s1 - s0) / (s2 - s0) - z1).abs() < 1e-7;
            if straight {
                self.0.remove(i);
            } else {
                i += 1;
            }
        }
        self
    }

    /// The moves that follow the track at these heights.
    pub fn moves(&self, track: &Track, feed: impl Fn(f64) -> f64) -> Vec<Move> {
        let mut moves = Vec::new();
        for pair in self.0.windows(2) {
            let ((s0, z0), (s1, z1)) = (pair[0], pair[1]);
            let feed = feed(z1 - z0);
            let pieces = track.between(s0, s1);
            if pieces.is_empty() {
                if (z1 - z0).abs() > 1e-9 {
                    moves.push(Move::Line { to: Space::new(track.at(s1), z1), feed });
                }
                continue;
            }
            let total: f64 = pieces.iter().map(Segment::length).sum();
            let mut gone = 0.0;
            for piece in &pieces {
                gone += piece.length();
                moves.push(Move::along(piece, z0 + (z1 - z0) * gone / total, feed));
            }
        }
        moves
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bumps_leave_the_line_between_them_alone() {
        let flat = Heights(vec![(0.0, -10.0), (100.0, -10.0)]);
        let raised = flat.raised(20.0, 30.0, -6.0, 1.0, 0.5).raised(60.0, 70.0, -6.0, 1.0, 0.5);
        for (s, z) in [(15.0, -10.0), (18.0, -8.0), (25.0, -6.0), (50.0, -10.0), (65.0, -6.0), (90.0, -10.0)] {
            assert!((raised.at(s).1 - z).abs() < 1e-9, "{s}: {:?}", raised.at(s));
        }
    }

    #[test]
    fn a_bump_rises_and_comes_down_on_its_slopes() {
        let flat = Heights(vec![(0.0, -10.0), (100.0, -10.0)]);
        let raised = flat.raised(20.0, 30.0, -6.0, 1.0, 0.5);
        let expected = [(0.0, -10.0), (16.0, -10.0), (20.0, -6.0), (30.0, -6.0), (38.0, -10.0), (100.0, -10.0)];
        assert_eq!(raised.0.len(), expected.len(), "{raised:?}");
        for ((s, z), (es, ez)) in raised.0.into_iter().zip(expected) {
            assert!((s - es).abs() < 1e-6 && (z - ez).abs() < 1e-6, "{s} {z}");
        }
    }

    #[test]
    fn a_bump_over_a_ramp_leaves_what_is_higher() {
        let ramp = Heights(vec![(0.0, 0.0), (50.0, -10.0), (100.0, -10.0)]);
        let raised = ramp.raised(20.0, 30.0, -5.0, 1.0, 0.5);
        for (s, z) in [(10.0, -2.0), (24.0, -4.8), (28.0, -5.0), (29.9, -5.0), (34.0, -6.8), (60.0, -10.0)] {
            assert!((raised.at(s).1 - z).abs() < 1e-6, "{s}: {:?}", raised.at(s));
        }
    }
}
