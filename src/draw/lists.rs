//! What is told in tables: the cut list, and what the checks found.

use super::Picture;
use super::features::features;
use super::form::{Form, Title};
use super::table::{Table, column, figures, pages, together};
use crate::design::Grain;
use crate::finding::Status;
use crate::made::Made;
use crate::supply::Supply;

/// The cut list, what to buy, and what it costs: short ones on one page. Each with the heading it stands under.
pub fn shop_lists(made: &Made) -> Vec<(String, Picture)> {
    let form = Form::listing(made.job.paper);
    let lists: Vec<(Table, Title)> =
        [Some(cut_list(made)), hardware_list(made), cost_list(made)].into_iter().flatten().collect();
    let mut drawn = Vec::new();
    let mut rest = &lists[..];
    while !rest.is_empty() {
        // As many lists as go on a page; a list longer than that has pages of its own.
        let shared = (2..=rest.len()).rev().find_map(|count| {
            let tables: Vec<&Table> = rest[..count].iter().map(|(table, _)| table).collect();
            let names = in_words(&tables.iter().map(|table| table.name).collect::<Vec<_>>());
            let title = Title { title: names.clone(), kind: "Lists".into(), ..rest[0].1.clone() };
            together(&form, &title, &tables).map(|picture| (count, names, picture))
        });
        if let Some((count, names, picture)) = shared {
            drawn.push((names, picture));
            rest = &rest[count..];
        } else {
            let (table, title) = &rest[0];
            drawn.extend(pages(&form, title, table).into_iter().map(|picture| (table.name.to_string(), picture)));
            rest = &rest[1..];
        }
    }
    drawn
}

/// `Cut list, hardware, cost`.
fn in_words(names: &[&str]) -> String {
    let rest = names.iter().skip(1).map(|name| name.to_lowercase());
    names.first().map(|name| (*name).to_string()).into_iter().chain(rest).collect::<Vec<_>>().join(", ")
}

/// The cut list, its numbers those of the balloons.
fn cut_list(made: &Made) -> (Table, Title) {
    let units = made.job.units;
    let columns = vec![
        figures("No.", 1.0),
        column("Part", 4.2),
        column("Of", 4.2),
        figures("Pieces", 1.4),
        figures("Length", 1.9),
        figures("Width", 1.9),
        figures("Thick", 1.9),
        column("Grain", 2.2),
        column("Features", 7.5),
    ];
    let rows: Vec<Vec<String>> = made
        .parts
        .iter()
        .enumerate()
        .map(|(i, part)| {
            let shown = part.elevation(&made.assemblies[part.assembly]);
            let glued = made.boards_of(i).map(|boards| format!("from a panel of {boards} boards"));
            let call_outs = features(&shown.part, units, made.job.router.is_some())
                .call_outs
                .into_iter()
                .map(|call_out| call_out.text);
            let notes: Vec<String> = glued.into_iter().chain(call_outs).collect();
            vec![
                (i + 1).to_string(),
                part.name.clone(),
                part.box_name.clone().unwrap_or_else(|| "loose".into()),
                part.count.to_string(),
                units.number(part.length),
                units.number(part.width),
                units.measured(part.thickness),
                match part.grain {
                    Grain::Long => "along".into(),
                    Grain::Cross => "across".into(),
                    Grain::Any => "either".into(),
                },
                notes.join("; "),
            ]
        })
        .collect();
    let pieces: u32 = made.parts.iter().map(|part| part.count).sum();
    let title = Title {
        title: "Cut list".into(),
        kind: "Parts list".into(),
        number: "L 1".into(),
        sheet: "1 of 1".into(),
        more: [("Pieces", pieces.to_string()), ("Lengths in", units.name().into()), ("", String::new())],
        ..Title::of(&made.job)
    };
    (Table { name: "Cut list", columns, rows }, title)
}

/// What is to be bought beside the sheets, which the cover lists: each thing for one box and in all, how it is sold, and pieces to
/// cut of it.
fn hardware_list(made: &Made) -> Option<(Table, Title)> {
    let beside: Vec<&Supply> = made.supplies.iter().filter(|supply| !supply.boxes.is_empty()).collect();
    if beside.is_empty() {
        return None;
    }
    let units = made.job.units;
    let columns =
        vec![column("What", 9.0), column("In all", 4.5), column("In one box", 5.0), column("Pieces to cut", 4.5)];
    let rows: Vec<Vec<String>> = beside
        .iter()
        .map(|supply| {
            let each: Vec<String> = supply
                .boxes
                .iter()
                .map(|each| format!("{}: {}", each.box_name, supply.show(each.each, units)))
                .collect();
            let pieces: Vec<String> = supply
                .pieces
                .iter()
                .map(|piece| {
                    let [length, width] = piece.size;
                    format!("{} × ({} × {})", piece.count, units.number(length), units.show(width))
                })
                .collect();
            vec![supply.what.clone(), supply.to_buy(units), each.join("; "), pieces.join("; ")]
        })
        .collect();
    let title = Title {
        title: "Hardware".into(),
        kind: "Shopping list".into(),
        number: "L 2".into(),
        sheet: "1 of 1".into(),
        more: [("Things", beside.len().to_string()), ("", String::new()), ("", String::new())],
        ..Title::of(&made.job)
    };
    Some((Table { name: "Hardware", columns, rows }, title))
}

/// What each box costs, as far as the spec gives prices. What has no price is named, and is in no sum.
fn cost_list(made: &Made) -> Option<(Table, Title)> {
    let cost = &made.cost;
    if cost.total <= 0.0 {
        return None;
    }
    let sum = |amount: f64| format!("{amount:.2}");
    let columns = vec![
        column("Box", 5.0),
        column("What for", 9.0),
        figures("One", 2.0),
        figures("How many", 1.6),
        figures("All of them", 2.0),
        figures("To be sold at", 2.0),
    ];
    let mut rows: Vec<Vec<String>> = Vec::new();
    let row = |cells: [&str; 6]| cells.map(String::from).to_vec();
    for entry in &cost.boxes {
        let all = sum(entry.cost * f64::from(entry.count));
        let price = entry.price.map_or_else(String::new, sum);
        let summed = |what: &str| row([&entry.name, what, &sum(entry.cost), &entry.count.to_string(), &all, &price]);
        // One line is its own sum.
        if let [line] = &entry.lines[..] {
            rows.push(summed(&line.what));
            continue;
        }
        for line in &entry.lines {
            rows.push(row([&entry.name, &line.what, &sum(line.amount), "", "", ""]));
        }
        rows.push(summed("together"));
    }
    rows.push(row(["the whole job", "", "", "", &sum(cost.total), ""]));
    if !cost.not_priced.is_empty() {
        rows.push(row(["not priced, and in no sum", &cost.not_priced.join("; "), "", "", "", ""]));
    }
    let title = Title {
        title: "Cost".into(),
        kind: "Reckoning".into(),
        number: "L 3".into(),
        sheet: "1 of 1".into(),
        more: [("In", cost.currency.clone()), ("Whole job", sum(cost.total)), ("", String::new())],
        ..Title::of(&made.job)
    };
    Some((Table { name: "Cost", columns, rows }, title))
}

/// What asks for care, with what was measured beside what is allowed.
pub fn findings_list(made: &Made) -> Vec<Picture> {
    let units = made.job.units;
    let columns = vec![
        column("", 2.3),
        column("Of", 5.0),
        column("Check", 5.4),
        figures("Measured", 2.3),
        figures("Allowed", 3.6),
        column("What to do, and who says so", 11.0),
    ];
    let rows: Vec<Vec<String>> = made
        .findings
        .iter()
        .filter(|finding| matches!(finding.status, Status::Caution | Status::Refused))
        .map(|finding| {
            let measured = || finding.measured.map_or_else(String::new, |measure| measure.show(units));
            let (measured, allowed) = finding.figures(units).unwrap_or_else(|| (measured(), String::new()));
            vec![
                // Told by a sign and a word, not by a colour.
                match finding.status {
                    Status::Ok => "✓ ok".into(),
                    Status::Accepted => "✓ accepted".into(),
                    Status::Caution => "▲ caution".into(),
                    Status::Refused => "✗ refused".into(),
                },
                finding.subject.clone(),
                finding.check.clone(),
                measured,
                allowed,
                match (finding.advice.as_str(), finding.source.as_str()) {
                    ("", source) => source.to_string(),
                    (advice, "") => format!("{advice}."),
                    (advice, source) => format!("{advice}. ({source})"),
                },
            ]
        })
        .collect();
    let cautions = made.findings.iter().filter(|finding| finding.status == Status::Caution).count();
    let title = Title {
        title: "Findings".into(),
        kind: "Checks".into(),
        number: "F 1".into(),
        sheet: "1 of 1".into(),
        more: [("Checks", made.findings.len().to_string()), ("Cautions", cautions.to_string()), ("", String::new())],
        ..Title::of(&made.job)
    };
    pages(&Form::listing(made.job.paper), &title, &Table { name: "Findings", columns, rows })
}
