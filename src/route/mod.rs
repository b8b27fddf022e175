//! Sheets → operations → moves.
//!
//! Everything here is in the sheet's frame (millimetres; Z zero on the sheet's upper face, negative into it), with the
//! cutter's width already allowed for. How a machine wants it said is the concern of [`crate::gcode`].
//!
//! A [`Route`] is made in steps: what can be cut at all (`can.rs`), what is done to each part, in its own frame
//! (`template.rs`), that for every piece on the sheet (`plan.rs`), and in which order (`order.rs`).

mod asked;
mod bore;
mod can;
mod drill;
mod feeds;
mod flip;
mod form;
mod heights;
mod holding;
mod label;
mod lead;
mod moves;
mod order;
mod pins;
mod plan;
mod pocket;
mod profile;
pub mod relief;
mod screws;
mod shared;
mod suits;
mod tabs;
mod template;
mod time;
mod tour;
mod track;
mod waste;

use crate::geometry::math::tan;
pub use feeds::{Feeds, deep, speed_of};
pub use form::{Form, Held, LeadIn, Openings};
pub use holding::{Holding, Pin, Screw, Tab};
pub use moves::{Drilling, Move, Space};
pub use time::Travel;

use crate::design::Part;
use crate::error::Error;
use crate::finding::Finding;
use crate::geometry::Point;
use crate::job::{Cutting, Direction, Job, Lead, Router};
use crate::layout::Layout;
use crate::profile::{Material, Tool};
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;
use std::sync::Arc;
use template::Template;
pub use template::opening_tabs;

/// What is done to one sheet, tool by tool.
#[derive(Clone, Debug)]
pub struct Route {
    /// Index into the layout's sheets.
    pub sheet: usize,
    /// Which face is up, of a sheet that is turned over; `None` for one that is not.
    pub face: Option<SheetFace>,
    pub runs: Vec<Run>,
    /// What keeps the sheet and its parts in their place.
    pub holding: Holding,
    /// What a maker should know of it: chip loads, hold-down.
    pub findings: Vec<Finding>,
}

/// A face of a sheet that is turned over between two programs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetFace {
    /// The face that lies down when the parts are cut out; cut first, in the mirror image of the sheet's frame.
    First,
    /// The face from which the parts are cut out; the sheet's own frame.
    Second,
}

impl SheetFace {
    pub fn number(self) -> u32 {
        match self {
            SheetFace::First => 1,
            SheetFace::Second => 2,
        }
    }
}

impl Route {
    /// The route of a sheet in the sheet's own frame: of one that is turned over, that of the second face.
    pub fn of_sheet(routes: &[Route], sheet: usize) -> Option<&Route> {
        routes.iter().find(|route| route.sheet == sheet && route.face != Some(SheetFace::First))
    }
}

/// Everything one tool does to a sheet.
#[derive(Clone, Debug)]
pub struct Run {
    /// Number in the magazine: the cutter is 1, the drills follow.
    pub number: u32,
    pub tool: Arc<Tool>,
    pub feeds: Feeds,
    pub operations: Vec<Operation>,
}

/// One feature or one outline, cut from start to end.
#[derive(Clone, Debug)]
pub struct Operation {
    pub kind: OperationKind,
    /// `side, outline`.
    pub about: String,
    /// Starts with a rapid move to above its entry, and ends at the height of rapid moves.
    pub moves: Vec<Move>,
    /// The piece that it is done to, by its placement on the sheet; `None` for what is done to the sheet itself.
    pub piece: Option<usize>,
    /// The variants of it that the order was chosen from.
    pub variants: Vec<Variant>,
    /// Those of its stage that had to be done before it, each by how many operations earlier it is done.
    pub after: Vec<usize>,
    /// What the maker does with the spindle stopped before the program goes on.
    pub pause: Option<String>,
}

/// One variant of an operation: where it begins and ends, and what it costs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Variant {
    /// Where it begins and ends, on the sheet.
    pub begin: Point,
    pub end: Point,
    /// How much longer it cuts than the quickest, as how far rapid moves go in that time (mm).
    pub longer: f64,
}

/// By [`stage`](OperationKind::stage) in the order in which they are cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum OperationKind {
    /// Marks for the hold-down screws.
    Screw,
    /// Holes for registration pins.
    Pin,
    Drill,
    /// Letters on a part.
    Label,
    /// Lines that other parts are set to.
    Line,
    /// A round hole, by the cutter.
    Bore,
    /// A recess, or a slot right through.
    Pocket,
    /// An opening whose middle comes out in one piece.
    Cutout,
    Outline,
    /// What was left thin under the outlines.
    Skin,
}

impl OperationKind {
    /// Stages follow each other on a sheet. Whatever the cutter cuts down to the skin is one stage, so that it crosses the
    /// sheet once for all of it. Within that, what is inside of a piece is cut before its outline and before those of the
    /// pieces beside it, and small pieces are cut out before larger ones beside them.
    pub fn stage(self) -> usize {
        match self {
            OperationKind::Screw => 0,
            OperationKind::Pin => 1,
            OperationKind::Drill => 2,
            OperationKind::Label
            | OperationKind::Line
            | OperationKind::Bore
            | OperationKind::Pocket
            | OperationKind::Cutout
            | OperationKind::Outline => 3,
            OperationKind::Skin => 4,
        }
    }

    /// `screw marks`, for a comment or a table.
    pub fn name(self) -> &'static str {
        match self {
            OperationKind::Screw => "screw marks",
            OperationKind::Pin => "pin holes",
            OperationKind::Drill => "drilling",
            OperationKind::Label => "labels",
            OperationKind::Line => "joint lines",
            OperationKind::Bore => "boring",
            OperationKind::Pocket => "pockets",
            OperationKind::Cutout => "cutouts",
            OperationKind::Outline => "outlines",
            OperationKind::Skin => "skins",
        }
    }
}

/// The routes of all sheets.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("nuc").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// use nestwright::{build, layout, route};
///
/// let parts = build::parts(&checked.job, &checked.assemblies);
/// let layout = layout::nest(&checked.job, &parts, &Search::default())?;
/// let routes = route::routes(&checked.job, &parts, &layout)?;
/// assert_eq!(routes.len(), layout.sheets.len());
/// # Ok::<(), nestwright::error::Error>(())
/// ```
///
/// # Errors
/// [`Error::Refused`] with every feature that cannot be cut.
pub fn routes(job: &Job, parts: &[Part], layout: &Layout) -> Result<Vec<Route>, Error> {
    routes_in(job, parts, &vec![Form::default(); parts.len()], layout)
}

/// The routes of all sheets, each part cut in its form.
///
/// # Errors
/// Those of [`routes`].
pub fn routes_in(job: &Job, parts: &[Part], forms: &[Form], layout: &Layout) -> Result<Vec<Route>, Error> {
    let Some(router) = &job.router else { return Ok(Vec::new()) };
    let mut refused = can::be_cut(job, router, parts);
    refused.extend(layout.sheets.iter().enumerate().filter_map(|(i, sheet)| can::fit_machine(job, router, i, sheet)));
    if !refused.is_empty() {
        return Err(Error::refused(refused));
    }
    let template = |(part, form): (&Part, &Form)| Template::new(job, router, part, *form);
    let templates = parts.par_iter().zip(forms).map(template).collect::<Result<Vec<Template>, Error>>()?;
    let plan = plan::Plan { job, router, parts, forms, templates: &templates };
    let sheets = layout.sheets.par_iter().enumerate();
    let routes = sheets.map(|(i, sheet)| plan.routes(i, sheet));
    Ok(routes.collect::<Result<Vec<Vec<Route>>, Error>>()?.into_iter().flatten().collect())
}

/// The findings of all routes, each once.
pub fn told_once(routes: &[Route]) -> Vec<Finding> {
    let mut told: Vec<Finding> = Vec::new();
    for finding in routes.iter().flat_map(|route| &route.findings) {
        if !told.contains(finding) {
            told.push(finding.clone());
        }
    }
    told
}

/// The cutter as the operations need to know it.
#[derive(Clone, Copy, Debug)]
struct CutterAt<'a> {
    tool: &'a Tool,
    feeds: Feeds,
    /// Height for rapid moves.
    clear: f64,
    /// Of the last digit that a program writes (mm).
    digit: f64,
    cutting: &'a Cutting,
}

impl<'a> CutterAt<'a> {
    fn new(router: &'a Router, material: &Material) -> CutterAt<'a> {
        CutterAt {
            tool: &router.cutter,
            feeds: Feeds::new(&router.cutter, material, &router.machine, &router.cutting),
            clear: router.machine.clear.value,
            digit: router.machine.digit(),
            cutting: &router.cutting,
        }
    }
}

impl CutterAt<'_> {
    fn diameter(&self) -> f64 {
        self.tool.diameter.value
    }

    fn radius(&self) -> f64 {
        self.tool.diameter.value / 2.0
    }

    /// Steepest ramp into the wood, height over length.
    fn slope(&self) -> f64 {
        tan(feeds::steepness(self.tool))
    }

    /// Deepest pass.
    fn pass(&self) -> f64 {
        self.tool.pass_depth.value * self.tool.diameter.value
    }

    /// Passes of equal depth: a tenth more than the deepest pass is not worth another one.
    fn passes(&self, depth: f64) -> u32 {
        (depth / (self.pass() * Tool::DEEPER) - 1e-6).ceil().max(1.0) as u32
    }

    /// What a last, light pass takes off walls.
    fn finish(&self) -> f64 {
        self.cutting.finish
    }

    /// Does it take what is left on walls in one pass to any depth? In a square corner the strip is thicker than along the
    /// wall, by the corner's diagonal.
    fn finishes_at_once(&self) -> bool {
        self.finish() * std::f64::consts::SQRT_2 <= Tool::LIGHT * self.diameter()
    }

    fn climb(&self) -> bool {
        self.cutting.direction == Direction::Climb
    }

    fn lead(&self) -> Lead {
        self.cutting.lead
    }
}
