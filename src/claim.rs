//! What a job's programs are to do: the claim that the proof holds them against, in the digits that `job.json` has.

use crate::design::{Hole, JointLine, Part, ScrewHole};
use crate::gcode::Program;
use crate::geometry::{Outline, Point, Rect};
use crate::job::{Flip, Job, KeepOut, Relief, Router};
use crate::layout::{Layout, Sheet};
use crate::profile::{Arcs, Tool, ToolChange, ToolKind, ZZero};
use crate::proof::{
    AboutClaim, Claim, HoleClaim, KeepOutClaim, LabelClaim, LineClaim, MachineClaim, PartClaim, PinClaim,
    PlacementClaim, PocketClaim, PointClaim, ProgramClaim, ReliefClaim, RouterClaim, ScrewClaim, SheetClaim, TabClaim,
    ToolClaim, ToolNumber, TurnedClaim, VertexClaim,
};
use crate::route::{Feeds, Pin, Route, Screw, SheetFace, Tab, deep, opening_tabs, speed_of};

impl Claim {
    /// What the job's programs are to do.
    pub fn of(job: &Job, parts: &[Part], layout: &Layout, routes: &[Route], programs: &[Program]) -> Claim {
        Claim {
            units: job.units,
            router: job.router.as_ref().map(|router| RouterClaim::of(job, router)),
            parts: parts.iter().map(part).collect(),
            sheets: layout
                .sheets
                .iter()
                .enumerate()
                .map(|(i, it)| sheet(job, parts, it, Route::of_sheet(routes, i)))
                .collect(),
            programs: programs
                .iter()
                .map(|program| ProgramClaim {
                    file: program.file.clone(),
                    sheet: program.sheet + 1,
                    face: program.face.map(SheetFace::number),
                    tools: program.tools.iter().map(|(number, _)| ToolNumber { number: *number }).collect(),
                })
                .collect(),
        }
    }
}

impl RouterClaim {
    /// The job's machine and tools; the cutter is tool 1, the drills follow.
    pub fn of(job: &Job, router: &Router) -> RouterClaim {
        let machine = &router.machine;
        let tools = std::iter::once(&router.cutter).chain(&router.drills).zip(1..);
        RouterClaim {
            machine: MachineClaim {
                name: machine.name.clone(),
                travel: machine.travel.value.map(tidy),
                feed: tidy(machine.feed.value),
                plunge: tidy(machine.plunge.value),
                spindle: machine.spindle.value.map(tidy),
                spin_up: tidy(machine.spin_up.value),
                changes_tools: machine.tool_change.value == ToolChange::Automatic,
                by_hand: machine.tool_change.value == ToolChange::Pause,
                zero_on_top: machine.z_zero.value == ZZero::SheetTop,
                sheet_zero: machine.sheet_zero.value.shares(),
                clear: tidy(machine.clear.value),
                spoilboard: tidy(machine.spoilboard.value),
                tool_length: machine.tool_length.value,
                digit: nano(machine.digit()),
                chords: if machine.arcs.value == Arcs::None {
                    tidy(machine.chords(router.cutter.diameter.value))
                } else {
                    0.0
                },
                dwell_unit: if machine.dwell_in_ms.value { 1e-3 } else { 1.0 },
            },
            tools: tools
                .map(|(tool, number)| ToolClaim {
                    chip_load: tidy(most_advance(tool).max(asked_advance(router, tool))),
                    least_chip: tidy(least_advance(job, router, tool)),
                    ..tool_claim(number, tool)
                })
                .collect(),
            gap: tidy(router.gap()),
            hole_allowance: tidy(router.cutting.hole_allowance),
            opening_tabs: Some(opening_tabs(router).map(tidy)),
            relief: match router.cutting.relief {
                Relief::Diagonal => ReliefClaim::Diagonal,
                Relief::Deep | Relief::Wide => ReliefClaim::Square,
            },
        }
    }
}

/// The largest advance per tooth that a tool is made for, at the depth of its passes (mm).
fn most_advance(tool: &Tool) -> f64 {
    tool.chip_load.value[1] * deep(tool.pass_depth.value)
}

/// The advance per tooth that the maker asks for by a feed of their own (mm); 0 where they ask for none. One beyond what the
/// tool is made for is a caution, told where the feed is checked; the programs are held to what was asked.
fn asked_advance(router: &Router, tool: &Tool) -> f64 {
    let Some(feed) = router.cutting.feed.filter(|_| tool.kind == ToolKind::EndMill) else { return 0.0 };
    let speed = speed_of(tool, router.cutting.speed.unwrap_or(tool.speed.value), router.machine.spindle.value);
    feed.min(router.machine.feed.value) / (speed * tool.flutes.value)
}

/// The advance per tooth below which a tool rubs (mm), in any of the job's materials: half of the least that it is made for,
/// or of what the job's own feed gives it where that is less.
fn least_advance(job: &Job, router: &Router, tool: &Tool) -> f64 {
    /// Some cuts are slowed down to half of the feed.
    const SLOWED: f64 = 0.5;
    let advances = job.stock.iter().map(|stock| {
        let feeds = Feeds::new(tool, &stock.material, &router.machine, &router.cutting);
        let least = tool.chip_load.value[0] * stock.material.chip_load.value * deep(tool.pass_depth.value);
        feeds.chip_load(tool).min(least)
    });
    SLOWED * advances.reduce(f64::min).unwrap_or(0.0)
}

fn tool_claim(number: u32, tool: &Tool) -> ToolClaim {
    ToolClaim {
        number,
        name: tool.name.clone(),
        drill: tool.kind == ToolKind::Drill,
        diameter: tidy(tool.diameter.value),
        point: tidy(tool.point.value),
        flute_length: tidy(tool.flute_length.value),
        flutes: tidy(tool.flutes.value),
        highest_speed: tool.highest_speed.as_ref().map(|highest| tidy(highest.value)),
        chip_load: tidy(most_advance(tool)),
        least_chip: 0.0,
        ramp_angle: tidy(tool.ramp_angle.value),
        pass_depth: tidy(tool.pass_depth.value),
    }
}

fn part(part: &Part) -> PartClaim {
    PartClaim {
        name: part.name.clone(),
        length: tidy(part.length),
        width: tidy(part.width),
        outline: vertices(&part.outline),
        holes: part.holes.iter().map(hole).chain(part.bored().map(screw_hole)).collect(),
        pockets: part
            .pockets
            .iter()
            .map(|pocket| PocketClaim {
                purpose: pocket.purpose.clone(),
                depth: tidy(pocket.depth),
                under: pocket.under,
                outline: vertices(&pocket.outline),
            })
            .collect(),
        square_corners: part.square_corners.iter().map(point).collect(),
        label: LabelClaim::of(part),
        joint_lines: part.lined().map(joint_line).collect(),
    }
}

fn joint_line(line: &JointLine) -> LineClaim {
    LineClaim {
        depth: tidy(line.depth),
        covered: vertices(&line.covered),
        strokes: line.strokes.iter().map(|ends| ends.iter().map(point).collect()).collect(),
    }
}

impl LabelClaim {
    /// What is engraved into a part, if anything is.
    pub fn of(part: &Part) -> Option<LabelClaim> {
        let label = part.engraved()?;
        let stroke = |stroke: &Vec<Point>| stroke.iter().map(point).collect();
        Some(LabelClaim {
            text: label.text.clone(),
            depth: tidy(label.depth),
            strokes: label.strokes.iter().map(stroke).collect(),
        })
    }
}

fn hole(hole: &Hole) -> HoleClaim {
    HoleClaim {
        x: tidy(hole.centre.x),
        y: tidy(hole.centre.y),
        diameter: tidy(hole.width),
        length: (!hole.is_round()).then(|| tidy(hole.length)),
        upright: (!hole.is_round()).then_some(hole.upright),
        corner: hole.corner.map(tidy),
        depth: None,
        use_: hole.use_.name().into(),
    }
}

/// One for a screw: right through, or as deep as its pilot.
fn screw_hole(hole: &ScrewHole) -> HoleClaim {
    HoleClaim {
        x: tidy(hole.centre.x),
        y: tidy(hole.centre.y),
        diameter: tidy(hole.diameter),
        length: None,
        upright: None,
        corner: None,
        depth: hole.depth.map(tidy),
        use_: hole.bored.name().into(),
    }
}

fn vertices(outline: &Outline) -> Vec<VertexClaim> {
    let vertex = |at: Point, bulge| VertexClaim { x: tidy(at.x), y: tidy(at.y), bulge: nano(bulge) };
    outline.vertices.iter().map(|it| vertex(it.at, it.bulge)).collect()
}

fn point(at: &Point) -> PointClaim {
    PointClaim { x: tidy(at.x), y: tidy(at.y) }
}

fn kept_out(it: &KeepOut) -> KeepOutClaim {
    let Rect { x0, y0, .. } = it.rect;
    let (length, width) = (it.rect.width(), it.rect.height());
    KeepOutClaim { x: tidy(x0), y: tidy(y0), length: tidy(length), width: tidy(width), why: it.why.clone() }
}

fn sheet(job: &Job, parts: &[Part], sheet: &Sheet, route: Option<&Route>) -> SheetClaim {
    let cutter = job.router.as_ref().map(|router| &router.cutter);
    let tab = |tab: &Tab| TabClaim {
        placement: tab.placement,
        x: tidy(tab.at.x),
        y: tidy(tab.at.y),
        width: tidy(tab.width),
        height: tidy(tab.height),
        foot: cutter.map(|cutter| tidy(tab.foot(cutter))),
    };
    let screw = |it: &Screw| ScrewClaim { x: tidy(it.at.x), y: tidy(it.at.y), head: tidy(it.head) };
    SheetClaim {
        length: tidy(sheet.length),
        width: tidy(sheet.width),
        thickness: tidy(sheet.thickness),
        chip_share: tidy(job.stock[sheet.stock].material.chip_load.value),
        placements: sheet
            .placements
            .iter()
            .map(|it| PlacementClaim {
                part: parts[it.part].name.clone(),
                x: tidy(it.x),
                y: tidy(it.y),
                angle: it.turn.degrees(),
            })
            .collect(),
        tabs: route.map(|route| route.holding.tabs.iter().map(tab).collect()),
        screws: route.map_or_else(Vec::new, |route| route.holding.screws.iter().map(screw).collect()),
        keep_out: job.stock[sheet.stock].keep_out.iter().map(kept_out).collect(),
        turned: route.and_then(|route| TurnedClaim::of(job, route)),
        first_face: false,
    }
}

impl TurnedClaim {
    /// How a sheet is turned over, if it is.
    pub fn of(job: &Job, route: &Route) -> Option<TurnedClaim> {
        let flip = job.router.as_ref()?.cutting.flip.filter(|_| route.face.is_some())?;
        let pin = |it: &Pin| PinClaim {
            x: tidy(it.at.x),
            y: tidy(it.at.y),
            diameter: tidy(it.diameter),
            depth: tidy(it.depth),
        };
        let about = match flip {
            Flip::Length => AboutClaim::Length,
            Flip::Width => AboutClaim::Width,
        };
        Some(TurnedClaim { about, pins: route.holding.pins.iter().map(pin).collect() })
    }
}

/// To a ten-thousandth, as `job.json` has its lengths.
fn tidy(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

/// To a thousand-millionth.
fn nano(value: f64) -> f64 {
    (value * 1e9).round() / 1e9 + 0.0
}
