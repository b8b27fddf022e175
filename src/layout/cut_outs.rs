//! Small parts in what comes out of wide openings of others, where that is asked for.
//!
//! An opening wide enough is cut around, and its middle comes out in one piece, held by tabs until the spindle stands. A
//! part that lies in that middle is cut first, and is held to it by tabs of its own.

use super::gathered::{Bundle, Gathered};
use super::{Placement, Turn, turns};
use crate::design::{Grain, Hole, Part};
use crate::geometry::{Affine, Point, Rect};
use crate::job::{Flip, Hold, Router};
use std::collections::HashMap;

/// Places along each side of an opening at which a part is tried, on either side of its middle.
const PLACES: i32 = 12;

/// What lies in an opening, in the frame of the part that the opening is in.
#[derive(PartialEq)]
struct Inner {
    part: usize,
    turned: bool,
    bounds: Rect,
}

/// A part with what lies in its openings.
#[derive(PartialEq)]
pub(super) struct Holder {
    part: usize,
    inner: Vec<Inner>,
}

impl Router {
    /// What stays free between the wall of an opening and a part in it (mm): the slots around both, and between them wood
    /// as wide as the tabs that stand on it.
    fn in_cut_out(&self) -> f64 {
        2.0 * (self.cutter.diameter.value + self.cutting.finish) + self.cutting.tab_width + self.clearance
    }
}

/// The openings of a part that come out in one piece, with nothing else cut where that is.
fn openings<'a>(router: &'a Router, part: &'a Part) -> impl Iterator<Item = &'a Hole> {
    let room = router.cutter.diameter.value;
    part.holes.iter().enumerate().filter_map(move |(i, hole)| {
        let bounds = hole.outline().bounds().inflate(room, room);
        let alone =
            part.holes.iter().enumerate().all(|(j, other)| i == j || !bounds.overlaps(other.outline().bounds()))
                && part.pockets.iter().all(|pocket| !bounds.overlaps(pocket.outline.bounds()));
        let drilled = hole.is_round() && router.drill_for(hole.width).is_some();
        (alone && !drilled && router.cuts_out(hole.width)).then_some(hole)
    })
}

/// May this part lie in an opening, or hold others in its own? Not one that is cut on both faces.
fn one_sided(part: &Part, flip: Option<Flip>) -> bool {
    flip.is_none() || part.pockets.iter().all(|pocket| !pocket.under)
}

/// The parts among these that may lie in an opening of another of them, by index; none unless it is asked for.
pub(super) fn may_lie_in_others(router: &Router, parts: &[Part], wanted: &[usize]) -> Vec<usize> {
    if !router.cutting.in_cut_outs || router.cutting.hold == Hold::OnionSkin {
        return Vec::new();
    }
    let wide: Vec<Space> = wanted
        .iter()
        .filter(|i| one_sided(&parts[**i], router.cutting.flip))
        .flat_map(|i| openings(router, &parts[*i]))
        .filter_map(|hole| Space::of(hole, router.in_cut_out()))
        .collect();
    let holds = |part: &Part| openings(router, part).next().is_some();
    let fits = |part: &Part| {
        let sizes = [(part.length, part.width), (part.width, part.length)];
        wide.iter().any(|space| sizes.into_iter().any(|size| !space.places(size).is_empty()))
    };
    let may = |i: &usize| one_sided(&parts[*i], router.cutting.flip) && !holds(&parts[*i]) && fits(&parts[*i]);
    wanted.iter().copied().filter(may).collect()
}

/// Where a part may lie in an opening.
struct Space {
    /// The opening, smaller all round by what must stay free.
    inside: Hole,
    bounds: Rect,
}

impl Space {
    fn of(hole: &Hole, free: f64) -> Option<Space> {
        let inside = hole.grown(-free);
        (inside.width > 1.0).then(|| Space { bounds: inside.outline().bounds(), inside })
    }

    /// Rectangles of this size in it, from low and left on.
    fn places(&self, (length, width): (f64, f64)) -> Vec<Rect> {
        let (over_x, over_y) = (self.bounds.width() - length, self.bounds.height() - width);
        if over_x < 0.0 || over_y < 0.0 {
            return Vec::new();
        }
        let outline = self.inside.outline();
        let steps = |over: f64| (-PLACES..=PLACES).map(move |k| over / 2.0 * f64::from(k) / f64::from(PLACES));
        let middle = self.bounds.center();
        let lying = |x: f64, y: f64| Rect::from_center_size(Point::new(middle.x + x, middle.y + y), (length, width));
        // An opening is convex: what has its corners in it lies in it.
        let lies = |rect: &Rect| {
            let corners = [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)];
            corners.into_iter().all(|corner| outline.contains(corner.into()))
        };
        steps(over_y).flat_map(|y| steps(over_x).map(move |x| lying(x, y))).filter(lies).collect()
    }
}

/// Fills openings, the widest first, with the largest parts that go in, and leaves `gap` between two (mm); none unless it is
/// asked for.
pub(super) fn filled(router: &Router, parts: &[Part], wanted: &[usize], gap: f64) -> Gathered<Holder> {
    let mut small = may_lie_in_others(router, parts, wanted);
    let area = |part: &usize| parts[*part].length * parts[*part].width;
    small.sort_by(|a, b| area(b).total_cmp(&area(a)));
    let mut left: HashMap<usize, u32> = small.iter().map(|part| (*part, parts[*part].count)).collect();
    let holds = |part: &usize| one_sided(&parts[*part], router.cutting.flip) && !small.contains(part);
    let widest = |part: &usize| openings(router, &parts[*part]).map(|hole| hole.width).fold(0.0, f64::max);
    let mut holders: Vec<usize> = wanted.iter().copied().filter(holds).filter(|part| widest(part) > 0.0).collect();
    holders.sort_by(|a, b| widest(b).total_cmp(&widest(a)));
    let mut all = Gathered::new(parts, wanted);
    for part in holders {
        for _ in 0..parts[part].count {
            let inner = fill(router, parts, part, &small, &mut left, gap);
            if inner.is_empty() {
                break;
            }
            let about = &parts[part];
            let grained = inner.iter().any(|it| parts[it.part].grain != Grain::Any);
            let grain = if grained && about.grain == Grain::Any { Grain::Long } else { about.grain };
            all.add(Holder { part, inner }, Part { count: 1, grain, ..about.clone() });
        }
    }
    all
}

impl Bundle for Holder {
    fn pieces(&self, placement: &Placement, parts: &[Part]) -> Vec<Placement> {
        let holder = Placement { part: self.part, ..*placement };
        let place = holder.affine(&parts[self.part]);
        let piece = |it: &Inner| {
            let lies = bounds_of(place, it.bounds);
            let turn = if it.turned { quarter_more(placement.turn) } else { placement.turn };
            Placement { part: it.part, x: lies.x0, y: lies.y0, turn }
        };
        std::iter::once(holder).chain(self.inner.iter().map(piece)).collect()
    }

    fn members(&self) -> Vec<usize> {
        std::iter::once(self.part).chain(self.inner.iter().map(|it| it.part)).collect()
    }
}

/// What goes into one more of a part's openings, taken from what is left.
fn fill(
    router: &Router,
    parts: &[Part],
    part: usize,
    small: &[usize],
    left: &mut HashMap<usize, u32>,
    gap: f64,
) -> Vec<Inner> {
    let mut inner: Vec<Inner> = Vec::new();
    // As it lies on the sheet, or as it will once something in it has a grain.
    let holder_turned = parts[part].grain == Grain::Cross;
    for space in openings(router, &parts[part]).filter_map(|hole| Space::of(hole, router.in_cut_out())) {
        for &it in small {
            let about = &parts[it];
            if left.get(&it).is_none_or(|left| *left == 0) {
                continue;
            }
            let (straight, turned) = turns(about.grain);
            let may = |in_holder: bool| if in_holder == holder_turned { straight } else { turned };
            let orientations = [false, true].into_iter().filter(|turned| may(*turned)).flat_map(|turned| {
                let size = if turned { (about.width, about.length) } else { (about.length, about.width) };
                space.places(size).into_iter().map(move |bounds| (turned, bounds))
            });
            for (turned, bounds) in orientations {
                if left.get(&it).is_none_or(|left| *left == 0) {
                    break;
                }
                let wide = bounds.inflate(gap - 1e-6, gap - 1e-6);
                if inner.iter().all(|other| !wide.overlaps(other.bounds)) {
                    inner.push(Inner { part: it, turned, bounds });
                    left.entry(it).and_modify(|left| *left -= 1);
                }
            }
        }
    }
    inner
}

fn quarter_more(turn: Turn) -> Turn {
    match turn {
        Turn::None => Turn::Quarter,
        Turn::Quarter => Turn::Half,
        Turn::Half => Turn::ThreeQuarters,
        Turn::ThreeQuarters => Turn::None,
    }
}

/// The rectangle that one becomes under quarter turns.
fn bounds_of(place: Affine, rect: Rect) -> Rect {
    Rect::from_points(place * Point::new(rect.x0, rect.y0), place * Point::new(rect.x1, rect.y1))
}

/// In which opening a piece lies.
#[derive(Clone, Debug)]
pub(crate) struct Within {
    /// The piece that has the opening, by its placement.
    pub holder: usize,
    /// Which of that part's holes it is.
    pub hole: usize,
    /// The same on the sheet.
    pub opening: Hole,
}

impl Within {
    /// Is it this hole of the piece of this placement?
    pub fn is(&self, holder: usize, hole: usize) -> bool {
        self.holder == holder && self.hole == hole
    }
}

/// Of each piece on a sheet, the opening of another in which it lies.
pub(crate) fn holders(placements: &[Placement], parts: &[Part]) -> Vec<Option<Within>> {
    let bounds: Vec<Rect> = placements.iter().map(|placement| placement.bounds(&parts[placement.part])).collect();
    let holes: Vec<(Within, Rect)> = placements
        .iter()
        .enumerate()
        .flat_map(|(i, placement)| {
            let part = &parts[placement.part];
            let place = placement.affine(part);
            part.holes.iter().enumerate().map(move |(which, hole)| {
                let opening = hole.placed(place, placement.turn.swaps());
                (Within { holder: i, hole: which, opening }, bounds_of(place, hole.outline().bounds()))
            })
        })
        .collect();
    let within = |inner: &Rect, outer: &Rect| outer.contains(inner.origin()) && outer.union(*inner) == *outer;
    let of = |i: usize| {
        let hole = holes.iter().find(|(it, hole)| it.holder != i && within(&bounds[i], hole));
        hole.map(|(it, _)| it.clone())
    };
    (0..bounds.len()).map(of).collect()
}
