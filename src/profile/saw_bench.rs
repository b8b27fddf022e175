//! What there is to saw with: a table saw or none, and a circular saw on a guide.

use super::{Profile, Profiles};
use crate::reading::{Key, Sourced, Table, Takes, Unless, key};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The limits of a maker's saws. Lengths in millimetres.
///
/// A table saw cuts along its fence (a rip) or square to its gauge (a crosscut); a circular saw is guided along a rail
/// that is clamped to the work. What neither can cut safely is cut by hand.
#[derive(Clone, Debug)]
pub struct SawBench {
    pub name: String,
    pub title: String,
    /// Farthest the fence goes from the blade; nothing when there is no table saw.
    pub rip_capacity: Sourced<f64>,
    /// Longest cut that the gauge or sled makes.
    pub crosscut_capacity: Sourced<f64>,
    /// Largest piece, length and width, that one person feeds over the table saw.
    pub one_person: Sourced<[f64; 2]>,
    /// Shortest edge that may run along the fence.
    pub least_on_fence: Sourced<f64>,
    /// How far a piece may reach out from the fence, as a multiple of its edge on it.
    pub reach_out: Sourced<f64>,
    /// Narrower than this between blade and fence, a push block or carrier feeds the work.
    pub narrow_rip: Sourced<f64>,
    /// Narrower than this, nothing is ripped along the fence at all.
    pub least_rip: Sourced<f64>,
    /// Shortest piece that is held at the gauge.
    pub least_held: Sourced<f64>,
    /// Longest cut along the guide.
    pub guide_length: Sourced<f64>,
    /// Smallest piece, in length and width, that the guide can be clamped to.
    pub least_under_guide: Sourced<f64>,
    /// How far a cut may be off: set by fence or stop, by guide, by hand.
    pub accuracy: Sourced<f64>,
    pub guide_accuracy: Sourced<f64>,
    pub hand_accuracy: Sourced<f64>,
    /// How far a cut may run out of square or parallel, in millimetres a metre.
    pub squareness: Sourced<f64>,
}

const RIP_CAPACITY: Key = key(
    "rip-capacity",
    Takes::Length(0.0, 5000.0),
    Unless::Needed,
    "farthest the fence goes from the blade; 0: no table saw",
);
const CROSSCUT_CAPACITY: Key =
    key("crosscut-capacity", Takes::Length(0.0, 5000.0), Unless::Needed, "longest cut that the gauge or sled makes");
const ONE_PERSON: Key = key(
    "one-person",
    Takes::Lengths("[length, width]", 100.0, 6000.0),
    Unless::Needed,
    "largest piece, [length, width], one person feeds",
);
const LEAST_ON_FENCE: Key =
    key("least-on-fence", Takes::Length(50.0, 2000.0), Unless::Needed, "shortest edge that may run along the fence");
const REACH_OUT: Key = key(
    "reach-out",
    Takes::Number(1.0, 10.0),
    Unless::Needed,
    "how far a piece may reach out from the fence, over its edge on it",
);
const NARROW_RIP: Key = key(
    "narrow-rip",
    Takes::Length(10.0, 500.0),
    Unless::Needed,
    "narrower between blade and fence, a push block feeds the work",
);
const LEAST_RIP: Key =
    key("least-rip", Takes::Length(3.0, 200.0), Unless::Needed, "narrower, nothing is ripped along the fence");
const LEAST_HELD: Key =
    key("least-held", Takes::Length(50.0, 1000.0), Unless::Needed, "shortest piece that is held at the gauge");
const GUIDE_LENGTH: Key =
    key("guide-length", Takes::Length(300.0, 10_000.0), Unless::Needed, "longest cut along the guide");
const LEAST_UNDER_GUIDE: Key =
    key("least-under-guide", Takes::Length(50.0, 1000.0), Unless::Needed, "smallest piece the guide can be clamped to");
const ACCURACY: Key =
    key("accuracy", Takes::Length(0.0, 10.0), Unless::Needed, "how far off a cut set by fence or stop may be");
const GUIDE_ACCURACY: Key =
    key("guide-accuracy", Takes::Length(0.0, 10.0), Unless::Needed, "how far off a cut along the guide may be");
const HAND_ACCURACY: Key =
    key("hand-accuracy", Takes::Length(0.0, 10.0), Unless::Needed, "how far off a cut by hand may be");
const SQUARENESS: Key =
    key("squareness", Takes::Number(0.0, 20.0), Unless::Needed, "how far a cut may run out of square, in mm a metre");

impl SawBench {
    pub fn has_table_saw(&self) -> bool {
        self.rip_capacity.value > 0.0
    }
}

impl Profile for SawBench {
    const FOLDER: &'static str = "saws";
    const ONE: &'static str = "saw";
    const KEYS: &'static [Key] = &[
        RIP_CAPACITY,
        CROSSCUT_CAPACITY,
        ONE_PERSON,
        LEAST_ON_FENCE,
        REACH_OUT,
        NARROW_RIP,
        LEAST_RIP,
        LEAST_HELD,
        GUIDE_LENGTH,
        LEAST_UNDER_GUIDE,
        ACCURACY,
        GUIDE_ACCURACY,
        HAND_ACCURACY,
        SQUARENESS,
    ];

    fn read(name: &str, title: String, table: &Table) -> Option<SawBench> {
        let length = |key: &Key| table.sourced(key, Table::length);
        let rip_capacity = length(&RIP_CAPACITY);
        let crosscut_capacity = length(&CROSSCUT_CAPACITY);
        let one_person = table.sourced(&ONE_PERSON, Table::lengths::<2>);
        let least_on_fence = length(&LEAST_ON_FENCE);
        let reach_out = table.sourced(&REACH_OUT, Table::number);
        let narrow_rip = length(&NARROW_RIP);
        let least_rip = length(&LEAST_RIP);
        let least_held = length(&LEAST_HELD);
        let guide_length = length(&GUIDE_LENGTH);
        let least_under_guide = length(&LEAST_UNDER_GUIDE);
        let accuracy = length(&ACCURACY);
        let guide_accuracy = length(&GUIDE_ACCURACY);
        let hand_accuracy = length(&HAND_ACCURACY);
        let squareness = table.sourced(&SQUARENESS, Table::number);
        Some(SawBench {
            name: name.into(),
            title,
            rip_capacity: rip_capacity?,
            crosscut_capacity: crosscut_capacity?,
            one_person: one_person?,
            least_on_fence: least_on_fence?,
            reach_out: reach_out?,
            narrow_rip: narrow_rip?,
            least_rip: least_rip?,
            least_held: least_held?,
            guide_length: guide_length?,
            least_under_guide: least_under_guide?,
            accuracy: accuracy?,
            guide_accuracy: guide_accuracy?,
            hand_accuracy: hand_accuracy?,
            squareness: squareness?,
        })
    }

    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<SawBench>> {
        &profiles.saws
    }

    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<SawBench>> {
        &mut profiles.saws
    }
}
