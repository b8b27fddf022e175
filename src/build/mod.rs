//! A job's boxes → assemblies of panels → parts.

mod boards;
mod grain;
mod holes;

use crate::design::{self, Assembly, Board, Design, Face, Panel, Part, chosen, is_among};
use crate::error::Error;
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::job::{BoxOrder, Job};
use crate::joining;
use crate::label::Label;
use crate::reading::{self, Problem, Source};
use std::ops::Range;
use std::sync::Arc;

/// Builds every box of the job as an assembly of panels, with the holes the maker asked for.
///
/// ```
/// # use nestwright::{design::Kinds, profile::Profiles, starters};
/// # let spec = starters::find("tray").expect("a starter").source();
/// use nestwright::{build, error::Error, spec};
///
/// let job = spec::read(&spec, &Profiles::built_in(), &Kinds::built_in()).map_err(Error::Unreadable)?;
/// let boxes = build::assemble(&job)?;
/// let parts = build::parts(&job, &boxes);
/// // Two long walls are alike, and so are two short ones: fewer parts than panels.
/// assert!(parts.len() < boxes[0].panels.len() + job.loose.len());
/// # Ok::<(), nestwright::error::Error>(())
/// ```
///
/// # Errors
/// [`Error::Unreadable`] when a hole names a panel that the box does not have.
pub fn assemble(job: &Job) -> Result<Vec<Assembly>, Error> {
    let mut problems = Vec::new();
    let mut assemblies = Vec::new();
    for order in &job.boxes {
        let mut assembly = built(job, order, order.design.as_ref(), &job.board_of(order), &mut problems);
        joining::bore(job, &mut assembly);
        joining::line(job, &mut assembly);
        assemblies.push(assembly);
    }
    for loose in &job.loose {
        let mut panel = Panel::flat(&loose.name, loose.length, loose.width, job.stock[loose.stock].thickness);
        panel.grain = loose.grain;
        if let Some((outline, openings)) = &loose.shape {
            panel.outline.clone_from(outline);
            let board = job.board(loose.stock);
            panel.holes.extend(openings.iter().map(|hole| holes::drawn(hole, &board, &loose.spot)));
        }
        let mut assembly = Assembly {
            name: loose.name.clone(),
            count: loose.count,
            stock: loose.stock,
            loose: true,
            ..Assembly::new(vec![panel])
        };
        let board = job.board(loose.stock);
        holes::place(&mut assembly, &board, (&loose.holes, &loose.pockets), &job.source, &mut problems);
        if !may_be_turned(job) {
            assembly.refusals.extend(cut_from_both_faces(&assembly));
        }
        assemblies.push(assembly);
    }
    if problems.is_empty() { Ok(assemblies) } else { Err(Error::Unreadable(problems)) }
}

/// The flat parts of all assemblies, in the order of their panels: panels that are alike are one part with a count. Where the
/// job asks for labels, each with its own.
pub fn parts(job: &Job, assemblies: &[Assembly]) -> Vec<Part> {
    let mut parts = design::parts(assemblies, |stock| job.board(stock));
    if let Some(router) = job.router.as_ref().filter(|router| router.cutting.labels) {
        for (part, number) in parts.iter_mut().zip(1..) {
            part.label = Some(Label::of(part, number, router, &assemblies[part.assembly]));
        }
    }
    parts
}

/// A box of the job from a board that may not be the one in stock, or by another design, with its holes.
pub(crate) fn built(
    job: &Job,
    order: &BoxOrder,
    design: &dyn Design,
    board: &Board,
    problems: &mut Vec<Problem>,
) -> Assembly {
    let mut assembly = design.build(board);
    assembly.name.clone_from(&order.name);
    assembly.count = order.count;
    assembly.stock = order.stock;
    assembly.stands_on = order.stands_on;
    boards::add(&mut assembly, board, &order.boards, (&job.source, job.units), problems);
    of_other_stock(job, order, &mut assembly, board, problems);
    for refusal in assembly.refusals.iter_mut().filter(|refusal| refusal.subject.is_empty()) {
        refusal.subject.clone_from(&order.name);
    }
    let solid = |panel: &Panel| job.stock[panel.stock.unwrap_or(order.stock)].material.wood.is_some();
    grain::settle(&mut assembly, design, &order.grain, solid, &job.source, problems);
    holes::place(&mut assembly, board, (&order.holes, &order.pockets), &job.source, problems);
    if !may_be_turned(job) {
        assembly.refusals.extend(cut_from_both_faces(&assembly));
    }
    assembly
}

/// Tells each panel what it is made from, where that is not the box's own stock.
fn of_other_stock(job: &Job, order: &BoxOrder, assembly: &mut Assembly, board: &Board, problems: &mut Vec<Problem>) {
    let mut families: Vec<&str> = assembly.panels.iter().map(|panel| panel.family.as_str()).collect();
    families.sort_unstable();
    families.dedup();
    for other in &order.panel_stock {
        if families.iter().all(|family| !is_among(family, &other.panels)) {
            let mut problem = no_such_panel(&job.source, &other.spot, &other.panels, &families);
            problem.expected.push_str(", or a group of them: walls, cleats, …");
            problems.push(problem);
        }
    }
    let mut refused = Vec::new();
    for panel in &mut assembly.panels {
        let Some(other) = chosen(&order.panel_stock, &panel.family, |other| &other.panels) else { continue };
        panel.stock = Some(other.stock);
        let wanted = board.of(&panel.family);
        if (panel.thickness - wanted).abs() > 1e-9 && !refused.contains(&panel.family) {
            assembly.refusals.push(
                Finding::measured(
                    JobCheck::PanelStock,
                    format!("{}, {}", order.name, panel.name),
                    Measure::Thickness(wanted),
                    Limits { least: Some(panel.thickness), most: Some(panel.thickness) },
                    Status::Refused,
                )
                .source("geometry of the box")
                .advice("in this box they are as thick as what they stand beside: name that too, or all walls at once: `walls`")
                .at(Some(other.spot.clone())),
            );
            refused.push(panel.family.clone());
        }
    }
}

/// That none of a box's panels goes by a name.
fn no_such_panel(source: &Arc<Source>, spot: &Range<usize>, name: &str, known: &[&str]) -> Problem {
    let help = reading::nearest(name, known.iter().copied()).map(|near| format!("did you mean \"{near}\"?"));
    Problem::new(
        source,
        spot.clone(),
        format!("this box has no panel `{name}`"),
        format!("expected {}", reading::any_of(known.iter().copied())),
        help.unwrap_or_default(),
    )
}

/// May a sheet be turned over, for recesses in both faces of a part?
fn may_be_turned(job: &Job) -> bool {
    job.router.as_ref().is_some_and(|router| router.cutting.flip.is_some())
}

/// Unless it is turned over, a part lies on the machine once: what is cut into it is cut from one face.
fn cut_from_both_faces(assembly: &Assembly) -> Vec<Finding> {
    let has = |panel: &Panel, face| panel.pockets.iter().any(|pocket| pocket.face == face);
    let both = assembly.panels.iter().filter(|panel| has(panel, Face::Outer) && has(panel, Face::Inner));
    both.map(|panel| {
        let purposes = |face| {
            let of_face = panel.pockets.iter().filter(move |pocket| pocket.face == face);
            reading::any_of(of_face.map(|pocket| pocket.purpose.as_str()))
        };
        let subject = assembly.called(panel);
        Finding::plain(JobCheck::RecessFaces, subject, Status::Refused)
            .source("a part lies on the machine once, with one face up")
            .advice(format!(
                "it has {} outside and {} inside: make one of them otherwise, put it into another panel, or let a router's \
                 sheet be turned over on pins: `flip = \"length\"` under `[router]`",
                purposes(Face::Outer),
                purposes(Face::Inner)
            ))
    })
    .collect()
}
