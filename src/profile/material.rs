//! What a sheet is made of.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, key};
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

const DENSITY: Key = key("density", "figure", "", "kilograms per cubic metre");
const FACES_ALIKE: Key = key("faces-alike", "figure", "", "true when both faces may show");
const TOLERANCE: Key =
    key("tolerance", "figure", "", "how much thinner and thicker than its nominal size a sheet may be");
const CHIP_LOAD: Key = key("chip-load", "figure", "", "share of a tool's chip load that suits it, 0.1 to 2");

impl Profile for Material {
    const FOLDER: &'static str = "materials";
    const ONE: &'static str = "material";
    const KEYS: &'static [Key] = &[DENSITY, FACES_ALIKE, TOLERANCE, CHIP_LOAD];

    fn read(name: &str, title: String, table: &Table) -> Option<Material> {
        let density = table.sourced(&DENSITY, |figure| figure.number("value", 50.0..=3000.0));
        let faces_alike = table.sourced(&FACES_ALIKE, |figure| figure.flag("value"));
        let tolerance = table.sourced(&TOLERANCE, |figure| figure.lengths::<2>("value", 0.0..=10.0));
        let chip_load = table.sourced(&CHIP_LOAD, |figure| figure.number("value", 0.1..=2.0));
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
