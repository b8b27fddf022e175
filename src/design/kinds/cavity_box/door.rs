//! A wall or the roof that opens for cleaning.

use super::{Access, Building, Roof, upright};
use crate::design::{Face, Facing, Fitting, FittingKind, Panel, Seat};
use crate::geometry::{Outline, Point, Rect};
use glam::DVec3;

/// Room beside a door, on each side (mm): painted wood swells.
const PLAY: f64 = 1.5;
/// Under the roof, for the door's upper edge to turn past.
pub(super) const ABOVE: f64 = 3.0;
/// Its pivots are this far below its upper edge, where that is lowest.
const PIVOT: f64 = 25.0;
/// What keeps it shut is this far above its lower edge.
const KEEP: f64 = 25.0;
/// How far a sliding door stands in from the edge of the walls whose grooves hold it.
pub(super) const SET_BACK: f64 = 8.0;
/// A groove is this much wider than the door.
pub(super) const SLIDE_PLAY: f64 = 1.0;
/// A door's name as what comes off the box.
const DOOR: &str = "door";

/// Depth of a door's grooves, and how far it reaches into them.
fn groove(t: f64) -> (f64, f64) {
    (t / 2.0, t / 2.0 - PLAY / 2.0)
}

/// The front as a door between the sides.
pub(super) fn front(box_: &mut Building) {
    let s = box_.sizes;
    let t = s.t;
    let (_, reach) = groove(t);
    let x = if box_.design.slides { (t - reach, s.width - t + reach) } else { (t + PLAY, s.width - t - PLAY) };
    let front = upright::end(box_, "front", Facing::Front, x, (s.set_back, s.set_back + t));
    make_door(&mut box_.panels[front]);
}

/// The right side as a door between front and back.
pub(super) fn side(box_: &mut Building, y: (f64, f64)) {
    let s = box_.sizes;
    let (_, reach) = groove(s.t);
    let y = if box_.design.slides { (y.0 - reach, y.1 + reach) } else { (y.0 + PLAY, y.1 - PLAY) };
    let x = (s.width - s.set_back - s.t, s.width - s.set_back);
    let door = upright::side(box_, "right side", Facing::Right, x, y);
    make_door(&mut box_.panels[door]);
}

fn make_door(panel: &mut Panel) {
    lower_top(panel, ABOVE);
    panel.sub_assembly = DOOR.into();
}

/// Once all walls stand: the grooves a sliding door runs in, or the screws it turns on, and what keeps it shut.
pub(super) fn hang(box_: &mut Building) {
    let s = box_.sizes;
    let (t, play) = (s.t, SLIDE_PLAY / 2.0);
    let front = match box_.design.access {
        Some(Access::Front) => true,
        Some(Access::Side) => false,
        _ => return,
    };
    // The two walls beside the door, and where the middle of its thickness is.
    let (walls, middle) = if front {
        (["left side", "right side"], DVec3::new(0.0, s.set_back + t / 2.0, 0.0))
    } else {
        (["front", "back"], DVec3::new(s.width - s.set_back - t / 2.0, 0.0, 0.0))
    };
    let half = if front { DVec3::Y } else { DVec3::X } * (t / 2.0 + play);
    let lowest = if front {
        box_.underside.lowest_over((0.0, t), (s.set_back, s.set_back + t))
    } else {
        box_.underside.lowest_over((s.width - s.set_back - t, s.width - s.set_back), (0.0, s.depth))
    };
    let (deep, _) = groove(t);
    let joinery = box_.joinery;
    for wall in walls {
        let Some(panel) = box_.panels.iter_mut().find(|panel| panel.name == wall) else { continue };
        if box_.design.slides {
            let (a, b) = (middle - half, middle + half + DVec3::Z * panel.outline.bounds().y1);
            let rect = Rect::from_points(panel.place.to_flat(a).0, panel.place.to_flat(b).0);
            joinery.recess(panel, Face::Inner, rect, deep, "groove");
        } else {
            let at = panel.place.to_flat(middle + DVec3::Z * (lowest - ABOVE - PIVOT)).0;
            box_.fittings.push(screw("to turn the door on", wall, at));
        }
    }
    let Some(wall) = box_.panels.iter().find(|panel| panel.name == walls[0]) else { return };
    let at = wall.place.to_flat(middle + DVec3::Z * KEEP).0;
    box_.fittings.push(screw("to keep the door shut", walls[0], at));
}

/// A strip that carries the roof at the back, and a hook at the side.
pub(super) fn hinged_roof(box_: &mut Building, boards: &[Panel]) {
    const STRIP: f64 = 60.0;
    let s = box_.sizes;
    let Some(back) = box_.panels.iter().find(|panel| panel.name == "back") else { return };
    let bounds = back.outline.bounds();
    let on_back = Point::new(bounds.center().x, bounds.y1 - STRIP / 4.0);
    let sloping = box_.design.roof == Roof::Sloping;
    if let Some(roof) = boards.first().filter(|_| sloping) {
        let top = roof.outline.bounds();
        box_.fittings.push(Fitting {
            kind: FittingKind::Hinge,
            name: "rubber strip".into(),
            purpose: "to hinge the roof at the back and keep rain out of the joint".into(),
            size: [s.width, STRIP],
            seats: vec![
                Seat {
                    panel: roof.name.clone(),
                    face: Face::Outer,
                    centre: Point::new(top.center().x, top.y1 - STRIP / 4.0),
                },
                Seat { panel: "back".into(), face: Face::Outer, centre: on_back },
            ],
            spot: None,
        });
    }
    let hooks: &[&str] = if sloping { &["left side"] } else { &["left side", "right side"] };
    for side in hooks {
        let Some(panel) = box_.panels.iter().find(|panel| panel.name == *side) else { continue };
        let bounds = panel.outline.bounds();
        box_.fittings.push(Fitting {
            kind: FittingKind::Catch,
            name: "hook and eye".into(),
            purpose: "to keep the roof shut".into(),
            size: [40.0, 3.0],
            seats: vec![Seat {
                panel: (*side).into(),
                face: Face::Outer,
                centre: Point::new(bounds.center().x, box_.sizes.floor + box_.sizes.height - 25.0),
            }],
            spot: None,
        });
    }
}

/// Lowers the upper edge of a wall; the lower one is at v = 0.
fn lower_top(panel: &mut Panel, by: f64) {
    panel.outline = Outline {
        vertices: panel
            .outline
            .vertices
            .iter()
            .map(|vertex| {
                let mut lowered = *vertex;
                if lowered.at.y > 1e-9 {
                    lowered.at.y -= by;
                }
                lowered
            })
            .collect(),
    };
}

/// A screw through a wall into the door's edge.
fn screw(purpose: &str, panel: &str, centre: Point) -> Fitting {
    Fitting {
        kind: FittingKind::Screw,
        name: "screw, 4 x 40 mm".into(),
        purpose: purpose.into(),
        size: [40.0, 4.0],
        seats: vec![Seat { panel: panel.into(), face: Face::Outer, centre }],
        spot: None,
    }
}
