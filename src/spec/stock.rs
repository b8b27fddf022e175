//! The sheets there are.

use super::schema::{self, STOCK};
use crate::geometry::Rect;
use crate::job::{GluedUp, KeepOut, Moisture, Router, Stock};
use crate::profile::{Machine, Material, Profiles};
use crate::reading::{Sourced, Table};
use std::sync::Arc;

pub(super) fn read(table: &Table, profiles: &Profiles) -> Option<Stock> {
    table.only(&[STOCK]);
    let material = table.needed(&schema::MATERIAL, table.profile::<Material>("material", profiles));
    let size = table.needed(&schema::SHEET_SIZE, table.lengths::<2>(&schema::SHEET_SIZE));
    let thickness = table.needed(&schema::THICKNESS, thickness(table));
    let nominal = table.length(&schema::NOMINAL);
    // A wrong number is told here; it does not count as left out as well.
    let on_hand = table.whole(&schema::ON_HAND).or(table.has("on-hand").then_some(0));
    let price = table.number(&schema::STOCK_PRICE);
    let trim = table.mm(&schema::TRIM);
    let margin = table.mm(&schema::STOCK_MARGIN);
    let told = (table.number(&schema::MOISTURE), table.rising(&schema::SEASON, table.numbers(&schema::SEASON)));
    let name = table.name("name");
    let boards = table.whole(&schema::GLUE_UP);
    let (material, [length, width], [thinnest, thickness]) = (material?, size?, thickness?);
    let moisture = moisture(table, &material, told);
    let glued = boards.filter(|_| material.wood.is_some()).map(|boards| GluedUp { boards, width });
    let width = glued.map_or(width, GluedUp::panel);
    let price = price.map(|price| price * f64::from(boards.unwrap_or(1)));
    let on_hand = on_hand.map(|boards_there| boards_there / boards.unwrap_or(1));
    let edge = f64::max(trim, margin);
    if length.min(width) < 2.0 * edge + 50.0 {
        let units = table.desk.units();
        table.desk.problem(
            table.spot("size").unwrap_or(table.span.clone()),
            "nothing is left of the sheet inside its margin and trim",
            format!("expected a sheet of at least {} {units}", units.number_above(2.0 * edge + 50.0, 0)),
            "",
        );
        return None;
    }
    let name = name.map_or_else(
        || {
            let of = glued.map_or_else(String::new, |glued| format!(", {} glued up", glued.boards));
            format!("{} {}{of}", material.name, table.desk.units().measured(thickness))
        },
        |name| name.into_inner(),
    );
    let spot = table.span.clone();
    Some(Stock {
        name,
        glued,
        moisture,
        material,
        length,
        width,
        thickness,
        thinnest: Some(thinnest).filter(|thinnest| *thinnest < thickness),
        nominal,
        on_hand,
        price,
        trim,
        margin,
        roomy: None,
        usable: usable(table),
        keep_out: keep_out(table, [length, width]),
        from: None,
        spot,
    })
}

/// Places that are left alone; complains of one that does not lie on the sheet.
fn keep_out(table: &Table, [length, width]: [f64; 2]) -> Vec<KeepOut> {
    /// More than this, and next to nothing is left to nest on.
    const MOST: usize = 24;
    let read = |place: Table| {
        place.only(&[schema::KEPT_OUT]);
        let at = place.needed(&schema::KEEP_OUT_AT, place.lengths::<2>(&schema::KEEP_OUT_AT));
        let size = place.needed(&schema::KEEP_OUT_SIZE, place.lengths::<2>(&schema::KEEP_OUT_SIZE));
        let why = place.name(schema::KEEP_OUT_WHY.name).map(toml::Spanned::into_inner);
        let ([x, y], [along, up]) = (at?, size?);
        let on_it = Rect::new(x, y, x + along, y + up).intersect(Rect::new(0.0, 0.0, length, width));
        if on_it.width() <= 0.0 || on_it.height() <= 0.0 {
            let units = place.desk.units();
            let (message, help) = ("it lies beside the sheet", "`at` is its lower-left corner, from that of the sheet");
            let sheet = format!("{} × {} {units}", units.number(length), units.number(width));
            let expected = format!("expected a place on the sheet, which is {sheet}");
            place.desk.problem(place.spot("at").unwrap_or(place.span.clone()), message, expected, help);
            return None;
        }
        let height = place.mm(&schema::KEEP_OUT_HEIGHT);
        Some(KeepOut { rect: on_it, why, height, spot: place.span.clone() })
    };
    table.tables(schema::KEEP_OUT.name, MOST).into_iter().filter_map(read).collect()
}

/// The thickness at the thinnest place and at the thickest; the same where it is told as one.
fn thickness(table: &Table) -> Option<[f64; 2]> {
    let key = &schema::THICKNESS;
    if table.is_list(key.name) {
        return table.rising(key, table.lengths_within(key, 2.0..=80.0));
    }
    table.length(key).map(|thickness| [thickness; 2])
}

/// How damp the wood is and will be, as told; complains where the material has no grain to move across.
fn moisture(table: &Table, material: &Material, told: (Option<f64>, Option<[f64; 2]>)) -> Option<Moisture> {
    let Some(wood) = &material.wood else {
        for key in [schema::MOISTURE, schema::SEASON, schema::GLUE_UP] {
            if let Some(spot) = table.spot(key.name) {
                let title = material.title.to_lowercase();
                let message = format!("`{}` is said of solid wood, not of {title}", key.name);
                let expected = "expected a material of solid wood, or no such key";
                table.desk.problem(
                    spot,
                    message,
                    expected,
                    "`nestwright profiles` shows which materials are solid wood",
                );
            }
        }
        return None;
    };
    let (measured, season) = told;
    Some(Moisture::of(measured, season.unwrap_or(wood.season.value)))
}

/// Rapid moves go over whatever stands up from a sheet.
pub(super) fn clear_of_what_stands(router: &mut Router, stock: &[Option<Stock>]) {
    /// Between the tool and what it passes over (mm). Common practice.
    const OVER: f64 = 5.0;
    let heights = stock.iter().flatten().flat_map(|stock| &stock.keep_out).map(|it| it.height);
    let highest = heights.fold(0.0, f64::max);
    if highest > 0.0 && router.machine.clear.value < highest + OVER {
        let source = format!("{} over what stands up from the sheet", router.machine.units.show(OVER));
        let clear = Sourced { value: highest + OVER, source };
        router.machine = Arc::new(Machine { clear, ..Machine::clone(&router.machine) });
    }
}

/// Margins that are left to us: with room for pins where sheets may be turned over; and with room for hold-down screws, where
/// that takes no more sheets.
pub(super) fn margins(router: &Router, sheets: &[Table], stock: &mut [Option<Stock>]) {
    for stock in stock.iter_mut().flatten() {
        let over = router.over_the_outline();
        let sides = [(0, stock.length), (1, stock.width)];
        let kept = sides.map(|(axis, size)| over - router.machine.over_the_edge(axis, size, over));
        stock.margin = stock.margin.max(kept[0].max(kept[1]));
    }
    if router.cutting.flip.is_some() {
        let room = (router.pin_from_part() + router.pin_from_edge()).ceil();
        for stock in with_margin_left_to_us(sheets, stock, room) {
            stock.margin = stock.margin.max(room);
        }
    }
    if router.cutting.screws {
        let room = router.margin_for_screws();
        for stock in with_margin_left_to_us(sheets, stock, room).filter(|stock| stock.margin < room) {
            stock.roomy = Some(room);
        }
    }
}

/// Sheets for which the spec tells no margin, and that are large enough for this one (mm).
fn with_margin_left_to_us<'a>(
    sheets: &'a [Table],
    stock: &'a mut [Option<Stock>],
    room: f64,
) -> impl Iterator<Item = &'a mut Stock> {
    let told = |stock: &Stock| sheets.iter().any(|table| table.span == stock.spot && table.has("margin"));
    stock.iter_mut().flatten().filter(move |stock| !told(stock) && stock.length.min(stock.width) >= 2.0 * room + 50.0)
}

/// How large what is left over must be to be kept; the longer side first, however it is written.
pub(super) fn usable(table: &Table) -> [f64; 2] {
    let [a, b] = table.pair(&schema::USABLE);
    [a.max(b), a.min(b)]
}
