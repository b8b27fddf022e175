//! What a maker should know of the plan as a whole.

use super::planned::{MOST_CUTS, SawPlan};
use super::step::{Action, Method};
use crate::design::Part;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::job::{Job, KeepOut, Saw};
use crate::layout::clear_piece;
use crate::words::and;

const STATED: &str = "the accuracy in the saw's profile, every cut off the same way";

pub(super) fn findings(job: &Job, saw: &Saw, parts: &[Part], plan: &SawPlan) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(unsquared(job, plan));
    found.extend(cut_down_first(job, saw, plan));
    found.extend(saw.stages.map(|most| {
        let (taken, limits) = (Measure::Count(f64::from(plan.stages)), Limits::at_most(f64::from(most)));
        Finding::measured(JobCheck::SawStages, &saw.bench.title, taken, limits, Status::Refused)
            .source("the stages that the job allows")
    }));
    for (index, part) in parts.iter().enumerate() {
        let pieces = || plan.pieces.iter().filter(move |piece| piece.part == index);
        let [length, width] = plan.critical[index];
        let critical = || {
            pieces().flat_map(move |piece| {
                [length.then_some(piece.length), width.then_some(piece.width)].into_iter().flatten()
            })
        };
        let Some(error) = critical().map(|gathered| gathered.error).reduce(f64::max) else { continue };
        let cuts = critical().map(|gathered| gathered.cuts).max().unwrap_or(0);
        let which = match (length, width) {
            (true, true) => "length and width depend",
            (true, false) => "length depends",
            _ => "width depends",
        };
        found.push(
            Finding::measured(
                JobCheck::SawAccuracy,
                &part.name,
                Measure::Count(cuts as f64),
                Limits::at_most(MOST_CUTS as f64),
                Status::Caution,
            )
            .worded(format!("cuts that the {which} on"))
            .source(STATED)
            .advice(format!(
                "it holds other parts apart; by hand it may be off by {} at worst: measure the first piece before you cut \
                 the rest",
                job.units.measured(error)
            )),
        );
    }
    let by_hand = plan.steps.iter().filter(|step| step.method == Method::Hand).count();
    if by_hand > 0 {
        let pieces: Vec<String> = plan
            .steps
            .iter()
            .enumerate()
            .filter(|(_, step)| step.method == Method::Hand)
            .map(|(i, _)| (i + 1).to_string())
            .collect();
        found.push(
            Finding::measured(
                JobCheck::SawSafety,
                &saw.bench.title,
                Measure::Count(by_hand as f64),
                Limits::at_most(0.0),
                Status::Caution,
            )
            .source("the limits in the saw's profile")
            .advice(format!(
                "cut these with a hand saw or a bandsaw: step{} {}",
                if pieces.len() == 1 { "" } else { "s" },
                pieces.join(", ")
            )),
        );
    }
    found
}

/// Sheets in which something is kept out: the plan is for their largest clear piece.
fn cut_down_first<'a>(job: &'a Job, saw: &'a Saw, plan: &'a SawPlan) -> impl Iterator<Item = Finding> + use<'a> {
    job.stock.iter().enumerate().filter_map(move |(which, stock)| {
        let of_it = plan.sheets.iter().enumerate().filter(|(_, sheet)| sheet.stock == which);
        let numbers: Vec<String> = of_it.map(|(i, _)| (i + 1).to_string()).collect();
        let sheets = match &numbers[..] {
            [] => return None,
            [one] => format!("the saw's sheet {one}"),
            several => format!("the saw's sheets {}", and(several)),
        };
        let piece = clear_piece(stock, saw.kerf)?;
        let show = |mm: f64| job.units.show(mm);
        let from = match (piece.x0 > 0.0, piece.y0 > 0.0) {
            (false, false) => "at its lower left corner".to_string(),
            (true, false) => format!("{} from its left edge", show(piece.x0)),
            (false, true) => format!("{} from its lower edge", show(piece.y0)),
            (true, true) => format!("{} from its left edge and {} from its lower one", show(piece.x0), show(piece.y0)),
        };
        let kept: Vec<String> = stock.keep_out.iter().map(KeepOut::called).collect();
        Some(
            Finding::plain(JobCheck::CutDownFirst, sheets, Status::Caution)
                .source(format!("kept out of it: {}", kept.join(", ")))
                .advice(format!(
                    "the plan is for the largest clear piece of such a sheet: before the first cut, cut it down to {} × {}, \
                     {from}. To use more of it, give each clear piece as a `[[stock]]` of its own",
                    job.units.number(piece.width()),
                    show(piece.height())
                ))
                .at(Some(stock.keep_out[0].spot.clone())),
        )
    })
}

/// Sheets with no wood to spare for squaring an end.
fn unsquared(job: &Job, plan: &SawPlan) -> Vec<Finding> {
    let mut found = Vec::new();
    for step in plan.steps.iter().filter(|step| step.action == Action::Check) {
        found.push(
            Finding::plain(JobCheck::SawSquaring, format!("sheet {}", step.sheet + 1), Status::Caution)
                .source("PS 1-19 lets a sheet be out of square by 1/64 in a foot")
                .advice(format!(
                    "the parts take the sheet's whole length, so its factory end is used as it is: check it with a square, or \
                     give the stock a `trim` of {}",
                    job.units.show(3.0)
                )),
        );
    }
    found
}
