//! The plan in a maker's words.

use super::bits::bits;
use super::step::{Action, Becomes, CutPiece, Edge, Mark, Method, Setting, Slope, Step};
use super::works::{Work, WorkKind};
use super::{Recess, SawPlan, Span};
use crate::design::Part;
use crate::geometry::{Rect, Side};
use crate::job::Job;
use crate::layout::{Axis, glue_ups};
use crate::units::{Units, decimal};
use crate::words::sentence;

/// What to read before the first cut.
const BEFORE: [&str; 5] = [
    "Read the manual of each saw. Its guards and riving knife stay on; where a cut seems to need them off, it is made another \
     way. Manual, local rules and qualified practice come before this plan.",
    "Eye and ear protection, dust extraction, no gloves or loose sleeves at the blade. Stand beside the line of the blade. \
     Clear off-cuts when the blade stands.",
    "R1 is the long reference edge, R2 the end squared to it. Mark both on the face. Tick each fresh edge as you cut it: the \
     tick is the side the next measure comes from.",
    "What you keep is on the measured side: along the fence or at the stop. The kerf lies beyond it, on the waste. Pencil the \
     name on each piece as it comes off.",
    "The kerf in the plan is the one in the spec. Measure yours on a trial cut; if it is wider, the last pieces come out short.",
];

/// What to do and to read before the first cut of a plan: panels are glued up first.
pub fn before(job: &Job, plan: &SawPlan) -> Vec<String> {
    let stocks: Vec<usize> = plan.sheets.iter().map(|sheet| sheet.stock).collect();
    let glued = glue_ups(job, &stocks);
    glued.into_iter().chain(BEFORE.map(str::to_string)).collect()
}

/// `485.8 × 260.4 mm`
pub fn size(units: Units, rect: Rect) -> String {
    format!("{} × {}", units.number(rect.width()), units.show(rect.height()))
}

/// What an edge is called: `R1`, `R2`, `cut in step 5`.
pub fn edge(edge: Edge) -> String {
    match edge {
        Edge::Factory => "as bought".into(),
        Edge::LongReference => "R1".into(),
        Edge::EndReference => "R2".into(),
        Edge::CutIn(step) => format!("cut in step {}", step + 1),
    }
}

fn named_edge(side: Side, which: Edge) -> String {
    format!("{} edge ({})", side.name(), edge(which))
}

/// What is done with a piece: `finished`, `cut further`, `keep`, `waste`.
pub fn fate(becomes: Becomes) -> &'static str {
    match becomes {
        Becomes::Part { .. } => "finished",
        Becomes::Strip => "cut further",
        Becomes::OffCut { .. } => "keep",
        Becomes::Waste => "waste",
    }
}

/// Where fence or stop stands: `fence at 260.4 mm`.
pub fn setting(units: Units, setting: &Setting) -> String {
    let measure = units.show(setting.measure);
    let angle = decimal(setting.angle, 1);
    match setting.method {
        Method::Fence => format!("fence at {measure}"),
        Method::GaugeStop if setting.angle > 0.0 => format!("gauge turned {angle}°"),
        Method::GaugeStop => format!("stop at {measure}"),
        _ => format!("stop block at {measure}, ending ahead of the blade"),
    }
}

/// The step as sentences.
pub fn step(job: &Job, parts: &[Part], plan: &SawPlan, step: &Step) -> String {
    let units = job.units;
    match step.action {
        Action::Check => format!(
            "On trestles: {}. There is no wood to spare: look along the lower long edge and hold a square to the left end. If \
             both are true, mark the long edge R1 and the end R2. If not, turn the sheet to a better corner, or take another.",
            step.piece
        ),
        Action::Straighten => format!(
            "Guided circular saw: {}, {}. Lay the guide {} in from the lower long edge, over the whole length, and cut that \
             edge straight, the kerf on the outside. Mark the fresh edge R1.",
            step.piece,
            size(units, step.rect),
            units.show(step.measure)
        ),
        Action::Square => format!(
            "Guided circular saw: {}, {}.{} Set the guide square to R1 at the left end and take {} off, \
             kerf and all. Mark the fresh end R2.",
            step.piece,
            size(units, step.rect),
            if step.rect.y0 == 0.0 { " Take the straighter long edge for the lower one and mark it R1." } else { "" },
            units.show(step.measure)
        ),
        Action::Cut => cut(units, parts, step),
        Action::Slope(slope) => sloped(units, plan, step, slope),
    }
}

fn cut(units: Units, parts: &[Part], step: &Step) -> String {
    let measure = units.show(step.measure);
    let from = named_edge(step.from, step.from_edge);
    let piece = format!("{}, {}", step.piece, size(units, step.rect));
    let setting = step.setting.map(|number| format!(" (setting {})", number + 1)).unwrap_or_default();
    let square = step.square.map(|(side, which)| named_edge(side, which));
    let how = match step.method {
        Method::Fence => format!("Table saw, fence at {measure}{setting}: {piece}. Run its {from} along the fence."),
        Method::GaugeStop => format!(
            "Table saw, gauge, stop at {measure}{setting}: {piece}. Its {} against the gauge, its {from} against the stop.",
            square.unwrap_or_default()
        ),
        Method::GaugeFree => format!(
            "Table saw, gauge, block {measure} from the blade and ending ahead of it{setting}: {piece}. Its {} against the \
             gauge, its {from} brought to the block before the cut.",
            square.unwrap_or_default()
        ),
        Method::Guide => match square {
            Some(square) => format!(
                "Guided circular saw: {piece}. Measure {measure} from its {from}, set the guide square to its {square}."
            ),
            None => format!(
                "Guided circular saw: {piece}. Measure {measure} from its {from} at both ends and lay the guide to the marks."
            ),
        },
        Method::Hand => {
            format!("Hand saw or bandsaw: {piece}. Measure {measure} from its {from} at both ends and join the marks.")
        }
    };
    let off = step.off.as_ref().map_or_else(String::new, |off| format!(" Off comes {}.", described(units, parts, off)));
    let left = match &step.left {
        None => " Nothing is left beyond the kerf.".to_string(),
        // It keeps its name as long as more is to come off it.
        Some(left) if left.name == step.piece => {
            format!(" {} stays, {}: keep it.", sentence(&left.name), size(units, left.rect))
        }
        Some(left) => format!(" Left is {}.", described(units, parts, left)),
    };
    format!("{how}{off}{left}")
}

fn described(units: Units, parts: &[Part], piece: &CutPiece) -> String {
    let size = size(units, piece.rect);
    match piece.becomes {
        Becomes::Part { part, .. } => {
            format!("{size}, finished, {}: pencil \"{}\" on it", parts[part].name, piece.name)
        }
        Becomes::Strip => format!("{size}, to be cut further: pencil \"{}\" on it", piece.name),
        Becomes::OffCut { .. } => format!("{size}, to keep: pencil \"{}\" on it", piece.name),
        Becomes::Waste => format!("waste, {size}"),
    }
}

fn sloped(units: Units, plan: &SawPlan, step: &Step, slope: Slope) -> String {
    let mark = |mark: Mark| {
        let end = if mark.from == Side::Left { "left" } else { "lower" };
        if mark.distance < 0.05 {
            return format!("the corner of its {end} and its {} edge", mark.on.name());
        }
        format!("{} from the {end} end on its {} edge", units.show(mark.distance), mark.on.name())
    };
    let [a, b] = slope.marks.map(mark);
    let angle = decimal(slope.angle, 1);
    let setting = step.setting.map(|number| format!(" (setting {})", number + 1)).unwrap_or_default();
    let (gauge, _) = if step.axis == Axis::X { Axis::Y } else { Axis::X }.ends();
    let how = match step.method {
        Method::GaugeStop => {
            format!("Table saw, gauge turned {angle}° out of square{setting}, {} edge against it", gauge.name())
        }
        Method::Guide => "Guided circular saw".into(),
        _ => "Hand saw or bandsaw".into(),
    };
    let first = plan.steps.iter().find(|other| other.setting.is_some() && other.setting == step.setting);
    let trial = if first == Some(step) { " Try the angle on waste first." } else { "" };
    format!(
        "{how}: {}, {}, as it lay on the sheet. Mark {a} and {b}, join the marks and cut along the line; the corner is \
         waste.{trial}",
        step.piece,
        size(units, step.rect)
    )
}

/// A work as sentences. Measures on the part are from its left and its lower (or front) edge as its drawing has it.
pub fn work(job: &Job, part: &Part, work: &Work) -> String {
    let units = job.units;
    let show = |mm| units.show(mm);
    let all = match part.count {
        1 => format!("{}, 1 piece", part.name),
        2 => format!("{}, both pieces", part.name),
        many => format!("{}, all {many} pieces", part.name),
    };
    match &work.kind {
        WorkKind::Notches(notches) => {
            let (list, takes_fingers) = notched(units, work, notches);
            let how = if takes_fingers {
                "Saw down the sides and chisel across, or cut them on a jig that steps by the last notch; fit the first piece \
                 to its mate before you cut the rest"
            } else {
                "Saw them out with a hand saw or a bandsaw"
            };
            format!(
                "Notches: {all}. Clamp equal pieces together, edges flush, and mark as drawn, from the {} and the {} edge: {}. \
                 {how}.",
                work.edge(Side::Left),
                work.edge(Side::Lower),
                list.join("; ")
            )
        }
        WorkKind::Curve(rect) => format!(
            "To the drawing: {all}. Saw beside the line with a bandsaw or coping saw, {} to {} across and {} to {} up as drawn, and \
             smooth to the line.",
            units.number(rect.x0),
            units.number(rect.x1),
            units.number(rect.y0),
            show(rect.y1)
        ),
        WorkKind::Recess { recess, purpose } => recessed(units, &all, work, *recess, purpose),
        WorkKind::Holes { stack } => {
            let template = format!("the template of {}", part.name);
            let how = if *stack > 1 {
                format!("Clamp {stack} pieces in a stack, edges flush, {template} on top, scrap below")
            } else {
                format!("Lay {template} on the piece, scrap below")
            };
            let open = sawn_out(units, part);
            format!(
                "Holes: {all}. {how}. Align the template to the edges it names, punch each centre, drill to the sizes on it; \
                 clamp, never hold by hand.{open}"
            )
        }
    }
}

/// What follows once the holes of slots and rectangles are drilled.
fn sawn_out(units: Units, part: &Part) -> String {
    let mut open = String::new();
    if part.holes.iter().any(|hole| !hole.is_round() && hole.corner.is_none()) {
        open += " Saw out a slot between its two holes and file it to the lines.";
    }
    let mut sizes: Vec<String> = Vec::new();
    for hole in part.holes.iter().filter(|hole| hole.corner.is_some()) {
        let size = format!("⌀{}", units.show(bits(hole, units).0));
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    if !sizes.is_empty() {
        open += &format!(
            " In the corners of a rectangle drill {}, saw it out with a jigsaw, the work clamped over the bench's edge, and file \
             it to the lines.",
            sizes.join(" or ")
        );
    }
    if part.holes.iter().any(|hole| hole.corner == Some(0.0)) {
        open += " Its corners are square: file them out last.";
    }
    open
}

fn recessed(units: Units, all: &str, work: &Work, recess: Recess, purpose: &str) -> String {
    let show = |mm| units.show(mm);
    let edge = |across: Axis, high: bool| work.edge(if high { across.ends().1 } else { across.ends().0 });
    let face = work.face.map_or_else(|| "the face to be cut".into(), |face| format!("the {} face", face.name()));
    // At the start of a sentence.
    let the_face = format!("T{}", &face[1..]);
    let turned = |across: Axis| if across == Axis::X { Axis::Y } else { Axis::X };
    let stopped = |across: Axis, run: Span| {
        let low = edge(turned(across), false);
        match run.stops {
            [false, false] => String::new(),
            [true, false] => format!(" Stop block: it begins {} from the {low} edge.", show(run.from)),
            [false, true] => format!(" Stop block: it ends {} from the {low} edge.", show(run.to)),
            [true, true] => format!(
                " Two stop blocks: it runs from {} to {} from the {low} edge.",
                units.number(run.from),
                show(run.to)
            ),
        }
    };
    let square = |run: Span| {
        if run.stops.contains(&true) { " Square its stopped end with a chisel where the mate needs it." } else { "" }
    };
    match recess {
        Recess::Rabbet { across, high, width, depth, run } => format!(
            "Router table, rabbet ({purpose}): {all}. Fence {} behind the far side of the cutter, cutter {} high. {the_face} lies down, \
             the {} edge along the fence.{}{}",
            show(width),
            units.measured(depth),
            edge(across, high),
            stopped(across, run),
            square(run)
        ),
        Recess::Groove { across, from_high, distance, width, depth, run } => format!(
            "Router table, groove ({purpose}): {all}. Fence {} from the near side of the cutter, cutter {} high, groove {} \
             wide. {the_face} lies down, the {} edge along the fence.{}{}",
            show(distance),
            units.measured(depth),
            units.measured(width),
            edge(across, from_high),
            stopped(across, run),
            square(run)
        ),
        Recess::Round { centre, diameter, depth } => format!(
            "Drill press, recess ({purpose}): {all}. A bit of {} with its stop set {} deep, {} from the {} and {} from the {} \
             edge as drawn, in {face}; before the hole in its middle, while its point still has wood.",
            show(diameter),
            units.measured(depth),
            show(centre.x),
            work.edge(Side::Left),
            show(centre.y),
            work.edge(Side::Lower)
        ),
        Recess::Pocket { rect, depth } => format!(
            "Router by hand, recess ({purpose}): {all}. {} deep, from {} to {} across and {} to {} up as drawn, in {face}; \
             clamp four strips as a frame for the router's base.",
            units.measured(depth),
            units.number(rect.x0),
            units.number(rect.x1),
            units.number(rect.y0),
            show(rect.y1)
        ),
    }
}

/// Notches by the edge they are cut into; rows of equal ones as a row. And whether an end has some between its corners, which
/// the fingers of a mate go into.
fn notched(units: Units, work: &Work, notches: &[Rect]) -> (Vec<String>, bool) {
    let at = |rect: &Rect| {
        let (low_x, high_x) = (rect.x0 < 0.05, rect.x1 > work.size[0] - 0.05);
        let (low_y, high_y) = (rect.y0 < 0.05, rect.y1 > work.size[1] - 0.05);
        (low_x, high_x, low_y, high_y)
    };
    let ends: [Vec<&Rect>; 2] = [
        notches.iter().filter(|rect| at(rect).0).collect(),
        notches.iter().filter(|rect| at(rect).1 && !at(rect).0).collect(),
    ];
    let mut said = Vec::new();
    let mut takes_fingers = ends.iter().any(|rects| rects.len() > 1);
    let spans = |rects: &[&Rect]| {
        let spans: Vec<(f64, f64)> = rects.iter().map(|rect| (rect.y0, rect.y1)).collect();
        let deep = rects.iter().map(|rect| rect.width()).fold(0.0, f64::max);
        format!("{} deep, {}", units.show(deep), row(units, &spans, work.edge(Side::Lower)))
    };
    let rows: Vec<Option<String>> = ends.iter().map(|rects| (rects.len() > 1).then(|| spans(rects))).collect();
    match &rows[..] {
        [Some(left), Some(right)] if left == right => said.push(format!("both ends, {left}")),
        _ => {
            for (name, row) in ["left end", "right end"].iter().zip(&rows) {
                said.extend(row.iter().map(|row| format!("{name}, {row}")));
            }
        }
    }
    for rect in notches {
        let (low_x, high_x, low_y, high_y) = at(rect);
        if (low_x && rows[0].is_some()) || (high_x && rows[1].is_some()) {
            continue;
        }
        let size = format!("{} × {}", units.number(rect.width()), units.show(rect.height()));
        let edge = match (low_x, high_x, low_y, high_y) {
            (true, _, true, _) => format!("{} left corner, {size}", work.edge(Side::Lower)),
            (_, true, true, _) => format!("{} right corner, {size}", work.edge(Side::Lower)),
            (true, _, _, true) => format!("{} left corner, {size}", work.edge(Side::Upper)),
            (_, true, _, true) => format!("{} right corner, {size}", work.edge(Side::Upper)),
            (true, ..) | (_, true, ..) => {
                takes_fingers = true;
                let end = if low_x { "left" } else { "right" };
                let span = row(units, &[(rect.y0, rect.y1)], work.edge(Side::Lower));
                format!("{end} end, {} deep, {span}", units.show(rect.width()))
            }
            _ => {
                let end = if low_y { work.edge(Side::Lower) } else { work.edge(Side::Upper) };
                let span = row(units, &[(rect.x0, rect.x1)], work.edge(Side::Left));
                format!("{end} edge, {} deep, {span}", units.show(rect.height()))
            }
        };
        said.push(edge);
    }
    (said, takes_fingers)
}

/// Where notches lie along an edge, measured from one of its ends.
fn row(units: Units, spans: &[(f64, f64)], from: &str) -> String {
    let alike = |a: f64, b: f64| (a - b).abs() < 0.02;
    let wide = |span: &(f64, f64)| span.1 - span.0;
    if let [first, second, _, ..] = spans {
        let pitch = second.0 - first.0;
        let even =
            spans.windows(2).all(|pair| alike(pair[1].0 - pair[0].0, pitch) && alike(wide(&pair[1]), wide(first)));
        if even {
            return format!(
                "{} notches {} wide, the first {} from the {from} edge, one every {}",
                spans.len(),
                units.measured(wide(first)),
                units.show(first.0),
                units.measured(pitch)
            );
        }
    }
    let list: Vec<String> =
        spans.iter().map(|(from, to)| format!("{} to {}", units.number(*from), units.number(*to))).collect();
    format!("{} {} from the {from} edge", list.join(", "), units.sign())
}

/// What to take care of at a work, and who says so.
pub fn work_care(work: &Work) -> (&'static str, &'static str) {
    match work.kind {
        WorkKind::Recess { recess: Recess::Rabbet { .. } | Recess::Groove { .. }, .. } => (
            "Feed against the cutter's turning, in passes no deeper than half its diameter, with the guard on and a push block; \
             not on the table saw without its guard.",
            "HSE information sheet WIS 16: grooves and rabbets belong on a guarded router",
        ),
        WorkKind::Recess { .. } => ("Clamp the work; shallow passes.", "common practice"),
        WorkKind::Notches(_) | WorkKind::Curve(_) => {
            ("Clamp the work; keep both hands behind the edge.", "common practice")
        }
        WorkKind::Holes { .. } => ("Clamp the stack: a bit that catches turns it.", "common practice"),
    }
}

/// What a work is done with.
pub fn work_tool(work: &Work) -> &'static str {
    match work.kind {
        WorkKind::Recess { recess: Recess::Pocket { .. }, .. } => "router by hand",
        WorkKind::Recess { recess: Recess::Round { .. }, .. } => "drill press",
        WorkKind::Recess { .. } => "router table",
        WorkKind::Notches(_) => "hand saw or box-joint jig",
        WorkKind::Curve(_) => "bandsaw or coping saw",
        WorkKind::Holes { .. } => "drill",
    }
}
