//! The written steps, cut again.
//!
//! This knows the sheet, the kerf and what each step says, and nothing of how the plan was made: it lays the sheet on the
//! bench, takes the named piece, measures from the named edge, cuts, and pencils the names on. A measure from an edge that
//! is not there, or not true, is found here; and at the end the job's parts must lie there and nothing else.

use super::planned::SawPlan;
use super::step::{Action, Becomes, CutPiece, Edge, Mark, Method, Step};
use super::{SLIVER, can_come_off};
use crate::design::Part;
use crate::geometry::math::hypot;
use crate::geometry::{Point, Rect, Side};
use crate::job::Saw;
use crate::layout::{Axis, Placement, turns};
use std::collections::HashMap;

/// A piece on the bench.
struct Lying {
    rect: Rect,
    /// Left, lower, right, upper.
    edges: [Edge; 4],
    becomes: Becomes,
    /// The rectangle's corners, once some are cut off.
    corners: Vec<Point>,
}

impl Lying {
    fn new(rect: Rect, edges: [Edge; 4], becomes: Becomes) -> Lying {
        let corners = [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)];
        Lying { rect, edges, becomes, corners: corners.map(|(x, y)| Point::new(x, y)).to_vec() }
    }

    fn edge(&self, side: Side) -> Edge {
        self.edges[side.index()]
    }
}

/// Everything wrong with the plan; empty when cutting by it gives exactly the parts.
pub fn replay(plan: &SawPlan, parts: &[Part], saw: &Saw) -> Vec<String> {
    let mut bench: HashMap<(usize, String), Lying> = HashMap::new();
    for (i, sheet) in plan.sheets.iter().enumerate() {
        let rect = Rect::new(0.0, 0.0, sheet.length, sheet.width);
        bench.insert((i, format!("sheet {}", i + 1)), Lying::new(rect, [Edge::Factory; 4], Becomes::Strip));
    }
    let mut wrong = Vec::new();
    for (number, step) in plan.steps.iter().enumerate() {
        if let Err(why) = make(&mut bench, number, step, saw) {
            wrong.push(format!("step {}, {}: {why}", number + 1, step.piece));
        }
    }
    wrong.extend(compare(plan, &bench, parts));
    wrong
}

/// Cuts a step's piece as the step says.
fn make(bench: &mut HashMap<(usize, String), Lying>, number: usize, step: &Step, saw: &Saw) -> Result<(), String> {
    let mut piece = bench.remove(&(step.sheet, step.piece.clone())).ok_or("there is no such piece")?;
    if apart(piece.rect, step.rect) {
        return Err(format!("it is {:?}, not {:?}", piece.rect, step.rect));
    }
    if let Action::Slope(slope) = step.action {
        if !matches!(piece.becomes, Becomes::Part { .. }) {
            return Err("a slope is cut on a finished piece".into());
        }
        piece.corners = left_of(&piece.corners, slope.marks.map(|mark| pencilled(mark, piece.rect)));
        bench.insert((step.sheet, step.piece.clone()), piece);
        return Ok(());
    }
    let made = guided(&mut piece, number, step)?;
    if step.action != Action::Cut {
        // What is straightened or squared loses a little at the edge, with the kerf in it.
        let rest = moved(piece.rect, step.from, step.measure);
        piece.edges[step.from.index()] = made;
        return put(bench, step, step.left.as_ref(), Some((rest, piece.edges)));
    }
    cut_off(bench, &piece, made, step, saw.kerf)
}

/// Where a mark is on a piece that lies here.
fn pencilled(mark: Mark, rect: Rect) -> Point {
    let along = match mark.from {
        Side::Left => rect.x0 + mark.distance,
        Side::Right => rect.x1 - mark.distance,
        Side::Lower => rect.y0 + mark.distance,
        Side::Upper => rect.y1 - mark.distance,
    };
    match mark.on {
        Side::Left => Point::new(rect.x0, along),
        Side::Right => Point::new(rect.x1, along),
        Side::Lower => Point::new(along, rect.y0),
        Side::Upper => Point::new(along, rect.y1),
    }
}

/// Are the edges there that the step measures from and is squared to? Returns what the edge becomes that it makes.
fn guided(piece: &mut Lying, number: usize, step: &Step) -> Result<Edge, String> {
    if !matches!(piece.becomes, Becomes::Strip) {
        return Err("it is finished".into());
    }
    if Axis::from_side(step.from) != step.axis {
        return Err("the measure does not run along its axis".into());
    }
    let from = piece.edge(step.from);
    if from != step.from_edge {
        return Err(format!("its {} edge is {from:?}, not {:?}", step.from.name(), step.from_edge));
    }
    if matches!(step.action, Action::Check | Action::Square) && piece.edge(Side::Lower) == Edge::Factory {
        // Nothing was cut off the long edges: the step has the maker take the better one as the reference.
        piece.edges[Side::Lower.index()] = Edge::LongReference;
    }
    if let Some((side, edge)) = step.square {
        if piece.edge(side) != edge || edge == Edge::Factory {
            return Err(format!("it is squared to its {} edge, which is {:?}", side.name(), piece.edge(side)));
        }
        if Axis::from_side(side) == step.axis {
            return Err("it is squared to an edge that lies along the cut".into());
        }
    }
    match step.action {
        Action::Check | Action::Square if step.square.map(|(_, edge)| edge) != Some(Edge::LongReference) => {
            Err("an end is squared to the long reference".into())
        }
        Action::Check | Action::Square => Ok(Edge::EndReference),
        Action::Straighten => Ok(Edge::LongReference),
        Action::Cut | Action::Slope(_) => Ok(Edge::CutIn(number)),
    }
}

/// Cuts a piece in two at the step's measure; both get a new edge there.
fn cut_off(
    bench: &mut HashMap<(usize, String), Lying>,
    piece: &Lying,
    made: Edge,
    step: &Step,
    kerf: f64,
) -> Result<(), String> {
    if piece.edge(step.from) == Edge::Factory {
        return Err("it is measured from a factory edge".into());
    }
    if (step.method == Method::Fence) != step.square.is_none()
        && step.method != Method::Guide
        && step.method != Method::Hand
    {
        return Err("at the fence one edge guides, at the gauge two".into());
    }
    let extent = match step.axis {
        Axis::X => piece.rect.width(),
        Axis::Y => piece.rect.height(),
    };
    if !(SLIVER..=extent - SLIVER).contains(&step.measure) {
        return Err(format!("{} cannot be cut off {extent}", step.measure));
    }
    let opposite = Side::ALL[(step.from.index() + 2) % 4];
    let (mut off_edges, mut rest_edges) = (piece.edges, piece.edges);
    off_edges[opposite.index()] = made;
    rest_edges[step.from.index()] = made;
    let off = moved(piece.rect, opposite, extent - step.measure);
    put(bench, step, step.off.as_ref(), Some((off, off_edges)))?;
    let left = extent - step.measure - kerf;
    let rest = can_come_off(left).then(|| (moved(piece.rect, step.from, step.measure + kerf), rest_edges));
    put(bench, step, step.left.as_ref(), rest)
}

/// Lays down what a step says it made, if it was made.
fn put(
    bench: &mut HashMap<(usize, String), Lying>,
    step: &Step,
    said: Option<&CutPiece>,
    made: Option<(Rect, [Edge; 4])>,
) -> Result<(), String> {
    match (said, made) {
        (None, None) => Ok(()),
        (Some(said), None) => Err(format!("{} is not there", said.name)),
        (None, Some((rect, _))) => Err(format!("{rect:?} has no name")),
        (Some(said), Some((rect, edges))) => {
            if apart(said.rect, rect) {
                return Err(format!("{} is {rect:?}, not {:?}", said.name, said.rect));
            }
            let lying = Lying::new(rect, edges, said.becomes);
            let waste = said.becomes == Becomes::Waste;
            if !waste && bench.insert((step.sheet, said.name.clone()), lying).is_some() {
                return Err(format!("{} is there twice", said.name));
            }
            Ok(())
        }
    }
}

/// A rectangle with one edge moved inwards.
fn moved(mut rect: Rect, side: Side, by: f64) -> Rect {
    match side {
        Side::Left => rect.x0 += by,
        Side::Lower => rect.y0 += by,
        Side::Right => rect.x1 -= by,
        Side::Upper => rect.y1 -= by,
    }
    rect
}

fn apart(a: Rect, b: Rect) -> bool {
    [a.x0 - b.x0, a.y0 - b.y0, a.x1 - b.x1, a.y1 - b.y1].iter().any(|gap| gap.abs() > 1e-6)
}

/// The part of a convex shape on the left of a line.
fn left_of(corners: &[Point], [a, b]: [Point; 2]) -> Vec<Point> {
    let side = |p: Point| (b - a).cross(p - a);
    let mut kept = Vec::with_capacity(corners.len() + 1);
    for (i, &p) in corners.iter().enumerate() {
        let q = corners[(i + 1) % corners.len()];
        let (at_p, at_q) = (side(p), side(q));
        if at_p >= 0.0 {
            kept.push(p);
        }
        if at_p * at_q < 0.0 {
            kept.push(p.lerp(q, at_p / (at_p - at_q)));
        }
    }
    kept
}

/// Holds what lies on the bench against the parts.
fn compare(plan: &SawPlan, bench: &HashMap<(usize, String), Lying>, parts: &[Part]) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut counts = vec![0u32; parts.len()];
    let mut names: Vec<_> = bench.keys().collect();
    names.sort();
    for key in names {
        let lying = &bench[key];
        match lying.becomes {
            Becomes::Part { part, turn } => {
                counts[part] += 1;
                let placement = Placement { part, x: lying.rect.x0, y: lying.rect.y0, turn };
                wrong.extend(differs(&parts[part], placement, lying).map(|why| format!("{}: {why}", key.1)));
                let sheet = &plan.sheets[key.0];
                let told = sheet.placements.iter().any(|other| {
                    other.part == part
                        && other.turn == turn
                        && hypot(other.x - placement.x, other.y - placement.y) < 1e-6
                });
                if !told {
                    wrong.push(format!("{} does not lie where the sheet has it", key.1));
                }
            }
            Becomes::Strip => wrong.push(format!("{} is not cut up", key.1)),
            Becomes::OffCut { .. } | Becomes::Waste => {}
        }
    }
    for (part, count) in parts.iter().zip(counts) {
        if count != part.count {
            wrong.push(format!("{count} of {} × {}", part.count, part.name));
        }
    }
    wrong
}

/// How a finished piece differs from its part.
fn differs(part: &Part, placement: Placement, lying: &Lying) -> Option<String> {
    let (straight, turned) = turns(part.grain);
    if !(if placement.turn.swaps() { turned } else { straight }) {
        return Some("lies against its grain".into());
    }
    let bounds = placement.bounds(part);
    let off = (bounds.width() - lying.rect.width()).abs().max((bounds.height() - lying.rect.height()).abs());
    if off > 2.0 * SLIVER {
        return Some(format!("is {} × {}", lying.rect.width(), lying.rect.height()));
    }
    // Slopes: every straight corner that the outline has must have been cut, and no other.
    let convex = part.outline.segments().all(|side| !side.is_arc())
        && part.outline.vertices.len() >= 3
        && is_convex(&part.outline.vertices.iter().map(|vertex| vertex.at).collect::<Vec<_>>());
    if convex {
        let placed = part.outline.transformed(placement.affine(part));
        let missing = placed
            .vertices
            .iter()
            .any(|vertex| lying.corners.iter().all(|corner| corner.distance(vertex.at) > 4.0 * SLIVER));
        let area = shoelace(&lying.corners) - placed.area();
        if missing || area.abs() > 4.0 * SLIVER * (part.length + part.width) {
            return Some("has not the outline of its part".into());
        }
    }
    None
}

fn is_convex(points: &[Point]) -> bool {
    (0..points.len()).all(|i| {
        let (a, b, c) = (points[i], points[(i + 1) % points.len()], points[(i + 2) % points.len()]);
        (b - a).cross(c - b) >= -1e-6
    })
}

fn shoelace(points: &[Point]) -> f64 {
    (0..points.len()).map(|i| points[i].to_vec2().cross(points[(i + 1) % points.len()].to_vec2())).sum::<f64>() / 2.0
}
