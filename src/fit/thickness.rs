//! Over which thicknesses of stock the box still works, and what gives out first.
//!
//! The design is built again in other thicknesses and checked each time; where a check changes from held to failed is
//! narrowed down by halving.

use super::{Subject, run};
use crate::build;
use crate::design::{Assembly, Design};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status, Theme};
use crate::job::BoxOrder;
use crate::units::{INCH, Units};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Thicknesses that are tried, from and to (mm): anything that is sold as a sheet.
const RANGE: (f64, f64) = (3.0, 40.0);
/// The first tries stand this far apart; what fails and holds again between two of them is not seen.
const STEP: f64 = 1.5;
/// Steps per millimetre in which a range's ends are told: what calipers show in the job's units. A board of an end's thickness
/// still works, one that is a step beyond it does not.
fn steps(units: Units) -> f64 {
    match units {
        Units::Millimetres => 100.0,
        Units::Inches => 1000.0 / INCH,
    }
}

/// Checks forgive a hundredth of a millimetre, see [`Limits::hold`]; an end keeps its limits without that, within a hair (mm).
const FORGIVEN: f64 = 0.009;

/// A check by what it is and what it is about. Where one name has several findings the worst counts.
type Which = (String, String);
/// The checks that fail at one thickness.
type Failing = BTreeMap<Which, Finding>;

/// The design in other thicknesses, each tried once.
struct Trials<'a> {
    subject: &'a Subject<'a>,
    order: &'a BoxOrder,
    /// The stock whose thickness is tried; any other is as it is.
    stock: usize,
    known: RefCell<BTreeMap<u64, std::rc::Rc<Failing>>>,
}

impl Trials<'_> {
    fn at(&self, thickness: f64) -> std::rc::Rc<Failing> {
        let key = (thickness * 1e6).round() as u64;
        if let Some(known) = self.known.borrow().get(&key) {
            return std::rc::Rc::clone(known);
        }
        let failing =
            std::rc::Rc::new(failing(self.subject, self.order, self.order.design.as_ref(), (self.stock, thickness)));
        self.known.borrow_mut().insert(key, std::rc::Rc::clone(&failing));
        failing
    }

    /// Between a thickness where `holds` and one where it does not, the last step where it does.
    fn last(&self, from: f64, to: f64, holds: &dyn Fn(&Failing) -> bool) -> f64 {
        const DUST: f64 = 1e-6;
        let steps = steps(self.subject.job.units);
        let (up, out) = if to > from { (true, FORGIVEN) } else { (false, -FORGIVEN) };
        let whole = |thickness: f64, up: bool| {
            let count = thickness * steps;
            (if up { (count - DUST).ceil() } else { (count + DUST).floor() }) as i64
        };
        let (mut good, mut bad) = (whole(from, !up), whole(to, up));
        while good.abs_diff(bad) > 1 {
            let middle = i64::midpoint(good, bad);
            if holds(&self.at(middle as f64 / steps + out)) { good = middle } else { bad = middle }
        }
        good as f64 / steps
    }

    /// From a thickness where `holds`, how far it goes on holding; `None` up to the end of the range.
    fn until(&self, from: f64, end: f64, holds: &dyn Fn(&Failing) -> bool) -> Option<f64> {
        let step = if end > from { STEP } else { -STEP };
        let mut good = from;
        while good != end {
            let next = if step > 0.0 { (good + step).min(end) } else { (good + step).max(end) };
            if !holds(&self.at(next)) {
                return Some(self.last(good, next, holds));
            }
            good = next;
        }
        None
    }

    /// The nearest thickness at which `holds`, on the grid of first tries.
    fn nearest(&self, to: f64, holds: &dyn Fn(&Failing) -> bool) -> Option<f64> {
        let count = ((RANGE.1 - RANGE.0) / STEP).ceil() as i32;
        (1..=count)
            .flat_map(|i| [to - STEP * f64::from(i), to + STEP * f64::from(i)])
            .filter(|thickness| (RANGE.0..=RANGE.1).contains(thickness))
            .find(|thickness| holds(&self.at(*thickness)))
    }
}

fn failing(subject: &Subject, order: &BoxOrder, design: &dyn Design, (stock, thickness): (usize, f64)) -> Failing {
    let mut board = subject.job.board_of(order);
    if stock == order.stock {
        board.thickness = thickness;
    }
    for (other, _) in board.others.iter_mut().zip(&order.panel_stock).filter(|(_, it)| it.stock == stock) {
        other.thickness = thickness;
    }
    let assembly = build::built(subject.job, order, design, &board, &mut Vec::new());
    let refused = run(&Subject::new(subject.job, &assembly), true).into_iter().filter(Finding::refused);
    refused.map(|finding| ((finding.check.clone(), finding.subject.clone()), finding)).collect()
}

/// Adds to the findings of a box what its thickness has to do with them.
///
/// A check that fails learns at which thickness it would hold and which other choice would do; all that hold together
/// give one finding: the thicknesses for which the box works, against the tolerance of the stock's standard.
pub(super) fn check(subject: &Subject, order: &BoxOrder, mut findings: Vec<Finding>) -> Vec<Finding> {
    let now = subject.job.stock[order.stock].thickness;
    let trials = Trials { subject, order, stock: order.stock, known: RefCell::default() };
    let failing_now = trials.at(now);
    for stock in subject.job.stocks_of(order) {
        let trials = Trials { subject, order, stock, known: RefCell::default() };
        findings.extend(uneven(subject, &trials));
        findings.extend(off_nominal(subject, stock));
    }
    if failing_now.is_empty() {
        for stock in subject.job.stocks_of(order) {
            let trials = Trials { subject, order, stock, known: RefCell::default() };
            findings.push(works(subject, &trials, subject.job.stock[stock].thickness));
        }
        return findings;
    }
    let other_choices = other_choices(subject, order, &failing_now);
    for finding in findings.iter_mut().filter(|finding| finding.refused()) {
        let which = (finding.check.clone(), finding.subject.clone());
        if failing_now.contains_key(&which) {
            let more = at_another_thickness(subject, &trials, now, finding, &which);
            finding.advice.push_str(&more);
        }
    }
    if let Some(first) = findings.iter_mut().find(|finding| finding.refused())
        && !other_choices.is_empty()
    {
        let either = if other_choices.len() > 1 { "any of these" } else { "this" };
        first
            .advice
            .push_str(&format!(". In stock of this thickness {either} would work: {}", other_choices.join(", ")));
    }
    findings
}

/// A sheet that isn't even: everything is cut by its thickest place, and must hold at its thinnest as well.
fn uneven(subject: &Subject, trials: &Trials) -> Option<Finding> {
    let stock = &subject.job.stock[trials.stock];
    let thinnest = stock.thinnest?;
    let failing = trials.at(thinnest);
    let status = if failing.is_empty() { Status::Ok } else { Status::Refused };
    let units = subject.job.units;
    let looser = Measure::Thickness(stock.thickness - thinnest).show(units);
    let advice = match failing.values().next() {
        None => format!("joints are cut for its thickest place, and are up to {looser} looser at its thinnest"),
        Some(failed) => format!(
            "at {}: {}. Sort out the sheet, or change what gives out",
            units.measured(thinnest),
            what(subject, failed)
        ),
    };
    let plain = Finding::plain(JobCheck::UnevenSheet, about(subject.assembly, trials.stock), status)
        .source("as measured")
        .advice(advice);
    let measured = Measure::Thickness(thinnest);
    let box_name = Some(subject.assembly.name.clone());
    Some(Finding { measured: Some(measured), unit: measured.unit(), box_name, ..plain.theme(Theme::Thickness) })
}

/// Whether the sheet is what it is sold as.
fn off_nominal(subject: &Subject, which: usize) -> Option<Finding> {
    let stock = &subject.job.stock[which];
    let nominal = stock.nominal?;
    let [less, more] = stock.material.tolerance_of(nominal);
    let finding = Finding::measured(
        JobCheck::NominalThickness,
        about(subject.assembly, which),
        Measure::Thickness(stock.thickness),
        Limits::between(nominal - less, nominal + more),
        Status::Caution,
    )
    .source(&stock.material.tolerance.source)
    .theme(Theme::Thickness)
    .advice_unless_ok(|| "by its standard it could not be sold as that: measure again, or change `nominal`".into());
    Some(Finding { box_name: Some(subject.assembly.name.clone()), ..finding })
}

/// The range in which nothing fails.
fn works(subject: &Subject, trials: &Trials, now: f64) -> Finding {
    let units = subject.job.units;
    let stock = &subject.job.stock[trials.stock];
    let fine = |failing: &Failing| failing.is_empty();
    // The board itself works, however little beyond an end it is.
    let thin = trials.until(now, RANGE.0, &fine).map(|end| end.min(now));
    let thick = trials.until(now, RANGE.1.max(now), &fine).map(|end| end.max(now));
    let mut first: Vec<String> = Vec::new();
    let step = 1.0 / steps(units) + FORGIVEN;
    for (end, beyond, word) in [(thin, -step, "thinner"), (thick, step, "thicker")] {
        let Some(end) = end else { continue };
        if let Some(failed) = trials.at(end + beyond).values().next() {
            first.push(format!("{word} than {}: {}", units.measured(end), what(subject, failed)));
        }
    }
    if first.is_empty() {
        first.push(format!("nothing fails from {} to {}", units.measured(RANGE.0), units.measured(RANGE.1.max(now))));
    }
    let limits = Limits { least: thin, most: thick };
    // Another sheet is about what this one is sold as, where that is told.
    let sold = stock.nominal.unwrap_or(now);
    let [less, more] = stock.material.tolerance_of(sold);
    let spare = [thin.map(|thin| sold - less - thin), thick.map(|thick| thick - sold - more)];
    let short = spare.into_iter().flatten().fold(f64::INFINITY, f64::min);
    let about = about(subject.assembly, trials.stock);
    let mut finding =
        Finding::measured(JobCheck::StockThickness, about, Measure::Thickness(now), limits, Status::Refused)
            .source(&stock.material.tolerance.source)
            .theme(Theme::Thickness);
    finding.box_name = Some(subject.assembly.name.clone());
    finding.thickness = Some(limits);
    if short < 0.0 {
        finding.status = Status::Caution;
        first.push(match stock.nominal {
            Some(nominal) => format!(
                "a sheet sold as {} may be from {} to {} by its standard: measure each one",
                units.measured(nominal),
                units.measured(nominal - less),
                units.measured(nominal + more)
            ),
            None => format!(
                "another sheet may be {} thinner or {} thicker by its standard: measure each one",
                units.measured(less),
                units.measured(more)
            ),
        });
    }
    finding.advice(first.join("; "))
}

/// What a finding about a stock is about: the box, or those of its panels that are made from another: `nuc, cover and floor`.
fn about(assembly: &Assembly, stock: usize) -> String {
    if stock == assembly.stock {
        return assembly.name.clone();
    }
    let of = assembly.panels.iter().filter(|panel| assembly.stock_of(panel) == stock);
    let mut families: Vec<&str> = of.map(|panel| panel.family.as_str()).collect();
    families.sort_unstable();
    families.dedup();
    format!("{}, {}", assembly.name, crate::words::and(&families))
}

/// What fails first, as a maker would say it.
fn what(subject: &Subject, failed: &Finding) -> String {
    let place = failed.subject.strip_prefix(&subject.assembly.name).unwrap_or(&failed.subject).trim_start_matches(", ");
    let check = if place.is_empty() { failed.check.clone() } else { format!("{place}: {}", failed.check) };
    let measured = failed.measured.zip(failed.allowed).filter(|(measured, limits)| !limits.hold(measured.value()));
    match measured {
        Some((measured, limits)) if limits.least.is_some_and(|least| measured.value() < least) => {
            format!("{check}, too little")
        }
        Some(_) => format!("{check}, too much"),
        None => check,
    }
}

/// `; it works from 9.9 to 13.4 mm, yours is 18`.
fn at_another_thickness(subject: &Subject, trials: &Trials, now: f64, finding: &mut Finding, which: &Which) -> String {
    let units = subject.job.units;
    let holds = |failing: &Failing| !failing.contains_key(which);
    let Some(good) = trials.nearest(now, &holds) else {
        return String::new();
    };
    // The end towards the stock, then the far one.
    let (near, far) = if good > now { (RANGE.0, RANGE.1) } else { (RANGE.1, RANGE.0) };
    let near = trials.until(good, near, &holds);
    let far = trials.until(good, far, &holds);
    let limits = if good > now { Limits { least: near, most: far } } else { Limits { least: far, most: near } };
    finding.thickness = Some(limits);
    let range = match (limits.least, limits.most) {
        (Some(least), Some(most)) => format!("from {} to {}", units.measured(least), units.measured(most)),
        (Some(least), None) => format!("from {}", units.measured(least)),
        (None, Some(most)) => format!("up to {}", units.measured(most)),
        (None, None) => return String::new(),
    };
    format!(". As it is designed this holds in stock {range}; yours is {}", units.measured(now))
}

/// Single other choices in the spec with which nothing fails.
fn other_choices(subject: &Subject, order: &BoxOrder, failing_now: &Failing) -> Vec<String> {
    let thickness = subject.job.stock[order.stock].thickness;
    let works = |choice: &&crate::job::Variant| {
        let failing = failing(subject, order, choice.design.as_ref(), (order.stock, thickness));
        // A hole in a panel that this choice does not have is another matter.
        failing.is_empty() && !failing_now.is_empty()
    };
    order.variants.iter().filter(works).map(|variant| variant.choice.clone()).collect()
}
