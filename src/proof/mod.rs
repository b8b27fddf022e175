//! Programs replayed and held against the parts they claim to cut.
//!
//! From a program's *text* alone the path of each tool is rebuilt ([`crate::gcode::read`]), and what it sweeps over is held
//! against the parts on the sheet ([`Claim`]). Nothing here knows how a program came about.
//!
//! Depth is looked at where it matters: at the upper face, just above and below the floor of each recess, just above and
//! below the tops of the tabs, and at the lower face. What must stay is measured by the distance between the tool's path
//! and the wood; what must go is a shape from which all sweeps at that depth are taken away, by polygon algebra. How much
//! wood a move meets is told by the moves before it.

mod areas;
mod bench;
mod claim;
mod cut;
mod driven;
mod face;
mod flat;
mod gouge;
mod grow;
mod label;
mod left;
mod memory;
mod near;
mod picture;
mod reach;
mod replay;
mod rest;
mod running;
mod shape;
mod stroke;
mod swath;
mod sweep;
mod tabs;
mod turns;
mod verdict;
mod wood;

pub use crate::finding::Measured;
pub use claim::*;
pub use picture::Shown;
pub use replay::{Text, Unreadable};
pub use swath::{Swath, Swaths};
pub use verdict::{Areas, Fault, Proof, Verdict};

use crate::finding::ProgramCheck;
use crate::reading::any_of;
use bench::Bench;
use left::Owner;
use rayon::prelude::*;
use replay::{Replay, What};
use shape::Shape;
use verdict::{Ledger, Spot};

/// All programs of a job, proved.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proved {
    /// In the order of the sheets, and on each in that of its programs.
    pub proofs: Vec<Proof>,
    /// What is cut away of each sheet.
    pub swaths: Vec<Swaths>,
}

/// Proves all programs of a job, sheet by sheet; `texts` are those of the claim's programs, in their order.
///
/// # Errors
/// [`NotProved`]
pub fn prove_all(claim: &Claim, texts: &[&str]) -> Result<Proved, NotProved> {
    proved(claim, texts, true)
}

/// The same verdict, for whoever needs no areas and swaths.
///
/// # Errors
/// Those of [`prove_all`].
pub fn prove_only(claim: &Claim, texts: &[&str]) -> Result<(), NotProved> {
    proved(claim, texts, false).map(|_| ())
}

/// Why a job's programs are not proved.
#[derive(Clone, Debug, PartialEq)]
pub enum NotProved {
    /// They would not cut what they should: the proofs that failed.
    Failed(Vec<Proof>),
    /// One of them cannot even be read, or there is nothing to hold it against: why, in a sentence.
    Unclear(String),
}

impl From<NoProof> for NotProved {
    fn from(why: NoProof) -> NotProved {
        NotProved::Unclear(match why {
            NoProof::Unreadable(it) => format!("{} cannot be read back: {}", it.file, it.refusal),
            NoProof::NothingToProve(why) => why,
            NoProof::WhichTool { file, expected, .. } => format!("{file} does not say its tool: {expected}"),
        })
    }
}

fn proved(claim: &Claim, texts: &[&str], areas: bool) -> Result<Proved, NotProved> {
    if texts.is_empty() {
        return Ok(Proved::default());
    }
    let programs: Vec<(&ProgramClaim, &str)> = claim.programs.iter().zip(texts.iter().copied()).collect();
    let sheets = || (1..=claim.sheets.len()).collect::<Vec<usize>>().into_par_iter();
    let on_face = |claim: &Claim, first: bool| -> Result<Vec<(Vec<Proof>, Swaths)>, NoProof> {
        let prover = Prover::new(claim)?;
        sheets().map(|sheet| prover.sheet(sheet, first, &programs, areas)).collect()
    };
    let (seconds, swaths): (Vec<_>, Vec<_>) = on_face(&claim.second_face(), false)?.into_iter().unzip();
    let turned = claim.programs.iter().any(|program| program.face.is_some());
    let firsts = if turned { on_face(&claim.first_face(), true)? } else { Vec::new() };
    let mut firsts = firsts.into_iter().map(|(proofs, _)| proofs);
    let in_order = seconds.into_iter().flat_map(|second| firsts.next().into_iter().flatten().chain(second));
    let (proofs, failed): (Vec<Proof>, Vec<Proof>) = in_order.partition(Proof::proved);
    if failed.is_empty() { Ok(Proved { proofs, swaths }) } else { Err(NotProved::Failed(failed)) }
}

/// Why a proof could not be begun.
#[derive(Clone, Debug, PartialEq)]
pub enum NoProof {
    /// A program that cannot be read.
    Unreadable(Unreadable),
    /// There is nothing to hold a program against: the reason, in a sentence.
    NothingToProve(String),
    /// A program that cuts before it says with which tool, and has a name that does not say it either.
    WhichTool {
        file: String,
        /// Of its first move.
        line: usize,
        /// What would be right, in a sentence.
        expected: String,
    },
}

/// Holds programs against a job's sheets.
#[derive(Debug)]
pub struct Prover<'a> {
    claim: &'a Claim,
    router: &'a RouterClaim,
    shapes: Vec<Shape>,
}

impl<'a> Prover<'a> {
    /// Makes the job's parts ready to be held against.
    ///
    /// # Errors
    /// [`NoProof::NothingToProve`] for a job that is not cut by CNC.
    pub fn new(claim: &'a Claim) -> Result<Prover<'a>, NoProof> {
        let Some(router) = &claim.router else {
            return Err(NoProof::NothingToProve("the job has no router".into()));
        };
        let (radius, tolerance) = (bench::cutter_radius(router), bench::tolerance(&router.machine));
        let shapes = claim.parts.iter().map(|part| Shape::new(claim, router, part, radius, tolerance)).collect();
        Ok(Prover { claim, router, shapes })
    }

    /// Proves the programs of one sheet (from 1), which are run in this order; a verdict for each.
    ///
    /// A program that the job names is held against what its own tools are to make; any other against the whole sheet.
    ///
    /// # Errors
    /// [`NoProof`]
    pub fn prove(&self, sheet: usize, programs: &[Text]) -> Result<Vec<Proof>, NoProof> {
        Ok(self.verdicts(&self.bench(sheet, programs)?, sheet, programs))
    }

    /// Of all programs of the job those that work on one face of a sheet: their proofs, and what they cut away.
    fn sheet(
        &self,
        sheet: usize,
        first: bool,
        all: &[(&ProgramClaim, &str)],
        areas: bool,
    ) -> Result<(Vec<Proof>, Swaths), NoProof> {
        let own = all.iter().filter(|(it, _)| it.sheet == sheet && (it.face == Some(1)) == first);
        let texts: Vec<Text> =
            own.map(|(it, text)| Text { file: &it.file, text, tool: self.first_tool(sheet, &it.file) }).collect();
        if texts.is_empty() {
            return Ok(Default::default());
        }
        let bench = self.bench(sheet, &texts)?;
        let proofs = self.verdicts(&bench, sheet, &texts);
        if !areas {
            return Ok((proofs, Swaths::default()));
        }
        let swaths = Swaths::new(&bench.replay, bench.touch, bench.sheet.thickness);
        Ok((with_areas(&bench, proofs), swaths))
    }

    fn verdicts(&self, bench: &Bench, sheet: usize, programs: &[Text]) -> Vec<Proof> {
        let mut ledgers: Vec<Ledger> = programs.iter().map(|_| Ledger::default()).collect();
        let owner = Owner {
            tools: programs.iter().map(|text| self.tools_of(sheet, text.file)).collect(),
            drills: self.router.tools.iter().filter(|tool| tool.drill).map(|tool| tool.number).collect(),
        };
        running::check(bench, &mut ledgers);
        gouge::check(bench, &mut ledgers);
        left::check(bench, &owner, &mut ledgers);
        face::check(bench, &owner, &mut ledgers);
        reach::check(bench, &mut ledgers);
        wood::check(bench, &mut ledgers);
        memory::check(bench, &self.turns(sheet, programs), &mut ledgers);
        for (program, ledger) in ledgers.iter_mut().enumerate() {
            if let Some(line) = bench.replay.bare_handed(program) {
                ledger.count(ProgramCheck::UnknownTool, || Spot::line(line));
            }
            let never = self.never_put_in(bench, program, sheet, programs[program].file);
            if let Some((number, line)) = never {
                ledger.count(ProgramCheck::UnknownTool, || Spot::line(line).on(&format!("T{number}")));
            }
            if never.is_some() || bench.replay.untold(program) {
                ledger.forget_wood();
            }
        }
        programs.iter().zip(ledgers).map(|(text, ledger)| ledger.close(text.file, sheet)).collect()
    }

    /// A tool of a program that the job names which nobody is asked to put in, and the line of its last stop: whatever is cut
    /// after that, nothing tells with which tool.
    fn never_put_in(&self, bench: &Bench, program: usize, sheet: usize, file: &str) -> Option<(u32, usize)> {
        let stops = bench.replay.acts[program].iter().filter(|act| matches!(act.what, What::Pause));
        let last = stops.map(|act| act.line).next_back().filter(|_| self.router.machine.by_hand)?;
        let number = |cut: &cut::Cut| self.router.tools.get(cut.tool).map(|tool| tool.number);
        let used =
            |tool: &u32| bench.replay.cuts.iter().any(|cut| cut.program == program && number(cut) == Some(*tool));
        self.tools_of(sheet, file)?.into_iter().find(|tool| !used(tool)).map(|tool| (tool, last))
    }

    /// Of each program the place that it has among those of its sheet, where the job names it.
    fn turns(&self, sheet: usize, programs: &[Text]) -> Vec<Option<usize>> {
        let own = self.claim.programs.iter().filter(|program| program.sheet == sheet);
        let own: Vec<&str> = own.map(|program| program.file.as_str()).collect();
        programs.iter().map(|text| own.iter().position(|file| *file == text.file)).collect()
    }

    /// The same, and what the tools of each program sweep over.
    ///
    /// # Errors
    /// [`NoProof`]
    pub fn prove_with_areas(&self, sheet: usize, programs: &[Text]) -> Result<Vec<Proof>, NoProof> {
        let bench = self.bench(sheet, programs)?;
        Ok(with_areas(&bench, self.verdicts(&bench, sheet, programs)))
    }

    /// The sheet, and what these programs do to it.
    fn bench(&self, sheet: usize, programs: &[Text]) -> Result<Bench<'a>, NoProof> {
        let Some(claimed) = sheet.checked_sub(1).and_then(|i| self.claim.sheets.get(i)) else {
            return Err(NoProof::NothingToProve(format!("the job has no sheet {sheet}")));
        };
        let machine = &self.router.machine;
        let replay = Replay::new(self.claim, machine, claimed, programs).map_err(NoProof::Unreadable)?;
        for (program, text) in programs.iter().enumerate().filter(|(_, text)| text.tool.is_none()) {
            // One that the job knows by its name is at fault; of another nobody can tell what it does.
            if let Some(line) = replay.bare_handed(program).filter(|_| self.tools_of(sheet, text.file).is_none()) {
                return Err(NoProof::WhichTool { file: text.file.into(), line, expected: self.names(sheet) });
            }
        }
        Ok(Bench::new(self.claim, self.router, &self.shapes, claimed, replay))
    }

    /// What these programs leave of the sheet, to be drawn.
    ///
    /// # Errors
    /// [`NoProof`]
    pub fn shown(&self, sheet: usize, programs: &[Text]) -> Result<Shown, NoProof> {
        Ok(Shown::new(&self.bench(sheet, programs)?))
    }

    /// The tools of a program that the job names.
    fn tools_of(&self, sheet: usize, file: &str) -> Option<Vec<u32>> {
        let program = self.claim.programs.iter().find(|program| program.file == file && program.sheet == sheet)?;
        Some(program.tools.iter().map(|tool| tool.number).collect())
    }

    /// The programs of a sheet, each with its tools, for one whose name tells none.
    fn names(&self, sheet: usize) -> String {
        let title = |number: &u32| self.router.tools.iter().find(|tool| tool.number == *number);
        let of_sheet = self.claim.programs.iter().filter(|program| program.sheet == sheet).map(|program| {
            let tools: Vec<&str> =
                program.tools.iter().filter_map(|it| Some(title(&it.number)?.name.as_str())).collect();
            format!("{} (with {})", program.file, tools.join(", "))
        });
        let names: Vec<String> = of_sheet.collect();
        let fetch = if self.router.machine.changes_tools { ", or let it fetch its tool" } else { "" };
        format!("Call it as the job does: {}{fetch}", any_of(names.iter().map(String::as_str)))
    }

    /// The tool that is in the spindle when a program starts, where it does not fetch one: the only tool of a program that
    /// the job names, or the only one that the job has.
    pub fn first_tool(&self, sheet: usize, file: &str) -> Option<u32> {
        match (self.tools_of(sheet, file).as_deref(), &self.router.tools[..]) {
            (Some([only]), _) => Some(*only),
            (Some([first, ..]), _) if self.router.machine.by_hand => Some(*first),
            (None, [only]) => Some(only.number),
            _ => None,
        }
    }
}

/// The verdicts on the bench's programs, each with what its tools sweep over.
fn with_areas(bench: &Bench, mut proofs: Vec<Proof>) -> Vec<Proof> {
    for (program, proof) in proofs.iter_mut().enumerate() {
        proof.areas = Some(Areas::of(bench, program));
    }
    proofs
}
