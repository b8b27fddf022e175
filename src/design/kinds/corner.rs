//! How the walls of a box meet, for every kind that leaves the choice.

use crate::design::{Joinery, JointFault, Panel, RELIEVED};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::reading::{Key, Spots, Takes, Unless, key};

/// How two walls meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    /// End grain on face.
    Butt,
    /// Let in by half the thickness.
    Rabbet,
    /// A box joint.
    Finger,
}

crate::words!(Corner: Butt = "butt", Rabbet = "rabbet", Finger = "finger");

pub(super) const CORNER: Key = key("corner", Takes::Words(Corner::NAMES), Unless::Word("butt"), "how the walls meet");
pub(super) const FINGER: Key =
    key("finger", Takes::Length(3.0, 200.0), Unless::Rule("about the thickness"), "width of a finger");
pub const JOINT_PLAY: Key =
    key("joint-play", Takes::Length(0.0, 0.3), Unless::Mm(0.15), "room across each joint, for glue");

impl Corner {
    /// Cuts the corner into two panels that butt: `butting` ends on the inner face of `through`. Returns why it cannot
    /// be, with what would do.
    pub(super) fn cut(
        self,
        panels: &mut [Panel],
        (through, butting): (usize, usize),
        joinery: &Joinery,
        finger: Option<f64>,
        spots: &Spots,
    ) -> Option<Finding> {
        let t = panels[through].thickness;
        let cut = match self {
            Corner::Butt => Ok(()),
            Corner::Rabbet => joinery.let_in(panels, through, butting, t / 2.0, "rabbet"),
            Corner::Finger => {
                let usual = t.max(RELIEVED * joinery.cutter);
                joinery.fingers(panels, through, butting, finger.unwrap_or(usual)).map(|_| ())
            }
        };
        cut.err().map(|fault| {
            let refusal = match fault {
                JointFault::Short { length, least } => Finding::measured(
                    JobCheck::CornerFingers,
                    "",
                    Measure::Length(length),
                    Limits::at_least(least),
                    Status::Refused,
                )
                .advice(
                    "three fingers that this cutter can cut do not fit: take corner = \"butt\" or \"rabbet\", or a \
                     narrower cutter",
                ),
                JointFault::Apart => Finding::plain(JobCheck::CornerJoint, "", Status::Refused)
                    .advice(format!("{fault}: take corner = \"butt\"")),
            };
            refusal.source("geometry of the joint").at(spots.of(&[CORNER, FINGER]))
        })
    }
}
