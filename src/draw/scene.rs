//! A box in isometric view: panels moved apart or not, some of them marked.

use super::part::rings_of;
use super::room::Room;
use super::solid::{Facet, facets};
use super::view::{Seen, View, seen};
use super::{Pen, Picture};
use crate::design::Assembly;
use crate::geometry::{Affine, Point, Rect};
use geo::{Area, InteriorPoint};
use glam::DVec3;

/// How a solid of a scene is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Wood,
    /// What a step adds, or what a picture is about.
    Added,
}

/// Solids to be looked at.
#[derive(Clone, Debug, Default)]
pub(super) struct Scene {
    facets: Vec<Facet>,
    roles: Vec<Role>,
}

/// A scene on paper.
pub(super) struct Shown {
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

    /// What is seen of it, as large as the area allows but no larger than `most` (paper over life), its middle in the
    /// area's.
    pub fn show(&self, area: Rect, most: f64) -> Option<Shown> {
        let view = View::ISOMETRIC;
        let points = self.facets.iter().flat_map(|facet| &facet.rings[0]).map(|corner| view.flat(*corner));
        let around = points.map(|p| Rect::from_points(p, p)).reduce(|a, b| a.union(b))?;
        let scale = (area.width() / around.width()).min(area.height() / around.height()).min(most);
        let (from, to) = (around.center(), area.center());
        let to_paper = Affine::new([scale, 0.0, 0.0, -scale, to.x - from.x * scale, to.y + from.y * scale]);
        let bounds = to_paper.transform_rect_bbox(around);
        Some(Shown { to_paper, seen: seen(&self.facets, &view), bounds })
    }

    pub fn draw(&self, shown: &Shown, picture: &mut Picture) {
        // What is marked has the wider lines: over the others.
        for marked in [false, true] {
            for face in shown.seen.iter().filter(|face| (self.roles[face.owner] == Role::Added) == marked) {
                picture.area(rings_of(&face.region, shown.to_paper), pen(self.roles[face.owner], face.normal));
            }
        }
    }
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
}

/// Three tones by how much a face is turned to the light, which comes from above, from the left and from in front.
fn pen(role: Role, normal: DVec3) -> Pen {
    let light = normal.dot(DVec3::new(-0.25, -0.45, 0.86));
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
    }
}
