//! The job: what the spec asks for, with every value concrete.

mod cut_by;
mod cutting;
mod hardware;
mod order;
mod stock;

pub use cut_by::CutBy;
pub use cutting::{Cutting, Direction, Flip, Hold, Lead, Relief, Router, SCREW_FROM_EDGE, SCREW_HEAD, Saw};
pub use hardware::{CLINCHED_FROM, Costing, FLUSH, Hardware, Price};
pub use order::{
    Across, BoardOrder, BoxOrder, GrainOrder, Grid, HeldBy, HoleOrder, HoleSize, LoosePart, PanelStock, PocketOrder,
    Up, Variant,
};
pub use stock::{FromList, GluedUp, KeepOut, Moisture, PLANED, Stock};

use crate::design::{Board, OtherWood};
use crate::finding::JobCheck;
use crate::paper::Paper;
use crate::reading::Source;
use crate::units::Units;
use std::sync::Arc;

/// Everything a maker asked for. Lengths are millimetres.
#[derive(Clone, Debug)]
pub struct Job {
    /// The spec's text, for messages that point into it.
    pub source: Arc<Source>,
    pub title: String,
    /// Whose it is, and who drew it, for the title block.
    pub owner: Option<String>,
    pub drawn_by: Option<String>,
    /// Units of everything shown.
    pub units: Units,
    /// What drawings and templates are printed on.
    pub paper: Paper,
    pub stock: Vec<Stock>,
    /// Left out: nothing is cut by CNC.
    pub router: Option<Router>,
    /// Left out: nothing is cut by hand.
    pub saw: Option<Saw>,
    pub boxes: Vec<BoxOrder>,
    pub loose: Vec<LoosePart>,
    pub hardware: Hardware,
    /// Left out: nothing is priced but the sheets.
    pub costing: Costing,
    /// Cautions that the maker knows and accepts.
    pub accepts: Vec<JobCheck>,
}

impl Job {
    /// Is anything to be built as often as the sheets on hand give?
    pub fn wants_most(&self) -> bool {
        let mut boxes = self.boxes.iter().map(|order| order.per_set);
        boxes.any(|per_set| per_set.is_some()) || self.loose.iter().any(|part| part.per_set.is_some())
    }

    /// The wood of a box, as its design needs to know it.
    pub fn board_of(&self, order: &BoxOrder) -> Board {
        let other =
            |it: &PanelStock| OtherWood { panels: it.panels.clone(), thickness: self.stock[it.stock].thickness };
        Board { others: order.panel_stock.iter().map(other).collect(), ..self.board(order.stock) }
    }

    /// The wood of a stock.
    pub fn board(&self, stock: usize) -> Board {
        let Stock { thickness, material, .. } = &self.stock[stock];
        Board {
            thickness: *thickness,
            faces_alike: material.faces_alike.value,
            cutter: self.router.as_ref().map(|router| router.cutter.diameter.value),
            others: Vec::new(),
        }
    }

    /// Every stock that a box takes, by index.
    pub fn stocks_of(&self, order: &BoxOrder) -> Vec<usize> {
        let mut all: Vec<usize> =
            std::iter::once(order.stock).chain(order.panel_stock.iter().map(|it| it.stock)).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Stocks that can serve the same parts, by index: alike but for their size.
    pub(crate) fn stock_groups(&self) -> Vec<Vec<usize>> {
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for (i, stock) in self.stock.iter().enumerate() {
            match groups.iter_mut().find(|group| self.stock[group[0]].serves(stock)) {
                Some(group) => group.push(i),
                None => groups.push(vec![i]),
            }
        }
        groups
    }
}
