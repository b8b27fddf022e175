//! The keys of `[router]` that say how parts are cut and held.

use crate::job::{Cutting, Direction, Flip, Hold, Lead, Relief};
use crate::reading::{Key, Table, key};

pub(super) const KEYS: &[Key] = &[
    key("hold", "tabs | onion-skin", "tabs", "what keeps a part in its place until the spindle stands"),
    key("tab-width", "a length", "6 mm", "of a tab at its top, along the outline"),
    key("tab-height", "a length", "3 mm", "of a tab above the sheet's lower face; at most half the sheet"),
    key("skin", "a length", "0.5 mm", "thickness of an onion skin"),
    key("cut", "climb | conventional", "climb", "which way the cutter goes along the wood that stays"),
    key("finish", "a length", "0", "left on walls for a last, light pass: at most a quarter of the cutter's diameter"),
    key("lead", "arc | straight | none", "arc", "how the cutter comes to an outline and leaves it"),
    key("relief", "diagonal | deep | wide", "diagonal", "how an inside corner is opened for a square edge"),
    key("screws", "true | false", "true", "plan hold-down screws in the waste, and stop for them to be driven"),
    key("hole-allowance", "a length", "0", "a bored hole is made this much larger, for fibres that spring back"),
    key("dwell", "a number", "0", "seconds a drill stays at the bottom of a hole"),
    key("feed", "a length", "from the chip load", "the cutter's feed, a length per minute"),
    key("flip", "length | width", "not turned over", "turn the sheet over about this middle line for recesses below"),
    key("pin", "a length", "what the tools make", "diameter of the registration pins of a sheet that is turned over"),
    key(
        "labels",
        "true | false",
        "false",
        "engrave number and name of each part of a box into the face that will be hidden",
    ),
    key("label-depth", "a length", "0.5 mm", "of labels; no deeper than a quarter of the board"),
    key(
        "in-cut-outs",
        "true | false",
        "false",
        "nest small parts in what comes out of openings of others: wider than five cutters, with room for the slots around \
         both and a tab between them",
    ),
    key("speed", "a number", "the tool's own", "the cutter's speed, revolutions per minute"),
];

/// The choices; what is wrong or left out is as by default.
pub(super) fn read(table: &Table) -> Cutting {
    let plain = Cutting::default();
    let length = |key: &str, least: f64, most: f64| table.length(key, least..=most);
    let hold = table.choice("hold", &[("tabs", Hold::Tabs), ("onion-skin", Hold::OnionSkin)]);
    let cutting = Cutting {
        hold: hold.unwrap_or(plain.hold),
        tab_width: length("tab-width", 2.0, 50.0).unwrap_or(plain.tab_width),
        tab_height: length("tab-height", 0.5, 20.0).unwrap_or(plain.tab_height),
        skin: length("skin", 0.1, 3.0).unwrap_or(plain.skin),
        direction: table
            .choice("cut", &[("climb", Direction::Climb), ("conventional", Direction::Conventional)])
            .unwrap_or(plain.direction),
        finish: length("finish", 0.0, 3.0).unwrap_or(plain.finish),
        lead: table
            .choice("lead", &[("arc", Lead::Arc), ("straight", Lead::Straight), ("none", Lead::None)])
            .unwrap_or(plain.lead),
        relief: table
            .choice("relief", &[("diagonal", Relief::Diagonal), ("deep", Relief::Deep), ("wide", Relief::Wide)])
            .unwrap_or(plain.relief),
        screws: table.flag("screws").unwrap_or(plain.screws),
        hole_allowance: length("hole-allowance", 0.0, 2.0).unwrap_or(plain.hole_allowance),
        dwell: table.number("dwell", 0.0..=10.0).unwrap_or(plain.dwell),
        feed: length("feed", 10.0, 100_000.0),
        flip: table.choice("flip", &[("length", Flip::Length), ("width", Flip::Width)]),
        pin: length("pin", 3.0, 25.0).unwrap_or(plain.pin),
        labels: table.flag("labels").unwrap_or(plain.labels),
        label_depth: length("label-depth", 0.2, 2.0).unwrap_or(plain.label_depth),
        in_cut_outs: table.flag("in-cut-outs").unwrap_or(plain.in_cut_outs),
        speed: table.number("speed", 100.0..=60_000.0),
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
