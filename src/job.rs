//! The job: what the spec asks for, with every value concrete.

use crate::design::{Design, Face, Grain, HoleUse, Joint};
use crate::layout::Watch;
use crate::paper::Paper;
use crate::profile::{Fastener, FastenerKind, Machine, Material, SawBench, Tool};
use crate::reading::Source;
use crate::route::Cutting;
use crate::units::{INCH, Units};
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// Everything a maker asked for. Lengths are millimetres.
#[derive(Clone, Debug)]
pub struct Job {
    /// The spec's text, for messages that point into it.
    pub source: Arc<Source>,
    pub title: String,
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
    /// How long to search for layouts; twice as much takes twice as long. 0 takes the first that comes.
    pub effort: u32,
    /// For whoever wants to see how far a search is, or to stop it.
    pub watch: Watch,
}

/// What holds the boxes together and covers them.
#[derive(Clone, Debug, Default)]
pub struct Hardware {
    /// What the maker wants to use everywhere; left out, what suits each box's stock.
    pub fastener: Option<Arc<Fastener>>,
    /// What there is to choose from.
    pub shelf: Vec<Arc<Fastener>>,
    /// From one fastener to the next (mm), if not the profile's.
    pub spacing: Option<f64>,
    /// Coats of paint outside; 0 for none.
    pub coats: u32,
}

/// A nail is to be about this many times as long as the wood it holds is thick: 1 1/4 in for half an inch, 2 in for 3/4.
const NAIL_LENGTHS: f64 = 2.4;

/// No more of a point than this is bent over (mm).
const CLINCHED: f64 = INCH * 3.0 / 8.0;

impl Hardware {
    /// The fastener for stock of a thickness: the maker's, or the shortest brad that is some two and a half times as
    /// long as the wood is thick (common practice); the longest, where none is.
    pub fn fastener_for(&self, thickness: f64) -> Option<&Arc<Fastener>> {
        let brads = || self.shelf.iter().filter(|fastener| fastener.kind == FastenerKind::Brad);
        let by_length = |a: &&Arc<Fastener>, b: &&Arc<Fastener>| a.length.value.total_cmp(&b.length.value);
        let enough = brads().filter(|brad| brad.length.value >= NAIL_LENGTHS * thickness - 0.1).min_by(by_length);
        self.fastener.as_ref().or(enough).or_else(|| brads().max_by(by_length))
    }

    /// The fastener for a joint: the stock's, unless it would come out by more than can be clinched; then the longest brad
    /// that stays in the wood. What the maker names is used everywhere.
    pub fn fastener_for_joint(&self, joint: &Joint, thickness: f64) -> Option<&Arc<Fastener>> {
        let usual = self.fastener_for(thickness)?;
        let wood = joint.outer_wood + joint.inner_wood;
        if self.fastener.is_some() || usual.length.value - wood <= CLINCHED {
            return Some(usual);
        }
        let stays = |fastener: &&Arc<Fastener>| fastener.kind == FastenerKind::Brad && fastener.length.value <= wood;
        let longest = self.shelf.iter().filter(stays).max_by(|a, b| a.length.value.total_cmp(&b.length.value));
        longest.or(Some(usual))
    }
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
    /// The price is for so many pieces, kilograms, litres or square metres.
    pub per: f64,
    pub spot: Range<usize>,
}

impl Job {
    /// Is anything to be built as often as the sheets on hand give?
    pub fn wants_most(&self) -> bool {
        let mut boxes = self.boxes.iter().map(|order| order.per_set);
        boxes.any(|per_set| per_set.is_some()) || self.loose.iter().any(|part| part.per_set.is_some())
    }

    /// The wood of a stock, as a design needs to know it.
    pub fn board(&self, stock: usize) -> Board {
        let Stock { thickness, material, .. } = &self.stock[stock];
        Board {
            thickness: *thickness,
            faces_alike: material.faces_alike.value,
            cutter: self.router.as_ref().map(|router| router.cutter.diameter.value),
        }
    }
}

/// A size of sheet that may be used.
#[derive(Clone, Debug)]
pub struct Stock {
    pub name: String,
    pub material: Arc<Material>,
    /// Along the face grain.
    pub length: f64,
    pub width: f64,
    /// As measured with calipers.
    pub thickness: f64,
    /// Sheets there are; `None` for as many as it takes.
    pub on_hand: Option<u32>,
    /// Of one sheet, in any currency.
    pub price: Option<f64>,
    /// What a saw takes off each factory edge first.
    pub trim: f64,
    /// What a router stays away from each edge.
    pub margin: f64,
    /// What is left over and at least so long and so wide is kept.
    pub usable: [f64; 2],
    /// An off-cut of an earlier job; `None` for sheets as bought.
    pub from: Option<FromList>,
    pub spot: Range<usize>,
}

/// Which list an off-cut stands in, and under which name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromList {
    /// The list, as the spec names it.
    pub list: String,
    pub id: String,
}

impl Stock {
    /// Sheets that are alike but for their size can serve the same parts.
    pub fn serves(&self, other: &Stock) -> bool {
        self.thickness == other.thickness && self.material.name == other.material.name
    }
}

/// What a design needs to know of the wood.
#[derive(Clone, Copy, Debug)]
pub struct Board {
    /// As measured, or another thickness that a check wants to try.
    pub thickness: f64,
    /// Both faces may show.
    pub faces_alike: bool,
    /// Diameter of the end mill that cuts it; `None` where nothing is cut by CNC.
    pub cutter: Option<f64>,
}

impl Board {
    /// Diameter of the cutter, or of one that is usual for such work: joints are made so that either way will do.
    pub fn cutter_or_usual(&self) -> f64 {
        self.cutter.unwrap_or(INCH / 4.0)
    }
}

/// The router and what is to be put in it.
#[derive(Clone, Debug)]
pub struct Router {
    pub machine: Arc<Machine>,
    pub cutter: Arc<Tool>,
    pub drills: Vec<Arc<Tool>>,
    /// Wood left between two parts beside the cutter's own width.
    pub clearance: f64,
    /// How the parts are cut and held.
    pub cutting: Cutting,
    pub spot: Range<usize>,
}

impl Router {
    /// What must lie between two parts: what the cutter takes away, and the wood left beside it.
    pub fn gap(&self) -> f64 {
        self.cutter.diameter.value + self.cutting.finish + self.clearance
    }
}

/// The saws, and how they are used.
#[derive(Clone, Debug)]
pub struct Saw {
    /// Width of the cut.
    pub kerf: f64,
    /// What there is to saw with, and its limits.
    pub bench: Arc<SawBench>,
    /// Sheets that are broken down together, so that one fence setting serves them all.
    pub together: u32,
}

/// Boxes of one kind.
#[derive(Clone)]
pub struct BoxOrder {
    pub name: String,
    pub count: u32,
    /// As many as the sheets on hand give, so many to a set; `None` for the count as it is.
    pub per_set: Option<u32>,
    /// Index into [`Job::stock`]; every stock that [serves](Stock::serves) the same may be used.
    pub stock: usize,
    pub design: Arc<dyn Design>,
    /// The same box with one choice made otherwise, for a check that finds this one does not work.
    pub variants: Vec<Variant>,
    /// The box it is to stand on, by its place in [`Job::boxes`].
    pub stands_on: Option<usize>,
    pub holes: Vec<HoleOrder>,
    pub pockets: Vec<PocketOrder>,
    pub spot: Range<usize>,
}

/// A box with one choice of the spec made otherwise.
#[derive(Clone)]
pub struct Variant {
    /// As it would be written: `rest = "rabbet"`.
    pub choice: String,
    pub design: Arc<dyn Design>,
}

impl fmt::Debug for BoxOrder {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.debug_struct("BoxOrder").field("name", &self.name).field("count", &self.count).finish_non_exhaustive()
    }
}

/// A hole the maker wants in a panel of a box.
#[derive(Clone, Debug)]
pub struct HoleOrder {
    pub panel: String,
    pub use_: HoleUse,
    pub size: HoleSize,
    pub across: Across,
    pub up: Up,
    /// Diameter and depth of a round recess about it, in the outer face: for a screw's head or a plug.
    pub counterbore: Option<[f64; 2]>,
    /// Mesh over it, inside; `None` for what suits the box.
    pub mesh: Option<bool>,
    /// Where the whole hole stands in the spec, and where its panel's name does.
    pub spot: Range<usize>,
    pub panel_spot: Range<usize>,
}

/// A recess the maker wants in a panel of a box.
#[derive(Clone, Debug)]
pub struct PocketOrder {
    pub panel: String,
    pub face: Face,
    /// Across the panel and up it; where it reaches past the edge it is open.
    pub size: [f64; 2],
    pub depth: f64,
    pub purpose: String,
    pub across: Across,
    pub up: Up,
    /// Where the whole recess stands in the spec, and where its panel's name does.
    pub spot: Range<usize>,
    pub panel_spot: Range<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoleSize {
    Round {
        diameter: f64,
    },
    /// A slot with round ends, lying along the panel's lower edge.
    Slot {
        length: f64,
        width: f64,
    },
}

/// Where a hole's centre is across its panel, seen from outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Across {
    Centre,
    FromLeft(f64),
}

/// Where a hole's centre is in height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Up {
    FromLowerEdge(f64),
    FromUpperEdge(f64),
}

/// A part that belongs to no box.
#[derive(Clone, Debug)]
pub struct LoosePart {
    pub name: String,
    pub count: u32,
    /// As many as the sheets on hand give, so many to a set; `None` for the count as it is.
    pub per_set: Option<u32>,
    pub length: f64,
    pub width: f64,
    pub grain: Grain,
    pub stock: usize,
    pub holes: Vec<HoleOrder>,
    pub pockets: Vec<PocketOrder>,
    pub spot: Range<usize>,
}
