//! Views and dimensions: pictures on paper, from which SVG and PDF files are written.

mod angle;
mod assembly;
mod balloon;
mod book;
mod call_out;
mod cover;
mod cut;
mod dimension;
mod explode;
mod features;
mod flag;
mod form;
mod holes;
mod key;
mod label;
mod letters;
mod lists;
mod notches;
mod opening_tabs;
mod part;
mod part_edge;
mod part_notes;
mod parts_page;
mod pen;
mod picture;
mod piece_names;
mod proof;
mod rings;
mod room;
mod saw;
mod scene;
mod section;
mod sheet;
mod solid;
mod spaces;
mod steps;
mod svg;
mod table;
mod template;
mod view;

pub use book::{Page, Shows, book};
pub use letters::{EM, FONT, Glyph, glyph, shortened, text_width, wrapped};
pub(crate) use opening_tabs::opening_tabs;
pub use part::part_drawing;
pub use pen::{Colour, Look, Pen};
pub use picture::{Anchor, Mark, Picture, Text};
pub use proof::proof_picture;
pub use saw::{saw_card, saw_pictures, saw_step_pages};
pub use section::section_view;
pub(crate) use sheet::left_over;
pub use sheet::sheet_picture;
pub use svg::svg;
pub use template::{template, template_pages};

/// What anyone who cuts from a drawing should be told.
pub const CAUTION: &str = "Cutting hurts: read the manual, use guards, eye and ear protection; machine manual, local rules \
                           and qualified practice come first.";
