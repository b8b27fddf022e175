//! The boards a maker adds to a box, put into their places.
//!
//! A board is an upright block: thick along one axis; along each of the other two it reaches as far as is told, or as there
//! is room. Where it stands in grooves, `grooves` cuts them.

mod frames;
mod grooves;
mod room;

use super::no_such_panel;
use crate::design::{Assembly, Board, Face, Facing, Joinery, Panel};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::job::{BoardOrder, HeldBy};
use crate::reading::{Key, Problem, Source, any_of};
use crate::spec::schema::{AGAINST, BETWEEN, BOARD_FROM, BOARD_NAME, BOARD_SIZES};
use crate::units::Units;
use glam::DVec3;
use room::{Room, axis_of, upper_edge};
use std::ops::Range;
use std::sync::Arc;

/// No board is shorter or narrower than this (mm): it splits, and nothing holds it.
const LEAST: f64 = 10.0;
/// A board may reach past the room by so much: arithmetic (mm).
const HAIR: f64 = 0.01;

/// A board's place in the box.
#[derive(Clone, Debug)]
struct Block {
    least: DVec3,
    most: DVec3,
    /// The axis along which it is thick.
    across: usize,
    sub_assembly: String,
}

/// What is wrong with the spec's text, if anything is.
type Told = Result<(), Box<Problem>>;

/// Adds each board to the box, in the order of the spec.
pub(super) fn add(
    assembly: &mut Assembly,
    board: &Board,
    orders: &[BoardOrder],
    (source, units): (&Arc<Source>, Units),
    problems: &mut Vec<Problem>,
) {
    if orders.is_empty() {
        return;
    }
    let room = Room::of(assembly);
    for order in orders {
        let adding = Adding { order, source, units, room, board };
        problems.extend(adding.add(assembly).err().map(|problem| *problem));
    }
    frames::settle(assembly, room);
}

/// One board as it is being added.
struct Adding<'a> {
    order: &'a BoardOrder,
    source: &'a Arc<Source>,
    units: Units,
    room: Room,
    board: &'a Board,
}

impl Adding<'_> {
    fn add(&self, assembly: &mut Assembly) -> Told {
        match &self.order.held {
            HeldBy::Between(panels) => {
                self.free_name(assembly, &self.order.name)?;
                let mut block = self.between(assembly, panels)?;
                let refusals = self.fits(assembly, &mut block);
                assembly.refusals.extend(refusals);
                if self.order.let_in > 0.0 {
                    let joinery = Joinery::new(self.board, self.order.play);
                    let refusal = grooves::let_in(assembly, &mut block, self.order, &joinery);
                    assembly.refusals.extend(refusal);
                }
                let facing = [Facing::Right, Facing::Front, Facing::Up][block.across];
                self.put(assembly, self.order.name.clone(), facing, block);
            }
            HeldBy::Against(panels, face) => {
                for panel in panels {
                    let name = match panels.len() {
                        1 => self.order.name.clone(),
                        _ => format!("{} {}", panel.0, self.order.name),
                    };
                    self.free_name(assembly, &name)?;
                    let (mut block, facing) = self.against(assembly, panel, *face)?;
                    let refusals = self.fits(assembly, &mut block);
                    assembly.refusals.extend(refusals);
                    self.put(assembly, name, facing, block);
                }
            }
        }
        Ok(())
    }

    fn put(&self, assembly: &mut Assembly, name: String, facing: Facing, block: Block) {
        let mut panel = Panel::block(&name, &self.order.name, facing, block.least, block.most);
        // As its stock is, not as its place was reckoned.
        panel.thickness = self.thickness();
        panel.sub_assembly = block.sub_assembly;
        panel.added = Some(self.order.spot.clone());
        assembly.panels.push(panel);
    }

    fn thickness(&self) -> f64 {
        self.board.of(&self.order.name)
    }

    /// From the face of one panel to that of another which looks at it.
    fn between(&self, assembly: &Assembly, [a, b]: &[(String, Range<usize>); 2]) -> Result<Block, Box<Problem>> {
        let (one, other) = (self.panel(assembly, a)?, self.panel(assembly, b)?);
        let apart = |axis: usize| {
            let (one, other) = (one.bounds(), other.bounds());
            let (low, high) = if one.0[axis] <= other.0[axis] { (one.1, other.0) } else { (other.1, one.0) };
            (low[axis], high[axis])
        };
        let run = axis_of(one).filter(|axis| axis_of(other) == Some(*axis) && apart(*axis).1 > apart(*axis).0);
        let Some(run) = run else {
            return Err(self.problem(
                &[BETWEEN],
                format!("the {} and the {} do not look at each other", one.name, other.name),
                "expected two panels with room between them, such as [\"front\", \"back\"]",
            ));
        };
        if one.sub_assembly != other.sub_assembly {
            let off = if one.sub_assembly.is_empty() { other } else { one };
            return Err(self.problem(
                &[BETWEEN],
                format!("the {} comes off the box: no board can be fixed to it and to the other", off.name),
                "expected two panels that stay together",
            ));
        }
        let of_run = [BOARD_SIZES[run], BOARD_FROM[run][0], BOARD_FROM[run][1]];
        if self.order.size[run].is_some() || self.order.from[run].iter().any(Option::is_some) {
            return Err(self.problem(
                &of_run,
                format!("it reaches from the {} to the {}: that settles it", one.name, other.name),
                format!("expected no `{}`, `{}` or `{}` here", of_run[0].name, of_run[1].name, of_run[2].name),
            ));
        }
        let across = self.across(run)?;
        let up = 3 - run - across;
        let mut room = self.room;
        if up == 2 {
            room.most.z = [one, other].into_iter().filter_map(upper_edge).fold(room.most.z, f64::min);
        }
        let mut block = Block { least: DVec3::ZERO, most: DVec3::ZERO, across, sub_assembly: one.sub_assembly.clone() };
        (block.least[run], block.most[run]) = apart(run);
        (block.least[up], block.most[up]) = self.span(up, (room.least[up], room.most[up]), self.order.size[up]);
        let thick = Some(self.thickness());
        (block.least[across], block.most[across]) =
            self.span(across, (self.room.least[across], self.room.most[across]), thick);
        Ok(block)
    }

    /// The axis along which a board between two panels is thick: the one along which its place is told and no size.
    fn across(&self, run: usize) -> Result<usize, Box<Problem>> {
        let others: Vec<usize> = (0..3).filter(|axis| *axis != run).collect();
        let sized = |axis: usize| self.order.size[axis].is_some();
        let placed = |axis: usize| self.order.from[axis].iter().any(Option::is_some);
        let across = match [sized(others[0]), sized(others[1])] {
            [true, true] => {
                let keys = [BOARD_SIZES[others[0]], BOARD_SIZES[others[1]]];
                return Err(self.problem(
                    &keys,
                    "a board has two sizes and a thickness, and one size is settled by what it reaches between".into(),
                    format!("expected one of `{}` and `{}`", keys[0].name, keys[1].name),
                ));
            }
            [true, false] => others[1],
            [false, true] => others[0],
            // A board whose height is told beside its place along the box stands upright.
            [false, false] if placed(others[0]) && placed(others[1]) && others[1] != 2 => {
                let keys = [BOARD_SIZES[others[0]], BOARD_SIZES[others[1]]];
                return Err(self.problem(
                    &[BETWEEN],
                    "it is not said which way it stands".into(),
                    format!("expected `{}` or `{}` beside it", keys[0].name, keys[1].name),
                ));
            }
            [false, false] if placed(others[0]) => others[0],
            [false, false] => others[1],
        };
        let [near, far] = BOARD_FROM[across];
        let known: Vec<&str> = others.iter().flat_map(|axis| BOARD_FROM[*axis].map(|key| key.name)).collect();
        match self.order.from[across] {
            [Some(_), Some(_)] => Err(self.problem(
                &[far],
                "its thickness settles where its other face is".into(),
                format!("expected one of `{}` and `{}`", near.name, far.name),
            )),
            [None, None] => Err(self.problem(
                &[BETWEEN],
                "it is not said where it stands".into(),
                format!("expected {} = a length beside it", any_of(known)),
            )),
            _ => Ok(across),
        }
    }

    /// On a face of a panel.
    fn against(
        &self,
        assembly: &Assembly,
        called: &(String, Range<usize>),
        face: Face,
    ) -> Result<(Block, Facing), Box<Problem>> {
        let panel = self.panel(assembly, called)?;
        let Some(across) = axis_of(panel) else {
            return Err(self.problem_at(
                called.1.clone(),
                format!("the {} leans: a board on it would lean as well", panel.name),
                "expected a panel that stands upright or lies level",
            ));
        };
        let of_thickness = [BOARD_SIZES[across], BOARD_FROM[across][0], BOARD_FROM[across][1]];
        if self.order.size[across].is_some() || self.order.from[across].iter().any(Option::is_some) {
            let names = of_thickness.each_ref().map(|key| key.name);
            return Err(self.problem(
                &of_thickness,
                format!("it lies on the {}, and is as thick as its stock", panel.name),
                format!("expected no `{}`, `{}` or `{}` here", names[0], names[1], names[2]),
            ));
        }
        let (low, high) = panel.bounds();
        let mut block =
            Block { least: DVec3::ZERO, most: DVec3::ZERO, across, sub_assembly: panel.sub_assembly.clone() };
        for axis in (0..3).filter(|axis| *axis != across) {
            let mut reach = (low[axis], high[axis]);
            if face == Face::Inner {
                reach = (self.room.least[axis].max(low[axis]), self.room.most[axis].min(high[axis]));
                if axis == 2 {
                    reach.1 = upper_edge(panel).map_or(reach.1, |top| top.min(reach.1));
                }
            }
            (block.least[axis], block.most[axis]) = self.span(axis, reach, self.order.size[axis]);
        }
        let outwards = panel.place.normal()[across] > 0.0;
        let above = outwards == (face == Face::Outer);
        let t = self.thickness();
        (block.least[across], block.most[across]) =
            if above { (high[across], high[across] + t) } else { (low[across] - t, low[across]) };
        let facing = match (across, outwards) {
            (0, true) => Facing::Right,
            (0, false) => Facing::Left,
            (1, true) => Facing::Back,
            (1, false) => Facing::Front,
            (_, true) => Facing::Up,
            (_, false) => Facing::Down,
        };
        Ok((block, facing))
    }

    /// From where to where it reaches along an axis.
    fn span(&self, axis: usize, (low, high): (f64, f64), size: Option<f64>) -> (f64, f64) {
        match (self.order.from[axis], size) {
            ([near, far], None) => (low + near.unwrap_or(0.0), high - far.unwrap_or(0.0)),
            ([Some(near), _], Some(size)) => (low + near, low + near + size),
            ([None, Some(far)], Some(size)) => (high - far - size, high - far),
            ([None, None], Some(size)) if axis == 2 => (low, low + size),
            ([None, None], Some(size)) => {
                let middle = f64::midpoint(low, high);
                (middle - size / 2.0, middle + size / 2.0)
            }
        }
    }

    /// What is too small to be a board, and what reaches through a wall or the floor; what is too small is made larger.
    fn fits(&self, assembly: &Assembly, block: &mut Block) -> Vec<Finding> {
        let subject = format!("{}, {}", assembly.name, self.order.name);
        let mut refusals = Vec::new();
        for axis in (0..3).filter(|axis| *axis != block.across) {
            let size = block.most[axis] - block.least[axis];
            if size < LEAST {
                let keys = [BOARD_SIZES[axis], BOARD_FROM[axis][0], BOARD_FROM[axis][1], BETWEEN, AGAINST];
                refusals.push(
                    Finding::measured(
                        JobCheck::BoardSize,
                        &subject,
                        Measure::Length(size),
                        Limits::at_least(LEAST),
                        Status::Refused,
                    )
                    .worded(format!("{} of the board", BOARD_SIZES[axis].name))
                    .source("common practice")
                    .advice(format!(
                        "there is no room for it: change `{}` or `{}`, or what bounds it",
                        keys[1].name, keys[2].name
                    ))
                    .at(self.order.spots.of(&keys)),
                );
                block.most[axis] = block.least[axis] + LEAST;
            }
        }
        let outside = matches!(self.order.held, HeldBy::Against(_, Face::Outer));
        for axis in (0..3).filter(|_| !outside) {
            let (below, above) = (self.room.least[axis] - block.least[axis], block.most[axis] - self.room.most[axis]);
            // What reaches up out of an open box is not in the way of anything, or what it meets says so.
            let past = if axis == 2 { below } else { below.max(above) };
            if past > HAIR && !(axis == block.across && matches!(self.order.held, HeldBy::Against(..))) {
                let keys = [BOARD_FROM[axis][0], BOARD_FROM[axis][1], BOARD_SIZES[axis]];
                refusals.push(
                    Finding::measured(
                        JobCheck::BoardInside,
                        &subject,
                        Measure::Length(past),
                        Limits::at_most(0.0),
                        Status::Refused,
                    )
                    .source("geometry of the box")
                    .advice(self.where_inside(axis, block))
                    .at(self.order.spots.of(&keys)),
                );
            }
        }
        refusals
    }

    /// What would keep it inside.
    fn where_inside(&self, axis: usize, block: &Block) -> String {
        let room = self.room.most[axis] - self.room.least[axis];
        let size = block.most[axis] - block.least[axis];
        let show = |mm: f64| self.units.show(mm);
        if size > room {
            let how = match axis {
                _ if axis == block.across => "thinner",
                0 => "narrower",
                1 => "less deep",
                _ => "lower",
            };
            return format!("there is {} of room inside, and it is {}: make it {how}", show(room), show(size));
        }
        let [near, far] = BOARD_FROM[axis].map(|key| key.name);
        // No more than there is, when it is written as it is told.
        format!("make `{near}` or `{far}` 0 to {} {}", self.units.number_below(room - size, 0), self.units)
    }

    fn panel<'a>(
        &self,
        assembly: &'a Assembly,
        (name, spot): &(String, Range<usize>),
    ) -> Result<&'a Panel, Box<Problem>> {
        let panels = &assembly.panels;
        panels.iter().find(|panel| panel.name == *name).ok_or_else(|| {
            let known: Vec<&str> = panels.iter().map(|panel| panel.name.as_str()).collect();
            Box::new(no_such_panel(self.source, spot, name, &known))
        })
    }

    fn free_name(&self, assembly: &Assembly, name: &str) -> Told {
        if assembly.panels.iter().any(|panel| panel.name == *name || panel.family == *name) {
            return Err(self.problem(
                &[BOARD_NAME],
                format!("this box has a panel `{name}` already"),
                "expected a name of its own for each board",
            ));
        }
        Ok(())
    }

    fn problem(&self, keys: &[Key], message: String, expected: impl Into<String>) -> Box<Problem> {
        let spot = self.order.spots.of(keys).unwrap_or(self.order.spot.clone());
        self.problem_at(spot, message, expected)
    }

    fn problem_at(&self, spot: Range<usize>, message: String, expected: impl Into<String>) -> Box<Problem> {
        Box::new(Problem::new(self.source, spot, message, expected, ""))
    }
}
