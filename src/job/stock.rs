//! Sheets that may be used.

use crate::geometry::Rect;
use crate::profile::{Material, Wood};
use std::ops::Range;
use std::sync::Arc;

/// A size of sheet that may be used.
#[derive(Clone, Debug)]
pub struct Stock {
    pub name: String,
    pub material: Arc<Material>,
    /// Along the face grain.
    pub length: f64,
    pub width: f64,
    /// As measured with calipers: where a sheet isn't even, at its thickest, by which everything is cut.
    pub thickness: f64,
    /// Where it isn't even, as measured at its thinnest.
    pub thinnest: Option<f64>,
    /// What it is sold as, where that is told: its standard's tolerance is about that.
    pub nominal: Option<f64>,
    /// Boards that are glued edge to edge before anything is cut; `None` for a sheet or a board as bought.
    pub glued: Option<GluedUp>,
    /// How damp solid wood is and will be; `None` for sheets.
    pub moisture: Option<Moisture>,
    /// Sheets there are; `None` for as many as it takes.
    pub on_hand: Option<u32>,
    /// Of one sheet, in any currency.
    pub price: Option<f64>,
    /// What a saw takes off each factory edge first.
    pub trim: f64,
    /// What a router stays away from each edge.
    pub margin: f64,
    /// What it stays away from them where that costs nothing: with room for hold-down screws, if the margin is left to us.
    pub roomy: Option<f64>,
    /// What is left over and at least so long and so wide is kept.
    pub usable: [f64; 2],
    /// Where nothing is nested, driven or cut, on every sheet of it.
    pub keep_out: Vec<KeepOut>,
    /// An off-cut of an earlier job; `None` for sheets as bought.
    pub from: Option<FromList>,
    pub spot: Range<usize>,
}

/// A place on a sheet that is left alone: a knot, a broken corner, a clamp.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOut {
    /// On the sheet (mm), from its lower-left corner.
    pub rect: Rect,
    /// In a word or two, as the maker says it.
    pub why: Option<String>,
    /// How far it stands up from the sheet (mm).
    pub height: f64,
    pub spot: Range<usize>,
}

impl KeepOut {
    /// What is there, or that it is left alone.
    pub fn called(&self) -> String {
        self.why.clone().unwrap_or_else(|| "kept out".into())
    }
}

/// A panel that is glued up of boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GluedUp {
    pub boards: u32,
    /// Of one board as bought (mm).
    pub width: f64,
}

/// Planed off each edge that is glued (mm). Common practice: about 1/16 in.
pub const PLANED: f64 = 1.5;

/// Nobody glues up more boards than this.
const MOST_BOARDS: u32 = 12;

impl GluedUp {
    /// Of the panel (mm).
    pub fn panel(self) -> f64 {
        let boards = f64::from(self.boards);
        boards * self.width - 2.0 * (boards - 1.0) * PLANED
    }
}

/// The moisture of solid wood, in per cent of its dry weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moisture {
    /// When the boards were measured and cut.
    pub now: f64,
    /// Somebody measured it.
    pub measured: bool,
    /// The driest and the dampest that the wood will be.
    pub season: [f64; 2],
}

impl Moisture {
    /// What is taken for granted where nobody measured: the season of the wood's profile, and the middle of it now.
    pub fn usual(wood: &Wood) -> Moisture {
        Moisture::of(None, wood.season.value)
    }

    /// With this season, and as measured; `None` for the middle of the season.
    pub fn of(measured: Option<f64>, season: [f64; 2]) -> Moisture {
        let now = measured.unwrap_or(f64::midpoint(season[0], season[1]));
        Moisture { now, measured: measured.is_some(), season }
    }
}

/// Which list an off-cut stands in, and under which name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromList {
    /// The list, as the spec names it.
    pub list: String,
    pub id: String,
}

impl Stock {
    /// Where the glue joints of a glued-up panel lie, from its lower edge (mm).
    pub fn glue_lines(&self) -> impl Iterator<Item = f64> + use<> {
        let glued = self.glued;
        glued.into_iter().flat_map(|glued| {
            (1..glued.boards).map(move |i| f64::from(i) * glued.width - (2.0 * f64::from(i) - 1.0) * PLANED)
        })
    }

    /// How many of its boards, glued edge to edge, make a panel of this length and width; `None` where no number does.
    pub fn boards_for(&self, (length, width): (f64, f64)) -> Option<u32> {
        self.material.wood.as_ref()?;
        let board = self.glued.map_or(self.width, |glued| glued.width);
        let makes = |boards: &u32| GluedUp { boards: *boards, width: board }.panel() >= width;
        (2..=MOST_BOARDS).find(makes).filter(|_| self.length >= length)
    }

    /// Sheets that are alike but for their size can serve the same parts.
    pub fn serves(&self, other: &Stock) -> bool {
        self.thickness == other.thickness && self.material.name == other.material.name
    }
}
