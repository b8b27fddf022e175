//! What a job costs, as it is printed: lines add up, and prices are for what a maker buys at a time.

use crate::drawn::look::sums;
use crate::shared::{check, make, samples};
use nestwright::Made;
use nestwright::finding::{Check, JobCheck};
use nestwright::supply::{Supply, Unit};
use nestwright::units::Units;

/// Of all samples and starters; those of random jobs are looked at wherever these are made.
#[test]
fn sums_are_those_of_the_lines_above_them() {
    let starters = nestwright::starters::ALL.iter().map(|starter| (starter.name.to_string(), starter.text.to_string()));
    for (name, spec) in samples().into_iter().chain(starters) {
        let priced = format!("{spec}\n[cost]\nrate = 37.77\nhandwork = 41\nmargin = 33\n{PRICES}");
        let spec = if spec.contains("\n[cost]") { spec } else { priced };
        let made = make(&spec);
        assert!(made.cost.total > 0.0, "{name}");
        sums(&made).unwrap_or_else(|why| panic!("{name}: {why}"));
    }
}

/// Prices that leave no sum at a whole cent.
const PRICES: &str =
    "item = [{ name = \"glue\", price = 13.37, per = 3 }, { name = \"paint\", price = 17.77, per = 7 }]\n";

/// Three boxes of one price to share a sheet of 100: a third of it each is no whole number of cents.
#[test]
fn three_thirds_of_a_sheet_are_printed_as_they_add_up() {
    let made = make(&tray("mm", "price = 100", 3, ""));
    let cost = &made.cost;
    assert_eq!((cost.boxes[0].cost, cost.total), (33.33, 99.99));
}

fn tray(units: &str, price: &str, count: u32, more: &str) -> String {
    format!(
        r#"
        title = "tray"
        units = "{units}"
        stock = {{ material = "birch-plywood", size = ["2440 mm", "1220 mm"], thickness = "12 mm", {price} }}
        saw = {{ kerf = "3 mm" }}
        [[box]]
        name = "tray"
        kind = "open-box"
        count = {count}
        inside = ["300 mm", "200 mm", "80 mm"]
        {more}
        "#
    )
}

fn paid_for(made: &Made, what: &str) -> f64 {
    let lines = &made.cost.boxes[0].lines;
    lines.iter().find(|line| line.what == what).unwrap_or_else(|| panic!("no {what}: {lines:?}")).amount
}

/// A kilogram is 2.2046 lb and a litre 2.1134 US pints (NIST Handbook 44, appendix C, 2024): who pays as much for a pound as
/// another for a kilogram pays that many times as much.
#[test]
fn a_price_is_for_a_pound_or_a_pint_in_an_inch_job() {
    for (item, times) in [("glue", 2.204_6), ("paint", 2.113_4)] {
        let price = format!("[[cost.item]]\nname = \"{item}\"\nprice = 50000");
        let [mm, inch] = ["mm", "in"].map(|units| paid_for(&make(&tray(units, "", 1, &price)), item));
        assert!((inch / mm - times).abs() < 2e-4, "{item}: {mm} {inch}");
    }
}

/// Sixteen ounces are a pound, and sixteen fluid ounces a pint.
#[test]
fn a_pound_and_a_pint_are_printed_as_such() {
    let shown = |unit: Unit, amount: f64| {
        let supply = Supply {
            item: "glue".into(),
            what: "waterproof glue".into(),
            unit,
            total: amount,
            boxes: Vec::new(),
            pieces: Vec::new(),
            sold: None,
        };
        supply.show(amount, Units::Inches)
    };
    assert_eq!(shown(Unit::Kilograms, 0.226_796), "8 oz");
    assert_eq!(shown(Unit::Kilograms, 0.680_389), "1.5 lb");
    assert_eq!(shown(Unit::Litres, 0.118_294), "4 fl oz");
    assert_eq!(shown(Unit::Litres, 0.946_353), "2 pt");
    assert_eq!(shown(Unit::SquareMetres, 0.185_806), "2 sq ft");
}

#[test]
fn a_stock_that_nothing_is_cut_from_is_told_by_its_name_and_place() {
    let spec = |also: &str| {
        format!(
            r#"
            title = "tray"
            [[stock]]
            name = "ply"
            material = "birch-plywood"
            size = [2440, 1220]
            thickness = 12
            [[stock]]
            name = "thin"
            material = "birch-plywood"
            size = [1220, 1220]
            thickness = {also}
            [[box]]
            name = "tray"
            kind = "open-box"
            count = 1
            stock = "ply"
            inside = [300, 200, 80]
            "#
        )
    };
    let told = |also: &str| {
        let text = spec(also);
        let found = check(&text).findings;
        let found = found.into_iter().find(|it| it.id == Check::Job(JobCheck::StockOfNothing));
        found.map(|it| (it.subject.clone(), text[it.spot.expect("a place").start..].to_string()))
    };
    let (name, place) = told("6").expect("a caution");
    assert!(name == "thin" && place.starts_with("[[stock]]\n            name = \"thin\""), "{name}: {place}");
    assert_eq!(told("12"), None, "the same sheet in another size serves the box, too");
}

/// What is bought: sheets by their size, brads by the pack that their price is for.
#[test]
fn the_list_says_how_things_are_sold() {
    let made = crate::shared::make(
        "title = \"two trays\"\nunits = \"mm\"\n\
         stock = { material = \"birch-plywood\", size = [1250, 625], thickness = 12.1, on-hand = 4 }\nsaw = { kerf = 3 }\n\
         cost = { item = [{ name = \"brad-1-1-4\", price = 9, per = 10 }, { name = \"birch-plywood 12.1 mm\", price = 40 }] }\n\
         box = { name = \"tray\", kind = \"open-box\", count = 2, inside = [400, 300, 80] }\n",
    );
    let sheets = &made.supplies[0];
    assert_eq!(sheets.total, made.saw.sheets.len() as f64);
    assert!(sheets.what.ends_with("of birch plywood, 1250 × 625 mm, 12.1 mm thick; 4 there"), "{}", sheets.what);
    let brads = made.supplies.iter().find(|it| it.item == "brad-1-1-4").expect("brads");
    let packs = (brads.total / 10.0).ceil();
    assert_eq!(brads.to_buy(made.job.units), format!("{} ({packs} packs of 10)", brads.total));
    let told = made.findings.iter().find(|it| it.subject == "birch-plywood 12.1 mm").expect("a caution");
    assert!(told.advice.contains("[[stock]]"), "{}", told.advice);
}
