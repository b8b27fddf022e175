//! The tabs of a piece that the job names: are they where it says, as wide and as high, and is there nothing else?

use super::{Bridge, Crumb, LEAST, middle, most_of, standing};
use crate::finding::{Limits, ProgramCheck};
use crate::geometry::math::tan;
use crate::geometry::{Point, Vec2};
use crate::proof::bench::{Bench, PlacedShape};
use crate::proof::claim::TabClaim;
use crate::proof::flat::{self, Ring, Sides, to_side};
use crate::proof::rest::{left_along, left_in_band, less, spot};
use crate::proof::shape::Band;
use crate::proof::verdict::Ledger;

/// At their feet all tabs of a part together take no more than this share of the path around it (common practice: between
/// tabs a part is free).
const MOST_STANDING: f64 = 0.6;

/// The tabs of a piece as the job says they are.
pub(super) struct Claimed<'a> {
    bench: &'a Bench<'a>,
    name: &'a str,
    band: &'a Band,
    wall: Sides,
    tabs: Vec<&'a TabClaim>,
    /// Where each of them is, in the middle of the band.
    places: Vec<Point>,
    /// Tabs of the pieces beside it that come near it, with their wood.
    others: Vec<(Ring, &'a TabClaim)>,
    /// Rise over run of a tab's flanks: both are at least as steep as the cutter may go down.
    steep: f64,
    /// Just above the sheet's lower face.
    bottom: f64,
    /// What a tab may be off its width and height (mm).
    off: f64,
}

impl<'a> Claimed<'a> {
    /// Those of the piece of this index, out of all tabs of the sheet.
    pub fn of(bench: &'a Bench, all: &'a [TabClaim], index: usize, piece: &'a PlacedShape) -> Claimed<'a> {
        let band = &piece.shape.band;
        let (tabs, others): (Vec<&TabClaim>, Vec<&TabClaim>) = all.iter().partition(|tab| tab.placement == index);
        Claimed {
            bench,
            name: &piece.shape.name,
            band,
            wall: Sides::of([&band.wall]),
            places: tabs.iter().map(|tab| probe(band, Point::new(tab.x, tab.y))).collect(),
            tabs,
            others: others.into_iter().filter_map(|tab| Some((wood(bench, tab, piece)?, tab))).collect(),
            steep: steep(bench),
            bottom: -bench.sheet.thickness + bench.touch,
            off: off(bench),
        }
    }

    /// Holds what is left around the piece against its tabs.
    pub fn check(&self, ledger: &mut Ledger) {
        let Claimed { bench, band, wall, .. } = self;
        self.nothing_above(ledger);
        let at_foot = left_along(bench, &band.core, self.bottom, wall);
        let (feet, crumbs) = standing(bench, band, wall, &at_foot);
        self.nothing_between(&feet, &crumbs, ledger);
        self.free_between(&feet, ledger);
        // What is left higher up is some of what is left at the foot; most tabs are of one height.
        let mut crests_at: Vec<(f64, Vec<Bridge>)> = Vec::new();
        let mut holding = 0;
        for (i, tab) in self.tabs.iter().enumerate() {
            let z = -bench.sheet.thickness + tab.height - bench.touch;
            if crests_at.last().is_none_or(|(height, _)| *height != z) {
                crests_at.push((z, standing(bench, band, wall, &less(bench, at_foot.clone(), z, |_| true)).0));
            }
            let crests = crests_at.last().map(|(_, crests)| &crests[..]).unwrap_or_default();
            if self.tab(i, z, crests, &feet, ledger) {
                holding += 1;
            }
        }
        let wanted = self.tabs.len().max(LEAST);
        ledger.note(ProgramCheck::Tabs, f64::from(holding), Limits::at_least(wanted as f64), || {
            spot(bench, Some(middle(band)), self.bottom, self.name, "")
        });
    }

    /// Above the highest tab nothing is left at all.
    fn nothing_above(&self, ledger: &mut Ledger) {
        let all = self.tabs.iter().chain(self.others.iter().map(|(_, tab)| tab));
        let highest = all.map(|tab| tab.height).fold(0.0, f64::max);
        let above = -self.bench.sheet.thickness + highest + self.bench.touch;
        let (most, at) = left_in_band(self.bench, self.band, &self.wall, above);
        self.note_left(ledger, most, at, above);
    }

    /// At the foot there is nothing but the tabs.
    fn nothing_between(&self, feet: &[Bridge], crumbs: &[Crumb], ledger: &mut Ledger) {
        let radius = self.bench.radius;
        let (most, at) = most_of(crumbs.iter().filter(|crumb| !self.is_of_a_flank(crumb)));
        self.note_left(ledger, most, at, self.bottom);
        for foot in feet.iter().filter(|foot| !self.places.iter().any(|at| foot.contains(*at))) {
            let mut shared = self.shares(foot, usize::MAX, &|tab| self.widest_foot(tab));
            if shared == 0.0 {
                // The flank of a tab, cut off from it by the slot around another piece.
                let near = |tab: &TabClaim| {
                    let reach = tab.width + self.flanks(tab.height) / 2.0 + 4.0 * radius;
                    foot.nearest(Point::new(tab.x, tab.y)) <= reach
                };
                let tabs = self.tabs.iter().copied().chain(self.others.iter().map(|(_, tab)| *tab));
                shared = tabs.filter(|tab| near(tab)).map(|tab| self.flanks(tab.height) / 2.0 + 2.0 * radius).sum();
            }
            let beyond = if shared > 0.0 { (foot.width(self.band) - shared).max(0.0) } else { 2.0 * radius };
            self.note_left(ledger, beyond, Some(foot.middle()), self.bottom);
        }
    }

    fn note_left(&self, ledger: &mut Ledger, most: f64, at: Option<Point>, z: f64) {
        let allowed = Limits::at_most(self.bench.tolerance);
        ledger.note(ProgramCheck::LeftRound, most, allowed, || spot(self.bench, at, z, self.name, ""));
    }

    /// However gently a cutter goes down behind its tabs: between them the part is cut free.
    fn free_between(&self, feet: &[Bridge], ledger: &mut Ledger) {
        let round = self.band.across.get(2);
        let length: f64 = round.map_or(0.0, |line| flat::sides(line).map(|(a, b)| a.distance(b)).sum());
        let standing: f64 = feet.iter().map(|foot| foot.along_middle(self.band)).sum();
        ledger.note(ProgramCheck::TabFoot, standing, Limits::at_most(MOST_STANDING * length), || {
            spot(self.bench, Some(middle(self.band)), self.bottom, self.name, "all tabs")
        });
    }

    /// Holds width, foot and height of one tab against what is said of it; is it wide enough? At `z`, just under its top,
    /// these crests stand.
    fn tab(&self, i: usize, z: f64, crests: &[Bridge], feet: &[Bridge], ledger: &mut Ledger) -> bool {
        let Claimed { bench, band, .. } = self;
        let (tab, at) = (self.tabs[i], self.places[i]);
        let spot = || spot(bench, Some(at), z, self.name, "");
        let crest = crests.iter().find(|crest| crest.contains(at));
        let width = crest.map_or(0.0, |crest| crest.width(band));
        let foot = feet.iter().find(|foot| foot.contains(at));
        // Of a higher tab of another piece its flanks stand at this height.
        let widest =
            |it: &TabClaim| it.width + self.off + self.flanks(2.0 * bench.touch + (it.height - tab.height).max(0.0));
        let most = widest(tab) + crest.map_or(0.0, |crest| self.shares(crest, i, &widest));
        ledger.note(ProgramCheck::TabWidth, width, Limits::between(tab.width - self.off, most), spot);
        let most = self.widest_foot(tab) + foot.map_or(0.0, |foot| self.shares(foot, i, &|tab| self.widest_foot(tab)));
        let least = foot.map_or(0.0, |foot| foot.width(band));
        ledger.note(ProgramCheck::TabFoot, least, Limits::between(tab.width - self.off, most), spot);
        let widest = foot.map_or(0.0, |foot| foot.widest(band, bench));
        ledger.note(ProgramCheck::TabFoot, widest.max(least), Limits::at_most(most), spot);
        let height = bench.surface(at) + bench.sheet.thickness;
        // Where the wood of another piece's tab stands at the same place, it is as high as that.
        let theirs = self.others.iter().filter(|(wood, _)| flat::distance(wood, at) <= bench.radius || holds(wood, at));
        let highest = theirs.map(|(_, other)| other.height).fold(tab.height, f64::max);
        ledger.note(ProgramCheck::TabHeight, height, Limits::between(tab.height - self.off, highest + self.off), spot);
        width >= tab.width - self.off
    }

    /// How far both flanks of a tab together reach, this far below its top (mm).
    fn flanks(&self, height: f64) -> f64 {
        height * 2.0 / self.steep
    }

    /// The most that a tab may be wide at its foot.
    fn widest_foot(&self, tab: &TabClaim) -> f64 {
        tab.foot.unwrap_or(tab.width + self.flanks(tab.height)) + self.off + self.flanks(self.bench.touch)
    }

    /// Is it the edge of a tab's flank? That may be all that the slot around another piece has left of it.
    fn is_of_a_flank(&self, crumb: &Crumb) -> bool {
        let radius = self.bench.radius;
        let flank = |tab: &TabClaim| self.flanks(tab.height) / 2.0;
        let own =
            self.tabs.iter().copied().filter(|tab| {
                crumb.at.distance(Point::new(tab.x, tab.y)) <= tab.width / 2.0 + flank(tab) + 2.0 * radius
            });
        let theirs = self.others.iter().filter(|(wood, tab)| flat::distance(wood, crumb.at) <= flank(tab) + radius);
        own.chain(theirs.map(|(_, tab)| *tab)).any(|tab| crumb.length() <= flank(tab) + 2.0 * radius)
    }

    /// How much of a bridge other tabs may take than the own one of this index: tabs of pieces beside this one end here too.
    fn shares(&self, bridge: &Bridge, own: usize, widest: &dyn Fn(&TabClaim) -> f64) -> f64 {
        let mine = self.tabs.iter().zip(&self.places).enumerate();
        let mine = mine.filter(|(i, (_, at))| *i != own && bridge.contains(**at));
        let mine: f64 = mine.map(|(_, (tab, _))| widest(tab)).sum();
        let meets = |wood: &Ring| !flat::both(&bridge.rings, std::slice::from_ref(wood)).is_empty();
        let theirs = self.others.iter().filter(|(wood, _)| meets(wood));
        // Where its wood goes round a corner of this piece, more of the outline stays up than the tab is wide.
        let kept = |(wood, tab): &(Ring, &TabClaim)| widest(tab) - tab.width + kept_up(self.bench, self.band, wood);
        mine + theirs.map(kept).sum::<f64>()
    }
}

/// Rise over run of a tab's flanks, which are at least as steep as the cutter may go down.
fn steep(bench: &Bench) -> f64 {
    let cutters = bench.router.tools.iter().filter(|tool| !tool.drill);
    let ramps = cutters.map(|tool| tan(tool.ramp_angle.min(45.0).to_radians()));
    ramps.fold(f64::INFINITY, f64::min).max(0.01)
}

/// What a tab may be off its width and height (mm): this, or where the machine's digits are coarse, the last of them at both
/// of its ends.
pub(super) fn off(bench: &Bench) -> f64 {
    const OFF: f64 = 0.05;
    OFF.max(2.0 * bench.router.machine.digit)
}

/// The wood of another piece's tab, where that comes near this one: it is left standing in the slot around both.
fn wood(bench: &Bench, tab: &TabClaim, near: &PlacedShape) -> Option<Ring> {
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

/// How much of its path around a piece the cutter's centre cannot take without touching this wood.
fn kept_up(bench: &Bench, band: &Band, wood: &Ring) -> f64 {
    let [a, b, c, d] = wood[..] else { return 0.0 };
    let point = |p: [f64; 2]| Point::new(p[0], p[1]);
    let arm = |from, to| (point(to) - point(from)).normalize() * bench.radius;
    let (out, along) = (arm(a, b), arm(b, c));
    let grown = [point(a) - out - along, point(b) + out - along, point(c) + out + along, point(d) - out + along];
    let grown: Ring = grown.iter().map(|p| [p.x, p.y]).collect();
    band.across.get(2).map_or(0.0, |line| flat::length_inside(line, &[grown]))
}

/// The place in the middle of the band that is nearest to one on its wall.
pub(super) fn probe(band: &Band, at: Point) -> Point {
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
