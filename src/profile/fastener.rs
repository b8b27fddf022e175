//! A nail, brad or screw that holds a joint while the glue sets, and after.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use crate::units::Units;
use std::collections::BTreeMap;
use std::sync::Arc;

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FastenerKind {
    /// Shot or hammered in; its point may be clinched.
    #[default]
    Brad,
    /// Hammered in; thicker than a brad, with a head.
    Nail,
    /// Driven into a pilot hole.
    Screw,
}

crate::words!(FastenerKind: Brad = "brad", Nail = "nail", Screw = "screw");

/// A fastener. Lengths in millimetres.
#[derive(Clone, Debug)]
pub struct Fastener {
    pub name: String,
    pub title: String,
    pub kind: FastenerKind,
    pub length: Sourced<f64>,
    /// From one to the next along a joint, with glue between the parts.
    pub spacing: Sourced<f64>,
    /// From the end of a joint to the first.
    pub from_end: Sourced<f64>,
    /// Of a screw's shank, or over its thread where it has none.
    pub diameter: Option<Sourced<f64>>,
    /// It is sold by inch or metric sizes: jobs in other units are given others, where there are any.
    pub units: Option<Sourced<Units>>,
}

/// The root of a wood screw's thread is about two thirds of its shank, and a lead hole is 70 per cent of the root in softwood
/// and 90 in hardwood (Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, chapter 8; the two shares from memory).
const ROOT: f64 = 2.0 / 3.0;
const IN_SOFTWOOD: f64 = 0.7;
const IN_HARDWOOD: f64 = 0.9;
/// A board as dense as this (kg/m³) is drilled as hardwood: common practice, as some hardwoods are softer than any pine.
const HARD: f64 = 600.0;
/// The first board is to slide on the shank (mm): common practice.
const FREE: f64 = 0.5;

impl Fastener {
    /// Its title, with its length in these units where the title gives another: `18-gauge brad, 2 in (50.8 mm)`.
    pub fn called(&self, units: Units) -> String {
        if self.title.ends_with(&format!(" {}", units.sign())) {
            return self.title.clone();
        }
        format!("{} ({})", self.title, units.show(self.length.value))
    }

    /// The hole in the first board, through which a screw slides (mm).
    pub fn clearance(&self) -> Option<f64> {
        self.screwed().map(|shank| shank + FREE)
    }

    /// The hole in the second board, in which a screw's thread grips (mm); of wood that is so dense (kg/m³).
    pub fn pilot(&self, density: f64) -> Option<f64> {
        let share = if density < HARD { IN_SOFTWOOD } else { IN_HARDWOOD };
        self.screwed().map(|shank| share * ROOT * shank)
    }

    fn screwed(&self) -> Option<f64> {
        self.diameter.as_ref().filter(|_| self.kind == FastenerKind::Screw).map(|it| it.value)
    }
}

const KIND: Key = key("kind", Takes::Words(FastenerKind::NAMES), Unless::Needed, "what kind of fastener it is");
const LENGTH: Key = key("length", Takes::Length(5.0, 200.0), Unless::Needed, "its whole length");
const SPACING: Key =
    key("spacing", Takes::Length(10.0, 500.0), Unless::Needed, "from one to the next along a glued joint");
const FROM_END: Key = key(
    "from-end",
    Takes::Length(0.0, 200.0),
    Unless::Needed,
    "from the end of a joint, or an opening beside it, to the nearest one",
);

const DIAMETER: Key = key(
    "diameter",
    Takes::Length(1.0, 12.0),
    Unless::Rule("needed for a screw alone"),
    "of a screw's shank: its holes go by it",
);

const UNITS: Key = key(
    "units",
    Takes::Words(Units::NAMES),
    Unless::Rule("jobs in either"),
    "of the jobs that it is chosen for, as its sizes are sold by inches or by millimetres",
);

impl Profile for Fastener {
    const FOLDER: &'static str = "fasteners";
    const ONE: &'static str = "fastener";
    const KEYS: &'static [Key] = &[KIND, LENGTH, SPACING, FROM_END, DIAMETER, UNITS];

    fn read(name: &str, title: String, table: &Table) -> Option<Fastener> {
        let kind = table.sourced(&KIND, Table::choice);
        let length = table.sourced(&LENGTH, Table::length);
        let spacing = table.sourced(&SPACING, Table::length);
        let from_end = table.sourced(&FROM_END, Table::length);
        let diameter = match &kind {
            Some(kind) if kind.value == FastenerKind::Screw => Some(table.sourced(&DIAMETER, Table::length)?),
            _ if table.has(DIAMETER.name) => Some(table.sourced(&DIAMETER, Table::length)?),
            _ => None,
        };
        let units = if table.has(UNITS.name) { Some(table.sourced(&UNITS, Table::choice)?) } else { None };
        Some(Fastener {
            name: name.into(),
            title,
            kind: kind?.value,
            length: length?,
            spacing: spacing?,
            from_end: from_end?,
            diameter,
            units,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Fastener>> {
        &profiles.fasteners
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Fastener>> {
        &mut profiles.fasteners
    }
}
