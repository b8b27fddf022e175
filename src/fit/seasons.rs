//! Solid wood over a year: how much each board moves, and whether what must fit still fits at both ends of the season.

use super::{Subject, moved, of, run, stack};
use crate::design::Assembly;
use crate::finding::{Finding, JobCheck, Measure, Status, Theme};
use crate::job::{Job, Moisture};
use crate::profile::Wood;
use crate::units::decimal;

/// Panels that are narrower than this across their grain hardly move (mm).
const WIDE: f64 = 60.0;

/// Where the formula and the coefficients come from.
const HANDBOOK: &str = "Forest Products Laboratory, Wood Handbook, FPL-GTR-282 (2021), chapter 13: dimensional change \
                        coefficients, which are averages; flat-sawn boards";

/// How much the wider panels move across their grain; those that are equally wide are told together.
pub(super) fn movement(subject: &Subject) -> Vec<Finding> {
    struct Wide<'a> {
        size: f64,
        families: Vec<&'a str>,
        wood: &'a Wood,
        moisture: &'a Moisture,
    }
    let mut all: Vec<Wide> = Vec::new();
    for panel in &subject.assembly.panels {
        let (Some((wood, moisture)), Some(size)) = (subject.wood(panel), panel.across_grain()) else { continue };
        let family = panel.family.as_str();
        match all.iter_mut().find(|wide| (wide.size - size).abs() < 0.1 && wide.moisture == moisture) {
            Some(wide) if wide.families.contains(&family) => {}
            Some(wide) => wide.families.push(family),
            None if size >= WIDE => all.push(Wide { size, families: vec![family], wood, moisture }),
            None => {}
        }
    }
    let units = subject.job.units;
    let finding = |Wide { size, families, wood, moisture: Moisture { now, measured, season } }: Wide| {
        let ends = season.map(|end| {
            let by = wood.moves(size, *now, end);
            let word = if by < 0.0 { "narrower" } else { "wider" };
            format!("{} {word} at {} %", Measure::Thickness(by.abs()).show(units), decimal(end, 1))
        });
        let taken = if *measured { "" } else { " (not measured: `moisture` says it)" };
        let advice = format!("{} at {} %{taken}; {}, {}", units.show(size), decimal(*now, 1), ends[0], ends[1]);
        let in_all = Measure::Thickness(wood.moves(size, season[0], season[1]));
        let about = match subject.assembly.loose {
            true => subject.assembly.name.clone(),
            false => format!("{}, {}", subject.assembly.name, families.join(" and ")),
        };
        let plain = Finding::plain(JobCheck::BoardMovement, about, Status::Ok).source(HANDBOOK).advice(advice);
        Finding { measured: Some(in_all), unit: in_all.unit(), ..plain }
    };
    all.into_iter().map(finding).collect()
}

/// Whether what fits as it is cut still fits in the driest and the dampest of the season. `now` is what the checks of each box
/// say as it is cut.
pub(super) fn check(job: &Job, subjects: &[Subject], now: &[Vec<Finding>]) -> Vec<Finding> {
    let moistures: Vec<Option<Moisture>> = subjects.iter().map(moisture).collect();
    if moistures.iter().all(Option::is_none) {
        return Vec::new();
    }
    let mut out: Vec<Vec<Finding>> = vec![Vec::new(); subjects.len()];
    for end in [0, 1] {
        let boxes: Vec<Assembly> = subjects
            .iter()
            .zip(&moistures)
            .map(|(subject, moisture)| match moisture {
                Some(moisture) => moved::at(subject, moisture.season[end]),
                None => subject.assembly.clone(),
            })
            .collect();
        let boxes: Vec<Subject> = boxes.iter().map(|assembly| Subject::new(job, assembly)).collect();
        for (i, subject) in boxes.iter().enumerate() {
            let Some(moisture) = moistures[i] else { continue };
            let mut then = run(subject, true);
            then.extend(stack::check(&boxes, i));
            let at = format!("{} at {} % moisture", ["driest", "dampest"][end], decimal(moisture.season[end], 1));
            out[i].extend(then.iter().filter(|finding| fails(finding, &now[i])).map(|finding| told(finding, &at)));
        }
    }
    let mut findings = Vec::new();
    for ((subject, moisture), mut own) in subjects.iter().zip(&moistures).zip(out) {
        let Some(moisture) = moisture else { continue };
        if own.is_empty() {
            let [driest, dampest] = moisture.season.map(|end| decimal(end, 1));
            let advice = format!("whatever fits as it is cut fits from {driest} to {dampest} % moisture");
            own.push(
                Finding::plain(JobCheck::SeasonFit, &subject.assembly.name, Status::Ok).source(HANDBOOK).advice(advice),
            );
        }
        findings.extend(of(subject, Theme::Wood, own));
    }
    findings
}

/// How damp the wood of a box is and will be, where it is solid; a loose part fits nothing.
fn moisture(subject: &Subject) -> Option<Moisture> {
    let mut panels = subject.assembly.panels.iter();
    panels.find_map(|panel| subject.wood(panel)).filter(|_| !subject.assembly.loose).map(|(_, moisture)| *moisture)
}

/// Does a check of fit fail that holds, or is less bad, as the box is cut?
fn fails(then: &Finding, now: &[Finding]) -> bool {
    const FITS: [JobCheck; 14] = [
        JobCheck::BeeSpaceEnds,
        JobCheck::BeeSpaceSides,
        JobCheck::BeeSpaceAbove,
        JobCheck::FrameTops,
        JobCheck::SpaceBelow,
        JobCheck::LugBearing,
        JobCheck::LugPlay,
        JobCheck::FramesLift,
        JobCheck::ComesOff,
        JobCheck::CoverPlay,
        JobCheck::CoverReach,
        JobCheck::CoverHang,
        JobCheck::StackBeeSpace,
        JobCheck::PartsApart,
    ];
    let same = |known: &&Finding| known.id == then.id && known.subject == then.subject;
    let before = now.iter().filter(same).map(|known| known.status).max().unwrap_or(Status::Ok);
    FITS.iter().any(|check| then.id == (*check).into()) && then.status > before.max(Status::Accepted)
}

fn told(failed: &Finding, at: &str) -> Finding {
    let caution = Finding { id: JobCheck::SeasonFit.into(), status: Status::Caution, ..failed.clone() };
    let source = format!("{}; {HANDBOOK}", failed.source);
    let advice = format!("when the wood has moved: {}", failed.advice);
    caution.worded(format!("{}, {at}", failed.check)).source(source).advice(advice)
}
