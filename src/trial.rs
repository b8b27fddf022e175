//! What is refused of every layout, and how each part is cut: tried before sheets are filled, by the very stages that cut.
//!
//! Each part is cut alone on a sheet of its own, in one form after the other, until a program is proved; so a maker hears
//! at once of what no layout could mend. The proof is a judge that knows nothing of forms.

use crate::build;
use crate::design::{Assembly, Part};
use crate::error::{Error, Unproved};
use crate::finding::{Finding, JobCheck, Status};
use crate::gcode::{self, Program};
use crate::job::{CutBy, Job, Router};
use crate::layout::fewest::of_stocks;
use crate::layout::{self, Layout};
use crate::proof::{self, Claim, NotProved, Proof, Proved};
use crate::route::{self, Form, Route};
use crate::watch::Search;
use rayon::prelude::*;

/// What trying the parts has shown.
pub(crate) struct Tried {
    /// What is refused, each finding once; or what is cut otherwise than asked.
    pub findings: Vec<Finding>,
    /// How each part is cut, in the order of the parts.
    pub forms: Vec<Form>,
}

/// What the tools and sheets of a job cannot make of its parts, and in which form they can make the others; and where they
/// could make each of them, whether the sheets on hand are too few for all.
///
/// # Errors
/// [`Error::Fault`] when no path is found that cuts a part that nothing speaks against.
pub(crate) fn parts(job: &Job, assemblies: &[Assembly]) -> Result<Tried, Error> {
    let parts = build::parts(job, assemblies);
    let tried = parts.par_iter().map(|part| of_part(job, Part { count: 1, ..part.clone() }));
    let tried = tried.collect::<Result<Vec<Outcome>, Error>>()?;
    let mut refused: Vec<Finding> = Vec::new();
    for finding in tried.iter().flat_map(|tried| tried.as_ref().err().into_iter().flatten()) {
        if !refused.contains(finding) {
            refused.push(finding.clone());
        }
    }
    let forms: Vec<Form> = tried.iter().map(|tried| tried.as_ref().copied().unwrap_or_default()).collect();
    let findings = if refused.is_empty() {
        let mut findings = too_few_sheets(job, &parts)?;
        findings.extend(told(job, &parts, &forms));
        findings
    } else {
        refused
    };
    Ok(Tried { findings, forms })
}

/// The form in which a part can be cut, or what is refused of it.
type Outcome = Result<Form, Vec<Finding>>;

/// Parts that are cut otherwise than the job asks.
fn told(job: &Job, parts: &[Part], forms: &[Form]) -> Vec<Finding> {
    let Some(router) = &job.router else { return Vec::new() };
    parts.iter().zip(forms).filter_map(|(part, form)| form.told(job, router, part)).collect()
}

/// What the layout says at its first try, where a bound proves that no search would say otherwise.
fn too_few_sheets(job: &Job, parts: &[Part]) -> Result<Vec<Finding>, Error> {
    // Of what is built as often as the sheets give there are never too few.
    if job.wants_most() {
        return Ok(Vec::new());
    }
    let proved = |cut| of_stocks(job, parts, cut).iter().any(|bound| bound.too_few(job));
    let first_try = Search::of(0);
    let mut refused = Vec::new();
    if proved(CutBy::Router) {
        refused.extend(findings(layout::nest_close(job, parts, &first_try))?);
    }
    if proved(CutBy::Saw) {
        refused.extend(findings(layout::cut_plan(job, parts, &first_try))?);
    }
    Ok(refused)
}

/// How a part can be cut, or what is refused of it whichever of its sheets it lies on: that of the sheet it would go on
/// first.
fn of_part(job: &Job, part: Part) -> Result<Outcome, Error> {
    let served: Vec<usize> =
        (0..job.stock.len()).filter(|stock| job.stock[part.stock].serves(&job.stock[*stock])).collect();
    let parts = [part];
    let first = on(job, &parts, |_| true)?;
    if first.is_ok() || served.len() < 2 {
        return Ok(first);
    }
    for only in served {
        let other = on(job, &parts, |stock| stock == only)?;
        if other.is_ok() {
            return Ok(other);
        }
    }
    Ok(first)
}

/// The same on these sheets, of which there are enough.
fn on(job: &Job, parts: &[Part; 1], takes: impl Fn(usize) -> bool) -> Result<Outcome, Error> {
    let mut job = job.clone();
    for (i, stock) in job.stock.iter_mut().enumerate() {
        stock.on_hand = if takes(i) { None } else { Some(0) };
    }
    let mut routed = routed(&job, parts)?;
    let by_saw = findings(layout::cut_plan(&job, parts, &Search::of(0)))?;
    if !by_saw.is_empty() {
        let mut refused = routed.err().unwrap_or_default();
        refused.extend(by_saw.into_iter().filter(|finding| !refused.contains(finding)).collect::<Vec<_>>());
        routed = Err(refused);
    }
    Ok(routed)
}

/// The first form in which a router cuts a part so that it is proved.
fn routed(job: &Job, parts: &[Part; 1]) -> Result<Outcome, Error> {
    let Some(router) = &job.router else { return Ok(Ok(Form::default())) };
    let layout = match layout::nest_close(job, parts, &Search::of(0)) {
        Err(Error::Refused(refusal)) => return Ok(Err(refusal.into_findings())),
        other => other?,
    };
    // What the first form that could be routed failed for; else why none could be.
    let (mut failed, mut fault): (Option<Vec<Proof>>, Option<Error>) = (None, None);
    for form in Form::of(router, &parts[0]) {
        let cut = match routed_in(job, parts, &[form], &layout) {
            Err(Error::Refused(refusal)) => return Ok(Err(refusal.into_findings())),
            Err(error) => {
                fault = fault.or(Some(error));
                continue;
            }
            Ok(cut) => cut,
        };
        match proof::prove_only(&cut.claim, &texts(&cut.programs)) {
            Ok(()) => return Ok(Ok(form)),
            Err(NotProved::Failed(proofs)) => failed = failed.or(Some(proofs)),
            Err(NotProved::Unclear(why)) => fault = fault.or(Some(Error::Fault(why))),
        }
    }
    match (failed, fault) {
        (Some(proofs), _) => Ok(Err(unproved(router, &parts[0], &proofs))),
        (None, Some(error)) => Err(error),
        (None, None) => Ok(Ok(Form::default())),
    }
}

/// That no form was proved, in the words of the measures that failed in the form asked for.
fn unproved(router: &Router, part: &Part, proofs: &[Proof]) -> Vec<Finding> {
    let faults = proofs.iter().flat_map(Proof::faults);
    let finding = |fault: &proof::Measured| {
        Finding {
        subject: part.name.clone(),
        advice: "in no form that was tried can this cutter make the part on this machine so that it is proved: take another \
                 cutter, or make the part or its openings larger"
            .into(),
        spot: Some(router.spot.clone()),
        ..fault.finding.clone()
    }
    };
    faults.map(finding).collect()
}

fn findings<T>(outcome: Result<T, Error>) -> Result<Vec<Finding>, Error> {
    match outcome {
        Ok(_) => Ok(Vec::new()),
        Err(Error::Refused(refusal)) => Ok(refusal.into_findings()),
        Err(other) => Err(other),
    }
}

/// Everything that a router does, and its proof.
#[derive(Debug)]
pub(crate) struct Cut {
    pub routes: Vec<Route>,
    pub programs: Vec<Program>,
    pub proved: Proved,
    /// What a maker should know of it that no check has told.
    pub told: Vec<Finding>,
}

/// Parts on sheets, and the programs that cut them, proved. Where parts cannot be cut as near to one another as the job asks,
/// they lie further apart: then the job's clearance is more.
///
/// # Errors
/// [`Error::Refused`] with every feature that cannot be cut, and where the sheets on hand are too few; [`Error::Unproved`] when
/// no form holds.
pub(crate) fn laid(job: &mut Job, parts: &[Part], forms: &[Form], search: &Search) -> Result<(Layout, Cut), Error> {
    let close = nested(job, parts, search)?;
    let failed = match cut(job, parts, forms, &close) {
        Err(error @ Error::Unproved(_)) => error,
        other => return Ok((close, other?)),
    };
    let (asked, Some(router)) = (job.clone(), &mut job.router) else { return Err(failed) };
    let apart = router.clearance_alone();
    if router.clearance >= apart {
        return Err(failed);
    }
    router.clearance = apart;
    let told = further_apart(&asked, apart);
    let layout = match nested(job, parts, search) {
        Err(Error::Refused(refusal)) => {
            return Err(Error::refused([vec![told], refusal.into_findings()].concat()));
        }
        other => other?,
    };
    let mut cut = cut(job, parts, forms, &layout)?;
    cut.told.push(told);
    Ok((layout, cut))
}

fn nested(job: &Job, parts: &[Part], search: &Search) -> Result<Layout, Error> {
    let layout = layout::nest(job, parts, search)?;
    layout::verified(job, parts, &layout)?;
    Ok(layout)
}

fn further_apart(asked: &Job, apart: f64) -> Finding {
    let show = |mm: f64| asked.units.measured(mm);
    let router = asked.router.as_ref();
    let (clearance, spot) = router.map_or((0.0, None), |it| (it.clearance, it.spots.named(&["clearance"])));
    Finding::plain(JobCheck::PartsFurtherApart, "sheets", Status::Caution)
        .source("so near to one another the tabs of some parts stand in the way of others")
        .advice(format!("the wood left between two parts is {}, not {}", show(apart), show(clearance)))
        .at(spot.or(router.map(|it| it.spot.clone())))
}

/// The programs of all sheets, proved; each part in its form, or, where beside others it does not hold in that, in a safer
/// one.
fn cut(job: &Job, parts: &[Part], tried: &[Form], layout: &Layout) -> Result<Cut, Error> {
    let tried = if tried.len() == parts.len() { tried.to_vec() } else { vec![Form::default(); parts.len()] };
    let mut forms = tried.clone();
    loop {
        let Routed { routes, programs, claim } = routed_in(job, parts, &forms, layout)?;
        let mut proofs = match proof::prove_all(&claim, &texts(&programs)) {
            Ok(proved) => {
                let known = told(job, parts, &tried);
                let told = told(job, parts, &forms).into_iter().filter(|finding| !known.contains(finding));
                let told = route::told_once(&routes).into_iter().chain(told).collect();
                return Ok(Cut { routes, programs, proved, told });
            }
            Err(NotProved::Failed(proofs)) => proofs,
            Err(NotProved::Unclear(why)) => return Err(Error::Fault(why)),
        };
        // Until no sheet of those that failed does, the others need not be looked at again.
        while !proofs.is_empty() {
            let Some(next) = safer(job, parts, &forms, layout, &proofs) else {
                return Err(Error::Unproved(proofs.into_iter().map(told_of).collect()));
            };
            forms = next;
            let failing: Vec<usize> = proofs.iter().map(|proof| proof.sheet).collect();
            let Routed { mut programs, mut claim, .. } = routed_in(job, parts, &forms, layout)?;
            programs.retain(|program| failing.contains(&(program.sheet + 1)));
            claim.programs.retain(|program| failing.contains(&program.sheet));
            proofs = match proof::prove_only(&claim, &texts(&programs)) {
                Ok(()) => Vec::new(),
                Err(NotProved::Failed(proofs)) => proofs,
                Err(NotProved::Unclear(why)) => return Err(Error::Fault(why)),
            };
        }
    }
}

fn texts(programs: &[Program]) -> Vec<&str> {
    programs.iter().map(|program| program.text.as_str()).collect()
}

/// What a maker is told of a failed proof.
fn told_of(proof: Proof) -> Unproved {
    Unproved { faults: proof.faults().cloned().collect(), file: proof.file }
}

/// The next form for every part that a failed proof names; for all parts of the sheet where it names none, or where those have
/// no more: the tabs of others may stand in their way. `None` where none has more.
fn safer(job: &Job, parts: &[Part], forms: &[Form], layout: &Layout, proofs: &[Proof]) -> Option<Vec<Form>> {
    let router = job.router.as_ref()?;
    let mut next = forms.to_vec();
    let after = |part: usize| {
        let all = Form::of(router, &parts[part]);
        all.iter().skip_while(|form| **form != forms[part]).nth(1).copied()
    };
    for proof in proofs {
        let on_sheet = |i: &usize| {
            let sheet = proof.sheet.checked_sub(1).and_then(|sheet| layout.sheets.get(sheet));
            sheet.is_some_and(|sheet| sheet.placements.iter().any(|placement| placement.part == *i))
        };
        let named = |i: &usize| {
            let name = &parts[*i].name;
            let mut subjects = proof.faults().map(|fault| &fault.finding.subject);
            subjects.any(|it| it == name || it.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with(',')))
        };
        let with_more: Vec<usize> = (0..parts.len()).filter(on_sheet).filter(|i| after(*i).is_some()).collect();
        let mut at_fault: Vec<usize> = with_more.iter().copied().filter(named).collect();
        if at_fault.is_empty() {
            at_fault = with_more;
        }
        for part in at_fault {
            next[part] = after(part).unwrap_or(next[part]);
        }
    }
    (next != forms).then_some(next)
}

/// Programs, and what they are to do.
struct Routed {
    routes: Vec<Route>,
    programs: Vec<Program>,
    claim: Claim,
}

fn routed_in(job: &Job, parts: &[Part], forms: &[Form], layout: &Layout) -> Result<Routed, Error> {
    let routes = route::routes_in(job, parts, forms, layout)?;
    let programs = job.router.as_ref().map_or_else(Vec::new, |router| gcode::programs(job, router, layout, &routes));
    let claim = Claim::of(job, parts, layout, &routes, &programs);
    Ok(Routed { routes, programs, claim })
}
