//! In which order the panels of a sub-assembly go together, each coming in along a straight line.

use super::{Assembly, Blocked, Contact, Surface, wiped};
use glam::DVec3;

/// A panel comes to its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placing {
    /// By index in the assembly.
    pub panel: usize,
    /// The direction it moves in as it comes; zero for the first, which is there already.
    pub direction: DVec3,
}

/// An order for one sub-assembly.
#[derive(Clone, Debug, Default)]
pub struct Order {
    pub placings: Vec<Placing>,
    /// Panels that can come in along no straight line; they are in no placing.
    pub stuck: Vec<usize>,
}

/// Wiped glue of less than this is none (mm²), and so is what is less than this share of the glue that closes.
const NO_GLUE: f64 = 1.0;
const LITTLE: f64 = 0.25;

/// Orders the panels of a sub-assembly.
///
/// Found by taking it apart: again and again the panel whose leaving would wipe the least glue, so that coming in, each
/// panel presses onto its glue rather than sliding along it. What can be taken apart one by one in any order can be in
/// this one, for a panel less is never in the way.
pub fn order(assembly: &Assembly, contacts: &[Contact], surfaces: &[Vec<Surface>], sub_assembly: &str) -> Order {
    let members: Vec<usize> =
        (0..assembly.panels.len()).filter(|i| assembly.panels[*i].sub_assembly == sub_assembly).collect();
    let bodies: Vec<Vec<Surface>> = members.iter().map(|i| surfaces[*i].clone()).collect();
    let glue: Vec<&Contact> = contacts
        .iter()
        .filter(|contact| contact.panels.iter().all(|panel| assembly.panels[*panel].sub_assembly == sub_assembly))
        .collect();
    let exits = directions(&glue).into_iter().map(|direction| Blocked::along(&bodies, direction));
    let exits: Vec<Blocked> = exits.collect();
    let mut standing: Vec<usize> = (0..members.len()).collect();
    let mut order = Order::default();
    while standing.len() > 1 {
        let Some((leaving, direction)) = next_to_leave(assembly, &members, &standing, &exits, &glue) else { break };
        standing.retain(|other| *other != leaving);
        order.placings.push(Placing { panel: members[leaving], direction: -direction });
    }
    if let [first] = standing[..] {
        order.placings.push(Placing { panel: members[first], direction: DVec3::ZERO });
    } else {
        order.stuck = standing.iter().map(|i| members[*i]).collect();
    }
    order.placings.reverse();
    gather_alike(assembly, &members, &exits, &glue, &mut order.placings);
    order
}

/// Brings parts alike together where that puts nothing in the way: both ledges, then both rails.
fn gather_alike(
    assembly: &Assembly,
    members: &[usize],
    exits: &[Blocked],
    glue: &[&Contact],
    placings: &mut [Placing],
) {
    let body = |panel: usize| members.iter().position(|member| *member == panel);
    let stays_free = |later: &Placing, with: &Placing| {
        let (Some(moving), Some(standing)) = (body(later.panel), body(with.panel)) else { return false };
        let exit = exits.iter().find(|exit| exit.direction.dot(-later.direction) > 1.0 - 1e-6);
        exit.is_some_and(|exit| exit.is_free(moving, [standing]))
    };
    for i in 1..placings.len() {
        let family = &assembly.panels[placings[i].panel].family;
        let Some(j) = (i + 2..placings.len()).find(|j| assembly.panels[placings[*j].panel].family == *family) else {
            continue;
        };
        let moved = placings[j];
        let between = &placings[i + 1..j];
        let touches = |other: &Placing| glue.iter().any(|contact| contact.other(moved.panel) == Some(other.panel));
        if between.iter().all(|other| !touches(other) && stays_free(other, &moved)) {
            placings[i + 1..=j].rotate_right(1);
        }
    }
}

/// The directions worth trying: the axes, and square to every glue line.
fn directions(glue: &[&Contact]) -> Vec<DVec3> {
    let mut directions = vec![DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y, DVec3::Z, DVec3::NEG_Z];
    for normal in glue.iter().map(|contact| contact.place.normal()) {
        for direction in [normal, -normal] {
            if directions.iter().all(|known| known.dot(direction) < 1.0 - 1e-6) {
                directions.push(direction);
            }
        }
    }
    directions
}

/// Which of the standing panels leaves next, and in which direction.
fn next_to_leave(
    assembly: &Assembly,
    members: &[usize],
    standing: &[usize],
    exits: &[Blocked],
    glue: &[&Contact],
) -> Option<(usize, DVec3)> {
    let touching = |a: usize, b: usize| glue.iter().any(|contact| contact.other(members[a]) == Some(members[b]));
    let mut best: Option<((bool, f64, f64), usize, DVec3)> = None;
    for &leaving in standing {
        let rest: Vec<usize> = standing.iter().copied().filter(|other| *other != leaving).collect();
        let own = |contact: &&&Contact| {
            contact.other(members[leaving]).is_some_and(|other| rest.iter().any(|i| members[*i] == other))
        };
        let apart = parts_company(&rest, touching) > parts_company(standing, touching);
        let area = assembly.panels[members[leaving]].outline.area();
        for exit in exits.iter().filter(|exit| exit.is_free(leaving, rest.iter().copied())) {
            let wiped = wiped(glue.iter().filter(own).copied(), exit.direction);
            let all: f64 = glue.iter().filter(own).map(|contact| contact.area).sum();
            let little = wiped < NO_GLUE || wiped < LITTLE * (all - wiped);
            let score = (apart, if little { 0.0 } else { wiped }, area);
            // Of panels alike the last leaves first, so that they are placed in their own order.
            let better = best.is_none_or(|(known, panel, _)| {
                let tie = score.0 == known.0 && (score.1 - known.1).abs() < NO_GLUE;
                if tie && panel != leaving { score.2 <= known.2 + NO_GLUE } else { score < known && !tie }
            });
            if better {
                best = Some((score, leaving, exit.direction));
            }
        }
    }
    best.map(|(_, panel, direction)| (panel, direction))
}

/// Into how many groups that touch the panels fall.
fn parts_company(panels: &[usize], touching: impl Fn(usize, usize) -> bool) -> usize {
    let mut left: Vec<usize> = panels.to_vec();
    let mut groups = 0;
    while let Some(first) = left.pop() {
        groups += 1;
        let mut front = vec![first];
        while let Some(at) = front.pop() {
            let (next, rest): (Vec<usize>, Vec<usize>) = left.into_iter().partition(|other| touching(at, *other));
            left = rest;
            front.extend(next);
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::super::kinds::{CavityBox, FrameBox, OpenBox};
    use super::super::{Design, contacts};
    use super::*;
    use crate::design::Board;
    use crate::profile::Profiles;

    fn names(design: &dyn Design, sub_assembly: &str) -> Vec<String> {
        let assembly = design.build(&Board::plain(12.0, None));
        let surfaces: Vec<_> = assembly.panels.iter().map(super::super::Panel::surfaces).collect();
        let order = order(&assembly, &contacts(&assembly.panels), &surfaces, sub_assembly);
        assert!(order.stuck.is_empty());
        order.placings.iter().map(|placing| assembly.panels[placing.panel].name.clone()).collect()
    }

    /// As a maker does it: both ends on one side, the other side on the ends, the floor under it all, the cleats last.
    #[test]
    fn a_nuc_goes_together_as_a_maker_does_it() {
        let nuc = FrameBox::new(Profiles::built_in().find("langstroth-deep").expect("built in"), 5);
        let body = names(&nuc, "");
        assert_eq!(body, ["left side", "front", "back", "right side", "floor", "front rest cleat", "back rest cleat"],);
        assert_eq!(names(&nuc, "cover"), ["cover", "front cover cleat", "back cover cleat"]);
    }

    #[test]
    fn nothing_comes_before_what_it_is_glued_to() {
        let tray = OpenBox::new([200.0, 300.0, 80.0]);
        assert_eq!(names(&tray, ""), ["left side", "front", "back", "right side", "floor"]);
        let nest = names(&CavityBox::new([120.0, 120.0, 200.0]), "");
        let at = |name: &str| nest.iter().position(|known| known == name).expect("placed");
        // The floor is let in between the walls: it cannot come after all four.
        assert!(at("floor") < at("right side") && at("roof") == nest.len() - 1, "{nest:?}");
    }
}
