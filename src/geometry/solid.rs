//! A board as a body of wood: where there is wood, its layers, and where a plane cuts it.

use super::math::hypot;
use super::region::{common, spans, without};
use super::{Outline, Place, Point, Region, Vec2, to_polygon_within};
use geo::orient::{Direction, Orient};
use geo::{BooleanOps, BoundingRect, Coord, LineString, MultiPolygon, Polygon};

/// A flat outline with a thickness, holes through it and recesses into its faces; all in the board's own frame.
#[derive(Clone, Debug)]
pub struct Solid {
    pub thickness: f64,
    pub outline: Outline,
    pub holes: Vec<Outline>,
    pub recesses: Vec<Recess>,
}

/// Wood taken away from a face down.
#[derive(Clone, Debug)]
pub struct Recess {
    pub outline: Outline,
    /// Depths below the outer face between which it lies: one of them is a face.
    pub from: f64,
    pub to: f64,
}

/// A slice of a solid with the same outline from its upper depth to its lower.
#[derive(Clone, Debug)]
pub struct Layer {
    /// In the board's frame.
    pub region: Region,
    /// Its upper and lower end in w: 0 is the outer face.
    pub top: f64,
    pub foot: f64,
}

impl Solid {
    /// Depths below the outer face between which there is wood at a place.
    pub fn wood(&self, at: Point) -> Option<(f64, f64)> {
        if !self.outline.contains(at) || self.holes.iter().any(|hole| hole.contains(at)) {
            return None;
        }
        let over = self.recesses.iter().filter(|recess| recess.outline.contains(at));
        let (upper, lower) = over.fold((0.0, self.thickness), |(upper, lower): (f64, f64), recess| {
            let upper = if recess.from <= 0.0 { upper.max(recess.to) } else { upper };
            let lower = if recess.to >= self.thickness { lower.min(recess.from) } else { lower };
            (upper, lower)
        });
        (upper < lower).then_some((upper, lower))
    }

    /// The solid from its outer to its inner face: one layer, or several where it has recesses. Arcs become chords within
    /// `fine` (mm) of them.
    pub fn layers(&self, fine: f64) -> Vec<Layer> {
        let region = |outline: &Outline| Region::from(to_polygon_within(outline, fine));
        let whole = self.holes.iter().fold(region(&self.outline), |wood, hole| without(&wood, &region(hole)));
        let mut depths = vec![0.0, self.thickness];
        depths.extend(self.recesses.iter().flat_map(|recess| [recess.from, recess.to]));
        depths.sort_by(f64::total_cmp);
        depths.dedup_by(|b, a| *b - *a < 1e-6);
        depths
            .windows(2)
            .map(|ends| {
                let middle = f64::midpoint(ends[0], ends[1]);
                let over = self.recesses.iter().filter(|recess| (recess.from..recess.to).contains(&middle));
                let region = over.fold(whole.clone(), |wood, recess| without(&wood, &region(&recess.outline)));
                Layer { region, top: -ends[0], foot: -ends[1] }
            })
            .collect()
    }
}

/// Where a plane cuts layers that stand at `place`, in the plane's own frame.
pub fn section(layers: &[Layer], place: &Place, plane: &Place) -> Region {
    let mut cut = Region::new(vec![]);
    for layer in layers {
        let part = layer_section(layer, place, plane);
        if !part.0.is_empty() {
            cut = if cut.0.is_empty() { part } else { cut.union(&part) };
        }
    }
    cut
}

fn layer_section(layer: &Layer, place: &Place, plane: &Place) -> Region {
    let normal = plane.normal();
    // The plane in the panel's frame: a·u + b·v + c·w = d.
    let (a, b, c) = (normal.dot(place.u), normal.dot(place.v), normal.dot(place.normal()));
    let d = normal.dot(plane.origin - place.origin);
    let in_plane = |u: f64, v: f64, w: f64| {
        let (at, _) = plane.to_flat(place.to_space(Point::new(u, v), w));
        Coord { x: at.x, y: at.y }
    };
    if c.abs() < 1e-9 {
        let rectangles =
            spans(&layer.region, Point::new(a * d, b * d), Vec2::new(-b, a)).into_iter().map(|(from, to)| {
                let corners = [(from, layer.foot), (to, layer.foot), (to, layer.top), (from, layer.top)];
                // Along the line: its foot point from the origin, and its direction.
                let ring = corners.map(|(s, w)| in_plane(a * d - b * s, b * d + a * s, w));
                Polygon::new(LineString::from(ring.to_vec()), vec![])
            });
        return MultiPolygon::new(rectangles.collect()).orient(Direction::Default);
    }
    let height = |u: f64, v: f64| (d - a * u - b * v) / c;
    let across = hypot(a, b);
    let region = if across < 1e-9 {
        if (layer.foot..layer.top).contains(&(d / c)) { layer.region.clone() } else { return Region::new(vec![]) }
    } else {
        // The strip of the outline over which the plane is inside the layer.
        let (x, y) = (a / across, b / across);
        let (near, far) = ((d - c * layer.top) / across, (d - c * layer.foot) / across);
        // No longer than needed: the smaller the polygons, the finer polygon algebra works.
        let Some(bounds) = layer.region.bounding_rect() else { return Region::new(vec![]) };
        let reach = [bounds.min().x, bounds.max().x, bounds.min().y, bounds.max().y].map(f64::abs);
        let reach = reach.into_iter().fold(1.0, f64::max) * 2.0;
        let corner = |r: f64, s: f64| Coord { x: x * r - y * s, y: y * r + x * s };
        let ends = [corner(near, -reach), corner(far, -reach), corner(far, reach), corner(near, reach)];
        let strip = LineString::from(ends.to_vec());
        common(&layer.region, &MultiPolygon::from(Polygon::new(strip, vec![]).orient(Direction::Default)))
    };
    use geo::MapCoords;
    region.map_coords(|at| in_plane(at.x, at.y, height(at.x, at.y))).orient(Direction::Default)
}
