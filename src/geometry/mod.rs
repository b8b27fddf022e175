//! Plane outlines of lines and arcs, and rigid placements of them in space.
//!
//! Everything here is a value with pure functions; lengths are millimetres, angles radians, and a counter-clockwise
//! outline encloses positive area.

mod left_out;
pub(crate) mod math;
mod number;
mod offset;
mod outline;
mod place;
mod region;
mod segment;
mod shape;
mod side;
mod skin;
mod solid;

pub use left_out::{LeftOut, left_out};
pub use offset::offset;
pub use outline::{Outline, Vertex};
pub use place::Place;
pub use region::{
    Region, common, free_spans, region_area, spans_inside, to_polygon, to_polygon_within, to_rough_polygon, without,
};
pub use segment::Segment;
pub(crate) use segment::{crosses, ray_crosses};
pub use shape::inset;
pub use side::Side;
pub use skin::{Facet, skin};
pub use solid::{Layer, Recess, Solid, section};

pub use kurbo::{Affine, Point, Rect, Vec2};

/// Two lengths closer than this are the same length (mm): far below what any saw or router can hold.
pub const SAME: f64 = 1e-4;

/// Arcs turned into chords for polygon algebra stay within this of the true arc (mm).
pub const FLATTEN: f64 = 0.002;

/// Arcs of a panel's faces and recesses stay within this of the true arc where panels are held against each other (mm):
/// nothing that is measured between panels ends at one.
pub const ROUGH: f64 = 0.05;
