//! What of a part has to be located and called out on its drawing.

use super::call_out::{CallOut, Located, Mark, NEAR, Shape, without_sign};
use super::notches::{self, Run, notches};
use crate::design::{Hole, Part, PartPocket};
use crate::geometry::{Point, Vec2};
use crate::saw::{Recess, recess};
use crate::units::Units;

/// With more places than this to be given, holes go into a table.
const MOST_PLACES: usize = 12;
/// So many alike at one pitch are told once.
const LEAST_RUN: usize = 3;

/// Everything a shop drawing has to say about a part's shape.
#[derive(Clone, Debug, Default)]
pub(super) struct Features {
    /// Points whose distance from the left edge, and from the lower edge, is given; in order of that distance.
    pub across: Vec<Located>,
    pub up: Vec<Located>,
    pub call_outs: Vec<CallOut>,
    /// Holes that are too many to be located one by one: numbered, and told in a table.
    pub table: Vec<Listed>,
}

/// A hole of a table.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Listed {
    /// Of its middle, in the part's frame.
    pub centre: Point,
    /// Half its extent across the part and up it.
    pub reach: Vec2,
    /// `⌀8 pilot`.
    pub what: String,
}

/// The part's features, with sizes in these units; where it is `routed`, what a hand has to do is told from what the router does.
pub(super) fn features(part: &Part, units: Units, routed: bool) -> Features {
    let mut marks: Vec<Mark> = Vec::new();
    let mut call_outs = Vec::new();
    let drawn = drawn(part, units, routed);
    holes(&drawn, units, &mut marks, &mut call_outs);
    let table = if marks.len() > MOST_PLACES { listed(&drawn) } else { Vec::new() };
    if !table.is_empty() {
        marks.clear();
        call_outs.iter_mut().for_each(|call_out| call_out.listed = true);
    }
    pockets(part, units, &mut marks, &mut call_outs);
    let runs = notches(part);
    notches::notes(&runs, units, &mut call_outs);
    for vertex in &part.outline.vertices {
        if !runs.iter().any(|run| run.covers(vertex.at)) {
            let joint = part.square_corners.iter().any(|corner| corner.distance(vertex.at) < NEAR);
            marks.push(Mark { at: vertex.at, across: true, up: true, joint });
        }
    }
    marks.extend(runs.iter().flat_map(Run::marks));
    let along = |of: fn(&Point) -> f64, other: fn(&Point) -> f64, wanted: fn(&Mark) -> bool, whole| {
        let points = marks.iter().filter(|mark| wanted(mark)).map(|mark| Located { at: mark.at, joint: mark.joint });
        distinct(points.collect(), of, other, whole)
    };
    Features {
        across: along(|p| p.x, |p| p.y, |mark| mark.across, Point::new(part.length, 0.0)),
        up: along(|p| p.y, |p| p.x, |mark| mark.up, Point::new(0.0, part.width)),
        call_outs,
        table,
    }
}

/// All holes of a part, with what they are called: its own, and those for the screws of joints.
fn drawn(part: &Part, units: Units, routed: bool) -> Vec<(Hole, String)> {
    let own = part.holes.iter().map(|hole| (hole.clone(), called(hole, units)));
    own.chain(part.screw_holes.iter().map(|hole| (hole.drawn(), hole.called(units, routed)))).collect()
}

/// The holes from the left to the right, and those over each other from below.
fn listed(drawn: &[(Hole, String)]) -> Vec<Listed> {
    let mut holes: Vec<Listed> = drawn
        .iter()
        .map(|(hole, what)| {
            let bounds = hole.outline().bounds();
            let reach = Vec2::new(bounds.width() / 2.0, bounds.height() / 2.0);
            Listed { centre: hole.centre, reach, what: what.clone() }
        })
        .collect();
    holes.sort_by(|a, b| a.centre.x.total_cmp(&b.centre.x).then(a.centre.y.total_cmp(&b.centre.y)));
    holes
}

/// `⌀8 pilot`, `slot 100 × 8 entrance`, or `300 × 200 vent, R6`, across and up.
fn called(hole: &Hole, units: Units) -> String {
    let use_ = hole.use_;
    if hole.is_round() {
        return format!("⌀{} {use_}", units.number(hole.length));
    }
    let Some(corner) = hole.corner else {
        return format!("slot {} × {} {use_}", units.number(hole.length), units.number(hole.width));
    };
    let (across, up) = hole.size();
    format!("{} × {} {use_}, {}", units.number(across), units.number(up), corner_of(corner, units))
}

/// `R6`; of a square one that.
pub(super) fn corner_of(radius: f64, units: Units) -> String {
    if radius == 0.0 { "square".into() } else { format!("R{}", units.number(radius)) }
}

/// In order, each distance once, from the point nearest to the dimension's own edge; zero left out, the whole put last.
fn distinct(mut points: Vec<Located>, of: fn(&Point) -> f64, other: fn(&Point) -> f64, whole: Point) -> Vec<Located> {
    points.retain(|point| of(&point.at) > NEAR && of(&point.at) < of(&whole) - NEAR);
    points.sort_by(|a, b| of(&a.at).total_cmp(&of(&b.at)));
    let mut kept: Vec<Located> = Vec::new();
    for point in points {
        match kept.last_mut() {
            Some(last) if of(&point.at) - of(&last.at) < NEAR => {
                last.joint |= point.joint;
                if other(&point.at) < other(&last.at) {
                    last.at = point.at;
                }
            }
            _ => kept.push(point),
        }
    }
    kept.push(Located { at: whole, joint: false });
    kept
}

/// One call-out for all holes that are alike. Of a row at one pitch only the first is located.
fn holes(drawn: &[(Hole, String)], units: Units, marks: &mut Vec<Mark>, call_outs: &mut Vec<CallOut>) {
    let mut groups: Vec<(&str, Vec<&Hole>)> = Vec::new();
    for (hole, what) in drawn {
        let alike = |known: &str, other: &Hole| {
            known == what
                && other.use_ == hole.use_
                && other.upright == hole.upright
                && (other.length - hole.length).abs() < NEAR
                && (other.width - hole.width).abs() < NEAR
                && other.corner.is_some() == hole.corner.is_some()
                && (other.corner.unwrap_or(0.0) - hole.corner.unwrap_or(0.0)).abs() < NEAR
        };
        match groups.iter_mut().find(|(known, group)| group.first().is_some_and(|other| alike(known, other))) {
            Some((_, group)) => group.push(hole),
            None => groups.push((what, vec![hole])),
        }
    }
    for (what, group) in groups {
        let Some(first) = group.first() else { continue };
        // Three numbers with a sign between each two would be taken for a body's sizes.
        let times = if first.corner.is_some() { "of" } else { "×" };
        // Rows of as many at the same pitch are told together; so are those that stand alone.
        let mut told: Vec<(String, usize, Vec<Shape>)> = Vec::new();
        for row in rows(&group) {
            marks.push(Mark { at: row.holes[0].centre, across: true, up: true, joint: false });
            let pitch = row.pitch.map_or_else(String::new, |(pitch, lying)| {
                format!(", pitch {} {}", units.number(pitch), if lying { "across" } else { "up" })
            });
            let (count, shapes) = (row.holes.len(), row.holes.iter().map(|hole| shape(hole)));
            match told.iter_mut().find(|(known, each, _)| *known == pitch && *each == count) {
                Some((.., all)) => all.extend(shapes),
                None => told.push((pitch, count, shapes.collect())),
            }
        }
        for (pitch, each, shapes) in told {
            let text = match (each, shapes.len() / each) {
                (1, 1) => what.to_string(),
                (1, many) => format!("{many} {times} {what}"),
                (each, 1) => format!("{each} {times} {what}{pitch}"),
                (each, rows) => format!("{rows} rows of {each} {times} {what}{pitch}"),
            };
            call_outs.push(CallOut { text, shapes, listed: false });
        }
    }
}

fn shape(hole: &Hole) -> Shape {
    if hole.is_round() {
        Shape::Round { centre: hole.centre, diameter: hole.length }
    } else {
        Shape::Box(hole.outline().bounds())
    }
}

/// Holes in a row at one pitch, the first of them nearest to the datum; or a single one.
struct Row<'a> {
    holes: Vec<&'a Hole>,
    /// The pitch, and whether the row lies across the part.
    pitch: Option<(f64, bool)>,
}

fn rows<'a>(group: &[&'a Hole]) -> Vec<Row<'a>> {
    let mut left: Vec<&Hole> = group.to_vec();
    let mut rows = Vec::new();
    for lying in [true, false] {
        let along = |hole: &Hole| if lying { hole.centre.x } else { hole.centre.y };
        let across = |hole: &Hole| if lying { hole.centre.y } else { hole.centre.x };
        let lines: Vec<f64> = left.iter().map(|hole| across(hole)).collect();
        for line in lines {
            let mut on: Vec<&Hole> = left.iter().copied().filter(|hole| (across(hole) - line).abs() < NEAR).collect();
            on.sort_by(|a, b| along(a).total_cmp(&along(b)));
            if on.len() < LEAST_RUN {
                continue;
            }
            let pitch = (along(on[on.len() - 1]) - along(on[0])) / (on.len() - 1) as f64;
            let even = on.windows(2).all(|pair| (along(pair[1]) - along(pair[0]) - pitch).abs() < NEAR);
            if even {
                rows.push(Row { holes: on, pitch: Some((pitch, lying)) });
                left.retain(|hole| (across(hole) - line).abs() >= NEAR);
            }
        }
    }
    rows.extend(left.into_iter().map(|hole| Row { holes: vec![hole], pitch: None }));
    rows
}

fn pockets(part: &Part, units: Units, marks: &mut Vec<Mark>, call_outs: &mut Vec<CallOut>) {
    let own = call_outs.len();
    for pocket in &part.pockets {
        let recess = recess(part, pocket);
        let bounds = pocket.in_wood(&part.outline);
        let joint = holds_a_part(pocket, &recess);
        match recess {
            Recess::Round { centre, .. } => marks.push(Mark { at: centre, across: true, up: true, joint }),
            _ => {
                marks.push(Mark { at: bounds.origin(), across: true, up: true, joint });
                marks.push(Mark { at: Point::new(bounds.x1, bounds.y0), across: true, up: false, joint });
                marks.push(Mark { at: Point::new(bounds.x0, bounds.y1), across: false, up: true, joint });
            }
        }
        let text = pocket_text(pocket, recess, units);
        let round = pocket.outline.as_circle().map(|(centre, diameter)| Shape::Round { centre, diameter });
        let shape = round.unwrap_or(Shape::Box(bounds));
        match call_outs[own..].iter_mut().find(|known| known.text == text) {
            Some(known) => known.shapes.push(shape),
            None => call_outs.push(CallOut { text, shapes: vec![shape], listed: false }),
        }
    }
    for call_out in &mut call_outs[own..] {
        if call_out.shapes.len() > 1 {
            call_out.text = format!("{} × {}", call_out.shapes.len(), call_out.text);
        }
    }
}

/// What recesses are called that other parts are let into.
const JOINTS: [&str; 2] = ["rabbet", "groove"];

/// Another part goes into a groove and a rabbet; into a closed or a round recess only if it is called one.
fn holds_a_part(pocket: &PartPocket, recess: &Recess) -> bool {
    matches!(recess, Recess::Rabbet { .. } | Recess::Groove { .. }) || JOINTS.contains(&pocket.purpose.as_str())
}

/// A recess by its form: what another part goes into as closely as calipers measure.
fn pocket_text(pocket: &PartPocket, recess: Recess, units: Units) -> String {
    let close = |mm: f64| without_sign(&units.measured(mm)).to_string();
    let under = if pocket.under { ", in the far face" } else { "" };
    let deep = close(pocket.depth);
    // A joint is called by its form: what is let in may be a rabbet at one end and a groove at the other.
    let named = pocket.purpose.as_str();
    let name = |form: &'static str| if JOINTS.contains(&named) { form.to_string() } else { named.to_string() };
    match recess {
        Recess::Rabbet { width, .. } => format!("{} {} wide, {deep} deep{under}", name("rabbet"), close(width)),
        Recess::Groove { width, .. } => format!("{} {} wide, {deep} deep{under}", name("groove"), close(width)),
        Recess::Pocket { rect, .. } if holds_a_part(pocket, &recess) => {
            format!("groove {} wide, {deep} deep{under}", close(rect.width().min(rect.height())))
        }
        Recess::Round { diameter, .. } => {
            format!("{} ⌀{}, {deep} deep{under}", pocket.purpose, units.number(diameter))
        }
        Recess::Pocket { rect, .. } => {
            let (wide, high) = (units.number(rect.width()), units.number(rect.height()));
            format!("{} {wide} × {high}, {deep} deep{under}", pocket.purpose)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::HoleUse;
    use crate::geometry::Outline;

    fn part(outline: Outline) -> Part {
        Part::plain("side", outline, 12.0)
    }

    #[test]
    fn a_comb_of_fingers_is_told_once() {
        // Four fingers of 20 at each end, three notches between them, 12 deep.
        let mut corners = vec![(0.0, 0.0), (400.0, 0.0)];
        for i in 0..3 {
            let y = 20.0 + 40.0 * f64::from(i);
            corners.extend([(400.0, y), (388.0, y), (388.0, y + 20.0), (400.0, y + 20.0)]);
        }
        corners.extend([(400.0, 140.0), (0.0, 140.0)]);
        let left: Vec<(f64, f64)> = corners[2..14].iter().rev().map(|(x, y)| (400.0 - x, *y)).collect();
        corners.extend(left);
        let found = features(&part(Outline::polygon(corners)), Units::Millimetres, false);
        assert_eq!(found.call_outs.len(), 1);
        assert_eq!(found.call_outs[0].text, "on 2 edges: 3 notches 20 wide, 12 deep, pitch 40");
        assert_eq!(found.up.iter().map(|p| p.at.y).collect::<Vec<_>>(), [20.0, 140.0]);
        assert_eq!(found.across.iter().map(|p| p.at.x).collect::<Vec<_>>(), [12.0, 388.0, 400.0]);
    }

    #[test]
    fn a_row_of_holes_is_located_by_its_first() {
        let mut part = part(Outline::rectangle(300.0, 100.0));
        let hole = |x: f64, y: f64| Hole::round(HoleUse::Vent, Point::new(x, y), 10.0);
        part.holes = vec![hole(30.0, 50.0), hole(70.0, 50.0), hole(110.0, 50.0), hole(200.0, 80.0)];
        let found = features(&part, Units::Millimetres, false);
        let texts: Vec<&str> = found.call_outs.iter().map(|call_out| call_out.text.as_str()).collect();
        assert_eq!(texts, ["3 × ⌀10 vent, pitch 40 across", "⌀10 vent"]);
        assert_eq!(found.across.iter().map(|p| p.at.x).collect::<Vec<_>>(), [30.0, 200.0, 300.0]);
    }
}
