//! What a box costs: sheets, supplies and time, as far as the spec gives prices.

use super::Supply;
use crate::design::Part;
use crate::gcode::Program;
use crate::job::{Costing, Job};
use crate::layout::{Layout, Pattern};
use schemars::JsonSchema;
use serde::Serialize;

/// The cost of a job. Sums are in the spec's currency, to the hundredth.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Cost {
    pub currency: String,
    pub boxes: Vec<BoxCost>,
    /// Everything that has a price, for the whole job.
    pub total: f64,
    /// What has no price; it is in no sum.
    pub not_priced: Vec<String>,
}

/// What one box costs; loose parts together are one entry.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BoxCost {
    #[serde(rename = "box")]
    pub name: String,
    pub count: u32,
    pub lines: Vec<CostLine>,
    /// Of one: the sum of its lines.
    pub cost: f64,
    /// Of one, at the wanted margin.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
}

#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CostLine {
    pub what: String,
    /// For one box.
    pub amount: f64,
}

/// What was used to make the parts, as far as cost goes.
#[derive(Clone, Debug, Default)]
pub struct Used {
    /// Stock of every sheet that is cut, by index.
    pub sheets: Vec<usize>,
    /// Minutes the router runs.
    pub router_minutes: f64,
}

impl Used {
    /// By the router's plan; by the saw's, where there is no other.
    pub fn of(layout: &Layout, patterns: &[Pattern], programs: &[Program]) -> Used {
        let nested: Vec<usize> = layout.sheets.iter().map(|sheet| sheet.stock).collect();
        let sawn = || patterns.iter().map(|pattern| pattern.stock).collect();
        Used {
            sheets: if nested.is_empty() { sawn() } else { nested },
            router_minutes: programs.iter().map(|program| program.travel.minutes).sum(),
        }
    }
}

/// What loose parts are put under.
const LOOSE: &str = "loose parts";

/// Reckons the cost.
///
/// A sheet is shared out among the boxes by the area of their parts, waste and off-cuts with it; the router's time by the
/// length of what it cuts.
pub fn cost(job: &Job, parts: &[Part], supplies: &[Supply], used: &Used) -> Cost {
    let mut not_priced = Vec::new();
    let mut boxes: Vec<BoxCost> = job
        .boxes
        .iter()
        .map(|order| BoxCost { name: order.name.clone(), count: order.count, lines: vec![], cost: 0.0, price: None })
        .collect();
    if !job.loose.is_empty() {
        boxes.push(BoxCost { name: LOOSE.into(), count: 1, lines: vec![], cost: 0.0, price: None });
    }
    sheets(job, parts, &used.sheets, &mut boxes, &mut not_priced);
    for supply in supplies {
        match job.costing.items.iter().find(|price| supply.goes_by(&price.item)) {
            Some(price) => {
                let unit = supply.unit.priced_by(job.units);
                for each in &supply.boxes {
                    add(&mut boxes, &each.box_name, &supply.item, each.each / unit * price.price / price.per);
                }
            }
            None => not_priced.push(supply.item.clone()),
        }
    }
    time(&job.costing, parts, used.router_minutes, &mut boxes, &mut not_priced);
    for entry in &mut boxes {
        entry.lines.iter_mut().for_each(|line| line.amount = rounded(line.amount));
        entry.cost = rounded(entry.lines.iter().fold(0.0, |sum, line| sum + line.amount));
        entry.price = job.costing.margin.map(|margin| rounded(entry.cost / (1.0 - margin)));
    }
    let total = rounded(boxes.iter().fold(0.0, |sum, entry| sum + entry.cost * f64::from(entry.count)));
    Cost { currency: job.costing.currency.clone(), boxes, total, not_priced }
}

/// To the smallest coin, as it is printed: then a sum is that of the lines above it.
fn rounded(sum: f64) -> f64 {
    (sum * 100.0).round() / 100.0
}

fn add(boxes: &mut [BoxCost], name: &str, what: &str, amount: f64) {
    if let Some(entry) = boxes.iter_mut().find(|entry| entry.name == name) {
        entry.lines.push(CostLine { what: what.into(), amount });
    }
}

/// The box that a part belongs to, and how many of that box there are.
fn owner<'a>(part: &'a Part, boxes: &[BoxCost]) -> (&'a str, f64) {
    let name = part.box_name.as_deref().unwrap_or(LOOSE);
    let count = boxes.iter().find(|entry| entry.name == name).map_or(1, |entry| entry.count);
    (name, f64::from(count))
}

fn sheets(job: &Job, parts: &[Part], used: &[usize], boxes: &mut [BoxCost], not_priced: &mut Vec<String>) {
    // Stocks that serve the same parts are paid for together.
    let mut done: Vec<usize> = Vec::new();
    for stock in 0..job.stock.len() {
        if done.iter().any(|known| job.stock[*known].serves(&job.stock[stock])) {
            continue;
        }
        done.push(stock);
        let alike = |other: usize| job.stock[other].serves(&job.stock[stock]);
        let mut paid = 0.0;
        for sheet in used.iter().filter(|sheet| alike(**sheet)) {
            match job.stock[*sheet].price {
                Some(price) => paid += price,
                None => {
                    let what = format!("sheets of {}", job.stock[*sheet].name);
                    if !not_priced.contains(&what) {
                        not_priced.push(what);
                    }
                }
            }
        }
        let area = |part: &Part| part.outline.area() * f64::from(part.count);
        let own: Vec<&Part> = parts.iter().filter(|part| alike(part.stock)).collect();
        let all: f64 = own.iter().map(|part| area(part)).sum();
        if paid > 0.0 && all > 0.0 {
            share_out(boxes, &own, "sheets", paid, all, area);
        }
    }
}

/// Shares a sum out among the boxes by what their parts have of something.
fn share_out(boxes: &mut [BoxCost], parts: &[&Part], what: &str, sum: f64, all: f64, of: impl Fn(&Part) -> f64) {
    let names: Vec<String> = boxes.iter().map(|entry| entry.name.clone()).collect();
    for name in names {
        let own = parts.iter().filter(|part| owner(part, boxes).0 == name);
        let share: f64 = own.clone().map(|part| of(part)).sum();
        let count = own.map(|part| owner(part, boxes).1).next().unwrap_or(1.0);
        if share > 0.0 {
            add(boxes, &name, what, sum * share / all / count);
        }
    }
}

fn time(costing: &Costing, parts: &[Part], minutes: f64, boxes: &mut [BoxCost], not_priced: &mut Vec<String>) {
    if minutes > 0.0 {
        match costing.rate {
            Some(rate) => {
                let length = |part: &Part| {
                    let holes: f64 = part.holes.iter().map(|hole| hole.outline().perimeter()).sum();
                    (part.outline.perimeter() + holes) * f64::from(part.count)
                };
                let all: f64 = parts.iter().map(length).sum();
                if all > 0.0 {
                    let own: Vec<&Part> = parts.iter().collect();
                    share_out(boxes, &own, "router time", minutes / 60.0 * rate, all, length);
                }
            }
            None => not_priced.push("router time".into()),
        }
    }
    match (costing.handwork, costing.rate) {
        (Some(minutes), Some(rate)) => {
            for entry in boxes.iter_mut().filter(|entry| entry.name != LOOSE) {
                entry.lines.push(CostLine { what: "work by hand".into(), amount: minutes / 60.0 * rate });
            }
        }
        _ => not_priced.push("work by hand".into()),
    }
}
