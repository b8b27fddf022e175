//! Is every hole inside its panel, and free on both faces?

use super::{PRACTICE, Subject};
use crate::design::{Face, Hole, HoleUse, Panel, Pocket};
use crate::finding::{Finding, JobCheck, Limits, Measure, Status};
use crate::geometry::math::hypot;
use crate::geometry::{
    FLATTEN, Outline, Point, Rect, Region, Vec2, common, free_spans, region_area, to_polygon, without,
};
use crate::job::Up;
use crate::units::{Units, parse_length};
use geo::{BooleanOps, BoundingRect, ConvexHull, Distance, Euclidean, MultiPolygon, Translate};

/// Least wood between a hole and the panel's edge, or another hole (mm): less breaks out.
const WEB: f64 = 3.0;

/// Something a hole must keep clear of, in the panel's frame.
#[derive(Clone)]
struct Obstacle {
    /// `the rest cleat on its outer face`.
    what: String,
    region: Region,
    /// What the region lies within.
    bounds: Rect,
    /// Wood to be left between it and the hole.
    apart: f64,
    /// It is no part of the box itself, or of what the panel belongs to.
    comes_off: bool,
}

pub(super) fn check(subject: &Subject) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, panel) in subject.assembly.panels.iter().enumerate() {
        if panel.holes.is_empty() {
            continue;
        }
        let all_on_faces = covered(subject, index);
        let edge = vec![outside(panel)];
        let holes: Vec<Obstacle> = panel.holes.iter().map(Obstacle::hole).collect();
        let pockets: Vec<Obstacle> = panel.pockets.iter().map(Obstacle::pocket).collect();
        for (i, hole) in panel.holes.iter().enumerate() {
            // A hole for a feeder is closed by the cover until there is a feeder.
            let matters = |obstacle: &&Obstacle| hole.use_ != HoleUse::Feed || !obstacle.comes_off;
            let on_faces: Vec<&Obstacle> = all_on_faces.iter().filter(matters).collect();
            let others = beside(&holes, &pockets, i);
            let all: Vec<&Obstacle> = on_faces.iter().copied().chain(&edge).chain(others.iter().copied()).collect();
            for (check, limit, obstacles) in [
                (JobCheck::HoleFree, 0.0, &on_faces),
                (JobCheck::HoleToEdge, WEB, &edge.iter().collect()),
                (JobCheck::HoleToHole, WEB, &others),
            ] {
                findings.extend(judge(subject, (panel, hole), check, limit, obstacles, &all));
            }
        }
    }
    findings
}

/// The other holes of the panel, and what is cut into its faces.
fn beside<'a>(holes: &'a [Obstacle], pockets: &'a [Obstacle], own: usize) -> Vec<&'a Obstacle> {
    let others = holes.iter().enumerate().filter(|(j, _)| *j != own).map(|(_, other)| other);
    // A hole in the floor of a recess is no weaker for it; one that runs over its edge splits out.
    let shape = &holes[own];
    let beside_it = |pocket: &&Obstacle| {
        pocket.distance(shape.bounds) > 0.0 || region_area(&without(&shape.region, &pocket.region)) > 0.01
    };
    others.chain(pockets.iter().filter(beside_it)).collect()
}

/// What lies on the panel's faces.
fn covered(subject: &Subject, index: usize) -> Vec<Obstacle> {
    let panels = &subject.assembly.panels;
    subject
        .contacts
        .iter()
        .filter_map(|contact| {
            let (face, region) = contact.on_face(index, panels)?;
            let other = &panels[contact.other(index)?];
            let side = if face == Face::Outer { "outside" } else { "inside" };
            let comes_off = !subject.assembly.is_glued(contact);
            let what = format!("the {}, which lies on its {side}", other.name);
            Some(Obstacle::new(what, region, 0.0, comes_off))
        })
        .collect()
}

/// Further from a panel than any hole can be asked for (mm).
const FAR: f64 = 50_000.0;

/// Everything that is not the panel.
fn outside(panel: &Panel) -> Obstacle {
    let around = Outline::from_rect(panel.outline.bounds().inflate(FAR, FAR));
    let region = Region::from(to_polygon(&around)).difference(&Region::from(to_polygon(&panel.outline)));
    Obstacle::new("the panel's edge".into(), region, WEB, false)
}

/// Holds a hole against one sort of obstacle. Where something blocks it, tells where it would be free of all obstacles.
fn judge(
    subject: &Subject,
    (panel, hole): (&Panel, &Hole),
    check: JobCheck,
    limit: f64,
    obstacles: &[&Obstacle],
    all: &[&Obstacle],
) -> Option<Finding> {
    let name = format!("{}, {}", subject.panel_name(panel), hole.use_);
    let shape = Region::from(to_polygon(&hole.outline()));
    let bounds = bounds(&shape);
    let in_the_way: Vec<&Obstacle> =
        obstacles.iter().filter(|obstacle| obstacle.blocks(&shape, bounds)).copied().collect();
    // The nearest of many is found by the rectangles around them; only a few are measured exactly.
    let mut by_distance: Vec<(f64, &Obstacle)> =
        obstacles.iter().map(|obstacle| (obstacle.distance(bounds), *obstacle)).collect();
    by_distance.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut nearest = f64::INFINITY;
    for (distance, obstacle) in by_distance {
        if distance >= nearest {
            break;
        }
        let there = overlap(&obstacle.region, &shape) > 0.01;
        nearest = if there { 0.0 } else { nearest.min(gap(&obstacle.region, &shape)) };
    }
    if in_the_way.is_empty() {
        if nearest.is_finite() {
            let measured = Measure::Length(nearest);
            let finding = Finding::measured(check, name, measured, Limits::at_least(limit), Status::Refused);
            return Some(finding.source(PRACTICE).at(hole.spot.clone()));
        }
        let open = Finding::plain(check, name, Status::Ok).source(PRACTICE).at(hole.spot.clone());
        return (check == JobCheck::HoleFree).then_some(open);
    }
    let mut what: Vec<&str> = Vec::new();
    for obstacle in &in_the_way {
        if !what.contains(&obstacle.what.as_str()) {
            what.push(&obstacle.what);
        }
    }
    let what = what.join(" and by ");
    let finding = if nearest > 0.0 || limit > 0.0 {
        let measured = Measure::Length(nearest);
        let finding = Finding::measured(check, name, measured, Limits::at_least(limit), Status::Refused);
        Finding { status: Status::Refused, ..finding }
    } else {
        // Something lies over it that only must not lie over it: there is no distance to tell.
        Finding::plain(check, name, Status::Refused)
    };
    Some(finding.source(PRACTICE).advice(where_free(subject, (panel, hole), &what, all)).at(hole.spot.clone()))
}

/// Where the hole's centre would be free, in line with where it is.
fn where_free(subject: &Subject, (panel, hole): (&Panel, &Hole), what: &str, all: &[&Obstacle]) -> String {
    let units = subject.job.units;
    let bounds = panel.outline.bounds();
    let up = spans(hole, all, Point::new(hole.centre.x, bounds.y0), Vec2::new(0.0, 1.0), bounds.height());
    let across = spans(hole, all, Point::new(bounds.x0, hole.centre.y), Vec2::new(1.0, 0.0), bounds.width());
    let view = panel.view();
    let at = view.onto * hole.centre;
    // A loose part lies as it was described: its edges are the lower and the upper one.
    let lies = view.lies && !subject.assembly.loose;
    // In the maker's own terms.
    let orders = subject.job.boxes.iter().flat_map(|order| &order.holes);
    let downwards = orders
        .chain(subject.job.loose.iter().flat_map(|part| &part.holes))
        .any(|order| Some(&order.spot) == hole.spot.as_ref() && matches!(order.up, Up::FromUpperEdge(_)));
    // Spans run with the panel's own frame, which may be looked at from its other face.
    let against = downwards != (view.onto.determinant() < 0.0);
    let turned = |span: &(f64, f64)| (bounds.height() - span.1, bounds.height() - span.0);
    let heights: Vec<(f64, f64)> = if against { up.iter().rev().map(turned).collect() } else { up.clone() };
    let edge = match (downwards, lies) {
        (true, false) => "below the panel's upper edge",
        (true, true) => "from the panel's back edge",
        (false, false) => "above the panel's lower edge",
        (false, true) => "from the panel's front edge",
    };
    let now = if downwards { bounds.height() - at.y } else { at.y };
    match (up.is_empty(), across.is_empty()) {
        (false, _) => format!(
            "it is blocked by {what}; at this place across, its centre is free from {}",
            free_from(units, &heights, now, edge)
        ),
        (true, false) => format!(
            "it is blocked by {what}; at this height, its centre is free from {}",
            free_from(units, &across, at.x, "from the panel's left edge")
        ),
        (true, true) => format!(
            "it is blocked by {what}; a hole of this size is free nowhere in line with this place: make it smaller, or \
             move it both ways"
        ),
    }
}

/// `8.4 to 72.1 mm from the panel's left edge (now 112)`: every place that is shown is free, and none of them is where it is now.
fn free_from(units: Units, spans: &[(f64, f64)], now: f64, edge: &str) -> String {
    /// Digits beyond the usual ones, as far as there is any use in them.
    const MOST: u32 = 3;
    let told = |more: u32| -> (String, Vec<(String, String)>) {
        let ends =
            spans.iter().map(|(least, most)| (units.number_above(*least, more), units.number_below(*most, more)));
        (units.number_finely(now, more), ends.collect())
    };
    let right = |more: &u32| {
        let (here, ends) = told(*more);
        let mm = |text: &str| parse_length(text, units).unwrap_or(now);
        ends.iter().all(|(least, most)| mm(least) <= mm(most) && here != *least && here != *most)
    };
    // One place alone that is free is no range.
    let alone = || (units.number(now), spans.iter().map(|(a, b)| (units.number(*a), units.number(*b))).collect());
    let (here, ends) = (0..MOST).find(right).map_or_else(alone, told);
    let shown: Vec<String> = ends.iter().map(|(least, most)| format!("{least} to {most} {}", units.sign())).collect();
    format!("{} {edge} (now {here})", shown.join(" or "))
}

impl Obstacle {
    fn new(what: String, region: Region, apart: f64, comes_off: bool) -> Obstacle {
        Obstacle { what, bounds: bounds(&region), region, apart, comes_off }
    }

    fn hole(hole: &Hole) -> Obstacle {
        let region = Region::from(to_polygon(&hole.outline()));
        Obstacle::new(format!("the {} hole beside it", hole.use_), region, WEB, false)
    }

    fn pocket(pocket: &Pocket) -> Obstacle {
        let region = Region::from(to_polygon(&pocket.outline));
        Obstacle::new(format!("the {} cut into it", pocket.purpose), region, WEB, false)
    }

    /// No part of it is nearer than this to what lies within `other`.
    fn distance(&self, other: Rect) -> f64 {
        let own = self.bounds;
        let x = (own.x0 - other.x1).max(other.x0 - own.x1).max(0.0);
        let y = (own.y0 - other.y1).max(other.y0 - own.y1).max(0.0);
        hypot(x, y)
    }

    fn blocks(&self, hole: &Region, bounds: Rect) -> bool {
        self.distance(bounds) <= self.apart
            && (overlap(&self.region, hole) > 0.01 || (self.apart > 0.0 && gap(&self.region, hole) < self.apart - 0.01))
    }
}

fn bounds(region: &Region) -> Rect {
    let nowhere = Rect::new(f64::INFINITY, f64::INFINITY, f64::INFINITY, f64::INFINITY);
    region.bounding_rect().map_or(nowhere, |rect| Rect::new(rect.min().x, rect.min().y, rect.max().x, rect.max().y))
}

fn overlap(a: &Region, b: &Region) -> f64 {
    region_area(&common(a, b))
}

fn gap(a: &Region, b: &Region) -> f64 {
    let between = |p: &geo::Polygon, q: &geo::Polygon| Euclidean.distance(p, q);
    a.iter().flat_map(|p| b.iter().map(move |q| between(p, q))).fold(f64::INFINITY, f64::min)
}

/// Where the hole's centre may be along a line, as distances from its start.
fn spans(hole: &Hole, obstacles: &[&Obstacle], from: Point, along: Vec2, length: f64) -> Vec<(f64, f64)> {
    let mut free = vec![(0.0, length)];
    for obstacle in obstacles {
        let radius = hole.corner.unwrap_or(hole.width / 2.0);
        let region = stretched(&obstacle.region, hole);
        let spans = free_spans(&region, from, along, length, radius + obstacle.apart);
        free = intersect(&free, &spans);
    }
    // A place that is free only to a hair is no use.
    free.retain(|(least, most)| most - least > -FLATTEN);
    free
}

/// The region grown by the straight part of a slot or a rectangle, so that what is left of the hole is a disc.
fn stretched(region: &Region, hole: &Hole) -> Region {
    let radius = hole.corner.unwrap_or(hole.width / 2.0);
    let (along, up) = hole.size();
    let (dx, dy) = (along / 2.0 - radius, up / 2.0 - radius);
    if dx == 0.0 && dy == 0.0 {
        return region.clone();
    }
    // Each straight side swept by the middles of all such discs in the hole; together with the region itself that is its growth.
    let reaches = [(-dx, -dy), (dx, -dy), (dx, dy), (-dx, dy)];
    let mut grown = region.clone();
    for polygon in region {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for side in ring.lines() {
                let ends = reaches.iter().flat_map(|(x, y)| {
                    let moved = side.translate(*x, *y);
                    [moved.start, moved.end]
                });
                let swept = geo::MultiPoint::from(ends.collect::<Vec<_>>()).convex_hull();
                grown = grown.union(&MultiPolygon::from(swept));
            }
        }
    }
    grown
}

fn intersect(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    a.iter()
        .flat_map(|(a0, a1)| b.iter().map(move |(b0, b1)| (a0.max(*b0), a1.min(*b1))))
        .filter(|(least, most)| least <= most)
        .collect()
}
