//! How a sheet is turned over between its two programs, for whoever stands at the machine.

use super::words::the;
use crate::design::{Assembly, Face};
use crate::gcode::Program;
use crate::job::{Flip, Job};
use crate::route::{Route, SheetFace};
use crate::words::counted;

/// The steps, in order, for a sheet of this thickness; none for one that is not turned over.
pub fn turning(job: &Job, sheet: usize, thickness: f64, routes: &[Route], programs: &[Program]) -> Vec<String> {
    let Some(flip) = job.router.as_ref().and_then(|router| router.cutting.flip) else { return Vec::new() };
    let of_face = |face| routes.iter().find(move |route| route.sheet == sheet && route.face == Some(face));
    let Some(first) = of_face(SheetFace::First) else { return Vec::new() };
    let Some(pin) = first.holding.pins.first() else { return Vec::new() };
    let files = |face: SheetFace| {
        let of_it = programs.iter().filter(|program| program.sheet == sheet && program.face == Some(face));
        of_it.map(|program| program.file.as_str()).collect::<Vec<&str>>().join(", then ")
    };
    let (units, count) = (job.units, first.holding.pins.len());
    let (size, longest) = (units.measured(pin.diameter), units.measured(pin.longest(thickness)));
    let edges = match flip {
        Flip::Length => "its long edges change places: the one that lay along Y0 now lies at the back",
        Flip::Width => "its short edges change places: the one that lay along X0 now lies at the right",
    };
    // The plan is drawn with the other face up: screws placed by it would go through parts.
    let [screws, again] = if first.holding.screws.is_empty() {
        [""; 2]
    } else {
        [
            " Where it stops, drive the screws at its marks, never by the sheet's plan: that shows the other face up.",
            " Where it stops, drive the screws at the new marks.",
        ]
    };
    vec![
        format!(
            "Lay the sheet down with a corner at X0 Y0, and mark that corner. What is up now is the lower face of the parts. \
             Run {}: it cuts the recesses of that face, and makes {} for pins of {size}, {} into the spoilboard: check \
             that it is thick enough.{screws}",
            files(SheetFace::First),
            counted(count, "hole"),
            units.measured(pin.depth)
        ),
        "Wait until the spindle stands, and take the screws out. Do not move the spoilboard, nor the zero of X and Y."
            .into(),
        format!("Turn the sheet over so that {edges}."),
        format!(
            "Put {} of {size} through its holes into the spoilboard: none longer than {longest}, none above the sheet.",
            counted(count, "pin")
        ),
        format!(
            "Hold the sheet down again, set the zero of Z anew, for the other face is up, and run {}.{again}",
            files(SheetFace::Second)
        ),
    ]
}

/// What to mind before panels with recesses in both faces are glued; `None` where a box has no such panel.
pub(super) fn cut_from_both(assembly: &Assembly) -> Option<String> {
    let has = |i: &usize, face| assembly.panels[*i].pockets.iter().any(|pocket| pocket.face == face);
    let both: Vec<usize> = (0..assembly.panels.len()).filter(|i| has(i, Face::Outer) && has(i, Face::Inner)).collect();
    (!both.is_empty()).then(|| {
        format!(
            "Cut from both faces: {}. Hold each against its drawing before you glue it, to see which face is the outer one.",
            the(&assembly.panels, &both)
        )
    })
}
