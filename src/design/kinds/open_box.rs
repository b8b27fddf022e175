//! A box without a lid: tray, feeder, tool tote.

use super::Kind;
use crate::design::{Assembly, Design, Facing, Panel};
use crate::job::Board;
use crate::reading::{Key, key};
use glam::DVec3;
use std::sync::Arc;

/// Four walls, the sides running through, on a floor nailed under them. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct OpenBox {
    /// Width, depth and height, clear.
    pub inside: [f64; 3],
    pub floor: bool,
}

const INSIDE: Key = key("inside", "[width, depth, height]", "", "clear inside");
const FLOOR: Key = key("floor", "fixed | none", "fixed", "fixed: nailed under the walls");

pub(super) const KIND: Kind = Kind {
    name: "open-box",
    about: "four walls and a floor, no lid",
    keys: &[INSIDE, FLOOR],
    read: |table, _| {
        let inside = table.needed(&INSIDE, table.lengths::<3>(INSIDE.name, 20.0..=3000.0));
        let floor = table.choice(FLOOR.name, &[("fixed", true), ("none", false)]).unwrap_or(true);
        Some(Arc::new(OpenBox { inside: inside?, floor }))
    },
};

impl Design for OpenBox {
    fn build(&self, board: &Board) -> Assembly {
        let t = board.thickness;
        let [inside_width, inside_depth, height] = self.inside;
        let (width, depth) = (inside_width + 2.0 * t, inside_depth + 2.0 * t);
        let block = |name, family, facing, least: [f64; 3], most: [f64; 3]| {
            Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most))
        };
        let mut panels = vec![
            block("left side", "side", Facing::Left, [0.0, 0.0, 0.0], [t, depth, height]),
            block("right side", "side", Facing::Right, [width - t, 0.0, 0.0], [width, depth, height]),
            block("front", "end", Facing::Front, [t, 0.0, 0.0], [width - t, t, height]),
            block("back", "end", Facing::Back, [t, depth - t, 0.0], [width - t, depth, height]),
        ];
        if self.floor {
            panels.push(block("floor", "floor", Facing::Down, [0.0, 0.0, -t], [width, depth, 0.0]));
        }
        Assembly { inside: Some(DVec3::new(width / 2.0, depth / 2.0, 1.0)), ..Assembly::new(panels) }
    }
}
