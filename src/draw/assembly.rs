//! Pictures of a whole box: as it stands, and taken apart.

use super::balloon::balloons;
use super::dimension::LETTERS;
use super::explode::apart;
use super::form::{Form, Title};
use super::part::size_of;
use super::room::Room;
use super::scene::{Role, Scene};
use super::solid::extent;
use super::view::View;
use super::{Anchor, Pen, Picture, shortened};
use crate::design::Assembly;
use crate::geometry::{Point, Rect};
use crate::job::Job;
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

/// The box taken apart, every panel with its number in the cut list, and the list of its parts beside it.
pub fn exploded_view(made: &Made, index: usize) -> Picture {
    let assembly = &made.assemblies[index];
    let form = Form::lying(made.job.paper);
    let (mut picture, mut room) = form.start(&title(&made.job, assembly, (index, 2), "Exploded view"));
    let moved = apart(assembly);
    let scene = Scene::of(assembly, |_| Some(Role::Wood), |i| moved[i]);
    let open = form.open();
    let list = parts_list(&mut picture, &mut room, made, index, open);
    let area = Rect::new(open.x0 + 18.0, open.y0 + 4.0, list.x0 - 14.0, open.y1 - 4.0);
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

/// Number, name, pieces in one box and size of each part, along the right of the open paper. Returns the room it takes.
fn parts_list(picture: &mut Picture, room: &mut Room, made: &Made, index: usize, open: Rect) -> Rect {
    /// Widths of the columns and the height of a row (mm).
    const WIDE: [f64; 3] = [9.0, 62.0, 9.0];
    const HIGH: f64 = 8.4;
    let assembly = &made.assemblies[index];
    let of_box: Vec<usize> = (0..made.parts.len()).filter(|i| made.parts[*i].assembly == index).collect();
    let wide = WIDE.iter().sum::<f64>();
    // A list that is higher than the paper stops where the paper does: the cut list has them all.
    let most = ((open.height() - 8.0) / HIGH) as usize - 1;
    let rows = of_box.len().min(most);
    let area =
        Rect::new(open.x1 - wide - 3.0, open.y0 + 3.0, open.x1 - 3.0, open.y0 + 3.0 + HIGH * (rows as f64 + 0.7));
    let mut write = |x: f64, y: f64, anchor: Anchor, height: f64, text: &str| {
        picture.text(Point::new(x, y), height, anchor, false, text);
    };
    let heads = area.y0 + 4.0;
    write(area.x0 + WIDE[0] - 2.0, heads, Anchor::End, LETTERS, "No.");
    write(area.x0 + WIDE[0], heads, Anchor::Start, LETTERS, "part, and its size");
    write(area.x1, heads, Anchor::End, LETTERS, "in a box");
    let mut lines = vec![area.y0 + HIGH * 0.7];
    for (row, i) in of_box.iter().take(rows).enumerate() {
        let part = &made.parts[*i];
        let top = area.y0 + HIGH * (row as f64 + 0.7);
        let each = part.panels.len();
        write(area.x0 + WIDE[0] - 2.0, top + 3.6, Anchor::End, LETTERS, &(i + 1).to_string());
        let name = part.name.strip_prefix(&format!("{} ", assembly.name)).unwrap_or(&part.name);
        write(area.x0 + WIDE[0], top + 3.6, Anchor::Start, LETTERS, &shortened(name, LETTERS, WIDE[1]));
        let size = size_of(&made.job, part);
        write(area.x0 + WIDE[0], top + 7.2, Anchor::Start, LETTERS, &shortened(&size, LETTERS, WIDE[1]));
        write(area.x1, top + 3.6, Anchor::End, LETTERS, &each.to_string());
        lines.push(top + HIGH);
    }
    for y in lines {
        picture.line(Point::new(area.x0, y), Point::new(area.x1, y), Pen::Fine);
    }
    room.take_text(area);
    area
}

/// The number in the cut list of a panel of an assembly.
pub(super) fn number_of(made: &Made, assembly: usize, panel: usize) -> Option<usize> {
    let holds = |part: &crate::design::Part| part.assembly == assembly && part.panels.iter().any(|(i, _)| *i == panel);
    made.parts.iter().position(holds).map(|i| i + 1)
}

/// What a box is made from: each material once.
fn materials(job: &Job, assembly: &Assembly) -> String {
    let mut titles: Vec<&str> = Vec::new();
    for panel in &assembly.panels {
        let title = job.stock[assembly.stock_of(panel)].material.title.as_str();
        if !titles.contains(&title) {
            titles.push(title);
        }
    }
    titles.join(", ")
}

/// `of` is the place of the box in its job, and the number of this drawing among those of the box.
pub(super) fn title(job: &Job, assembly: &Assembly, of: (usize, usize), kind: &str) -> Title {
    Title {
        title: assembly.name.clone(),
        kind: kind.into(),
        number: format!("A {}.{}", of.0 + 1, of.1),
        sheet: "1 of 1".into(),
        scale: "not to scale".into(),
        material: materials(job, assembly),
        more: [
            ("Boxes", assembly.count.to_string()),
            ("Outside, width × depth × height", outside(assembly, job.units)),
            ("Parts in one box", assembly.panels.len().to_string()),
        ],
        ..Title::of(job)
    }
}

/// The upright block around the box.
fn outside(assembly: &Assembly, units: Units) -> String {
    let (least, most) = extent(assembly);
    let size = most - least;
    format!("{} × {} × {}", units.number(size.x), units.number(size.y), units.show(size.z))
}
