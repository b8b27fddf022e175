//! Boxes → assemblies of panels → parts.
//!
//! A box is a set of [panels](Panel) placed in space. What touches what, which panels are the same part, what blocks a
//! hole: all of that is derived from the panels, so a kind of box is no more than a function that returns them.

mod assembly;
mod cavity;
mod contact;
mod fitting;
mod holes;
mod joined;
mod joinery;
pub mod kinds;
mod motion;
mod order;
mod panel;
mod part;
mod solid;
mod square;
mod surface;

pub use assembly::{Assembly, Design, Footprint, HungFrames, Opening};
pub use cavity::Cavity;
pub use contact::{Contact, contacts};
pub use fitting::{Fitting, FittingKind, Seat};
pub use joined::{Joint, JointKind, joints};
pub use joinery::{Joinery, JointFault};
pub use kinds::{Kind, Kinds};
pub use motion::{Blocked, patch_width, wiped};
pub use order::{Order, Placing, order};
pub use panel::{Face, Facing, Grain, Hole, HoleUse, Panel, Pocket};
pub use part::{Part, PartHole, PartPocket, parts};
pub use solid::{Layer, section};
pub use square::square_corners;
pub use surface::{Surface, SurfaceKind};

use crate::error::Error;
use crate::job::{Board, BoxOrder, Job};
use crate::reading::Problem;

/// Builds every box of the job as an assembly of panels, with the holes the maker asked for.
///
/// # Errors
/// [`Error::Unreadable`] when a hole names a panel that the box does not have.
pub fn assemble(job: &Job) -> Result<Vec<Assembly>, Error> {
    let mut problems = Vec::new();
    let mut assemblies = Vec::new();
    for order in &job.boxes {
        assemblies.push(build(job, order, order.design.as_ref(), &job.board(order.stock), &mut problems));
    }
    for loose in &job.loose {
        let mut panel = Panel::flat(&loose.name, loose.length, loose.width, job.stock[loose.stock].thickness);
        panel.grain = loose.grain;
        let mut panels = vec![panel];
        holes::place(&mut panels, &loose.holes, &job.source, &mut problems);
        assemblies.push(Assembly {
            name: loose.name.clone(),
            count: loose.count,
            stock: loose.stock,
            loose: true,
            panels,
            ..Assembly::default()
        });
    }
    if problems.is_empty() { Ok(assemblies) } else { Err(Error::Unreadable(problems)) }
}

/// A box of the job from a board that may not be the one in stock, or by another design, with its holes.
pub(crate) fn build(
    job: &Job,
    order: &BoxOrder,
    design: &dyn Design,
    board: &Board,
    problems: &mut Vec<Problem>,
) -> Assembly {
    let mut assembly = design.build(board);
    assembly.name.clone_from(&order.name);
    assembly.count = order.count;
    assembly.stock = order.stock;
    assembly.stands_on = order.stands_on;
    for refusal in assembly.refusals.iter_mut().filter(|refusal| refusal.subject.is_empty()) {
        refusal.subject.clone_from(&order.name);
    }
    holes::place(&mut assembly.panels, &order.holes, &job.source, problems);
    assembly
}
