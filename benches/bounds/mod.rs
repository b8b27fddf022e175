//! What no order of the same operations can travel less than.
//!
//! Operations come in groups that follow each other; each can be done in several ways, which begin and end in different
//! places. A way through all of them goes from the park position to a first stop, from stop to stop of one group after
//! the other, and back. Two bounds, both true for every such way, whatever else restrains the order within a group:
//!
//! - [`nearest`]: for each group the tree that spans it over the nearest places of each two stops, and the shortest links
//!   between the groups. A stop may begin and end here for one neighbour and there for another, as no tool can.
//! - [`consistent`]: the same, but what a stop's way costs is weighed so that each stop is left by the way by which it
//!   is come to. A multiplier on each way is added to what the cheapest way of its stop costs, and taken from all links
//!   to it; at any multipliers the tree over the cheapest links is a bound (Held and Karp 1970 and 1971 for the
//!   travelling salesman; with a choice of places at each stop as in Noon and Bean 1991), and climbing along its
//!   subgradient finds good ones.

use nestwright::geometry::Point;

/// Where a stop may begin and end.
pub type Stop = Vec<(Point, Point)>;

/// The first bound.
pub fn nearest(groups: &[Vec<Stop>], park: Point) -> f64 {
    Problem::new(groups, park).at(&mut |_| {}, &|_| 0.0)
}

/// The second bound; `known` is how far some order does travel.
pub fn consistent(groups: &[Vec<Stop>], park: Point, known: f64) -> f64 {
    const STEPS: usize = 300;
    /// So many steps without a better bound, and they are made half as long.
    const PATIENCE: usize = 12;
    let problem = Problem::new(groups, park);
    let mut weights = vec![0.0; problem.ways];
    let mut best = (0.0, weights.clone());
    let (mut share, mut idle) = (1.0, 0);
    for _ in 0..STEPS {
        // Of each way: how often the tree comes to it, less 2 where it is its stop's own.
        let mut off = vec![0.0; problem.ways];
        let bound = problem.at(&mut |(way, count)| off[way] += count, &|way| weights[way]);
        if bound > best.0 + 1e-6 {
            best = (bound, weights.clone());
            idle = 0;
        } else {
            idle += 1;
        }
        let steep: f64 = off.iter().map(|it| it * it).sum();
        if steep < 0.5 || known - best.0 < 1e-6 * known || share < 1e-3 {
            break;
        }
        if idle > PATIENCE {
            (share, idle) = (share / 2.0, 0);
            weights.clone_from(&best.1);
            continue;
        }
        let step = share * (known - bound) / steep;
        // A way that is come to more often than it is taken becomes dearer for its links: its multiplier falls.
        weights.iter_mut().zip(&off).for_each(|(weight, off)| *weight -= step * off);
    }
    best.0
}

/// Groups of stops with their ways numbered through.
struct Problem<'a> {
    groups: &'a [Vec<Stop>],
    park: Point,
    ways: usize,
    /// The number of the first way of each stop.
    first: Vec<Vec<usize>>,
    /// Of each group: lengths of the links between all its ways, whichever of two goes first.
    links: Vec<Vec<f64>>,
    /// How many ways a group has, and the number of the first.
    sizes: Vec<(usize, usize)>,
}

impl<'a> Problem<'a> {
    fn new(groups: &'a [Vec<Stop>], park: Point) -> Problem<'a> {
        let (mut ways, mut first, mut links, mut sizes) = (0, Vec::new(), Vec::new(), Vec::new());
        for group in groups {
            let all: Vec<(Point, Point)> = group.concat();
            let hop = |a: &(Point, Point), b: &(Point, Point)| a.1.distance(b.0).min(b.1.distance(a.0));
            links.push(all.iter().flat_map(|a| all.iter().map(move |b| hop(a, b))).collect());
            sizes.push((all.len(), ways));
            let mut own = Vec::new();
            for stop in group {
                own.push(ways);
                ways += stop.len();
            }
            first.push(own);
        }
        Problem { groups, park, ways, first, links, sizes }
    }

    fn numbers(&self, group: usize, stop: usize) -> std::ops::Range<usize> {
        let first = self.first[group][stop];
        first..first + self.groups[group][stop].len()
    }

    /// The bound at these weights of ways; `note` is told of each way that is come to, and with -2 of each stop's own.
    fn at(&self, note: &mut dyn FnMut((usize, f64)), weight: &dyn Fn(usize) -> f64) -> f64 {
        let weights: Vec<f64> = (0..self.ways).map(weight).collect();
        let mut length = 0.0;
        for (i, group) in self.groups.iter().enumerate() {
            length += self.tree(i, &weights, note);
            for stop in 0..group.len() {
                let own = self.numbers(i, stop).min_by(|a, b| weights[*a].total_cmp(&weights[*b]));
                if let Some(own) = own {
                    length += 2.0 * weights[own];
                    note((own, -2.0));
                }
            }
        }
        // From the end of any way of one group to the beginning of any of the next, and from the park position and back.
        let ends = |group: usize| {
            let all = self.groups[group].iter().flatten();
            all.enumerate().map(move |(i, way)| (self.sizes[group].1 + i, *way)).collect::<Vec<_>>()
        };
        let mut link = |from: &[(Option<usize>, Point)], to: &[(Option<usize>, Point)]| {
            let pull = |way: Option<usize>| way.map_or(0.0, |way| weights[way]);
            let pairs = from.iter().flat_map(|a| to.iter().map(move |b| (a, b)));
            let each = pairs.map(|(a, b)| (a.1.distance(b.1) - pull(a.0) - pull(b.0), a.0, b.0));
            if let Some((least, a, b)) = each.min_by(|a, b| a.0.total_cmp(&b.0)) {
                length += least;
                [a, b].into_iter().flatten().for_each(|way| note((way, 1.0)));
            }
        };
        let mut before = vec![(None, self.park)];
        for group in 0..self.groups.len() {
            let all = ends(group);
            let into: Vec<_> = all.iter().map(|(way, ends)| (Some(*way), ends.0)).collect();
            link(&before, &into);
            before = all.iter().map(|(way, ends)| (Some(*way), ends.1)).collect();
        }
        link(&before, &[(None, self.park)]);
        length
    }

    /// The least tree that spans a group (Prim's algorithm).
    fn tree(&self, group: usize, weights: &[f64], note: &mut dyn FnMut((usize, f64))) -> f64 {
        let (links, (count, start)) = (&self.links[group], self.sizes[group]);
        let stops = self.groups[group].len();
        let nearest = |a: usize, b: usize| {
            let mut best = (f64::INFINITY, 0, 0);
            for u in self.numbers(group, a) {
                let row = &links[(u - start) * count..(u - start + 1) * count];
                for v in self.numbers(group, b) {
                    let length = row[v - start] - weights[v];
                    if length - weights[u] < best.0 {
                        best = (length - weights[u], u, v);
                    }
                }
            }
            best
        };
        let mut length = 0.0;
        let mut left: Vec<usize> = (1..stops).collect();
        let mut away: Vec<(f64, usize, usize)> =
            (0..stops).map(|stop| if stop > 0 { nearest(0, stop) } else { (0.0, 0, 0) }).collect();
        while let Some((place, _)) = left.iter().enumerate().min_by(|a, b| away[*a.1].0.total_cmp(&away[*b.1].0)) {
            let next = left.swap_remove(place);
            let (least, u, v) = away[next];
            length += least;
            note((u, 1.0));
            note((v, 1.0));
            for other in &left {
                let found = nearest(next, *other);
                if found.0 < away[*other].0 {
                    away[*other] = found;
                }
            }
        }
        length
    }
}
