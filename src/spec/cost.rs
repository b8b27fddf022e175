//! `[hardware]` and `[cost]`: what holds the boxes together, and what things cost.

use super::schema::{self, COST, COST_ITEM, COST_ITEM_NAME, COST_ITEM_PRICE, HARDWARE, MOST_PRICES};
use crate::job::{Costing, Hardware, Price};
use crate::profile::{Fastener, FastenerKind, Profiles};
use crate::reading::Table;

pub(super) fn hardware(top: &Table, profiles: &Profiles) -> Hardware {
    let shelf = Hardware::shelf_for(top.desk.units(), profiles.all().cloned());
    let plain = Hardware { shelf, coats: schema::COATS.count(), ..Hardware::default() };
    let Some(table) = top.table("hardware") else { return plain };
    table.only(&[HARDWARE]);
    let kind = match table.word("fastener").as_deref() {
        Some("nails") => Some(FastenerKind::Nail),
        Some("screws") => Some(FastenerKind::Screw),
        _ => None,
    };
    let fastener = if kind.is_some() { None } else { table.profile::<Fastener>("fastener", profiles) };
    let screw_holes = table.is(&schema::SCREW_HOLES);
    let screws = kind == Some(FastenerKind::Screw)
        || fastener.as_ref().map_or(kind.is_none() && table.has("fastener"), |it| it.kind == FastenerKind::Screw);
    if let Some(spot) = table.spot(schema::SCREW_HOLES.name).filter(|_| screw_holes && !screws) {
        let expected = "expected fastener = \"screws\", or a profile of one, beside it";
        table.desk.problem(spot, "`screw-holes` changes nothing here", expected, "");
    }
    Hardware {
        fastener,
        kind: kind.unwrap_or_default(),
        screw_holes,
        spacing: table.length(&schema::SPACING),
        coats: table.count(&schema::COATS),
        ..plain
    }
}

pub(super) fn costing(top: &Table) -> Costing {
    let Some(table) = top.table("cost") else { return Costing::default() };
    table.only(&[COST]);
    Costing {
        currency: table.name("currency").map(toml::Spanned::into_inner).unwrap_or_default(),
        rate: table.number(&schema::RATE),
        handwork: table.number(&schema::HANDWORK),
        margin: table.number(&schema::COST_MARGIN).map(|per_cent| per_cent / 100.0),
        items: {
            let tables = table.tables("item", MOST_PRICES);
            super::names_of_its_own(&tables, "price");
            tables.iter().filter_map(price).collect()
        },
    }
}

fn price(table: &Table) -> Option<Price> {
    table.only(&[COST_ITEM]);
    let item = table.needed(&COST_ITEM_NAME, table.name("name"));
    let price = table.needed(&COST_ITEM_PRICE, table.number(&schema::COST_ITEM_PRICE));
    let per = if table.has("per") { table.number(&schema::PER) } else { Some(schema::PER.number()) };
    Some(Price { item: item?.into_inner(), price: price?, per: per?, spot: table.span.clone() })
}
