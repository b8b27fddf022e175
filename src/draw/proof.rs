//! A picture of a proof: what programs take away, what they leave, and every fault ringed.

use super::{Anchor, Pen, Picture};
use crate::geometry::{Affine, Outline, Point};
use crate::proof::{Proof, Shown};
use crate::units::Units;

/// The drawn sheet's longer side, and the space around it (mm on paper).
const LONG: f64 = 380.0;
const AROUND: f64 = 10.0;
/// Height of letters, and of a line of them.
const LETTERS: f64 = 2.6;
const LINE: f64 = 4.6;
/// Diameter of a ring around a fault, and how near another must be to share it.
const RING: f64 = 7.0;

/// The sheet as the programs leave it; rings carry the numbers of the faults below it.
pub fn proof_picture(shown: &Shown, proof: &Proof, units: Units) -> Picture {
    let scale = shown.length.max(shown.width) / LONG;
    let (length, width) = (shown.length / scale, shown.width / scale);
    let text = lines(proof, units);
    let head = AROUND + 2.0 * LINE;
    let height = head + width + LINE + text.len() as f64 * LINE + AROUND;
    let mut picture = Picture::new(length.max(LONG) + 2.0 * AROUND, height);
    let to_paper = Affine::new([1.0 / scale, 0.0, 0.0, -1.0 / scale, AROUND, head + width]);

    let verdict = if proof.proved() { "proved" } else { "FAILED" };
    let heading = format!("{}, sheet {}: {verdict}", proof.file, proof.sheet);
    picture.text(Point::new(AROUND, AROUND + LETTERS), 3.5, Anchor::Start, false, &heading);
    let legend = "pale: wood; darker: cut from above; white: cut through; lines: the parts as they should be; dashes: rapid moves";
    picture.text(Point::new(AROUND, AROUND + LETTERS + LINE), 2.0, Anchor::Start, false, legend);

    picture.rect(AROUND, head, length, width, Pen::Wood);
    let place = |outline: &Outline| outline.transformed(to_paper);
    for (areas, pen) in [(&shown.cut, Pen::Recess), (&shown.through, Pen::Hole)] {
        for area in areas {
            picture.area(area.iter().map(place).collect(), pen);
        }
    }
    for outline in shown.parts.iter().chain(&shown.holes).chain(&shown.recesses) {
        let mut points = place(outline).flattened(0.05);
        points.extend(points.first().copied());
        picture.path(&points, Pen::Fine);
    }
    for (from, to) in &shown.rapids {
        picture.line(to_paper * *from, to_paper * *to, Pen::Dashed);
    }
    ring(&mut picture, proof, to_paper);
    for (i, line) in text.iter().enumerate() {
        let at = Point::new(AROUND, head + width + LINE * (i as f64 + 1.5));
        picture.text(at, LETTERS, Anchor::Start, false, line);
    }
    picture.titled(format!("Proof of {heading}"))
}

/// Rings around all faults, with their numbers.
fn ring(picture: &mut Picture, proof: &Proof, to_paper: Affine) {
    let faults: Vec<_> = proof.faults().collect();
    let mut ringed: Vec<(usize, Point)> = Vec::new();
    let worst = faults.iter().enumerate().filter_map(|(i, fault)| Some((i, fault.at?)));
    let others = proof
        .places
        .iter()
        .filter_map(|place| Some((faults.iter().position(|fault| fault.finding.id == place.check.into())?, place.at)));
    for (number, at) in worst.chain(others) {
        let at = to_paper * Point::new(at[0], at[1]);
        let near = |other: &(usize, Point)| other.0 == number && other.1.distance(at) < RING / 2.0;
        if ringed.iter().any(near) {
            continue;
        }
        picture.circle(at, RING, Pen::Mark);
        // Numbers of faults at one place stand beside each other.
        let beside = ringed.iter().filter(|other| other.1.distance(at) < RING / 2.0).count();
        let corner = Point::new(at.x + RING * 0.42 + beside as f64 * 2.4, at.y - RING * 0.42);
        picture.text(corner, LETTERS, Anchor::Start, false, &(number + 1).to_string());
        ringed.push((number, at));
    }
}

/// What the numbers stand for.
fn lines(proof: &Proof, units: Units) -> Vec<String> {
    if proof.proved() {
        return vec![format!("{} measures, all within their limits", proof.measures.len())];
    }
    let line = |(i, fault): (usize, &crate::proof::Measured)| {
        format!("{}  {}: {}", i + 1, fault.finding.check, fault.told(units))
    };
    proof.faults().enumerate().map(line).collect()
}
