//! The kinds of box. Each is one file: its keys in the spec, and a function from a board to panels.

pub mod cavity_box;
mod corner;
pub mod frame_box;
mod open_box;

pub use cavity_box::CavityBox;
pub use corner::{Corner, JOINT_PLAY};
pub use frame_box::FrameBox;
pub use open_box::OpenBox;

use super::Design;
use crate::profile::Profiles;
use crate::reading::{Key, Table};
use std::sync::Arc;

/// A kind of box that a spec may ask for.
#[derive(Clone, Copy)]
pub struct Kind {
    pub name: &'static str,
    pub about: &'static str,
    /// What it reads from `[[box]]`, beside the keys that every box has.
    pub keys: &'static [Key],
    /// Reads those keys; problems go to the table's desk.
    pub read: fn(&Table, &Profiles) -> Option<Arc<dyn Design>>,
}

/// The kinds that specs may name.
#[derive(Clone)]
pub struct Kinds(Vec<Kind>);

impl Kinds {
    pub fn built_in() -> Kinds {
        Kinds(vec![frame_box::KIND, cavity_box::KIND, open_box::KIND])
    }

    /// Adds a kind, or replaces the one of its name.
    pub fn add(&mut self, kind: Kind) {
        self.0.retain(|known| known.name != kind.name);
        self.0.push(kind);
    }

    pub fn find(&self, name: &str) -> Option<&Kind> {
        self.0.iter().find(|kind| kind.name == name)
    }

    pub fn iter(&self) -> impl Iterator<Item = &Kind> {
        self.0.iter()
    }
}
