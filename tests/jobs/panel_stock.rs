//! A box of several stocks: each panel knows its own board.

use crate::shared::{check, make};
use nestwright::finding::{Check, Finding, JobCheck};

/// Sides and ends of three-quarter-inch boards, floor and cover of half-inch plywood.
const MIXED: &str = r#"
    title = "mixed"
    stock = [
        { name = "thick", material = "softwood-plywood", size = [2440, 1220], thickness = 19, price = 30 },
        { name = "thin", material = "birch-plywood", size = [1220, 1220], thickness = 12, price = 20 },
    ]
    router = { machine = "desktop-router", cutter = "endmill-6" }
    saw = { kerf = 3.2 }
    [[box]]
    name = "nuc"
    kind = "frame-box"
    count = 2
    frame = "langstroth-deep"
    frames = 5
    rest = "rabbet"
    panel-stock = { floor = "thin", cover = "thin" }
    hole = [{ panel = "front", use = "entrance", diameter = 20, across = "centre", up = 22 }]
"#;

#[test]
fn each_panel_is_cut_from_its_own_stock() {
    let made = make(MIXED);
    for part in &made.parts {
        let thin = part.name == "floor" || part.name == "cover";
        assert_eq!((part.stock, part.thickness), if thin { (1, 12.0) } else { (0, 19.0) }, "{}", part.name);
    }
    // By hand: the sheets that hold a thin part hold thin parts only, and are as thick.
    for sheet in &made.layout.sheets {
        let all = sheet.placements.iter().map(|placement| made.parts[placement.part].stock);
        assert!(all.clone().all(|stock| stock == sheet.stock) && all.count() > 0);
        assert_eq!(sheet.thickness, made.job.stock[sheet.stock].thickness);
    }
    let sawn: Vec<usize> = made.patterns.iter().map(|pattern| pattern.stock).collect();
    assert!(sawn.contains(&0) && sawn.contains(&1), "{sawn:?}");
    // The floor hangs 12 mm below the walls, not 19; the frames hang where they do in a box of one stock.
    let nuc = &made.assemblies[0];
    let lowest = nuc.panel("floor").expect("a floor").bounds().0.z;
    assert!((lowest + 12.0).abs() < 1e-9, "{lowest}");
    let one = make(&MIXED.replace("panel-stock = { floor = \"thin\", cover = \"thin\" }", ""));
    let rest = |made: &nestwright::made::Made| made.assemblies[0].frames.as_ref().expect("frames").rest;
    assert_eq!(rest(&made), rest(&one));
}

/// A brad for a floor of 12 mm is one for 12 mm, one for walls of 19 mm one for those.
#[test]
fn nails_suit_the_board_they_go_through() {
    let made = make(MIXED);
    let text: Vec<String> = made.steps[0].steps.iter().map(|step| step.text.join(" ")).collect();
    let has = |words: &str, length: &str| {
        let step = text.iter().find(|step| step.contains(words)).unwrap_or_else(|| panic!("no `{words}` in {text:#?}"));
        assert!(step.contains(length), "{step}");
    };
    has("Glue the left side to the front and the back.", "brads of 50.8 mm");
    has("Glue the floor to", "brads of 31.8 mm");
}

fn ranges(spec: &str) -> Vec<Finding> {
    let found = check(spec).findings;
    found.into_iter().filter(|finding| finding.id == Check::Job(JobCheck::StockThickness)).collect()
}

/// The walls' thickness has limits of its own; a floor and a cover of any thickness do.
#[test]
fn each_stock_has_a_range_of_its_own() {
    let ranges = ranges(MIXED);
    let about: Vec<&str> = ranges.iter().map(|finding| finding.subject.as_str()).collect();
    assert_eq!(about, ["nuc", "nuc, cover and floor"]);
    let least = |i: usize| ranges[i].thickness.and_then(|limits| limits.least);
    assert!(least(0).is_some_and(|least| least > 12.0), "{:?}", ranges[0]);
    assert!(least(1).is_none_or(|least| least < 9.0), "{:?}", ranges[1]);
}

/// A back alone would be thicker than the front opposite.
#[test]
fn a_back_of_another_thickness_than_its_front_is_refused_at_its_line() {
    let found = check(&MIXED.replace("floor = \"thin\", cover = \"thin\"", "back = \"thin\"")).findings;
    let refused = found.iter().find(|finding| finding.refused()).expect("a refusal");
    assert_eq!((refused.id, refused.subject.as_str()), (Check::Job(JobCheck::PanelStock), "nuc, back"));
    assert!(refused.advice.contains("`walls`"), "{}", refused.advice);
    assert!(refused.spot.as_ref().is_some_and(|spot| !spot.is_empty()));
    // All walls at once are fine: then it is a box of 12 mm with a floor of 19.
    let walls = check(&MIXED.replace("floor = \"thin\", cover = \"thin\"", "walls = \"thin\"")).findings;
    assert!(walls.iter().all(|finding| finding.id != Check::Job(JobCheck::PanelStock)), "{walls:#?}");
}

/// What is sold as half an inch is from 0.453 to 0.531 in: 12 mm birch plywood of at least 11.5 mm (EN 315:2000, Plywood,
/// tolerances for dimensions, CEN: sanded boards of 12 mm from 11.5 to 12.2 mm), up to 17/32 in, the label of the thickest
/// softwood plywood (NIST Voluntary Product Standard PS 1-19, 2019: performance category 1/2 up to 17/32 in). Ranges from memory.
#[test]
fn the_default_nuc_holds_in_whatever_is_sold_as_half_an_inch() {
    let spec = |thickness: f64| {
        format!(
            "title = \"nuc\"\nunits = \"in\"\n\
             stock = {{ material = \"softwood-plywood\", size = [\"96 in\", \"48 in\"], thickness = \"{thickness} in\" }}\n\
             router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
             [[box]]\nname = \"nuc\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = 5\n"
        )
    };
    for thickness in [0.453, 0.472, 0.5, 0.531] {
        let found = check(&spec(thickness)).findings;
        let refused: Vec<&Finding> = found.iter().filter(|finding| finding.refused()).collect();
        assert!(refused.is_empty(), "{thickness}: {refused:#?}");
    }
    let [range] = &ranges(&spec(0.472))[..] else { panic!("one stock") };
    let limits = range.thickness.expect("a range");
    assert!(limits.hold(0.453 * 25.4) && limits.hold(0.531 * 25.4), "{limits:?}");
}

/// Boards between a roost's chambers carry nothing. Agencies' plans have them from quarter-inch plywood, the walls from
/// half-inch or thicker (common practice).
#[test]
fn boards_that_carry_nothing_are_cut_from_thin_sheet_if_there_is_some() {
    let spec = |more: &str, thin: f64| {
        format!(
            "title = \"roosts\"\nunits = \"mm\"\nsaw = {{ kerf = 3 }}\nstock = [\n\
             {{ name = \"thick\", material = \"softwood-plywood\", size = [2440, 1220], thickness = 18 }},\n\
             {{ name = \"thin\", material = \"softwood-plywood\", size = [2440, 1220], thickness = {thin} }}]\n\
             [[box]]\nname = \"roost\"\nkind = \"cavity-box\"\ncount = 1\noccupant = \"bat\"\nchambers = 3\n{more}"
        )
    };
    let boards = |made: &nestwright::Made| -> Vec<f64> {
        made.parts.iter().filter(|part| part.name.contains("chamber board")).map(|part| part.thickness).collect()
    };
    let thin = make(&spec("", 6.5));
    assert!(!boards(&thin).is_empty());
    assert!(boards(&thin).iter().all(|thickness| (*thickness - 6.5).abs() < 1e-9));
    assert!(thin.parts.iter().any(|part| part.thickness == 18.0));
    // A veneer of 3 mm is no board, and what is named is made as it is named.
    assert!(boards(&make(&spec("", 3.0))).iter().all(|thickness| (*thickness - 18.0).abs() < 1e-9));
    let named = make(&spec("panel-stock = { \"chamber board\" = \"thick\" }\n", 6.5));
    assert!(boards(&named).iter().all(|thickness| (*thickness - 18.0).abs() < 1e-9));
}
