//! A closed cavity with an entrance: nest box, bait hive; and a roost of narrow chambers, open below.
//!
//! `walls` and `roof` build the box; `door` makes one of its walls a door; `roost` is a kind of its own that shares the
//! roof.

mod door;
mod keys;
mod roof;
mod roost;
mod upright;
mod walls;

use crate::geometry::math::{cbrt, tan};
pub(super) use keys::KIND;
pub use roost::RoostBox;

use crate::design::Board;
use crate::design::{Assembly, Design, Fitting, FittingKind, Hole, HoleUse, Joinery, Panel, Reach, Seat};
use crate::design::{Face, Facing};
use crate::geometry::Point;
use crate::profile::Occupant;
use crate::units::INCH;
use glam::DVec3;
use roof::Underside;
use std::f64::consts::PI;
use std::sync::Arc;

/// A box with a floor let in between its walls, under a roof. Lengths in millimetres, angles in radians.
///
/// All edges are cut square: a wall across the slope is as high as lets the roof pass over its lower edge, and the slits
/// that leaves are the ventilation under the roof.
#[derive(Clone, Debug)]
pub struct CavityBox {
    /// Width, depth, and height at the lowest side: behind the front, or beside the walls under a gable.
    pub inside: [f64; 3],
    pub occupant: Option<Arc<Occupant>>,
    pub entrance: Option<Entrance>,
    pub roof: Roof,
    pub slope: f64,
    /// How far the roof reaches out in front, and on each side.
    pub overhang: f64,
    pub side_overhang: f64,
    /// What opens for cleaning.
    pub access: Option<Access>,
    /// It slides in grooves instead of turning.
    pub slides: bool,
    /// Drain holes in the floor, up to four.
    pub drains: u32,
    /// Vents in each side wall, under the roof.
    pub vents: u32,
    /// A board on the back that reaches past the box above and below, to hang it by.
    pub back_plate: bool,
    /// The inside grows where the entrance wants wood above it, as in thick stock under a steep roof.
    pub grows: bool,
}

/// A hole in the front: round where it is as wide as it is high, else a slot that lies.
#[derive(Clone, Copy, Debug)]
pub struct Entrance {
    pub width: f64,
    pub height: f64,
    /// Of its centre above the floor.
    pub up: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Roof {
    /// One board, down to the front.
    Sloping,
    /// Two boards that meet over the middle.
    Gabled,
}

crate::words!(Roof: Sloping = "sloping", Gabled = "gabled");

/// What opens for cleaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    Front,
    /// The right one, seen from in front.
    Side,
    Roof,
}

/// Diameter of drain holes and vents (mm).
const SMALL_HOLE: f64 = 10.0;
/// From their centres to the walls (mm).
const INSET: f64 = 16.0;
/// Wood beside a hole that the design places itself, at least (mm).
const BESIDE: f64 = 4.0;

impl CavityBox {
    /// A box of this clear inside (width, depth, height at the lowest side) with every choice at its default.
    pub fn new(inside: [f64; 3]) -> CavityBox {
        CavityBox {
            inside,
            occupant: None,
            entrance: None,
            roof: keys::ROOF.word(),
            slope: keys::SLOPE.number().to_radians(),
            overhang: keys::OVERHANG.mm(),
            side_overhang: keys::SIDE_OVERHANG.mm(),
            access: None,
            slides: false,
            drains: 0,
            vents: 0,
            back_plate: keys::BACK_PLATE.flag(),
            grows: false,
        }
    }

    /// The box an occupant takes: its floor, and the middle of each range that its profile allows. Birds get drain holes.
    pub fn for_occupant(occupant: Arc<Occupant>) -> CavityBox {
        let middle = |range: [f64; 2]| f64::midpoint(range[0], range[1]);
        let size = match (&occupant.entrance, &occupant.entrance_oval, &occupant.entrance_area) {
            (Some(entrance), ..) => Some([entrance.value; 2]),
            (None, Some(oval), _) => Some(oval.value),
            (None, None, Some(area)) => Some([(middle(area.value) * 4.0 / PI).sqrt(); 2]),
            (None, None, None) => None,
        };
        let up = occupant.entrance_up.as_ref().map(|up| middle(up.value));
        let entrance = size.zip(up).map(|([width, height], up)| Entrance { width, height, up });
        // Some tables put the entrance so high that only the deepest box has wood above it.
        let least = entrance.map_or(0.0, |entrance| entrance.up + entrance.height / 2.0 + INCH / 2.0);
        let inside = match (&occupant.floor, &occupant.height) {
            (Some(floor), Some(height)) => [floor.value[0], floor.value[1], middle(height.value).max(least)],
            _ => [150.0, 150.0, 225.0],
        };
        let drains = if occupant.floor.is_some() { 4 } else { 0 };
        let litres = occupant.volume.as_ref().map(|litres| middle(litres.value));
        let plain = CavityBox { entrance, drains, occupant: Some(occupant), grows: true, ..CavityBox::new(inside) };
        match litres {
            Some(litres) => plain.holding(litres),
            None => plain,
        }
    }

    /// Clear inside height at the lowest side, in stock of this thickness.
    fn height(&self, t: f64) -> f64 {
        let height = self.inside[2];
        match self.entrance.filter(|_| self.grows && self.roof == Roof::Sloping) {
            // The front's outer face is lower than its inner one; a door ends short of the roof.
            Some(entrance) => {
                let edge = entrance.up + entrance.height / 2.0;
                height.max(edge + BESIDE + door::ABOVE + t * tan(self.slope))
            }
            None => height,
        }
    }

    /// The same box made to hold this many litres: square inside, and on average half as high again as it is wide.
    pub fn holding(self, litres: f64) -> CavityBox {
        let side = cbrt(litres * 1e6 / 1.5);
        // What the roof adds to the height at the lowest side, on average.
        let rise = match self.roof {
            Roof::Sloping => side / 2.0 * tan(self.slope),
            Roof::Gabled => side / 4.0 * tan(self.slope),
        };
        CavityBox { inside: [side, side, 1.5 * side - rise], ..self }
    }
}

impl Design for CavityBox {
    /// A nest box is cut from a plank; one for bees is built like a hive.
    fn grain_along_walls(&self) -> bool {
        self.occupant.as_ref().is_some_and(|occupant| occupant.entrance_area.is_some())
    }

    fn reaches(&self) -> Vec<Reach> {
        vec![
            Reach { key: "overhang", what: "the roof's overhang in front", length: self.overhang },
            Reach { key: "side-overhang", what: "the roof's overhang at the sides", length: self.side_overhang },
        ]
    }

    fn build(&self, board: &Board) -> Assembly {
        let mut box_ = Building::new(self, board);
        walls::build(&mut box_);
        box_.roof_boards();
        box_.small_holes();
        if self.back_plate {
            box_.back_plate();
        }
        let Building { panels, fittings, sizes, .. } = box_;
        Assembly {
            occupant: self.occupant.clone(),
            inside: Some(DVec3::new(sizes.width / 2.0, sizes.front + self.inside[1] / 2.0, sizes.floor + 1.0)),
            fittings,
            ..Assembly::new(panels)
        }
    }
}

/// Outer sizes (mm).
#[derive(Clone, Copy, Debug)]
struct Sizes {
    /// Thickness of the walls, and of the floor.
    t: f64,
    floor: f64,
    width: f64,
    depth: f64,
    /// y of the front's inner face.
    front: f64,
    /// How far a sliding door stands in from the edge of the walls that hold it.
    set_back: f64,
    /// Of the inside, at the lowest side.
    height: f64,
}

/// A cavity box as far as it is built.
struct Building<'a> {
    design: &'a CavityBox,
    board: &'a Board,
    sizes: Sizes,
    underside: Underside,
    joinery: Joinery,
    panels: Vec<Panel>,
    fittings: Vec<Fitting>,
}

impl<'a> Building<'a> {
    fn new(design: &'a CavityBox, board: &'a Board) -> Building<'a> {
        let (t, floor) = (board.of("side"), board.of("floor"));
        let [inside_width, inside_depth, _] = design.inside;
        let height = design.height(t);
        let set_back = if design.slides { door::SET_BACK } else { 0.0 };
        let in_front = if design.access == Some(Access::Front) { set_back } else { 0.0 };
        let beside = if design.access == Some(Access::Side) { set_back } else { 0.0 };
        let front = in_front + t;
        let sizes = Sizes {
            t,
            floor,
            width: inside_width + 2.0 * t + beside,
            depth: inside_depth + 2.0 * t + in_front,
            front,
            set_back,
            height,
        };
        let underside = match design.roof {
            Roof::Sloping => Underside::sloping(design.slope, front, floor + height),
            Roof::Gabled => Underside::gabled(design.slope, sizes.width, t, floor + height),
        };
        let joinery = Joinery::new(board, door::SLIDE_PLAY);
        Building { design, board, sizes, underside, joinery, panels: Vec::new(), fittings: Vec::new() }
    }

    fn add(&mut self, name: &str, family: &str, facing: Facing, least: [f64; 3], most: [f64; 3]) -> &mut Panel {
        self.panels.push(Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most)));
        let last = self.panels.len() - 1;
        &mut self.panels[last]
    }

    fn roof_boards(&mut self) {
        let design = self.design;
        let s = self.sizes;
        let thick = self.board.of(if design.roof == Roof::Sloping { "roof" } else { "roof board" });
        let mut boards = self.underside.boards(thick, (s.width, s.depth), design.overhang, design.side_overhang);
        if design.access == Some(Access::Roof) {
            boards.iter_mut().for_each(|board| board.sub_assembly = "roof".into());
            door::hinged_roof(self, &boards);
        }
        self.panels.extend(boards);
    }

    /// Drain holes near the floor's corners, vents high in the sides.
    fn small_holes(&mut self) {
        let count = self.design.drains.min(4) as usize;
        if let Some(floor) = self.panels.iter_mut().find(|panel| panel.name == "floor") {
            let bounds = floor.outline.bounds();
            let (x, y) = ((bounds.x0 + INSET, bounds.x1 - INSET), (bounds.y0 + INSET, bounds.y1 - INSET));
            let corners = [(x.0, y.0), (x.1, y.1), (x.0, y.1), (x.1, y.0)];
            for (u, v) in corners.into_iter().take(count) {
                floor.holes.push(Hole::round(HoleUse::Drain, Point::new(u, v), SMALL_HOLE));
            }
        }
        let count = self.design.vents;
        let lowest = self.sizes.floor + self.sizes.height;
        for side in self.panels.iter_mut().filter(|panel| panel.family == "side") {
            let bounds = side.outline.bounds();
            // Under a gable the walls' outer edges are lower than their inner ones.
            let corners = side.outline.vertices.iter().map(|vertex| vertex.at.y).filter(|y| *y > bounds.y0 + 1.0);
            let edge = corners.fold(f64::INFINITY, f64::min);
            let up = (lowest - INSET - SMALL_HOLE / 2.0).min(edge - SMALL_HOLE / 2.0 - BESIDE);
            for i in 0..count {
                let share = (f64::from(i) + 0.5) / f64::from(count);
                let middle = bounds.width() * (0.15 + 0.7 * share);
                let at = Point::new(bounds.x0 + middle, up);
                side.holes.push(Hole::round(HoleUse::Vent, at, SMALL_HOLE));
            }
        }
    }

    /// A board on the back, half as wide as the box, with a hole for a screw above and below.
    fn back_plate(&mut self) {
        const PAST: f64 = 60.0;
        const HOLE: f64 = 8.0;
        let s = self.sizes;
        let half = (s.width / 4.0).max(30.0);
        let top = self.underside.highest(s.width, s.depth) + PAST;
        let thick = self.board.of("back plate");
        let plate = self.add(
            "back plate",
            "back plate",
            Facing::Back,
            [s.width / 2.0 - half, s.depth, -PAST],
            [s.width / 2.0 + half, s.depth + thick, top],
        );
        let bounds = plate.outline.bounds();
        let places = [bounds.y0 + PAST / 3.0, bounds.y1 - PAST / 3.0].map(|v| Point::new(half, v));
        for at in places {
            plate.holes.push(Hole::round(HoleUse::Pilot, at, HOLE));
        }
        self.fittings.extend(places.map(|centre| Fitting {
            kind: FittingKind::WallScrew,
            name: "coach screw, 6 x 60 mm".into(),
            purpose: "to hang the box by".into(),
            size: [60.0, 6.0],
            seats: vec![Seat { panel: "back plate".into(), face: Face::Inner, centre }],
            spot: None,
        }));
    }
}
