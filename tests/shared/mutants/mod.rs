//! Shows that the proof can fail: programs are broken by machine, an independent judge says which of them really cut
//! otherwise or break a rule, and the proof must refuse those.
#![allow(dead_code)] // Each test program uses its own share of this.

mod breaking;
pub mod go;
mod judge;
pub mod machine;
mod walls;

pub use breaking::{Chance, KINDS, Kind, Mutant, broken};
pub use judge::Judge;

use nestwright::Made;
use nestwright::proof::{Claim, NoProof, Proof, Prover, Text};

/// What became of one broken program.
#[derive(Clone, Debug)]
pub struct Outcome {
    pub kind: Kind,
    /// What was done to it.
    pub told: String,
    /// Why it matters, if it does.
    pub matters: Option<String>,
    /// What the proof refused it for, if it did.
    pub caught: Option<String>,
}

/// All programs of one sheet of a job.
pub struct Programs {
    pub claim: Claim,
    pub sheet: usize,
    files: Vec<(String, String)>,
}

/// The sheets of a job, ready to be broken.
pub fn sheets(made: &Made) -> Vec<Programs> {
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let of_sheet = |sheet: usize| {
        let programs = made.programs.iter().filter(move |program| program.sheet + 1 == sheet);
        programs.map(|program| (program.file.clone(), program.text.clone())).collect()
    };
    (1..=claim.sheets.len()).map(|sheet| Programs { claim: claim.clone(), sheet, files: of_sheet(sheet) }).collect()
}

impl Programs {
    /// How many programs there are.
    pub fn count(&self) -> usize {
        self.files.len()
    }

    /// The texts in their order, or from last to first; one of them may be broken.
    fn texts<'a>(&'a self, prover: &Prover, broken: Option<(usize, &'a str)>, backwards: bool) -> Vec<Text<'a>> {
        let text = |(i, (file, text)): (usize, &'a (String, String))| Text {
            file,
            text: broken.filter(|it| it.0 == i).map_or(text, |it| it.1),
            tool: prover.first_tool(self.sheet, file),
        };
        let mut texts: Vec<Text> = self.files.iter().enumerate().map(text).collect();
        if backwards {
            texts.reverse();
        }
        texts
    }

    /// Breaks the programs of this sheet `count` times in each way, and tells what became of it.
    ///
    /// # Panics
    /// Where the unbroken programs are refused.
    pub fn break_them(&self, count: usize, seed: u64) -> Vec<Outcome> {
        let prover = Prover::new(&self.claim).expect("a router");
        let whole = self.texts(&prover, None, false);
        assert_eq!(refused(prover.prove(self.sheet, &whole)), None, "an unbroken program is refused");
        let judge = Judge::new(&self.claim, self.sheet, &whole);
        let mut chance = Chance(seed);
        let mut mutants: Vec<(usize, Mutant)> = Vec::new();
        for kind in KINDS {
            for _ in 0..count {
                let program = chance.below(self.files.len());
                let text = &self.files[program].1;
                let broken = broken(kind, text, &self.claim, self.sheet, &mut chance);
                let changed =
                    |it: &Mutant| it.text != *text || it.tools.is_some() || (it.backwards && self.count() > 1);
                mutants.extend(broken.filter(changed).map(|it| (program, it)));
            }
        }
        let outcome = |(program, mutant): &(usize, Mutant)| {
            let texts = self.texts(&prover, Some((*program, &mutant.text)), mutant.backwards);
            let first: Vec<Option<u32>> = texts.iter().map(|text| text.tool).collect();
            let programs: Vec<&str> = texts.iter().map(|text| text.text).collect();
            let own = &self.claim.router.as_ref().expect("a router").tools;
            let matters = judge.matters(&programs, &first, mutant.tools.as_ref().unwrap_or(own));
            let caught = match &mutant.tools {
                None => refused(prover.prove(self.sheet, &texts)),
                Some(tools) => {
                    let mut claim = self.claim.clone();
                    claim.router.as_mut().expect("a router").tools = tools.clone();
                    refused(Prover::new(&claim).expect("a router").prove(self.sheet, &texts))
                }
            };
            Outcome { kind: mutant.kind, told: mutant.told.clone(), matters, caught }
        };
        mutants.iter().map(outcome).collect()
    }
}

/// What the proof says against it.
fn refused(proofs: Result<Vec<Proof>, NoProof>) -> Option<String> {
    match proofs {
        Err(NoProof::Unreadable(it)) => Some(it.refusal.to_string()),
        Err(NoProof::NothingToProve(why) | NoProof::WhichTool { expected: why, .. }) => panic!("{why}"),
        Ok(proofs) => {
            let faults: Vec<String> = proofs
                .iter()
                .flat_map(|proof| proof.faults())
                .map(|it| format!("{}: {}", it.finding.check, it.told(nestwright::units::Units::Millimetres)))
                .collect();
            (!faults.is_empty()).then(|| faults.join("; "))
        }
    }
}

/// How many of each kind.
#[derive(Clone, Copy, Debug, Default)]
pub struct Count {
    pub made: usize,
    pub matter: usize,
    pub caught: usize,
    /// Refused without mattering, as the judge sees it.
    pub careful: usize,
}

impl Count {
    pub fn add(&mut self, outcome: &Outcome) {
        let (matters, caught) = (outcome.matters.is_some(), outcome.caught.is_some());
        self.made += 1;
        self.matter += usize::from(matters);
        self.caught += usize::from(matters && caught);
        self.careful += usize::from(!matters && caught);
    }
}

/// Small jobs in which every tool, cycle, kind of arc and way of holding appears, by name.
pub fn small() -> Vec<(String, String)> {
    let board = |count: usize| {
        format!(
            "part = [{{ name = \"board\", size = [200, 120], count = {count}, hole = [\
             {{ use = \"vent\", diameter = 20, across = 40, up = 40 }},\
             {{ use = \"vent\", diameter = 9, across = 80, up = 40 }},\
             {{ use = \"entrance\", diameter = 45, across = 150, up = 60 }},\
             {{ use = \"vent\", slot = [60, 8], across = 70, up = 90 }}] }}]\n"
        )
    };
    let tray = |corner: &str| {
        format!(
            "box = [{{ name = \"tray\", kind = \"open-box\", count = 1, inside = [150, 110, 60], corner = \"{corner}\" }}]\n"
        )
    };
    let mm = |router: &str, rest: String| {
        format!(
            "title = \"small\"\nunits = \"mm\"\n\
             stock = {{ material = \"birch-plywood\", size = [610, 450], thickness = 12.1 }}\nrouter = {{ {router} }}\n{rest}"
        )
    };
    let inch = |router: &str, rest: String| {
        format!(
            "title = \"small\"\nunits = \"in\"\n\
             stock = {{ material = \"softwood-plywood\", size = [24, 18], thickness = 0.472 }}\nrouter = {{ {router} }}\n{rest}"
        )
    };
    let tray_inch = "box = [{ name = \"tray\", kind = \"open-box\", count = 1, inside = [6, 4, 2.5], corner = \"rabbet\" }]\n\
        part = [{ name = \"board\", size = [8, 5], count = 1, hole = [{ use = \"vent\", diameter = \"3/4\", across = 2, up = 2 }] }]\n";
    let drilled = "cutter = \"endmill-6\", drills = [\"drill-20\"]";
    [
        ("boards, one program a tool", mm(&format!("machine = \"desktop-router\", {drilled}"), board(2))),
        ("boards, arcs by radius", mm(&format!("machine = \"older-router\", {drilled}"), board(2))),
        ("boards, straight lines only", mm(&format!("machine = \"plain-router\", {drilled}"), board(1))),
        ("boards from the middle", mm(&format!("machine = \"large-router\", {drilled}"), board(2))),
        (
            "boards on a skin",
            mm("machine = \"desktop-router\", cutter = \"endmill-6\", hold = \"onion-skin\"", board(2)),
        ),
        (
            "boards, a finishing pass",
            mm("machine = \"desktop-router\", cutter = \"endmill-6\", finish = 0.3", board(1)),
        ),
        (
            "boards, conventional",
            mm(
                "machine = \"desktop-router\", cutter = \"endmill-6\", cut = \"conventional\", lead = \"none\"",
                board(1),
            ),
        ),
        ("finger tray", mm("machine = \"desktop-router\", cutter = \"endmill-6\"", tray("finger"))),
        ("rabbet tray", mm("machine = \"older-router\", cutter = \"endmill-6\"", tray("rabbet"))),
        (
            "inch tray",
            inch("machine = \"shop-router\", cutter = \"endmill-1-4\", drills = [\"drill-3-4\"]", tray_inch.into()),
        ),
    ]
    .map(|(name, spec)| (name.to_string(), spec))
    .to_vec()
}
