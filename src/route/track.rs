//! A closed path that a cutter's centre follows, measured along its way.

use super::moves::{Move, Space};
use crate::geometry::{Outline, Point, Segment};

/// A closed path with distances along it, starting at `s` = 0 and ending there again at `s` = [`Track::length`].
#[derive(Clone, Debug)]
pub struct Track {
    segments: Vec<Segment>,
    /// Where each segment starts.
    starts: Vec<f64>,
    length: f64,
}

impl Track {
    pub fn new(outline: &Outline) -> Track {
        let segments: Vec<Segment> = outline.segments().filter(|segment| segment.length() > 1e-9).collect();
        let mut starts = Vec::with_capacity(segments.len());
        let mut length = 0.0;
        for segment in &segments {
            starts.push(length);
            length += segment.length();
        }
        Track { segments, starts, length }
    }

    pub fn length(&self) -> f64 {
        self.length
    }

    /// The segments with where they start.
    pub fn segments(&self) -> impl Iterator<Item = (f64, &Segment)> {
        self.starts.iter().copied().zip(&self.segments)
    }

    /// Index of the segment at `s`, which may be any distance, also past the end.
    fn find(&self, s: f64) -> (usize, f64) {
        let s = s.rem_euclid(self.length);
        let index = self.starts.partition_point(|start| *start <= s).saturating_sub(1);
        (index, s - self.starts[index])
    }

    pub fn at(&self, s: f64) -> Point {
        let (index, over) = self.find(s);
        let segment = &self.segments[index];
        segment.at((over / segment.length()).min(1.0))
    }

    /// The pieces of segments between two distances, `from` < `to`; `to` may be past the end, more than once.
    pub fn between(&self, from: f64, to: f64) -> Vec<Segment> {
        /// Pieces shorter than this are dropped (mm): no machine can show them.
        const DUST: f64 = 1e-6;
        let mut pieces = Vec::new();
        let mut at = from;
        let (mut index, mut over) = self.find(from);
        while at < to - DUST {
            let segment = &self.segments[index];
            let length = segment.length();
            let end = (over + to - at).min(length);
            if end - over > DUST {
                pieces.push(segment.between(over / length, end / length));
            }
            at += end - over;
            over = 0.0;
            index = (index + 1) % self.segments.len();
        }
        pieces
    }
}

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

    /// The higher of this and a bump that rises straight up to `top` at `from`, stays until `to`, and comes down with
    /// `slope` (height over distance).
    pub fn raised(&self, from: f64, to: f64, top: f64, slope: f64) -> Heights {
        let (Some(first), Some(last)) = (self.0.first(), self.0.last()) else { return self.clone() };
        let (start, end) = (from.max(first.0), last.0);
        let bump = |s: f64| if s <= to { top } else { top - (s - to) * slope };
        if start >= end || self.0.iter().all(|(_, z)| *z >= top) {
            return self.clone();
        }
        // Every place from there on where either line has a corner, or where the two cross.
        let mut places: Vec<f64> = self.0.iter().map(|(s, _)| *s).filter(|s| *s > start).collect();
        places.extend([start, to].into_iter().filter(|s| *s >= start && *s <= end));
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
    fn a_track_can_be_cut_anywhere_and_keeps_its_length() {
        let track = Track::new(&Outline::slot(Point::ORIGIN, 100.0, 20.0));
        let whole: f64 = track.between(13.0, 13.0 + track.length()).iter().map(Segment::length).sum();
        assert!((whole - track.length()).abs() < 1e-5);
        let twice: f64 = track.between(50.0, 50.0 + 2.0 * track.length()).iter().map(Segment::length).sum();
        assert!((twice - 2.0 * track.length()).abs() < 1e-5);
    }

    #[test]
    fn bumps_leave_the_line_between_them_alone() {
        let flat = Heights(vec![(0.0, -10.0), (100.0, -10.0)]);
        let raised = flat.raised(20.0, 30.0, -6.0, 0.5).raised(60.0, 70.0, -6.0, 0.5).raised(0.0, 5.0, -6.0, 0.5);
        for (s, z) in [(15.0, -10.0), (25.0, -6.0), (50.0, -10.0), (65.0, -6.0), (90.0, -10.0), (3.0, -6.0)] {
            assert!((raised.at(s).1 - z).abs() < 1e-9, "{s}: {:?}", raised.at(s));
        }
    }

    #[test]
    fn a_bump_rises_straight_and_comes_down_on_its_slope() {
        let flat = Heights(vec![(0.0, -10.0), (100.0, -10.0)]);
        let raised = flat.raised(20.0, 30.0, -6.0, 0.5);
        let expected = [(0.0, -10.0), (20.0, -10.0), (20.0, -6.0), (30.0, -6.0), (38.0, -10.0), (100.0, -10.0)];
        assert_eq!(raised.0.len(), expected.len());
        for ((s, z), (es, ez)) in raised.0.into_iter().zip(expected) {
            assert!((s - es).abs() < 1e-6 && (z - ez).abs() < 1e-6, "{s} {z}");
        }
    }
}
