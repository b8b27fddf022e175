//! A box in isometric view: panels moved apart or not, some of them marked.

use super::cut::hatch;
use super::rings::rings_of;
use super::room::Room;
use super::solid::facets;
use super::view::{Seen, View, seen};
use super::{Pen, Picture};
use crate::design::Assembly;
use crate::geometry::{Affine, Facet, Point, Rect};
use geo::{Area, InteriorPoint};
use glam::DVec3;

/// How a solid of a scene is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Wood,
    /// What a step adds, or what a picture is about.
    Added,
    /// A glue line.
    Glue,
    /// Something flat that is fixed on; in this step, or earlier.
    Fitting {
        now: bool,
        mesh: bool,
    },
}

/// Solids to be looked at.
#[derive(Clone, Debug, Default)]
pub(super) struct Scene {
    facets: Vec<Facet>,
    roles: Vec<Role>,
}

/// A flat patch on a surface of a solid.
#[derive(Clone, Debug)]
pub(super) struct Patch {
    rings: Vec<Vec<DVec3>>,
    pub normal: DVec3,
}

impl Patch {
    /// From its rings in space, which may run either way round, and where it looks.
    pub fn new(mut rings: Vec<Vec<DVec3>>, normal: DVec3) -> Patch {
        let turn = |ring: &[DVec3]| {
            let first = ring.first().copied().unwrap_or(DVec3::ZERO);
            ring.windows(2).map(|pair| (pair[0] - first).cross(pair[1] - first)).sum::<DVec3>().dot(normal)
        };
        if rings.first().is_some_and(|ring| turn(ring) < 0.0) {
            rings.iter_mut().for_each(|ring| ring.reverse());
        }
        Patch { rings, normal }
    }

    pub fn moved(mut self, by: DVec3) -> Patch {
        self.rings.iter_mut().flatten().for_each(|corner| *corner += by);
        self
    }

    /// The middle of its corners.
    pub fn middle(&self) -> DVec3 {
        let corners = || self.rings.iter().flatten();
        corners().copied().sum::<DVec3>() / corners().count().max(1) as f64
    }
}

/// A scene on paper.
pub(super) struct Shown {
    pub view: View,
    pub to_paper: Affine,
    seen: Vec<Seen>,
    pub bounds: Rect,
}

impl Scene {
    /// The panels of a box that are chosen, each moved by what `moved` says and drawn as `role` says. Solids are numbered as
    /// the panels are.
    pub fn of(assembly: &Assembly, role: impl Fn(usize) -> Option<Role>, moved: impl Fn(usize) -> DVec3) -> Scene {
        let mut scene = Scene::default();
        for (i, panel) in assembly.panels.iter().enumerate() {
            let role = role(i);
            scene.roles.push(role.unwrap_or(Role::Wood));
            if role.is_some() {
                let mut panel = panel.clone();
                panel.place = panel.place.moved(moved(i));
                scene.facets.extend(facets(i, &panel));
            }
        }
        scene
    }

    /// Lays a patch on a surface.
    pub fn patch(&mut self, patch: Patch, role: Role) {
        /// So far in front of the surface that it covers it (mm).
        const AHEAD: f64 = 0.02;
        let lift = patch.normal * AHEAD;
        let owner = self.roles.len();
        self.roles.push(role);
        // Separate pieces are separate facets; no glue line has holes worth keeping.
        for ring in patch.rings.into_iter().filter(|ring| ring.len() >= 3) {
            let ring = ring.into_iter().map(|corner| corner + lift).collect();
            self.facets.push(Facet { owner, normal: patch.normal, rings: vec![ring], curve: None });
        }
    }

    /// Is a point behind something?
    pub fn hides(&self, point: DVec3, view: &View) -> bool {
        self.hides_but(point, view, usize::MAX)
    }

    /// Is a point behind something else than this solid?
    pub fn hides_but(&self, point: DVec3, view: &View, own: usize) -> bool {
        let at = view.flat(point);
        self.facets.iter().filter(|facet| facet.owner != own).any(|facet| {
            let lean = facet.normal.dot(view.eye());
            if lean < 1e-6 || facet.ahead(point) > -1e-3 {
                return false;
            }
            facet.rings.iter().fold(false, |inside, ring| {
                let flat: Vec<Point> = ring.iter().map(|corner| view.flat(*corner)).collect();
                inside != crosses_odd(&flat, at)
            })
        })
    }

    /// The rectangle around all of it in a view's plane.
    fn around(&self, view: &View) -> Option<Rect> {
        let points = self.facets.iter().flat_map(|facet| &facet.rings[0]).map(|corner| view.flat(*corner));
        points.map(|p| Rect::from_points(p, p)).reduce(|a, b| a.union(b))
    }

    /// The scale (paper over life) at which it fills an area.
    pub fn scale(&self, view: &View, area: Rect) -> f64 {
        self.around(view).map_or(1.0, |around| (area.width() / around.width()).min(area.height() / around.height()))
    }

    /// What is seen of it, as large as the area allows but no larger than `most` (paper over life), its middle in the
    /// area's.
    pub fn show(&self, view: View, area: Rect, most: f64) -> Option<Shown> {
        let around = self.around(&view)?;
        let scale = self.scale(&view, area).min(most);
        let (from, to) = (around.center(), area.center());
        let to_paper = Affine::new([scale, 0.0, 0.0, -scale, to.x - from.x * scale, to.y + from.y * scale]);
        let bounds = to_paper.transform_rect_bbox(around);
        Some(Shown { view, to_paper, seen: seen(&self.facets, &view), bounds })
    }

    /// What is seen of it where another scene was shown, from the same eye.
    pub fn at_place_of(&self, other: &Shown) -> Shown {
        Shown { seen: seen(&self.facets, &other.view), ..*other }
    }

    pub fn draw(&self, shown: &Shown, picture: &mut Picture) {
        // What is marked has the wider lines: over the others.
        let layer = |owner: usize| match self.roles[owner] {
            Role::Wood => 0,
            Role::Added => 1,
            Role::Glue | Role::Fitting { .. } => 2,
        };
        for now in 0..3 {
            for face in shown.seen.iter().filter(|face| layer(face.owner) == now) {
                let outlines = rings_of(&face.region, shown.to_paper);
                picture.area(outlines, pen(self.roles[face.owner], shown.view.light(face.normal)));
                match self.roles[face.owner] {
                    Role::Glue => hatch(picture, &face.region, shown.to_paper, true, Pen::GlueLine),
                    // Wires along both axes.
                    Role::Fitting { mesh: true, .. } => {
                        hatch(picture, &face.region, shown.to_paper, true, Pen::Fine);
                        hatch(picture, &face.region, shown.to_paper, false, Pen::Fine);
                    }
                    _ => {}
                }
            }
        }
    }
}

/// Is a point inside a closed line?
fn crosses_odd(ring: &[Point], at: Point) -> bool {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    sides.fold(false, |inside, (a, b)| {
        let crosses = (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x;
        inside != crosses
    })
}

impl Shown {
    /// Takes the room of every edge that is drawn.
    pub fn take(&self, room: &mut Room) {
        for outline in self.seen.iter().flat_map(|face| rings_of(&face.region, self.to_paper)) {
            let mut points: Vec<Point> = outline.vertices.iter().map(|vertex| vertex.at).collect();
            points.extend(points.first().copied());
            room.take_path(&points);
        }
    }

    /// A point on paper in the middle of the largest patch that is seen of a solid.
    pub fn spot_on(&self, owner: usize) -> Option<Point> {
        let patches = self.seen.iter().filter(|face| face.owner == owner).flat_map(|face| &face.region);
        let largest = patches.max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
        let inside = largest.interior_point()?;
        Some(self.to_paper * Point::new(inside.x(), inside.y()))
    }

    /// Where a point in space comes to lie on paper.
    pub fn at(&self, point: DVec3) -> Point {
        self.to_paper * self.view.flat(point)
    }
}

/// Three tones by how much light falls on a face.
fn pen(role: Role, light: f64) -> Pen {
    let tone = if light > 0.6 {
        0
    } else if light > 0.1 {
        1
    } else {
        2
    };
    match role {
        Role::Wood => [Pen::WoodLight, Pen::WoodMiddle, Pen::WoodDark][tone],
        Role::Added => [Pen::AddedLight, Pen::AddedMiddle, Pen::AddedDark][tone],
        Role::Glue => Pen::Glue,
        Role::Fitting { now: true, .. } => Pen::AddedMiddle,
        Role::Fitting { now: false, .. } => Pen::Fitting,
    }
}
