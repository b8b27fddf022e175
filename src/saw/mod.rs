//! Guillotine patterns → ordered cuts from two reference edges, for hands.
//!
//! 1. `block`: a pattern's tree in its simplest form, and rows cut through neighbouring strips where that is better
//! 2. `bench`: pieces with names and edges; a cut takes one, and knows which edges may be measured from
//! 3. `method`: how a cut can be made without danger on the saws there are
//! 4. `order`: the guide first, then the table saw, all pieces of one setting at once
//! 5. `lines`: how the error of a finished dimension gathers
//! 6. `replay`: the written steps cut again by something that knows nothing of all this

mod bench;
mod bits;
mod block;
mod board;
mod care;
mod caution;
mod critical;
mod findings;
mod lines;
mod method;
mod names;
mod order;
mod plan;
mod planned;
mod replay;
mod runs;
pub mod say;
mod shape;
mod slopes;
mod stages;
mod step;
mod works;

pub use bits::bits;
pub use caution::{Caution, PUSH_STICK, Reasons, TAKEN_BY_STICK};
pub use lines::Gathered;
pub use plan::{plain_order, plan};
pub use planned::{FinishedPiece, SawPlan, SawSheet};
pub use replay::replay;
pub use runs::{Run, runs};
pub use shape::{Recess, Span, recess};
pub use step::{Action, Becomes, CutPiece, Edge, Mark, Method, Setting, Slope, Step};
pub use works::{Work, WorkKind, stack};

/// Sizes nearer than this are one size: no saw takes off less (mm).
pub(crate) const SLIVER: f64 = 0.05;

/// Is this enough for a saw to take off? It must be a hair more than the least measure that the replay accepts, because sums
/// of sizes carry rounding errors.
fn can_come_off(mm: f64) -> bool {
    const HAIR: f64 = 1e-6;
    mm > SLIVER + HAIR
}
