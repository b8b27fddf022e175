//! Grown outlines against two other polygon engines.

use geo::{Area, Buffer, Polygon};
use geo_booleanop::boolean::BooleanOp;
use nestwright::geometry::{FLATTEN, Outline, Point, offset, to_polygon};

// geo-booleanop works on an older geo-types, which it does not re-export under a name of its own.
type OldPolygon = geo_types_06::Polygon<f64>;

/// Shapes with inside corners: a wall with a notch, a finger-jointed edge, an L.
fn notched() -> Vec<Outline> {
    let fingers = {
        let mut points = vec![(0.0, 0.0), (200.0, 0.0)];
        for i in 0..5 {
            let y = 20.0 * f64::from(i);
            let depth = if i % 2 == 0 { 200.0 } else { 188.0 };
            points.extend([(depth, y), (depth, y + 20.0)]);
        }
        points.extend([(0.0, 100.0)]);
        points.dedup();
        Outline::polygon(points)
    };
    vec![
        Outline::polygon([
            (0.0, 0.0),
            (300.0, 0.0),
            (300.0, 200.0),
            (180.0, 200.0),
            (180.0, 150.0),
            (120.0, 150.0),
            (120.0, 200.0),
            (0.0, 200.0),
        ]),
        fingers,
        Outline::polygon([(0.0, 0.0), (150.0, 0.0), (150.0, 40.0), (60.0, 40.0), (60.0, 120.0), (0.0, 120.0)]),
    ]
}

/// Area of an outline grown by `r`, put together from the outline, a box along each side and a disc at each corner, by
/// geo-booleanop.
fn swept_area(outline: &Outline, r: f64) -> f64 {
    let old = |outline: &Outline| -> OldPolygon {
        let ring: Vec<(f64, f64)> = outline.flattened(FLATTEN).into_iter().map(|p| (p.x, p.y)).collect();
        OldPolygon::new(ring.into(), vec![])
    };
    let mut all = geo_types_06::MultiPolygon(vec![old(outline)]);
    for side in outline.segments() {
        let along = (side.end - side.start).normalize() * 1.0;
        let out = nestwright::geometry::Vec2::new(along.y, -along.x) * r;
        let corners = [side.start - out, side.end - out, side.end + out, side.start + out];
        all = all.union(&old(&Outline::polygon(corners.map(|p| (p.x, p.y)))));
        all = all.union(&old(&Outline::circle(side.start, 2.0 * r)));
    }
    all.0
        .iter()
        .map(|polygon| ring_area(polygon.exterior()) - polygon.interiors().iter().map(ring_area).sum::<f64>())
        .sum()
}

fn ring_area(ring: &geo_types_06::LineString<f64>) -> f64 {
    ring.lines().map(|line| (line.start.x * line.end.y - line.end.x * line.start.y) / 2.0).sum::<f64>().abs()
}

#[test]
fn notched_outlines_grow_as_geo_booleanop_says() {
    for outline in notched() {
        for r in [1.5, 3.0, 3.175] {
            let ours: f64 = offset(&outline, r).iter().map(Outline::area).sum();
            let theirs = swept_area(&outline, r);
            assert!((ours - theirs).abs() < 2e-4 * theirs, "{ours} for {theirs}");
        }
    }
}

#[test]
fn notched_outlines_grow_and_shrink_as_geo_s_buffer_says() {
    for outline in notched() {
        for r in [1.5, 3.0, 3.175] {
            for sign in [1.0, -1.0] {
                let ours: f64 = offset(&outline, sign * r).iter().map(Outline::area).sum();
                let theirs = to_polygon(&outline).buffer(sign * r).unsigned_area();
                // Its round corners are chords of a tenth of a radian or so.
                assert!((ours - theirs).abs() < 1e-3 * theirs, "{ours} for {theirs}");
            }
        }
    }
}

#[test]
fn a_notch_narrower_than_the_cutter_is_bridged() {
    let notch = Outline::polygon([
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 50.0),
        (52.0, 50.0),
        (52.0, 30.0),
        (48.0, 30.0),
        (48.0, 50.0),
        (0.0, 50.0),
    ]);
    let grown = offset(&notch, 3.0);
    assert_eq!(grown.len(), 1);
    assert!(grown[0].contains(Point::new(50.0, 51.0)), "the cutter does not go into the notch");
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(60))]
    /// Boards with notches of any width and depth in two edges, grown and shrunk.
    #[test]
    fn random_boards_with_notches_grow_as_geo_s_buffer_says(
        length in 150.0..600.0f64,
        width in 100.0..400.0f64,
        below in proptest::collection::vec((0.05..0.95f64, 0.02..0.3f64, 2.0..40.0f64), 0..4),
        above in proptest::collection::vec((0.05..0.95f64, 0.02..0.3f64, 2.0..40.0f64), 0..4),
        r in 0.5..9.0f64,
    ) {
        // Notches that would meet are left out.
        let edge = |mut notches: Vec<(f64, f64, f64)>| {
            notches.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut points: Vec<(f64, f64)> = Vec::new();
            let mut reached = 5.0;
            for (middle, share, depth) in notches {
                let (from, to) = ((middle - share / 2.0) * length, (middle + share / 2.0) * length);
                if from > reached && to < length - 5.0 {
                    points.extend([(from, 0.0), (from, depth), (to, depth), (to, 0.0)]);
                    reached = to + 5.0;
                }
            }
            points
        };
        let mut corners = vec![(0.0, 0.0)];
        corners.extend(edge(below));
        corners.extend([(length, 0.0), (length, width)]);
        corners.extend(edge(above).into_iter().rev().map(|(x, depth)| (x, width - depth)));
        corners.push((0.0, width));
        let outline = Outline::polygon(corners);
        for sign in [1.0, -1.0] {
            let buffered = to_polygon(&outline).buffer(sign * r);
            // What closes up inside a grown outline is left out, as the cutter does not get into it.
            let theirs: f64 = buffered.iter().map(|piece| Polygon::new(piece.exterior().clone(), vec![]).unsigned_area()).sum();
            let ours: f64 = offset(&outline, sign * r).iter().map(Outline::area).sum();
            proptest::prop_assert!((ours - theirs).abs() < 1e-3 * theirs + 0.5, "{ours} for {theirs}, {sign}");
        }
    }
}
