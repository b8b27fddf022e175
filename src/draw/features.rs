//! What of a part has to be located and called out on its drawing.

use super::call_out::{CallOut, NEAR, Shape, without_sign};
use super::notches::{self, Run, notches};
use crate::design::{Part, PartHole, PartPocket};
use crate::geometry::{Point, Rect, Vec2};
use crate::units::Units;

/// With more places than this to be given, holes go into a table.
const MOST_PLACES: usize = 12;
/// So many alike at one pitch are told once.
const LEAST_RUN: usize = 3;

/// Everything a shop drawing has to say about a part's shape.
#[derive(Clone, Debug, Default)]
pub(super) struct Features {
    /// Points whose distance from the left edge, and from the lower edge, is given; in order of that distance.
    pub across: Vec<Point>,
    pub up: Vec<Point>,
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

/// The part's features, with sizes in these units.
pub(super) fn features(part: &Part, units: Units) -> Features {
    let mut marks: Vec<(Point, bool, bool)> = Vec::new();
    let mut call_outs = Vec::new();
    holes(part, units, &mut marks, &mut call_outs);
    let table = if marks.len() > MOST_PLACES { listed(part, units) } else { Vec::new() };
    if !table.is_empty() {
        marks.clear();
        call_outs.iter_mut().for_each(|call_out| call_out.listed = true);
    }
    pockets(part, units, &mut marks, &mut call_outs);
    let runs = notches(part);
    notches::notes(&runs, units, &mut call_outs);
    for vertex in &part.outline.vertices {
        if !runs.iter().any(|run| run.covers(vertex.at)) {
            marks.push((vertex.at, true, true));
        }
    }
    marks.extend(runs.iter().flat_map(Run::marks));
    let along = |of: fn(&Point) -> f64, other: fn(&Point) -> f64, wanted: fn(&(Point, bool, bool)) -> bool, whole| {
        let points: Vec<Point> = marks.iter().filter(|mark| wanted(mark)).map(|mark| mark.0).collect();
        distinct(points, of, other, whole)
    };
    Features {
        across: along(|p| p.x, |p| p.y, |mark| mark.1, Point::new(part.length, 0.0)),
        up: along(|p| p.y, |p| p.x, |mark| mark.2, Point::new(0.0, part.width)),
        call_outs,
        table,
    }
}

/// The holes from the left to the right, and those over each other from below.
fn listed(part: &Part, units: Units) -> Vec<Listed> {
    let mut holes: Vec<Listed> = part
        .holes
        .iter()
        .map(|hole| {
            let bounds = hole.outline().bounds();
            let reach = Vec2::new(bounds.width() / 2.0, bounds.height() / 2.0);
            Listed { centre: hole.centre, reach, what: format!("{} {}", size_of(hole, units), hole.use_) }
        })
        .collect();
    holes.sort_by(|a, b| a.centre.x.total_cmp(&b.centre.x).then(a.centre.y.total_cmp(&b.centre.y)));
    holes
}

/// `⌀8`, or `slot 100 × 8`.
fn size_of(hole: &PartHole, units: Units) -> String {
    if hole.is_round() {
        format!("⌀{}", units.number(hole.length))
    } else {
        format!("slot {} × {}", units.number(hole.length), units.number(hole.width))
    }
}

/// In order, each distance once, from the point nearest to the dimension's own edge; zero left out, the whole put last.
fn distinct(mut points: Vec<Point>, of: fn(&Point) -> f64, other: fn(&Point) -> f64, whole: Point) -> Vec<Point> {
    points.retain(|point| of(point) > NEAR && of(point) < of(&whole) - NEAR);
    points.sort_by(|a, b| of(a).total_cmp(&of(b)));
    let mut kept: Vec<Point> = Vec::new();
    for point in points {
        match kept.last_mut() {
            Some(last) if of(&point) - of(last) < NEAR => {
                if other(&point) < other(last) {
                    *last = point;
                }
            }
            _ => kept.push(point),
        }
    }
    kept.push(whole);
    kept
}

/// One call-out for all holes that are alike. Of a row at one pitch only the first is located.
fn holes(part: &Part, units: Units, marks: &mut Vec<(Point, bool, bool)>, call_outs: &mut Vec<CallOut>) {
    let mut groups: Vec<Vec<&PartHole>> = Vec::new();
    for hole in &part.holes {
        let alike = |other: &&PartHole| {
            other.use_ == hole.use_
                && other.upright == hole.upright
                && (other.length - hole.length).abs() < NEAR
                && (other.width - hole.width).abs() < NEAR
        };
        match groups.iter_mut().find(|group| group.first().is_some_and(alike)) {
            Some(group) => group.push(hole),
            None => groups.push(vec![hole]),
        }
    }
    for group in groups {
        let Some(first) = group.first() else { continue };
        let size = size_of(first, units);
        let mut text = format!("{size} {}", first.use_);
        if group.len() > 1 {
            text = format!("{} × {text}", group.len());
        }
        let rows = rows(&group);
        let mut pitches: Vec<String> = Vec::new();
        for row in &rows {
            marks.push((row.first, true, true));
            if let Some((pitch, lying)) = row.pitch {
                let words = format!("pitch {} {}", units.number(pitch), if lying { "across" } else { "up" });
                if !pitches.contains(&words) {
                    pitches.push(words);
                }
            }
        }
        if !pitches.is_empty() {
            text = format!("{text}, {}", pitches.join(", "));
        }
        let shapes = group
            .iter()
            .map(|hole| {
                if hole.is_round() {
                    Shape::Round { centre: hole.centre, diameter: hole.length }
                } else {
                    Shape::Box(hole.outline().bounds())
                }
            })
            .collect();
        call_outs.push(CallOut { text, shapes, listed: false });
    }
}

/// Holes in a row at one pitch, or a single one.
struct Row {
    first: Point,
    /// The pitch, and whether the row lies across the part.
    pitch: Option<(f64, bool)>,
}

fn rows(group: &[&PartHole]) -> Vec<Row> {
    let mut left: Vec<Point> = group.iter().map(|hole| hole.centre).collect();
    let mut rows = Vec::new();
    for lying in [true, false] {
        let along = |p: &Point| if lying { p.x } else { p.y };
        let across = |p: &Point| if lying { p.y } else { p.x };
        let lines: Vec<f64> = left.iter().map(across).collect();
        for line in lines {
            let mut on: Vec<Point> = left.iter().copied().filter(|p| (across(p) - line).abs() < NEAR).collect();
            on.sort_by(|a, b| along(a).total_cmp(&along(b)));
            if on.len() < LEAST_RUN {
                continue;
            }
            let pitch = (along(&on[on.len() - 1]) - along(&on[0])) / (on.len() - 1) as f64;
            let even = on.windows(2).all(|pair| (along(&pair[1]) - along(&pair[0]) - pitch).abs() < NEAR);
            if even {
                rows.push(Row { first: on[0], pitch: Some((pitch, lying)) });
                left.retain(|p| (across(p) - line).abs() >= NEAR);
            }
        }
    }
    rows.extend(left.into_iter().map(|first| Row { first, pitch: None }));
    rows
}

fn pockets(part: &Part, units: Units, marks: &mut Vec<(Point, bool, bool)>, call_outs: &mut Vec<CallOut>) {
    let own = call_outs.len();
    let whole = Rect::new(0.0, 0.0, part.length, part.width);
    for pocket in &part.pockets {
        let bounds = pocket.outline.bounds().intersect(whole);
        marks.push((bounds.origin(), true, true));
        marks.push((Point::new(bounds.x1, bounds.y0), true, false));
        marks.push((Point::new(bounds.x0, bounds.y1), false, true));
        let text = pocket_text(pocket, bounds, units);
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

fn pocket_text(pocket: &PartPocket, bounds: Rect, units: Units) -> String {
    let from = if pocket.under { ", in the underside" } else { "" };
    if let Some((_, diameter)) = pocket.outline.as_circle() {
        let deep = units.measured(pocket.depth);
        return format!("{} ⌀{}, {} deep{from}", pocket.purpose, units.number(diameter), without_sign(&deep));
    }
    format!(
        "{} {} × {}, {} deep{from}",
        pocket.purpose,
        units.number(bounds.width()),
        units.number(bounds.height()),
        without_sign(&units.measured(pocket.depth))
    )
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
        let found = features(&part(Outline::polygon(corners)), Units::Millimetres);
        assert_eq!(found.call_outs.len(), 1);
        assert_eq!(found.call_outs[0].text, "on 2 edges: 3 notches 20 wide, 12 deep, pitch 40");
        assert_eq!(found.up.iter().map(|p| p.y).collect::<Vec<_>>(), [20.0, 140.0]);
        assert_eq!(found.across.iter().map(|p| p.x).collect::<Vec<_>>(), [12.0, 388.0, 400.0]);
    }

    #[test]
    fn a_row_of_holes_is_located_by_its_first() {
        let mut part = part(Outline::rectangle(300.0, 100.0));
        let hole = |x: f64, y: f64| PartHole::round(HoleUse::Vent, Point::new(x, y), 10.0);
        part.holes = vec![hole(30.0, 50.0), hole(70.0, 50.0), hole(110.0, 50.0), hole(200.0, 80.0)];
        let found = features(&part, Units::Millimetres);
        assert_eq!(found.call_outs[0].text, "4 × ⌀10 vent, pitch 40 across");
        assert_eq!(found.across.iter().map(|p| p.x).collect::<Vec<_>>(), [30.0, 200.0, 300.0]);
    }
}
