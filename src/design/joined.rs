//! How two panels are joined: their contacts taken together.

use super::{Assembly, Contact, SurfaceKind};
use crate::geometry::Point;
use glam::DVec3;

/// What a joint looks like to the one who glues it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointKind {
    /// An edge on a face.
    Butt,
    /// A face on a face.
    Lap,
    /// An edge, or a whole board, let into a pocket.
    Housed,
    /// Fingers of one between fingers of the other.
    Finger,
    /// An edge on an edge.
    EdgeToEdge,
}

impl JointKind {
    pub fn name(self) -> &'static str {
        match self {
            JointKind::Butt => "butt",
            JointKind::Lap => "lap",
            JointKind::Housed => "housed",
            JointKind::Finger => "finger",
            JointKind::EdgeToEdge => "edge-to-edge",
        }
    }
}

/// Everything that two panels have of each other.
#[derive(Clone, Debug)]
pub struct Joint {
    pub kind: JointKind,
    /// By index, the lower first.
    pub panels: [usize; 2],
    /// Their contacts, as places in the list the joint was made from.
    pub contacts: Vec<usize>,
    /// Area of all contacts (mm²).
    pub area: f64,
    /// How far the joint runs along its line (mm), and how wide it is across.
    pub length: f64,
    pub width: f64,
    /// The panels belong to one sub-assembly: the joint is glued and fastened.
    pub glued: bool,
    /// The panel that a nail is driven through, into the other one's wood.
    pub through: usize,
    /// Wood the nail passes first (mm), and the wood it then finds ahead.
    pub outer_wood: f64,
    pub inner_wood: f64,
    /// The contacts it passes, as places in the list the joint was made from: one, or those of fingers in their order.
    pub nailed: Vec<usize>,
}

impl Joint {
    pub fn other(&self, panel: usize) -> Option<usize> {
        match self.panels {
            [a, b] if a == panel => Some(b),
            [a, b] if b == panel => Some(a),
            _ => None,
        }
    }

    /// The panel a nail ends in.
    pub fn into(&self) -> usize {
        if self.panels[0] == self.through { self.panels[1] } else { self.panels[0] }
    }
}

/// The joints of an assembly, from its contacts; in the order of their panels.
pub fn joints(assembly: &Assembly, contacts: &[Contact]) -> Vec<Joint> {
    let mut pairs: Vec<[usize; 2]> = contacts.iter().map(|contact| contact.panels).collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs.into_iter().filter_map(|pair| joint(assembly, contacts, pair)).collect()
}

fn joint(assembly: &Assembly, contacts: &[Contact], panels: [usize; 2]) -> Option<Joint> {
    let own: Vec<usize> = (0..contacts.len()).filter(|i| contacts[*i].panels == panels).collect();
    let kind = kind(contacts, &own);
    // The joint's line: the longest line through all patches, as a nail gun would follow it.
    let (mut least, mut most) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for corner in own.iter().flat_map(|i| corners(&contacts[*i])) {
        least = least.min(corner);
        most = most.max(corner);
    }
    let mut spans = (most - least).to_array();
    spans.sort_by(f64::total_cmp);
    let largest = own.iter().max_by(|a, b| contacts[**a].area.total_cmp(&contacts[**b].area))?;
    // A nail goes in through a face; the cheeks of fingers, edge on edge, may be larger than what it then passes.
    let from_face = |i: &&usize| contacts[**i].surfaces.iter().any(|surface| is_face(*surface));
    let passed = own.iter().filter(from_face).max_by(|a, b| contacts[**a].area.total_cmp(&contacts[**b].area));
    let passed = *passed.unwrap_or(largest);
    let (through, outer_wood, inner_wood) = nailing(assembly, &contacts[passed]);
    let mut nailed = vec![passed];
    if kind == JointKind::Finger {
        let alike = |i: &&usize| from_face(i) && nailing(assembly, &contacts[**i]).0 == through;
        nailed = own.iter().filter(alike).copied().collect();
        let axis = spans_axis(least, most);
        nailed.sort_by(|a, b| middle(&contacts[*a]).dot(axis).total_cmp(&middle(&contacts[*b]).dot(axis)));
    }
    Some(Joint {
        kind,
        panels,
        area: own.iter().map(|i| contacts[*i].area).sum(),
        length: spans[2],
        width: spans[1],
        glued: contacts.get(*largest).is_some_and(|contact| assembly.is_glued(contact)),
        contacts: own,
        through,
        outer_wood,
        inner_wood,
        nailed,
    })
}

/// The axis along which the joint is longest.
fn spans_axis(least: DVec3, most: DVec3) -> DVec3 {
    let spans = most - least;
    DVec3::AXES.into_iter().max_by(|a, b| spans.dot(*a).total_cmp(&spans.dot(*b))).unwrap_or(DVec3::X)
}

/// The middle of a contact's patch, in space.
pub fn middle(contact: &Contact) -> DVec3 {
    let (sum, count) = corners(contact).fold((DVec3::ZERO, 0.0), |(sum, count), at| (sum + at, count + 1.0));
    sum / f64::max(count, 1.0)
}

fn kind(contacts: &[Contact], own: &[usize]) -> JointKind {
    use SurfaceKind::{Edge, Face, PocketFloor, PocketWall};
    let surfaces = || own.iter().map(|i| contacts[*i].surfaces);
    let has = |wanted: fn([SurfaceKind; 2]) -> bool| surfaces().any(wanted);
    if has(|s| s.iter().any(|s| matches!(s, PocketFloor(_) | PocketWall(_)))) {
        JointKind::Housed
    } else if has(|s| matches!(s, [Face(_), Edge(_)])) && has(|s| matches!(s, [Edge(_), Face(_)])) {
        JointKind::Finger
    } else if has(|s| matches!(s, [Face(_), Face(_)])) {
        JointKind::Lap
    } else if has(|s| s.iter().any(|s| matches!(s, Face(_)))) {
        JointKind::Butt
    } else {
        JointKind::EdgeToEdge
    }
}

/// The corners of a contact's patch, in space.
pub fn corners(contact: &Contact) -> impl Iterator<Item = DVec3> + '_ {
    contact
        .region
        .iter()
        .flat_map(|patch| patch.exterior().coords())
        .map(|c| contact.place.to_space(Point::new(c.x, c.y), 0.0))
}

/// Which panel a nail at this contact goes through, how much wood that is, and how much it finds in the other.
fn nailing(assembly: &Assembly, contact: &Contact) -> (usize, f64, f64) {
    let depth = |i: usize| {
        let panel = &assembly.panels[contact.panels[i]];
        match contact.surfaces[i] {
            SurfaceKind::Face(_) => panel.thickness,
            SurfaceKind::PocketFloor(pocket) => panel.thickness - panel.pockets.get(pocket).map_or(0.0, |p| p.depth),
            SurfaceKind::Edge(_) | SurfaceKind::PocketWall(_) => {
                // Straight in from the edge: as far as the panel's outline reaches there.
                let normal = contact.place.normal();
                let along = (normal.dot(panel.place.u), normal.dot(panel.place.v));
                let reach = panel.outline.vertices.iter().map(|v| v.at.x * along.0 + v.at.y * along.1);
                let (low, high) = reach.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), r| (l.min(r), h.max(r)));
                high - low
            }
        }
    };
    let (first, second) = (depth(0), depth(1));
    let from_face = |i: usize| is_face(contact.surfaces[i]);
    // Through a face into an edge; of two faces through the thinner, and of two alike through the one added later.
    let through = match (from_face(0), from_face(1)) {
        (true, false) => 0,
        (false, true) => 1,
        _ if first < second - 1e-6 => 0,
        _ => 1,
    };
    if through == 0 { (contact.panels[0], first, second) } else { (contact.panels[1], second, first) }
}

/// A face, or the floor of a pocket in one.
fn is_face(surface: SurfaceKind) -> bool {
    matches!(surface, SurfaceKind::Face(_) | SurfaceKind::PocketFloor(_))
}
