//! Labels and joint lines, written by the cutter.

use super::CutterAt;
use super::moves::{Move, Space};
use super::profile::{entered, left};
use crate::design::{JointLine, Part, ScrewHole};
use crate::finding::{Finding, JobCheck, Status};
use crate::geometry::Point;
use crate::job::{Job, Router};
use crate::label::{LEAST, Label, NoLabel};
use crate::reading::any_of;

/// Each stroke from its beginning to its end: down on a ramp along it and back, then on.
pub(super) fn moves<'a>(strokes: impl IntoIterator<Item = &'a [Point]>, depth: f64, cutter: &CutterAt) -> Vec<Move> {
    let mut moves = Vec::new();
    for stroke in strokes {
        let [first, second, ..] = stroke[..] else { continue };
        moves.extend(entered(first, 0.0, cutter));
        down(first, second, depth, cutter, &mut moves);
        let on = stroke.iter().skip(1);
        moves.extend(on.map(|at| Move::Line { to: Space::new(*at, -depth), feed: cutter.feeds.cut }));
        left(&mut moves, cutter);
    }
    moves
}

/// To and fro along a side until it is deep enough, ending where it began.
fn down(from: Point, to: Point, depth: f64, cutter: &CutterAt, moves: &mut Vec<Move>) {
    let run = depth / cutter.slope();
    let pairs = (run / (2.0 * from.distance(to)) - 1e-6).ceil().max(1.0);
    let far = from.lerp(to, (run / (2.0 * pairs) / from.distance(to)).min(1.0));
    for turn in 1..=2 * pairs as u32 {
        let at = if turn % 2 == 1 { far } else { from };
        let z = -depth * f64::from(turn) / (2.0 * pairs);
        moves.push(Move::Line { to: Space::new(at, z), feed: cutter.feeds.ramp });
    }
}

/// What a maker who asked for screw holes should know of those that no tool at hand makes. Pilots in a face that is down are told
/// where they are drilled.
pub(super) fn holes_told(job: &Job, router: &Router, part: &Part) -> Vec<Finding> {
    let reached = |hole: &&ScrewHole| hole.depth.is_none() || hole.face == part.up;
    let left = part.screw_holes.iter().filter(|hole| !hole.by_router).filter(reached);
    let told = left.map(|hole| {
        let size = job.units.show(hole.diameter);
        Finding::plain(JobCheck::ScrewHoles, format!("{size} {}", hole.bored.name()), Status::Caution)
            .source(format!("{} is {} wide", router.cutter.name, job.units.show(router.cutter.diameter.value)))
            .advice(format!(
                "no drill of {size} that reaches so deep is among `drills`, and the cutter does not bore it: drill it by hand, by \
                 the drawing, or add such a drill"
            ))
            .at(router.spots.named(&["drills"]))
    });
    told.collect()
}

/// What a maker who asked for joint lines should know of a part that lacks some.
pub(super) fn lines_told(job: &Job, router: &Router, part: &Part) -> Option<Finding> {
    let (above, below): (Vec<&JointLine>, Vec<_>) = part.joint_lines.iter().partition(|line| line.face == part.up);
    let narrow = above.iter().filter(|line| line.strokes.is_empty()).count();
    let mut why = Vec::new();
    if !below.is_empty() {
        let face = part.up.other().name();
        why.push(format!("where boards will sit on its {face} face, which is down on the machine"));
    }
    if narrow > 0 {
        let wide = job.units.show(router.cutter.diameter.value);
        why.push(format!("where a board will sit that is no wider than the cutter's {wide}"));
    }
    let told = Finding::plain(JobCheck::JointLines, &part.name, Status::Caution)
        .source("a cut that is not covered would show: this program's own rule");
    (!why.is_empty()).then(|| {
        told.advice(format!("no line is cut {}: mark it with a pencil, by the drawing", why.join(", nor ")))
            .at(router.spots.named(&["joint-lines"]))
    })
}

/// What a maker who asked for labels should know of a part that gets none, or none with its name.
pub(super) fn told(job: &Job, router: &Router, part: &Part) -> Option<Finding> {
    let caution = Finding::plain(JobCheck::Label, &part.name, Status::Caution);
    let why = match part.label.as_ref()? {
        Ok(label) if label.lacking.is_empty() => return None,
        Ok(label) => {
            let signs: Vec<String> = label.lacking.iter().map(|sign| format!("\"{sign}\"")).collect();
            return Some(caution.source("the letters that labels are written in: this program's own").advice(format!(
                "there is no {} among its letters: \"{}\" alone is engraved; give the box a name of A to Z, 0 to 9, and - . / +, or \
                 know it by its number in the cut list",
                any_of(signs.iter().map(String::as_str)),
                label.text
            )));
        }
        Err(NoLabel::Shows) => "the face that is up on the machine shows in the finished box".to_string(),
        Err(NoLabel::Loose) => "it belongs to no box: none of its faces is known to be hidden".to_string(),
        Err(NoLabel::NoRoom) => format!(
            "its number does not fit clear of edges, holes and recesses, in letters of {}, the smallest that {} writes",
            job.units.show(Label::least_height(router.cutter.diameter.value)),
            router.cutter.name
        ),
    };
    Some(
        caution
            .source(format!("letters {LEAST} cutters high keep their strokes apart: this program's own rule"))
            .advice(format!("{why}: write its name on it with a pencil when it comes off the sheet")),
    )
}
