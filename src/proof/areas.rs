//! How much of a sheet a program's tools sweep over.

use super::bench::Bench;
use super::flat;
use super::sweep::Sweeps;
use super::verdict::Areas;

/// Just under the sheet's upper face (mm).
const SURFACE: f64 = 0.1;

impl Areas {
    /// Those of one of the bench's programs.
    pub(super) fn of(bench: &Bench, program: usize) -> Areas {
        let at = |z: f64| {
            let own = bench.in_wood().filter(|cut| cut.program == program);
            let area = flat::area_of_all(&Sweeps::of(own, z, bench.router.machine.digit).rings());
            (area * 10.0).round() / 10.0 + 0.0
        };
        Areas { surface: at(-SURFACE), through: at(-bench.sheet.thickness) }
    }
}
