//! Boxes → assemblies of panels → parts.
//!
//! A box is a set of [panels](Panel) placed in space. What touches what, which panels are the same part, what blocks a
//! hole: all of that is derived from the panels, so a kind of box is no more than a function that returns them.

mod assembly;
mod board;
mod cavity;
mod contact;
mod elevation;
mod fitting;
mod grain;
mod joined;
mod joinery;
mod joint_line;
pub mod kinds;
mod label;
mod motion;
mod order;
mod panel;
mod part;
mod screw_hole;
mod solid;
mod square;
mod surface;

pub use assembly::{Assembly, Design, Footprint, HungFrames, Opening, Reach};
pub use board::{Board, OtherWood, chosen, is_among};
pub use cavity::Cavity;
pub use contact::{Contact, contacts, contacts_of};
pub use elevation::{Elevation, PanelView, edge_name};
pub use fitting::{Fitting, FittingKind, Seat};
pub use grain::Running;
pub use joined::{Joint, JointKind, corners, joints, middle};
pub(crate) use joinery::RELIEVED;
pub use joinery::{Joinery, JointFault};
pub use joint_line::JointLine;
pub use kinds::{Kind, Kinds};
pub use label::{Label, NoLabel};
pub use motion::{Blocked, patch_width, wiped};
pub use order::{Order, Placing, order};
pub use panel::{Face, Facing, Grain, Hole, HoleUse, Panel, Pocket};
pub use part::{Part, PartPocket, parts};
pub use screw_hole::{Bored, EdgePilots, ScrewHole};
pub use square::square_corners;
pub use surface::{Surface, SurfaceKind};
