//! How a box comes apart for a picture: in which direction each panel leaves, and how far out it stands.

use crate::design::{Contact, Panel};
use crate::geometry::Point;
use glam::DVec3;

/// Where a panel goes when the box is taken apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Away {
    /// A unit vector, or zero for what stays.
    pub direction: DVec3,
    /// One for what leaves first from the middle outwards, more for what stands in front of it.
    pub rank: u32,
}

/// Overlaps narrower than this do not stand in a panel's way: joints reach into each other (mm).
const TIGHT: f64 = 0.5;

/// Takes the box apart from outside in: a panel leaves along the normal of one of its contacts, or of its own face, on the
/// side that it stands on, once nothing is in front of it.
pub(super) fn apart(panels: &[Panel], contacts: &[Contact]) -> Vec<Away> {
    let middle = centre(panels.iter().flat_map(corners));
    let directions: Vec<Vec<DVec3>> = (0..panels.len()).map(|i| directions_out(i, panels, contacts, middle)).collect();
    let mut left: Vec<usize> = (0..panels.len()).collect();
    let mut away = vec![Away { direction: DVec3::ZERO, rank: 0 }; panels.len()];
    // Who stands in front of whom, in the order in which they were taken.
    let mut taken: Vec<usize> = Vec::new();
    while !left.is_empty() {
        // A panel waits for its best direction; only when all wait does one take its second best, or its third.
        let most = left.iter().map(|i| directions[*i].len()).max().unwrap_or(0);
        let free = (0..most).map(|nth| free_to_go(panels, &left, &directions, nth)).find(|free| !free.is_empty());
        let Some(free) = free else { break };
        for (i, direction) in free {
            away[i].direction = direction;
            taken.push(i);
            left.retain(|j| *j != i);
        }
    }
    // The last to leave stands nearest; whatever left before it in the same direction stands further out.
    for at in (0..taken.len()).rev() {
        let i = taken[at];
        let behind = taken[at + 1..]
            .iter()
            .filter(|j| {
                same_direction(away[i].direction, away[**j].direction) && in_front(panels, **j, i, away[i].direction)
            })
            .map(|j| away[*j].rank)
            .max();
        away[i].rank = behind.unwrap_or(0) + 1;
    }
    away
}

/// Which of the panels left can go in their `nth` best direction.
fn free_to_go(panels: &[Panel], left: &[usize], directions: &[Vec<DVec3>], nth: usize) -> Vec<(usize, DVec3)> {
    left.iter()
        .filter_map(|i| Some((*i, *directions[*i].get(nth)?)))
        .filter(|(i, direction)| !left.iter().any(|j| in_front(panels, *i, *j, *direction)))
        .collect()
}

fn same_direction(a: DVec3, b: DVec3) -> bool {
    a.dot(b) > 1.0 - 1e-6
}

/// The directions in which a panel may leave, the one that leads furthest from the middle first.
fn directions_out(i: usize, panels: &[Panel], contacts: &[Contact], middle: DVec3) -> Vec<DVec3> {
    let normal = panels[i].place.normal();
    let mut directions = vec![normal, -normal];
    for contact in contacts {
        let out = match contact.panels {
            [a, _] if a == i => -contact.place.normal(),
            [_, b] if b == i => contact.place.normal(),
            _ => continue,
        };
        if !directions.iter().any(|direction| same_direction(*direction, out)) {
            directions.push(out);
        }
    }
    let arm = centre(corners(&panels[i])) - middle;
    // What stands in the middle stays there.
    directions.retain(|direction| direction.dot(arm) > TIGHT);
    // A hair's difference must not decide: of two equal directions the first stays first.
    let reach = |direction: &DVec3| (direction.dot(arm) * 10.0).round();
    directions.sort_by(|a, b| reach(b).total_cmp(&reach(a)));
    directions
}

/// Does `other` stand in the way of `panel` when it leaves?
fn in_front(panels: &[Panel], panel: usize, other: usize, direction: DVec3) -> bool {
    if panel == other {
        return false;
    }
    let (mine, theirs) = (corners(&panels[panel]), corners(&panels[other]));
    let along = direction.dot(centre(theirs)) - direction.dot(centre(mine));
    if along <= TIGHT {
        return false;
    }
    let side = direction.any_orthonormal_vector();
    [side, direction.cross(side)].into_iter().all(|axis| {
        let (a, b) = (span(mine, axis), span(theirs, axis));
        a.1.min(b.1) - a.0.max(b.0) > TIGHT
    })
}

fn span(corners: [DVec3; 8], axis: DVec3) -> (f64, f64) {
    corners
        .iter()
        .map(|corner| corner.dot(axis))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), at| (least.min(at), most.max(at)))
}

/// The corners of the block around a panel.
pub(super) fn corners(panel: &Panel) -> [DVec3; 8] {
    let bounds = panel.outline.bounds();
    std::array::from_fn(|i| {
        let u = if i & 1 == 0 { bounds.x0 } else { bounds.x1 };
        let v = if i & 2 == 0 { bounds.y0 } else { bounds.y1 };
        let w = if i & 4 == 0 { 0.0 } else { -panel.thickness };
        panel.place.to_space(Point::new(u, v), w)
    })
}

/// The middle of the block around some points.
fn centre(points: impl IntoIterator<Item = DVec3>) -> DVec3 {
    let (mut least, mut most) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for point in points {
        least = least.min(point);
        most = most.max(point);
    }
    if least.x > most.x { DVec3::ZERO } else { (least + most) / 2.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Facing, contacts};

    fn block(name: &str, facing: Facing, least: [f64; 3], most: [f64; 3]) -> Panel {
        Panel::block(name, name, facing, DVec3::from_array(least), DVec3::from_array(most))
    }

    #[test]
    fn walls_leave_outwards_and_what_lies_on_them_further() {
        let panels = [
            block("front", Facing::Front, [12.0, 0.0, 12.0], [88.0, 12.0, 100.0]),
            block("back", Facing::Back, [12.0, 88.0, 12.0], [88.0, 100.0, 100.0]),
            block("left", Facing::Left, [0.0, 0.0, 12.0], [12.0, 100.0, 100.0]),
            block("right", Facing::Right, [88.0, 0.0, 12.0], [100.0, 100.0, 100.0]),
            block("floor", Facing::Down, [0.0, 0.0, 0.0], [100.0, 100.0, 12.0]),
            block("cleat", Facing::Front, [12.0, -12.0, 60.0], [88.0, 0.0, 80.0]),
        ];
        let away = apart(&panels, &contacts(&panels));
        let directions: Vec<DVec3> = away.iter().map(|away| away.direction).collect();
        assert_eq!(
            directions,
            [DVec3::NEG_Y, DVec3::Y, DVec3::NEG_X, DVec3::X, DVec3::NEG_Z, DVec3::NEG_Y],
            "each on its own side"
        );
        assert_eq!(away[0].rank, 1);
        assert_eq!(away[5].rank, 2, "the cleat stands in front of the wall it lies on");
    }

    #[test]
    fn a_board_by_itself_stays() {
        let panels = [Panel::flat("board", 100.0, 50.0, 12.0)];
        assert_eq!(apart(&panels, &[])[0], Away { direction: DVec3::ZERO, rank: 0 });
    }
}
