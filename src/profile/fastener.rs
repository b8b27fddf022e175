//! A nail, brad or screw that holds a joint while the glue sets, and after.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use crate::units::Units;
use std::collections::BTreeMap;
use std::sync::Arc;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FastenerKind {
    /// Shot or hammered in; its point may be clinched.
    Brad,
    /// Driven into a pilot hole.
    Screw,
}

crate::words!(FastenerKind: Brad = "brad", Screw = "screw");

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
}

impl Fastener {
    /// Its title, with its length in these units where the title gives another: `18-gauge brad, 2 in (50.8 mm)`.
    pub fn called(&self, units: Units) -> String {
        if self.title.ends_with(&format!(" {}", units.sign())) {
            return self.title.clone();
        }
        format!("{} ({})", self.title, units.show(self.length.value))
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

impl Profile for Fastener {
    const FOLDER: &'static str = "fasteners";
    const ONE: &'static str = "fastener";
    const KEYS: &'static [Key] = &[KIND, LENGTH, SPACING, FROM_END];

    fn read(name: &str, title: String, table: &Table) -> Option<Fastener> {
        let kind = table.sourced(&KIND, Table::choice);
        let length = table.sourced(&LENGTH, Table::length);
        let spacing = table.sourced(&SPACING, Table::length);
        let from_end = table.sourced(&FROM_END, Table::length);
        Some(Fastener {
            name: name.into(),
            title,
            kind: kind?.value,
            length: length?,
            spacing: spacing?,
            from_end: from_end?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Fastener>> {
        &profiles.fasteners
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Fastener>> {
        &mut profiles.fasteners
    }
}
