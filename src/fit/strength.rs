//! Do the fasteners alone hold what hangs on them, should the glue give way?
//!
//! Reckoned for solid wood only: nobody has published figures for the edge of plywood.

use super::Subject;
use super::weight::{full, wood};
use crate::design::Panel;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::joining::{Driven, Joining};
use crate::profile::{Fastener, FastenerKind};

/// What fasteners carry is so many times less than what they bear.
const SAFETY: f64 = 5.0;
const SOURCE: &str = "Forest Products Laboratory, \"Wood Handbook\", FPL-GTR-190 (2010), chapter 8, from memory; a fifth of it. \
                      This is no engineer's judgement";
/// Newtons of a kilogram's weight.
const GRAVITY: f64 = 9.81;
/// Density at 12 per cent of moisture (kg/m³) of wood whose specific gravity is 1.
const WATER: f64 = 1120.0;

/// What hangs on the fasteners of some panels.
struct Carried {
    /// The family of panels whose fasteners carry it.
    family: &'static str,
    /// By each of them (kg).
    load: f64,
    what: &'static str,
    /// The fasteners are pulled out along their length; else they are bent across it.
    pulled: bool,
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    if subject.assembly.loose {
        return Vec::new();
    }
    let body = |panel: &Panel| panel.sub_assembly.is_empty();
    let weight = wood(subject, |_| true) + subject.assembly.frames.as_ref().map_or(0.0, full);
    let floor = wood(subject, |panel| panel.family == "floor" && body(panel));
    let carried = [
        Carried { family: "handhold", load: weight / 2.0, what: "half of the full box", pulled: false },
        Carried { family: "back plate", load: weight, what: "the whole box", pulled: false },
        Carried { family: "floor", load: floor, what: "its own weight", pulled: true },
    ];
    // Nothing is told of sheets: without solid wood no fastener need be looked at.
    if subject.assembly.panels.iter().all(|panel| subject.wood(panel).is_none()) {
        return Vec::new();
    }
    let has = |one: &&Carried| subject.assembly.panels.iter().any(|panel| panel.family == one.family && body(panel));
    let carried: Vec<&Carried> = carried.iter().filter(has).collect();
    if carried.is_empty() {
        return Vec::new();
    }
    let joining = Joining::of(&subject.job.hardware, subject.assembly);
    carried.into_iter().filter_map(|one| weakest(subject, &joining, one)).collect()
}

/// The panel of the family that is held the least; `None` where no source tells what holds it.
fn weakest(subject: &Subject, joining: &Joining, carried: &Carried) -> Option<Finding> {
    let panels = &subject.assembly.panels;
    let mut least: Option<(f64, &Panel)> = None;
    for (i, panel) in panels.iter().enumerate().filter(|(_, panel)| panel.family == carried.family) {
        let own = joining.fasteners.iter().flatten().filter(|driven| driven.through == i || driven.into == i);
        let mut newtons = 0.0;
        for driven in own {
            newtons += f64::from(driven.count()) * bears(subject, driven, carried.pulled)?;
        }
        if newtons > 0.0 && least.is_none_or(|(known, _)| newtons < known) {
            least = Some((newtons, panel));
        }
    }
    let (newtons, panel) = least?;
    let carries = newtons / GRAVITY / SAFETY;
    let check = JobCheck::FastenersCarry;
    let finding = Finding::measured(
        check,
        subject.panel_name(panel),
        Measure::Mass(carries),
        Limits::at_least(carried.load),
        Status::Caution,
    )
    .source(SOURCE);
    Some(finding.advice_unless_ok(|| {
        format!(
            "it carries {}: as long as the glue is sound that does; screws hold it without: `fastener = \"screws\"` under \
             [hardware]",
            carried.what
        )
    }))
}

/// What one fastener of a joint bears (N); `None` where a board is no solid wood, or nobody says how thick the fastener is.
fn bears(subject: &Subject, driven: &Driven, pulled: bool) -> Option<f64> {
    let panels = [driven.through, driven.into].map(|panel| &subject.assembly.panels[panel]);
    let density = |panel: &Panel| {
        let material = &subject.job.stock[subject.assembly.stock_of(panel)].material;
        material.wood.as_ref().map(|_| material.density.value)
    };
    let [through, into] = [density(panels[0])?, density(panels[1])?];
    // What comes out of the second board holds nothing.
    let deep = driven.fastener.length.value - panels[0].thickness - driven.points.max(0.0);
    let deep = deep.max(0.0);
    if pulled { withdrawal(driven.fastener, into, deep) } else { lateral(driven.fastener, through.min(into), deep) }
}

/// What it takes to pull a nail or a screw out of the side of a board of this density (kg/m³), in which it is so deep (mm), in
/// newtons: 54.12 G^2.5 D L, and 108.25 G² D L.
pub fn withdrawal(fastener: &Fastener, density: f64, deep: f64) -> Option<f64> {
    let (gravity, thick) = (density / WATER, fastener.diameter.as_ref()?.value);
    Some(match fastener.kind {
        FastenerKind::Brad | FastenerKind::Nail => 54.12 * gravity * gravity * gravity.sqrt() * thick * deep,
        FastenerKind::Screw => 108.25 * gravity * gravity * thick * deep,
    })
}

/// What a nail or a screw bears across its length before its joint gives, in newtons: K D^1.5, and K D², with K for softwoods of
/// this density; less where it is not as deep in the second board as that wants, 14 and 7 times its thickness.
pub fn lateral(fastener: &Fastener, density: f64, deep: f64) -> Option<f64> {
    let (gravity, thick) = (density / WATER, fastener.diameter.as_ref()?.value);
    let class = [0.425, 0.475].iter().filter(|least| gravity >= **least).count();
    let (bears, deepest) = match fastener.kind {
        FastenerKind::Brad | FastenerKind::Nail => ([50.04, 62.55, 76.45][class] * thick * thick.sqrt(), 14.0),
        FastenerKind::Screw => ([23.17, 29.79, 36.40][class] * thick * thick, 7.0),
    };
    Some(bears * (deep / (deepest * thick)).min(1.0))
}
