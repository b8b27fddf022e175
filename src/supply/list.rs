//! The shopping list: fasteners, glue, mesh, hinges, paint.

use super::{Used, outside_area};
use crate::design::{Assembly, Fitting, FittingKind, Panel};
use crate::job::{Job, Stock};
use crate::joining::Joining;
use crate::units::{Units, decimal};
use schemars::JsonSchema;
use serde::Serialize;

/// Glue for a square metre of joint (kg). Common practice: 150 to 200 g of white or polyurethane glue.
const GLUE: f64 = 0.18;
/// Square metres that a litre of paint covers once. Common practice.
const PAINT: f64 = 10.0;
/// From one staple to the next round a piece of mesh (mm). Common practice: about an inch.
pub(crate) const STAPLES: f64 = 25.0;
/// What a supply is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub enum Unit {
    #[serde(rename = "pieces")]
    Pieces,
    #[serde(rename = "kg")]
    Kilograms,
    #[serde(rename = "l")]
    Litres,
    #[serde(rename = "m2")]
    SquareMetres,
}

/// Kilograms in a pound, litres in a pint, square metres in a square foot. The pound and the foot of 1959; the pint is the US
/// liquid one, 28.875 cubic inches (Specifications and tolerances for weighing and measuring devices, Handbook 44, appendix C,
/// NIST, 2024).
const POUND: f64 = 0.453_592_37;
const PINT: f64 = 0.473_176_473;
const SQUARE_FOOT: f64 = 0.092_903_04;
const FOOT: f64 = 304.8;
/// Ounces in a pound, and fluid ounces in a pint.
const OUNCES: f64 = 16.0;

impl Unit {
    /// How much of this a maker buys and pays for at a time, by the units of the job: a piece; a kilogram, a litre, a square
    /// metre; a pound, a pint, a square foot.
    pub fn priced_by(self, units: Units) -> f64 {
        match (self, units) {
            (Unit::Pieces, _) | (_, Units::Millimetres) => 1.0,
            (Unit::Kilograms, Units::Inches) => POUND,
            (Unit::Litres, Units::Inches) => PINT,
            (Unit::SquareMetres, Units::Inches) => SQUARE_FOOT,
        }
    }
}

/// One line of the list.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Supply {
    /// What it goes by in prices: `brad-1-1-4`, `glue`.
    pub item: String,
    /// In words.
    pub what: String,
    pub unit: Unit,
    /// For the whole job.
    pub total: f64,
    /// For one box of each kind.
    pub boxes: Vec<Each>,
    /// Pieces to cut from it, for the whole job.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<SizedPieces>,
    /// How it is sold, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sold: Option<Sold>,
}

/// How something is sold.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sold {
    /// So many packs of so many pieces.
    Packs { count: u32, of: f64 },
    /// So much off a roll, in millimetres.
    Roll { length: f64, width: f64 },
}

impl Supply {
    /// Is it called that, in the short name of prices or as the hardware list prints it?
    pub fn goes_by(&self, name: &str) -> bool {
        self.item == name || self.what == name
    }

    /// How all of it is bought: `186 (1 pack of 1000)`, `0.118 m² (300 mm off a roll of 610 mm)`.
    pub fn to_buy(&self, units: Units) -> String {
        let all = self.show(self.total, units);
        match self.sold {
            None => all,
            Some(Sold::Packs { count, of }) => {
                format!("{all} ({} of {})", crate::words::counted(count as usize, "pack"), decimal(of, 0))
            }
            Some(Sold::Roll { length, width }) => {
                let off = match units {
                    Units::Millimetres => format!("{} mm", decimal(length, 0)),
                    Units::Inches => format!("{} ft", decimal(length / FOOT, 1)),
                };
                format!("{all} ({off} off a roll of {})", units.show(width))
            }
        }
    }

    /// An amount of it for a person, in their units: `58`, `37 g`, `1.3 fl oz`, `2.5 pt`.
    pub fn show(&self, amount: f64, units: Units) -> String {
        let bought = amount / self.unit.priced_by(units);
        match (self.unit, units) {
            (Unit::Pieces, _) => decimal(amount.ceil(), 0),
            (Unit::Kilograms, Units::Millimetres) if amount < 1.0 => format!("{} g", decimal((amount * 1e3).ceil(), 0)),
            (Unit::Kilograms, Units::Millimetres) => format!("{} kg", decimal(amount, 2)),
            (Unit::Kilograms, Units::Inches) if bought < 1.0 => format!("{} oz", decimal(bought * OUNCES, 1)),
            (Unit::Kilograms, Units::Inches) => format!("{} lb", decimal(bought, 2)),
            (Unit::Litres, Units::Millimetres) if amount < 1.0 => format!("{} ml", decimal((amount * 1e3).ceil(), 0)),
            (Unit::Litres, Units::Millimetres) => format!("{} l", decimal(amount, 2)),
            (Unit::Litres, Units::Inches) if bought < 1.0 => format!("{} fl oz", decimal(bought * OUNCES, 1)),
            (Unit::Litres, Units::Inches) => format!("{} pt", decimal(bought, 2)),
            (Unit::SquareMetres, Units::Millimetres) => format!("{} m²", decimal(amount, 3)),
            (Unit::SquareMetres, Units::Inches) => format!("{} sq ft", decimal(bought, 2)),
        }
    }
}

/// How much of it one box takes.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Each {
    #[serde(rename = "box")]
    pub box_name: String,
    pub count: u32,
    pub each: f64,
}

/// Pieces of one size, in millimetres.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SizedPieces {
    pub count: u32,
    pub size: [f64; 2],
}

/// Everything that the boxes of a job take beside wood, by item.
pub fn supplies(job: &Job, assemblies: &[Assembly]) -> Vec<Supply> {
    let mut list = List(Vec::new());
    for assembly in assemblies.iter().filter(|assembly| !assembly.loose) {
        of_box(job, assembly, &mut list);
    }
    for line in &mut list.0 {
        line.total = rounded(line.total);
        line.boxes.iter_mut().for_each(|each| each.each = rounded(each.each));
        line.sold = sold(job, line);
    }
    list.0
}

/// In packs, if its price is for so many pieces; off a roll, if it is mesh or cloth whose pieces a roll is wide enough for.
fn sold(job: &Job, line: &Supply) -> Option<Sold> {
    let price = job.costing.items.iter().find(|price| line.goes_by(&price.item));
    match line.unit {
        Unit::Pieces => {
            let of = price.map(|price| price.per).filter(|per| *per > 1.0)?;
            Some(Sold::Packs { count: (line.total / of).ceil() as u32, of })
        }
        Unit::SquareMetres => off_a_roll(job.units, &line.pieces),
        Unit::Kilograms | Unit::Litres => None,
    }
}

/// The length that takes these pieces off a roll, cut in rows across it: the widest pieces first, each row as long as its longest.
/// In whole hundreds of millimetres, or half feet. `None` where the roll is too narrow.
fn off_a_roll(units: Units, pieces: &[SizedPieces]) -> Option<Sold> {
    // Common practice: hardware cloth comes 24 in wide, elsewhere 600 mm.
    let (roll, step) = match units {
        Units::Millimetres => (600.0, 100.0),
        Units::Inches => (2.0 * FOOT, FOOT / 2.0),
    };
    let mut all: Vec<[f64; 2]> = Vec::new();
    for piece in pieces {
        let [long, short] = [piece.size[0].max(piece.size[1]), piece.size[0].min(piece.size[1])];
        // Across the roll, where it goes: that leaves the row short.
        let lying = if long <= roll { [long, short] } else { [short, long] };
        all.extend(std::iter::repeat_n(lying, piece.count as usize));
    }
    if all.is_empty() || all.iter().any(|[across, _]| *across > roll) {
        return None;
    }
    all.sort_by(|a, b| b[1].total_cmp(&a[1]).then(b[0].total_cmp(&a[0])));
    // What is left across each row.
    let mut rows: Vec<f64> = Vec::new();
    let mut length = 0.0;
    for [across, along] in all {
        match rows.iter_mut().find(|left| **left >= across) {
            Some(left) => *left -= across,
            None => {
                rows.push(roll - across);
                length += along;
            }
        }
    }
    Some(Sold::Roll { length: (length / step - 1e-9).ceil() * step, width: roll })
}

/// The sheets and boards that the plans take, by the size in which they are sold; off-cuts of earlier jobs are there already.
pub fn sheets(job: &Job, used: &Used) -> Vec<Supply> {
    let of = |(which, stock): (usize, &Stock)| {
        let count = used.sheets.iter().filter(|sheet| **sheet == which).count() as u32;
        if count == 0 || stock.from.is_some() {
            return None;
        }
        let units = job.units;
        let (boards, width) = stock.glued.map_or((1, stock.width), |glued| (glued.boards, glued.width));
        let kind = if stock.material.wood.is_some() { "board" } else { "sheet" };
        let there = match stock.on_hand {
            Some(there) => format!("; {} there", there * boards),
            None => String::new(),
        };
        let what = format!(
            "{} of {}, {} × {}, {} thick{there}",
            if count * boards == 1 { kind.to_string() } else { format!("{kind}s") },
            stock.material.title.to_lowercase(),
            units.number(stock.length),
            units.show(width),
            units.measured(stock.thickness)
        );
        Some(Supply {
            item: stock.name.clone(),
            what,
            unit: Unit::Pieces,
            total: f64::from(count * boards),
            boxes: Vec::new(),
            pieces: Vec::new(),
            sold: None,
        })
    };
    job.stock.iter().enumerate().filter_map(of).collect()
}

/// To a tenth of a gram, or of a millilitre.
fn rounded(amount: f64) -> f64 {
    (amount * 1e4).round() / 1e4
}

fn of_box(job: &Job, assembly: &Assembly, list: &mut List) {
    let Joining { contacts, joints, fasteners, .. } = Joining::of(&job.hardware, assembly);
    for one in fasteners.into_iter().flatten() {
        let (fastener, count) = (one.fastener, f64::from(one.count()));
        list.add(assembly, &fastener.name, &fastener.called(job.units), Unit::Pieces, count);
    }
    let glued: f64 = joints.iter().filter(|joint| joint.glued).map(|joint| joint.area).sum();
    list.add(assembly, "glue", "waterproof glue", Unit::Kilograms, glued * 1e-6 * GLUE);
    for fitting in &assembly.fittings {
        fit(job.units, assembly, fitting, list);
    }
    if job.hardware.coats > 0 {
        let surfaces: Vec<_> = assembly.panels.iter().map(Panel::surfaces).collect();
        let area = outside_area(assembly, &contacts, &surfaces) * 1e-6;
        let coats = job.hardware.coats;
        let what = format!("paint, {coats} coat{} outside only", if coats == 1 { "" } else { "s" });
        list.add(assembly, "paint", &what, Unit::Litres, area * f64::from(coats) / PAINT);
    }
}

fn fit(units: Units, assembly: &Assembly, fitting: &Fitting, list: &mut List) {
    let ([length, width], what) = (fitting.size, fitting.called(units));
    match fitting.kind {
        FittingKind::Mesh | FittingKind::Cloth => {
            list.add(assembly, &fitting.name, &what, Unit::SquareMetres, length * width * 1e-6);
            list.cut(&fitting.name, assembly.count, fitting.size);
        }
        FittingKind::Hinge | FittingKind::Screw | FittingKind::Catch | FittingKind::Hanger | FittingKind::WallScrew => {
            list.add(assembly, &fitting.name, &what, Unit::Pieces, 1.0);
            if fitting.kind == FittingKind::Hinge {
                list.cut(&fitting.name, assembly.count, fitting.size);
            }
        }
    }
    if fitting.kind == FittingKind::Mesh {
        let staples = (2.0 * (length + width) / STAPLES).ceil();
        let what = match units {
            Units::Millimetres => "staples for mesh, 8 mm",
            Units::Inches => "staples for mesh, 5/16 in",
        };
        list.add(assembly, "staples", what, Unit::Pieces, staples);
    }
}

struct List(Vec<Supply>);

impl List {
    fn add(&mut self, assembly: &Assembly, item: &str, what: &str, unit: Unit, each: f64) {
        if each <= 0.0 {
            return;
        }
        let at = self.0.iter().position(|line| line.item == item).unwrap_or_else(|| {
            let line = Supply {
                item: item.into(),
                what: what.into(),
                unit,
                total: 0.0,
                boxes: Vec::new(),
                pieces: Vec::new(),
                sold: None,
            };
            self.0.push(line);
            self.0.len() - 1
        });
        let line = &mut self.0[at];
        line.total += each * f64::from(assembly.count);
        match line.boxes.iter_mut().find(|known| known.box_name == assembly.name) {
            Some(known) => known.each += each,
            None => line.boxes.push(Each { box_name: assembly.name.clone(), count: assembly.count, each }),
        }
    }

    fn cut(&mut self, item: &str, count: u32, size: [f64; 2]) {
        let Some(line) = self.0.iter_mut().find(|line| line.item == item) else { return };
        let alike = |known: &&mut SizedPieces| known.size.iter().zip(size).all(|(a, b)| (a - b).abs() < 0.05);
        match line.pieces.iter_mut().find(alike) {
            Some(known) => known.count += count,
            None => line.pieces.push(SizedPieces { count, size }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Laid out by hand: what is wider than half the roll has a row of its own, and two of 280 mm share one.
    #[test]
    fn pieces_come_off_a_roll_in_rows() {
        let pieces = |all: &[(u32, [f64; 2])]| -> Vec<SizedPieces> {
            all.iter().map(|(count, size)| SizedPieces { count: *count, size: *size }).collect()
        };
        let length = |units, all: &[(u32, [f64; 2])]| match off_a_roll(units, &pieces(all)) {
            Some(Sold::Roll { length, .. }) => Some(length),
            _ => None,
        };
        // Three rows of 300 mm, and one of 120 mm with both small ones in it.
        assert_eq!(length(Units::Millimetres, &[(3, [300.0, 500.0]), (2, [280.0, 120.0])]), Some(1100.0));
        // Longer than the roll is wide: along it.
        assert_eq!(length(Units::Millimetres, &[(1, [750.0, 200.0])]), Some(800.0));
        assert_eq!(length(Units::Millimetres, &[(1, [750.0, 650.0])]), None);
        // Two feet wide: 20 in across, 7 in along, up to half feet.
        assert_eq!(length(Units::Inches, &[(2, [20.0 * 25.4, 7.0 * 25.4])]), Some(1.5 * FOOT));
    }
}
