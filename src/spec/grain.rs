//! Which way the grain of a box's panels is to run.

use super::schema;
use crate::design::Running;
use crate::job::GrainOrder;
use crate::reading::{Table, Word, any_of, nearest};

/// As the box's table says it, panel by panel.
pub(super) fn read(table: &Table) -> Vec<GrainOrder> {
    let key = schema::PANEL_GRAIN.name;
    if let Some(spot) = table.spot(key)
        && !table.is_table(key)
    {
        table.wrong(key, spot, format!("panels with their grain: {}", schema::PANEL_GRAIN.takes.say()));
        return Vec::new();
    }
    let Some(panels) = table.has(key).then(|| table.table(key)).flatten() else { return Vec::new() };
    let order = |panel: toml::Spanned<String>| {
        let name = panel.get_ref().clone();
        let text = panels.text(&name)?;
        let Some((_, running)) = Running::WORDS.iter().find(|(word, _)| word == text.get_ref()) else {
            let near = nearest(text.get_ref(), Running::NAMES.iter().copied());
            table.desk.problem(
                text.span(),
                format!("the grain of `{name}` cannot be `{}`", text.get_ref()),
                format!("expected {}", any_of(Running::NAMES.iter().copied())),
                near.map_or(String::new(), |near| format!("did you mean \"{near}\"?")),
            );
            return None;
        };
        Some(GrainOrder { panel: name, running: *running, panel_spot: panel.span() })
    };
    panels.keys().filter_map(order).collect()
}
