//! The hollow that a box encloses: its volume, and which points lie in it.

use super::{Assembly, Panel, Surface};
use crate::geometry::{Layer, Place, Region, region_area, section};
use geo::buffer::{BufferStyle, LineJoin};
use geo::{BooleanOps, BoundingRect, Buffer, Contains, Coord, Euclidean, Length, MultiPolygon, Rect};
use glam::DVec3;

/// The free space around an assembly's [inside point](Assembly::inside), up to the first level where nothing closes it.
///
/// Found from level sections: the wood at each height, and the free patch among it that the inside point stands in.
/// Holes count as closed, and so does the play around a door. Where a wider slot lets the patch out, it ends at the
/// walls below or above.
#[derive(Clone, Debug)]
pub struct Cavity {
    slices: Vec<Slice>,
}

/// A slice of the cavity, between two heights.
#[derive(Clone, Debug)]
struct Slice {
    foot: f64,
    top: f64,
    /// At half its height.
    region: Region,
    /// All that wood closes in at that height, whether it belongs to the cavity or not: other chambers, the play around
    /// a rim.
    enclosed: Region,
    /// Mean over the slice.
    area: f64,
}

/// Slices are no thicker than this where the walls or the roof lean (mm).
const LEANING: f64 = 10.0;
/// Levels nearer than this are one level (mm).
const LEVEL: f64 = 0.05;
/// Smaller patches are the play of a joint (mm²).
const LEAST_AREA: f64 = 1.0;
/// Gaps of up to twice this are the play of a door, and closed (mm).
const PLAY: f64 = 2.0;
/// With wood at this share of its edge a level still belongs to it: two walls of four, under a roof.
const MOSTLY: f64 = 0.45;

impl Cavity {
    /// The cavity of a box, if it has one.
    pub fn of(assembly: &Assembly) -> Option<Cavity> {
        let from = assembly.inside?;
        let bodies: Vec<Body> = assembly.panels.iter().map(Body::of).collect();
        let levels = levels(&bodies);
        let start = levels.windows(2).position(|ends| ends[0] <= from.z && from.z < ends[1])?;
        let mut slices = Vec::new();
        for ends in levels[start..].windows(2) {
            let footprint = slices.last().map(|slice: &Slice| slice.region.clone());
            match between(&bodies, from, ends[0], ends[1], footprint.as_ref()) {
                Some(more) => slices.extend(more),
                None => break,
            }
        }
        let mut below = Vec::new();
        for ends in levels[..=start].windows(2).rev() {
            match between(&bodies, from, ends[0], ends[1], None) {
                Some(more) => below.extend(more.into_iter().rev()),
                None => break,
            }
        }
        below.reverse();
        below.extend(slices);
        (!below.is_empty()).then_some(Cavity { slices: below })
    }

    /// Litres.
    pub fn volume(&self) -> f64 {
        self.slices.iter().map(|slice| slice.area * (slice.top - slice.foot)).sum::<f64>() / 1e6
    }

    /// z of its floor, and of its highest point.
    pub fn heights(&self) -> (f64, f64) {
        let foot = self.slices.first().map_or(0.0, |slice| slice.foot);
        (foot, self.slices.last().map_or(foot, |slice| slice.top))
    }

    /// Does the point lie in the hollow, or in another place that wood closes in at the same height?
    pub fn contains(&self, at: DVec3) -> bool {
        let flat = geo::Point::new(at.x, at.y);
        self.slices.iter().any(|slice| {
            (slice.foot..=slice.top).contains(&at.z) && (slice.region.contains(&flat) || slice.enclosed.contains(&flat))
        })
    }
}

/// A panel ready to be cut many times.
struct Body {
    layers: Vec<Layer>,
    place: Place,
    foot: f64,
    top: f64,
    levels: Vec<f64>,
    leans: bool,
}

impl Body {
    fn of(panel: &Panel) -> Body {
        let surfaces = panel.surfaces();
        let levels: Vec<f64> = surfaces.iter().flat_map(Surface::corners).map(|corner| corner.z).collect();
        let leans = surfaces.iter().any(|surface| {
            let z = surface.normal().z.abs();
            z > 1e-6 && z < 1.0 - 1e-6
        });
        Body {
            layers: panel.layers(),
            place: panel.place,
            foot: levels.iter().copied().fold(f64::INFINITY, f64::min),
            top: levels.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            levels,
            leans,
        }
    }
}

/// Every height at which something begins or ends.
fn levels(bodies: &[Body]) -> Vec<f64> {
    let mut levels: Vec<f64> = bodies.iter().flat_map(|body| body.levels.iter().copied()).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|b, a| *b - *a < LEVEL);
    levels
}

/// The cavity between two levels, in slices; `None` where there is none.
fn between(bodies: &[Body], from: DVec3, foot: f64, top: f64, footprint: Option<&Region>) -> Option<Vec<Slice>> {
    let leaning = bodies.iter().any(|body| body.leans && body.foot < top && body.top > foot);
    let count = if leaning { ((top - foot) / LEANING).ceil().max(1.0) as usize } else { 1 };
    let step = (top - foot) / count as f64;
    let mut slices: Vec<Slice> = Vec::new();
    for i in 0..count {
        let (foot, top) = (foot + step * i as f64, foot + step * (i + 1) as f64);
        let limit = slices.last().map(|slice| slice.region.clone()).or_else(|| footprint.cloned());
        let Some((region, enclosed)) = free_at(bodies, from, f64::midpoint(foot, top), limit.as_ref()) else { break };
        let area = if leaning {
            // Two points of Gauss integrate what planes bound exactly.
            let reach = (top - foot) / 2.0 / 3f64.sqrt();
            let at = |z: f64| free_at(bodies, from, z, limit.as_ref()).map_or(0.0, |(region, _)| region_area(&region));
            f64::midpoint(at(f64::midpoint(foot, top) - reach), at(f64::midpoint(foot, top) + reach))
        } else {
            region_area(&region)
        };
        slices.push(Slice { foot, top, region, enclosed, area });
    }
    (!slices.is_empty()).then_some(slices)
}

/// The free patch at a height that belongs to the cavity: the one over the footprint, or over the inside point; and all
/// patches that the wood closes in.
fn free_at(bodies: &[Body], from: DVec3, z: f64, footprint: Option<&Region>) -> Option<(Region, Region)> {
    let plane = Place::new(DVec3::new(0.0, 0.0, z), DVec3::X, DVec3::Y);
    let mut wood = Region::new(vec![]);
    for body in bodies.iter().filter(|body| body.foot < z && z < body.top) {
        wood = wood.union(&section(&body.layers, &body.place, &plane));
    }
    if wood.0.is_empty() {
        return None;
    }
    let (open, closed) = patches(&wood);
    let mut region = belonging(&closed, from, footprint);
    if region.0.is_empty() {
        // The play around a door lets it out: thicker wood closes that, and the patch grows back to the true walls.
        let (_, closed) = patches(&grown(&wood, PLAY));
        region = belonging(&closed, from, footprint);
        if !region.0.is_empty() {
            region = grown(&region, PLAY + LEVEL).difference(&wood);
        }
    }
    if let (true, Some(footprint)) = (region.0.is_empty(), footprint)
        && hemmed(footprint, &wood) > MOSTLY
    {
        // A slot or a slit lets it out: what stands over or under the walls beside it still belongs to it.
        region = MultiPolygon::new(open).intersection(footprint);
    }
    (region_area(&region) > LEAST_AREA).then(|| (region, MultiPolygon::new(closed)))
}

/// The region with every edge moved out, its corners left as they are.
fn grown(region: &Region, by: f64) -> Region {
    region.buffer_with_style(BufferStyle::new(by).line_join(LineJoin::Miter(0.1)))
}

/// The patches of free space around wood: those that lead out, and those that are closed in.
fn patches(wood: &Region) -> (Vec<geo::Polygon>, Vec<geo::Polygon>) {
    let Some(bounds) = wood.bounding_rect() else { return (Vec::new(), Vec::new()) };
    let around = Rect::new(
        Coord { x: bounds.min().x - 1.0, y: bounds.min().y - 1.0 },
        Coord { x: bounds.max().x + 1.0, y: bounds.max().y + 1.0 },
    );
    let leaks = |patch: &geo::Polygon| {
        patch.bounding_rect().is_none_or(|patch| patch.min().x < bounds.min().x || patch.min().y < bounds.min().y)
    };
    MultiPolygon::from(around.to_polygon()).difference(wood).into_iter().partition(leaks)
}

/// Those over the footprint, or over the inside point.
fn belonging(closed: &[geo::Polygon], from: DVec3, footprint: Option<&Region>) -> Region {
    let own = |patch: &&geo::Polygon| match footprint {
        None => patch.contains(&geo::Point::new(from.x, from.y)),
        Some(footprint) => region_area(&MultiPolygon::from((*patch).clone()).intersection(footprint)) > LEAST_AREA,
    };
    MultiPolygon::new(closed.iter().filter(own).cloned().collect())
}

/// How much of a footprint's edge has wood at it, as a share.
fn hemmed(footprint: &Region, wood: &Region) -> f64 {
    let edge = geo::MultiLineString::new(footprint.iter().map(|patch| patch.exterior().clone()).collect());
    let length = |lines: &geo::MultiLineString| -> f64 {
        lines.iter().flat_map(|line| line.lines()).map(|side| Euclidean.length(&side)).sum()
    };
    let at_wood = grown(wood, PLAY).clip(&edge, false);
    length(&at_wood) / length(&edge).max(1e-9)
}

#[cfg(test)]
mod tests {
    use super::super::Design;
    use super::super::kinds::{CavityBox, OpenBox};
    use super::*;
    use crate::design::Board;

    const BOARD: Board = Board::plain(12.0, None);

    #[test]
    fn an_open_box_holds_its_clear_inside() {
        let tray = OpenBox::new([300.0, 200.0, 80.0]).build(&BOARD);
        let cavity = Cavity::of(&tray).expect("a cavity");
        assert!((cavity.volume() - 4.8).abs() < 1e-6, "{}", cavity.volume());
        assert!(cavity.contains(DVec3::new(20.0, 20.0, 40.0)) && !cavity.contains(DVec3::new(5.0, 20.0, 40.0)));
        assert!(!cavity.contains(DVec3::new(20.0, 20.0, 81.0)));
    }

    /// Under a roof that slopes at an angle a, a prism of width × depth × height grows by width × depth² × tan a / 2; and
    /// by the wedge over the front wall, which is as high as the roof over its outer edge.
    #[test]
    fn a_sloping_roof_adds_its_wedge() {
        let mut design = CavityBox::new([120.0, 150.0, 200.0]);
        design.slope = 20f64.to_radians();
        let cavity = Cavity::of(&design.build(&BOARD)).expect("a cavity");
        let wedge = 120.0 * 150.0 * 150.0 * 20f64.to_radians().tan() / 2.0;
        let over_the_front = 120.0 * 12.0 * 12.0 * 20f64.to_radians().tan() / 2.0;
        let expected = (120.0 * 150.0 * 200.0 + wedge + over_the_front) / 1e6;
        assert!((cavity.volume() - expected).abs() < 1e-6 * expected, "{} for {expected}", cavity.volume());
    }
}
