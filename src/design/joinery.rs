//! Joints cut into panels that meet: rabbets, grooves and fingers.
//!
//! Each starts from two panels that butt, an edge of one on a face of the other, and takes from both what the joint
//! needs. The box's outside stays as it was; only what is inside the corner changes.

use super::{Contact, Face, Panel, Pocket, SurfaceKind, contacts};
use crate::design::Board;
use crate::geometry::{Outline, Point, Rect, SAME, Segment, Vec2, Vertex};
use std::fmt;

/// How joints are to be cut.
#[derive(Clone, Copy, Debug)]
pub struct Joinery {
    /// Room between the two panels of a joint, across it: a groove is this much wider than what goes into it (mm).
    pub play: f64,
    /// Diameter of the cutter (mm).
    pub cutter: f64,
}

/// Where a recess is open to an edge it reaches past it by the cutter's radius and this (mm).
const HAIR: f64 = 0.1;

/// A notch this many cutter diameters wide has room for the relief of both its corners, along their diagonals: 1.42, and a
/// little.
pub const RELIEVED: f64 = 1.5;

/// A notch takes a cutter with this much room to spare, as a share of its diameter.
const ROOM: f64 = 1.1;

/// Why a joint cannot be cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum JointFault {
    /// No straight edge of one lies on a face of the other.
    Apart,
    /// The corner is too short for three fingers: its length, and the least that would do (mm).
    Short { length: f64, least: f64 },
}

impl fmt::Display for JointFault {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            JointFault::Apart => f.write_str("the two panels do not meet edge on face"),
            JointFault::Short { length, least } => {
                write!(f, "{length:.1} mm are too short for three fingers: {least:.1} mm would do")
            }
        }
    }
}

/// Where an edge of one panel lies on a face of another, as an upright rectangle in the other's frame.
struct Meeting {
    face: Face,
    rect: Rect,
    /// Number of the entering panel's edge.
    edge: usize,
    /// Across the entering panel's thickness, in the receiver's frame; its sign has no meaning.
    across: Vec2,
}

impl Meeting {
    fn of(receiver: &Panel, entering: &Panel) -> Option<Meeting> {
        let pair = [receiver.clone(), entering.clone()];
        let edge_on_face = |contact: &Contact| {
            let (SurfaceKind::Face(face), SurfaceKind::Edge(edge)) = (contact.surfaces[0], contact.surfaces[1]) else {
                return None;
            };
            let (_, region) = contact.on_face(0, &pair)?;
            let bounds = geo::BoundingRect::bounding_rect(&region)?;
            let rect = Rect::new(bounds.min().x, bounds.min().y, bounds.max().x, bounds.max().y);
            let rect = snapped(rect, receiver, entering);
            let normal = entering.place.normal();
            let across = Vec2::new(normal.dot(receiver.place.u), normal.dot(receiver.place.v));
            let upright = across.x.abs() < 1e-6 || across.y.abs() < 1e-6;
            upright.then_some((contact.area, Meeting { face, rect, edge, across }))
        };
        contacts(&pair).iter().filter_map(edge_on_face).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, meeting)| meeting)
    }
}

/// The rectangle with each side put exactly on the corner of a panel that made it: polygon algebra rounds a little.
fn snapped(rect: Rect, receiver: &Panel, entering: &Panel) -> Rect {
    let corners = entering.outline.vertices.iter().flat_map(|vertex| {
        [0.0, -entering.thickness].map(|w| receiver.place.to_flat(entering.place.to_space(vertex.at, w)).0)
    });
    let corners: Vec<Point> = receiver.outline.vertices.iter().map(|vertex| vertex.at).chain(corners).collect();
    let across: Vec<f64> = corners.iter().map(|corner| corner.x).collect();
    let up: Vec<f64> = corners.iter().map(|corner| corner.y).collect();
    let nearest = |value: f64, known: &[f64]| {
        let near = known.iter().copied().min_by(|a, b| (a - value).abs().total_cmp(&(b - value).abs()));
        near.filter(|near| (near - value).abs() < 1e-3).unwrap_or(value)
    };
    Rect::new(nearest(rect.x0, &across), nearest(rect.y0, &up), nearest(rect.x1, &across), nearest(rect.y1, &up))
}

impl Joinery {
    pub fn new(board: &Board, play: f64) -> Joinery {
        Joinery { play, cutter: board.cutter_or_usual() }
    }

    /// The narrowest notch that can be cut (mm).
    pub fn narrowest(&self) -> f64 {
        ROOM * self.cutter
    }

    /// Cuts a recess with a flat floor over a rectangle of a panel's face, open wherever it reaches the panel's edge.
    pub fn recess(&self, panel: &mut Panel, face: Face, rect: Rect, depth: f64, purpose: &str) {
        let outline = self.opened(&panel.outline, rect.intersect(panel.outline.bounds()), 0.0);
        panel.pockets.push(Pocket { purpose: purpose.into(), face, outline, depth });
    }

    /// Cuts a groove over a rectangle of a panel's face for what goes into it: wider by the play, open wherever it reaches the
    /// panel's edge. One too narrow for the relief of square corners runs on past its ends instead, by the cutter's radius.
    pub fn groove(&self, panel: &mut Panel, face: Face, rect: Rect, depth: f64, purpose: &str) {
        let on = if rect.width().min(rect.height()) < RELIEVED * self.cutter { self.cutter / 2.0 } else { 0.0 };
        let rect = if rect.width() > rect.height() { rect.inflate(on, 0.0) } else { rect.inflate(0.0, on) };
        let outline = self.opened(&panel.outline, rect.intersect(panel.outline.bounds()), self.play);
        panel.pockets.push(Pocket { purpose: purpose.into(), face, outline, depth });
    }

    /// Lets the edge of `entering` into the face of `receiver` on which it stands, `depth` deep: along the receiver's
    /// edge that is a rabbet, elsewhere a groove.
    ///
    /// # Errors
    /// When the two do not meet edge on face.
    pub fn let_in(
        &self,
        panels: &mut [Panel],
        receiver: usize,
        entering: usize,
        depth: f64,
        purpose: &str,
    ) -> Result<(), JointFault> {
        let meeting = Meeting::of(&panels[receiver], &panels[entering]).ok_or(JointFault::Apart)?;
        let outline = self.opened(&panels[receiver].outline, meeting.rect, self.play);
        panels[receiver].pockets.push(Pocket { purpose: purpose.into(), face: meeting.face, outline, depth });
        let entering = &mut panels[entering];
        entering.outline = edge_moved(&entering.outline, meeting.edge, depth);
        Ok(())
    }

    /// Fingers along the corner where `butting` ends on the face of `through`: an odd number of equal ones, the first
    /// and the last on `through`, each about `width` wide and as deep as the other board is thick.
    ///
    /// # Errors
    /// When the panels do not meet at an edge of `through`, or the corner is too short.
    pub fn fingers(
        &self,
        panels: &mut [Panel],
        through: usize,
        butting: usize,
        width: f64,
    ) -> Result<usize, JointFault> {
        let meeting = Meeting::of(&panels[through], &panels[butting]).ok_or(JointFault::Apart)?;
        let Meeting { rect, across, .. } = meeting;
        let out = [across, -across]
            .into_iter()
            .find(|out| !panels[through].outline.contains(beyond(rect, *out)))
            .ok_or(JointFault::Apart)?;
        // The corner's line, in the through panel's frame.
        let start = rect.center() + Vec2::new(out.x * rect.width(), out.y * rect.height()) / 2.0;
        let along = Vec2::new(-out.y, out.x);
        let length = (along.x * rect.width()).abs() + (along.y * rect.height()).abs();
        let least = self.narrowest();
        let count = ((length / width.max(least)).floor() as usize).max(3);
        let count = if count.is_multiple_of(2) { count - 1 } else { count };
        let finger = length / count as f64;
        if finger < least {
            return Err(JointFault::Short { length, least: 3.0 * least });
        }
        let corner = |at: f64| start + along * (at - length / 2.0);
        let butting_owns: Vec<(f64, f64)> =
            (1..count).step_by(2).map(|i| (i as f64 * finger, (i + 1) as f64 * finger)).collect();
        let grown = |by: f64| {
            butting_owns.iter().map(move |(from, to)| (corner(from - by), corner(to + by))).collect::<Vec<_>>()
        };
        let half = self.play / 2.0;

        let edge = panels[through].outline.segments().position(|side| lies_on(&side, corner(0.0), corner(length)));
        let edge = edge.ok_or(JointFault::Apart)?;
        let notches = grown(half);
        let fingers: Vec<(Point, Point)> = grown(-half)
            .into_iter()
            .map(|(from, to)| {
                let across = |at| panels[butting].place.to_flat(panels[through].place.to_space(at, 0.0)).0;
                (across(from), across(to))
            })
            .collect();
        let (depth, reach) = (panels[butting].thickness, panels[through].thickness);
        panels[through].outline = crenellated(&panels[through].outline, edge, &notches, -depth);
        panels[butting].outline = crenellated(&panels[butting].outline, meeting.edge, &fingers, reach);
        Ok(count)
    }

    /// The rectangle as a recess in this outline: past the edge where it is open, wider by the play where it is not.
    fn opened(&self, outline: &Outline, rect: Rect, play: f64) -> Outline {
        let open = |out: Vec2| !outline.contains(beyond(rect, out));
        let past = self.cutter / 2.0 + HAIR;
        // The play goes where there is wood: half to each side, or all to one where the other is open.
        let grow = |out: Vec2| {
            if open(out) {
                past
            } else if open(-out) {
                play
            } else {
                play / 2.0
            }
        };
        let (x, y) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
        Outline::from_rect(Rect::new(rect.x0 - grow(-x), rect.y0 - grow(-y), rect.x1 + grow(x), rect.y1 + grow(y)))
    }
}

/// Just past the middle of a rectangle's side.
fn beyond(rect: Rect, out: Vec2) -> Point {
    const STEP: f64 = 0.2;
    rect.center() + Vec2::new(out.x * (rect.width() / 2.0 + STEP), out.y * (rect.height() / 2.0 + STEP))
}

/// Do both points lie on the straight side?
fn lies_on(side: &Segment, a: Point, b: Point) -> bool {
    let near = 0.01;
    let on = |p: Point| {
        let along = side.direction(0.0);
        let arm = p - side.start;
        along.cross(arm).abs() < near && arm.dot(along) > -near && arm.dot(along) < side.chord() + near
    };
    !side.is_arc() && side.chord() > SAME && on(a) && on(b)
}

/// Out of a counter-clockwise outline, at right angles to a straight side.
fn outward(side: &Segment) -> Vec2 {
    let along = side.direction(0.0);
    Vec2::new(along.y, -along.x)
}

/// The outline with one straight side moved outward, its neighbours made longer as they run.
fn edge_moved(outline: &Outline, edge: usize, by: f64) -> Outline {
    let sides: Vec<Segment> = outline.segments().collect();
    let count = sides.len();
    let out = outward(&sides[edge]);
    let mut moved = outline.clone();
    let slide = |along: Vec2| {
        let share = along.dot(out);
        if share.abs() > 0.1 { along * (by / share) } else { out * by }
    };
    moved.vertices[edge].at += slide(sides[(edge + count - 1) % count].direction(1.0));
    moved.vertices[(edge + 1) % count].at += slide(-sides[(edge + 1) % count].direction(0.0));
    moved
}

/// The outline with stretches of one straight side, given by their ends, moved outward by `by` (inward when negative).
fn crenellated(outline: &Outline, edge: usize, stretches: &[(Point, Point)], by: f64) -> Outline {
    let side = outline.segments().nth(edge).unwrap_or(Segment { start: Point::ZERO, end: Point::ZERO, bulge: 0.0 });
    let (along, step) = (side.direction(0.0), outward(&side) * by);
    let place = |p: &Point| (*p - side.start).dot(along);
    let mut spans: Vec<(f64, f64)> =
        stretches.iter().map(|(a, b)| (place(a).min(place(b)), place(a).max(place(b)))).collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let corners = spans.iter().flat_map(|(from, to)| {
        let (from, to) = (side.start + along * *from, side.start + along * *to);
        [from, from + step, to + step, to].map(|at| Vertex { at, bulge: 0.0 })
    });
    let mut vertices = outline.vertices.clone();
    vertices.splice(edge + 1..edge + 1, corners);
    Outline { vertices }
}

#[cfg(test)]
mod tests {
    use super::super::{Facing, square_corners};
    use super::*;
    use glam::DVec3;

    const JOINERY: Joinery = Joinery { play: 0.2, cutter: 6.0 };

    /// A side 12 thick, 300 long and `high`, and an end 10 thick that butts on its inner face, flush in front.
    fn corner(high: f64) -> Vec<Panel> {
        vec![
            Panel::block("side", "side", Facing::Left, DVec3::ZERO, DVec3::new(12.0, 300.0, high)),
            Panel::block("end", "end", Facing::Front, DVec3::new(12.0, 0.0, 0.0), DVec3::new(200.0, 10.0, high)),
        ]
    }

    fn volume(panel: &Panel) -> f64 {
        let inside = |pocket: &Pocket| {
            use geo::BooleanOps;
            let cut = crate::geometry::to_polygon(&pocket.outline);
            crate::geometry::region_area(&cut.intersection(&crate::geometry::to_polygon(&panel.outline)))
        };
        panel.outline.area() * panel.thickness
            - panel.pockets.iter().map(|pocket| inside(pocket) * pocket.depth).sum::<f64>()
    }

    #[test]
    fn a_rabbet_takes_from_one_what_the_other_gains_and_the_play() {
        let mut panels = corner(100.0);
        let before: Vec<f64> = panels.iter().map(volume).collect();
        JOINERY.let_in(&mut panels, 0, 1, 6.0, "rabbet").expect("they meet");
        let (taken, gained) = (before[0] - volume(&panels[0]), volume(&panels[1]) - before[1]);
        assert!((gained - 6.0 * 10.0 * 100.0).abs() < 1e-6, "{gained}");
        assert!((taken - 6.0 * 10.2 * 100.0).abs() < 1e-3, "{taken}");
        let glued: f64 = contacts(&panels).iter().map(|contact| contact.area).sum();
        assert!((glued - (10.0 + 6.0) * 100.0).abs() < 1.0, "{glued}");
        // The end's two corners reach into the rabbet over its whole height; both ends of it are open.
        assert!(square_corners(&panels, 0, 6.0).is_empty());
    }

    #[test]
    fn a_groove_that_stops_short_has_its_two_blind_corners_square() {
        let mut panels = corner(100.0);
        panels[1] =
            Panel::block("end", "end", Facing::Front, DVec3::new(12.0, 0.0, 0.0), DVec3::new(200.0, 10.0, 80.0));
        JOINERY.let_in(&mut panels, 0, 1, 6.0, "rabbet").expect("they meet");
        let corners = square_corners(&panels, 0, 6.0);
        assert_eq!(corners.len(), 1, "one corner is blind, the other is open to the edge: {corners:?}");
    }

    #[test]
    fn fingers_are_symmetric_and_as_deep_as_the_other_board_is_thick() {
        let mut panels = corner(170.0);
        let count = JOINERY.fingers(&mut panels, 0, 1, 20.0).expect("long enough");
        assert_eq!(count, 7);
        for (panel, depth) in panels.iter().zip([10.0, 12.0]) {
            let bounds = panel.outline.bounds();
            let middle = bounds.center().y;
            let mirrored = |at: Point| Point::new(at.x, 2.0 * middle - at.y);
            for vertex in &panel.outline.vertices {
                let twin = mirrored(vertex.at);
                assert!(panel.outline.vertices.iter().any(|other| other.at.distance(twin) < 1e-9), "{}", panel.name);
            }
            let mut columns: Vec<f64> = panel.outline.vertices.iter().map(|vertex| vertex.at.x).collect();
            columns.sort_by(f64::total_cmp);
            columns.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            let deep = columns.windows(2).any(|pair| (pair[1] - pair[0] - depth).abs() < 1e-9);
            assert!(deep, "{}: {columns:?}", panel.name);
        }
        // Flanks of six meetings, and the bottoms of all seven.
        let glued: f64 = contacts(&panels).iter().map(|contact| contact.area).sum();
        let (flanks, bottoms) = (6.0 * 10.0 * 12.0, 4.0 * 170.0 / 7.0 * 12.0 + 3.0 * 170.0 / 7.0 * 10.0);
        assert!(glued > flanks + 0.9 * bottoms && glued < flanks + 1.1 * bottoms + 170.0 * 10.0, "{glued}");
        // Three notches in one, four gaps in the other, of which the outer two are open above and below.
        assert_eq!(square_corners(&panels, 0, 6.0).len(), 6);
        assert_eq!(square_corners(&panels, 1, 6.0).len(), 6);
    }

    #[test]
    fn a_corner_too_short_for_three_fingers_says_what_would_do() {
        let fault = JOINERY.fingers(&mut corner(19.0), 0, 1, 20.0).expect_err("three of 6.3 are too narrow");
        assert!(matches!(fault, JointFault::Short { least, .. } if (least - 19.8).abs() < 1e-9), "{fault}");
        let apart = vec![corner(50.0)[0].clone(), Panel::flat("far", 50.0, 50.0, 12.0)];
        assert_eq!(JOINERY.let_in(&mut apart.clone(), 1, 0, 5.0, "rabbet"), Err(JointFault::Apart));
    }
}
