//! What is under a frame box.

use super::keys::ENTRANCE;
use super::{Building, Floor};
use crate::design::{Facing, HoleUse, Opening};
use crate::finding::{JobCheck, Limits, Measure};
use crate::geometry::{Outline, Vertex};
use glam::DVec3;

/// Room round the entrance block, on each side (mm).
const BLOCK_PLAY: f64 = 1.0;

pub(super) fn build(box_: &mut Building) {
    match box_.design.floor {
        Floor::None => {}
        Floor::Fixed => {
            let s = box_.sizes;
            let foot = -box_.board.of("floor");
            box_.add("floor", "floor", Facing::Down, [0.0, -box_.design.lip, foot], [s.width, s.length, 0.0]);
        }
        Floor::Loose => loose(box_),
    }
}

/// A board with a rim on three sides; the open side is the entrance.
fn loose(box_: &mut Building) {
    let s = box_.sizes;
    let (t, w, l) = (box_.board.of("side rim"), s.width, s.length);
    let (floor, back) = (box_.board.of("floor"), box_.board.of("back rim"));
    let (rim, lip) = (s.rim, box_.design.lip);
    let first = box_.panels.len();
    box_.add("floor", "floor", Facing::Down, [0.0, -lip, -rim - floor], [w, l, -rim]);
    box_.add("left rim", "side rim", Facing::Left, [0.0, 0.0, -rim], [t, l, 0.0]);
    box_.add("right rim", "side rim", Facing::Right, [w - t, 0.0, -rim], [w, l, 0.0]);
    box_.add("back rim", "back rim", Facing::Back, [t, l - back, -rim], [w - t, l, 0.0]);
    for panel in &mut box_.panels[first..] {
        panel.sub_assembly = "floor".into();
    }
    if !box_.design.entrance_block {
        box_.openings.push(Opening {
            use_: HoleUse::Entrance,
            width: w - 2.0 * t,
            height: rim,
            centre: DVec3::new(w / 2.0, 0.0, -rim / 2.0),
        });
        return;
    }
    let [wide, high] = box_.design.entrance;
    let (length, height) = (w - 2.0 * t - 2.0 * BLOCK_PLAY, rim - BLOCK_PLAY);
    let (widest, highest) = (length - 20.0, height - 3.0);
    // What is not told is made to fit.
    if box_.design.spots.of(&[ENTRANCE]).is_some() {
        let passage = [("width", wide, widest, "a narrower"), ("height", high, highest, "a lower")];
        for (what, size, most, would_do) in passage.into_iter().filter(|(_, size, most, _)| size > most) {
            box_.refuse_as(
                JobCheck::BlockRoom,
                &format!("{what} of the way through the entrance block"),
                &[ENTRANCE],
                (Measure::Length(size), Limits::at_most(most)),
                &format!("too little of the block is left: take {would_do} `entrance`"),
            );
        }
    }
    let (wide, high) = (wide.min(widest), high.min(highest));
    let half = wide / 2.0;
    let middle = length / 2.0;
    let block = box_.board.of("entrance block");
    let panel = box_.add(
        "entrance block",
        "entrance block",
        Facing::Front,
        [t + BLOCK_PLAY, 0.0, -rim],
        [t + BLOCK_PLAY + length, block, -BLOCK_PLAY],
    );
    // A notch from below, its upper corners rounded as any cutter leaves them.
    let corner = |x: f64, y: f64| Vertex { at: crate::geometry::Point::new(x, y), bulge: 0.0 };
    panel.outline = Outline {
        vertices: vec![
            corner(0.0, 0.0),
            corner(middle - half, 0.0),
            corner(middle - half, high),
            corner(middle + half, high),
            corner(middle + half, 0.0),
            corner(length, 0.0),
            corner(length, height),
            corner(0.0, height),
        ],
    };
    panel.sub_assembly = "entrance block".into();
    box_.openings.push(Opening {
        use_: HoleUse::Entrance,
        width: wide,
        height: high,
        centre: DVec3::new(w / 2.0, 0.0, -rim + high / 2.0),
    });
}
