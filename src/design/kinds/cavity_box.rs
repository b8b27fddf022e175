//! A closed cavity with an entrance: nest box, bait hive.

use super::Kind;
use crate::design::{Assembly, Design, Facing, Hole, HoleUse, Panel};
use crate::geometry::{Outline, Place, Point};
use crate::job::Board;
use crate::profile::{Occupant, Profiles};
use crate::reading::{Key, Table, key};
use crate::units::INCH;
use glam::DVec3;
use std::f64::consts::PI;
use std::sync::Arc;

/// A box with a floor let in between its walls and a roof that slopes down to the front. Lengths in millimetres.
///
/// All edges are cut square: the front is as high as lets the roof pass over its outer edge, the back as high as its
/// inner edge, and the slits that leaves are the ventilation under the roof.
#[derive(Clone, Debug)]
pub struct CavityBox {
    /// Width, depth, and height just behind the front.
    pub inside: [f64; 3],
    pub occupant: Option<Arc<Occupant>>,
    /// Diameter, and height of the centre above the floor.
    pub entrance: Option<(f64, f64)>,
    /// Of the roof, in radians.
    pub slope: f64,
    /// How far the roof reaches out in front, and on each side.
    pub overhang: f64,
    pub side_overhang: f64,
}

const INSIDE: Key =
    key("inside", "[width, depth, height]", "the occupant's", "clear inside; the height is that at the front");
const OCCUPANT: Key = key("occupant", "a profile", "none", "who is to live in it: gives the inside and the entrance");
const SLOPE: Key = key("slope", "degrees, 0 to 45", "15", "slope of the roof, down to the front");
const OVERHANG: Key = key("overhang", "a length", "2 in", "how far the roof reaches out in front");
const SIDE_OVERHANG: Key = key("side-overhang", "a length", "3/4 in", "how far the roof reaches out on each side");

pub(super) const KIND: Kind = Kind {
    name: "cavity-box",
    about: "a cavity with an entrance and a sloping roof: nest box, bait hive",
    keys: &[INSIDE, OCCUPANT, SLOPE, OVERHANG, SIDE_OVERHANG],
    read: |table, profiles| CavityBox::read(table, profiles).map(|design| Arc::new(design) as Arc<dyn Design>),
};

impl CavityBox {
    /// A box of this clear inside (width, depth, height at the front) with every choice at its default.
    pub fn new(inside: [f64; 3]) -> CavityBox {
        CavityBox {
            inside,
            occupant: None,
            entrance: None,
            slope: 15f64.to_radians(),
            overhang: 2.0 * INCH,
            side_overhang: INCH * 3.0 / 4.0,
        }
    }

    /// The box an occupant takes: the middle of each range that its profile allows.
    ///
    /// Where only the volume is known the floor is square and the box half as high again as it is wide.
    pub fn for_occupant(occupant: Arc<Occupant>) -> CavityBox {
        let middle = |range: [f64; 2]| f64::midpoint(range[0], range[1]);
        let inside = match (&occupant.floor, &occupant.height, &occupant.volume) {
            (Some(floor), Some(height), _) => [floor.value[0], floor.value[1], middle(height.value)],
            (_, _, Some(litres)) => {
                let side = (middle(litres.value) * 1e6 / 1.5).cbrt();
                [side, side, 1.5 * side]
            }
            _ => [150.0, 150.0, 225.0],
        };
        let diameter = match (&occupant.entrance, &occupant.entrance_area) {
            (Some(entrance), _) => Some(entrance.value),
            (None, Some(area)) => Some((middle(area.value) * 4.0 / PI).sqrt()),
            (None, None) => None,
        };
        let up = occupant.entrance_up.as_ref().map(|up| middle(up.value));
        CavityBox { entrance: diameter.zip(up), ..CavityBox::new(inside) }.occupied_by(occupant)
    }

    fn occupied_by(mut self, occupant: Arc<Occupant>) -> CavityBox {
        self.occupant = Some(occupant);
        self
    }

    fn read(table: &Table, profiles: &Profiles) -> Option<CavityBox> {
        let inside = table.lengths::<3>(INSIDE.name, 20.0..=2000.0);
        let occupant = table.profile::<Occupant>(OCCUPANT.name, profiles);
        let slope = table.number(SLOPE.name, 0.0..=45.0);
        let overhang = table.length(OVERHANG.name, 0.0..=500.0);
        let side_overhang = table.length(SIDE_OVERHANG.name, 0.0..=500.0);
        if !table.has(INSIDE.name) && !table.has(OCCUPANT.name) {
            table.needed::<()>(&INSIDE, None);
        }
        let mut plain = match (inside, occupant) {
            (Some(inside), Some(occupant)) => {
                let like = CavityBox::for_occupant(occupant);
                CavityBox { inside, ..like }
            }
            (Some(inside), None) => CavityBox::new(inside),
            (None, Some(occupant)) => CavityBox::for_occupant(occupant),
            (None, None) => return None,
        };
        // An entrance that the maker places takes the place of the occupant's.
        let placed = table
            .tables("hole")
            .iter()
            .any(|hole| hole.text("use").is_some_and(|use_| use_.get_ref() == HoleUse::Entrance.name()));
        if placed {
            plain.entrance = None;
        }
        Some(CavityBox {
            slope: slope.map_or(plain.slope, f64::to_radians),
            overhang: overhang.unwrap_or(plain.overhang),
            side_overhang: side_overhang.unwrap_or(plain.side_overhang),
            ..plain
        })
    }
}

impl Design for CavityBox {
    fn build(&self, board: &Board) -> Assembly {
        let t = board.thickness;
        let [inside_width, inside_depth, inside_height] = self.inside;
        let (width, depth) = (inside_width + 2.0 * t, inside_depth + 2.0 * t);
        let (sin, cos) = self.slope.sin_cos();
        // Height of the roof's underside at a distance from the outer front.
        let under_roof = |y: f64| t + inside_height + (y - t) * sin / cos;
        let (front_top, back_top) = (under_roof(0.0), under_roof(depth - t));
        let (low, high) = (under_roof(0.0), under_roof(depth));

        let block = |name, family, facing, least: [f64; 3], most: [f64; 3]| {
            Panel::block(name, family, facing, DVec3::from(least), DVec3::from(most))
        };
        let sloped = |near: f64, far: f64| Outline::polygon([(0.0, 0.0), (depth, 0.0), (depth, far), (0.0, near)]);
        let mut front = block("front", "front", Facing::Front, [t, 0.0, 0.0], [width - t, t, front_top]);
        if let Some((diameter, up)) = self.entrance {
            let centre = Point::new(inside_width / 2.0, t + up);
            front.holes.push(Hole::round(HoleUse::Entrance, centre, diameter));
        }
        let up_the_slope = DVec3::new(0.0, cos, sin);
        let out_of_the_roof = DVec3::new(0.0, -sin, cos);
        let eave = DVec3::new(-self.side_overhang, -self.overhang, under_roof(-self.overhang));
        let mut roof = Panel::flat("roof", width + 2.0 * self.side_overhang, (depth + self.overhang) / cos, t);
        roof.place = Place::new(eave + out_of_the_roof * t, DVec3::X, up_the_slope);

        let panels = vec![
            // Seen from outside, the left side has its front on the right.
            block("left side", "side", Facing::Left, [0.0, 0.0, 0.0], [t, depth, high]).with_outline(sloped(high, low)),
            block("right side", "side", Facing::Right, [width - t, 0.0, 0.0], [width, depth, high])
                .with_outline(sloped(low, high)),
            front,
            block("back", "back", Facing::Back, [t, depth - t, 0.0], [width - t, depth, back_top]),
            block("floor", "floor", Facing::Down, [t, t, 0.0], [width - t, depth - t, t]),
            roof,
        ];
        Assembly {
            occupant: self.occupant.clone(),
            inside: Some(DVec3::new(width / 2.0, depth / 2.0, t + 1.0)),
            ..Assembly::new(panels)
        }
    }
}
