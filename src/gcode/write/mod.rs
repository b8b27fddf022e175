//! Routes → the text of programs.

mod arc;
mod comment;
mod cycle;
mod program;
pub use program::CAUTIONS;
mod round;
mod words;

use crate::job::{Flip, Job, KeepOut, Router};
use crate::layout::Layout;
use crate::profile::{Tool, ToolChange};
use crate::route::{Holding, Route, Run, SheetFace, Travel};
use std::sync::Arc;

/// One program: its text, and what it is.
#[derive(Clone, Debug)]
pub struct Program {
    /// `sheet-1.nc`
    pub file: String,
    /// Index into the layout's sheets.
    pub sheet: usize,
    /// Which face is up, of a sheet that is turned over.
    pub face: Option<SheetFace>,
    /// The tools it uses, with their numbers.
    pub tools: Vec<(u32, Arc<Tool>)>,
    pub travel: Travel,
    /// What its head says to whoever runs it.
    pub cautions: Vec<&'static str>,
    pub text: String,
}

/// What the comment at a program's head says.
#[derive(Clone, Debug)]
pub struct Header<'a> {
    pub job: &'a str,
    /// Of the program, from 1: no two of a job have the same, up to the largest.
    pub number: usize,
    pub sheet: String,
    pub stock: String,
    /// Which program of its sheet this is, of how many.
    pub turn: Option<(usize, usize)>,
    pub holding: &'a Holding,
    /// What is left alone on the sheet.
    pub keep_out: &'a [KeepOut],
    /// Of a sheet that is turned over: the face that is up, and the line about which it is turned.
    pub face: Option<(SheetFace, Flip)>,
}

/// A program's number has four digits (ISO 6983-1): two for its sheet, two for its place among those of the sheet.
const MOST_NUMBERED: usize = 100;

/// The programs of all routes: one per sheet, or one per sheet and tool where the machine cannot change tools.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("nuc").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// let made = nestwright::make(checked, &Search::default())?;
/// let program = &made.programs[0];
/// assert!(program.text.lines().any(|line| line.contains("G21")), "in millimetres");
/// # Ok::<(), nestwright::error::Error>(())
/// ```
pub fn programs(job: &Job, router: &Router, layout: &Layout, routes: &[Route]) -> Vec<Program> {
    let mut programs = Vec::new();
    for route in routes {
        let sheet = &layout.sheets[route.sheet];
        let stock = &job.stock[sheet.stock];
        let units = router.machine.units;
        let whole = router.machine.tool_change.value != ToolChange::None || route.runs.len() == 1;
        let groups: Vec<&[Run]> = if whole { vec![&route.runs[..]] } else { route.runs.chunks(1).collect() };
        for (i, runs) in groups.iter().enumerate() {
            let face = route.face.map_or_else(String::new, |face| format!("-face-{}", face.number()));
            let file = if whole {
                format!("sheet-{}{face}.nc", route.sheet + 1)
            } else {
                format!("sheet-{}{face}-{}.nc", route.sheet + 1, runs[0].tool.name)
            };
            let number = programs.iter().filter(|known: &&Program| known.sheet == route.sheet).count() + 1;
            let header = Header {
                number: (route.sheet + 1) % MOST_NUMBERED * MOST_NUMBERED + number % MOST_NUMBERED,
                keep_out: &stock.keep_out,
                job: &job.title,
                sheet: format!("sheet {} of {}", route.sheet + 1, layout.sheets.len()),
                stock: format!(
                    "{}, {} x {}, {} thick",
                    stock.material.title,
                    units.number(stock.length),
                    units.show(stock.width),
                    units.measured(stock.thickness)
                ),
                turn: (groups.len() > 1).then_some((i + 1, groups.len())),
                holding: &route.holding,
                face: route.face.zip(router.cutting.flip),
            };
            let tools = runs.iter().map(|run| (run.number, Arc::clone(&run.tool))).collect();
            let travel = Route { runs: runs.to_vec(), ..route.clone() }.travel(&router.machine);
            let cautions = program::cautions(runs);
            let zero = router.machine.sheet_zero.value.on(sheet.length, sheet.width);
            let text = program::text(&router.machine, sheet.thickness, zero, &header, runs);
            programs.push(Program { file, sheet: route.sheet, face: route.face, tools, travel, cautions, text });
        }
    }
    programs
}
