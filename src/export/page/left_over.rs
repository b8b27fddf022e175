//! A piece of a sheet that is left over and kept, for the page.

use super::sheet::short;
use crate::geometry::Rect;
use crate::units::Units;
use serde::Serialize;

/// A piece to keep, on the sheet, y downwards.
#[derive(Serialize)]
pub(super) struct OffCutView {
    name: String,
    /// Length and width in the job's units.
    size: String,
    x: String,
    y: String,
    width: String,
    height: String,
    /// Its middle, and the height of its name there.
    middle: [String; 2],
    letters: String,
    /// Its name runs upwards.
    turned: bool,
}

impl OffCutView {
    /// A rectangle of a sheet so wide; its name no higher than a little more than these letters (mm).
    pub fn new(name: &str, rect: Rect, sheet_width: f64, units: Units, letters: f64) -> OffCutView {
        let (along, across) = (rect.width().max(rect.height()), rect.width().min(rect.height()));
        OffCutView {
            name: name.into(),
            size: format!("{} × {}", units.number(rect.width()), units.show(rect.height())),
            x: short(rect.x0),
            y: short(sheet_width - rect.y1),
            width: short(rect.width()),
            height: short(rect.height()),
            middle: [short(rect.center().x), short(sheet_width - rect.center().y)],
            letters: short((across * 0.6).min(along / (0.6 * name.len().max(1) as f64)).min(letters * 1.2)),
            turned: rect.height() > rect.width(),
        }
    }
}
