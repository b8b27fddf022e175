//! What the joints of a box ask for: fasteners and their places, holes for screws, and lines that boards are set to.
//!
//! Where a fastener goes is worked out here alone: steps, hardware, drawings and holes go by the same places.

mod driven;
mod lines;
mod openings;
mod screw_holes;

pub use driven::{Driven, driven};
pub use lines::line;
pub use openings::{Opening, named, openings};
pub use screw_holes::{Bits, Bores, bits, bore};

use crate::design::{Assembly, Contact, Joint, contacts, joints};
use crate::job::Hardware;

/// The joints of an assembly, and what is driven into each.
#[derive(Clone, Debug)]
pub struct Joining<'a> {
    pub contacts: Vec<Contact>,
    pub joints: Vec<Joint>,
    /// What fasteners keep clear of.
    pub openings: Vec<Opening>,
    /// Of each joint; `None` where it takes none.
    pub fasteners: Vec<Option<Driven<'a>>>,
}

impl<'a> Joining<'a> {
    pub fn of(hardware: &'a Hardware, assembly: &Assembly) -> Joining<'a> {
        let contacts = contacts(&assembly.panels);
        let (joints, openings) = (joints(assembly, &contacts), openings(assembly, &contacts));
        let fasteners = driven(hardware, assembly, &contacts, &openings, &joints);
        Joining { contacts, joints, openings, fasteners }
    }
}
