//! Flat pieces to be cut: identical panels become one part with a count.

use super::{Assembly, Board, Face, Grain, Hole, JointLine, Label, NoLabel, Panel, Pocket, ScrewHole, square_corners};
use crate::geometry::{Affine, Outline, Point, Rect, Region, to_polygon};
use geo::{BooleanOps, BoundingRect};
use std::collections::HashSet;

/// Positions closer than this belong to the same part (mm).
const ALIKE: f64 = 1e-3;

/// A flat piece to be cut, as many times as needed.
///
/// Its frame: x along its length, y along its width, origin at the lower-left corner of the rectangle around it, on the
/// face that is up on the machine; z = 0 there and negative into the material. A part with a pocket lies pocket-side
/// up, any other show-face down; a loose one that has none lies as it was described, the corner its holes are placed from
/// at the lower left.
#[derive(Clone, Debug)]
pub struct Part {
    /// Unique within the job.
    pub name: String,
    /// The box it belongs to; `None` for a loose part.
    pub box_name: Option<String>,
    /// Pieces needed for the whole job.
    pub count: u32,
    /// Index into the job's stock.
    pub stock: usize,
    /// Along x, the longer side of the rectangle around the part.
    pub length: f64,
    pub width: f64,
    pub thickness: f64,
    pub grain: Grain,
    pub outline: Outline,
    pub holes: Vec<Hole>,
    pub pockets: Vec<PartPocket>,
    /// For the screws of joints: no openings of the box.
    pub screw_holes: Vec<ScrewHole>,
    /// Lines that other boards are set to.
    pub joint_lines: Vec<JointLine>,
    /// Inside corners of the outline and of pockets that a square corner of another part goes into: a round cutter
    /// leaves relief there, and nowhere else.
    pub square_corners: Vec<Point>,
    /// What is engraved into the face that is up, where that is asked for; or why nothing is.
    pub label: Option<Result<Label, NoLabel>>,
    /// The panel face that is up.
    pub up: Face,
    /// Which assembly, and which of its panels, with the placement of each panel's frame in the part's.
    pub assembly: usize,
    pub panels: Vec<(usize, Affine)>,
}

impl Part {
    /// One loose piece of this outline and thickness (mm), with nothing in it: to try a layout, a drawing or a toolpath on.
    pub fn plain(name: &str, outline: Outline, thickness: f64) -> Part {
        let bounds = outline.bounds();
        Part {
            name: name.into(),
            box_name: None,
            count: 1,
            stock: 0,
            length: bounds.width(),
            width: bounds.height(),
            thickness,
            grain: Grain::Any,
            outline,
            holes: vec![],
            pockets: vec![],
            screw_holes: vec![],
            joint_lines: vec![],
            square_corners: vec![],
            label: None,
            up: Face::Inner,
            assembly: 0,
            panels: vec![],
        }
    }

    /// What is engraved into it.
    pub fn engraved(&self) -> Option<&Label> {
        self.label.as_ref()?.as_ref().ok()
    }

    /// Screw holes and lines that the router makes as the part lies.
    pub fn bored(&self) -> impl Iterator<Item = &ScrewHole> {
        self.screw_holes.iter().filter(|hole| hole.by_router)
    }

    pub fn lined(&self) -> impl Iterator<Item = &JointLine> {
        self.joint_lines.iter().filter(|line| line.face == self.up && !line.strokes.is_empty())
    }

    /// Does it matter which face is up? It does for a part of a box, and for one with a recess.
    pub fn is_sided(&self) -> bool {
        self.box_name.is_some() || !self.pockets.is_empty()
    }
}

/// A recess cut from the face that is up, in the part's frame.
#[derive(Clone, Debug, PartialEq)]
pub struct PartPocket {
    pub purpose: String,
    pub outline: Outline,
    pub depth: f64,
    /// Cut from the face that is down: the part must be turned over for it.
    pub under: bool,
}

impl PartPocket {
    /// The rectangle around what of it lies in the wood of its part, in the part's frame: not the cutter's run past an edge.
    pub fn in_wood(&self, part: &Outline) -> Rect {
        let wood = Region::from(to_polygon(&self.outline)).intersection(&Region::from(to_polygon(part)));
        let whole = self.outline.bounds().intersect(part.bounds());
        wood.bounding_rect().map_or(whole, |it| Rect::new(it.min().x, it.min().y, it.max().x, it.max().y))
    }
}

/// A panel as a part, as it may lie on the machine.
pub(super) struct Lying {
    /// From the panel's frame into the part's.
    to_part: Affine,
    pub outline: Outline,
    pub holes: Vec<Hole>,
    pub pockets: Vec<PartPocket>,
    pub screw_holes: Vec<ScrewHole>,
    pub joint_lines: Vec<JointLine>,
    pub square_corners: Vec<Point>,
    pub grain: Grain,
}

/// The flat parts of all assemblies, in the order of their panels; `board` tells the wood of a stock, by its index.
pub fn parts(assemblies: &[Assembly], board: impl Fn(usize) -> Board) -> Vec<Part> {
    let mut all: Vec<Part> = Vec::new();
    for (index, assembly) in assemblies.iter().enumerate() {
        let first = all.len();
        for (i, panel) in assembly.panels.iter().enumerate() {
            let board = board(assembly.stock_of(panel));
            let corners = square_corners(&assembly.panels, i, board.cutter_or_usual());
            add(&mut all, first, (index, assembly), (i, panel, &corners), board.faces_alike);
        }
        name_within(&mut all[first..], &assembly.panels);
    }
    name_across(&mut all);
    all
}

impl Assembly {
    /// The face of a panel that is up on the machine.
    pub fn face_up(&self, panel: &Panel) -> Face {
        let outside = |pocket: &Pocket| pocket.face == Face::Outer;
        // A loose board has no show face to lie on: it lies as it was described.
        let as_described = self.loose && panel.pockets.is_empty();
        if as_described || panel.pockets.iter().any(outside) { Face::Outer } else { Face::Inner }
    }
}

/// Counts the panel with a part it is identical to, or makes it a part of its own.
fn add(
    all: &mut Vec<Part>,
    first: usize,
    (index, assembly): (usize, &Assembly),
    (i, panel, corners): (usize, &Panel, &[Point]),
    faces_alike: bool,
) {
    let up = assembly.face_up(panel);
    let stopped = panel.screw_holes.iter().any(|hole| hole.depth.is_some());
    let may_flip = faces_alike && panel.pockets.is_empty() && panel.joint_lines.is_empty() && !stopped;
    let placements = may_lie(panel, corners, up, may_flip);
    let twin = all[first..].iter_mut().find_map(|part| {
        let lying = placements.iter().find(|lying| same(part, lying, panel.thickness))?;
        (part.stock == assembly.stock_of(panel)).then_some(())?;
        Some((part, lying))
    });
    if let Some((part, lying)) = twin {
        part.count += assembly.count;
        part.panels.push((i, lying.to_part));
        // One piece serves in every place, so it has the relief that any of them needs.
        for corner in &lying.square_corners {
            if part.square_corners.iter().all(|known| known.distance(*corner) >= ALIKE) {
                part.square_corners.push(*corner);
            }
        }
        return;
    }
    let Some(lying) = placements.into_iter().next() else { return };
    let bounds = lying.outline.bounds();
    all.push(Part {
        name: String::new(),
        box_name: (!assembly.loose).then(|| assembly.name.clone()),
        count: assembly.count,
        stock: assembly.stock_of(panel),
        length: bounds.width(),
        width: bounds.height(),
        thickness: panel.thickness,
        grain: lying.grain,
        outline: lying.outline,
        holes: lying.holes,
        pockets: lying.pockets,
        screw_holes: lying.screw_holes,
        joint_lines: lying.joint_lines,
        square_corners: lying.square_corners,
        label: None,
        up,
        assembly: index,
        panels: vec![(i, lying.to_part)],
    });
}

/// How the panel may lie on the machine as a part, the most natural placement first.
///
/// This is the one place where anything is mirrored: seen from above with its inner face up, a panel's u runs
/// backwards.
fn may_lie(panel: &Panel, corners: &[Point], up: Face, may_flip: bool) -> Vec<Lying> {
    let bounds = panel.outline.bounds();
    let (along_u, along_v) = (bounds.width(), bounds.height());
    let square = (along_u - along_v).abs() < ALIKE;
    let quarter_turns: &[u32] = match (square, along_u > along_v) {
        (true, _) => &[0, 2, 1, 3],
        (false, true) => &[0, 2],
        (false, false) => &[1, 3],
    };
    let faces: &[Face] = match (may_flip, up) {
        (false, Face::Inner) => &[Face::Inner],
        (false, Face::Outer) => &[Face::Outer],
        (true, Face::Inner) => &[Face::Inner, Face::Outer],
        (true, Face::Outer) => &[Face::Outer, Face::Inner],
    };
    let mut placements = Vec::new();
    for face in faces {
        for quarters in quarter_turns {
            let mirror = if *face == Face::Inner { Affine::FLIP_X } else { Affine::IDENTITY };
            let turn = quarter_turn(*quarters) * mirror;
            let corner = turned_bounds(turn, bounds).origin();
            placements.push(lying(panel, corners, Affine::translate(-corner.to_vec2()) * turn, quarters % 2 == 1));
        }
    }
    placements
}

/// An exact quarter turn; sines and cosines would leave dust in the coordinates.
fn quarter_turn(quarters: u32) -> Affine {
    match quarters % 4 {
        0 => Affine::IDENTITY,
        1 => Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]),
        2 => Affine::new([-1.0, 0.0, 0.0, -1.0, 0.0, 0.0]),
        _ => Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]),
    }
}

fn turned_bounds(turn: Affine, bounds: Rect) -> Rect {
    Rect::from_points(turn * Point::new(bounds.x0, bounds.y0), turn * Point::new(bounds.x1, bounds.y1))
}

/// The panel moved by `to_part`, its long grain turned with it; mirrored, it shows its inner face.
pub(super) fn lying(panel: &Panel, corners: &[Point], to_part: Affine, quarter_turned: bool) -> Lying {
    let mut holes: Vec<Hole> = panel.holes.iter().map(|hole| hole.placed(to_part, quarter_turned)).collect();
    holes.sort_by(|a, b| {
        (a.centre.x, a.centre.y).partial_cmp(&(b.centre.x, b.centre.y)).unwrap_or(std::cmp::Ordering::Equal)
    });
    let pockets = panel
        .pockets
        .iter()
        .map(|pocket| PartPocket {
            purpose: pocket.purpose.clone(),
            outline: pocket.outline.transformed(to_part),
            depth: pocket.depth,
            // Only a mirrored panel has its inner face up.
            under: (pocket.face == Face::Outer) == (to_part.determinant() < 0.0),
        })
        .collect();
    let grain = match (panel.grain, quarter_turned) {
        (Grain::Long, true) => Grain::Cross,
        (Grain::Cross, true) => Grain::Long,
        (grain, _) => grain,
    };
    let square_corners = corners.iter().map(|corner| to_part * *corner).collect();
    let screw_holes = panel.screw_holes.iter().map(|hole| hole.placed(to_part)).collect();
    let joint_lines = panel.joint_lines.iter().map(|line| line.placed(to_part)).collect();
    let outline = panel.outline.transformed(to_part);
    Lying { to_part, outline, holes, pockets, screw_holes, joint_lines, square_corners, grain }
}

/// The same screw holes and lines, on the same faces where these are told apart?
fn same_joining(part: &Part, lying: &Lying) -> bool {
    let same_hole = |a: &ScrewHole, b: &ScrewHole| {
        let same_depth = match (a.depth, b.depth) {
            (Some(deep), Some(other)) => (deep - other).abs() < ALIKE && a.face == b.face,
            (deep, other) => deep == other,
        };
        same_depth
            && a.bored == b.bored
            && a.centre.distance(b.centre) < ALIKE
            && (a.diameter - b.diameter).abs() < ALIKE
    };
    let same_line = |a: &JointLine, b: &JointLine| {
        a.face == b.face && a.strokes.len() == b.strokes.len() && same_outline(&a.covered, &b.covered)
    };
    part.screw_holes.len() == lying.screw_holes.len()
        && part.joint_lines.len() == lying.joint_lines.len()
        && part.screw_holes.iter().all(|hole| lying.screw_holes.iter().any(|other| same_hole(hole, other)))
        && part.joint_lines.iter().all(|line| lying.joint_lines.iter().any(|other| same_line(line, other)))
}

/// Is the lying panel this part, to within [`ALIKE`]?
fn same(part: &Part, lying: &Lying, thickness: f64) -> bool {
    (part.thickness - thickness).abs() < ALIKE
        && part.grain == lying.grain
        && same_outline(&part.outline, &lying.outline)
        && same_joining(part, lying)
        && part.holes.len() == lying.holes.len()
        && part.pockets.len() == lying.pockets.len()
        && part.holes.iter().all(|hole| lying.holes.iter().any(|other| same_hole(hole, other)))
        && part.pockets.iter().all(|pocket| {
            lying.pockets.iter().any(|other| {
                pocket.under == other.under
                    && (pocket.depth - other.depth).abs() < ALIKE
                    && same_outline(&pocket.outline, &other.outline)
            })
        })
}

fn same_hole(a: &Hole, b: &Hole) -> bool {
    a.use_ == b.use_
        && a.upright == b.upright
        && a.centre.distance(b.centre) < ALIKE
        && (a.length - b.length).abs() < ALIKE
        && (a.width - b.width).abs() < ALIKE
        && match (a.corner, b.corner) {
            (Some(a), Some(b)) => (a - b).abs() < ALIKE,
            (a, b) => a == b,
        }
}

/// The same closed path, from whichever corner each starts.
fn same_outline(a: &Outline, b: &Outline) -> bool {
    let count = a.vertices.len();
    count == b.vertices.len()
        && (0..count).any(|shift| {
            a.vertices.iter().enumerate().all(|(i, vertex)| {
                let other = b.vertices[(i + shift) % count];
                vertex.at.distance(other.at) < ALIKE && (vertex.bulge - other.bulge).abs() < 1e-6
            })
        })
}

/// Names each part of a box after its panels: by family, or by the panels' own names where the family has two parts.
fn name_within(parts: &mut [Part], panels: &[Panel]) {
    let joined = |part: &Part, of: fn(&Panel) -> &str| {
        let mut names: Vec<&str> = Vec::new();
        for (i, _) in &part.panels {
            if !names.contains(&of(&panels[*i])) {
                names.push(of(&panels[*i]));
            }
        }
        names.join(" and ")
    };
    let families: Vec<String> = parts.iter().map(|part| joined(part, |panel| &panel.family)).collect();
    for (i, part) in parts.iter_mut().enumerate() {
        let shared = families.iter().enumerate().any(|(j, family)| j != i && *family == families[i]);
        part.name = if shared { joined(part, |panel| &panel.name) } else { families[i].clone() };
    }
}

/// Where two boxes have parts of one name, puts the box's name first.
fn name_across(parts: &mut [Part]) {
    let shared: Vec<bool> = parts
        .iter()
        .enumerate()
        .map(|(i, part)| parts.iter().enumerate().any(|(j, other)| j != i && other.name == part.name))
        .collect();
    for (part, _) in parts.iter_mut().zip(&shared).filter(|(_, shared)| **shared) {
        if let Some(box_name) = &part.box_name {
            part.name = format!("{box_name} {}", part.name);
        }
    }
    let mut seen = HashSet::new();
    for part in parts.iter_mut() {
        let plain = part.name.clone();
        let mut number = 2;
        while !seen.insert(part.name.clone()) {
            part.name = format!("{plain} {number}");
            number += 1;
        }
    }
}
