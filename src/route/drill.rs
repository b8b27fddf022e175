//! Holes that a drill makes.

use super::feeds::Feeds;
use super::moves::{Move, Space};
use super::profile::APPROACH;
use crate::geometry::Point;
use crate::profile::Tool;

/// Straight down at a point, withdrawn to clear the chips after every `pass_depth` diameters.
pub(super) fn moves(at: Point, depth: f64, drill: &Tool, feeds: &Feeds, clear: f64) -> Vec<Move> {
    let peck = drill.pass_depth.value * drill.diameter.value;
    vec![
        Move::Rapid(Space::new(at, clear)),
        Move::Drill { at, top: APPROACH, bottom: -depth, peck, feed: feeds.plunge },
        Move::Rapid(Space::new(at, clear)),
    ]
}
