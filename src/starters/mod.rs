//! Commented specs to start from.

use crate::reading::{Source, any_of, nearest};
use std::sync::Arc;

/// A spec to start from.
#[derive(Clone, Copy, Debug)]
pub struct Starter {
    pub name: &'static str,
    pub about: &'static str,
    pub text: &'static str,
}

impl Starter {
    /// Its text, to be read as a spec.
    pub fn source(&self) -> Arc<Source> {
        Source::new(format!("{}.toml", self.name), self.text)
    }
}

pub const ALL: [Starter; 6] = [
    Starter { name: "nuc", about: "nucleus boxes for frames, in millimetres", text: include_str!("nuc.toml") },
    Starter { name: "super", about: "a brood body and supers, in inches", text: include_str!("super.toml") },
    Starter { name: "nest-box", about: "nest boxes for birds, in inches", text: include_str!("nest-box.toml") },
    Starter { name: "bait-hive", about: "bait hives for swarms, by saw", text: include_str!("bait-hive.toml") },
    Starter { name: "bat-roost", about: "roosts for bats", text: include_str!("bat-roost.toml") },
    Starter { name: "tray", about: "open trays, and loose parts", text: include_str!("tray.toml") },
];

/// The starter of this name.
///
/// # Errors
/// The nearest name, or all of them.
pub fn find(name: &str) -> Result<&'static Starter, String> {
    let names = || ALL.iter().map(|starter| starter.name);
    ALL.iter().find(|starter| starter.name == name).ok_or_else(|| match nearest(name, names()) {
        Some(near) => format!("did you mean {near}?"),
        None => format!("expected {}", any_of(names())),
    })
}
