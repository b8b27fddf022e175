//! What waits for a place in free nesting, and the places.

use super::space::Space;

/// How a piece fits into what is free of a sheet.
#[derive(Clone, Copy)]
pub(super) struct Fit {
    pub loss: f32,
    pub sheet: u32,
    pub turned: bool,
    pub at: Space,
}

/// A kind of piece that is out, and where it could go.
#[derive(Clone, Default)]
pub(super) struct Waiting {
    pub kind: u32,
    pub fits: Vec<Fit>,
}
