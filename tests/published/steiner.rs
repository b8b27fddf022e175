//! Outlines grown by a cutter's radius, against Steiner's formula.

use nestwright::geometry::{Outline, Point, offset};
use std::f64::consts::{PI, TAU};

/// Steiner's formula: a convex shape of area A and perimeter P, grown by r, has the area A + P·r + π·r².
fn grown(outline: &Outline, r: f64) -> f64 {
    outline.area() + outline.perimeter() * r + PI * r * r
}

fn assert_steiner(outline: &Outline, r: f64) {
    let found = offset(outline, r);
    assert_eq!(found.len(), 1);
    let (area, expected) = (found[0].area(), grown(outline, r));
    assert!((area - expected).abs() < 1e-6 * expected, "{area} for {expected}");
}

#[test]
fn convex_outlines_grow_by_steiner_s_formula() {
    for r in [1.5, 3.0, 3.175, 10.0] {
        assert_steiner(&Outline::rectangle(485.775, 260.35), r);
        assert_steiner(&Outline::polygon([(0.0, 0.0), (250.0, 0.0), (250.0, 190.0), (0.0, 150.0)]), r);
        assert_steiner(&Outline::circle(Point::new(40.0, 60.0), 38.1), r);
        assert_steiner(&Outline::slot(Point::new(5.0, 5.0), 100.0, 8.0), r);
    }
}

proptest::proptest! {
    /// Random convex polygons: points on a circle, in order.
    #[test]
    fn random_convex_polygons_too(
        mut angles in proptest::collection::vec(0.0..TAU, 3..12),
        size in 20.0..600.0f64,
        r in 0.5..12.0f64,
    ) {
        angles.sort_by(f64::total_cmp);
        angles.dedup_by(|b, a| *b - *a < 0.05);
        proptest::prop_assume!(angles.len() >= 3 && TAU - angles[angles.len() - 1] + angles[0] > 0.05);
        let outline = Outline::polygon(angles.iter().map(|a| (size * a.cos(), size * a.sin())));
        let found = offset(&outline, r);
        proptest::prop_assert_eq!(found.len(), 1);
        let expected = grown(&outline, r);
        proptest::prop_assert!((found[0].area() - expected).abs() < 1e-5 * expected);
    }
}
