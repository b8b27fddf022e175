//! What no order of the same operations can travel less than.
//!
//! Operations come in groups that follow each other; each can be done in several ways, which begin and end in different
//! places, and some only after others. A tour goes from the park position to a first stop, from stop to stop of one group
//! after the other, and back. Two bounds, both true for every such tour:
//!
//! - [`nearest`]: for each group the tree that spans it over the nearest places of each two stops, and the shortest links
//!   between the groups. A stop may begin and end here for one neighbour and there for another, as no tool can.
//! - [`walk::least`]: walks that make as many visits to each group as it has stops, leave a stop by the way by which they
//!   came to it, and may come to one twice only where they have forgotten the first time.

pub mod walk;

use nestwright::geometry::Point;
use nestwright::route::Variant;

/// Where a stop may begin and end, and which of its group come before it, by index.
#[derive(Clone, Debug, Default)]
pub struct Stop {
    pub variants: Vec<Variant>,
    pub after: Vec<usize>,
}

impl Stop {
    /// The same where nothing must come before anything, and however long a way takes.
    pub fn at_will(&self) -> Stop {
        Stop {
            variants: self.variants.iter().map(|variant| Variant { longer: 0.0, ..*variant }).collect(),
            after: Vec::new(),
        }
    }
}

/// The first bound.
pub fn nearest(groups: &[Vec<Stop>], park: Point) -> f64 {
    let mut length = 0.0;
    let mut before = vec![Variant { begin: park, end: park, longer: 0.0 }];
    for group in groups {
        length += tree(group);
        let variants: Vec<Variant> = group.iter().flat_map(|stop| &stop.variants).copied().collect();
        length += link(&before, &variants);
        before = variants;
    }
    length + before.iter().map(|variant| variant.end.distance(park)).fold(f64::INFINITY, f64::min)
}

/// From the end of any of these to the beginning of any of those.
fn link(from: &[Variant], to: &[Variant]) -> f64 {
    let each = from.iter().flat_map(|a| to.iter().map(|b| a.end.distance(b.begin)));
    each.fold(f64::INFINITY, f64::min)
}

/// The least tree that spans a group, each link in the shorter of its directions (Prim's algorithm).
fn tree(group: &[Stop]) -> f64 {
    let apart = |a: usize, b: usize| {
        let (a, b) = (&group[a].variants, &group[b].variants);
        link(a, b).min(link(b, a))
    };
    let mut length = 0.0;
    let mut left: Vec<usize> = (1..group.len()).collect();
    let mut away: Vec<f64> = (0..group.len()).map(|stop| if stop > 0 { apart(0, stop) } else { 0.0 }).collect();
    while let Some((place, _)) = left.iter().enumerate().min_by(|a, b| away[*a.1].total_cmp(&away[*b.1])) {
        let next = left.swap_remove(place);
        length += away[next];
        left.iter().for_each(|other| away[*other] = away[*other].min(apart(next, *other)));
    }
    length
}
