//! The keys of a cavity box in a spec, and which of them go together.

use super::{Access, CavityBox, Roof, RoostBox};
use crate::design::{Design, HoleUse, kinds::Kind};
use crate::profile::{Occupant, Profiles, Roost};
use crate::reading::{Key, Table, Takes, Unless, key};
use std::f64::consts::FRAC_PI_4;
use std::sync::Arc;

pub(super) const INSIDE: Key = key(
    "inside",
    Takes::Lengths("[width, depth, height]", 10.0, 2000.0),
    Unless::Rule("the occupant's"),
    "clear inside, the height at the lowest side; of a bats' roost that of one chamber",
)
.or(&[("occupant", "a profile")]);
pub(super) const OCCUPANT: Key =
    key("occupant", Takes::Profile, Unless::Needed, "who is to live in it: gives the inside and the entrance")
        .or(&[(INSIDE.name, "[width, depth, height]")]);
pub(super) const ROOF: Key = key(
    "roof",
    Takes::Words(Roof::NAMES),
    Unless::Word("sloping"),
    "sloping: one board, down to the front; gabled: two that meet over the middle",
);
pub(super) const SLOPE: Key =
    key("slope", Takes::Number(0.0, 45.0), Unless::Or(&Unless::Of(15.0), ", gabled 45"), "slope of the roof");
pub(super) const OVERHANG: Key =
    key("overhang", Takes::Length(0.0, 500.0), Unless::Inch(2.0), "how far the roof reaches out in front");
pub(super) const SIDE_OVERHANG: Key = key(
    "side-overhang",
    Takes::Length(0.0, 500.0),
    Unless::Inch(3.0 / 4.0),
    "how far the roof reaches out on each side",
);
pub(super) const ACCESS: Key = key(
    "access",
    Takes::Words(&["none", "front", "side", "roof"]),
    Unless::Word("none"),
    "what opens for cleaning; the side is the right one, seen from in front",
);
pub(super) const ACCESS_BY: Key = key(
    "access-by",
    Takes::Words(&["hinge", "slide"]),
    Unless::Word("hinge"),
    "hinge: a wall turns on two screws near its upper edge, the roof on a strip; slide: a wall slides down in grooves",
);
pub(super) const DRAINS: Key =
    key("drains", Takes::Whole(0, 4), Unless::Rule("4 for birds, else 0"), "holes near the corners of the floor");
pub(super) const VENTS: Key =
    key("vents", Takes::Whole(0, 4), Unless::Of(0.0), "holes high in each side, beside the slits under the roof");
pub(super) const BACK_PLATE: Key =
    key("back-plate", Takes::Flag, Unless::Is(false), "a board on the back to hang the box by");
pub(super) const CHAMBERS: Key =
    key("chambers", Takes::Whole(1, 8), Unless::Rule("the middle of the profile's"), "of a bats' roost");

pub(in crate::design::kinds) const KIND: Kind = Kind {
    name: "cavity-box",
    about: "a cavity with an entrance and a roof: nest box, bait hive, bats' roost",
    keys: &[
        INSIDE,
        OCCUPANT,
        ROOF,
        SLOPE,
        OVERHANG,
        SIDE_OVERHANG,
        ACCESS,
        ACCESS_BY,
        DRAINS,
        VENTS,
        BACK_PLATE,
        CHAMBERS,
    ],
    read,
};

/// No cavity but a bats' chamber is narrower (mm).
const NARROWEST: f64 = 20.0;

/// The flattest gable (degrees): below it the two boards hardly meet.
const GABLE_LEAST: f64 = 20.0;

fn read(table: &Table, profiles: &Profiles) -> Option<Arc<dyn Design>> {
    let occupant = table.profile::<Occupant>(OCCUPANT.name, profiles);
    match occupant.as_ref().and_then(|occupant| occupant.roost.clone()) {
        Some(roost) => RoostBox::read(table, occupant?, &roost).map(|design| Arc::new(design) as Arc<dyn Design>),
        None => CavityBox::read(table, occupant).map(|design| Arc::new(design) as Arc<dyn Design>),
    }
}

fn wrong(table: &Table, key: &Key, message: &str, expected: &str) {
    table.desk.problem(table.spot(key.name).unwrap_or(table.span.clone()), message, expected, "");
}

/// Has the maker placed a hole of this use?
fn placed(table: &Table, wanted: HoleUse) -> bool {
    let is_it = |hole: &Table| hole.text("use").is_some_and(|use_| use_.get_ref() == wanted.name());
    table.tables("hole", usize::MAX).iter().any(is_it)
}

impl CavityBox {
    fn read(table: &Table, occupant: Option<Arc<Occupant>>) -> Option<CavityBox> {
        let inside = table.lengths_within::<3>(&INSIDE, NARROWEST..=2000.0);
        let roof = table.choice(&ROOF);
        let slope = table.number(&SLOPE);
        let overhang = table.length(&OVERHANG);
        let side_overhang = table.length(&SIDE_OVERHANG);
        let accesses = [
            ("none", None),
            ("front", Some(Access::Front)),
            ("side", Some(Access::Side)),
            ("roof", Some(Access::Roof)),
        ];
        let access = table.choice_of(&ACCESS, &accesses).flatten();
        let slides = table.choice_of(&ACCESS_BY, &[("hinge", false), ("slide", true)]).unwrap_or(false);
        let drains = table.whole(&DRAINS);
        let vents = table.whole(&VENTS).unwrap_or(0);
        let back_plate = table.is(&BACK_PLATE);
        if !table.has(INSIDE.name) && !table.has(OCCUPANT.name) {
            table.needed::<()>(&INSIDE, None);
        }
        let by_volume = occupant.as_ref().and_then(|occupant| occupant.volume.as_ref()).map(|litres| litres.value);
        let plain = match (occupant, inside) {
            (Some(occupant), _) => CavityBox::for_occupant(occupant),
            (None, inside) => CavityBox::new(inside?),
        };
        let roof = roof.unwrap_or(plain.roof);
        let usual = if roof == Roof::Gabled { 45f64.to_radians() } else { plain.slope };
        let shaped = CavityBox {
            roof,
            slope: slope.map_or(usual, f64::to_radians),
            overhang: overhang.unwrap_or(plain.overhang),
            side_overhang: side_overhang.unwrap_or(plain.side_overhang),
            access,
            slides,
            vents,
            back_plate,
            // What the maker places takes the place of what the occupant would get.
            entrance: plain.entrance.filter(|_| !placed(table, HoleUse::Entrance)),
            drains: drains.unwrap_or(if placed(table, HoleUse::Drain) { 0 } else { plain.drains }),
            ..plain
        };
        let sized = match (inside, by_volume) {
            (Some(inside), _) => CavityBox { inside, grows: false, ..shaped },
            (None, Some([least, most])) => shaped.holding(f64::midpoint(least, most)),
            (None, None) => shaped,
        };
        let all_well = sized.goes_together(table);
        all_well.then_some(sized)
    }

    fn goes_together(&self, table: &Table) -> bool {
        if self.roof == Roof::Gabled && self.slope < GABLE_LEAST.to_radians() - 1e-9 {
            let message = "two roof boards this flat hardly meet over the middle";
            wrong(table, &SLOPE, message, "expected slope = 20 to 45, or roof = \"sloping\"");
            return false;
        }
        if self.roof == Roof::Gabled && self.access == Some(Access::Roof) && (self.slope - FRAC_PI_4).abs() > 1e-6 {
            let message =
                "the two boards of a roof that comes off are nailed to each other, and meet square at 45 only";
            wrong(table, &SLOPE, message, "expected slope = 45, or access = \"front\" or \"side\"");
            return false;
        }
        if self.slides && matches!(self.access, None | Some(Access::Roof)) {
            let message = "only a wall slides in grooves";
            wrong(table, &ACCESS_BY, message, "expected access = \"front\" or \"side\", or access-by = \"hinge\"");
            return false;
        }
        if self.access == Some(Access::Roof) && self.back_plate {
            let message = "a back plate stands in the way of a roof that opens backwards";
            wrong(table, &BACK_PLATE, message, "expected access = \"front\" or \"side\", or back-plate = false");
            return false;
        }
        if table.has(CHAMBERS.name) {
            wrong(table, &CHAMBERS, "only a bats' roost has chambers", "expected occupant = \"bat\"");
            return false;
        }
        true
    }
}

impl RoostBox {
    fn read(table: &Table, occupant: Arc<Occupant>, roost: &Roost) -> Option<RoostBox> {
        let plain = RoostBox::new(occupant, roost);
        let chamber = table.lengths::<3>(&INSIDE);
        let chambers = table.whole(&CHAMBERS);
        let slope = table.number(&SLOPE);
        let overhang = table.length(&OVERHANG);
        let side_overhang = table.length(&SIDE_OVERHANG);
        let mut all_well = true;
        for key in [ROOF, ACCESS, ACCESS_BY, DRAINS, VENTS, BACK_PLATE] {
            if table.has(key.name) {
                let message =
                    format!("`{}` is not for a bats' roost: it is open below and hangs by its back", key.name);
                wrong(table, &key, &message, "expected a roost without it");
                all_well = false;
            }
        }
        all_well.then_some(RoostBox {
            chambers: chambers.unwrap_or(plain.chambers),
            chamber: chamber.unwrap_or(plain.chamber),
            slope: slope.map_or(plain.slope, f64::to_radians),
            overhang: overhang.unwrap_or(plain.overhang),
            side_overhang: side_overhang.unwrap_or(plain.side_overhang),
            ..plain
        })
    }
}
