//! Where the fasteners of a joint go: how many, at what places, and clear of which openings.
//!
//! They are spread evenly from one end of the joint to the other. One that would pass through an opening, end in it or break
//! out into it moves along the joint: to the nearest place that is as far from every opening as fasteners are from a joint's
//! end. So does one that would meet a fastener of another joint. Where there is no such place, it is left out.

use super::openings::Opening;
use crate::design::{Assembly, Contact, Joint, JointKind, Panel, middle};
use crate::geometry::Point;
use crate::job::Hardware;
use crate::profile::{Fastener, FastenerKind};
use geo::BoundingRect;
use glam::DVec3;

/// A lap wider than this takes two rows of fasteners (mm).
const TWO_ROWS: f64 = 60.0;
/// A joint shorter than this takes one (mm).
const ONE: f64 = 30.0;
/// A fastener in the edge of a board has this share of its thickness as wood on either side. Where an opening leaves less, it
/// breaks out.
const BESIDE: f64 = 0.5;
/// The shanks of two brads pass each other at least so far apart (mm), those of two screws twice that: common practice. In wood
/// no point goes quite where it is aimed.
const PASSING: f64 = 5.0;
/// Two screws side by side in a board stand at least so far apart (mm): common practice, five diameters. Where there is less room,
/// one does.
const SCREWS_APART: f64 = 20.0;
/// The noise of a sum (mm).
const HAIR: f64 = 1e-6;
/// Places along a joint are tried so far apart (mm): nobody places a nail more finely.
const STEP: f64 = 1.0;

/// The fasteners of one joint.
#[derive(Clone, Debug)]
pub struct Driven<'a> {
    pub fastener: &'a Fastener,
    /// Panels by place in the box's list: the one they are driven through, and the one they end in.
    pub through: usize,
    pub into: usize,
    /// Where the face looks that they are driven into, in the box's frame.
    pub out: DVec3,
    /// Which way they stand out of the wood.
    pub stands: DVec3,
    /// Where each goes in, in the box's frame (mm).
    pub places: Vec<DVec3>,
    /// How far the points come out beyond the second board (mm); less than nothing where they stay in it.
    pub points: f64,
    /// So many had to move along the joint, clear of an opening, and so many have no place there.
    pub moved: u32,
    pub left_out: u32,
    /// Why: places in the list of openings.
    pub clear_of: Vec<usize>,
}

impl Driven<'_> {
    pub fn count(&self) -> u32 {
        self.places.len() as u32
    }

    /// From its head at this place to its point.
    fn shank(&self, place: DVec3) -> [DVec3; 2] {
        [place, place - self.stands * self.fastener.length.value]
    }
}

/// The fasteners of each joint, clear of these openings of its assembly and of each other; `None` where it takes none.
pub fn driven<'a>(
    hardware: &'a Hardware,
    assembly: &Assembly,
    contacts: &[Contact],
    openings: &[Opening],
    joints: &[Joint],
) -> Vec<Option<Driven<'a>>> {
    let mut there: Vec<[DVec3; 2]> = Vec::new();
    let one = |joint| {
        let driven = of_joint(hardware, assembly, contacts, (openings, &there), joint)?;
        there.extend(driven.places.iter().map(|place| driven.shank(*place)));
        Some(driven)
    };
    joints.iter().map(one).collect()
}

fn of_joint<'a>(
    hardware: &'a Hardware,
    assembly: &Assembly,
    contacts: &[Contact],
    (openings, there): (&[Opening], &[[DVec3; 2]]),
    joint: &Joint,
) -> Option<Driven<'a>> {
    let panels = &assembly.panels;
    let fastener = hardware.fastener_for_joint(joint, panels[joint.through].thickness)?;
    let count = wanted(joint, fastener, hardware.spacing);
    let contact = &contacts[*joint.nailed.first()?];
    if count == 0 {
        return None;
    }
    // Out of the wood the nail goes through first.
    let normal = contact.place.normal();
    let out = if contact.panels[0] == joint.through { -normal } else { normal };
    let stands = if contact.leans { in_line(&panels[joint.into()], out) } else { out };
    let row = match &joint.nailed[..] {
        [_] => Row::along(contact, count, fastener.from_end.value),
        fingers => Row::over(fingers.iter().map(|i| middle(&contacts[*i])).collect(), count),
    };
    let entry = |at: DVec3| on_face(&panels[joint.through], at, stands);
    let least = BESIDE * panels[joint.into()].thickness;
    let clear = fastener.from_end.value.max(least);
    let length = fastener.length.value;
    // The openings that a fastener at this place comes nearer to than so far.
    let beside = |i: usize, far: f64| {
        let from = entry(row.at[i].1);
        let is_near = move |opening: &Opening| {
            let distance = opening.distance(panels, from, from - stands * length, far);
            distance.is_some_and(|distance| distance < far - HAIR)
        };
        openings.iter().enumerate().filter(move |(_, opening)| is_near(opening)).map(|(which, _)| which)
    };
    let mut clear_of: Vec<usize> = row.wanted.iter().flat_map(|i| beside(*i, least)).collect();
    clear_of.sort_unstable();
    clear_of.dedup();
    let passing = match fastener.kind {
        FastenerKind::Brad | FastenerKind::Nail => PASSING,
        FastenerKind::Screw => 2.0 * PASSING,
    };
    let passes = |i: usize| {
        let from = entry(row.at[i].1);
        there.iter().all(|other| apart([from, from - stands * length], *other) >= passing - HAIR)
    };
    let free = |i: usize, far: f64| beside(i, far).next().is_none() && passes(i);
    let chosen = row.chosen(|i| free(i, least), |i| free(i, clear), clear);
    let in_the_way = || chosen.iter().zip(&row.wanted).filter(|(_, i)| beside(**i, least).next().is_some());
    Some(Driven {
        fastener,
        through: joint.through,
        into: joint.into(),
        out,
        stands,
        places: chosen.iter().flatten().map(|i| entry(row.at[*i].1)).collect(),
        points: length - joint.outer_wood - joint.inner_wood,
        moved: in_the_way().filter(|(at, _)| at.is_some()).count() as u32,
        left_out: chosen.iter().filter(|at| at.is_none()).count() as u32,
        clear_of,
    })
}

/// Fasteners that a joint takes: at both ends, and between them no further apart than the spacing.
fn wanted(joint: &Joint, fastener: &Fastener, spacing: Option<f64>) -> u32 {
    if !joint.glued {
        return 0;
    }
    if joint.length < ONE {
        return 1;
    }
    let spacing = spacing.unwrap_or(fastener.spacing.value);
    let run = (joint.length - 2.0 * fastener.from_end.value).max(0.0);
    let mut in_a_row = 1 + (run / spacing - 1e-6).ceil().max(1.0) as u32;
    if fastener.kind == FastenerKind::Screw {
        // Where the profile or the maker wants them nearer than is good for them, as many as there is room for.
        in_a_row = in_a_row.min(1 + (run / SCREWS_APART + 1e-6).floor() as u32);
    }
    let rows = if joint.kind == JointKind::Lap && joint.width > TWO_ROWS { 2 } else { 1 };
    in_a_row * rows
}

/// Places along a joint.
struct Row {
    /// How far along each is (mm), and where it lies in the joint.
    at: Vec<(f64, DVec3)>,
    /// Those that are spread evenly, if nothing is in their way.
    wanted: Vec<usize>,
}

impl Row {
    /// Along the middle of a contact, the outermost so far from its ends.
    fn along(contact: &Contact, count: u32, from_end: f64) -> Row {
        let Some(bounds) = contact.region.bounding_rect() else { return Row { at: Vec::new(), wanted: Vec::new() } };
        let (least, most) = (bounds.min(), bounds.max());
        let middle = Point::new(f64::midpoint(least.x, most.x), f64::midpoint(least.y, most.y));
        let lying = most.x - least.x >= most.y - least.y;
        let length = if lying { most.x - least.x } else { most.y - least.y };
        let reach = (length / 2.0 - from_end).max(0.0);
        let even =
            (0..count).map(|i| reach * if count > 1 { f64::from(i) / f64::from(count - 1) * 2.0 - 1.0 } else { 0.0 });
        // From both ends: what moves in from either moves as far.
        let steps = (0..=(2.0 * reach / STEP) as u32).map(|i| f64::from(i) * STEP - reach);
        let between = steps.flat_map(|along| [along, -along]);
        let place = |along: f64| {
            let (x, y) = if lying { (middle.x + along, middle.y) } else { (middle.x, middle.y + along) };
            (along, contact.place.to_space(Point::new(x, y), 0.0))
        };
        Row { at: even.chain(between).map(place).collect(), wanted: (0..count as usize).collect() }
    }

    /// In fingers, given by their middles in order: spread evenly from the first to the last; in each where there are no more.
    fn over(fingers: Vec<DVec3>, count: u32) -> Row {
        let (first, last, count) = (fingers[0], fingers.len() - 1, count as usize);
        let wanted = if count > last {
            (0..fingers.len()).collect()
        } else {
            let even = |i| if count > 1 { (i * last + (count - 1) / 2) / (count - 1) } else { last / 2 };
            (0..count).map(even).collect()
        };
        Row { at: fingers.into_iter().map(|at| (at.distance(first), at)).collect(), wanted }
    }

    /// The place of each wanted one: its own if it stays, else the nearest that is free and not too near to the next fastener,
    /// if there is one.
    fn chosen(&self, stays: impl Fn(usize) -> bool, free: impl Fn(usize) -> bool, apart: f64) -> Vec<Option<usize>> {
        let along = |i: usize| self.at[i].0;
        let mut chosen: Vec<Option<usize>> = self.wanted.iter().map(|i| Some(*i).filter(|i| stays(*i))).collect();
        if chosen.iter().all(Option::is_some) {
            return chosen;
        }
        let pitches = self.wanted.windows(2).map(|pair| (along(pair[1]) - along(pair[0])).abs());
        let apart = pitches.fold(apart, f64::min) - HAIR;
        let free: Vec<usize> = (0..self.at.len()).filter(|i| free(*i)).collect();
        // Those that have to move least choose first.
        loop {
            let nearest = |slot: usize| {
                let off = |i: usize| (along(i) - along(self.wanted[slot])).abs();
                let open = |i: &&usize| chosen.iter().flatten().all(|it| (along(*it) - along(**i)).abs() >= apart);
                free.iter().filter(open).map(|i| (off(*i), *i)).min_by(|a, b| a.0.total_cmp(&b.0))
            };
            let waiting = (0..chosen.len()).filter(|slot| chosen[*slot].is_none());
            let moves = waiting.filter_map(|slot| nearest(slot).map(|(off, to)| (off, slot, to)));
            let Some((_, slot, to)) = moves.min_by(|a, b| a.0.total_cmp(&b.0)) else { break };
            chosen[slot] = Some(to);
        }
        chosen
    }
}

/// How near two straight shanks come to each other (mm).
fn apart([a, b]: [DVec3; 2], [c, d]: [DVec3; 2]) -> f64 {
    let (along, other, between) = (b - a, d - c, c - a);
    // Where the nearest places of the two lines are, if both are inside; otherwise one of the four ends is nearest.
    let (long, short, lean) = (along.length_squared(), other.length_squared(), along.dot(other));
    let across = long * short - lean * lean;
    let inside = (across > HAIR * long * short)
        .then(|| {
            let s = (between.dot(along) * short - between.dot(other) * lean) / across;
            let t = (between.dot(along) * lean - between.dot(other) * long) / across;
            [s, t].iter().all(|share| (0.0..=1.0).contains(share)).then(|| (a + along * s).distance(c + other * t))
        })
        .flatten();
    let to = |from: DVec3, start: DVec3, run: DVec3| {
        from.distance(start + run * ((from - start).dot(run) / run.length_squared()).clamp(0.0, 1.0))
    };
    let ends = to(a, c, other).min(to(b, c, other)).min(to(c, a, along)).min(to(d, a, along));
    inside.unwrap_or(ends).min(ends)
}

/// The direction within a board that is nearest to this one: along a slope a nail that goes in square would come out of the board's
/// face.
fn in_line(board: &Panel, out: DVec3) -> DVec3 {
    let normal = board.place.normal();
    (out - normal * out.dot(normal)).try_normalize().unwrap_or(out)
}

/// Where one comes out of a panel's face from a place in or under it.
fn on_face(panel: &Panel, from: DVec3, out: DVec3) -> DVec3 {
    let (_, w) = panel.place.to_flat(from);
    let lean = out.dot(panel.place.normal());
    let face = if lean > 0.0 { 0.0 } else { -panel.thickness };
    if lean.abs() < 0.1 { from } else { from + out * ((face - w) / lean) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shanks_are_as_far_apart_as_their_nearest_places() {
        let shank = |a: [f64; 3], b: [f64; 3]| [DVec3::from(a), DVec3::from(b)];
        let upright = shank([0.0, 0.0, 0.0], [0.0, 0.0, 30.0]);
        let cases = [
            // They cross, pass at 4, lie side by side, one behind the other, and askew with an end nearest.
            (shank([-10.0, 0.0, 20.0], [10.0, 0.0, 20.0]), 0.0),
            (shank([-10.0, 4.0, 20.0], [10.0, 4.0, 20.0]), 4.0),
            (shank([3.0, 4.0, 10.0], [3.0, 4.0, 40.0]), 5.0),
            (shank([0.0, 0.0, 36.0], [0.0, 0.0, 66.0]), 6.0),
            (shank([3.0, 0.0, 34.0], [23.0, 0.0, 34.0]), 5.0),
        ];
        for (other, far) in cases {
            assert!((apart(upright, other) - far).abs() < 1e-9, "{other:?}: {}", apart(upright, other));
            assert!((apart(other, upright) - far).abs() < 1e-9);
        }
    }
}
