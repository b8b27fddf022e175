//! How each box goes together, what it takes beside wood, and what it costs.

use super::step::StepView;
use crate::made::Made;
use crate::steps::BoxSteps;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct AssemblyView {
    /// Index into the scene's boxes.
    pub scene: usize,
    name: String,
    count: u32,
    cautions: Vec<String>,
    stages: Vec<Stage>,
}

/// The steps of one sub-assembly that follow each other.
#[derive(Serialize)]
struct Stage {
    title: String,
    steps: Vec<StepView>,
}

/// A row per supply: what, how much for one box of each kind, and for the job.
#[derive(Serialize)]
pub(super) struct Hardware {
    boxes: Vec<String>,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    what: String,
    each: Vec<String>,
    total: String,
    pieces: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct CostView {
    boxes: Vec<BoxCost>,
    total: String,
    not_priced: Vec<String>,
}

#[derive(Serialize)]
struct BoxCost {
    name: String,
    count: u32,
    lines: Vec<(String, String)>,
    cost: String,
    price: Option<String>,
}

/// The boxes in the order of the scene, those that have steps.
pub(super) fn assemblies(made: &Made) -> Vec<AssemblyView> {
    let scene: Vec<&str> = made.assemblies.iter().filter(|one| !one.loose).map(|one| one.name.as_str()).collect();
    made.steps
        .iter()
        .enumerate()
        .filter(|(_, steps)| !steps.steps.is_empty())
        .map(|(i, steps)| AssemblyView {
            // Steps are made of the same boxes in the same order; should that ever change, go by name.
            scene: if scene.get(i) == Some(&steps.box_name.as_str()) {
                i
            } else {
                scene.iter().position(|name| *name == steps.box_name).unwrap_or(0)
            },
            name: steps.box_name.clone(),
            count: steps.count,
            cautions: steps.cautions.clone(),
            stages: stages(steps),
        })
        .collect()
}

fn stages(steps: &BoxSteps) -> Vec<Stage> {
    let name = |sub: &str| if sub.is_empty() { steps.box_name.clone() } else { sub.to_string() };
    let mut stages: Vec<Stage> = Vec::new();
    for (i, step) in steps.steps.iter().enumerate() {
        if i == 0 || steps.steps[i - 1].sub_assembly != step.sub_assembly {
            stages.push(Stage { title: name(&step.sub_assembly), steps: Vec::new() });
        }
        if let Some(stage) = stages.last_mut() {
            stage.steps.push(StepView {
                number: step.number,
                lead: step.text.first().cloned().unwrap_or_default(),
                rest: step.text.iter().skip(1).cloned().collect(),
                cautions: Vec::new(),
            });
        }
    }
    stages
}

/// What is to be bought for the job; none when that is nothing.
pub(super) fn hardware(made: &Made) -> Option<Hardware> {
    let units = made.job.units;
    let mut boxes: Vec<String> = Vec::new();
    for each in made.supplies.iter().flat_map(|supply| &supply.boxes) {
        if !boxes.contains(&each.box_name) {
            boxes.push(each.box_name.clone());
        }
    }
    let rows: Vec<Row> = made
        .supplies
        .iter()
        .map(|supply| Row {
            what: supply.what.clone(),
            each: boxes
                .iter()
                .map(|name| {
                    let each = supply.boxes.iter().find(|each| each.box_name == *name);
                    each.map_or_else(|| "–".into(), |each| supply.show(each.each, units))
                })
                .collect(),
            total: supply.to_buy(units),
            pieces: supply
                .pieces
                .iter()
                .map(|piece| {
                    let [a, b] = piece.size;
                    format!("{} of {} × {}", piece.count, units.number(a), units.show(b))
                })
                .collect(),
        })
        .collect();
    (!rows.is_empty()).then_some(Hardware { boxes, rows })
}

/// What it costs; none when nothing has a price.
pub(super) fn cost(made: &Made) -> Option<CostView> {
    let cost = &made.cost;
    let money = |amount: f64| format!("{amount:.2} {}", cost.currency).trim_end().to_string();
    if cost.boxes.iter().all(|one| one.lines.is_empty()) {
        return None;
    }
    Some(CostView {
        boxes: cost
            .boxes
            .iter()
            .map(|one| BoxCost {
                name: one.name.clone(),
                count: one.count,
                lines: one.lines.iter().map(|line| (line.what.clone(), money(line.amount))).collect(),
                cost: money(one.cost),
                price: one.price.map(money),
            })
            .collect(),
        total: money(cost.total),
        not_priced: cost.not_priced.clone(),
    })
}
