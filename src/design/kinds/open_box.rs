//! A box without a lid: tray, feeder, tool tote.

use super::Kind;
use super::corner::{CORNER, Corner, FINGER, JOINT_PLAY};
use crate::design::Board;
use crate::design::{Assembly, Design, Facing, Joinery, Panel};
use crate::reading::{Key, Spots, Takes, Unless, key};
use glam::DVec3;
use std::sync::Arc;

/// Four walls, the sides running through, on a floor nailed under them. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct OpenBox {
    /// Width, depth and height, clear.
    pub inside: [f64; 3],
    pub floor: bool,
    pub corner: Corner,
    /// Width of fingers; `None` for about the thickness of the stock.
    pub finger: Option<f64>,
    /// Room across a joint.
    pub joint_play: f64,
    /// Where in the spec each choice stands.
    pub spots: Spots,
}

const INSIDE: Key =
    key("inside", Takes::Lengths("[width, depth, height]", 20.0, 3000.0), Unless::Needed, "clear inside");
const FLOOR: Key =
    key("floor", Takes::Words(&["fixed", "none"]), Unless::Word("fixed"), "fixed: nailed under the walls");

/// What its floor may be.
const FLOORS: [(&str, bool); 2] = [("fixed", true), ("none", false)];

pub(super) const KIND: Kind = Kind {
    name: "open-box",
    about: "four walls and a floor, no lid",
    keys: &[INSIDE, FLOOR, CORNER, FINGER, JOINT_PLAY],
    read: |table, _| {
        let inside = table.needed(&INSIDE, table.lengths::<3>(&INSIDE));
        // Where the size is wrong, the other keys are looked at all the same.
        let plain = OpenBox::new(inside.unwrap_or_default());
        let design: Arc<dyn Design> = Arc::new(OpenBox {
            floor: table.choice_of(&FLOOR, &FLOORS).unwrap_or(plain.floor),
            corner: table.chosen(&CORNER),
            finger: table.length(&FINGER),
            joint_play: table.mm(&JOINT_PLAY),
            spots: table.spots(KIND.keys),
            ..plain
        });
        inside.map(|_| design)
    },
};

impl OpenBox {
    /// A box of this clear inside (width, depth, height) with every choice at its default.
    pub fn new(inside: [f64; 3]) -> OpenBox {
        OpenBox {
            inside,
            floor: true,
            corner: CORNER.word(),
            finger: None,
            joint_play: JOINT_PLAY.mm(),
            spots: Spots::default(),
        }
    }
}

impl Design for OpenBox {
    fn build(&self, board: &Board) -> Assembly {
        let [side, end, under] = ["side", "end", "floor"].map(|family| board.of(family));
        let [inside_width, inside_depth, height] = self.inside;
        let (width, depth) = (inside_width + 2.0 * side, inside_depth + 2.0 * end);
        let block = |name, family, facing, least: [f64; 3], most: [f64; 3]| {
            Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most))
        };
        let mut panels = vec![
            block("left side", "side", Facing::Left, [0.0, 0.0, 0.0], [side, depth, height]),
            block("right side", "side", Facing::Right, [width - side, 0.0, 0.0], [width, depth, height]),
            block("front", "end", Facing::Front, [side, 0.0, 0.0], [width - side, end, height]),
            block("back", "end", Facing::Back, [side, depth - end, 0.0], [width - side, depth, height]),
        ];
        let joinery = Joinery::new(board, self.joint_play);
        let corners = [(0, 2), (0, 3), (1, 2), (1, 3)];
        // All four are alike: one refusal says it.
        let refusal = corners
            .iter()
            .filter_map(|pair| self.corner.cut(&mut panels, *pair, &joinery, self.finger, &self.spots))
            .next_back();
        if self.floor {
            panels.push(block("floor", "floor", Facing::Down, [0.0, 0.0, -under], [width, depth, 0.0]));
        }
        Assembly {
            inside: Some(DVec3::new(width / 2.0, depth / 2.0, 1.0)),
            refusals: refusal.into_iter().collect(),
            ..Assembly::new(panels)
        }
    }
}
