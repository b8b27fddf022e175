//! What is claimed of each face of sheets that are turned over.

use super::bench::Bench;
use super::claim::{AboutClaim, Claim, PartClaim, PinClaim, PlacementClaim, SheetClaim};
use super::cut::Cut;
use super::left::{self, Owner};
use super::shape::{self, DRILL_FITS, HoleShape};
use super::stroke::disc;
use super::verdict::Ledger;
use crate::finding::Limits;
use crate::finding::ProgramCheck;
use crate::geometry::{Affine, Point};

impl Claim {
    /// Is this a program for the face that is cut first, of a sheet that is turned over afterwards?
    pub fn is_of_first_face(&self, file: &str) -> bool {
        self.programs.iter().any(|program| program.file == file && program.face == Some(1))
    }

    /// Is it plain which face of the sheet (from 1) a program of this name is for? It is of a sheet that is not turned over.
    pub fn tells_its_face(&self, sheet: usize, file: &str) -> bool {
        let mut of_sheet = self.programs.iter().filter(|program| program.sheet == sheet);
        of_sheet.clone().all(|program| program.face.is_none()) || of_sheet.any(|program| program.file == file)
    }

    /// The claim on the face from which the parts are cut out: of sheets that are not turned over all there is.
    pub fn second_face(&self) -> Claim {
        let mut claim = self.clone();
        claim.programs.retain(|program| program.face != Some(1));
        for part in &mut claim.parts {
            part.pockets.retain(|pocket| !pocket.under);
        }
        claim
    }

    /// The claim on the other face, in the mirror image of each sheet's frame.
    pub fn first_face(&self) -> Claim {
        let about = self.sheets.iter().find_map(|sheet| sheet.turned.as_ref()).map(|turned| turned.about);
        let about = about.unwrap_or(AboutClaim::Length);
        let mut claim = self.clone();
        claim.programs.retain(|program| program.face == Some(1));
        claim.parts.iter_mut().for_each(|part| turn_part(part, about));
        for (sheet, flat) in claim.sheets.iter_mut().zip(&self.sheets) {
            turn_sheet(sheet, flat, &self.parts, about);
        }
        claim
    }
}

fn mirror(about: AboutClaim, length: f64, width: f64) -> Affine {
    match about {
        AboutClaim::Length => Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, width]),
        AboutClaim::Width => Affine::new([-1.0, 0.0, 0.0, 1.0, length, 0.0]),
    }
}

/// A part seen from below, with the recesses that are cut from there.
fn turn_part(part: &mut PartClaim, about: AboutClaim) {
    let mirror = mirror(about, part.length, part.width);
    let turned = |vertices: &[super::claim::VertexClaim]| {
        let outline = shape::outline_of(vertices).transformed(mirror);
        let vertex =
            |it: &crate::geometry::Vertex| super::claim::VertexClaim { x: it.at.x, y: it.at.y, bulge: it.bulge };
        outline.vertices.iter().map(vertex).collect::<Vec<_>>()
    };
    part.outline = turned(&part.outline);
    part.holes.clear();
    part.label = None;
    part.joint_lines.clear();
    part.pockets.retain(|pocket| pocket.under);
    for pocket in &mut part.pockets {
        pocket.outline = turned(&pocket.outline);
    }
    for corner in &mut part.square_corners {
        let at = mirror * Point::new(corner.x, corner.y);
        (corner.x, corner.y) = (at.x, at.y);
    }
}

fn turn_sheet(sheet: &mut SheetClaim, flat: &SheetClaim, parts: &[PartClaim], about: AboutClaim) {
    let mirror = mirror(about, flat.length, flat.width);
    let moved = |x: f64, y: f64| mirror * Point::new(x, y);
    sheet.first_face = true;
    sheet.tabs = None;
    for PlacementClaim { part, x, y, angle } in &mut sheet.placements {
        let size = parts.iter().find(|it| it.name == *part).map_or((0.0, 0.0), |it| (it.length, it.width));
        let (along, across) = if *angle % 180 == 90 { (size.1, size.0) } else { size };
        let (a, b) = (moved(*x, *y), moved(*x + along, *y + across));
        (*x, *y, *angle) = (a.x.min(b.x), a.y.min(b.y), (360 - *angle % 360) % 360);
    }
    for kept in &mut sheet.keep_out {
        let corner = mirror * Point::new(kept.x, kept.y);
        let other = mirror * Point::new(kept.x + kept.length, kept.y + kept.width);
        (kept.x, kept.y) = (corner.x.min(other.x), corner.y.min(other.y));
    }
    for screw in &mut sheet.screws {
        let at = moved(screw.x, screw.y);
        (screw.x, screw.y) = (at.x, at.y);
    }
    for pin in sheet.turned.iter_mut().flat_map(|turned| &mut turned.pins) {
        let at = moved(pin.x, pin.y);
        (pin.x, pin.y) = (at.x, at.y);
    }
}

impl Bench<'_> {
    fn pins(&self) -> &[PinClaim] {
        self.sheet.turned.as_ref().map_or(&[], |turned| &turned.pins)
    }

    /// Pins that stand in the sheet while it is cut: place and diameter.
    pub(super) fn standing_pins(&self) -> impl Iterator<Item = (Point, f64)> + '_ {
        let pins = if self.sheet.first_face { &[] } else { self.pins() };
        pins.iter().map(|pin| (Point::new(pin.x, pin.y), pin.diameter))
    }

    /// The pin whose hole a cut makes: nothing of it lies outside the hole.
    pub(super) fn hole_for_pin(&self, cut: &Cut) -> Option<&PinClaim> {
        let pins = if self.sheet.first_face { self.pins() } else { &[] };
        pins.iter().find(|pin| {
            let at = Point::new(pin.x, pin.y);
            let reach = pin.diameter / 2.0 + DRILL_FITS + self.tolerance - cut.radius;
            let round = cut.bounds();
            let corners = [(round.x0, at.y), (round.x1, at.y), (at.x, round.y0), (at.x, round.y1)];
            corners.into_iter().all(|corner| at.distance(corner.into()) <= reach)
        })
    }
}

/// Are the holes for the pins made, where they should be, as wide and as deep?
pub(super) fn check(bench: &Bench, owner: &Owner, ledgers: &mut [Ledger]) {
    if !bench.sheet.first_face {
        return;
    }
    for pin in bench.pins() {
        let centre = Point::new(pin.x, pin.y);
        let fits = |diameter: f64| (diameter - pin.diameter).abs() <= DRILL_FITS;
        let drill = bench.router.tools.iter().find(|tool| tool.drill && fits(tool.diameter)).map(|tool| tool.number);
        let hole = HoleShape {
            use_: "hole for a pin".into(),
            centre,
            diameter: Some(pin.diameter),
            made: pin.diameter,
            depth: None,
            target: disc(centre, pin.diameter / 2.0),
            drill,
            band: None,
        };
        let Some(program) = owner.of_hole(&hole) else { continue };
        left::size(
            bench,
            "the sheet",
            &hole,
            pin.diameter,
            0.0,
            bench.sheet.thickness + pin.depth,
            &mut ledgers[program],
        );
    }
    // Deeper than the pin's own hole goes nothing.
    for cut in bench.in_wood() {
        if let Some(pin) = bench.hole_for_pin(cut) {
            let below = -bench.sheet.thickness - cut.lowest();
            let limits = Limits::at_most(pin.depth + bench.touch);
            let spot = || super::verdict::Spot::line(cut.line).at(cut.at(1.0), cut.tip()).on("hole for a pin");
            ledgers[cut.program].note(ProgramCheck::Spoilboard, below.max(0.0), limits, spot);
        }
    }
}
