//! Does a tool suit what is done with it? What a maker is told of it, beside its chips.

use super::CutterAt;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::job::Router;
use crate::profile::{Flute, Tool};

/// A cutter that goes through a sheet in cuts down to this depth (mm).
pub(super) fn cutter(cutter: &CutterAt, depth: f64) -> Vec<Finding> {
    let (tool, passes) = (cutter.tool, cutter.passes(depth));
    let step = depth / f64::from(passes);
    let mut told = Vec::new();
    // Through a thin sheet that is what the tool is made for.
    if passes == 1 && depth > Tool::DEEPER * tool.diameter.value {
        told.push(
            Finding::measured(
                JobCheck::OnePass,
                &tool.name,
                Measure::Length(depth),
                Limits::at_most(Tool::DEEPER * tool.diameter.value),
                Status::Caution,
            )
            .source("common practice: a pass is about as deep as the cutter is wide")
            .advice(
                "its `pass-depth` lets it go through the sheet in one pass: the feed is lowered for that, but a light \
                 machine bends, and chips stay in the slot; try it on waste",
            ),
        );
    }
    told.extend(of_flute(tool, step));
    told
}

fn of_flute(tool: &Tool, step: f64) -> Option<Finding> {
    match tool.flute.value {
        Flute::DownCut => {
            /// Deeper than this share of the diameter a down-cut bit packs its chips (common practice).
            const ROOM: f64 = 0.5;
            let most = ROOM * tool.diameter.value;
            Some(
                Finding::measured(
                    JobCheck::FluteKind,
                    &tool.name,
                    Measure::Length(step),
                    Limits::at_most(most),
                    Status::Caution,
                )
                .worded("pass of a down-cut bit")
                .source("common practice: it presses its chips into the slot, where they heat it")
                .advice_unless_ok(|| {
                    "give it a `pass-depth` of 0.5 or less, or take an up-cut or a compression bit".into()
                }),
            )
        }
        Flute::Compression => {
            let tip = tool.up_cut_tip.as_ref()?;
            Some(
                Finding::measured(
                    JobCheck::FluteKind,
                    &tool.name,
                    Measure::Length(step),
                    Limits::at_least(tip.value),
                    Status::Caution,
                )
                .worded("first pass of a compression bit")
                .source(&tip.source)
                .advice_unless_ok(|| {
                    "its up-cut tip frays the upper face: let it go deeper in one pass (`pass-depth`), or take a bit with a \
                     shorter tip"
                        .into()
                }),
            )
        }
        Flute::UpCut | Flute::Straight => None,
    }
}

/// How far the point of a drill goes into the spoilboard; `None` where that is not known to be too far.
pub(super) fn point(router: &Router, drill: &Tool) -> Option<Finding> {
    let most = router.machine.pin_depth.as_ref().filter(|_| drill.point.value > 0.0)?;
    let deep = drill.point.value + router.machine.spoilboard.value;
    Finding::measured(
        JobCheck::DrillPoint,
        &drill.name,
        Measure::Length(deep),
        Limits::at_most(most.value),
        Status::Caution,
    )
    .source(&most.source)
    .advice("its edges only just cut through, and its point goes on: see that nothing lies under the spoilboard there")
    .if_refused()
}
