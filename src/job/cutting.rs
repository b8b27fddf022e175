//! Router and saw, and what a maker may choose about how parts are cut and held.

use crate::profile::{Machine, SawBench, Tool};
use crate::reading::Spots;
use crate::units::Units;
use std::ops::Range;
use std::sync::Arc;

/// Largest head of a hold-down screw (mm).
pub const SCREW_HEAD: f64 = 10.0;
/// Its middle keeps this away from the sheet's edge (mm), or the edge splits.
pub const SCREW_FROM_EDGE: f64 = 12.0;

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
    /// Where its keys are told.
    pub spots: Spots,
}

/// In cutters: a hole that is no wider than this has no room for a helix.
const NARROWEST_BORE: f64 = 1.1;

impl Router {
    /// What must lie between two parts: what the cutter takes away, and the wood left beside it.
    pub fn gap(&self) -> f64 {
        self.cutter.diameter.value + self.cutting.finish + self.clearance
    }

    /// The clearance at which no tab of one part comes into the slot around another: each is cut as if it were alone.
    pub fn clearance_alone(&self) -> f64 {
        let slot = self.cutter.diameter.value + self.cutting.finish;
        (slot + self.cutting.tab_width).ceil()
    }

    /// How far the cutter's middle goes beyond a part's outline at most, at its lead-in and lead-out (mm).
    pub fn over_the_outline(&self) -> f64 {
        self.cutter.diameter.value / 2.0 + self.cutting.finish + self.lead_off()
    }

    /// How far beside an outline's track a lead-in begins and a lead-out ends (mm). The next part is a gap away; they
    /// take no more of that than the clearance.
    pub fn lead_off(&self) -> f64 {
        /// Wood left between a lead-in or lead-out and the next part (mm).
        const HAIR: f64 = 0.1;
        (self.clearance - HAIR).min(self.cutter.diameter.value / 4.0).max(0.0)
    }

    /// Which drill makes a hole of this size, if one is listed.
    pub fn drill_for(&self, diameter: f64) -> Option<(usize, &Arc<Tool>)> {
        /// A drill this close to the hole's diameter makes the hole (mm).
        const FITS: f64 = 0.1;
        self.drills.iter().enumerate().find(|(_, drill)| (drill.diameter.value - diameter).abs() <= FITS)
    }

    /// The narrowest and the widest round hole that the cutter bores: a little wider than itself, and so wide that nothing
    /// is left in the middle when it goes round once.
    pub fn bores(&self) -> [f64; 2] {
        const WIDEST: f64 = 2.0;
        let cutter = self.cutter.diameter.value;
        [(NARROWEST_BORE * cutter).max(cutter + self.least_round()), WIDEST * cutter]
    }

    /// The widest cutter that bores a hole of this width, or cuts a slot.
    pub fn widest_cutter_in(&self, width: f64) -> f64 {
        (width / NARROWEST_BORE).min(width - self.least_round())
    }

    /// What makes the narrowest hole as wide as it is.
    pub fn why_no_narrower(&self, units: Units) -> String {
        let cutter = format!("{} is {} wide", self.cutter.name, units.show(self.cutter.diameter.value));
        if self.least_round() < (NARROWEST_BORE - 1.0) * self.cutter.diameter.value {
            return cutter;
        }
        let (machine, digits) = (&self.machine.name, self.machine.decimals.value);
        format!(
            "{cutter}, and {machine} reads {digits} digits after the point: no smaller circle can be written for it"
        )
    }

    /// A hole is wider than its cutter by so many of the last digit that the machine reads: a smaller circle can't be written.
    fn least_round(&self) -> f64 {
        const DIGITS: f64 = 3.0;
        DIGITS * self.machine.digit()
    }

    /// Is an opening so wide cut around, so that its middle comes out in one piece? A narrower one is cleared.
    pub fn cuts_out(&self, width: f64) -> bool {
        /// In cutters.
        const CLEARED: f64 = 5.0;
        (width + self.cutting.hole_allowance) / self.cutter.diameter.value > CLEARED
    }

    /// Common dowels for the pins of a sheet that is turned over, the thinnest first (mm): 6, 8, 10, 12, 16 or 20 mm; in
    /// inches 1/4, 5/16, 3/8, 1/2, 5/8 or 3/4 (common practice).
    pub fn dowels(units: Units) -> [f64; 6] {
        match units {
            Units::Millimetres => [6.0, 8.0, 10.0, 12.0, 16.0, 20.0],
            Units::Inches => [0.25, 0.3125, 0.375, 0.5, 0.625, 0.75].map(|inches| inches * 25.4),
        }
    }

    /// The thinnest common dowel that the tools make holes for, through sheets as thick as this and into the spoilboard.
    /// Where they make none, the thinnest for which a tool has the diameter, or of all.
    pub fn usual_pin(&self, units: Units, thickness: f64) -> f64 {
        let dowels = Router::dowels(units);
        let deep = |pin: &f64| {
            self.pin_tool(*pin).is_some_and(|tool| tool.flute_length.value >= thickness + self.least_pin_depth())
        };
        let made = |pin: &f64| self.pin_tool(*pin).is_some();
        dowels.into_iter().find(deep).or_else(|| dowels.into_iter().find(made)).unwrap_or(dowels[0])
    }

    /// What makes the hole for a registration pin of this diameter: a drill, or the cutter where it can bore it.
    pub fn pin_tool(&self, pin: f64) -> Option<&Arc<Tool>> {
        let [narrowest, widest] = self.bores();
        let bored = (narrowest..=widest).contains(&pin).then_some(&self.cutter);
        self.drill_for(pin).map(|(_, drill)| drill).or(bored)
    }

    /// A registration pin goes at least so deep into the spoilboard (mm); 0 where the machine's profile does not say how
    /// deep it may.
    pub fn least_pin_depth(&self) -> f64 {
        /// A hole that is less deep does not hold a pin upright, unless the machine allows no more.
        const SHALLOWEST: f64 = 5.0;
        self.machine.pin_depth.as_ref().map_or(0.0, |depth| depth.value.min(SHALLOWEST))
    }

    /// What a registration pin's middle keeps away from a part (mm): what the cutter takes, half the pin, and some wood.
    pub fn pin_from_part(&self) -> f64 {
        /// Wood between a pin and the nearest cut (mm).
        const FREE: f64 = 3.0;
        self.gap() + self.cutting.pin / 2.0 + FREE
    }

    /// What it keeps away from the sheet's edge (mm).
    pub fn pin_from_edge(&self) -> f64 {
        /// Wood between its hole and the edge (mm).
        const FROM_EDGE: f64 = 12.0;
        FROM_EDGE + self.cutting.pin / 2.0
    }

    /// What a hold-down screw's middle keeps away from a part (mm): what the cutter takes, half the head, and some wood, as
    /// screws are not driven to the millimetre.
    pub fn screw_from_part(&self) -> f64 {
        /// Kept free around the head (mm).
        const FREE: f64 = 2.0;
        self.gap() + SCREW_HEAD / 2.0 + FREE
    }

    /// A margin that has room for hold-down screws all along the edges (mm).
    pub fn margin_for_screws(&self) -> f64 {
        (self.screw_from_part() + SCREW_FROM_EDGE).ceil()
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
    /// Stages at most: cuts all in one direction, then all across them, and so on. `None` for no limit.
    pub stages: Option<u32>,
}

/// The choices of a job's `[router]`. Lengths in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutting {
    pub hold: Hold,
    /// Width of a tab along the outline, and its height above the sheet's lower face.
    pub tab_width: f64,
    pub tab_height: f64,
    /// What an onion skin is thick.
    pub skin: f64,
    pub direction: Direction,
    /// Left on walls (and floors of pockets) for a last, light pass; 0 for none.
    pub finish: f64,
    pub lead: Lead,
    pub relief: Relief,
    /// Plan hold-down screws in the waste, and stop for them to be driven.
    pub screws: bool,
    /// A bored hole is made this much larger, for the fibres that spring back.
    pub hole_allowance: f64,
    /// Seconds a drill stays at the bottom of a hole.
    pub dwell: f64,
    /// The cutter's feed, mm/min; left out: from its chip load.
    pub feed: Option<f64>,
    /// The cutter's speed, rev/min; left out: the tool's own.
    pub speed: Option<f64>,
    /// A sheet may be turned over so, for recesses in the lower face; left out: it may not.
    pub flip: Option<Flip>,
    /// Diameter of the pins on which a sheet that is turned over finds its place again.
    pub pin: f64,
    /// Engrave each part's label into the face that will be hidden, and how deep.
    pub labels: bool,
    pub label_depth: f64,
    /// Cut lines that boards are set to into the faces that these will cover.
    pub joint_lines: bool,
    /// Nest small parts in what comes out of wide openings of others.
    pub in_cut_outs: bool,
}

/// About which of its middle lines a sheet is turned over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flip {
    /// The one along its length: its long edges change places.
    Length,
    /// The one along its width: its short edges change places.
    Width,
}

crate::words!(Flip: Length = "length", Width = "width");

/// What keeps a part in its place until the spindle stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// Bridges of wood along the outline, cut by hand afterwards.
    Tabs,
    /// A thin layer under all outlines, cut last and slowly except at the tabs' places.
    OnionSkin,
}

crate::words!(Hold: Tabs = "tabs", OnionSkin = "onion-skin");

/// In which direction the cutter goes along the wood that stays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// The wood that stays is on the right: clockwise around a part.
    Climb,
    /// On the left.
    Conventional,
}

crate::words!(Direction: Climb = "climb", Conventional = "conventional");

/// The lead-in and lead-out: how the cutter comes to an outline and leaves it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lead {
    /// On an arc that touches the outline.
    Arc,
    /// On a straight line at a small angle.
    Straight,
    /// On the outline itself.
    None,
}

crate::words!(Lead: Arc = "arc", Straight = "straight", None = "none");

/// The dogbone relief: how an inside corner is opened for a square edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relief {
    /// Along the corner's diagonal: a little out of both sides.
    Diagonal,
    /// Out of the bottom of the notch: its sides stay whole.
    Deep,
    /// Out of the sides of the notch: its bottom stays whole.
    Wide,
}

crate::words!(Relief: Diagonal = "diagonal", Deep = "deep", Wide = "wide");
