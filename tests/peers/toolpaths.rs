//! What a cutter sweeps on its way, put together by another polygon engine (geo's), against the parts it is to leave.
//!
//! The toolpaths are made with cavalier_contours' offsets; nothing here knows of those. The area swept by a round cutter
//! is the union of a disc of its diameter at every place of its middle.

use crate::shared::{board, router_job, side_by_side};
use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon, unary_union};
use nestwright::design::{Hole, HoleUse, Part, PartPocket};
use nestwright::geometry::{FLATTEN, Outline, Point, Segment, Vertex, to_polygon};
use nestwright::job::Job;
use nestwright::profile::Profiles;
use nestwright::route::relief::as_cut;
use nestwright::route::{Move, OperationKind, Route, routes};
use std::f64::consts::PI;

const ROUTER: &str = "machine = \"desktop-router\"\ncutter = \"endmill-6\"\nscrews = false\n";

fn routed(router: &str, part: &Part) -> (Job, Route) {
    let job = router_job(&format!("{ROUTER}{router}"), &Profiles::built_in());
    let parts = [part.clone()];
    let routes = routes(&job, &parts, &side_by_side(&parts)).unwrap_or_else(|error| panic!("{error}"));
    (job, routes.into_iter().next().expect("one sheet"))
}

/// Where a cutter of this radius has been below `z`, in operations of these kinds, in the frame of the piece at (40, 40).
///
/// Lines and arcs are chords within [`FLATTEN`]; a disc is a polygon around the circle, so that the sweep is a hair too
/// large and never too small.
fn swept(route: &Route, kinds: &[OperationKind], radius: f64, z: f64) -> MultiPolygon<f64> {
    let mut pieces: Vec<Polygon<f64>> = Vec::new();
    let operations = route.runs.iter().flat_map(|run| &run.operations).filter(|o| kinds.contains(&o.kind));
    for operation in operations {
        let mut at: Option<nestwright::route::Space> = None;
        for step in &operation.moves {
            if let Some(from) = at {
                let mut way = vec![from.flat()];
                match *step {
                    Move::Arc { to, centre, clockwise, .. } => {
                        let arm = |p: Point| (p - centre).atan2();
                        let turn = if clockwise {
                            arm(from.flat()) - arm(to.flat())
                        } else {
                            arm(to.flat()) - arm(from.flat())
                        };
                        let bulge = (turn.rem_euclid(2.0 * PI) / 4.0).tan() * if clockwise { -1.0 } else { 1.0 };
                        Segment { start: from.flat(), end: to.flat(), bulge }.flatten(FLATTEN, |p| way.push(p));
                    }
                    _ => way.push(step.end().flat()),
                }
                if !matches!(step, Move::Rapid(_)) {
                    let total: f64 = way.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
                    let mut gone = 0.0;
                    for pair in way.windows(2) {
                        // Only where the move is below the height.
                        let height = |share: f64| from.z + (step.end().z - from.z) * share;
                        let (a, b) = (
                            height(gone / total.max(1e-9)),
                            height((gone + pair[0].distance(pair[1])) / total.max(1e-9)),
                        );
                        gone += pair[0].distance(pair[1]);
                        if a <= z + 1e-6 && b <= z + 1e-6 {
                            pieces.push(capsule(pair[0], pair[1], radius));
                        }
                    }
                }
            }
            at = Some(step.end());
        }
    }
    unary_union(&pieces)
}

/// A disc of this radius drawn along a line; in the frame of the piece.
fn capsule(a: Point, b: Point, radius: f64) -> Polygon<f64> {
    const CORNERS: u32 = 64;
    let out = radius / (PI / f64::from(CORNERS)).cos();
    let along = if a.distance(b) > 1e-9 { (b - a).atan2() } else { 0.0 };
    let mut ring = Vec::new();
    for (centre, from) in [(b, along - PI / 2.0), (a, along + PI / 2.0)] {
        for i in 0..=CORNERS / 2 {
            let angle = from + PI * f64::from(i) / f64::from(CORNERS / 2);
            // The two ends of each half stay on the sides, the corners between them lie outside the circle.
            let r = if i == 0 || i == CORNERS / 2 { radius } else { out };
            ring.push(Coord { x: centre.x + r * angle.cos() - 40.0, y: centre.y + r * angle.sin() - 40.0 });
        }
    }
    Polygon::new(LineString::new(ring), vec![])
}

fn gouge(kept: &Outline, sweep: &MultiPolygon<f64>) -> f64 {
    sweep.intersection(&MultiPolygon::from(to_polygon(kept))).unsigned_area()
}

fn left(taken: &Outline, sweep: &MultiPolygon<f64>) -> f64 {
    MultiPolygon::from(to_polygon(taken)).difference(sweep).unsigned_area()
}

/// Steiner's formula, twice: a convex outline with perimeter P grows by P·r + π·r² with each radius of the cutter.
#[test]
fn around_a_convex_outline_the_cutter_sweeps_what_steiner_says() {
    for outline in [
        Outline::rectangle(150.0, 90.0),
        Outline::polygon([(0.0, 0.0), (160.0, 0.0), (160.0, 60.0), (80.0, 110.0), (0.0, 60.0)]),
        Outline::slot(Point::new(80.0, 30.0), 160.0, 60.0),
    ] {
        let (_, route) = routed("lead = \"none\"\n", &board("board", outline.clone()));
        let sweep = swept(&route, &[OperationKind::Outline], 3.0, -5.0);
        let steiner = outline.perimeter() * 6.0 + PI * 36.0;
        let area = sweep.unsigned_area();
        assert!((area - steiner).abs() < 0.003 * steiner, "{area} for {steiner}");
        assert!(gouge(&outline, &sweep) < 0.02 * outline.perimeter() / 10.0);
    }
}

/// A board with finger notches: with each style of relief nothing of the part as drawn is cut into, and what is left in
/// the notches is at most a hair.
#[test]
fn relief_is_cut_as_it_is_drawn_and_nothing_more() {
    let mut corners = vec![(0.0, 0.0), (200.0, 0.0)];
    let mut square = Vec::new();
    for i in 0..5 {
        let y = 24.0 * f64::from(i);
        let x = if i % 2 == 0 { 200.0 } else { 187.9 };
        corners.extend([(x, y), (x, y + 24.0)]);
        if i % 2 == 1 {
            square.extend([Point::new(x, y), Point::new(x, y + 24.0)]);
        }
    }
    corners.push((0.0, 120.0));
    corners.dedup();
    let mut part = board("fingers", Outline::polygon(corners));
    part.square_corners = square.clone();
    for style in ["diagonal", "deep", "wide"] {
        for finish in ["", "finish = 0.4\nclearance = 1.5\n"] {
            let (job, route) = routed(&format!("relief = \"{style}\"\n{finish}"), &part);
            let cut = as_cut(&part, job.router.as_ref().expect("a router"));
            let sweep = swept(&route, &[OperationKind::Outline], 3.0, -5.0);
            let gouged = gouge(&cut.outline, &sweep);
            assert!(gouged < 2.0, "{style}: {gouged} mm² cut into");
            // Everything of the notches goes, to the very corner where the mate's square edge comes.
            for corner in &square {
                let inward = if corner.y.rem_euclid(48.0) > 12.0 { 1.0 } else { -1.0 };
                let place = Outline::rectangle(0.3, 0.3).transformed(nestwright::geometry::Affine::translate((
                    corner.x + 0.05,
                    corner.y + if inward > 0.0 { 0.05 } else { -0.35 },
                )));
                assert!(left(&place, &sweep) < 1e-3, "{style}: {corner:?}");
            }
        }
    }
}

#[test]
fn recesses_are_cleared_to_their_walls_and_no_further() {
    let pocket = |outline: Outline, depth: f64| PartPocket { purpose: "recess".into(), outline, depth, under: false };
    let rounded = Outline {
        vertices: vec![
            Vertex { at: Point::new(30.0, 40.0), bulge: 0.0 },
            Vertex { at: Point::new(110.0, 40.0), bulge: (PI / 8.0).tan() },
            Vertex { at: Point::new(120.0, 50.0), bulge: 0.0 },
            Vertex { at: Point::new(120.0, 80.0), bulge: 0.0 },
            Vertex { at: Point::new(30.0, 80.0), bulge: 0.0 },
        ],
    };
    // An L, which falls into two pieces on the way inwards, and a rabbet that is open to an edge.
    let bent = Outline::polygon([(20.0, 20.0), (140.0, 20.0), (140.0, 45.0), (50.0, 45.0), (50.0, 90.0), (20.0, 90.0)]);
    let open = Outline::polygon([(-3.5, 90.0), (163.5, 90.0), (163.5, 103.5), (-3.5, 103.5)]);
    for (outline, corners) in [(rounded, 3.0), (bent, 5.0), (open, 0.0)] {
        for extra in ["", "finish = 0.5\n", "cut = \"conventional\"\n"] {
            let mut part = board("board", Outline::rectangle(160.0, 100.0));
            part.pockets.push(pocket(outline.clone(), 5.0));
            let (_, route) = routed(extra, &part);
            let sweep = swept(&route, &[OperationKind::Pocket], 3.0, -5.0);
            let beyond = sweep.difference(&MultiPolygon::from(to_polygon(&outline))).unsigned_area();
            assert!(beyond < 0.005 * outline.perimeter(), "{beyond} mm² beyond the walls");
            // In each square corner a round cutter of radius r leaves (1 − π/4)·r².
            let inside =
                MultiPolygon::from(to_polygon(&outline)).intersection(&MultiPolygon::from(to_polygon(&part.outline)));
            let left = inside.difference(&sweep).unsigned_area();
            let fillets = corners * (1.0 - PI / 4.0) * 9.0;
            assert!(left <= fillets + 0.05, "{left} mm² left, {fillets} in the corners");
        }
    }
}

#[test]
fn holes_come_out_at_their_size() {
    let hole = |length: f64, width: f64, x: f64| Hole::slot(HoleUse::Vent, Point::new(x, 50.0), length, width);
    // Bored on a helix, cleared in rings, cut out with its middle held by tabs; a slot of each kind.
    for (length, width) in [(7.0, 7.0), (11.0, 11.0), (25.0, 25.0), (45.0, 45.0), (60.0, 10.0), (80.0, 36.0)] {
        let mut part = board("board", Outline::rectangle(160.0, 100.0));
        part.holes.push(hole(length, width, 80.0));
        let (_, route) = routed("", &part);
        let kinds = [OperationKind::Bore, OperationKind::Pocket, OperationKind::Cutout];
        let sweep = swept(&route, &kinds, 3.0, -9.1);
        let wanted = part.holes[0].outline();
        let beyond = sweep.difference(&MultiPolygon::from(to_polygon(&wanted))).unsigned_area();
        assert!(beyond < 0.006 * wanted.perimeter(), "{length} × {width}: {beyond} mm² too large");
        // A middle may stay; a hair along the wall may not.
        let rim: f64 = MultiPolygon::from(to_polygon(&wanted))
            .difference(&sweep)
            .iter()
            .filter(|piece| {
                let wall = piece.exterior().coords().filter(|c| wanted.distance(Point::new(c.x, c.y)) < 2.0).count();
                wall > 0
            })
            .map(Area::unsigned_area)
            .sum();
        assert!(rim < 0.05, "{length} × {width}: {rim} mm² left at the wall");
        let larger = routed("hole-allowance = 0.2\n", &part).1;
        let grown = swept(&larger, &kinds, 3.0, -9.1).difference(&sweep).unsigned_area();
        let expected = wanted.perimeter() * 0.1;
        assert!((grown / expected - 1.0).abs() < 0.2, "{length} × {width}: {grown} for {expected}");
    }
}
