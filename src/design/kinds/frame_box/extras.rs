//! Handholds, the division board and the soft cover of a frame box.

use super::{Building, Corner, Handhold, Rest, SoftCover, Walls};
use crate::design::{Face, Facing, Fitting, FittingKind, Hole, HoleUse, Pocket};
use crate::geometry::{Outline, Point};
use glam::DVec3;

/// A handhold's slot or recess, length and width (mm): four fingers in gloves.
const GRIP: (f64, f64) = (110.0, 28.0);
/// A handhold cleat's height (mm).
const CLEAT: f64 = 38.0;
/// Deepest recess for the fingers (mm).
const RECESS: f64 = 10.0;
/// Between the division board and the walls at its ends, on each side (mm).
const BOARD_PLAY: f64 = 3.0;

impl super::FrameBox {
    /// Which walls have nothing cut into their inner faces, so that a recess can be cut from outside.
    pub(super) fn walls_for_recess(&self) -> Option<Walls> {
        let ends_cut = self.rest == Rest::Rabbet || (self.corner == Corner::Rabbet && self.walls == Walls::Ends);
        let sides_cut = self.corner == Corner::Rabbet && self.walls == Walls::Sides;
        match (ends_cut, sides_cut) {
            (false, _) => Some(Walls::Ends),
            (true, false) => Some(Walls::Sides),
            (true, true) => None,
        }
    }
}

pub(super) fn handholds(box_: &mut Building) {
    let s = box_.sizes;
    // As high as leaves the rest and a rim above it alone, and the cleat outside.
    let free = match box_.design.rest {
        Rest::Cleat => s.rest.min(s.height - box_.design.rest_cleat),
        _ => s.rest,
    };
    let up = (0.65 * s.height).min(free - GRIP.1 / 2.0 - 12.0).max(GRIP.1 / 2.0 + 6.0);
    let walls = match box_.design.handhold {
        Handhold::None => return,
        Handhold::Recess => box_.design.walls_for_recess().unwrap_or(Walls::Ends),
        _ => Walls::Ends,
    };
    if box_.design.handhold == Handhold::Cleat {
        let (t, w, l) = (box_.board.of("handhold"), s.width, s.length);
        let foot = (up - CLEAT / 2.0).max(0.0);
        box_.add("front handhold", "handhold", Facing::Front, [0.0, -t, foot], [w, 0.0, foot + CLEAT]);
        box_.add("back handhold", "handhold", Facing::Back, [0.0, l, foot], [w, l + t, foot + CLEAT]);
        return;
    }
    let names = if walls == Walls::Ends { ["front", "back"] } else { ["left side", "right side"] };
    let recess = box_.design.handhold == Handhold::Recess;
    for panel in box_.panels.iter_mut().filter(|panel| names.contains(&panel.name.as_str())) {
        let bounds = panel.outline.bounds();
        let centre = Point::new(bounds.center().x, up);
        let length = GRIP.0.min(bounds.width() / 2.0);
        if recess {
            panel.pockets.push(Pocket {
                purpose: "handhold".into(),
                face: Face::Outer,
                outline: Outline::slot(centre, length, GRIP.1),
                depth: RECESS.min(panel.thickness / 2.0),
            });
        } else {
            panel.holes.push(Hole::slot(HoleUse::Handhold, centre, length, GRIP.1));
        }
    }
}

pub(super) fn loose(box_: &mut Building) {
    if box_.design.division_board {
        division_board(box_);
    }
    let Some(cloth) = box_.design.soft_cover else { return };
    let s = box_.sizes;
    let name = match cloth {
        SoftCover::Canvas => "canvas",
        SoftCover::HouseWrap => "house wrap",
    };
    box_.fittings.push(Fitting {
        kind: FittingKind::Cloth,
        name: name.into(),
        purpose: "soft inner cover, lies on the top bars".into(),
        size: [s.length - 2.0 * s.end, s.width - 2.0 * s.side],
        seats: Vec::new(),
        spot: None,
    });
}

/// A board that hangs like a frame, as deep as one, and nearly closes the box across.
fn division_board(box_: &mut Building) {
    let s = box_.sizes;
    let frame = &box_.design.frame;
    let (bar, lug) = (frame.top_bar_length.value, frame.lug_thickness.value);
    let body = (s.inside_length - 2.0 * BOARD_PLAY).min(bar);
    let depth = frame.depth.value;
    let (from, to) = ((bar - body) / 2.0, (bar + body) / 2.0);
    let outline = Outline::polygon([
        (from, 0.0),
        (to, 0.0),
        (to, depth - lug),
        (bar, depth - lug),
        (bar, depth),
        (0.0, depth),
        (0.0, depth - lug),
        (from, depth - lug),
    ]);
    let front = (s.length - bar) / 2.0;
    let right = s.division + box_.board.of("division board");
    let foot = s.rest + lug - depth;
    let panel = box_.add(
        "division board",
        "division board",
        Facing::Right,
        [s.division, front, foot],
        [right, front + bar, foot + depth],
    );
    debug_assert!(panel.place.origin.distance(DVec3::new(right, front, foot)) < 1e-9);
    panel.outline = outline;
    panel.sub_assembly = "division board".into();
}
