//! Views and dimensions, as SVG.

mod dimension;
mod part;
mod sheet;
mod svg;

pub use part::part_drawing;
pub use sheet::sheet_picture;
pub use svg::{Anchor, Svg};

/// What anyone who cuts from a drawing should be told.
pub const CAUTION: &str = "Cutting hurts: read the manual, use guards, eye and ear protection; machine manual, local rules \
                           and qualified practice come first.";
