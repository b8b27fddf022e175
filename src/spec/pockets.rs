//! Recesses that the maker wants in a panel or a loose part.

use super::holes::{across, height, panel};
use super::schema::{POCKET, POCKET_DEPTH, POCKET_FACE, POCKET_PURPOSE, POCKET_SIZE};
use crate::job::PocketOrder;
use crate::reading::Table;

/// Reads `[[box.pocket]]`, or `[[part.pocket]]` of the part named `part`.
pub(super) fn read(table: &Table, part: Option<&str>) -> Option<PocketOrder> {
    table.only(&[POCKET]);
    let (panel, panel_spot) = panel(table, part);
    let face = table.chosen(&POCKET_FACE);
    let size = table.needed(&POCKET_SIZE, table.lengths::<2>(&POCKET_SIZE));
    let depth = table.needed(&POCKET_DEPTH, table.length(&POCKET_DEPTH));
    let purpose = table.name(POCKET_PURPOSE.name);
    let across = across(table);
    let up = height(table);
    Some(PocketOrder {
        panel: panel?,
        face,
        size: size?,
        depth: depth?,
        purpose: purpose.map_or_else(|| "pocket".into(), toml::Spanned::into_inner),
        across: across?,
        up: up?,
        spot: table.span.clone(),
        panel_spot,
    })
}
