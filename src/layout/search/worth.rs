//! What a leftover is worth: more than in proportion to its area, as large ones take more kinds of piece.

/// Steps of the table over a whole sheet's area.
const STEPS: usize = 1024;

/// (area ÷ the largest sheet's area) ^ 1.2, from a table with straight lines between its points. The exponent is that of
/// J. Gardeyn and T. Wauters (European Journal of Operational Research, 2022). The table is made by plain arithmetic, so
/// that every machine has the same one.
pub(super) struct Worth {
    scale: f64,
    table: Vec<f64>,
}

impl Worth {
    pub fn new(largest: i64) -> Worth {
        let table = (0..=STEPS + 1).map(|step| {
            let share = step as f64 / STEPS as f64;
            share * fifth_root(share)
        });
        Worth { scale: STEPS as f64 / largest.max(1) as f64, table: table.collect() }
    }

    #[inline]
    pub fn of(&self, length: i32, width: i32) -> f64 {
        let at = (i64::from(length) * i64::from(width)) as f64 * self.scale;
        let step = (at as usize).min(STEPS);
        let low = self.table[step];
        low + (self.table[step + 1] - low) * (at - step as f64)
    }
}

/// By Newton's method, from above.
fn fifth_root(value: f64) -> f64 {
    if value <= 0.0 {
        return 0.0;
    }
    let mut root = value.max(1.0);
    for _ in 0..64 {
        root -= (root - value / (root * root * root * root)) / 5.0;
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
