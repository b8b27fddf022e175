//! The plan of a job: the best of several orders of cuts, and what is still to be done to the pieces.

use super::bench::Bench;
use super::block::Making;
use super::board::{Finished, SoFar};
use super::caution::Caution;
use super::order::{self, Prefer};
use super::planned::{FinishedPiece, MOST_CUTS, SawPlan, SawSheet};
use super::replay::replay;
use super::stages::stages;
use super::step::{CutPiece, Method, Setting, Step};
use super::works::{self};
use super::{critical, findings, slopes};
use crate::design::{Assembly, Part};
use crate::error::Error;
use crate::job::{Job, Saw};
use crate::layout::Pattern;

/// How plans compare: less is better, the first difference decides.
type Score = (usize, usize, usize, usize, i64);

/// Plans the cuts of these patterns, and cuts them once over to see that the job's parts come out.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("bait-hive").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// let made = nestwright::make(checked, &Search::default())?;
/// assert!(made.saw.settings.len() <= made.saw.steps.len(), "a setting serves several cuts");
/// # Ok::<(), nestwright::error::Error>(())
/// ```
///
/// # Errors
/// [`Error::Fault`] when the written steps do not give the parts: the fault is ours.
pub fn plan(job: &Job, assemblies: &[Assembly], parts: &[Part], patterns: &[Pattern]) -> Result<SawPlan, Error> {
    let Some(saw) = &job.saw else { return Ok(SawPlan::default()) };
    if patterns.is_empty() {
        return Ok(SawPlan::default());
    }
    let critical = critical::critical(assemblies, parts);
    let kept: Vec<[f64; 2]> = patterns.iter().map(|pattern| job.stock[pattern.stock].usable).collect();
    let trim = |sheet: usize| patterns[sheet].trim;
    let mut all = All::default();
    let mut first = 0;
    while first < patterns.len() {
        // A fence serves one thickness at a time.
        let batch: Vec<(usize, &Pattern)> = patterns
            .iter()
            .enumerate()
            .skip(first)
            .take(saw.together as usize)
            .take_while(|(_, pattern)| pattern.thickness == patterns[first].thickness)
            .collect();
        let so_far = SoFar { many: patterns.len() > 1, ..all.so_far.clone() };
        let too_many = |steps: &[Step]| saw.stages.is_some_and(|most| stages(steps, trim) > most);
        let Some((bench, settings)) = best(saw, parts, &kept, &batch, &so_far, &critical, too_many) else { break };
        all.add(bench, settings);
        first += batch.len();
    }
    slopes::slopes(&saw.bench, parts, &all.finished, &mut all.steps, &mut all.settings);
    let mut plan = SawPlan {
        sheets: sheets(&all, patterns),
        pieces: all.finished.iter().map(cut_piece).collect(),
        stages: stages(&all.steps, trim),
        steps: all.steps,
        settings: all.settings,
        works: works::works(assemblies, parts),
        critical,
        findings: Vec::new(),
    };
    let mut wrong = replay(&plan, parts, saw);
    if let Some(most) = saw.stages.filter(|most| plan.stages > *most) {
        wrong.push(format!("it takes {} stages of cuts, of {most} at most", plan.stages));
    }
    if !wrong.is_empty() {
        return Err(Error::Fault(format!("the saw plan does not give the parts: {}", wrong.join("; "))));
    }
    plan.findings = findings::findings(job, saw, parts, &plan);
    Ok(plan)
}

/// The batches of sheets cut so far, put together.
#[derive(Default)]
struct All {
    so_far: SoFar,
    steps: Vec<Step>,
    settings: Vec<Setting>,
    finished: Vec<Finished>,
    left_over: Vec<(usize, CutPiece)>,
}

impl All {
    fn add(&mut self, bench: Bench, settings: Vec<Setting>) {
        self.so_far = bench.so_far;
        self.steps.extend(bench.steps);
        self.settings.extend(settings);
        self.finished.extend(bench.finished);
        self.left_over.extend(bench.left_over);
        self.so_far.steps = self.steps.len();
        self.so_far.settings = self.settings.len();
    }
}

/// The best plan for cutting these sheets, of those with no more stages than there may be.
fn best<'a>(
    saw: &'a Saw,
    parts: &'a [Part],
    kept: &'a [[f64; 2]],
    batch: &[(usize, &Pattern)],
    so_far: &SoFar,
    critical: &[[bool; 2]],
    too_many_stages: impl Fn(&[Step]) -> bool,
) -> Option<(Bench<'a>, Vec<Setting>)> {
    makings(saw, parts, kept)
        .flat_map(|making| Prefer::ALL.map(|prefer| order::cut(making, batch, so_far.clone(), prefer)))
        .min_by_key(|(bench, settings)| (too_many_stages(&bench.steps), score(bench, settings, critical)))
}

/// Cuts and settings of a plain recursive order of the same patterns, to measure a plan by.
pub fn plain_order(job: &Job, parts: &[Part], patterns: &[Pattern]) -> (usize, usize) {
    let Some(saw) = &job.saw else { return (0, 0) };
    let making = Making {
        parts,
        bench: &saw.bench,
        kerf: saw.kerf,
        kept: &[],
        x_first: true,
        turn_over: false,
        ease: false,
        clamp: true,
    };
    order::plain(making, patterns)
}

/// Every combination of the choices there are.
fn makings<'a>(saw: &'a Saw, parts: &'a [Part], kept: &'a [[f64; 2]]) -> impl Iterator<Item = Making<'a>> {
    (0..16u32).map(move |choices| Making {
        parts,
        bench: &saw.bench,
        kerf: saw.kerf,
        kept,
        x_first: choices & 1 == 0,
        turn_over: choices & 2 == 0,
        ease: choices & 4 == 0,
        clamp: choices & 8 == 0,
    })
}

/// Cuts left to the hand, critical dimensions of more than two cuts, minutes for settings and clamps (about two and one),
/// cuts, and the error of all critical dimensions (thousandths of a millimetre).
fn score(bench: &Bench, settings: &[Setting], critical: &[[bool; 2]]) -> Score {
    let by_hand = bench.steps.iter().filter(|step| step.method == Method::Hand).count();
    let (mut many, mut error) = (0, 0.0);
    for piece in &bench.finished {
        let FinishedPiece { part, length, width, .. } = cut_piece(piece);
        for (gathered, critical) in [length, width].into_iter().zip(critical[part]) {
            if critical {
                many += usize::from(gathered.cuts > MOST_CUTS);
                error += gathered.error;
            }
        }
    }
    let clamped = bench.steps.iter().filter(|step| step.cautions.contains(&Caution::ClampToTheGauge)).count();
    (by_hand, many, 2 * settings.len() + clamped, bench.steps.len(), (error * 1000.0).round() as i64)
}

fn cut_piece(piece: &Finished) -> FinishedPiece {
    let [x, y] = piece.sizes;
    let (length, width) = if piece.placement.turn.swaps() { (y, x) } else { (x, y) };
    FinishedPiece { name: piece.name.clone(), part: piece.placement.part, sheet: piece.sheet, length, width }
}

fn sheets(all: &All, patterns: &[Pattern]) -> Vec<SawSheet> {
    let mut sheets: Vec<SawSheet> = patterns
        .iter()
        .map(|pattern| SawSheet {
            stock: pattern.stock,
            length: pattern.length,
            width: pattern.width,
            thickness: pattern.thickness,
            placements: Vec::new(),
            left_over: Vec::new(),
        })
        .collect();
    for piece in &all.finished {
        sheets[piece.sheet].placements.push(piece.placement);
    }
    for (sheet, piece) in &all.left_over {
        sheets[*sheet].left_over.push(piece.clone());
    }
    sheets
}
