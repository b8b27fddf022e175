//! Pictures of a whole box: as it stands, and taken apart.

use super::Picture;
use super::balloon::balloons;
use super::explode::apart;
use super::form::{Form, Title};
use super::room::Room;
use super::scene::{Role, Scene};
use super::solid::extent;
use super::view::View;
use crate::design::Assembly;
use crate::geometry::{Point, Rect};
use crate::made::Made;
use crate::units::Units;
use glam::DVec3;

/// Pictures of boxes are at most this large (paper over life).
pub(super) const MOST: f64 = 0.5;

/// The finished box, in an area of a picture. Gives back the rectangle it takes.
pub(super) fn finished(picture: &mut Picture, room: &mut Room, assembly: &Assembly, area: Rect) -> Option<Rect> {
    let scene = Scene::of(assembly, |_| Some(Role::Wood), |_| DVec3::ZERO);
    let shown = scene.show(View::ISOMETRIC, area, MOST)?;
    scene.draw(&shown, picture);
    shown.take(room);
    Some(shown.bounds)
}

/// The box taken apart, every panel with its number in the cut list.
pub fn exploded_view(made: &Made, index: usize) -> Picture {
    let assembly = &made.assemblies[index];
    let form = Form::lying(made.job.paper);
    let (mut picture, mut room) = form.start(&title(made, index, "Exploded view", 2));
    let moved = apart(assembly);
    let scene = Scene::of(assembly, |_| Some(Role::Wood), |i| moved[i]);
    let open = form.open();
    let area = Rect::new(open.x0 + 18.0, open.y0 + 4.0, open.x1 - 18.0, open.y1 - 4.0);
    if let Some(shown) = scene.show(View::ISOMETRIC, area, MOST) {
        scene.draw(&shown, &mut picture);
        shown.take(&mut room);
        let numbered: Vec<(usize, Point)> = (0..assembly.panels.len())
            .filter_map(|panel| Some((number_of(made, index, panel)?, shown.spot_on(panel)?)))
            .collect();
        let around = Rect::new(shown.bounds.x0, area.y0, shown.bounds.x1, area.y1);
        balloons(&mut picture, &mut room, around, &numbered);
    }
    picture.titled(format!("{}, taken apart", assembly.name))
}

/// The number in the cut list of a panel of an assembly.
pub(super) fn number_of(made: &Made, assembly: usize, panel: usize) -> Option<usize> {
    let holds = |part: &crate::design::Part| part.assembly == assembly && part.panels.iter().any(|(i, _)| *i == panel);
    made.parts.iter().position(holds).map(|i| i + 1)
}

pub(super) fn title(made: &Made, index: usize, kind: &str, number: usize) -> Title {
    let assembly = &made.assemblies[index];
    Title {
        title: assembly.name.clone(),
        job: made.job.title.clone(),
        kind: kind.into(),
        number: format!("A {}.{number}", index + 1),
        sheet: "1 of 1".into(),
        scale: "not to scale".into(),
        material: made.job.stock[assembly.stock].material.title.clone(),
        more: [
            ("Boxes", assembly.count.to_string()),
            ("Outside, width × depth × height", outside(assembly, made.job.units)),
            ("Parts in one box", assembly.panels.len().to_string()),
        ],
        ..Title::default()
    }
}

/// The upright block around the box.
fn outside(assembly: &Assembly, units: Units) -> String {
    let (least, most) = extent(assembly);
    let size = most - least;
    format!("{} × {} × {}", units.number(size.x), units.number(size.y), units.show(size.z))
}
