//! The bits that drill a hole by hand, and where their points go.

use crate::design::Hole;
use crate::geometry::{Point, Vec2};
use crate::units::{INCH, Units};

/// Bits that a maker has for a corner, from and to (mm). Common practice.
const SMALL_BIT: f64 = 4.0;
const LARGE_BIT: f64 = 40.0;

/// The diameter of the bit, and where its point goes: the hole's centre, the centres of a slot's round ends, or a rectangle's
/// corners. There the bit makes the corner itself; where no common bit is so wide or so narrow, it only makes way for the saw.
pub fn bits(hole: &Hole, units: Units) -> (f64, Vec<Point>) {
    let Some(corner) = hole.corner else {
        let reach = (hole.length - hole.width) / 2.0;
        let arm = if hole.upright { Vec2::new(0.0, reach) } else { Vec2::new(reach, 0.0) };
        let centres = if reach == 0.0 { vec![hole.centre] } else { vec![hole.centre - arm, hole.centre + arm] };
        return (hole.width, centres);
    };
    let usual = match units {
        Units::Millimetres => 10.0,
        Units::Inches => 3.0 / 8.0 * INCH,
    };
    let own = 2.0 * corner;
    let bit = if (SMALL_BIT..=LARGE_BIT).contains(&own) { own } else { usual.min(hole.width) };
    // From the sides that meet in the corner: a bit that is wider touches both, a narrower one the arc between them.
    let radius = bit / 2.0;
    let aside = radius.max(corner - (corner - radius) * std::f64::consts::FRAC_1_SQRT_2);
    let (x, y) = (hole.size().0 / 2.0 - aside, hole.size().1 / 2.0 - aside);
    let arms = [(-x, -y), (x, -y), (-x, y), (x, y)];
    (bit, arms.map(|arm| hole.centre + Vec2::from(arm)).to_vec())
}
