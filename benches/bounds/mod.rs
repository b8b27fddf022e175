//! What no order of the same operations can travel less than.
//!
//! Operations come in groups that follow each other; each can be done in several ways, which begin and end in different
//! places. A way through all of them goes from the park position to a first stop, from stop to stop of one group after
//! the other, and back. Two bounds, both true for every such way, whatever else restrains the order within a group:
//!
//! - [`nearest`]: for each group the tree that spans it over the nearest places of each two stops, and the shortest links
//!   between the groups. A stop may begin and end here for one neighbour and there for another, as no tool can.
//! - [`consistent`]: the same, but links are weighed so that each stop is come to once and left once, and by the same of
//!   its ways. Two multipliers on each way, one for coming and one for leaving, are taken from all links to and from it
//!   and added to what its stop costs; at any multipliers the tree over the cheapest links is a bound (Held and Karp 1970
//!   and 1971, from memory, for the travelling salesman; here with a choice of ways at each stop), and climbing along the
//!   subgradient finds good ones.

use nestwright::geometry::Point;

/// Where a stop may begin and end.
pub type Stop = Vec<(Point, Point)>;

/// The first bound.
pub fn nearest(groups: &[Vec<Stop>], park: Point) -> f64 {
    let problem = Problem::new(groups, park, park);
    let none = vec![Pull::default(); problem.ways];
    problem.bound(&none, &mut none.clone())
}

/// The second bound. Where all stops between two places through which every order goes are few enough, it is how far the
/// shortest of all their orders goes, found by trying them all.
pub fn consistent(groups: &[Vec<Stop>], park: Point) -> f64 {
    let fixed = |group: &&Vec<Stop>| if let [stop] = &group[..] { stop.len() == 1 } else { false };
    let mut length = 0.0;
    let mut start = park;
    for stretch in groups.chunk_by(|a, _| !fixed(&a)) {
        let (mut end, mut inner) = (park, stretch);
        if let Some((last, others)) = stretch.split_last().filter(|(last, _)| fixed(last)) {
            (end, inner) = (last[0][0].0, others);
        }
        length += match inner {
            [] => start.distance(end),
            [group] if group.len() <= FEW => shortest(group, start, end),
            _ => Problem::new(inner, start, end).climb(),
        };
        start = end;
        // What comes after the last stop through which all go.
        if std::ptr::eq(stretch.as_ptr_range().end, groups.as_ptr_range().end) && fixed(&&stretch[stretch.len() - 1]) {
            length += start.distance(park);
        }
    }
    length
}

/// So many stops are tried in all orders: their number doubles what it takes with each.
const FEW: usize = 14;

/// The shortest way from a start through all stops to an end (Held and Karp 1962, by the subsets already visited).
fn shortest(group: &[Stop], start: Point, end: Point) -> f64 {
    let ways: Vec<(usize, Point, Point)> =
        group.iter().enumerate().flat_map(|(i, stop)| stop.iter().map(move |way| (i, way.0, way.1))).collect();
    // Shortest so far, by the stops visited and the way of the last.
    let mut far = vec![f64::INFINITY; ways.len() << group.len()];
    for (i, (stop, begin, _)) in ways.iter().enumerate() {
        far[ways.len() * (1 << stop) + i] = start.distance(*begin);
    }
    for visited in 1_usize..1 << group.len() {
        for i in 0..ways.len() {
            let so_far = far[ways.len() * visited + i];
            if !so_far.is_finite() {
                continue;
            }
            for (j, (stop, begin, _)) in ways.iter().enumerate().filter(|(_, way)| visited & (1 << way.0) == 0) {
                let then = &mut far[ways.len() * (visited | 1 << stop) + j];
                *then = then.min(so_far + ways[i].2.distance(*begin));
            }
        }
    }
    let last = &far[ways.len() * ((1 << group.len()) - 1)..];
    last.iter().zip(&ways).map(|(far, way)| far + way.2.distance(end)).fold(f64::INFINITY, f64::min)
}

/// On a way: of links that come to it, and of those that leave it.
#[derive(Clone, Copy, Debug, Default)]
struct Pull {
    into: f64,
    out: f64,
}

/// Groups of stops with their ways numbered through.
struct Problem {
    start: Point,
    end: Point,
    ways: usize,
    /// Of each group and each of its stops: its ways.
    groups: Vec<Vec<Vec<(usize, Point, Point)>>>,
}

impl Problem {
    fn new(groups: &[Vec<Stop>], start: Point, end: Point) -> Problem {
        let mut ways = 0;
        let mut number = |(begin, end): &(Point, Point)| {
            ways += 1;
            (ways - 1, *begin, *end)
        };
        let mut stop = |stop: &Stop| stop.iter().map(&mut number).collect();
        let groups = groups.iter().map(|group| group.iter().map(&mut stop).collect()).collect();
        Problem { start, end, ways, groups }
    }

    /// The best bound that is found.
    fn climb(&self) -> f64 {
        const STEPS: usize = 1000;
        /// So many steps without a better bound, and they are made shorter.
        const PATIENCE: usize = 15;
        let mut pulls = vec![Pull::default(); self.ways];
        let mut best = (f64::NEG_INFINITY, pulls.clone());
        let (mut share, mut idle) = (1.0, 0);
        for _ in 0..STEPS {
            let mut off = vec![Pull::default(); self.ways];
            let bound = self.bound(&pulls, &mut off);
            let better = bound > best.0 + best.0.abs() * 1e-4;
            idle = if better { 0 } else { idle + 1 };
            if bound > best.0 {
                best = (bound, pulls.clone());
            }
            let steep: f64 = off.iter().map(|it| it.into * it.into + it.out * it.out).sum();
            if steep < 0.5 || share < 1e-3 {
                break;
            }
            if idle > PATIENCE {
                (share, idle) = (share * 0.6, 0);
                pulls.clone_from(&best.1);
                continue;
            }
            let step = 0.5 * share * best.0.max(1.0) / steep;
            for (pull, off) in pulls.iter_mut().zip(&off) {
                pull.into += step * off.into;
                pull.out += step * off.out;
            }
        }
        best.0
    }

    /// The bound at these pulls; `off` tells how much oftener each way is chosen by its stop than it is come to and left.
    fn bound(&self, pulls: &[Pull], off: &mut [Pull]) -> f64 {
        let mut length = 0.0;
        for group in &self.groups {
            length += tree(group, pulls, off);
            for stop in group {
                let cost = |way: usize| pulls[way].into + pulls[way].out;
                let own = stop.iter().map(|way| way.0).min_by(|a, b| cost(*a).total_cmp(&cost(*b)));
                if let Some(own) = own {
                    length += cost(own);
                    off[own].into += 1.0;
                    off[own].out += 1.0;
                }
            }
        }
        // From any way of one group to any of the next; and from where it starts, and to where it ends.
        let mut before: Vec<(Option<usize>, Point)> = vec![(None, self.start)];
        for group in &self.groups {
            let next: Vec<_> = group.iter().flatten().map(|way| (Some(way.0), way.1)).collect();
            length += link(&before, &next, pulls, off);
            before = group.iter().flatten().map(|way| (Some(way.0), way.2)).collect();
        }
        length + link(&before, &[(None, self.end)], pulls, off)
    }
}

/// The cheapest link from one of these ends to one of these beginnings.
fn link(from: &[(Option<usize>, Point)], to: &[(Option<usize>, Point)], pulls: &[Pull], off: &mut [Pull]) -> f64 {
    let out = |way: Option<usize>| way.map_or(0.0, |way| pulls[way].out);
    let into = |way: Option<usize>| way.map_or(0.0, |way| pulls[way].into);
    let each = from.iter().flat_map(|a| to.iter().map(move |b| (a.1.distance(b.1) - out(a.0) - into(b.0), a.0, b.0)));
    let Some((length, a, b)) = each.min_by(|a, b| a.0.total_cmp(&b.0)) else { return 0.0 };
    a.iter().for_each(|way| off[*way].out -= 1.0);
    b.iter().for_each(|way| off[*way].into -= 1.0);
    length
}

/// The least tree that spans a group, each link in the cheaper of its directions (Prim's algorithm).
fn tree(group: &[Vec<(usize, Point, Point)>], pulls: &[Pull], off: &mut [Pull]) -> f64 {
    // The cheapest link between two stops, from a way to a way.
    let nearest = |a: usize, b: usize| {
        let mut best = (f64::INFINITY, 0, 0);
        for (u, u_begins, u_ends) in &group[a] {
            let (into, out) = (pulls[*u].into, pulls[*u].out);
            for (v, v_begins, v_ends) in &group[b] {
                let there = u_ends.distance(*v_begins) - out - pulls[*v].into;
                let back = v_ends.distance(*u_begins) - into - pulls[*v].out;
                if there < best.0 {
                    best = (there, *u, *v);
                }
                if back < best.0 {
                    best = (back, *v, *u);
                }
            }
        }
        best
    };
    let mut length = 0.0;
    let mut left: Vec<usize> = (1..group.len()).collect();
    let mut away = vec![(0.0, 0, 0); group.len()];
    left.iter().for_each(|stop| away[*stop] = nearest(0, *stop));
    while let Some((place, _)) = left.iter().enumerate().min_by(|a, b| away[*a.1].0.total_cmp(&away[*b.1].0)) {
        let next = left.swap_remove(place);
        let (least, u, v) = away[next];
        length += least;
        off[u].out -= 1.0;
        off[v].into -= 1.0;
        for other in &left {
            let found = nearest(next, *other);
            if found.0 < away[*other].0 {
                away[*other] = found;
            }
        }
    }
    length
}
