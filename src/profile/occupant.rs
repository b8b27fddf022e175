//! An animal that nests in a cavity, and the cavity it takes.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The cavity an animal takes. Lengths in millimetres, areas in square millimetres.
///
/// A bird's is given by its floor, height and entrance; a swarm's by volume and entrance area; a bat's by its roost.
#[derive(Clone, Debug)]
pub struct Occupant {
    pub name: String,
    pub title: String,
    /// Floor of the cavity, width by depth: what a box made for the animal gets.
    pub floor: Option<Sourced<[f64; 2]>>,
    /// The smallest and the largest floor that tables give, where they differ.
    pub floor_least: Option<Sourced<[f64; 2]>>,
    pub floor_most: Option<Sourced<[f64; 2]>>,
    /// Height of the cavity at its lowest side, least and most.
    pub height: Option<Sourced<[f64; 2]>>,
    /// Litres, least and most.
    pub volume: Option<Sourced<[f64; 2]>>,
    /// Diameter of the entrance: what a box made for the animal gets.
    pub entrance: Option<Sourced<f64>>,
    /// The smallest and the largest diameter that tables give, where they differ.
    pub entrance_range: Option<Sourced<[f64; 2]>>,
    /// Width and height of an oval entrance that the animal takes: in place of a round one, or beside it.
    pub entrance_oval: Option<Sourced<[f64; 2]>>,
    /// All entrances together, least and most.
    pub entrance_area: Option<Sourced<[f64; 2]>>,
    /// Centre of the entrance above the floor, least and most.
    pub entrance_up: Option<Sourced<[f64; 2]>>,
    /// The least thickness of wall that insulates enough, if anyone has published one.
    pub wall: Option<Sourced<f64>>,
    pub roost: Option<Roost>,
}

impl Occupant {
    /// The diameters of round holes that the animal takes, least and most.
    pub fn round_entrance(&self) -> Option<Sourced<[f64; 2]>> {
        let one = |entrance: &Sourced<f64>| Sourced { value: [entrance.value; 2], source: entrance.source.clone() };
        self.entrance_range.clone().or_else(|| self.entrance.as_ref().map(one))
    }
}

/// Narrow chambers side by side, open below, with a board to land on.
#[derive(Clone, Debug)]
pub struct Roost {
    /// How many chambers, least and most.
    pub chambers: Sourced<[f64; 2]>,
    /// Clear depth of a chamber, from board to board, least and most.
    pub gap: Sourced<[f64; 2]>,
    /// Least clear width and height of a chamber.
    pub width: Sourced<f64>,
    pub height: Sourced<f64>,
    /// How far the back reaches below the chambers for landing on, least and most.
    pub landing: Sourced<[f64; 2]>,
}

const FLOOR: Key = key(
    "floor",
    Takes::Lengths("[width, depth]", 5.0, 2000.0),
    Unless::Rule("none"),
    "floor of the cavity, width and depth",
);
const FLOOR_LEAST: Key = key(
    "floor-least",
    Takes::Lengths("[width, depth]", 5.0, 2000.0),
    Unless::Rule("the floor"),
    "the smallest floor that tables give",
);
const FLOOR_MOST: Key = key(
    "floor-most",
    Takes::Lengths("[width, depth]", 5.0, 2000.0),
    Unless::Rule("half as wide and deep again as the floor"),
    "the largest floor that tables give",
);
const HEIGHT: Key = key(
    "height",
    Takes::Lengths("[least, most]", 5.0, 2000.0),
    Unless::Rule("none"),
    "height of the cavity, least and most",
);
const VOLUME: Key = key(
    "volume",
    Takes::Numbers("[least, most]", 0.1, 1000.0),
    Unless::Rule("none"),
    "litres, least and most, where only the volume matters",
);
const ENTRANCE: Key = key("entrance", Takes::Length(5.0, 500.0), Unless::Rule("none"), "diameter of the entrance");
const ENTRANCE_RANGE: Key = key(
    "entrance-range",
    Takes::Lengths("[least, most]", 5.0, 500.0),
    Unless::Rule("the entrance"),
    "the smallest and the largest diameter that tables give",
);
const ENTRANCE_OVAL: Key = key(
    "entrance-oval",
    Takes::Lengths("[width, height]", 5.0, 500.0),
    Unless::Rule("none"),
    "an oval that the animal takes too; cut as a slot where there is no `entrance`",
);
const ENTRANCE_AREA: Key = key(
    "entrance-area",
    Takes::Numbers("[least, most]", 0.1, 1000.0),
    Unless::Rule("none"),
    "all entrances together, least and most, in square centimetres",
);
const ENTRANCE_UP: Key = key(
    "entrance-up",
    Takes::Lengths("[least, most]", 5.0, 2000.0),
    Unless::Rule("none"),
    "centre of the entrance above the floor, least and most",
);
const WALL: Key = key("wall", Takes::Length(1.0, 100.0), Unless::Rule("none"), "least thickness of the walls");
const CHAMBERS: Key = key(
    "chambers",
    Takes::Numbers("[least, most]", 1.0, 20.0),
    Unless::Rule("none"),
    "a bat's roost: how many chambers, least and most",
);
const CHAMBER_GAP: Key = key(
    "chamber-gap",
    Takes::Lengths("[least, most]", 5.0, 2000.0),
    Unless::Needed,
    "clear depth of a chamber, least and most",
);
const CHAMBER_WIDTH: Key =
    key("chamber-width", Takes::Length(5.0, 2000.0), Unless::Needed, "least clear width of a chamber");
const CHAMBER_HEIGHT: Key =
    key("chamber-height", Takes::Length(5.0, 2000.0), Unless::Needed, "least clear height of a chamber");
const LANDING: Key = key(
    "landing",
    Takes::Lengths("[least, most]", 5.0, 2000.0),
    Unless::Needed,
    "how far the back reaches below the chambers, least and most",
);

impl Profile for Occupant {
    const FOLDER: &'static str = "occupants";
    const ONE: &'static str = "occupant";
    const KEYS: &'static [Key] = &[
        FLOOR,
        FLOOR_LEAST,
        FLOOR_MOST,
        HEIGHT,
        VOLUME,
        ENTRANCE,
        ENTRANCE_RANGE,
        ENTRANCE_OVAL,
        ENTRANCE_AREA,
        ENTRANCE_UP,
        WALL,
        CHAMBERS,
        CHAMBER_GAP,
        CHAMBER_WIDTH,
        CHAMBER_HEIGHT,
        LANDING,
    ];

    fn read(name: &str, title: String, table: &Table) -> Option<Occupant> {
        let is_roost = table.has(CHAMBERS.name);
        let by_volume = table.has(VOLUME.name);
        // What a bird's table gives must be there, unless the cavity is described otherwise.
        let asked = |key: &Key, needed: bool| needed || table.has(key.name);
        let sides = |key: &Key| table.sourced(key, Table::lengths::<2>);
        let sides_if = |key: &Key, needed: bool| asked(key, needed).then(|| sides(key));
        let pair = |key: &Key| table.sourced(key, |figure, key| figure.rising(key, figure.lengths(key)));
        let numbers = |key: &Key| table.sourced(key, |figure, key| figure.rising(key, figure.numbers(key)));
        let bird = !is_roost && !by_volume;
        let pair_if = |key: &Key, needed: bool| asked(key, needed).then(|| pair(key));
        let (floor, height) = (sides_if(&FLOOR, bird), pair_if(&HEIGHT, bird));
        let (floor_least, floor_most) = (sides_if(&FLOOR_LEAST, false), sides_if(&FLOOR_MOST, false));
        let entrance_up = pair_if(&ENTRANCE_UP, !is_roost);
        let entrance_oval = sides_if(&ENTRANCE_OVAL, false);
        let entrance_range = pair_if(&ENTRANCE_RANGE, false);
        let entrance =
            asked(&ENTRANCE, bird && entrance_oval.is_none()).then(|| table.sourced(&ENTRANCE, Table::length));
        let volume = by_volume.then(|| numbers(&VOLUME));
        let area = asked(&ENTRANCE_AREA, by_volume).then(|| {
            let area = numbers(&ENTRANCE_AREA)?;
            Some(Sourced { value: area.value.map(|square_cm| square_cm * 100.0), source: area.source })
        });
        let wall = asked(&WALL, false).then(|| table.sourced(&WALL, Table::length));
        let roost = is_roost.then(|| {
            let chambers = numbers(&CHAMBERS);
            let length = |key: &Key| table.sourced(key, Table::length);
            let (gap, landing) = (pair(&CHAMBER_GAP), pair(&LANDING));
            let (width, height) = (length(&CHAMBER_WIDTH), length(&CHAMBER_HEIGHT));
            Some(Roost { chambers: chambers?, gap: gap?, width: width?, height: height?, landing: landing? })
        });
        Some(Occupant {
            name: name.into(),
            title,
            floor: read_or_absent(floor)?,
            floor_least: read_or_absent(floor_least)?,
            floor_most: read_or_absent(floor_most)?,
            height: read_or_absent(height)?,
            volume: read_or_absent(volume)?,
            entrance: read_or_absent(entrance)?,
            entrance_range: read_or_absent(entrance_range)?,
            entrance_oval: read_or_absent(entrance_oval)?,
            entrance_area: read_or_absent(area)?,
            entrance_up: read_or_absent(entrance_up)?,
            wall: read_or_absent(wall)?,
            roost: read_or_absent(roost)?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Occupant>> {
        &profiles.occupants
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Occupant>> {
        &mut profiles.occupants
    }
}

/// A figure that may be left out: `None` only when it is there and could not be read.
#[expect(clippy::option_option, reason = "absent and unreadable are two things")]
fn read_or_absent<T>(figure: Option<Option<T>>) -> Option<Option<T>> {
    match figure {
        None => Some(None),
        Some(read) => read.map(Some),
    }
}
