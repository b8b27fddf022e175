//! The keys of a spec, table by table. The reference in the book is printed from them.

use super::cutting;
use crate::design::{Face, Grain, HoleUse};
use crate::finding::JobCheck;
use crate::paper::Paper;
use crate::reading::{Key, Takes, Unless, key};
use crate::units::Units;

/// Boxes of one kind in one job.
pub const MOST_BOXES: u32 = 10_000;

/// Pieces in one job, reckoning ten to a box.
pub const MOST_PIECES: u64 = 20_000;

/// Different boxes in one job, `[[box]]`: more than a shop builds from one plan.
pub const MOST_ORDERS: usize = 200;

/// Different loose parts in one job, `[[part]]`.
pub const MOST_LOOSE: usize = 1_000;

/// Different sheets in one job, `[[stock]]`.
pub const MOST_STOCKS: usize = 100;

/// Holes in a box or a loose part, and recesses.
pub const MOST_HOLES: usize = 200;

/// Boards added to a box.
pub const MOST_BOARDS: usize = 50;

/// Prices in one job, `[[cost.item]]`.
pub const MOST_PRICES: usize = 1_000;

pub const TITLE: Key = key("title", Takes::Text, Unless::Needed, "what the job is called on every drawing");
pub const OWNER: Key =
    key("owner", Takes::Text, Unless::Rule("left free"), "whose the drawings are, in the title block");
pub const DRAWN_BY: Key = key("drawn-by", Takes::Text, Unless::Rule("left free"), "who drew them, in the title block");
pub const STOCK_LIST: Key =
    key("stock", Takes::Tables("[stock] or several [[stock]]", &[STOCK]), Unless::Needed, "the sheets there are");
pub const BOX_LIST: Key =
    key("box", Takes::Tables("[[box]]", &[BOX]), Unless::Needed, "the boxes to build").or(&[("part", "[[part]]")]);

pub const UNITS: Key =
    key("units", Takes::Words(Units::NAMES), Unless::Word("mm"), "what bare numbers mean, and what is shown");
pub const PAPER: Key = key(
    "paper",
    Takes::Words(Paper::NAMES),
    Unless::Rule("a4 in mm, letter in inches"),
    "what drawings and templates are printed on",
);
pub const ROUTER_TABLE: Key = key(
    "router",
    Takes::Table("[router]", &[ROUTER, cutting::KEYS]),
    Unless::Rule("nothing is cut by CNC"),
    "the router and its tools",
);
pub const SAW_TABLE: Key = key("saw", Takes::Table("[saw]", &[SAW]), Unless::Rule("nothing is cut by hand"), "the saw");
pub const PART_LIST: Key =
    key("part", Takes::Tables("[[part]]", &[PART]), Unless::Rule("none"), "parts that belong to no box");
pub const HARDWARE_TABLE: Key =
    key("hardware", Takes::Table("[hardware]", &[HARDWARE]), Unless::Rule("what suits the stock"), "nails and paint");
pub const COST_TABLE: Key = key(
    "cost",
    Takes::Table("[cost]", &[COST]),
    Unless::Rule("only sheets are priced"),
    "prices, and what an hour in the shop costs",
);

pub const ACCEPT: Key = key(
    "accept",
    Takes::ListOf("[checks by id]", JobCheck::CAUTION_NAMES),
    Unless::Rule("every caution is told"),
    "cautions that are known and accepted, by the ids of `check --json`: counted, and no longer told one by one",
);

pub const TOP: &[Key] = &[
    TITLE,
    OWNER,
    DRAWN_BY,
    ACCEPT,
    UNITS,
    PAPER,
    STOCK_LIST,
    ROUTER_TABLE,
    SAW_TABLE,
    BOX_LIST,
    PART_LIST,
    HARDWARE_TABLE,
    COST_TABLE,
];

pub const MATERIAL: Key = key("material", Takes::Profile, Unless::Needed, "what the sheet is made of");
pub const SHEET_SIZE: Key = key(
    "size",
    Takes::Lengths("[length, width]", 100.0, 20_000.0),
    Unless::Needed,
    "of a sheet or a board, along the grain first",
);
pub const THICKNESS: Key = key(
    "thickness",
    Takes::Length(2.0, 80.0),
    Unless::Needed,
    "measured with calipers, not the label; of a sheet that isn't even, [thinnest, thickest]",
);
pub const NOMINAL: Key = key(
    "nominal",
    Takes::Length(2.0, 80.0),
    Unless::Rule("what was measured"),
    "the thickness it is sold as, which its standard's tolerance is about",
);

pub const MOISTURE: Key = key(
    "moisture",
    Takes::Number(4.0, 25.0),
    Unless::Rule("the middle of its season"),
    "solid wood: per cent of its dry weight, when it was measured",
);
pub const SEASON: Key = key(
    "season",
    Takes::Numbers("[driest, dampest]", 4.0, 25.0),
    Unless::Rule("the material's"),
    "solid wood: per cent of moisture, from the driest to the dampest that it will be",
);

pub const GLUE_UP: Key = key(
    "glue-up",
    Takes::Whole(2, 12),
    Unless::Rule("boards as bought"),
    "solid wood: so many of these boards are glued edge to edge before anything is cut; price and on-hand are those of boards",
);

pub const FROM: Key = key(
    "from",
    Takes::Said("a file's name"),
    Unless::Rule("sheets as bought"),
    "the off-cuts in this list, `offcuts.toml` of an earlier job, are the sheets; they cost nothing",
);

pub const STOCK_NAME: Key =
    key("name", Takes::Text, Unless::Rule("material and thickness"), "to tell several stocks apart");
pub const ON_HAND: Key =
    key("on-hand", Takes::Whole(0, 10_000), Unless::Rule("as many as it takes"), "sheets there are");
pub const STOCK_PRICE: Key =
    key("price", Takes::Number(0.0, 1e6), Unless::Rule("not priced"), "of a sheet, in any currency");
pub const USABLE: Key = key(
    "usable",
    Takes::Lengths("[length, width]", 20.0, 20_000.0),
    Unless::Pair(&[Unless::Mm(300.0), Unless::Mm(100.0)]),
    "what is left over and at least so large is kept, and listed in offcuts.toml",
);
pub const TRIM: Key = key("trim", Takes::Length(0.0, 100.0), Unless::Mm(0.0), "saw: cut off each factory edge first");
pub const STOCK_MARGIN: Key = key(
    "margin",
    Takes::Length(0.0, 500.0),
    Unless::Or(&Unless::Mm(10.0), "; room for screws, where that takes no more sheets; with `flip`, for pins"),
    "router: keep away from the edges",
);

pub const KEEP_OUT: Key = key(
    "keep-out",
    Takes::Tables("[[stock.keep-out]]", &[KEPT_OUT]),
    Unless::Rule("none"),
    "router: places where nothing is nested, driven or cut, on every sheet of this stock: a knot, a broken corner, a clamp",
);
pub const KEEP_OUT_AT: Key = key(
    "at",
    Takes::Lengths("[along, up]", 0.0, 20_000.0),
    Unless::Needed,
    "its lower-left corner, from the sheet's own: along its length, and up",
);
pub const KEEP_OUT_SIZE: Key =
    key("size", Takes::Lengths("[length, width]", 1.0, 20_000.0), Unless::Needed, "along the sheet's length first");
pub const KEEP_OUT_WHY: Key = key("why", Takes::Text, Unless::Rule("nothing"), "what is there: `knot`, `clamp`");

pub const KEEP_OUT_HEIGHT: Key = key(
    "height",
    Takes::Length(0.0, 95.0),
    Unless::Mm(0.0),
    "how far it stands up from the sheet, as a clamp does: rapid moves go higher than that",
);

/// The keys of `[[stock.keep-out]]`.
pub const KEPT_OUT: &[Key] = &[KEEP_OUT_AT, KEEP_OUT_SIZE, KEEP_OUT_WHY, KEEP_OUT_HEIGHT];

pub const STOCK: &[Key] = &[
    STOCK_NAME,
    MATERIAL,
    SHEET_SIZE,
    THICKNESS,
    NOMINAL,
    MOISTURE,
    SEASON,
    GLUE_UP,
    ON_HAND,
    STOCK_PRICE,
    FROM,
    USABLE,
    TRIM,
    STOCK_MARGIN,
    KEEP_OUT,
];

pub const MACHINE: Key = key("machine", Takes::Profile, Unless::Needed, "the router");
pub const CUTTER: Key = key("cutter", Takes::Profile, Unless::Needed, "the end mill that cuts the parts out");

pub const DRILLS: Key = key("drills", Takes::Profiles, Unless::Rule("none"), "drills that may be put in it");
pub const CLEARANCE: Key = key(
    "clearance",
    Takes::Length(0.0, 100.0),
    Unless::Inch(1.0 / 32.0),
    "wood left between parts, beside the cutter's width",
);

pub const SHEET_ZERO: Key = Key { default: Unless::Rule("the machine's own"), ..crate::profile::SHEET_ZERO };

pub const CUTTER_DIAMETER: Key = key(
    "cutter-diameter",
    Takes::Length(0.5, 200.0),
    Unless::Rule("as in its profile"),
    "what calipers show of the cutter today: worn or ground anew, up to a tenth from its profile",
);

pub const ROUTER: &[Key] = &[MACHINE, SHEET_ZERO, CUTTER, CUTTER_DIAMETER, DRILLS, CLEARANCE];

pub const KERF: Key = key("kerf", Takes::Length(0.0, 20.0), Unless::Needed, "width of the saw's cut");

/// What is sawn with, unless told: the profile of this name is built in.
pub const DEFAULT_SAW: &str = "table-saw";

pub const SAW_MACHINE: Key = key("machine", Takes::Profile, Unless::Rule("table-saw"), "what there is to saw with");
pub const SAW_TOGETHER: Key = key(
    "together",
    Takes::Whole(1, 50),
    Unless::Of(3.0),
    "sheets broken down together, so that one fence setting serves them all",
);
pub const SAW_STAGES: Key = key(
    "stages",
    Takes::Whole(2, 20),
    Unless::Rule("no limit"),
    "stages of cuts at most: all one way, then all across them, and so on; what trims a piece to size counts, what \
         trims the sheet does not",
);

pub const SAW: &[Key] = &[KERF, SAW_MACHINE, SAW_TOGETHER, SAW_STAGES];

pub const BOX_NAME: Key = key("name", Takes::Text, Unless::Needed, "what the box is called");
pub const BOX_COUNT: Key = key(
    "count",
    Takes::Said("1 to 10000, or \"max\""),
    Unless::Needed,
    "how many; max: as many as the sheets on hand give",
);
pub const PER_SET: Key = key(
    "per-set",
    Takes::Whole(1, 100),
    Unless::Of(1.0),
    "with count = \"max\": so many of these in each set; sets are built as often as they go",
);
pub const KIND: Key = key("kind", Takes::Said("a kind of box"), Unless::Needed, "frame-box, cavity-box or open-box");

pub const STANDS_ON: Key =
    key("stands-on", Takes::Said("a box's name"), Unless::Rule("none"), "the box of this job that it is to stand on");

pub const BOX_STOCK: Key =
    key("stock", Takes::Said("a stock's name"), Unless::Rule("the first stock"), "what it is made from");
pub const PANEL_STOCK: Key = key(
    "panel-stock",
    Takes::Said("{ panels = a stock's name, … }"),
    Unless::Rule("what the box is made from"),
    "which panels are made from another stock: { floor = \"ply\", cleats = \"boards\", walls = … }",
);
pub const PANEL_GRAIN: Key = key(
    "panel-grain",
    Takes::Said("{ front = \"across\", floor = \"up\" }"),
    Unless::Rule("solid wood: along the walls of a hive, else along each panel's longer side; sheets: any"),
    "which way the grain of a panel, or of all `walls`, runs: across, up (of a floor or cover: front to back), or any",
);
pub const BOX_HOLE: Key =
    key("hole", Takes::Tables("[[box.hole]]", &[HOLE]), Unless::Rule("none"), "holes in its panels");
pub const BOX_POCKET: Key =
    key("pocket", Takes::Tables("[[box.pocket]]", &[POCKET]), Unless::Rule("none"), "recesses in its panels");

pub const BOX_BOARD: Key = key(
    "board",
    Takes::Tables("[[box.board]]", &[BOARD]),
    Unless::Rule("none"),
    "boards added to it: a divider, a shelf, legs, a board to hang it by",
);

pub const BOX: &[Key] = &[
    BOX_NAME,
    KIND,
    BOX_COUNT,
    PER_SET,
    BOX_STOCK,
    PANEL_STOCK,
    PANEL_GRAIN,
    STANDS_ON,
    BOX_BOARD,
    BOX_HOLE,
    BOX_POCKET,
];

pub const BOARD_NAME: Key =
    key("name", Takes::Text, Unless::Needed, "what it is called: holes, grain and stock name it as any panel");
pub const BETWEEN: Key = key(
    "between",
    Takes::Said("[\"front\", \"back\"]"),
    Unless::Needed,
    "the two panels that it reaches from and to: walls, or boards added before it",
)
.or(&[("against", "a panel's name")]);
pub const AGAINST: Key = key(
    "against",
    Takes::Said("a panel's name, or several in brackets"),
    Unless::Needed,
    "the panel on whose face it lies; of several, one on each",
)
.or(&[("between", "[\"front\", \"back\"]")]);
pub const BOARD_FACE: Key = key(
    "face",
    Takes::Words(Face::NAMES),
    Unless::Word("outer"),
    "with `against`: the face it lies on, outside the box or in it",
);
const FOLLOWS: Unless = Unless::Rule("as far as there is room");
const BOARD_SIZE: Takes = Takes::Length(5.0, 20_000.0);
pub const BOARD_WIDTH: Key = key("width", BOARD_SIZE, FOLLOWS, "how wide it is, from left to right");
pub const BOARD_DEPTH: Key = key("depth", BOARD_SIZE, FOLLOWS, "how deep it is, from front to back");
pub const BOARD_HEIGHT: Key = key(
    "height",
    BOARD_SIZE,
    Unless::Rule("in the box up to the lower of its walls, outside as high as what it lies on"),
    "how high it is",
);
const PLACE: Unless = Unless::Rule("in the middle, and on the floor");
const AWAY: Takes = Takes::Length(-20_000.0, 20_000.0);
pub const FROM_LEFT: Key = key(
    "from-left",
    AWAY,
    PLACE,
    "from the inside of the left wall to the board's near face or end; outside from the edge of what it lies on, less \
     than 0 where it reaches past it",
);
pub const FROM_RIGHT: Key = key("from-right", AWAY, PLACE, "the same from the right");
pub const FROM_FRONT: Key = key("from-front", AWAY, PLACE, "the same from the front");
pub const FROM_BACK: Key = key("from-back", AWAY, PLACE, "the same from the back");
pub const FROM_FLOOR: Key = key("from-floor", AWAY, PLACE, "the same from the floor, or from the walls' lower edge");
pub const FROM_TOP: Key = key("from-top", AWAY, PLACE, "the same from the walls' upper edge");
pub const BOARD_STOCK: Key =
    key("stock", Takes::Said("a stock's name"), Unless::Rule("what the box is made from"), "what it is made from");
pub const LET_IN: Key = key(
    "let-in",
    Takes::Length(0.0, 40.0),
    Unless::Mm(0.0),
    "with `between`: how deep the grooves are that its edges stand in, in every panel that they meet; 0: it butts",
);

/// Its size along each axis, and its distance from either side.
pub const BOARD_SIZES: [Key; 3] = [BOARD_WIDTH, BOARD_DEPTH, BOARD_HEIGHT];
pub const BOARD_FROM: [[Key; 2]; 3] = [[FROM_LEFT, FROM_RIGHT], [FROM_FRONT, FROM_BACK], [FROM_FLOOR, FROM_TOP]];

pub const BOARD: &[Key] = &[
    BOARD_NAME,
    BETWEEN,
    AGAINST,
    BOARD_FACE,
    BOARD_WIDTH,
    BOARD_DEPTH,
    BOARD_HEIGHT,
    FROM_LEFT,
    FROM_RIGHT,
    FROM_FRONT,
    FROM_BACK,
    FROM_FLOOR,
    FROM_TOP,
    BOARD_STOCK,
    LET_IN,
];

pub const PANEL: Key =
    key("panel", Takes::Said("a panel's name"), Unless::Needed, "which panel: front, left side, floor, ...");
pub const USE: Key = key("use", Takes::Words(HoleUse::NAMES), Unless::Needed, "what the hole is for");
pub const DIAMETER: Key = key("diameter", Takes::Length(1.0, 1000.0), Unless::Needed, "of a round hole")
    .or(&[("slot", "[length, width]"), ("size", "[width, height]")]);
pub const ACROSS: Key = key(
    "across",
    Takes::Said("\"centre\" or a length"),
    Unless::Needed,
    "centre from the panel's left edge, seen from outside; a floor or cover is seen from above",
);
pub const UP: Key = key(
    "up",
    Takes::Length(0.0, 20_000.0),
    Unless::Needed,
    "centre above the panel's lower edge; of a floor or cover, from its front edge",
)
.or(&[("down", "a length")]);
pub const DOWN: Key = key(
    "down",
    Takes::Length(0.0, 20_000.0),
    Unless::Needed,
    "centre below the panel's upper edge; of a floor or cover, from its back edge",
)
.or(&[("up", "a length")]);

pub const MESH: Key = key(
    "mesh",
    Takes::Flag,
    Unless::Rule("true for vents of a hive"),
    "number-eight hardware cloth over it, inside; of a box",
);

pub const COUNTERBORE: Key = key(
    "counterbore",
    Takes::Lengths("[diameter, depth]", 0.1, 1000.0),
    Unless::Rule("none"),
    "a round recess about the hole, in the outer face: for a screw's head",
);

pub const SLOT: Key = key("slot", Takes::Lengths("[length, width]", 1.0, 2000.0), Unless::Needed, "of a slot")
    .or(&[("diameter", "a length"), ("size", "[width, height]")]);

pub const OPENING_SIZE: Key = key(
    "size",
    Takes::Lengths("[width, height]", 1.0, 2000.0),
    Unless::Needed,
    "of a rectangular opening, as the panel stands: along its lower edge, and up",
)
.or(&[("diameter", "a length"), ("slot", "[length, width]")]);
pub const CORNER_RADIUS: Key = key(
    "corner-radius",
    Takes::Length(0.0, 1000.0),
    Unless::Rule("the cutter's radius and a little; without a router 0, a square corner"),
    "of a rectangular opening's corners",
);

pub const UPRIGHT: Key =
    key("upright", Takes::Flag, Unless::Is(false), "the slot stands upright, instead of lying along the lower edge");
pub const TURN: Key = key(
    "turn",
    Takes::Whole(0, 90),
    Unless::Of(0.0),
    "degrees by which a slot is turned: 0 along the lower edge, or 90, the same as `upright = true`",
);
pub const ROW: Key =
    key("row", Takes::Whole(1, 50), Unless::Of(1.0), "so many holes side by side; their middle is the place");
pub const COLUMN: Key =
    key("column", Takes::Whole(1, 50), Unless::Of(1.0), "so many above each other; their middle is the place");
pub const PITCH: Key = key(
    "pitch",
    Takes::Length(1.0, 5000.0),
    Unless::Rule("none; needed for a row or a column"),
    "from the middle of one hole of a row or a column to that of the next",
);

pub const HOLE: &[Key] = &[
    PANEL,
    USE,
    DIAMETER,
    SLOT,
    UPRIGHT,
    TURN,
    OPENING_SIZE,
    CORNER_RADIUS,
    COUNTERBORE,
    ACROSS,
    UP,
    DOWN,
    ROW,
    COLUMN,
    PITCH,
    MESH,
];

pub const POCKET_FACE: Key =
    key("face", Takes::Words(Face::NAMES), Unless::Word("outer"), "the face it is cut from; of a loose part the upper");
pub const POCKET_SIZE: Key = key(
    "size",
    Takes::Lengths("[length, width]", 2.0, 20_000.0),
    Unless::Needed,
    "across the panel and up it; open where it reaches past the edge",
);
pub const POCKET_DEPTH: Key = key("depth", Takes::Length(0.1, 80.0), Unless::Needed, "how deep");
pub const POCKET_PURPOSE: Key =
    key("purpose", Takes::Text, Unless::Rule("pocket"), "what it is for: groove, rabbet, ...");

pub const POCKET: &[Key] = &[PANEL, POCKET_FACE, POCKET_SIZE, POCKET_DEPTH, POCKET_PURPOSE, ACROSS, UP, DOWN];

pub const PART_NAME: Key = key("name", Takes::Text, Unless::Needed, "what the part is called");
pub const PART_SIZE: Key =
    key("size", Takes::Lengths("[length, width]", 10.0, 20_000.0), Unless::Needed, "length and width")
        .or(&[("outline", "a drawing's file")]);
pub const OUTLINE: Key = key(
    "outline",
    Takes::Said("a file's name"),
    Unless::Needed,
    "a drawing in DXF, in its own units, from this file's folder: the outermost closed line is the part, those in it are \
     openings",
)
.or(&[("size", "[length, width]")]);

pub const PART_COUNT: Key = key(
    "count",
    Takes::Said("1 to 10000, or \"max\""),
    Unless::Rule("1"),
    "how many; max: as many as the sheets on hand give",
);
pub const PART_GRAIN: Key = key(
    "grain",
    Takes::Words(Grain::NAMES),
    Unless::Or(&Unless::Word("any"), "; solid wood: along the longer side"),
    "long: the face grain runs along the first of `size`; cross: along the second",
);
pub const PART_STOCK: Key =
    key("stock", Takes::Said("a stock's name"), Unless::Rule("the first stock"), "what it is made from");
pub const PART_HOLE: Key = key("hole", Takes::Tables("[[part.hole]]", &[HOLE]), Unless::Rule("none"), "holes in it");
pub const PART_POCKET: Key =
    key("pocket", Takes::Tables("[[part.pocket]]", &[POCKET]), Unless::Rule("none"), "recesses in it");

pub const PART: &[Key] =
    &[PART_NAME, PART_SIZE, OUTLINE, PART_COUNT, PER_SET, PART_GRAIN, PART_STOCK, PART_HOLE, PART_POCKET];

pub const FASTENER: Key = key(
    "fastener",
    Takes::Profile,
    Unless::Rule("brads that suit the stock"),
    "what holds the joints; or `nails` or `screws`, each joint getting the length that suits it",
);
pub const SCREW_HOLES: Key = key(
    "screw-holes",
    Takes::Flag,
    Unless::Is(false),
    "clearance and pilot holes for the screws of joints, by the router where it has a bit for them",
);
pub const SPACING: Key =
    key("spacing", Takes::Length(10.0, 500.0), Unless::Rule("the fastener's"), "from one fastener to the next");
pub const COATS: Key =
    key("coats", Takes::Whole(0, 10), Unless::Of(2.0), "coats of paint outside; the inside stays bare");

pub const HARDWARE: &[Key] = &[FASTENER, SCREW_HOLES, SPACING, COATS];

/// Nothing a small shop buys costs more.
const DEAREST: f64 = 1e6;

pub const CURRENCY: Key =
    key("currency", Takes::Text, Unless::Rule("none"), "sign of the currency, shown with every sum");
pub const RATE: Key = key("rate", Takes::Number(0.0, DEAREST), Unless::Rule("not priced"), "of an hour in the shop");
pub const HANDWORK: Key =
    key("handwork", Takes::Number(0.0, 100_000.0), Unless::Rule("none"), "minutes of work by hand on each box");
pub const COST_MARGIN: Key = key(
    "margin",
    Takes::Number(0.0, 95.0),
    Unless::Rule("no price is worked out"),
    "per cent of the selling price that is not cost",
);
pub const ITEM: Key = key(
    "item",
    Takes::Tables("[[cost.item]]", &[COST_ITEM]),
    Unless::Rule("not priced"),
    "prices of things on the hardware list",
);

pub const COST: &[Key] = &[CURRENCY, RATE, HANDWORK, COST_MARGIN, ITEM];

pub const COST_ITEM_NAME: Key =
    key("name", Takes::Text, Unless::Needed, "as the hardware list prints it, or its short name");
pub const COST_ITEM_PRICE: Key = key("price", Takes::Number(0.0, DEAREST), Unless::Needed, "what it costs");

pub const PER: Key = key(
    "per",
    Takes::Number(0.001, DEAREST),
    Unless::Of(1.0),
    "the price is for so many pieces, or so many kilograms, litres or square metres; in an inch job so many pounds, US \
     pints or square feet",
);

pub const COST_ITEM: &[Key] = &[COST_ITEM_NAME, COST_ITEM_PRICE, PER];
