//! Shortest tours known from outside, and what a variant may cost.

use super::*;
use crate::geometry::Vec2;

fn at(point: Point, longer: f64) -> Variant {
    Variant { begin: point, end: point, longer }
}

fn stops(points: &[(f64, f64)]) -> Vec<Stop> {
    points.iter().map(|p| Stop { variants: vec![at(Point::from(*p), 0.0)], ..Stop::default() }).collect()
}

fn length(stops: &[Stop], start: Point) -> f64 {
    let order = tour(stops, &[stops.len()], start, &[]);
    let mut seen: Vec<usize> = order.iter().map(|(stop, _)| *stop).collect();
    seen.sort_unstable();
    assert_eq!(seen, (0..stops.len()).collect::<Vec<_>>(), "every stop once");
    along(stops, start, order)
}

fn along(stops: &[Stop], start: Point, order: Vec<Visit>) -> f64 {
    let onward = stops.iter().map(|stop| vec![0.0; stop.variants.len()]).collect();
    let (bounds, spans, near, places, turned) = Default::default();
    Tour { stops, bounds, start, onward, spans, near, order, places, turned }.length()
}

/// Points on a line, where always going to the nearest runs to and fro.
#[test]
fn the_nearest_next_is_not_always_the_shortest() {
    let line = stops(&[(1.0, 0.0), (-1.5, 0.0), (5.0, 0.0), (-9.0, 0.0), (20.0, 0.0)]);
    // First the shorter side, then the other: 9 + 9 + 20.
    assert!((length(&line, Point::ORIGIN) - 38.0).abs() < 1e-9);
}

/// A grid of n × n points one apart can be visited in n² − 1.
#[test]
fn a_grid_is_visited_row_by_row() {
    let points: Vec<(f64, f64)> = (0..64).map(|i| (f64::from(i * 37 % 64 % 8), f64::from(i * 37 % 64 / 8))).collect();
    let found = length(&stops(&points), Point::ORIGIN);
    assert!(found <= 63.0 * 1.08, "{found}");
}

#[test]
fn the_variant_that_begins_nearest_is_taken() {
    let far = Point::new(100.0, 0.0);
    let near = Point::new(1.0, 0.0);
    let stops = |longer| [Stop { variants: vec![at(far, 0.0), at(near, longer)], ..Stop::default() }];
    assert_eq!(tour(&stops(98.0), &[1], Point::ORIGIN, &[]), [(0, 1)]);
    assert_eq!(tour(&stops(100.0), &[1], Point::ORIGIN, &[]), [(0, 0)], "unless it costs more than it saves");
}

/// Two stops and then four. From (4, 1) it is shortest to 10 and back to 0 (6 + 10), across (√2) to -1, and on to 0, 11
/// and 20 (21), found by trying all orders by hand; to 0 first and from 10 straight to 11 goes to and fro behind that.
#[test]
fn groups_keep_their_order_and_are_joined_where_that_is_shortest_for_all() {
    let both = stops(&[(0.0, 1.0), (10.0, 1.0), (20.0, 0.0), (0.0, 0.0), (11.0, 0.0), (-1.0, 0.0)]);
    let order = tour(&both, &[2, 4], Point::new(4.0, 1.0), &[]);
    let places: Vec<usize> = order.iter().map(|(stop, _)| *stop).collect();
    assert!(places[..2].iter().all(|stop| *stop < 2), "{places:?}");
    let length = along(&both, Point::new(4.0, 1.0), order);
    let shortest = 16.0 + 2f64.sqrt() + 21.0;
    assert!((length - shortest).abs() < 1e-9, "{length} {shortest}");
}

#[test]
fn the_order_ends_near_where_the_tool_goes_next() {
    let line = stops(&[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)]);
    let order =
        |then| tour(&line, &[3], Point::new(10.0, 1.0), &[then]).iter().map(|(stop, _)| *stop).collect::<Vec<_>>();
    assert_eq!(order(Point::new(30.0, 0.0)).last(), Some(&2));
    assert_eq!(order(Point::new(-30.0, 0.0)).last(), Some(&0));
}

/// Of stops whose variants cost unlike amounts, every change that is made shortens the whole: none is made and unmade for ever.
#[test]
fn what_is_taken_for_shorter_is() {
    let mut dice = 7_u32;
    let mut throw = |sides: u32| {
        dice = dice.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from((dice >> 8) % sides)
    };
    let mut stop = || {
        let (x, y) = (throw(1000), throw(600));
        let mut variant = |dx: f64, dy: f64, on: f64| {
            let begin = Point::new(x + dx, y + dy);
            Variant { begin, end: begin + Vec2::new(on, 0.0), longer: throw(90) }
        };
        Stop {
            variants: vec![variant(0.0, 0.0, 80.0), variant(150.0, 0.0, 20.0), variant(0.0, 90.0, -50.0)],
            ..Stop::default()
        }
    };
    let stops: Vec<Stop> = (0..40).map(|_| stop()).collect();
    let near = neighbours(&stops, 0..40);
    let order: Vec<Visit> = (0..40).map(|i| (i, 0)).collect();
    let mut tour = Tour {
        stops: &stops,
        bounds: stops.iter().map(Stop::bounds).collect(),
        start: Point::ORIGIN,
        onward: vec![vec![0.0; 3]; 40],
        spans: vec![0..40; 40],
        near,
        order,
        places: vec![0; 40],
        turned: vec![0.0; 40],
    };
    tour.note_places();
    let mut length = tour.length();
    let mut changes = 0;
    for place in (0..40).cycle().take(400) {
        while tour.improve(place).is_some() {
            tour.note_places();
            let now = tour.length();
            assert!(now < length, "{now} after {length}");
            length = now;
            changes += 1;
        }
    }
    assert!(changes > 20, "{changes}");
}

/// Of few stops all orders can be tried: what must come before something does, and the tour found is never far from the
/// shortest of those that are allowed.
#[test]
fn what_must_come_first_does_and_the_tour_is_still_short() {
    let mut dice = 3_u32;
    let mut throw = |sides: u32| {
        dice = dice.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (dice >> 8) % sides
    };
    fn shortest(stops: &[Stop], at: Point, visited: u32) -> f64 {
        let mut best = if visited.count_ones() as usize == stops.len() { 0.0 } else { f64::INFINITY };
        for (i, stop) in stops.iter().enumerate() {
            let free = visited & 1 << i == 0 && stop.after.iter().all(|other| visited & 1 << other != 0);
            for variant in stop.variants.iter().filter(|_| free) {
                best = best.min(at.distance(variant.begin) + shortest(stops, variant.end, visited | 1 << i));
            }
        }
        best
    }
    let (mut found, mut least, mut bound) = (0.0, 0.0, 0);
    for _ in 0..30 {
        let mut place = || Point::new(f64::from(throw(1000)), f64::from(throw(600)));
        let mut stop = || {
            let (a, b) = (place(), place());
            Stop { variants: vec![at(a, 0.0), at(b, 0.0)], ..Stop::default() }
        };
        let mut stops: Vec<Stop> = (0..6).map(|_| stop()).collect();
        for (i, j) in (0..6).flat_map(|i| (i + 1..6).map(move |j| (i, j))) {
            if throw(4) == 0 {
                stops[i].before.push(j);
                stops[j].after.push(i);
                bound += 1;
            }
        }
        for i in 0..6 {
            stops[i].level = stops[i].after.iter().map(|before| stops[*before].level + 1).max().unwrap_or(0);
        }
        let order = tour(&stops, &[6], Point::ORIGIN, &[]);
        let place = |stop: usize| order.iter().position(|visit| visit.0 == stop);
        for (i, stop) in stops.iter().enumerate() {
            assert!(stop.before.iter().all(|later| place(i) < place(*later)), "{order:?}");
        }
        let best = shortest(&stops, Point::ORIGIN, 0);
        let length = along(&stops, Point::ORIGIN, order);
        assert!(length > best - 1e-6, "{length} {best}");
        (found, least) = (found + length, least + best);
    }
    assert!(bound > 50, "{bound}");
    assert!(found <= least * 1.03, "{found} {least}");
}
