//! How the work lies on the bench: which side of the box is up.
//!
//! A pose is a unit vector of the box's own frame, along one of its axes, that points up from the bench.

use super::words;
use crate::design::Panel;
use crate::geometry::Vec2;
use glam::DVec3;

/// Within this of the vertical (cosine) a face counts as the one that is up.
const UP: f64 = 0.7;

/// The box as it stands in use.
pub(super) const UPRIGHT: DVec3 = DVec3::Z;

/// The pose in which a direction comes nearest to up.
pub(super) fn with_up(direction: DVec3) -> DVec3 {
    let axes = DVec3::AXES.into_iter().flat_map(|axis| [axis, -axis]);
    // Of axes as near as each other the first: a slope of 45° lies as the box stands, not on its side.
    let nearer = |best: DVec3, axis: DVec3| if axis.dot(direction) > best.dot(direction) + 1e-6 { axis } else { best };
    [UPRIGHT, -UPRIGHT].into_iter().chain(axes).reduce(nearer).unwrap_or(UPRIGHT)
}

/// Can a hand with a hammer reach down on a face with this normal?
pub(super) fn is_up(pose: DVec3, normal: DVec3) -> bool {
    pose.dot(normal) > UP || with_up(normal) == pose
}

/// `left side`: the side of the box that is up.
fn side(pose: DVec3) -> String {
    match words::direction(pose) {
        side @ ("left" | "right") => format!("{side} side"),
        side => side.into(),
    }
}

/// What to do to bring the work from one pose into another.
pub(super) fn turn(what: &str, from: DVec3, to: DVec3) -> String {
    match words::direction(to) {
        "upper" if from.dot(to) < -0.9 => format!("Turn {what} right way up."),
        "upper" => format!("Stand {what} upright."),
        "lower" => format!("Turn {what} upside down."),
        _ if from.dot(to) < -0.9 => format!("Turn {what} over, its {} up.", side(to)),
        _ => format!("Lay {what} down, its {} up.", side(to)),
    }
}

/// What to put under which of the panels, so that the work lies still in this pose: none where it does by itself, else the
/// thinnest packing that holds it (mm), if packing under one panel does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Rest {
    Still,
    Packed(usize, f64),
    Rocks,
}

/// It tips when its weight is not over what it rests on.
pub(super) fn rests(panels: &[&Panel], pose: DVec3) -> Rest {
    /// What is no higher than this above the lowest point touches the bench (mm), and so far inside the rim is stable.
    const TOUCHES: f64 = 0.5;
    const WITHIN: f64 = 2.0;
    let across = pose.any_orthonormal_vector();
    let along = pose.cross(across);
    let corners: Vec<Vec<DVec3>> = panels
        .iter()
        .map(|panel| panel.surfaces().iter().flat_map(|surface| surface.corners().collect::<Vec<_>>()).collect())
        .collect();
    let low: Vec<f64> =
        corners.iter().map(|own| own.iter().map(|at| at.dot(pose)).fold(f64::INFINITY, f64::min)).collect();
    let lowest = low.iter().copied().fold(f64::INFINITY, f64::min);
    let feet = |panel: usize, from: f64| {
        let touches = corners[panel].iter().filter(move |at| at.dot(pose) < from + TOUCHES);
        touches.map(|at| (at.dot(across), at.dot(along))).collect::<Vec<_>>()
    };
    let (mut weight, mut moment) = (0.0, DVec3::ZERO);
    for panel in panels {
        let (least, most) = panel.bounds();
        let volume = panel.volume();
        weight += volume;
        moment += (least + most) / 2.0 * volume;
    }
    let centre = moment / weight;
    let (x, y) = (centre.dot(across), centre.dot(along));
    // In every direction some foot stands further out than the weight does.
    let stands = |feet: &[(f64, f64)]| {
        let directions = (-4..=4).flat_map(|u| (-4..=4).map(move |v| Vec2::new(f64::from(u), f64::from(v))));
        directions
            .filter(|along| along.hypot() > 3.5)
            .all(|along| feet.iter().any(|(u, v)| Vec2::new(u - x, v - y).dot(along) > WITHIN * along.hypot()))
    };
    let bare: Vec<(f64, f64)> = (0..panels.len()).flat_map(|panel| feet(panel, lowest)).collect();
    if weight <= 0.0 || stands(&bare) {
        return Rest::Still;
    }
    let holds = |panel: &usize| stands(&[bare.clone(), feet(*panel, low[*panel])].concat());
    let raised = (0..panels.len()).filter(|panel| low[*panel] > lowest + TOUCHES);
    let best = raised.filter(holds).min_by(|a, b| low[*a].total_cmp(&low[*b]));
    best.map_or(Rest::Rocks, |panel| Rest::Packed(panel, low[panel] - lowest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Facing;

    #[test]
    fn a_board_on_edge_rests_and_a_leaning_one_does_not() {
        let block = Panel::block("b", "b", Facing::Front, DVec3::ZERO, DVec3::new(100.0, 12.0, 80.0));
        assert_eq!([DVec3::Z, DVec3::Y].map(|pose| rests(&[&block], pose)), [Rest::Still; 2]);
        let mut leaning = block;
        leaning.place.u = DVec3::new(0.8, 0.6, 0.0);
        assert_eq!(rests(&[&leaning], DVec3::X), Rest::Rocks, "it stands on a corner");
    }

    /// A bridge with one leg 7 mm shorter.
    #[test]
    fn packing_goes_under_what_is_nearest_to_the_bench() {
        let block = |name, x: f64, z: [f64; 2]| {
            let (least, most) = (DVec3::new(x, 0.0, z[0]), DVec3::new(x + 20.0, 50.0, z[1]));
            Panel::block(name, name, Facing::Front, least, most)
        };
        let (long, short) = (block("long", 0.0, [0.0, 100.0]), block("short", 180.0, [7.0, 100.0]));
        let deck =
            Panel::block("deck", "deck", Facing::Up, DVec3::new(0.0, 0.0, 100.0), DVec3::new(200.0, 50.0, 112.0));
        assert_eq!(rests(&[&deck, &long, &short], DVec3::Z), Rest::Packed(2, 7.0));
    }

    #[test]
    fn turns_say_what_is_up_afterwards() {
        assert_eq!(turn("the work", DVec3::NEG_X, DVec3::X), "Turn the work over, its right side up.");
        assert_eq!(turn("the work", DVec3::X, DVec3::NEG_Y), "Lay the work down, its front up.");
        assert_eq!(turn("the work", DVec3::X, DVec3::NEG_Z), "Turn the work upside down.");
        assert_eq!(turn("the work", DVec3::Y, DVec3::Z), "Stand the work upright.");
    }
}
