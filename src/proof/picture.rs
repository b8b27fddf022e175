//! What programs leave of a sheet, as flat shapes to be drawn.

use super::bench::Bench;
use super::flat::{self, Ring, Shapes};
use crate::geometry::{Outline, Point, Rect, Vertex};

/// The sheet after its programs, in its frame (millimetres). Of each area the first outline of a group is its edge, the
/// others are what stands inside it.
#[derive(Clone, Debug)]
pub struct Shown {
    pub length: f64,
    pub width: f64,
    /// Taken away at the upper face.
    pub cut: Vec<Vec<Outline>>,
    /// Taken away right through.
    pub through: Vec<Vec<Outline>>,
    /// The parts as they are to be, with their holes and recesses.
    pub parts: Vec<Outline>,
    pub holes: Vec<Outline>,
    pub recesses: Vec<Outline>,
    /// Sideways rapid moves.
    pub rapids: Vec<(Point, Point)>,
}

impl Shown {
    pub(super) fn new(bench: &Bench) -> Shown {
        let sheet = Rect::new(0.0, 0.0, bench.sheet.length, bench.sheet.width);
        let everywhere = sheet.inflate(1e4, 1e4);
        let gone = |z: f64| outlines(flat::all(&bench.swept(everywhere, z, |_| true)));
        let pieces = || bench.pieces.iter().map(|piece| &piece.shape);
        let rapids = bench.replay.cuts.iter().filter(|cut| cut.rapid && !cut.is_upright());
        Shown {
            length: sheet.width(),
            width: sheet.height(),
            cut: gone(-bench.touch),
            through: gone(-bench.sheet.thickness + bench.touch),
            parts: pieces().map(|shape| outline(&shape.outline)).collect(),
            holes: pieces().flat_map(|shape| &shape.holes).map(|hole| outline(&hole.target)).collect(),
            recesses: pieces().flat_map(|shape| &shape.pockets).flat_map(|it| &it.floor).map(outline).collect(),
            rapids: rapids.map(|cut| (cut.path.start, cut.path.end)).collect(),
        }
    }
}

fn outlines(shapes: Shapes) -> Vec<Vec<Outline>> {
    shapes.iter().map(|shape| shape.iter().map(outline).collect()).collect()
}

/// A ring with no more corners than a picture can show.
fn outline(ring: &Ring) -> Outline {
    Outline { vertices: thinned(ring).into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect() }
}

/// The corners of a ring that matter: the line between two that stay passes all others within a hair.
fn thinned(ring: &Ring) -> Vec<Point> {
    /// What nobody can see on paper (mm on the sheet).
    const HAIR: f64 = 0.05;
    let points: Vec<Point> = ring.iter().map(|p| Point::new(p[0], p[1])).collect();
    let mut kept: Vec<Point> = Vec::new();
    let mut from = 0;
    while from < points.len() {
        kept.push(points[from]);
        // As far as a straight side stays near all that it leaves out; never more than a few dozen.
        let mut to = from + 1;
        while to + 1 < points.len()
            && to - from < 64
            && points[from + 1..=to].iter().all(|p| flat::to_side(*p, points[from], points[to + 1]) < HAIR)
        {
            to += 1;
        }
        from = to;
    }
    if kept.len() < 3 { points } else { kept }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thinned_ring_keeps_its_shape() {
        let ring: Ring = super::super::stroke::disc(Point::new(50.0, 20.0), 30.0);
        let thin = outline(&ring);
        assert!(thin.vertices.len() * 2 < ring.len(), "{} of {}", thin.vertices.len(), ring.len());
        let area = std::f64::consts::PI * 900.0;
        assert!((thin.area() - area).abs() < 0.05 * std::f64::consts::TAU * 30.0, "{}", thin.area());
    }
}
