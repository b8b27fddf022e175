//! How a cut can be made without danger, by the limits of the saws there are.

use super::caution::Why;
use super::step::Method;
use crate::profile::SawBench;

/// A cut to be made: the piece's size across and along the cut, and how much comes off on the measured side.
#[derive(Clone, Copy, Debug)]
pub(super) struct Work {
    pub across: f64,
    pub along: f64,
    pub measure: f64,
    pub kerf: f64,
}

impl Work {
    /// What is left beyond the kerf.
    pub fn rest(&self) -> f64 {
        (self.across - self.measure - self.kerf).max(0.0)
    }
}

impl Work {
    /// The side of the cut that hands and gauge hold.
    fn held(&self) -> f64 {
        self.measure.max(self.rest())
    }

    /// Is so little left to hold at the gauge that it must be clamped?
    pub fn is_clamped(&self, bench: &SawBench) -> bool {
        self.held() < bench.least_held.value
    }
}

/// The first method by which a cut can be made without danger; where only the hand is left, why the saws are ruled out.
pub(super) fn method(bench: &SawBench, work: Work) -> (Method, Vec<Why>) {
    let mut why = Vec::new();
    for (method, ruled_out) in [
        (Method::Fence, fence(bench, work)),
        (Method::GaugeStop, gauge(bench, work)),
        (Method::Guide, guide(bench, work)),
    ] {
        match ruled_out {
            Some(reason) => {
                if !why.contains(&reason) {
                    why.push(reason);
                }
            }
            // The longer side is what hands and gauge can hold.
            None if method == Method::GaugeStop && work.measure < bench.least_held.value => {
                return (Method::GaugeFree, Vec::new());
            }
            None => return (method, Vec::new()),
        }
    }
    (Method::Hand, why)
}

/// Can one person feed the piece over a table saw?
fn too_large(bench: &SawBench, work: Work) -> bool {
    let (long, short) = (work.across.max(work.along), work.across.min(work.along));
    let [most_long, most_short] = bench.one_person.value;
    let bulky = long > most_long || short > most_short;
    // A long narrow strip weighs little; it needs a stand under its far end.
    let slender = long <= 2.0 * most_long && long * short <= most_long * most_short / 2.0;
    bulky && !slender
}

/// What rules out the fence.
fn fence(bench: &SawBench, work: Work) -> Option<Why> {
    if !bench.has_table_saw() {
        Some("there is no table saw")
    } else if too_large(bench, work) {
        Some("the piece is too large for one person at the table saw")
    } else if work.measure > bench.rip_capacity.value {
        Some("the fence does not reach that far")
    } else if work.measure < bench.least_rip.value {
        Some("it is too narrow to pass between blade and fence")
    } else if work.along < bench.least_on_fence.value || work.along < work.measure {
        Some("its edge is too short to run along the fence")
    } else if work.across > bench.reach_out.value * work.along {
        Some("it reaches out too far from the fence")
    } else {
        None
    }
}

/// What rules out the gauge.
fn gauge(bench: &SawBench, work: Work) -> Option<Why> {
    if !bench.has_table_saw() {
        Some("there is no table saw")
    } else if too_large(bench, work) {
        Some("the piece is too large for one person at the table saw")
    } else if work.along > bench.crosscut_capacity.value {
        Some("the cut is longer than the gauge can make")
    } else if work.across < bench.least_held.value {
        Some("it is too short to be held at the gauge")
    } else {
        None
    }
}

/// What rules out the guide.
fn guide(bench: &SawBench, work: Work) -> Option<Why> {
    if work.along > bench.guide_length.value {
        Some("the cut is longer than the guide")
    } else if work.across < bench.least_under_guide.value || work.along < bench.least_under_guide.value / 2.0 {
        Some("it is too small to clamp the guide to")
    } else {
        None
    }
}

/// How much trouble it is to cut these strips one after another off a piece, in the best order: what only the hand can
/// cut, and then what must be clamped.
pub(super) fn trouble(bench: &SawBench, across: f64, along: f64, strips: &[f64], kerf: f64) -> usize {
    let count = |order: &[f64]| {
        let mut rest = across;
        let mut trouble = 0;
        for (i, &measure) in order.iter().enumerate() {
            let last_fits = i + 1 == order.len() && (rest - measure).abs() < super::SLIVER;
            let work = Work { across: rest, along, measure, kerf };
            if !last_fits {
                trouble += trouble_of(bench, work);
            }
            rest = work.rest();
        }
        trouble
    };
    let mut order = strips.to_vec();
    order.sort_by(f64::total_cmp);
    let rising = count(&order);
    order.reverse();
    let falling = count(&order);
    // Narrow ones first need a long strip to be held; with wide ones first the piece is soon small enough.
    rising.min(falling).min(count(strips))
}

/// A cut by hand is more trouble than any number of clamps.
pub(super) const BY_HAND: usize = 1000;

/// The trouble of one cut.
pub(super) fn trouble_of(bench: &SawBench, work: Work) -> usize {
    match method(bench, work).0 {
        Method::Hand => BY_HAND,
        Method::GaugeStop | Method::GaugeFree if work.is_clamped(bench) => 1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Profiles;

    fn of(across: f64, along: f64, measure: f64) -> Method {
        let bench = Profiles::built_in().find::<SawBench>("table-saw").expect("built in");
        method(&bench, Work { across, along, measure, kerf: 3.0 }).0
    }

    #[test]
    fn a_sheet_is_broken_down_by_the_guide_and_a_strip_goes_to_the_fence() {
        assert_eq!(of(2440.0, 1220.0, 486.0), Method::Guide);
        assert_eq!(of(1220.0, 486.0, 260.0), Method::Fence);
    }

    #[test]
    fn a_narrow_strip_is_cut_at_the_gauge_and_never_with_its_short_end_on_the_fence() {
        assert_eq!(of(1220.0, 241.0, 190.0), Method::GaugeStop);
        assert_eq!(of(1220.0, 51.0, 215.0), Method::GaugeStop);
        // A short piece falls free from a long strip that is held.
        assert_eq!(of(1220.0, 51.0, 60.0), Method::GaugeFree);
    }

    #[test]
    fn what_is_too_short_for_both_is_left_to_the_hand() {
        assert_eq!(of(150.0, 51.0, 60.0), Method::Hand);
        assert_eq!(of(140.0, 800.0, 8.0), Method::Hand);
    }

    #[test]
    fn a_piece_that_leaves_little_to_hold_is_clamped() {
        let bench = Profiles::built_in().find::<SawBench>("table-saw").expect("built in");
        let work = Work { across: 260.0, along: 127.0, measure: 127.0, kerf: 3.0 };
        assert_eq!(method(&bench, work).0, Method::GaugeFree);
        assert!(work.is_clamped(&bench) && trouble_of(&bench, work) == 1);
    }

    #[test]
    fn without_a_table_saw_all_is_guided() {
        let bench = Profiles::built_in().find::<SawBench>("circular-saw").expect("built in");
        let work = Work { across: 1220.0, along: 241.0, measure: 190.0, kerf: 3.0 };
        assert_eq!(method(&bench, work).0, Method::Guide);
    }
}
