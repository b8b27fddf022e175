//! What a maker reads on the terminal.

use super::findings::wrapped;
use super::point;
use nestwright::Made;
use nestwright::error::Error;
use nestwright::finding::{Finding, Status};
use nestwright::job::{CutBy, Job};
use nestwright::layout::fewest::Fewest;
use nestwright::profile::Profiles;
use nestwright::reading::{MOST_PROBLEMS, Unless, any_of, harmless};
use nestwright::spec::reference::TableKeys;
use nestwright::units::decimal;
use nestwright::words::counted;
use std::io::{self, Write};
use std::path::Path;

/// No more problems of a text are shown than this: the rest is seen when these are mended.
const MOST_SHOWN: usize = 25;

/// Says on the error channel what went wrong, pointing at it.
pub fn error(err: &mut impl Write, error: &Error) {
    match error {
        Error::Unreadable(problems) => {
            problems.iter().take(MOST_SHOWN).for_each(|found| point::problem(err, found));
            let first = if problems.len() > MOST_SHOWN { format!("; the first {MOST_SHOWN}") } else { String::new() };
            let _ = match problems.len() {
                1 => writeln!(err, "nestwright: 1 problem"),
                many if many < MOST_PROBLEMS => writeln!(err, "nestwright: {many} problems{first}"),
                many => writeln!(err, "nestwright: {many} problems or more{first}"),
            };
        }
        Error::Refused(refusal) => {
            for finding in refusal.iter().filter(|finding| finding.refused()) {
                point::refusal(err, finding);
            }
        }
        Error::Unproved(programs) => {
            fault(err, "a program that it made would not cut what it should. These lines say where (lengths in mm)");
            let _ = super::prove::faults(err, programs);
        }
        Error::Fault(what) => fault(err, what),
        other => {
            let _ = writeln!(err, "nestwright: {other}");
        }
    }
}

/// What a maker may try until a fault of ours is mended.
const MEANWHILE: &str = "Until it is mended, something else in the spec may get around it: in [router] another cutter, the \
                         other hold (tabs or onion-skin), no drills, no finish; in [saw] other stages or together; or \
                         another size of the part that is named.";

/// A fault of our own: that it is ours, what it is, and what to do meanwhile.
fn fault(err: &mut impl Write, what: &str) {
    let what = harmless(what.trim_end_matches('.'));
    let lead = "nestwright: ";
    let ours = format!("a fault in nestwright, not in your job, so nothing was written: {what}.");
    let _ = wrapped(err, lead, &ours);
    let hang = " ".repeat(lead.len());
    let _ = wrapped(err, &hang, MEANWHILE);
    let _ = wrapped(err, &hang, "Please report it with your spec and these lines.");
}

/// What was made, for a maker to see at a glance.
pub fn made(out: &mut impl Write, made: &Made, shelf: &Profiles, (target, files): (&Path, usize)) -> io::Result<()> {
    let job = &made.job;
    writeln!(out, "{}\n", job.title)?;
    writeln!(out, "Parts")?;
    for part in &made.parts {
        let units = job.units;
        let size = format!("{} × {}", units.number(part.length), units.show(part.width));
        writeln!(out, "  {:>4} × {:<28} {size}", part.count, part.name)?;
    }
    if job.router.is_some() {
        writeln!(out, "\nSheets")?;
        for (i, sheet) in made.layout.sheets.iter().enumerate() {
            let stock = &job.stock[sheet.stock];
            writeln!(
                out,
                "  {}: {} on {} of {}, {} % of it used",
                i + 1,
                counted(sheet.placements.len(), "piece"),
                nestwright::layout::describe(stock, (sheet.length, sheet.width), job.units),
                stock.name,
                decimal(sheet.yield_(&made.parts) * 100.0, 1)
            )?;
        }
        fewest(out, made, CutBy::Router)?;
        writeln!(out, "\nPrograms")?;
        for program in &made.programs {
            let tools: Vec<&str> = program.tools.iter().map(|(_, tool)| tool.name.as_str()).collect();
            writeln!(
                out,
                "  {:<28} {:>5} min, cuts {}, with {}",
                program.file,
                decimal(program.travel.minutes, 1),
                metres(job, program.travel.cut),
                tools.join(", ")
            )?;
        }
        let measures: usize = made.proof.iter().map(|proof| proof.measures.len()).sum();
        if !made.proof.is_empty() {
            writeln!(
                out,
                "  every program replayed and held against its parts: {measures} measures, all within their limits"
            )?;
        }
    }
    saw_plan(out, made)?;
    let glued = made.glue_ups();
    if !glued.is_empty() {
        writeln!(out, "\nBefore the first cut")?;
    }
    for words in glued {
        wrapped(out, "  ", &words)?;
    }
    off_cuts(out, made)?;
    super::supplies::supplies(out, made)?;
    let cautions: Vec<&Finding> = made.findings.iter().filter(|finding| finding.status == Status::Caution).collect();
    let checks = made.findings.len();
    let with_a_caution = if cautions.is_empty() { "none".into() } else { cautions.len().to_string() };
    writeln!(out, "\n{}, {with_a_caution} with a caution", counted(checks, "check"))?;
    if let Some(words) = nestwright::finding::accepted(&made.findings) {
        wrapped(out, "  ", &words)?;
    }
    for caution in cautions {
        let figures = caution.figures(job.units);
        let figures = figures.map_or_else(String::new, |(measured, allowed)| format!(" {measured} ({allowed})"));
        let text = format!("{}: {}{figures}: {}", caution.subject, caution.check, caution.advice);
        wrapped(out, "  - ", &text)?;
    }
    placeholders(out, made, shelf)?;
    writeln!(out, "\n{files} files in {}", super::shown(target))?;
    writeln!(out, "Next: open {} in a browser", super::shown(&target.join("job.html")))?;
    let first = match (job.router.is_some(), job.saw.is_some()) {
        (true, false) => "read the machine's manual, run the program once in the air",
        (false, _) => "read the manual of each saw, keep guard and riving knife on",
        (true, true) => {
            "read each machine's manual, run the program once in the air, keep the saw's guard and riving knife on"
        }
    };
    writeln!(out, "Before you cut: {first}, wear eye and ear protection.")
}

/// What is left over, and what was used of earlier jobs'.
fn off_cuts(out: &mut impl Write, made: &Made) -> io::Result<()> {
    if !made.off_cuts.is_empty() {
        writeln!(out, "\nOff-cuts, listed in {}", nestwright::offcuts::NAME)?;
        for off_cut in &made.off_cuts {
            let units = made.job.units;
            let size = format!("{} × {}", units.number(off_cut.length), units.show(off_cut.width));
            writeln!(out, "  {size:<24} {}, from sheet {}", off_cut.id, off_cut.sheet)?;
        }
    }
    let used = nestwright::left_over::used(&made.job, &made.layout, &made.patterns);
    if !used.is_empty() {
        writeln!(out, "\nOff-cuts of earlier jobs, promised to this one")?;
    }
    for (list, ids) in &used {
        let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
        wrapped(out, "  ", &format!("{}, in {list}", ids.join(", ")))?;
    }
    Ok(())
}

/// How near a plan comes to the fewest sheets there can be; of one sheet there is nothing to say.
fn fewest(out: &mut impl Write, made: &Made, plan: CutBy) -> io::Result<()> {
    for fewest in made.fewest.iter().filter(|fewest| fewest.plan == plan && fewest.sheets > 1) {
        let Fewest { sheets, at_least, reason, .. } = fewest;
        let text = if fewest.proved() {
            format!("{sheets} sheets are proved to be the fewest: {reason}")
        } else {
            format!("{sheets} sheets; no plan takes fewer than {at_least}: {reason}")
        };
        wrapped(out, "  ", &text)?;
    }
    Ok(())
}

/// The sheets of a saw plan and what they take.
fn saw_plan(out: &mut impl Write, made: &Made) -> io::Result<()> {
    let plan = &made.saw;
    if plan.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nSaw plan")?;
    for (i, sheet) in plan.sheets.iter().enumerate() {
        writeln!(
            out,
            "  {}: {} on {} of {}, {}",
            i + 1,
            counted(sheet.placements.len(), "piece"),
            nestwright::layout::describe(&made.job.stock[sheet.stock], (sheet.length, sheet.width), made.job.units),
            made.job.stock[sheet.stock].name,
            counted(plan.steps.iter().filter(|step| step.sheet == i).count(), "cut")
        )?;
    }
    fewest(out, made, CutBy::Saw)?;
    writeln!(
        out,
        "  {} in all, {} of fence or stop",
        counted(plan.length(), "step"),
        counted(plan.settings.len(), "setting")
    )
}

fn metres(job: &Job, mm: f64) -> String {
    match job.units {
        nestwright::units::Units::Millimetres => format!("{} m", decimal(mm / 1000.0, 1)),
        nestwright::units::Units::Inches => format!("{} ft", decimal(mm / 304.8, 0)),
    }
}

/// All profiles by kind.
pub fn profiles(out: &mut impl Write, shelf: &Profiles) -> io::Result<()> {
    let width = shelf.files().map(|(_, name, _)| name.chars().count()).max().unwrap_or(0);
    let mut folder = "";
    for (kind, name, file) in shelf.files() {
        if kind != folder {
            writeln!(out, "{}{kind}", if folder.is_empty() { "" } else { "\n" })?;
            folder = kind;
        }
        let own = if file.built_in { "" } else { "  (your own)" };
        writeln!(out, "  {name:<width$}  {}{own}", file.title)?;
    }
    writeln!(out, "\n`nestwright profiles NAME` prints one with the source of each figure.")
}

/// How many figures of the machine, its tools and the saw are nobody's, for a maker to put their own in their place.
fn placeholders(out: &mut impl Write, made: &Made, shelf: &Profiles) -> io::Result<()> {
    let job = &made.job;
    let mut relied_on: Vec<(&str, &str)> = Vec::new();
    relied_on.extend(job.router.iter().map(|router| ("machines", router.machine.name.as_str())));
    let tools = made.programs.iter().flat_map(|program| &program.tools);
    relied_on.extend(tools.map(|(_, tool)| ("tools", tool.name.as_str())));
    relied_on.extend(job.saw.iter().map(|saw| ("saws", saw.bench.name.as_str())));
    let mut told: Vec<String> = Vec::new();
    for (kind, name) in relied_on {
        let file = shelf.files().find(|(folder, known, _)| *folder == kind && *known == name);
        let count = file.map_or(0, |(_, _, file)| file.placeholders().len());
        let words = format!("{count} of {name}");
        if count > 0 && !told.contains(&words) {
            told.push(words);
        }
    }
    if told.is_empty() {
        return Ok(());
    }
    let text = format!(
        "Figures that are placeholders: {}. `nestwright profiles NAME` shows them; measure your own",
        told.join(", ")
    );
    writeln!(out)?;
    wrapped(out, "", &text)
}

/// The keys of one table.
pub fn keys(out: &mut impl Write, table: &TableKeys) -> io::Result<()> {
    writeln!(out, "{}", table.heading)?;
    wrapped(out, "  ", table.about)?;
    for key in &table.keys {
        let unless = match (key.default, key.instead) {
            (Unless::Needed, []) => "needed".into(),
            (Unless::Needed, instead) => {
                let these = std::iter::once("this").chain(instead.iter().map(|(name, _)| *name));
                format!("needed, {}", any_of(these))
            }
            (default, _) => format!("unless given: {}", default.say()),
        };
        let limits = key.takes.limits().map_or_else(String::new, |limits| format!(", {limits}"));
        wrapped(out, &format!("  {:<16} ", key.name), &format!("{}{limits} ({unless})", key.takes.say()))?;
        wrapped(out, &" ".repeat(19), key.about)?;
    }
    writeln!(out)
}
