//! Where fasteners go in, in words: a row is told by how far it runs from an edge of the board it goes through, and by where
//! it begins and ends.

use super::words;
use crate::design::{Assembly, Panel};
use crate::geometry::{Point, Vec2, spans_inside};
use crate::joining::Driven;
use crate::units::Units;

/// What differs by less than this is one measure for a hand (mm).
const ALIKE: f64 = 0.15;

/// A row of fasteners on the face of the board that they go through.
struct Row<'d, 'a> {
    of: &'d Driven<'a>,
    /// From the nearest edge beside it, or from both where it runs along the middle (mm).
    beside: Edge,
    both: bool,
    /// From the edges ahead of its first and its last (mm).
    ends: [Edge; 2],
}

/// How far an edge is, and which in the standing box.
#[derive(Clone)]
struct Edge {
    far: f64,
    name: &'static str,
}

/// Sentences for fasteners that are driven in one pose: `Into the front and the back 4 each: 6 mm from the nearest edge, the
/// outermost 19.1 mm from either end.`
pub(super) fn say(assembly: &Assembly, units: Units, all: &[&Driven]) -> Vec<String> {
    let mut groups: Vec<Vec<Row>> = Vec::new();
    for row in all.iter().filter_map(|one| Row::of(assembly, one)) {
        match groups.iter_mut().find(|list| list[0].is_like(&row, units)) {
            Some(list) => list.push(row),
            None => groups.push(vec![row]),
        }
    }
    let lead = |rows: &[Row]| match (all.len(), rows[0].of.count()) {
        (1, 1) => "Set it".into(),
        (1, _) => "Set them".into(),
        _ => lead(assembly, rows, all),
    };
    groups.iter().map(|rows| format!("{} {}.", lead(rows), place(rows, units))).collect()
}

/// `Into the front and the back 4 each`: which boards, and how many.
fn lead(assembly: &Assembly, rows: &[Row], all: &[&Driven]) -> String {
    let boards = |of: fn(&Driven) -> usize| {
        let mut boards: Vec<usize> = rows.iter().map(|row| of(row.of)).collect();
        boards.dedup();
        boards
    };
    let each = if rows.len() > 1 { " each" } else { "" };
    let count = rows[0].of.count();
    let one_base = all.iter().all(|one| one.through == all[0].through);
    let (into, through) = (boards(|one| one.into), boards(|one| one.through));
    let which = if one_base {
        format!("Into {}", words::the(&assembly.panels, &into))
    } else if through.len() == rows.len() && into.len() == 1 {
        format!("Through {}", words::the(&assembly.panels, &through))
    } else {
        let pairs = rows.iter().map(|row| {
            let name = |panel: usize| &assembly.panels[panel].name;
            format!("the {} into the {}", name(row.of.through), name(row.of.into))
        });
        format!("Through {}", words::and(&pairs.collect::<Vec<_>>()))
    };
    format!("{which} {count}{each}:")
}

/// `6 mm from the nearest edge, the outermost 19.1 mm from either end`.
fn place(rows: &[Row], units: Units) -> String {
    let first = &rows[0];
    let beside = match rows.iter().all(|row| row.beside.name == first.beside.name) {
        _ if first.both => "along the middle".into(),
        true => format!("{} from the {} edge", units.show(first.beside.far), first.beside.name),
        false => format!("{} from the nearest edge", units.show(first.beside.far)),
    };
    let [from, to] = &first.ends;
    let outermost = if first.of.count() > 2 { "the outermost " } else { "" };
    let ends = match (units.show(from.far), units.show(to.far)) {
        (a, b) if a == b => format!("{a} from either end"),
        (a, b) => format!("{a} from the {} and {b} from the {} edge", from.name, to.name),
    };
    format!("{beside}, {outermost}{ends}")
}

impl<'d, 'a> Row<'d, 'a> {
    /// None where it runs askew to the edges: the picture shows it.
    fn of(assembly: &Assembly, driven: &'d Driven<'a>) -> Option<Row<'d, 'a>> {
        let panel = &assembly.panels[driven.through];
        let places: Vec<Point> = driven.places.iter().map(|at| panel.place.to_flat(*at).0).collect();
        let span = |of: fn(&Point) -> f64| {
            let (least, most) =
                places.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
            most - least
        };
        let (wide, high) = (span(|p| p.x), span(|p| p.y));
        let lying = wide >= high;
        let (along, across) =
            if lying { (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)) } else { (Vec2::new(0.0, 1.0), Vec2::new(1.0, 0.0)) };
        let mut sorted = places;
        sorted.sort_by(|a, b| a.to_vec2().dot(along).total_cmp(&b.to_vec2().dot(along)));
        let beside: Vec<[Edge; 2]> = sorted
            .iter()
            .map(|at| Some([edge(panel, *at, -across)?, edge(panel, *at, across)?]))
            .collect::<Option<_>>()?;
        let nearer = usize::from(beside.first()?[1].far < beside[0][0].far);
        if beside.iter().any(|pair| (pair[nearer].far - beside[0][nearer].far).abs() > ALIKE) {
            return None;
        }
        let both = beside.iter().all(|pair| (pair[0].far - pair[1].far).abs() < ALIKE);
        let ends = [edge(panel, *sorted.first()?, -along)?, edge(panel, *sorted.last()?, along)?];
        Some(Row { of: driven, beside: beside[0][nearer].clone(), both, ends })
    }

    /// Would the same words do for both?
    fn is_like(&self, other: &Row, units: Units) -> bool {
        let shown = |edge: &Edge| units.show(edge.far);
        let even = |row: &Row| shown(&row.ends[0]) == shown(&row.ends[1]);
        let same = |i: usize| shown(&self.ends[i]) == shown(&other.ends[i]);
        let named = |i: usize| self.ends[i].name == other.ends[i].name;
        self.of.count() == other.of.count()
            && self.both == other.both
            && (self.both || shown(&self.beside) == shown(&other.beside))
            && same(0)
            && same(1)
            && ((even(self) && even(other)) || (named(0) && named(1)))
    }
}

/// How far the panel's edge is from a place on it, in a direction of its own frame.
fn edge(panel: &Panel, from: Point, towards: Vec2) -> Option<Edge> {
    /// Beyond every panel (mm).
    const FAR: f64 = 1e4;
    let (_, far) = *spans_inside(&panel.outline, from, from + towards * FAR).first()?;
    Some(Edge { far, name: words::direction(panel.place.u * towards.x + panel.place.v * towards.y) })
}
