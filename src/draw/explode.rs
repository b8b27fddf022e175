//! How far each panel of a box is moved away, so that all of them are seen in the order in which they lie on each other.

use super::solid::extent;
use crate::design::{Assembly, contacts};
use glam::DVec3;

/// For each panel how far it is moved, and in which direction.
///
/// Wherever one panel lies on another, it moves on past it along the direction in which it lies, by a gap at least: along
/// each axis that is a longest path through the contacts. Panels that grip each other along an axis, as the fingers of a
/// joint do, stay together along it.
pub(super) fn apart(assembly: &Assembly) -> Vec<DVec3> {
    let count = assembly.panels.len();
    let (least, most) = extent(assembly);
    let size = most - least;
    let mut moved = vec![DVec3::ZERO; count];
    let contacts = contacts(&assembly.panels);
    for (axis, unit) in [DVec3::X, DVec3::Y, DVec3::Z].into_iter().enumerate() {
        // (a, b): b lies on a in the axis's direction.
        let mut over: Vec<(usize, usize)> = Vec::new();
        for contact in &contacts {
            let lean = contact.place.normal().dot(unit);
            let [a, b] = contact.panels;
            // A slope counts for the axis it mostly looks along.
            if lean.abs() > 0.71 {
                let pair = if lean > 0.0 { (a, b) } else { (b, a) };
                if !over.contains(&pair) {
                    over.push(pair);
                }
            }
        }
        let grips: Vec<(usize, usize)> = over.iter().copied().filter(|(a, b)| over.contains(&(*b, *a))).collect();
        over.retain(|pair| !grips.contains(pair));
        let gap = gap(size, axis);
        for (i, steps) in ranks(count, &over).into_iter().enumerate() {
            moved[i] += unit * gap * f64::from(steps);
        }
    }
    moved
}

/// How far along each direction: enough to see between, not so much that the eye loses the box.
fn gap(size: DVec3, axis: usize) -> f64 {
    match axis {
        0 => 0.30 * size.x.max(0.5 * size.z),
        1 => 0.16 * size.y.max(0.8 * size.z),
        _ => 0.34 * size.z.max(0.35 * size.y),
    }
}

/// For each panel how many gaps it moves along: at least one more than what it lies on, and what lies on nothing no further
/// down than it must.
fn ranks(count: usize, over: &[(usize, usize)]) -> Vec<i32> {
    let mut ranks = vec![0i32; count];
    // A ring of contacts would rise for ever: no more rounds than there are panels.
    for _ in 0..count {
        let mut quiet = true;
        for &(below, above) in over {
            if ranks[above] < ranks[below] + 1 && ranks[below] < count as i32 {
                ranks[above] = ranks[below] + 1;
                quiet = false;
            }
        }
        if quiet {
            break;
        }
    }
    let touches = |panel: usize| over.iter().any(|(below, above)| *below == panel || *above == panel);
    let lowest: Vec<i32> = (0..count)
        .map(|panel| {
            let lies_on_something = over.iter().any(|(_, above)| *above == panel);
            let under = over.iter().filter(|(below, _)| *below == panel).map(|(_, above)| ranks[*above] - 1).min();
            if lies_on_something { ranks[panel] } else { under.unwrap_or(0) }
        })
        .collect();
    // What touches nothing along the axis stays in the middle of what does.
    let touching = || (0..count).filter(|panel| touches(*panel)).map(|panel| lowest[panel]);
    let middle = touching().min().zip(touching().max()).map_or(0, |(least, most)| i32::midpoint(least, most));
    (0..count).map(|panel| if touches(panel) { lowest[panel] } else { middle }).collect()
}
