//! A flat board with a thickness, placed in space.

use super::{Bored, EdgePilots, JointLine, ScrewHole};
use crate::geometry::math::rotation;
use crate::geometry::{Affine, Outline, Place, Point};
use crate::reading::Word;
use glam::DVec3;
use schemars::JsonSchema;
use serde::Serialize;
use std::f64::consts::FRAC_PI_2;
use std::fmt;
use std::ops::Range;

/// A flat outline with a thickness, placed in space.
///
/// The panel's own frame has u to the right and v up as seen from outside the box, looking at its *outer* (show) face;
/// that face is w = 0 and the material lies at w < 0, down to w = −thickness, its *inner* face.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Unique within the box: `left side`.
    pub name: String,
    /// What a cut list calls it: `side`.
    pub family: String,
    pub outline: Outline,
    pub thickness: f64,
    /// Index into the job's stock, where it is not made from what the rest of the box is.
    pub stock: Option<usize>,
    pub place: Place,
    pub grain: Grain,
    /// Right through the panel.
    pub holes: Vec<Hole>,
    /// Partly through it.
    pub pockets: Vec<Pocket>,
    /// For the screws of its joints, where they are asked for; and the lines on it that other boards are set to.
    pub screw_holes: Vec<ScrewHole>,
    pub edge_pilots: Vec<EdgePilots>,
    pub joint_lines: Vec<JointLine>,
    /// What it is glued and fastened into: empty for the box itself; `cover`, `door` and the like for what comes off it.
    /// Where panels of two sub-assemblies touch they only lie on each other.
    pub sub_assembly: String,
    /// Bytes of the spec that asked for it: a board added to those of the box's kind.
    pub added: Option<Range<usize>>,
}

/// The direction the face grain must run in.
///
/// On a panel, `Long` means along u and `Cross` along v; on a part, along its length and across it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Grain {
    Long,
    Cross,
    #[default]
    Any,
}

crate::words!(Grain: Long = "long", Cross = "cross", Any = "any");

/// One of a panel's two large faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Face {
    Outer,
    Inner,
}

crate::words!(Face: Outer = "outer", Inner = "inner");

impl Face {
    pub fn other(self) -> Face {
        match self {
            Face::Outer => Face::Inner,
            Face::Inner => Face::Outer,
        }
    }

    pub fn name(self) -> &'static str {
        match self {
            Face::Outer => "outer",
            Face::Inner => "inner",
        }
    }
}

/// What a hole is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum HoleUse {
    Entrance,
    Vent,
    Handhold,
    Drain,
    /// In an inner cover, for a feeder or a clearer over it; what lies on it comes off.
    Feed,
    /// Guides a screw or a nail.
    Pilot,
    /// A screw slides through it; made for the screws of joints alone.
    Clearance,
    /// For something else.
    Opening,
}

crate::words!(HoleUse: Entrance = "entrance", Vent = "vent", Handhold = "handhold", Drain = "drain", Feed = "feed", Pilot = "pilot", Opening = "opening");

impl HoleUse {
    pub fn name(self) -> &'static str {
        HoleUse::WORDS.iter().find(|(_, known)| *known == self).map_or(Bored::Clearance.name(), |(name, _)| name)
    }
}

impl fmt::Display for HoleUse {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// An opening right through a panel, a part, or a sheet, in its frame: round, a slot with round ends, or a rectangle.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    pub use_: HoleUse,
    pub centre: Point,
    /// The longer axis; for a round hole the diameter.
    pub length: f64,
    pub width: f64,
    /// A slot or a rectangle whose longer axis runs along the frame's second axis.
    pub upright: bool,
    /// The radius of a rectangle's corners, less than half its width; `None` where both ends are half circles.
    pub corner: Option<f64>,
    /// Bytes of the spec that asked for it.
    pub spot: Option<Range<usize>>,
}

impl Hole {
    pub fn round(use_: HoleUse, centre: Point, diameter: f64) -> Hole {
        Hole::slot(use_, centre, diameter, diameter)
    }

    /// A slot along the frame's first axis, `length` over all.
    pub fn slot(use_: HoleUse, centre: Point, length: f64, width: f64) -> Hole {
        Hole { use_, centre, length, width, upright: false, corner: None, spot: None }
    }

    /// A rectangle, so long along the frame's first axis and so wide along its second; with corners as round as can be it is a
    /// slot.
    pub fn rectangle(use_: HoleUse, centre: Point, (along, up): (f64, f64), corner: f64) -> Hole {
        let (length, width) = (along.max(up), along.min(up));
        let corner = (corner < width / 2.0).then_some(corner);
        Hole { upright: up > along, corner, ..Hole::slot(use_, centre, length, width) }
    }

    /// The hole in another frame, which may be a quarter turn away.
    pub fn placed(&self, by: Affine, quarter_turned: bool) -> Hole {
        let upright = self.length != self.width && self.upright != quarter_turned;
        Hole { centre: by * self.centre, upright, ..self.clone() }
    }

    /// The same hole, its wall so far further out; further in where that is negative (mm).
    #[must_use]
    pub fn grown(&self, by: f64) -> Hole {
        let corner = self.corner.map(|corner| (corner + by).max(0.0));
        Hole { length: self.length + 2.0 * by, width: self.width + 2.0 * by, corner, ..self.clone() }
    }

    pub fn is_round(&self) -> bool {
        self.length == self.width && self.corner.is_none()
    }

    /// As lists tell its size: of a slot length and width, however it is turned; of a rectangle width and height as it stands.
    pub fn told_size(&self) -> (f64, f64) {
        if self.corner.is_some() { self.size() } else { (self.length, self.width) }
    }

    /// How far it reaches over all along the frame's axes (mm).
    pub fn size(&self) -> (f64, f64) {
        if self.upright { (self.width, self.length) } else { (self.length, self.width) }
    }

    pub fn outline(&self) -> Outline {
        if self.is_round() {
            return Outline::circle(self.centre, self.length);
        }
        if let Some(corner) = self.corner {
            let (along, up) = self.size();
            return Outline::rounded(self.centre, along, up, corner);
        }
        let lying = Outline::slot(Point::ORIGIN, self.length, self.width);
        let turn = if self.upright { rotation(FRAC_PI_2) } else { Affine::IDENTITY };
        lying.transformed(Affine::translate(self.centre.to_vec2()) * turn)
    }
}

/// A recess with a flat floor: pocket, groove, rabbet, or handhold.
#[derive(Clone, Debug)]
pub struct Pocket {
    /// What it is for: `rabbet`, `handhold`.
    pub purpose: String,
    pub face: Face,
    /// In the panel's frame. Where the recess is open to the panel's edge it reaches past it, by the cutter's radius and
    /// a hair: a cutter that stays inside the outline then clears the edge to its full depth.
    pub outline: Outline,
    pub depth: f64,
}

/// The direction a panel's outer face looks in.
///
/// The box stands in front of the maker: x to the right, y away from them, z up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    Front,
    Back,
    Left,
    Right,
    Up,
    Down,
}

impl Panel {
    /// A rectangular panel that fills the upright block from `least` to `most`, its outer face looking `facing`.
    pub fn block(name: &str, family: &str, facing: Facing, least: DVec3, most: DVec3) -> Panel {
        let size = most - least;
        let (origin, u, v, length, width, thickness) = match facing {
            Facing::Front => (DVec3::new(least.x, least.y, least.z), DVec3::X, DVec3::Z, size.x, size.z, size.y),
            Facing::Back => (DVec3::new(most.x, most.y, least.z), DVec3::NEG_X, DVec3::Z, size.x, size.z, size.y),
            Facing::Left => (DVec3::new(least.x, most.y, least.z), DVec3::NEG_Y, DVec3::Z, size.y, size.z, size.x),
            Facing::Right => (DVec3::new(most.x, least.y, least.z), DVec3::Y, DVec3::Z, size.y, size.z, size.x),
            Facing::Up => (DVec3::new(least.x, least.y, most.z), DVec3::X, DVec3::Y, size.x, size.y, size.z),
            Facing::Down => (DVec3::new(least.x, most.y, least.z), DVec3::X, DVec3::NEG_Y, size.x, size.y, size.z),
        };
        Panel {
            name: name.into(),
            family: family.into(),
            outline: Outline::rectangle(length, width),
            thickness,
            stock: None,
            place: Place::new(origin, u, v),
            grain: Grain::Any,
            holes: Vec::new(),
            pockets: Vec::new(),
            screw_holes: Vec::new(),
            edge_pilots: Vec::new(),
            joint_lines: Vec::new(),
            sub_assembly: String::new(),
            added: None,
        }
    }

    /// A board lying by itself, face up.
    pub fn flat(name: &str, length: f64, width: f64, thickness: f64) -> Panel {
        Panel::block(name, name, Facing::Up, DVec3::ZERO, DVec3::new(length, width, thickness))
    }

    /// The upright block around it: least and most of x, y and z.
    pub fn bounds(&self) -> (DVec3, DVec3) {
        let flat = self.outline.bounds();
        let corners = [(flat.x0, flat.y0), (flat.x1, flat.y0), (flat.x1, flat.y1), (flat.x0, flat.y1)];
        let corners = corners.into_iter().flat_map(|(u, v)| [0.0, -self.thickness].map(|w| (u, v, w)));
        corners.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(least, most), (u, v, w)| {
            let at = self.place.to_space(Point::new(u, v), w);
            (least.min(at), most.max(at))
        })
    }

    pub fn with_outline(mut self, outline: Outline) -> Panel {
        self.outline = outline;
        self
    }

    /// Is there wood of this panel at a point in space?
    pub fn contains(&self, at: DVec3) -> bool {
        let (flat, height) = self.place.to_flat(at);
        let depth = -height;
        depth > 0.0
            && depth < self.thickness
            && self.solid().wood(flat).is_some_and(|(upper, lower)| (upper..=lower).contains(&depth))
    }

    pub fn with_hole(mut self, hole: Hole) -> Panel {
        self.holes.push(hole);
        self
    }
}
