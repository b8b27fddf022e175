//! Which stock a box, its panels and loose parts are made from.

use super::schema;
use crate::design::{Design, chosen};
use crate::job::{PanelStock, Stock};
use crate::reading::{Table, any_of};

/// The stock a box or part is made from: the one it names, or the first.
pub(super) fn which_stock(table: &Table, stock: &[Option<Stock>]) -> Option<usize> {
    let Some(name) = table.text(schema::BOX_STOCK.name) else {
        let bought = stock.iter().position(|stock| stock.as_ref().is_none_or(|stock| stock.from.is_none()));
        return bought.or((!stock.is_empty()).then_some(0));
    };
    stock_called(table, &name, stock)
}

/// Which panels of a box are made from another stock.
pub(super) fn panel_stock(table: &Table, stock: &[Option<Stock>]) -> Option<Vec<PanelStock>> {
    let named = table.named(schema::PANEL_STOCK.name).into_iter();
    named
        .map(|(panels, name)| {
            let stock = stock_called(table, &name, stock)?;
            Some(PanelStock { panels: panels.get_ref().clone(), stock, spot: panels.span() })
        })
        .collect()
}

/// Panels that are better thin and that nothing is said of, from the thinnest sheet that is thinner than the box's own.
pub(super) fn thin_panels(
    design: &dyn Design,
    named: &[PanelStock],
    own: usize,
    stock: &[Option<Stock>],
    table: &Table,
) -> Vec<PanelStock> {
    /// A board between chambers is no thinner than this (mm): common practice, 1/4 in and 3/8 in plywood.
    const THINNEST: f64 = 5.0;
    let thin = |i: &usize| {
        let [Some(one), Some(own)] = [&stock[*i], &stock[own]] else { return false };
        one.from.is_none() && one.thickness >= THINNEST && one.thickness < own.thickness - 1.0
    };
    let thickness = |i: &usize| stock[*i].as_ref().map_or(f64::INFINITY, |stock| stock.thickness);
    let Some(which) = (0..stock.len()).filter(thin).min_by(|a, b| thickness(a).total_cmp(&thickness(b))) else {
        return Vec::new();
    };
    let free = design.better_thin().iter().filter(|family| chosen(named, family, |it| &it.panels).is_none());
    free.map(|family| PanelStock { panels: (*family).into(), stock: which, spot: table.span.clone() }).collect()
}

pub(super) fn stock_called(table: &Table, name: &toml::Spanned<String>, stock: &[Option<Stock>]) -> Option<usize> {
    let names = || stock.iter().flatten().map(|stock| stock.name.as_str());
    let found = stock.iter().position(|stock| stock.as_ref().is_some_and(|stock| stock.name == *name.get_ref()));
    if found.is_none() && stock.iter().all(Option::is_some) {
        table.desk.problem(
            name.span(),
            format!("there is no stock `{}`", name.get_ref()),
            format!("expected {}", any_of(names())),
            "",
        );
    }
    found
}
