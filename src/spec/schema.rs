//! The keys of a spec, table by table. The reference in the README says what is said here.

use crate::reading::{Key, key};
use crate::units::INCH;

/// Boxes of one kind in one job.
pub const MOST_BOXES: u32 = 10_000;

/// Pieces in one job, reckoning ten to a box.
pub const MOST_PIECES: u64 = 6_000;

/// Different boxes in one job, `[[box]]`: more than a shop builds from one plan.
pub const MOST_ORDERS: usize = 200;

/// Different loose parts in one job, `[[part]]`.
pub const MOST_LOOSE: usize = 1_000;

/// Different sheets in one job, `[[stock]]`.
pub const MOST_STOCKS: usize = 100;

/// Holes in a box or a loose part, and recesses.
pub const MOST_HOLES: usize = 200;

/// Prices in one job, `[[cost.item]]`.
pub const MOST_PRICES: usize = 1_000;

/// What a router stays away from the sheet's edges (mm), unless told.
pub const DEFAULT_MARGIN: f64 = 10.0;

/// Wood left between parts beside the cutter (mm), unless told: enough for the next part not to feel the cut.
pub const DEFAULT_CLEARANCE: f64 = INCH / 32.0;

pub const TITLE: Key = key("title", "text", "", "what the job is called on every drawing");
pub const STOCK_LIST: Key = key("stock", "[stock] or several [[stock]]", "", "the sheets there are");
pub const BOX_LIST: Key = key("box", "[[box]]", "", "the boxes to build").or("part", "[[part]]");

pub const TOP: &[Key] = &[
    TITLE,
    key("units", "\"mm\" | \"in\"", "mm", "what bare numbers mean, and what is shown"),
    key(
        "paper",
        "a4 | a3 | letter | tabloid",
        "a4 in mm, letter in inches",
        "what drawings and templates are printed on",
    ),
    STOCK_LIST,
    key("router", "[router]", "nothing is cut by CNC", "the router and its tools"),
    key("saw", "[saw]", "nothing is cut by hand", "the saw"),
    BOX_LIST,
    key("part", "[[part]]", "none", "parts that belong to no box"),
    key("hardware", "[hardware]", "what suits the stock", "nails and paint"),
    key("cost", "[cost]", "only sheets are priced", "prices, and what an hour in the shop costs"),
];

pub const MATERIAL: Key = key("material", "a profile", "", "what the sheet is made of");
pub const SHEET_SIZE: Key = key("size", "[length, width]", "", "of a sheet, along the face grain first");
pub const THICKNESS: Key = key("thickness", "a length", "", "measured with calipers, not the label");

pub const FROM: Key = key(
    "from",
    "a file's name",
    "sheets as bought",
    "the off-cuts in this list, `offcuts.toml` of an earlier job, are the sheets; they cost nothing",
);

pub const STOCK: &[Key] = &[
    key("name", "text", "material and thickness", "to tell several stocks apart"),
    MATERIAL,
    SHEET_SIZE,
    THICKNESS,
    key("on-hand", "a whole number", "as many as it takes", "sheets there are"),
    key("price", "a number", "not priced", "of a sheet, in any currency"),
    FROM,
    key(
        "usable",
        "[length, width]",
        "[300 mm, 100 mm]",
        "what is left over and at least so large is kept, and listed in offcuts.toml",
    ),
    key("trim", "a length", "0", "saw: cut off each factory edge first"),
    key(
        "margin",
        "a length",
        "10 mm; room for screws, where that takes no more sheets; with `flip`, for pins",
        "router: keep away from the edges",
    ),
];

pub const MACHINE: Key = key("machine", "a profile", "", "the router");
pub const CUTTER: Key = key("cutter", "a profile", "", "the end mill that cuts the parts out");

pub const ROUTER: &[Key] = &[
    MACHINE,
    CUTTER,
    key("drills", "[profiles]", "none", "drills that may be put in it"),
    key("clearance", "a length", "1/32 in", "wood left between parts, beside the cutter's width"),
];

pub const KERF: Key = key("kerf", "a length", "", "width of the saw's cut");

/// What is sawn with, unless told: the profile of this name is built in.
pub const DEFAULT_SAW: &str = "table-saw";

/// Sheets broken down together, unless told: about what fits around a bench.
pub const SHEETS_TOGETHER: u32 = 3;

pub const SAW: &[Key] = &[
    KERF,
    key("machine", "a profile", "table-saw", "what there is to saw with: see `nestwright profiles`"),
    key("together", "1 to 50", "3", "sheets broken down together, so that one fence setting serves them all"),
    key(
        "stages",
        "2 to 20",
        "no limit",
        "stages of cuts at most: all one way, then all across them, and so on; what trims a piece to size counts, what \
         trims the sheet does not",
    ),
];

pub const BOX_NAME: Key = key("name", "text", "", "what the box is called");
pub const BOX_COUNT: Key =
    key("count", "1 to 10000, or \"max\"", "", "how many; max: as many as the sheets on hand give");
pub const PER_SET: Key = key(
    "per-set",
    "1 to 100",
    "1",
    "with count = \"max\": so many of these in each set; sets are built as often as they go",
);
pub const KIND: Key = key("kind", "a kind of box", "", "frame-box, cavity-box or open-box");

pub const STANDS_ON: Key = key("stands-on", "a box's name", "none", "the box of this job that it is to stand on");

pub const BOX: &[Key] = &[
    BOX_NAME,
    KIND,
    BOX_COUNT,
    PER_SET,
    key("stock", "a stock's name", "the first stock", "what it is made from"),
    STANDS_ON,
    key("hole", "[[box.hole]]", "none", "holes in its panels"),
    key("pocket", "[[box.pocket]]", "none", "recesses in its panels"),
];

pub const PANEL: Key = key("panel", "a panel's name", "", "which panel: front, left side, floor, ...");
pub const USE: Key = key("use", "entrance | vent | handhold | drain | feed | pilot", "", "what the hole is for");
pub const DIAMETER: Key = key("diameter", "a length", "", "of a round hole").or("slot", "[length, width]");
pub const ACROSS: Key =
    key("across", "\"centre\" or a length", "", "centre from the panel's left edge, seen from outside");
pub const UP: Key = key("up", "a length", "", "centre above the panel's lower edge").or("down", "a length");
pub const DOWN: Key = key("down", "a length", "", "centre below the panel's upper edge").or("up", "a length");

pub const MESH: Key =
    key("mesh", "true | false", "true for vents of a hive", "number-eight hardware cloth over it, inside; of a box");

pub const COUNTERBORE: Key = key(
    "counterbore",
    "[diameter, depth]",
    "none",
    "a round recess about the hole, in the outer face: for a screw's head",
);

pub const HOLE: &[Key] = &[
    PANEL,
    USE,
    DIAMETER,
    key("slot", "[length, width]", "", "of a slot").or("diameter", "a length"),
    COUNTERBORE,
    ACROSS,
    UP,
    DOWN,
    MESH,
];

pub const POCKET_FACE: Key =
    key("face", "outer | inner", "outer", "the face it is cut from; of a loose part the upper");
pub const POCKET_SIZE: Key =
    key("size", "[length, width]", "", "across the panel and up it; open where it reaches past the edge");
pub const POCKET_DEPTH: Key = key("depth", "a length", "", "how deep");
pub const POCKET_PURPOSE: Key = key("purpose", "text", "pocket", "what it is for: groove, rabbet, ...");

pub const POCKET: &[Key] = &[PANEL, POCKET_FACE, POCKET_SIZE, POCKET_DEPTH, POCKET_PURPOSE, ACROSS, UP, DOWN];

pub const PART_NAME: Key = key("name", "text", "", "what the part is called");
pub const PART_SIZE: Key = key("size", "[length, width]", "", "length and width");

pub const PART: &[Key] = &[
    PART_NAME,
    PART_SIZE,
    key("count", "1 to 10000, or \"max\"", "1", "how many; max: as many as the sheets on hand give"),
    PER_SET,
    key(
        "grain",
        "long | cross | any",
        "any",
        "long: the face grain runs along the first of `size`; cross: along the second",
    ),
    key("stock", "a stock's name", "the first stock", "what it is made from"),
    key("hole", "[[part.hole]]", "none", "holes in it"),
    key("pocket", "[[part.pocket]]", "none", "recesses in it"),
];

pub const HARDWARE: &[Key] = &[
    key("fastener", "a profile", "brads that suit the stock", "what holds the joints"),
    key("spacing", "a length", "the fastener's", "from one fastener to the next"),
    key("coats", "0 to 10", "2", "coats of paint outside; the inside stays bare"),
];

/// Coats of paint, unless told.
pub const DEFAULT_COATS: u32 = 2;

pub const COST: &[Key] = &[
    key("currency", "text", "none", "sign of the currency, shown with every sum"),
    key("rate", "a number", "not priced", "of an hour in the shop"),
    key("handwork", "a number", "none", "minutes of work by hand on each box"),
    key("margin", "0 to 95", "no price is worked out", "per cent of the selling price that is not cost"),
    key("item", "[[cost.item]]", "not priced", "prices of things on the hardware list"),
];

pub const COST_ITEM_NAME: Key = key("name", "text", "", "as on the hardware list");
pub const COST_ITEM_PRICE: Key = key("price", "a number", "", "what it costs");

pub const COST_ITEM: &[Key] = &[
    COST_ITEM_NAME,
    COST_ITEM_PRICE,
    key("per", "a number", "1", "the price is for so many pieces, kilograms, litres or square metres"),
];
