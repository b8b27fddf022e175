//! What is to be kept flush with what while the glue is wet.

use super::words;
use crate::design::{Assembly, Contact, Surface, corners};
use crate::units::Units;
use glam::DVec3;

/// Planes nearer than this are flush (mm).
const FLUSH: f64 = 0.35;

/// Where a part must be along one direction of its glue line.
struct Relation {
    along: DVec3,
    flush: bool,
    text: String,
}

/// How a part is to lie on those it is glued to, one phrase for each direction in which it could slide.
///
/// In each direction the first pair of surfaces that are flush is told; where no pair is flush, a distance.
pub(super) fn phrases(
    assembly: &Assembly,
    surfaces: &[Vec<Surface>],
    glue: &[&Contact],
    part: usize,
    units: Units,
) -> Vec<String> {
    let mut relations: Vec<Relation> = Vec::new();
    // The largest glue lines settle most; of two that differ by rounding alone, the first.
    let mut by_area: Vec<&&Contact> = glue.iter().collect();
    by_area.sort_by_key(|contact| std::cmp::Reverse((contact.area * 10.0).round() as i64));
    for contact in by_area {
        let Some(other) = contact.other(part) else { continue };
        for along in [contact.place.u, contact.place.v] {
            let relation = relation(assembly, surfaces, (part, other, contact), along, units);
            match relations.iter_mut().find(|known| known.along.dot(along).abs() > 0.99) {
                Some(known) if known.flush || !relation.flush => {}
                Some(known) => *known = relation,
                None => relations.push(relation),
            }
        }
    }
    // What another glue line presses against needs no telling.
    let pressed =
        |relation: &Relation| glue.iter().any(|contact| contact.place.normal().dot(relation.along).abs() > 0.99);
    relations.retain(|relation| !pressed(relation) && !relation.text.is_empty());
    let (flush, apart): (Vec<_>, Vec<_>) = relations.into_iter().partition(|relation| relation.flush);
    flush.into_iter().chain(apart).map(|relation| relation.text).collect()
}

fn relation(
    assembly: &Assembly,
    surfaces: &[Vec<Surface>],
    (part, other, contact): (usize, usize, &Contact),
    along: DVec3,
    units: Units,
) -> Relation {
    let along = if along.x + along.y + along.z < 0.0 { along } else { -along };
    let mut flush: Vec<(String, String)> = Vec::new();
    // Lower, front and left first.
    for direction in [along, -along] {
        if let (Some((mine, reach)), Some((its, limit))) =
            (end(&surfaces[part], direction), end(&surfaces[other], direction))
            && (reach - limit).abs() < FLUSH
        {
            let mine = words::surface(&assembly.panels[part], mine);
            flush.push((mine, words::surface(&assembly.panels[other], its)));
        }
    }
    let name = &assembly.panels[other].name;
    let text = match &flush[..] {
        [(mine, its)] | [(mine, its), ..] if mine != its => format!("its {mine} flush with the {name}'s {its}"),
        [(first, _), (second, _)] => {
            let first = first.strip_suffix(" edge").unwrap_or(first);
            let plural = if second.ends_with("edge") { "s" } else { "" };
            format!("{first} and {second}{plural} flush with the {name}'s")
        }
        [(mine, _), ..] => format!("{mine}s flush with the {name}'s"),
        [] => match end(&surfaces[part], along) {
            Some((mine, reach)) => {
                let mine = words::surface(&assembly.panels[part], mine);
                // Along a slope the other part has no end of its own: then the glue line's counts.
                let its = end(&surfaces[other], along);
                let line = || corners(contact).map(|corner| corner.dot(along)).fold(f64::NEG_INFINITY, f64::max);
                let limit = its.map_or_else(line, |(_, limit)| limit);
                let its = its
                    .map_or(String::new(), |(its, _)| format!("'s {}", words::surface(&assembly.panels[other], its)));
                let (apart, word) = if reach > limit { (reach - limit, "past") } else { (limit - reach, "short of") };
                format!("its {mine} {} {word} the {name}{its}", units.show(apart))
            }
            None => String::new(),
        },
    };
    Relation { along, flush: !flush.is_empty(), text }
}

/// The surface that ends a part in a direction, and how far out it is.
fn end(surfaces: &[Surface], direction: DVec3) -> Option<(&Surface, f64)> {
    surfaces
        .iter()
        .filter(|surface| surface.normal().dot(direction) > 0.99)
        .map(|surface| (surface, surface.place.origin.dot(direction)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The phrases of the parts of a step as one sentence; what holds of all of them is said once.
pub(super) fn keep(parts: &[(&str, Vec<String>)]) -> Option<String> {
    let parts: Vec<&(&str, Vec<String>)> = parts.iter().filter(|(_, phrases)| !phrases.is_empty()).collect();
    if let [(_, only)] = parts[..] {
        return Some(format!("Keep {}.", only.join("; ")));
    }
    let (_, first) = parts.first()?;
    let common: Vec<String> =
        first.iter().filter(|phrase| parts.iter().all(|(_, others)| others.contains(phrase))).cloned().collect();
    let mut said = Vec::new();
    if !common.is_empty() {
        said.push(format!("on each, keep {}", common.join(", ")));
    }
    for (name, phrases) in parts {
        let own: Vec<String> = phrases.iter().filter(|phrase| !common.contains(phrase)).cloned().collect();
        if !own.is_empty() {
            let keep = if said.is_empty() { "keep " } else { "" };
            said.push(format!("on the {name}, {keep}{}", own.join(", ")));
        }
    }
    let said = said.join("; ");
    Some(format!("O{}.", said.strip_prefix('o').unwrap_or(&said)))
}
