//! Lines, arcs and circles of a drawing in DXF, as text: pairs of a group code and a value, each on a line of its own.
//!
//! It is read here and not by the library that writes our own, for a maker must be told at which line of the file an entity
//! stands. Source: the group codes of lines, arcs, circles and polylines are those of the format's public reference, release
//! 2000; from memory.

use crate::geometry::math::{sin_cos, tan};
use crate::geometry::{Point, Segment, Vec2};
use std::ops::Range;

/// What is wrong with a drawing, where, and what would be right.
pub(super) struct Told {
    pub at: Range<usize>,
    pub message: String,
    pub expected: String,
}

impl Told {
    pub fn new(at: Range<usize>, message: impl Into<String>, expected: impl Into<String>) -> Told {
        Told { at, message: message.into(), expected: expected.into() }
    }
}

/// Sides one after the other, and the name of the entity in the text that they are of.
pub(super) struct Piece {
    pub sides: Vec<Segment>,
    pub closed: bool,
    pub at: Range<usize>,
}

impl Piece {
    pub fn start(&self) -> Point {
        self.sides.first().map_or(Point::ZERO, |side| side.start)
    }

    pub fn end(&self) -> Point {
        self.sides.last().map_or(Point::ZERO, |side| side.end)
    }

    pub fn reversed(self) -> Piece {
        let sides = self.sides.iter().rev().map(|side| side.reversed()).collect();
        Piece { sides, ..self }
    }
}

/// A group code, its value, and where that stands.
struct Pair<'a> {
    code: i32,
    value: &'a str,
    at: Range<usize>,
}

/// An entity: its name, and what is said of it.
struct Entity<'a> {
    name: &'a str,
    at: Range<usize>,
    pairs: &'a [Pair<'a>],
}

impl Entity<'_> {
    fn number(&self, code: i32) -> Result<Option<f64>, Told> {
        self.pairs.iter().find(|pair| pair.code == code).map(|pair| number(pair)).transpose()
    }

    /// A length, in the file's own units.
    fn needed(&self, code: i32) -> Result<f64, Told> {
        let missing =
            || Told::new(self.at.clone(), format!("this {} lacks group {code}", self.name), "expected a whole drawing");
        self.number(code)?.ok_or_else(missing)
    }

    fn flags(&self) -> Result<i64, Told> {
        Ok(self.number(70)?.unwrap_or(0.0) as i64)
    }

    fn point(&self, x: i32, unit: f64) -> Result<Point, Told> {
        Ok(Point::new(self.needed(x)? * unit, self.needed(x + 10)? * unit))
    }
}

fn number(pair: &Pair) -> Result<f64, Told> {
    // Beyond this nobody draws.
    let value = pair.value.parse::<f64>().ok().filter(|value| value.abs() < 1e7);
    value.ok_or_else(|| Told::new(pair.at.clone(), format!("`{}` is no number", pair.value), "expected a number"))
}

/// What is drawn, in millimetres; `unit` is that of a drawing that says none.
pub(super) fn pieces(text: &str, unit: f64) -> Result<Vec<Piece>, Told> {
    let pairs = pairs(text)?;
    let unit = declared(&pairs)?.unwrap_or(unit);
    let is = |pair: &Pair, name: &str| pair.code == 0 && pair.value == name;
    let start =
        pairs.windows(2).position(|two| is(&two[0], "SECTION") && two[1].code == 2 && two[1].value == "ENTITIES");
    let Some(start) = start else {
        return Err(Told::new(0..0, "it has no entities", "expected a drawing in DXF, as text"));
    };
    let rest = &pairs[start + 2..];
    let end = rest.iter().position(|pair| is(pair, "ENDSEC")).unwrap_or(rest.len());
    let rest = &rest[..end];
    let starts: Vec<usize> = (0..rest.len()).filter(|i| rest[*i].code == 0).collect();
    let entities: Vec<Entity> = starts
        .iter()
        .enumerate()
        .map(|(i, start)| {
            let end = starts.get(i + 1).copied().unwrap_or(rest.len());
            Entity { name: rest[*start].value, at: rest[*start].at.clone(), pairs: &rest[start + 1..end] }
        })
        .collect();
    let mut found = Vec::new();
    let mut i = 0;
    while let Some(entity) = entities.get(i) {
        i += 1;
        // What is on paper is not the part.
        if entity.number(67)? == Some(1.0) {
            continue;
        }
        if entity.number(230)?.is_some_and(|z| z < 0.0) {
            let message = format!("this {} is drawn from below", entity.name);
            return Err(Told::new(entity.at.clone(), message, "expected a drawing seen from above"));
        }
        let (sides, closed) = match entity.name {
            "LINE" => (vec![straight(entity.point(10, unit)?, entity.point(11, unit)?)], false),
            "ARC" => (vec![arc(entity, unit)?], false),
            "CIRCLE" => (circle(entity.point(10, unit)?, entity.needed(40)? * unit), true),
            "LWPOLYLINE" => polyline(corners(entity.pairs, unit)?, entity.flags()?, entity)?,
            "POLYLINE" => {
                let own = entities[i..].iter().take_while(|vertex| vertex.name == "VERTEX");
                let own: Vec<&Entity> = own.collect();
                i += own.len();
                let all: Result<Vec<_>, Told> = own.iter().map(|vertex| corners(vertex.pairs, unit)).collect();
                polyline(all?.concat(), entity.flags()?, entity)?
            }
            "TEXT" | "MTEXT" | "POINT" | "DIMENSION" | "LEADER" | "HATCH" | "SEQEND" | "VIEWPORT" => continue,
            other => {
                let message = format!("`{}` is neither a line nor an arc", crate::reading::harmless(other));
                let expected = "expected lines, arcs, circles and polylines: turn it into those in the drawing";
                return Err(Told::new(entity.at.clone(), message, expected));
            }
        };
        found.push(Piece { sides, closed, at: entity.at.clone() });
    }
    Ok(found)
}

fn pairs(text: &str) -> Result<Vec<Pair<'_>>, Told> {
    let mut lines = Vec::new();
    let mut from = 0;
    for line in text.split_inclusive('\n') {
        let whole = line.trim();
        let start = from + (line.len() - line.trim_start().len());
        lines.push((whole, start..start + whole.len()));
        from += line.len();
    }
    let mut pairs = Vec::new();
    for two in lines.chunks_exact(2) {
        let [(code, spot), (value, at)] = two else { continue };
        let Ok(code) = code.parse::<i32>() else {
            let expected = "expected a drawing in DXF, as text: a group code and a value, each on a line of its own";
            return Err(Told::new(spot.clone(), "this is no group code", expected));
        };
        pairs.push(Pair { code, value, at: at.clone() });
    }
    Ok(pairs)
}

/// Millimetres to the drawing's unit, where it says one.
fn declared(pairs: &[Pair]) -> Result<Option<f64>, Told> {
    let Some(name) = pairs.iter().position(|pair| pair.code == 9 && pair.value == "$INSUNITS") else { return Ok(None) };
    let Some(pair) = pairs.get(name + 1) else { return Ok(None) };
    match number(pair)? as i64 {
        0 => Ok(None),
        1 => Ok(Some(25.4)),
        2 => Ok(Some(304.8)),
        4 => Ok(Some(1.0)),
        5 => Ok(Some(10.0)),
        6 => Ok(Some(1000.0)),
        other => {
            let message = format!("its unit is number {other}");
            Err(Told::new(pair.at.clone(), message, "expected inches (1), feet (2), mm (4), cm (5) or m (6)"))
        }
    }
}

fn straight(start: Point, end: Point) -> Segment {
    Segment { start, end, bulge: 0.0 }
}

fn circle(centre: Point, radius: f64) -> Vec<Segment> {
    let arm = Vec2::new(radius, 0.0);
    let half = |start, end| Segment { start, end, bulge: 1.0 };
    vec![half(centre + arm, centre - arm), half(centre - arm, centre + arm)]
}

/// Counter-clockwise from one angle to the other, in degrees.
fn arc(entity: &Entity, unit: f64) -> Result<Segment, Told> {
    let (centre, radius) = (entity.point(10, unit)?, entity.needed(40)? * unit);
    let (from, to) = (entity.needed(50)?, entity.needed(51)?);
    let sweep = (to - from).rem_euclid(360.0);
    let at = |degrees: f64| {
        let (sin, cos) = sin_cos(degrees.to_radians());
        centre + Vec2::new(cos, sin) * radius
    };
    Ok(Segment { start: at(from), end: at(to), bulge: tan(sweep.to_radians() / 4.0) })
}

/// Corners and how the sides from them bulge.
fn corners(pairs: &[Pair], unit: f64) -> Result<Vec<(Point, f64)>, Told> {
    let mut found: Vec<(Point, f64)> = Vec::new();
    for pair in pairs {
        match (pair.code, found.last_mut()) {
            (10, _) => found.push((Point::new(number(pair)? * unit, 0.0), 0.0)),
            (20, Some((at, _))) => at.y = number(pair)? * unit,
            (42, Some((_, bulge))) => *bulge = number(pair)?,
            _ => {}
        }
    }
    Ok(found)
}

fn polyline(corners: Vec<(Point, f64)>, flags: i64, entity: &Entity) -> Result<(Vec<Segment>, bool), Told> {
    /// Bits of a polyline that is no flat line: fitted curves, in space, meshes.
    const CURVED: i64 = 2 | 4 | 8 | 16 | 64;
    if flags & CURVED != 0 && entity.name == "POLYLINE" {
        let message = "this polyline is a fitted curve, or no flat line";
        return Err(Told::new(entity.at.clone(), message, "expected straight sides and arcs"));
    }
    let [(first, _), .., (last, _)] = corners[..] else {
        return Err(Told::new(entity.at.clone(), "this polyline has no two corners", "expected two or more"));
    };
    let told = flags & 1 == 1;
    let closed = told || first.distance(last) < 1e-6;
    let count = if told { corners.len() } else { corners.len() - 1 };
    let side = |i: usize| {
        let ((start, bulge), (end, _)) = (corners[i], corners[(i + 1) % corners.len()]);
        Segment { start, end, bulge }
    };
    Ok(((0..count).map(side).filter(|side| side.chord() > 1e-9).collect(), closed))
}
