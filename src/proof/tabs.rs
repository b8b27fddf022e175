//! Is every part cut free all around except at its tabs, and do these hold it?

mod claimed;

use super::bench::{Bench, PlacedShape};
use super::flat::{self, Ring, Shapes, Sides};
use super::rest::{deepest, left_along, left_in_band, less, spot};
use super::shape::{Band, HoleShape, across};
use super::turns::{round_slot, round_tabs};
use super::verdict::Ledger;
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::{Point, Rect};
use claimed::{Claimed, probe};

/// A part is held by at least this many tabs.
const LEAST: usize = 2;
/// The least width and height of tabs without a stated size (mm).
const LEAST_WIDTH: f64 = 3.0;
const LEAST_HEIGHT: f64 = 1.0;
/// A piece of wood across the band, from the part to the sheet.
struct Bridge {
    rings: Vec<Ring>,
}

impl Bridge {
    /// Its width where it is narrowest.
    fn width(&self, band: &Band) -> f64 {
        band.across.iter().map(|line| flat::length_inside(line, &self.rings)).fold(f64::INFINITY, f64::min)
    }

    /// How much of the path of the cutter's centre it takes.
    fn along_middle(&self, band: &Band) -> f64 {
        band.across.get(2).map_or(0.0, |line| flat::length_inside(line, &self.rings))
    }

    /// Its width on the part's half of the slot, where it is widest, less what a cutter's round edge leaves there.
    fn widest(&self, band: &Band, bench: &Bench) -> f64 {
        let radius = bench.radius;
        let half = band.across.iter().zip(across(radius, bench.tolerance)).filter(|(_, share)| *share <= 1.0);
        let widths = half.map(|(line, share)| {
            let round = 2.0 * radius * (1.0 - (1.0 - (1.0 - share).powi(2)).sqrt());
            flat::length_inside(line, &self.rings) - round
        });
        widths.fold(0.0, f64::max)
    }

    fn contains(&self, at: Point) -> bool {
        flat::contains(&self.rings, at)
    }

    /// Distance from a place to the nearest of its corners.
    fn nearest(&self, at: Point) -> f64 {
        let corners = self.rings.iter().flatten().map(|p| Point::new(p[0], p[1]));
        corners.map(|corner| corner.distance(at)).fold(f64::INFINITY, f64::min)
    }

    fn middle(&self) -> Point {
        self.rings.first().map_or(Point::ORIGIN, |ring| flat::bounds(ring).center())
    }
}

/// Wood left on a part that does not reach across the slot.
struct Crumb {
    rings: Vec<Ring>,
    /// The most that is left, from the wall, and where.
    depth: f64,
    at: Point,
}

impl Crumb {
    /// Its longer side.
    fn length(&self) -> f64 {
        let size = self.rings.first().map_or(Rect::ZERO, |ring| flat::bounds(ring)).size();
        size.width.max(size.height)
    }
}

/// The most that is left, from the wall, and where.
fn most_of<'a>(crumbs: impl IntoIterator<Item = &'a Crumb>) -> (f64, Option<Point>) {
    let most = crumbs.into_iter().max_by(|a, b| a.depth.total_cmp(&b.depth));
    most.map_or((0.0, None), |crumb| (crumb.depth, Some(crumb.at)))
}

/// What is left of the band at a height: bridges right across it, and any other wood.
fn standing(bench: &Bench, band: &Band, wall: &Sides, left: &Shapes) -> (Vec<Bridge>, Vec<Crumb>) {
    let mut bridges = Vec::new();
    let mut crumbs = Vec::new();
    // A bridge reaches nearly to the far side of the band; what does not is left on the part, or beside it.
    let across = across(bench.radius, bench.tolerance)[4] * bench.radius;
    for shape in left {
        let mut corners = shape.iter().flatten().map(|p| Point::new(p[0], p[1]));
        if corners.all(|at| wall.distance(at) > bench.radius) {
            // On the far side of the slot, not on the part.
            continue;
        }
        let Some((depth, at)) = deepest(shape, wall) else { continue };
        let sample = band.samples.iter().any(|at| flat::contains(shape, *at));
        if depth > across || sample {
            bridges.push(Bridge { rings: shape.clone() });
        } else {
            crumbs.push(Crumb { rings: shape.clone(), depth, at });
        }
    }
    (bridges, crumbs)
}

/// Holds a part's outline and tabs against the cuts around it.
pub(super) fn check(bench: &Bench, index: usize, piece: &PlacedShape, ledger: &mut Ledger) {
    let name = &piece.shape.name;
    let band = &piece.shape.band;
    match &bench.sheet.tabs {
        Some(tabs) => Claimed::of(bench, tabs, index, piece).check(ledger),
        None => {
            let wall = Sides::of([&band.wall]);
            let half = -bench.sheet.thickness / 2.0;
            let (most, at) = left_in_band(bench, band, &wall, half);
            let allowed = Limits::at_most(bench.tolerance);
            ledger.note(ProgramCheck::LeftRound, most, allowed, || spot(bench, at, half, name, ""));
            unclaimed(bench, name, band, ProgramCheck::LeftRound, by_polygons(bench, band, &wall), ledger);
        }
    }
}

/// A piece of waste in the middle of an opening: cut free and held like a part.
pub(super) fn plug(bench: &Bench, name: &str, hole: &HoleShape, band: &Band, ledger: &mut Ledger) {
    let half = -bench.sheet.thickness / 2.0;
    let (most, at) = match round_slot(bench, hole, half) {
        Some(left) => (left, None),
        None => left_in_band(bench, band, &Sides::of([&band.wall]), half),
    };
    let at = at.or(Some(hole.centre));
    ledger.note(ProgramCheck::LeftInHole, most, Limits::at_most(bench.tolerance), || spot(bench, at, half, name, ""));
    let found = by_angles(bench, hole).unwrap_or_else(|| by_polygons(bench, band, &Sides::of([&band.wall])));
    unclaimed(bench, name, band, ProgramCheck::LeftInHole, found, ledger);
}

/// What stands at the foot of a slot around waste, and the tabs that hold this.
struct Found {
    /// The most that is left of the wall and is no tab, and where.
    most: (f64, Option<Point>),
    /// Width and middle of each tab, [`low_tab`] above its foot.
    tabs: Vec<(f64, Point)>,
    /// How much of the path around stands at the foot.
    standing: f64,
    /// Where something thinner than a tab reaches right across the slot.
    web: Option<Point>,
}

/// Where tabs without a stated size are measured: this far above the sheet's lower face (mm).
fn low_tab(bench: &Bench) -> f64 {
    LEAST_HEIGHT.min(bench.sheet.thickness / 2.0)
}

fn by_polygons(bench: &Bench, band: &Band, wall: &Sides) -> Found {
    let thickness = bench.sheet.thickness;
    let at_foot = left_along(bench, &band.core, -thickness + bench.touch, wall);
    let (feet, crumbs) = standing(bench, band, wall, &at_foot);
    let (tabs, _) = standing(bench, band, wall, &less(bench, at_foot, low_tab(bench) - thickness, |_| true));
    let tabs: Vec<(f64, Point)> = tabs.iter().map(|tab| (tab.width(band), probe(band, tab.middle()))).collect();
    let web = feet.iter().find(|foot| !tabs.iter().any(|(_, middle)| foot.contains(*middle)));
    Found {
        most: most_of(&crumbs),
        standing: feet.iter().map(|foot| foot.along_middle(band)).sum(),
        web: web.map(Bridge::middle),
        tabs,
    }
}

/// The same for a round hole that was cut in whole turns and has nothing left but its tabs.
fn by_angles(bench: &Bench, hole: &HoleShape) -> Option<Found> {
    let thickness = bench.sheet.thickness;
    let feet = round_tabs(bench, hole, -thickness + bench.touch, LEAST_WIDTH)?;
    let tabs = round_tabs(bench, hole, low_tab(bench) - thickness, LEAST_WIDTH)?;
    let standing = feet.iter().map(|foot| foot.width).sum();
    // As many feet as tabs: each is the foot of one.
    (feet.len() == tabs.len()).then(|| Found {
        most: (0.0, None),
        tabs: tabs.iter().map(|tab| (tab.width, tab.middle)).collect(),
        standing,
        web: None,
    })
}

/// Tabs without a stated size: at least two, wide and high enough, and nothing else.
fn unclaimed(bench: &Bench, name: &str, band: &Band, kind: ProgramCheck, found: Found, ledger: &mut Ledger) {
    let (floor, bottom) = (-bench.sheet.thickness, -bench.sheet.thickness + bench.touch);
    let Found { most: (most, at), tabs, standing, web } = found;
    ledger.note(kind, most, Limits::at_most(bench.tolerance), || spot(bench, at, bottom, name, ""));
    if let Some(at) = web {
        ledger.note(kind, 2.0 * bench.radius, Limits::at_most(bench.tolerance), || {
            spot(bench, Some(at), bottom, name, "")
        });
    }
    let widest = |up: f64| widest_in_opening(bench, up).filter(|_| kind == ProgramCheck::LeftInHole);
    if let Some(widest) = widest(bench.touch) {
        let most = Limits::at_most(widest * tabs.len() as f64);
        ledger
            .note(ProgramCheck::TabFoot, standing, most, || spot(bench, Some(middle(band)), bottom, name, "all tabs"));
    }
    let mut holding = 0;
    for (width, middle) in tabs {
        let limits =
            widest(low_tab(bench)).map_or(Limits::at_least(LEAST_WIDTH), |most| Limits::between(LEAST_WIDTH, most));
        ledger.note(ProgramCheck::TabWidth, width, limits, || {
            spot(bench, Some(middle), floor + low_tab(bench), name, "")
        });
        if width >= LEAST_WIDTH {
            holding += 1;
        }
    }
    ledger.note(ProgramCheck::Tabs, f64::from(holding), Limits::at_least(LEAST as f64), || {
        spot(bench, Some(middle(band)), bottom, name, "")
    });
}

/// The most that a tab in an opening may be wide so far above its foot, by the job's own tabs (mm).
fn widest_in_opening(bench: &Bench, up: f64) -> Option<f64> {
    let [width, height, foot] = bench.router.opening_tabs?;
    let share = if height > 0.0 { (1.0 - up / height).max(0.0) } else { 0.0 };
    Some(width + (foot - width) * share + claimed::off(bench) + 2.0 * bench.tolerance)
}

fn middle(band: &Band) -> Point {
    flat::bounds(&band.wall).center()
}
