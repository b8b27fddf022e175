//! What a job needs beside its sheets, and what its boxes cost.
//!
//! Counted from joints, contacts and faces, so a new kind of box needs nothing said for it.

mod cost;
mod list;
mod outside;
mod prices;

pub use cost::{BoxCost, Cost, CostLine, Used, cost};
pub(crate) use list::STAPLES;
pub use list::{Each, SizedPieces, Sold, Supply, Unit, sheets, supplies};
pub use outside::outside_area;
pub use prices::prices;
