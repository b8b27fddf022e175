//! Fasteners and prices.

use crate::design::Joint;
use crate::profile::{Fastener, FastenerKind};
use crate::units::Units;
use std::cmp::Ordering;
use std::ops::Range;
use std::sync::Arc;

/// What holds the boxes together and covers them.
#[derive(Clone, Debug, Default)]
pub struct Hardware {
    /// What the maker wants to use everywhere; left out, what suits each box's stock.
    pub fastener: Option<Arc<Fastener>>,
    /// Else of this kind, in the length that suits each joint.
    pub kind: FastenerKind,
    /// What there is to choose from.
    pub shelf: Vec<Arc<Fastener>>,
    /// Holes for the screws of joints, bored before the boards meet.
    pub screw_holes: bool,
    /// From one fastener to the next (mm), if not the profile's.
    pub spacing: Option<f64>,
    /// Coats of paint outside; 0 for none.
    pub coats: u32,
}

/// A nail is to be about this many times as long as the wood it holds is thick: 1 1/4 in for half an inch, 2 in for 3/4.
const NAIL_LENGTHS: f64 = 2.4;

/// A point that comes out by less than this is flush (mm).
pub const FLUSH: f64 = 0.5;
/// Less of a point than this cannot be bent over (mm).
pub const CLINCHED_FROM: f64 = 3.0;

impl Hardware {
    /// What there is of the wanted kind.
    fn of_kind(&self) -> impl Iterator<Item = &Arc<Fastener>> {
        self.of(self.kind)
    }

    fn of(&self, kind: FastenerKind) -> impl Iterator<Item = &Arc<Fastener>> {
        self.shelf.iter().filter(move |fastener| fastener.kind == kind)
    }

    /// What a shelf has for jobs in these units: nothing that is sold by the other's sizes, unless there is nothing else of its
    /// kind.
    pub fn shelf_for(units: Units, all: impl Iterator<Item = Arc<Fastener>>) -> Vec<Arc<Fastener>> {
        let suits = |one: &Arc<Fastener>| one.units.as_ref().is_none_or(|of| of.value == units);
        let all: Vec<Arc<Fastener>> = all.collect();
        let lacks = |kind: FastenerKind| !all.iter().any(|one| one.kind == kind && suits(one));
        all.iter().filter(|one| suits(one) || lacks(one.kind)).cloned().collect()
    }

    /// The fastener for stock of a thickness: the maker's, or the shortest of its kind that is some two and a half times as
    /// long as the wood is thick (common practice); the longest, where none is.
    pub fn fastener_for(&self, thickness: f64) -> Option<&Arc<Fastener>> {
        let enough = self.of_kind().filter(|one| one.length.value >= NAIL_LENGTHS * thickness - 0.1).min_by(by_length);
        self.fastener.as_ref().or(enough).or_else(|| self.of_kind().max_by(by_length))
    }

    /// The fastener for a joint: the stock's, unless its point would come out; then the longest of its kind that stays in the
    /// wood, for points hurt hands and bees. What the maker names is used everywhere.
    pub fn fastener_for_joint(&self, joint: &Joint, thickness: f64) -> Option<&Arc<Fastener>> {
        let usual = self.fastener_for(thickness)?;
        let wood = joint.outer_wood + joint.inner_wood;
        if self.fastener.is_some() || usual.length.value - wood <= FLUSH {
            return Some(usual);
        }
        let longest = |kind| self.of(kind).filter(|one| one.length.value <= wood + FLUSH).max_by(by_length);
        // Nails are not made as short as brads.
        let or_brads = || (self.kind == FastenerKind::Nail).then(|| longest(FastenerKind::Brad)).flatten();
        longest(self.kind).or_else(or_brads).or(Some(usual))
    }
}

fn by_length(a: &&Arc<Fastener>, b: &&Arc<Fastener>) -> Ordering {
    a.length.value.total_cmp(&b.length.value)
}

/// Prices, in any currency.
#[derive(Clone, Debug, Default)]
pub struct Costing {
    /// Its sign, to be shown with every sum.
    pub currency: String,
    /// An hour in the shop.
    pub rate: Option<f64>,
    /// Minutes of work by hand on each box.
    pub handwork: Option<f64>,
    /// Share of the selling price that is not cost, 0 to 1.
    pub margin: Option<f64>,
    pub items: Vec<Price>,
}

/// What something on the hardware list costs.
#[derive(Clone, Debug)]
pub struct Price {
    /// As on the hardware list.
    pub item: String,
    pub price: f64,
    /// The price is for so many pieces, kilograms, litres or square metres; in an inch job, pounds, pints or square feet.
    pub per: f64,
    pub spot: Range<usize>,
}
