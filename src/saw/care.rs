//! Which cautions a cut needs.

use super::caution::{Caution, PUSH_STICK, Reasons, TAKEN_BY_STICK, Why};
use super::step::{Becomes, Method, Step};
use crate::layout::Axis;
use crate::profile::SawBench;

/// Beyond this, what is left of a piece needs a stand under its far end (mm).
const FAR_END: f64 = 900.0;
/// A guide on less than this tips off the piece (mm).
const UNDER_GUIDE: f64 = 200.0;

/// What to take care of at a cut.
pub(super) fn cautions(bench: &SawBench, step: &Step, why: &[Why]) -> Vec<Caution> {
    let mut found = Vec::new();
    let (long, short) = (step.rect.width().max(step.rect.height()), step.rect.width().min(step.rect.height()));
    let [most_long, most_short] = bench.one_person.value;
    let rest = step.left.as_ref().map_or(0.0, |left| match step.axis {
        Axis::X => left.rect.width(),
        Axis::Y => left.rect.height(),
    });
    match step.method {
        Method::Guide => {
            if long > most_long && short > most_short / 2.0 || short > most_short {
                found.push(Caution::LargeSheet);
            } else if step.measure.max(rest) < UNDER_GUIDE {
                found.push(Caution::NarrowUnderGuide);
            } else {
                found.push(Caution::BothParts);
            }
        }
        Method::Fence => {
            let narrow = step.measure < bench.narrow_rip.value;
            if narrow {
                found.push(Caution::PushBlock);
            } else if step.length() < PUSH_STICK {
                found.push(Caution::PushStickThroughout);
            } else {
                found.push(Caution::PushStickAtTheEnd);
            }
            if !narrow && step.measure <= TAKEN_BY_STICK {
                found.push(Caution::TakeAwayByStick);
            }
            if step.length().max(rest) > FAR_END {
                found.push(Caution::FarEnd);
            }
        }
        Method::GaugeStop => {
            found.push(Caution::NeverTheFenceAsStop);
            if step.measure.max(rest) > FAR_END {
                found.push(Caution::FarEnd);
            }
        }
        Method::GaugeFree => {
            found.push(Caution::StopAheadOfBlade);
            if rest > FAR_END {
                found.push(Caution::FarEnd);
            }
        }
        Method::Hand => found.push(Caution::NotOnTheSaw(Reasons::new(why))),
    }
    if step.left.is_none() && step.off.as_ref().is_some_and(|off| off.becomes != Becomes::Waste) {
        found.push(Caution::OnlyDust);
    }
    found
}
