//! The data that the page's script draws from, beside `job.json`: the boxes as solids, and the programs: their text, and the moves that our reader makes of it.

use super::apart::apart;
use super::moves::Moves;
use super::solid::{Layer, hundredth, layers};
use crate::design::{Assembly, Face, Part, contacts};
use crate::made::Made;
use crate::profile::ZZero;
use crate::route::SheetFace;
use crate::steps::{BoxSteps, Step, StepKind};
use glam::DVec3;
use serde::Serialize;

/// All of it. Lengths are millimetres.
#[derive(Serialize)]
pub(super) struct Scene<'a> {
    /// Under which the page keeps what has been ticked off.
    key: String,
    boxes: Vec<BoxSolid<'a>>,
    programs: Vec<Text<'a>>,
}

#[derive(Serialize)]
pub(super) struct BoxSolid<'a> {
    name: &'a str,
    panels: Vec<PanelSolid<'a>>,
    steps: Vec<StepMove<'a>>,
}

/// What a step of the assembly moves.
#[derive(Serialize)]
struct StepMove<'a> {
    number: usize,
    sub_assembly: &'a str,
    adds: &'a [usize],
    onto: &'a [usize],
    way: Option<[f64; 3]>,
    /// Which of the box's axes is up, as the work lies when it is seen best: while it is nailed, or at the end.
    up: [f64; 3],
    /// A finished sub-assembly is put where it belongs.
    places: bool,
}

#[derive(Serialize)]
struct PanelSolid<'a> {
    name: &'a str,
    /// Index into the job's parts; none for a panel that became no part.
    part: Option<usize>,
    origin: [f64; 3],
    u: [f64; 3],
    v: [f64; 3],
    layers: Vec<Layer>,
    /// How it leaves when the box is taken apart.
    way: [f64; 3],
    rank: u32,
}

#[derive(Serialize)]
struct Text<'a> {
    file: &'a str,
    sheet: usize,
    text: &'a str,
    /// Z of the sheet's upper face in the program.
    top: f64,
    thickness: f64,
    /// Of a sheet that is turned over: the face that is up, and how the first shows the sheet's frame, mirrored.
    #[serde(skip_serializing_if = "Option::is_none")]
    face: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mirror: Option<[f64; 6]>,
    /// Speed of rapid moves, which a program does not say (mm/min).
    rapid: f64,
    /// Of the program's lengths (mm).
    unit: f64,
    #[serde(flatten)]
    moves: Moves,
}

impl<'a> Scene<'a> {
    pub(super) fn new(made: &'a Made, key: String) -> Scene<'a> {
        Scene {
            key,
            boxes: made
                .assemblies
                .iter()
                .enumerate()
                .filter(|(_, assembly)| !assembly.loose)
                .map(|(i, assembly)| box_solid(assembly, i, &made.parts, &made.steps))
                .collect(),
            programs: texts(made),
        }
    }
}

pub(super) fn box_solid<'a>(
    assembly: &'a Assembly,
    index: usize,
    parts: &[Part],
    steps: &'a [BoxSteps],
) -> BoxSolid<'a> {
    let panels = &assembly.panels;
    let away = apart(panels, &contacts(panels));
    let part_of = |panel: usize| {
        parts.iter().position(|part| part.assembly == index && part.panels.iter().any(|(i, _)| *i == panel))
    };
    let steps = steps.iter().find(|steps| steps.box_name == assembly.name).map_or(&[][..], |steps| &steps.steps[..]);
    let steps = steps.iter().map(|step| StepMove {
        number: step.number,
        sub_assembly: &step.sub_assembly,
        adds: &step.adds,
        onto: &step.onto,
        way: step.direction,
        up: lies(assembly, step),
        places: step.kind == StepKind::Place,
    });
    BoxSolid {
        name: &assembly.name,
        panels: panels
            .iter()
            .zip(away)
            .enumerate()
            .map(|(i, (panel, away))| PanelSolid {
                name: &panel.name,
                part: part_of(i),
                origin: tidy(panel.place.origin, hundredth),
                u: tidy(panel.place.u, direction),
                v: tidy(panel.place.v, direction),
                layers: layers(panel),
                way: tidy(away.direction, direction),
                rank: away.rank,
            })
            .collect(),
        steps: steps.collect(),
    }
}

/// How the work lies in a step. A board that something is stapled on lies by itself, with that face up.
fn lies(assembly: &Assembly, step: &Step) -> [f64; 3] {
    let told = step.drives.first().map(|drive| drive.up).or_else(|| step.poses.last().copied());
    let seat = step.fittings.first().and_then(|fitting| assembly.fittings.get(*fitting)?.seats.first());
    let stapled = seat.and_then(|seat| {
        let normal = assembly.panels.iter().find(|panel| panel.name == seat.panel)?.place.normal();
        let out = if seat.face == Face::Outer { normal } else { -normal };
        let mut axis = [0.0; 3];
        let largest = out.abs().max_position();
        axis[largest] = out[largest].signum();
        Some(axis)
    });
    told.or(stapled).unwrap_or([0.0, 0.0, 1.0])
}

fn texts(made: &Made) -> Vec<Text<'_>> {
    let Some(router) = &made.job.router else { return Vec::new() };
    made.programs
        .iter()
        .map(|program| {
            let sheet = &made.layout.sheets[program.sheet];
            let thickness = sheet.thickness;
            let flip = router.cutting.flip.filter(|_| program.face == Some(SheetFace::First));
            Text {
                file: &program.file,
                sheet: program.sheet,
                text: &program.text,
                top: match router.machine.z_zero.value {
                    ZZero::SheetTop => 0.0,
                    ZZero::Spoilboard => thickness,
                },
                thickness,
                face: program.face.map(SheetFace::number),
                mirror: flip.map(|flip| flip.mirror(sheet.length, sheet.width).as_coeffs()),
                rapid: router.machine.rapid.value,
                unit: router.machine.units.in_mm(),
                moves: Moves::of(
                    &program.text,
                    if router.machine.dwell_in_ms.value { 0.001 } else { 1.0 },
                    router.machine.sheet_zero.value.on(sheet.length, sheet.width),
                ),
            }
        })
        .collect()
}

fn tidy(vector: DVec3, round: fn(f64) -> f64) -> [f64; 3] {
    [round(vector.x), round(vector.y), round(vector.z)]
}

/// A unit vector's part, to a millionth.
fn direction(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}
