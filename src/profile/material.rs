//! What a sheet is made of.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A sheet material.
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
    /// Share of a tool's chip load that suits this material.
    pub chip_load: Sourced<f64>,
}

const DENSITY: Key = key("density", Takes::Number(50.0, 3000.0), Unless::Needed, "kilograms per cubic metre");
const FACES_ALIKE: Key = key("faces-alike", Takes::Flag, Unless::Needed, "true when both faces may show");
const TOLERANCE: Key = key(
    "tolerance",
    Takes::Lengths("[thinner, thicker]", 0.0, 10.0),
    Unless::Needed,
    "how much thinner and thicker than its nominal size a sheet may be",
);
const CHIP_LOAD: Key =
    key("chip-load", Takes::Number(0.1, 2.0), Unless::Needed, "share of a tool's chip load that suits it, 0.1 to 2");

impl Profile for Material {
    const FOLDER: &'static str = "materials";
    const ONE: &'static str = "material";
    const KEYS: &'static [Key] = &[DENSITY, FACES_ALIKE, TOLERANCE, CHIP_LOAD];

    fn read(name: &str, title: String, table: &Table) -> Option<Material> {
        let density = table.sourced(&DENSITY, Table::number);
        let faces_alike = table.sourced(&FACES_ALIKE, Table::flag);
        let tolerance = table.sourced(&TOLERANCE, Table::lengths::<2>);
        let chip_load = table.sourced(&CHIP_LOAD, Table::number);
        Some(Material {
            name: name.into(),
            title,
            density: density?,
            faces_alike: faces_alike?,
            tolerance: tolerance?,
            chip_load: chip_load?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Material>> {
        &profiles.materials
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Material>> {
        &mut profiles.materials
    }
}
