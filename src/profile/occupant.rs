//! An animal that nests in a cavity, and the cavity it takes.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The cavity an animal takes. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Occupant {
    pub name: String,
    pub title: String,
    /// Floor of the cavity, width by depth.
    pub floor: Sourced<[f64; 2]>,
    /// Height of the cavity at its lowest side, least and most.
    pub height: Sourced<[f64; 2]>,
    /// Diameter of the entrance.
    pub entrance: Sourced<f64>,
    /// Centre of the entrance above the floor, least and most.
    pub entrance_up: Sourced<[f64; 2]>,
    /// The least thickness of wall that insulates enough, if anyone has published one.
    pub wall: Option<Sourced<f64>>,
}

const FLOOR: Key = key("floor", "figure", "", "floor of the cavity, width and depth");
const HEIGHT: Key = key("height", "figure", "", "height of the cavity, least and most");
const ENTRANCE: Key = key("entrance", "figure", "", "diameter of the entrance");
const ENTRANCE_UP: Key = key("entrance-up", "figure", "", "centre of the entrance above the floor, least and most");
const WALL: Key = key("wall", "figure", "none", "least thickness of the walls");

impl Profile for Occupant {
    const FOLDER: &'static str = "occupants";
    const ONE: &'static str = "occupant";
    const KEYS: &'static [Key] = &[FLOOR, HEIGHT, ENTRANCE, ENTRANCE_UP, WALL];

    fn read(name: &str, title: String, table: &Table) -> Option<Occupant> {
        let pair = |key: &Key| table.sourced(key, |figure| figure.lengths::<2>("value", 5.0..=2000.0));
        let (floor, height, entrance_up) = (pair(&FLOOR), pair(&HEIGHT), pair(&ENTRANCE_UP));
        let entrance = table.sourced(&ENTRANCE, |figure| figure.length("value", 5.0..=500.0));
        let wall = table.has(WALL.name).then(|| table.sourced(&WALL, |f| f.length("value", 1.0..=100.0))).flatten();
        Some(Occupant {
            name: name.into(),
            title,
            floor: floor?,
            height: height?,
            entrance: entrance?,
            entrance_up: entrance_up?,
            wall,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Occupant>> {
        &profiles.occupants
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Occupant>> {
        &mut profiles.occupants
    }
}
