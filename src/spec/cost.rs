//! `[hardware]` and `[cost]`: what holds the boxes together, and what things cost.

use super::schema::{COST, COST_ITEM, COST_ITEM_NAME, COST_ITEM_PRICE, DEFAULT_COATS, HARDWARE, MOST_PRICES};
use crate::job::{Costing, Hardware, Price};
use crate::profile::{Fastener, Profiles};
use crate::reading::Table;

/// Nothing a small shop buys costs more.
const DEAREST: f64 = 1e6;

pub(super) fn hardware(top: &Table, profiles: &Profiles) -> Hardware {
    let plain = Hardware { shelf: profiles.all().cloned().collect(), coats: DEFAULT_COATS, ..Hardware::default() };
    let Some(table) = top.table("hardware") else { return plain };
    table.only(&[HARDWARE]);
    Hardware {
        fastener: table.profile::<Fastener>("fastener", profiles),
        spacing: table.length("spacing", 10.0..=500.0),
        coats: table.whole("coats", 0..=10).unwrap_or(DEFAULT_COATS),
        ..plain
    }
}

pub(super) fn costing(top: &Table) -> Costing {
    let Some(table) = top.table("cost") else { return Costing::default() };
    table.only(&[COST]);
    Costing {
        currency: table.name("currency").map(toml::Spanned::into_inner).unwrap_or_default(),
        rate: table.number("rate", 0.0..=DEAREST),
        handwork: table.number("handwork", 0.0..=100_000.0),
        margin: table.number("margin", 0.0..=95.0).map(|per_cent| per_cent / 100.0),
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
    let price = table.needed(&COST_ITEM_PRICE, table.number("price", 0.0..=DEAREST));
    let per = if table.has("per") { table.number("per", 0.001..=DEAREST) } else { Some(1.0) };
    Some(Price { item: item?.into_inner(), price: price?, per: per?, spot: table.span.clone() })
}
