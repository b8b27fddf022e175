//! What a sheet or a board is made of.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A sheet material, or solid wood.
#[derive(Clone, Debug)]
pub struct Material {
    pub name: String,
    pub title: String,
    /// Kilograms per cubic metre.
    pub density: Sourced<f64>,
    /// Both faces may show. If not, a part and its mirror image are two different parts.
    pub faces_alike: Sourced<bool>,
    /// How much thinner and thicker than its nominal size a sheet may be (mm), by its standard.
    pub tolerance: Sourced<[f64; 2]>,
    /// What is added to that for each millimetre of the nominal size.
    pub tolerance_grows: Option<Sourced<f64>>,
    /// Share of a tool's chip load that suits this material.
    pub chip_load: Sourced<f64>,
    /// What only solid wood has; `None` for sheets, whose plies hold each other.
    pub wood: Option<Wood>,
}

/// Solid wood: it is strong along its grain, and moves across it with the seasons.
#[derive(Clone, Debug)]
pub struct Wood {
    /// From green to oven-dry, radial and tangential, in per cent of the green size.
    pub shrinkage: Sourced<[f64; 2]>,
    /// Dimensional change coefficients, radial and tangential: the share of its size by which wood moves across its grain for
    /// each per cent of moisture.
    pub movement: Sourced<[f64; 2]>,
    /// On the side, in newtons.
    pub hardness: Sourced<f64>,
    /// Moisture out of doors and under a roof, in per cent of the dry weight: the driest and the dampest of a year.
    pub season: Sourced<[f64; 2]>,
}

impl Material {
    /// How much thinner and thicker a sheet may be that is sold as this thick (mm).
    pub fn tolerance_of(&self, nominal: f64) -> [f64; 2] {
        let grows = self.tolerance_grows.as_ref().map_or(0.0, |grows| grows.value * nominal);
        self.tolerance.value.map(|of| of + grows)
    }
}

impl Wood {
    /// By how much a size across the grain changes (mm) from one moisture to another, in per cent: flat-sawn, so that the width is
    /// tangential. Forest Products Laboratory, Wood Handbook, chapter 13: ΔD = D C (M_F - M_I), from 6 to 14 % without much error.
    pub fn moves(&self, size: f64, from: f64, to: f64) -> f64 {
        let [_, tangential] = self.movement.value;
        size * tangential * (to - from)
    }
}

const DENSITY: Key = key("density", Takes::Number(50.0, 3000.0), Unless::Needed, "kilograms per cubic metre");
const FACES_ALIKE: Key = key("faces-alike", Takes::Flag, Unless::Needed, "true when both faces may show");
const TOLERANCE: Key = key(
    "tolerance",
    Takes::Lengths("[thinner, thicker]", 0.0, 10.0),
    Unless::Needed,
    "how much thinner and thicker than its nominal size a sheet may be",
);
const TOLERANCE_GROWS: Key = key(
    "tolerance-grows",
    Takes::Number(0.0, 0.2),
    Unless::Rule("the same for every thickness"),
    "what is added to both tolerances for each millimetre of the nominal size",
);
const CHIP_LOAD: Key =
    key("chip-load", Takes::Number(0.1, 2.0), Unless::Needed, "share of a tool's chip load that suits it, 0.1 to 2");

const SHRINKAGE: Key = key(
    "shrinkage",
    Takes::Numbers("[radial, tangential]", 0.1, 30.0),
    Unless::Rule("a sheet; solid wood has it, and the three after it"),
    "solid wood: per cent that it shrinks from green to oven-dry",
);
const MOVEMENT: Key = key(
    "movement",
    Takes::Numbers("[radial, tangential]", 0.0001, 0.01),
    Unless::Rule("a sheet"),
    "solid wood: dimensional change coefficients, the share of its size for each per cent of moisture",
);
const HARDNESS: Key = key(
    "hardness",
    Takes::Number(50.0, 50_000.0),
    Unless::Rule("a sheet"),
    "solid wood: hardness of its side, in newtons",
);
const SEASON: Key = key(
    "season",
    Takes::Numbers("[driest, dampest]", 4.0, 25.0),
    Unless::Rule("a sheet"),
    "solid wood: its moisture out of doors over a year, in per cent",
);
/// What only solid wood has.
const OF_WOOD: [Key; 4] = [SHRINKAGE, MOVEMENT, HARDNESS, SEASON];

impl Wood {
    fn read(table: &Table) -> Option<Wood> {
        let pair = |key: &Key| table.sourced(key, |figure, key| figure.numbers(key));
        let (shrinkage, movement) = (pair(&SHRINKAGE), pair(&MOVEMENT));
        let hardness = table.sourced(&HARDNESS, Table::number);
        let season = table.sourced(&SEASON, |figure, key| figure.rising(key, figure.numbers(key)));
        Some(Wood { shrinkage: shrinkage?, movement: movement?, hardness: hardness?, season: season? })
    }
}

impl Profile for Material {
    const FOLDER: &'static str = "materials";
    const ONE: &'static str = "material";
    const KEYS: &'static [Key] =
        &[DENSITY, FACES_ALIKE, TOLERANCE, TOLERANCE_GROWS, CHIP_LOAD, SHRINKAGE, MOVEMENT, HARDNESS, SEASON];

    fn read(name: &str, title: String, table: &Table) -> Option<Material> {
        let density = table.sourced(&DENSITY, Table::number);
        let faces_alike = table.sourced(&FACES_ALIKE, Table::flag);
        let tolerance = table.sourced(&TOLERANCE, Table::lengths::<2>);
        let grows = TOLERANCE_GROWS;
        let tolerance_grows = if table.has(grows.name) { Some(table.sourced(&grows, Table::number)?) } else { None };
        let chip_load = table.sourced(&CHIP_LOAD, Table::number);
        // One of them says that it is solid wood: then the others must be there.
        let solid = OF_WOOD.iter().any(|key| table.has(key.name));
        let wood = if solid { Wood::read(table).map(Some) } else { Some(None) };
        Some(Material {
            name: name.into(),
            title,
            density: density?,
            faces_alike: faces_alike?,
            tolerance: tolerance?,
            tolerance_grows,
            chip_load: chip_load?,
            wood: wood?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Material>> {
        &profiles.materials
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Material>> {
        &mut profiles.materials
    }
}
