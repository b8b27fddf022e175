//! `saw.csv`: the saw plan, a row per step after one that says what to read first.

use super::csv::inert;
use crate::error::Error;
use crate::geometry::Side;
use crate::layout::Axis;
use crate::made::Made;
use crate::saw::{Action, Becomes, CutPiece, Method, Step, say};

/// The column of measures; its head says their unit.
const TO: &str = "to";

const HEAD: [&str; 19] = [
    "step",
    "of",
    "sheet",
    "with",
    "setting",
    "on the saw",
    "its size",
    "measure from",
    TO,
    "square to",
    "kerf",
    "comes off",
    "off size",
    "off is",
    "left",
    "left size",
    "left is",
    "what to do",
    "take care",
];

/// The steps in order, cuts first, then what is done to the sawn pieces.
pub(super) fn saw_steps(made: &Made) -> Result<Vec<u8>, Error> {
    let fault = |why: &dyn std::fmt::Display| Error::Fault(format!("saw.csv: {why}"));
    let mut rows = csv::Writer::from_writer(Vec::new());
    let units = made.job.units.sign();
    let head = HEAD.map(|head| if head == TO { format!("{TO} {units}") } else { head.into() });
    rows.write_record(&head).map_err(|why| fault(&why))?;
    rows.write_record(before(made)).map_err(|why| fault(&why))?;
    for (i, step) in made.saw.steps.iter().enumerate() {
        rows.write_record(cut(made, i, step)).map_err(|why| fault(&why))?;
    }
    for (i, work) in made.saw.works.iter().enumerate() {
        let part = &made.parts[work.part];
        let (care, source) = say::work_care(work);
        let row = row(&[
            ("step", (made.saw.steps.len() + i + 1).to_string()),
            ("of", made.saw.length().to_string()),
            ("with", say::work_tool(work).into()),
            ("on the saw", inert(&format!("{} × {}", part.count, part.name))),
            ("its size", format!("{} × {}", made.job.units.number(part.length), made.job.units.show(part.width))),
            ("what to do", inert(&say::work(&made.job, part, work))),
            ("take care", format!("{care} ({source})")),
        ]);
        rows.write_record(row).map_err(|why| fault(&why))?;
    }
    rows.into_inner().map_err(|why| fault(&why))
}

/// A row with only these columns filled, by their heads.
fn row(cells: &[(&str, String)]) -> [String; 19] {
    HEAD.map(|head| cells.iter().find(|(of, _)| *of == head).map_or_else(String::new, |(_, text)| text.clone()))
}

/// Row 0: what to read before the first cut.
fn before(made: &Made) -> [String; 19] {
    const CARE: &str =
        "Wear eye and hearing protection. The saw's manual, local rules and qualified practice come before this plan.";
    row(&[
        ("step", "0".into()),
        ("of", made.saw.length().to_string()),
        ("on the saw", "before the first cut".into()),
        ("what to do", say::before(&made.job, &made.saw).join(" ")),
        ("take care", CARE.into()),
    ])
}

fn cut(made: &Made, i: usize, step: &Step) -> [String; 19] {
    let units = made.job.units;
    let edge = |side: Side, edge| format!("{} edge, {}", side.name(), say::edge(edge));
    let piece = |piece: &Option<CutPiece>| match piece {
        None => [String::new(), String::new(), String::new()],
        Some(piece) => {
            let name = if piece.becomes == Becomes::Waste { String::new() } else { piece.name.clone() };
            [inert(&name), say::size(units, piece.rect), say::fate(piece.becomes).into()]
        }
    };
    let [off, off_size, off_is] = piece(&step.off);
    let [left, left_size, left_is] = piece(&step.left);
    let kerf = match (step.action, step.axis) {
        (Action::Cut, Axis::X) => "right of the line",
        (Action::Cut, Axis::Y) => "above the line",
        (Action::Straighten, _) => "below the line",
        (Action::Square, _) => "left of the line",
        (Action::Slope(_), _) => "outside the line",
        (Action::Check, _) => "",
    };
    let with = if step.action == Action::Check { "square and straightedge" } else { step.method.name() };
    let care: Vec<String> =
        step.cautions.iter().map(|caution| format!("{} ({})", caution.text(units), caution.source())).collect();
    let marked = matches!(step.action, Action::Slope(_));
    [
        (i + 1).to_string(),
        made.saw.length().to_string(),
        (step.sheet + 1).to_string(),
        with.into(),
        step.setting.map(|number| (number + 1).to_string()).unwrap_or_default(),
        inert(&step.piece),
        say::size(units, step.rect),
        if marked { "two marks".into() } else { edge(step.from, step.from_edge) },
        if marked { String::new() } else { units.number(step.measure) },
        match step.square {
            Some((side, which)) => edge(side, which),
            None if step.method == Method::Fence => "along the fence".into(),
            None => String::new(),
        },
        kerf.into(),
        off,
        off_size,
        off_is,
        left,
        left_size,
        left_is,
        inert(&say::step(&made.job, &made.parts, &made.saw, step)),
        care.join(" "),
    ]
}
