//! How much of a sheet a program's tools sweep over.

use super::bench::Bench;
use super::flat;
use super::sweep::Sweeps;
use schemars::JsonSchema;
use serde::Serialize;

/// Just under the sheet's upper face (mm).
const SURFACE: f64 = 0.1;

/// What a program's tools sweep over, in square millimetres: every place that is covered by a tool whose tip is at or
/// below a height, once. Beside the sheet counts too.
///
/// Round edges are chords within 0.002 mm: an area is too small by no more than that along its whole edge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Areas {
    /// A tenth of a millimetre below the sheet's upper face.
    pub surface: f64,
    /// At the sheet's lower face: what is cut through.
    pub through: f64,
}

impl Areas {
    /// Those of one of the bench's programs.
    pub(super) fn of(bench: &Bench, program: usize) -> Areas {
        let at = |z: f64| {
            let mut sweeps = Sweeps::default();
            let own = bench.in_wood().filter(|cut| cut.program == program);
            own.for_each(|cut| cut.sweep(z, &mut sweeps));
            let area = flat::area(&flat::all(&sweeps.rings()));
            (area * 10.0).round() / 10.0 + 0.0
        };
        Areas { surface: at(-SURFACE), through: at(-bench.sheet.thickness) }
    }
}
