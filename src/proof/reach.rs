//! Does the machine reach, and does it stay out of the spoilboard and off the screws?

use super::bench::Bench;
use super::cut::Cut;
use super::near::Path;
use super::replay::What;
use super::verdict::{Ledger, Spot};
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::{Point, Rect};

/// A screw's head may stand out of the sheet, and a driver is not exact: this much is kept free around it (mm).
const FREE: f64 = 1.0;

/// Where all programs' moves go.
pub(super) fn check(bench: &Bench, ledgers: &mut [Ledger]) {
    let machine = &bench.router.machine;
    let sheet = bench.sheet;
    // The whole sheet lies within the machine's reach, and so does wherever the tool goes beyond it.
    for axis in 0..3 {
        let kind = [ProgramCheck::ReachX, ProgramCheck::ReachY, ProgramCheck::ReachZ][axis];
        let span = [(0.0, sheet.length), (0.0, sheet.width), (-sheet.thickness - machine.spoilboard, 0.0)][axis];
        for (program, ledger) in ledgers.iter_mut().enumerate() {
            let mut reach = (span, None);
            for cut in bench.replay.cuts.iter().filter(|cut| cut.program == program) {
                let b = cut.bounds();
                let (low, high) = match axis {
                    0 => (b.x0, b.x1),
                    1 => (b.y0, b.y1),
                    _ => (cut.tip(), cut.z0.max(cut.z1) - cut.point),
                };
                let ((from, to), _) = reach;
                if low < from || high > to {
                    reach = ((low.min(from), high.max(to)), Some(cut));
                }
            }
            let ((from, to), cut) = reach;
            ledger.note(kind, to - from, Limits::at_most(machine.travel[axis] + bench.touch), || {
                cut.map_or_else(Spot::default, |cut| Spot::line(cut.line).at(cut.at(1.0), cut.tip()))
            });
        }
    }
    beyond(bench, ledgers);
    for cut in &bench.replay.cuts {
        let ledger = &mut ledgers[cut.program];
        let below = -sheet.thickness - cut.lowest();
        if below > -sheet.thickness && bench.hole_for_pin(cut).is_none() {
            let spot = || Spot::line(cut.line).at(cut.at(1.0), cut.tip());
            ledger.note(
                ProgramCheck::Spoilboard,
                below.max(0.0),
                Limits::at_most(machine.spoilboard + bench.touch),
                spot,
            );
        }
        if cut.tip() < machine.clear - bench.touch {
            screws(bench, cut, ledger);
            kept_out(bench, cut, ledger);
        }
        pins(bench, cut, ledger);
    }
}

/// How far beyond the sheet's edges the tool's middle goes: no further than anything is cut there. Where it stands while the
/// program waits, and when it has ended, is no matter as long as that is high up.
fn beyond(bench: &Bench, ledgers: &mut [Ledger]) {
    let (sheet, machine) = (bench.sheet, &bench.router.machine);
    let limits = Limits::at_most(bench.router.gap + bench.tolerance);
    for (acts, ledger) in bench.replay.acts.iter().zip(ledgers.iter_mut()) {
        let mut waited: Option<Point> = None;
        let mut moves: Vec<&Cut> = Vec::new();
        for act in acts {
            match &act.what {
                What::Cuts(range) => moves.extend(&bench.replay.cuts[range.clone()]),
                What::Pause | What::Change { .. } | What::End => {
                    let waits = moves.last().map(|cut| cut.path.end);
                    for cut in moves.drain(..) {
                        for (at, z) in [(cut.path.start, cut.z0 - cut.point), (cut.path.end, cut.z1 - cut.point)] {
                            let rests = [waited, waits].into_iter().flatten().any(|place| place.distance(at) < 1e-6);
                            if rests && z >= machine.clear - bench.touch {
                                continue;
                            }
                            let (x, y) = ((-at.x).max(at.x - sheet.length), (-at.y).max(at.y - sheet.width));
                            let spot = || Spot::line(cut.line).at(at, z);
                            ledger.note(ProgramCheck::BeyondSheet, x.max(y).max(0.0), limits, spot);
                        }
                    }
                    waited = waits.or(waited);
                }
                _ => {}
            }
        }
    }
}

/// Below the clear height, how near a tool comes to a screw's head. The marks where screws will be do not count.
fn screws(bench: &Bench, cut: &Cut, ledger: &mut Ledger) {
    if bench.sheet.screws.is_empty() || bench.is_mark(cut) {
        return;
    }
    let bounds = cut.bounds().inflate(cut.radius + 50.0, cut.radius + 50.0);
    let path = Path::new(&cut.path);
    for screw in &bench.sheet.screws {
        let at = Point::new(screw.x, screw.y);
        if !inside(bounds, at) {
            continue;
        }
        let away = path.to_side(at, at) - cut.radius - screw.head / 2.0;
        ledger.note(ProgramCheck::Screws, away, Limits::at_least(FREE), || Spot::line(cut.line).at(at, cut.tip()));
    }
}

/// Below the clear height, how near a tool comes to a place that is kept out.
fn kept_out(bench: &Bench, cut: &Cut, ledger: &mut Ledger) {
    for kept in &bench.sheet.keep_out {
        let rect = Rect::new(kept.x, kept.y, kept.x + kept.length, kept.y + kept.width);
        let near = cut.radius + 50.0;
        if !rect.inflate(near, near).overlaps(cut.bounds()) {
            continue;
        }
        let corners = [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)].map(Point::from);
        let path = Path::new(&cut.path);
        let within = inside(rect, cut.path.start);
        let sides = (0..4).map(|i| path.to_side(corners[i], corners[(i + 1) % 4]));
        let away = if within { 0.0 } else { sides.fold(f64::INFINITY, f64::min) } - cut.radius;
        let spot = || Spot::line(cut.line).at(cut.at(0.5), cut.tip());
        ledger.note(ProgramCheck::KeptOut, away, Limits::at_least(-bench.tolerance), spot);
    }
}

/// In the wood, how near a tool comes to a pin that stands in it.
fn pins(bench: &Bench, cut: &Cut, ledger: &mut Ledger) {
    if cut.tip() >= -bench.touch {
        return;
    }
    for (at, diameter) in bench.standing_pins() {
        let away = Path::new(&cut.path).to_side(at, at) - cut.radius - diameter / 2.0;
        ledger.note(ProgramCheck::Pins, away, Limits::at_least(FREE), || Spot::line(cut.line).at(at, cut.tip()));
    }
}

fn inside(bounds: Rect, at: Point) -> bool {
    at.x >= bounds.x0 && at.x <= bounds.x1 && at.y >= bounds.y0 && at.y <= bounds.y1
}
