//! One program from its head to M30.

use super::Header;
use super::words::Words;
use crate::geometry::{Affine, Point, Vec2};
use crate::job::Flip;
use crate::profile::{Machine, PathControl, ProgramMarks, ToolChange, ToolKind, ZZero};
use crate::route::{Move, OperationKind, Run, SheetFace};
use crate::units::{Units, decimal};

/// The text of a program.
///
/// `zero` is where on the sheet its X and Y are zero (mm).
pub(super) fn text(machine: &Machine, thickness: f64, zero: [f64; 2], header: &Header, runs: &[Run]) -> String {
    let mut program = Program { words: Words::new(machine, thickness), machine, zero: Vec2::new(zero[0], zero[1]) };
    let marked = machine.program_marks.value != ProgramMarks::None;
    if marked {
        program.words.mark("%");
    }
    if machine.program_marks.value == ProgramMarks::Number {
        program.words.mark(&format!("O{:04}", header.number));
    }
    program.head(header, runs, thickness);
    let units = if machine.units == Units::Inches { "G20" } else { "G21" };
    program.words.line(&format!("G17 {units} G90 G94"));
    program.words.line("G40 G49 G80 G54");
    match machine.path_control.value {
        PathControl::AsSet => {}
        PathControl::Exact => program.words.line("G61"),
        PathControl::Blend => {
            let within = program.words.rounded(machine.blend()).max(program.words.digit());
            let within = program.words.word('P', within);
            program.words.line(&format!("G64{within}"));
        }
    }
    for (i, run) in runs.iter().enumerate() {
        program.run(run, i > 0);
    }
    program.words.comment("done");
    program.stop();
    program.park();
    program.words.comment(STANDS);
    program.words.line("M30");
    if marked {
        program.words.mark("%");
    }
    program.words.text
}

/// What stands up from the sheet is lower than rapid moves go by this (mm).
const OVER_CLAMPS: f64 = 2.0;

struct Program<'a> {
    words: Words<'a>,
    machine: &'a Machine,
    /// Where on the sheet X and Y are zero.
    zero: Vec2,
}

impl Program<'_> {
    fn head(&mut self, header: &Header, runs: &[Run], thickness: f64) {
        let (machine, words) = (self.machine, &mut self.words);
        let units = machine.units;
        words.comment(header.job);
        words.comment(&header.sheet);
        words.comment(&format!("stock: {}", header.stock));
        if let Some((this, all)) = header.turn {
            words.comment(&format!(
                "program {this} of {all} for this sheet: run them in this order, do not move the sheet"
            ));
        }
        if let Some((face, flip)) = header.face {
            self.turned(face, flip, header, thickness);
        }
        let (machine, words) = (self.machine, &mut self.words);
        for run in runs {
            let tool = &run.tool;
            words.comment(&format!(
                "T{}: {}, diameter {}, {} rev/min",
                run.number,
                tool.title,
                units.measured(tool.diameter.value),
                run.feeds.speed
            ));
        }
        for run in runs.iter().filter(|run| run.tool.kind == ToolKind::Drill) {
            let (number, point) = (run.number, run.tool.point.value);
            words.comment(&if point > 0.0 {
                format!(
                    "T{number}: set its Z with its point, which reaches {} below its edges, {} into the spoilboard",
                    units.measured(point),
                    units.measured(point + machine.spoilboard.value)
                )
            } else {
                format!("T{number}: set its Z with the cutting edges; a centre point goes deeper by its own length")
            });
        }
        words.comment(&format!("X0 Y0: {}, X along its length", machine.sheet_zero.value.told()));
        words.comment("parts with the inner face up lie as mirror images of their drawings");
        words.comment(match machine.z_zero.value {
            ZZero::SheetTop => "Z0: upper face of the sheet",
            ZZero::Spoilboard => "Z0: face of the spoilboard",
        });
        words.comment(&format!(
            "cuts {} into the spoilboard; keep screws and clamps out of every cut",
            units.measured(machine.spoilboard.value)
        ));
        if !header.holding.screws.is_empty() {
            let marked = runs.iter().flat_map(|run| &run.operations).any(|it| it.kind == OperationKind::Screw);
            words.comment(&format!(
                "{} hold-down screws, heads at most {} high: {}",
                header.holding.screws.len(),
                units.show(machine.clear.value / 2.0),
                if marked {
                    "drive them at the marks when it stops for them"
                } else {
                    "in at their marks before it starts"
                }
            ));
        }
        self.kept_out(header);
        let words = &mut self.words;
        let deepest = |kind: OperationKind| {
            let all = runs.iter().flat_map(|run| &run.operations).filter(|it| it.kind == kind);
            let deepest = all.flat_map(|it| &it.moves).map(|step| -step.end().z).reduce(f64::max);
            deepest.map(|deep| units.measured(deep))
        };
        if let Some(deep) = deepest(OperationKind::Label) {
            words.comment(&format!("writes labels, {deep} deep, into the faces that will be hidden"));
        }
        if let Some(deep) = deepest(OperationKind::Line) {
            words.comment(&format!("cuts joint lines, {deep} deep, where other parts will cover them"));
        }
        for caution in cautions(runs) {
            words.comment(caution);
        }
    }

    /// What the tool keeps off, and how high anything there may stand.
    fn kept_out(&mut self, header: &Header) {
        let (machine, units) = (self.machine, self.machine.units);
        // With the first face of a sheet up they lie elsewhere, as mirror images.
        if header.face.is_some_and(|(face, _)| face == SheetFace::First) {
            return;
        }
        let most = units.show((machine.clear.value - OVER_CLAMPS).max(0.0));
        for kept in header.keep_out {
            let corner = Point::new(kept.rect.x0, kept.rect.y0) - self.zero;
            let [x, y, length, width] =
                [corner.x, corner.y, kept.rect.width(), kept.rect.height()].map(|mm| units.number(mm));
            self.words.comment(&format!(
                "keeps out of X{x} Y{y}, {length} x {width}: {}; nothing there may stand higher than {most}",
                kept.called()
            ));
        }
    }

    /// What is done with a sheet that is turned over, and with its pins.
    fn turned(&mut self, face: SheetFace, flip: Flip, header: &Header, thickness: f64) {
        let (units, words) = (self.machine.units, &mut self.words);
        let edges = match flip {
            Flip::Length => "long edges change places: the one that lay along Y0 lies at the back",
            Flip::Width => "short edges change places: the one that lay along X0 lies at the right",
        };
        let Some(pin) = header.holding.pins.first() else { return };
        let count = header.holding.pins.len();
        let (size, longest) = (units.measured(pin.diameter), units.measured(pin.longest(thickness)));
        match face {
            SheetFace::First => {
                words.comment("face 1 of 2: the face that is down when the parts are cut out is up");
                words.comment("mark its corner at X0 Y0 before you start, and clamp nothing over the pin holes");
                words.comment(&format!(
                    "makes {count} holes for pins of {size}, {} into the spoilboard: check that it is thick enough",
                    units.measured(pin.depth)
                ));
                words.comment("AFTER IT: when the spindle stands, take the screws out, do not move the spoilboard or the zero of X and Y");
                words.comment(&format!("turn the sheet over: its {edges}"));
                words.comment(&format!("put pins no longer than {longest} through its holes into the spoilboard"));
            }
            SheetFace::Second => {
                words.comment("face 2 of 2: run it only when face 1 is cut, with zero of X and Y where it was");
                words.comment(&format!("the sheet is turned over: its {edges}"));
                words.comment(&format!(
                    "{count} pins of {size} hold its place: none stands above the sheet, none longer than {longest}"
                ));
                words.comment("set the zero of Z anew: the other face is up");
            }
        }
    }

    fn run(&mut self, run: &Run, again: bool) {
        self.words.tool(run.tool.diameter.value);
        self.words.comment(&format!("tool {}: {}", run.number, run.tool.title));
        let change = self.machine.tool_change.value;
        if change == ToolChange::Automatic && !self.machine.tool_length.value {
            self.words.comment("the change itself must bring in this tool's length: no G43 follows");
        }
        if again {
            self.stop();
        }
        match change {
            ToolChange::None => {}
            ToolChange::Automatic => {
                self.words.comment("tool change: keep clear, the machine moves; reach in only when the spindle stands");
                self.words.line(&format!("T{} M6", run.number));
                self.words.comment("keep clear: the machine moves on and the spindle starts");
            }
            ToolChange::Pause if again => {
                self.park();
                self.pause(&format!("put tool {} in, and set the zero of Z for it", run.number));
            }
            ToolChange::Pause => {}
        }
        if self.machine.tool_length.value {
            self.words.line(&format!("G43 H{}", run.number));
        }
        self.start(run);
        for operation in &run.operations {
            self.words.comment(&operation.about);
            self.words.forget_modes();
            if self.zero == Vec2::ZERO {
                self.words.moves(&operation.moves);
            } else {
                let by = Affine::translate(-self.zero);
                let moves: Vec<Move> = operation.moves.iter().map(|step| step.moved(by)).collect();
                self.words.moves(&moves);
            }
            if let Some(what) = &operation.pause {
                self.stop();
                self.pause(what);
                self.start(run);
            }
        }
    }

    /// Out of the way of whoever changes the tool or takes the sheet.
    fn park(&mut self) {
        if let Some(place) = &self.machine.park_machine {
            let [x, y] = place.value;
            self.words.park_by_machine(x, y);
            return;
        }
        if self.machine.park_height.is_some() {
            self.words.lift_to(self.machine.parked_at());
        }
        let [x, y] = self.machine.park.value;
        self.words.park(Point::new(x, y) - self.zero);
    }

    /// The program stops for a hand that goes in.
    fn pause(&mut self, what: &str) {
        self.words.comment(STANDS);
        self.words.comment(what);
        self.words.line("M0");
        self.words.comment(GOES_ON);
    }

    /// Up, and the spindle on: in this order, for nothing is known of where the tool stands.
    fn start(&mut self, run: &Run) {
        self.words.forget_place();
        self.words.lift();
        self.words.line(&format!("S{} M3", decimal(run.feeds.speed, 0)));
        self.words.dwell(self.machine.spin_up.value);
        if let Some(relay) = &self.machine.relay {
            let on = relay.value[0].clone();
            self.words.line(&on);
        }
    }

    /// Up, and everything off.
    fn stop(&mut self) {
        self.words.forget_modes();
        self.words.lift();
        self.words.line("M5");
        if let Some(relay) = &self.machine.relay {
            let off = relay.value[1].clone();
            self.words.line(&off);
        }
        self.words.forget_modes();
    }
}

/// Before a hand goes in, and before the machine moves again.
const STANDS: &str = "wait until the spindle stands before you reach in";
const GOES_ON: &str = "hands out first: the spindle starts when you press start";

/// What any program for a machine with a turning cutter should say.
pub const CAUTIONS: [&str; 6] = [
    "CAUTION: read the machine's manual; its rules and local rules come before this program",
    "wear eye and ear protection, use dust extraction, keep hands and sleeves away",
    "check the tool, the zero point, the sheet's thickness and the hold-down before you start",
    "run it once in the air above the sheet; stay at the machine, with the stop button in reach",
    "stop the spindle and wait until it stands before you touch the sheet or a part",
    OF_TABS,
];

/// Those of a program that does this: where nothing is cut out, nothing is held by tabs.
pub(super) fn cautions(runs: &[Run]) -> Vec<&'static str> {
    let loosens = |kind| matches!(kind, OperationKind::Cutout | OperationKind::Outline | OperationKind::Skin);
    let loose = runs.iter().flat_map(|run| &run.operations).any(|operation| loosens(operation.kind));
    CAUTIONS.into_iter().filter(|caution| loose || *caution != OF_TABS).collect()
}

const OF_TABS: &str = "parts are held by tabs: do not pull them out while the spindle turns";
