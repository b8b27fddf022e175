//! What a leftover is worth: more than in proportion to its area, as large ones take more kinds of piece.

use super::Problem;
use std::sync::Arc;

/// Steps of the table, at least half of them up to a whole sheet's area.
const STEPS: usize = 2048;

/// (area ÷ the largest sheet's area) ^ 1.2, from a table with straight lines between its points. The exponent is that of
/// J. Gardeyn and T. Wauters (European Journal of Operational Research, 2022). The table is made by plain arithmetic, so
/// that every machine has the same one.
///
/// Single precision and steps of a power of two, as a place is judged by four of these, and that many times in a search.
#[derive(Clone)]
pub(super) struct Worth {
    /// A step is this many bits of the area.
    bits: u32,
    /// Of each step, the value at its start and how much is added for each unit of area after that.
    table: Arc<[(f32, f32); STEPS]>,
}

impl Worth {
    pub fn new(largest: i64) -> Worth {
        let largest = largest.max(1);
        let bits = (largest.ilog2() + 1).saturating_sub(STEPS.ilog2());
        let step = (1_i64 << bits) as f64;
        let power = |at: usize| {
            let share = at as f64 * step / largest as f64;
            share * fifth_root(share)
        };
        let mut table = [(0.0, 0.0); STEPS];
        for (at, entry) in table.iter_mut().enumerate() {
            *entry = (power(at) as f32, ((power(at + 1) - power(at)) / step) as f32);
        }
        Worth { bits, table: Arc::new(table) }
    }

    /// For the largest sheet of a problem.
    pub fn for_problem(problem: &Problem) -> Worth {
        Worth::new(problem.bins.iter().map(|bin| i64::from(bin.length) * i64::from(bin.width)).max().unwrap_or(1))
    }

    /// Such values may be added up and taken away again without loss.
    #[inline]
    pub fn of(&self, length: i32, width: i32) -> f64 {
        self.single(length, width).into()
    }

    #[inline]
    pub fn single(&self, length: i32, width: i32) -> f32 {
        let area = i64::from(length) * i64::from(width);
        let (low, more) = self.table[(area >> self.bits) as usize % STEPS];
        let rest = area & ((1 << self.bits) - 1);
        low + more * rest as f32
    }
}

/// By Newton's method, from above.
fn fifth_root(value: f64) -> f64 {
    if value <= 0.0 {
        return 0.0;
    }
    let mut root = value.max(1.0);
    for _ in 0..64 {
        let next = root - (root - value / (root * root * root * root)) / 5.0;
        if next == root {
            break;
        }
        root = next;
    }
    root
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_the_power() {
        let worth = Worth::new(2440 * 1220);
        for (length, width) in [(2440, 1220), (600, 1220), (35, 18), (1, 1), (2440, 3)] {
            let share = f64::from(length * width) / f64::from(2440 * 1220);
            assert!((worth.of(length, width) - share.powf(1.2)).abs() < 1e-4, "{length} × {width}");
        }
    }
}
