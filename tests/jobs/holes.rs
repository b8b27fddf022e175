//! Holes in the wrong place are refused, with the parts that are in the way and where it would be free.

use crate::shared::check;
use nestwright::finding::{Finding, Theme};

fn nuc_with(hole: &str) -> Vec<Finding> {
    let spec = format!(
        r#"
        title = "holes"
        stock = {{ material = "birch-plywood", size = [2440, 1220], thickness = 12.7 }}
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        hole = [{{ {hole} }}]
        "#
    );
    let mut found: Vec<Finding> =
        check(&spec).findings.into_iter().filter(|finding| finding.theme == Theme::Holes).collect();
    // The worst first.
    found.sort_by_key(|finding| std::cmp::Reverse(finding.status));
    found
}

/// Common practice, without a source: vents in the back are centred 2 1/2 in down and never less than 2 in from the top,
/// because the outer rest cleat covers what is above.
#[test]
fn a_vent_under_the_rest_cleat_is_refused_and_one_below_it_is_free() {
    let high = nuc_with(r#"panel = "back", use = "vent", diameter = "3/4 in", across = "centre", down = 30"#);
    assert!(high[0].refused());
    assert!(high[0].subject.contains("back") && high[0].advice.contains("back rest cleat"), "{}", high[0].advice);
    // The cleat is 2 in high and stands 3/4 in above the back: it covers 1 1/4 in. The back is 9 1/2 in high, so a hole
    // of 3/4 in is free up to 9 1/2 − 1 1/4 − 3/8 = 7 7/8 in = 200 mm.
    assert!(high[0].advice.contains("to 200 mm"), "{}", high[0].advice);
    let low = nuc_with(r#"panel = "back", use = "vent", diameter = "3/4 in", across = "centre", down = "2 1/2 in""#);
    assert!(!low[0].refused(), "{}", low[0].advice);
}

#[test]
fn a_hole_over_the_edge_of_a_neighbouring_wall_is_refused() {
    let corner = nuc_with(r#"panel = "left side", use = "handhold", diameter = 20, across = 15, up = 100"#);
    assert!(corner[0].refused());
    // Seen from outside, the left side has the back on its left.
    assert!(corner[0].advice.contains("the back, which lies on its inside"), "{}", corner[0].advice);
}

#[test]
fn a_hole_off_the_panel_or_too_near_its_edge_is_refused() {
    for hole in [
        r#"panel = "front", use = "entrance", diameter = 20, across = "centre", up = 11"#,
        r#"panel = "front", use = "entrance", diameter = 20, across = "centre", up = 5000"#,
        r#"panel = "front", use = "entrance", slot = [190, 10], across = "centre", up = 50"#,
    ] {
        let found = nuc_with(hole);
        assert!(found[0].refused() && found[0].advice.contains("the panel's edge"), "{hole}: {}", found[0].advice);
    }
}

#[test]
fn two_holes_that_run_into_each_other_are_refused() {
    let found = nuc_with(
        r#"panel = "front", use = "entrance", diameter = 20, across = "centre", up = 30 },
           { panel = "front", use = "vent", diameter = 20, across = "centre", up = 51"#,
    );
    let beside: Vec<&Finding> = found.iter().filter(|finding| finding.check == "wood to the next hole").collect();
    assert!(beside.len() == 2 && beside.iter().all(|finding| finding.refused()), "{beside:#?}");
}

#[test]
fn the_floor_of_a_nest_box_covers_the_foot_of_its_walls() {
    let checked = check(
        r#"
        title = "floor"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12 }
        [[box]]
        name = "box"
        kind = "cavity-box"
        count = 1
        inside = [120, 120, 200]
        hole = [{ panel = "front", use = "vent", diameter = 10, across = "centre", up = 14 }]
        "#,
    );
    let hole = checked.findings.iter().find(|finding| finding.check == "free on both faces").expect("checked");
    assert!(hole.refused() && hole.advice.contains("the floor, which lies on its inside"), "{}", hole.advice);
}
