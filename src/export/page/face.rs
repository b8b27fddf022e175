//! A panel that has holes, seen as on every paper, with everything that lies on either of its faces.

use super::finding::{allowed, measured};
use super::sheet::{path, region_path, short, view_box};
use crate::design::{Assembly, Contact, Face, Hole, Panel, Part, contacts};
use crate::finding::{Finding, Status};
use crate::geometry::{Affine, Point, Rect, Region};
use crate::job::{Across, PocketOrder, Up};
use crate::made::Designed;
use crate::units::Units;
use crate::words::letter;
use geo::BoundingRect;
use kurbo::Size;
use serde::Serialize;
use std::ops::Range;

/// What the page shows of one panel. Positions are in the panel's frame; [`onto`](FaceView::onto) moves them into the view's.
#[derive(Debug, Serialize)]
pub(super) struct FaceView {
    /// `nuc, front`.
    pub title: String,
    pub part: Option<usize>,
    pub view_box: String,
    pub height: String,
    /// Height of the letters on it (mm).
    pub letters: String,
    /// The numbers of an SVG matrix from the panel's frame to the picture's, whose y runs down.
    pub onto: String,
    /// `seen from outside`, and which face that is.
    pub seen: &'static str,
    /// What the edges are called from which the holes are measured: `left`, `lower`.
    pub datum: [&'static str; 2],
    pub outline: String,
    pub covers: Vec<Cover>,
    pub holes: Vec<HoleView>,
    /// Recesses that the spec asks for by themselves.
    pub recesses: Vec<RecessView>,
    /// The box it belongs to, by its place among the assemblies, and its name there.
    pub assembly: usize,
    pub panel: String,
    /// Its width and height in the view (mm).
    pub size: [f64; 2],
}

/// A recess as the spec has it: its middle from the edges that are the [datum](FaceView::datum), and its size (mm).
#[derive(Debug, Serialize)]
pub(super) struct RecessView {
    pub purpose: String,
    pub across: f64,
    pub up: f64,
    pub size: [f64; 2],
    /// On the inner face, not the outer.
    pub inside: bool,
    /// Where the spec asks for it.
    pub spot: Range<usize>,
}

/// Something that lies on a face.
#[derive(Debug, Serialize)]
pub(super) struct Cover {
    pub name: String,
    /// On the inner face, not the outer.
    pub inside: bool,
    pub path: String,
}

#[derive(Debug, Serialize)]
pub(super) struct HoleView {
    pub letter: String,
    pub use_: &'static str,
    pub size: String,
    pub path: String,
    /// Its centre in the view's frame, y up.
    pub x: String,
    pub y: String,
    /// From the edges that are the [datum](FaceView::datum).
    pub across: f64,
    pub up: f64,
    pub status: Status,
    /// What was checked of it, and the measures.
    pub checked: Vec<Checked>,
    /// Where the spec asks for it; `None` for what the box has by its kind.
    pub spot: Option<Range<usize>>,
    /// How far beside and above its centre its letter stands, so as not to hide it.
    pub beside: String,
    pub above: String,
}

/// `wood to the panel's edge 15.9 mm, allowed at least 3 mm`
#[derive(Debug, Serialize)]
pub(super) struct Checked {
    status: Status,
    check: String,
    measured: Option<String>,
    allowed: Option<String>,
    /// Only of what is not ok.
    advice: Option<String>,
}

/// The panels of all boxes and loose parts, those with holes alone unless all are asked for.
pub(super) fn faces(designed: Designed, parts: &[Part], all: bool) -> Vec<FaceView> {
    let mut faces = Vec::new();
    let shown = |panel: &Panel| all || !panel.holes.is_empty();
    for (index, assembly) in designed.assemblies.iter().enumerate() {
        if !assembly.panels.iter().any(shown) {
            continue;
        }
        let contacts = contacts(&assembly.panels);
        for (i, panel) in assembly.panels.iter().enumerate().filter(|(_, panel)| shown(panel)) {
            let part = parts
                .iter()
                .position(|part| part.assembly == index && part.panels.iter().any(|(panel, _)| *panel == i));
            faces.push(face(designed, index, panel, part, covers(&contacts, assembly, i)));
        }
    }
    faces
}

fn face(designed: Designed, index: usize, panel: &Panel, part: Option<usize>, covers: Vec<Cover>) -> FaceView {
    let (job, assembly) = (designed.job, &designed.assemblies[index]);
    let view = panel.view();
    let bounds = view.onto.transform_rect_bbox(panel.outline.bounds());
    let units = job.units;
    let letters = (bounds.width().max(bounds.height()) / 18.0).max(6.0);
    let lies = view.lies && !assembly.loose;
    let title = assembly.called(panel);
    let holes = panel
        .holes
        .iter()
        .enumerate()
        .map(|(i, hole)| {
            let findings = findings_of(designed.findings, &title, panel, hole);
            let centre = view.onto * hole.centre;
            let beside = beside(centre, hole.outline().bounds().size(), bounds, letters);
            let size = if hole.is_round() {
                format!("⌀ {}", units.show(hole.length))
            } else {
                let (along, up) = hole.told_size();
                format!("{} × {}", units.number(along), units.show(up))
            };
            HoleView {
                letter: letter(i),
                use_: hole.use_.name(),
                size,
                path: path(&hole.outline()),
                x: short(centre.x),
                y: short(centre.y),
                across: centre.x,
                up: centre.y,
                status: findings.iter().map(|finding| finding.status).max().unwrap_or(Status::Ok),
                checked: findings.into_iter().map(|finding| checked(finding, units)).collect(),
                spot: hole.spot.clone(),
                beside: short(beside.0),
                above: short(-beside.1),
            }
        })
        .collect();
    FaceView {
        title,
        part,
        view_box: view_box(bounds.width(), bounds.height(), 6.0),
        height: short(bounds.height()),
        letters: short(letters),
        onto: (Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, bounds.height()]) * view.onto).as_coeffs().map(short).join(" "),
        seen: if lies { "from above" } else { "from outside" },
        datum: ["left", if lies { "front" } else { "lower" }],
        outline: path(&panel.outline),
        covers,
        holes,
        recesses: recesses(designed, index, panel, bounds),
        assembly: index,
        panel: panel.name.clone(),
        size: [bounds.width(), bounds.height()],
    }
}

/// The recesses that the spec asks for in a panel, which its view shows within `bounds`.
fn recesses(designed: Designed, index: usize, panel: &Panel, bounds: Rect) -> Vec<RecessView> {
    let (boxes, loose) = (&designed.job.boxes, &designed.job.loose);
    let orders: &[PocketOrder] = match (boxes.get(index), index.checked_sub(boxes.len()).and_then(|i| loose.get(i))) {
        (Some(order), _) => &order.pockets,
        (None, Some(part)) => &part.pockets,
        (None, None) => &[],
    };
    let meant = orders.iter().filter(|order| order.panel == panel.name || order.panel == panel.family);
    meant
        .map(|order| RecessView {
            purpose: order.purpose.clone(),
            across: match order.across {
                Across::Centre => bounds.center().x,
                Across::FromLeft(across) => across,
            },
            up: match order.up {
                Up::FromLowerEdge(up) => up,
                Up::FromUpperEdge(down) => bounds.y1 - down,
            },
            size: order.size,
            inside: order.face == Face::Inner,
            spot: order.spot.clone(),
        })
        .collect()
}

/// The findings about a hole: those on this panel that point at the same place of the spec. Of holes that no spec asked
/// for, those that cannot be mistaken for another.
fn findings_of<'a>(findings: &'a [Finding], title: &str, panel: &Panel, hole: &Hole) -> Vec<&'a Finding> {
    let alike = panel.holes.iter().filter(|other| other.use_ == hole.use_ && other.spot.is_none()).count();
    if hole.spot.is_none() && alike > 1 {
        return Vec::new();
    }
    let subject = format!("{title}, {}", hole.use_);
    findings.iter().filter(|finding| finding.spot == hole.spot && finding.subject == subject).collect()
}

fn checked(finding: &Finding, units: Units) -> Checked {
    Checked {
        status: finding.status,
        check: finding.check.clone(),
        measured: measured(finding, units),
        allowed: allowed(finding, units),
        advice: (finding.status != Status::Ok && !finding.advice.is_empty()).then(|| finding.advice.clone()),
    }
}

/// Where a hole's letter stands: to the right of it, to its left where there is no room, above it where there is neither,
/// and below it where that is the edge.
fn beside(centre: Point, size: Size, bounds: Rect, letters: f64) -> (f64, f64) {
    let far = size.width / 2.0 + letters * 0.7;
    let reach = far + letters * 0.5;
    if centre.x + reach <= bounds.x1 {
        (far, 0.0)
    } else if centre.x - reach >= bounds.x0 {
        (-far, 0.0)
    } else {
        let up = size.height / 2.0 + letters * 0.7;
        (0.0, if centre.y + up + letters * 0.5 <= bounds.y1 { up } else { -up })
    }
}

/// What lies on the faces of a panel, patches of one thing on one face taken together.
fn covers(contacts: &[Contact], assembly: &Assembly, index: usize) -> Vec<Cover> {
    let mut found: Vec<(usize, Face, Region)> = Vec::new();
    for contact in contacts {
        let (Some((face, region)), Some(other)) = (contact.on_face(index, &assembly.panels), contact.other(index))
        else {
            continue;
        };
        match found.iter_mut().find(|(known, on, _)| *known == other && *on == face) {
            Some((.., all)) => all.0.extend(region.0),
            None => found.push((other, face, region)),
        }
    }
    found
        .into_iter()
        .filter(|(.., region)| region.bounding_rect().is_some())
        .map(|(other, face, region)| Cover {
            name: assembly.panels[other].name.clone(),
            inside: face == Face::Inner,
            path: region_path(&region),
        })
        .collect()
}
