//! A part as every paper shows it: as its panel stands in the box, looked at from one agreed side.
//!
//! A wall is seen from outside, its upper edge up. What lies flat (a floor, a cover, a shelf) is seen from above, its back edge
//! up, as it lies before the maker. Holes of a spec are measured in this view, so whatever names an edge names the same one.

use super::part::lying;
use super::{Assembly, Face, Panel, Part};
use crate::geometry::{Affine, Point, Side};

/// Panels whose outer face looks up or down more steeply than this (cosine to the upright) are lying ones.
const LYING: f64 = 0.7;

/// How a panel is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelView {
    /// From the panel's frame into the view's: x to the right, y up, the lower-left corner of the rectangle around the panel at
    /// the origin.
    pub onto: Affine,
    /// The face towards the viewer.
    pub seen: Face,
    /// Seen from above, not from outside.
    pub lies: bool,
}

impl Panel {
    /// How every paper looks at this panel, and a spec measures on it.
    pub fn view(&self) -> PanelView {
        let bounds = self.outline.bounds();
        let looks = self.place.normal().z;
        let lies = looks.abs() > LYING;
        if looks < -LYING {
            // From above one sees its inner face; its frame, made for looking from below, has the front edge up.
            let onto = Affine::new([1.0, 0.0, 0.0, -1.0, -bounds.x0, bounds.y1]);
            return PanelView { onto, seen: Face::Inner, lies };
        }
        PanelView { onto: Affine::translate(-bounds.origin().to_vec2()), seen: Face::Outer, lies }
    }
}

/// A part in the frame of its [view](Panel::view), with the names of its edges.
#[derive(Clone, Debug)]
pub struct Elevation {
    /// The part moved into the frame of the view: its `length` runs across the picture and its `width` up, `up` is the face
    /// towards the viewer, and recesses of the other face are `under`.
    pub part: Part,
    /// The panel that is shown: one piece may serve in several places.
    pub panel: String,
    pub lies: bool,
    /// Where in the box the left and the right end are, if that is not what these edges are called.
    pub towards: Option<[&'static str; 2]>,
}

impl Part {
    /// The part as the first of its panels stands in its box.
    pub fn elevation(&self, assembly: &Assembly) -> Elevation {
        let shown = self.panels.first().and_then(|(index, to_part)| Some((assembly.panels.get(*index)?, to_part)));
        let Some((panel, to_part)) = shown else {
            // A part of no panel is shown as it lies.
            return Elevation { part: self.clone(), panel: self.name.clone(), lies: false, towards: None };
        };
        let view = panel.view();
        let corners: Vec<Point> = self.square_corners.iter().map(|corner| to_part.inverse() * *corner).collect();
        let placed = lying(panel, &corners, view.onto, false);
        let bounds = placed.outline.bounds();
        let onto_view = view.onto * to_part.inverse();
        let part = Part {
            length: bounds.width(),
            width: bounds.height(),
            grain: placed.grain,
            outline: placed.outline,
            holes: placed.holes,
            screw_holes: self.screw_holes.iter().map(|hole| hole.placed(onto_view)).collect(),
            joint_lines: placed.joint_lines,
            pockets: placed.pockets,
            square_corners: placed.square_corners,
            up: view.seen,
            ..self.clone()
        };
        let lies = view.lies && !assembly.loose;
        Elevation { part, panel: panel.name.clone(), lies, towards: towards(panel, lies) }
    }
}

/// What a spec calls the edge at a side of the view of a panel that lies, or stands.
pub fn edge_name(side: Side, lies: bool) -> &'static str {
    match (side, lies) {
        (Side::Lower, true) => "front",
        (Side::Upper, true) => "back",
        _ => side.name(),
    }
}

impl Elevation {
    /// What a spec calls the edge at this side of the picture.
    pub fn edge(&self, side: Side) -> &'static str {
        edge_name(side, self.lies)
    }

    /// `left and lower`, `left and front`: the edges from which everything is measured.
    pub fn datum(&self) -> String {
        format!("{} and {}", self.edge(Side::Left), self.edge(Side::Lower))
    }

    /// How one looks at it: `seen from outside`.
    pub fn seen(&self) -> &'static str {
        if self.lies { "seen from above" } else { "seen from outside" }
    }
}

/// A wall at the side of a box has its ends at the front and the back; the left edge of one that is seen from behind is at the
/// right of the box as one stands before it.
fn towards(panel: &Panel, lies: bool) -> Option<[&'static str; 2]> {
    let right = panel.place.u;
    if lies {
        return None;
    }
    match (right.x, right.y) {
        (_, y) if y > LYING => Some(["front", "back"]),
        (_, y) if y < -LYING => Some(["back", "front"]),
        (x, _) if x < -LYING => Some(["box's right", "box's left"]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Board, Facing, Hole, HoleUse, parts};
    use glam::DVec3;

    fn part_of(panel: Panel) -> (Part, Assembly) {
        let assembly = Assembly { count: 1, ..Assembly::new(vec![panel]) };
        let part = parts(std::slice::from_ref(&assembly), |_| Board::plain(12.0, None)).remove(0);
        (part, assembly)
    }

    /// Where in space a point of the view is: to the right, up or away as the box stands before the maker.
    fn hole_at(facing: Facing, at: [f64; 3]) -> (Elevation, Point) {
        let panel = Panel::block("it", "it", facing, DVec3::ZERO, DVec3::new(300.0, 200.0, 500.0).map_thin(facing));
        let (centre, _) = panel.place.to_flat(DVec3::from(at));
        let (part, assembly) = part_of(panel.with_hole(Hole::round(HoleUse::Vent, centre, 10.0)));
        let elevation = part.elevation(&assembly);
        let centre = elevation.part.holes[0].centre;
        (elevation, centre)
    }

    trait Thin {
        fn map_thin(self, facing: Facing) -> Self;
    }

    impl Thin for DVec3 {
        fn map_thin(mut self, facing: Facing) -> DVec3 {
            match facing {
                Facing::Front | Facing::Back => self.y = 12.0,
                Facing::Left | Facing::Right => self.x = 12.0,
                Facing::Up | Facing::Down => self.z = 12.0,
            }
            self
        }
    }

    #[test]
    fn a_tall_front_is_shown_upright_and_its_hole_from_its_own_edges() {
        let (front, hole) = hole_at(Facing::Front, [40.0, 0.0, 22.0]);
        assert_eq!((front.part.length, front.part.width), (300.0, 500.0));
        assert!(hole.distance(Point::new(40.0, 22.0)) < 1e-9, "{hole:?}");
        assert_eq!((front.datum().as_str(), front.part.up), ("left and lower", Face::Outer));
    }

    /// From outside, a back has the box's right side at its left, and a left side its back.
    #[test]
    fn walls_are_seen_from_outside() {
        let (_, hole) = hole_at(Facing::Back, [40.0, 12.0, 22.0]);
        assert!(hole.distance(Point::new(260.0, 22.0)) < 1e-9, "{hole:?}");
        let (left, hole) = hole_at(Facing::Left, [0.0, 40.0, 22.0]);
        assert!(hole.distance(Point::new(160.0, 22.0)) < 1e-9, "{hole:?}");
        assert_eq!(left.towards, Some(["back", "front"]));
        let (right, hole) = hole_at(Facing::Right, [12.0, 40.0, 22.0]);
        assert!(hole.distance(Point::new(40.0, 22.0)) < 1e-9, "{hole:?}");
        assert_eq!(right.towards, Some(["front", "back"]));
    }

    #[test]
    fn floors_and_covers_are_seen_from_above_with_the_back_edge_up() {
        for (facing, seen) in [(Facing::Up, Face::Outer), (Facing::Down, Face::Inner)] {
            let (it, hole) = hole_at(facing, [40.0, 30.0, 0.0]);
            assert!(hole.distance(Point::new(40.0, 30.0)) < 1e-9, "{facing:?} {hole:?}");
            assert_eq!((it.datum().as_str(), it.part.up), ("left and front", seen));
        }
    }
}
