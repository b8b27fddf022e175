//! The small picture of the box on a part's drawing: which of its panels this is.

use super::dimension::LETTERS;
use super::label::free_spot;
use super::room::Room;
use super::scene::{Role, Scene};
use super::view::View;
use super::{Anchor, Picture, text_width};
use crate::design::Part;
use crate::geometry::{Point, Rect};
use crate::made::Made;
use glam::DVec3;

/// Sizes to try, the largest first (mm on paper).
const SIZES: [(f64, f64); 4] = [(40.0, 32.0), (32.0, 26.0), (25.0, 20.0), (19.0, 16.0)];

/// From above, from each corner, and how that is said.
const FROM: [(View, &str); 4] = [
    (View::CORNERS[0], "from the front, right"),
    (View::CORNERS[1], "from the front, left"),
    (View::CORNERS[2], "from behind, left"),
    (View::CORNERS[3], "from behind, right"),
];

/// Draws the box with the part's panels marked, in a corner of the open paper. `None` when there is no room for it; a part of
/// no box has none, and needs none.
pub(super) fn key(picture: &mut Picture, room: &mut Room, made: &Made, part: &Part, open: Rect) -> Option<()> {
    let assembly = made.assemblies.get(part.assembly).filter(|assembly| !assembly.loose);
    let (Some(assembly), Some((first, _))) = (assembly, part.panels.first()) else { return Some(()) };
    let (wide, high, spot) = SIZES.into_iter().find_map(|(wide, high)| {
        let corners = [
            Rect::new(open.x1 - 1.5 * wide, open.y0, open.x1, open.y0 + 1.5 * high),
            Rect::new(open.x0, open.y0, open.x0 + 1.5 * wide, open.y0 + 1.5 * high),
            open,
        ];
        corners.into_iter().find_map(|area| Some((wide, high, free_spot(room, area, wide + 2.0, high + 6.0)?)))
    })?;
    let normal = assembly.panels[*first].place.normal();
    let (view, from) = *FROM.iter().find(|(view, _)| view.faces(normal)).unwrap_or(&FROM[0]);
    let is_it = |panel: usize| part.panels.iter().any(|(index, _)| *index == panel);
    let whole = Scene::of(assembly, |_| Some(Role::Wood), |_| DVec3::ZERO);
    let area = Rect::new(spot.x0 + 1.0, spot.y0 + 1.0, spot.x0 + 1.0 + wide, spot.y0 + 1.0 + high);
    let shown = whole.show(view, area, f64::INFINITY)?;
    whole.draw(&shown, picture);
    // What stands before the part is looked through.
    let marked = Scene::of(assembly, |panel| is_it(panel).then_some(Role::Added), |_| DVec3::ZERO);
    marked.draw(&marked.at_place_of(&shown), picture);
    let at = Point::new(spot.center().x, spot.y1 - 1.2);
    if text_width(from, LETTERS) <= spot.width() {
        picture.text(at, LETTERS, Anchor::Middle, false, from);
    }
    room.take_text(spot);
    Some(())
}
