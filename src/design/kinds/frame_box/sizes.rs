//! The sizes of a box round its frames.

use super::keys;
use super::{Floor, FrameBox, Rest};
use crate::design::Board;
use crate::profile::{BeeSpace, StandardBox};
use crate::units::INCH;

/// Between end bars and walls, where neither the rest nor a standard settles it: the middle of a bee space; short lugs get
/// the narrowest, so that enough of them lies on the rest.
const END_GAP: f64 = keys::END_GAP.mm();
const END_GAP_LEAST: f64 = 6.0;
const BEARING: f64 = 5.5;

/// Nearer than this an end bar does not come to a wall of its own accord, and no lug has more play than this in all: a quarter
/// of an inch at either end (common practice).
const END_LEAST: f64 = INCH / 4.0;
const LUG_GAP_MOST: f64 = INCH / 2.0;

/// The most a bee leaves open beside a comb (about 3/8 in, US patent 9300 of 1852), and the widest that combs stand
/// apart (common practice).
const BEE_SPACE_MOST: f64 = INCH * 3.0 / 8.0;
const SPACING_MOST: f64 = 38.0;

/// Every size that panels are made from, in millimetres: x across the frames, y along them, z up from the walls' lower
/// edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sizes {
    /// Thickness of the sides, and of front and back.
    pub side: f64,
    pub end: f64,
    /// Outside of the walls.
    pub width: f64,
    pub length: f64,
    pub height: f64,
    /// Clear between the two walls at the frames' ends, or the two inner walls.
    pub inside_length: f64,
    /// Of a loose floor.
    pub rim: f64,
    /// z of what the lugs lie on.
    pub rest: f64,
    /// How far the lugs' rest reaches into the end, from its inner face.
    pub rest_depth: f64,
    /// From one rest to the other.
    pub rest_to_rest: f64,
    /// Of the frames, centre to centre.
    pub spacing: f64,
    /// x of the middle of the row of frames.
    pub frames_middle: f64,
    /// What the frames of a room leave of its width, on both sides together; and the boards between rooms.
    pub room_gap: f64,
    pub partition: f64,
    /// x of the division board's left face.
    pub division: f64,
    /// How far anything outside the ends, near their upper edge, stands out from the walls.
    pub stands_out: f64,
}

impl Sizes {
    pub(super) fn new(design: &FrameBox, board: &Board) -> Sizes {
        let (side, end) = (board.of("side"), board.of("front"));
        let frame = &design.frame;
        let (top_bar, lug) = (frame.top_bar_length.value, frame.lug_thickness.value);
        let standard = frame.standard_box.as_ref();

        let rest_to_rest = top_bar + lug_gap(design, end);
        let inside_length = match design.rest {
            Rest::Cleat => rest_to_rest - 2.0 * end,
            _ => inside_length(design, standard),
        };
        let length = match design.rest {
            Rest::Cleat => rest_to_rest,
            Rest::Rabbet => inside_length + 2.0 * end,
            Rest::InnerWall => match standard.and_then(|standard| standard.outside.as_ref()) {
                Some(outside) => outside.value[1],
                None => rest_to_rest + 2.0 * board.of("rail"),
            },
        };

        let row = f64::from(design.frames) * frame.spacing.value;
        let board_beside = if design.division_board { board.of("division board") } else { 0.0 };
        let partition = board.of("partition");
        let room_gap = design.side_gap.unwrap_or(keys::SIDE_GAP.mm());
        let trade = standard.filter(|standard| {
            design.rooms.is_empty()
                && design.side_gap.is_none()
                && standard.frames.value == design.frames
                && standard.has_width()
        });
        let inside_width = match (trade, design.side_gap) {
            _ if !design.rooms.is_empty() => {
                let rooms = design.rooms.len() as f64;
                row + rooms * room_gap + (rooms - 1.0) * partition
            }
            (Some(standard), _) => standard.inside_width(side),
            (None, gap) => {
                let gap = gap.unwrap_or(keys::SIDE_GAP.mm());
                // With a division board there are three gaps instead of two.
                row + board_beside + if design.division_board { 1.5 * gap } else { gap }
            }
        };
        let width = inside_width + 2.0 * side;
        let gaps = if design.division_board { 3.0 } else { 2.0 };
        let mut gap = (inside_width - row - board_beside) / gaps;
        // The trade's box is wider than its frames: hung evenly, they leave a bee space at either wall.
        let mut spacing = frame.spacing.value;
        if trade.is_some() && !design.division_board && design.frames > 1 {
            let spread = 2.0 * (gap - BEE_SPACE_MOST).max(0.0) / f64::from(design.frames - 1);
            let spread = spread.min((SPACING_MOST - spacing).max(0.0));
            spacing += spread;
            gap -= spread * f64::from(design.frames - 1) / 2.0;
        }
        let row = inside_width - board_beside - gaps * gap;

        let depth = frame.depth.value;
        let (above, below) = above_and_below(design, standard);
        let rest = depth - lug + below;
        Sizes {
            side,
            end,
            width,
            length,
            height: rest + lug + above,
            inside_length,
            rim: design.rim.unwrap_or((INCH - below).clamp(INCH / 2.0, INCH * 3.0 / 4.0)),
            rest,
            spacing,
            rest_to_rest,
            room_gap,
            partition,
            rest_depth: (rest_to_rest - inside_length) / 2.0,
            frames_middle: side + gap + row / 2.0,
            division: side + gap + row + gap,
            stands_out: if design.rest == Rest::Cleat { board.of("rest cleat") } else { 0.0 },
        }
    }

    /// y of the inner face of the front wall at the frames' ends.
    pub(super) fn front(&self) -> f64 {
        (self.length - self.inside_length) / 2.0
    }
}

/// Above the top bars, and below the frames.
fn above_and_below(design: &FrameBox, standard: Option<&StandardBox>) -> (f64, f64) {
    let top = design.bee_space() == BeeSpace::Top;
    let above = design.above.unwrap_or(match (top, design.floor) {
        (false, _) => 0.0,
        (true, Floor::Fixed) => INCH * 3.0 / 8.0,
        (true, _) => INCH / 4.0,
    });
    let depth = design.frame.depth.value;
    let below = design.below.unwrap_or(match (design.floor, standard) {
        (Floor::Fixed, _) => INCH * 3.0 / 4.0,
        (_, Some(standard)) => (standard.height.value - depth - above).max(0.0),
        // Below one box's frames and above the next one's there is one bee space in all.
        (_, None) => (INCH * 3.0 / 8.0 - above).max(0.0),
    });
    (above, below)
}

/// Beyond the top bar, rest to rest. Ends that the lugs lie on stand as far in as they are thick: in thick ones the lugs get
/// more room, so that the end bars keep a bee space from the wall.
fn lug_gap(design: &FrameBox, end: f64) -> f64 {
    let usual = keys::LUG_GAP.mm();
    let lug = (design.frame.top_bar_length.value - design.frame.body_length.value) / 2.0;
    let more = match design.rest {
        Rest::Cleat => (2.0 * (END_LEAST + end - lug)).min(LUG_GAP_MOST),
        _ => usual,
    };
    design.lug_gap.unwrap_or(more.max(usual))
}

fn inside_length(design: &FrameBox, standard: Option<&StandardBox>) -> f64 {
    match (design.end_gap, standard.and_then(|standard| standard.inside.as_ref())) {
        (None, Some(inside)) => inside.value[1],
        (gap, _) => {
            let body = design.frame.body_length.value;
            let lug = (design.frame.top_bar_length.value - body) / 2.0;
            body + 2.0 * gap.unwrap_or((lug - BEARING).clamp(END_GAP_LEAST, END_GAP))
        }
    }
}

impl StandardBox {
    fn has_width(&self) -> bool {
        self.inside.is_some() || self.outside.is_some()
    }

    /// Clear inside across the frames, in walls of this thickness.
    fn inside_width(&self, t: f64) -> f64 {
        match (&self.outside, &self.inside) {
            (Some(outside), _) => outside.value[0] - 2.0 * t,
            (None, Some(inside)) => inside.value[0],
            (None, None) => 0.0,
        }
    }
}
