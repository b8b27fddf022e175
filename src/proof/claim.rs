//! What a sheet's programs are held against: the parts, their places, the machine and its tools.
//!
//! A [`Claim`] is what `job.json` says of these, no more. It is read from that file, or made from a job in memory with the
//! same digits, so that both lead to the same verdict.

use crate::units::Units;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The part of `job.json` that a proof needs. Lengths are millimetres, feeds millimetres per minute.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Claim {
    /// In which a verdict is told.
    pub units: Units,
    /// Left out: nothing is cut by CNC.
    pub router: Option<RouterClaim>,
    pub parts: Vec<PartClaim>,
    pub sheets: Vec<SheetClaim>,
    pub programs: Vec<ProgramClaim>,
}

/// The machine and what may be put in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RouterClaim {
    pub machine: MachineClaim,
    pub tools: Vec<ToolClaim>,
    /// Between two parts: the cutter's width and what is left of wood beside it. No cut outside the parts reaches
    /// further from them than this.
    pub gap: f64,
    /// Holes that the cutter makes are this much larger than drawn.
    #[serde(default)]
    pub hole_allowance: f64,
    /// Width and height at most of the tabs that hold what comes out of an opening in one piece, and their width at the
    /// sheet's lower face; left out: nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening_tabs: Option<[f64; 3]>,
    /// How inside corners are opened for a square edge.
    #[serde(default)]
    pub relief: ReliefClaim,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ReliefClaim {
    /// Along the corner's diagonal.
    #[default]
    Diagonal,
    /// Square out of either of its sides.
    Square,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MachineClaim {
    pub name: String,
    /// Reach in X, Y and Z.
    pub travel: [f64; 3],
    /// Fastest feed, and fastest straight down.
    pub feed: f64,
    pub plunge: f64,
    /// Slowest and fastest spindle, revolutions per minute.
    pub spindle: [f64; 2],
    /// Seconds until the spindle turns at its speed.
    pub spin_up: f64,
    /// M6 fetches a tool.
    pub changes_tools: bool,
    /// Tools are put in by hand while the program waits at M0; a comment before it says which.
    #[serde(default)]
    pub by_hand: bool,
    /// Z of the sheet's upper face is 0; else that of the spoilboard under it.
    pub zero_on_top: bool,
    /// Where X and Y of its programs are zero, as shares of the sheet's length and width from its lower-left corner.
    #[serde(default)]
    pub sheet_zero: [f64; 2],
    /// Height above the sheet for rapid moves.
    pub clear: f64,
    /// How far a cut may go into the spoilboard.
    pub spoilboard: f64,
    /// Tool lengths are taken from its table, by G43 H with the tool's number.
    #[serde(default)]
    pub tool_length: bool,
    /// The last digit of a coordinate stands for this much.
    pub digit: f64,
    /// Where arcs are written as chords, these stay within this of them.
    #[serde(default)]
    pub chords: f64,
    /// P of a dwell counts seconds times this.
    #[serde(default = "one")]
    pub dwell_unit: f64,
}

fn one() -> f64 {
    1.0
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToolClaim {
    pub number: u32,
    pub name: String,
    /// Goes straight down and nowhere else.
    pub drill: bool,
    pub diameter: f64,
    /// How far a drill's centre point reaches below its edges: heights of a program are those of the point.
    #[serde(default)]
    pub point: f64,
    pub flute_length: f64,
    pub flutes: f64,
    /// Fastest that it may turn, revolutions per minute; left out: nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest_speed: Option<f64>,
    /// Largest advance per tooth: what the tool is made for, or more where the job's own feed asks for it.
    pub chip_load: f64,
    /// Least advance per tooth with which it cuts, and does not rub; or less where the job's own feed is slower. 0: nothing
    /// is said.
    #[serde(default)]
    pub least_chip: f64,
    /// Steepest descent into wood, degrees.
    pub ramp_angle: f64,
    /// Depth of one pass over the diameter.
    pub pass_depth: f64,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct PartClaim {
    pub name: String,
    pub length: f64,
    pub width: f64,
    pub outline: Vec<VertexClaim>,
    pub holes: Vec<HoleClaim>,
    pub pockets: Vec<PocketClaim>,
    pub square_corners: Vec<PointClaim>,
    /// What is engraved into the face that is up when the part is cut out.
    #[serde(default)]
    pub label: Option<LabelClaim>,
    /// Lines in that face that other parts are set to.
    #[serde(default)]
    pub joint_lines: Vec<LineClaim>,
}

/// Letters on a part: lines as wide as the cutter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LabelClaim {
    pub text: String,
    pub depth: f64,
    /// Paths of the cutter's middle, straight from corner to corner.
    pub strokes: Vec<Vec<PointClaim>>,
}

/// Lines along the edge of a patch that another part covers, as wide as the cutter: all of them lie in the patch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LineClaim {
    pub depth: f64,
    /// The patch.
    pub covered: Vec<VertexClaim>,
    /// Paths of the cutter's middle, straight from corner to corner.
    pub strokes: Vec<Vec<PointClaim>>,
}

/// A corner of an outline, and the tangent of a quarter of the angle swept up to the next one: 0 is straight, positive
/// bends to the left.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VertexClaim {
    pub x: f64,
    pub y: f64,
    pub bulge: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PointClaim {
    pub x: f64,
    pub y: f64,
}

/// A hole in a part: right through, unless its depth is given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HoleClaim {
    pub x: f64,
    pub y: f64,
    /// Of a round hole; of a slot or a rectangle the width.
    pub diameter: f64,
    #[serde(rename = "use")]
    pub use_: String,
    /// The whole length of a slot or a rectangle; left out for a round hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<f64>,
    /// A slot or a rectangle that runs along the part's width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upright: Option<bool>,
    /// The radius of a rectangle's corners; left out for a round hole or a slot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corner: Option<f64>,
    /// How deep a round hole is as wide as that, from the face that is up; left out where it goes right through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<f64>,
}

/// A recess cut from the face that is up; its outline may reach past the part's where it is open to the edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PocketClaim {
    pub purpose: String,
    pub depth: f64,
    /// Cut from the face that is down: the sheet is turned over for it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub under: bool,
    /// Counter-clockwise.
    pub outline: Vec<VertexClaim>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SheetClaim {
    pub length: f64,
    pub width: f64,
    pub thickness: f64,
    /// Chips may be this share of what the tool takes in plywood.
    pub chip_share: f64,
    pub placements: Vec<PlacementClaim>,
    /// Left out: nothing is said of the tabs.
    #[serde(default)]
    pub tabs: Option<Vec<TabClaim>>,
    #[serde(default)]
    pub screws: Vec<ScrewClaim>,
    /// Where nothing is cut, and no tool comes below the clear height.
    #[serde(default)]
    pub keep_out: Vec<KeepOutClaim>,
    /// How it is turned over, where its parts have recesses in both faces.
    #[serde(default)]
    pub turned: Option<TurnedClaim>,
    /// Its other face is up: the parts are neither cut out nor drilled, and the pins' holes are made.
    #[serde(skip)]
    pub first_face: bool,
}

/// How a sheet is turned over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TurnedClaim {
    /// Its middle line about which it is turned.
    pub about: AboutClaim,
    /// On which it finds its place again; places in the frame of the second face.
    pub pins: Vec<PinClaim>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum AboutClaim {
    /// Along its length: the long edges change places.
    Length,
    /// Along its width: the short edges change places.
    Width,
}

/// A registration pin.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PinClaim {
    pub x: f64,
    pub y: f64,
    pub diameter: f64,
    /// Of its hole, into the spoilboard.
    pub depth: f64,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct PlacementClaim {
    pub part: String,
    pub x: f64,
    pub y: f64,
    /// Quarter turns, in degrees counter-clockwise.
    pub angle: u32,
}

/// A bridge of wood that holds a part.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TabClaim {
    /// Index into the placements.
    pub placement: usize,
    /// On the part's outline, in the middle of the tab.
    pub x: f64,
    pub y: f64,
    /// At its top, along the outline.
    pub width: f64,
    /// Above the sheet's lower face.
    pub height: f64,
    /// Its width at the sheet's lower face; left out: as wide as the steepest ramp makes it on both sides.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot: Option<f64>,
}

/// A screw that holds the sheet down.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScrewClaim {
    pub x: f64,
    pub y: f64,
    /// Diameter of its head.
    pub head: f64,
}

/// A place on the sheet that is left alone: a knot, a clamp.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct KeepOutClaim {
    /// Its lower-left corner.
    pub x: f64,
    pub y: f64,
    pub length: f64,
    pub width: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct ProgramClaim {
    pub file: String,
    /// From 1.
    pub sheet: usize,
    /// Of a sheet that is turned over: 1 or 2.
    #[serde(default)]
    pub face: Option<u32>,
    pub tools: Vec<ToolNumber>,
}

#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct ToolNumber {
    pub number: u32,
}

impl Claim {
    /// Reads the text of a `job.json`.
    ///
    /// # Errors
    /// What is missing or makes no sense, in a sentence.
    pub fn read(json: &str) -> Result<Claim, String> {
        let claim: Claim = serde_json::from_str(json).map_err(|why| why.to_string())?;
        claim.check()?;
        Ok(claim)
    }

    /// Figures that no job has would only lead to a strange verdict later.
    fn check(&self) -> Result<(), String> {
        let sane = |what: &str, value: f64, least: f64, most: f64| {
            if (least..=most).contains(&value) { Ok(()) } else { Err(format!("{what} is {value}")) }
        };
        const FAR: f64 = 1e5;
        if let Some(router) = &self.router {
            let machine = &router.machine;
            sane("the machine's clear height", machine.clear, 0.0, FAR)?;
            for share in machine.sheet_zero {
                sane("the sheet's zero", share, 0.0, 1.0)?;
            }
            sane("the machine's digit", machine.digit, 1e-9, 1.0)?;
            sane("the machine's dwell unit", machine.dwell_unit, 1e-6, 1e6)?;
            sane("the gap between parts", router.gap, 0.0, FAR)?;
            for tool in &router.tools {
                sane(&format!("the diameter of {}", tool.name), tool.diameter, 0.01, 1e3)?;
                sane(&format!("the point of {}", tool.name), tool.point, 0.0, 1e3)?;
                sane(&format!("the ramp angle of {}", tool.name), tool.ramp_angle, 0.0, 90.0)?;
            }
        }
        for part in &self.parts {
            if part.outline.len() < 2 {
                return Err(format!("the part {} has no outline", part.name));
            }
            let corners = part.outline.iter().chain(part.pockets.iter().flat_map(|pocket| &pocket.outline));
            for vertex in corners {
                sane(&format!("a corner of {}", part.name), vertex.x.abs().max(vertex.y.abs()), 0.0, FAR)?;
                sane(&format!("a bulge of {}", part.name), vertex.bulge, -1e3, 1e3)?;
            }
            if let Some(label) = &part.label {
                sane(&format!("the depth of the label of {}", part.name), label.depth, 0.0, 1e3)?;
                for corner in label.strokes.iter().flatten() {
                    sane(&format!("the label of {}", part.name), corner.x.abs().max(corner.y.abs()), 0.0, FAR)?;
                }
            }
            for line in &part.joint_lines {
                sane(&format!("the depth of a line of {}", part.name), line.depth, 0.01, 1e3)?;
                let covered = line.covered.iter().map(|it| (it.x, it.y));
                for (x, y) in covered.chain(line.strokes.iter().flatten().map(|it| (it.x, it.y))) {
                    sane(&format!("a line of {}", part.name), x.abs().max(y.abs()), 0.0, FAR)?;
                }
            }
            for hole in &part.holes {
                sane(&format!("a hole of {}", part.name), hole.diameter, 0.01, FAR)?;
                sane(&format!("a hole of {}", part.name), hole.length.unwrap_or(hole.diameter), 0.01, FAR)?;
                sane(&format!("a hole's corner of {}", part.name), hole.corner.unwrap_or(0.0), 0.0, FAR)?;
                sane(&format!("a hole's depth of {}", part.name), hole.depth.unwrap_or(1.0), 0.01, 1e3)?;
            }
        }
        for (i, sheet) in self.sheets.iter().enumerate() {
            let name = format!("of sheet {}", i + 1);
            sane(&format!("the length {name}"), sheet.length, 1.0, FAR)?;
            sane(&format!("the width {name}"), sheet.width, 1.0, FAR)?;
            sane(&format!("the thickness {name}"), sheet.thickness, 0.1, 1e3)?;
            for placement in &sheet.placements {
                if !self.parts.iter().any(|part| part.name == placement.part) {
                    return Err(format!("sheet {} has a part `{}` that is not in the parts", i + 1, placement.part));
                }
                sane(&format!("a place {name}"), placement.x.abs().max(placement.y.abs()), 0.0, FAR)?;
            }
            if sheet.tabs.iter().flatten().any(|tab| tab.placement >= sheet.placements.len()) {
                return Err(format!("sheet {} has a tab on no part", i + 1));
            }
        }
        if self.programs.iter().any(|program| program.sheet == 0 || program.sheet > self.sheets.len()) {
            return Err("a program for a sheet that is not there".into());
        }
        Ok(())
    }

    /// The tool of this number.
    pub fn tool(&self, number: u32) -> Option<&ToolClaim> {
        self.router.iter().flat_map(|router| &router.tools).find(|tool| tool.number == number)
    }
}
