//! How long something takes.

use std::time::Instant;

/// Milliseconds: the least of so many runs.
pub fn least<T>(times: usize, work: impl Fn() -> T) -> f64 {
    (0..times)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(work());
            start.elapsed().as_secs_f64() * 1e3
        })
        .fold(f64::INFINITY, f64::min)
}
