//! Small parts in the openings of others: where they lie, when they are cut, and what that saves.

use crate::shared::{check, problems};
use nestwright::Made;
use nestwright::geometry::Point;
use nestwright::job::CutBy;
use nestwright::layout::fewest::of_stocks;
use nestwright::layout::{Placement, verify};
use nestwright::route::OperationKind;
use proptest::prelude::*;
use std::fmt::Write;

const SHEET: &str = "title = \"fronts\"\nunits = \"mm\"\n\
    stock = { material = \"birch-plywood\", size = [1220, 610], thickness = 12, margin = 10 }\n";

fn spec(router: &str, parts: &str) -> String {
    format!("{SHEET}router = {{ machine = \"shop-router\", cutter = \"endmill-6\"{router} }}\n{parts}")
}

fn part(name: &str, size: [u32; 2], count: u32, more: &str) -> String {
    format!("[[part]]\nname = \"{name}\"\nsize = {size:?}\ncount = {count}\n{more}\n")
}

fn hole(size: &str, [across, up]: [u32; 2]) -> String {
    format!("[[part.hole]]\nuse = \"vent\"\n{size}\nacross = {across}\nup = {up}\n")
}

fn made(spec: &str) -> Made {
    nestwright::make(check(spec), &crate::shared::search()).unwrap_or_else(|error| panic!("{error}\n{spec}"))
}

/// Where a piece lies in an opening of another on its sheet: sheet, piece and holder by placement. Told by the middle of the
/// piece and the openings' own outlines.
fn inside(made: &Made) -> Vec<(usize, usize, usize)> {
    let mut found = Vec::new();
    for (number, sheet) in made.layout.sheets.iter().enumerate() {
        for (i, inner) in sheet.placements.iter().enumerate() {
            let middle = inner.bounds(&made.parts[inner.part]).center();
            let in_opening = |outer: &Placement| {
                let part = &made.parts[outer.part];
                let back: Point = outer.affine(part).inverse() * middle;
                outer != inner && part.holes.iter().any(|hole| hole.outline().contains(back))
            };
            found.extend(sheet.placements.iter().position(in_opening).map(|holder| (number, i, holder)));
        }
    }
    found
}

/// Is all that is done to a piece in an opening done before the opening is cut around, and that before its part is?
fn order_holds(made: &Made) {
    for (sheet, piece, holder) in inside(made) {
        let route = made.routes.iter().find(|route| route.sheet == sheet).expect("a route");
        let operations: Vec<_> = route.runs.iter().flat_map(|run| &run.operations).collect();
        let of = |piece: usize, kind: OperationKind| {
            operations
                .iter()
                .enumerate()
                .filter(move |(_, it)| it.piece == Some(piece) && it.kind == kind)
                .map(|(i, _)| i)
        };
        let last_of_piece = operations.iter().rposition(|it| it.piece == Some(piece)).expect("it is cut");
        let around = of(holder, OperationKind::Cutout).min().expect("cut around");
        assert_eq!(operations[last_of_piece].kind, OperationKind::Outline);
        assert!(last_of_piece < around, "{last_of_piece} and {around}");
        assert!(of(holder, OperationKind::Cutout).max() < of(holder, OperationKind::Outline).min());
    }
}

fn sound(made: &Made) {
    let gap = made.job.router.as_ref().expect("given").gap();
    assert_eq!(verify(&made.job, &made.parts, &made.layout, gap), Vec::<String>::new());
    assert!(crate::shared::proved(&made.proof));
    order_holds(made);
}

/// Two fronts fill a sheet; the cleats and blocks for them come out of their openings, or take a sheet of their own.
#[test]
fn small_parts_come_out_of_openings_where_that_is_asked_for() {
    let parts = part("front", [590, 590], 2, &hole("diameter = 180", [295, 295]))
        + &part("cleat", [120, 40], 2, "grain = \"long\"")
        + &part("block", [60, 50], 2, "");
    let asked = made(&spec(", in-cut-outs = true", &parts));
    sound(&asked);
    assert_eq!((asked.layout.sheets.len(), inside(&asked).len()), (1, 4));
    for name in ["cleat", "block"] {
        assert_eq!(
            inside(&asked)
                .iter()
                .filter(|(sheet, piece, _)| {
                    let placement = asked.layout.sheets[*sheet].placements[*piece];
                    asked.parts[placement.part].name == name
                })
                .count(),
            2,
            "{name}"
        );
    }
    let not_asked = made(&spec("", &parts));
    sound(&not_asked);
    assert_eq!((not_asked.layout.sheets.len(), inside(&not_asked).len()), (2, 0));
    // Two sheets are proved to be needed where they are, and are not where one does.
    let fewest = |made: &Made| of_stocks(&made.job, &made.parts, CutBy::Router)[0].bound.sheets;
    assert_eq!((fewest(&asked), fewest(&not_asked)), (1, 2));
}

/// What lies askew in an opening, or too near its wall, is found by the check; so is what is no longer in it.
#[test]
fn a_piece_out_of_its_place_in_an_opening_is_found() {
    let parts = part("front", [590, 590], 1, &hole("slot = [300, 130]", [295, 295])) + &part("block", [60, 50], 1, "");
    let made = made(&spec(", in-cut-outs = true", &parts));
    sound(&made);
    let (sheet, piece, _) = inside(&made)[0];
    let gap = made.job.router.as_ref().expect("given").gap();
    for (by, wrong) in [(0.0, false), (50.0, false), (56.0, true), (70.0, true), (120.0, true)] {
        let mut layout = made.layout.clone();
        layout.sheets[sheet].placements[piece].y += by;
        assert_eq!(!verify(&made.job, &made.parts, &layout, gap).is_empty(), wrong, "{by}");
    }
}

/// A part that could only lie across its grain stays outside.
#[test]
fn grain_holds_in_openings_too() {
    let front =
        part("front", [590, 590], 1, &(String::from("grain = \"long\"\n") + &hole("slot = [300, 130]", [295, 295])));
    for (grain, within) in [("long", 1), ("cross", 0), ("any", 1)] {
        let rail = part("rail", [200, 40], 1, &format!("grain = \"{grain}\""));
        let made = made(&spec(", in-cut-outs = true", &(front.clone() + &rail)));
        sound(&made);
        assert_eq!(inside(&made).len(), within, "{grain}");
    }
}

/// What a drill makes at once has no middle that comes out in one piece.
#[test]
fn nothing_lies_where_a_drill_goes() {
    let parts = part("front", [590, 590], 1, &hole("diameter = 180", [295, 295])) + &part("block", [60, 50], 1, "");
    let mut checked = check(&spec(", in-cut-outs = true, drills = [\"drill-20\"]", &parts));
    let router = checked.job.router.as_mut().expect("given");
    let mut drill = (*router.drills[0]).clone();
    drill.diameter.value = 180.0;
    router.drills = vec![std::sync::Arc::new(drill)];
    let made = nestwright::make(checked, &crate::shared::search()).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(inside(&made).len(), 0);
}

/// Under an onion skin nothing holds what comes out of an opening.
#[test]
fn an_onion_skin_is_refused_beside_it() {
    let parts = part("front", [590, 590], 1, &hole("diameter = 180", [295, 295]));
    let told = problems(&spec(", hold = \"onion-skin\", in-cut-outs = true", &parts));
    assert!(told.iter().any(|it| it.contains("in-cut-outs") && it.contains("hold = \"tabs\"")), "{told:?}");
    // Not asked for, it needs nothing beside it.
    let read = check(&spec(", hold = \"onion-skin\", in-cut-outs = false", &parts));
    assert!(read.job.router.is_some_and(|router| !router.cutting.in_cut_outs));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]
    /// Openings of any width, what fits and what does not, with a finishing pass, wide tabs or an allowance for holes.
    #[test]
    fn whatever_lies_in_openings_is_cut_and_proved(
        holders in prop::collection::vec((100u32..260, 0u32..150, 1u32..3), 1..3),
        small in prop::collection::vec((30u32..140, 25u32..70, 1u32..4, prop::sample::select(vec!["long", "cross", "any"])), 1..4),
        choice in prop::sample::select(vec!["", ", finish = 0.4", ", tab-width = 9", ", hole-allowance = 0.3", ", cut = \"conventional\""]),
    ) {
        let mut parts = String::new();
        for (i, (width, longer, count)) in holders.iter().enumerate() {
            let size = match longer {
                0..40 => format!("diameter = {width}"),
                40..95 => format!("slot = [{}, {width}]", width + longer),
                _ => format!("size = [{}, {width}]", width + longer),
            };
            parts += &part(&format!("h{i}"), [width + longer + 100, width + 80], *count, &hole(&size, [(width + longer + 100) / 2, (width + 80) / 2]));
        }
        for (i, (length, width, count, grain)) in small.iter().enumerate() {
            let _ = write!(parts, "{}", part(&format!("s{i}"), [*length.max(width), *width.min(length)], *count, &format!("grain = \"{grain}\"")));
        }
        sound(&made(&spec(&format!(", in-cut-outs = true{choice}"), &parts)));
    }
}

/// The picture of the sheet has a bar for each tab round a part, and some in the opening that holds the lids; cleats in a row are
/// named once, with how many there are.
#[test]
fn tabs_in_openings_and_rows_of_small_pieces_are_on_the_picture() {
    let made = made(
        r#"
        title = "rims"
        stock = { material = "birch-plywood", size = [1200, 800], thickness = 12 }
        router = { machine = "desktop-router", cutter = "endmill-6", in-cut-outs = true }
        [[part]]
        name = "frame"
        size = [700, 500]
        count = 1
        hole = [{ use = "handhold", slot = [500, 300], across = "centre", up = 250 }]
        [[part]]
        name = "lid"
        size = [200, 120]
        count = 2
        [[part]]
        name = "cleat"
        size = [300, 14]
        count = 5
        "#,
    );
    let picture = nestwright::draw::sheet_picture(&made, 0);
    let bar = |mark: &&nestwright::draw::Mark| {
        let nestwright::draw::Mark::Area { outlines, pen: nestwright::draw::Pen::Solid } = mark else { return false };
        // Dots of flags are round, the mark of the zero has three corners.
        outlines.len() == 1 && outlines[0].vertices.len() == 4 && outlines[0].segments().all(|side| !side.is_arc())
    };
    let bars = picture.marks.iter().filter(bar).count();
    let round_parts = made.routes[0].holding.tabs.len();
    assert!(bars >= round_parts + 2, "{bars} bars for {round_parts} tabs round parts");
    let texts: Vec<&str> = picture.texts().map(|text| text.text.as_str()).collect();
    let cleats = texts.iter().filter(|text| text.starts_with("3 cleat")).count();
    assert!(cleats < 5 && texts.iter().any(|text| text.ends_with(" in a row")), "{texts:?}");
}
