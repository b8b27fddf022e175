//! A job's parts and sheets as a bound knows them.

use super::{AlikePieces, Bin};
use crate::design::Part;
use crate::job::{CutBy, Job};
use crate::layout::turns;

/// Kinds of the wanted parts and sheets of the stocks in `group`, grown by what lies between pieces. Pieces are rounded
/// down to micrometres and sheets up, so that a bound on them holds. `None` where the job has no such machine.
pub fn of_job(
    job: &Job,
    parts: &[Part],
    wanted: &[usize],
    group: &[usize],
    cut: CutBy,
) -> Option<(Vec<AlikePieces>, Vec<Bin>)> {
    let gap = cut.loss(job, *group.first()?)?.0;
    let kinds = wanted
        .iter()
        .map(|&i| {
            let part = &parts[i];
            let (straight, turned) = turns(part.grain);
            // A saw cuts the rectangle first, whatever the shape in it.
            let shape = (cut == CutBy::Router).then(|| shape(part, gap)).flatten();
            AlikePieces {
                length: down(part.length + gap),
                width: down(part.width + gap),
                straight,
                turned,
                count: part.count.into(),
                shape,
            }
        })
        .collect();
    let bins = group
        .iter()
        .map(|&i| {
            let edge = cut.loss(job, i).map_or(0.0, |loss| loss.1);
            let stock = &job.stock[i];
            Bin {
                length: up(stock.length - 2.0 * edge + gap),
                width: up(stock.width - 2.0 * edge + gap),
                on_hand: stock.on_hand.map(u64::from),
            }
        })
        .collect();
    Some((kinds, bins))
}

/// Area (µm²) that a piece which fills less than its rectangle keeps to itself: its own, grown by half the gap all round,
/// which is at least this much whatever its shape (the Brunn-Minkowski inequality).
fn shape(part: &Part, gap: f64) -> Option<i128> {
    let own = part.outline.area();
    if own >= part.length * part.width - 1.0 {
        return None;
    }
    let radius = gap / 2.0;
    let grown = (own.sqrt() + std::f64::consts::PI.sqrt() * radius).powi(2);
    Some((grown * 1e6).floor() as i128)
}

/// Lengths are held to a nanometre here: what is a whole number of micrometres stays so.
const HAIR: f64 = 1e-6;

fn down(mm: f64) -> i64 {
    (mm * 1000.0 + HAIR).floor() as i64
}

fn up(mm: f64) -> i64 {
    (mm * 1000.0 - HAIR).ceil() as i64
}
