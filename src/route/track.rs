//! A closed path that a cutter's centre follows, measured along its length.

use crate::geometry::math::tan;
use crate::geometry::{Outline, Point, Segment, Vec2};

/// A closed path with distances along it, starting at `s` = 0 and ending there again at `s` = [`Track::length`].
#[derive(Clone, Debug)]
pub struct Track {
    segments: Vec<Segment>,
    /// Where each segment starts.
    starts: Vec<f64>,
    length: f64,
    /// Ends of the spurs off it.
    tips: Vec<Point>,
}

/// A spur of a track: from one of its corners out into a corner of the wood, and back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spur {
    /// The corner of the outline.
    pub corner: Point,
    pub foot: Point,
    /// Between foot and tip, where that is no straight line: a track that lies further from the walls first goes up to
    /// them.
    pub by: Option<Point>,
    pub tip: Point,
}

impl Track {
    /// The outline as a track; pieces that go on straight, or round the same circle, are one.
    pub fn new(outline: &Outline) -> Track {
        Track::of(outline.segments().filter(|segment| segment.length() > 1e-6).collect(), Vec::new())
    }

    fn of(segments: Vec<Segment>, tips: Vec<Point>) -> Track {
        let segments = merged(segments);
        let mut starts = Vec::with_capacity(segments.len());
        let mut length = 0.0;
        for segment in &segments {
            starts.push(length);
            length += segment.length();
        }
        Track { segments, starts, length, tips }
    }

    /// The track with its spurs, each out and back, from where the track has its corner to the spur's tip.
    ///
    /// `None` when the track has no corner there: the cutter does not get into it.
    pub fn with_spurs(&self, spurs: &[Spur]) -> Option<Track> {
        /// A corner this near is the corner meant (mm).
        const NEAR: f64 = 0.01;
        let mut found = 0;
        let mut segments = Vec::with_capacity(self.segments.len() + 2 * spurs.len());
        for segment in &self.segments {
            segments.push(*segment);
            if let Some(spur) = spurs.iter().find(|spur| spur.foot.distance(segment.end) < NEAR) {
                let straight = |start, end| Segment { start, end, bulge: 0.0 };
                let bend = spur.by.unwrap_or(segment.end);
                let (to, out) = (straight(segment.end, bend), straight(bend, spur.tip));
                segments.extend(spur.by.map(|_| to));
                segments.extend([out, out.reversed()]);
                segments.extend(spur.by.map(|_| to.reversed()));
                found += 1;
            }
        }
        let tips = self.tips.iter().copied().chain(spurs.iter().map(|spur| spur.tip)).collect();
        (found == spurs.len()).then(|| Track::of(segments, tips))
    }

    pub fn reversed(&self) -> Track {
        Track::of(self.segments.iter().rev().map(Segment::reversed).collect(), self.tips.clone())
    }

    /// The place on the track that is nearest to a point.
    pub fn nearest(&self, point: Point) -> f64 {
        self.segments()
            .map(|(start, segment)| {
                let share = segment.nearest(point);
                (segment.at(share).distance(point), start + share * segment.length())
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(0.0, |(_, s)| s)
    }

    /// Unit vector along the track at `s`.
    pub fn direction(&self, s: f64) -> Vec2 {
        let (index, over) = self.find(s);
        let segment = &self.segments[index];
        segment.direction((over / segment.length()).min(1.0))
    }

    pub fn length(&self) -> f64 {
        self.length
    }

    /// The segments with where they start.
    pub fn segments(&self) -> impl Iterator<Item = (f64, &Segment)> {
        self.starts.iter().copied().zip(&self.segments)
    }

    /// The straight segments with where they start, without the spurs into corners.
    pub fn runs(&self) -> impl Iterator<Item = (f64, &Segment)> {
        self.segments().filter(|(_, segment)| !segment.is_arc() && !self.is_spur(segment))
    }

    /// The spurs into corners and back: where each begins and ends. One that goes straight on from the segment before is one
    /// with it.
    pub fn spurs(&self) -> impl Iterator<Item = (f64, f64)> {
        let next = self.segments.iter().cycle().skip(1);
        self.segments().zip(next).filter(|((_, out), _)| self.tips.iter().any(|tip| tip.distance(out.end) < 1e-6)).map(
            |((start, out), back)| {
                let (tip, long) = (start + out.length(), out.length().min(back.length()));
                (tip - long, tip + long)
            },
        )
    }

    /// Does the segment lead into a corner, or back?
    pub fn is_spur(&self, segment: &Segment) -> bool {
        self.tips.iter().any(|tip| tip.distance(segment.start) < 1e-6 || tip.distance(segment.end) < 1e-6)
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

/// Joins neighbours that go on straight, or round the same circle, also across the start.
fn merged(segments: Vec<Segment>) -> Vec<Segment> {
    let mut joined: Vec<Segment> = Vec::with_capacity(segments.len());
    for segment in segments {
        match joined.last().and_then(|last| join(last, &segment)) {
            Some(both) => {
                joined.pop();
                joined.push(both);
            }
            None => joined.push(segment),
        }
    }
    if let ([first, .., last], true) = (&joined[..], joined.len() > 2)
        && let Some(both) = join(last, first)
    {
        joined[0] = both;
        joined.pop();
    }
    joined
}

/// Two segments as one, where they are.
fn join(a: &Segment, b: &Segment) -> Option<Segment> {
    /// An arc never grows longer than this (radians): its two ends must stay well apart.
    const MOST: f64 = 1.5 * std::f64::consts::PI;
    /// Directions and centres that agree so well make one line or arc.
    const ALIKE: f64 = 1e-6;
    if a.end.distance(b.start) > ALIKE || (a.direction(1.0) - b.direction(0.0)).hypot() > ALIKE {
        return None;
    }
    match (a.centre(), b.centre()) {
        (None, None) => Some(Segment { start: a.start, end: b.end, bulge: 0.0 }),
        (Some(one), Some(other)) => {
            let sweep = a.sweep() + b.sweep();
            let same = one.distance(other) < ALIKE * a.radius().max(1.0) && a.bulge * b.bulge > 0.0;
            (same && sweep.abs() < MOST).then(|| Segment { start: a.start, end: b.end, bulge: tan(sweep / 4.0) })
        }
        _ => None,
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
    fn a_way_into_a_corner_is_told_from_the_way_to_it() {
        let track = Track::new(&Outline::rectangle(100.0, 50.0));
        let spur =
            |tip: (f64, f64)| Spur { corner: tip.into(), foot: Point::new(100.0, 0.0), by: None, tip: tip.into() };
        for tip in [(103.0, 0.0), (100.0, -3.0)] {
            let track = track.with_spurs(&[spur(tip)]).expect("a corner is there");
            for track in [track.reversed(), track] {
                let [(from, to)] = track.spurs().collect::<Vec<_>>()[..] else { panic!("one spur") };
                assert!((to - from - 6.0).abs() < 1e-9, "{from} to {to}");
                assert!(track.at(f64::midpoint(from, to)).distance(tip.into()) < 1e-9);
            }
        }
    }

    #[test]
    fn collinear_pieces_are_one_and_arcs_of_a_circle_too() {
        let split = Outline::polygon([
            (10.0, 0.0),
            (30.0, 0.0),
            (100.0, 0.0),
            (100.0, 50.0),
            (0.0, 50.0),
            (0.0, 20.0),
            (0.0, 0.0),
        ]);
        let track = Track::new(&split);
        assert_eq!(track.segments().count(), 4);
        assert!((track.length() - 300.0).abs() < 1e-9);
        // A circle in eight pieces: nothing may grow into a whole turn.
        let circle = Track::new(&Outline::circle(Point::ORIGIN, 20.0));
        let eighths: Vec<Segment> = (0..8)
            .flat_map(|i| {
                circle.between(circle.length() * f64::from(i) / 8.0, circle.length() * f64::from(i + 1) / 8.0)
            })
            .collect();
        let again = Track::of(eighths, Vec::new());
        assert_eq!(again.segments().count(), 2);
        assert!((again.length() - circle.length()).abs() < 1e-9);
    }

    #[test]
    fn a_spur_goes_out_and_back() {
        let track = Track::new(&Outline::rectangle(100.0, 50.0));
        let (tip, foot) = (Point::new(103.0, -3.0), Point::new(100.0, 0.0));
        let spur = Spur { corner: tip, foot, by: None, tip };
        let with = track.with_spurs(&[spur]).expect("there is a corner");
        assert!((with.length() - 300.0 - 2.0 * 18f64.sqrt()).abs() < 1e-9);
        assert!(track.with_spurs(&[Spur { foot: Point::new(50.0, 0.0), ..spur }]).is_none());
    }
}
