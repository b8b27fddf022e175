//! What a page shows of a job while its spec is being written: the boxes as solids, their panels with holes, and what was found.

use super::face::{FaceView, faces};
use super::finding::{ThemeView, themes};
use super::scene::{BoxSolid, box_solid};
use crate::build;
use crate::design::Assembly;
use crate::finding::{Finding, JobCheck, Limits, Status};
use crate::made::Designed;
use crate::units::Units;
use serde::Serialize;

/// All of it, ready to be written as JSON. Lengths are millimetres, places bytes of the spec.
#[derive(Serialize)]
pub struct Seen<'a> {
    title: &'a str,
    units: Units,
    refused: bool,
    /// Findings that a maker should look at.
    cautions: usize,
    boxes: Vec<BoxSolid<'a>>,
    faces: Vec<FaceView>,
    themes: Vec<ThemeView>,
    stocks: Vec<StockSeen<'a>>,
    parts: Vec<PartSeen<'a>>,
}

/// A stock, and the thicknesses of it with which the boxes made of it work.
#[derive(Serialize)]
struct StockSeen<'a> {
    name: &'a str,
    material: &'a str,
    thickness: f64,
    /// For each box: its name, the range, and what gives out at its ends.
    ranges: Vec<RangeSeen<'a>>,
}

#[derive(Serialize)]
struct RangeSeen<'a> {
    #[serde(rename = "box")]
    name: &'a str,
    least: Option<f64>,
    most: Option<f64>,
    holds: bool,
    advice: &'a str,
}

#[derive(Serialize)]
struct PartSeen<'a> {
    name: &'a str,
    #[serde(rename = "box")]
    box_name: Option<&'a str>,
    count: u32,
    size: String,
}

impl<'a> Seen<'a> {
    pub fn of(designed: Designed<'a>) -> Seen<'a> {
        let Designed { job, assemblies, findings } = designed;
        let parts = build::parts(job, assemblies);
        let boxes = assemblies.iter().enumerate().filter(|(_, assembly)| !assembly.loose);
        let sizes = job.units;
        Seen {
            title: &job.title,
            units: job.units,
            refused: findings.iter().any(Finding::refused),
            cautions: findings.iter().filter(|finding| finding.status == Status::Caution).count(),
            boxes: boxes.map(|(i, assembly)| box_solid(assembly, i, &parts, &[])).collect(),
            faces: faces(designed, &parts, true),
            themes: themes(designed),
            stocks: stocks(designed),
            parts: parts
                .iter()
                .map(|part| {
                    let assembly = &assemblies[part.assembly];
                    PartSeen {
                        name: &assembly.panels[part.panels[0].0].family,
                        box_name: (!assembly.loose).then_some(assembly.name.as_str()),
                        count: part.count,
                        size: format!("{} × {}", sizes.number(part.length), sizes.show(part.width)),
                    }
                })
                .collect(),
        }
    }
}

fn stocks(designed: Designed<'_>) -> Vec<StockSeen<'_>> {
    let Designed { job, assemblies, findings } = designed;
    let whole = |finding: &Finding| finding.id == JobCheck::StockThickness.into();
    let range = |i: usize| {
        findings.iter().filter_map(move |finding| {
            let limits: Limits = finding.thickness?;
            let name = finding.box_name.as_deref()?;
            let of_that = |assembly: &&Assembly| {
                let made_from = |panel| assembly.stock_of(panel) == i;
                assembly.name == name && assembly.panels.iter().any(made_from)
            };
            let assembly = assemblies.iter().find(of_that)?;
            // Of the box's own stock, unless the finding is about the panels of another.
            if whole(finding) && (finding.subject == assembly.name) != (assembly.stock == i) {
                return None;
            }
            let holds = !finding.refused();
            (whole(finding) || !holds).then_some(RangeSeen {
                name,
                least: limits.least,
                most: limits.most,
                holds,
                advice: &finding.advice,
            })
        })
    };
    job.stock
        .iter()
        .enumerate()
        .map(|(i, stock)| StockSeen {
            name: &stock.name,
            material: &stock.material.title,
            thickness: stock.thickness,
            ranges: range(i).collect(),
        })
        .collect()
}
