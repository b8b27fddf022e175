//! The walls of a frame box, how they meet, and what the lugs rest on.

use super::keys::{FRAME, REST, REST_CLEAT};
use super::sizes::Sizes;
use super::{Building, Corner, Rest, Walls};
use crate::design::{Face, Facing};
use crate::finding::{JobCheck, Limits, Measure};
use crate::geometry::Rect;
use glam::DVec3;

/// A wall must keep this much of its thickness behind a recess (mm).
const LEFT: f64 = 3.0;
/// A rest rabbet narrower than this is none (mm).
const REST_LEAST: f64 = 1.0;

pub(super) fn build(box_: &mut Building) {
    match box_.design.rest {
        Rest::Cleat | Rest::Rabbet => four_walls(box_),
        Rest::InnerWall => inner_walls(box_),
    }
}

fn four_walls(box_: &mut Building) {
    let s = box_.sizes;
    let (side, end, w, l, h) = (s.side, s.end, s.width, s.length, s.height);
    let cleat = box_.design.rest == Rest::Cleat;
    let end_top = if cleat { s.rest } else { h };
    let sides_run = box_.design.walls == Walls::Sides;
    let (side_y, end_x) = if sides_run { ((0.0, l), (side, w - side)) } else { ((end, l - end), (0.0, w)) };
    box_.add("left side", "side", Facing::Left, [0.0, side_y.0, 0.0], [side, side_y.1, h]);
    box_.add("right side", "side", Facing::Right, [w - side, side_y.0, 0.0], [w, side_y.1, h]);
    box_.add("front", "front", Facing::Front, [end_x.0, 0.0, 0.0], [end_x.1, end, end_top]);
    box_.add("back", "back", Facing::Back, [end_x.0, l - end, 0.0], [end_x.1, l, end_top]);
    for side in [0, 1] {
        for end in [2, 3] {
            let (through, butting) = if sides_run { (side, end) } else { (end, side) };
            corner(box_, through, butting);
        }
    }
    if cleat {
        let high = box_.design.rest_cleat;
        // What is not told is made to fit.
        if high > h && box_.design.spots.of(&[REST_CLEAT]).is_some() {
            let advice = "it would reach below the box: take a lower `rest-cleat`";
            let measured = (Measure::Length(high), Limits::at_most(h));
            box_.refuse(JobCheck::RestCleat, &[REST_CLEAT], measured, advice);
        }
        let foot = (h - high).max(0.0);
        box_.add("front rest cleat", "rest cleat", Facing::Front, [0.0, -s.stands_out, foot], [w, 0.0, h]);
        box_.add("back rest cleat", "rest cleat", Facing::Back, [0.0, l, foot], [w, l + s.stands_out, h]);
    } else {
        rest_rabbets(box_);
    }
}

fn corner(box_: &mut Building, through: usize, butting: usize) {
    let design = box_.design;
    let cut = design.corner.cut(&mut box_.panels, (through, butting), &box_.joinery, design.finger, &design.spots);
    // All corners are alike: one refusal says it.
    if let Some(refusal) = cut.filter(|_| box_.refusals.is_empty()) {
        box_.refusals.push(refusal);
    }
}

/// A rabbet for the lugs along the upper inner edge of each end.
///
/// It runs the end's whole length where the side closes it; where the end itself shows at the corner, it stops at the
/// inside of the sides, so that no hole is left.
fn rest_rabbets(box_: &mut Building) {
    let s = box_.sizes;
    if s.rest_depth > s.end - LEFT {
        let advice = "a rabbet as wide as the lugs want leaves too little of the wall behind it: take thicker stock, or \
                      rest = \"inner-wall\" for long lugs, or rest = \"cleat\" for thin stock";
        let allowed = Limits::at_least(s.rest_depth + LEFT);
        box_.refuse(JobCheck::RestWall, &[REST, FRAME], (Measure::Thickness(s.end), allowed), advice);
    } else if s.rest_depth < REST_LEAST {
        let advice = "hardly anything is left for the lugs to lie on: make `end-gap` smaller";
        box_.refuse(
            JobCheck::RestRabbet,
            &[REST, FRAME],
            (Measure::Length(s.rest_depth), Limits::at_least(REST_LEAST)),
            advice,
        );
    }
    let depth = rabbet(&s);
    let through = box_.design.walls == Walls::Sides && box_.design.corner != Corner::Finger;
    let joinery = box_.joinery;
    for end in [2, 3] {
        let panel = &mut box_.panels[end];
        let bounds = panel.outline.bounds();
        let inner = [s.side, s.width - s.side].map(|x| panel.place.to_flat(DVec3::new(x, 0.0, 0.0)).0.x);
        let (from, to) =
            if through { (bounds.x0, bounds.x1) } else { (inner[0].min(inner[1]), inner[0].max(inner[1])) };
        joinery.recess(panel, Face::Inner, Rect::new(from, s.rest, to, s.height), depth, "rest");
    }
}

/// How deep a rest rabbet is cut: as far as there is wood for it.
pub(super) fn rabbet(sizes: &Sizes) -> f64 {
    sizes.rest_depth.clamp(0.5, sizes.end - 0.5)
}

/// Sides that run through; at each end a lower wall further in, a ledge on it for the lugs, and a rail in front that
/// closes the lugs' room towards the outside.
fn inner_walls(box_: &mut Building) {
    let s = box_.sizes;
    let (side, w, l, h) = (s.side, s.width, s.length, s.height);
    let [rail, ledge, sill] = ["rail", "ledge", "sill"].map(|family| box_.board.of(family));
    let inner = s.front();
    box_.add("left side", "side", Facing::Left, [0.0, 0.0, 0.0], [side, l, h]);
    box_.add("right side", "side", Facing::Right, [w - side, 0.0, 0.0], [w, l, h]);
    if inner < s.end + rail {
        let advice = "the lugs are too short for a wall and a rail in front of it: take thinner stock, or rest = \
                      \"rabbet\", or rest = \"cleat\" for thin stock";
        box_.refuse(
            JobCheck::RestRoom,
            &[REST, FRAME],
            (Measure::Length(inner), Limits::at_least(s.end + rail)),
            advice,
        );
    }
    // What the lugs leave of the rail's thickness.
    let room = (l - s.rest_to_rest) / 2.0;
    if room < LEFT {
        let advice = "the lugs reach too far out to leave anything of the rail: take rest = \"cleat\", or a box for \
                      shorter frames";
        box_.refuse(JobCheck::RestRail, &[REST, FRAME], (Measure::Length(room), Limits::at_least(LEFT)), advice);
    }
    let foot = (h - box_.design.rest_cleat).min(s.rest - ledge).max(0.0);
    let joinery = box_.joinery;
    // From the front inwards; the back is its mirror image.
    let places = [("front", Facing::Front, false), ("back", Facing::Back, true)];
    for (name, facing, mirrored) in places {
        let y = |near: f64, far: f64| if mirrored { (l - far, l - near) } else { (near, far) };
        let mut strip = |part: &str, family: &str, facing, (near, far): (f64, f64), (low, high): (f64, f64)| {
            let (y0, y1) = y(near, far);
            let name = if part.is_empty() { name.to_string() } else { format!("{name} {part}") };
            box_.add(&name, family, facing, [side, y0, low], [w - side, y1, high]);
            box_.panels.len() - 1
        };
        let wall = strip("", name, facing, (inner - s.end, inner), (0.0, s.rest - ledge));
        let front_rail = strip("rail", "rail", facing, (0.0, rail), (foot, h));
        strip("ledge", "ledge", Facing::Up, (rail, inner), (s.rest - ledge, s.rest));
        if box_.design.floor != super::Floor::Fixed {
            // Closes the room above the rail of the box below.
            let (y0, y1) = y(0.0, inner - s.end);
            box_.add(&format!("{name} sill"), "sill", Facing::Down, [side, y0, 0.0], [w - side, y1, sill]);
        }
        if box_.design.corner == Corner::Rabbet {
            for side in [0, 1] {
                corner(box_, side, wall);
                corner(box_, side, front_rail);
            }
        }
        if room < rail {
            let panel = &mut box_.panels[front_rail];
            let bounds = panel.outline.bounds();
            let low = panel.place.to_flat(DVec3::new(0.0, 0.0, s.rest)).0.y;
            let rect = Rect::new(bounds.x0, low, bounds.x1, bounds.y1);
            joinery.recess(panel, Face::Inner, rect, (rail - room).min(rail - 0.5), "lug room");
        }
    }
}
