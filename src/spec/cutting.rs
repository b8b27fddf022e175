//! The keys of `[router]` that say how parts are cut and held.

use crate::job::{Cutting, Direction, Flip, Hold, Lead, Relief};
use crate::reading::{Key, Table, Takes, Unless, key};

pub const HOLD: Key = key(
    "hold",
    Takes::Words(Hold::NAMES),
    Unless::Word("tabs"),
    "what keeps a part in its place until the spindle stands",
);
pub const TAB_WIDTH: Key =
    key("tab-width", Takes::Length(2.0, 50.0), Unless::Mm(6.0), "of a tab at its top, along the outline");
pub const TAB_HEIGHT: Key = key(
    "tab-height",
    Takes::Length(0.5, 20.0),
    Unless::Mm(3.0),
    "of a tab above the sheet's lower face; at most half the sheet",
);
pub const SKIN: Key = key("skin", Takes::Length(0.1, 3.0), Unless::Mm(0.5), "thickness of an onion skin");
pub const CUT: Key = key(
    "cut",
    Takes::Words(Direction::NAMES),
    Unless::Word("climb"),
    "the direction in which the cutter goes along the wood that stays",
);
pub const FINISH: Key = key(
    "finish",
    Takes::Length(0.0, 3.0),
    Unless::Mm(0.0),
    "left on walls for a last, light pass: at most a quarter of the cutter's diameter; nothing where a place is too narrow",
);
pub const LEAD: Key = key(
    "lead",
    Takes::Words(Lead::NAMES),
    Unless::Word("arc"),
    "lead-in and lead-out: how the cutter comes to an outline and leaves it",
);
pub const RELIEF: Key = key(
    "relief",
    Takes::Words(Relief::NAMES),
    Unless::Word("diagonal"),
    "dogbone relief: how an inside corner is opened for a square edge; in a notch diagonal needs a width of 1.42 cutters, \
     deep of 2",
);
pub const SCREWS: Key =
    key("screws", Takes::Flag, Unless::Is(true), "plan hold-down screws in the waste, and stop for them to be driven");
pub const HOLE_ALLOWANCE: Key = key(
    "hole-allowance",
    Takes::Length(0.0, 2.0),
    Unless::Mm(0.0),
    "a bored hole is made this much larger, for fibres that spring back",
);
pub const DWELL: Key =
    key("dwell", Takes::Number(0.0, 10.0), Unless::Of(0.0), "seconds a drill stays at the bottom of a hole");
pub const FEED: Key = key(
    "feed",
    Takes::Length(10.0, 100_000.0),
    Unless::Rule("from the chip load"),
    "the cutter's feed, a length per minute",
);
pub const FLIP: Key = key(
    "flip",
    Takes::Words(Flip::NAMES),
    Unless::Rule("not turned over"),
    "turn the sheet over about this middle line for recesses below",
);
pub const PIN: Key = key(
    "pin",
    Takes::Length(3.0, 25.0),
    Unless::Rule("what the tools make"),
    "diameter of the registration pins of a sheet that is turned over",
);
pub const LABELS: Key = key(
    "labels",
    Takes::Flag,
    Unless::Is(false),
    "engrave number and name of each part of a box into the face that will be hidden",
);
pub const LABEL_DEPTH: Key =
    key("label-depth", Takes::Length(0.2, 2.0), Unless::Mm(0.5), "of labels; no deeper than a quarter of the board");
pub const JOINT_LINES: Key = key(
    "joint-lines",
    Takes::Flag,
    Unless::Is(false),
    "cut lines 0.3 mm deep where boards will sit, into the faces that they cover",
);
pub const IN_CUT_OUTS: Key = key(
    "in-cut-outs",
    Takes::Flag,
    Unless::Is(false),
    "nest small parts in what comes out of openings of others: wider than five cutters, with room for the slots around \
         both and a tab between them",
);
pub const SPEED: Key = key(
    "speed",
    Takes::Number(100.0, 60_000.0),
    Unless::Rule("the tool's own"),
    "the cutter's speed, revolutions per minute",
);

/// Diameter of registration pins (mm) where no tool makes a hole for any; the sheet is then refused, with the reason.
const USUAL_PIN: f64 = 6.0;

pub(super) const KEYS: &[Key] = &[
    HOLD,
    TAB_WIDTH,
    TAB_HEIGHT,
    SKIN,
    CUT,
    FINISH,
    LEAD,
    RELIEF,
    SCREWS,
    HOLE_ALLOWANCE,
    DWELL,
    FEED,
    FLIP,
    PIN,
    LABELS,
    LABEL_DEPTH,
    JOINT_LINES,
    IN_CUT_OUTS,
    SPEED,
];

/// Every choice as it is unless a spec says otherwise.
impl Default for Cutting {
    fn default() -> Cutting {
        Cutting {
            hold: HOLD.word(),
            tab_width: TAB_WIDTH.mm(),
            tab_height: TAB_HEIGHT.mm(),
            skin: SKIN.mm(),
            direction: CUT.word(),
            finish: FINISH.mm(),
            lead: LEAD.word(),
            relief: RELIEF.word(),
            screws: SCREWS.flag(),
            hole_allowance: HOLE_ALLOWANCE.mm(),
            dwell: DWELL.number(),
            feed: None,
            speed: None,
            flip: None,
            pin: USUAL_PIN,
            labels: LABELS.flag(),
            label_depth: LABEL_DEPTH.mm(),
            joint_lines: JOINT_LINES.flag(),
            in_cut_outs: IN_CUT_OUTS.flag(),
        }
    }
}

/// The choices; what is wrong or left out is as by default.
pub(super) fn read(table: &Table) -> Cutting {
    let hold = table.choice(&HOLD);
    let cutting = Cutting {
        hold: hold.unwrap_or_else(|| HOLD.word()),
        tab_width: table.mm(&TAB_WIDTH),
        tab_height: table.mm(&TAB_HEIGHT),
        skin: table.mm(&SKIN),
        direction: table.chosen(&CUT),
        finish: table.mm(&FINISH),
        lead: table.chosen(&LEAD),
        relief: table.chosen(&RELIEF),
        screws: table.is(&SCREWS),
        hole_allowance: table.mm(&HOLE_ALLOWANCE),
        dwell: table.number(&DWELL).unwrap_or(DWELL.number()),
        feed: table.length(&FEED),
        flip: table.choice(&FLIP),
        pin: table.length(&PIN).unwrap_or(USUAL_PIN),
        labels: table.is(&LABELS),
        label_depth: table.mm(&LABEL_DEPTH),
        joint_lines: table.is(&JOINT_LINES),
        in_cut_outs: table.is(&IN_CUT_OUTS),
        speed: table.number(&SPEED),
    };
    // A wrong choice is complained of already.
    let skinned = cutting.hold == Hold::OnionSkin || (hold.is_none() && table.has("hold"));
    let serve = [
        (
            "in-cut-outs",
            !skinned || !cutting.in_cut_outs,
            "expected hold = \"tabs\" beside it: what comes out of an opening is held by tabs",
        ),
        ("skin", skinned, "expected hold = \"onion-skin\" beside it"),
        ("label-depth", cutting.labels, "expected labels = true beside it"),
        ("pin", table.has("flip"), "expected flip = \"length\" or \"width\" beside it"),
    ];
    for (key, serves, expected) in serve {
        if let Some(spot) = table.spot(key).filter(|_| !serves) {
            table.desk.problem(spot, format!("`{key}` changes nothing here"), expected, "");
        }
    }
    cutting
}
