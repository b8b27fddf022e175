//! Hold-down screws: near enough to what they hold, no two for one purpose, none in a scrap that the cuts take off.

use crate::shared::{board, make, router_job, side_by_side};
use nestwright::geometry::{Outline, Point};
use nestwright::layout::{Placement, Turn};
use nestwright::profile::Profiles;
use nestwright::route::{Route, Screw, routes};

const ROUTER: &str = "machine = \"desktop-router\"\ncutter = \"endmill-6\"\n";

/// Five nucleus boxes that leave little waste, with a patch of it in the middle.
const TIGHT: &str = r#"
title = "Five tight nucs"
[stock]
material = "birch-plywood"
size = [2500, 1250]
thickness = 11.6
margin = 8
[router]
machine = "desktop-router"
cutter = "endmill-6"
[[box]]
name = "nuc"
kind = "frame-box"
count = 5
frame = "langstroth-deep"
frames = 5
"#;

fn nearest(screws: &[Screw], at: Point) -> f64 {
    screws.iter().map(|screw| screw.at.distance(at)).fold(f64::INFINITY, f64::min)
}

/// The screws beside boards of 300 × 200 in these places on a sheet of 1500 × 1000.
fn beside(boards: &[(f64, f64, Turn)]) -> Vec<Screw> {
    route_of(boards).holding.screws
}

fn route_of(boards: &[(f64, f64, Turn)]) -> Route {
    let parts = [board("board", Outline::rectangle(300.0, 200.0))];
    let job = router_job(ROUTER, &Profiles::built_in());
    let mut layout = side_by_side(&parts);
    let sheets = &mut layout.sheets;
    sheets[0].length = 1500.0;
    sheets[0].width = 1000.0;
    sheets[0].placements = boards.iter().map(|(x, y, turn)| Placement { part: 0, x: *x, y: *y, turn: *turn }).collect();
    let routes = routes(&job, &parts, &layout).unwrap_or_else(|error| panic!("{error}"));
    routes.into_iter().next().expect("a sheet")
}

#[test]
fn no_two_screws_stand_side_by_side() {
    let made = make(TIGHT);
    for route in &made.routes {
        let screws = &route.holding.screws;
        assert!(screws.len() >= 4, "{screws:?}");
        for (i, screw) in screws.iter().enumerate() {
            assert!(nearest(&screws[i + 1..], screw.at) >= 80.0, "{screw:?} among {screws:?}");
        }
    }
}

/// A margin that is left to us has room for screws along the edges: 26 mm with a 6 mm cutter. A sheet that four boards fill
/// to the usual 10 mm is still one sheet, and a margin that is told is kept.
#[test]
fn screws_get_room_along_the_edges_where_that_takes_no_more_sheets() {
    let edge = |board: [f64; 2], margin: &str| {
        let made = make(&format!(
            "title = \"t\"\nrouter = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
             stock = {{ material = \"birch-plywood\", size = [1000, 600], thickness = 12{margin} }}\n\
             part = [{{ name = \"board\", size = {board:?}, count = 4 }}]\n"
        ));
        assert_eq!(made.layout.sheets.len(), 1);
        let pieces = made.layout.sheets[0].placements.iter().map(|it| it.bounds(&made.parts[it.part]));
        pieces.map(|piece| piece.x0.min(piece.y0).min(1000.0 - piece.x1).min(600.0 - piece.y1)).fold(f64::MAX, f64::min)
    };
    assert!(edge([460.0, 265.0], "") >= 26.0);
    assert!((10.0..26.0).contains(&edge([484.0, 265.0], "")));
    assert!((4.0..26.0).contains(&edge([460.0, 265.0], ", margin = 4")));
}

/// Common practice is a screw every 300 to 450 mm. Where the waste allows any place, no more are driven than that needs.
#[test]
fn a_sheet_with_room_is_held_at_its_corners_and_edges_and_beside_every_part() {
    let row = |i: u32| (0..3).map(move |j| (90.0 + 480.0 * f64::from(i), 60.0 + 330.0 * f64::from(j), Turn::None));
    let boards: Vec<(f64, f64, Turn)> = (0..3).flat_map(row).collect();
    let screws = beside(&boards);
    for corner in [(0.0, 0.0), (1500.0, 0.0), (1500.0, 1000.0), (0.0, 1000.0)] {
        assert!(nearest(&screws, corner.into()) <= 150.0, "{corner:?} {screws:?}");
    }
    for step in 0..=100 {
        let (x, y) = (15.0 * f64::from(step), 10.0 * f64::from(step));
        for edge in [(x, 0.0), (x, 1000.0), (0.0, y), (1500.0, y)] {
            // A way of 450 from one to the next, and half a step between the places that are looked at.
            assert!(nearest(&screws, edge.into()) <= 340.0, "{edge:?} {screws:?}");
        }
    }
    for (x, y, _) in &boards {
        assert!(nearest(&screws, Point::new(x + 150.0, y + 100.0)) <= 300.0, "{x} {y} {screws:?}");
    }
    // The edge of 5 m takes 12 of 450 mm; one more row of two or three through the middle.
    assert!((10..=15).contains(&screws.len()), "{} {screws:?}", screws.len());
}

/// Four boards about a square of 58 mm, as the sails of a mill: their slots take it off the sheet. A screw in it would hold
/// nothing else.
#[test]
fn no_screw_is_driven_into_a_scrap() {
    let (left, low, square, gap) = (700.0, 450.0, 45.0, 6.5);
    let (near, far) = (-gap - 200.0, square + gap);
    let lying = |x: f64, y: f64| (left + x, low + y, Turn::None);
    let standing = |x: f64, y: f64| (left + x, low + y, Turn::Quarter);
    let sails = [lying(square - 300.0, near), standing(far, square - 300.0), lying(0.0, far), standing(near, 0.0)];
    let screws = beside(&sails);
    assert!(screws.len() >= 4, "{screws:?}");
    let scrap = Point::new(left + square / 2.0, low + square / 2.0);
    assert!(nearest(&screws, scrap) > 45.0, "{screws:?}");
}

/// Boards along the left edge; what is left of the sheet, 1.1 m of it, is an off-cut. The strips about the boards hold the
/// sheet, where they are wide enough for screws.
#[test]
fn an_off_cut_that_is_kept_gets_no_screw_unless_it_must_and_then_that_is_told() {
    let column = |x: f64, y: f64, pitch: f64| -> Vec<(f64, f64, Turn)> {
        (0..4).map(|i| (x, y + pitch * f64::from(i), Turn::None)).collect()
    };
    let told = |route: &Route| route.findings.iter().find(|it| it.check == "holes in off-cuts").cloned();
    let wide = route_of(&column(60.0, 30.0, 240.0));
    assert!(wide.holding.screws.len() >= 4, "{:?}", wide.holding.screws);
    // 60 + 300, the cutter beside it, and the grid on which off-cuts are looked for.
    assert!(
        wide.holding.screws.iter().all(|screw| screw.at.x <= 60.0 + 300.0 + 6.0 + 5.0),
        "{:?}",
        wide.holding.screws
    );
    assert!(told(&wide).is_none(), "{:?}", told(&wide));
    let narrow = route_of(&column(8.0, 8.0, 208.0));
    assert!(narrow.holding.screws.iter().any(|screw| screw.at.x > 330.0), "{:?}", narrow.holding.screws);
    let told = told(&narrow).expect("told");
    assert!(told.advice.contains("in what is listed as an off-cut (X"), "{}", told.advice);
}
