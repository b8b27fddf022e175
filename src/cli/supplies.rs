//! What a job takes beside wood and what it costs, in short.

use super::findings::wrapped;
use nestwright::Made;
use nestwright::supply::Cost;
use std::io::{self, Write};

pub fn supplies(out: &mut impl Write, made: &Made) -> io::Result<()> {
    if made.supplies.is_empty() {
        return Ok(());
    }
    let units = made.job.units;
    writeln!(out, "\nTo buy")?;
    for supply in &made.supplies {
        let each = match &supply.boxes[..] {
            [only] if only.count > 1 => format!(" ({} a box)", supply.show(only.each, units)),
            _ => String::new(),
        };
        let sold = supply.to_buy(units).split_once(" (").map_or_else(String::new, |(_, how)| format!(" ({how}"));
        writeln!(out, "  {:>10}  {}{each}{sold}", supply.show(supply.total, units), supply.what)?;
        for piece in &supply.pieces {
            let [length, width] = piece.size.map(|mm| units.number(mm));
            writeln!(out, "  {:>10}  {length} × {width} {}", format!("{} ×", piece.count), units.sign())?;
        }
    }
    cost(out, &made.cost)
}

fn cost(out: &mut impl Write, cost: &Cost) -> io::Result<()> {
    if cost.total <= 0.0 {
        return Ok(());
    }
    let sum = |amount: f64| format!("{amount:.2} {}", cost.currency).trim_end().to_string();
    writeln!(out, "\nCost of one")?;
    for entry in &cost.boxes {
        let lines: Vec<String> = entry.lines.iter().map(|line| format!("{} {}", line.what, sum(line.amount))).collect();
        let mut text = format!("{}: {}", entry.name, sum(entry.cost));
        if entry.lines.len() > 1 {
            text.push_str(&format!(" ({})", lines.join(", ")));
        }
        if let Some(price) = entry.price {
            text.push_str(&format!("; to be sold at {}", sum(price)));
        }
        wrapped(out, "  ", &text)?;
    }
    if !cost.not_priced.is_empty() {
        wrapped(out, "  ", &format!("not priced, and in no sum: {}", cost.not_priced.join("; ")))?;
    }
    if cost.boxes.iter().any(|entry| entry.count > 1) || cost.boxes.len() > 1 {
        wrapped(out, "  ", &format!("the whole job: {}", sum(cost.total)))?;
    }
    Ok(())
}
