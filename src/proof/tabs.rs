//! Is every part cut free all around but for its tabs, and do these hold it?

use super::bench::{Bench, Piece};
use super::claim::TabClaim;
use super::flat::{self, Ring, Shapes, Sides, to_side};
use super::rest::{deepest, left_along, left_in_band, less, spot};
use super::shape::{Band, HoleShape, across};
use super::turns::{round_slot, round_tabs};
use super::verdict::{Ledger, Spot};
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::{Point, Rect, Vec2};

/// A part is held by at least this many tabs.
const LEAST: usize = 2;
/// Where the job says nothing of its tabs: at least so wide and so high (mm).
const LEAST_WIDTH: f64 = 3.0;
const LEAST_HEIGHT: f64 = 1.0;
/// What a tab may be off its width and height (mm): this, or where the machine's digits are coarse, the last of them at both
/// of its ends.
fn off(bench: &Bench) -> f64 {
    const OFF: f64 = 0.05;
    OFF.max(2.0 * bench.router.machine.digit)
}

/// At their feet all tabs of a part together take no more than this share of the way around it (common practice: between
/// tabs a part is free).
const MOST_STANDING: f64 = 0.6;

/// A piece of wood across the band, from the part to the sheet.
struct Bridge {
    rings: Vec<Ring>,
}

impl Bridge {
    /// Its width where it is narrowest.
    fn width(&self, band: &Band) -> f64 {
        band.across.iter().map(|line| flat::length_inside(line, &self.rings)).fold(f64::INFINITY, f64::min)
    }

    /// How much of the way of the cutter's centre it takes.
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

/// Wood left on a part, of which nothing reaches across the slot.
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

/// Of what is left of the band at a height: bridges right across it, and what stands there otherwise.
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
pub(super) fn check(bench: &Bench, index: usize, piece: &Piece, ledger: &mut Ledger) {
    let name = &piece.shape.name;
    let band = &piece.shape.band;
    match &bench.sheet.tabs {
        Some(tabs) => {
            let own: Vec<&TabClaim> = tabs.iter().filter(|tab| tab.placement == index).collect();
            let others: Vec<(Ring, &TabClaim)> = tabs
                .iter()
                .filter(|tab| tab.placement != index)
                .filter_map(|tab| Some((wood(bench, tab, piece)?, tab)))
                .collect();
            claimed(bench, name, band, &own, &others, ledger);
        }
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

/// The wood of another piece's tab, where that comes near this one: it is left standing in the slot around both.
fn wood(bench: &Bench, tab: &TabClaim, near: &Piece) -> Option<Ring> {
    let at = Point::new(tab.x, tab.y);
    let depth = bench.router.gap + tab.width;
    let reach = depth + 2.0 * bench.radius;
    if !near.bounds.inflate(reach, reach).contains(at) {
        return None;
    }
    let outline = &bench.pieces.get(tab.placement)?.shape.outline;
    // Counter-clockwise: what is on the right of a side is outside.
    let (a, b) = flat::sides(outline).min_by(|p, q| to_side(at, p.0, p.1).total_cmp(&to_side(at, q.0, q.1)))?;
    let along = (b - a).normalize();
    let (side, out) = (along * (tab.width / 2.0), Vec2::new(along.y, -along.x) * depth);
    let corners = [at - side, at - side + out, at + side + out, at + side];
    Some(corners.map(|corner| [corner.x, corner.y]).to_vec())
}

fn holds(wood: &Ring, at: Point) -> bool {
    flat::contains(std::slice::from_ref(wood), at)
}

/// How much of the way around a piece the cutter's centre cannot take without touching this wood.
fn kept_up(bench: &Bench, band: &Band, wood: &Ring) -> f64 {
    let [a, b, c, d] = wood[..] else { return 0.0 };
    let point = |p: [f64; 2]| Point::new(p[0], p[1]);
    let arm = |from, to| (point(to) - point(from)).normalize() * bench.radius;
    let (out, along) = (arm(a, b), arm(b, c));
    let grown = [point(a) - out - along, point(b) + out - along, point(c) + out + along, point(d) - out + along];
    let grown: Ring = grown.iter().map(|p| [p.x, p.y]).collect();
    band.across.get(2).map_or(0.0, |line| flat::length_inside(line, &[grown]))
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

/// Tabs as the job says they are.
fn claimed(
    bench: &Bench,
    name: &str,
    band: &Band,
    tabs: &[&TabClaim],
    others: &[(Ring, &TabClaim)],
    ledger: &mut Ledger,
) {
    let (floor, off) = (-bench.sheet.thickness, off(bench));
    let highest = tabs.iter().chain(others.iter().map(|(_, tab)| tab)).map(|tab| tab.height).fold(0.0, f64::max);
    let steep = bench
        .router
        .tools
        .iter()
        .filter(|tool| !tool.drill)
        .map(|tool| tool.ramp_angle.min(45.0).to_radians().tan())
        .fold(f64::INFINITY, f64::min)
        .max(0.01);
    let allowed = Limits::at_most(bench.tolerance);

    // Above the tabs nothing is left at all.
    let above = floor + highest + bench.touch;
    let wall = Sides::of([&band.wall]);
    let (most, at) = left_in_band(bench, band, &wall, above);
    ledger.note(ProgramCheck::LeftRound, most, allowed, || spot(bench, at, above, name, ""));

    // At the foot there is nothing but the tabs.
    let bottom = floor + bench.touch;
    let at_foot = left_along(bench, &band.core, bottom, &wall);
    let (feet, crumbs) = standing(bench, band, &wall, &at_foot);
    let places: Vec<Point> = tabs.iter().map(|tab| probe(band, Point::new(tab.x, tab.y))).collect();
    // Both flanks of a tab are at least as steep as the cutter may go down.
    let flank = |height: f64| height * 2.0 / steep;
    // The edge of a tab's flank may be all that the slot around another piece has left of it.
    let of_a_flank = |crumb: &Crumb| {
        let fits = |tab: &TabClaim| crumb.length() <= flank(tab.height) / 2.0 + 2.0 * bench.radius;
        let own = tabs.iter().filter(|tab| {
            let reach = tab.width / 2.0 + flank(tab.height) / 2.0 + 2.0 * bench.radius;
            crumb.at.distance(Point::new(tab.x, tab.y)) <= reach
        });
        let theirs = others
            .iter()
            .filter(|(wood, tab)| flat::distance(wood, crumb.at) <= flank(tab.height) / 2.0 + bench.radius);
        own.copied().chain(theirs.map(|(_, tab)| *tab)).any(fits)
    };
    let (most, at) = most_of(crumbs.iter().filter(|crumb| !of_a_flank(crumb)));
    ledger.note(ProgramCheck::LeftRound, most, allowed, || spot(bench, at, bottom, name, ""));
    // What may stand together with others: the tabs of pieces beside this one end here too.
    let shares = |bridge: &Bridge, own: usize, widest: &dyn Fn(&TabClaim) -> f64| {
        let mine = tabs.iter().zip(&places).enumerate().filter(|(i, (_, at))| *i != own && bridge.contains(**at));
        let mine: f64 = mine.map(|(_, (tab, _))| widest(tab)).sum();
        let theirs =
            others.iter().filter(|(wood, _)| !flat::both(&bridge.rings, std::slice::from_ref(wood)).is_empty());
        // Where its wood goes round a corner of this piece, more of the way stays up than the tab is wide.
        mine + theirs.map(|(wood, tab)| widest(tab) - tab.width + kept_up(bench, band, wood)).sum::<f64>()
    };
    let widest_foot = |tab: &TabClaim| tab.foot.unwrap_or(tab.width + flank(tab.height)) + off + flank(bench.touch);
    for foot in feet.iter().filter(|foot| !places.iter().any(|at| foot.contains(*at))) {
        let mut shared = shares(foot, usize::MAX, &widest_foot);
        if shared == 0.0 {
            // The flank of a tab, cut off from it by the slot around another piece.
            let near = |tab: &TabClaim| {
                let reach = tab.width + flank(tab.height) / 2.0 + 4.0 * bench.radius;
                foot.nearest(Point::new(tab.x, tab.y)) <= reach
            };
            let tabs = tabs.iter().copied().chain(others.iter().map(|(_, tab)| *tab));
            shared = tabs.filter(|tab| near(tab)).map(|tab| flank(tab.height) / 2.0 + 2.0 * bench.radius).sum();
        }
        let beyond = if shared > 0.0 { (foot.width(band) - shared).max(0.0) } else { 2.0 * bench.radius };
        ledger.note(ProgramCheck::LeftRound, beyond, allowed, || spot(bench, Some(foot.middle()), bottom, name, ""));
    }

    // However gently a cutter goes down behind its tabs: between them the part is cut free.
    let way_round: f64 = band.across.get(2).map_or(0.0, |line| flat::sides(line).map(|(a, b)| a.distance(b)).sum());
    let at_foot_long: f64 = feet.iter().map(|foot| foot.along_middle(band)).sum();
    ledger.note(ProgramCheck::TabFoot, at_foot_long, Limits::at_most(MOST_STANDING * way_round), || {
        spot(bench, Some(middle(band)), bottom, name, "all tabs")
    });

    // What is left higher up is some of what is left at the foot; most tabs are of one height.
    let mut crests_at: Vec<(f64, Vec<Bridge>)> = Vec::new();
    let mut holding = 0;
    for (i, (tab, at)) in tabs.iter().zip(&places).enumerate() {
        let z = floor + tab.height - bench.touch;
        let at_tab = |line: Option<usize>| Spot { line, ..Spot::default() }.at(*at, z).on(name);
        let line = || bench.line_near(*at, z).map(|(_, line)| line);
        if crests_at.last().is_none_or(|(height, _)| *height != z) {
            crests_at.push((z, standing(bench, band, &wall, &less(bench, at_foot.clone(), z, |_| true)).0));
        }
        let crests = crests_at.last().map(|(_, crests)| &crests[..]).unwrap_or_default();
        let crest = crests.iter().find(|crest| crest.contains(*at));
        let width = crest.map_or(0.0, |crest| crest.width(band));
        let foot = feet.iter().find(|foot| foot.contains(*at));
        // Of a higher tab of another piece its flanks stand at this height.
        let own = tab.height;
        let widest = |it: &TabClaim| it.width + off + flank(2.0 * bench.touch + (it.height - own).max(0.0));
        let most = widest(tab) + crest.map_or(0.0, |crest| shares(crest, i, &widest));
        ledger.note(ProgramCheck::TabWidth, width, Limits::between(tab.width - off, most), || at_tab(line()));
        let most = widest_foot(tab) + foot.map_or(0.0, |foot| shares(foot, i, &widest_foot));
        let least = foot.map_or(0.0, |foot| foot.width(band));
        ledger.note(ProgramCheck::TabFoot, least, Limits::between(tab.width - off, most), || at_tab(line()));
        let widest = foot.map_or(0.0, |foot| foot.widest(band, bench));
        ledger.note(ProgramCheck::TabFoot, widest.max(least), Limits::at_most(most), || at_tab(line()));
        let height = bench.surface(*at) - floor;
        // Where the wood of another piece's tab stands at the same place, it is as high as that.
        let theirs = others.iter().filter(|(wood, _)| flat::distance(wood, *at) <= bench.radius || holds(wood, *at));
        let highest = theirs.map(|(_, other)| other.height).fold(tab.height, f64::max);
        let limits = Limits::between(tab.height - off, highest + off);
        ledger.note(ProgramCheck::TabHeight, height, limits, || at_tab(line()));
        if width >= tab.width - off {
            holding += 1;
        }
    }
    let wanted = tabs.len().max(LEAST);
    ledger.note(ProgramCheck::Tabs, f64::from(holding), Limits::at_least(wanted as f64), || {
        Spot { line: bench.line_near(middle(band), bottom).map(|(_, line)| line), ..Spot::default() }
            .at(middle(band), bottom)
            .on(name)
    });
}

/// What stands at the foot of a slot around waste, and the tabs that hold this.
struct Found {
    /// The most that is left of the wall and is no tab, and where.
    most: (f64, Option<Point>),
    /// Width and middle of each tab, [`low_tab`] above its foot.
    tabs: Vec<(f64, Point)>,
}

/// Where tabs of which nothing is said are measured: so far above the sheet's lower face (mm).
fn low_tab(bench: &Bench) -> f64 {
    LEAST_HEIGHT.min(bench.sheet.thickness / 2.0)
}

fn by_polygons(bench: &Bench, band: &Band, wall: &Sides) -> Found {
    let thickness = bench.sheet.thickness;
    let at_foot = left_along(bench, &band.core, -thickness + bench.touch, wall);
    let most = most_of(&standing(bench, band, wall, &at_foot).1);
    let (tabs, _) = standing(bench, band, wall, &less(bench, at_foot, low_tab(bench) - thickness, |_| true));
    Found { most, tabs: tabs.iter().map(|tab| (tab.width(band), tab.middle())).collect() }
}

/// The same of a round hole that was cut in whole turns but for its tabs.
fn by_angles(bench: &Bench, hole: &HoleShape) -> Option<Found> {
    let thickness = bench.sheet.thickness;
    round_tabs(bench, hole, -thickness + bench.touch, LEAST_WIDTH)?;
    let tabs = round_tabs(bench, hole, low_tab(bench) - thickness, LEAST_WIDTH)?;
    Some(Found { most: (0.0, None), tabs: tabs.iter().map(|tab| (tab.width, tab.middle)).collect() })
}

/// Tabs of which nothing is said: at least two, wide and high enough, and nothing else.
fn unclaimed(bench: &Bench, name: &str, band: &Band, kind: ProgramCheck, found: Found, ledger: &mut Ledger) {
    let (floor, bottom) = (-bench.sheet.thickness, -bench.sheet.thickness + bench.touch);
    let Found { most: (most, at), tabs } = found;
    ledger.note(kind, most, Limits::at_most(bench.tolerance), || spot(bench, at, bottom, name, ""));
    let mut holding = 0;
    for (width, middle) in tabs {
        ledger.note(ProgramCheck::TabWidth, width, Limits::at_least(LEAST_WIDTH), || {
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

/// The place in the middle of the band that is nearest to one on its wall.
fn probe(band: &Band, at: Point) -> Point {
    let Some(line) = band.across.get(2) else { return at };
    flat::sides(line)
        .map(|(a, b)| {
            let side = b - a;
            let length = side.hypot2();
            let share = if length > 0.0 { ((at - a).dot(side) / length).clamp(0.0, 1.0) } else { 0.0 };
            a + side * share
        })
        .min_by(|p, q| p.distance(at).total_cmp(&q.distance(at)))
        .unwrap_or(at)
}

fn middle(band: &Band) -> Point {
    flat::bounds(&band.wall).center()
}
