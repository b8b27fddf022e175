//! What of a face cannot be seen from outside the finished box, as if something stood on an open one and it on something.

use crate::design::{Assembly, Panel, Part};
use crate::geometry::math::sin_cos;
use crate::geometry::{Affine, Point, Rect};
use glam::DVec3;

/// The face of a part that is up, in all its places in a box.
#[derive(Clone)]
pub struct Unseen<'a> {
    panels: &'a [Panel],
    /// Which panel, and the placement of the part's frame in the panel's.
    places: Vec<(usize, Affine)>,
    closed: Option<Closed>,
    /// Around all that is unseen, in the part's frame.
    pub bounds: Rect,
}

/// Between the walls of a box: nobody looks out over them or under them.
#[derive(Clone, Copy)]
struct Closed {
    /// Around the walls, in x and y.
    outline: Rect,
    /// z of the lowest of their upper edges, and of the highest of their lower ones.
    top: f64,
    bottom: f64,
}

impl Closed {
    fn of(assembly: &Assembly) -> Option<Closed> {
        let upright = |panel: &&Panel| panel.sub_assembly.is_empty() && panel.place.normal().z.abs() < 0.5;
        let bounds = || assembly.panels.iter().filter(upright).map(Panel::bounds);
        let tallest = bounds().map(|(least, most)| most.z - least.z).fold(0.0, f64::max);
        // A cleat or a rim is no wall.
        let walls = bounds().filter(|(least, most)| most.z - least.z > tallest / 2.0);
        let each = walls.map(|(least, most)| Closed {
            outline: Rect::new(least.x, least.y, most.x, most.y),
            top: most.z,
            bottom: least.z,
        });
        each.reduce(|a, b| Closed {
            outline: a.outline.union(b.outline),
            top: a.top.min(b.top),
            bottom: a.bottom.max(b.bottom),
        })
    }

    /// Does a ray go out over the walls, or under them?
    fn stops(&self, from: DVec3, ray: DVec3) -> bool {
        [(self.top, ray.z > 0.0 && from.z < self.top), (self.bottom, ray.z < 0.0 && from.z > self.bottom)]
            .into_iter()
            .filter(|(_, meets)| *meets)
            .map(|(height, _)| from + ray * ((height - from.z) / ray.z))
            .any(|at| self.outline.contains(Point::new(at.x, at.y)))
    }
}

/// Looks from a point of the face, straight out of it and leaning to all sides: leanings (degrees), and how many to a round.
const LEANING: [f64; 3] = [20.0, 45.0, 70.0];
const ROUND: u32 = 8;
/// So many of them may go past all other panels. Under an eave, at the foot of the wall, it is a half.
const MAY_PASS: usize = 1 + LEANING.len() * ROUND as usize / 4;
/// A panel that lies on the face is on it within this (mm).
const ON_IT: f64 = 0.5;

impl<'a> Unseen<'a> {
    /// `None` where all of it can be seen.
    pub fn of(part: &Part, assembly: &'a Assembly) -> Option<Unseen<'a>> {
        /// Points looked from, along the part and across.
        const MANY: u32 = 12;
        let places = part.panels.iter().map(|(panel, to_part)| (*panel, to_part.inverse())).collect();
        let whole = part.outline.bounds();
        let unseen = Unseen { panels: &assembly.panels, places, closed: Closed::of(assembly), bounds: whole };
        let cell = whole.size() / f64::from(MANY);
        let middle = |x: u32, y: u32| {
            Point::new(whole.x0 + (f64::from(x) + 0.5) * cell.width, whole.y0 + (f64::from(y) + 0.5) * cell.height)
        };
        let points = (0..MANY).flat_map(|x| (0..MANY).map(move |y| middle(x, y)));
        let hidden = points.filter(|at| part.outline.contains(*at) && unseen.contains(*at));
        let bounds = hidden.map(|at| Rect::from_center_size(at, cell)).reduce(|a, b| a.union(b))?;
        Some(Unseen { bounds, ..unseen })
    }

    /// Is the whole rectangle unseen, as far as its corners, the middles of its sides and its own tell?
    pub fn contains_all(&self, rect: Rect) -> bool {
        let (across, up) = ([rect.x0, rect.center().x, rect.x1], [rect.y0, rect.center().y, rect.y1]);
        across.into_iter().all(|x| up.into_iter().all(|y| self.contains(Point::new(x, y))))
    }

    /// Is a point of the face unseen, in all places?
    fn contains(&self, at: Point) -> bool {
        self.places.iter().all(|(own, to_panel)| {
            let panel = &self.panels[*own];
            let (flat, place) = (*to_panel * at, &panel.place);
            // Mirrored, it is the inner face that is up.
            let (height, out) =
                if to_panel.determinant() < 0.0 { (-panel.thickness, -place.normal()) } else { (0.0, place.normal()) };
            let from = place.to_space(flat, height);
            let leaning = LEANING.iter().flat_map(|leaning| {
                let (sin, cos) = sin_cos(leaning.to_radians());
                (0..ROUND).map(move |turn| {
                    let (across, up) = sin_cos(std::f64::consts::TAU * f64::from(turn) / f64::from(ROUND));
                    out * cos + (place.u * across + place.v * up) * sin
                })
            });
            let passes = |ray: &DVec3| {
                let mut others = self.panels.iter().enumerate().filter(|(other, _)| other != own);
                !self.closed.is_some_and(|closed| closed.stops(from, *ray))
                    && !others.any(|(_, other)| stops(other, from, *ray))
            };
            std::iter::once(out).chain(leaning).filter(passes).take(MAY_PASS + 1).count() <= MAY_PASS
        })
    }
}

/// Does a ray meet one of the panel's faces, where that has no hole?
fn stops(panel: &Panel, from: DVec3, ray: DVec3) -> bool {
    let (at, height) = panel.place.to_flat(from);
    let (across, up, out) = (ray.dot(panel.place.u), ray.dot(panel.place.v), ray.dot(panel.place.normal()));
    [0.0, -panel.thickness].into_iter().any(|face| {
        let far = (face - height) / out;
        let met = at + crate::geometry::Vec2::new(across, up) * far;
        far.is_finite()
            && far > -ON_IT
            && panel.outline.contains(met)
            && !panel.holes.iter().any(|hole| hole.outline().contains(met))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::kinds::{CavityBox, OpenBox};
    use crate::design::{Board, Design, parts};

    const BOARD: Board = Board::plain(12.0, None);

    fn of<'a>(assembly: &'a Assembly, name: &str) -> Option<Unseen<'a>> {
        let parts = parts(std::slice::from_ref(assembly), |_| BOARD);
        Unseen::of(parts.iter().find(|part| part.name == name).expect("it has one"), assembly)
    }

    /// Under a roof that stands over on all sides: what is inside of the walls' outline, here 120 + 2 × 12 across, and no more
    /// than a point of twelve along the roof beyond it.
    #[test]
    fn an_eave_is_seen() {
        let nest = CavityBox::new([120.0, 120.0, 200.0]).build(&BOARD);
        let hidden = of(&nest, "roof").expect("walls under it").bounds;
        let mut sides = [hidden.width(), hidden.height()];
        sides.sort_by(f64::total_cmp);
        assert!(sides[0] > 100.0 && sides[1] < 144.0 + 2.0 * 201.7 / 12.0, "{sides:?}");
    }

    /// An open tray is taken as closed: between its walls nothing is seen of its floor, nor of a wall.
    #[test]
    fn between_walls_nothing_is_seen() {
        let nest = CavityBox::new([120.0, 120.0, 200.0]).build(&BOARD);
        let tray = OpenBox::new([300.0, 300.0, 40.0]).build(&BOARD);
        for (assembly, part) in [(&nest, "front"), (&tray, "floor"), (&tray, "side")] {
            let unseen = of(assembly, part).expect("unseen");
            assert!(unseen.contains_all(unseen.bounds.inflate(-12.5, -12.5)), "{part}");
        }
    }
}
